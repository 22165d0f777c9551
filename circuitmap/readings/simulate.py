"""Readings as a meter would show them on a circuit with faults known beforehand, for practice and for tests.

The truth is drawn from the map by a seed: lengths within the map's own tolerance, copper as made, then the meter's
noise and last digit on every reading. What hangs on a length nobody knows is left out with the reason.
"""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import floor, inf, isfinite, log10
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home.change import Change
from circuitmap.home.records import Record
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_readings import add_meter, prove_meter, record_reading
from circuitmap.home.verbs_survey import start_visit
from circuitmap.readings.conductors import RECTANGLE
from circuitmap.readings.drawn import network_of
from circuitmap.readings.faults import MEGOHM, Fault, recorded, with_faults
from circuitmap.readings.links import Linked, Pair, legs_of, linked
from circuitmap.readings.network import Edge, Network, ReadingError
from circuitmap.readings.predict import Expected, Meter, expect
from circuitmap.readings.sheet import Line, groups_of
from circuitmap.readings.told import SameLeg, Told
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core, LinkKind

NOISE: Final = 0.01
MOST_OHM: Final = 1999.0
"""The most that a continuity tester shows before it is over range (common practice, no source)."""
MOST_INSULATION_OHM: Final = 200e6
"""The most that an insulation tester shows (common practice, no source: testers read to some hundreds of MΩ)."""
OPEN: Final = "OL"
METER: Final = "practice meter"
_DIGITS: Final = 2000  # a display of 2000 counts: above it the last digit is ten times as large
_LEAST_MADE: Final = 0.93  # copper as made is 0 to 7 % below the table's greatest value
_CONTACT_OHM: Final = (0.01, 0.05)
_SOCKETS: Final = frozenset({"socket", "usb socket", "rcd socket", "outdoor socket"})
_TESTS: Final = frozenset({"ends", "cross-N", "cross-E", "one-leg", "radial", "insulation"})


@dataclass(frozen=True, slots=True)
class Practice:
    """How a practice meter errs, and how the true circuit differs from the map.

    ``noise`` is the standard deviation of readings as a fraction; ``resolution_ohm`` the last digit (0: none).
    ``has_contact`` reads sockets by a plug, which adds 0.01 to 0.05 Ω (common practice, no source). ``is_as_drawn``
    takes lengths and copper as the map and the tables have them.
    """

    seed: int = 1
    noise: float = NOISE
    resolution_ohm: float = 0.01
    has_contact: bool = False
    is_as_drawn: bool = False


@dataclass(frozen=True, slots=True)
class Simulated:
    """One line of a sheet as the meter would show it: the value in SI units (infinite: open), and as one types it.

    Where it can't be told the value is None, ``typed`` is empty, and ``why`` says what is missing on the map.
    """

    line: Line
    value_si: float | None
    typed: str
    why: str = ""
    by_plug: bool = False


def tests_of(view: CircuitView) -> tuple[str, ...]:
    """Give the tests of a circuit that can be simulated, as groups of its sheet are called."""
    return tuple(group.id for group in groups_of(view) if group.id in _TESTS)


def lines_to_simulate(view: CircuitView, tests: Sequence[str] = ()) -> tuple[Line, ...]:
    """Give the lines of the tests that a practice meter can take; the usual ones of the circuit when none are named.

    Raises
    ------
    ReadingError
        When a test is not one that this circuit takes.
    """
    groups = {group.id: group for group in groups_of(view) if group.id in _TESTS}
    unknown = next((test for test in tests if test not in groups), None)
    if unknown is not None:
        raise ReadingError(f"{view.code} has no test called “{unknown}” to simulate; it has: {', '.join(groups)}.")
    wanted = tests or [test for test in groups if test != "one-leg"]
    lines = (line for test in groups if test in wanted for line in groups[test].lines)
    # A sheet's insulation at 250 V stands there instead of 500 V, for when something sensitive is left in.
    return tuple(line for line in lines if line.test != "insulation" or line.pair is not None)


