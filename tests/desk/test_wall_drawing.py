"""Walls drawn by hand on the plan, with mouse and keys."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap.desk.canvas.gestures import Touch
from circuitmap.desk.window import Window
from circuitmap.home import Home
from circuitmap.home.records import Storey, Wall
from tests.desk.conftest import Opened
from tests.desk.driving import click, click_plan, px, settle
from tests.extension.routed import one_room


def drawing(opened: Opened, home: Home) -> Window:
    window = opened(home)
    QTest.keyClick(window, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
    assert window.adapter.tool == "wall"
    return window


def drawn(window: Window) -> list[Wall]:
    """The walls that were not there before, in the order of their ids."""
    return [wall for wall in window.adapter.home.sorted(Wall) if int(wall.id[1:]) > 4]


def test_two_clicks_are_a_wall_and_the_next_begins_where_it_ended(opened: Opened) -> None:
    window = drawing(opened, one_room())
    card = window.draw_stage.building
    card.wall_build.setCurrentIndex(card.wall_build.findData("stud"))
    card.wall_thickness.setText("75")
    click_plan(window, 2000, 20)
    assert drawn(window) == []
    click_plan(window, 2010, 1500)
    click_plan(window, 3980, 1510)
    first, second = drawn(window)
    assert first.a_mm[0] == first.b_mm[0]  # upright, though the hand was 10 mm off
    assert second.a_mm == first.b_mm
    assert second.a_mm[1] == second.b_mm[1]
    assert (first.build, first.thickness_mm, first.thickness_from) == ("stud", 75, "measured")
    assert window.adapter.selection == (second.id,)
    window.adapter.undo()
    assert [wall.id for wall in drawn(window)] == [first.id]


def test_a_length_is_typed_and_the_pointer_says_which_way(opened: Opened) -> None:
    window = drawing(opened, one_room())
    click_plan(window, 1000, 1000)
    QTest.mouseMove(window.view.viewport(), px(window, 2500, 1000))
    window.view.setFocus()
    QTest.keyClicks(window.view, "1.25 m")
    QTest.keyClick(window.view, Qt.Key.Key_Return)
    QApplication.processEvents()
    (wall,) = drawn(window)
    assert wall.b_mm[0] - wall.a_mm[0] == 1250
    assert wall.b_mm[1] == wall.a_mm[1]
    QTest.keyClicks(window.view, "12")
    QTest.keyClick(window.view, Qt.Key.Key_Backspace)
    QTest.keyClicks(window.view, ".5")
    QTest.keyClick(window.view, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert len(drawn(window)) == 2
    second = drawn(window)[1]
    assert abs(second.b_mm[0] - second.a_mm[0]) + abs(second.b_mm[1] - second.a_mm[1]) == pytest.approx(1500, abs=1)


def test_esc_lets_go_of_the_beginning_then_of_the_pen(opened: Opened) -> None:
    window = drawing(opened, one_room())
    click_plan(window, 1000, 1000)
    QTest.keyClick(window.view, Qt.Key.Key_Escape)
    assert window.adapter.tool == "wall"
    assert not window.view.gesture.preview
    QTest.keyClick(window.view, Qt.Key.Key_Escape)
    assert window.adapter.tool == "select"
    assert drawn(window) == []


def test_what_is_no_thickness_or_no_wall_is_said_and_nothing_is_drawn(opened: Opened) -> None:
    window = drawing(opened, one_room())
    card = window.draw_stage.building
    card.wall_thickness.setText("thick")
    click_plan(window, 1000, 1000)
    click_plan(window, 1000, 2000)
    assert drawn(window) == []
    assert "thick" in window.message
    card.wall_thickness.setText("5000")
    click_plan(window, 1000, 2000)
    assert "between 20 mm" in window.message
    card.wall_thickness.clear()
    click_plan(window, 1000, 2000)
    assert len(drawn(window)) == 1


def test_the_button_and_a_home_without_a_storey(opened: Opened) -> None:
    window = opened(Home.of([]))
    click(window, window.draw_stage.building.wall_button)
    settle()
    assert window.adapter.tool == "wall"
    assert window.adapter.home.table(Storey)
    for spot in ((0, 0), (800, 0)):
        window.view.carry_out(window.view.gesture.press(_touch(*spot)))
    assert len(window.adapter.home.table(Wall)) == 1
    click(window, window.draw_stage.building.wall_button)
    assert window.adapter.tool == "select"


def _touch(x: float, y: float) -> Touch:
    return Touch(x, y, 1.0)
