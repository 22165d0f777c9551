"""Walls on the desk: laid from rooms, kept up by themselves, said what they are, with doors let in by a click."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton

from circuitmap.desk.canvas.fitting import Fit
from circuitmap.desk.inspect_building import WallPage
from circuitmap.desk.inspect_points import PointPage
from circuitmap.desk.theme import TARGET_PX
from circuitmap.desk.window import Window
from circuitmap.home.records import Point, Room, Wall
from circuitmap.plan.walls_keep import lay_walls
from tests.desk.building_home import TRADE, ground_floor, two_storeys, walled
from tests.desk.conftest import Opened
from tests.desk.driving import click, click_plan, drag_plan, press, settle, type_into


def walls(window: Window) -> dict[str, Wall]:
    return dict(window.adapter.home.table(Wall))


def between(window: Window, *rooms: str) -> Wall:
    (found,) = [wall for wall in walls(window).values() if wall.rooms == rooms]
    return found


def page(window: Window) -> WallPage:
    found = window.inspector.page
    assert isinstance(found, WallPage)
    return found


def enter(window: Window, field: object, text: str) -> None:
    from circuitmap.desk.fields import TextField

    assert isinstance(field, TextField)
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle()


def test_a_button_lays_the_walls_and_one_undo_takes_them_away(opened: Opened) -> None:
    window = opened(ground_floor().home)
    before = window.adapter.home
    click(window, window.draw_stage.building.walls_button)
    assert len(walls(window)) > 6
    assert "follow the rooms" in window.message
    click(window, window.draw_stage.building.walls_button)
    assert "already" in window.message
    QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.adapter.home == before


def test_the_key_lays_them_too_and_command_search_finds_it(opened: Opened) -> None:
    window = opened(ground_floor().home)
    press(window.view, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    assert walls(window)
    assert window.actions_["walls-from-rooms"].isEnabled()


@pytest.mark.parametrize("how", ["typed size", "typed room", "removed"])
def test_walls_follow_whatever_is_done_to_rooms_and_one_undo_takes_both_back(opened: Opened, how: str) -> None:
    window = opened(walled())
    before = window.adapter.home
    if how == "typed size":
        window.adapter.select("M2")
        settle()
        field = getattr(window.inspector.page, "measures", None)
        enter(window, field, "2.5 × 3")
    elif how == "typed room":
        type_into(window, "sketch-room", "Porch 1.5 × 1.2 right of Hall")
    else:
        window.adapter.select("M2")
        window.view.setFocus()
        QTest.keyClick(window.view, Qt.Key.Key_Delete)
    after = window.adapter.home
    assert dict(after.table(Room)) != dict(before.table(Room))
    assert dict(after.table(Wall)) != dict(before.table(Wall))
    assert lay_walls(after, "G1", TRADE).pairs == ()
    window.adapter.undo()
    assert window.adapter.home == before


def test_a_clicked_wall_says_what_it_parts_and_takes_its_build_and_thickness(opened: Opened) -> None:
    window = opened(walled())
    wall = between(window, "M1", "M2")
    click_plan(window, 4050, 1500)
    assert window.adapter.selection == (wall.id,)
    assert "between Kitchen and Hall" in page(window).says.text()
    assert "follows its rooms" in page(window).says.text()
    page(window).built.setCurrentIndex(page(window).built.findData("stud"))
    page(window).built.activated.emit(page(window).built.currentIndex())
    enter(window, page(window).thickness, "75")
    wall = between(window, "M1", "M2")
    assert (wall.build, wall.thickness_mm, wall.thickness_from) == ("stud", 75, "measured")
    enter(window, page(window).thickness, "bananas")
    assert "bananas" in window.message
    enter(window, page(window).thickness, "4 m")
    assert window.message == "A wall is between 20 mm and 2 m thick; type how thick it is, like 100 mm."
    assert between(window, "M1", "M2") == wall


def test_a_door_is_let_in_by_a_click_with_the_typed_width_and_undone(opened: Opened) -> None:
    window = opened(walled())
    building = window.draw_stage.building
    type_into(window, "opening-width", "0.9")
    click(window, building.opening_button)
    assert window.adapter.tool == "opening"
    click_plan(window, 4050, 1500)
    wall = between(window, "M1", "M2")
    (door,) = wall.openings
    assert (door.kind, door.width_mm) == ("door", 900)
    assert abs(door.along_mm + 450 - 1500) < 80
    assert window.adapter.selection == (wall.id,)
    click_plan(window, 4050, 1600)
    assert "already at that place" in window.message
    click_plan(window, 2000, 1500)
    assert window.message == "There is no wall here; click on the wall that the door or window is in."
    window.adapter.undo()
    assert between(window, "M1", "M2").openings == ()


@pytest.mark.parametrize("typed", ["wide", "40 m", "-1"])
def test_a_width_that_is_none_is_said_at_the_click(opened: Opened, typed: str) -> None:
    window = opened(walled())
    type_into(window, "opening-width", typed)
    click(window, window.draw_stage.building.opening_button)
    before = window.adapter.home
    click_plan(window, 4050, 1500)
    assert window.message
    assert window.adapter.home == before


def test_without_walls_the_tool_says_what_to_do_first(opened: Opened) -> None:
    window = opened(ground_floor().home)
    window.actions_["let-in"].trigger()
    click_plan(window, 4050, 1500)
    assert window.message == "This storey has no walls yet; lay them from the rooms first, then click on one."


def test_a_door_is_dragged_along_nudged_typed_and_closed(opened: Opened) -> None:
    window = opened(walled())
    window.actions_["let-in"].trigger()
    click_plan(window, 4050, 800)
    window.adapter.set_tool("select")
    start = between(window, "M1", "M2").openings[0].along_mm
    drag_plan(window, (4050, 800), (4050, 1800))
    moved = between(window, "M1", "M2").openings[0].along_mm
    assert abs(abs(moved - start) - 1000) < 60
    press(window.view, Qt.Key.Key_Down)
    assert abs(between(window, "M1", "M2").openings[0].along_mm - moved) == 10
    (row,) = page(window).openings.rows
    enter(window, row.along_field, "0")
    assert between(window, "M1", "M2").openings[0].along_mm == 0
    enter(window, row.width_field, "4 m")
    assert "does not fit there" in window.message
    enter(window, row.width_field, "700 mm")
    assert between(window, "M1", "M2").openings[0].width_mm == 700
    click(window, row.close_button)
    assert between(window, "M1", "M2").openings == ()
    assert page(window).openings.rows == []


def test_the_heights_of_an_opening_are_typed_checked_and_emptied(opened: Opened) -> None:
    window = opened(walled())
    window.actions_["let-in"].trigger()
    click_plan(window, 4050, 800)
    window.adapter.set_tool("select")
    click_plan(window, 4050, 800)
    (row,) = page(window).openings.rows
    enter(window, row.sill_field, "0.9")
    enter(window, row.head_field, "2100")
    opening = between(window, "M1", "M2").openings[0]
    assert (opening.sill_mm, opening.head_mm) == (900, 2100)
    enter(window, row.head_field, "800 mm")
    assert "must lie over its sill" in window.message
    assert between(window, "M1", "M2").openings[0] == opening
    enter(window, row.sill_field, "0")
    assert between(window, "M1", "M2").openings[0].sill_mm == 0
    row.sill_field.setFocus()
    row.sill_field.selectAll()
    press(row.sill_field, Qt.Key.Key_Delete)
    press(row.sill_field, Qt.Key.Key_Return)
    assert between(window, "M1", "M2").openings[0].sill_mm is None
    for _ in range(4):
        window.adapter.undo()
    assert between(window, "M1", "M2").openings[0].head_mm is None


def test_delete_closes_the_chosen_opening_and_not_the_wall(opened: Opened) -> None:
    window = opened(walled())
    window.actions_["let-in"].trigger()
    click_plan(window, 4050, 1500)
    window.adapter.set_tool("select")
    click_plan(window, 4050, 1500)
    press(window.view, Qt.Key.Key_Delete)
    assert between(window, "M1", "M2").openings == ()
    press(window.view, Qt.Key.Key_Delete)
    assert not [wall for wall in walls(window).values() if wall.rooms == ("M1", "M2")]


def test_a_point_dropped_near_a_laid_wall_goes_onto_it(opened: Opened) -> None:
    window = opened(walled())
    window.draw_stage.choose_kind("socket")
    window.take_tool("point")
    click_plan(window, 3880, 1500)
    (point,) = window.adapter.home.table(Point).values()
    assert point.place is not None
    assert (point.place.x_mm, point.place.wall) == (4000, between(window, "M1", "M2").id)
    assert point.place.faces_deg == 180.0
    assert isinstance(window.inspector.page, PointPage)
    assert window.inspector.page.zone.text() == f"On wall {point.place.wall} between Kitchen and Hall."


def test_points_that_stand_there_are_told_their_wall_when_walls_are_laid(opened: Opened) -> None:
    b = ground_floor()
    b.point("socket", ("G1", 4000, 1500))
    window = opened(b.home)
    click(window, window.draw_stage.building.walls_button)
    (point,) = window.adapter.home.table(Point).values()
    assert point.place is not None
    assert point.place.wall == between(window, "M1", "M2").id


def test_what_there_is_to_hit_is_large_enough_and_has_a_name(opened: Opened) -> None:
    window = opened(two_storeys())
    window.adapter.set_storey("G2")
    settle()
    stage = window.draw_stage
    for card in (stage.building, stage.lie):
        for button in card.findChildren(QPushButton):
            if button.isVisibleTo(window):
                assert button.height() >= TARGET_PX, button.text()
                assert button.accessibleName() or button.text()
    for field in (stage.building.opening_width, stage.building.fixture_size, stage.lie.height_field, stage.lie.north,
                  stage.lie.front, stage.building.fixture_kind, stage.building.opening_kind):  # fmt: skip
        assert field.height() >= TARGET_PX
        assert field.accessibleName()


def test_a_read_only_home_gets_no_walls(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    window = opened(ground_floor().home)
    monkeypatch.setattr(type(window.adapter.document), "read_only", True)
    window.adapter.changed.emit(None)
    QApplication.processEvents()
    assert not window.draw_stage.building.walls_button.isEnabled()
    assert not window.actions_["let-in"].isEnabled()


def test_choosing_in_the_draw_stage_moves_what_is_in_walls(opened: Opened) -> None:
    assert isinstance(opened(walled()).view.gesture, Fit)
