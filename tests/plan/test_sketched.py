"""Typed rooms as one change: named, laid one beside the other, and their areas said."""

import pytest

from circuitmap.errors import HomeError, QuantityError
from circuitmap.home import Home
from circuitmap.home.records import Room, Storey
from circuitmap.plan.sketch import read_sized, room_by_size
from circuitmap.plan.sketched import drawn_rooms, free_name, lay_room, say_areas, sketch_rooms
from tests.build import Builder


@pytest.fixture
def built() -> Builder:
    return Builder()


def outlines(b: Builder) -> dict[str, tuple[tuple[int, int], ...]]:
    return {room.name: room.outline_mm for room in b.home.sorted(Room)}


def test_the_first_room_brings_a_storey_and_the_next_goes_to_its_right(built: Builder) -> None:
    change = sketch_rooms(built.home, "", ["Hall 1 × 2", "3 × 2"], gap_mm=100)
    assert change.title == "Add 2 rooms"
    built.do(change)
    assert [storey.name for storey in built.home.sorted(Storey)] == ["Ground"]
    assert outlines(built) == {
        "Hall": room_by_size(1000, 2000),
        "Room 2": room_by_size(3000, 2000, (1100, 0)),
    }


def test_a_side_is_kept_for_every_line_that_names_none(built: Builder) -> None:
    built.do(sketch_rooms(built.home, "", ["A 1 × 1", "B 1 × 1", "C 1 × 1 left of A"], edge="below", gap_mm=100))
    assert [outline[0] for outline in outlines(built).values()] == [(0, 0), (0, 1100), (-1100, 0)]


def test_where_a_side_is_full_the_next_is_taken_unless_it_was_named(built: Builder) -> None:
    built.do(sketch_rooms(built.home, "", ["A 1 × 1", "B 1 × 1 right of A"], gap_mm=100))
    storey = built.home.sorted(Storey)[0].id
    room = built.home.sorted(Room)[0]
    laid = lay_room(built.home, storey, read_sized("C 1 × 1"), beside=room, gap_mm=100)
    assert laid.where == "below A"
    with pytest.raises(HomeError, match="no place left right of “A”"):
        lay_room(built.home, storey, read_sized("C 1 × 1 right of A"), gap_mm=100)


def test_one_line_that_is_no_room_refuses_all_of_them(built: Builder) -> None:
    with pytest.raises(QuantityError, match="bananas"):
        sketch_rooms(built.home, "", ["A 1 × 1", "B 1 × bananas"], gap_mm=100)
    with pytest.raises(HomeError, match="no size"):
        sketch_rooms(built.home, "", ["A"], gap_mm=100)
    with pytest.raises(HomeError, match="Type a room"):
        sketch_rooms(built.home, "", [], gap_mm=100)


def test_the_first_room_of_another_storey_begins_where_the_nearest_does(built: Builder) -> None:
    ground, first = built.storey("Ground", 0), built.storey("First", 1)
    built.room("Hall", ground, (2000, 1000, 4000, 3000))
    laid = lay_room(built.home, first, read_sized("Landing 1 × 2"), gap_mm=100)
    assert laid.outline[0] == (2000, 1000)


def test_areas_are_said_by_room_storey_and_home(built: Builder) -> None:
    ground, first = built.storey("Ground", 0), built.storey("First", 1)
    assert say_areas(built.home, ground) == ""
    hall = built.room("Hall", ground, (0, 0, 2000, 3000))
    built.room("Loft")
    assert say_areas(built.home, ground, built.home.take(Room, hall)) == "Hall 6.0 m², Ground 6.0 m²."
    built.room("Landing", first, (0, 0, 2000, 2000))
    built.room("Bath", first, (2100, 0, 4100, 3000))
    assert say_areas(built.home, first) == "First 10.0 m², all storeys 16.0 m²."
    assert [room.name for room in drawn_rooms(built.home, first)] == ["Landing", "Bath"]


def test_a_free_name_is_taken_by_nobody() -> None:
    b = Builder()
    b.room("Room 2")
    assert free_name(b.home) == "Room 3"
    assert free_name(Home.blank("x")) == "Room 1"
