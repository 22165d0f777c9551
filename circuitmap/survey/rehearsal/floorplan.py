"""A simple floor plan for an invented home: storeys one over the other, rooms off a passage, doors, windows, a garage.

With few rooms they stand in a column beside the hall, as in a terraced house; with many, in two rows along a passage
through the middle. Every storey has the same outer walls. Lengths are millimetres, y counts down the plan.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from circuitmap.home.records import Fixture, Opening, Place, Record, Room, Storey, Wall
from circuitmap.survey.rehearsal.walls import OUTER_MM, Box, four_walls, numbered, opening, wall, window, window_mm
from circuitmap.words import Build

INNER_MM: Final = 100
STOREY_MM: Final = 2700
_CEILING_MM: Final = 2400
_HALL_MM: Final = 1900
_PASSAGE_MM: Final = 1300
_COLUMN_MM: Final = 3700
_ROW_MM: Final = 3500
_MOST_IN_COLUMN: Final = 3
_DOOR_MM: Final = 760
_DOOR_FROM_CORNER_MM: Final = 250
_GARAGE_MM: Final = (2900, 5400)
_APART_MM: Final = 2600
_CORNER_MM: Final = 350
_WORKTOPS: Final = frozenset({"kitchen", "utility", "bathroom"})  # points there stand above the sill
_TURN: Final = ((1, 0, 90.0), (0, 1, 180.0), (-1, 0, 270.0), (0, -1, 0.0))
# How wide a room is beside the others of its row (common practice, no source).
_SHARE: Final[dict[str, float]] = {
    "kitchen": 4.0, "living room": 5.0, "dining room": 3.6, "bedroom": 3.8, "bathroom": 2.3, "utility": 2.0, "wc": 1.2,
    "office": 2.8, "conservatory": 3.4,
}  # fmt: skip
_STOREY_NAMES: Final = ("Ground floor", "First floor", "Second floor")


@dataclass(frozen=True, slots=True)
class RoomWish:
    """A room that is wanted: ``storey`` counts from 0 on the ground; None is a name only, drawn nowhere."""

    name: str
    use: str
    storey: int | None


@dataclass(slots=True)
class Drawn:
    """A room as drawn: its id, its box inside the walls, its doors, the side its window is on; or a name only."""

    id: str
    wish: RoomWish
    storey: str | None = None
    box: Box | None = None
    doors: list[tuple[int, int]] = field(default_factory=list)
    window: int | None = None

    def around(self, count: int, height_mm: Sequence[int]) -> list[Place]:
        """Give places on the walls, evenly spread, clear of corners and doors."""
        if self.box is None or self.storey is None or count == 0:
            return []
        lengths = self._free_lengths()
        total = sum(stop - start for _, start, stop in lengths)
        places = []
        for number in range(count):
            along = total * (number + 0.5) / count
            for side, start, stop in lengths:
                if along <= stop - start or (side, start, stop) == lengths[-1]:
                    places.append(self._on(side, round(start + along), height_mm[number]))
                    break
                along -= stop - start
        return places

    def overhead(self, count: int) -> list[Place]:
        """Give places under the ceiling, in a grid."""
        if self.box is None or self.storey is None or count == 0:
            return []
        x0, y0, x1, y1 = self.box
        wide, deep = x1 - x0, y1 - y0
        columns = min(count, max(1, round(math.sqrt(count * wide / deep))))
        rows = math.ceil(count / columns)
        places = []
        for number in range(count):
            row, column = divmod(number, columns)
            in_row = columns if row < rows - 1 else count - columns * (rows - 1)
            x, y = x0 + wide * (2 * column + 1) / (2 * in_row), y0 + deep * (2 * row + 1) / (2 * rows)
            places.append(Place(storey=self.storey, x_mm=round(x), y_mm=round(y), height_mm=_CEILING_MM))
        return places

    def by_door(self, number: int, height_mm: int) -> Place | None:
        """Give a place beside a door, for a switch."""
        if self.box is None or self.storey is None or not self.doors:
            return None
        x0, y0, x1, y1 = self.box
        x, y = self.doors[number % len(self.doors)]
        beside = _DOOR_MM / 2 + 180 + 160 * (number // len(self.doors))
        if y in (y0, y1):
            step = beside if x + beside < x1 - 80 else -beside
            return self._place(min(max(round(x + step), x0 + 80), x1 - 80), y, 90.0 if y == y0 else 270.0, height_mm)
        step = beside if y + beside < y1 - 80 else -beside
        return self._place(x, min(max(round(y + step), y0 + 80), y1 - 80), 0.0 if x == x0 else 180.0, height_mm)

    def _free_lengths(self) -> list[tuple[int, int, int]]:
        """Give the lengths of wall that are free as (side, from, to); sides count clockwise from the top."""
        assert self.box is not None
        x0, y0, x1, y1 = self.box
        found = []
        for side in range(4):
            long = (x1 - x0, y1 - y0)[side % 2]
            margin = min(_CORNER_MM, long // 4)
            cuts = []
            for x, y in self.doors:
                on_it = (y == y0, x == x1, y == y1, x == x0)[side]
                if on_it:
                    middle = (x - x0, y - y0, x1 - x, y1 - y)[side]
                    cuts.append((middle - _DOOR_MM // 2 - 450, middle + _DOOR_MM // 2 + 450))
            if side == self.window and self.wish.use in _WORKTOPS:
                half = window_mm(long) // 2
                cuts.append((long // 2 - half, long // 2 + half))
            start = margin
            for low, high in [*sorted(cuts), (long - margin, long)]:
                if low - start > 200:
                    found.append((side, start, low))
                start = max(start, high)
        return found or [(0, 0, x1 - x0)]

    def _on(self, side: int, along: int, height_mm: int) -> Place:
        assert self.box is not None
        x0, y0, x1, y1 = self.box
        corner = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))[side]
        right, down, faces = _TURN[side]
        return self._place(corner[0] + right * along, corner[1] + down * along, faces, height_mm)

    def _place(self, x_mm: int, y_mm: int, faces_deg: float, height_mm: int) -> Place:
        assert self.storey is not None
        return Place(storey=self.storey, x_mm=x_mm, y_mm=y_mm, height_mm=height_mm, faces_deg=faces_deg)


@dataclass(slots=True)
class FloorPlan:
    """The building of an invented home: its records, and its rooms in the order in which they were wished for."""

    records: list[Record]
    rooms: list[Drawn]
    size_mm: tuple[int, int]

    def outside(self, count: int, heights_mm: Sequence[int]) -> list[Place]:
        """Give places on the outer face of the back and front walls, on the ground storey."""
        wide, deep = self.size_mm
        places = []
        for number in range(count):
            x = round(wide * (number // 2 + 0.5) / ((count + 1) // 2))
            y, faces = ((-OUTER_MM, 270.0), (deep + OUTER_MM, 90.0))[number % 2]
            places.append(Place(storey="G1", x_mm=x, y_mm=y, height_mm=heights_mm[number], faces_deg=faces))
        return places


def draw(wishes: Sequence[RoomWish], build: Build = "brick") -> FloorPlan:
    """Draw the rooms that are wished for; each storey's hall or landing becomes its passage."""
    storeys = 1 + max((wish.storey for wish in wishes if wish.storey is not None), default=0)
    plan = FloorPlan([], [Drawn(f"M{n + 1}", wish) for n, wish in enumerate(wishes)], (0, 0))
    indoors = [[r for r in plan.rooms if r.wish.storey == level and not _is_apart(r)] for level in range(storeys)]
    rooms = [[r for r in on_it if not _is_passage(r)] for on_it in indoors]
    in_column = max(map(len, rooms)) <= _MOST_IN_COLUMN
    plan.size_mm = _size(rooms, in_column)
    walls: list[Wall] = []
    for level in range(storeys):
        storey = f"G{level + 1}"
        name = _STOREY_NAMES[level] if level < len(_STOREY_NAMES) else f"Floor {level}"
        plan.records.append(
            Storey(id=storey, name=name, level=level, floor_mm=level * STOREY_MM, height_mm=_CEILING_MM)
        )
        passage = next((room for room in indoors[level] if _is_passage(room)), None)
        lay = _lay_column if in_column else _lay_rows
        walls += lay(rooms[level], passage, storey, plan.size_mm, build, is_ground=level == 0)
        if storeys > 1 and passage is not None and passage.box is not None:
            plan.records.append(_stair(level + 1, storey, passage.box, in_column))
    walls += _outbuildings([room for room in plan.rooms if _is_apart(room)], plan.size_mm[0])
    plan.records += numbered(walls)
    for room in plan.rooms:
        outline: tuple[tuple[int, int], ...] = ()
        if room.box is not None:
            x0, y0, x1, y1 = room.box
            outline = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        plan.records.append(
            Room(id=room.id, name=room.wish.name, storey=room.storey, use=_use(room.wish.use), outline_mm=outline)
        )
    return plan


