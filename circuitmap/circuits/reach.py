"""What hangs on a way by its runs: which points, how well that is known, behind which fuse."""

from collections import defaultdict
from dataclasses import dataclass

from circuitmap.home.records import Run
from circuitmap.wiring.graph import Net, net_of
from circuitmap.wiring.pieces import LINKING, Piece
from circuitmap.words import Evidence, weakest

# From the strongest down: a point is as sure as the best way to it, a way as its weakest run.
_STRONGEST_FIRST: tuple[Evidence, ...] = ("tested", "seen", "inferred", "assumed")


@dataclass(frozen=True, slots=True)
class Reached:
    """One point or board that runs lead to; ``fuse`` is the id of the nearest fused point above it."""

    evidence: Evidence
    fuse: str | None = None


def reached_from(piece: Piece, starts: dict[str, Evidence]) -> dict[str, Reached]:
    """Give all that hangs together with some records of a piece, with the strength of the best way there.

    Parameters
    ----------
    piece
        The piece; what its switch drops and strappers lead to is reached too.
    starts
        Where to start from, and how sure the start itself is.
    """
    net = net_of(piece)
    sure = _strengths(net, starts)
    found: dict[str, Reached] = {}
    for node, (record_id, side) in enumerate(net.nodes):
        if side == "load" or record_id[0] == "D" or node not in sure:
            continue
        found[record_id] = Reached(sure[node], net.fuse_above[node] if net.device_nodes else None)
    for run in piece.drops:
        if run.role in LINKING:
            _hang_on(run, found)
    return found


def _strengths(net: Net, starts: dict[str, Evidence]) -> dict[int, Evidence]:
    waiting: dict[Evidence, list[int]] = defaultdict(list)
    for node, (record_id, _) in enumerate(net.nodes):
        if record_id in starts:
            waiting[starts[record_id]].append(node)
    sure: dict[int, Evidence] = {}
    for place, level in enumerate(_STRONGEST_FIRST):
        stack = waiting[level]
        while stack:
            node = stack.pop()
            if node in sure:
                continue
            sure[node] = level
            for other, edge in net.around[node]:
                run = net.runs[edge]
                here = level if run is None else run.evidence
                weaker = _STRONGEST_FIRST[max(place, _STRONGEST_FIRST.index(here))]
                if other not in sure:
                    waiting[weaker].append(other)
    return sure


def _hang_on(run: Run, found: dict[str, Reached]) -> None:
    a, b = run.a.at, run.b.at
    if a is None or b is None or run.a.state != "joined" or run.b.state != "joined":
        return
    for here, there in ((a, b), (b, a)):
        if here in found and there not in found and there[0] == "P":
            found[there] = Reached(weakest(found[here].evidence, run.evidence), found[here].fuse)
            return
