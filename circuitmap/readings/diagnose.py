"""What the readings of a circuit mean: likely causes with their odds, and the reading that best tells them apart.

Only readings of conductors count here, end to end or linked at the board. A cause is where to look, not proof of
anything; least of all does it say that something is dead or safe to touch.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Run
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.readings.arrays import base_of
from circuitmap.readings.book import ReadingBook, readings_of
from circuitmap.readings.causes import OPEN_FROM_OHM, Cause, Compared, Diagnosis, NextReading, Stop
from circuitmap.readings.causes_said import say_cause, say_next, tells_apart, why_cause
from circuitmap.readings.conductors import length_of, temperature_factor
from circuitmap.readings.drawn import network_of
from circuitmap.readings.entries import Entry, Side
from circuitmap.readings.faults import recorded, with_faults
from circuitmap.readings.links import legs_of, linked
from circuitmap.readings.network import Network, ReadingError
from circuitmap.readings.predict import Meter
from circuitmap.readings.separate import OF_RADIAL, OF_RING, best_readings
from circuitmap.readings.solve import Floats
from circuitmap.readings.weigh import Asked, Case, Ranked, gathered, weigh
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core, ReadingTest

_WEIGHED: Final[frozenset[ReadingTest]] = frozenset({"ring end to end", "linked"})
# A plug in a socket adds 0.01 to 0.05 Ω that differs each time (common practice, no source).
_PLUG_OHM, _PLUG_SD_OHM = 0.03, 0.04 / 12**0.5
# A run of unknown length: so long, and the standard deviation of the logarithm. Our own estimates.
_USUAL_M, _USUAL_SPREAD = 5.0, 0.7
# No more points are weighed: every pair of places is a suspicion, and each takes the whole network.
MOST_POINTS: Final = 60
_LISTED, _NEXT = 8, 6
_LEAST_LISTED: Final = 0.004
_MANY: Final = 4


@dataclass(frozen=True, eq=False)
class _Drawn:
    """A circuit ready to be weighed."""

    network: Network
    legs: tuple[str, ...]
    per_m: dict[Core, float]
    notes: tuple[str, ...]

    @property
    def is_ring(self) -> bool:
        """Whether the tests of a ring apply: two cables at the board, as legs."""
        return len(self.legs) == 2


def diagnose(
    home: Home, view: CircuitView, trade: Trade, memo: Memo, *, side: Side | None = None, stop: Stop | None = None
) -> Diagnosis:
    """Weigh the readings of a circuit.

    Parameters
    ----------
    side
        Those before or after the work; what counts now when None.
    stop
        Called between steps; it raises when the person has stopped the work.
    """
    drawn = _drawn(home, view, trade)
    if isinstance(drawn, str):
        return Diagnosis(view.device.id, view.code, side, (), (), (drawn,))
    asked, notes = _asked(readings_of(home, view, memo), drawn, trade, side, view.code)
    notes = (*drawn.notes, *notes)
    if not asked:
        says = f"No reading of {view.code} with its conductors end to end or linked is on record: nothing to weigh yet."
        first = _first(drawn, view)
        return Diagnosis(view.device.id, view.code, side, (), first, (*notes, says))
    base = base_of(drawn.network, {core: ohm * _USUAL_M for core, ohm in drawn.per_m.items()}, _USUAL_SPREAD)
    case = Case(base, asked, drawn.per_m, _ratios(trade, view))
    ranked = weigh(case, stop)
    groups = gathered(case, ranked)
    shown = [group for group in groups if _odds(group) >= _LEAST_LISTED][:_LISTED]
    healthy = next((each for each in ranked if each.suspect.kind == "healthy"), None)
    causes = tuple(_cause(case, group, healthy) for group in shown)
    ways = OF_RING if drawn.is_ring else OF_RADIAL
    candidates = best_readings(case, ranked, ways, drawn.legs, _meter(asked), stop)[:_NEXT]
    following = tuple(
        NextReading(
            *candidate.way, candidate.at, candidate.bits,
            say_next(candidate.way, candidate.at, drawn.network.device, drawn.legs),
            tells_apart([group[0].suspect for group in shown], len(shown[0]) if shown else 0) if not number else "",
        )
        for number, candidate in enumerate(candidates)
    )  # fmt: skip
    others = max(0.0, 1.0 - sum(cause.probability for cause in causes))
    return Diagnosis(view.device.id, view.code, side, causes, following, notes, others)


def _drawn(home: Home, view: CircuitView, trade: Trade) -> _Drawn | str:
    """Give the network of a circuit, or the sentence that says why it can't be weighed."""
    if not view.runs:
        return f"No run is drawn from {view.code}: draw its runs, and its readings can be weighed against them."
    if len(view.names) > MOST_POINTS:
        return (
            f"{view.code} has {len(view.names)} points: which of so many places explains its readings isn't weighed "
            f"beyond {MOST_POINTS}. What each should read is still said."
        )
    network = with_faults(network_of(view, trade, home=home), recorded(view.runs))
    if not network.legs:
        return f"No run drawn ends at {view.code}: its readings can't be weighed until one does."
    per_m = _usual_cable(view.runs, trade)
    if per_m is None:
        return f"No cable of {view.code} is known on the map: say of one run what cable it is."
    notes: list[str] = []
    lacking = [run.id for run in view.runs if length_of(run, home) is None]
    if lacking:
        notes.append(
            f"{_some(lacking)} {'has' if len(lacking) == 1 else 'have'} no length on the map: taken as {_USUAL_M:g} m, "
            "give or take much, so what hangs on that is less sure."
        )
    return _Drawn(network, legs_of(view, network), per_m, tuple(notes))


