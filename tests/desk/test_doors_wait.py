"""Doors seen while rooms were outlined come with the walls that are laid later, by a real click."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from circuitmap.home.records import Room, Wall
from circuitmap.plan.doors_kept import Gap
from circuitmap.plan.traced import take_traced
from tests.build import Builder
from tests.desk.building_home import TRADE
from tests.desk.conftest import Opened
from tests.desk.driving import click, drag_plan, settle
from tests.plan.test_traced import traced


def test_they_are_let_in_when_the_walls_are_laid_and_undo_gives_them_back_to_the_rooms(opened: Opened) -> None:
    b = Builder()
    ground = b.storey()
    door, window_ = Gap((4050, 1000), (4050, 1800)), Gap((1000, -150), (2200, -150), "window")
    rooms = [(traced(0, 0, 4000, 3000, gaps=(door, window_)), "Den"), (traced(4100, 0, 3000, 3000), "Hall")]
    b.do(take_traced(b.home, ground, rooms, TRADE))
    window = opened(b.home)
    adapter = window.adapter
    before = adapter.home
    click(window, window.draw_stage.building.walls_button)
    kinds = sorted(opening.kind for wall in adapter.home.table(Wall).values() for opening in wall.openings)
    assert kinds == ["door", "window"]
    assert "with 1 door and 1 window" in window.message
    assert all(room.seen == () for room in adapter.home.table(Room).values())
    QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert adapter.home == before


def test_a_door_goes_along_with_a_room_that_is_dragged_before_there_are_walls(opened: Opened) -> None:
    b = Builder()
    ground = b.storey()
    b.do(
        take_traced(b.home, ground, [(traced(0, 0, 4000, 3000, gaps=(Gap((4050, 1000), (4050, 1800)),)), "Den")], TRADE)
    )
    window = opened(b.home)
    adapter = window.adapter
    adapter.select("M1")
    settle()
    drag_plan(window, (1200, 2200), (1700, 2200))
    room = adapter.home.take(Room, "M1")
    by = room.outline_mm[0][0]
    assert by > 300
    assert (room.seen[0].a_mm, room.seen[0].b_mm) == ((4050 + by, 1000), (4050 + by, 1800))
