"""Going round: plan and answers fill the window, the next point is in the middle, Esc gives the rest back."""

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap.desk.canvas.view import PlanView
from circuitmap.desk.window import Window
from circuitmap.home.records import Check
from tests.desk.conftest import Opened
from tests.desk.driving import click, settle
from tests.desk.survey_home import SmallHome


@pytest.fixture
def window(opened: Opened) -> Window:
    home = SmallHome()
    home.asked()
    window = opened(home.home)
    window.adapter.set_stage("survey")
    click(window, window.survey_stage.start_button)
    click(window, window.survey_stage.look_button)
    settle()
    return window


def middle_px(view: PlanView, point: str) -> tuple[float, float]:
    """How far a point stands from the middle of the plan's view."""
    centre = view.plan_scene.glyph_centre(point)
    assert centre is not None
    middle = QPointF(view.viewport().rect().center())
    away = view.to_px(centre) - middle
    return abs(away.x()), abs(away.y())


def parts(window: Window) -> list[bool]:
    return [w.isVisible() for w in (window.rail, window.board, window.menuBar(), window.find_field)]


def test_f9_leaves_plan_and_answers_and_escape_gives_the_rest_back(window: Window) -> None:
    wide, high = window.view.width(), window.view.height()
    QTest.keyClick(window, Qt.Key.Key_F9)
    settle()
    assert window.go_round.is_on
    assert parts(window) == [False] * 4
    assert window.survey_stage.panel.isVisible()
    assert window.view.height() > high
    assert window.survey_stage.panel.off.height() >= 56
    QTest.keyClick(window.survey_stage.panel, Qt.Key.Key_Escape)
    settle()
    assert not window.go_round.is_on
    assert parts(window) == [True] * 4
    assert (window.view.width(), window.view.height()) == (wide, high)


def test_escape_on_the_plan_leaves_it_too(window: Window) -> None:
    click(window, window.survey_stage.go_round)
    settle()
    assert window.go_round.is_on
    window.view.setFocus()
    QTest.keyClick(window.view, Qt.Key.Key_Escape)
    assert not window.go_round.is_on
    QTest.keyClick(window.view, Qt.Key.Key_Escape)
    assert not window.go_round.is_on


def test_escape_goes_back_from_the_reasons_first(window: Window) -> None:
    window.go_round.enter()
    settle()
    panel = window.survey_stage.panel
    QTest.keyClick(panel, Qt.Key.Key_C)
    assert not panel.off.isVisible()
    QTest.keyClick(panel, Qt.Key.Key_Escape)
    assert panel.off.isVisible()
    assert window.go_round.is_on
    QTest.keyClick(panel, Qt.Key.Key_Escape)
    assert not window.go_round.is_on


def test_the_next_point_pulses_in_the_middle_and_keys_answer_all_the_way(window: Window) -> None:
    window.go_round.enter()
    settle()
    view, cursor = window.view, window.cursor_
    seen = []
    for key in (Qt.Key.Key_S, Qt.Key.Key_O, Qt.Key.Key_G, Qt.Key.Key_S):
        across, down = middle_px(view, cursor.point)
        assert across < 3
        assert down < 3
        seen.append(cursor.point)
        focus = QApplication.focusWidget()
        assert focus is not None
        QTest.keyClick(focus, key)
        settle()
    assert [(c.point, c.outcome) for c in window.adapter.home.sorted(Check)][:4] == list(
        zip(seen, ("still on", "off", "faint glow", "still on"), strict=True)
    )
    QTest.keyClick(view, Qt.Key.Key_Backspace)
    settle()
    assert cursor.point == seen[-1]
    across, down = middle_px(view, cursor.point)
    assert across < 3
    assert down < 3


def test_space_goes_on_without_an_answer(window: Window) -> None:
    window.go_round.enter()
    settle()
    first = window.cursor_.point
    QTest.keyClick(window.view, Qt.Key.Key_Space)
    assert window.cursor_.point not in ("", first)
    assert not window.adapter.home.table(Check)


def test_another_stage_leaves_it_and_the_list_gives_way_to_the_plan(window: Window) -> None:
    window.show_list()
    window.go_round.turn()
    settle()
    assert not window.is_listing
    window.adapter.set_stage("wiring")
    settle()
    assert not window.go_round.is_on
    assert parts(window) == [True] * 4
    assert not window.actions_["go-round"].isEnabled()


def test_there_is_nothing_to_go_round_on_before_a_walk(opened: Opened) -> None:
    window = opened(SmallHome().home)
    assert not window.actions_["go-round"].isEnabled()
    window.go_round.enter()
    assert not window.go_round.is_on
    assert window.message == "Begin a look or a switch-off first; then go round."


def test_the_next_point_is_never_out_of_sight(window: Window) -> None:
    """Far out all is shown again; near to, the plan moves and stays as near as it was."""
    view, cursor = window.view, window.cursor_
    inside = view.viewport().rect()

    def spot() -> QPointF:
        centre = view.plan_scene.glyph_centre(cursor.point)
        assert centre is not None
        return view.to_px(centre)

    fitted = view.zoom
    view.zoom_by(6.0, view.viewport().rect().topLeft())
    near = view.zoom
    for _ in range(3):
        QTest.keyClick(window.survey_stage.panel, Qt.Key.Key_S)
        settle()
        assert inside.contains(spot().toPoint())
        assert view.zoom == pytest.approx(near)
    window.fit()
    view.zoom_by(1.1, view.viewport().rect().topLeft())
    view.horizontalScrollBar().setValue(view.horizontalScrollBar().maximum())
    QTest.keyClick(window.survey_stage.panel, Qt.Key.Key_S)
    settle()
    assert inside.contains(spot().toPoint())
    assert view.zoom <= fitted * 1.11
