"""Walls as seen from a room: faces with their own measure, what is behind and before them, what stands on them.

A face is one side of a room from corner to corner; where no room of a storey is drawn, one side of a wall. Along it
runs u, from the left end as one stands before it, in mm; up from the floor runs v.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from msgspec import Struct

from circuitmap import words
from circuitmap.home.records import Board, Fixture, Place, Plate, Point, Room, Storey, Wall, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.fixtures import outline_of
from circuitmap.plan.outlines import Side, sides_of
from circuitmap.plan.rooms import WALL_GAP_MM, has_outline
from circuitmap.plan.where import place_of, rooms_on
from circuitmap.trade import Trade

# A room's side as drawn may lie this far off the face of the wall that it belongs to; accessories off it likewise.
ON_FACE_MM: Final = 60.0
_PARALLEL: Final = math.sin(math.radians(15))
_OPPOSITE: Final = -math.cos(math.radians(15))
_STRAIGHT_ON: Final = 0.02
_LEAST_MM: Final = 20.0
# What stands nearer to a wall than this is before it: nobody works in a smaller gap (our own estimate).
_BEFORE_MM: Final = 150.0
# Joints are mostly where nobody sees them, and so tell nobody where a cable runs.
_UNSEEN: Final = frozenset(("junction box",))
_WIDE: Final = frozenset(("cooker control unit", "cooker connection unit"))


class Behind(Struct, frozen=True):
    """The wall behind a stretch of a face; without an id where none was drawn."""

    wall: str | None
    from_mm: float
    to_mm: float
    build: words.Build
    thickness_mm: float
    outer: bool | None = None


class Hole(Struct, frozen=True):
    """A door, window or other opening as it lies on a face."""

    kind: str
    from_mm: float
    to_mm: float
    sill_mm: float
    head_mm: float


class Face(Struct, frozen=True):
    """One side of a room, or of a wall, seen from before it."""

    id: str
    storey: str
    room: str | None
    x: float
    y: float
    along_x: float
    along_y: float
    length_mm: float
    height_mm: float
    behind: tuple[Behind, ...]
    holes: tuple[Hole, ...]

    @property
    def wall(self) -> str | None:
        """The id of the wall that most of it belongs to."""
        found = [each for each in self.behind if each.wall is not None]
        return max(found, key=lambda each: each.to_mm - each.from_mm).wall if found else None

    def place(self, u: float, v: float) -> tuple[float, float, float]:
        """Give the spot on the plan, and its height over the floor, of a spot on the face; all in mm."""
        return self.x + u * self.along_x, self.y + u * self.along_y, v

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Give how far along the face a spot of the plan lies, and how far before it (behind it below zero)."""
        to_x, to_y = x - self.x, y - self.y
        return to_x * self.along_x + to_y * self.along_y, to_y * self.along_x - to_x * self.along_y

    def backed(self, u: float) -> Behind:
        """Give what wall is behind a spot along it."""
        return next((each for each in self.behind if u <= each.to_mm), self.behind[-1])


class Stood(Struct, frozen=True):
    """An accessory or a board on a face, by its middle; its height may not be known."""

    record: str
    u: float
    v: float | None
    wide_mm: float
    high_mm: float


class Hidden(Struct, frozen=True):
    """The part of a face that a fixture stands before."""

    fixture: str
    kind: words.FixtureKind
    from_mm: float
    to_mm: float
    top_mm: float


class Across(Struct, frozen=True):
    """A face on the other side of the wall: what is at u here is at ``offset_mm`` − u there."""

    face: str
    from_mm: float
    to_mm: float
    offset_mm: float
    thickness_mm: float


def faces_on(home: Home, memo: Memo, trade: Trade, storey: str) -> tuple[Face, ...]:
    """Give the faces of a storey: the sides of its drawn rooms, or else both sides of each of its walls."""
    rooms = rooms_on(home, memo, storey)
    walls = tuple(wall for wall in home.sorted(Wall) if wall.storey == storey and wall.a_mm != wall.b_mm)
    level = home.take(Storey, storey)
    return memo.get("plan.faces", storey, (level, trade, *rooms, *walls), lambda: _faces(level, rooms, walls, trade))


def across(face: Face, faces: Iterable[Face]) -> tuple[Across, ...]:
    """Give what faces lie on the other side of a face's wall, and where."""
    found = []
    for other in faces:
        turned = face.along_x * other.along_x + face.along_y * other.along_y
        if other.id == face.id or turned > _OPPOSITE:
            continue
        (far, out_far), (near, out_near) = (
            face.at(*other.place(0, 0)[:2]),
            face.at(*other.place(other.length_mm, 0)[:2]),
        )
        gap = -(out_far + out_near) / 2
        start, end = max(0.0, near), min(face.length_mm, far)
        if end - start >= _LEAST_MM and 0 <= gap <= WALL_GAP_MM:
            found.append(Across(other.id, start, end, far, gap))
    return tuple(sorted(found, key=lambda each: (each.thickness_mm, each.from_mm)))


