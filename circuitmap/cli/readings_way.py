"""One way as ``circuitmap readings`` tells of it: everything that the floors below have to say, in one record."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from circuitmap.circuits import CircuitView
    from circuitmap.home import Home
    from circuitmap.memo import Memo
    from circuitmap.readings.book import ReadingBook
    from circuitmap.readings.causes import Diagnosis
    from circuitmap.readings.entries import Entry
    from circuitmap.readings.insulation import Pair
    from circuitmap.readings.judged import Judged
    from circuitmap.readings.leak_state import Step
    from circuitmap.readings.order import RingOrder
    from circuitmap.readings.residuals import Awaited, Residual
    from circuitmap.trade import Trade


@dataclass(frozen=True)
class WayRead:
    """A way with its readings; ``order`` and ``step`` (of the hunt for low insulation) are None unless asked for."""

    view: "CircuitView"
    book: "ReadingBook"
    residuals: "tuple[Residual, ...]"
    awaited: "tuple[Awaited, ...]"
    judged: "tuple[Judged, ...]"
    diagnosis: "Diagnosis"
    order: "RingOrder | None"
    step: "Step | None"


def way_read(
    home: "Home", view: "CircuitView", trade: "Trade", memo: "Memo", *, order: bool = False, hunt: bool = False
) -> WayRead:
    """Gather what is known of a way's readings."""
    from circuitmap.readings.book import readings_of
    from circuitmap.readings.diagnose import diagnose
    from circuitmap.readings.judged import judged
    from circuitmap.readings.residuals import awaited, residuals

    book = readings_of(home, view, memo)
    taken = residuals(home, view, trade, book.latest)
    return WayRead(
        view=view,
        book=book,
        residuals=taken,
        awaited=awaited(home, view, trade, taken),
        judged=judged(home, view, trade, memo, by_map=False),
        diagnosis=diagnose(home, view, trade, memo),
        order=_order(home, view, trade, book) if order else None,
        step=_step(home, view, trade, book.latest) if hunt else None,
    )


def _order(home: "Home", view: "CircuitView", trade: "Trade", book: "ReadingBook") -> "RingOrder":
    from circuitmap.readings.order import order_of_points
    from circuitmap.readings.sweeps import sweeps_of

    return order_of_points(sweeps_of(home, view, book, trade))


def _step(home: "Home", view: "CircuitView", trade: "Trade", entries: "Sequence[Entry]") -> "Step":
    """Give the first step of the hunt, from the lowest reading of the whole circuit if there is one."""
    from circuitmap.readings.judged import rules_of
    from circuitmap.readings.judged_case import shown
    from circuitmap.readings.leak_hunt import begin, next_step

    whole = [e for e in entries if e.test == "insulation" and e.at == view.device.id and not e.reading.apart]
    lowest = min(whole, key=_megohms, default=None)
    pair = _pair(lowest) if lowest is not None else "L+N-E"
    return next_step(begin(view, rules_of(home, trade), pair, whole=shown(lowest)))


def _megohms(entry: "Entry") -> float:
    return entry.value_si if entry.value_si is not None else inf


def _pair(entry: "Entry") -> "Pair":
    sides = {"".join(sorted(side.split("+"), key="LNE".index)) for side in entry.reading.cores}
    pairs: dict[frozenset[str], Pair] = {
        frozenset({"L", "N"}): "L-N", frozenset({"N", "E"}): "N-E", frozenset({"L", "E"}): "L-E",
    }  # fmt: skip
    return pairs.get(frozenset(sides), "L+N-E")


def figure(ohm: float | None) -> "float | str | None":
    """Give ohms as JSON has them: a number, "open" for an infinite one, null where it can't be told."""
    if ohm is None:
        return None
    return round(ohm, 6) if isfinite(ohm) else "open"
