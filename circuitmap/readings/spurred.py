"""A point that the map draws on a ring and that in truth hangs on a spur from it, as an edit of the network."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import inf

import msgspec

from circuitmap.circuits import CircuitView
from circuitmap.readings.conductors import Wiring
from circuitmap.readings.faults import runs_at
from circuitmap.readings.network import Edge, Edit, Network, Node, ReadingError
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core

_TAKE_OFF = "take-off"


@dataclass(frozen=True, slots=True)
class OnSpur:
    """A point drawn on the ring between two runs that hangs on a spur of some metres from the cable between them.

    The ring itself stays as long as the map has it. ``at`` is where the spur leaves it: None where the point is
    drawn, a neighbour's id at that neighbour, or a share of the way from the far end of ``runs[0]`` to that of
    ``runs[1]``.
    """

    point: str
    length_m: float
    ohm_per_m: Mapping[Core, float] = field(hash=False)
    runs: tuple[str, str]
    at: float | str | None = None

    def edit(self, network: Network) -> Edit:
        """Join the two runs to each other without the point, and hang the point on the join by the spur."""
        less: list[int] = []
        more: list[Edge] = []
        nodes: list[Node] = []
        for core in CORES:
            ends = [_end_at(network, self.point, run, core) for run in self.runs]
            if all(edge is None for edge in ends):
                continue
            join = len(network.nodes) + len(nodes)
            nodes.append(Node(self.runs[0], _TAKE_OFF, core))
            less += [edge for edge in ends if edge is not None]
            more += self._rejoined(network, ends, join)
            if core in self.ohm_per_m:
                spur_ohm = self.ohm_per_m[core] * self.length_m
                more.append(Edge(join, network.terminal(self.point, core), spur_ohm, core=core))
        if not less:
            raise ReadingError(f"No whole core of {self.runs[0]} or {self.runs[1]} ends at {self.point}.")
        return Edit(tuple(less), tuple(more), tuple(nodes))

    def _rejoined(self, network: Network, ends: list[int | None], join: int) -> list[Edge]:
        """Lead what ended at the point to the join; where both are whole, with the ohms that fall to either side."""
        first, second = ends
        ohms = [network.edges[edge].ohm if edge is not None else 0.0 for edge in ends]
        if first is not None and second is not None and self.at is not None:
            share = self._share(network, first, second)
            total_ohm = sum(ohms)
            ohms = [total_ohm * share, total_ohm * (1 - share)]
        found = []
        for edge, ohm in zip(ends, ohms, strict=True):
            if edge is not None:
                was = network.edges[edge]
                is_a = network.nodes[was.a].place == self.point
                found.append(replace(was, a=join, ohm=ohm) if is_a else replace(was, b=join, ohm=ohm))
        return found

    def _share(self, network: Network, first: int, second: int) -> float:
        if isinstance(self.at, float | int):
            if not 0 <= self.at <= 1:
                raise ReadingError(f"A spur leaves the cable at a share of it between 0 and 1, not {self.at:g}.")
            return float(self.at)
        for edge, share in ((first, 0.0), (second, 1.0)):
            was = network.edges[edge]
            if self.at in {network.nodes[was.a].place, network.nodes[was.b].place}:
                return share
        raise ReadingError(f"{self.at} is no neighbour of {self.point} on {network.code or 'this circuit'}.")


def on_spur(
    view: CircuitView, network: Network, trade: Trade, point: str, length_m: float, *, at: float | str | None = None,
    copper_c: float = 20.0,
) -> OnSpur:  # fmt: skip
    """Give the fault of a point that hangs on a spur of its own run's cable instead of being on the ring.

    Raises
    ------
    ReadingError
        When the point isn't between two runs of the circuit, the length is none, or its cable isn't known.
    """
    if not 0 < length_m < inf:
        raise ReadingError(f"A spur of {length_m:g} m hangs nothing off; give a length above zero.")
    runs = runs_at(network, point)
    if not runs:
        raise ReadingError(f"{point} isn't on {network.code or 'this circuit'}: no run drawn there ends at it.")
    loop = view.shape.loop_runs if view.shape is not None else ()
    on_loop = tuple(run for run in runs if run in loop)
    pair = on_loop if len(on_loop) == 2 else runs
    if len(pair) != 2 or point == network.device:
        raise ReadingError(f"{point} isn't drawn between two runs of a ring, so it can't be on a spur from it.")
    drawn = next(run for run in view.runs if run.id == pair[0])
    a_kilometre = Wiring(trade, copper_c).of(msgspec.structs.replace(drawn, length_mm=1_000_000))
    per_m: dict[Core, float] = {}
    for core in CORES:
        ohm = a_kilometre.ohm(core)
        if ohm is not None and ohm < inf:
            per_m[core] = ohm / 1000
    if "L" not in per_m:
        raise ReadingError(f"The cable of {pair[0]} isn't on the map, so a spur of it has no ohms; say its cable.")
    return OnSpur(point, length_m, per_m, (pair[0], pair[1]), at)


def _end_at(network: Network, point: str, run: str, core: Core) -> int | None:
    for edge in network.by_core.get((run, core), ()):
        found = network.edges[edge]
        if point in {network.nodes[found.a].place, network.nodes[found.b].place}:
            return edge
    return None
