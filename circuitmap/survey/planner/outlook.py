"""What the planner looks at: who is still in doubt, what may be switched, what must be heeded, as arrays.

Rows are points still to be asked, columns the ways. A unit is a device that somebody may switch; it takes its own way
and, where a sub-board hangs on it, that board's ways too.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from circuitmap.home.records import Check, Device, Limitation, Load, Point, Round, Storey
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.context import context_of
from circuitmap.survey.deduce import Deduced, checks_of
from circuitmap.survey.evidence import NOTHING, Told
from circuitmap.survey.method import Method
from circuitmap.survey.settle import settle
from circuitmap.survey.taken import taken
from circuitmap.survey.weigh import Scales, scales_of
from circuitmap.trade import Trade

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Rows = NDArray[np.intp]

LIGHTING_A: Final = 10.0  # common practice, no source: ways up to this are lighting unless known to feed something else
STAIRS_USES: Final = frozenset({"hall", "landing", "stairs", "stair", "corridor"})
ASKED_IN_VAIN: Final = 2
ASKED_ENOUGH: Final = 14
EVENLY: Final = 0.3  # the part of a chance that planning shares out over all that was not ruled out by looking
HARDLY: Final = 0.002  # a pair that the home as a whole makes less likely is not looked for
PLAUSIBLE: Final = np.log(20.0)  # a way this much less likely by the answers alone is no longer a candidate
_SENSITIVE: Final = frozenset({"resets", "spoils", "lost work", "heating", "security", "phone", "medical"})


@dataclass(frozen=True, eq=False)
class Outlook:
    """The state of a survey as the planner needs it."""

    home: Home
    memo: Memo
    trade: Trade
    method: Method
    visit: str | None
    scales: Scales
    known: Mapping[str, Deduced]
    askable: tuple[str, ...]
    open: tuple[str, ...]
    rows: Rows
    units: tuple[str, ...]
    takes: Bools

    # -- arrays of the open points ------------------------------------------------------------------------------

    @cached_property
    def believed(self) -> Floats:
        """Chance of each way alone: (open points, ways)."""
        return np.asarray(self.scales.belief.chances[self.rows, : self.scales.belief.ways])

    @cached_property
    def chances(self) -> Floats:
        """The same, with a part shared out evenly over all that the point's own answers leave.

        What labels, neighbours and other points make likely must still be looked at: it never counts as known.
        """
        even = self.plausible / self._left[:, None]
        return np.asarray((1 - EVENLY) * self.believed + EVENLY * self._ours[:, None] * even)

    @cached_property
    def paired(self) -> Floats:
        """Chance of each pair of joined ways, shared out likewise: (open points, pairs)."""
        belief = self.scales.belief
        given = belief.chances[self.rows, belief.ways + 2 :]
        even = self.plausible_pairs / self._left[:, None]
        return np.asarray((1 - EVENLY) * given + EVENLY * self._ours[:, None] * even)

    @cached_property
    def plausible_pairs(self) -> Bools:
        """The pairs that each open point's own answers leave, of those that the home as a whole leaves."""
        belief = self.scales.belief
        if not len(belief.kept):
            return np.zeros((len(self.rows), 0), dtype=bool)
        both = belief.both[np.ix_(self.rows, belief.kept)]
        return np.asarray((both >= self._best[:, None] - PLAUSIBLE) & (belief.joined >= HARDLY)[None, :])

    @cached_property
    def _best(self) -> Floats:
        """How well the best explanation fits each open point's answers, as a logarithm."""
        belief = self.scales.belief
        best = np.maximum(belief.single[self.rows].max(axis=1, initial=-np.inf), belief.as_on[self.rows])
        if len(belief.kept):
            best = np.maximum(best, belief.both[np.ix_(self.rows, belief.kept)].max(axis=1))
        return np.asarray(best)

    @cached_property
    def _left(self) -> Floats:
        return np.asarray(np.maximum(self.plausible.sum(axis=1) + self.plausible_pairs.sum(axis=1), 1.0))

    @cached_property
    def _ours(self) -> Floats:
        """The chance that a point is fed by this board at all."""
        return np.asarray(1 - self.elsewhere - self.not_fed)

    @cached_property
    def not_fed(self) -> Floats:
        """Chance of being off by itself: (open points,)."""
        return np.asarray(self.scales.belief.chances[self.rows, self.scales.belief.ways + 1])

    @cached_property
    def elsewhere(self) -> Floats:
        """Chance of being fed from elsewhere: (open points,)."""
        return np.asarray(self.scales.belief.chances[self.rows, self.scales.belief.ways])

    @cached_property
    def pair_ends(self) -> tuple[Rows, Rows]:
        """The columns of each pair's two ways."""
        pairs = self.scales.belief.pair_of
        return np.array([a for a, _ in pairs], dtype=np.intp), np.array([b for _, b in pairs], dtype=np.intp)

    @cached_property
    def told(self) -> tuple[Told, ...]:
        """What was told of each open point."""
        return tuple(self.scales.told.get(i, NOTHING) for i in self.open)

    @cached_property
    def seen_off(self) -> Bools:
        """Whether each open point was seen off in the visit."""
        return np.array([t.seen_off for t in self.told], dtype=bool)

    @cached_property
    def seen_on(self) -> Bools:
        """Whether each open point was seen on in the visit."""
        return np.array([t.seen_on for t in self.told], dtype=bool)

    @cached_property
    def plausible(self) -> Bools:
        """The ways that each open point's own answers leave: (open points, ways)."""
        return np.asarray(self.scales.belief.single[self.rows] >= self._best[:, None] - PLAUSIBLE)

    @cached_property
    def can_switch(self) -> Bools:
        """The ways that some unit takes."""
        ways = self.scales.belief.ways
        return np.asarray(self.takes.any(axis=0)) if len(self.units) else np.zeros(ways, dtype=bool)

    @cached_property
    def sets(self) -> tuple[Bools, Rows, Bools]:
        """The different sets of ways that open points are left with, their numbers of points, whether seen off."""
        left, seen = self.plausible & self.can_switch[None, :], self.seen_off
        fixed = np.asarray((self.plausible & ~self.can_switch[None, :]).any(axis=1))
        keys = np.column_stack([left, seen, fixed])
        unique, count = np.unique(keys, axis=0, return_counts=True)
        ways = left.shape[1]
        some = unique[:, :ways].sum(axis=1) > 0
        unique, count = unique[some], count[some]
        # A point that may also hang on a way that stays on needs a code for that too, as one never seen off does.
        return unique[:, :ways], count, unique[:, ways] & ~unique[:, ways + 1]

    @cached_property
    def _bundles(self) -> tuple[Floats, Floats, Floats, Floats, Floats, Floats]:
        """The different rows of chances: by way, not fed, by pair; how many points share each, and how many unseen."""
        rows = np.column_stack([self.chances, self.not_fed, self.paired])
        seen: dict[bytes, int] = {}
        which = np.array([seen.setdefault(row.tobytes(), len(seen)) for row in np.round(rows, 6)], dtype=np.intp)
        first = np.array([int(np.argmax(which == n)) for n in range(len(seen))], dtype=np.intp)
        many, unseen_off, unseen_on = (np.bincount(which, weights=weight, minlength=len(seen)).astype(np.float64)
                                       for weight in (np.ones(len(which)), ~self.seen_off, ~self.seen_on))  # fmt: skip
        return self.chances[first], self.not_fed[first], self.paired[first], many, unseen_off, unseen_on

    def bundled(self, off: Bools) -> tuple[Floats, Floats, Floats, Floats]:
        """Give ``off_chance`` once for points that are alike, with how many they are, and how many never off or on."""
        by_way, not_fed, by_pair, many, unseen_off, unseen_on = self._bundles
        return self._off_chance(off, by_way, not_fed, by_pair), many, unseen_off, unseen_on

    def off_chance(self, off: Bools) -> Floats:
        """Give the chance that each open point goes off: (open points, sets) for sets of ways off (sets, ways)."""
        return self._off_chance(off, self.chances, self.not_fed, self.paired)

    def _off_chance(self, off: Bools, by_way: Floats, not_fed: Floats, by_pair: Floats) -> Floats:
        down = off.astype(np.float64)
        chance = by_way @ down.T + not_fed[:, None]
        if by_pair.shape[1]:
            first, second = self.pair_ends
            chance = chance + by_pair @ (down[:, first] * down[:, second]).T
        return np.clip(chance, 0.0, 1.0)

    # -- what must be heeded ------------------------------------------------------------------------------------

    @cached_property
    def lighting(self) -> Bools:
        """The ways that feed lights, as far as is known: by what was found, and else by the rating."""
        belief = self.scales.belief
        lights = np.array(
            [self.trade.point(self.home.take(Point, i).kind).is_light for i in self.scales.ids], dtype=bool
        )
        mass = belief.chances[:, : belief.ways]
        of_lights, of_all = mass[lights].sum(axis=0), mass.sum(axis=0)
        small = np.array([_small(self.home.take(Device, i)) for i in self.scales.ways], dtype=bool)
        return np.asarray((of_lights > 0.5 * of_all) | (small & (of_lights > 0.05 * of_all)))

    @cached_property
    def stairs(self) -> Floats:
        """Chances of the ways for each light of hall, landing and stairs, in homes with more than one storey."""
        belief = self.scales.belief
        if len(self.home.table(Storey)) < 2:
            return np.zeros((0, belief.ways))
        rooms = rooms_of_points(self.home, self.memo)
        rows = [
            n
            for n, i in enumerate(self.scales.ids)
            if self.trade.point(self.home.take(Point, i).kind).is_light
            and (room := rooms.get(i)) is not None
            and (room.use.casefold() in STAIRS_USES or any(word in room.name.casefold() for word in STAIRS_USES))
        ]
        return np.asarray(belief.chances[rows, : belief.ways])

    @cached_property
    def listed(self) -> tuple[tuple[str, Floats, int], ...]:
        """Each listed load's point, its chances over the ways, and how often it went off in this visit."""
        found: list[tuple[str, Floats, int]] = []
        belief = self.scales.belief
        for n, i in enumerate(self.scales.ids):
            point = self.home.take(Point, i)
            if is_listed(point, self.trade):
                found.append((i, belief.chances[n, : belief.ways], self._times_off(i)))
        return tuple(found)

    def _times_off(self, point: str) -> int:
        known = self.known[point]
        times = 0
        mine = {c.round: c for c in checks_of(self.home, self.memo, point)}
        for record in self.home.table(Round).values():
            if record.visit != self.visit or not record.off:
                continue
            check = mine.get(record.id)
            if check is not None and check.outcome in ("off", "faint glow"):
                times += 1
            elif check is None and known.verdict == "settled":
                times += known.candidates[0] in taken(self.home, record.off, self.memo).sure
        return times

    def masks(self, chosen: Iterable[str]) -> Bools:
        """Give the ways that some units take."""
        rows = [self.units.index(i) for i in chosen if i in self.units]
        if not rows:
            return np.zeros(self.scales.belief.ways, dtype=bool)
        return np.asarray(self.takes[rows].any(axis=0))

    def way_mask(self, off: Iterable[str]) -> Bools:
        """Give the ways that are off for certain when some devices are, whatever the planner may switch."""
        out = taken(self.home, off, self.memo).sure
        return np.array([i in out for i in self.scales.ways], dtype=bool)


