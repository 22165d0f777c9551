"""What changed between two states of one home: points, cables, ways, circuits, readings, notes, findings.

Only what is there counts in either state; what is planned, or was taken out, doesn't. A thing is the same as long as
its id is. What was merely looked at again says nothing unless something else came out of it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Final, Literal, NamedTuple, TypeVar, get_args

from circuitmap.circuits import CircuitView, views
from circuitmap.findings.compared_words import (
    BOARD_FACTS,
    CABLE_FACTS,
    POINT_FACTS,
    ROOM_FACTS,
    SUPPLY_FACTS,
    WAY_FACTS,
    Fact,
    State,
    cable_said,
    capital,
    finding_said,
    note_said,
    point_said,
    reading_said,
    way_said,
)
from circuitmap.findings.finding import Finding
from circuitmap.findings.run import run
from circuitmap.home.records import Board, Device, Note, Point, Record, Room, Run, Supply, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.where import place_of, rooms_of_points
from circuitmap.readings.book import Entry, Pair, pair_up, readings_of, readings_of_no_way
from circuitmap.trade import Trade

Kind = Literal["supply", "board", "way", "room", "point", "cable", "circuit", "reading", "note", "finding"]
How = Literal["new", "gone", "changed"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)
_MOVED_MM: Final = 50.0
_Thing = TypeVar("_Thing", bound=Record)


class Turned(NamedTuple):
    """One fact of a thing that was one way and is another."""

    fact: str
    was: str
    now: str

    @property
    def says(self) -> str:
        """Say it: "rating 32 A, was 16 A"."""
        return f"{self.fact} {self.now or 'not recorded'}, was {self.was or 'not recorded'}"


class Difference(NamedTuple):
    """One thing that is new, gone or changed; ``id`` is its record, ``title`` what it is called."""

    kind: Kind
    how: How
    id: str
    title: str
    turned: tuple[Turned, ...] = ()
    told: str = ""
    moved_mm: float = 0.0
    code: str = ""

    @property
    def says(self) -> str:
        """Say what became of it in one line, without its title."""
        if self.told:
            return self.told
        if self.how != "changed":
            return self.how
        return "; ".join(each.says for each in self.turned)


class Compared(NamedTuple):
    """All that changed, and how many readings were taken again with the same result."""

    differences: tuple[Difference, ...]
    read_again: int

    def of(self, kind: Kind, how: How | None = None) -> tuple[Difference, ...]:
        """Give the differences of a kind, of one sort if one is named."""
        return tuple(each for each in self.differences if each.kind == kind and how in (None, each.how))

    def counts(self) -> dict[How, int]:
        """Give how many things are new, gone and changed."""
        return {how: sum(each.how == how for each in self.differences) for how in get_args(How)}


def compare(before: Home, after: Home, trade: Trade, memos: tuple[Memo, Memo] | None = None) -> Compared:
    """Give what changed from one state of a home to another.

    Parameters
    ----------
    before, after
        Two states of the same home, such as at two of its marks; of different homes everything is gone and new.
    memos
        Where derived values of each are kept.
    """
    first, second = memos if memos is not None else (Memo(), Memo())
    was, now = _state(before, trade, first), _state(after, trade, second)
    found: list[Difference] = []
    found += _things("supply", was, now, Supply, lambda _state, _thing: "The supply", SUPPLY_FACTS)
    found += _things("board", was, now, Board, lambda _state, thing: f"Board {thing.letter_on_map}", BOARD_FACTS)
    found += _things("room", was, now, Room, lambda _state, thing: thing.name or thing.id, ROOM_FACTS)
    found += _things("way", was, now, Device, way_said, WAY_FACTS)
    found += _things("point", was, now, Point, point_said, POINT_FACTS, _moved)
    found += _things("cable", was, now, Run, cable_said, CABLE_FACTS)
    found += _circuits(was, now)
    readings, again = _readings(was, now)
    found += readings
    found += _notes(was, now)
    found += _findings(was, now)
    return Compared(tuple(found), again)


def _state(home: Home, trade: Trade, memo: Memo) -> State:
    there = home.existing()
    ways = views(there, trade, memo)
    feeds: dict[str, list[str]] = {}
    for view in ways:
        for name in (*view.names, *(board.id for board in view.boards_fed)):
            feeds.setdefault(name, []).append(view.code)
    rooms = {i: room.name or room.id if room is not None else "" for i, room in rooms_of_points(there, memo).items()}
    return State(there, trade, memo, ways, rooms, {i: tuple(codes) for i, codes in feeds.items()})


def _things(
    kind: Kind,
    was: State,
    now: State,
    record: type[_Thing],
    said: Callable[[State, _Thing], str],
    facts: Iterable[Fact],
    moved: Callable[[State, State, _Thing, _Thing], float] | None = None,
) -> Iterator[Difference]:
    first, second = was.home.table(record), now.home.table(record)
    for each in sorted({**first, **second}, key=natural_key):
        before, after = first.get(each), second.get(each)
        if before is None and after is not None:
            yield Difference(kind, "new", each, said(now, after))
        elif before is not None and after is None:
            yield Difference(kind, "gone", each, said(was, before))
        elif before is not None and after is not None:
            turned = tuple(
                Turned(fact.name, one, other)
                for fact in facts
                if (one := fact.of(was, before)) != (other := fact.of(now, after))
            )
            away = moved(was, now, before, after) if moved is not None else 0.0
            if away > _MOVED_MM:
                turned = (*turned, Turned("place", "elsewhere", f"{away / 1000:.2f} m away"))
            if turned:
                yield Difference(kind, "changed", each, said(now, after), turned, moved_mm=away)


def _moved(was: State, now: State, before: Point, after: Point) -> float:
    """Give how far a point stands from where it stood, 0 where that isn't known or it is on another storey."""
    one, other = place_of(was.home, before), place_of(now.home, after)
    if one is None or other is None or one.storey != other.storey:
        return 0.0
    across, down = other.x_mm - one.x_mm, other.y_mm - one.y_mm
    away: float = (across**2 + down**2) ** 0.5
    return away