def _usual_cable(runs: Iterable[Run], trade: Trade) -> dict[Core, float] | None:
    """Give the ohms per metre of the cable that most runs are drawn in."""
    counted = Counter(run.cable for run in runs if run.cable)
    for code, _ in counted.most_common():
        cable = trade.cable(code) if code else None
        live, cpc = trade.cable_ohm_per_m(cable) if cable is not None else (None, None)
        if live is not None:
            return {"L": live, "N": live, "E": cpc or live}
    return None


def _ratios(trade: Trade, view: CircuitView) -> dict[tuple[float, float], tuple[float, float]]:
    """Give by what line and cpc would change if the circuit were wired in another cable of the tables."""
    counted = Counter(run.cable for run in view.runs if run.cable)
    cable = next((known for code, _ in counted.most_common() if code and (known := trade.cable(code))), None)
    if cable is None or len(counted) > 1:
        return {}
    live, cpc = trade.cable_ohm_per_m(cable)
    found: dict[tuple[float, float], tuple[float, float]] = {}
    for other in trade.cables():
        line, earth = trade.cable_ohm_per_m(other)
        pair = (other.live_mm2, other.cpc_mm2)
        if live and cpc and line and earth and other.metal == "copper" and pair != (cable.live_mm2, cable.cpc_mm2):
            found[pair] = (line / live, earth / cpc)
    return found


def _asked(
    book: ReadingBook, drawn: _Drawn, trade: Trade, side: Side | None, code: str
) -> tuple[tuple[Asked, ...], tuple[str, ...]]:
    """Give the readings that can be weighed, and sentences about those that can't."""
    held = {"before": book.before, "after": book.after}[side] if side is not None else book.latest
    asked: list[Asked] = []
    notes: list[str] = []
    aside: dict[str, list[str]] = {}
    for entry in held:
        if entry.test not in _WEIGHED or entry.value_si is None:
            continue
        try:
            asked.append(_one(entry, drawn, trade))
        except ReadingError as error:
            aside.setdefault(str(error), []).append(entry.reading.id)
    for why, readings in aside.items():
        notes.append(f"{_some(readings)} left out: {why}")
    bounded = [each.reading for each in asked if each.bound and each.ohm != inf]
    if bounded:
        notes.append(f"{_some(bounded)}: only a bound, and weighed as one.")
    if all(each.link == "radial" for each in asked) and asked and len(drawn.legs) == 2:
        notes.append(f"{code} has two cables at the board but was tested as a radial: a broken ring doesn't show so.")
    return tuple(asked), tuple(notes)


def _one(entry: Entry, drawn: _Drawn, trade: Trade) -> Asked:
    reading, network = entry.reading, drawn.network
    cores: list[Core] = [core for core in CORES if core in reading.cores]
    if entry.test == "ring end to end" and len(cores) == 1:
        cores *= 2
    link = entry.link or ("end to end" if entry.test == "ring end to end" else None)
    if len(cores) != 2 or link is None:
        raise ReadingError("which two conductors it was between, or how they were linked, isn't on record.")
    legs = (reading.link.legs if reading.link is not None else ()) or drawn.legs
    linked(network, link, (cores[0], cores[1]), legs)
    at = entry.at or network.device
    if at != network.device:
        for core in cores:
            network.terminal(at, core)
    assert entry.value_si is not None  # told apart by the caller
    shown = entry.value_si / temperature_factor(trade, reading.copper_c if reading.copper_c is not None else 20.0)
    plugged = reading.by_plug and at != network.device
    over = reading.bound == ">"
    meter = Meter(entry.accuracy_fraction, entry.resolution_ohm, _PLUG_SD_OHM if plugged else 0.0)
    ohm = inf if over and shown >= OPEN_FROM_OHM else max(0.0, shown - (_PLUG_OHM if plugged else 0.0))
    variance = float(meter.variance(np.array([0.0 if ohm == inf else ohm]))[0])
    bound = 1 if over else -1 if reading.bound == "<" else 0
    return Asked(reading.id, entry.test, link, (cores[0], cores[1]), at, ohm, bound, variance, legs)


