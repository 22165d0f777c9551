"""Figures that people type for a place on a wall; all worked by hand on a wall of 4 × 2.4 m."""

import pytest

from circuitmap.extension.wall_figures import FORMS, read_figures
from circuitmap.extension.wishes import WishError
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, faces_on
from tests.extension.routed import TRADE, one_room

NOW = (500.0, 450.0)


def wall() -> Face:
    return faces_on(one_room(), Memo(), TRADE, "G1")[0]


@pytest.mark.parametrize(
    ("typed", "u", "v"),
    [
        ("1.4 m from the left, 1100 mm up", 1400, 1100),
        ("1100 mm up, 1.4 m from the left", 1400, 1100),
        ("1.4 m, 1100 mm", 1400, 1100),
        ("1400, 1100", 1400, 1100),
        ("1400,1100", 1400, 1100),
        ("1,4 m, 1,1 m", 1400, 1100),
        ("600 mm from the right", 3400, 450),
        ("600 mm from right corner and 1.2 m high", 3400, 1200),
        ("450 mm up", 500, 450),
        ("1200 over the floor", 500, 1200),
        ("75 mm down", 500, 2325),
        ("75 mm below the ceiling", 500, 2325),
        ("3 ft from the left, 18 in up", 914.4, 457.2),
        ("0 mm from the left", 0, 450),
        ("2 m left", 2000, 450),
    ],
)
def test_what_is_typed_is_read(typed: str, u: float, v: float) -> None:
    """A foot is 0.3048 m and an inch 25.4 mm exactly: international yard and pound agreement, 1959."""
    assert read_figures(typed, wall(), NOW) == pytest.approx((u, v))


@pytest.mark.parametrize("typed", FORMS)
def test_every_form_is_read(typed: str) -> None:
    read_figures(typed, wall(), NOW)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "Type where it stands"),
        ("by the door", "is no place on a wall"),
        ("1.4 m", "Say what “1.4 m” is"),
        ("5 m from the left", "4.00 m long"),
        ("2.5 m up", "2.40 m high"),
        ("1 m up, 2 m up", "said twice"),
        ("1 m, 2 m, 3 m", "more than two"),
        ("x" * 500, "Type where it stands"),
        ("150 from the left", "unit"),
    ],
)
def test_what_is_no_place_is_said_in_a_sentence(typed: str, says: str) -> None:
    with pytest.raises(WishError, match=says):
        read_figures(typed, wall(), NOW)


def test_a_height_that_is_not_known_stays_so() -> None:
    assert read_figures("1 m from the left", wall(), (500.0, None)) == (1000.0, None)