def simulate(
    view: CircuitView,
    trade: Trade,
    faults: Sequence[Told] = (),
    practice: Practice | None = None,
    *,
    lines: Sequence[Line] | None = None,
    home: Home | None = None,
    copper_c: float = 20.0,
) -> tuple[Simulated, ...]:
    """Give what a meter would show on a circuit, line by line.

    Parameters
    ----------
    faults
        What is wrong, beside the open cores that the map records; links on the same leg spoil cross-linked tests only.
    lines
        What to read; the usual tests of the circuit when None.
    home
        Where things stand, for runs without a recorded length.

    Raises
    ------
    ReadingError
        When a fault can't be on this circuit.
    """
    practice = practice or Practice()
    chance = random.Random(practice.seed)
    lines = lines_to_simulate(view) if lines is None else lines
    network = network_of(view, trade, copper_c=copper_c, home=home)
    if not practice.is_as_drawn:
        network = _drawn_otherwise(network, chance)
    wiring = [*recorded(view.runs), *(fault for fault in faults if not isinstance(fault, SameLeg))]
    mistakes = [fault for fault in faults if isinstance(fault, SameLeg)]
    truth = _Truth(view, trade, with_faults(network, _once(wiring)), mistakes)
    ohms = truth.ohms(lines)
    sockets = _sockets(view) if practice.has_contact else frozenset()
    return tuple(_shown(line, *ohms[line], practice, chance, line.at in sockets) for line in lines)


def as_readings(
    home: Home, view: CircuitView, simulated: Sequence[Simulated], practice: Practice | None = None, *, day: str = ""
) -> Change:
    """Give the change that puts simulated readings into a home: a visit, a meter proved on it, and the readings."""
    practice = practice or Practice()
    made: list[Record] = []
    now = home

    def do(change: Change) -> str:
        nonlocal now
        now = now.apply(change)
        (after,) = (after for _, after in change.pairs if after is not None)
        made.append(after)
        return after.id

    visit = do(start_visit(now, day))
    noise, digit = practice.noise, practice.resolution_ohm
    most = {"most_ohm": MOST_OHM, "most_insulation_ohm": MOST_INSULATION_OHM}
    meter = do(
        add_meter(now, METER, "multifunction", accuracy_fraction=noise, resolution_ohm=digit, leads_ohm=0, **most)
    )
    do(prove_meter(now, visit, meter, "0.00"))
    for each in simulated:
        line = each.line
        if not each.typed:
            continue
        do(
            record_reading(
                now,
                visit,
                line.test,
                each.typed,
                device=line.device,
                at=line.at,
                cores=line.cores,
                link=line.linked(),
                instrument=meter,
                test_v=line.test_v,
                by_plug=each.by_plug,
            )
        )
    return Change(f"Practice readings on {view.code}", tuple((None, record) for record in made))


def _sockets(view: CircuitView) -> frozenset[str]:
    """Give the points that a plug fits into."""
    return frozenset(member.point.id for member in view.members if member.point.kind in _SOCKETS)


# -- the truth ----------------------------------------------------------------------------------------------------


def _drawn_otherwise(network: Network, chance: random.Random) -> Network:
    """Draw true lengths within the map's tolerance, and copper as made, alike for all runs."""
    copper = chance.uniform(_LEAST_MADE, 1.0)
    spread = {edge.run: edge.spread for edge in network.edges if edge.run}
    times = {run: copper * max(1 + chance.uniform(-1, 1) * sd * RECTANGLE, 0.01) for run, sd in spread.items()}
    edges = tuple(replace(edge, ohm=edge.ohm * times[edge.run]) if edge.run else edge for edge in network.edges)
    return replace(network, edges=edges)


def _once(faults: Sequence[Fault]) -> list[Fault]:
    return [fault for place, fault in enumerate(faults) if fault not in faults[:place]]