def is_listed(point: Point, trade: Trade) -> bool:
    """Whether losing its supply at this point matters to somebody."""
    loads: tuple[Load, ...] = point.loads
    if any(load.if_off in _SENSITIVE for load in loads):
        return True
    return not loads and trade.point(point.kind).is_sensitive


def outlook(
    home: Home, memo: Memo, trade: Trade, method: Method, visit: str | None, slip: float | None = None
) -> Outlook:
    """Gather what the planner looks at; ``visit`` is the one under way, the last one by default."""
    context = context_of(home, memo)
    current = visit if visit is not None else (context.visits[-1] if context.visits else None)
    scales = scales_of(home, memo, trade, slip)
    known = settle(home, memo, trade, slip)
    barred = {each.subject for each in home.table(Limitation).values()}
    askable = tuple(i for i in scales.ids if i not in barred and _can_be_asked(home.take(Point, i), trade))
    waiting = tuple(i for i in askable if is_open(known[i]) and not _given_up(home, memo, i, current))
    if not waiting and method.tells_joined:
        waiting = suspects(scales, known, askable)
    units, takes = _units(home, memo, method, scales)
    rows = np.array([scales.index[i] for i in waiting], dtype=np.intp)
    return Outlook(home, memo, trade, method, current, scales, known, askable, waiting, rows, units, takes)


