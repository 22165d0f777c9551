"""Doors and windows seen while a room was outlined, kept with the room until there is a wall to let them into.

They go where their room goes. Once one is in a wall it is the wall's, and the room lets go of it: what a person closes
afterwards stays closed.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import msgspec

from circuitmap.home.change import Change, Pair
from circuitmap.home.records import Corner, Room, SeenOpening, Wall

Spot = tuple[float, float]

_REACH_MM: Final = 250.0
_HALF_UNKNOWN_MM: Final = 50.0
_SAME_MM: Final = 1.0


@dataclass(frozen=True)
class Gap:
    """A door or window as found on a plan: the two ends of the gap in a wall, on the plan, in mm."""

    a_mm: Spot
    b_mm: Spot
    kind: str = "door"
    sill_mm: int | None = None
    head_mm: int | None = None


def kept(gaps: Iterable[Gap]) -> tuple[SeenOpening, ...]:
    """Give gaps as a room keeps them."""
    return tuple(SeenOpening(a_mm=_whole(gap.a_mm), b_mm=_whole(gap.b_mm), kind=gap.kind) for gap in gaps)


def gaps_seen(rooms: Iterable[Room]) -> list[Gap]:
    """Give what some rooms keep, each once where two rooms have seen the same."""
    return once(Gap(seen.a_mm, seen.b_mm, seen.kind) for room in rooms for seen in room.seen)


def once(gaps: Iterable[Gap]) -> list[Gap]:
    """Give gaps without those that both rooms of a wall have found."""
    found: list[Gap] = []
    for gap in gaps:
        near = math.dist(gap.a_mm, gap.b_mm) / 2
        if all(math.dist(_middle(gap.a_mm, gap.b_mm), _middle(k.a_mm, k.b_mm)) > near for k in found):
            found.append(gap)
    return found


def let_go(rooms: Iterable[Room], walls: Sequence[Wall]) -> list[Pair]:
    """Give the edits by which rooms let go of what is in a wall now."""
    pairs: list[Pair] = []
    for room in rooms:
        left = tuple(seen for seen in room.seen if not any(_is_in(seen, wall) for wall in walls))
        if left != room.seen:
            pairs.append((room, msgspec.structs.replace(room, seen=left)))
    return pairs


def with_seen(change: Change) -> Change:
    """Give a change in which what rooms keep goes along with their outlines."""
    pairs: list[Pair] = []
    for before, after in change.pairs:
        is_moved = isinstance(before, Room) and isinstance(after, Room) and before.outline_mm != after.outline_mm
        if is_moved and isinstance(before, Room) and isinstance(after, Room) and after.seen == before.seen:
            seen = tuple(_carried(each, before.outline_mm, after.outline_mm) for each in before.seen)
            after = msgspec.structs.replace(after, seen=seen)
        pairs.append((before, after))
    return change if tuple(pairs) == change.pairs else Change(change.title, tuple(pairs))


def _is_in(seen: SeenOpening, wall: Wall) -> bool:
    """Whether a wall has an opening where one was seen."""
    if wall.a_mm == wall.b_mm:
        return False
    along, off = _measured(wall.a_mm, wall.b_mm, _middle(seen.a_mm, seen.b_mm))
    near = (wall.thickness_mm or 2 * _HALF_UNKNOWN_MM) / 2 + _REACH_MM
    return abs(off) <= near and any(o.along_mm <= along <= o.along_mm + o.width_mm for o in wall.openings)


def _carried(seen: SeenOpening, old: Sequence[Corner], new: Sequence[Corner]) -> SeenOpening:
    """Give an opening beside the side that it was seen in, which has moved, turned or another length now.

    Where the outline has more or fewer corners than before, nobody knows which side is which: it stays where it is.
    """
    if len(old) != len(new) or not old:
        return seen
    sides = [(old[n - 1], old[n], new[n - 1], new[n]) for n in range(len(old)) if old[n - 1] != old[n]]
    middle = _middle(seen.a_mm, seen.b_mm)
    a, b, c, d = min(sides, key=lambda side: _away(side[0], side[1], middle))
    if (a, b) == (c, d) or c == d:
        return seen
    before, now = math.dist(a, b), math.dist(c, d)
    # From the corner that stayed; where both moved, all by the share that the side has grown by.
    share = 1.0 if a == c or b == d or abs(now - before) <= _SAME_MM else now / before
    start = now - before if b == d and a != c else 0.0
    ends = []
    for spot in (seen.a_mm, seen.b_mm):
        along, off = _measured(a, b, spot)
        x, y = (d[0] - c[0]) / now, (d[1] - c[1]) / now
        along, off = start + along * share, off * share
        ends.append(_whole((c[0] + along * x + off * y, c[1] + along * y - off * x)))
    return msgspec.structs.replace(seen, a_mm=ends[0], b_mm=ends[1])


def _measured(a: Spot, b: Spot, spot: Spot) -> Spot:
    """Give where a spot lies along a line from its first end, and how far off it."""
    long = math.dist(a, b)
    x, y = (b[0] - a[0]) / long, (b[1] - a[1]) / long
    dx, dy = spot[0] - a[0], spot[1] - a[1]
    return dx * x + dy * y, dx * y - dy * x


def _away(a: Spot, b: Spot, spot: Spot) -> float:
    along, off = _measured(a, b, spot)
    return math.hypot(off, along - min(max(along, 0.0), math.dist(a, b)))


def _middle(a: Spot, b: Spot) -> Spot:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _whole(spot: Spot) -> Corner:
    return round(spot[0]), round(spot[1])