def _use(use: str) -> str:
    return {"dining room": "living room", "conservatory": "living room", "wc": "bathroom"}.get(use, use)


def _is_passage(room: Drawn) -> bool:
    return room.wish.use in ("hall", "landing")


def _is_apart(room: Drawn) -> bool:
    return room.wish.use in ("garage", "outbuilding")


def _share(room: Drawn) -> float:
    return _SHARE.get(room.wish.use, 3.0)


def _size(rooms: Sequence[Sequence[Drawn]], in_column: bool) -> tuple[int, int]:
    if in_column:
        deep = max(sum(_share(room) for room in on_it) for on_it in rooms) * 0.9
        return _HALL_MM + INNER_MM + _COLUMN_MM, max(5000, round(deep * 100) * 10)
    widest = max(sum(_share(room) for room in row) for on_it in rooms for row in _two_rows(on_it))
    return round(widest * 100) * 10, 2 * _ROW_MM + _PASSAGE_MM + 2 * INNER_MM


def _two_rows(rooms: Sequence[Drawn]) -> tuple[list[Drawn], list[Drawn]]:
    """Share rooms out between two rows of about the same length, each in the order of the wishes."""
    rows: tuple[list[Drawn], list[Drawn]] = ([], [])
    lengths = [0.0, 0.0]
    for room in sorted(rooms, key=_share, reverse=True):
        row = 0 if lengths[0] <= lengths[1] else 1
        rows[row].append(room)
        lengths[row] += _share(room)
    order = {room.id: number for number, room in enumerate(rooms)}
    for each in rows:
        each.sort(key=lambda room: order[room.id])
    return rows


