import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home.records import Room
from circuitmap.plan.snap import Snapped, Snapper, snap

KITCHEN = Room(id="M1", name="Kitchen", storey="G1", outline_mm=((0, 0), (4003, 0), (4003, 3007), (0, 3007)))
SLOPING = Room(id="M2", name="Attic", storey="G1", outline_mm=((6000, 0), (9000, 1000), (8000, 4000), (5000, 3000)))

coordinate = st.integers(min_value=-2000, max_value=12_000)
corner = st.tuples(coordinate, coordinate)
pointer = st.floats(min_value=-2000, max_value=12_000)


def test_on_an_empty_plan_the_grid_of_one_centimetre_speaks():
    assert snap(1234.4, 5678.9) == Snapped(1230, 5680, "")
    assert Snapper().snap(1234.4, 5678.9, grid_mm=50) == Snapped(1250, 5700, "")


def test_a_corner_that_is_there_is_taken_to_the_millimetre():
    assert snap(4060, 2950, [KITCHEN]) == Snapped(4003, 3007, "corner")
    assert snap(4060, 2950, [KITCHEN], tolerance_mm=50).why != "corner"


def test_an_edge_that_is_there_is_taken_with_whole_centimetres_along_it():
    assert snap(4051, 1234, [KITCHEN]) == Snapped(4003, 1230, "edge")
    assert snap(2236, 40, [KITCHEN]) == Snapped(2240, 0, "edge")


def test_on_a_sloping_edge_the_nearest_spot_is_taken():
    snapped = snap(7500, 560, [SLOPING])
    assert snapped.why == "edge"
    # On the line from (6000, 0) to (9000, 1000), to the millimetre.
    assert snapped.y_mm == pytest.approx((snapped.x_mm - 6000) / 3, abs=1)


def test_the_first_side_runs_level_or_upright():
    assert Snapper().snap(3004, 80, [(0, 0)]) == Snapped(3000, 0, "level")
    assert Snapper().snap(-70, 1996, [(0, 0)]) == Snapped(0, 2000, "upright")
    assert Snapper().snap(3004, 2000, [(0, 0)]) == Snapped(3000, 2000, "")


def test_a_side_goes_off_at_a_right_angle_to_the_last():
    assert Snapper().snap(3060, 1998, [(0, 0), (3000, 0)]) == Snapped(3000, 2000, "right angle")
    # The last side slopes 3-4-5: its right angle slopes −4-3-5, and 2500 mm along it lies (−2000, 1500) further.
    turned = Snapper().snap(1020, 5530, [(0, 0), (3000, 4000)])
    assert turned == Snapped(1000, 5500, "right angle")


def test_going_straight_on_is_offered_too():
    assert Snapper().snap(4996, 30, [(0, 0), (3000, 0)]) == Snapped(5000, 0, "straight on")


def test_the_last_corner_but_one_falls_in_line_with_the_start():
    drawn = [(0, 0), (3000, 0), (3000, 2000)]
    assert Snapper().snap(60, 1950, drawn) == Snapped(0, 2000, "right angle, in line with the start")


def test_near_the_first_corner_the_outline_closes():
    drawn = [(5, 7), (3000, 0), (3000, 2000), (0, 2000)]
    assert Snapper().snap(60, 80, drawn) == Snapped(5, 7, "close the outline")
    assert Snapper().snap(60, 80, drawn[:2]).why != "close the outline"


def test_a_right_angle_meets_an_edge_where_they_cross():
    drawn = [(1000, 5000), (1000, 4000)]
    assert Snapper([KITCHEN]).snap(1030, 3050, drawn) == Snapped(1000, 3007, "straight on, edge")


def test_a_recess_smaller_than_the_pointers_reach_can_be_drawn():
    assert Snapper().snap(3020, 62, [(0, 0), (3000, 0)]) == Snapped(3000, 60, "right angle")
    # Nor does the corner just taken from a neighbour hold the pointer back.
    assert Snapper([KITCHEN]).snap(4040, 3072, [(0, 3007), (4003, 3007)]) == Snapped(4003, 3067, "right angle")


def test_right_angles_can_be_held_off():
    assert Snapper().snap(3060, 1998, [(0, 0), (3000, 0)], square=False) == Snapped(3060, 2000, "")


def test_loose_lines_are_snapped_to_like_rooms():
    assert Snapper(lines=[((0, 0), (0, 5000))]).snap(60, 2502) == Snapped(0, 2500, "edge")


def test_four_clicks_by_a_shaky_hand_make_a_true_rectangle():
    snapper, drawn = Snapper(), []
    for x, y in [(3, -4), (3590, 60), (3640, 2410), (-50, 2480), (70, 30)]:
        snapped = snapper.snap(x, y, drawn)
        drawn.append((snapped.x_mm, snapped.y_mm))
    assert drawn == [(0, 0), (3590, 0), (3590, 2410), (0, 2410), (0, 0)]


@given(pointer, pointer, st.lists(corner, max_size=5), st.sampled_from([20.0, 150.0, 400.0]))
def test_a_snapped_spot_snaps_to_itself(x, y, drawn, tolerance_mm):
    snapper = Snapper([KITCHEN, SLOPING])
    once = snapper.snap(x, y, drawn, tolerance_mm=tolerance_mm)
    assert snapper.snap(once.x_mm, once.y_mm, drawn, tolerance_mm=tolerance_mm) == once


@given(pointer, pointer, st.lists(corner, max_size=5))
def test_snapping_never_carries_a_corner_far_away(x, y, drawn):
    snapped = Snapper([KITCHEN, SLOPING]).snap(x, y, drawn, tolerance_mm=100)
    assert math.dist((x, y), (snapped.x_mm, snapped.y_mm)) <= 4 * 100


@given(st.lists(st.tuples(pointer, pointer), min_size=2, max_size=6))
def test_with_no_one_else_there_every_corner_is_on_a_line_or_the_grid(pointers):
    drawn = []
    for x, y in pointers:
        snapped = Snapper().snap(x, y, drawn)
        if snapped.why == "":
            assert snapped.x_mm % 10 == snapped.y_mm % 10 == 0
        drawn.append((snapped.x_mm, snapped.y_mm))
