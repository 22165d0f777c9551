"""What every core of a circuit carries under loads anywhere, and what is lost on the way: solved, not guessed.

Each load takes its current whatever the voltage there, in at the line and out at the neutral; all cables at the board
are joined core by core, as they are in use. In a ring a load at x of the loop divides as 1 − x and x by itself.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from math import inf
from typing import Final

import numpy as np

from circuitmap.design.capacity import Range, Verdict
from circuitmap.readings.network import Edge, Network, Node, ReadingError
from circuitmap.readings.solve import Floats
from circuitmap.words import CORES, Core

LIVE: Final[tuple[Core, Core]] = ("L", "N")
SOURCE: Final = "board"  # what a layout without a map calls where its supply comes from
# What isn't known is solved again as if it were so many times as much; whatever changes by more hangs on it.
_OTHERWISE: Final = 3.0
_SAME: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One cable between two places, without a map: ohms of its cores at the temperature asked about.

    ``cpc_ohm`` is infinite where there is none.
    """

    name: str
    a: str
    b: str
    line_ohm: float
    neutral_ohm: float
    cpc_ohm: float = inf

    def __post_init__(self) -> None:
        if not (0 < self.line_ohm < inf and 0 < self.neutral_ohm < inf and self.cpc_ohm > 0):
            raise ReadingError(f"The cable {self.name} needs a resistance above zero in line and neutral.")


@dataclass(frozen=True, eq=False)
class Flow:
    """The currents and the losses under some loads.

    ``amps`` are of a run's core from its end a to its end b, the stretch that carries most where a core is divided.
    ``drop_v`` is line and neutral together, from the board to a place. ``unsure`` are the runs whose current, and
    ``unsure_at`` the places whose loss, hangs on a length or a size that isn't known.
    """

    network: Network
    loads_a: Mapping[str, float]
    amps: Mapping[tuple[str, Core], float]
    drop_v: Mapping[str, float]
    unsure: frozenset[str] = frozenset()
    unsure_at: frozenset[str] = frozenset()

    def run_a(self, run: str) -> float:
        """Give the larger of a run's line and neutral current in amperes."""
        return max(abs(self.amps.get((run, core), 0.0)) for core in LIVE)

    @property
    def legs_a(self) -> tuple[float, ...]:
        """Give the line current of every cable at the board, in the order of the legs."""
        return tuple(abs(self.amps.get((leg, "L"), 0.0)) for leg in self.network.legs)

    @property
    def worst(self) -> tuple[str, float]:
        """Give where most is lost, and how much in volts; nothing is lost where nothing is loaded."""
        return max(self.drop_v.items(), key=lambda pair: pair[1], default=("", 0.0))


def laid(stretches: Sequence[Stretch], source: str = SOURCE) -> Network:
    """Give cables between named places as a network; those that end at the source are its legs, in their order.

    Raises
    ------
    ReadingError
        When no cable ends at the source, a name is there twice, or a cable ends where it began.
    """
    numbers: dict[tuple[str, str], int] = {}
    nodes: list[Node] = []
    edges: list[Edge] = []
    legs: list[str] = []

    def at(stretch: Stretch, place: str) -> int:
        side = stretch.name if place == source else "through"
        if (place, side) not in numbers:
            numbers[place, side] = len(nodes)
            nodes.extend(Node(place, side, core) for core in CORES)
        return numbers[place, side]

    for stretch in stretches:
        if stretch.a == stretch.b:
            raise ReadingError(f"The cable {stretch.name} ends where it begins.")
        a, b = at(stretch, stretch.a), at(stretch, stretch.b)
        for place, ohm in enumerate((stretch.line_ohm, stretch.neutral_ohm, stretch.cpc_ohm)):
            if ohm < inf:
                edges.append(Edge(a + place, b + place, ohm, stretch.name, CORES[place]))
        if source in (stretch.a, stretch.b):
            legs.append(stretch.name)
    if len({stretch.name for stretch in stretches}) < len(stretches):
        raise ReadingError("Two cables have the same name.")
    if not legs:
        raise ReadingError(f"No cable leaves {source}, so nothing flows.")
    return Network(tuple(nodes), tuple(edges), device=source, legs=tuple(legs), leg_at=dict.fromkeys(legs, source))