def _meter(asked: Sequence[Asked]) -> Meter:
    """Give a meter as good as the one that was used."""
    last = asked[-1]
    contact = _PLUG_SD_OHM if last.variance > _PLUG_SD_OHM**2 else 0.0
    return Meter(contact_ohm=contact)


def _odds(group: Sequence[Ranked]) -> float:
    return sum(each.probability for each in group)


def _cause(case: Case, group: Sequence[Ranked], healthy: Ranked | None) -> Cause:
    best = group[0]
    suspect = best.suspect
    compared = _compared(case, best)
    size, low, high = _size(case, best)
    # What reads alike at several places is somewhere among them.
    runs = _in_order(case, (run for each in group for run in each.suspect.runs))
    at = suspect.at if len(group) == 1 else tuple(dict.fromkeys(place for each in group for place in each.suspect.at))
    if suspect.kind == "same leg":
        at = ()
    if suspect.kind == "bad contact":
        at = (case.ordered[int(suspect.detail)].at,)
    sized = suspect.unit != ""
    return Cause(
        suspect.kind,
        _odds(group),
        say_cause(case, group, (size, low, high)),
        why_cause(case, best, healthy),
        suspect.cores,
        at,
        runs,
        size if sized else None,
        suspect.unit,
        low if sized else None,
        high if sized else None,
        compared,
    )


def _in_order(case: Case, runs: Iterable[str]) -> tuple[str, ...]:
    named = set(runs)
    return tuple(run for run in case.base.runs if run in named)


def _size(case: Case, best: Ranked) -> tuple[float, float, float]:
    """Give how big a cause is in its unit."""
    suspect = best.suspect
    base = case.base
    if suspect.kind == "other length":
        return best.spread_of(base.runs.index(suspect.runs[0]))
    if suspect.kind == "on a spur" and not suspect.detail.startswith("between"):
        spur = next(run for run in suspect.runs if suspect.detail in _ends(case, run))
        number = base.runs.index(spur)
        times, low, high = best.spread_of(number)
        edge = next(place for place, each in enumerate(base.network.edges) if each.run == spur and each.core == "L")
        length_m = float(base.ohm[edge]) / case.per_m["L"]
        return times * length_m, low * length_m, high * length_m
    return best.size


def _ends(case: Case, run: str) -> set[str]:
    nodes = case.base.network.nodes
    return {nodes[end].place for edge in case.base.network.edges if edge.run == run for end in (edge.a, edge.b)}


def _compared(case: Case, best: Ranked) -> tuple[Compared, ...]:
    spread = _spread(case, best)
    found: list[Compared] = []
    for column, asked in enumerate(case.ordered):
        expected, sd = float(best.ohm[column]), float(spread[column])
        if asked.ohm == inf or expected == inf:
            off = 0.0 if asked.ohm == expected else inf
        elif asked.bound:
            broken = (expected - asked.ohm) * asked.bound < 0
            off = (asked.ohm - expected) / sd if broken else 0.0
        else:
            off = (asked.ohm - expected) / sd
        found.append(
            Compared(asked.reading, asked.test, asked.link, asked.cores, asked.at, asked.ohm, expected, sd, off)
        )
    return tuple(found)


def _spread(case: Case, best: Ranked) -> Floats:
    slopes = best.fitted.slopes[best.row]
    through = np.linalg.solve(best.fitted.precision[best.row], slopes)
    found: Floats = np.sqrt(np.einsum("up,up->p", slopes, through) + case.told.variance)
    return found


def _first(drawn: _Drawn, view: CircuitView) -> tuple[NextReading, ...]:
    """Give where to begin when nothing was read: end to end on a ring, at the far end of a radial."""
    if drawn.is_ring:
        return tuple(
            NextReading(*way, view.device.id, 0.0, say_next(way, view.device.id, view.device.id, drawn.legs))
            for way in OF_RING[:3]
        )
    return ()


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - _MANY} more" if len(names) > _MANY else ""
    return ", ".join(names[:_MANY]) + more
