"""Walls of a room by numbers, as people say them: wall 1 is the one with the door, the others follow clockwise.

Clockwise as seen from above, and so to the right as one stands in the room with its walls before one. Where several
walls have a door, or none has, wall 1 is among them the one that lies highest on the plan, and of two such the one
further left; a door from inside the home goes before one from out of doors.
"""

from typing import Final

from circuitmap.home.records import Room
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, faces_on
from circuitmap.trade import Trade

_WINDOW: Final = "window"
# Walls that lie as high as this on the plan are as high as each other (our own estimate).
_LEVEL_MM: Final = 150.0


def walls_of_room(home: Home, memo: Memo, trade: Trade, room: str) -> tuple[Face, ...]:
    """Give the faces of a room in the order of their numbers, wall 1 first; none where the room isn't drawn."""
    storey = _storey_of(home, room)
    if storey is None:
        return ()
    every = faces_on(home, memo, trade, storey)
    faces = tuple(face for face in every if face.room == room)
    return memo.get("plan.wall numbers", room, faces, lambda: _numbered(faces))


def number_of(home: Home, memo: Memo, trade: Trade, face: Face) -> int | None:
    """Give a face's number in its room, from 1; None for one of no room."""
    if face.room is None:
        return None
    walls = walls_of_room(home, memo, trade, face.room)
    return next((n for n, each in enumerate(walls, 1) if each.id == face.id), None)


def _storey_of(home: Home, room: str) -> str | None:
    record = home.find(Room, room)
    return record.storey if record is not None else None


def _numbered(faces: tuple[Face, ...]) -> tuple[Face, ...]:
    if not faces:
        return ()
    first = min(range(len(faces)), key=lambda n: (_door_rank(faces[n]), *_height(faces[n])))
    return faces[first:] + faces[:first]


def _door_rank(face: Face) -> int:
    """Tell a wall with a door from inside (0) from one with a door from out of doors (1) and one without (2)."""
    doors = [hole for hole in face.holes if hole.kind != _WINDOW and hole.sill_mm <= 0]
    if not doors:
        return 2
    inside = any(face.backed((door.from_mm + door.to_mm) / 2).outer is not True for door in doors)
    return 0 if inside else 1


def _height(face: Face) -> tuple[float, float]:
    x, y, _ = face.place(face.length_mm / 2, 0)
    return round(y / _LEVEL_MM), x