@dataclass(frozen=True, eq=False)
class InUse(Network):
    """A network with all cables at its board joined core by core, as they are in use."""


def in_use(network: Network) -> InUse:
    """Give a network with all cables at its board joined core by core; one that is so already is handed back.

    Raises
    ------
    ReadingError
        When no cable leaves the board.
    """
    if isinstance(network, InUse):
        return network
    if not network.legs:
        raise ReadingError(f"No run is drawn from {network.code or 'the board'}, so nothing can be said of its load.")
    first, *others = network.legs
    joins = [
        Edge(network.terminal(network.device, core, first), network.terminal(network.device, core, leg), 0.0)
        for core in CORES
        for leg in others
    ]
    facts = {each.name: getattr(network, each.name) for each in fields(network)}
    return InUse(**{**facts, "edges": network.edges + tuple(joins)})


def flow(network: Network, loads_a: Mapping[str, float]) -> Flow:
    """Give the currents of all runs, and the volts lost at all places, under some loads.

    Kirchhoff's laws by one factorisation: currents are v/r of each core, loads add up (superposition).

    **Source:** Kirchhoff's laws; for one load on a ring 1 − x and x.

    Parameters
    ----------
    network
        As ``readings.drawn.network_of`` or ``laid`` gives it, at the temperature of the copper at work.
    loads_a
        Amperes taken at each place, none below zero; loads of the board itself don't count.

    Raises
    ------
    ReadingError
        When a load is on no place of the network, isn't reached by line and neutral, or is below zero.
    """
    for place, load_a in loads_a.items():
        if not 0 <= load_a < inf:
            raise ReadingError(f"The load at {place} is {load_a:g} A; it has to be none or more.")
    joined = in_use(network)
    loads = {place: load_a for place, load_a in loads_a.items() if place != network.device}
    amps, drop = _solved(joined, loads)
    unsure: set[str] = set()
    unsure_at: set[str] = set()
    if not all(edge.is_known for edge in joined.edges):
        stood_in = tuple(e if e.is_known else replace(e, ohm=e.ohm * _OTHERWISE) for e in joined.edges)
        other_amps, other_drop = _solved(replace(joined, edges=stood_in), loads)
        scale = max(sum(loads.values()), 1.0) * _SAME
        unsure = {run for (run, core), a in amps.items() if abs(other_amps[run, core] - a) > scale}
        unsure_at = {place for place, v in drop.items() if abs(other_drop[place] - v) > scale}
    return Flow(joined, dict(loads), amps, drop, frozenset(unsure), frozenset(unsure_at))


def furthest(network: Network, places: Collection[str]) -> str:
    """Give the place at which one load alone would lose most: the electrical end of a radial, the middle of a ring.

    Raises
    ------
    ReadingError
        When there are no places, or one isn't reached by line and neutral.
    """
    if not places:
        raise ReadingError("There is no point to be the furthest.")
    joined = in_use(network)
    ordered = list(places)
    ohm = sum(_across(joined, core, ordered)[2] for core in LIVE)
    return ordered[int(np.argmax(ohm))]


def spread_load(
    network: Network, places: Sequence[str], design_a: float, at_end_a: float = 20.0, far_among: Sequence[str] = ()
) -> dict[str, float]:
    """Give the customary load of a socket circuit: so much at the furthest point, the rest evenly over all points.

    For a 32 A ring 20 A and 12 A; evenly spread points then lose as much as 26 A at the furthest: 20 L/4 + 12 L/8.

    **Source:** On-Site Guide 7.2.2, as quoted, for rings; for radials common practice, no source.

    Parameters
    ----------
    far_among
        Of which places one is the furthest; of all when none are given.
    """
    far = furthest(network, far_among or places)
    at_end = min(at_end_a, design_a)
    each = (design_a - at_end) / len(places)
    return {place: each + (at_end if place == far else 0.0) for place in places}


