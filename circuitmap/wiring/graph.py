"""A piece as a graph: nodes with two sides where a fuse or switch stands between supply and load.

``Net`` numbers nodes and edges for the shape analysis; ``graph_of`` gives the same as a networkx multigraph for
whoever needs that library's algorithms. Both hold what carries supply only, and the links that join parts by it.
"""

from collections import deque
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Device, End, Point, Run
from circuitmap.wiring.blocks import Blocks, Edge, adjacency, blocks_of
from circuitmap.wiring.pieces import Piece

if TYPE_CHECKING:
    import networkx

Node = tuple[str, str]

# Between their supply and load terminals stands a fuse or a switch, whether or not a load run has been drawn.
TWO_SIDED: Final = frozenset({"fused unit", "double-pole switch", "isolator", "cooker control unit"})


def is_fused(point: Point) -> bool:
    """Whether what leaves a point's load side is behind a fuse of its own."""
    return point.kind == "fused unit" or point.fuse_a is not None


@dataclass(eq=False)
class Net:
    """A piece's nodes (record id, side) and edges by number; an edge without a run is inside a point."""

    piece: Piece
    nodes: list[Node]
    edges: list[Edge]
    runs: list[Run | None]
    two_sided: frozenset[str]

    def __post_init__(self) -> None:
        self.number = {node: place for place, node in enumerate(self.nodes)}
        self.around = adjacency(len(self.nodes), self.edges)
        self.device_nodes = tuple(self.number[device.id, "through"] for device in self.piece.devices)
        self.points = {point.id: point for point in self.piece.points}
        for device in self.device_nodes:
            self.around[device].sort(key=self._leg)

    @cached_property
    def blocks(self) -> Blocks:
        """Bridges and blocks of the whole piece."""
        return blocks_of(len(self.nodes), self.edges)

    @cached_property
    def fuse_above(self) -> tuple[str | None, ...]:
        """The nearest fused point above each node, None where a way without a fuse leads there (or nothing does)."""
        fuses: list[str | None] = [None] * len(self.nodes)
        seen = [False] * len(self.nodes)
        queue: deque[int] = deque(self.device_nodes)
        behind: deque[tuple[int, str]] = deque()
        for node in queue:
            seen[node] = True
        while queue or behind:
            if queue:
                node = queue.popleft()
            else:  # all that can be reached without passing a fuse comes first
                node, fuse = behind.popleft()
                if seen[node]:
                    continue
                seen[node] = True
                fuses[node] = fuse
            for other, edge in self.around[node]:
                if seen[other]:
                    continue
                if self.runs[edge] is None and is_fused(self.points[self.nodes[node][0]]):
                    behind.append((other, self.nodes[node][0]))
                    continue
                if fuses[node] is None:
                    seen[other] = True
                    queue.append(other)
                else:
                    behind.append((other, fuses[node] or ""))
        return tuple(fuses)

    def is_switched(self, edge: int) -> bool:
        """Whether an edge only carries on what a switch lets through: a switched line, strappers, a drop."""
        run = self.runs[edge]
        return run is not None and run.role != "feed"

    def supply_node(self, record_id: str) -> int:
        """Give the node at which a record is fed."""
        return self.number[record_id, "supply" if record_id in self.two_sided else "through"]

    def joined(self, node: int) -> int:
        """Give how many runs are joined at a node, whatever is inside its point left out."""
        return sum(self.runs[edge] is not None for _, edge in self.around[node])

    def _leg(self, step: Edge) -> tuple[int, int, int]:
        run = self.runs[step[1]]
        assert run is not None  # nothing is inside a device
        return leg_key(run, self.piece.devices)


def leg_key(run: Run, devices: tuple[Device, ...]) -> tuple[int, int, int]:
    """Give the sort key of a run at a device: its leg as marked there, then its number."""
    ids = [device.id for device in devices]
    marked = [(ids.index(end.at), end.leg or 99) for end in (run.a, run.b) if end.at in ids]
    return (*min(marked, default=(99, 99)), int(run.id[1:]))


def net_of(piece: Piece) -> Net:
    """Give a piece's nodes and edges by number, in the natural order of their ids."""
    loaded = {
        end.at for run in (*piece.runs, *piece.links) for end in (run.a, run.b) if end.side == "load" and _joins(end)
    }
    two_sided = frozenset(p.id for p in piece.points if p.kind in TWO_SIDED or p.fuse_a is not None or p.id in loaded)
    nodes: list[Node] = [(device.id, "through") for device in piece.devices]
    inner: list[tuple[Node, Node]] = []
    for point in piece.points:
        if point.id in two_sided:
            nodes.append((point.id, "supply"))
            if point.id in loaded:
                nodes.append((point.id, "load"))
                inner.append((nodes[-2], nodes[-1]))
        else:
            nodes.append((point.id, "through"))
    nodes += [(board.id, "through") for board in piece.boards]
    number = {node: place for place, node in enumerate(nodes)}
    boards = {device.id: device.board for device in piece.incomers}
    edges: list[Edge] = []
    runs: list[Run | None] = []
    for run in (*piece.runs, *piece.links):
        ends = [_node(end, two_sided, boards) for end in (run.a, run.b)]
        if ends[0] is None or ends[1] is None:
            continue
        a, b = number.get(ends[0]), number.get(ends[1])
        if a is not None and b is not None and a != b:
            edges.append((a, b))
            runs.append(run)
    for supply, load in inner:
        edges.append((number[supply], number[load]))
        runs.append(None)
    return Net(piece, nodes, edges, runs, two_sided)


def graph_of(piece: Piece) -> "networkx.MultiGraph[Node]":
    """Give a piece as a networkx multigraph: edges keyed by run id with the run, ``inner`` inside a point."""
    import networkx

    net = net_of(piece)
    graph: networkx.MultiGraph[Node] = networkx.MultiGraph()
    graph.add_nodes_from(net.nodes)
    for (a, b), run in zip(net.edges, net.runs, strict=True):
        graph.add_edge(net.nodes[a], net.nodes[b], key=run.id if run is not None else "inner", run=run)
    return graph


def _joins(end: End) -> bool:
    return end.at is not None and end.state == "joined"


def _node(end: End, two_sided: frozenset[str], boards: dict[str, str]) -> Node | None:
    if end.at is None or end.state != "joined":
        return None
    if end.at[0] == "D":
        return (boards.get(end.at, "") if end.side == "supply" else end.at), "through"
    if end.at[0] == "B":
        return None if end.side == "load" else (end.at, "through")
    if end.at in two_sided:
        return end.at, "load" if end.side == "load" else "supply"
    return end.at, "through"
