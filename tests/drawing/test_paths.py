"""Path data: reading, writing, turning into cubics."""

import math

import pytest

from circuitmap.drawing.paths import as_cubics, circle, moved, number, parse, path_text, rectangle, sampled
from circuitmap.errors import OurError


def test_a_command_may_be_followed_by_several_sets_of_numbers() -> None:
    assert parse("M0 0 L1 2 3 4.5 Z") == (("M", (0, 0)), ("L", (1, 2)), ("L", (3, 4.5)), ("Z", ()))


@pytest.mark.parametrize("text", ["L0 0", "M0", "M0 0 l1 1", "M0 0 C1 1 2 2 3 3", "M0 0 Z3", "7 8", "M0 0 L"])
def test_path_text_we_do_not_know_is_refused(text: str) -> None:
    with pytest.raises(OurError):
        parse(text)


def test_written_and_read_again_a_path_is_the_same() -> None:
    path = parse(circle(3, -4, 10) + rectangle(-1, -2, 3, 4) + "M0 0 Q1 2 3 4.25")
    assert parse(path_text(path)) == path


def test_numbers_have_two_decimals_no_exponent_and_no_negative_zero() -> None:
    assert [number(v) for v in (-0.001, 1e7, 0.125, -2.5, 1e-9)] == ["0", "10000000", "0.12", "-2.5", "0"]


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_is_refused(value: float) -> None:
    with pytest.raises(OurError):
        number(value)


def test_a_circle_in_cubics_stays_within_three_parts_in_ten_thousand_of_its_radius() -> None:
    # Source: the well-known greatest error of the four-piece cubic circle, 0.0273 % (from memory).
    radii = [math.hypot(x - 5, y + 2) for x, y in sampled(parse(circle(5, -2, 40)), 32)]
    assert max(radii) == pytest.approx(40, rel=3e-4)
    assert min(radii) == pytest.approx(40, rel=3e-4)


@pytest.mark.parametrize(
    ("sweep", "lowest"),
    [(0, 40.0), (1, -40.0)],
)
def test_an_arcs_sweep_flag_chooses_the_side_as_svg_says(sweep: int, lowest: float) -> None:
    # Source: SVG 2, 9.3.8: sweep-flag 1 draws in the direction of positive angles, clockwise with y down.
    ys = [y for _, y in sampled(parse(f"M-40 0 A40 40 0 0 {sweep} 40 0"))]
    assert max(ys, key=abs) == pytest.approx(lowest, rel=1e-3)


def test_an_arc_whose_radii_are_too_small_is_enlarged() -> None:
    # Source: SVG 2, B.2.5, step 3: radii scaled up until there is exactly one solution.
    points = sampled(parse("M0 0 A1 1 0 0 1 10 0"))
    assert max(math.hypot(x - 5, y) for x, y in points) == pytest.approx(5, rel=1e-3)


def test_a_large_arc_goes_the_long_way_round() -> None:
    long_way = sampled(parse("M10 0 A10 10 0 1 1 0 -10"))
    assert any(x < -9 for x, _ in long_way)


def test_a_quadratic_becomes_its_cubic_exactly() -> None:
    (_, (x1, y1, x2, y2, x, y)) = as_cubics(parse("M0 0 Q3 6 6 0"))[1]
    assert (x1, y1, x2, y2, x, y) == pytest.approx((2, 4, 4, 4, 6, 0))


def test_a_moved_arc_keeps_its_flags_and_scales_its_radii() -> None:
    assert moved(parse("M0 0 A2 3 10 0 1 4 5"), 10, 20, 2)[1] == ("A", (4, 6, 10, 0, 1, 18, 30))
