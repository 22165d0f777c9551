"""Rooms reshaped by their sides: a wall that is dragged takes both of its faces along.

Nothing given here is invalid: what would cross itself, vanish or run over another room is refused in a sentence.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.records import Room
from circuitmap.plan.outlines import Corner, Outline, area_m2, check_outline, polygon_of, tidy_outline
from circuitmap.plan.rooms import WALL_GAP_MM, has_outline

if TYPE_CHECKING:
    import shapely

GRID_MM: Final = 10

# Faces within 2° of parallel are one wall's; further off the wall would change its thickness along the way.
_PARALLEL: Final = math.cos(math.radians(2))
_SHARED_MM: Final = 100.0
# Outlines drawn a little over one another still are two faces of one wall.
_OVER_MM: Final = -30.0
_SLANT: Final = 0.05
_OVERLAP_MM2: Final = 5_000.0
_LEAST_M2: Final = 0.02


@dataclass(frozen=True)
class Face:
    """One side of a room: where it runs, and which way is out of the room (both of length 1), in mm."""

    room: str
    number: int
    x: float
    y: float
    along: tuple[float, float]
    out: tuple[float, float]
    length: float

    def off(self, x: float, y: float) -> float:
        """Give how far out of the room a spot lies from this side's line."""
        return (x - self.x) * self.out[0] + (y - self.y) * self.out[1]

    def on(self, x: float, y: float) -> float:
        """Give how far along this side's line a spot lies."""
        return (x - self.x) * self.along[0] + (y - self.y) * self.along[1]

    def span(self, other: "Face") -> tuple[float, float]:
        """Give where another face lies along this one, from and to."""
        ends = (self.on(other.x, other.y), self.on(*other.far))
        return min(ends), max(ends)

    @property
    def far(self) -> tuple[float, float]:
        """The end of the side."""
        return self.x + self.length * self.along[0], self.y + self.length * self.along[1]

    def away(self, other: "Face") -> float:
        """Give how far out another face lies, in the middle of it."""
        return (self.off(other.x, other.y) + self.off(*other.far)) / 2

    def turned(self, other: "Face") -> float:
        """Give 1 where both look the same way, -1 where they look at each other."""
        return self.out[0] * other.out[0] + self.out[1] * other.out[1]


@dataclass(frozen=True)
class Stuck:
    """How far to move after sticking to what is near, and to what in a word ("" when only the grid spoke)."""

    delta_mm: float
    why: str


def faces_of(room: str, outline_mm: Sequence[Corner]) -> list[Face]:
    """Give the sides of an outline in its own order, each with the way out."""
    outline = tidy_outline(outline_mm)
    ends = list(zip(outline, (*outline[1:], outline[0]), strict=True)) if len(outline) > 2 else []
    turn = 1.0 if sum(ax * by - bx * ay for (ax, ay), (bx, by) in ends) > 0 else -1.0
    found = []
    for number, ((ax, ay), (bx, by)) in enumerate(ends):
        length = math.hypot(bx - ax, by - ay)
        along = ((bx - ax) / length, (by - ay) / length)
        found.append(Face(room, number, ax, ay, along, (turn * along[1], -turn * along[0]), length))
    return found


def wall_faces(rooms: Iterable[Room], room: str, side: int, gap_mm: float = WALL_GAP_MM) -> tuple[Face, ...]:
    """Give the faces of the wall that one side of a room belongs to, that side first.

    What faces it across no more than a wall is on the same wall, and so is what faces that in turn: the bedrooms
    along one side of a hall go together.
    """
    faces = [face for each in rooms if has_outline(each) for face in faces_of(each.id, each.outline_mm)]
    first = next((face for face in faces if (face.room, face.number) == (room, side)), None)
    if first is None:
        raise HomeError("This room has no such side; choose the room again.")
    reached, todo = {(room, side): first}, [first]
    while todo:
        for other in _across(todo.pop(), faces, gap_mm):
            if (other.room, other.number) not in reached:
                reached[other.room, other.number] = other
                todo.append(other)
    return tuple(reached.values())