def face_at(
    faces: Iterable[Face], x: float, y: float, faces_deg: float | None = None, *, reach_mm: float = ON_FACE_MM
) -> Face | None:
    """Give the face that a spot of the plan lies on, None when none is near or none looks the way that was said."""
    best: tuple[float, Face] | None = None
    for face in faces:
        if faces_deg is not None:
            way = math.cos(math.radians(faces_deg)), math.sin(math.radians(faces_deg))
            if -face.along_y * way[0] + face.along_x * way[1] < -_OPPOSITE:
                continue
        u, off = face.at(x, y)
        past = max(0.0, -u, u - face.length_mm)
        away = math.hypot(off, past)
        if away <= reach_mm and (best is None or away < best[0] - 0.5):
            best = (away, face)
    return best[1] if best is not None else None


def standing_on(home: Home, memo: Memo, trade: Trade, storey: str) -> Mapping[str, tuple[Stood, ...]]:
    """Give the accessories and boards on each face of a storey, by the face's id, from left to right.

    What hides in a wall or a ceiling (joints), and what was taken away, stands on none.
    """
    faces = faces_on(home, memo, trade, storey)
    parts = (faces, home.table(Point), home.table(Plate), home.table(Board))
    return memo.get("plan.standing on", storey, parts, lambda: _standing(home, trade, storey, faces))


def size_on_wall(trade: Trade, record: Point | Board, plate: Plate | None = None) -> tuple[float, float]:
    """Give how wide and high an accessory or a board is on its wall, in mm; plates of the usual sizes."""
    if isinstance(record, Board):
        return trade.size_mm("board wide"), trade.size_mm("board high")
    single = trade.size_mm("plate single wide")
    gangs = plate.gangs if plate is not None else record.gangs
    # Three switches go into a single plate, two sockets into a twin one.
    is_wide = gangs > (1 if plate is not None or trade.point(record.kind).family == "sockets" else 3)
    wide = trade.size_mm("plate twin wide") if is_wide or record.kind in _WIDE else single
    return wide, trade.size_mm("plate high")


def hidden_on(home: Home, trade: Trade, face: Face) -> tuple[Hidden, ...]:
    """Give what stands before a face: which fixtures, from where to where, and up to what height."""
    found = []
    for fixture in home.sorted(Fixture):
        if fixture.place.storey != face.storey:
            continue
        spots = [face.at(x, y) for x, y in outline_of(fixture, trade)[0]]
        start, end = max(0.0, min(u for u, _ in spots)), min(face.length_mm, max(u for u, _ in spots))
        near, far = min(off for _, off in spots), max(off for _, off in spots)
        if end - start < _LEAST_MM or not -_BEFORE_MM <= near <= _BEFORE_MM or far < _LEAST_MM:
            continue
        usual = trade.fixture(fixture.kind).top_mm
        top = float(fixture.top_mm) if fixture.top_mm is not None else usual
        found.append(Hidden(fixture.id, fixture.kind, start, end, min(top, face.height_mm) or face.height_mm))
    return tuple(found)


