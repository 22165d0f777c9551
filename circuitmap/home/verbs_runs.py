"""Verbs of runs: join two things, split a run by a point, follow or cut an end, count cables."""

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.records import Board, Device, End, Point, Run, RunFault
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import describe, edit
from circuitmap.words import Evidence, RunRole, Side


def end_at(home: Home, record_id: str, side: Side = "through", leg: int | None = None) -> End:
    """Give a joined end at something; a device's cables are numbered in the order they are drawn.

    Raises
    ------
    HomeError
        When a run can't end there.
    """
    record = home.get(record_id)
    if not isinstance(record, Board | Device | Point):
        raise HomeError(f"A run can't end at {describe(record)}; choose a way, a point or a board.", record_id)
    if isinstance(record, Device) and leg is None:
        ends = [end for run in runs_at(home, record_id) for end in (run.a, run.b) if end.at == record_id]
        highest = max((end.leg or 0 for end in ends), default=0)
        leg = highest + 1 if highest < 9 else None
    if isinstance(record, Board) and side == "through":
        side = "supply"
    return End(at=record_id, side=side, leg=leg)


def join(
    home: Home,
    a: str | End,
    b: str | End,
    role: RunRole = "feed",
    cable: str = "",
    evidence: Evidence = "seen",
    length_mm: int | None = None,
    method: str = "",
) -> Change:
    """Join two things by a run."""
    first = end_at(home, a) if isinstance(a, str) else a
    second = end_at(home, b) if isinstance(b, str) else b
    record = Run(
        id=home.next_id(Run),
        a=first,
        b=second,
        role=role,
        cable=cable,
        evidence=evidence,
        length_mm=length_mm,
        length_from="estimated" if length_mm else "",
        method=method,
    )
    return Change(f"Run {_end_words(home, first)} – {_end_words(home, second)}", ((None, record),))


def split(home: Home, run_id: str, point_id: str) -> Change:
    """Insert a point into a run: two runs of the same cable in its place, length and faults shared out.

    Raises
    ------
    HomeError
        When the point is already an end of the run.
    """
    run = home.take(Run, run_id)
    home.take(Point, point_id)
    if point_id in (run.a.at, run.b.at):
        raise HomeError(f"{point_id} is already at an end of this run.", run_id, point_id)
    half = run.length_mm // 2 if run.length_mm and run.length_mm > 1 else None
    rest = run.length_mm - half if run.length_mm and half else None
    middle = End(at=point_id)
    shared = {"length_from": "estimated" if half else "", "path_mm": ()}
    near, far = _faults_shared(run, half)
    first = msgspec.structs.replace(run, b=middle, length_mm=half, faults=near, **shared)
    second = msgspec.structs.replace(run, id=home.next_id(Run), a=middle, length_mm=rest, faults=far, **shared)
    return Change(f"Insert {point_id} into {run_id}", ((run, first), (None, second)))


def set_end(home: Home, run_id: str, which: str, end: End, title: str = "") -> Change:
    """Set one end (``a`` or ``b``) of a run."""
    return edit(home, run_id, title or f"Change an end of {run_id}", **{which: end})


def follow(home: Home, run_id: str, which: str, to: str) -> Change:
    """Say where an end that nobody had followed goes."""
    return set_end(home, run_id, which, end_at(home, to), f"Follow {run_id} to {to}")


def cut(home: Home, run_id: str, which: str) -> Change:
    """Say that an end was seen loose: cut or unconnected."""
    return set_end(home, run_id, which, End(state="loose"), f"End of {run_id} seen loose")


def count_cables(home: Home, record_id: str, count: int | None, load_side: bool = False) -> Change:
    """Record how many cables were counted at a point or device (None: nobody counted)."""
    record = home.get(record_id)
    field = "cables_seen_load" if load_side else "cables_seen"
    if not isinstance(record, Device | Point) or (load_side and not isinstance(record, Point)):
        raise HomeError(f"Cables are counted at ways and points, not at {describe(record)}.", record_id)
    words = "not counted" if count is None else f"{count} cable{'' if count == 1 else 's'}"
    return edit(home, record_id, f"{words} at {describe(record)}", **{field: count})


def runs_at(home: Home, record_id: str) -> tuple[Run, ...]:
    """Give the runs that end at something, in natural order of their ids as first joined."""
    found = (home.find(Run, i) for i in home.used_by(record_id))
    return tuple(run for run in found if run is not None and record_id in (run.a.at, run.b.at))


def _end_words(home: Home, end: End) -> str:
    if end.at is None:
        return {"unknown": "not followed", "loose": "loose end"}.get(end.state, "nowhere")
    return home.code(end.at) if home.find(Device, end.at) else end.at


def _faults_shared(run: Run, half_mm: int | None) -> tuple[tuple[RunFault, ...], tuple[RunFault, ...]]:
    """Share a run's faults between its two halves: by where they are, or (nobody knows) assumed in both."""
    near: list[RunFault] = []
    far: list[RunFault] = []
    for fault in run.faults:
        if fault.from_a_mm is None or half_mm is None:
            doubtful = msgspec.structs.replace(fault, evidence="assumed", from_a_mm=None)
            near.append(doubtful)
            far.append(doubtful)
        elif fault.from_a_mm <= half_mm:
            near.append(fault)
        else:
            far.append(msgspec.structs.replace(fault, from_a_mm=fault.from_a_mm - half_mm))
    return tuple(near), tuple(far)