def move_side(
    rooms: Sequence[Room], room: str, side: int, delta_mm: float, *, alone: bool = False
) -> dict[str, Outline]:
    """Move a side of a room out (in, when negative), and the whole wall with it.

    Parameters
    ----------
    rooms
        The rooms of one storey.
    room, side
        Which side: side 0 runs from the outline's first corner to its second.
    alone
        Leave the other faces of the wall where they are.

    Returns
    -------
    dict
        The outlines that change, by the ids of their rooms.

    Raises
    ------
    HomeError
        When a side would go past the one opposite, or a room would run over another.
    """
    wall = wall_faces(rooms, room, side)
    shifts: dict[str, dict[int, float]] = {}
    for face in wall[:1] if alone else wall:
        shifts.setdefault(face.room, {})[face.number] = delta_mm * (1.0 if face.turned(wall[0]) > 0 else -1.0)
    known = {each.id: each for each in rooms}
    after = {each: _shifted(known[each], by) for each, by in shifts.items()}
    check_apart(rooms, after)
    return after


def stick_side(
    rooms: Sequence[Room], room: str, side: int, delta_mm: float, *, gap_mm: float, reach_mm: float, alone: bool = False
) -> Stuck:
    """Give how far a dragged side should go: a wall off what faces it, in line with another side, or whole steps."""
    wall = wall_faces(rooms, room, side)
    first = wall[0]
    moving = {(face.room, face.number) for face in (wall[:1] if alone else wall)}
    best: tuple[float, float, str] | None = None
    for each in rooms:
        for other in faces_of(each.id, each.outline_mm):
            turned = first.turned(other)
            if (other.room, other.number) in moving or abs(turned) < _PARALLEL:
                continue
            away = first.away(other)
            wanted, why = (away, "in line") if turned > 0 else (away - gap_mm, f"a wall off {each.name}")
            if turned < 0 and not _overlaps(first, other):
                continue
            missed = abs(wanted - delta_mm) + (0.5 if turned > 0 else 0.0)
            if missed <= reach_mm and (best is None or missed < best[0]):
                best = (missed, wanted, why)
    if best is not None:
        return Stuck(best[1], best[2])
    depth = depth_of(rooms, room, side)
    return Stuck(round((depth + delta_mm) / GRID_MM) * GRID_MM - depth, "")


def depth_of(rooms: Iterable[Room], room: str, side: int) -> float:
    """Give the length that moving a side changes: the longer of the two sides that end on it."""
    faces = next(faces_of(each.id, each.outline_mm) for each in rooms if each.id == room)
    before, after = faces[side - 1], faces[(side + 1) % len(faces)]
    return max(before, after, key=lambda face: (_square(face, faces[side]), face.length)).length


def resize(rooms: Sequence[Room], room: str, width_mm: int, depth_mm: int) -> dict[str, Outline]:
    """Bring a rectangular room to a size by moving its right side and its lower one, and their walls.

    Raises
    ------
    HomeError
        When the room is no rectangle that lies straight on the plan, or another is in the way.
    """
    now = {each.id: each for each in rooms}
    for out, size_mm in (((1.0, 0.0), width_mm), ((0.0, 1.0), depth_mm)):
        faces = faces_of(room, now[room].outline_mm)
        side = next((face for face in faces if face.out == out), None)
        if len(faces) != 4 or side is None:
            raise HomeError(f"“{now[room].name}” is no plain rectangle; drag its sides, or type their lengths there.")
        delta = size_mm - depth_of(now.values(), room, side.number)
        for each, outline in move_side(list(now.values()), room, side.number, delta).items():
            now[each] = msgspec.structs.replace(now[each], outline_mm=outline)
    return {each.id: now[each.id].outline_mm for each in rooms if now[each.id] != each}


