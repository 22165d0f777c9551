"""Cables drawn by hand on a wall: stretches and bends there, how they move, what is said of them."""

import itertools
import math

import pytest

from circuitmap.errors import HomeError
from circuitmap.extension.by_hand import (
    bends_on,
    drop_bend,
    is_flat,
    judged,
    lay_by_hand,
    let_in_bend,
    move_bend,
    move_stretch,
    path_length_mm,
    snapped,
    stretches_on,
    worth_on_walls,
)
from circuitmap.extension.pathing import route
from circuitmap.extension.space import space_of
from circuitmap.home import Home
from circuitmap.home.cable_paths import Path
from circuitmap.home.records import End, Place, Point, Room, Run
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, faces_on
from tests.extension.routed import TRADE, costs, one_room, sides, spot

# On the upper wall of a room of 4 × 3 m: up from a socket, along under the ceiling, down to another one.
HOOP: Path = (("G1", 500, 0, 450), ("G1", 500, 0, 2325), ("G1", 3000, 0, 2325), ("G1", 3000, 0, 450))
# Round the corner to the right, and down the wall there.
ROUND: Path = (*HOOP[:2], ("G1", 4000, 0, 2325), ("G1", 4000, 1000, 2325), ("G1", 4000, 1000, 450))


def socket(number: int, x: int, y: int, faces: float = 90.0) -> Point:
    place = Place(storey="G1", x_mm=x, y_mm=y, height_mm=450, faces_deg=faces)
    return Point(id=f"P{number}", kind="socket", place=place, gangs=2)


def home(path: Path = HOOP, **facts: object) -> Home:
    run = Run(id="R1", a=End(at="P1"), b=End(at="P2"), path_mm=path, **facts)  # type: ignore[arg-type]  # shorthand
    return one_room("brick", 1, socket(1, 500, 0), socket(2, 3000, 0), socket(3, 4000, 1000, 180.0), run)


def face(number: int = 0) -> Face:
    return faces_on(home(), Memo(), TRADE, "G1")[number]


def test_stretches_lie_on_their_own_wall_with_u_and_v_as_measured() -> None:
    upper, right = face(0), face(1)
    assert [each[1:] for each in stretches_on(upper, ROUND)] == [
        ((500, 450), (500, 2325)), ((500, 2325), (4000, 2325)),
    ]  # fmt: skip
    assert [each[1:] for each in stretches_on(right, ROUND)] == [
        ((0, 2325), (1000, 2325)), ((1000, 2325), (1000, 450)),
    ]  # fmt: skip
    assert [each.number for each in bends_on(upper, ROUND)] == [1]
    assert [each.number for each in bends_on(right, ROUND)] == [3]


def test_a_good_cable_strays_nowhere_and_a_bend_pulled_down_slants() -> None:
    """The bend at (500, 2325) goes to (800, 1500): √(300² + 1050²) = 1092 mm up and √(2200² + 825²) = 2350 mm along.

    Of both a little lies in the strips where a slant may be: the 150 mm under the ceiling is 0.6 of the second one's
    end; worked by hand: 150 − 75 = 75 of its 825 mm rise, so 75/825 of 2350 mm = 214 mm don't stray.
    """
    fine = judged(home(), Memo(), TRADE, HOOP)
    assert fine.strays == ()
    assert fine.length_mm == 1875 + 2500 + 1875
    assert "all of it where a cable may be hidden" in fine.says()
    bent = move_bend(face(), HOOP, 1, 800, 1500)
    found = judged(home(), Memo(), TRADE, bent)
    assert [each.why.split(":")[0] for each in found.strays] == ["slants"]
    assert found.stray_mm == pytest.approx(math.hypot(300, 1050) + math.hypot(2200, 825) * 750 / 825, abs=3)
    assert found.says().startswith("5.32 m of cable; 3.23 m strays: it slants")


def test_a_level_stretch_goes_up_and_down_and_stays_level() -> None:
    moved = move_stretch(face(), HOOP, 1, 1700, 450)
    assert moved == (HOOP[0], HOOP[3])  # at the height of the sockets it runs straight from one to the other
    moved = move_stretch(face(), HOOP, 1, 1700, 1400)
    assert moved == (HOOP[0], ("G1", 500, 0, 1400), ("G1", 3000, 0, 1400), HOOP[3])
    assert judged(home(), Memo(), TRADE, moved).strays[0].mm == pytest.approx(2500 - 2 * 73, abs=2)  # less both plates


def test_an_upright_stretch_goes_sideways_and_leaves_a_step_to_what_it_is_joined_to() -> None:
    moved = move_stretch(face(), HOOP, 0, 700, 1000)
    assert moved == (HOOP[0], ("G1", 700, 0, 450), ("G1", 700, 0, 2325), *HOOP[2:])


def test_a_level_that_goes_round_a_corner_goes_round_it_at_any_height() -> None:
    moved = move_stretch(face(1), ROUND, 2, 500, 2300)
    assert [spot[3] for spot in moved] == [450, 2300, 2300, 2300, 450]
    assert judged(home(), Memo(), TRADE, moved).strays == ()


