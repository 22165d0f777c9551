"""A storey's points and boards in units: a room each, and patches of ground for what is in no room.

Grouping thousands of points costs more than drawing one, so the last grouping is kept, and after an edit only the
units of the points that changed are put together again. A grouping is a value; forks of a memo may share the last one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Final

from circuitmap.drawing.standing import Frame, Stand, frame_of, stand_of_board, stand_of_point
from circuitmap.home import Home
from circuitmap.home.records import Board, Place, Plate, Point, Room
from circuitmap.memo import Memo
from circuitmap.plan import room_of, rooms_of_points, rooms_on

Key = tuple[str, int, int]  # room id (empty: none), column and row of the patch
Row = tuple[Point | Board, Place, Plate | None]

_PATCH_MM: Final = 4000
_TOO_MANY: Final = 200  # changed points; past this, grouping all again is no slower


@dataclass(frozen=True, slots=True)
class Units:
    """One storey grouped: the rows of each unit, and what they were grouped from."""

    storey: str
    points: Mapping[str, Point]
    plates: Mapping[str, Plate]
    boards: Mapping[str, Board]
    rooms: tuple[Room, ...]
    frames: Mapping[str, Frame]
    rows: Mapping[Key, tuple[Row, ...]]
    key_of: Mapping[str, Key]
    sharing: Mapping[str, tuple[str, ...]]  # plates with more than one point, and these in order
    elsewhere: Mapping[str, str]  # what stands on other storeys, and on which

    def stands(self, key: Key, memo: Memo) -> Mapping[str, Stand]:
        """Give where the things of one unit stand; the same object while none of them moved."""
        rows, frame = self.rows.get(key, ()), self.frames.get(key[0])
        shared = tuple(self.sharing.get(plate.id) for _, _, plate in rows if plate is not None)
        parts = (frame, *(part for row in rows for part in row), *shared)
        return memo.get("drawing.stands", (self.storey, key), parts, lambda: self._stands(rows, key[0], frame, memo))

    def _stands(self, rows: tuple[Row, ...], room: str, frame: Frame | None, memo: Memo) -> dict[str, Stand]:
        made: dict[str, Stand] = {}
        for record, place, plate in rows:
            if isinstance(record, Board):
                stand = stand_of_board(record, place, room, frame)
            else:
                mates = self.sharing.get(plate.id, ()) if plate is not None else ()
                shift = mates.index(record.id) - (len(mates) - 1) / 2 if record.id in mates else 0.0
                stand = stand_of_point(record, place, room, frame, shift)
            made[record.id] = memo.steady("drawing.stand", record.id, stand)
        return made


def group(home: Home, storey: str, memo: Memo, last: Units | None) -> tuple[Units, frozenset[Key] | None]:
    """Group a storey; also give the units whose rows changed since the last grouping, None for all of them."""
    if last is not None:
        again = _regroup(home, storey, memo, last)
        if again is not None:
            return again
    return _group(home, storey, memo), None


def _regroup(home: Home, storey: str, memo: Memo, last: Units) -> tuple[Units, frozenset[Key]] | None:
    points = home.table(Point)
    same = home.table(Plate) is last.plates and home.table(Board) is last.boards
    if not same or rooms_on(home, memo, storey) is not last.rooms:
        return None
    if points is last.points:
        return last, frozenset()
    before = last.points
    changed = [point for point in points.values() if before.get(point.id) is not point]
    kept = len(points) - sum(point.id not in before for point in changed)
    gone = before.keys() - points.keys() if kept < len(before) else ()
    old = [before[point.id] for point in changed if point.id in before] + [before[point] for point in gone]
    if len(changed) + len(old) > _TOO_MANY or any(point.plate is not None for point in (*changed, *old)):
        return None
    rows, key_of, elsewhere = dict(last.rows), dict(last.key_of), dict(last.elsewhere)
    touched: set[Key] = set()
    rooms = rooms_of_points(home, memo)
    for point in old:
        elsewhere.pop(point.id, None)
        key = key_of.get(point.id)
        if key is not None and (point.id not in points or _key(points[point.id], storey, rooms) != key):
            del key_of[point.id]
            rows[key] = tuple(row for row in rows[key] if row[0].id != point.id)
            touched.add(key)
    for point in changed:
        if point.place is not None and point.place.storey != storey and point.phase != "removed":
            elsewhere[point.id] = point.place.storey
        key = _key(point, storey, rooms)
        if key is None or point.place is None:
            continue
        row: Row = (point, point.place, None)
        if point.id in key_of:
            rows[key] = tuple(row if each[0].id == point.id else each for each in rows[key])
        else:
            rows[key] = (*rows.get(key, ()), row)
            key_of[point.id] = key
        touched.add(key)
    units = Units(storey, points, last.plates, last.boards, last.rooms, last.frames, rows, key_of, last.sharing,
                  last.elsewhere if elsewhere == last.elsewhere else elsewhere)  # fmt: skip
    return units, frozenset(touched)


def _key(point: Point, storey: str, rooms: Mapping[str, Room | None]) -> Key | None:
    if point.place is None or point.place.storey != storey or point.phase == "removed":
        return None
    return _unit(rooms[point.id], point.place)


def _unit(room: Room | None, place: Place) -> Key:
    return (room.id, 0, 0) if room is not None else ("", place.x_mm // _PATCH_MM, place.y_mm // _PATCH_MM)


def _group(home: Home, storey: str, memo: Memo) -> Units:
    rooms = rooms_on(home, memo, storey)
    frames: dict[str, Frame] = {}
    for room in rooms:
        frame = memo.get("drawing.frame", room.id, (room.outline_mm,), partial(frame_of, room))
        if frame is not None:
            frames[room.id] = frame
    rows: dict[Key, list[Row]] = {}
    elsewhere: dict[str, str] = {}
    sharing: dict[str, list[str]] = {}
    plates, room_at = home.table(Plate), rooms_of_points(home, memo)

    def put(record: Point | Board, place: Place | None, plate: Plate | None, room: Room | None) -> None:
        if place is None or (isinstance(record, Point) and record.phase == "removed"):
            return
        if place.storey != storey:
            elsewhere[record.id] = place.storey
            return
        if plate is not None:
            sharing.setdefault(plate.id, []).append(record.id)
        rows.setdefault(_unit(room, place), []).append((record, place, plate))

    for point in home.table(Point).values():
        plate = plates.get(point.plate) if point.plate is not None else None
        place = point.place if point.place is not None or plate is None else plate.place
        put(point, place, plate, room_at[point.id])
    for board in home.table(Board).values():
        put(board, board.place, None, room_of(home, memo, board))
    return Units(
        storey,
        home.table(Point),
        plates,
        home.table(Board),
        rooms,
        memo.steady("drawing.frames", storey, frames),
        {key: tuple(each) for key, each in rows.items()},
        {row[0].id: key for key, each in rows.items() for row in each},
        memo.steady("drawing.sharing", storey, {p: tuple(ids) for p, ids in sharing.items() if len(ids) > 1}),
        memo.steady("drawing.elsewhere", storey, elsewhere),
    )
