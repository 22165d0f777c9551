"""One change reshapes rooms: what stands there goes along, walls follow, and undo brings all of it back."""

import pytest

from circuitmap import trade
from circuitmap.home import verbs
from circuitmap.home.records import Board, Fixture, Place, Point, Room, Run, Wall
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


def drawn(b: Builder, *path: tuple[int, int]) -> str:
    """A run from the socket on the left of the wall to the light, with a path drawn by hand."""
    run = b.run("P1", "P3")
    b.do(verbs.edit(b.home, run, path_mm=tuple(("G1", x, y, 300) for x, y in path)))
    return run


def path_of(b: Builder, run: str) -> list[tuple[int, int]]:
    return [(x, y) for _, x, y, _ in b.home.take(Run, run).path_mm]


def test_a_drawn_path_goes_along_with_a_room_that_is_moved_and_stays_where_it_is_outside(built: Builder) -> None:
    run = drawn(built, (3000, 1500), (3000, 2000), (1500, 2000), (1500, 1500))
    through = drawn(built, (5000, 2900), (3200, 2900), (2000, 2900))  # from the right room into the left
    before = built.home
    change = reshape_rooms(built.home, {"M1": room_by_size(3000, 3000, (-1000, 500))}, TRADE)
    built.do(change)
    assert path_of(built, run) == [(2000, 2000), (2000, 2500), (500, 2500), (500, 2000)]
    assert path_of(built, through) == [(5000, 2900), (3200, 2900), (1000, 3400)]
    assert [z for *_, z in built.home.take(Run, run).path_mm] == [300] * 4
    assert built.home.apply(change.inverse()).sorted(Run) == before.sorted(Run)


@pytest.mark.parametrize("has_walls", [False, True])
def test_a_drawn_path_goes_along_with_a_side_that_is_moved(built: Builder, has_walls: bool) -> None:
    if has_walls:
        built.do(lay_walls(built.home, "G1", TRADE))
        built.do(stand_on_walls(built.home, "G1"))
    run = drawn(built, (3000, 1500), (3000, 2000), (1500, 2000), (1500, 1500))
    built.do(reshape_rooms(built.home, move_side(built.home.sorted(Room), "M1", 1, 400), TRADE))
    # The socket and the spot above it are on the side; the light and what is above it stand in the room.
    assert places(built)[0] == (3400, 1500)
    assert path_of(built, run) == [(3400, 1500), (3400, 2000), (1500, 2000), (1500, 1500)]


def test_a_path_that_comes_to_what_stays_stays_there(built: Builder) -> None:
    # The right room's socket stands 100 mm off the left room: within reach of nothing that moves.
    run = drawn(built, (3000, 1500), (3100, 1500))
    built.do(reshape_rooms(built.home, {"M1": room_by_size(3000, 3000, (-1000, 0))}, TRADE))
    assert path_of(built, run) == [(2000, 1500), (3100, 1500)]
    above = built.storey("First", 1)
    upstairs = drawn(built, (3000, 1500))
    built.do(verbs.edit(built.home, upstairs, path_mm=((above, 1000, 1000, 300),)))
    built.do(reshape_rooms(built.home, {"M1": room_by_size(3000, 3000, (0, 0))}, TRADE))
    assert path_of(built, upstairs) == [(1000, 1000)]  # another storey's
