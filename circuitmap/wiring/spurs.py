"""Spurs: what hangs off a ring, described from where it leaves to its ends; whether it may be so is for the rules."""

from collections import deque
from collections.abc import Collection
from dataclasses import dataclass

from circuitmap.home.records import natural_key
from circuitmap.trade import Trade
from circuitmap.wiring.graph import Net, is_fused
from circuitmap.words import Evidence, weakest


@dataclass(frozen=True, slots=True)
class Spur:
    """One tree of runs that leaves a ring (or the device it comes from) and doesn't come back.

    ``leaves`` is the point of the ring, or the device. ``points`` and ``boards`` are in order of distance. ``fuse`` is
    the first fused point from the take-off on (the take-off itself where its load side feeds the spur);
    ``unfused_points`` are those fed before any fuse, the fused point that ends them among them. ``branched``: it
    divides before its fuse. ``deep``: two or more things are fed one behind the other before its fuse.
    """

    leaves: str
    points: tuple[str, ...]
    runs: tuple[str, ...]
    fuse: str | None
    branched: bool
    deep: bool
    unfused_points: tuple[str, ...]
    unfused_runs: tuple[str, ...]
    boards: tuple[str, ...]
    evidence: Evidence


def spurs_of(net: Net, kept: Collection[int], trade: Trade, at: Collection[int] | None = None) -> tuple[Spur, ...]:
    """Give the trees that hang off the kept nodes (or off those of them in ``at``), in natural order of take-off."""
    inside = set(kept)
    found = []
    starts = sorted(inside if at is None else at, key=lambda node: (natural_key(net.nodes[node][0]), node))
    for node in starts:
        for other, edge in net.around[node]:
            if other not in inside:
                spur = _spur(net, trade, node, other, edge)
                if spur.runs:
                    found.append(spur)
    return tuple(found)


def _spur(net: Net, trade: Trade, origin: int, first: int, edge: int) -> Spur:
    leaves = net.nodes[origin][0]
    order: dict[str, None] = {}
    runs: list[str] = []
    evidence: list[Evidence] = []
    unfused: dict[str, None] = {}
    unfused_runs: list[str] = []
    fuse: str | None = None
    branched = deep = False
    seen = {origin}
    queue: deque[tuple[int, int, int, bool, int]] = deque([(origin, first, edge, False, 0)])
    while queue:
        before, node, via, fused, chain = queue.popleft()
        if node in seen:
            continue
        seen.add(node)
        run = net.runs[via]
        record_id = net.nodes[node][0]
        if run is not None:
            runs.append(run.id)
            evidence.append(run.evidence)
            if not fused:
                unfused_runs.append(run.id)
        elif is_fused(net.points[record_id]):
            fused = True
            fuse = fuse or net.nodes[before][0]
        if record_id != leaves and record_id not in order:
            order[record_id] = None
            if not fused:
                unfused[record_id] = None
                counts = record_id[0] == "B" or trade.point(net.points[record_id].kind).counts_as_point
                chain += counts
                deep = deep or chain > 1
                if record_id[0] == "P" and is_fused(net.points[record_id]):
                    fuse = fuse or record_id
        onward = [(other, step) for other, step in net.around[node] if step != via and other not in seen]
        feeds = [step for _, step in onward if net.runs[step] is not None and not net.is_switched(step)]
        branched = branched or (not fused and len(feeds) > 1)
        queue.extend((node, other, step, fused, chain) for other, step in onward)
    return Spur(
        leaves=leaves,
        points=tuple(i for i in order if i[0] == "P"),
        runs=tuple(runs),
        fuse=fuse,
        branched=branched,
        deep=deep,
        unfused_points=tuple(i for i in unfused if i[0] == "P"),
        unfused_runs=tuple(unfused_runs),
        boards=tuple(i for i in order if i[0] == "B"),
        evidence=weakest(*evidence) if evidence else "assumed",
    )
