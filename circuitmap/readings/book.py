"""The book of a circuit: every reading taken on it, before and after, which of them count, and what is odd about them.

Nothing is ever lost: a reading that counts for nothing is listed, with the sentence that says why. A bound stays a
bound. What the leads added is taken off where they were not nulled.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Instrument, Reading, Visit
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.readings.entries import Entry, Side, entry_of, in_order, order_of
from circuitmap.readings.odd import Problem, problems_of
from circuitmap.readings.pairs import Pair, pair_up
from circuitmap.words import LinkKind, ReadingTest

__all__ = ["Entry", "Pair", "Problem", "ReadingBook", "Side", "pair_up", "readings_of", "readings_of_no_way"]

_CHECKS = "lead checks"


@dataclass(frozen=True, slots=True)
class ReadingBook:
    """All readings of one way in the order they were taken, and what is odd about them.

    ``device`` and ``code`` are empty for the book of what belongs to no way.
    """

    device: str
    code: str
    entries: tuple[Entry, ...]
    problems: tuple[Problem, ...]

    @property
    def before(self) -> tuple[Entry, ...]:
        """What counts of the readings before the work (or without any)."""
        return tuple(entry for entry in self.entries if entry.counts and entry.side == "before")

    @property
    def after(self) -> tuple[Entry, ...]:
        """What counts of the readings after the work."""
        return tuple(entry for entry in self.entries if entry.counts and entry.side == "after")

    @property
    def latest(self) -> tuple[Entry, ...]:
        """What counts now: of every place the reading after the work, else the one before it."""
        now = {entry.place: entry for entry in (*self.before, *self.after) if entry.says_something}
        rest = {entry.place: entry for entry in (*self.before, *self.after) if entry.place not in now}
        return tuple(sorted((*now.values(), *rest.values()), key=order_of))

    def of_test(self, test: ReadingTest, link: LinkKind | None = None, side: Side | None = None) -> tuple[Entry, ...]:
        """Give what counts of a test, of one kind of link if one is named, on one side or now."""
        held = {"before": self.before, "after": self.after}[side] if side is not None else self.latest
        return tuple(e for e in held if e.test == test and (link is None or e.link == link))

    def end_to_end(self, core: str, side: Side | None = None) -> Entry | None:
        """Give the reading of one conductor of a ring end to end that counts."""
        found = [e for e in self.of_test("ring end to end", side=side) if e.reading.cores[:1] == (core,)]
        return found[-1] if found else None

    @property
    def pairs(self) -> tuple[Pair, ...]:
        """Before beside after, place by place."""
        return pair_up(self.before, self.after)


def readings_of(home: Home, view: CircuitView, memo: Memo) -> ReadingBook:
    """Give the book of a circuit: the readings said to be of its way, and those at its points that name no way."""
    held = _held(home, memo)
    mine = [*held.get(view.device.id, ()), *(each for name in view.names for each in held.get(name, ()))]
    made_of = (home.table(Visit), home.table(Instrument), view, *held.get(_CHECKS, ()), *mine)
    return memo.get("readings.book", view.device.id, made_of, lambda: _book(home, view, mine))


def readings_of_no_way(home: Home, views: Sequence[CircuitView], memo: Memo) -> ReadingBook:
    """Give what is in no circuit's book: readings of the supply, of boards and RCDs, and those that belong nowhere.

    A reading that names no way, at a point that is on several, stands in the books of them all and is spoken of here.
    """
    held = _held(home, memo)
    named = {view.device.id for view in views}
    on: dict[str, list[str]] = {}
    for view in views:
        for name in view.names:
            on.setdefault(name, []).append(view.code)
    left = [each for name, readings in held.items() if name not in named and name not in on for each in readings]
    entries = in_order([entry_of(home, each, None) for each in left])
    between = [
        Problem("no way named", f"{each.id} was taken at {name}, on {' and '.join(on[name])}: say which way it is of.",
                (each.id,), (name,))
        for name, readings in held.items() if len(on.get(name, ())) > 1 for each in readings
    ]  # fmt: skip
    return ReadingBook("", "", entries, (*between, *problems_of(home, None, entries)))


def _book(home: Home, view: CircuitView, mine: Sequence[Reading]) -> ReadingBook:
    entries = in_order([entry_of(home, each, view) for each in mine])
    return ReadingBook(view.device.id, view.code, entries, problems_of(home, view, entries))


def _held(home: Home, memo: Memo) -> Mapping[str, tuple[Reading, ...]]:
    readings = home.table(Reading)
    return memo.get("readings.held", "", (readings,), lambda: _gather(readings.values()))


def _gather(readings: Iterable[Reading]) -> Mapping[str, tuple[Reading, ...]]:
    """Sort readings by the way that they name, else by the device, point or board where they were taken."""
    found: dict[str, list[Reading]] = {}
    for each in readings:
        name = _CHECKS if each.test == "lead check" else each.device or each.at or ""
        found.setdefault(name, []).append(each)
    return {name: tuple(held) for name, held in found.items()}
