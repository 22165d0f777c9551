"""Which way is which: front and rear, left and right, north; areas per room and storey.

Left and right are as one sees the house from its front, out of doors, as people say it; angles count from 0° (right on
the plan) through 90° (down the plan).
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Details, Room
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.outlines import area_m2, polygon_of, union_area_m2
from circuitmap.plan.rooms import has_outline
from circuitmap.plan.where import rooms_on

_WINDS: Final = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
# The middle of a house is what lies within this share of its depth or width from its centre line (our own estimate).
_MIDDLE: Final = 1 / 6


@dataclass(frozen=True)
class Areas:
    """Floor areas of one storey in square metres: per room by id, and of all together, counting overlaps once."""

    rooms_m2: dict[str, float]
    total_m2: float


def areas_of(home: Home, memo: Memo, storey: str) -> Areas:
    """Give the areas of a storey's drawn rooms and their total; worked out again only when an outline changed."""
    rooms = [room for room in rooms_on(home, memo, storey) if has_outline(room)]
    parts = tuple(part for room in rooms for part in (room.id, room.outline_mm))

    def make() -> Areas:
        each = {room.id: area_m2(room.outline_mm) for room in rooms}
        return Areas(each, union_area_m2(room.outline_mm for room in rooms) if rooms else 0.0)

    return memo.get("plan.areas", storey, parts, make)


def heading(details: Details, way_deg: float) -> str:
    """Give the wind that a way on the plan points to, like "north-east"; "" where north is not known."""
    if details.north_deg is None:
        return ""
    return _WINDS[round((way_deg - details.north_deg) / 45) % 8]


def side_of(home: Home, memo: Memo, storey: str, x_mm: float, y_mm: float) -> str:
    """Give where in the house a spot lies, like "front left" or "rear"; "" where the front is not known.

    The house is what is drawn on the spot's storey; a spot within a sixth of its depth or width from the middle is said
    to be neither.
    """
    front = home.details.front_deg
    rooms = [room for room in rooms_on(home, memo, storey) if has_outline(room)]
    if front is None or not rooms:
        return ""
    ahead_x, ahead_y = math.cos(math.radians(front)), math.sin(math.radians(front))
    corners = [corner for room in rooms for corner in room.outline_mm]
    # Who stands before the house looks against the way its front looks, and has (ahead_y, −ahead_x) on the right hand.
    return _words(
        _share([x * ahead_x + y * ahead_y for x, y in corners], x_mm * ahead_x + y_mm * ahead_y),
        _share([x * ahead_y - y * ahead_x for x, y in corners], x_mm * ahead_y - y_mm * ahead_x),
    )


def side_of_room(home: Home, memo: Memo, room: Room) -> str:
    """Give where in the house a room lies, by the middle of its floor; "" where it or the front is not known."""
    if not has_outline(room) or room.storey is None:
        return ""
    middle = polygon_of(room.outline_mm).centroid
    return side_of(home, memo, room.storey, float(middle.x), float(middle.y))


def told_apart(home: Home, memo: Memo, rooms: Iterable[Room]) -> dict[str, str]:
    """Give names that tell rooms of one name apart by where they lie: "bedroom (front left)"; others keep theirs."""
    listed = list(rooms)
    named: dict[str, list[Room]] = {}
    for room in listed:
        named.setdefault(room.name.casefold().strip(), []).append(room)
    found = {room.id: room.name for room in listed}
    for alike in named.values():
        sides = [side_of_room(home, memo, room) for room in alike]
        if len(alike) > 1 and _tell_apart(sides):
            found |= {room.id: f"{room.name} ({side})" for room, side in zip(alike, sides, strict=True) if side}
    return found


def _tell_apart(sides: Sequence[str]) -> bool:
    return len(set(sides)) == len(sides)


def _share(values: Sequence[float], value: float) -> float:
    """Give where a value lies between the least and the most: 0 in the middle, ±0.5 at the ends."""
    low, high = min(values), max(values)
    return (value - (low + high) / 2) / (high - low) if high > low else 0.0


def _words(ahead: float, right: float) -> str:
    depth = "front" if ahead > _MIDDLE else "rear" if ahead < -_MIDDLE else ""
    aside = "right" if right > _MIDDLE else "left" if right < -_MIDDLE else ""
    return f"{depth} {aside}".strip() or "middle"
