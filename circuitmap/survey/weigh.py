"""How likely every explanation of a point's feed is, from all answers together, errors allowed for.

Stands beside the exact deduction, which is its limit without errors. Nothing here settles anything; ``settle`` says
when a point may be taken as settled. A line borrowed behind a single-pole device, or a neutral that no device cuts,
can't be seen by switching off: no survey, however clean, shows that there is none.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal

from circuitmap.home.records import Board, Check, Device, Instrument, Point, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.context import Context, context_of
from circuitmap.survey.deduce import checks_by_point
from circuitmap.survey.evidence import NOTHING, Told, neutral_cutters, told_of
from circuitmap.survey.neighbours import Neighbours, neighbours
from circuitmap.survey.priors import priors
from circuitmap.trade import Trade
from circuitmap.trade.rows import Checking

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from circuitmap.survey.belief import Belief

ExplanationKind = Literal["one way", "joined", "either", "elsewhere", "not fed"]
LEAST_SHOWN: Final = 0.001
LARGEST_RATE: Final = 0.5


@dataclass(frozen=True, slots=True)
class Explanation:
    """One way in which a point may be fed, and how likely that is, 0 to 1.

    "one way": fed by it. "joined": two lines, off only when both are off. "either": line from the first, neutral cut
    with the second. "elsewhere": on with everything off. "not fed": off whatever is on (or its lamp, its own switch).
    """

    kind: ExplanationKind
    devices: tuple[str, ...]
    chance: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """A point's explanations, likeliest first, those under one in a thousand left out."""

    point: str
    explanations: tuple[Explanation, ...]

    def chance_of(self, device: str) -> float:
        """Give the chance that the point goes off when that device alone goes off."""
        return sum(
            each.chance
            for each in self.explanations
            if (each.kind == "one way" and device in each.devices) or (each.kind == "either" and device in each.devices)
        )


@dataclass
class Scales:
    """The arrays behind the weighing of one home, and whose row is whose; kept from edit to edit."""

    context: Context
    ids: tuple[str, ...]
    belief: "Belief"
    told: dict[str, Told] = field(default_factory=dict)
    checks: dict[str, tuple[Check, ...]] = field(default_factory=dict)
    index: dict[str, int] = field(default_factory=dict)
    shown: dict[str, Weighed] = field(default_factory=dict)

    @property
    def ways(self) -> tuple[str, ...]:
        """The ways in the order of the columns."""
        return self.context.ways.ids


class _Kept:
    def __init__(self) -> None:
        self.scales: Scales | None = None
        self.of: tuple[object, ...] = ()


def weigh(home: Home, memo: Memo, trade: Trade, slip: float | None = None) -> Mapping[str, Weighed]:
    """Give the chances of every explanation for each existing point.

    Parameters
    ----------
    slip
        Chance of a single wrong answer, both ways round, in place of the tables' rates; 0 gives the exact limit.

    Raises
    ------
    ValueError
        When the rate is not from 0 to under one half.
    """
    scales = scales_of(home, memo, trade, slip)
    parts = (scales.belief.chances, scales.context.ways)
    return memo.get("survey.weighed", slip, parts, lambda: {i: weighed_of(scales, i) for i in scales.ids})


def weighed_of(scales: Scales, point: str) -> Weighed:
    """Give the chances of one point's explanations; the same object while they are the same."""
    belief, row = scales.belief, scales.index[point]
    ways = scales.ways
    chances = belief.chances[row]
    found = [
        Explanation("one way", (ways[n],), float(chances[n])) for n in range(len(ways)) if chances[n] >= LEAST_SHOWN
    ]
    others: tuple[tuple[ExplanationKind, float], ...] = (
        ("elsewhere", float(chances[belief.ways])),
        ("not fed", float(chances[belief.ways + 1])),
    )
    found += [Explanation(kind, (), chance) for kind, chance in others if chance >= LEAST_SHOWN]
    found += [
        Explanation("joined", (ways[a], ways[b]), float(chance))
        for (a, b), chance in zip(belief.pair_of, chances[belief.ways + 2 :], strict=True)
        if chance >= LEAST_SHOWN
    ]
    found = _with_either(belief, row, ways, found)
    found.sort(key=lambda each: (-each.chance, [natural_key(i) for i in each.devices]))
    weighed = Weighed(point, tuple(found))
    before = scales.shown.get(point)
    if before == weighed:
        return before
    scales.shown[point] = weighed
    return weighed


