"""Faults as edits of a circuit's network: what would have to be otherwise for a meter to read otherwise.

Each says in its docstring what is wrong on site; its ``edit`` gives the edges that go and those that come instead. A
place along a run is a fraction of its length from its end a.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Protocol

from circuitmap.home.records import Run
from circuitmap.readings.conductors import temperature_factor
from circuitmap.readings.network import Edge, Edit, Network, Node, ReadingError
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core

MEGOHM = 1e6


class Fault(Protocol):
    """Something that may be wrong with a circuit."""

    def edit(self, network: Network) -> Edit:
        """Give what it changes in a network, linked or not."""
        ...


@dataclass(frozen=True, slots=True)
class OpenCore:
    """Cores of a run that are broken, or out of their terminal at one end (share 0 or 1): nothing flows there."""

    run: str
    cores: tuple[Core, ...]
    share: float = 0.5

    def edit(self, network: Network) -> Edit:
        """Take out the stretch of each core in which it is broken; a core the cable hasn't got can't break."""
        found = [_stretch(network, self.run, core, self.share) for core in self.cores]
        return Edit(tuple(edge for edge in found if edge is not None))


def missing_cpc(run: str) -> OpenCore:
    """Give the fault of a protective conductor that was never joined, or cut short, in one run."""
    return OpenCore(run, ("E",), 0.0)


@dataclass(frozen=True, slots=True)
class Joint:
    """A bad joint: so many ohms where a core of a run is held in its terminal at a place."""

    at: str
    run: str
    core: Core
    ohm: float

    def edit(self, network: Network) -> Edit:
        """Put the ohms in series with that end of the core."""
        edge = _end_edge(network, self.at, self.run, self.core)
        found = network.edges[edge]
        return Edit((edge,), (replace(found, ohm=found.ohm + self.ohm),))


@dataclass(frozen=True, slots=True)
class Swapped:
    """Two cores in each other's terminals at a place: those of one run there, or (no run) of every run."""

    at: str
    cores: tuple[Core, Core] = ("L", "N")
    run: str = ""

    def edit(self, network: Network) -> Edit:
        """Lead each of the two cores to the terminal of the other."""
        runs = (self.run,) if self.run else runs_at(network, self.at)
        if not runs:
            raise ReadingError(f"{self.at} isn't on {network.code or 'this circuit'}: no run drawn there ends at it.")
        less: list[int] = []
        more: list[Edge] = []
        for run in runs:
            for core in self.cores:
                other = self.cores[1] if core == self.cores[0] else self.cores[0]
                if (run, core) in network.no_core:
                    continue
                edge = _end_edge(network, self.at, run, core)
                found = network.edges[edge]
                less.append(edge)
                if network.nodes[found.a].place == self.at:
                    more.append(replace(found, a=_beside(network, found.a, other)))
                else:
                    more.append(replace(found, b=_beside(network, found.b, other)))
        return Edit(tuple(less), tuple(more))


@dataclass(frozen=True, slots=True)
class Bridge:
    """A cable that the map doesn't show between two places, of this circuit or of two put ``together``."""

    a: str
    b: str
    ohm: Mapping[Core, float]

    def edit(self, network: Network) -> Edit:
        """Join the cores of both places."""
        ends = [(network.terminal(self.a, core), network.terminal(self.b, core), core) for core in self.ohm]
        return Edit(more=tuple(Edge(a, b, self.ohm[core], core=core) for a, b, core in ends))


def bridge(a: str, b: str, length_m: float, trade: Trade, cable: str = "T&E 2.5/1.5", copper_c: float = 20.0) -> Bridge:
    """Give the fault of a cable of some length between two places.

    Raises
    ------
    ReadingError
        When the tables don't know the cable, or the length is none.
    """
    found = trade.cable(cable)
    live, cpc = trade.cable_ohm_per_m(found) if found is not None else (None, None)
    if live is None:
        raise ReadingError(f"The tables have no cable called “{cable}”.")
    if not 0 < length_m < inf:
        raise ReadingError(f"A cable of {length_m:g} m can't bridge anything; give a length above zero.")
    times = length_m * temperature_factor(trade, copper_c)
    ohm: dict[Core, float] = {"L": live * times, "N": live * times}
    if cpc is not None:
        ohm["E"] = cpc * times
    return Bridge(a, b, ohm)


