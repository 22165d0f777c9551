"""From a picture's pixels to plan millimetres and back, and how far a scale can be trusted.

A transform is nine numbers, row by row, of a 3 × 3 projective matrix: plan = M · (x_px, y_px, 1), divided by its third
component. Both spaces have y downwards.
"""

import math
from dataclasses import dataclass
from typing import Final

from circuitmap.errors import HomeError
from circuitmap.quantities import show_length, show_percent

Spot = tuple[float, float]
Transform = tuple[float, float, float, float, float, float, float, float, float]

# Below this, one pixel of a shaky hand is more than a tenth of the length.
_FEWEST_PX: Final = 10.0
_WIDEST_HOME_MM: Final = 300_000.0
_NARROWEST_HOME_MM: Final = 2_500.0
# Plans drawn to sell a home are some 5 to 10 % out (common practice, no source); 2 % is as good as anybody clicks.
_AGREES: Final = 0.02
_POOR: Final = 0.10


def to_plan(px_to_plan_mm: Transform, x_px: float, y_px: float) -> Spot:
    """Give the plan millimetres under a pixel.

    Raises
    ------
    HomeError
        When the pixel lies on the picture's horizon, where no place on the plan belongs to it.
    """
    a, b, c, d, e, f, g, h, i = px_to_plan_mm
    w = g * x_px + h * y_px + i
    if w == 0 or not math.isfinite(w):
        raise HomeError("This spot of the picture has no place on the plan; choose one further inside.")
    return (a * x_px + b * y_px + c) / w, (d * x_px + e * y_px + f) / w


def to_px(px_to_plan_mm: Transform, x_mm: float, y_mm: float) -> Spot:
    """Give the pixel over a spot of the plan.

    Raises
    ------
    HomeError
        When the transform can't be turned round.
    """
    return to_plan(inverse(px_to_plan_mm), x_mm, y_mm)


