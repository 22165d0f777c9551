"""The way a run is drawn where nobody drew its path: along the sides of a room, or in one dog-leg.

This shows what joins what; it says nothing about where the cable lies in the building. Runs that share a wall lie in
lanes beside each other: a lane is an inset from the wall.
"""

import itertools
import math
from collections.abc import Sequence
from typing import Final

from circuitmap.drawing.marks import PointMm
from circuitmap.drawing.standing import Frame, Stand

LANES: Final = 5
_FIRST_MM: Final = 60.0
_LANE_MM: Final = 50.0
_DETOUR: Final = 1.9  # along the walls, up to this many times the dog-leg's length
_GRID_MM: Final = 20.0
_SHARED_MM: Final = 120.0
_FAN: Final = (0.75, -0.75, 1.2, -1.2)  # aslant: straight in front of a point stands its code
_SHORT_MM: Final = 320.0


class Lanes:
    """Which stretches of which lines the runs of one circuit have taken."""

    def __init__(self, first: int) -> None:
        self._first = first % LANES
        self._taken: dict[tuple[int, int], list[tuple[float, float]]] = {}

    def route(self, a: Stand, b: Stand, frame: Frame | None, ends: tuple[float, float] = (0.0, 0.0)) -> list[PointMm]:
        """Give the path between two stands in the first lane in which it doesn't lie on an earlier run."""
        best: tuple[float, list[PointMm]] | None = None
        for n in range(LANES):
            lane = (self._first + n * 2) % LANES
            path = route(a, b, frame, _FIRST_MM + _LANE_MM * lane, ends)
            shared = self._shared(path)
            if best is None or shared < best[0] - 1:
                best = (shared, path)
            if shared <= _SHARED_MM:
                break
        assert best is not None
        self._take(best[1])
        return best[1]

    def _shared(self, path: Sequence[PointMm]) -> float:
        total = 0.0
        for key, low, high in _spans(path):
            for other_low, other_high in self._taken.get(key, ()):
                total += max(0.0, min(high, other_high) - max(low, other_low))
        return total

    def _take(self, path: Sequence[PointMm]) -> None:
        for key, low, high in _spans(path):
            self._taken.setdefault(key, []).append((low, high))


def route(
    a: Stand, b: Stand, frame: Frame | None, inset_mm: float, ends: tuple[float, float] = (0.0, 0.0)
) -> list[PointMm]:
    """Give the path of a run drawn at an inset from the walls.

    Parameters
    ----------
    a, b, frame
        Both ends, and the room that both stand in, if it is one.
    ends
        How far along its wall each end is moved (ways of a board lie beside each other).
    """
    # In the open, lanes part by a few millimetres that the symbol hides.
    slant = (inset_mm - _FIRST_MM - 2 * _LANE_MM) * 0.45
    start = a.inset(0.0, ends[0] if a.faces is not None else slant)
    stop = b.inset(0.0, ends[1] if b.faces is not None else slant)
    port_a = a.inset(inset_mm, ends[0] if a.faces is not None else slant)
    port_b = b.inset(inset_mm, ends[1] if b.faces is not None else slant)
    bent = [start, port_a, *_dog_leg(a, b, port_a, port_b), port_b, stop]
    if frame is not None and a.side >= 0 and b.side >= 0 and a.room == b.room == frame.room:
        round_it = [start, port_a, *_corners(frame, a, b, inset_mm), port_b, stop]
        if length(round_it) <= _DETOUR * length(bent):
            return _tidied(round_it)
    return _tidied(bent)


def stub(stand: Stand, length_mm: float, lane: int | None = None) -> list[PointMm]:
    """Give a short path that leaves a stand for nowhere on this plan: straight off its wall, or fanned out by lane."""
    base = math.atan2(stand.faces[1], stand.faces[0]) if stand.faces is not None else -math.pi / 2
    turn = base + (_FAN[lane % len(_FAN)] if lane is not None else 0.0)
    return [stand.at, (stand.at[0] + math.cos(turn) * length_mm, stand.at[1] + math.sin(turn) * length_mm)]


