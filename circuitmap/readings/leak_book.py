"""A hunt for low insulation in the book of a circuit: each part's reading is a record, and the records tell the hunt.

A reading of a hunt says in its remark which hunt, which step and which part it was; what was apart for it is on record.
Taken one after the other the readings lead through the same steps again, as long as the map stays as it was.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Reading, natural_key
from circuitmap.quantities.measured import Measured
from circuitmap.readings.book import ReadingBook
from circuitmap.readings.causes import Stop
from circuitmap.readings.entries import Entry
from circuitmap.readings.insulation import MEGA, Pair
from circuitmap.readings.judged_case import shown
from circuitmap.readings.leak import Layout
from circuitmap.readings.leak_hunt import Standing, begin, next_step, standing
from circuitmap.readings.leak_state import Asked, Hunt, Step, cannot, take
from circuitmap.readings.verdict import Rules, Shown, span_of

WHOLE: Final = "the whole circuit"
AS_FOUND: Final = f"{WHOLE} as it was found"
CANNOT: Final = "can’t be done: "
CORES: Final[dict[Pair, tuple[str, str]]] = {
    "L-E": ("L", "E"), "N-E": ("N", "E"), "L-N": ("L", "N"), "L+N-E": ("L+N", "E"),
}  # fmt: skip
_MARK: Final = re.compile(
    r"(?:^|; )Hunt (?P<hunt>\d+) (?P<pair>L\+N-E|L-E|N-E|L-N)(?: from (?P<first>Q\d+))?, "
    r"step (?P<step>\d+): (?P<part>.*)$",
    re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Start:
    """How a hunt began: its number on the way, between what, and from which reading (none: the whole is read first)."""

    number: int
    pair: Pair
    whole: Shown = None
    reading: str = ""
    is_of_hunt: bool = False


@dataclass(frozen=True, slots=True)
class OnRecord:
    """A hunt that the book of a way holds: how it began, and its readings in the order they were taken."""

    start: Start
    entries: tuple[Entry, ...]

    @property
    def day(self) -> str:
        """The day of its last reading."""
        return max(entry.visit.day for entry in self.entries)


@dataclass(frozen=True, slots=True)
class Done:
    """A step that was done: the readings that answer it, whether it could be done, and the hunt after it."""

    step: Step
    readings: tuple[Reading, ...]
    could: bool
    hunt: Hunt


@dataclass(frozen=True, slots=True)
class Trail:
    """How far the readings on record lead: the steps done, the hunt now, what to do next, what is known.

    ``given`` are the readings that the next step has already, in the order of what it asks; ``left`` are those of
    later steps that don't fit what the map says now.
    """

    start: Start
    view: CircuitView
    begun: Hunt
    hunt: Hunt
    step: Step
    known: Standing
    done: tuple[Done, ...]
    given: tuple[Reading | None, ...]
    left: tuple[str, ...]

    @property
    def number(self) -> int:
        """The number of the next step."""
        return len(self.done) + 1

    @property
    def readings(self) -> tuple[str, ...]:
        """All readings that the trail rests on, the one that it began with left out."""
        ids = [each.id for done in self.done for each in done.readings]
        return (*ids, *(each.id for each in self.given if each is not None))


# -- from the records --------------------------------------------------------------------------------------------


def hunts_of(book: ReadingBook) -> tuple[OnRecord, ...]:
    """Give the hunts that the readings of a way belong to, the latest first."""
    held: dict[int, list[Entry]] = {}
    for entry in sorted(book.entries, key=_age):
        found = _MARK.search(entry.reading.remark)
        if found is not None and entry.test == "insulation":
            held.setdefault(int(found["hunt"]), []).append(entry)
    by_id = {entry.reading.id: entry for entry in book.entries}
    return tuple(OnRecord(_start(n, held[n], by_id), tuple(held[n])) for n in sorted(held, reverse=True))


def low_readings(book: ReadingBook, rules: Rules) -> tuple[Entry, ...]:
    """Give the readings of the whole circuit, of no hunt yet, that are low enough to begin one, the lowest first."""
    enough = rules.value("insulation new Mohm") * MEGA
    spans = ((entry, span_of(shown(entry))) for entry in book.latest if entry.test == "insulation")
    low = [
        (span.most, _age(entry), entry)
        for entry, span in spans
        if span is not None
        and span.most < enough
        and not entry.is_of_part
        and entry.at == book.device
        and _step_of(entry) < 0
    ]
    return tuple(entry for *_, entry in sorted(low, key=_by_size))


def pair_of_cores(cores: Sequence[str]) -> Pair:
    """Give between what a reading was taken; line and neutral joined to earth where nobody said."""
    sides = {frozenset(side.split("+")) for side in cores}
    return next((p for p, two in CORES.items() if {frozenset(side.split("+")) for side in two} == sides), "L+N-E")


def follow(
    view: CircuitView,
    rules: Rules,
    start: Start,
    entries: Iterable[Entry] = (),
    *,
    before: Trail | None = None,
    stop: Stop | None = None,
) -> Trail:
    """Take the readings of a hunt one after the other and give where they lead.

    Parameters
    ----------
    before
        What was found earlier: what still stands of it isn't worked out anew.
    stop
        Called between steps; may raise ``jobs.StoppedError``.
    """
    known = before if before is not None and before.start == start and before.view == view else None
    begun = known.begun if known is not None else begin(view, rules, start.pair, whole=start.whole)
    hunt, done, last = begun, list[Done](), 0
    steps = _steps_of(known)
    waiting = [(_step_of(entry), entry.reading) for entry in sorted(entries, key=_age)]
    while True:
        if stop is not None:
            stop()
        place = len(done)
        step = steps[place] if place < len(steps) else next_step(hunt)
        later = [each for n, each in waiting if n == place + 1 and _number(each) > last]
        given, could = _given(hunt.layout, step, later)
        if step.is_end or not given or any(each is None for each in given):
            break
        readings = tuple(each for each in given if each is not None)
        held = known.done[place] if known is not None and place < len(known.done) else None
        if held is None or (held.readings, held.could) != (readings, could):
            steps = steps[: place + 1]
            after = take(hunt, step, [_shown(each) for each in readings]) if could else cannot(hunt, step)
            held = Done(step, readings, could, after)
        done.append(held)
        hunt = held.hunt
        last = max(_number(each) for each in readings)
    left = tuple(each.id for n, each in waiting if n >= len(done) + 1 and _number(each) > last and each not in given)
    is_same = known is not None and len(known.done) == len(done) and known.hunt is hunt
    says = known.known if known is not None and is_same else standing(hunt)
    return Trail(start, view, begun, hunt, step, says, tuple(done), given, left)


# -- to the records ----------------------------------------------------------------------------------------------


def apart_of(layout: Layout, sections: frozenset[str], at: str = "") -> tuple[str, ...]:
    """Give the runs and points that were disconnected for a reading of some sections."""
    out = {s.record for s in layout.sections if s.key not in sections and s.record[0] in "PR"}
    if at[:1] == "P" and not out:
        out = {at}
    return tuple(sorted(out, key=natural_key))


def record_whole(home: Home, visit: str, view: CircuitView, start: Start, measured: Measured, *, test_v: float | None,
                 instrument: str | None = None, copper_c: float | None = None) -> Change:  # fmt: skip
    """Record the low reading that a hunt begins with, everything as it was found."""
    return verbs.record_reading(
        home, visit, "insulation", measured, device=view.device.id, at=view.device.id, cores=CORES[start.pair],
        instrument=instrument, test_v=test_v, copper_c=copper_c, remark=f"{_head(start)}, step 0: {AS_FOUND}",
    )  # fmt: skip


def record_part(home: Home, visit: str, trail: Trail, asked: Asked, measured: Measured, *,
                instrument: str | None = None, copper_c: float | None = None) -> Change:  # fmt: skip
    """Record what a part read, in the step that comes next."""
    step, layout, way = trail.step, trail.hunt.layout, trail.view.device.id
    apart = apart_of(layout, asked.sections, asked.where)
    words = asked.title
    if not asked.where and not any(each[0] == "R" for each in apart):
        connected = bool(asked.sections & layout.equipment)
        words += ", with what is left in" if connected else ", nothing connected"
    return verbs.record_reading(
        home, visit, "insulation", measured, device=way, at=asked.where or way, cores=CORES[step.pair], apart=apart,
        instrument=instrument, test_v=step.test_v, copper_c=copper_c,
        remark=f"{_head(trail.start)}, step {trail.number}: {words}",
    )  # fmt: skip


def record_cannot(home: Home, visit: str, trail: Trail, instrument: str | None = None) -> Change:
    """Record that the step that comes next can't be done."""
    step, way = trail.step, trail.view.device.id
    sections = step.asked[0].sections if step.asked else frozenset()
    at = step.at or (step.asked[0].where if step.asked else "")
    return verbs.record_reading(
        home, visit, "insulation", Measured(not_possible="can’t get at it"), device=way, at=at or way,
        cores=CORES[step.pair], apart=apart_of(trail.hunt.layout, sections, at), instrument=instrument,
        test_v=step.test_v, remark=f"{_head(trail.start)}, step {trail.number}: {CANNOT}{step.kind}",
    )  # fmt: skip