def _with_either(belief: "Belief", row: int, ways: Sequence[str], found: list[Explanation]) -> list[Explanation]:
    """Set beside the rest what a cut neutral explains, where no single way fits."""
    possible = belief.either(row)
    if not possible:
        return found
    from math import exp

    total = belief.log_total(row)
    weights = [exp(min(weight - total, 50.0)) for _, _, weight in possible]
    whole = 1 + sum(weights)
    rest = [Explanation(each.kind, each.devices, each.chance / whole) for each in found]
    return rest + [
        Explanation("either", (ways[line], ways[neutral]), weight / whole)
        for (line, neutral, _), weight in zip(possible, weights, strict=True)
    ]


def scales_of(home: Home, memo: Memo, trade: Trade, slip: float | None = None) -> Scales:
    """Give the arrays of a home, brought up to date from those of the edit before."""
    if slip is not None and not 0 <= slip < LARGEST_RATE:
        raise ValueError(f"an error rate is from 0 to under {LARGEST_RATE}, not {slip}")
    kept = memo.get("survey.scales", slip, (), _Kept)
    context = context_of(home, memo)
    before = memo.steady("survey.priors weighed", slip, priors(home, memo, trade))
    near = memo.steady("survey.neighbours weighed", slip, neighbours(home, memo, trade))
    rows = {i: trade.checking(point.kind) for i, point in home.table(Point).items() if point.phase == "existing"}
    kinds = memo.steady("survey.kinds of points", slip, tuple((i, row.how) for i, row in rows.items()))
    made_of = (context.ways, before, near, kinds, home.table(Instrument), trade)
    scales = kept.scales
    if scales is None or len(kept.of) != len(made_of) or any(a is not b for a, b in zip(kept.of, made_of, strict=True)):
        scales = _blank(context, tuple(rows), before, near, rows)
        kept.of = made_of
    cutters = memo.get(
        "survey.cutters", slip, (home.table(Device), home.table(Board), context.ways),
        lambda: neutral_cutters(home, context, memo),
    )  # fmt: skip
    moved = _moved(scales.context, context)
    by_point = checks_by_point(home, memo)
    for point in scales.ids:
        checks = by_point.get(point, ())
        if checks is scales.checks.get(point) and not (moved and any(c.round in moved for c in checks)):
            continue
        scales.checks[point] = checks
        told = told_of(home, checks, context, cutters, rows[point], slip)
        if told != scales.told.get(point, NOTHING):
            scales.told[point] = told
            scales.belief.tell(scales.index[point], told)
    scales.context = context
    scales.belief.weigh()
    kept.scales = scales
    return scales


def _moved(was: Context, now: Context) -> set[str]:
    if was is now:
        return set()
    return {i for i, course in now.timelines.items() if was.timelines.get(i) is not course}


def _blank(
    context: Context,
    ids: tuple[str, ...],
    before: Mapping[str, Sequence[float]],
    near: Mapping[str, Neighbours],
    rows: Mapping[str, Checking],
) -> Scales:
    import numpy as np

    from circuitmap.survey.belief import Belief, uniform

    ways = len(context.ways.ids)
    prior = np.array([before[i] for i in ids]) if ids and ways else uniform(len(ids), ways)
    stuck_off = np.array([rows[i].seems_off_stuck for i in ids])
    stuck_on = np.array([rows[i].seems_on_stuck for i in ids])
    rooms, plates = _flocks(ids, near)
    belief = Belief(prior.reshape(len(ids), -1) if ids else uniform(0, ways), stuck_off, stuck_on, rooms, plates)
    return Scales(context, ids, belief, index={i: n for n, i in enumerate(ids)})


def _flocks(ids: Sequence[str], near: Mapping[str, Neighbours]) -> tuple["NDArray[np.intp]", "NDArray[np.intp]"]:
    """Give a number to the points of each room and family, and of each plate; -1 where a point has no neighbour."""
    import numpy as np

    rooms, plates = np.full(len(ids), -1, dtype=np.intp), np.full(len(ids), -1, dtype=np.intp)
    index = {i: n for n, i in enumerate(ids)}
    for point, row in index.items():
        around = near.get(point)
        if around is None:
            continue
        for others, into in ((around.room, rooms), (around.plate, plates)):
            if others:
                into[row] = min([row, *(index[i] for i in others if i in index)])
    return rooms, plates