def suspects(scales: Scales, known: Mapping[str, Deduced], askable: Iterable[str]) -> tuple[str, ...]:
    """Give settled points, two for each way, whose answers two joined ways explain as well.

    Only pairs with a way on which nothing was found come into question: what hangs on two joined ways seems to hang on
    a third, or on one of the two, and then the other is bare.
    """
    belief = scales.belief
    if not len(belief.kept):
        return ()
    used = {each.candidates[0] for each in known.values() if each.verdict == "settled"}
    bare = np.array([i not in used for i in scales.ways], dtype=bool)
    ends = np.array(belief.pair_of, dtype=np.intp).reshape(-1, 2)
    asked_for = np.flatnonzero((bare[ends[:, 0]] | bare[ends[:, 1]]) & (belief.joined >= HARDLY))
    if not len(asked_for):
        return ()
    found: dict[tuple[str, bytes], list[str]] = {}
    for point in askable:
        each = known[point]
        if each.verdict != "settled":
            continue
        row = scales.index[point]
        told = belief.both[row, belief.kept[asked_for]]
        left = told >= belief.single[row].max() - PLAUSIBLE
        if left.any():
            found.setdefault((each.candidates[0], left.tobytes()), []).append(point)
    return tuple(point for group in found.values() for point in group[:2])


