"""What is left of readings when what the map predicts is taken off, reading by reading, in standard deviations.

The word for each comes from ``against``, so that screens and commands say the same; verdicts are ``judged``'s.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Link
from circuitmap.home.snapshot import Home
from circuitmap.readings.against import CONTACT_OHM, Fit, expected_of, fit_of
from circuitmap.readings.entries import Entry
from circuitmap.readings.links import Pair
from circuitmap.readings.predict import Meter, Predicted, predict
from circuitmap.readings.sheet import Group, Line, groups_of, walk_order
from circuitmap.trade import Trade
from circuitmap.words import CORES, LinkKind, ReadingTest

COPPER_TESTS: Final[frozenset[ReadingTest]] = frozenset({"ring end to end", "linked"})
"""The tests whose readings the lengths and sizes on the map decide."""
USUAL_C: Final = 20.0


@dataclass(frozen=True, slots=True)
class Residual:
    """One reading beside what it should be by the map; ``at`` is a point, or the way itself for the board.

    ``off_by_sd`` is measured − expected in standard deviations: infinite where one of them is open and the other is
    not, None where it can't be told. ``expected`` and ``fit`` are None where no length decides the reading.
    """

    entry: Entry
    at: str
    expected: Predicted | None = None
    fit: Fit | None = None
    off_by_sd: float | None = None


@dataclass(frozen=True, slots=True)
class Awaited:
    """One reading that hasn't been taken, and what it should be."""

    line: Line
    expected: Predicted


def residuals(home: Home, view: CircuitView, trade: Trade, entries: Sequence[Entry]) -> tuple[Residual, ...]:
    """Compare readings of a circuit with the map: in the order of the tests, and of a walk along the circuit."""
    alike: dict[tuple[object, ...], list[Entry]] = {}
    for entry in entries:
        reading = entry.reading
        key = (reading.link, pair_of(entry), reading.copper_c, entry.accuracy_fraction, entry.resolution_ohm)
        if entry.test in COPPER_TESTS and not reading.apart:
            alike.setdefault((entry.test, *key), []).append(entry)
    found: dict[str, Residual] = {}
    for held in alike.values():
        predicted = _predicted(home, view, trade, held)
        for entry in held:
            at = place_of(view, entry)
            expected = predicted.get(at)
            fit, off = fit_of(entry, expected), off_by_sd(entry, expected)
            found[entry.reading.id] = Residual(entry, at, expected, fit, off)
    every = (found.get(entry.reading.id) or Residual(entry, place_of(view, entry)) for entry in entries)
    walk = {place: number for number, place in enumerate((view.device.id, *walk_order(view)))}
    tests: dict[object, int] = {}
    for line in _lines(groups_of(view)):
        tests.setdefault(_kind(line), len(tests))
    last = len(tests)
    return tuple(
        sorted(
            every,
            key=lambda each: (tests.get(_kind(each.entry), last), each.entry.test, walk.get(each.at, len(walk))),
        )
    )


def awaited(home: Home, view: CircuitView, trade: Trade, taken: Sequence[Residual]) -> tuple[Awaited, ...]:
    """Give what is still to be read of the tests of a circuit's copper, with what it should read."""
    there = {(_kind(each.entry), each.at) for each in taken}
    way = view.device.id
    lines = [
        line
        for line in _lines(groups_of(view))
        if line.test in COPPER_TESTS and line.pair is not None and (_kind(line), line.at or way) not in there
    ]
    expected = expected_of(view, trade, lines, home=home)
    return tuple(Awaited(line, expected[line.key]) for line in lines if line.key in expected)


def pair_of(entry: Entry) -> Pair | None:
    """Give the two conductors of a reading, of what was linked where it names none; None for more or fewer."""
    reading = entry.reading
    named = reading.cores or (reading.link.cores if reading.link is not None else ())
    held = [core for side in named for core in CORES if side == core]
    if len(held) != len(named) or not held or len(held) > 2:
        return None
    return held[0], held[-1]


def off_by_sd(entry: Entry, expected: Predicted | None) -> float | None:
    """Give how many standard deviations a reading lies from what it should be; None where nobody can tell."""
    if expected is None or expected.ohm is None or entry.value_si is None:
        return None
    bound, value, wanted = entry.reading.bound, entry.value_si, expected.ohm
    if wanted == inf:
        return 0.0 if bound == ">" else -inf
    if bound == ">":
        return inf if value > wanted else None  # over a range that ends below what was to be expected says nothing
    if bound == "<" and value >= wanted:
        return None
    return (value - wanted) / expected.sd_ohm


def _predicted(home: Home, view: CircuitView, trade: Trade, alike: Sequence[Entry]) -> Mapping[str, Predicted]:
    """Predict readings of one test, linked alike and taken by one meter."""
    first = alike[0]
    reading, pair = first.reading, pair_of(first)
    if pair is None or (reading.link is not None and len(reading.link.cores) > 2):
        return {}
    link = Link(kind="end to end") if first.test == "ring end to end" else reading.link
    copper_c = reading.copper_c if reading.copper_c is not None else USUAL_C
    meter = Meter(first.accuracy_fraction, first.resolution_ohm, CONTACT_OHM)
    points = [at for at in (place_of(view, entry) for entry in alike) if at != view.device.id]
    return predict(view, trade, link, pair, points=points, copper_c=copper_c, meter=meter, home=home)


def place_of(view: CircuitView, entry: Entry) -> str:
    """Give where a reading was taken, the way itself where nobody said."""
    return entry.at or view.device.id


def _lines(groups: Sequence[Group]) -> list[Line]:
    return [line for group in groups for line in group.lines]


def _kind(of: Line | Entry) -> tuple[ReadingTest, LinkKind | None, tuple[str, ...]]:
    """Give what readings of one sweep have in common; the order of two conductors doesn't matter."""
    cores = of.cores if isinstance(of, Line) else pair_of(of) or of.reading.cores
    return of.test, of.link, tuple(sorted(cores))
