"""How a point stands: how high over the floor, and on which wall."""

import msgspec

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.storey_words import read_height
from circuitmap.errors import HomeError
from circuitmap.home import Change, Home, verbs
from circuitmap.home.cable_paths import ends_follow
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Plate, Point, Room, Wall
from circuitmap.plan import place_of

_HIGHEST_MM = 10_000


def read_point_height(value: object) -> int | None:
    """Read how high a point sits over the floor, in whole mm; nothing typed is unknown.

    Raises
    ------
    PersonError
        When the text is no height, or none that a point in a room has.
    """
    height = read_height(str(value))
    if height is not None and not 0 <= height <= _HIGHEST_MM:
        raise HomeError("A point sits between the floor and 10 m over it; type its height, like 450 mm or 1.2 m.")
    return height


def set_height(home: Home, point_id: str, height_mm: int | None) -> Change:
    """Set how high a point sits over the floor; those on one plate sit together, and drawn cables come to it there."""
    point = home.take(Point, point_id)
    stands: Point | Plate = home.take(Plate, point.plate) if point.plate is not None else point
    if stands.place is None:
        raise HomeError(f"Point {point_id} is not placed on the plan yet; place it first, then say how high it is.")
    place = msgspec.structs.replace(stands.place, height_mm=height_mm)
    set_ = verbs.edit(home, stands.id, f"Set height of {point.kind} {point_id}", place=place)
    return Change(set_.title, (*set_.pairs, *ends_follow(home, stands.id, place)))


def wall_words(adapter: Adapter, point: Point) -> str:
    """Say which wall a point stands on, "" where it stands on none that is drawn."""
    place = place_of(adapter.home, point)
    wall = adapter.home.find(Wall, place.wall) if place is not None and place.wall is not None else None
    if wall is None:
        return ""
    rooms = [room for room in (adapter.home.find(Room, each) for each in wall.rooms) if room is not None]
    names = " and ".join(shorten(room.name, 30) for room in rooms)
    if wall.outer:
        return f"On the outer wall {wall.id}."
    return f"On wall {wall.id} between {names}." if len(rooms) > 1 else f"On wall {wall.id}."
