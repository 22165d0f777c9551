"""The network of a circuit as it is drawn on the map.

Switch drops are left out. What a unit with a fuse or switch has inside is an edge of no resistance. A length or size
that isn't known gets an edge that only stands in, so that what hangs on it can be told from what doesn't.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from math import inf
from typing import Final, Literal

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Device, End, Run
from circuitmap.home.snapshot import Home
from circuitmap.readings.conductors import Wiring
from circuitmap.readings.network import Edge, Network, Node, Spot
from circuitmap.trade import Trade
from circuitmap.wiring.graph import TWO_SIDED, leg_key
from circuitmap.words import CORES, Core

# Stands in for what isn't known, so that what hangs on it shows; odd, so that no bridge of resistors balances by it.
_UNKNOWN_OHM: Final = 0.0714159


def network_of(
    view: CircuitView,
    trade: Trade,
    *,
    copper_c: float = 20.0,
    home: Home | None = None,
    cores: Sequence[Core] = CORES,
    units: Literal["on", "off"] = "on",
) -> Network:
    """Give a circuit's network as it is drawn, faults left out.

    Parameters
    ----------
    copper_c
        The temperature of the copper in °C.
    home
        Where things stand, for runs without a recorded length; without it those are unknown.
    units
        Whether what has a fuse or switch inside is on; off, its line and neutral stop at the supply side.
    """
    wiring = Wiring(trade, copper_c, home)
    runs = [run for run in view.runs if _is_joined(run.a) and _is_joined(run.b)]
    loaded = {end.at for run in runs for end in (run.a, run.b) if end.side == "load"}
    points = {member.point.id: member.point for member in view.members}
    two_sided = {i for i, point in points.items() if i in loaded or point.kind in TWO_SIDED or point.fuse_a is not None}
    grown = _Grown(tuple(cores))
    why: dict[str, str] = {}
    no_core: set[tuple[str, Core]] = set()
    leg_at: dict[str, str] = {}
    for run in runs:
        made_of = wiring.of(run)
        if made_of.why:
            why[run.id] = made_of.why
        a, b = (grown.nodes_at(*_stands(run, end, two_sided, leg_at, view.device.id)) for end in (run.a, run.b))
        for place, core in enumerate(cores):
            ohm = made_of.ohm(core)
            if ohm is None:
                odd = _UNKNOWN_OHM * (1 + len(grown.edges) % 89 / 100)
                grown.edges.append(Edge(a + place, b + place, odd, run.id, core, is_known=False))
            elif ohm == inf:
                no_core.add((run.id, core))
            else:
                grown.edges.append(Edge(a + place, b + place, ohm, run.id, core, spread=made_of.spread))
    for point in sorted(two_sided & loaded):
        a, b = grown.nodes_at(point, "supply"), grown.nodes_at(point, "load")
        inside = [place for place, core in enumerate(cores) if units == "on" or core == "E"]
        grown.edges += [Edge(a + place, b + place, 0.0, core=cores[place]) for place in inside]
    legs = sorted((run for run in runs if leg_at.get(run.id) == view.device.id), key=_leg_key(view.device))
    return Network(
        nodes=tuple(grown.nodes),
        edges=tuple(grown.edges),
        device=view.device.id,
        code=view.code,
        legs=tuple(run.id for run in legs),
        leg_at=leg_at,
        why=why,
        no_core=frozenset(no_core),
        legs_to=_legs_to(runs, leg_at),
    )


class _Grown:
    """Nodes and edges so far."""

    def __init__(self, cores: tuple[Core, ...]) -> None:
        self.cores = cores
        self.nodes: list[Node] = []
        self.edges: list[Edge] = []
        self._first: dict[Spot, int] = {}

    def nodes_at(self, place: str, side: str) -> int:
        """Give the number of the first core's node at a spot; the other cores' follow it."""
        first = self._first.get((place, side))
        if first is None:
            first = self._first[place, side] = len(self.nodes)
            self.nodes += [Node(place, side, core) for core in self.cores]
        return first


def _legs_to(runs: Sequence[Run], leg_at: Mapping[str, str]) -> dict[str, frozenset[str]]:
    """Give the legs that lead to every place by drawn runs; at the board no leg leads on into another."""
    around: dict[str, list[str]] = {}
    for run in runs:
        a, b = (run.id if end.at == leg_at.get(run.id) else end.at or "" for end in (run.a, run.b))
        around.setdefault(a, []).append(b)
        around.setdefault(b, []).append(a)
    found: dict[str, frozenset[str]] = {}
    seen: set[str] = set()
    for start in around:
        if start in seen:
            continue
        seen.add(start)
        part = [start]
        for spot in part:
            fresh = [other for other in around[spot] if other not in seen]
            seen.update(fresh)
            part += dict.fromkeys(fresh)
        legs = frozenset(leg_at.keys() & set(part))
        for spot in part:
            place = leg_at.get(spot, spot)
            found[place] = found.get(place, frozenset()) | legs
    return found


def _leg_key(device: Device) -> Callable[[Run], tuple[int, int, int]]:
    return lambda run: leg_key(run, (device,))


def _is_joined(end: End) -> bool:
    if end.at is None or end.state != "joined":
        return False
    return not (end.at[0] == "B" and end.side == "load")  # of some way there, nobody knows which


def _stands(run: Run, end: End, two_sided: Collection[str], leg_at: dict[str, str], mine: str) -> Spot:
    at = end.at or ""
    if at[0] == "D":
        if end.side == "supply":
            return at, "supply"
        if leg_at.get(run.id) != mine:  # a run from one way to another is a leg of the way looked at
            leg_at[run.id] = at
        return at, run.id
    if at in two_sided:
        return at, "load" if end.side == "load" else "supply"
    return at, "through"
