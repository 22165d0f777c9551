"""Walls that follow rooms are kept up by whatever change touches a room, and one undo takes both back."""

from pathlib import Path

import pytest

from circuitmap import trade
from circuitmap.home import Change, Home, verbs
from circuitmap.home.exchange import read_folder, write_folder
from circuitmap.home.records import Room, Storey, Wall
from circuitmap.plan.register import storey_in_register
from circuitmap.plan.reshape import reshape_rooms
from circuitmap.plan.sides import move_side
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


def between(home: Home, *rooms: str) -> list[Wall]:
    return [wall for wall in home.sorted(Wall) if set(wall.rooms) == set(rooms)]


def taken(b: Builder, *rooms: str) -> Wall:
    """Take the wall between some rooms away as a person does; give what it was."""
    (wall,) = between(b.home, *rooms)
    b.do(with_walls(b.home, verbs.remove(b.home, wall.id), TRADE))
    assert not between(b.home, *rooms)
    return wall


EDITS = {
    "a side pushed": lambda home: verbs.reshape_room(home, "M2", ((4100, 0), (9000, 0), (9000, 3000), (4100, 3000))),
    "the side itself": lambda home: verbs.reshape_room(home, "M1", ((0, 0), (3900, 0), (3900, 3000), (0, 3000))),
    "reshaped": lambda home: reshape_rooms(home, move_side(home.sorted(Room), "M1", 1, 400), TRADE),
    "another room": lambda home: verbs.add_room(home, "Back", ((0, 3100), (8000, 3100), (8000, 5000), (0, 5000)), "G1"),
    "both moved": lambda home: reshape_rooms(home, {
        room.id: tuple((x + 7000, y + 2500) for x, y in room.outline_mm) for room in home.sorted(Room)}, TRADE),
}  # fmt: skip


@pytest.mark.parametrize("name", EDITS)
def test_a_wall_that_a_person_took_away_stays_away_whatever_becomes_of_the_rooms(name: str) -> None:
    b = laid()
    count = len(b.home.table(Wall))
    taken(b, "M1", "M2")
    before = b.home
    change = with_walls(b.home, EDITS[name](b.home), TRADE)
    b.do(change)
    assert not between(b.home, "M1", "M2")
    assert len(b.home.table(Wall)) >= count - 1
    assert b.home.apply(change.inverse()) == before
    # And with the next edit, and the one after that.
    for push in (300, 200):
        b.do(with_walls(b.home, reshape_rooms(b.home, move_side(b.home.sorted(Room), "M2", 2, push), TRADE), TRADE))
        assert not between(b.home, "M1", "M2")


def test_an_outer_wall_taken_away_stays_away_when_its_room_is_moved_far() -> None:
    b = Builder()
    ground = b.storey()
    b.room("Car port", ground, (0, 0, 4000, 3000))
    b.do(lay_walls(b.home, ground, TRADE))
    front = next(wall for wall in b.home.sorted(Wall) if wall.a_mm[1] == wall.b_mm[1] > 2000)
    b.do(with_walls(b.home, verbs.remove(b.home, front.id), TRADE))
    assert len(b.home.table(Wall)) == 3
    moved = tuple((x - 2500, y - 2800) for x, y in b.home.take(Room, "M1").outline_mm)
    b.do(with_walls(b.home, reshape_rooms(b.home, {"M1": moved}, TRADE), TRADE))
    assert len(b.home.table(Wall)) == 3
    level = [wall.a_mm[1] for wall in b.home.sorted(Wall) if wall.a_mm[1] == wall.b_mm[1]]
    assert len(level) == 1
    assert level[0] < -2800  # the one at the back; the front's line is at some 200 down


def test_taking_a_wall_away_is_one_undo_and_laying_walls_anew_brings_it_back() -> None:
    b = laid()
    before = b.home
    (wall,) = between(b.home, "M1", "M2")
    change = with_walls(b.home, verbs.remove(b.home, wall.id), TRADE)
    b.do(change)
    assert b.home.take(Storey, "G1").no_walls
    assert b.home.apply(change.inverse()) == before
    b.do(lay_walls(b.home, "G1", TRADE))
    assert between(b.home, "M1", "M2")
    assert not b.home.take(Storey, "G1").no_walls


def test_when_all_walls_are_taken_away_nothing_is_noted_and_nothing_follows() -> None:
    b = laid()
    taken(b, "M1", "M2")
    b.do(with_walls(b.home, verbs.remove(b.home, *b.home.table(Wall)), TRADE))
    assert not b.home.take(Storey, "G1").no_walls
    change = changes(b)["reshaped"]
    assert with_walls(b.home, change, TRADE) is change


def test_a_line_goes_with_its_rooms_and_the_storey() -> None:
    b = laid()
    taken(b, "M1", "M2")
    (line,) = b.home.take(Storey, "G1").no_walls
    pairs = [((0.0, 0.0), (1000.0, 0.0)), ((8000.0, 0.0), (9000.0, 0.0))]
    change, _ = storey_in_register(b.home, "G1", pairs)
    (moved,) = b.home.apply(change).take(Storey, "G1").no_walls
    assert (moved.a_mm[0] - line.a_mm[0], moved.b_mm[0] - line.b_mm[0]) == (1000, 1000)
    b.do(with_walls(b.home, verbs.remove(b.home, "M1", "M2"), TRADE))
    assert not b.home.take(Storey, "G1").no_walls


def test_a_home_keeps_its_lines_in_the_text_form(tmp_path: Path) -> None:
    b = laid()
    write_folder(tmp_path / "before", b.home)
    assert b"no_walls" not in (tmp_path / "before" / "home.json").read_bytes()
    taken(b, "M1", "M2")
    write_folder(tmp_path / "after", b.home)
    assert read_folder(tmp_path / "after").home == b.home
