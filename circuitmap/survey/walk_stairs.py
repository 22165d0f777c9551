"""From storey to storey: where a walk begins, in what order it takes the storeys, and by which stair it goes."""

import itertools
import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Board, Storey, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.outlines import polygon_of
from circuitmap.plan.register import stairs_between
from circuitmap.plan.rooms import has_outline
from circuitmap.plan.where import room_of

At = tuple[int, int]
# Thirteen steps of some 0.2 m by 0.22 m with a landing (common practice, no source).
FLIGHT_MM: Final = 5000.0


@dataclass(frozen=True)
class Flight:
    """The way from a storey to the next one: where one leaves and where one arrives, None where no stair is drawn."""

    leaves: str
    foot: At | None
    arrives: str
    landing: At | None
    length_mm: float


def start_of(home: Home, memo: Memo) -> tuple[str, At] | None:
    """Give the storey and the spot at which a walk begins: the first board that is somewhere on a plan."""
    for board in home.sorted(Board):
        if board.place is not None:
            return board.place.storey, (board.place.x_mm, board.place.y_mm)
        room = room_of(home, memo, board)
        if room is not None and room.storey is not None and has_outline(room):
            spot = polygon_of(room.outline_mm).representative_point()
            return room.storey, (round(spot.x), round(spot.y))
    return None


def in_turn(home: Home, storeys: Collection[str], first: str | None) -> list[str]:
    """Give storeys in the order of a walk: the first one, then the shorter way down or up, then the other way.

    Without a first one, or with one of no level, they are taken from the lowest up.
    """
    table = home.table(Storey)
    known = sorted(storeys, key=lambda i: (table[i].level, natural_key(i)))
    begin = table.get(first) if first is not None else None
    if begin is None:
        return known
    here = [i for i in known if table[i].level == begin.level]
    here.sort(key=lambda i: i != first)
    down = [i for i in reversed(known) if table[i].level < begin.level]
    up = [i for i in known if table[i].level > begin.level]
    far_down = begin.level - table[down[-1]].level if down else 0
    far_up = table[up[-1]].level - begin.level if up else 0
    return [*here, *down, *up] if far_down <= far_up else [*here, *up, *down]


def flights(
    home: Home, leaves: str, arrives: str, starts: Collection[At] = (), ends: Collection[At] = ()
) -> tuple[Flight, ...]:
    """Give the flights that lead from one storey to another, through those between them.

    Parameters
    ----------
    home
        The home, with its stairs.
    leaves, arrives
        The storeys.
    starts, ends
        Spots that one comes from and goes to: of several stairs the one that lies best between the nearest of them is
        taken.
    """
    table = home.table(Storey)
    start, stop = table[leaves].level, table[arrives].level
    between: dict[int, str] = {}
    for storey in home.sorted(Storey):
        if min(start, stop) < storey.level < max(start, stop):
            between.setdefault(storey.level, storey.id)
    chain = [leaves, *(between[level] for level in sorted(between, reverse=start > stop)), arrives]
    found = []
    for one, other in itertools.pairwise(chain):
        levels = table[other].level - table[one].level
        foot, landing = _stair(home, one, other, starts, ends if other == arrives else ()) if levels else (None, None)
        starts = (landing,) if landing is not None else ()
        found.append(Flight(one, foot, other, landing, max(abs(levels), 1) * FLIGHT_MM))
    return tuple(found)


def _stair(
    home: Home, one: str, other: str, starts: Collection[At], ends: Collection[At]
) -> tuple[At | None, At | None]:
    """Give where one leaves a storey by a stair and where one arrives on the next, up or down."""
    table = home.table(Storey)
    is_up = table[one].level < table[other].level
    stairs = stairs_between(home, *((one, other) if is_up else (other, one)))
    ways = [(each.foot_mm, each.head_mm) if is_up else (each.head_mm, each.foot_mm) for each in stairs]
    if not ways:
        return None, None
    return min(ways, key=lambda way: _nearest_mm(way[0], starts) + _nearest_mm(way[1], ends))


def _nearest_mm(spot: At, spots: Collection[At]) -> float:
    return min((math.dist(spot, each) for each in spots), default=0.0)
