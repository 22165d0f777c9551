"""Where a walk turns: openings that one can walk through, corners to go round, and the ground about a house."""

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Opening, Room
from circuitmap.plan.outlines import polygon_of, sides_of

if TYPE_CHECKING:
    import shapely

# How wide of a corner a person walks, and how thick the outer walls are at most (common practice, no source).
_ROUND_CORNER_MM: Final = 150.0
_OUTER_WALL_MM: Final = 300.0
_GROUNDS_MM: Final = 50_000.0
_NO_DOORS: Final = ("window", "hatch", "vent", "grille", "serving")


def can_pass(opening: Opening) -> bool:
    """Say whether one can walk through an opening: a door, an archway, a gate; not a window, nor one nobody named."""
    kind = opening.kind.lower()
    if "door" in kind or "french" in kind:
        return True
    return bool(kind.strip()) and not (opening.sill_mm or 0) and not any(word in kind for word in _NO_DOORS)


def corners_inwards(polygon: "shapely.Geometry") -> list[tuple[float, float]]:
    """Give the corners that stick into a polygon, each a step off into the free."""
    import shapely

    found: list[tuple[float, float]] = []
    for number, ring in enumerate([polygon.exterior, *polygon.interiors]):
        outline = [(round(x), round(y)) for x, y in ring.coords[:-1]]
        sides = sides_of(outline)  # going round so that the inside of the ring is a quarter turn on
        for before, after in zip([sides[-1], *sides[:-1]], sides, strict=True):
            bend = before.along_x * after.along_y - before.along_y * after.along_x
            # Such a corner bends away from the inside; that of a house in its grounds bends round the house.
            if (bend if number else -bend) < 1e-6:
                continue
            off_x, off_y = before.along_x - after.along_x, before.along_y - after.along_y
            long = math.hypot(off_x, off_y) or 1.0
            free = (after.x + _ROUND_CORNER_MM * off_x / long, after.y + _ROUND_CORNER_MM * off_y / long)
            found.append(free if shapely.contains_xy(polygon, *free) else (after.x, after.y))
    return found


def grounds(rooms: Iterable[Room]) -> "shapely.Geometry":
    """Give the ground round the rooms of a storey: what lies outside their outer walls."""
    import shapely

    house = shapely.union_all([polygon_of(room.outline_mm) for room in rooms])
    house = house.buffer(_OUTER_WALL_MM, join_style="mitre")
    left, top, right, low = house.bounds
    ground = shapely.box(left - _GROUNDS_MM, top - _GROUNDS_MM, right + _GROUNDS_MM, low + _GROUNDS_MM)
    return ground.difference(house)
