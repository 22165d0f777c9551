import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from circuitmap.errors import HomeError
from circuitmap.plan.outlines import area_m2, check_outline, polygon_of, tidy_outline, union_area_m2

SQUARE = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
coordinate = st.integers(min_value=-20_000, max_value=20_000)
corner = st.tuples(coordinate, coordinate)


def box(x, y, width, depth):
    return ((x, y), (x + width, y), (x + width, y + depth), (x, y + depth))


def test_ten_by_ten_metres_less_a_notch_of_four_by_three_is_88_square_metres():
    # Source: CHECKS section 14, worked by hand: 10 × 10 − 4 × 3 = 88.
    notched = ((0, 0), (10_000, 0), (10_000, 7000), (6000, 7000), (6000, 10_000), (0, 10_000))
    assert area_m2(notched) == pytest.approx(88.0)


def test_what_overlaps_counts_once():
    # By hand: 4 × 3 and 4 × 3 sharing 1 × 3: 12 + 12 − 3 = 21.
    assert union_area_m2([SQUARE, box(3000, 0, 4000, 3000)]) == pytest.approx(21.0)
    assert union_area_m2([]) == 0


def test_bathroom_zones_of_a_bath_in_a_corner_come_out_as_by_hand():
    # Source: BS 7671 Section 701 as quoted in CHECKS section 6: zone 1 over the tub, zone 2 0.60 m beyond it.
    # Bath 1.7 × 0.7 m in the corner of a 2.4 × 2.0 m room: 1.19 m²; (2.3 × 1.3) − 1.19 = 1.80 m².
    room, bath = polygon_of(box(0, 0, 2400, 2000)), polygon_of(box(0, 0, 1700, 700))
    zone_2 = bath.buffer(600, join_style="mitre").intersection(room).difference(bath)
    assert area_m2(box(0, 0, 1700, 700)) == pytest.approx(1.19)
    assert zone_2.area / 1e6 == pytest.approx(1.80)
    # A round corner is what 0.60 m really reaches: less by the square of the corner less its quarter circle.
    rounded = bath.buffer(600, quad_segs=64).intersection(room).difference(bath)
    assert rounded.area / 1e6 == pytest.approx(1.80 - 0.36 * (1 - math.pi / 4), abs=1e-4)


@given(st.lists(corner, min_size=3, max_size=12))
def test_area_is_the_surveyors_formula_for_any_plain_outline(corners):
    outline = tidy_outline(corners)
    assume(len(outline) >= 3)
    assume(shapely.Polygon(outline).is_valid)
    # Source: the trapezium (shoelace) formula, in exact whole numbers.
    ring = [*outline, outline[0]]
    doubled = sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise(ring))
    assert area_m2(outline) == pytest.approx(abs(doubled) / 2e6, rel=1e-12)


def test_corners_drawn_twice_are_dropped():
    assert tidy_outline([(0, 0), (0, 0), (5, 0), (5, 5), (5, 5), (0, 0)]) == ((0, 0), (5, 0), (5, 5))
    assert tidy_outline([]) == ()
    assert check_outline([*SQUARE, SQUARE[0]]) == SQUARE


@pytest.mark.parametrize(
    ("outline", "says"),
    [
        (((0, 0), (2000, 2000), (2000, 0), (0, 2000)), "side 1–2 meets its side 3–4 (1.00 m across, 1.00 m down)"),
        (((0, 0), (4000, 0), (4000, 3000), (2000, 0), (0, 3000)), "crosses or touches itself"),
        (((0, 0), (3000, 0), (3000, 3000), (1500, 3000), (1500, 5000), (1500, 3000), (0, 3000)), "touches itself"),
        (((0, 0), (1000, 0)), "at least three different corners"),
        (((0, 0), (0, 0), (0, 0), (0, 0)), "at least three different corners"),
        ((), "at least three different corners"),
        (((0, 0), (1000, 0), (2000, 0)), "crosses or touches itself"),
        (((0, 0), (100, 0), (100, 100), (0, 100)), "no area to speak of"),
    ],
)
def test_an_outline_that_can_be_no_room_is_refused_in_one_sentence(outline, says):
    with pytest.raises(HomeError) as caught:
        check_outline(outline, "Kitchen")
    assert says in str(caught.value)
    assert "“Kitchen”" in str(caught.value)


def test_a_long_name_does_not_make_a_long_sentence():
    with pytest.raises(HomeError) as caught:
        check_outline((), "K" * 10_000)
    assert len(str(caught.value)) < 200


@given(st.lists(corner, min_size=4, max_size=4, unique=True))
def test_four_corners_are_refused_exactly_when_two_sides_cross(corners):
    def turn(p, q, r):
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    a, b, c, d = corners
    turns = [turn(*three) for three in ((a, b, c), (b, c, d), (c, d, a), (d, a, b), (a, b, d), (a, c, d))]
    assume(all(abs(each) > 100_000 for each in turns))  # far from three in a line

    def cross(p, q, r, s):
        return turn(p, q, r) * turn(p, q, s) < 0 and turn(r, s, p) * turn(r, s, q) < 0

    if cross(a, b, c, d) or cross(b, c, d, a):
        with pytest.raises(HomeError, match="crosses"):
            check_outline(corners)
    else:
        assert check_outline(corners) == tuple(corners)


def test_a_crossing_outline_from_a_file_still_has_an_area():
    # A bow tie of two triangles, 1 m high and 2 m wide each: 2 × (2 × 1 / 2) = 2 m².
    assert area_m2(((0, 0), (2000, 2000), (2000, 0), (0, 2000))) == pytest.approx(2.0)
    assert area_m2(((0, 0), (1000, 0))) == 0
    assert area_m2(()) == 0
