"""Loops of a piece: what is left without its ends, the way round, the runs that bridge, what joins two ways."""

from collections import deque
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from circuitmap.wiring.blocks import Edge, blocks_of
from circuitmap.wiring.graph import Net
from circuitmap.words import Core

# A search for the longest way round gives up improving after so many steps: only tangled wiring ever gets there.
STEPS: Final = 2_000


@dataclass(frozen=True, slots=True)
class Way:
    """A way through a net: its nodes and the edges between them, in order."""

    nodes: tuple[int, ...]
    edges: tuple[int, ...]


def kept_edges(net: Net, protected: Collection[int]) -> list[bool]:
    """Say of every edge whether it is left when all that only hangs off is taken away; protected nodes stay."""
    degree = [len(steps) for steps in net.around]
    kept = [a != b for a, b in net.edges]
    held = set(protected)
    queue = deque(node for node, count in enumerate(degree) if count == 1 and node not in held)
    while queue:
        node = queue.popleft()
        for other, edge in net.around[node]:
            if kept[edge]:
                kept[edge] = False
                degree[node] -= 1
                degree[other] -= 1
                if degree[other] == 1 and other not in held:
                    queue.append(other)
    return kept


def nodes_on(net: Net, kept: list[bool]) -> set[int]:
    """Give the nodes that some kept edge touches."""
    return {node for edge, stays in enumerate(kept) if stays for node in net.edges[edge]}


def path(net: Net, start: int, goal: Collection[int]) -> Way:
    """Give the shortest way from a node to the nearest of some others, itself if it is one of them."""
    before: dict[int, tuple[int, int]] = {}
    goals = set(goal)
    queue = deque([start])
    seen = {start}
    while queue:
        node = queue.popleft()
        if node in goals:
            nodes, edges = [node], []
            while node != start:
                node, edge = before[node]
                nodes.append(node)
                edges.append(edge)
            return Way(tuple(reversed(nodes)), tuple(reversed(edges)))
        for other, edge in net.around[node]:
            if other not in seen:
                seen.add(other)
                before[other] = (node, edge)
                queue.append(other)
    return Way((start,), ())


def way_round(net: Net, start: int, block: Collection[int]) -> Way:
    """Give the way round a block from a node of it, as long as can be found; a plain ring has only the one."""
    inside = set(block)
    around: dict[int, list[Edge]] = {}
    for node in {node for edge in inside for node in net.edges[edge]}:
        around[node] = [step for step in net.around[node] if step[1] in inside]
    plain = _plain(start, around)
    return plain if plain is not None else _longest(net, start, around)


def _plain(start: int, around: dict[int, list[Edge]]) -> Way | None:
    if any(len(steps) != 2 for steps in around.values()):
        return None
    nodes, edges = [start], []
    node, edge = around[start][0]
    edges.append(edge)
    while node != start:
        nodes.append(node)
        node, edge = next(step for step in around[node] if step[1] != edge)
        edges.append(edge)
    return Way(tuple(nodes), tuple(edges))


def _longest(net: Net, start: int, around: dict[int, list[Edge]]) -> Way:
    """Search ways round between the nodes where the block divides, each stretch between them as one step."""
    stretches = _stretches(start, around)
    best: tuple[int, tuple[int, ...], tuple[int, ...]] | None = None
    steps = 0
    trail: list[tuple[int, int, tuple[int, ...], tuple[int, ...]]] = [(start, 0, (start,), ())]
    while trail and (steps < STEPS or best is None):
        steps += 1
        node, points, nodes, edges = trail.pop()
        for end, through, over in reversed(stretches[node]):
            if end == start and not set(over) & set(edges):
                size = points + len(through)
                if best is None or size > best[0]:
                    best = (size, nodes + through, edges + over)
            elif end not in nodes:
                trail.append((end, points + len(through) + 1, (*nodes, *through, end), edges + over))
    assert best is not None  # every block with more than one edge has a loop through each of its nodes
    return Way(best[1], best[2])


def _stretches(
    start: int, around: dict[int, list[Edge]]
) -> dict[int, list[tuple[int, tuple[int, ...], tuple[int, ...]]]]:
    found: dict[int, list[tuple[int, tuple[int, ...], tuple[int, ...]]]] = {}
    corners = {node for node, steps in around.items() if len(steps) > 2} | {start}
    for corner in corners:
        out = []
        for node, edge in around[corner]:
            through: list[int] = []
            over = [edge]
            while node not in corners:
                through.append(node)
                node, edge = next(step for step in around[node] if step[1] != edge)
                over.append(edge)
            out.append((node, tuple(through), tuple(over)))
        found[corner] = out
    return found


def opened(net: Net, core: Core) -> list[bool]:
    """Say of every edge whether a conductor goes through it, open faults taken as found."""
    whole = []
    for run in net.runs:
        faults = run.faults if run is not None else ()
        whole.append(not any(fault.kind == "open" and (not fault.cores or core in fault.cores) for fault in faults))
    return whole


def is_closed(net: Net, core: Core, block: Collection[int], start: int) -> bool:
    """Whether a conductor still goes all the way round a block from a node of it."""
    whole = opened(net, core)
    inside = set(block)
    kept = [edge in inside and whole[edge] for edge in range(len(net.edges))]
    if all(whole[edge] for edge in inside):
        return True
    blocks = blocks_of(len(net.nodes), net.edges, kept)
    return any(start in net.edges[edge] for number in blocks.looped for edge in blocks.edges[number])


def joints(net: Net) -> tuple[str, ...]:
    """Give where the ways of a piece are joined: the runs whose removal parts them, else the points, else the way."""
    found: dict[str, None] = {}
    first, *rest = net.device_nodes
    for device in rest:
        between = path(net, first, {device})
        bridges = [run.id for edge in between.edges if net.blocks.is_bridge(edge) and (run := net.runs[edge])]
        turns = [
            net.nodes[node][0]
            for node, before, after in zip(between.nodes[1:], between.edges, between.edges[1:], strict=False)
            if net.blocks.block[before] != net.blocks.block[after]
        ]
        ways = [run.id for edge in between.edges if (run := net.runs[edge])]
        found.update(dict.fromkeys(bridges or turns or ways))
    return tuple(found)
