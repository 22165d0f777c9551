"""What all verdicts on a circuit's readings are made from, and the record in which they are handed on.

Nothing here loads the network: predictions by the map are ``judged_map``'s.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Device
from circuitmap.home.snapshot import Home
from circuitmap.quantities import Measured
from circuitmap.readings.entries import Entry
from circuitmap.readings.verdict import Rules, Verdict
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core, Earthing, LinkKind, ReadingTest

Since = Literal["", "there before", "new", "put right", "not read again"]
"""How it lies to the work: there was none, it was there first, it came with the work, it went with it."""
RINGS: Final = frozenset({"ring", "ring with spurs", "bridged ring", "loop on a stalk", "several loops"})
RADIALS: Final = frozenset({"radial", "branched radial", "one point only"})


@dataclass(frozen=True, slots=True)
class Judged:
    """One verdict on some readings of a circuit.

    ``readings`` are the records it rests on (empty where a figure of the supply page was judged), ``at`` the points,
    boards or devices it is about. ``subject`` names what was judged, the same before and after the work. ``beside`` is
    what is said of it beside the work; the verdict's own reason ends with it.
    """

    verdict: Verdict
    readings: tuple[str, ...]
    at: tuple[str, ...]
    subject: str = ""
    since: Since = ""
    beside: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    """One circuit and those of its readings that count together.

    ``base_ohm`` is the earth loop at its board, if known, and ``base`` the readings that say so.
    """

    rules: Rules
    view: CircuitView
    earthing: Earthing
    base_ohm: float | None
    base: tuple[str, ...]
    entries: tuple[Entry, ...]

    def of_test(self, test: ReadingTest, link: LinkKind | None = None) -> tuple[Entry, ...]:
        """Give the readings of one test, of one kind of link if one is named."""
        return tuple(e for e in self.entries if e.test == test and (link is None or e.link == link))

    @property
    def way(self) -> str:
        """The device of the circuit."""
        return self.view.device.id


def rules_of(home: Home, trade: Trade) -> Rules:
    """Give the tables in the edition and with the choices of a home."""
    return Rules(trade, home.details.edition, home.details.choices)


def shown(entry: Entry | None) -> Measured | None:
    """Give a reading as verdicts take it, without what its leads added; None where there is none."""
    if entry is None:
        return None
    reading = entry.reading
    return Measured(
        entry.value_si, reading.bound, reading.not_possible, reading.remark, reading.typed, reading.indicated
    )


def ids_of(entries: Iterable[Entry]) -> tuple[str, ...]:
    """Give the records of some readings."""
    return tuple(entry.reading.id for entry in entries)


def place_of(case: Case, entry: Entry) -> str:
    """Give where a reading was taken; the way itself where nobody said."""
    return entry.at or case.way


def cores_of(entry: Entry) -> frozenset[Core]:
    """Give between which conductors a reading was taken, by the reading or by what was linked for it."""
    named = entry.reading.cores or (entry.reading.link.cores if entry.reading.link is not None else ())
    held = {core for side in named for core in side.split("+")}
    return frozenset(core for core in CORES if core in held)


def of_one_side(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Give what belongs together: those after the work if there are any, since a ring isn't compared across it."""
    held = tuple(entries)
    after = tuple(entry for entry in held if entry.side == "after")
    return after or held


def rcds_over(view: CircuitView, trade: Trade) -> tuple[Device, ...]:
    """Give the residual current devices of a circuit: its own first, then those over it, nearest first."""
    return tuple(d for d in (view.device, *view.above) if trade.device(d.kind).residual_current or d.rcd is not None)


def least_trip_ma(devices: Iterable[Device]) -> float | None:
    """Give the smallest rating among residual current devices, None where none is known."""
    return min((d.rcd.trips_ma for d in devices if d.rcd is not None and d.rcd.trips_ma is not None), default=None)
