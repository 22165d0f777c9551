"""What no way is known to feed: pieces without a device that nothing names, and points on no way at all."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from circuitmap.circuits.gather import gather
from circuitmap.circuits.views import CircuitView
from circuitmap.home.records import Point
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.trade import Trade
from circuitmap.wiring import Piece, Shape


@dataclass(frozen=True, slots=True)
class Orphan:
    """A piece without a device, and its shape: "fed by nothing" only when every cable there is accounted for."""

    piece: Piece
    shape: Shape


def orphans(home: Home, trade: Trade, memo: Memo) -> tuple[Orphan, ...]:
    """Give the pieces that no device feeds by runs and no tag or switch-off names a way for, in natural order."""
    found = []
    for pair in gather(home, trade, memo).orphans:
        found.append(memo.get("circuits.orphan", pair[0].name, pair, partial(Orphan, *pair)))
    return memo.get("circuits.orphans", "", tuple(found), lambda: tuple(found))


def unmapped(home: Home, circuits: Iterable[CircuitView]) -> tuple[Point, ...]:
    """Give the points that are on no way by run, tag or switch-off, in natural order."""
    known = {name for view in circuits for name in view.names}
    return tuple(p for p in home.sorted(Point) if p.phase == "existing" and p.id not in known)