def length(path: Sequence[PointMm]) -> float:
    """Give the length of a path, in mm."""
    return sum(math.dist(p, q) for p, q in itertools.pairwise(path))


def at_length(path: Sequence[PointMm], along_mm: float) -> tuple[PointMm, float]:
    """Give the spot so far along a path, and the direction of the path there in degrees."""
    left = max(0.0, along_mm)
    spot, turn = path[0], 0.0
    for p, q in itertools.pairwise(path):
        step = math.dist(p, q)
        if step == 0:
            continue
        turn = math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])) % 360
        share = min(left / step, 1.0)
        spot = (p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share)
        if left <= step:
            break
        left -= step
    return spot, turn


def cut(path: Sequence[PointMm], from_mm: float, to_mm: float) -> tuple[list[PointMm], list[PointMm]]:
    """Give what is left of a path on both sides of a gap."""
    before, after = [path[0]], list[PointMm]()
    done = 0.0
    for p, q in itertools.pairwise(path):
        step = math.dist(p, q)
        if done + step <= from_mm:
            before.append(q)
        elif done < from_mm:
            before.append(at_length((p, q), from_mm - done)[0])
        if done >= to_mm:
            after.append(q)
        elif done + step > to_mm:
            after += [at_length((p, q), to_mm - done)[0], q]
        done += step
    return before, after


def _dog_leg(a: Stand, b: Stand, port_a: PointMm, port_b: PointMm) -> list[PointMm]:
    (ax, ay), (bx, by) = port_a, port_b
    if a.faces is not None:
        along_x = abs(a.faces[1]) >= abs(a.faces[0])
    elif b.faces is not None:
        along_x = abs(b.faces[0]) > abs(b.faces[1])
    else:
        along_x = abs(bx - ax) >= abs(by - ay)
    return [(bx, ay)] if along_x else [(ax, by)]


def _corners(frame: Frame, a: Stand, b: Stand, inset_mm: float) -> list[PointMm]:
    count = len(frame.sides)
    start, stop = frame.sides[a.side].starts + a.along_mm, frame.sides[b.side].starts + b.along_mm
    ahead = (stop - start) % frame.round_mm
    if a.side == b.side and abs(stop - start) <= frame.round_mm / 2:
        return []
    if ahead <= frame.round_mm / 2:
        turns = [(a.side + n) % count for n in range(1, (b.side - a.side) % count + 1)]
    else:
        turns = [(a.side - n) % count for n in range((a.side - b.side) % count)]
    return [frame.corner(number, inset_mm) for number in turns]


def _tidied(path: Sequence[PointMm]) -> list[PointMm]:
    kept: list[PointMm] = []
    for x, y in path:
        spot = (round(x, 1), round(y, 1))
        if kept and spot == kept[-1]:
            continue
        if len(kept) > 1 and _straight(kept[-2], kept[-1], spot):
            kept[-1] = spot
        else:
            kept.append(spot)
    return kept if len(kept) > 1 else [*kept, *kept]


def _straight(p: PointMm, q: PointMm, r: PointMm) -> bool:
    return abs((q[0] - p[0]) * (r[1] - q[1]) - (q[1] - p[1]) * (r[0] - q[0])) < 1 and (
        (q[0] - p[0]) * (r[0] - q[0]) + (q[1] - p[1]) * (r[1] - q[1]) > 0
    )


def _spans(path: Sequence[PointMm]) -> list[tuple[tuple[int, int], float, float]]:
    spans: list[tuple[tuple[int, int], float, float]] = []
    for (ax, ay), (bx, by) in itertools.pairwise(path):
        if abs(ax - bx) + abs(ay - by) < _SHORT_MM:
            continue  # the step from the wall to a lane: the runs of a point share it, under its symbol
        if abs(ay - by) < 1:
            spans.append(((0, round(ay / _GRID_MM)), min(ax, bx), max(ax, bx)))
        elif abs(ax - bx) < 1:
            spans.append(((1, round(ax / _GRID_MM)), min(ay, by), max(ay, by)))
    return spans
