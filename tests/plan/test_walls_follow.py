"""Walls that follow rooms are kept up by whatever change touches a room, and one undo takes both back."""

import pytest

from circuitmap import trade
from circuitmap.home import Change, verbs
from circuitmap.home.records import Wall
from circuitmap.plan.sketched import sketch_rooms
from circuitmap.plan.walls_follow import with_walls
from circuitmap.plan.walls_keep import lay_walls
from tests.build import Builder

TRADE = trade.load()


def pair() -> Builder:
    b = Builder()
    ground = b.storey()
    b.room("Left", ground, (0, 0, 4000, 3000))
    b.room("Right", ground, (4100, 0, 8000, 3000))
    return b


def laid() -> Builder:
    b = pair()
    b.do(lay_walls(b.home, "G1", TRADE))
    return b


def changes(b: Builder) -> dict[str, Change]:
    return {
        "added": verbs.add_room(b.home, "Back", ((0, 3100), (8000, 3100), (8000, 5000), (0, 5000)), "G1"),
        "sketched": sketch_rooms(b.home, "G1", ["Porch 1.5 × 1.2"], gap_mm=100),
        "reshaped": verbs.reshape_room(b.home, "M2", ((4100, 0), (9000, 0), (9000, 3000), (4100, 3000))),
        "removed": verbs.remove(b.home, "M2"),
    }


@pytest.mark.parametrize("name", ["added", "sketched", "reshaped", "removed"])
def test_walls_are_right_after_any_change_of_rooms_and_one_undo_takes_both_back(name: str) -> None:
    b = laid()
    change = with_walls(b.home, changes(b)[name], TRADE)
    after = b.home.apply(change)
    assert lay_walls(after, "G1", TRADE).pairs == ()
    assert dict(after.table(Wall)) != dict(b.home.table(Wall))
    assert change.title == changes(b)[name].title
    assert after.apply(change.inverse()) == b.home


def test_a_home_without_laid_walls_gets_none() -> None:
    b = pair()
    for change in changes(b).values():
        assert with_walls(b.home, change, TRADE) is change


def test_what_leaves_the_outlines_alone_is_left_alone() -> None:
    b = laid()
    for change in (verbs.edit(b.home, "M1", "", name="Snug"), verbs.add_room(b.home, "Shed"),
                   verbs.add_point(b.home, "socket", b.place("G1", 100, 0))):  # fmt: skip
        assert with_walls(b.home, change, TRADE) is change


def test_all_walls_taken_away_with_a_room_stay_away() -> None:
    b = laid()
    change = verbs.remove(b.home, "M2", *b.home.table(Wall))
    assert not b.home.apply(with_walls(b.home, change, TRADE)).table(Wall)
