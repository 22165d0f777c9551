"""Whether a piece without a loop is a ring with a break in it, and how a radial divides."""

from collections import deque
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Run, natural_key
from circuitmap.trade import Trade
from circuitmap.wiring.counts import Counts
from circuitmap.wiring.graph import Net, is_fused
from circuitmap.words import Evidence, weakest

# Cable that carries 32 A by itself needs no second leg: two such legs are two radials (common practice, no source).
RADIAL_MM2: Final = 4.0


@dataclass(frozen=True, slots=True)
class Broken:
    """The two nodes at which the halves of a broken ring end, and how well that is known."""

    ends: tuple[int, int]
    absence: Evidence


@dataclass(frozen=True, slots=True)
class _Leg:
    nodes: tuple[int, ...]  # fed before any fuse, in order of distance
    end: int
    is_loose: bool
    goes_on: bool
    is_ended: bool
    fed: int
    evidence: Evidence | None
    run: Run


def broken_ring(net: Net, seen: Counts, trade: Trade) -> Broken | None:
    """Give where a ring that was cut ends, when what was seen shows it; None when it may be anything else.

    Two legs leave a 30 or 32 A way and never meet. Either both of them stop at ends that were counted, and no cable is
    over anywhere; or one stops at an end seen loose with nothing over on that leg. A third cable that feeds one thing
    only is a spur from the origin. A second leg without any point on it, loose at its other end, is half a ring too.
    Legs of 4 mm² or more are radials, and so is a leg without a socket or fused unit on it.
    """
    start = net.device_nodes[0]
    device = net.piece.devices[0].id
    legs = [_leg(net, seen, trade, node, edge) for node, edge in net.around[start]]
    if any(each.at == device for each in seen.blocking) or not _look_like_a_ring(net, trade, legs):
        return None
    bare = sum(each.known == device for each in seen.loose)
    if len(legs) == 1 and bare == 1 and not seen.blocking and legs[0].is_ended:
        return Broken((legs[0].end, start), weakest("seen", legs[0].evidence or "seen"))
    if len(legs) > 2:
        legs = [leg for leg in legs if leg.fed > 1]
    if len(legs) != 2 or bare:
        return None
    loose = any(leg.is_loose and not leg.goes_on for leg in legs)
    counted = not seen.blocking and all(leg.is_ended for leg in legs)
    if not loose and not counted:
        return None
    known = [leg.evidence for leg in legs if leg.evidence is not None]
    return Broken((legs[0].end, legs[1].end), weakest("seen", *known))


def is_branched(net: Net) -> bool:
    """Whether the feed of a piece divides before any fuse: at the device, or where two feeds go on from a point.

    What a switch works is no branch, nor what hangs behind the load side of a fused unit.
    """
    start = net.device_nodes[0]
    if len(net.around[start]) > 1:
        return True
    seen = {start}
    queue = deque([(start, -1)])
    while queue:
        node, via = queue.popleft()
        onward = [step for step in net.around[node] if step[1] != via and step[0] not in seen]
        feeds = [edge for _, edge in onward if net.runs[edge] is not None and not net.is_switched(edge)]
        if len(feeds) > 1 and net.fuse_above[node] is None:
            return True
        for other, edge in onward:
            seen.add(other)
            queue.append((other, edge))
    return False


def points_fed(net: Net, trade: Trade) -> int:
    """Give how many points in the rules' sense a piece feeds before any fuse (a fused unit is one)."""
    return sum(
        trade.point(point.kind).counts_as_point and net.fuse_above[net.supply_node(point.id)] is None
        for point in net.piece.points
    )


def _leg(net: Net, seen: Counts, trade: Trade, first: int, edge: int) -> _Leg:
    start = net.device_nodes[0]
    run = net.runs[edge]
    assert run is not None  # nothing is inside a device
    distance = {first: 1}
    queue = deque([first])
    while queue:
        node = queue.popleft()
        for other, _ in net.around[node]:
            if other != start and other not in distance and net.fuse_above[other] is None:
                distance[other] = distance[node] + 1
                queue.append(other)
    ids = {net.nodes[node][0] for node in distance}
    loose_at = {each.known for each in seen.loose} & ids
    supply = [node for node in distance if net.nodes[node][1] != "load"]
    ends = [node for node in supply if node in seen.ends]
    candidates = [node for node in supply if net.nodes[node][0] in loose_at] or ends or supply
    end = max(candidates, key=lambda node: (distance[node], _early(net, node)))
    known = [seen.ends[node] for node in ends]
    sure = [each for each in known if each is not None]
    return _Leg(
        nodes=tuple(distance),
        end=end,
        is_loose=bool(loose_at),
        goes_on=any(each.at in ids and (each.cables is not None or each.run is not None) for each in seen.blocking),
        is_ended=bool(ends) and len(sure) == len(known),
        fed=sum(i[0] == "B" or trade.point(net.points[i].kind).counts_as_point for i in ids),
        evidence="seen" if loose_at else (weakest(*sure) if sure else None),
        run=run,
    )


def _early(net: Net, node: int) -> tuple[int, int]:
    letter, number = natural_key(net.nodes[node][0])
    return -ord(letter), -number


def _look_like_a_ring(net: Net, trade: Trade, legs: list[_Leg]) -> bool:
    if all((size := _live_mm2(leg.run, trade)) is not None and size >= RADIAL_MM2 for leg in legs):
        return False
    halves = [leg for leg in legs if leg.fed > 1] if len(legs) > 2 else legs
    return all(any(_may_be_in_a_ring(net, trade, node) for node in leg.nodes) for leg in halves)


def _may_be_in_a_ring(net: Net, trade: Trade, node: int) -> bool:
    point = net.points.get(net.nodes[node][0])
    return point is not None and (is_fused(point) or trade.point(point.kind).family == "sockets")


def _live_mm2(run: Run, trade: Trade) -> float | None:
    if run.live_mm2 is not None:
        return run.live_mm2
    cable = trade.cable(run.cable)
    return cable.live_mm2 if cable is not None else None
