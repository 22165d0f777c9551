"""Outlines as polygons: whether one can be used, its area, the area of several together.

The geometry library costs a tenth of a second to load, so it is imported when the first polygon is asked for.
"""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.errors import HomeError

if TYPE_CHECKING:
    import shapely

Corner = tuple[int, int]
Outline = tuple[Corner, ...]

# A cupboard for a meter is some 0.1 m²; what is smaller was a slip of the hand.
_SMALLEST_M2: Final = 0.02
_MM2_PER_M2: Final = 1e6
_AT: Final = re.compile(r"\[(\S+) (\S+)\]")


@dataclass(frozen=True)
class Side:
    """One side of an outline: where it starts, the direction it takes (of length 1), and its length, in mm."""

    x: float
    y: float
    along_x: float
    along_y: float
    length: float


def tidy_outline(outline_mm: Sequence[Corner]) -> Outline:
    """Give an outline without its corners drawn twice in a row, and without the first repeated at the end."""
    kept: list[Corner] = []
    for corner in outline_mm:
        if not kept or corner != kept[-1]:
            kept.append(corner)
    while len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    return tuple(kept)


def check_outline(outline_mm: Sequence[Corner], name: str = "") -> Outline:
    """Give a room's outline tidied, or refuse it in one sentence.

    Raises
    ------
    HomeError
        When it has fewer than three corners, no area to speak of, or crosses or touches itself (naming where).
    """
    outline = tidy_outline(outline_mm)
    called = _called(name)
    if len(outline) < 3:
        raise HomeError(f"The outline{called} needs at least three different corners; go on drawing.")
    where = _crossing(outline)
    if where:
        raise HomeError(f"The outline{called} crosses or touches itself {where}; move one of these corners.")
    if area_m2(outline) < _SMALLEST_M2:
        raise HomeError(f"The outline{called} has no area to speak of; draw its corners further apart.")
    return outline


def area_m2(outline_mm: Sequence[Corner]) -> float:
    """Give the area inside an outline, in square metres (0 for one that isn't drawn)."""
    return float(polygon_of(outline_mm).area) / _MM2_PER_M2


def union_area_m2(outlines_mm: Iterable[Sequence[Corner]]) -> float:
    """Give the area that outlines on one storey cover together, counting what overlaps once."""
    import shapely

    polygons = [polygon_of(outline) for outline in outlines_mm]
    return float(shapely.union_all(polygons).area) / _MM2_PER_M2


def polygon_of(outline_mm: Sequence[Corner]) -> "shapely.Geometry":
    """Give an outline as a valid geometry: one that crosses itself (from a file) is split where it does."""
    import shapely

    outline = tidy_outline(outline_mm)
    if len(outline) < 3:
        return shapely.Polygon()
    polygon = shapely.Polygon(outline)
    return polygon if polygon.is_valid else shapely.make_valid(polygon)


def sides_of(outline_mm: Sequence[Corner]) -> list[Side]:
    """Give the sides of an outline, all going round the same way: the inside is a quarter turn on (x to y)."""
    outline = tidy_outline(outline_mm)
    if len(outline) < 2:
        return []
    ends = list(zip(outline, (*outline[1:], outline[0]), strict=True))
    if sum(ax * by - bx * ay for (ax, ay), (bx, by) in ends) < 0:
        ends = [(b, a) for a, b in reversed(ends)]
    sides = []
    for (ax, ay), (bx, by) in ends:
        length = math.hypot(bx - ax, by - ay)
        sides.append(Side(ax, ay, (bx - ax) / length, (by - ay) / length, length))
    return sides


def _crossing(outline: Outline) -> str:
    """Say where an outline meets itself, "" when it does not."""
    import shapely

    polygon = shapely.Polygon(outline)
    if polygon.is_valid:
        return ""
    found = _AT.search(str(shapely.is_valid_reason(polygon)))
    if found is None:
        return "somewhere"
    x_mm, y_mm = float(found[1]), float(found[2])
    says = f"({x_mm / 1000:.2f} m across, {y_mm / 1000:.2f} m down)"
    sides = shapely.linestrings([[a, b] for a, b in zip(outline, (*outline[1:], outline[0]), strict=True)])
    near = [int(side) for side in (shapely.distance(sides, shapely.Point(x_mm, y_mm)) < 0.01).nonzero()[0]]
    pairs = [(a, b) for k, a in enumerate(near) for b in near[k + 1 :]]
    if not pairs:
        return says
    count = len(outline)
    # Neighbours share a corner honestly: name the two that lie furthest apart along the outline.
    first, second = max(pairs, key=lambda pair: min(pair[1] - pair[0], count - pair[1] + pair[0]))
    return f"where its side {_side(first, count)} meets its side {_side(second, count)} {says}"


def _side(side: int, count: int) -> str:
    return f"{side + 1}–{(side + 1) % count + 1}"


def _called(name: str) -> str:
    if not name:
        return ""
    return f" of “{name if len(name) <= 40 else name[:39] + '…'}”"
