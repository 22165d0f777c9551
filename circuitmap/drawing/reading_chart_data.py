"""What a chart of readings shows: what each place of one sweep should read, and what was read there.

A sweep is one way of linking at the board and the two conductors that the meter was between. Between the points the
prediction is exact, not a straight line.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite, sqrt
from statistics import median
from typing import Final

from circuitmap.circuits.views import CircuitView
from circuitmap.drawing.reading_chart_axis import Axis, Stop, Stretch, axis_of
from circuitmap.home import Home
from circuitmap.home.records import Instrument
from circuitmap.readings.against import CONTACT_OHM
from circuitmap.readings.book import ReadingBook
from circuitmap.readings.causes import OPEN_FROM_OHM, Cause
from circuitmap.readings.entries import Entry, Side
from circuitmap.readings.links import Pair
from circuitmap.readings.network import Edge, Network, ReadingError
from circuitmap.readings.predict import Expected, Meter, Predicted, expect, meter_of
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core, LinkKind

CORE_NAMES: Final[dict[Core, str]] = {"L": "line", "N": "neutral", "E": "cpc"}
LINK_WORDS: Final[dict[LinkKind, str]] = {
    "cross": "cross-linked",
    "one leg": "linked on one leg",
    "same leg": "each leg linked to itself",
    "radial": "linked at the board",
    "end to end": "end to end",
}
BAND_SD: Final = 2.0  # how many standard deviations the band and the error bars reach
FAR_OFF_SD: Final = 3.0  # so many standard deviations from what is predicted, a reading is called off
_SAMPLES: Final = 12
_EACH: Final = 6  # pairs of nodes read across each run
_EXACT_UP_TO: Final = 150  # beyond so many runs a straight line between two points is nowhere seen to differ


@dataclass(frozen=True, slots=True)
class SweepKey:
    """One sweep: how it was linked at the board, and between which two conductors the meter was."""

    link: LinkKind
    cores: Pair

    @property
    def words(self) -> str:
        """The sweep as a title says it."""
        first, second = (CORE_NAMES[core] for core in self.cores)
        return f"{first.capitalize()}–{second}, {LINK_WORDS[self.link]}"


@dataclass(frozen=True, slots=True)
class Dot:
    """One reading: what was read (over or under it with a bound), how far the meter errs (± ohms), how far off it is.

    ``off_sd`` counts standard deviations of prediction and meter together; None where nothing was predicted.
    """

    reading: str
    record: str
    side: Side
    ohm: float
    bound: str
    error_ohm: float
    shown: str
    off_sd: float | None


@dataclass(frozen=True, slots=True)
class Piece:
    """The prediction along one stretch of the line: how far along, ohms, and their spread."""

    along: tuple[float, ...]
    ohm: tuple[float, ...]
    sd_ohm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ReadingChart:
    """One sweep of one circuit, ready to be drawn; ``notes`` are sentences about what can't be shown."""

    key: SweepKey
    code: str
    axis: Axis
    expected: dict[str, Predicted]
    pieces: tuple[Piece, ...]
    dots: tuple[Dot, ...]
    notes: tuple[str, ...]

    def dots_at(self, record: str) -> tuple[Dot, ...]:
        """Give what was read at a place, before first."""
        return tuple(dot for dot in self.dots if dot.record == record)

    def expected_by(self, cause: Cause) -> dict[str, float]:
        """Give what a cause predicts of this sweep, by place."""
        return {
            each.at: each.expected_ohm
            for each in cause.compared
            if each.test == "linked" and each.link == self.key.link and set(each.cores) == set(self.key.cores)
        }


def is_open(dot: Dot) -> bool:
    """Whether a reading says open circuit."""
    return dot.bound == ">" and dot.ohm >= OPEN_FROM_OHM


def sweeps_of(view: CircuitView, book: ReadingBook) -> tuple[SweepKey, ...]:
    """Give the sweeps of a circuit: those that were read, then those that the tests of its shape take."""
    found = dict.fromkeys(key for entry in book.latest if (key := key_of(entry)) is not None)
    wanted: list[SweepKey] = []
    if view.shape is not None and len(view.shape.loop) > 2:
        wanted = [SweepKey("cross", ("L", "N")), SweepKey("cross", ("L", "E"))]
    elif view.shape is not None:
        wanted = [SweepKey("radial", ("L", "E"))]
    return tuple(dict.fromkeys((*found, *wanted)))


