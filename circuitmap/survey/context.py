"""What every point's deduction stands on: the ways it may be fed by, and the course of each switch-off.

Kept in the memo and steady: an edit that changes nothing here gives the same object back, so that no point is
looked at again.
"""

from dataclasses import dataclass, field
from typing import Final

from circuitmap.home.records import Board, Device, Point, Round, Run, Supply, Tag, Visit, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.kinds import is_way
from circuitmap.survey.taken import Taken, everything_off, other_sources, taken
from circuitmap.survey.timeline import Moment, Timeline, order_of_visits, timeline_of

_NAMED: Final = 6


@dataclass(frozen=True, slots=True)
class Ways:
    """The devices that may feed a point, each with its bit, and what all devices go by."""

    ids: tuple[str, ...]
    codes: tuple[tuple[str, str], ...]

    def bits(self) -> dict[str, int]:
        """Give the bit of every way."""
        return {device: 1 << n for n, device in enumerate(self.ids)}


@dataclass(frozen=True, eq=False)
class Context:
    """Ways and courses, with the look-ups made from them; compare it by identity."""

    ways: Ways
    timelines: dict[str, Timeline]
    visits: tuple[str, ...]
    declined: str
    bits: dict[str, int] = field(default_factory=dict)
    codes: dict[str, str] = field(default_factory=dict)
    rank: dict[str, int] = field(default_factory=dict)
    masks: dict[Moment, tuple[int, int]] = field(default_factory=dict)
    lists: dict[int, tuple[str, ...]] = field(default_factory=dict)

    @property
    def all_mask(self) -> int:
        """The bits of all ways."""
        return (1 << len(self.ways.ids)) - 1

    def mask(self, moment: Moment) -> tuple[int, int]:
        """Give the ways surely off and the ways off at most in a moment, as bits."""
        known = self.masks.get(moment)
        if known is None:
            sure = sum(self.bits[i] for i in moment.sure if i in self.bits)
            may = sum(self.bits[i] for i in moment.may if i in self.bits)
            known = self.masks[moment] = (sure, may)
        return known

    def list_of(self, mask: int) -> tuple[str, ...]:
        """Give the ways of some bits in natural order."""
        known = self.lists.get(mask)
        if known is None:
            known = self.lists[mask] = tuple(i for n, i in enumerate(self.ways.ids) if mask >> n & 1)
        return known

    def named(self, devices: tuple[str, ...]) -> str:
        """Give what some devices go by, the first few of many."""
        names = [self.codes.get(i, i) for i in devices]
        if len(names) > _NAMED:
            return ", ".join(names[:_NAMED]) + f" and {len(names) - _NAMED} more"
        return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)

    def any_of(self, devices: tuple[str, ...]) -> str:
        """Give what some devices go by as alternatives."""
        return self.named(devices).replace(" and ", " or ")


def can_deduce(home: Home) -> str:
    """Give why a home can't be surveyed by switching off, in a sentence, or an empty text when it can.

    Phases that nobody asked about are no hindrance here; the cautions before a switch-off ask for them.
    """
    for supply in home.sorted(Supply):
        if supply.phases not in (None, 1):
            return (
                f"The supply has {supply.phases} phases; this survey is for single-phase homes only, because two "
                "circuits in one box may then stand 400 V apart. Have it surveyed by a licensed electrician."
            )
    return ""


def context_of(home: Home, memo: Memo) -> Context:
    """Give the context of a home's deductions; the same object as long as nothing it stands on has changed."""
    tables: tuple[object, ...] = tuple(home.table(kind) for kind in (Round, Visit, Device, Board, Supply))
    if len(home.table(Board)) > 1:
        # Only a second board makes cables and tags matter for what is under what.
        tables += (home.table(Run), home.table(Tag), home.table(Point))
    return memo.get("survey.context", "", tables, lambda: _make(home, memo))


def _make(home: Home, memo: Memo) -> Context:
    ids = tuple(device.id for device in home.sorted(Device) if is_way(device))
    codes = tuple((i, home.code(i)) for i in sorted(home.table(Device), key=natural_key))
    ways = memo.steady("survey.ways", "", Ways(ids, codes))
    visits = memo.steady("survey.visits", "", order_of_visits((v.day, v.id) for v in home.table(Visit).values()))
    known: dict[frozenset[str], Taken] = {}

    def expand(devices: frozenset[str]) -> Taken:
        found = known.get(devices)
        if found is None:
            found = known[devices] = taken(home, devices, memo)
        return found

    sources = {source.kind for source in other_sources(home)}
    timelines: dict[str, Timeline] = {}
    for record in home.table(Round).values():
        beside = sources <= set(record.sources_off)
        course = timeline_of(record, expand, lambda off, beside=beside: beside and everything_off(home, off))  # type: ignore[misc]  # a default binds the loop's value
        timelines[record.id] = memo.steady("survey.timeline", record.id, course)
    return Context(
        ways,
        timelines,
        visits,
        can_deduce(home),
        bits=ways.bits(),
        codes=dict(codes),
        rank={visit: n for n, visit in enumerate(visits)},
    )
