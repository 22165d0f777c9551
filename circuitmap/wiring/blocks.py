"""Bridges and blocks of a multigraph in one pass, linear in its edges (Tarjan's depth-first search, no recursion).

A block is a largest part that stays in one piece when any one node is taken out; a bridge is a block of one edge.
"""

from collections.abc import Sequence
from dataclasses import dataclass

Edge = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Blocks:
    """Component of every node, block of every edge (-1: an edge from a node to itself), and which blocks hold loops."""

    component: tuple[int, ...]
    block: tuple[int, ...]
    edges: tuple[tuple[int, ...], ...]

    def is_bridge(self, edge: int) -> bool:
        """Whether taking out an edge would leave more pieces."""
        return self.block[edge] >= 0 and len(self.edges[self.block[edge]]) == 1

    @property
    def looped(self) -> tuple[int, ...]:
        """The blocks with a loop in them."""
        return tuple(number for number, held in enumerate(self.edges) if len(held) > 1)


def adjacency(count: int, edges: Sequence[Edge], kept: Sequence[bool] | None = None) -> list[list[Edge]]:
    """Give, for every node, its neighbours and the edges to them; edges from a node to itself are left out."""
    around: list[list[Edge]] = [[] for _ in range(count)]
    for number, (a, b) in enumerate(edges):
        if a != b and (kept is None or kept[number]):
            around[a].append((b, number))
            around[b].append((a, number))
    return around


def blocks_of(count: int, edges: Sequence[Edge], kept: Sequence[bool] | None = None) -> Blocks:
    """Give the components and blocks of a multigraph of ``count`` nodes; edges not kept are taken as absent."""
    around = adjacency(count, edges, kept)
    component = [-1] * count
    found = [0] * count
    low = [0] * count
    block = [-1] * len(edges)
    held: list[tuple[int, ...]] = []
    clock = 0
    parts = 0
    for start in range(count):
        if component[start] >= 0:
            continue
        clock += 1
        component[start], found[start], low[start] = parts, clock, clock
        path: list[int] = []  # edges not yet in a block
        trail: list[tuple[int, int, int]] = [(start, -1, 0)]  # node, edge it was reached by, next neighbour to try
        while trail:
            node, via, turn = trail[-1]
            if turn < len(around[node]):
                trail[-1] = (node, via, turn + 1)
                other, edge = around[node][turn]
                if edge == via:
                    continue
                if component[other] < 0:
                    clock += 1
                    component[other], found[other], low[other] = parts, clock, clock
                    path.append(edge)
                    trail.append((other, edge, 0))
                elif found[other] < found[node]:
                    path.append(edge)
                    low[node] = min(low[node], found[other])
                continue
            trail.pop()
            if not trail:
                break
            above = trail[-1][0]
            low[above] = min(low[above], low[node])
            if low[node] >= found[above]:
                mine: list[int] = []
                while True:
                    edge = path.pop()
                    block[edge] = len(held)
                    mine.append(edge)
                    if edge == via:
                        break
                held.append(tuple(sorted(mine)))
        parts += 1
    return Blocks(tuple(component), tuple(block), tuple(held))