def test_a_bend_is_let_in_where_the_stretch_is_and_taken_out_again() -> None:
    path, number = let_in_bend(face(), HOOP, 1, 1800, 2000)
    assert path[number] == ("G1", 1800, 0, 2325)
    assert path_length_mm(home(), TRADE, path) == path_length_mm(home(), TRADE, HOOP)
    assert drop_bend(path, number) == HOOP


def test_every_stretch_and_bend_of_routes_through_two_storeys_can_be_moved_and_keeps_its_ends() -> None:
    built = one_room("brick", 2)
    below, above = (sides(built.take(Room, room)) for room in ("M1", "M2"))
    space = space_of(built, Memo(), TRADE, costs())
    found = route(space, spot(below[0], 800, 450), spot(above[1], 1200, 1100), alternatives=3)
    faces = [each for storey in ("G1", "G2") for each in faces_on(built, Memo(), TRADE, storey)]
    moved = 0
    for each in found:
        path: Path = tuple(spot_[:4] for spot_ in each.path)
        for one in faces:
            for number, (u_a, v_a), (u_b, v_b) in stretches_on(one, path):
                after = move_stretch(one, path, number, (u_a + u_b) / 2 + 130, (v_a + v_b) / 2 - 130)
                assert (after[0], after[-1]) == (path[0], path[-1])
                assert all(
                    a[0] != b[0] or sum(abs(p - q) > 1 for p, q in zip(a[1:], b[1:], strict=True)) <= 2
                    for a, b in itertools.pairwise(after)
                )
                moved += 1
    assert moved > 6


def test_spots_snap_to_lines_in_reach_and_else_to_whole_centimetres() -> None:
    assert snapped((503, 1107), (500, 800), (1100,), 12) == (500, 1100)
    assert snapped((523, 1117), (500, 800), (1100,), 12) == (520, 1120)


def test_the_path_of_a_run_is_laid_and_a_length_that_came_from_it_follows() -> None:
    before = home(length_mm=6250, length_from="path")
    moved = move_stretch(face(), HOOP, 1, 1700, 2300)
    after = before.apply(lay_by_hand(before, TRADE, "R1", moved))
    assert after.take(Run, "R1").path_mm[1] == ("G1", 500, 0, 2300)
    assert after.take(Run, "R1").length_mm == 1850 + 2500 + 1850
    measured = home(length_mm=7000, length_from="measured")
    after = measured.apply(lay_by_hand(measured, TRADE, "R1", moved))
    assert after.take(Run, "R1").length_mm == 7000


def test_what_is_no_path_is_refused_in_a_sentence() -> None:
    with pytest.raises(HomeError, match="two spots at least"):
        lay_by_hand(home(), TRADE, "R1", HOOP[:1])
    with pytest.raises(HomeError, match="was taken out"):
        lay_by_hand(home(phase="removed"), TRADE, "R1", HOOP)


def test_a_path_on_the_plan_only_has_no_height() -> None:
    assert is_flat((("G1", 0, 0, 0), ("G1", 900, 0, 0)))
    assert not is_flat(HOOP)


def test_joists_that_may_not_be_drilled_are_told_beside_what_is_assumed_of_the_floor() -> None:
    """Joists the short way of a room of 4 × 3 m lie at every 400 mm along it and span 3 m; holes may be in their
    neutral axis between 0.25 and 0.4 of the span: guidance of the building regulations as quoted, from memory."""
    built = one_room("brick", 2, socket(1, 500, 0), socket(2, 3000, 0))
    over = 2400 + 125
    crossing: Path = (("G1", 500, 300, over), ("G1", 3000, 300, over))
    found = judged(built, Memo(), TRADE, crossing)
    assert found.joists
    assert "crosses" in found.says()
    assert any("joists" in says for says in found.assumes)
    inside: Path = (("G1", 500, 1000, over), ("G1", 3000, 1000, over))
    assert judged(built, Memo(), TRADE, inside).joists == ()


def test_more_metres_in_brick_are_worth_more_by_what_a_metre_takes() -> None:
    """One metre more, up and down: the difference is that of the rates, told twice by hand."""
    faces = faces_on(home(), Memo(), TRADE, "G1")
    longer: Path = (
        HOOP[0],
        ("G1", 500, 0, 2325),
        ("G1", 3500, 0, 2325),
        ("G1", 3500, 0, 950),
        ("G1", 3000, 0, 950),
        HOOP[3],
    )
    by = costs()
    rate = by.rate("chase", "brick")
    metre = rate.pence + rate.minutes * by.pence_per_minute + by.cable_pence_per_m
    bend = by.rate("bend", "")
    more = worth_on_walls(by, faces, longer) - worth_on_walls(by, faces, HOOP)
    assert more == pytest.approx(metre * 1.0 + 2 * (bend.pence + bend.minutes * by.pence_per_minute))
