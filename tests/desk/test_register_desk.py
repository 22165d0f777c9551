"""Storeys in register, heights, north and front on the desk, by mouse and keys; one undo each."""

import math

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from circuitmap.desk.compass import Compass, show_way
from circuitmap.desk.fields import TextField
from circuitmap.desk.storey_words import read_height, read_shift
from circuitmap.desk.window import Window
from circuitmap.errors import PersonError
from circuitmap.home.records import Details, Fixture, Room, Storey
from tests.desk.building_home import SHIFT, ground_floor, two_storeys
from tests.desk.conftest import Opened
from tests.desk.driving import click, click_plan, press, settle, type_into

DX, DY = SHIFT


def upstairs(window: Window) -> None:
    window.adapter.set_storey("G2")
    settle()
    window.fit()
    settle()


def corner(window: Window, room: str) -> tuple[int, int]:
    return window.adapter.home.take(Room, room).outline_mm[0]


def says(window: Window) -> str:
    return window.draw_stage.lie.says


# -- register ---------------------------------------------------------------------------------------------------------


def test_two_common_points_lay_a_storey_over_the_one_below_in_one_undo(opened: Opened) -> None:
    window = opened(two_storeys())
    upstairs(window)
    before = window.adapter.home
    click(window, window.draw_stage.lie.lay_button)
    assert window.view.plan_scene.marks_of("below M1")
    assert "Click a spot" in says(window)
    click_plan(window, 1000 + DX, 350 + DY)
    click_plan(window, 1000, 350)
    assert "Set another one" in says(window)
    assert not window.draw_stage.lie.use_button.isEnabled()
    click_plan(window, 5460 + DX, 2900 + DY)
    click_plan(window, 5460, 2900)
    assert says(window) == "It moves 350 mm left and 240 mm down. The common points then fall on each other."
    assert window.view._ghost
    assert window.adapter.home == before
    click(window, window.draw_stage.lie.use_button)
    assert corner(window, "M4") == (0, 0)
    flights = [f.outline_mm for f in window.adapter.home.sorted(Fixture) if f.kind == "stair"]
    assert flights[0] == flights[1]
    assert window.adapter.tool == "select"
    assert not window.view._ghost
    window.adapter.undo()
    assert window.adapter.home == before


def test_points_that_do_not_fit_are_said_in_words_before_anything_is_done(opened: Opened) -> None:
    window = opened(two_storeys())
    upstairs(window)
    window.actions_["lay-over"].trigger()
    for here, below in (((DX, DY), (0, 0)), ((4000 + DX, DY), (4100, 0))):
        click_plan(window, *here)
        click_plan(window, *below)
    assert "lie up to 50 mm apart" in says(window)
    press(window.view, Qt.Key.Key_Backspace)
    assert "Set another one" in says(window)
    click_plan(window, 4000, 0)
    assert "fall on each other" in says(window)
    press(window.view, Qt.Key.Key_Return)
    assert corner(window, "M4") == (0, 0)


def test_spots_too_near_each_other_are_refused_in_words(opened: Opened) -> None:
    window = opened(two_storeys())
    upstairs(window)
    window.take_tool("lay over")
    before = window.adapter.home
    for _ in range(2):
        click_plan(window, DX, DY)
        click_plan(window, 0, 0)
    assert says(window) == (
        "The common points lie too close together; choose two that lie far apart, across the house."
    )
    press(window.view, Qt.Key.Key_Return)
    assert window.message == says(window)
    assert window.adapter.home == before


def test_a_typed_shift_does_the_same(opened: Opened) -> None:
    window = opened(two_storeys())
    upstairs(window)
    click(window, window.draw_stage.lie.lay_button)
    type_into(window, "lay-shift", "0.35 left, 0.24 down")
    assert corner(window, "M4") == (0, 0)
    assert "Laid over Ground." in window.message


def test_escape_and_not_now_leave_no_trace(opened: Opened) -> None:
    window = opened(two_storeys())
    upstairs(window)
    before = window.adapter.home
    window.take_tool("lay over")
    click_plan(window, DX, DY)
    press(window.view, Qt.Key.Key_Escape)
    assert window.adapter.tool == "lay over"
    press(window.view, Qt.Key.Key_Escape)
    assert window.adapter.tool == "select"
    assert not window.draw_stage.lie.card.isVisibleTo(window)
    click(window, window.draw_stage.lie.lay_button)
    click(window, window.draw_stage.lie.drop_button)
    assert window.adapter.tool == "select"
    assert not window.view.plan_scene.marks_of("below M1")
    assert window.adapter.home == before


def test_the_lowest_storey_has_nothing_to_be_laid_over(opened: Opened) -> None:
    window = opened(ground_floor().home)
    assert not window.draw_stage.lie.lay_button.isEnabled()
    assert not window.draw_stage.lie.below_button.isEnabled()
    assert not window.actions_["lay-over"].isEnabled()