def _circuits(was: State, now: State) -> Iterator[Difference]:
    """Ways that are in both states and whose cables make another shape; what came and went is told with its points."""
    first = {view.device.id: _shape(view) for view in was.views}
    for view in now.views:
        before, after = first.get(view.device.id), _shape(view)
        if before is not None and before != after:
            turned = (Turned("shape", before, after),)
            yield Difference("circuit", "changed", view.device.id, way_said(now, view.device), turned,
                             f"{after}, was {before}")  # fmt: skip


def _shape(view: CircuitView) -> str:
    return view.shape.kind if view.shape is not None else "no cable drawn"


def _readings(was: State, now: State) -> tuple[list[Difference], int]:
    first, second = _latest(was), _latest(now)
    pairs: list[tuple[str, Pair]] = []
    for device in dict.fromkeys((*first, *second)):
        both = pair_up(first.get(device, ()), second.get(device, ()))
        pairs += [(device, pair) for pair in both]
    found, again = [], 0
    for device, pair in pairs:
        before, after = pair.before, pair.after
        if before is not None and after is not None:
            if before.reading.id == after.reading.id and before.shown == after.shown:
                continue
            if pair.paired_as == "same":
                again += 1
                continue
            turned = (Turned("reads", before.shown, after.shown),)
            title = reading_said(now, device, after)
            told = f"{pair.paired_as}: {after.shown}, was {before.shown}"
            found.append(Difference("reading", "changed", after.reading.id, title, turned, told))
        elif after is not None:
            told = f"read for the first time: {after.shown}"
            turned = (Turned("reads", "", after.shown),)
            found.append(Difference("reading", "new", after.reading.id, reading_said(now, device, after), turned, told))
        elif before is not None:
            told = f"gone; it read {before.shown}"
            turned = (Turned("reads", before.shown, ""),)
            title = reading_said(was, device, before)
            found.append(Difference("reading", "gone", before.reading.id, title, turned, told))
    return found, again


def _latest(state: State) -> Mapping[str, tuple[Entry, ...]]:
    """Give what counts of the readings, by the way whose book they stand in; by nothing for those of no way."""
    books = {view.device.id: readings_of(state.home, view, state.memo).latest for view in state.views}
    return {**books, "": readings_of_no_way(state.home, state.views, state.memo).latest}


def _notes(was: State, now: State) -> Iterator[Difference]:
    first, second = was.home.table(Note), now.home.table(Note)
    for each in sorted({**first, **second}, key=natural_key):
        before, after = first.get(each), second.get(each)
        if after is None:
            if before is not None and before.cleared is None:
                yield Difference("note", "gone", each, note_said(was, before))
        elif before is None:
            told = "new, and put right already" if after.cleared is not None else "new"
            yield Difference("note", "new", each, note_said(now, after), (), told)
        elif before.cleared is None and after.cleared is not None:
            turned = (Turned("put right", "no", "yes"),)
            yield Difference("note", "changed", each, note_said(now, after), turned, "put right")
        elif after.cleared is None and before.cleared is not None:
            turned = (Turned("put right", "yes", "no"),)
            yield Difference("note", "changed", each, note_said(now, after), turned, "not put right after all")
        else:
            count = len(after.photos) - len(before.photos)
            if count:
                turned = (Turned("photographs", str(len(before.photos)), str(len(after.photos))),)
                yield Difference("note", "changed", each, note_said(now, after), turned)


def _findings(was: State, now: State) -> Iterator[Difference]:
    first, second = _asked(was), _asked(now)
    for key, after in second.items():
        before = first.get(key)
        said = finding_said(now, after)
        if before is None:
            yield Difference("finding", "new", after.subjects[0] if after.subjects else "home", said, code=after.code)
        elif (before.code, before.ruling) != (after.code, after.ruling):
            ruled = f", by a ruling ({after.ruling})" if after.ruling is not None else ""
            told = f"{after.code} now{ruled}, was {before.code}"
            yield Difference("finding", "changed", after.subjects[0] if after.subjects else "home", said,
                             (Turned("code", before.code, after.code),), told, code=after.code)  # fmt: skip
    for key, before in first.items():
        if key not in second:
            said = finding_said(was, before)
            yield Difference("finding", "gone", before.subjects[0] if before.subjects else "home", said,
                             code=before.code)  # fmt: skip


def _asked(state: State) -> dict[str, Finding]:
    return {each.key: each for each in run(state.home, state.trade, state.memo) if not each.aside}


def summary(compared: Compared) -> str:
    """Say in one sentence how much changed."""
    counts = compared.counts()
    if not compared.differences:
        return "Nothing on the map, in the readings or among the findings has changed."
    said = [f"{count} {how}" for how, count in counts.items() if count]
    listed = " and ".join([", ".join(said[:-1]), said[-1]]) if len(said) > 1 else said[0]
    return capital(f"{listed}: {_by_kind(compared)}.")


def _by_kind(compared: Compared) -> str:
    said = []
    for kind in KINDS:
        count = len(compared.of(kind))
        if count:
            many = {"supply": "supply", "reading": "readings"}.get(kind, f"{kind}s")
            said.append(f"{count} {kind if count == 1 else many}")
    return ", ".join(said)
