"""What is read on a circuit, test by test, and in which order: the lines of a sheet that a person fills.

A ring and a radial take different tests; where the map doesn't say which it is, both are offered.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Device, Link
from circuitmap.readings.entries import Entry, Side
from circuitmap.words import Core, LinkKind, ReadingTest

_RINGS: Final = frozenset(
    {"ring", "ring with spurs", "open ring", "loop on a stalk", "bridged ring", "several loops", "legs on two ways"}
)
_RADIALS: Final = frozenset({"radial", "branched radial", "one point only"})
_CORE_LETTERS: Final[tuple[Core, ...]] = ("L", "N", "E")
_END_NAMES: Final = {"L": "r1, line", "N": "rn, neutral", "E": "r2, cpc"}
_TIMES_RATED: Final = ((0.5, 0.0), (1.0, 0.0), (1.0, 180.0), (5.0, 0.0), (5.0, 180.0))
_ONE_PAIR: Final[frozenset[ReadingTest]] = frozenset({"Ze", "Zs", "PFC", "polarity", "RCD trip", "supply voltage"})
_RING_A: Final = 30.0
_USUAL_TRIP_MA: Final = 30.0  # for protection of persons (common practice, no source)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to be read: ``at`` is a point or the way itself, for the board; ``name`` is what stands before it."""

    name: str
    test: ReadingTest
    device: str | None
    at: str | None
    cores: tuple[str, ...] = ()
    link: LinkKind | None = None
    test_v: float | None = None
    test_a: float | None = None
    phase_deg: float | None = None

    @property
    def key(self) -> tuple[object, ...]:
        """What readings of this line have in common, whatever else differs between them."""
        cores = tuple(sorted(self.cores)) if self.test not in _ONE_PAIR else ()
        return (self.test, self.at, cores, self.link, self.test_a, self.phase_deg)

    @property
    def pair(self) -> tuple[Core, Core] | None:
        """The two conductors that a network may be asked about, None where it may not."""
        held = [core for core in self.cores if core in _CORE_LETTERS]
        return (held[0], held[1]) if len(held) == 2 else None

    def linked(self) -> Link | None:
        """Give how the conductors are linked for it."""
        pair = self.pair
        return Link(kind=self.link, cores=pair) if self.link is not None and pair is not None else None


@dataclass(frozen=True, slots=True)
class Group:
    """Lines that are read in one go, in the order in which one walks; ``how`` says what is to be done first."""

    id: str
    short: str
    title: str
    how: str
    unit: str
    lines: tuple[Line, ...]
    is_dead: bool


def groups_of(view: CircuitView, insulation_v: float | None = None) -> tuple[Group, ...]:
    """Give what is read on a way, in the order of the tests: dead ones first.

    Insulation is read at 500 V, and at 250 V with line and neutral joined, unless another voltage is named.
    """
    kind = view.shape.kind if view.shape is not None else "not known enough"
    may_be_ring = kind in _RINGS or (kind not in _RADIALS and _may_be_ring(view))
    may_be_radial = kind not in _RINGS
    points = walk_order(view)
    groups: list[Group] = []
    if may_be_ring:
        groups += _ring(view, points)
    if may_be_radial:
        groups.append(_radial(view, points))
    groups.append(_insulation(view, insulation_v))
    groups += _live(view, points)
    return tuple(groups)


def walk_order(view: CircuitView) -> tuple[str, ...]:
    """Give the points of a way in the order in which they are read.

    Round the ring from leg 1, each spur after the point where it leaves; out along a radial, branch by branch; what no
    drawn run leads to comes last.
    """
    around: dict[str, list[str]] = {}
    for run in view.runs:
        if run.a.at and run.b.at:
            around.setdefault(run.a.at, []).append(run.b.at)
            around.setdefault(run.b.at, []).append(run.a.at)
    shape = view.shape
    loop = tuple(place for place in shape.loop if place in view.names) if shape is not None else ()
    seen: dict[str, None] = {view.device.id: None}
    held = frozenset(loop)

    def follow(start: str) -> None:
        waiting = [start]
        while waiting:
            place = waiting.pop()
            if place in seen and place != start:
                continue
            seen[place] = None
            waiting += [other for other in reversed(around.get(place, ())) if other not in seen and other not in held]

    before_loop = loop and loop[0] not in around.get(view.device.id, ())
    if before_loop:
        follow(view.device.id)  # a single cable leads to the loop
    for place in loop:
        follow(place)
    follow(view.device.id)
    known = frozenset(view.names)
    return (*(place for place in seen if place in known), *(name for name in view.names if name not in seen))


def residual_current_device(view: CircuitView) -> Device | None:
    """Give the device that trips on leakage for a way: its own, else the nearest over it."""
    return next((each for each in (view.device, *view.above) if each.rcd is not None), None)


def filed(entries: Iterable[Entry]) -> Mapping[tuple[Side, tuple[object, ...]], Entry]:
    """Sort what counts by side and line; of readings that differ only in test voltage the last stands."""
    found: dict[tuple[Side, tuple[object, ...]], Entry] = {}
    for entry in entries:
        if not entry.counts or entry.is_of_part or (entry.reading.apart and entry.test != "insulation"):
            continue
        reading = entry.reading
        at = entry.at if entry.at is not None else reading.device
        phase_deg = 0.0 if entry.test == "RCD trip" and reading.phase_deg is None else reading.phase_deg
        cores = tuple(sorted(reading.cores)) if entry.test not in _ONE_PAIR else ()
        found[entry.side, (entry.test, at, cores, entry.link, reading.test_a, phase_deg)] = entry
    return found


