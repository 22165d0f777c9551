"""Where a record is: its place, its storey, its room; worked out once and kept in the memo.

Rooms are laid out once per storey and asked for blocks of points at a time, so that moving one point asks again for
its block only, and moving a corner for its storey.
"""

from collections.abc import Iterable, Mapping
from typing import Final

from circuitmap.home.records import Board, Device, Fixture, Place, Plate, Point, Record, Room, Wall, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.outlines import polygon_of
from circuitmap.plan.rooms import WALL_GAP_MM, RoomIndex, adjacent, has_outline
from circuitmap.plan.walls import WallLines

_BLOCK: Final = 64

_Asked = tuple[str, Place | None, Room | None]


def place_of(home: Home, record: Record) -> Place | None:
    """Give where a record stands: its own place, its plate's or (a device) its board's; None when not placed."""
    match record:
        case Point():
            if record.place is not None or record.plate is None:
                return record.place
            plate = home.find(Plate, record.plate)
            return plate.place if plate is not None else None
        case Board() | Plate() | Fixture():
            return record.place
        case Device():
            board = home.find(Board, record.board)
            return board.place if board is not None else None
        case _:
            return None


def room_of(home: Home, memo: Memo, record: Record) -> Room | None:
    """Give the room that a record is in, by what was said or by where it stands; None when neither tells.

    The room that was said holds as long as the place is in it or in its walls; a place elsewhere has been moved since.
    """
    if isinstance(record, Room):
        return record
    if isinstance(record, Point) and home.find(Point, record.id) is record:
        return rooms_of_points(home, memo)[record.id]
    if isinstance(record, Device):
        board = home.find(Board, record.board)
        return room_of(home, memo, board) if board is not None else None
    asked = (record.id, place_of(home, record), _said(home, record))
    return _ask(home, memo, ("one", record.id), [asked])[record.id]


def rooms_of_points(home: Home, memo: Memo) -> Mapping[str, Room | None]:
    """Give the room of every point, by its id; None for a point that is outside, or neither placed nor said."""
    points = home.table(Point)
    # Tables are the same object as long as none of their records changed.
    parts = (points, home.table(Plate), home.table(Room))
    return memo.get("plan.rooms of points", "", parts, lambda: _in_blocks(home, memo, points.values()))


def storey_of(home: Home, memo: Memo, record: Record) -> str | None:
    """Give the id of the storey that a record is on, by its place or its room."""
    place = place_of(home, record)
    if place is not None:
        return place.storey
    room = room_of(home, memo, record)
    return room.storey if room is not None else None


def index_of(home: Home, memo: Memo, storey: str) -> RoomIndex:
    """Give the rooms of a storey laid out to be asked which one a spot lies in."""
    rooms = rooms_on(home, memo, storey)
    return memo.get("plan.index", storey, rooms, lambda: RoomIndex(rooms))


def rooms_on(home: Home, memo: Memo, storey: str) -> tuple[Room, ...]:
    """Give the rooms of a storey in the order of their ids."""
    table = home.table(Room)
    return memo.get("plan.rooms by storey", "", (table,), lambda: _by_storey(table.values())).get(storey, ())


def neighbours(home: Home, memo: Memo) -> dict[str, frozenset[str]]:
    """Give, for every drawn room, the ids of the rooms on its storey that share a wall with it."""
    drawn = sorted((r for r in home.table(Room).values() if has_outline(r)), key=lambda r: natural_key(r.id))
    # By the outlines, not the records: a room's new name moves no wall.
    parts = tuple(part for room in drawn for part in (room.id, room.storey, room.outline_mm))
    return memo.get("plan.neighbours", "", parts, lambda: adjacent(drawn))


def to_wall(home: Home, memo: Memo, place: Place, *, reach_mm: float = 300.0, outdoors: bool = False) -> Place:
    """Give a place moved to the nearest wall line of its storey and facing off it; unchanged when none is in reach."""
    rooms = rooms_on(home, memo, place.storey)
    walls = tuple(wall for wall in home.table(Wall).values() if wall.storey == place.storey)
    lines = memo.get("plan.wall lines", place.storey, (*rooms, *walls), lambda: WallLines(rooms, walls))
    return lines.put(place, reach_mm=reach_mm, outdoors=outdoors)


def _by_storey(rooms: Iterable[Room]) -> dict[str, tuple[Room, ...]]:
    gathered: dict[str, list[Room]] = {}
    for room in sorted(rooms, key=lambda each: natural_key(each.id)):
        if room.storey is not None:
            gathered.setdefault(room.storey, []).append(room)
    return {storey: tuple(on_it) for storey, on_it in gathered.items()}


def _in_blocks(home: Home, memo: Memo, points: Iterable[Point]) -> dict[str, Room | None]:
    blocks: dict[int, list[_Asked]] = {}
    for point in points:
        # By number, not by position: a point that goes away leaves the other blocks as they were.
        block = blocks.setdefault(int(point.id[1:]) // _BLOCK, [])
        if point.plate is None and point.room is None:
            block.append((point.id, point.place, None))
        else:
            block.append((point.id, place_of(home, point), _said(home, point)))
    found: dict[str, Room | None] = {}
    for number, block in blocks.items():
        found.update(_ask(home, memo, number, block))
    return found


def _ask(home: Home, memo: Memo, name: object, asked: list[_Asked]) -> Mapping[str, Room | None]:
    storeys = sorted({place.storey for _, place, _ in asked if place is not None})
    indexes = {storey: index_of(home, memo, storey) for storey in storeys}
    parts = (*indexes.values(), *(part for each in asked for part in each))
    return memo.get("plan.room of", name, parts, lambda: _answer(indexes, asked))


def _answer(indexes: Mapping[str, RoomIndex], asked: list[_Asked]) -> dict[str, Room | None]:
    found: dict[str, Room | None] = {record: said for record, _, said in asked}
    for storey, index in indexes.items():
        here = [(record, place, said) for record, place, said in asked if place is not None and place.storey == storey]
        rooms = index.rooms_at([(place.x_mm, place.y_mm, place.faces_deg) for _, place, _ in here])
        for (record, place, said), room in zip(here, rooms, strict=True):
            if room is not None and room is not said and (said is None or not _may_hold(said, place)):
                found[record] = room
    return found


def _may_hold(room: Room, place: Place) -> bool:
    if not has_outline(room):
        return True
    if room.storey != place.storey:
        return False
    import shapely

    spot = shapely.Point(place.x_mm, place.y_mm)
    return bool(polygon_of(room.outline_mm).distance(spot) <= WALL_GAP_MM)


def _said(home: Home, record: Record) -> Room | None:
    match record:
        case Point():
            room = record.room
            if room is None and record.plate is not None:
                plate = home.find(Plate, record.plate)
                room = plate.room if plate is not None else None
        case Board() | Plate():
            room = record.room
        case _:
            room = None
    return home.find(Room, room)
