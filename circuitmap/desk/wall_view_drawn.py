"""What becomes of a cable that was drawn on a wall: which run it belongs to, what it joins, which way round it goes."""

from collections.abc import Sequence
from typing import Final

from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.cable_paths import Path, Spot, whole_mm
from circuitmap.home.records import Board, Device, Plate, Point, Run
from circuitmap.memo import Memo
from circuitmap.plan.elevation import faces_on, standing_on
from circuitmap.plan.where import place_of
from circuitmap.trade import Trade
from circuitmap.words import Evidence

_AT_MM: Final = 30.0
_REACHES_MM: Final = 300.0


def thing_at(home: Home, memo: Memo, trade: Trade, spot: Spot) -> str:
    """Give the point or board whose middle is at a spot of a wall, "" where there is none."""
    standing = standing_on(home, memo, trade, spot[0])
    for face in faces_on(home, memo, trade, spot[0]):
        u, off = face.at(spot[1], spot[2])
        if abs(off) > _AT_MM:
            continue
        for stood in standing.get(face.id, ()):
            if stood.v is not None and abs(stood.v - spot[3]) <= _AT_MM and abs(stood.u - u) <= _AT_MM:
                return stood.record
    return ""


def run_drawn(home: Home, selection: Sequence[str], ends: Sequence[str]) -> Run | None:
    """Give the run that a drawn cable belongs to: the one that is selected, or the only one between what it joins."""
    chosen = home.find(Run, selection[0]) if len(selection) == 1 and selection[0].startswith("R") else None
    if chosen is not None and chosen.phase != "removed":
        return chosen
    wanted = set(ends)
    if "" in wanted or len(wanted) < 2:
        return None
    found = [
        run
        for run in home.sorted(Run)
        if run.phase != "removed" and {_stands_at(home, run.a.at), _stands_at(home, run.b.at)} == wanted
    ]
    return found[0] if len(found) == 1 else None


def joined(home: Home, ends: tuple[str, str], new: tuple[str, Evidence], path: Path) -> Change:
    """Give the change that joins two things by a cable as it was drawn."""
    cable, evidence = new
    join = verbs.join(home, ends[0], ends[1], cable=cable, evidence=evidence)
    laid = verbs.edit(home.apply(join), join.added()[0], path_mm=whole_mm(path))
    return combine(join.title, (join, laid))


def as_joined(home: Home, run: Run, path: Path) -> Path:
    """Give a drawn path the way that its run goes: from its first end to its second."""
    ahead = _away(home, run.a.at, path[0]) + _away(home, run.b.at, path[-1])
    back = _away(home, run.a.at, path[-1]) + _away(home, run.b.at, path[0])
    return path if ahead <= back else path[::-1]


def short_of(home: Home, run: Run, path: Path) -> str:
    """Give which of a run's ends its drawn path doesn't reach, for the end of a sentence; "" where it reaches both."""
    ends = ((run.a.at, path[0]), (run.b.at, path[-1]))
    left = [at for at, spot in ends if at is not None and _away(home, at, spot) > _REACHES_MM]
    return f", but it doesn't reach {' and '.join(left)}" if left else ""


def _away(home: Home, at: str | None, spot: Spot) -> float:
    record = home.peek(at) if at is not None else None
    place = place_of(home, record) if record is not None else None
    if place is None:
        return 0.0
    up = 0.0 if place.height_mm is None else abs(spot[3] - place.height_mm)
    return abs(spot[1] - place.x_mm) + abs(spot[2] - place.y_mm) + up


def _stands_at(home: Home, at: str | None) -> str:
    """Give what stands where a run ends: the point (the first of its plate, as walls show it) or the board."""
    record = home.peek(at) if at is not None else None
    if isinstance(record, Device):
        return record.board
    if isinstance(record, Point) and record.place is None and home.find(Plate, record.plate) is not None:
        return next(each.id for each in home.sorted(Point) if each.plate == record.plate and each.place is None)
    return record.id if isinstance(record, Point | Board) else ""
