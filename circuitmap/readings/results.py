"""What a schedule of test results says of a circuit in one line: of all that was read, which reading stands for what.

The quantities are those of the model schedule of test results; of several readings of one quantity the worst stands:
the highest of a continuity, a loop or a time, the lowest of an insulation.

**Source:** BS 7671:2018 Appendix 6, schedules of circuit details and of test results, from memory.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Device
from circuitmap.readings.entries import Entry, Side
from circuitmap.readings.judged_case import Case, cores_of, least_trip_ma, rcds_over
from circuitmap.readings.judged_live import disconnection_time_s, protection_of
from circuitmap.readings.loop import zs_limit
from circuitmap.readings.verdict import Rules
from circuitmap.words import Earthing, ReadingTest

_MILLI: Final = 1e-3
_BOUNDS: Final = {"<": 0, "=": 1, ">": 2}
_TO_R1_R2: Final = ("cross", "radial")
_LINE_EARTH: Final = frozenset({"L", "E"})
_RATED, _FAST = 1.0, 5.0
_TIMES_SLACK: Final = 0.05


@dataclass(frozen=True, slots=True)
class Results:
    """The readings that stand for a circuit on one side of the work; None where nothing was read.

    ``r1``, ``rn`` and ``r2`` are a ring's conductors end to end, ``r1_r2`` the highest line–cpc reading with conductors
    linked, ``long_lead`` the highest of the cpc alone. ``trip`` is at the rated current, ``fast_trip`` at five times
    it. ``polarity`` holds one reading for each point that it was told of.
    """

    r1: Entry | None = None
    rn: Entry | None = None
    r2: Entry | None = None
    r1_r2: Entry | None = None
    long_lead: Entry | None = None
    live_live: Entry | None = None
    live_earth: Entry | None = None
    polarity: tuple[Entry, ...] = ()
    zs: Entry | None = None
    trip: Entry | None = None
    fast_trip: Entry | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all was read."""
        return self == Results()


@dataclass(frozen=True, slots=True)
class Permitted:
    """The greatest earth fault loop that a circuit may have, in ohms, and by which rule."""

    ohm: float
    source: str


def results_of(entries: Iterable[Entry], side: Side, device: Device | None = None) -> Results:
    """Give what stands for a circuit on one side of the work.

    Parameters
    ----------
    entries
        The readings of the circuit, and those of the residual current device over it.
    device
        That residual current device; its rating tells the test currents apart.
    """
    held = [e for e in entries if e.counts and e.side == side and _is_of_the_circuit(e)]

    def of(test: ReadingTest) -> list[Entry]:
        return [e for e in held if e.test == test]

    def end_to_end(core: str) -> Entry | None:
        return highest(e for e in of("ring end to end") if e.reading.cores[:1] == (core,))

    linked = [e for e in of("linked") if e.link in _TO_R1_R2 and cores_of(e) == _LINE_EARTH]
    alone = [e for e in of("continuity") if cores_of(e) == frozenset({"E"})]
    insulation = of("insulation")
    to_earth = [e for e in insulation if "E" in cores_of(e)]
    trips = of("RCD trip")
    return Results(
        r1=end_to_end("L"),
        rn=end_to_end("N"),
        r2=end_to_end("E"),
        r1_r2=highest(linked),
        long_lead=highest(alone),
        live_live=lowest(e for e in insulation if e not in to_earth),
        live_earth=lowest(to_earth),
        polarity=tuple(of("polarity")),
        zs=highest(e for e in of("Zs") if cores_of(e) in (frozenset(), _LINE_EARTH)),
        trip=highest(e for e in trips if _is_at(e, device, _RATED)),
        fast_trip=highest(e for e in trips if _is_at(e, device, _FAST)),
    )


def highest(entries: Iterable[Entry]) -> Entry | None:
    """Give the reading with the highest value, one over a bound before the bound itself; else what else was said."""
    held = list(entries)
    read = [e for e in held if e.value_si is not None]
    return max(read, key=_size, default=held[-1] if held else None)


def lowest(entries: Iterable[Entry]) -> Entry | None:
    """Give the reading with the lowest value, one under a bound before the bound itself; else what else was said."""
    held = list(entries)
    read = [e for e in held if e.value_si is not None]
    return min(read, key=_size, default=held[-1] if held else None)


def permitted_zs(rules: Rules, view: CircuitView, earthing: Earthing) -> Permitted | None:
    """Give the greatest Zs that a circuit's protection permits, None where no rule gives one.

    On TT it is 50 V over the least rated residual current over the circuit; else the figure of its device.

    **Source:** BS 7671 411.5.3 and tables 41.2 to 41.4.
    """
    case = Case(rules, view, earthing, None, (), ())
    if earthing == "TT":
        rated_ma = least_trip_ma(rcds_over(view, rules.trade))
        touch = rules.row("touch voltage V")
        return Permitted(touch.value / (rated_ma * _MILLI), touch.source) if rated_ma else None
    limit = zs_limit(rules, protection_of(case), disconnection_time_s(case))
    return Permitted(limit.row.value, limit.row.source) if limit is not None else None


def _is_of_the_circuit(entry: Entry) -> bool:
    return not entry.is_of_part and (entry.test == "insulation" or not entry.reading.apart)


def _size(entry: Entry) -> tuple[float, int]:
    return (entry.value_si or 0.0, _BOUNDS[entry.reading.bound])


def _is_at(entry: Entry, device: Device | None, times: float) -> bool:
    """Whether a trip time was read at so many times the rated current; at the rated one unless it says otherwise."""
    test_a = entry.reading.test_a
    if test_a is None:
        return times == _RATED
    rated_ma = device.rcd.trips_ma if device is not None and device.rcd is not None else None
    return rated_ma is not None and abs(test_a / (rated_ma * _MILLI) - times) <= _TIMES_SLACK * times
