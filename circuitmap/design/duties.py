"""What every run of a circuit on the map has to do: which duty, behind which protection, and what may load it."""

from collections.abc import Iterator, Mapping

from circuitmap.circuits import CircuitView, Member
from circuitmap.design.capacity import Case, Correction, Duty, Protection, Verdict, judge
from circuitmap.home.records import Run
from circuitmap.trade import Cable, Choices, Trade
from circuitmap.wiring.shape import RING_RATINGS_A

RINGS = frozenset({"ring", "ring with spurs", "bridged ring", "loop on a stalk", "legs on two ways"})
# What isn't traced to its end, or lies across two ways, may share its load between two cables: the milder duty holds.
_MAYBE_RINGS = frozenset({"not known enough", "several loops", "two ways joined"})


def cable_of(run: Run, trade: Trade) -> Cable | float | None:
    """Give what the capacity tables want: the cable as recorded, or its measured size."""
    return run.live_mm2 if run.live_mm2 is not None else trade.cable(run.cable)


def judged_runs(
    view: CircuitView,
    trade: Trade,
    edition: str,
    choices: Choices = (),
    corrections: Mapping[str, Correction] | None = None,
) -> Iterator[tuple[Run, Case, Verdict]]:
    """Judge every run of a circuit against its nearest protection by its duty; none where shape or rating is unknown.

    Parameters
    ----------
    corrections
        How the surroundings of runs, by their id, lower their rating; as the tables have it where nothing is said.
    """
    if view.shape is None or view.device.rating_a is None:
        return
    around = corrections or {}
    chosen = tuple(choices)
    for run in view.runs:
        duty, protection, load_a = duty_of(view, run, trade)
        case = Case(cable=cable_of(run, trade), protection=protection, duty=duty, method=run.method, load_a=load_a,
                    correction=around.get(run.id, Correction()))  # fmt: skip
        yield run, case, judge(trade, case, edition, chosen)


def duty_of(view: CircuitView, run: Run, trade: Trade) -> tuple[Duty, Protection | None, float | None]:
    """Give what a run has to do, what is nearest over it, and the load when only the load limits it."""
    shape = view.shape
    assert shape is not None
    for end in (run.a, run.b):
        member = _member(view, end.at) if end.at else None
        if member is None:
            continue
        fuse = member.after_fuse
        if fuse is None and end.side == "load" and trade.point(member.point.kind).through_fuse:
            fuse = member.point
        if fuse is not None:
            return "run", Protection(in_a=fuse.fuse_a or 13.0, kind="plug fuse"), None
    over = Protection(in_a=view.device.rating_a or 0.0, kind=view.device.kind)
    # A broken ring is judged as the ring it is meant to be: what the break does to its cable is another finding.
    if run.id in shape.loop_runs and shape.kind in (*RINGS, "open ring"):
        return "ring", over, None
    if run.id in shape.bridges or (shape.kind in _MAYBE_RINGS and over.in_a in RING_RATINGS_A):
        return "ring", over, None
    if any(run.id in spur.runs for spur in shape.spurs) or _ends_at_one_outlet(view, run, trade):
        return "spur", over, None
    outlets = [m for m in view.members if trade.point(m.point.kind).counts_as_point]
    if shape.kind == "one point only" and len(outlets) == 1:
        row = trade.point(outlets[0].point.kind)
        if row.is_socket_outlet or row.through_fuse:
            return "spur", over, None
        if row.fixed_load_w is not None or row.dedicated_usually:
            powers = [load.power_w for load in outlets[0].point.loads if load.power_w is not None]
            watts = sum(powers) if powers else row.fixed_load_w
            return "fixed load", over, watts / 230.0 if watts else None
    return "run", over, None


def _ends_at_one_outlet(view: CircuitView, run: Run, trade: Trade) -> bool:
    """Whether nothing but one single or twin socket, or one fused unit, hangs on a run: only that can load it."""
    for end in (run.a, run.b):
        member = _member(view, end.at) if end.at else None
        if member is None or end.side == "load":
            continue
        row = trade.point(member.point.kind)
        here = [e for r in view.runs for e in (r.a, r.b) if e.at == member.point.id and e.side != "load"]
        if len(here) == 1 and (row.through_fuse or (row.is_socket_outlet and member.point.gangs <= 2)):
            return True
    return False


def _member(view: CircuitView, point_id: str) -> Member | None:
    return next((m for m in view.members if m.point.id == point_id), None)