def key_of(entry: Entry) -> SweepKey | None:
    """Give the sweep that a reading belongs to; None when it is of no sweep."""
    link = entry.reading.link
    if entry.test != "linked" or link is None or link.kind == "end to end":
        return None
    named = {core for part in (*entry.reading.cores, *link.cores) for core in part.split("+")}
    cores = [core for core in CORES if core in named]
    return SweepKey(link.kind, (cores[0], cores[1])) if len(cores) == 2 else None


def chart_of(home: Home, view: CircuitView, trade: Trade, book: ReadingBook, key: SweepKey) -> ReadingChart:
    """Give the chart of one sweep of a circuit, before beside after."""
    axis = axis_of(view, home)
    entries = [entry for entry in (*book.before, *book.after) if key_of(entry) == key]
    notes: list[str] = []
    expected: dict[str, Predicted] = {}
    pieces: tuple[Piece, ...] = ()
    try:
        made = expect(
            view, trade, key.link, key.cores, home=home, copper_c=_copper_c(entries), meter=_meter(home, entries)
        )
    except ReadingError as error:
        notes.append(str(error))
    else:
        expected = made.readings()
        few = len(axis.stretches) <= _EXACT_UP_TO
        pieces = _pieces(made, axis) if few else _straight(expected, axis, key.link)
        unknown = [stop for stop in axis.line if (p := expected.get(stop.record)) is not None and p.ohm is None]
        if unknown:
            notes.append(expected[unknown[0].record].why)
    dots, lost = _dots(entries, axis, expected)
    if not axis.is_drawn and view.names:
        notes.append("No run is drawn: the points stand in the order of the list, not of the cable.")
    elif not axis.is_measured:
        notes.append("Evenly spaced: not every run has a length on the map.")
    if lost:
        notes.append(f"Not on the line, as no drawn run leads there: {', '.join(lost)}.")
    return ReadingChart(key, view.code, axis, expected, pieces, dots, tuple(dict.fromkeys(notes)))


def _copper_c(entries: Iterable[Entry]) -> float:
    known = [entry.reading.copper_c for entry in entries if entry.reading.copper_c is not None]
    return median(known) if known else 20.0


def _meter(home: Home, entries: Sequence[Entry]) -> Meter:
    """Give the meter that was read with last, and the contact that every reading is allowed, as the verdicts do."""
    for entry in reversed(entries):
        instrument = home.find(Instrument, entry.reading.instrument)
        if instrument is not None:
            return replace(meter_of(instrument), contact_ohm=CONTACT_OHM)
    return Meter(contact_ohm=CONTACT_OHM)


def _dots(entries: Sequence[Entry], axis: Axis, expected: dict[str, Predicted]) -> tuple[tuple[Dot, ...], list[str]]:
    found: list[Dot] = []
    lost: dict[str, None] = {}
    places = axis.places
    for entry in entries:
        if entry.at is None or entry.value_si is None:
            continue
        if entry.at not in places:
            lost[entry.at] = None
            continue
        meter_sd = sqrt((entry.accuracy_fraction * entry.value_si) ** 2 + entry.resolution_ohm**2 / 12)
        off = _off_sd(entry, expected.get(entry.at), meter_sd)
        bound = entry.reading.bound
        found.append(
            Dot(entry.reading.id, entry.at, entry.side, entry.value_si, bound, BAND_SD * meter_sd, entry.shown, off)
        )
    return tuple(found), list(lost)


def _off_sd(entry: Entry, predicted: Predicted | None, meter_sd: float) -> float | None:
    """Give how far a reading lies from its prediction; a bound is off only where it shuts the prediction out."""
    if predicted is None or predicted.ohm is None or entry.value_si is None:
        return None
    bound, value = entry.reading.bound, entry.value_si
    if predicted.is_open:
        return 0.0 if bound == ">" else inf
    away = value - predicted.ohm
    if (bound == ">" and away <= 0) or (bound == "<" and away >= 0):
        return 0.0
    spread = max(predicted.sd_ohm, meter_sd)  # the prediction's spread has the meter in it already
    return abs(away) / spread if spread else 0.0


