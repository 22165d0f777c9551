"""An option on the map: put there as planned, taken back, or done; each in one change that can be undone.

A plan changes nothing of what is there. What it brings is planned; what it takes out or alters stays as it is, and the
extension holds on to that until the work is done. So whatever was read, seen or found before stays true meanwhile.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Final, Protocol

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change, Pair, combine
from circuitmap.home.invariants import shorten
from circuitmap.home.records import (
    Alter,
    Board,
    Details,
    Device,
    Extension,
    Fixture,
    Plate,
    Point,
    Record,
    Room,
    Run,
    Storey,
    Supply,
    Tag,
    Wall,
    decode,
    encode,
    kind_of_id,
)
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_board import first_free_way
from circuitmap.home.verbs_common import describe, remove, today_text
from circuitmap.home.verbs_extend import is_planned

BETWEEN: Final = "; "
_COUNTS: Final = frozenset({"cables_seen", "cables_seen_load"})
# What an option is laid out from; what was seen on a visit may change meanwhile.
_LAID_OUT_FROM: Final[tuple[type[Record], ...]] = (
    Details, Supply, Storey, Room, Wall, Fixture, Board, Device, Plate, Point, Run, Tag,
)  # fmt: skip
_GIVEN_OUT: Final = "PDRTK"


class Way(Protocol):
    """What is needed of an option: its name, what it would change, and why it is no sound way."""

    @property
    def key(self) -> str:
        """Its name among all options of its extension."""

    @property
    def change(self) -> Change:
        """What it would do to the home."""

    @property
    def failed(self) -> tuple[str, ...]:
        """Why it is no sound way."""


def has_moved_on(home: Home, laid_out: Home) -> bool:
    """Whether anything has changed that options are laid out from, or an id that they give out was given out."""
    if any(home.counters.get(letter) != laid_out.counters.get(letter) for letter in _GIVEN_OUT):
        return True
    return any(
        home.table(kind) is not laid_out.table(kind) and home.table(kind) != laid_out.table(kind)
        for kind in _LAID_OUT_FROM
    )


def accept(
    home: Home,
    extension: str,
    ways: Sequence[Way],
    laid_out: Home,
    again: Callable[[Home], Iterable[Way]] | None = None,
    visit: str | None = None,
) -> Change:
    """Put options on the map as planned.

    Parameters
    ----------
    ways
        One option, or several that do different wishes.
    laid_out
        The home for which they were laid out.
    again
        Lays all options out again, for a home that has moved on meanwhile; those of the same names are then taken.
    visit
        On which it was agreed.

    Raises
    ------
    HomeError
        When the extension is planned already or done, a way isn't sound or not there any more, two of them alter the
        same thing, or the home has moved on and nobody can lay them out again.
    """
    record = home.take(Extension, extension)
    name = shorten(record.name, 30)
    if record.done_on is not None:
        raise HomeError(f"The work of “{name}” is done already.", extension)
    if is_planned(record):
        raise HomeError(f"“{name}” is on the map as planned already; take that back first.", extension)
    if not ways:
        raise HomeError(f"Nothing is picked for “{name}”; pick a way first.", extension)
    wishes = laid_out.find(Extension, extension)
    if has_moved_on(home, laid_out) or (wishes is not None and wishes.wishes != record.wishes):
        ways = _anew(home, ways, again)
    for way in ways:
        if way.failed:
            raise HomeError(f"“{shorten(way.key, 60)}” is no sound way: {way.failed[0]}", extension)
    pairs, alters, takes = _as_planned(_together(ways))
    pairs = _with_room(home, pairs)
    after = msgspec.structs.replace(
        record, picked=BETWEEN.join(way.key for way in ways), accepted_by=visit, takes=takes, alters=alters,
        puts=tuple(new.id for _, new in pairs if new is not None),
    )  # fmt: skip
    return Change(f"Plan “{name}”", (*pairs, (record, after)))


def together(ways: Sequence[Way]) -> Change:
    """Give what several ways change as one change.

    Raises
    ------
    HomeError
        When two of them alter the same thing.
    """
    return Change("; ".join(way.change.title for way in ways), tuple(_together(ways)))


def withdraw(home: Home, extension: str) -> Change:
    """Take a plan back off the map; what was picked stays picked.

    Raises
    ------
    HomeError
        When nothing of it is planned.
    """
    record = _planned(home, extension)
    title = f"Take back the plan of “{shorten(record.name, 30)}”"
    gone = [i for i in record.puts if home.peek(i) is not None]
    taken = remove(home, *gone, title=title) if gone else Change(title, ())
    left = [pair for pair in taken.pairs if (pair[0] or pair[1]) is not record]
    after = msgspec.structs.replace(record, puts=(), takes=(), alters=(), accepted_by=None)
    return Change(title, ((record, after), *left))


def drop(home: Home, extension: str) -> Change:
    """Take an extension away, with all of it that is on the map as planned; work that is done stays."""
    record = home.take(Extension, extension)
    title = f"Take away extension “{shorten(record.name, 30)}”"
    if not is_planned(record):
        return remove(home, extension, title=title)
    back = withdraw(home, extension)
    return combine(title, (back, remove(home.apply(back), extension)))


def done(home: Home, extension: str, day: str = "") -> Change:
    """Say that planned work was done: what was planned is there, what it took is gone, what it altered is altered.

    A run that was laid counts as seen by whoever laid it.

    Raises
    ------
    HomeError
        When nothing is planned, or what it alters was changed meanwhile in the same respect.
    """
    record = _planned(home, extension)
    takes, pairs = set(record.takes), []
    for taken in record.takes:
        before = home.get(taken)
        pairs.append((before, msgspec.structs.replace(before, phase="removed")))
    for put in record.puts:
        before = home.get(put)
        if isinstance(before, Point | Device | Run):
            pairs.append((before, _there(before)))
    for alter in record.alters:
        if alter.record not in takes:
            before = home.get(alter.record)
            pairs.append((before, _altered(before, alter)))
    after = msgspec.structs.replace(record, done_on=day or today_text())
    kept = tuple(pair for pair in pairs if pair[0] != pair[1])
    return Change(f"“{shorten(record.name, 30)}” is done", (*kept, (record, after)))


def as_done(home: Home, extension: str) -> Home:
    """Give the home as it will be once planned work is done.

    Raises
    ------
    HomeError
        As ``done`` does.
    """
    return home.apply(done(home, extension))


# -- planning -------------------------------------------------------------------------------------------------------


def _anew(home: Home, ways: Sequence[Way], again: Callable[[Home], Iterable[Way]] | None) -> Sequence[Way]:
    if again is None:
        raise HomeError("The map has changed since the options were laid out; lay them out again and pick one.")
    by_key = {way.key: way for way in again(home)}
    for way in ways:
        if way.key not in by_key:
            raise HomeError(
                f"The map has changed, and “{shorten(way.key, 60)}” is no option any more; look at the options again."
            )
    return [by_key[way.key] for way in ways]


def _together(ways: Sequence[Way]) -> list[Pair]:
    """Give what several ways change as one; cables counted at one thing add up, all else may be altered by one only."""
    first: dict[str, Record | None] = {}
    last: dict[str, Record | None] = {}
    for way in ways:
        for before, after in way.change.pairs:
            record = after if after is not None else before
            assert record is not None
            if record.id not in first:
                first[record.id], last[record.id] = before, after
                continue
            held = last[record.id]
            if before is None or after is None or held is None:
                raise _both(record)
            last[record.id] = _added(before, held, after)
    return [(first[i], last[i]) for i in first if first[i] != last[i]]


def _added(before: Record, one: Record, other: Record) -> Record:
    fields: dict[str, object] = {}
    for field in _differing(before, other):
        was, first, second = (getattr(record, field) for record in (before, one, other))
        if field in _COUNTS and None not in (was, first, second):
            fields[field] = first + second - was
        elif field == "phase" or first not in (was, second):
            raise _both(before)
        else:
            fields[field] = second
    if "phase" in _differing(before, one) and set(fields) - _COUNTS:
        raise _both(before)
    return msgspec.structs.replace(one, **fields)


def _both(record: Record) -> HomeError:
    return HomeError(
        f"Two of the ways that were picked both change {describe(record)}; pick other ways, or plan one after the "
        "other is done.",
        record.id,
    )


def _as_planned(changes: Iterable[Pair]) -> tuple[list[Pair], tuple[Alter, ...], tuple[str, ...]]:
    """Part what an option does into what is put there as planned, what is to be altered, and what is to go."""
    puts: list[Pair] = []
    alters: list[Alter] = []
    takes: list[str] = []
    for before, after in changes:
        if before is None:
            assert after is not None
            puts.append((None, _as_promise(after)))
        elif not isinstance(before, Point | Device | Run | Plate | Board):
            raise HomeError(f"A plan can't change {describe(before)}; change it on the map itself.", before.id)
        elif after is None or getattr(after, "phase", "existing") == "removed":
            if isinstance(before, Plate | Board):
                raise HomeError(f"A plan can't take out {describe(before)}; take it away once that is done.", before.id)
            takes.append(before.id)
        else:
            alters.append(Alter(record=before.id, was=encode(before).decode(), becomes=encode(after).decode()))
    return puts, tuple(alters), tuple(takes)


def _with_room(home: Home, puts: Sequence[Pair]) -> list[Pair]:
    """Give new devices ways and modules that are free, also of what else is planned on their boards."""
    given: list[Pair] = []
    for before, after in puts:
        if not isinstance(after, Device) or before is not None:
            given.append((before, after))
            continue
        others = [d for d in home.devices_on(after.board) if d.phase != "removed"]
        others += [d for _, d in given if isinstance(d, Device) and d.board == after.board]
        board = home.take(Board, after.board)
        used = sum(d.modules for d in others)
        if board.modules is not None and used + after.modules > board.modules:
            raise HomeError(
                f"Board {board.letter_on_map} has no room for one more way beside what else is planned on it; take "
                "that back, or pick another way.",
                board.id,
            )
        if after.way in {d.way for d in others}:
            after = msgspec.structs.replace(after, way=first_free_way(d.way for d in others))
        if after.module is not None and any(_share_modules(after, d) for d in others):
            free = max((d.module or 0) + d.modules for d in others)
            after = msgspec.structs.replace(after, module=free)
        given.append((before, after))
    return given


def _share_modules(one: Device, other: Device) -> bool:
    if one.module is None or other.module is None:
        return False
    return one.module < other.module + other.modules and other.module < one.module + one.modules


def _as_promise(record: Record) -> Record:
    if isinstance(record, Point | Device | Run):
        return msgspec.structs.replace(record, phase="planned")
    if isinstance(record, Plate | Tag):
        return record
    raise HomeError(f"A plan can't bring {describe(record)}; put it on the map itself.", record.id)


# -- done -----------------------------------------------------------------------------------------------------------


def _planned(home: Home, extension: str) -> Extension:
    record = home.take(Extension, extension)
    if record.done_on is not None:
        raise HomeError(f"The work of “{shorten(record.name, 30)}” is done already.", extension)
    if not is_planned(record):
        raise HomeError(f"Nothing of “{shorten(record.name, 30)}” is on the map as planned.", extension)
    return record


def _there(record: Point | Device | Run) -> Record:
    if record.phase != "planned":
        return record
    if isinstance(record, Run) and record.evidence in ("assumed", "inferred"):
        return msgspec.structs.replace(record, phase="existing", evidence="seen")
    return msgspec.structs.replace(record, phase="existing")


def _altered(now: Record, alter: Alter) -> Record:
    """Alter a record in the fields that the plan meant; what was changed besides meanwhile stays changed.

    Cables counted since are taken as counted before the work.
    """
    was, becomes = _held(alter.record, alter.was), _held(alter.record, alter.becomes)
    fields: dict[str, object] = {}
    for field in _differing(was, becomes):
        old, new, here = (getattr(record, field) for record in (was, becomes, now))
        if here == new:
            continue
        if here != old:
            if field not in _COUNTS or None in (old, new, here):
                raise HomeError(
                    f"{describe(now)} has been changed since it was planned to change; take the plan back and plan it "
                    "again.",
                    alter.record,
                )
            new = max(here + new - old, 0)
        fields[field] = new
    return msgspec.structs.replace(now, **fields)


def _held(record_id: str, text: str) -> Record:
    try:
        record = decode(kind_of_id(record_id), text.encode(errors="replace"))
    except msgspec.DecodeError:
        record = None
    if record is None or record.id != record_id:
        raise HomeError(
            f"What the plan holds for {record_id} can't be read; take the plan back and plan it again.", record_id
        )
    return record


def _differing(one: Record, other: Record) -> list[str]:
    return [name for name in one.__struct_fields__ if getattr(one, name) != getattr(other, name)]
