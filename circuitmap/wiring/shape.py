"""What the shape of a piece says: ring, radial, spurs, what is broken or joined, and what hasn't been traced.

A break is never made up: a shape counts as open only where counts leave no cable over, an end was seen loose or a core
is open. A shape is as good as its weakest run, an absence as its weakest count. What is *allowed* is for the rules.
"""

from dataclasses import dataclass, replace
from functools import partial
from typing import Final, Literal

from circuitmap.home.records import Device
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.trade import Trade, load
from circuitmap.wiring import loops
from circuitmap.wiring.counts import Counts, LooseEnd, Untraced, counts_of
from circuitmap.wiring.graph import Net, leg_key, net_of
from circuitmap.wiring.opened import Broken, broken_ring, is_branched, points_fed
from circuitmap.wiring.pieces import Piece, pieces_of
from circuitmap.wiring.spurs import Spur, spurs_of
from circuitmap.words import CORES, Core, Evidence, weakest

__all__ = ["SHAPE_WORDS", "LooseEnd", "Shape", "ShapeKind", "Spur", "Untraced", "shape_of", "shapes"]

ShapeKind = Literal[
    "ring",
    "ring with spurs",
    "open ring",
    "radial",
    "branched radial",
    "loop on a stalk",
    "bridged ring",
    "several loops",
    "legs on two ways",
    "two ways joined",
    "fed by nothing",
    "one point only",
    "not known enough",
]

SHAPE_WORDS: Final[dict[ShapeKind, str]] = {
    "ring": "ring",
    "ring with spurs": "ring with spurs",
    "open ring": "broken ring",
    "radial": "radial",
    "branched radial": "radial with branches",
    "loop on a stalk": "ring fed through one cable",
    "bridged ring": "interconnected ring",
    "several loops": "several loops",
    "legs on two ways": "ring with its legs on two ways",
    "two ways joined": "two ways joined",
    "fed by nothing": "fed by nothing",
    "one point only": "feeds one thing",
    "not known enough": "not yet known",
}
"""A shape as the trade says it, for whoever reads it."""

RING_RATINGS_A = frozenset({30.0, 32.0})


@dataclass(frozen=True, slots=True)
class Shape:
    """The shape of one piece.

    ``loop`` holds ids in order round the ring, from the device (or, on a stalk, from where the stalk meets it); for
    an open ring the two halves one after the other, for legs on two ways from the one device to the other.
    ``loop_runs`` are the runs between them. ``legs`` are the runs at the devices in the order of their legs.
    ``stalk``: runs of the single way to a loop. ``bridges``: runs across a ring. ``joins``: runs or points at which two
    ways are joined. ``gap``: the two things between which a ring is open, ``open_runs`` the runs with an open core
    there. ``crosses``: points through which the loop passes from supply to load. ``closed``: the conductors that go
    all the way round. ``absence`` says how well it is known that nothing more is there.
    """

    kind: ShapeKind
    devices: tuple[str, ...]
    boards: tuple[str, ...]
    points: tuple[str, ...]
    runs: tuple[str, ...]
    loop: tuple[str, ...] = ()
    loop_runs: tuple[str, ...] = ()
    legs: tuple[str, ...] = ()
    spurs: tuple[Spur, ...] = ()
    stalk: tuple[str, ...] = ()
    bridges: tuple[str, ...] = ()
    joins: tuple[str, ...] = ()
    gap: tuple[str, str] | None = None
    open_runs: tuple[str, ...] = ()
    crosses: tuple[str, ...] = ()
    loose: tuple[LooseEnd, ...] = ()
    untraced: tuple[Untraced, ...] = ()
    closed: tuple[Core, ...] = ()
    evidence: Evidence = "assumed"
    absence: Evidence | None = None