def check_apart(rooms: Iterable[Room], after: Mapping[str, Outline]) -> None:
    """Refuse outlines that run over another room where they did not before; a cupboard may lie within a room."""
    drawn = [room for room in rooms if has_outline(room) or room.id in after]
    for room in drawn:
        if room.id not in after:
            continue
        mine = polygon_of(after[room.id])
        for other in drawn:
            if other.id == room.id:
                continue
            theirs = polygon_of(after.get(other.id, other.outline_mm))
            if not mine.intersects(theirs) or theirs.covers(mine):
                continue
            before = polygon_of(room.outline_mm).intersection(polygon_of(other.outline_mm)).area
            if _overlap(mine, theirs) > before + _OVERLAP_MM2:
                raise HomeError(f"“{room.name}” would run over “{other.name}”; move that one first, or go less far.")


def _overlap(one: "shapely.Geometry", other: "shapely.Geometry") -> float:
    return float(one.intersection(other).area)


def _across(face: Face, faces: Iterable[Face], gap_mm: float) -> list[Face]:
    """Give the faces that look at one across a wall and are not hidden behind a nearer one."""
    near = [
        (face.away(other), other)
        for other in faces
        if other is not face
        and face.turned(other) < -_PARALLEL
        and _OVER_MM <= face.away(other) <= gap_mm
        and _overlaps(face, other)
    ]
    seen: list[Face] = []
    hidden: list[tuple[float, float]] = []
    for _, other in sorted(near, key=lambda each: each[0]):
        start, end = face.span(other)
        start, end = max(0.0, start), min(face.length, end)
        if _uncovered(start, end, hidden) >= _SHARED_MM:
            seen.append(other)
        hidden.append((start, end))
    return seen


def _uncovered(start: float, end: float, hidden: Iterable[tuple[float, float]]) -> float:
    left = 0.0
    at = start
    for from_, to in sorted(hidden):
        left += max(0.0, min(from_, end) - at)
        at = max(at, to)
    return left + max(0.0, end - at)


def _overlaps(face: Face, other: Face) -> bool:
    start, end = face.span(other)
    return min(face.length, end) - max(0.0, start) >= _SHARED_MM


def _square(face: Face, side: Face) -> bool:
    return abs(face.along[0] * side.along[0] + face.along[1] * side.along[1]) < 0.5


def _shifted(room: Room, by: Mapping[int, float]) -> Outline:
    """Give an outline with some sides moved out; where two sides run straight on, a step comes between them."""
    outline = tidy_outline(room.outline_mm)
    faces = faces_of(room.id, outline)
    groups: list[list[tuple[float, float]]] = []
    for number, face in enumerate(faces):
        before = faces[number - 1]
        d_before, d_own = by.get((number - 1) % len(faces), 0.0), by.get(number, 0.0)
        turn = before.along[0] * face.along[1] - before.along[1] * face.along[0]
        lines = [
            (each.x + d * each.out[0], each.y + d * each.out[1]) for each, d in ((before, d_before), (face, d_own))
        ]
        if d_before == d_own == 0:
            groups.append([(face.x, face.y)])
        elif abs(turn) < _SLANT:
            steps = [
                (face.x + d * each.out[0], face.y + d * each.out[1]) for each, d in ((before, d_before), (face, d_own))
            ]
            groups.append(steps[1:] if abs(d_before - d_own) < 0.5 else steps)
        else:
            (ax, ay), (bx, by_) = lines
            along = ((bx - ax) * face.along[1] - (by_ - ay) * face.along[0]) / turn
            groups.append([(ax + along * before.along[0], ay + along * before.along[1])])
    for number, face in enumerate(faces):
        start, end = groups[number][-1], groups[(number + 1) % len(faces)][0]
        if (end[0] - start[0]) * face.along[0] + (end[1] - start[1]) * face.along[1] < -0.5:
            raise HomeError(f"A side of “{room.name}” can't go past the one opposite; go less far.")
    corners = [(round(x), round(y)) for group in groups for x, y in group]
    if area_m2(corners) < _LEAST_M2:
        raise HomeError(f"That would leave nothing of “{room.name}”; go less far.")
    return check_outline(corners, room.name)
