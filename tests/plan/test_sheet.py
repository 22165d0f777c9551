import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from circuitmap.errors import HomeError
from circuitmap.plan.sheet import (
    implausible_scale,
    inverse,
    laid_on_two_points,
    scale_from_two_points,
    second_length,
    to_plan,
    to_px,
)

px = st.floats(min_value=-5000, max_value=9000)
spots = st.tuples(px, px)


def test_a_length_of_3200_mm_over_400_px_makes_8_mm_a_pixel():
    scale = scale_from_two_points((100, 50), (500, 50), 3200)
    assert to_plan(scale, 0, 0) == (0, 0)
    assert to_plan(scale, 100, 10) == (800, 80)
    assert to_px(scale, 800, 80) == pytest.approx((100, 10))


def test_a_slanting_length_is_measured_along_itself():
    scale = scale_from_two_points((0, 0), (300, 400), 5000)  # 3-4-5
    assert to_plan(scale, 1, 0) == (10, 0)


def test_a_new_scale_can_keep_a_place_where_it_was():
    scale = scale_from_two_points((0, 0), (100, 0), 1000, origin_px=(40, 60), origin_mm=(4000, 6000))
    assert to_plan(scale, 40, 60) == (4000, 6000)
    assert to_plan(scale, 41, 60) == (4010, 6000)


@given(spots, spots, st.floats(min_value=100, max_value=50_000), spots)
def test_pixel_to_plan_and_back_is_the_same_pixel(a_px, b_px, length_mm, spot):
    assume(math.dist(a_px, b_px) >= 10)
    scale = scale_from_two_points(a_px, b_px, length_mm)
    assert to_px(scale, *to_plan(scale, *spot)) == pytest.approx(spot, abs=1e-6)
    assert math.dist(to_plan(scale, *a_px), to_plan(scale, *b_px)) == pytest.approx(length_mm)


@given(spots, spots, spots, spots)
def test_two_pixels_laid_on_two_spots_lie_there(a_px, b_px, a_mm, b_mm):
    assume(math.dist(a_px, b_px) >= 10)
    assume(math.dist(a_mm, b_mm) >= 10)
    laid = laid_on_two_points(a_px, b_px, a_mm, b_mm)
    assert to_plan(laid, *a_px) == pytest.approx(a_mm, abs=1e-5)
    assert to_plan(laid, *b_px) == pytest.approx(b_mm, abs=1e-5)
    assert to_px(laid, *to_plan(laid, 123, 456)) == pytest.approx((123, 456), abs=1e-4)


def test_laying_turns_and_never_mirrors():
    quarter = laid_on_two_points((0, 0), (100, 0), (0, 0), (0, 1000))
    assert to_plan(quarter, 0, 100) == pytest.approx((-1000, 0))


def test_a_projective_transform_comes_back():
    tilted = (8.0, 0.5, 20.0, 0.2, 7.0, -30.0, 1e-5, 2e-5, 1.0)
    back = inverse(tilted)
    for spot in ((0, 0), (4000, 100), (50, 3000)):
        assert to_plan(back, *to_plan(tilted, *spot)) == pytest.approx(spot, abs=1e-6)


@pytest.mark.parametrize(
    ("a_px", "b_px", "length_mm", "says"),
    [
        ((5, 5), (5, 5), 3200, "same spot"),
        ((5, 5), (6, 5), 3200, "too close together"),
        ((0, 0), (100, 0), 0, "more than zero"),
        ((0, 0), (100, 0), -5, "more than zero"),
        ((0, 0), (100, 0), math.nan, "more than zero"),
        ((0, 0), (math.nan, 0), 3200, "too close"),
    ],
)
def test_a_scale_from_nothing_is_refused_in_words(a_px, b_px, length_mm, says):
    with pytest.raises(HomeError, match=says):
        scale_from_two_points(a_px, b_px, length_mm)


def test_a_flat_transform_is_refused_in_words():
    with pytest.raises(HomeError, match="can't be used"):
        inverse((1, 0, 0, 2, 0, 0, 0, 0, 1))
    with pytest.raises(HomeError, match="no place on the plan"):
        to_plan((1, 0, 0, 0, 1, 0, 1, 0, 0), 0, 5)


@pytest.mark.parametrize(
    ("length_mm", "says"),
    [(3_000_000 / 4, "far more than a home"), (300 / 4, "less than a room"), (3200, ""), (60_000, "")],
)
def test_a_home_three_kilometres_or_thirty_centimetres_wide_is_questioned(length_mm, says):
    scale = scale_from_two_points((0, 0), (1000, 0), length_mm)
    warning = implausible_scale(scale, 4000, 3000)
    assert says in warning
    assert bool(says) == bool(warning)


def test_the_warning_names_the_size():
    scale = scale_from_two_points((0, 0), (1000, 0), 750_000)
    assert "3.00 km × 2.25 km" in implausible_scale(scale, 4000, 3000)


@pytest.mark.parametrize(
    ("measured_mm", "fraction", "says"),
    [
        (4000, 0.0, "agrees within 0.0 %"),
        (3950, 50 / 3950, "agrees within 1.3 %"),
        (3780, 220 / 3780, "5.8 % longer than measured"),
        (4300, -300 / 4300, "7.0 % shorter than measured"),
        (3000, 1 / 3, "not to scale"),
    ],
)
def test_a_second_length_says_how_far_the_plan_is_out(measured_mm, fraction, says):
    scale = scale_from_two_points((0, 0), (400, 0), 4000)
    spread = second_length(scale, (10, 0), (10, 400), measured_mm, first_px=((0, 0), (400, 0)))
    assert spread.fraction == pytest.approx(fraction)
    assert says in spread.says
    assert spread.across


def test_a_second_length_the_same_way_asks_for_one_across():
    scale = scale_from_two_points((0, 0), (400, 0), 4000)
    spread = second_length(scale, (0, 100), (300, 110), 3000, first_px=((0, 0), (400, 0)))
    assert not spread.across
    assert "measure one across" in spread.says
