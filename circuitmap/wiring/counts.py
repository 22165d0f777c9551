"""What has not been traced, and what shows that nothing more is there: cables counted against runs recorded.

A cable that nobody followed, a count above the runs recorded, or an end that nobody counted leave a shape open to
anything. Only counts that leave no cable over, an end seen loose or a thing that can't pass supply on make an end.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from circuitmap.home.records import End, Point, Run, natural_key
from circuitmap.trade import Trade
from circuitmap.wiring.graph import Net
from circuitmap.words import Evidence, weakest


@dataclass(frozen=True, slots=True)
class Untraced:
    """Cables at something that no run stands for, or an end that can't be called one.

    ``cables`` is how many are above the runs recorded; None: nobody counted, or (with ``run``) nobody followed that
    run. What is ``after_fuse``, or after a switch's load side, can't be part of a ring.
    """

    at: str
    cables: int | None
    run: str | None = None
    after_fuse: bool = False


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """An end of a run seen cut or unconnected; ``near`` is where, ``known`` what its other end is joined to."""

    run: str
    which: str
    near: str | None
    known: str | None = None


@dataclass(frozen=True, slots=True)
class Counts:
    """The cables of a piece against its runs; ``ends`` tells how each end is known to be one (None: it isn't)."""

    untraced: tuple[Untraced, ...]
    loose: tuple[LooseEnd, ...]
    ends: dict[int, Evidence | None]

    @property
    def blocking(self) -> tuple[Untraced, ...]:
        """What may yet close a ring or join something."""
        return tuple(each for each in self.untraced if not each.after_fuse)

    @property
    def absence(self) -> Evidence | None:
        """How well it is known that nothing goes on from the ends; None when it isn't."""
        known = [found for found in self.ends.values() if found is not None]
        return weakest(*known) if known and len(known) == len(self.ends) else None


def counts_of(net: Net, trade: Trade) -> Counts:
    """Compare the cables counted at every device and point of a piece with the runs recorded there."""
    piece = net.piece
    recorded: Counter[tuple[str, str]] = Counter()
    worked_at: set[str] = set()
    for run in (*piece.runs, *piece.drops):
        for end in (run.a, run.b):
            if end.at is not None:
                recorded[end.at, "load" if end.side == "load" else "supply"] += 1
                if run.role in ("switched", "switch drop", "strappers"):
                    worked_at.add(end.at)
    untraced: list[Untraced] = []
    for device in piece.devices:
        if device.cables_seen is not None:
            over = device.cables_seen - recorded[device.id, "supply"] - recorded[device.id, "load"]
            if over > 0:
                untraced.append(Untraced(device.id, over))
    for point in piece.points:
        fused = bool(net.device_nodes) and net.fuse_above[net.supply_node(point.id)] is not None
        spare = 0 if point.id in worked_at else _switch_cables(point, point.id in piece.worked, trade)
        here = (recorded[point.id, "supply"] + spare, recorded[point.id, "load"])
        untraced += _over(point, here, point.id in net.two_sided, fused)
    untraced += _not_followed(net, piece.runs)
    loose = _loose(piece.runs)
    goes_on = {each.at for each in untraced if not each.after_fuse}
    ends = _ends(net, trade, {each.known for each in loose}, goes_on)
    for node, known in ends.items():
        record_id = net.nodes[node][0]
        if known is None and record_id not in goes_on:
            untraced.append(Untraced(record_id, None))
    return Counts(tuple(sorted(untraced, key=lambda each: natural_key(each.at))), loose, ends)


def _switch_cables(point: Point, worked: bool, trade: Trade) -> int:
    """Give how many cables only work lights, where nobody drew them: told by what the switch is said to work."""
    row = trade.point(point.kind)
    if row.is_light:
        return int(worked)
    if not row.is_control or not point.controls:
        return 0
    return len(point.controls) + {"two way": 1, "intermediate": 2}.get(point.switching, 0)


def _over(point: Point, here: tuple[int, int], two_sided: bool, fused: bool) -> list[Untraced]:
    supply, load = here
    seen, seen_load = point.cables_seen, point.cables_seen_load
    found = []
    if seen is not None:
        # Whoever gave one figure for a two-sided point may have counted both sides of it.
        over = seen - supply - (load if seen_load is None or not two_sided else 0)
        if over > 0:
            found.append(Untraced(point.id, over, after_fuse=fused))
    if two_sided and seen_load is not None and seen_load > load:
        found.append(Untraced(point.id, seen_load - load, after_fuse=True))
    return found


def _ends(net: Net, trade: Trade, loose_at: set[str | None], goes_on: set[str]) -> dict[int, Evidence | None]:
    """Give every node where the feed seems to stop, unfused, and how that is known."""
    ends: dict[int, Evidence | None] = {}
    for node, (record_id, side) in enumerate(net.nodes):
        if record_id[0] == "D" or side == "load":
            continue
        if net.device_nodes and net.fuse_above[node] is not None:
            continue
        steps = [edge for _, edge in net.around[node] if net.runs[edge] is not None]
        if len(steps) > 1 or (steps and net.is_switched(steps[0])):
            continue
        if record_id[0] == "B":
            ends[node] = "inferred"
        elif record_id in goes_on:
            ends[node] = None
        elif record_id in loose_at or net.points[record_id].cables_seen is not None:
            ends[node] = "seen"
        else:
            ends[node] = None if trade.point(net.points[record_id].kind).can_pass else "inferred"
    return ends


def _loose(runs: Iterable[Run]) -> tuple[LooseEnd, ...]:
    found = []
    for run in runs:
        for which, end, other in (("a", run.a, run.b), ("b", run.b, run.a)):
            if end.state == "loose":
                found.append(LooseEnd(run.id, which, end.at, other.at if other.state == "joined" else None))
    return tuple(found)


def _not_followed(net: Net, runs: Iterable[Run]) -> list[Untraced]:
    found = []
    for run in runs:
        for end, other in ((run.a, run.b), (run.b, run.a)):
            if _is_followed(end):
                continue
            at = other.at if other.at is not None and other.state != "unknown" else end.at
            if at is not None:
                found.append(Untraced(at, None, run.id, _behind_fuse(net, at, other)))
    return found


def _is_followed(end: End) -> bool:
    into_some_way = end.at is not None and end.at[0] == "B" and end.side == "load"
    return end.state != "unknown" and not into_some_way


def _behind_fuse(net: Net, at: str, end: End) -> bool:
    if not net.device_nodes or at not in net.points:
        return False
    return (at in net.two_sided and end.side == "load") or net.fuse_above[net.supply_node(at)] is not None
