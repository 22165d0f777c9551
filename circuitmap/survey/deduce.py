"""Which device feeds which point, exactly, from the checks of the switch-offs.

Only checks count here. What somebody said directly (a tag) and what cables were followed stand beside it on the floor
above; neither settles a point in a survey. An engine that weighs errors and likelihoods can stand beside this one: it
reads the same ``Answer`` values and gives a ``Deduced`` per point, of which this is the limit without errors.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import islice
from operator import is_not
from typing import TypeVar

from circuitmap.home.records import Check, Point, Record
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.context import Context, can_deduce, context_of
from circuitmap.survey.judge import Deduced, Verdict, judge

__all__ = ["Deduced", "Verdict", "can_deduce", "checks_of", "deduce", "deduce_without"]

Kind = TypeVar("Kind", bound=Record)


@dataclass(frozen=True, slots=True)
class _State:
    """The last deduction and all that it was made of, so that the next one redoes only what changed."""

    context: Context
    checks: Mapping[str, Check]
    points: Mapping[str, Point]
    by_point: dict[str, tuple[Check, ...]]
    found: dict[str, Deduced]


class _Kept:
    """Holds the last state; a state is a value, so forks of a memo may share the holder."""

    def __init__(self) -> None:
        self.state: _State | None = None


def deduce(home: Home, memo: Memo) -> Mapping[str, Deduced]:
    """Give what the checks say of every point of the home, in no particular order.

    The same object comes back per point, and for the whole, as long as nothing that it stands on has changed.
    """
    return _state(home, memo).found


def checks_of(home: Home, memo: Memo, point: str) -> tuple[Check, ...]:
    """Give the checks of a point, in the order of their recording."""
    return _state(home, memo).by_point.get(point, ())


def checks_by_point(home: Home, memo: Memo) -> Mapping[str, tuple[Check, ...]]:
    """Give the checks of every point that has any; a point's tuple is the same object while its checks are."""
    return _state(home, memo).by_point


def deduce_without(home: Home, memo: Memo, rounds: Iterable[str], points: Iterable[str]) -> dict[str, Deduced]:
    """Give what would be known of some points if some switch-offs had not been."""
    state, left_out = _state(home, memo), frozenset(rounds)
    found: dict[str, Deduced] = {}
    for point in points:
        kept = tuple(check for check in state.by_point.get(point, ()) if check.round not in left_out)
        found[point] = judge(point, kept, state.context, state.points[point].uncheckable)
    return found


def _state(home: Home, memo: Memo) -> _State:
    kept = memo.get("survey.kept", "", (), _Kept)
    context, checks, points = context_of(home, memo), home.table(Check), home.table(Point)
    last = kept.state
    if last is not None and last.context is context and last.checks is checks and last.points is points:
        return last
    state = _all_again(context, checks, points, last) if last is None else _go_on(last, context, checks, points)
    kept.state = state
    return state


def _all_again(
    context: Context, checks: Mapping[str, Check], points: Mapping[str, Point], last: _State | None
) -> _State:
    gathered: dict[str, list[Check]] = {}
    for check in checks.values():
        gathered.setdefault(check.point, []).append(check)
    by_point = {point: tuple(each) for point, each in gathered.items()}
    found: dict[str, Deduced] = {}
    for point_id, point in points.items():
        new = judge(point_id, by_point.get(point_id, ()), context, point.uncheckable)
        before = last.found.get(point_id) if last is not None else None
        found[point_id] = before if before == new and before is not None else new
    return _State(context, checks, points, by_point, found)


def _go_on(last: _State, context: Context, checks: Mapping[str, Check], points: Mapping[str, Point]) -> _State:
    was = last.context
    if context.ways is not was.ways or context.visits is not was.visits or context.declined != was.declined:
        return _all_again(context, checks, points, last)
    altered = _changed(last.checks, checks)
    touched = {check.point for pair in altered for check in pair if check is not None}
    by_point = last.by_point
    if touched:
        by_point = _regroup(by_point, altered)
    moved = {i for i, course in context.timelines.items() if was.timelines.get(i) is not course}
    if moved:
        touched |= {check.point for check in checks.values() if check.round in moved}
    found = dict(last.found)
    if points is not last.points:
        for before, after in _changed(last.points, points):
            if after is None:
                assert before is not None
                found.pop(before.id, None)
            elif before is None or before.uncheckable != after.uncheckable:
                touched.add(after.id)
        touched &= points.keys()
    for point_id in touched:
        new = judge(point_id, by_point.get(point_id, ()), context, points[point_id].uncheckable)
        if found.get(point_id) != new:
            found[point_id] = new
    same = len(found) == len(last.found) and all(found[i] is last.found.get(i) for i in touched)
    if same and points is not last.points:
        same = found.keys() == last.found.keys()
    return _State(context, checks, points, by_point, last.found if same else found)


def _changed(old: Mapping[str, Kind], new: Mapping[str, Kind]) -> list[tuple[Kind | None, Kind | None]]:
    """Give what differs between two tables as (before, after), by the identity of their records."""
    if old is new:
        return []
    # Tables are copied and added to: nearly always the one is the other's beginning, told without a look-up per row.
    if len(old) <= len(new) and not any(map(is_not, old, new)) and not any(map(is_not, old.values(), new.values())):
        return [(None, record) for record in islice(new.values(), len(old), None)]
    pairs: list[tuple[Kind | None, Kind | None]] = []
    for record_id, record in new.items():
        before = old.get(record_id)
        if before is not record:
            pairs.append((before, record))
    pairs += [(record, None) for record_id, record in old.items() if record_id not in new]
    return pairs


def _regroup(
    by_point: Mapping[str, tuple[Check, ...]], altered: Iterable[tuple[Check | None, Check | None]]
) -> dict[str, tuple[Check, ...]]:
    grouped = dict(by_point)
    for before, after in altered:
        if before is not None:
            grouped[before.point] = tuple(check for check in grouped[before.point] if check is not before)
        if after is not None:
            grouped[after.point] = (*grouped.get(after.point, ()), after)
    return grouped
