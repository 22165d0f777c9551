"""More ways to a scale: a room's known width, a scale printed on a sheet of paper, and whether the doors agree.

A transform is as in ``sheet``. Two points and a length, and the check by a second length, are there.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

from circuitmap.errors import HomeError, QuantityError
from circuitmap.plan.rectify import Corners, check_corners, compose, laid_flat
from circuitmap.plan.sheet import Spot, Transform, to_plan
from circuitmap.quantities import parse_length_mm, show_length, show_percent
from circuitmap.trade import Trade

# Short and long side in millimetres. Source: ISO 216.
PAPERS_MM: Final = {
    "A0": (841, 1189), "A1": (594, 841), "A2": (420, 594), "A3": (297, 420), "A4": (210, 297), "A5": (148, 210),
}  # fmt: skip
# Source: a point of PDF is 1/72 inch (ISO 32000-1, 8.3.2.3).
MM_PER_POINT: Final = 25.4 / 72

_AS: Final = "1:50 at A3"
_SCALE: Final = re.compile(
    r"""\s*(?:scale)?[\s:=]*
    1\s*(?::|/|to|in)\s*(?P<ratio>\d+(?:[.,]\d+)?)
    \s*(?:(?:at|@|on|,|\()?\s*(?P<paper>A\d)\)?)?\s*""",
    re.VERBOSE | re.IGNORECASE,
)
_EQUALS: Final = re.compile(
    r"^(?P<drawn>[^=]+?)\s*(?:=|\bto\b)\s*(?P<real>.+?)(?:\s*(?:at|@|on|,)\s*(?P<paper>A\d))?$", re.I
)
_LEAST_RATIO: Final = 5.0
_MOST_RATIO: Final = 2500.0
# A scan is cropped by a few millimetres; sheets of the A series differ by 41 % from the next.
_SHAPE_AGREES: Final = 0.03
_PAPER_AGREES_MM: Final = 4.0
_LEAST_DPI: Final = 20.0
_MOST_DPI: Final = 5000.0
_AGREES: Final = 0.02
_POOR: Final = 0.10
# A gap in a wall is a leaf with its frame, or the leaf alone where the frame is drawn (common practice, no source).
_FRAME_MM: Final = 110.0
_SLACK_MM: Final = 60.0
_MANY: Final = 3


@dataclass(frozen=True)
class PrintedScale:
    """A scale as printed: 1 to ``ratio`` when the sheet is as large as ``paper`` ("" when no paper was named)."""

    ratio: float
    paper: str = ""


@dataclass(frozen=True)
class Scaled:
    """A transform with what must be said of it ("" when nothing must)."""

    px_to_plan_mm: Transform
    says: str


def parse_printed_scale(typed: str) -> PrintedScale:
    """Read a printed scale: ``1:50 at A3``, ``1/100``, ``1 to 50 on A1``, ``1/4" = 1'``.

    Raises
    ------
    QuantityError
        When the text is no scale, or not one that a plan of a home has.
    """
    text = " ".join(typed.replace("∶", ":").split())
    if len(text) > 60:
        raise QuantityError(typed, "a printed scale", f"write it like {_AS}")
    found = _SCALE.fullmatch(text)
    if found is not None:
        ratio, paper = float(found["ratio"].replace(",", ".")), found["paper"]
    else:
        both = _EQUALS.match(text)
        if both is None:
            raise QuantityError(typed, "a printed scale", f"write it like {_AS}")
        ratio, paper = parse_length_mm(both["real"]) / parse_length_mm(both["drawn"]), both["paper"]
    if not _LEAST_RATIO <= ratio <= _MOST_RATIO:
        why = f"plans of homes are drawn between 1:{_LEAST_RATIO:.0f} and 1:{_MOST_RATIO:.0f}"
        raise QuantityError(typed, "a printed scale", why)
    name = (paper or "").upper()
    if name and name not in PAPERS_MM:
        raise QuantityError(typed, "a printed scale", f"paper {name} is not known here; there are {_papers()}")
    return PrintedScale(ratio, name)


def paper_of(width_mm: float, height_mm: float) -> str:
    """Give the name of the paper that has a size, either way up; "" for none of the A series."""
    short, long = sorted((width_mm, height_mm))
    for name, (a, b) in PAPERS_MM.items():
        if abs(short - a) <= _PAPER_AGREES_MM and abs(long - b) <= _PAPER_AGREES_MM:
            return name
    return ""


def mm_per_px_of_paper(width_px: int, height_px: int, paper: str) -> float:
    """Give the millimetres of paper to a pixel of a picture that shows a whole sheet and nothing else.

    Raises
    ------
    HomeError
        When the picture has not the shape of the paper: cropped, or another sheet.
    """
    if paper not in PAPERS_MM:
        raise HomeError(f"Paper “{paper[:20]}” is not known here; there are {_papers()}.")
    short, long = PAPERS_MM[paper]
    small, large = sorted((width_px, height_px))
    if abs(large / small / (long / short) - 1) > _SHAPE_AGREES:
        raise HomeError(
            f"This picture is not the shape of a whole sheet of {paper}: it was cropped, or shows more than the sheet. "
            "Straighten it by the sheet's corners, or set the scale from two points and a length."
        )
    return (long / large + short / small) / 2


def mm_per_px_of_dpi(dpi: float) -> float:
    """Give the millimetres of paper to a pixel of a scan, from the dots per inch it was made with.

    Raises
    ------
    HomeError
        When no scanner makes so many or so few.
    """
    if not _LEAST_DPI <= dpi <= _MOST_DPI:
        raise HomeError(f"{dpi:g} dots per inch are no scan's; look at the picture's settings, often 150, 300 or 600.")
    return 25.4 / dpi


def scale_from_print(
    scale: PrintedScale, mm_per_px: float, page_mm: tuple[float, float] | None = None, *, origin_mm: Spot = (0.0, 0.0)
) -> Scaled:
    """Give the transform of a sheet that says its scale in print.

    Parameters
    ----------
    scale
        As printed.
    mm_per_px
        Millimetres of the page to a pixel: by points exactly for a PDF, by paper or dots per inch for a picture.
    page_mm
        Width and height of the page. A sheet drawn for one paper and printed or saved on another is smaller by the
        ratio of their long sides, and its scale with it.
    origin_mm
        Where the picture's top left corner shall lie on the plan.

    Raises
    ------
    HomeError
        When the page has not the shape of the paper that the scale is said to hold for.
    """
    if not (math.isfinite(mm_per_px) and mm_per_px > 0):
        raise HomeError("How large the page is printed is not known; set the scale from two points and a length.")
    ratio, says = scale.ratio, ""
    if scale.paper and page_mm is not None:
        short, long = PAPERS_MM[scale.paper]
        small, large = sorted(page_mm)
        if small <= 0 or abs(large / small / (long / short) - 1) > _SHAPE_AGREES:
            raise HomeError(
                f"This page is {small:.0f} × {large:.0f} mm, not the shape of {scale.paper}, so its printed scale "
                "can't be used; set the scale from two points and a length."
            )
        if paper_of(*page_mm) != scale.paper:
            ratio *= long / large
            called = paper_of(*page_mm) or f"{small:.0f} × {large:.0f} mm"
            says = f"The page is {called}, so 1:{scale.ratio:g} at {scale.paper} is 1:{ratio:.3g} here."
    size = ratio * mm_per_px
    x, y = origin_mm
    warns = "Printers and copiers shrink sheets to fit: check one length."
    return Scaled((size, 0.0, x, 0.0, size, y, 0.0, 0.0, 1.0), f"{says} {warns}".strip())


def paper_sides_mm(paper: str, corners_px: Corners) -> tuple[float, float]:
    """Give width and height of a sheet of paper as it lies between four corners: on its long side or upright.

    Raises
    ------
    HomeError
        When no paper has that name, or the corners can't be those of a flat sheet.
    """
    if paper not in PAPERS_MM:
        raise HomeError(f"Paper “{paper[:20]}” is not known here; there are {_papers()}.")
    check_corners(corners_px)
    short, long = PAPERS_MM[paper]
    a, b, c, d = corners_px
    lies = math.dist(a, b) + math.dist(d, c) >= math.dist(a, d) + math.dist(b, c)
    return (float(long), float(short)) if lies else (float(short), float(long))


def laid_by_print(corners_px: Corners, scale: PrintedScale, *, origin_mm: Spot = (0.0, 0.0)) -> Scaled:
    """Give the transform of a photographed sheet from its four corners and the scale printed on it.

    Raises
    ------
    HomeError
        When the scale names no paper, or the corners can't be those of a flat sheet.
    """
    if not scale.paper:
        raise HomeError(f"Say the size of the sheet too, like {_AS}; or set the scale from two points and a length.")
    width, height = paper_sides_mm(scale.paper, corners_px)
    transform = laid_flat(corners_px, width * scale.ratio, height * scale.ratio, origin_mm=origin_mm)
    return Scaled(transform, "Printers and copiers shrink sheets to fit: check one length.")


def scaled_to(
    px_to_plan_mm: Transform, a_px: Spot, b_px: Spot, length_mm: float, *, keep_px: Spot | None = None
) -> Transform:
    """Give a transform made larger or smaller so that two pixels lie a measured length apart.

    What it straightens and turns is kept, so that a photograph laid flat first gets its scale afterwards.

    Parameters
    ----------
    px_to_plan_mm
        The transform as it is.
    a_px, b_px, length_mm
        The two ends on the picture, and what was measured between them.
    keep_px
        The pixel whose place on the plan stays; the first end by default.

    Raises
    ------
    HomeError
        When both ends are in one place, or the length is not more than zero.
    """
    if not (math.isfinite(length_mm) and length_mm > 0):
        raise HomeError("The measured length must be more than zero; type what was measured, like 3.2 m.")
    a, b = to_plan(px_to_plan_mm, *a_px), to_plan(px_to_plan_mm, *b_px)
    if math.dist(a_px, b_px) < 1 or math.dist(a, b) == 0:
        raise HomeError("Both ends of the length are the same spot of the picture; choose two that lie far apart.")
    times = length_mm / math.dist(a, b)
    x, y = to_plan(px_to_plan_mm, *(keep_px if keep_px is not None else a_px))
    return compose((times, 0.0, x * (1 - times), 0.0, times, y * (1 - times), 0.0, 0.0, 1.0), px_to_plan_mm)


def scale_from_room(corners_px: Sequence[Spot], across_mm: float | None = None, down_mm: float | None = None) -> Scaled:
    """Give the scale of a picture from a room outlined on it whose width, depth or both are known.

    The room's own directions are taken, so that a plan lying a little crooked is measured along its walls. Two sizes
    are weighed by their lengths, and what they differ by is said.

    Raises
    ------
    HomeError
        When the outline has no size, or neither width nor depth is known.
    """
    sizes = [value for value in (across_mm, down_mm) if value is not None]
    if not sizes or not all(math.isfinite(value) and value > 0 for value in sizes):
        raise HomeError("Type the room's width or its depth, more than zero, like 3.6 m.")
    if len(corners_px) < 3:
        raise HomeError("The room has no outline to take a scale from; draw or click it first.")
    across_px, down_px = _extents(corners_px)
    pairs = [(px, mm) for px, mm in ((across_px, across_mm), (down_px, down_mm)) if mm is not None]
    if min(px for px, _ in pairs) < 10:
        raise HomeError("This room is too small on the picture to take a scale from; choose a larger one.")
    size = sum(mm for _, mm in pairs) / sum(px for px, _ in pairs)
    says = "One size only: check another length across it, since pictures are often stretched."
    if len(pairs) == 2:
        ratio = (across_px / pairs[0][1]) / (down_px / pairs[1][1])
        apart = max(ratio, 1 / ratio) - 1
        says = f"Width and depth agree within {show_percent(apart)}."
        if apart > _AGREES:
            says = (
                f"Width and depth differ by {show_percent(apart)}: lengths taken from this plan may be out by as much."
            )
        if apart > _POOR:
            says += " Check both; if they are right, the picture is not to scale."
    return Scaled((size, 0.0, 0.0, 0.0, size, 0.0, 0.0, 0.0, 1.0), says)


def door_check(openings_mm: Sequence[float], trade: Trade) -> str:
    """Say when doors come out wider or narrower than doors are; an empty text when they agree or there are none.

    The middle one of the widths is judged: one pair of leaves or one wide archway among several doors proves nothing.
    """
    widths = [width for width in openings_mm if math.isfinite(width) and width > 0]
    if not widths:
        return ""
    least, most = trade.size_mm("door leaf least"), trade.size_mm("door leaf most")
    double = trade.size_mm("double door most")
    middle = median(widths)
    if least - _SLACK_MM <= middle <= most + _FRAME_MM:
        return ""
    usual = f"a leaf is usually {least / 1000:.2f} to {most / 1000:.2f} m wide"
    todo = "Check the length, its unit and the two points."
    if len(widths) >= _MANY:
        times = middle / ((least + most) / 2)
        off = f"{times:.1f} times too large" if times > 1 else f"{1 / times:.1f} times too small"
        return f"Most doors come out {_wide(middle)} wide, and {usual}: the plan is some {off} at this scale. {todo}"
    what = "A door comes" if len(widths) == 1 else "Doors come"
    maybe = ""
    if most < middle <= double + _FRAME_MM:
        maybe = f", a pair of leaves up to {double / 1000:.2f} m; if this is a single door, the scale is out"
    return f"{what} out {_wide(middle)} wide, and {usual}{maybe}. {todo}"


def _wide(width_mm: float) -> str:
    return show_length(width_mm)


def _extents(corners: Sequence[Spot]) -> tuple[float, float]:
    """Give how far an outline reaches across and down, along the directions of its own sides."""
    sides = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    # Four times the angle makes the sides of a right angle agree; longer sides count for more.
    turn = math.atan2(
        sum(math.hypot(x, y) * math.sin(4 * math.atan2(y, x)) for x, y in sides),
        sum(math.hypot(x, y) * math.cos(4 * math.atan2(y, x)) for x, y in sides),
    ) / 4  # fmt: skip
    along = [x * math.cos(turn) + y * math.sin(turn) for x, y in corners]
    aside = [y * math.cos(turn) - x * math.sin(turn) for x, y in corners]
    return max(along) - min(along), max(aside) - min(aside)


def _papers() -> str:
    return ", ".join(PAPERS_MM)
