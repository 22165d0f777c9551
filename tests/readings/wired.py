"""Circuits with lengths, built by the app's own verbs; and three other ways to a network's resistances, to check by."""

import random
from collections.abc import Iterable, Mapping
from fractions import Fraction
from itertools import pairwise

import networkx as nx

from circuitmap.circuits import CircuitView
from circuitmap.home.records import End
from circuitmap.readings.drawn import network_of
from circuitmap.readings.network import Network
from circuitmap.trade import load
from tests.circuits.house import House


class Wired(House):
    """One way and what is drawn on it; lengths in metres."""

    def __init__(self, cable: str = "T&E 2.5/1.5", rating_a: float = 32) -> None:
        super().__init__()
        self.way_id = self.way(rating_a)
        self.cable = cable

    def ring(self, *lengths_m: float) -> list[str]:
        """A ring of sockets with one leg more than sockets; gives the sockets in order."""
        sockets = [self.point() for _ in lengths_m[1:]]
        stops = [End(at=self.way_id, leg=1), *sockets, End(at=self.way_id, leg=2)]
        for (a, b), length_m in zip(pairwise(stops), lengths_m, strict=True):
            self.length(a, b, length_m)
        return sockets

    def length(self, a: str | End, b: str | End, length_m: float | None, **facts: object) -> str:
        cable = facts.pop("cable", self.cable)
        return self.run(a, b, cable=cable, length_mm=round(length_m * 1000) if length_m else None, **facts)  # type: ignore[arg-type]

    def spur(self, at: str, length_m: float) -> str:
        end = self.point()
        self.length(at, end, length_m)
        return end

    @property
    def on_way(self) -> CircuitView:
        return self.view(self.home.code(self.way_id))

    @property
    def network(self) -> Network:
        return network_of(self.on_way, load())


def reference() -> tuple[Wired, list[str]]:
    """The reference network: a 60 m ring of 2.5/1.5, six legs of 10 m, sockets s1 to s5."""
    wired = Wired()
    return wired, wired.ring(*[10] * 6)


def by_networkx(network: Network, pairs: Iterable[tuple[int, int]]) -> list[float]:
    """Resistances by networkx, pair after pair; links of no resistance contracted, what isn't joined infinite."""
    graph, group = _graph(network)
    found = []
    for a, b in pairs:
        i, j = group[a], group[b]
        part = nx.node_connected_component(graph, i)
        if j not in part:
            found.append(float("inf"))
        elif i == j:
            found.append(0.0)
        else:
            joined = graph.subgraph(part)
            found.append(float(nx.resistance_distance(joined, i, j, weight="ohm", invert_weight=True)))
    return found


def by_elimination(network: Network, a: int, b: int) -> Fraction | None:
    """The resistance between two nodes by exact rational elimination; None where nothing joins them."""
    graph, group = _graph(network)
    i, j = group[a], group[b]
    if i == j:
        return Fraction(0)
    part = nx.node_connected_component(graph, i)
    if j not in part:
        return None
    order = [node for node in part if node != j]
    row = {node: place for place, node in enumerate(order)}
    matrix = [[Fraction(0)] * (len(order) + 1) for _ in order]
    for u, v, ohm in graph.subgraph(part).edges(data="ohm"):
        siemens = 1 / Fraction(ohm)
        for at, other in ((u, v), (v, u)):
            if at != j:
                matrix[row[at]][row[at]] += siemens
                if other != j:
                    matrix[row[at]][row[other]] -= siemens
    matrix[row[i]][-1] = Fraction(1)
    size = len(order)
    for column in range(size):
        pivot = next(r for r in range(column, size) if matrix[r][column])
        matrix[column], matrix[pivot] = matrix[pivot], matrix[column]
        for r in range(size):
            if r != column and matrix[r][column]:
                times = matrix[r][column] / matrix[column][column]
                matrix[r] = [x - times * y for x, y in zip(matrix[r], matrix[column], strict=True)]
    return matrix[row[i]][-1] / matrix[row[i]][row[i]]


def tangled(seed: int, points: int, extra: int, most_mm: int = 30_000) -> Wired:
    """A way with runs at random: a tree from the board, and so many runs more across it."""
    pick = random.Random(seed)
    wired = Wired()
    sockets = [wired.point() for _ in range(points)]
    cables = ("T&E 2.5/1.5", "T&E 4/1.5", "T&E 1.5/1.0", "T&E 2.5/1.0", "T&E 7/.029")
    for n, socket in enumerate(sockets):
        before = sockets[pick.randrange(n)] if n and pick.random() < 0.9 else wired.way_id
        wired.length(before, socket, pick.randrange(100, most_mm) / 1000, cable=pick.choice(cables))
    for _ in range(extra):
        a, b = pick.sample([wired.way_id, *sockets], 2)
        wired.length(a, b, pick.randrange(100, most_mm) / 1000, cable=pick.choice(cables))
    return wired


def _graph(network: Network) -> tuple["nx.MultiGraph[int]", Mapping[int, int]]:
    same: nx.Graph[int] = nx.Graph()
    same.add_nodes_from(range(len(network.nodes)))
    same.add_edges_from((edge.a, edge.b) for edge in network.edges if edge.ohm == 0)
    group = {node: min(part) for part in nx.connected_components(same) for node in part}
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    graph.add_nodes_from(group.values())
    for edge in network.edges:
        if edge.ohm and group[edge.a] != group[edge.b]:
            graph.add_edge(group[edge.a], group[edge.b], ohm=edge.ohm)
    return graph, group
