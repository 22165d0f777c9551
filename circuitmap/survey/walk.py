"""The order in which to walk round the points: storey by storey, room by room through the doors, in a short walk.

A room is finished before the next. Rooms and points without a place keep the order of their ids: a list of rooms can
be walked as well as a plan. The walk begins at the board.
"""

from collections.abc import Iterable, Sequence
from typing import Final

from circuitmap.home.records import Board, Fixture, Plate, Point, Room, Storey, Wall, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import place_of, rooms_of_points
from circuitmap.survey.walk_floor import floor_of
from circuitmap.survey.walk_line import walk_length_mm, walk_path
from circuitmap.survey.walk_rooms import Group, through_rooms
from circuitmap.survey.walk_stairs import At, flights, in_turn, start_of

__all__ = ["walk_length_mm", "walk_order", "walk_path"]

_SLOTS: Final = 16
_RESTS_ON: Final = (Point, Plate, Room, Storey, Board, Wall, Fixture)


def walk_order(home: Home, points: Iterable[str] | None = None, memo: Memo | None = None) -> tuple[str, ...]:
    """Give point ids in the order of a short walk that starts at the first board; all existing points by default."""
    memo = memo if memo is not None else Memo()
    wanted: tuple[str, ...] | None = None
    if points is not None:
        wanted = tuple(dict.fromkeys(points))
    # The planner, the sheet and the desk ask for points of their own by turns: a few walks are kept side by side.
    slot = len(wanted) % _SLOTS if wanted is not None else -1
    parts = (*(home.table(kind) for kind in _RESTS_ON), memo.steady("survey.walk wanted", slot, wanted))
    return memo.get("survey.walk", slot, parts, lambda: _order(home, wanted, memo, slot))


def _order(home: Home, wanted: Sequence[str] | None, memo: Memo, slot: int) -> tuple[str, ...]:
    table = home.table(Point)
    points = [p for p in table.values() if p.phase == "existing"] if wanted is None else [table[i] for i in wanted]
    storeys = _gathered(home, points, memo)
    start = start_of(home, memo)
    storey, at = start if start is not None else (None, None)
    order: list[str] = []
    levels = in_turn(home, [i for i in storeys if i is not None], storey)
    spots = {here: [spot for group in storeys[here] for _, spot in group.placed] for here in levels}
    if storey is not None and at is not None and levels and storey != levels[0]:
        at = flights(home, storey, levels[0], (at,), spots[levels[0]])[-1].landing
    for number, here in enumerate(levels):
        following = levels[number + 1] if number + 1 < len(levels) else None
        onwards = flights(home, here, following, spots[here], spots[following]) if following is not None else ()
        end = onwards[0].foot if onwards else None
        order += _round(home, here, storeys[here], at, end, memo, slot)
        at = onwards[-1].landing if onwards else None
    # What has no storey is looked for when the rest is done.
    for group in storeys.get(None, ()):
        order += [*(point for point, _ in group.placed), *group.unplaced]
    return tuple(order)


def _gathered(home: Home, points: Iterable[Point], memo: Memo) -> dict[str | None, tuple[Group, ...]]:
    """Give the points of every storey by their rooms, in the order of the rooms' ids; what is in no room comes last."""
    rooms = rooms_of_points(home, memo)
    found: dict[str | None, dict[str | None, tuple[list[tuple[str, At]], list[str]]]] = {}
    for point in sorted(points, key=lambda each: natural_key(each.id)):
        room, place = rooms.get(point.id), place_of(home, point)
        storey = place.storey if place is not None else room.storey if room is not None else None
        placed, unplaced = found.setdefault(storey, {}).setdefault(room.id if room is not None else None, ([], []))
        if place is not None:
            placed.append((point.id, (place.x_mm, place.y_mm)))
        else:
            unplaced.append(point.id)
    return {
        storey: tuple(
            Group(room, tuple(by_room[room][0]), tuple(by_room[room][1]))
            for room in sorted(by_room, key=lambda i: (i is None, natural_key(i or "")))
        )
        for storey, by_room in found.items()
    }


def _round(
    home: Home, storey: str, groups: tuple[Group, ...], start: At | None, end: At | None, memo: Memo, slot: int
) -> tuple[str, ...]:
    """Give a storey's round; worked out again only when a place, a room or a wall of it is another than before."""
    floor = floor_of(home, memo, storey)
    task = memo.steady("survey.walk task", (storey, slot), (groups, start, end))
    return memo.get("survey.walk round", (storey, slot), (floor, task), lambda: through_rooms(floor, *task))