def _pieces(expected: Expected, axis: Axis) -> tuple[Piece, ...]:
    """Give the prediction along the line, exact between the points.

    With both probes a share t along a run from a to b, current divides so that the reading is
    (1−t)²·R(a) + t²·R(b) + 2t(1−t)·M + t(1−t)·(r₁+r₂), where r₁ and r₂ are the two cores of the run and M, from four
    readings across the run, is ½·[R(a₁b₂) + R(b₁a₂) − R(a₁b₁) − R(a₂b₂)].

    **Source:** superposition (Kirchhoff's laws); on a ring it is the published [x·r1+(1−x)·r2]·[(1−x)·r1+x·r2]/(r1+r2).
    """
    network = expected.linked.network
    spans: list[tuple[Stretch, tuple[Edge, Edge]]] = []
    for stretch in axis.stretches:
        both = _ends(network, stretch.run, axis.line[stretch.start], expected.linked.cores)
        if both is not None:
            spans.append((stretch, both))
    if not spans:
        return ()
    pairs = [pair for _, (one, two) in spans for pair in _six(one, two)]
    swept = replace(expected, sweep=network.sweep(pairs), places=())
    ohms, spreads = swept.ohm.tolist(), swept.sd_ohm.tolist()
    found: list[Piece] = []
    for n, (stretch, (one, two)) in enumerate(spans):
        at = n * _EACH
        start, end, first_far, far_first, first_own, second_own = ohms[at : at + _EACH]
        if not all(map(isfinite, (start, end, first_far, far_first, first_own, second_own))):
            continue
        mixed = (first_far + far_first - first_own - second_own) / 2
        here, there = axis.line[stretch.start].along, axis.line[stretch.end].along
        shares = [step / _SAMPLES for step in range(_SAMPLES + 1)]
        found.append(
            Piece(
                tuple(here + (there - here) * t for t in shares),
                tuple(
                    (1 - t) ** 2 * start + t**2 * end + t * (1 - t) * (2 * mixed + one.ohm + two.ohm) for t in shares
                ),
                tuple(spreads[at] + (spreads[at + 1] - spreads[at]) * t for t in shares),
            )
        )
    return tuple(found)


def _straight(expected: dict[str, Predicted], axis: Axis, link: LinkKind) -> tuple[Piece, ...]:
    """Give the prediction along a line of so many points that nobody sees what lies between two of them."""
    found: list[Piece] = []
    for stretch in axis.stretches:
        ends = (axis.line[stretch.start], axis.line[stretch.end])
        told = [expected.get(stop.record) for stop in ends]
        if stretch.start == 0 and link in ("one leg", "radial"):
            told[0] = Predicted(0.0, 0.0, "")  # the link itself
        ohm = [each.ohm for each in told if each is not None and each.ohm is not None and isfinite(each.ohm)]
        if stretch.run and len(ohm) == len(ends):
            spread = tuple(each.sd_ohm for each in told if each is not None)
            found.append(Piece((ends[0].along, ends[1].along), tuple(ohm), spread))
    return tuple(found)


def _six(one: Edge, two: Edge) -> list[tuple[int, int]]:
    return [(one.a, two.a), (one.b, two.b), (one.a, two.b), (one.b, two.a), (one.a, one.b), (two.a, two.b)]


def _ends(network: Network, run: str, start: Stop, cores: Pair) -> tuple[Edge, Edge] | None:
    """Give both cores of a run, turned so that they begin at a stop; None where either isn't whole or isn't known."""
    found: list[Edge] = []
    for core in cores:
        edges = network.by_core.get((run, core), ())
        if len(edges) != 1 or not network.edges[edges[0]].is_known:
            return None
        edge = network.edges[edges[0]]
        if network.nodes[edge.a].place != start.record:
            edge = replace(edge, a=edge.b, b=edge.a)
        found.append(edge)
    return found[0], found[1]
