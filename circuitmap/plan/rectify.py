"""Straightening a photograph: four corners of a sheet or a square room, dragged on the picture, laid flat.

Corners go round as the picture is seen: top left, top right, bottom right, bottom left. What comes out is a transform
(see ``sheet``) that a sheet can hold as it is; the picture itself is only warped to be shown in a preview.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.errors import HomeError
from circuitmap.plan.sheet import Spot, Transform, inverse, to_plan

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Corners = tuple[Spot, Spot, Spot, Spot]

_LEAST_SIDE_PX: Final = 20.0
# Within 3° of straight a corner says nothing: a pixel of a shaky hand would turn the whole sheet.
_STRAIGHT: Final = math.sin(math.radians(3))
# Beyond this the shape was guessed, not measured: no sheet and no room is so long.
_LONGEST_ASPECT: Final = 20.0
# Sides that meet further off than this many picture diagonals tell nothing of the slant.
_FAR: Final = 30.0
# How many times smaller than at the corners the far end of a slanted picture may come out before it is cut off.
_FARTHEST: Final = 5.0


@dataclass(frozen=True)
class Aspect:
    """Width over height of what the corners surround, and whether the slant of the picture told it."""

    width_over_height: float
    from_slant: bool
    says: str


@dataclass(frozen=True)
class Flat:
    """How to warp a picture: its pixels to those of the flat one, whose size is given."""

    px_to_flat: Transform
    width_px: int
    height_px: int


def compose(outer: Transform, inner: Transform) -> Transform:
    """Give the transform that does the inner one first and then the outer one (the product of their matrices)."""
    rows = [outer[n : n + 3] for n in (0, 3, 6)]
    columns = [inner[n::3] for n in (0, 1, 2)]
    found = [sum(a * b for a, b in zip(row, column, strict=True)) for row in rows for column in columns]
    size = found[8] if found[8] != 0 else 1.0
    return tuple(value / size for value in found)  # type: ignore[return-value]  # nine values, three by three


def in_order(spots: Iterable[Spot]) -> Corners:
    """Give four spots as corners: round the picture as it is seen, from the one nearest its top left.

    Raises
    ------
    HomeError
        When there are not four of them.
    """
    four = list(spots)
    if len(four) != 4:
        raise HomeError(f"Four corners are needed and {len(four)} were given; set all four.")
    middle = sum(x for x, _ in four) / 4, sum(y for _, y in four) / 4
    round_it = sorted(four, key=lambda spot: math.atan2(spot[1] - middle[1], spot[0] - middle[0]))
    first = min(range(4), key=lambda n: round_it[n][0] + round_it[n][1])
    a, b, c, d = round_it[first:] + round_it[:first]
    return a, b, c, d


def check_corners(corners_px: Corners) -> None:
    """Refuse corners that no flat sheet has, in one sentence.

    Raises
    ------
    HomeError
        When a corner is no spot, two are too close, three lie in a line, the sides cross, one corner lies inside the
        other three, or they go round the wrong way.
    """
    if not all(math.isfinite(value) for spot in corners_px for value in spot):
        raise HomeError("One of the four corners is nowhere on the picture; set it again.")
    if min(math.dist(corners_px[n], corners_px[n - 1]) for n in range(4)) < _LEAST_SIDE_PX or (
        min(math.dist(corners_px[0], corners_px[2]), math.dist(corners_px[1], corners_px[3])) < _LEAST_SIDE_PX
    ):
        raise HomeError("Two of the corners are almost on one spot; drag them to the corners of a sheet or a room.")
    turns = [_turn(corners_px[n - 1], corners_px[n], corners_px[(n + 1) % 4]) for n in range(4)]
    if any(abs(turn) < _STRAIGHT for turn in turns):
        raise HomeError("Three of the corners lie in a line; drag them to the four corners of a sheet or a room.")
    left = sum(turn < 0 for turn in turns)
    if left == 2:
        raise HomeError("The sides cross each other; go round the corners in turn, starting at the top left.")
    if left in (1, 3):
        raise HomeError("One corner lies inside the other three; drag it out to the corner of the sheet or the room.")
    if left == 4:
        raise HomeError("The corners go round the wrong way, which would mirror the plan; swap left and right.")


def four_point_transform(corners_px: Corners, corners_to: Corners) -> Transform:
    """Give the projective transform that takes four corners to four others.

    Each set of corners is a unit square seen at a slant; the one is undone, the other done. Of the unit square, with
    ``s = p0 − p1 + p2 − p3``, ``d1 = p1 − p2``, ``d2 = p3 − p2``:
    ``g = (s × d2)/(d1 × d2)``, ``h = (d1 × s)/(d1 × d2)``, columns ``p1 − p0 + g p1``, ``p3 − p0 + h p3``, ``p0``.

    **Source:** P. Heckbert, Fundamentals of Texture Mapping and Image Warping, University of California 1989, 2.2.3.

    Raises
    ------
    HomeError
        When either set of corners is none that a flat sheet has.
    """
    check_corners(corners_px)
    return compose(_of_square(corners_to), inverse(_of_square(corners_px)))


def laid_flat(corners_px: Corners, width_mm: float, height_mm: float, *, origin_mm: Spot = (0.0, 0.0)) -> Transform:
    """Give the transform of a sheet on which four corners surround a rectangle of known size.

    Parameters
    ----------
    corners_px
        The corners on the picture, from the rectangle's top left.
    width_mm, height_mm
        The true sides of a room, or of a printed sheet times its scale: from top left to top right and down.
    origin_mm
        Where the top left corner shall lie on the plan.

    Raises
    ------
    HomeError
        When a side is not more than zero, or the corners can't be those of a flat rectangle.
    """
    if not (0 < width_mm < math.inf and 0 < height_mm < math.inf):
        raise HomeError("Both sides must be more than zero; type what was measured, like 3.6 m and 4.2 m.")
    x, y = origin_mm
    return four_point_transform(
        corners_px, ((x, y), (x + width_mm, y), (x + width_mm, y + height_mm), (x, y + height_mm))
    )


def aspect_of(corners_px: Corners, width_px: int, height_px: int) -> Aspect:
    """Give width over height of the flat rectangle that four corners surround, from the slant it is seen at.

    With the corners ``m1`` (top left), ``m2`` (top right), ``m3`` (bottom left), ``m4`` (bottom right), third
    component 1 and measured from the middle of the picture: ``k2 = (m1×m4)·m3 / (m2×m4)·m3``,
    ``k3 = (m1×m4)·m2 / (m3×m4)·m2``, ``n2 = k2 m2 − m1``, ``n3 = k3 m3 − m1``; the focal length is
    ``f² = −(n2x n3x + n2y n3y)/(n2z n3z)``, and ``(w/h)² = ((n2x² + n2y²)/f² + n2z²)/((n3x² + n3y²)/f² + n3z²)``.
    Seen straight on, or along one pair of sides, the slant tells nothing and the sides as drawn are compared.

    **Source:** Z. Zhang and L.-W. He, Whiteboard scanning and image enhancement, Digital Signal Processing 17 (2007).

    Raises
    ------
    HomeError
        When the corners can't be those of a flat rectangle.
    """
    check_corners(corners_px)
    size = math.hypot(width_px, height_px) / 2
    m1, m2, m4, m3 = (((x - width_px / 2) / size, (y - height_px / 2) / size, 1.0) for x, y in corners_px)
    k2 = _dot(_cross(m1, m4), m3) / _dot(_cross(m2, m4), m3)
    k3 = _dot(_cross(m1, m4), m2) / _dot(_cross(m3, m4), m2)
    n2 = tuple(k2 * b - a for a, b in zip(m1, m2, strict=True))
    n3 = tuple(k3 * b - a for a, b in zip(m1, m3, strict=True))
    if all(abs(n[2]) * _FAR > math.hypot(n[0], n[1]) for n in (n2, n3)):
        f2 = -(n2[0] * n3[0] + n2[1] * n3[1]) / (n2[2] * n3[2])
        if f2 > 0:
            square = ((n2[0] ** 2 + n2[1] ** 2) / f2 + n2[2] ** 2) / ((n3[0] ** 2 + n3[1] ** 2) / f2 + n3[2] ** 2)
            aspect = math.sqrt(square)
            if 1 / _LONGEST_ASPECT < aspect < _LONGEST_ASPECT:
                return Aspect(aspect, True, "The shape was worked out from the slant of the picture: check a length.")
    a, b, c, d = corners_px
    aspect = (math.dist(a, b) + math.dist(d, c)) / (math.dist(a, d) + math.dist(b, c))
    says = "The shape was guessed from the sides as they are seen: type the true sides, or check a length both ways."
    return Aspect(aspect, False, says)


def flattened(corners_px: Corners, aspect: float, picture_px: tuple[int, int] | None = None, *, longest_px: int = 1600,
              ) -> Flat:  # fmt: skip
    """Give how to warp a picture flat for a preview.

    Parameters
    ----------
    corners_px
        The corners on the picture, from the top left.
    aspect
        Width over height of what they surround.
    picture_px
        Width and height of the picture, to show all of it; without them only what the corners surround is shown. The
        part of a slanted picture that would come out many times smaller than the rest is left away.
    longest_px
        The longer side of what comes out.

    Raises
    ------
    HomeError
        When the corners can't be those of a flat rectangle, or the aspect is not one that a sheet has.
    """
    if not 1 / _LONGEST_ASPECT <= aspect <= _LONGEST_ASPECT:
        raise HomeError("A sheet or a room so long and thin can't be straightened; check its two sides.")
    unit = laid_flat(corners_px, aspect, 1.0)
    left, top, right, bottom = 0.0, 0.0, aspect, 1.0
    if picture_px is not None:
        seen = [to_plan(unit, x, y) for x, y in _near_side(unit, corners_px, picture_px)]
        left, right = min(x for x, _ in seen), max(x for x, _ in seen)
        top, bottom = min(y for _, y in seen), max(y for _, y in seen)
    size = longest_px / max(right - left, bottom - top)
    fitted = compose((size, 0.0, -size * left, 0.0, size, -size * top, 0.0, 0.0, 1.0), unit)
    return Flat(fitted, max(1, round(size * (right - left))), max(1, round(size * (bottom - top))))


def rectified(
    pixels: "NDArray[np.uint8]",
    corners_px: Corners,
    aspect: float,
    *,
    whole: bool = True,
    longest_px: int = 1600,
    scale: float = 1.0,
) -> "NDArray[np.uint8]":
    """Give a picture warped flat, to be shown: white where there is no picture.

    Parameters
    ----------
    pixels
        Grey (h, w) or coloured (h, w, 3 or 4) bytes.
    corners_px, aspect
        The corners in pixels of the full picture, and width over height of what they surround.
    whole
        Whether all of the picture is wanted, or only what the corners surround.
    longest_px
        The longer side of what comes out.
    scale
        How many pixels of ``pixels`` make one of the full picture, where a reduced copy is warped.
    """
    import cv2
    import numpy as np

    small: Corners = tuple((x * scale, y * scale) for x, y in corners_px)  # type: ignore[assignment]  # four of four
    height, width = pixels.shape[:2]
    flat = flattened(small, aspect, (width, height) if whole else None, longest_px=longest_px)
    matrix = np.array(flat.px_to_flat).reshape(3, 3)
    warped = cv2.warpPerspective(
        pixels, matrix, (flat.width_px, flat.height_px), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT,
        borderValue=(255, 255, 255, 255),
    )  # fmt: skip
    return np.asarray(warped, dtype=np.uint8)


def _turn(a: Spot, b: Spot, c: Spot) -> float:
    """Give the sine of the turn at b on the way from a to c: above zero to the right, as the picture is seen."""
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    return cross / (math.dist(a, b) * math.dist(b, c))


def _of_square(corners: Corners) -> Transform:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    sx, sy = x0 - x1 + x2 - x3, y0 - y1 + y2 - y3
    d1x, d1y, d2x, d2y = x1 - x2, y1 - y2, x3 - x2, y3 - y2
    area = d1x * d2y - d1y * d2x
    g, h = (sx * d2y - sy * d2x) / area, (d1x * sy - d1y * sx) / area
    return (x1 - x0 + g * x1, x3 - x0 + h * x3, x0, y1 - y0 + g * y1, y3 - y0 + h * y3, y0, g, h, 1.0)


def _near_side(transform: Transform, corners_px: Corners, picture_px: tuple[int, int]) -> list[Spot]:
    """Give the outline of the part of a picture that lies well on this side of the horizon."""
    g, h, i = transform[6:]
    depths = [g * x + h * y + i for x, y in corners_px]
    sign = math.copysign(1.0, depths[0])
    least = min(abs(depth) for depth in depths) / _FARTHEST
    width, height = picture_px
    outline: list[Spot] = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    kept: list[Spot] = []
    for before, here in zip([outline[-1], *outline[:-1]], outline, strict=True):
        was, now = (sign * (g * x + h * y + i) - least for x, y in (before, here))
        if (was < 0) != (now < 0):
            share = was / (was - now)
            kept.append((before[0] + share * (here[0] - before[0]), before[1] + share * (here[1] - before[1])))
        if now >= 0:
            kept.append(here)
    return kept


def _cross(a: tuple[float, float, float], b: tuple[float, float, float]) -> tuple[float, float, float]:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _dot(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
