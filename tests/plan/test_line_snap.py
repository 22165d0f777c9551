"""Snapping to a sheet's line work: cases worked by hand, and shapely beside it for what is near and crosses."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.plan.line_snap import LineGrid, SheetLines, placed
from circuitmap.plan.snap import Snapped, Snapper

AS_IT_IS = (1.0, 0, 0, 0, 1.0, 0, 0, 0, 1.0)
# A level line, one that crosses it at (300, 100), and one that stops short of both.
CROSS = [(0, 100, 1000, 100), (300, -400, 300, 600), (600, 150, 600, 900)]


def sheet(rows, matrix=AS_IT_IS):
    return SheetLines(LineGrid(np.array(rows, float)), matrix)


@pytest.mark.parametrize(
    ("spot", "kind", "at"),
    [
        ((8, 95), "end", (0, 100)),
        ((304, 107), "crossing", (300, 100)),
        ((605, 158), "end", (600, 150)),
        ((450, 91), "line", (450, 100)),
        ((595, 500), "line", (600, 500)),
    ],
)
def test_ends_and_crossings_come_before_the_line_itself(spot, kind, at):
    found = sheet(CROSS).snap(*spot, 10)
    assert (found.kind, (found.x_mm, found.y_mm)) == (kind, pytest.approx(at))


def test_nothing_is_snapped_to_beyond_the_reach():
    assert sheet(CROSS).snap(450, 111, 10) is None
    assert sheet(CROSS).snap(-9, 92, 10) is None  # 12.04 off the end
    assert sheet([]).snap(0, 0, 1000) is None


def test_where_a_line_ends_on_another_the_end_is_meant():
    found = sheet([(0, 0, 1000, 0), (500, 0, 500, 700)]).snap(503, 4, 10)
    assert (found.kind, found.x_mm, found.y_mm) == ("end", 500, 0)


def test_lines_that_run_alike_cross_nowhere():
    # They meet at (0, 0.0) at 0.6°: nobody means that spot.
    found = sheet([(-1000, -10, 1000, 10), (-1000, 0, 1000, 0)]).snap(1, 1, 10)
    assert found.kind == "line"


def test_the_line_nearest_is_taken_and_its_way_is_told():
    found = sheet([(0, 0, 3000, 4000), (0, 8, 3000, 4008)]).snap(1500, 2001, 5)
    assert found.kind == "line"
    assert (abs(found.along[0]), abs(found.along[1])) == pytest.approx((0.6, 0.8))
    assert math.dist((found.x_mm, found.y_mm), (1500, 2001)) == pytest.approx(0.6)


def test_a_sheet_lies_as_its_scale_says():
    # 12.5 mm to a pixel, turned by a quarter, moved.
    turned = sheet([(10, 20, 110, 20)], (0, -12.5, 1000, 12.5, 0, 2000, 0, 0, 1))
    assert turned.snap(755, 2120, 10).kind == "end"
    found = turned.snap(745, 2800, 10)
    assert (found.kind, found.x_mm, found.y_mm) == ("line", 750, 2800)


def test_a_sheet_seen_at_a_slant_is_snapped_to_in_the_plans_millimetres():
    matrix = (9.0, 0.4, 50, -0.3, 8.0, 90, 2e-4, 1e-4, 1.0)
    slanted = sheet([(100, 100, 900, 700)], matrix)
    a, b = placed(slanted.grid.segments, matrix).reshape(2, 2)
    middle = (a + b) / 2
    across = np.array([-(b - a)[1], (b - a)[0]]) / math.dist(a, b)
    found = slanted.snap(*(middle + 40 * across), 60)
    assert (found.x_mm, found.y_mm) == pytest.approx(tuple(middle))


def test_points_and_what_is_no_number_are_left_out():
    grid = LineGrid(np.array([(5, 5, 5, 5), (0, 0, math.nan, 3), (0, 0, 9, 0)], float))
    assert len(grid) == 1


def test_strays_far_out_are_found_too():
    rows = [(x, y, x + 8, y) for x in range(0, 1000, 10) for y in range(0, 1000, 10)]
    far = sheet([*rows, (5e6, 5e6, 5e6 + 700, 5e6), (-3e6, 20, 4e6, 20)])
    assert far.snap(5e6 + 3, 5e6 + 2, 10).kind == "end"
    assert far.snap(2_000_000, 25, 10).kind == "line"
    assert far.snap(503, 502, 3.5).kind == "line"


def test_where_too_much_is_near_the_nearest_of_it_is_still_right():
    chance = np.random.default_rng(3)
    rows = np.column_stack([chance.uniform(0, 100, (60_000, 2)), chance.uniform(0, 100, (60_000, 2))])
    found = sheet(rows).snap(50, 50, 60)
    assert math.dist((found.x_mm, found.y_mm), (50, 50)) < 1


def test_any_number_of_lines_in_one_place_are_answered():
    rows = np.tile([0.0, 0.0, 10.0, 0.0], (50_000, 1))
    assert sheet(rows).snap(9, 1, 5).kind == "end"


coordinate = st.integers(-300, 300)
segments = st.lists(st.tuples(coordinate, coordinate, coordinate, coordinate), min_size=1, max_size=40)


@settings(max_examples=150, deadline=None)
@given(segments, coordinate, coordinate, st.integers(1, 120))
def test_what_is_found_is_what_shapely_finds(rows, x, y, reach):
    rows = [row for row in rows if row[:2] != row[2:]]
    found = sheet(rows).snap(x, y, reach)
    lines = [shapely.LineString([row[:2], row[2:]]) for row in rows]
    spot = shapely.Point(x, y)
    nearest = min((line.distance(spot) for line in lines), default=math.inf)
    if nearest > reach + 1e-6:
        assert found is None
        return
    if nearest > reach - 1e-6:
        return
    assert found is not None
    at = shapely.Point(found.x_mm, found.y_mm)
    ends = min(shapely.MultiPoint(line.coords).distance(spot) for line in lines)
    # Crossings as shapely has them, but for lines that run nearly alike, whose crossing is nobody's spot.
    crossings = [
        shapely.intersection(one, other).distance(spot)
        for n, one in enumerate(lines) for other in lines[n + 1:]
        if one.intersects(other) and _turn(one, other) > math.sin(math.radians(2.1))
    ]  # fmt: skip
    best = min([ends, *crossings])
    if best <= reach - 1e-6:
        assert found.kind != "line"
        assert at.distance(spot) <= best + 0.5 + 1e-6
    elif found.kind == "line":
        assert at.distance(spot) == pytest.approx(nearest, abs=1e-6)


def _turn(one, other):
    (ax, ay), (bx, by) = one.coords
    (cx, cy), (dx, dy) = other.coords
    return abs((bx - ax) * (dy - cy) - (by - ay) * (dx - cx)) / one.length / other.length


# -- together with what a room is snapped to otherwise ---------------------------------------------------------------


def test_an_end_of_the_sheets_lines_comes_after_a_drawn_corner_and_before_a_right_angle():
    lines = sheet([(3012, 1507, 9000, 1507)])
    assert Snapper().snap(3000, 1500, [(0, 0), (3000, 0)], sheet=lines).why == "end of a line"
    assert Snapper(lines=[((3005, 1500), (3005, 9000))]).snap(3000, 1500, sheet=lines).why == "corner"


def test_a_right_angle_meets_a_line_of_the_sheet():
    snapped = Snapper().snap(3040, 1488, [(0, 0), (3000, 0)], sheet=sheet([(-9000, 1507, 9000, 1507)]))
    assert (snapped.x_mm, snapped.y_mm, snapped.why) == (3000, 1507, "right angle, on a line")
    assert snapped.on.kind == "line"


def test_along_a_level_line_of_the_sheet_whole_centimetres_are_kept():
    snapped = Snapper().snap(1234, 1500, sheet=sheet([(-9000, 1507, 9000, 1507)]))
    assert (snapped.x_mm, snapped.y_mm, snapped.why) == (1230, 1507, "on a line")


def test_the_corner_just_set_is_not_snapped_to_again():
    snapped = Snapper().snap(40, 3, [(0, 0)], sheet=sheet([(0, 0, 5000, 0)]), tolerance_mm=60)
    assert snapped.why != "end of a line"


def test_without_a_sheet_nothing_has_changed():
    assert Snapper().snap(3004, 80, [(0, 0)]) == Snapped(3000, 0, "level")


@settings(max_examples=80, deadline=None)
@given(segments, coordinate, coordinate)
def test_a_snapped_spot_snaps_to_itself(rows, x, y):
    lines = sheet([row for row in rows if row[:2] != row[2:]])
    once = Snapper().snap(x, y, sheet=lines, tolerance_mm=20)
    again = Snapper().snap(once.x_mm, once.y_mm, sheet=lines, tolerance_mm=20)
    assert (again.x_mm, again.y_mm) == (once.x_mm, once.y_mm)
