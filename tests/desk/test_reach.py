"""Everything has a name and can be reached by keys, on every stage."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QMenu,
    QPlainTextEdit,
    QWidget,
)

from circuitmap.desk.window import Window
from circuitmap.home import Home
from circuitmap.home.records import Device, Point
from tests.desk.conftest import Opened
from tests.desk.driving import settle

_TO_USE = (QAbstractButton, QAbstractItemView, QAbstractSpinBox, QComboBox, QLineEdit, QPlainTextEdit)
STAGES = ("draw", "survey", "wiring", "readings", "extend", "hand over")


def in_use(window: Window) -> list[QWidget]:
    """Every widget that a person would operate, as far as it is on show; the parts inside fields don't count."""
    return [
        widget
        for widget in window.findChildren(QWidget)
        if isinstance(widget, _TO_USE)
        and widget.isVisibleTo(window)
        and not isinstance(widget.parentWidget(), QAbstractSpinBox | QComboBox | QLineEdit | QAbstractItemView)
        and not widget.objectName().startswith("qt_")
        and widget.metaObject().className() not in ("QComboBoxListView", "QTableCornerButton", "QHeaderView")
    ]


def name_of(widget: QWidget) -> str:
    return widget.accessibleName() or (widget.text() if isinstance(widget, QAbstractButton) else "")


@pytest.mark.parametrize("stage", STAGES)
def test_every_widget_has_an_accessible_name(opened: Opened, small: Home, stage: str) -> None:
    window = opened(small)
    window.adapter.set_stage(stage)
    for chosen in (next(iter(small.table(Point))), next(iter(small.table(Device)))):
        window.adapter.select(chosen)
        settle()
        nameless = [w for w in in_use(window) if not name_of(w).strip()]
        assert not nameless, [(w.metaObject().className(), w.objectName(), w.parentWidget()) for w in nameless]


@pytest.mark.parametrize("stage", STAGES)
def test_every_widget_is_reached_by_tab(opened: Opened, small: Home, stage: str) -> None:
    window = opened(small)
    window.adapter.set_stage(stage)
    window.adapter.select(next(iter(small.table(Point))))
    settle()
    window.activateWindow()
    window.view.setFocus()
    reached: set[QWidget] = set()
    for _ in range(300):
        focus = QApplication.focusWidget()
        assert focus is not None
        if focus in reached and focus is window.view:
            break
        reached.add(focus)
        QTest.keyClick(focus, Qt.Key.Key_Tab)
    wanted = [w for w in in_use(window) if w.isEnabled() and w.focusPolicy() != Qt.FocusPolicy.NoFocus]
    wanted = [w for w in wanted if not (w.focusProxy() and w.focusProxy() in reached)]
    assert len(wanted) > 20
    exclusive = [w for w in wanted if isinstance(w, QAbstractButton) and w.group() is not None]
    missed = [w for w in wanted if w not in reached and w not in exclusive]
    assert not missed, [(w.metaObject().className(), name_of(w)) for w in missed]
    # Of buttons that exclude each other one is reached by Tab and the others from it by the arrow keys.
    for button in exclusive:
        assert any(other in reached for other in button.group().buttons())


def test_every_action_has_a_name_and_is_found_by_it(opened: Opened, small: Home) -> None:
    window = opened(small)
    ids = [act.id for act, _ in window.actions_.all()]
    assert len(ids) == len(set(ids))
    for act, action in window.actions_.all():
        words = action.text().replace("&", "")
        assert words.strip()
        if action.isEnabled():
            window.find_field.setText(words)
            assert any(found.action is action for found in window.find_field.results), act.id


def test_no_two_actions_share_a_key(opened: Opened, small: Home) -> None:
    window = opened(small)
    keys: dict[str, str] = {}
    for act, action in window.actions_.all():
        for key in action.shortcuts():
            text = key.toString()
            assert text not in keys, f"{text}: {act.id} and {keys[text]}"
            keys[text] = act.id


def test_no_two_entries_of_a_menu_share_an_access_key(opened: Opened, small: Home) -> None:
    window = opened(small)
    for entry in window.menuBar().actions():
        menu = entry.menu()
        assert isinstance(menu, QMenu)
        letters = [text[text.index("&") + 1].lower() for text in (a.text() for a in menu.actions()) if "&" in text]
        assert len(letters) == len(set(letters)), entry.text()
    assert window.actions_["extend-options"].text() == "&Options", "the first to ask for a letter has it"
    assert "&" in window.actions_["extend-pick"].text()


def test_save_is_answered_where_nothing_is_to_be_saved(opened: Opened, small: Home) -> None:
    window = opened(small)
    QTest.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert "saved as it is made" in window.message


def test_the_board_is_walked_with_arrows_and_lights_up_what_a_way_feeds(opened: Opened, small: Home) -> None:
    window = opened(small)
    window.board.setFocus()
    first = QApplication.focusWidget()
    for _ in range(2):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Right)
    there = QApplication.focusWidget()
    assert there is not first
    assert there.accessibleName() == "A1 Sockets, MCB B32, on"
    QTest.keyClick(there, Qt.Key.Key_Return)
    assert window.adapter.selection == (there.device,)
    QTest.mouseMove(there)
    settle()
    served = window.adapter.area_served(there.device)
    assert {i for i in served if i.startswith("P")} == {"P1", "P2", "P3", "P4"}


def test_the_window_opens_in_each_stage_of_the_rail() -> None:
    from circuitmap.cli.open import STAGES
    from circuitmap.desk import rail

    assert tuple(stage for stage, _, _ in rail.STAGES) == STAGES
