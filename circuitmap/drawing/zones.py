"""Bathroom zones as soft areas with their numbers: a help for the eye while something is placed, never a finding."""

from collections.abc import Iterable
from typing import Final

from circuitmap.drawing.marks import Area, Ink, Mark, Words
from circuitmap.plan.zones import Zone

# The lower the number the stronger the wash, so that the zones can be told without colour too.
_WASH: Final = {0: 0.34, 1: 0.22, 2: 0.11}
_EDGE: Final = {0: (), 1: (), 2: (6.0, 4.0)}


def zone_marks(zones: Iterable[Zone]) -> tuple[Mark, ...]:
    """Give zones as washes, the highest number lowest, each with its number inside it."""
    areas: list[Mark] = []
    numbers: list[Mark] = []
    for zone in sorted(zones, key=lambda each: -each.number):
        rings = zone.rings()
        if not rings:
            continue
        edge = Ink("zone", 1.25, _EDGE.get(zone.number, ()))
        areas.append(Area("area", rings, "zone", edge, _WASH.get(zone.number, 0.11)))
        numbers.append(_number(zone))
    return (*areas, *numbers)


def _number(zone: Zone) -> Words:
    import shapely

    parts = [part for part in shapely.get_parts(zone.area).tolist() if part.geom_type == "Polygon"]
    largest = max(parts, key=lambda part: float(part.area))
    spot = largest.representative_point() if zone.number else largest.centroid
    # Zone 1 lies over zone 0: their numbers stand beside each other.
    aside = {0: 14.0, 1: -14.0}.get(zone.number, 0.0)
    at = float(spot.x), float(spot.y)
    return Words("area", str(zone.number), at, "zone", 12.0, "middle", (aside, 0.0), bold=True, plate=True)
