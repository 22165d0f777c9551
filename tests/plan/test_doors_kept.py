"""Doors seen while rooms are outlined wait with their rooms for walls, go where the rooms go, and are let in once."""

import numpy as np
import pytest

from circuitmap import trade
from circuitmap.home import Home, verbs
from circuitmap.home.records import Room, SeenOpening, Wall, decode, encode
from circuitmap.plan.doors_kept import Gap, with_seen
from circuitmap.plan.traced import take_traced
from circuitmap.plan.walls_follow import with_walls
from circuitmap.plan.walls_from_lines import find_walls, walls_change
from circuitmap.plan.walls_keep import lay_walls
from tests.build import Builder
from tests.plan.test_traced import traced

TRADE = trade.load()
# In the wall of 100 between a room to x = 4000 and one from x = 4100.
DOOR = Gap((4050, 1000), (4050, 1800))


@pytest.fixture
def two() -> tuple[Home, str]:
    """Two rooms outlined by a click each, a wall apart, both of which have seen the door between them."""
    b = Builder()
    ground = b.storey()
    one = traced(0, 0, 4000, 3000, gaps=(DOOR,))
    other = traced(4100, 0, 3000, 3000, gaps=(Gap((4051, 1001), (4051, 1801)),))
    b.do(take_traced(b.home, ground, [(one, "Kitchen"), (other, "Hall")], TRADE))
    return b.home, ground


def doors(home: Home) -> list[tuple[str, int, int]]:
    return [(o.kind, o.along_mm, o.width_mm) for wall in home.sorted(Wall) for o in wall.openings]


def test_rooms_keep_the_doors_while_there_are_no_walls(two: tuple[Home, str]) -> None:
    home, _ = two
    assert [room.seen for room in home.sorted(Room)] == [
        (SeenOpening(a_mm=(4050, 1000), b_mm=(4050, 1800)),), (SeenOpening(a_mm=(4051, 1001), b_mm=(4051, 1801)),),
    ]  # fmt: skip
    assert decode("room", encode(home.take(Room, "M1"))) == home.take(Room, "M1")


def test_they_are_let_in_once_when_walls_are_laid_and_the_rooms_let_go(two: tuple[Home, str]) -> None:
    home, ground = two
    change = lay_walls(home, ground, TRADE)
    laid = home.apply(change)
    (wall,) = [wall for wall in laid.sorted(Wall) if len(wall.rooms) == 2]
    (door,) = wall.openings
    assert (door.kind, door.width_mm) == ("door", 800)
    assert min(wall.a_mm[1], wall.b_mm[1]) + door.along_mm in (1000, 3000 - 1800)
    assert all(room.seen == () for room in laid.sorted(Room))
    assert lay_walls(laid, ground, TRADE).pairs == ()
    assert laid.apply(change.inverse()) == home


def test_a_door_that_was_closed_afterwards_does_not_come_back(two: tuple[Home, str]) -> None:
    home, ground = two
    home = home.apply(lay_walls(home, ground, TRADE))
    (wall,) = [wall for wall in home.sorted(Wall) if wall.openings]
    home = home.apply(verbs.remove_opening(home, wall.id, 0))
    grown = ((0, 0), (4000, 0), (4000, 3200), (0, 3200))
    home = home.apply(with_walls(home, verbs.reshape_room(home, "M1", grown), TRADE))
    assert doors(home) == []
    assert doors(home.apply(lay_walls(home, ground, TRADE))) == []


def test_where_walls_follow_already_a_door_goes_into_them_at_once() -> None:
    b = Builder()
    ground = b.storey()
    b.room("Kitchen", ground, (0, 0, 4000, 3000))
    b.do(lay_walls(b.home, ground, TRADE))
    b.do(take_traced(b.home, ground, [(traced(4100, 0, 3000, 3000, gaps=(DOOR,)), "Hall")], TRADE))
    assert doors(b.home) == [("door", 1000, 800)] or doors(b.home) == [("door", 1200, 800)]
    assert all(room.seen == () for room in b.home.sorted(Room))


def test_a_door_that_no_wall_is_near_goes_on_waiting(two: tuple[Home, str]) -> None:
    home, ground = two
    far = SeenOpening(a_mm=(1500, 1400), b_mm=(2300, 1400))
    home = home.apply(verbs.edit(home, "M1", "Note a door", seen=(far,)))
    home = home.apply(lay_walls(home, ground, TRADE))
    assert home.take(Room, "M1").seen == (far,)


@pytest.mark.parametrize(
    ("outline", "a", "b"),
    [
        # Shifted as it is.
        ([(500, 200), (4500, 200), (4500, 3200), (500, 3200)], (4550, 1200), (4550, 2000)),
        # The side with the door pushed out by 300: the door goes along, at the height that it has.
        ([(0, 0), (4300, 0), (4300, 3000), (0, 3000)], (4350, 1000), (4350, 1800)),
        # The side made longer at its far end: the door stays.
        ([(0, 0), (4000, 0), (4000, 3600), (0, 3600)], (4050, 1000), (4050, 1800)),
        # Turned by a quarter about the origin.
        ([(0, 0), (0, 4000), (-3000, 4000), (-3000, 0)], (-1000, 4050), (-1800, 4050)),
        # All drawn twice as large, as when the plan gets another scale.
        ([(0, 0), (8000, 0), (8000, 6000), (0, 6000)], (8100, 2000), (8100, 3600)),
        # Another number of corners: nobody knows which side is which.
        ([(0, 0), (4000, 0), (4000, 3000), (2000, 3000), (0, 3000)], (4050, 1000), (4050, 1800)),
    ],
)
def test_doors_go_where_their_room_goes(two: tuple[Home, str], outline: list[tuple[int, int]], a, b) -> None:
    home, _ = two
    change = with_seen(verbs.reshape_room(home, "M1", outline))
    assert home.apply(change).take(Room, "M1").seen == (SeenOpening(a_mm=a, b_mm=b),)


def test_a_change_that_moves_no_outline_is_given_back_as_it_is(two: tuple[Home, str]) -> None:
    home, _ = two
    change = verbs.edit(home, "M1", "Name it", name="Scullery")
    assert with_seen(change) is change


def test_walls_made_of_the_drawings_lines_take_the_doors_too(two: tuple[Home, str]) -> None:
    home, ground = two
    # The faces run through, as where a door's gap is not drawn.
    found = find_walls(np.array([(4000, 0, 4000, 3000), (4100, 0, 4100, 3000)], float))
    after = home.apply(walls_change(home, ground, found))
    (wall,) = after.sorted(Wall)
    assert [(o.kind, o.width_mm) for o in wall.openings] == [("door", 800)]
    assert all(room.seen == () for room in after.sorted(Room))
    drawn = find_walls(np.array([
        (4000, 0, 4000, 1000), (4000, 1800, 4000, 3000), (4100, 0, 4100, 1000), (4100, 1800, 4100, 3000),
    ], float))  # fmt: skip
    after = home.apply(walls_change(home, ground, drawn))
    assert doors(after) == [("door", 1000, 800)], "the gap that is drawn and the door that was seen are one"
    assert all(room.seen == () for room in after.sorted(Room))
