"""Storeys in register: by hand, and against a least-squares solver."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from circuitmap import trade
from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.records import Fixture, Opening, Place, Plate, Point, Room, Run, Sheet, Wall
from circuitmap.plan import to_plan
from circuitmap.plan.rectify import laid_flat
from circuitmap.plan.register import fit, levels, move_storey, sheet_in_register, stairs_between, storey_in_register
from tests.build import Builder

HASH = "0" * 64
SPOT = st.tuples(st.floats(-20_000, 20_000), st.floats(-20_000, 20_000))


def test_two_points_shift_turn_and_size_by_hand() -> None:
    # (0, 0) → (1000, 1000) and (4000, 0) → (1000, 3000): a quarter turn, half as large.
    found = fit([((0, 0), (1000, 1000)), ((4000, 0), (1000, 3000))])
    assert found.times == pytest.approx(0.5)
    assert found.turn_deg == pytest.approx(90)
    assert to_plan(found.transform, 4000, 2000) == pytest.approx((0, 3000))
    assert found.worst == pytest.approx(0, abs=1e-9)
    assert found.says == "It becomes 50 % smaller."


@given(st.lists(st.tuples(SPOT, SPOT), min_size=2, max_size=6))
def test_many_points_are_fitted_as_a_solver_of_least_squares_does(common) -> None:
    here, there = np.array([a for a, _ in common]), np.array([b for _, b in common])
    for spots in (here, there):
        assume(max(np.hypot(*(spots - spot).T).max() for spot in spots) > 600)
    rows = np.zeros((2 * len(common), 4))
    rows[0::2] = np.column_stack([here[:, 0], -here[:, 1], np.ones(len(here)), np.zeros(len(here))])
    rows[1::2] = np.column_stack([here[:, 1], here[:, 0], np.zeros(len(here)), np.ones(len(here))])
    (p, q, tx, ty), *_ = np.linalg.lstsq(rows, there.ravel(), rcond=None)
    assume(math.hypot(p, q) > 1e-6)
    found = fit(common)
    assert found.transform == pytest.approx((p, -q, tx, q, p, ty, 0, 0, 1), rel=1e-6, abs=1e-4)
    left = rows @ (p, q, tx, ty) - there.ravel()
    assert found.rms == pytest.approx(math.sqrt((left**2).sum() / len(common)), rel=1e-5, abs=1e-4)


def test_a_third_point_that_was_set_on_something_else_is_named() -> None:
    true = [((0, 0), (500, 0)), ((8000, 0), (8500, 0)), ((8000, 6000), (8500, 6000)), ((0, 6000), (500, 6000))]
    assert fit(true).says == ""
    wrong = [*true[:2], ((8000, 6000), (8500, 6400)), true[3]]
    found = fit(wrong, keep_size=True, turn="none")
    assert found.worst_at == 2
    # The mean goes down by 100 mm: the wrong one is left 300 mm off, the others 100 mm.
    assert found.worst == pytest.approx(300)
    assert found.says == "Common point 3 of 4 lies 300 mm off: check it."


def test_sizes_that_are_kept_leave_the_difference_between_two_points() -> None:
    found = fit([((0, 0), (0, 0)), ((4000, 0), (4200, 0))], keep_size=True)
    assert found.times == 1
    assert found.worst == pytest.approx(100)
    assert found.says == "The two points lie 100 mm off each: the sizes of the two plans disagree."


def test_walls_stay_along_the_plan_when_only_quarter_turns_are_allowed() -> None:
    found = fit([((0, 0), (100, 50)), ((6000, 0), (190, 6060))], keep_size=True, turn="quarter")
    assert found.turn_deg == pytest.approx(90)
    assert fit([((0, 0), (100, 50)), ((6000, 0), (6100, 120))], turn="none").turn_deg == pytest.approx(0)


@pytest.mark.parametrize(
    ("common", "says"),
    [
        ([((0, 0), (0, 0))], "Two common points"),
        ([((0, 0), (0, 0)), ((100, 0), (5000, 0))], "too close"),
        ([((0, 0), (0, 0)), ((5000, 0), (100, 0))], "too close"),
        ([((0, 0), (0, 0)), ((math.nan, 0), (100, 0))], "nowhere"),
    ],
)
def test_points_that_can_tell_nothing_are_refused(common, says: str) -> None:
    with pytest.raises(HomeError, match=says):
        fit(common)


def test_points_that_swap_places_are_refused_where_no_turn_is_allowed() -> None:
    with pytest.raises(HomeError, match="other way"):
        fit([((0, 0), (5000, 0)), ((5000, 0), (0, 0))], turn="none")


class TestSheet:
    def sheet(self, transform) -> tuple[Builder, str]:
        b = Builder()
        b.storey()
        up = b.storey("First", 1)
        sheet = b.do(verbs.add_sheet(b.home, up, HASH, "image/png", 1000, 800))
        if transform is not None:
            b.do(verbs.set_scale(b.home, sheet, transform))
        return b, sheet

    def test_one_without_a_scale_gets_it_from_the_points(self) -> None:
        b, sheet = self.sheet(None)
        change, found = sheet_in_register(b.home, sheet, [((100, 100), (0, 0)), ((500, 100), (4000, 0))])
        after = b.home.apply(change).take(Sheet, sheet)
        assert to_plan(after.px_to_plan_mm, 100, 200) == pytest.approx((0, 1000))
        assert found.says == ""
        with pytest.raises(HomeError, match="no scale to keep"):
            sheet_in_register(b.home, sheet, [((100, 100), (0, 0)), ((500, 100), (4000, 0))], keep_size=True)

    def test_a_straightened_one_keeps_its_straightening(self) -> None:
        flat = laid_flat(((158, 64), (494, 69), (470, 404), (190, 404)), 4000, 3000)
        b, sheet = self.sheet(flat)
        change, _ = sheet_in_register(
            b.home, sheet, [((158, 64), (1000, 1000)), ((494, 69), (1000, 5000))], keep_size=True
        )
        after = b.home.apply(change).take(Sheet, sheet).px_to_plan_mm
        assert to_plan(after, 158, 64) == pytest.approx((1000, 1000))
        assert to_plan(after, 190, 404) == pytest.approx((-2000, 1000))

    def test_one_undo_takes_it_back(self) -> None:
        b, sheet = self.sheet(None)
        change, _ = sheet_in_register(b.home, sheet, [((100, 100), (0, 0)), ((500, 100), (4000, 0))])
        assert b.home.apply(change).apply(change.inverse()) == b.home


def furnished() -> Builder:
    b = Builder()
    ground, up = b.storey(), b.storey("First", 1)
    b.room("Hall", ground, (0, 0, 2000, 5000))
    b.room("Landing", up, (0, 0, 2000, 4000))
    b.room("Named only", up)
    b.do(verbs.add_wall(b.home, up, (0, 0), (2000, 0), 100))
    b.do(verbs.edit(b.home, "W1", openings=(Opening(kind="door", along_mm=500, width_mm=800),)))
    stair = Place(storey=up, x_mm=500, y_mm=500, faces_deg=350.0)
    b.do(verbs.add_fixture(b.home, "stair", stair, ((0, 0), (900, 0), (900, 2600), (0, 2600))))
    one, other = b.point(at=(up, 100, 200)), b.point(at=(ground, 100, 200))
    pair = [b.point(at=(up, 700, 0)), b.point()]
    b.do(verbs.share_plate(b.home, pair))
    run = b.run(one, other)
    b.do(verbs.edit(b.home, run, path_mm=((up, 100, 200, 0), (ground, 100, 200, 2400))))
    return b


def test_all_that_stands_on_a_storey_moves_together_and_nothing_else() -> None:
    b = furnished()
    change, found = storey_in_register(b.home, "G2", [((0, 0), (5000, 1000)), ((2000, 0), (5000, 3000))])
    assert found.turn_deg == pytest.approx(90)
    home = b.home.apply(change)
    assert home.take(Room, "M2").outline_mm == ((5000, 1000), (5000, 3000), (1000, 3000), (1000, 1000))
    assert home.take(Wall, "W1").b_mm == (5000, 3000)
    assert home.take(Wall, "W1").openings == b.home.take(Wall, "W1").openings
    stair = home.take(Fixture, "F1")
    assert (stair.place.x_mm, stair.place.y_mm, stair.place.faces_deg) == (4500, 1500, 80.0)
    assert home.take(Point, "P1").place == Place(storey="G2", x_mm=4800, y_mm=1100)
    assert home.take(Plate, "T1").place == Place(storey="G2", x_mm=5000, y_mm=1700)
    assert home.take(Run, "R1").path_mm == (("G2", 4800, 1100, 0), ("G1", 100, 200, 2400))
    assert home.take(Room, "M1") == b.home.take(Room, "M1")
    assert home.take(Point, "P2") == b.home.take(Point, "P2")
    assert home.apply(change.inverse()) == b.home


def test_a_storey_drawn_at_the_wrong_scale_is_sized_with_its_openings() -> None:
    b = furnished()
    found = fit([((0, 0), (0, 0)), ((2000, 0), (3000, 0))])
    home = b.home.apply(move_storey(b.home, "G2", found))
    assert home.take(Room, "M2").outline_mm[2] == (3000, 6000)
    assert home.take(Wall, "W1").openings[0] == Opening(kind="door", along_mm=750, width_mm=1200)
    assert home.take(Wall, "W1").thickness_mm == 100
    with pytest.raises(HomeError, match="many times"):
        storey_in_register(b.home, "G2", [((0, 0), (0, 0)), ((2000, 0), (20_000, 0))], keep_size=False)


def test_heights_add_up_from_the_ground_storey_and_say_what_was_assumed() -> None:
    b = Builder()
    cellar, ground, up, roof = b.storey("Cellar", -1), b.storey(), b.storey("First", 1), b.storey("Loft", 2)
    b.do(verbs.edit(b.home, ground, height_mm=2600))
    b.do(verbs.edit(b.home, cellar, height_mm=2000))
    b.do(verbs.edit(b.home, roof, floor_mm=5600, height_mm=1900))
    found = levels(b.home, trade.load())
    # Usual: 2400 mm clear and 250 mm of floor (common practice, no source).
    assert {i: (one.floor_mm, one.height_mm, one.assumed) for i, one in found.items()} == {
        cellar: (-2250, 2000, True), ground: (0, 2600, False), up: (2850, 2400, True), roof: (5600, 1900, False),
    }  # fmt: skip
    assert levels(Builder().home, trade.load()) == {}


def test_stairs_join_the_storeys_they_are_drawn_on() -> None:
    b = Builder()
    ground, up = b.storey(), b.storey("First", 1)

    def stair(storey: str, x: int, y: int) -> str:
        return b.do(verbs.add_fixture(b.home, "stair", Place(storey=storey, x_mm=x, y_mm=y)))

    assert stairs_between(b.home, ground, up) == ()
    only = stair(ground, 1000, 1000)
    (alone,) = stairs_between(b.home, ground, up)
    assert (alone.foot.id, alone.head, alone.head_mm) == (only, None, (1000, 1000))
    far, near = stair(up, 9000, 1000), stair(up, 1000, 3600)
    (pair,) = stairs_between(b.home, ground, up)
    assert (pair.foot.id, pair.head.id, pair.foot_mm, pair.head_mm) == (only, near, (1000, 1000), (1000, 3600))
    back = stair(ground, 9000, 2000)
    assert {(each.foot.id, each.head.id) for each in stairs_between(b.home, ground, up)} == {(only, near), (back, far)}