def is_open(known: Deduced) -> bool:
    """Whether another switch-off may still tell more of a point."""
    if known.verdict in ("settled", "elsewhere", "not seen on"):
        return False
    return not (known.verdict == "contradiction" and len(known.candidates) == 2)


def _can_be_asked(point: Point, trade: Trade) -> bool:
    return not point.uncheckable and trade.point(point.kind).checkable


def _given_up(home: Home, memo: Memo, point: str, visit: str | None) -> bool:
    checks = [c for c in checks_of(home, memo, point) if home.take(Round, c.round).visit == visit]
    vain = sum(c.outcome == "can't tell" for c in checks)
    if vain >= ASKED_IN_VAIN and vain == len(checks):
        return True
    return sum(_counts(c) for c in checks) >= max(ASKED_ENOUGH, len(home.table(Device)))


def _counts(check: Check) -> bool:
    return check.outcome != "can't tell"


def _units(home: Home, memo: Memo, method: Method, scales: Scales) -> tuple[tuple[str, ...], Bools]:
    """Give the ways that may be switched one by one, and what each takes with it."""
    kept = {d.id for d in home.table(Device).values() if d.keep_on} | set(method.keep_on)
    context = scales.context
    units: list[str] = []
    takes: list[list[bool]] = []
    for way in context.ways.ids:
        device = home.take(Device, way)
        out = taken(home, (way,), memo)
        if device.how_switched in ("leave alone", "can't be reached") or not kept.isdisjoint(out.may):
            continue
        units.append(way)
        takes.append([i in out.sure for i in context.ways.ids])
    return tuple(units), np.array(takes, dtype=bool).reshape(len(units), len(context.ways.ids))


def _small(device: Device) -> bool:
    return device.rating_a is not None and device.rating_a <= LIGHTING_A