def _faces(level: Storey, rooms: Sequence[Room], walls: Sequence[Wall], trade: Trade) -> tuple[Face, ...]:
    height = float(level.height_mm or trade.size_mm("storey height"))
    found: list[Face] = []
    for room in rooms:
        if has_outline(room):
            for number, side in enumerate(_straight(sides_of(room.outline_mm))):
                found.append(_face(f"{room.id}/{number}", level.id, room.id, side, height, walls, trade))
    if found:
        return tuple(found)
    for wall in walls:
        length = math.dist(wall.a_mm, wall.b_mm)
        (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
        way_x, way_y = (bx - ax) / length, (by - ay) / length
        half = _thickness(wall, trade) / 2
        there = Side(ax - half * way_y, ay + half * way_x, way_x, way_y, length)
        back = Side(bx + half * way_y, by - half * way_x, -way_x, -way_y, length)
        for name, side in (("+", there), ("-", back)):
            found.append(_face(f"{wall.id}/{name}", level.id, None, side, height, (wall,), trade))
    return tuple(found)


def _straight(sides: Sequence[Side]) -> list[Side]:
    """Give the sides of an outline with those in one line put together: a corner drawn on a straight side is none."""
    kept: list[Side] = []
    for side in sides:
        if kept and _runs_on(kept[-1], side):
            kept[-1] = _joined(kept[-1], side)
        else:
            kept.append(side)
    if len(kept) > 1 and _runs_on(kept[-1], kept[0]):
        kept[0] = _joined(kept.pop(), kept[0])
    return kept


def _runs_on(one: Side, other: Side) -> bool:
    turn = one.along_x * other.along_y - one.along_y * other.along_x
    return abs(turn) < _STRAIGHT_ON and one.along_x * other.along_x + one.along_y * other.along_y > 0


def _joined(one: Side, other: Side) -> Side:
    end_x, end_y = other.x + other.length * other.along_x, other.y + other.length * other.along_y
    length = math.hypot(end_x - one.x, end_y - one.y)
    return Side(one.x, one.y, (end_x - one.x) / length, (end_y - one.y) / length, length)


def _face(
    name: str, storey: str, room: str | None, side: Side, height: float, walls: Iterable[Wall], trade: Trade
) -> Face:
    bare = Face(name, storey, room, side.x, side.y, side.along_x, side.along_y, side.length, height, (), ())
    near: list[tuple[float, str, Wall, float, float]] = []
    for wall in walls:
        (u_a, off_a), (u_b, off_b) = bare.at(*wall.a_mm), bare.at(*wall.b_mm)
        if abs(off_b - off_a) > _PARALLEL * math.dist(wall.a_mm, wall.b_mm):
            continue
        start, end = max(0.0, min(u_a, u_b)), min(side.length, max(u_a, u_b))
        missed = abs(-(off_a + off_b) / 2 - _thickness(wall, trade) / 2)
        if end - start >= _LEAST_MM and missed <= ON_FACE_MM:
            near.append((missed, wall.id, wall, start, end))
    behind: list[Behind] = []
    holes: list[Hole] = []
    for _, _, wall, start, end in sorted(near, key=lambda each: (each[0], natural_key(each[1]))):
        for a, b in _left(start, end, behind):
            behind.append(Behind(wall.id, a, b, wall.build, _thickness(wall, trade), wall.outer))
            holes += _holes(bare, wall, a, b, trade)
    for a, b in _left(0.0, side.length, behind):
        behind.append(Behind(None, a, b, "unknown", trade.size_mm("inner wall")))
    behind.sort(key=lambda each: each.from_mm)
    holes.sort(key=lambda each: each.from_mm)
    return Face(
        name, storey, room, side.x, side.y, side.along_x, side.along_y, side.length, height, tuple(behind),
        tuple(holes),
    )  # fmt: skip


def _thickness(wall: Wall, trade: Trade) -> float:
    if wall.thickness_mm is not None:
        return float(wall.thickness_mm)
    return trade.size_mm("outer wall" if wall.outer else "inner wall")


def _left(start: float, end: float, taken: Iterable[Behind]) -> Iterator[tuple[float, float]]:
    at = start
    for each in sorted(taken, key=lambda one: one.from_mm):
        if each.from_mm - at > 1 and each.from_mm < end:
            yield at, min(each.from_mm, end)
        at = max(at, each.to_mm)
    if end - at > 1:
        yield at, end


def _holes(face: Face, wall: Wall, start: float, end: float, trade: Trade) -> Iterator[Hole]:
    u_a, _ = face.at(*wall.a_mm)
    u_b, _ = face.at(*wall.b_mm)
    way = 1.0 if u_b >= u_a else -1.0
    for each in wall.openings:
        ends = sorted((u_a + way * each.along_mm, u_a + way * (each.along_mm + each.width_mm)))
        low, high = max(ends[0], start), min(ends[1], end)
        if high - low > 1:
            head = float(each.head_mm) if each.head_mm is not None else trade.size_mm("opening head")
            yield Hole(each.kind, low, high, float(each.sill_mm or 0), min(head, face.height_mm))


def _standing(home: Home, trade: Trade, storey: str, faces: Sequence[Face]) -> dict[str, tuple[Stood, ...]]:
    found: dict[str, list[Stood]] = {}
    plates: set[str] = set()
    records: list[Point | Board] = [*home.sorted(Point), *home.sorted(Board)]
    for record in records:
        place = place_of(home, record)
        if place is None or place.storey != storey or place.faces_deg is None:
            continue
        plate = None
        if isinstance(record, Point):
            if record.kind in _UNSEEN or record.phase == "removed":
                continue
            if record.plate is not None and record.place is None:
                plate = home.find(Plate, record.plate)
                if record.plate in plates:
                    continue
                plates.add(record.plate)
        face = face_at(faces, place.x_mm, place.y_mm, place.faces_deg)
        if face is not None:
            found.setdefault(face.id, []).append(_stood(face, place, record.id, size_on_wall(trade, record, plate)))
    return {face: tuple(sorted(stood, key=lambda each: (each.u, each.record))) for face, stood in found.items()}


def _stood(face: Face, place: Place, record: str, size: tuple[float, float]) -> Stood:
    u = min(max(face.at(place.x_mm, place.y_mm)[0], 0.0), face.length_mm)
    v = min(max(float(place.height_mm), 0.0), face.height_mm) if place.height_mm is not None else None
    return Stood(record, u, v, *size)
