"""The lines of the loop view: the way round a rounded rectangle, and the halves of a ring."""

import math
from collections.abc import Sequence
from typing import Final

from circuitmap.drawing.loop_rows import Row
from circuitmap.drawing.marks import PointMm

_ROUND: Final = 14.0
_ROOM_FOR_WORDS: Final = 18.0


def halves(groups: list[list[Row]]) -> tuple[list[list[Row]], list[list[Row]]]:
    """Cut the stops of a ring in two so that both sides have about as many rows."""
    total, done = sum(map(len, groups)), 0
    for n, group in enumerate(groups):
        if done + len(group) / 2 >= total / 2:
            return groups[:n], groups[n:]
        done += len(group)
    return groups, []


def way_round(a: PointMm, b: PointMm, low: float, head: PointMm, *, first: bool, last: bool) -> list[PointMm]:
    """Give the stretch of a rounded rectangle between two stops."""
    if first and a[0] != b[0]:
        return [a, *_corner(a, (b[0], a[1]), b), b]
    if last and a[0] != b[0]:
        return [a, *_corner(a, (a[0], head[1]), b), b]
    if a[0] != b[0]:
        corner_a, corner_b = (a[0], low), (b[0], low)
        return [a, *_corner(a, corner_a, corner_b), *_corner(corner_a, corner_b, b), b]
    return [a, b]


def _corner(a: PointMm, corner: PointMm, b: PointMm) -> list[PointMm]:
    def towards(other: PointMm) -> PointMm:
        long = math.dist(corner, other)
        share = min(_ROUND, long / 2) / long if long else 0.0
        return corner[0] + (other[0] - corner[0]) * share, corner[1] + (other[1] - corner[1]) * share

    start, stop = towards(a), towards(b)
    points: list[PointMm] = []
    for n in range(7):
        t = n / 6
        x = (1 - t) ** 2 * start[0] + 2 * t * (1 - t) * corner[0] + t**2 * stop[0]
        y = (1 - t) ** 2 * start[1] + 2 * t * (1 - t) * corner[1] + t**2 * stop[1]
        points.append((x, y))
    return points


def half_way(path: Sequence[PointMm]) -> tuple[PointMm, float]:
    """Give the middle of a path's longest upright stretch (there is room beside it), else of its longest one."""
    n = max(range(len(path) - 1), key=lambda k: (_is_upright(path[k], path[k + 1]), math.dist(path[k], path[k + 1])))
    (ax, ay), (bx, by) = path[n], path[n + 1]
    return ((ax + bx) / 2, (ay + by) / 2), math.degrees(math.atan2(by - ay, bx - ax)) % 360


def _is_upright(a: PointMm, b: PointMm) -> bool:
    return abs(a[0] - b[0]) < 0.5 and abs(a[1] - b[1]) >= _ROOM_FOR_WORDS
