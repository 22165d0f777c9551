"""The storeys beside the plan: highest on top, one is current, renamed in place, one more above with +."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QSignalSpy, QTest
from PySide6.QtWidgets import QLineEdit, QToolButton
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.storeys import StoreyStack
from circuitmap.desk.theme import Look
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Storey
from tests.build import Builder
from tests.desk.conftest import Opened
from tests.desk.driving import settle


@pytest.fixture
def high() -> Home:
    b = Builder()
    b.storey("Ground", 0)
    b.storey("First", 1)
    b.storey("Cellar", -1)
    return b.home


@pytest.fixture
def stack(high: Home, look: Look, qtbot: QtBot) -> StoreyStack:
    made = StoreyStack(Adapter(Document.memory(high), trade.load()), look)
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    settle()
    return made


def adapter_of(stack: StoreyStack) -> Adapter:
    return stack._adapter


def sheets(stack: StoreyStack) -> list[QToolButton]:
    """The sheets on show, from top to bottom."""
    shown = [b for b in stack.findChildren(QToolButton) if b.isCheckable() and b.isVisibleTo(stack)]
    return sorted(shown, key=lambda b: b.y())


def sheet(stack: StoreyStack, name: str) -> QToolButton:
    return next(b for b in sheets(stack) if b.accessibleName() == f"Storey {name}")


def field(stack: StoreyStack) -> QLineEdit:
    found = stack.findChild(QLineEdit)
    assert found is not None
    return found


def test_the_highest_storey_lies_on_top_and_the_current_one_is_checked(stack: StoreyStack) -> None:
    assert [b.text() for b in sheets(stack)] == ["First", "Ground", "Cellar"]
    assert [b.isChecked() for b in sheets(stack)] == [False, True, False]


def test_a_click_goes_to_a_storey_and_a_second_one_stays_there(stack: StoreyStack) -> None:
    for _ in range(2):
        QTest.mouseClick(sheet(stack, "First"), Qt.MouseButton.LeftButton)
        adapter = adapter_of(stack)
        assert adapter.home.take(Storey, adapter.storey).name == "First"
        assert [b.isChecked() for b in sheets(stack)] == [True, False, False]


def test_a_storey_chosen_elsewhere_is_shown_here(stack: StoreyStack) -> None:
    adapter_of(stack).step_storey(-1)
    assert [b.isChecked() for b in sheets(stack)] == [False, False, True]


def test_plus_adds_the_storey_above_and_goes_there(stack: StoreyStack) -> None:
    spy = QSignalSpy(stack.resized)
    plus = next(b for b in stack.findChildren(QToolButton) if b.text() == "+ storey")
    QTest.mouseClick(plus, Qt.MouseButton.LeftButton)
    assert [b.text() for b in sheets(stack)] == ["Second", "First", "Ground", "Cellar"]
    assert sheets(stack)[0].isChecked()
    assert spy.count() >= 1
    adapter_of(stack).undo()
    settle()
    assert [b.text() for b in sheets(stack)] == ["First", "Ground", "Cellar"]


def test_a_double_click_renames_in_the_place_of_the_sheet(stack: StoreyStack) -> None:
    place = sheet(stack, "Ground").geometry()
    QTest.mouseDClick(sheet(stack, "Ground"), Qt.MouseButton.LeftButton)
    settle()
    assert abs(field(stack).y() - place.y()) < 8
    assert field(stack).hasFocus()
    QTest.keyClicks(field(stack), "Street level")
    QTest.keyClick(field(stack), Qt.Key.Key_Return)
    settle()
    assert {s.name for s in adapter_of(stack).storeys()} == {"First", "Street level", "Cellar"}
    assert not field(stack).isVisibleTo(stack)
    assert len(sheets(stack)) == 3
    assert adapter_of(stack).document.undo_title == "Rename a storey"


def test_f2_renames_from_the_keys_and_the_focus_comes_back(stack: StoreyStack) -> None:
    sheet(stack, "Cellar").setFocus()
    QTest.keyClick(sheet(stack, "Cellar"), Qt.Key.Key_F2)
    QTest.keyClicks(field(stack), "Vault")
    QTest.keyClick(field(stack), Qt.Key.Key_Return)
    settle()
    assert sheet(stack, "Vault").hasFocus()


@pytest.mark.parametrize("way_out", [Qt.Key.Key_Escape, None])
def test_esc_and_an_empty_name_leave_it_as_it_was(stack: StoreyStack, way_out: Qt.Key | None) -> None:
    before = adapter_of(stack).home
    stack.rename(adapter_of(stack).storey)
    if way_out is None:
        QTest.keyClick(field(stack), Qt.Key.Key_Backspace)
        QTest.keyClick(field(stack), Qt.Key.Key_Return)
    else:
        QTest.keyClicks(field(stack), "never mind")
        QTest.keyClick(field(stack), way_out)
    settle()
    assert adapter_of(stack).home == before
    assert not field(stack).isVisibleTo(stack)
    assert [b.text() for b in sheets(stack)] == ["First", "Ground", "Cellar"]


def test_f2_on_a_sheet_renames_though_the_window_has_a_use_of_its_own_for_it(opened: Opened, high: Home) -> None:
    window = opened(high)
    window.activateWindow()
    that = sheet(window.storeys, "First")
    that.setFocus()
    QTest.keyClick(that, Qt.Key.Key_F2)
    settle()
    assert window.adapter.stage == "draw"
    assert field(window.storeys).hasFocus()
    QTest.keyClick(field(window.storeys), Qt.Key.Key_Escape)
    window.view.setFocus()
    QTest.keyClick(window.view, Qt.Key.Key_F2)
    assert window.adapter.stage == "survey"


def test_without_a_storey_there_is_no_stack(look: Look, qtbot: QtBot) -> None:
    adapter = Adapter(Document.memory(Home.blank("New")), trade.load())
    made = StoreyStack(adapter, look)
    qtbot.addWidget(made)
    assert made.isHidden()
    adapter.do(lambda home: verbs.add_storey(home, "Ground"))
    assert not made.isHidden()


@pytest.mark.parametrize("name", ["<b>fett</b>", "x" * 10_000, "Erd & Keller & Dach & mehr", "קומה ראשונה", "🏠🔌"])
def test_a_name_stays_plain_text_and_the_stack_keeps_its_width(stack: StoreyStack, name: str) -> None:
    width = stack.width()
    adapter = adapter_of(stack)
    assert adapter.do(verbs.edit(adapter.home, adapter.storey, name=name)) is not None
    settle()
    button = sheets(stack)[1]
    assert stack.width() == width
    assert "<b>" not in button.toolTip()
    assert button.text().count("&") % 2 == 0  # a single one would underline the next letter
    assert stack.childAt(QPoint(width // 2, button.geometry().center().y())) is button