def shape_of(piece: Piece, trade: Trade | None = None) -> Shape:
    """Say what a piece's shape is; the trade tables tell which points can pass supply on (ours when none are given)."""
    trade = trade if trade is not None else load()
    net = net_of(piece)
    seen = counts_of(net, trade)
    base = _base(piece, seen)
    if not piece.devices:
        kind: ShapeKind = "not known enough" if seen.blocking else "fed by nothing"
        return replace(base, kind=kind, absence=None if seen.blocking else seen.absence)
    if len(piece.devices) > 1:
        return _several_ways(net, base, trade)
    return _looped(net, base, trade) if net.blocks.looped else _tree(net, base, seen, trade)


def shapes(home: Home, memo: Memo, trade: Trade | None = None) -> tuple[tuple[Piece, Shape], ...]:
    """Give every piece of a home with its shape; both are the same objects while none of their records changed."""
    found = []
    for fresh in pieces_of(home, memo):
        parts = (trade, *fresh.records)
        found.append(memo.get("wiring.shape", fresh.name, parts, partial(_with_shape, fresh, trade)))
    return tuple(found)


def _with_shape(piece: Piece, trade: Trade | None) -> tuple[Piece, Shape]:
    return piece, shape_of(piece, trade)


def _base(piece: Piece, seen: Counts) -> Shape:
    ids = [device.id for device in piece.devices]
    legs = [run for run in piece.runs if run.a.at in ids or run.b.at in ids]
    return Shape(
        kind="not known enough",
        devices=tuple(ids),
        boards=tuple(board.id for board in piece.boards),
        points=tuple(point.id for point in piece.points),
        runs=tuple(run.id for run in piece.runs),
        legs=tuple(run.id for run in sorted(legs, key=lambda run: leg_key(run, piece.devices))),
        loose=seen.loose,
        untraced=seen.untraced,
        evidence=weakest(*(run.evidence for run in (*piece.runs, *piece.links))),
    )


# one device, no loop ----------------------------------------------------------------------------------------------


def _tree(net: Net, base: Shape, seen: Counts, trade: Trade) -> Shape:
    device = net.piece.devices[0]
    broken = broken_ring(net, seen, trade) if device.rating_a in RING_RATINGS_A else None
    if broken is not None:
        return _open(net, base, broken, trade)
    if seen.blocking:
        return base
    if is_branched(net):
        kind: ShapeKind = "branched radial"
    elif not base.boards and (points_fed(net, trade) == 1 or len(base.points) == 1):
        kind = "one point only"
    else:
        kind = "radial"
    return replace(base, kind=kind, absence=seen.absence)


def _open(net: Net, base: Shape, broken: Broken, trade: Trade) -> Shape:
    start = net.device_nodes[0]
    first, second = loops.path(net, start, {broken.ends[0]}), loops.path(net, start, {broken.ends[1]})
    nodes = (*first.nodes, *reversed(second.nodes[1:]))
    edges = (*first.edges, *reversed(second.edges))
    return replace(
        base,
        kind="open ring",
        loop=_ids(net, nodes),
        loop_runs=_runs(net, edges),
        spurs=spurs_of(net, nodes, trade),
        gap=(net.nodes[broken.ends[0]][0], net.nodes[broken.ends[1]][0]),
        crosses=_crosses(net, edges),
        absence=broken.absence,
    )


# one device, a loop or more ---------------------------------------------------------------------------------------