@dataclass(frozen=True, slots=True)
class LowInsulation:
    """A leak of so many megohms between two cores, at a place, or somewhere along a run (``run`` and ``share``)."""

    cores: tuple[Core, Core]
    megohm: float
    at: str = ""
    run: str = ""
    share: float = 0.5

    def edit(self, network: Network) -> Edit:
        """Join the two cores by the leak, cutting the run in two there if it is along one."""
        if self.at:
            a, b = (network.terminal(self.at, core) for core in self.cores)
            return Edit(more=(Edge(a, b, self.megohm * MEGOHM),))
        less: list[int] = []
        more: list[Edge] = []
        nodes: list[Node] = []
        ends: list[int] = []
        for core in self.cores:
            edge = _stretch(network, self.run, core, self.share)
            if edge is None:
                raise ReadingError(f"{self.run} has no {_NAMES[core]} to leak there.")
            found = network.edges[edge]
            start, stop = found.part
            within = (self.share - start) / (stop - start) if stop > start else 0.0
            middle = len(network.nodes) + len(nodes)
            nodes.append(Node(self.run, f"{self.share:g}", core))
            less.append(edge)
            more.append(replace(found, b=middle, ohm=found.ohm * within, part=(start, self.share)))
            more.append(replace(found, a=middle, ohm=found.ohm * (1 - within), part=(self.share, stop)))
            ends.append(middle)
        more.append(Edge(ends[0], ends[1], self.megohm * MEGOHM))
        return Edit(tuple(less), tuple(more), tuple(nodes))


@dataclass(frozen=True, slots=True)
class Stretched:
    """A run that is so many times as long as the map says."""

    run: str
    times: float

    def edit(self, network: Network) -> Edit:
        """Multiply the ohms of all its cores."""
        edges = [edge for core in CORES for edge in network.by_core.get((self.run, core), ())]
        if not edges:
            raise ReadingError(f"{self.run} isn't on {network.code or 'this circuit'}.")
        found = [network.edges[edge] for edge in edges]
        return Edit(tuple(edges), tuple(replace(edge, ohm=edge.ohm * self.times) for edge in found))


_NAMES: Mapping[Core, str] = {"L": "line", "N": "neutral", "E": "cpc"}


def with_faults(network: Network, faults: Iterable[Fault]) -> Network:
    """Give a network with faults in it: leaks first, for a core that is open has no stretch left to leak from."""
    for fault in sorted(faults, key=_after_leaks):
        network = network.edited(fault.edit(network))
    return network


def _after_leaks(fault: Fault) -> bool:
    return not isinstance(fault, LowInsulation)


def recorded(runs: Iterable[Run]) -> tuple[OpenCore, ...]:
    """Give the open cores that the map itself records on runs; its other faults have no size to reckon with."""
    found: dict[tuple[str, Core], OpenCore] = {}
    for run in runs:
        for fault in run.faults:
            if fault.kind == "open":
                along_mm, length_mm = fault.from_a_mm, run.length_mm
                share = along_mm / length_mm if along_mm is not None and length_mm else 0.5
                for core in fault.cores or CORES:
                    found.setdefault((run.id, core), OpenCore(run.id, (core,), min(max(share, 0.0), 1.0)))
    return tuple(found.values())


def runs_at(network: Network, place: str) -> tuple[str, ...]:
    """Give the runs that end at a place, in the order of the network."""
    found = dict.fromkeys(
        edge.run
        for edge in network.edges
        if edge.run and place in {network.nodes[edge.a].place, network.nodes[edge.b].place}
    )
    return tuple(found)


def together(networks: Sequence[Network]) -> Network:
    """Give several circuits as one network, for what joins them; places on more than one of them are the same place.

    The legs are those of the first.
    """
    nodes = tuple(dict.fromkeys(node for network in networks for node in network.nodes))
    number = {node: place for place, node in enumerate(nodes)}
    edges: dict[tuple[str, Core | None, int, int, tuple[float, float]] | int, Edge] = {}
    for network in networks:
        for edge in network.edges:
            a, b = number[network.nodes[edge.a]], number[network.nodes[edge.b]]
            key = (edge.run, edge.core, a, b, edge.part) if edge.run else len(edges)
            edges.setdefault(key, replace(edge, a=a, b=b))
    first = networks[0]
    return replace(
        first,
        nodes=nodes,
        edges=tuple(edges.values()),
        leg_at={leg: device for network in networks for leg, device in network.leg_at.items()},
        why={run: why for network in networks for run, why in network.why.items()},
        no_core=frozenset().union(*(network.no_core for network in networks)),
        legs_to={place: legs for network in reversed(networks) for place, legs in network.legs_to.items()},
    )


def _stretch(network: Network, run: str, core: Core, share: float) -> int | None:
    """Give the edge of a core in which a place along its run lies, None when that core isn't there, or no longer."""
    if not 0 <= share <= 1:
        raise ReadingError(f"A place along {run} is a fraction between 0 and 1, not {share:g}.")
    edges = network.by_core.get((run, core), ())
    if not edges and not any((run, each) in network.by_core or (run, each) in network.no_core for each in CORES):
        raise ReadingError(f"{run} isn't on {network.code or 'this circuit'}, or no core of it is whole.")
    return next((edge for edge in edges if share <= network.edges[edge].part[1]), None)


def _end_edge(network: Network, at: str, run: str, core: Core) -> int:
    for edge in network.by_core.get((run, core), ()):
        found = network.edges[edge]
        if at in {network.nodes[found.a].place, network.nodes[found.b].place}:
            return edge
    raise ReadingError(f"No {_NAMES[core]} of {run} ends at {at} on {network.code or 'this circuit'}.")


def _beside(network: Network, node: int, core: Core) -> int:
    place, side, _ = network.nodes[node]
    return network.terminal(place, core, side)