def test_the_storey_below_shines_through_by_its_button_and_its_key(opened: Opened) -> None:
    window = opened(two_storeys())
    upstairs(window)
    click(window, window.draw_stage.lie.below_button)
    assert window.view.plan_scene.marks_of("below M1")
    assert window.view.plan_scene.marks_of("below F1")
    press(window.view, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    assert not window.view.plan_scene.marks_of("below M1")
    assert not window.draw_stage.lie.below_button.isChecked()


@pytest.mark.parametrize(
    ("typed", "shift"),
    [
        ("0.35, 0.1", (350, 100)),
        ("-0.35, 0.1", (-350, 100)),
        ("0.35 left, 0.1 up", (-350, -100)),
        ("0.1 up", (0, -100)),
        ("0.5 right", (500, 0)),
        ("350 mm left; 4 in down", (-350, 101.6)),
        ("0, 0.2", (0, 200)),
    ],
)
def test_shifts_are_read_as_they_are_said(typed: str, shift: tuple[float, float]) -> None:
    assert read_shift(typed) == pytest.approx(shift)


@pytest.mark.parametrize("typed", ["", "1, 2, 3", "sideways", "0.3 right,"])
def test_what_is_no_shift_is_refused(typed: str) -> None:
    with pytest.raises(PersonError):
        read_shift(typed)


# -- heights ----------------------------------------------------------------------------------------------------------


def enter(field: QLineEdit, text: str) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClick(field, Qt.Key.Key_Delete)
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle()


def test_heights_are_typed_and_what_nobody_typed_is_worked_out(opened: Opened) -> None:
    window = opened(two_storeys())
    lie = window.draw_stage.lie
    enter(lie.height_field, "2.5")
    assert window.adapter.home.take(Storey, "G1").height_mm == 2500
    upstairs(window)
    assert lie.floor_field.placeholderText() == "2.75 m, worked out"
    enter(lie.floor_field, "2.8 m")
    assert window.adapter.home.take(Storey, "G2").floor_mm == 2800
    enter(lie.floor_field, "")
    assert window.adapter.home.take(Storey, "G2").floor_mm is None
    window.adapter.undo()
    assert window.adapter.home.take(Storey, "G2").floor_mm == 2800


@pytest.mark.parametrize("typed", ["tall", "40 m", "1 mm"])
def test_a_height_that_is_none_is_refused_and_springs_back(opened: Opened, typed: str) -> None:
    window = opened(two_storeys())
    field = window.draw_stage.lie.height_field
    assert isinstance(field, TextField)
    enter(field, typed)
    assert window.message
    assert field.text() == ""
    assert window.adapter.home.take(Storey, "G1").height_mm is None


def test_heights_below_the_ground_have_a_minus() -> None:
    assert read_height("-2.4") == read_height("−2.4 m") == -2400
    assert read_height("0") == 0
    assert read_height(" ") is None


# -- north and front --------------------------------------------------------------------------------------------------


def details(window: Window) -> Details:
    return window.adapter.home.details


def drag(compass: Compass, a: QPointF, b: QPointF, modifiers: Qt.KeyboardModifier) -> None:
    QTest.mousePress(compass, Qt.MouseButton.LeftButton, modifiers, a.toPoint())
    for share in (0.5, 1.0):
        spot = a + (b - a) * share
        there = QPointF(compass.mapToGlobal(spot.toPoint()))
        QApplication.sendEvent(compass, QMouseEvent(QEvent.Type.MouseMove, spot, there, Qt.MouseButton.NoButton,
                                                    Qt.MouseButton.LeftButton, modifiers))  # fmt: skip
    QTest.mouseRelease(compass, Qt.MouseButton.LeftButton, modifiers, b.toPoint())
    settle()


def test_north_and_front_are_dragged_in_steps_of_5_degrees_one_undo_each(opened: Opened) -> None:
    window = opened(ground_floor().home)
    compass = window.draw_stage.lie.compass
    middle = QPointF(compass.rect().center())
    for hand, way in (("north", 303.0), ("front", 88.0)):
        to = middle + QPointF(math.cos(math.radians(way)), math.sin(math.radians(way))) * 34
        drag(compass, compass.knob("north" if hand == "north" else "front"), to, Qt.KeyboardModifier.NoModifier)
    assert details(window).north_deg == 305.0
    assert details(window).front_deg == 90.0
    window.adapter.undo()
    assert (details(window).north_deg, details(window).front_deg) == (305.0, None)


def test_the_compass_is_turned_by_keys_alone(opened: Opened) -> None:
    window = opened(ground_floor().home)
    window.actions_["north"].trigger()
    compass = window.draw_stage.lie.compass
    assert compass.hasFocus()
    QTest.keyClick(compass, Qt.Key.Key_Right)
    QTest.keyClick(compass, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert details(window).north_deg == 274.0
    assert "4° from up" in compass.accessibleDescription()
    assert window.draw_stage.lie.north.currentText() == "4° from up"
    QTest.keyClick(compass, Qt.Key.Key_Down)
    QTest.keyClick(compass, Qt.Key.Key_Right)
    assert details(window).front_deg == 95.0
    QTest.keyClick(compass, Qt.Key.Key_Delete)
    assert (details(window).north_deg, details(window).front_deg) == (274.0, None)


def test_ways_are_chosen_by_words_too(opened: Opened) -> None:
    window = opened(ground_floor().home)
    front = window.draw_stage.lie.front
    front.setFocus()
    for _ in range(5):
        QTest.keyClick(front, Qt.Key.Key_Down)
    QTest.keyClick(front, Qt.Key.Key_Return)
    settle()
    assert details(window).front_deg == 90.0
    assert show_way(details(window).front_deg) == "down the plan"
