"""How far the survey is, what each switch-off settled, and what to do next."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from circuitmap.home.records import Check, Point, Round, Supply, Visit, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_survey import is_open
from circuitmap.memo import Memo
from circuitmap.survey.context import Context, context_of
from circuitmap.survey.deduce import Deduced, Verdict, deduce, deduce_without
from circuitmap.survey.settle import settle
from circuitmap.trade import Trade


@dataclass(frozen=True, slots=True)
class Counts:
    """How many points stand how; ``cant_tell`` and ``unreached`` are part of the unchecked ones."""

    points: int
    settled: int = 0
    in_doubt: int = 0
    never_off: int = 0
    contradiction: int = 0
    elsewhere: int = 0
    not_seen_on: int = 0
    unchecked: int = 0
    cant_tell: int = 0
    unreached: int = 0


@dataclass(frozen=True, slots=True)
class Learnt:
    """What one switch-off changed for a point: its verdict and candidates without and with it."""

    point: str
    before: Verdict
    after: Verdict
    candidates_before: tuple[str, ...]
    candidates: tuple[str, ...]


def counts(home: Home, memo: Memo, trade: Trade | None = None) -> Counts:
    """Give how the points of the home stand; kinds that can't be looked at in a switch-off don't count."""
    known = _known(home, memo, trade)
    return _counted([known[point.id] for point in _checkable(home, trade)], home)


def counts_of_round(home: Home, round_id: str, memo: Memo) -> Mapping[str, int]:
    """Give how many points were given each outcome in a switch-off, by the last answer for each."""
    return _outcomes(home, {round_id}, memo)


def counts_of_visit(home: Home, visit_id: str, memo: Memo) -> Mapping[str, int]:
    """Give how many answers of each outcome a visit has, a point once per switch-off."""
    total: Counter[str] = Counter()
    for record in home.sorted(Round):
        if record.visit == visit_id:
            total.update(_outcomes(home, {record.id}, memo))
    return dict(total)


def learnt(home: Home, round_id: str, memo: Memo, trade: Trade | None = None) -> tuple[Learnt, ...]:
    """Give what a switch-off changed, point by point, set against the same home without it."""
    known = _known(home, memo, trade)
    asked = _points_of(home, {round_id}, memo)
    without = deduce_without(home, memo, (round_id,), asked)
    found: list[Learnt] = []
    for point in sorted(asked, key=natural_key):
        old, new = without[point], known[point]
        if (old.verdict, old.candidates) != (new.verdict, new.candidates):
            found.append(Learnt(point, old.verdict, new.verdict, old.candidates, new.candidates))
    return tuple(found)


def next_step(home: Home, memo: Memo, trade: Trade | None = None, visit: str | None = None) -> str:
    """Give what to do next, in a sentence; ``visit`` is the one under way, the last one by default."""
    context = context_of(home, memo)
    if context.declined:
        return context.declined
    if not context.ways.ids:
        return "List the ways of the board first, as found."
    points = _checkable(home, trade)
    if not points:
        return "List the points first, room by room; no drawing is needed."
    if not any(supply.sources_asked for supply in home.table(Supply).values()):
        return "Ask about other sources (solar panels, battery, generator inlet, a second supply) before switching off."
    open_rounds = [record for record in home.sorted(Round) if is_open(record)]
    current = visit if visit is not None else (context.visits[-1] if context.visits else None)
    if current is None or home.find(Visit, current) is None:
        return "Start a visit, and look at everything with the power on first."
    known = _known(home, memo, trade)
    if open_rounds:
        return _in_round(home, open_rounds[-1], points, known, memo)
    rounds = [record for record in home.sorted(Round) if record.visit == current]
    looked = _points_of(home, {r.id for r in rounds if not r.off}, memo)
    settled_before = {p.id for p in points if known[p.id].verdict == "settled"}
    unseen = [p for p in points if p.id not in looked and p.id not in settled_before and not p.uncheckable]
    if not looked:
        return "Look at everything with the power on first."
    if unseen:
        return f"Look with the power on at {_some(p.id for p in unseen)}, which nobody has seen on."
    for point in points:
        found = known[point.id]
        if found.verdict == "contradiction":
            return f"{found.point}: the answers contradict each other; repeat {_some(found.repeat)}."
    doubtful = [known[p.id] for p in points if known[p.id].verdict == "in doubt" and known[p.id].candidates]
    if doubtful:
        return _to_settle(doubtful, context)
    if not any(_all_off(record, context) for record in rounds):
        return "Switch everything off once, other sources too: what stays on is fed from elsewhere."
    if any(known[p.id].verdict == "never off" for p in points):
        return "Some points never went off: look for a battery of their own, another source, or two ways joined."
    left = [p for p in points if known[p.id].verdict in ("unchecked", "not seen on", "in doubt")]
    if left:
        return f"{_some(p.id for p in left)} can't be settled by switching off as they stand; note why."
    return "Every point is settled. Power back on, and look at what needs setting again."


def _known(home: Home, memo: Memo, trade: Trade | None) -> Mapping[str, Deduced]:
    """Give what is known of every point; with the tables at hand, errors allowed for."""
    return settle(home, memo, trade) if trade is not None else deduce(home, memo)


def _in_round(home: Home, record: Round, points: list[Point], known: Mapping[str, Deduced], memo: Memo) -> str:
    asked = _points_of(home, {record.id}, memo)
    left = [p.id for p in points if p.id not in asked and not p.uncheckable and known[p.id].verdict != "settled"]
    codes = ", ".join(home.code(device) for device in record.off[:6]) + (" …" if len(record.off) > 6 else "")
    if left:
        return f"With {codes} off, look at {_some(left)}."
    return f"Power back on first ({codes}), then look at what needs setting again."


def _to_settle(doubtful: list[Deduced], context: Context) -> str:
    """Name the way that parts the doubtful points best: as near as may be to half of them can be on it."""
    chances: Counter[str] = Counter()
    for found in doubtful:
        chances.update(found.candidates)
    half = len(doubtful) / 2
    best = min(chances, key=lambda way: (abs(chances[way] - half), natural_key(way)))
    many = f"{len(doubtful)} points are" if len(doubtful) > 1 else f"{doubtful[0].point} is"
    return f"{many} still in doubt: switch {context.codes[best]} off next and look at them."


def _all_off(record: Round, context: Context) -> bool:
    return any(moment.everything for _, moment in context.timelines[record.id].moments)


def _checkable(home: Home, trade: Trade | None) -> list[Point]:
    return [
        point
        for point in home.sorted(Point)
        if point.phase == "existing" and (trade is None or trade.point(point.kind).checkable)
    ]


def _checks_in(home: Home, rounds: set[str], memo: Memo) -> list[Check]:
    table = home.table(Check)
    by_round = memo.get("survey.checks by round", "", (table,), lambda: _by_round(table.values()))
    return [check for round_id in rounds for check in by_round.get(round_id, ())]


def _by_round(checks: Iterable[Check]) -> dict[str, list[Check]]:
    gathered: dict[str, list[Check]] = {}
    for check in checks:
        gathered.setdefault(check.round, []).append(check)
    return gathered


def _points_of(home: Home, rounds: set[str], memo: Memo) -> set[str]:
    return {check.point for check in _checks_in(home, rounds, memo)}


def _outcomes(home: Home, rounds: set[str], memo: Memo) -> dict[str, int]:
    last: dict[str, Check] = {}
    for check in sorted(_checks_in(home, rounds, memo), key=lambda each: (each.at.rstrip("Z"), natural_key(each.id))):
        last[check.point] = check
    return dict(Counter(check.outcome for check in last.values()))


def _counted(found: list[Deduced], home: Home) -> Counts:
    by = Counter(each.verdict for each in found)
    unchecked = [each for each in found if each.verdict == "unchecked"]
    return Counts(
        points=len(found),
        settled=by["settled"],
        in_doubt=by["in doubt"],
        never_off=by["never off"],
        contradiction=by["contradiction"],
        elsewhere=by["elsewhere"],
        not_seen_on=by["not seen on"],
        unchecked=by["unchecked"],
        cant_tell=sum(bool(each.checks) for each in unchecked),
        unreached=sum(bool(home.take(Point, each.point).uncheckable) for each in unchecked),
    )


def _some(names: Iterable[str]) -> str:
    listed = list(names)
    return ", ".join(listed[:5]) + (f" and {len(listed) - 5} more" if len(listed) > 5 else "")
