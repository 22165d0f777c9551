"""The order in which to walk round the points: storey by storey, room by room, the nearest next.

Rooms and points without a place keep the order of their ids: a list of rooms can be walked as well as a plan.
"""

from collections.abc import Iterable, Sequence
from typing import Final

from circuitmap.home.records import Board, Place, Point, Room, Storey, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import place_of, rooms_of_points

_SEARCHED: Final = 400  # above this many stops in one room the nearest is not searched for, the room is swept
_LANE_MM: Final = 2000


def walk_order(home: Home, points: Iterable[str] | None = None, memo: Memo | None = None) -> tuple[str, ...]:
    """Give point ids in the order of a short walk that starts at the first board; all existing points by default."""
    memo = memo if memo is not None else Memo()
    table = home.table(Point)
    wanted = [p for p in table.values() if p.phase == "existing"] if points is None else [table[i] for i in points]
    rooms = rooms_of_points(home, memo)
    levels = {storey.id: storey.level for storey in home.table(Storey).values()}
    storeys: dict[str | None, dict[str | None, list[Point]]] = {}
    for point in sorted(wanted, key=lambda each: natural_key(each.id)):
        room, place = rooms.get(point.id), place_of(home, point)
        storey = place.storey if place is not None else (room.storey if room is not None else None)
        storeys.setdefault(storey, {}).setdefault(room.id if room is not None else None, []).append(point)
    start = _start(home)
    order: list[str] = []
    # What has no storey comes last, and so does what has no room: it is looked for when the rest is done.
    for storey in sorted(storeys, key=lambda i: (i is None, levels.get(i or "", 0), natural_key(i or ""))):
        at = (start.x_mm, start.y_mm) if start is not None and start.storey == storey else None
        left = storeys[storey]
        while left:
            room_id = _next_room(home, left, at)
            here, at = _through(home, left.pop(room_id), at)
            order += here
    return tuple(order)


def _start(home: Home) -> Place | None:
    return next((board.place for board in home.sorted(Board) if board.place is not None), None)


def _next_room(home: Home, left: dict[str | None, list[Point]], at: tuple[int, int] | None) -> str | None:
    def far(room: str | None) -> tuple[bool, float, tuple[str, int]]:
        spots = [place for point in left[room] if (place := place_of(home, point)) is not None]
        known = home.find(Room, room)
        key = natural_key(known.id) if known is not None else ("", 0)
        if at is None or not spots:
            return room is None, 0.0 if at is None else float("inf"), key
        return room is None, min(_squared(at, (p.x_mm, p.y_mm)) for p in spots), key

    return min(left, key=far)


def _through(
    home: Home, points: Sequence[Point], at: tuple[int, int] | None
) -> tuple[list[str], tuple[int, int] | None]:
    """Give the points of one room in order, and where one stands after them."""
    placed = {p.id: (place.x_mm, place.y_mm) for p in points if (place := place_of(home, p)) is not None}
    unplaced = [p.id for p in points if p.id not in placed]
    if len(placed) > _SEARCHED:
        order = _sweep(placed)
    else:
        order, left = [], dict(placed)
        here = at
        while left:
            stand = here
            near = min(left, key=lambda i: (_squared(stand, left[i]) if stand is not None else 0, natural_key(i)))
            here = left.pop(near)
            order.append(near)
    return order + unplaced, placed[order[-1]] if order else at


def _sweep(placed: dict[str, tuple[int, int]]) -> list[str]:
    def lane(point: str) -> tuple[int, int]:
        x, y = placed[point]
        number = y // _LANE_MM
        return number, x if number % 2 == 0 else -x

    return sorted(placed, key=lane)


def _squared(a: tuple[int, int], b: tuple[int, int]) -> float:
    return float((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2)