def take_back(home: Home, trail: Trail) -> Change | None:
    """Take the last step back, and what was read of the next one already; None where nothing was done."""
    last = trail.done[-1].readings if trail.done else ()
    ids = [each.id for each in (*last, *(given for given in trail.given if given is not None))]
    return verbs.remove(home, *ids, title=f"Step {len(trail.done)} of the hunt taken back") if ids else None


def next_start(book: ReadingBook, pair: Pair, entry: Entry | None = None) -> Start:
    """Give the start of a new hunt, from a reading on record if one is given."""
    number = max((each.start.number for each in hunts_of(book)), default=0) + 1
    if entry is None:
        return Start(number, pair)
    return Start(number, pair, shown(entry), entry.reading.id)


def _head(start: Start) -> str:
    first = f" from {start.reading}" if start.reading and not start.is_of_hunt else ""
    return f"Hunt {start.number} {start.pair}{first}"


def _start(number: int, entries: Sequence[Entry], by_id: dict[str, Entry]) -> Start:
    found = _MARK.search(entries[-1].reading.remark)
    assert found is not None  # they were sorted by it
    pair = next(pair for pair in CORES if pair == found["pair"])
    firsts = [entry for entry in entries if _step_of(entry) == 0]
    if firsts:
        return Start(number, pair, shown(firsts[-1]), firsts[-1].reading.id, is_of_hunt=True)
    first = by_id.get(found["first"] or "")
    return Start(number, pair, shown(first), first.reading.id) if first is not None else Start(number, pair)