def _may_be_ring(view: CircuitView) -> bool:
    """Whether two cables may leave a way of which the map doesn't say it: rings stand on 30 or 32 A."""
    if view.device.cables_seen is not None:
        return view.device.cables_seen > 1
    legs = view.shape.legs if view.shape is not None else ()
    return len(legs) > 1 or view.device.rating_a is None or view.device.rating_a >= _RING_A


# -- the tests ---------------------------------------------------------------------------------------------------


def _ring(view: CircuitView, points: tuple[str, ...]) -> list[Group]:
    way = view.device.id
    ends = tuple(Line(_END_NAMES[c], "ring end to end", way, way, (c, c)) for c in _CORE_LETTERS)
    first = Group(
        "ends", "Ends", "Step 1: end to end at the board",
        "Both legs out of their terminals. Read each conductor from its one end to its other.", "Ω", ends, True,
    )  # fmt: skip
    found = [first]
    for other, step, names in (("N", "Step 2", "line–neutral"), ("E", "Step 3", "line–cpc")):
        how = (
            f"Link L of leg 1 to {other} of leg 2, and {other} of leg 1 to L of leg 2. Read L–{other} at the board and "
            "at every point."
        )
        lines = _sweep(view, points, ("L", other), "cross")
        found.append(Group(f"cross-{other}", f"L–{other}", f"{step}: {names}, cross-linked", how, "Ω", lines, True))
    how = "Link L and E of leg 1 only; leg 2 stays open. Read L–E at every point: it grows along the ring."
    lines = _sweep(view, points, ("L", "E"), "one leg")
    found.append(Group("one-leg", "One leg", "Sweep line–cpc, linked on one leg", how, "Ω", lines, True))
    return found


def _sweep(view: CircuitView, points: tuple[str, ...], cores: tuple[str, str], link: LinkKind) -> tuple[Line, ...]:
    way = view.device.id
    board = Line("Board", "linked", way, way, cores, link)
    return (board, *(Line(point, "linked", way, point, cores, link) for point in points))


def _radial(view: CircuitView, points: tuple[str, ...]) -> Group:
    way = view.device.id
    lines = tuple(Line(point, "linked", way, point, ("L", "E"), "radial") for point in points)
    how = "Link L and E of the circuit at the board. Read L–E at every point: the largest is R1+R2."
    return Group("radial", "R1+R2", "R1+R2, linked at the board", how, "Ω", lines, True)


def _insulation(view: CircuitView, volts: float | None) -> Group:
    way = view.device.id
    pairs = (("L", "E", 500.0), ("N", "E", 500.0), ("L", "N", 500.0), ("L+N", "E", 250.0))
    lines = tuple(
        Line(f"{a}–{b}, {volts or usual:g} V", "insulation", way, way, (a, b), test_v=volts or usual)
        for a, b, usual in pairs
    )
    how = (
        "Lamps, dimmers, surge protection and everything plugged in out first. With anything sensitive left in: only "
        "L+N–E, at 250 V."
    )
    return Group("insulation", "Insul.", "Insulation of the circuit", how, "MΩ", lines, True)


def _live(view: CircuitView, points: tuple[str, ...]) -> list[Group]:
    way, board = view.device.id, view.board.id
    found = [
        Group("polarity", "Polarity", "Polarity at every point",
              "From the continuity readings: write correct, or what is reversed or missing.", "",
              tuple(Line(point, "polarity", way, point) for point in points), True),
        Group("Zs", "Zs", "Earth fault loop at every point",
              "Live test: the board closed, skilled persons only. Links out, conductors back in their terminals.", "Ω",
              tuple(Line(point, "Zs", way, point, ("L", "E")) for point in points), False),
    ]  # fmt: skip
    trips = residual_current_device(view)
    if trips is not None and trips.rcd is not None:
        rated_ma = trips.rcd.trips_ma or _USUAL_TRIP_MA
        lines = tuple(
            Line(f"{times:g}× {rated_ma:g} mA, {phase:g}°".replace("0.5×", "½×"), "RCD trip", trips.id, trips.id,
                 test_a=round(rated_ma * times / 1000, 9), phase_deg=phase)
            for times, phase in _TIMES_RATED
        )  # fmt: skip
        how = "Live test: it takes off all that is behind this device. At ½× it must hold: write no trip, or >300."
        found.append(Group("rcd", "RCD", "Trip times of the RCD", how, "ms", lines, False))
    supply = (
        Line("Ze at the board", "Ze", None, board, ("L", "E")),
        Line("Fault current", "PFC", None, board),
        Line("Voltage", "supply voltage", None, board, ("L", "N")),
    )
    how = (
        "Ze: main switch off and locked, earthing conductor off its terminal; put it back before the power. The meter "
        "tails stay live."
    )
    found.append(Group("supply", "Supply", "Loop and supply at the board", how, "as written", supply, False))
    return found