def _looped(net: Net, base: Shape, trade: Trade) -> Shape:
    start = net.device_nodes[0]
    kept = loops.kept_edges(net, {start})
    core = loops.nodes_on(net, kept)
    looped = net.blocks.looped
    spots = {number: {node for edge in net.blocks.edges[number] for node in net.edges[edge]} for number in looped}
    stalk = [edge for edge, stays in enumerate(kept) if stays and net.blocks.is_bridge(edge)]
    to_loop = loops.path(net, start, set().union(*spots.values()))
    entry = to_loop.nodes[-1]
    main = next(number for number in looped if entry in spots[number])
    ways = {number: loops.way_round(net, loops.path(net, start, spots[number]).nodes[-1], net.blocks.edges[number])
            for number in looped}  # fmt: skip
    way = ways[main]
    bridges = [edge for number in looped for edge in net.blocks.edges[number] if edge not in set(ways[number].edges)]
    closed = tuple(each for each in CORES if loops.is_closed(net, each, net.blocks.edges[main], entry))
    shape = replace(
        base,
        loop=_ids(net, way.nodes),
        loop_runs=_runs(net, way.edges),
        stalk=_runs(net, stalk),
        bridges=_runs(net, sorted(bridges)),
        spurs=spurs_of(net, core, trade),
        crosses=_crosses(net, [edge for each in ways.values() for edge in each.edges]),
        closed=closed,
    )
    if len(looped) > 1:
        return replace(shape, kind="several loops")
    if bridges:
        return replace(shape, kind="bridged ring")
    if entry != start:
        return replace(shape, kind="loop on a stalk")
    if "L" not in closed or "N" not in closed:
        return _open_core(net, shape, way)
    # A fused unit in the ring with its own load behind it is no spur in anybody's words.
    hanging = any(spur.fuse != spur.leaves for spur in shape.spurs)
    return replace(shape, kind="ring with spurs" if hanging else "ring")


def _open_core(net: Net, shape: Shape, way: loops.Way) -> Shape:
    whole = {core: loops.opened(net, core) for core in ("L", "N")}
    broken = [edge for edge in way.edges if not (whole["L"][edge] and whole["N"][edge])]
    faults = [fault.evidence for edge in broken if (run := net.runs[edge]) for fault in run.faults
              if fault.kind == "open"]  # fmt: skip
    at = way.edges.index(broken[0])
    after = way.nodes[(at + 1) % len(way.nodes)]
    return replace(
        shape,
        kind="open ring",
        gap=(net.nodes[way.nodes[at]][0], net.nodes[after][0]),
        open_runs=_runs(net, broken),
        evidence=weakest(shape.evidence, *faults),
        absence=weakest(*faults),
    )


# several devices --------------------------------------------------------------------------------------------------


def _several_ways(net: Net, base: Shape, trade: Trade) -> Shape:
    joined = replace(base, kind="two ways joined", joins=loops.joints(net))
    devices = net.piece.devices
    if len(devices) == 2 and not net.blocks.looped and all(map(_may_be_leg, devices)) and _one_cable_each(net, base):
        between = loops.path(net, net.device_nodes[0], {net.device_nodes[1]})
        return replace(
            base,
            kind="legs on two ways",
            loop=_ids(net, between.nodes),
            loop_runs=_runs(net, between.edges),
            spurs=spurs_of(net, between.nodes, trade),
            crosses=_crosses(net, between.edges),
            joins=(),
        )
    on_loops = {node for number in net.blocks.looped for edge in net.blocks.edges[number] for node in net.edges[edge]}
    kept = loops.nodes_on(net, loops.kept_edges(net, net.device_nodes))
    return replace(joined, spurs=spurs_of(net, kept, trade, at=on_loops & kept))


def _may_be_leg(device: Device) -> bool:
    return device.rating_a is None or device.rating_a in RING_RATINGS_A


def _one_cable_each(net: Net, base: Shape) -> bool:
    ids = set(base.devices)
    more = any(each.at in ids for each in base.untraced)
    same_board = len({device.board for device in net.piece.devices}) == 1
    return same_board and not more and len(base.legs) == 2 and all(len(net.around[i]) == 1 for i in net.device_nodes)


# words ------------------------------------------------------------------------------------------------------------


def _ids(net: Net, nodes: tuple[int, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(net.nodes[node][0] for node in nodes))


def _runs(net: Net, edges: tuple[int, ...] | list[int]) -> tuple[str, ...]:
    return tuple(run.id for edge in edges if (run := net.runs[edge]) is not None)


def _crosses(net: Net, edges: tuple[int, ...] | list[int]) -> tuple[str, ...]:
    return tuple(net.nodes[net.edges[edge][0]][0] for edge in edges if net.runs[edge] is None)