def judge_currents(flow: Flow, carries_a: Mapping[str, Range | None], source: str) -> Verdict:
    """Say whether any run carries more than it may for long under the loads asked about.

    Parameters
    ----------
    carries_a
        What each run carries, least and most over the ways it may lie; None where that isn't known.
    source
        Whose loads these are.
    """
    over: list[tuple[float, str, float, float]] = []
    doubtful: list[str] = []
    worst_run, worst_a = max(((run, flow.run_a(run)) for run in carries_a), key=lambda pair: pair[1], default=("", 0.0))
    for run, span in carries_a.items():
        carried = flow.run_a(run)
        if span is None or run in flow.unsure:
            doubtful.append(run)
        elif carried > span[1] * (1 + _SAME):
            over.append((carried - span[1], run, carried, span[1]))
        elif carried > span[0] * (1 + _SAME):
            doubtful.append(run)
    if over:
        _, run, carried, most = max(over)
        says = f"{run} would carry {carried:.1f} A for long, and is good for {most:g} A."
        return Verdict(answer="no", says=says, source=source, have_a=carries_a[run], need_a=carried)
    if doubtful:
        listed = ", ".join(doubtful[:3]) + ("…" if len(doubtful) > 3 else "")
        says = (
            f"What {listed} would carry, or may carry, isn't known well enough; most is {worst_a:.1f} A in {worst_run}."
        )
        return Verdict(answer="can't judge", says=says, source=source, need_a=worst_a)
    legs = " and ".join(f"{a:.1f} A" for a in flow.legs_a)
    says = f"The cables at the board carry {legs}; the most is {worst_a:.1f} A, which every cable stands."
    have = carries_a.get(worst_run)
    return Verdict(answer="yes", says=says, source=source, have_a=have, need_a=worst_a)


def _solved(joined: Network, loads: Mapping[str, float]) -> tuple[dict[tuple[str, Core], float], dict[str, float]]:
    amps: dict[tuple[str, Core], float] = {}
    drop: dict[str, float] = {}
    places = list(loads)
    weights = np.array([loads[place] for place in places])
    ties = joined.ties
    for core in LIVE:
        start, volts, _ = _across(joined, core, places)
        here: Floats = volts @ weights if places else np.zeros(len(joined.nodes))
        for number, edge in enumerate(joined.edges):
            if edge.run and edge.core == core and edge.ohm > 0:
                through = float((here[ties.a[number]] - here[ties.b[number]]) / edge.ohm)
                if abs(through) >= abs(amps.get((edge.run, core), 0.0)):
                    amps[edge.run, core] = through if core == "L" else -through
        here_at = joined.solved.part[joined.solved.group]
        for (place, each), node in joined.at.items():
            if each == core and place != joined.device and here_at[node] == here_at[start]:
                drop[place] = drop.get(place, 0.0) + float(here[start] - here[node])
    return amps, drop


def _across(joined: Network, core: Core, places: Sequence[str]) -> tuple[int, Floats, Floats]:
    """Give the board's node, all volts while 1 A flows to each place (columns), and the ohms to each."""
    start = joined.terminal(joined.device, core)
    ends = np.array([joined.terminal(place, core) for place in places], dtype=np.intp)
    starts = np.full(len(ends), start, dtype=np.intp)
    for place, reached in zip(places, joined.solved.is_joined(starts, ends), strict=True):
        if not reached:
            raise ReadingError(f"{place} isn't reached from {joined.code or 'the board'} by line and neutral.")
    volts = joined.solved.potentials(starts, ends)
    return start, volts, volts[starts, np.arange(len(ends))] - volts[ends, np.arange(len(ends))]