def inverse(transform: Transform) -> Transform:
    """Give the transform that leads back.

    Raises
    ------
    HomeError
        When the transform is flat (everything on one line) or not made of finite numbers.
    """
    a, b, c, d, e, f, g, h, i = transform
    det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    if det == 0 or not math.isfinite(det):
        raise HomeError("The scale of this picture can't be used; set it again from two points and a length.")
    return (
        (e * i - f * h) / det, (c * h - b * i) / det, (b * f - c * e) / det,
        (f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det,
        (d * h - e * g) / det, (b * g - a * h) / det, (a * e - b * d) / det,
    )  # fmt: skip


def scale_from_two_points(
    a_px: Spot, b_px: Spot, length_mm: float, *, origin_px: Spot = (0.0, 0.0), origin_mm: Spot = (0.0, 0.0)
) -> Transform:
    """Give the transform that makes two pixels lie a measured length apart, neither turned nor stretched.

    Parameters
    ----------
    a_px, b_px
        The two ends of the length on the picture.
    length_mm
        The length as measured in the home.
    origin_px, origin_mm
        A pixel, and where it shall lie on the plan: by default the picture's corner at the plan's origin. When a scale
        is set anew, a place that is to stay where it was.

    Raises
    ------
    HomeError
        When the two pixels are the same, or too close together to measure by.
    """
    _check_length(length_mm)
    mm_per_px = length_mm / _apart(a_px, b_px)
    return (
        mm_per_px, 0.0, origin_mm[0] - mm_per_px * origin_px[0],
        0.0, mm_per_px, origin_mm[1] - mm_per_px * origin_px[1],
        0.0, 0.0, 1.0,
    )  # fmt: skip


def laid_on_two_points(a_px: Spot, b_px: Spot, a_mm: Spot, b_mm: Spot) -> Transform:
    """Give the transform that lays two pixels on two spots of the plan, turning as needed: one storey over another.

    Raises
    ------
    HomeError
        When either pair is one and the same spot.
    """
    _apart(a_px, b_px)
    if math.dist(a_mm, b_mm) < 1:
        raise HomeError("Both spots on the plan are the same; choose two that lie far apart.")
    # A turn with a change of size is one complex factor.
    factor = (complex(*b_mm) - complex(*a_mm)) / (complex(*b_px) - complex(*a_px))
    shift = complex(*a_mm) - factor * complex(*a_px)
    return (factor.real, -factor.imag, shift.real, factor.imag, factor.real, shift.imag, 0.0, 0.0, 1.0)


def implausible_scale(px_to_plan_mm: Transform, width_px: int, height_px: int) -> str:
    """Warn in words about a scale that no home has; an empty text when there is nothing to say."""
    corners = [to_plan(px_to_plan_mm, x, y) for x in (0, width_px) for y in (0, height_px)]
    across_mm = max(x for x, _ in corners) - min(x for x, _ in corners)
    down_mm = max(y for _, y in corners) - min(y for _, y in corners)
    longer_mm = max(across_mm, down_mm)
    if longer_mm > _WIDEST_HOME_MM:
        odd = "far more than a home"
    elif longer_mm < _NARROWEST_HOME_MM:
        odd = "less than a room"
    else:
        return ""
    size = f"{show_length(across_mm)} × {show_length(down_mm)}"
    return f"At this scale the picture covers {size}, {odd}: check the length, its unit and the two points."


@dataclass(frozen=True)
class Spread:
    """How a second measured length agrees with the scale.

    ``fraction`` is how much longer (+) or shorter (−) it is on the plan than in the home; ``says`` puts it in words;
    ``across`` is whether it runs across the first length, as it should.
    """

    fraction: float
    says: str
    across: bool


def second_length(
    px_to_plan_mm: Transform, a_px: Spot, b_px: Spot, length_mm: float, first_px: tuple[Spot, Spot] | None = None
) -> Spread:
    """Check a scale by a second measured length, best one across the first.

    Parameters
    ----------
    px_to_plan_mm
        The scale to be checked.
    a_px, b_px, length_mm
        The second length: its ends on the picture, and what was measured.
    first_px
        The ends of the length that the scale was made from, if known.

    Raises
    ------
    HomeError
        When the two pixels are the same or too close together, or the length is not more than zero.
    """
    _check_length(length_mm)
    _apart(a_px, b_px)
    drawn_mm = math.dist(to_plan(px_to_plan_mm, *a_px), to_plan(px_to_plan_mm, *b_px))
    fraction = drawn_mm / length_mm - 1
    across = first_px is None or _runs_across(first_px, (a_px, b_px))
    share = show_percent(abs(fraction))
    if abs(fraction) <= _AGREES:
        says = f"The second length agrees within {share}."
    else:
        more = "longer" if fraction > 0 else "shorter"
        says = (
            f"On the picture the second length comes out {share} {more} than measured: "
            f"lengths taken from this plan may be out by as much."
        )
        if abs(fraction) > _POOR:
            says += " Check both lengths; if they are right, the picture is not to scale."
    if not across:
        says += " Both lengths run the same way: measure one across them too, since pictures are often stretched."
    return Spread(fraction, says, across)


def _check_length(length_mm: float) -> None:
    if not (math.isfinite(length_mm) and length_mm > 0):
        raise HomeError("The measured length must be more than zero; type what was measured, like 3.2 m.")


def _apart(a_px: Spot, b_px: Spot) -> float:
    apart_px = math.dist(a_px, b_px)
    if apart_px == 0:
        raise HomeError("Both ends of the length are the same spot of the picture; choose two that lie far apart.")
    if not apart_px >= _FEWEST_PX:
        raise HomeError("The two ends are too close together to measure by; choose two that lie further apart.")
    return apart_px


def _runs_across(first: tuple[Spot, Spot], second: tuple[Spot, Spot]) -> bool:
    headings = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in (first, second)]
    return abs(math.sin(headings[1] - headings[0])) > 0.5