def _cut(rooms: Sequence[Drawn], long_mm: int) -> list[tuple[int, int]]:
    """Share a length out between rooms with a thin wall between each two, to the centimetre."""
    free = long_mm - INNER_MM * (len(rooms) - 1)
    total = sum(_share(room) for room in rooms)
    found, start, done = [], 0, 0.0
    for number, room in enumerate(rooms):
        done += _share(room)
        stop = round(free * done / total / 10) * 10 + INNER_MM * number
        stop = long_mm if number == len(rooms) - 1 else stop
        found.append((start, stop))
        start = stop + INNER_MM
    return found


def _lay_column(
    rooms: Sequence[Drawn], passage: Drawn | None, storey: str, size_mm: tuple[int, int], build: Build, is_ground: bool
) -> list[Wall]:
    wide, deep = size_mm
    left = _HALL_MM + INNER_MM
    if passage is not None:
        passage.storey, passage.box = storey, (0, 0, _HALL_MM, deep)
    middle = _HALL_MM + INNER_MM // 2
    doors, walls, windows = [], [], []
    for number, (room, (start, stop)) in enumerate(zip(rooms, _cut(rooms, deep), strict=True)):
        room.storey, room.box, room.window = storey, (left, start, wide, stop), 1
        at = start + _DOOR_FROM_CORNER_MM
        # The wall runs the other way, so that doors open into the rooms.
        doors.append(opening("door", deep - at - _DOOR_MM, _DOOR_MM))
        _hang(room, passage, (left, at + _DOOR_MM // 2), (_HALL_MM, at + _DOOR_MM // 2))
        windows.append(window(start, stop))
        if number:
            edge = start - INNER_MM // 2
            walls.append(wall(storey, (left, edge), (wide, edge), INNER_MM, "stud"))
    walls.append(wall(storey, (middle, deep), (middle, 0), INNER_MM, "stud", tuple(reversed(doors))))
    front = (opening("door", wide + OUTER_MM // 2 - _HALL_MM // 2 - 450, 900),) if is_ground else ()
    if is_ground and passage is not None:
        passage.doors.insert(0, (_HALL_MM // 2, deep))
    return walls + _outer(storey, size_mm, build, (), tuple(windows), front, ())


def _lay_rows(
    rooms: Sequence[Drawn], passage: Drawn | None, storey: str, size_mm: tuple[int, int], build: Build, is_ground: bool
) -> list[Wall]:
    wide, deep = size_mm
    top, bottom = _ROW_MM + INNER_MM, _ROW_MM + INNER_MM + _PASSAGE_MM
    if passage is not None:
        passage.storey, passage.box = storey, (0, top, wide, bottom)
    walls: list[Wall] = []
    upper: tuple[Opening, ...] = ()
    lower: tuple[Opening, ...] = ()
    bands = ((0, _ROW_MM, top - INNER_MM // 2), (bottom + INNER_MM, deep, bottom + INNER_MM // 2))
    for row, (y0, y1, middle) in zip(_two_rows(rooms), bands, strict=True):
        doors, windows = [], []
        for number, (room, (start, stop)) in enumerate(zip(row, _cut(row, wide), strict=True)):
            room.storey, room.box, room.window = storey, (start, y0, stop, y1), 0 if y0 == 0 else 2
            at = start + min(_DOOR_FROM_CORNER_MM, max(100, (stop - start - _DOOR_MM) // 2))
            doors.append((at, _DOOR_MM))
            x = at + _DOOR_MM // 2
            above = y0 == 0
            _hang(room, passage, (x, y1 if above else y0), (x, top if above else bottom))
            windows.append((start, stop))
            if number:
                edge = start - INNER_MM // 2
                walls.append(wall(storey, (edge, y0), (edge, y1), INNER_MM, "stud"))
        if y0 == 0:  # seen from the room a wall runs the other way, so that doors open into the rooms
            openings = tuple(opening("door", wide - at - long, long) for at, long in reversed(doors))
            walls.append(wall(storey, (wide, middle), (0, middle), INNER_MM, "stud", openings))
            upper = tuple(window(start, stop) for start, stop in windows)
        else:
            openings = tuple(opening("door", at, long) for at, long in doors)
            walls.append(wall(storey, (0, middle), (wide, middle), INNER_MM, "stud", openings))
            lower = tuple(window(wide - stop, wide - start) for start, stop in reversed(windows))
    front = (opening("door", deep + OUTER_MM // 2 - (top + bottom) // 2 - 450, 900),) if is_ground else ()
    if is_ground and passage is not None:
        passage.doors.insert(0, (0, (top + bottom) // 2))
    return walls + _outer(storey, size_mm, build, upper, (), lower, front)


def _hang(room: Drawn, passage: Drawn | None, inside: tuple[int, int], outside: tuple[int, int]) -> None:
    room.doors.append(inside)
    if passage is not None:
        passage.doors.append(outside)


def _outer(
    storey: str,
    size_mm: tuple[int, int],
    build: Build,
    top: tuple[Opening, ...],
    right: tuple[Opening, ...],
    bottom: tuple[Opening, ...],
    left: tuple[Opening, ...],
) -> list[Wall]:
    """Give the four outer walls, clockwise from the top left; openings along each from its own beginning."""
    box = (-OUTER_MM // 2, -OUTER_MM // 2, size_mm[0] + OUTER_MM // 2, size_mm[1] + OUTER_MM // 2)
    return four_walls(storey, box, OUTER_MM, build, (top, right, bottom, left))


def _outbuildings(rooms: Sequence[Drawn], wide: int) -> list[Wall]:
    walls = []
    left = wide + OUTER_MM + _APART_MM
    for room in rooms:
        across, deep = _GARAGE_MM if room.wish.use == "garage" else (2600, 2400)
        room.storey, room.box = "G1", (left, 0, left + across, deep)
        room.doors.append((left, 900))
        off = 60
        front = (opening("roller shutter", 300, across - 480),) if room.wish.use == "garage" else ()
        back = () if front else (window(0, across),)
        side = (opening("door", deep - 900 - _DOOR_MM // 2, _DOOR_MM),)
        box = (left - off, -off, left + across + off, deep + off)
        walls += four_walls("G1", box, 2 * off, "block", ((), (), front or back, side))
        left += across + 1500
    return walls


def _stair(number: int, storey: str, box: Box, in_column: bool) -> Fixture:
    x0, y0, x1, y1 = box
    if in_column:
        middle = (y0 + y1) // 2
        corners = (x0, middle - 1300, x0 + 850, middle + 1300)
    else:
        middle = (x0 + x1) // 2
        corners = (middle - 1300, y0 + 450, middle + 1300, y1)
    left, top, right, bottom = corners
    place = Place(storey=storey, x_mm=(left + right) // 2, y_mm=(top + bottom) // 2)
    outline = ((left, top), (right, top), (right, bottom), (left, bottom))
    return Fixture(id=f"F{number}", kind="stair", place=place, outline_mm=outline)
