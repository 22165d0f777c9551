"""Drawn paths that give when something is moved: straight pieces stay straight. Worked by hand on squared paper."""

import itertools
import random

from circuitmap.home import Home, verbs
from circuitmap.home.cable_paths import Path, alike, carried, end_moved, ends_follow, is_level, is_upright, whole_mm
from circuitmap.home.records import Board, Device, End, Place, Plate, Point, Run, Storey

# From a socket up to the ceiling, along it, down to another socket.
HOOP: Path = (("G1", 500, 0, 450), ("G1", 500, 0, 2325), ("G1", 3000, 0, 2325), ("G1", 3000, 0, 450))


def place(x: int, y: int, z: int | None, faces: float = 90.0) -> Place:
    return Place(storey="G1", x_mm=x, y_mm=y, height_mm=z, faces_deg=faces)


def joined(path: Path = HOOP) -> Home:
    return Home.of(
        [
            Storey(id="G1", name="Ground"),
            Point(id="P1", kind="socket", place=place(500, 0, 450)),
            Point(id="P2", kind="socket", place=place(3000, 0, 450)),
            Run(id="R1", a=End(at="P1"), b=End(at="P2"), path_mm=whole_mm(path)),
        ]
    )  # fmt: skip


def test_an_end_that_goes_sideways_takes_its_drop_with_it() -> None:
    assert end_moved(HOOP, ("G1", 800, 0, 450)) == (("G1", 800, 0, 450), ("G1", 800, 0, 2325), *HOOP[2:])


def test_an_end_that_goes_up_only_shortens_its_drop() -> None:
    assert end_moved(HOOP, ("G1", 500, 0, 1100)) == (("G1", 500, 0, 1100), *HOOP[1:])


def test_a_level_end_that_goes_up_takes_its_level_with_it() -> None:
    path: Path = (("G1", 500, 0, 450), ("G1", 3000, 0, 450), ("G1", 3000, 0, 2325))
    assert end_moved(path, ("G1", 700, 0, 900)) == (("G1", 700, 0, 900), ("G1", 3000, 0, 900), ("G1", 3000, 0, 2325))


def test_a_straight_cable_between_two_gets_a_step_where_the_other_end_stays() -> None:
    path: Path = (("G1", 500, 0, 450), ("G1", 3000, 0, 450))
    assert end_moved(path, ("G1", 500, 0, 1100)) == (("G1", 500, 0, 1100), ("G1", 3000, 0, 1100), ("G1", 3000, 0, 450))


def test_an_end_on_another_storey_is_joined_by_what_was_there() -> None:
    assert end_moved(HOOP, ("G2", 100, 0, 450)) == (("G2", 100, 0, 450), *HOOP[1:])


def test_what_is_carried_in_the_way_of_its_neighbours_stretches_them() -> None:
    down = carried(HOOP, 1, 2, (0.0, 0.0, -1225.0))
    assert down == (HOOP[0], ("G1", 500, 0, 1100), ("G1", 3000, 0, 1100), HOOP[3])


def test_what_is_carried_across_its_neighbours_leaves_a_step() -> None:
    """The upright in the corner goes along one wall; what runs on along the other wall stays where it was."""
    path: Path = (("G1", 0, 900, 450), ("G1", 0, 0, 450), ("G1", 0, 0, 2325), ("G1", 900, 0, 2325), ("G1", 900, 0, 450))
    low, high = alike(path, 1, 2, is_upright)
    moved = carried(path, low, high, (300.0, 0.0, 0.0))
    assert moved == (path[0], ("G1", 0, 0, 450), ("G1", 300, 0, 450), ("G1", 300, 0, 2325), *path[3:])


def test_straight_paths_stay_straight_whatever_is_carried() -> None:
    chance = random.Random(7)
    for _ in range(300):
        spots = [("G1", 0.0, 0.0, 1000.0)]
        for n in range(chance.randrange(2, 8)):
            _, x, y, z = spots[-1]
            by = chance.choice((-600, -250, 300, 750))
            spots.append(("G1", x + by, y, z) if n % 2 else ("G1", x, y, z + by))
        n = chance.randrange(len(spots) - 1)
        upright = is_upright(spots[n], spots[n + 1])
        low, high = alike(spots, n, n + 1, is_upright if upright else is_level)
        step = chance.choice((-90.0, 40.0, 300.0))
        moved = carried(spots, low, high, (step, 0.0, 0.0) if upright else (0.0, 0.0, step))
        assert moved[0] == spots[0]
        assert moved[-1] == spots[-1]
        assert all(is_upright(a, b) or is_level(a, b) for a, b in itertools.pairwise(moved))


def test_moving_a_point_moves_the_end_of_its_drawn_path_in_one_change() -> None:
    home = joined()
    change = verbs.move(home, "P2", place(2600, 0, 450))
    after = home.apply(change)
    assert after.take(Run, "R1").path_mm == (*HOOP[:2], ("G1", 2600, 0, 2325), ("G1", 2600, 0, 450))
    back = after.apply(change.inverse())
    assert back.take(Run, "R1").path_mm == HOOP
    assert back.take(Point, "P2").place == place(3000, 0, 450)


def test_a_path_that_does_not_come_to_the_point_stays() -> None:
    home = joined((*HOOP[:3], ("G1", 3000, 0, 1200)))
    assert ends_follow(home, "P2", place(2600, 0, 450)) == ()


def test_a_height_that_was_not_known_keeps_that_of_the_path() -> None:
    home = joined()
    home = home.apply(verbs.edit(home, "P2", place=place(3000, 0, None)))
    after = home.apply(verbs.move(home, "P2", place(2600, 0, None)))
    assert after.take(Run, "R1").path_mm[-1] == ("G1", 2600, 0, 450)


def test_a_plate_and_a_board_take_their_cables_along() -> None:
    base = [each for each in joined().all() if each.id not in ("P1", "P2", "R1")]
    home = Home.of(
        [
            *base,
            Plate(id="T1", place=place(500, 0, 450)),
            Point(id="P1", kind="switch", plate="T1"),
            Board(id="B1", letter_on_map="A", place=place(3000, 0, 450)),
            Device(id="D1", board="B1", kind="MCB", way="1"),
            Run(id="R1", a=End(at="P1"), b=End(at="D1"), path_mm=whole_mm(HOOP)),
        ]
    )
    after = home.apply(verbs.move(home, "P1", place(600, 0, 450)))
    assert after.take(Run, "R1").path_mm[:2] == (("G1", 600, 0, 450), ("G1", 600, 0, 2325))
    after = after.apply(verbs.move(after, "B1", place(2900, 0, 450)))
    assert after.take(Run, "R1").path_mm[2:] == (("G1", 2900, 0, 2325), ("G1", 2900, 0, 450))