@dataclass(frozen=True)
class _Truth:
    """The circuit as it really is, and the mistakes made at the board when it is linked."""

    view: CircuitView
    trade: Trade
    network: Network
    mistakes: Sequence[SameLeg]

    def ohms(self, lines: Sequence[Line]) -> dict[Line, tuple[float | None, str]]:
        """Give the true ohms of every line, or why they can't be told; lines of one test by one solution."""
        found: dict[Line, tuple[float | None, str]] = {}
        asked: dict[tuple[LinkKind, Pair], list[Line]] = {}
        for line in lines:
            kind: LinkKind | None = "end to end" if line.test == "ring end to end" else line.link
            if line.test == "insulation":
                found[line] = self._insulation(line)
            elif kind is not None and line.pair is not None:
                asked.setdefault((kind, line.pair), []).append(line)
            else:
                found[line] = (None, f"{line.test[0].upper()}{line.test[1:]} is no test of the circuit's copper alone.")
        for (kind, pair), held in asked.items():
            found |= self._linked(kind, pair, held)
        return found

    def _linked(self, kind: LinkKind, pair: Pair, lines: Sequence[Line]) -> Mapping[Line, tuple[float | None, str]]:
        is_spoilt = kind == "cross" and any(mistake.spoils(pair) for mistake in self.mistakes)
        done: LinkKind = "same leg" if is_spoilt else kind
        try:
            test = linked(self.network, done, pair, legs_of(self.view, self.network))
        except ReadingError as error:
            return dict.fromkeys(lines, (None, str(error)))
        way = self.view.device.id
        points = list(dict.fromkeys(line.at for line in lines if line.at and line.at != way))
        reached = [point for point in points if test.network.legs_to.get(point)]
        read = self._expected(test, reached, expect(self.view, self.trade, kind, pair, points=(), faults=()).doubt)
        far = f"No run drawn from {self.view.code} leads there."
        return {line: read.get(line.at or way, (None, far)) for line in lines}

    def _expected(self, test: Linked, points: Sequence[str], doubt: str) -> dict[str, tuple[float | None, str]]:
        at, (first, second) = test.network.at, test.cores
        pairs = [test.at_board, *((at[point, first], at[point, second]) for point in points)]
        expected = Expected(test, (self.view.device.id, *points), test.network.sweep(pairs), Meter(), doubt)
        return {
            place: (found.ohm, "" if found.ohm is not None else found.why)
            for place, found in expected.readings().items()
        }

    def _insulation(self, line: Line) -> tuple[float | None, str]:
        """Give the leak between two sides, all legs of each core and all cores of each side together."""
        network, legs = self.network, self.network.legs
        if not legs:
            return None, f"No run is drawn from {self.view.code}, so its insulation can't be simulated."
        ends: dict[Core, list[int]] = {
            core: [network.terminal(network.leg_at[leg], core, leg) for leg in legs] for core in CORES
        }
        first, second = (
            [node for core in CORES if core in side.split("+") for node in ends[core]] for side in line.cores
        )
        joins = tuple(Edge(side[0], node, 0.0) for side in (first, second) for node in side[1:])
        return replace(network, edges=network.edges + joins).resistance_ohm(first[0], second[0]), ""


# -- the meter ----------------------------------------------------------------------------------------------------


def _shown(
    line: Line, ohm: float | None, why: str, practice: Practice, chance: random.Random, by_plug: bool
) -> Simulated:
    # Drawn for every line, so that one fault more or less leaves the luck of all other readings as it was.
    luck, contact_ohm = chance.gauss(0, 1), chance.uniform(*_CONTACT_OHM)
    if ohm is None:
        return Simulated(line, None, "", why)
    is_insulation = line.test == "insulation"
    if isfinite(ohm):
        ohm = max(ohm * (1 + luck * practice.noise), 0.0)
        if by_plug and not is_insulation:
            ohm += contact_ohm
    if ohm > (MOST_INSULATION_OHM if is_insulation else MOST_OHM):
        return Simulated(line, inf, OPEN, by_plug=by_plug)
    unit = MEGOHM if is_insulation else 1.0
    step = _step(ohm / unit, 0.01 if is_insulation and practice.resolution_ohm else practice.resolution_ohm)
    value = round(ohm / unit / step) * step if step else ohm / unit
    typed = f"{value:.{max(0, -floor(log10(step) + 1e-9))}f}" if step else f"{value:.12f}".rstrip("0").rstrip(".")
    return Simulated(line, float(typed) * unit if step else ohm, typed, by_plug=by_plug)


def _step(value: float, least: float) -> float:
    step = least
    while step and value > _DIGITS * step:
        step *= 10
    return step