def _given(layout: Layout, step: Step, later: Sequence[Reading]) -> tuple[tuple[Reading | None, ...], bool]:
    """Give the readings that answer a step, each the last of its part; and whether it could be done."""
    if step.is_end:
        return (), True
    refused = [each for each in later if _part_of(each) == f"{CANNOT}{step.kind}"]
    refused = [each for each in refused if not step.at or each.at == step.at]
    if refused and refused[-1] is later[-1]:
        return (refused[-1],), False
    return tuple(_last_of(layout, step, asked, later) for asked in step.asked), True


def _last_of(layout: Layout, step: Step, asked: Asked, later: Sequence[Reading]) -> Reading | None:
    apart, at = apart_of(layout, asked.sections, asked.where), asked.where or layout.device
    wanted = (at, CORES[step.pair], apart, step.test_v)
    fits = [each for each in later if (each.at, each.cores, each.apart, each.test_v) == wanted]
    fits = [each for each in fits if not _part_of(each).startswith(CANNOT)]
    mine = [each for each in fits if _part_of(each).startswith(asked.title)]
    return next(reversed(mine or fits), None)


def _steps_of(known: Trail | None) -> list[Step]:
    return [*(done.step for done in known.done), known.step] if known is not None else []


def _shown(reading: Reading) -> Measured:
    return Measured(reading.value_si, reading.bound, reading.not_possible, reading.remark, reading.typed)


def _step_of(entry: Entry) -> int:
    found = _MARK.search(entry.reading.remark)
    return int(found["step"]) if found is not None else -1


def _part_of(reading: Reading) -> str:
    found = _MARK.search(reading.remark)
    return found["part"] if found is not None else ""


def _number(reading: Reading) -> int:
    return int(reading.id[1:])


def _age(entry: Entry) -> int:
    return _number(entry.reading)


def _by_size(each: tuple[float, int, Entry]) -> tuple[float, int]:
    size, age, _ = each
    return size, -age
