"""The drawn path of a cable and how it gives when a part of it is moved: what is straight stays straight.

A path is as in a run: storey, place on the plan and height over that storey's floor, in mm. Nothing here knows walls.
"""

import math
from collections.abc import Callable, Sequence
from typing import Final

import msgspec

from circuitmap.home.base import Place
from circuitmap.home.change import Pair
from circuitmap.home.snapshot import Home
from circuitmap.home.wires import Board, Device, Plate, Point, Run

Spot = tuple[str, float, float, float]
Path = tuple[Spot, ...]
Step = tuple[float, float, float]

# Places are whole millimetres, and a route's spots stand on the face of the wall behind them.
_SAME_MM: Final = 1.0
# A path that begins further than this from a thing doesn't come to it (our own estimate).
_COMES_TO_MM: Final = 150.0


def is_upright(a: Spot, b: Spot) -> bool:
    """Whether two spots lie over each other, on whatever storeys."""
    return abs(a[1] - b[1]) <= _SAME_MM and abs(a[2] - b[2]) <= _SAME_MM


def is_level(a: Spot, b: Spot) -> bool:
    """Whether two spots are as high as each other on one storey."""
    return a[0] == b[0] and abs(a[3] - b[3]) <= _SAME_MM


def carried(path: Sequence[Spot], low: int, high: int, by: Step) -> Path:
    """Give a path with the spots from one to another (numbers, both moved) carried along.

    What follows straight on in the way of the step only gets longer or shorter. Where it doesn't, and at the ends of
    the path, which belong to what the cable is joined to, the old spot stays and a straight piece leads to the new one.
    """
    moved = [(s, x + by[0], y + by[1], z + by[2]) for s, x, y, z in path[low : high + 1]]
    before, after = list(path[:low]), list(path[high + 1 :])
    if not before or not _gives(path[low - 1], path[low], by):
        before.append(path[low])
    if not after or not _gives(path[high + 1], path[high], by):
        after.insert(0, path[high])
    return tidied((*before, *moved, *after))


def alike(path: Sequence[Spot], low: int, high: int, same: Callable[[Spot, Spot], bool]) -> tuple[int, int]:
    """Give how far a straight part of a path goes on to both sides: the numbers of its first and last spot."""
    while low > 0 and same(path[low - 1], path[low]):
        low -= 1
    while high < len(path) - 1 and same(path[high], path[high + 1]):
        high += 1
    return low, high


def end_moved(path: Sequence[Spot], to: Spot) -> Path:
    """Give a path whose first spot has gone elsewhere; what leads up to it straight stays straight if it can.

    An upright piece at the end goes sideways with it, a level one goes up and down with it.
    """
    first = path[0]
    if len(path) < 2 or first[0] != to[0]:
        return tidied((to, *path[1:]))
    by = (to[1] - first[1], to[2] - first[2], to[3] - first[3])
    same = is_upright if is_upright(path[0], path[1]) else is_level if is_level(path[0], path[1]) else None
    if same is None:
        return tidied((to, *path[1:]))
    step = (by[0], by[1], 0.0) if same is is_upright else (0.0, 0.0, by[2])
    _, high = alike(path, 0, 1, same)
    if step == (0.0, 0.0, 0.0):
        return tidied((to, *path[1:]))
    # Of what was carried the old first spot, and that carried to beside its new place, give way to the new place.
    return tidied((to, *carried(path, 0, high, step)[2:]))


def tidied(path: Sequence[Spot]) -> Path:
    """Give a path without spots that are the same as the one before."""
    kept: list[Spot] = []
    for spot in path:
        if not kept or kept[-1] != spot:
            kept.append(spot)
    return tuple(kept)


def ends_follow(home: Home, moved: str, to: Place) -> tuple[Pair, ...]:
    """Give the edits of runs whose drawn path comes to something that goes elsewhere: to a point, plate or board."""
    record = home.get(moved)
    was = record.place if isinstance(record, Point | Plate | Board) else None
    if was is None or (was.storey, was.x_mm, was.y_mm, was.height_mm) == (
        to.storey, to.x_mm, to.y_mm, to.height_mm,
    ):  # fmt: skip
        return ()
    joined = _joined_to(home, record.id)
    pairs: list[Pair] = []
    for run in home.table(Run).values():
        if len(run.path_mm) < 2:
            continue
        path: Path = run.path_mm
        if run.a.at in joined and _comes_to(path[0], was):
            path = end_moved(path, _spot(to, path[0]))
        if run.b.at in joined and _comes_to(path[-1], was):
            path = end_moved(path[::-1], _spot(to, path[-1]))[::-1]
        whole = whole_mm(path)
        if whole != run.path_mm:
            pairs.append((run, msgspec.structs.replace(run, path_mm=whole)))
    return tuple(pairs)


def whole_mm(path: Sequence[Spot]) -> tuple[tuple[str, int, int, int], ...]:
    """Give a path as a run keeps it, in whole millimetres."""
    return tuple((s, round(x), round(y), round(z)) for s, x, y, z in path)


def _gives(still: Spot, joint: Spot, by: Step) -> bool:
    """Whether the piece from a spot that stays to one that moves only gets longer or shorter by a step."""
    if still[0] != joint[0]:
        return by[:2] == (0.0, 0.0)
    piece = (joint[1] - still[1], joint[2] - still[2], joint[3] - still[3])
    across = (
        piece[1] * by[2] - piece[2] * by[1],
        piece[2] * by[0] - piece[0] * by[2],
        piece[0] * by[1] - piece[1] * by[0],
    )
    return math.hypot(*across) <= _SAME_MM * max(math.hypot(*by), 1e-9)


def _joined_to(home: Home, record_id: str) -> frozenset[str]:
    """Give the ids of everything whose cables end where a record stands."""
    here = {record_id}
    here.update(point.id for point in home.table(Point).values() if point.plate == record_id and point.place is None)
    here.update(device.id for device in home.table(Device).values() if device.board == record_id)
    return frozenset(here)


def _comes_to(spot: Spot, place: Place) -> bool:
    near = max(abs(spot[1] - place.x_mm), abs(spot[2] - place.y_mm)) <= _COMES_TO_MM
    up = place.height_mm is None or abs(spot[3] - place.height_mm) <= _COMES_TO_MM
    return spot[0] == place.storey and near and up


def _spot(place: Place, was: Spot) -> Spot:
    height = place.height_mm if place.height_mm is not None else was[3]
    return place.storey, place.x_mm, place.y_mm, height
