"""One change reshapes rooms: what stands there goes along, walls follow, and undo brings all of it back."""

import pytest

from circuitmap import trade
from circuitmap.home import verbs
from circuitmap.home.records import Board, Fixture, Place, Point, Room, Wall
from circuitmap.plan.reshape import reshape_rooms
from circuitmap.plan.sides import move_side
from circuitmap.plan.sketch import room_by_size
from circuitmap.plan.walls_keep import lay_walls, stand_on_walls
from tests.build import Builder

TRADE = trade.load()


@pytest.fixture
def built() -> Builder:
    b = Builder()
    ground = b.storey()
    b.room("Left", ground, (0, 0, 3000, 3000))
    b.room("Right", ground, (3100, 0, 6000, 3000))
    b.point("socket", (ground, 3000, 1500))  # on the left room's side of the wall
    b.point("socket", (ground, 3100, 1500))  # on the right room's
    b.point("light", (ground, 1500, 1500))
    b.point("socket", (ground, 0, 1500))
    return b


def places(b: Builder) -> list[tuple[int, int]]:
    return [(p.place.x_mm, p.place.y_mm) for p in b.home.sorted(Point) if p.place is not None]


def test_what_stands_on_a_moved_wall_goes_along_and_the_rest_stays(built: Builder) -> None:
    rooms = built.home.sorted(Room)
    before = built.home
    change = reshape_rooms(built.home, move_side(rooms, "M1", 1, 400), TRADE)
    built.do(change)
    assert places(built) == [(3400, 1500), (3500, 1500), (1500, 1500), (0, 1500)]
    assert change.title == "Reshape room “Left”"
    assert built.home.apply(change.inverse()).sorted(Point) == before.sorted(Point)


def test_what_stands_in_a_room_that_is_moved_goes_along(built: Builder) -> None:
    board = built.board("A")
    storey = built.home.take(Room, "M1").storey
    assert storey is not None
    built.do(verbs.move(built.home, board, built.place(storey, 200, 200)))
    bath = room_by_size(1700, 700, (100, 2200))
    built.do(verbs.add_fixture(built.home, "bath", Place(storey=storey, x_mm=950, y_mm=2900), bath))
    built.do(reshape_rooms(built.home, {"M1": room_by_size(3000, 3000, (-1000, 500))}, TRADE, "Move room “Left”"))
    assert places(built) == [(2000, 2000), (3100, 1500), (500, 2000), (-1000, 2000)]
    moved = built.home.take(Board, board).place
    assert moved is not None
    assert (moved.x_mm, moved.y_mm) == (-800, 700)
    fixture = built.home.sorted(Fixture)[0]
    assert fixture.outline_mm == room_by_size(1700, 700, (-900, 2700))


def test_walls_laid_from_the_rooms_follow_and_carry_what_stands_on_them_once(built: Builder) -> None:
    storey = built.home.take(Room, "M1").storey
    assert storey is not None
    built.do(lay_walls(built.home, storey, TRADE))
    built.do(stand_on_walls(built.home, storey))
    inner = next(wall for wall in built.home.sorted(Wall) if set(wall.rooms) == {"M1", "M2"})
    built.do(verbs.edit(built.home, inner.id, build="brick"))
    built.do(reshape_rooms(built.home, move_side(built.home.sorted(Room), "M1", 1, 400), TRADE))
    after = built.home.take(Wall, inner.id)
    assert (after.a_mm[0], after.b_mm[0]) == (3450, 3450)
    assert after.build == "brick"
    assert after.thickness_mm == 100
    assert places(built) == [(3400, 1500), (3500, 1500), (1500, 1500), (0, 1500)]


def test_rooms_that_stay_as_they_are_make_no_change(built: Builder) -> None:
    room = built.home.take(Room, "M1")
    assert reshape_rooms(built.home, {"M1": room.outline_mm}, TRADE).pairs == ()
