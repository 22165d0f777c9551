"""Home: an immutable snapshot of every record, looked up by id and by reference; a change gives a new one."""

from collections.abc import Iterable, Mapping
from typing import TypeVar, cast

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.invariants import problems_of, shorten
from circuitmap.home.phases import without_promises
from circuitmap.home.records import (
    KINDS,
    Board,
    Details,
    Device,
    Record,
    decode,
    encode,
    kind_of_id,
    natural_key,
)
from circuitmap.home.refs import refs_of

Kind = TypeVar("Kind", bound=Record)
_Tables = dict[str, dict[str, Record]]


class Home:
    """One state of a home; build an empty one with ``Home.blank`` and go on with ``apply``.

    Tables keep the order in which records came; nothing that is shown may depend on it (sort by ``natural_key``).
    """

    __slots__ = ("_by_board", "_counters", "_tables", "_there", "_users")

    def __init__(self, tables: Mapping[str, Mapping[str, Record]], counters: Mapping[str, int] | None = None) -> None:
        self._tables: _Tables = {kind: dict(tables.get(kind, {})) for kind in KINDS}
        self._counters = dict(counters or {})
        for kind in KINDS.values():
            if kind.letter:
                highest = max((int(i[1:]) for i in self._tables[kind.kind_of]), default=0)
                self._counters[kind.letter] = max(self._counters.get(kind.letter, 0), highest)
        self._users: dict[str, tuple[str, ...]] | None = None
        self._by_board: dict[str, tuple[Device, ...]] | None = None
        self._there: Home | None = None

    @classmethod
    def blank(cls, name: str = "") -> "Home":
        """Give a home with nothing in it but its name."""
        return cls({"details": {"home": Details(name=name)}})

    @classmethod
    def of(cls, records: Iterable[Record], counters: Mapping[str, int] | None = None) -> "Home":
        """Give a home of some records, unchecked; ``problems`` tells what is wrong with it."""
        tables: _Tables = {kind: {} for kind in KINDS}
        for record in records:
            tables[record.kind_of][record.id] = record
        tables["details"].setdefault("home", Details())
        return cls(tables, counters)

    # -- looking up ---------------------------------------------------------------------------------------------

    @property
    def details(self) -> Details:
        """The home as a whole."""
        return cast(Details, self._tables["details"]["home"])

    @property
    def counters(self) -> Mapping[str, int]:
        """The highest number ever given out, per letter; it only rises."""
        return self._counters

    def table(self, kind: type[Kind]) -> Mapping[str, Kind]:
        """Give all records of a kind by id."""
        return cast("Mapping[str, Kind]", self._tables[kind.kind_of])

    def sorted(self, kind: type[Kind]) -> list[Kind]:
        """Give all records of a kind in the natural order of their ids."""
        table = self.table(kind)
        return [table[i] for i in sorted(table, key=natural_key)]

    def all(self) -> Iterable[Record]:
        """Give every record, kind by kind."""
        for table in self._tables.values():
            yield from table.values()

    def find(self, kind: type[Kind], record_id: str | None) -> Kind | None:
        """Give a record of a kind, or None."""
        return self.table(kind).get(record_id) if record_id is not None else None

    def peek(self, record_id: str) -> Record | None:
        """Give whatever record has an id, or None."""
        table = self._tables.get(kind_of_id(record_id))
        return table.get(record_id) if table is not None else None

    def get(self, record_id: str) -> Record:
        """Give whatever record has an id.

        Raises
        ------
        HomeError
            When there is none.
        """
        record = self.peek(record_id)
        if record is None:
            raise HomeError(f"There is no {shorten(record_id)} in this home.", record_id)
        return record

    def take(self, kind: type[Kind], record_id: str) -> Kind:
        """Give a record of a kind by id.

        Raises
        ------
        HomeError
            When there is none of that kind.
        """
        record = self.table(kind).get(record_id)
        if record is None:
            raise HomeError(f"There is no {kind.kind_of} {shorten(record_id)} in this home.", record_id)
        return record

    def used_by(self, record_id: str) -> tuple[str, ...]:
        """Give the ids of the records that name this one, each once."""
        if self._users is None:
            gathered: dict[str, list[str]] = {}
            for record in self.all():
                for named in dict.fromkeys(refs_of(record)):
                    gathered.setdefault(named, []).append(record.id)
            self._users = {named: tuple(users) for named, users in gathered.items()}
        return self._users.get(record_id, ())

    def devices_on(self, board_id: str) -> tuple[Device, ...]:
        """Give the devices of a board in the order of their modules, then ids."""
        if self._by_board is None:
            gathered: dict[str, list[Device]] = {}
            for device in self.table(Device).values():
                gathered.setdefault(device.board, []).append(device)
            self._by_board = {
                board: tuple(sorted(devices, key=lambda d: (d.module is None, d.module or 0, natural_key(d.id))))
                for board, devices in gathered.items()
            }
        return self._by_board.get(board_id, ())

    def existing(self) -> "Home":
        """Give the home with only what is there: nothing planned, nothing that was taken out."""
        if self._there is None:
            self._there = without_promises(self)
        return self._there

    def letter_of(self, board_id: str) -> str:
        """Give the letter that a board goes by on the map."""
        board = self.find(Board, board_id)
        return board.letter_on_map if board else "?"

    def code(self, device_id: str) -> str:
        """Give what a device goes by: board letter and way ("A3"), or the letter and its id when it has no way."""
        device = self.take(Device, device_id)
        return self.letter_of(device.board) + (device.way or f" {device.id}")

    def next_id(self, kind: type[Record], skip: int = 0) -> str:
        """Give the next free id of a kind; ids are never used twice, even after undo."""
        return f"{kind.letter}{self._counters.get(kind.letter, 0) + 1 + skip}"

    # -- changing -----------------------------------------------------------------------------------------------

    def apply(self, change: Change) -> "Home":
        """Give the home as it is after a change; this one stays as it was.

        Raises
        ------
        HomeError
            When a record has changed since, a field is wrong, something named doesn't exist, or something that goes
            is still in use. The sentence says which.
        """
        new = Home.__new__(Home)
        new._tables = dict(self._tables)
        new._counters = dict(self._counters)
        new._users = dict(self._users) if self._users is not None else None
        new._by_board = self._by_board
        new._there = None
        copied: set[str] = set()
        for before, after in change.pairs:
            record = after if after is not None else before
            assert record is not None
            kind = record.kind_of
            if kind not in copied:
                new._tables[kind] = dict(new._tables[kind])
                copied.add(kind)
            table = new._tables[kind]
            if table.get(record.id) != before:
                raise HomeError(f"{_name(before or record)} has changed since; look at it again and repeat.", record.id)
            if after is None:
                if kind == "details":
                    raise HomeError("The home itself can't be removed.", record.id)
                del table[record.id]
            else:
                table[after.id] = _checked(after)
                if kind != "details":
                    new._counters[after.letter] = max(new._counters.get(after.letter, 0), int(after.id[1:]))
            new._note_users(before, after)
            if kind == "device":
                new._by_board = None
        for before, after in change.pairs:
            if after is not None:
                new._check(after)
            elif before is not None and (users := new.used_by(before.id)):
                raise HomeError(
                    f"{_name(before)} is still in use by {', '.join(users[:4])}; take these away first.", before.id
                )
        return new

    def problems(self) -> list[tuple[str, str]]:
        """Give every broken reference and invariant as (record id, sentence); an apply never lets one in."""
        found: list[tuple[str, str]] = []
        for record in self.all():
            found += [(record.id, sentence) for sentence in self._problems(record)]
        return found

    def _check(self, record: Record) -> None:
        for sentence in self._problems(record):
            raise HomeError(sentence, record.id)

    def _problems(self, record: Record) -> Iterable[str]:
        for named in refs_of(record):
            if self.peek(named) is None:
                yield f"{_name(record)} names {named}, which is not in this home."
        yield from problems_of(record, self)

    def _note_users(self, before: Record | None, after: Record | None) -> None:
        if self._users is None:
            return
        was = set(refs_of(before)) if before is not None else set()
        now = set(refs_of(after)) if after is not None else set()
        user = (after or before).id  # type: ignore[union-attr]  # never both None
        for named in was - now:
            self._users[named] = tuple(i for i in self._users.get(named, ()) if i != user)
        for named in now - was:
            self._users[named] = (*self._users.get(named, ()), user)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Home) and self._tables == other._tables

    def __hash__(self) -> int:
        return id(self)


def _checked(record: Record) -> Record:
    """Re-read a record from its own bytes: constructors don't check types, NaN and half surrogates pass them too."""
    try:
        again = decode(record.kind_of, encode(record))
    except UnicodeEncodeError:
        raise HomeError(f"{_name(record)} holds half a character that can't be kept; type that text again.") from None
    except msgspec.ValidationError as error:
        raise HomeError(f"{_name(record)} can't be kept: {plain(error)}.", record.id) from None
    if again != record:
        raise HomeError(f"{_name(record)} holds a number that can't be kept; type it again.", record.id)
    return record


def plain(error: msgspec.ValidationError) -> str:
    """Give msgspec's complaint as words, the path in it without its dollar sign."""
    return str(error).replace(" - at `$.", " at ").replace(" - at `$", " at ").rstrip("`").replace("`", "")


def _name(record: Record) -> str:
    name = getattr(record, "name", "") or getattr(record, "label", "")
    words = f"{record.kind_of} {record.id}".removesuffix(" home")
    return words[0].upper() + words[1:] + (f" “{shorten(name)}”" if name and record.kind_of != "details" else "")
