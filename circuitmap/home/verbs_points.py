"""Verbs of points: add, move, share a plate."""

from collections.abc import Iterable

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.cable_paths import ends_follow
from circuitmap.home.change import Change, Pair
from circuitmap.home.records import Load, Place, Plate, Point
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import describe, edit
from circuitmap.words import PointKind


def add_point(
    home: Home,
    kind: PointKind,
    place: Place | None = None,
    room: str | None = None,
    name: str = "",
    where: str = "",
    gangs: int = 1,
    plate: str | None = None,
    fuse_a: float | None = None,
    loads: tuple[Load, ...] = (),
) -> Change:
    """Add a point at a place, on a plate, or (not yet placed) in a room."""
    record = Point(
        id=home.next_id(Point),
        kind=kind,
        place=place,
        room=room,
        name=name,
        where=where,
        gangs=gangs,
        plate=plate,
        fuse_a=fuse_a,
        loads=loads,
    )
    return Change(f"Add {describe(record)}", ((None, record),))


def move(home: Home, record_id: str, place: Place) -> Change:
    """Put a point or board somewhere; a point on a plate moves the plate with all that share it.

    The drawn paths of the cables that come to it go there with it.
    """
    record = home.get(record_id)
    title = f"Move {describe(record)}"
    fields: dict[str, object] = {"place": place}
    if isinstance(record, Point) and record.plate is not None:
        record_id, fields["room"] = record.plate, None
    elif getattr(record, "room", None) is not None:
        fields["room"] = None
    moved = edit(home, record_id, title, **fields)
    return Change(title, (*moved.pairs, *ends_follow(home, record_id, place)))


def share_plate(home: Home, point_ids: Iterable[str], depth_mm: int | None = None) -> Change:
    """Put several points on one plate, at the place of the first that has one.

    Raises
    ------
    HomeError
        When fewer than two points were named.
    """
    points = [home.take(Point, point_id) for point_id in dict.fromkeys(point_ids)]
    if len(points) < 2:
        raise HomeError("Choose at least two points to share a plate.")
    place = next((p.place for p in points if p.place is not None), None)
    room = next((p.room for p in points if p.room is not None), None)
    plate = Plate(id=home.next_id(Plate), place=place, room=room if place is None else None, depth_mm=depth_mm,
                  gangs=min(1000, sum(p.gangs for p in points)))  # fmt: skip
    pairs: list[Pair] = [(None, plate)]
    pairs += [(p, msgspec.structs.replace(p, place=None, room=None, plate=plate.id)) for p in points]
    return Change(f"Put {len(points)} points on one plate", tuple(pairs))
