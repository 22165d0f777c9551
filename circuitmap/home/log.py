"""What stands inside a home file: its tables, the log of edits, and the digests by which damage is noticed.

Functions here take an open connection and know nothing of paths, locks or sentences for a person about files; a
``Damage`` says in a few words what doesn't fit. The digests find damage; they are no proof against forgery.
"""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal, NamedTuple, cast

import msgspec

from circuitmap.home.assets import EXTENSIONS, hash_of
from circuitmap.home.change import Change, Pair
from circuitmap.home.records import KINDS, Record, encode
from circuitmap.home.snapshot import Home
from circuitmap.home.upgrade import FORMAT, read_body

if TYPE_CHECKING:
    from sqlite3 import Connection

Act = Literal["do", "undo", "redo"]
Row = tuple[str, str, bytes | None, bytes | None]  # kind, id, before, after

APPLICATION_ID: Final = 0x434D4150  # "CMAP"
VERSION: Final = 1
"""``user_version``: the layout of the tables; a higher one than this is refused."""

SCHEMA: Final = (
    "CREATE TABLE edit (seq INTEGER PRIMARY KEY CHECK (seq > 0), at TEXT NOT NULL,"
    " act TEXT NOT NULL CHECK (act IN ('do','undo','redo')), of INTEGER REFERENCES edit(seq), title TEXT NOT NULL,"
    " schema INTEGER NOT NULL, state BLOB NOT NULL CHECK (length(state)=32),"
    " chain BLOB NOT NULL CHECK (length(chain)=32), CHECK ((act='do') = (of IS NULL))) STRICT",
    "CREATE TABLE pair (seq INTEGER NOT NULL REFERENCES edit(seq), n INTEGER NOT NULL, kind TEXT NOT NULL,"
    " id TEXT NOT NULL, before BLOB, after BLOB, PRIMARY KEY (seq, n),"
    " CHECK (before IS NOT NULL OR after IS NOT NULL)) STRICT, WITHOUT ROWID",
    "CREATE INDEX pair_of_record ON pair (kind, id, seq)",
    "CREATE TABLE record (kind TEXT NOT NULL, id TEXT NOT NULL, schema INTEGER NOT NULL, body BLOB NOT NULL,"
    " PRIMARY KEY (kind, id)) STRICT, WITHOUT ROWID",
    "CREATE TABLE asset (hash TEXT PRIMARY KEY CHECK (length(hash)=64), media TEXT NOT NULL,"
    " bytes BLOB NOT NULL) STRICT",
    # Appended to; the latest of a name counts. Its own digest, because no state or chain covers it.
    "CREATE TABLE mark (n INTEGER PRIMARY KEY, name TEXT NOT NULL, at TEXT NOT NULL, seq INTEGER NOT NULL,"
    " digest BLOB NOT NULL CHECK (length(digest)=32)) STRICT",
    # The numbers already given out before the log began, where a text form brought them along; never written again.
    "CREATE TABLE given (letter TEXT PRIMARY KEY CHECK (length(letter)=1),"
    " number INTEGER NOT NULL CHECK (number > 0)) STRICT, WITHOUT ROWID",
)
_NO_CHAIN: Final = bytes(32)
_MODULUS: Final = 1 << 256


class Damage(Exception):  # noqa: N818 - it says what it is
    """What is found in the file doesn't fit together; the words end a sentence."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the log; ``of`` is the edit that an undo or redo is about."""

    seq: int
    at: str
    act: Act
    of: int | None
    title: str
    schema: int
    state: int
    chain: bytes


@dataclass(frozen=True, slots=True)
class Mark:
    """A named moment of a home, such as "as found"."""

    name: str
    at: str
    seq: int


@dataclass(slots=True)
class Stacks:
    """The edits that can be undone and redone, told from the log alone; the first one brought the home in and stays."""

    done: list[int] = field(default_factory=list)
    undone: list[int] = field(default_factory=list)

    def note(self, seq: int, act: Act, of: int | None) -> None:
        """Take one more line of the log in.

        Raises
        ------
        Damage
            When a line undoes or redoes what can't be.
        """
        if act == "do":
            if seq > 1:
                self.done.append(seq)
            self.undone.clear()
            return
        source, target = (self.done, self.undone) if act == "undo" else (self.undone, self.done)
        if not source or source[-1] != of:
            raise Damage(f"edit {seq} is an {act} of something else than the last edit")
        target.append(source.pop())


@dataclass(slots=True)
class Loaded:
    """All that is kept in memory of an open file."""

    home: Home
    entries: list[Entry]
    stacks: Stacks
    marks: list[Mark]
    hashes: set[str]

    @property
    def last(self) -> Entry:
        """The latest line of the log."""
        return self.entries[-1]


def digest_of(kind: str, record_id: str, body: bytes) -> int:
    """Give one record's share of the state digest; shares are added modulo 2 to the 256."""
    head = f"{kind}\0{record_id}\0".encode()
    return int.from_bytes(hashlib.sha256(head + body).digest(), "big")


def chain_of(previous: bytes, head: tuple[object, ...], rows: Iterable[Row]) -> bytes:
    """Give the digest that ties a line of the log and its pairs to all lines before it."""
    digest = hashlib.sha256(previous)
    for part in head:
        _add(digest, str(part).encode())
    for row in rows:
        for cell in row:
            _add(digest, cell.encode() if isinstance(cell, str) else cell)
    return digest.digest()


def _add(digest: "hashlib._Hash", cell: bytes | None) -> None:
    digest.update((len(cell) if cell is not None else (1 << 64) - 1).to_bytes(8, "big"))
    if cell is not None:
        digest.update(cell)


def make_tables(connection: "Connection", given: Iterable[tuple[str, int]]) -> None:
    """Lay out an empty home file inside the transaction that is open."""
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {VERSION}")
    for statement in SCHEMA:
        connection.execute(statement)
    connection.executemany("INSERT INTO given VALUES (?, ?)", list(given))


def state_of_given(connection: "Connection") -> int:
    """Give the share of the numbers given out beforehand in the state digest."""
    rows = connection.execute("SELECT letter, number FROM given").fetchall()
    return sum(digest_of("given", letter, str(number).encode()) for letter, number in rows) % _MODULUS


def append(connection: "Connection", last: Entry | None, change: Change, act: Act, of: int | None, at: str) -> Entry:
    """Write one change to log and records inside the transaction that is open; give its line of the log.

    Raises
    ------
    Damage
        When the log isn't as this window left it: another program wrote to the file.
    """
    found = connection.execute("SELECT seq, chain FROM edit ORDER BY seq DESC LIMIT 1").fetchone()
    if found != ((last.seq, last.chain) if last else None):
        raise Damage("another program has written to it since it was opened")
    seq = last.seq + 1 if last else 1
    state = last.state if last else state_of_given(connection)
    rows: list[Row] = []
    for before, after in change.pairs:
        record = cast(Record, after or before)
        kind, record_id = record.kind_of, record.id
        was: bytes | None = None
        if before is not None:
            query = "SELECT schema, body FROM record WHERE kind=? AND id=?"
            kept = connection.execute(query, (kind, record_id)).fetchone()
            if kept is None:
                raise Damage(f"the record {record_id} is missing in it")
            # As it was kept and not as it would be kept now: 90 degrees come back from the file as 90.0.
            was = kept[1] if kept[0] == FORMAT else encode(before)
            state -= digest_of(kind, record_id, kept[1])
        body = encode(after) if after is not None else None
        if body is None:
            connection.execute("DELETE FROM record WHERE kind=? AND id=?", (kind, record_id))
        else:
            state += digest_of(kind, record_id, body)
            connection.execute("INSERT OR REPLACE INTO record VALUES (?,?,?,?)", (kind, record_id, FORMAT, body))
        rows.append((kind, record_id, was, body))
    state %= _MODULUS
    title = change.title.encode("utf-8", "replace").decode()
    chain = chain_of(last.chain if last else _NO_CHAIN, (seq, at, act, of, title, FORMAT, state), rows)
    connection.execute(
        "INSERT INTO edit VALUES (?,?,?,?,?,?,?,?)", (seq, at, act, of, title, FORMAT, state.to_bytes(32, "big"), chain)
    )
    connection.executemany(
        "INSERT INTO pair VALUES (?,?,?,?,?,?)", [(seq, n, *row) for n, row in enumerate(rows, start=1)]
    )
    return Entry(seq, at, act, of, title, FORMAT, state, chain)


def add_mark(connection: "Connection", mark: Mark) -> None:
    """Write a mark inside the transaction that is open."""
    number = connection.execute("SELECT coalesce(max(n), 0) + 1 FROM mark").fetchone()[0]
    connection.execute(
        "INSERT INTO mark VALUES (?,?,?,?,?)", (number, mark.name, mark.at, mark.seq, _mark_digest(number, mark))
    )


def _mark_digest(number: int, mark: Mark) -> bytes:
    return chain_of(_NO_CHAIN, (number, mark.name, mark.at, mark.seq), ())


def check_layout(connection: "Connection") -> None:
    """Refuse tables that aren't exactly ours, before anything in them is trusted.

    Raises
    ------
    Damage
        When a table, index, view or trigger is missing, added or altered.
    """
    found = connection.execute("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY rowid").fetchall()
    if [row[0] for row in found] != list(SCHEMA):
        raise Damage("its tables are not those of a home file")


def load(connection: "Connection") -> Loaded:
    """Read everything inside the transaction that is open, checking the records against their digest.

    Raises
    ------
    Damage
        When something doesn't fit.
    """
    check_layout(connection)
    checked = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if checked != "ok":
        raise Damage("its pages don't fit together")
    entries = _entries(connection)
    stacks = Stacks()
    for entry in entries:
        stacks.note(entry.seq, entry.act, entry.of)
    state = state_of_given(connection)
    records: list[Record] = []
    for kind, record_id, schema, body in connection.execute("SELECT kind, id, schema, body FROM record"):
        state += digest_of(kind, record_id, body)
        records.append(_read(kind, record_id, schema, body))
    if state % _MODULUS != entries[-1].state:
        raise Damage("its records don't add up to what the log says")
    home = Home.of(records, _counters(connection))
    for _, sentence in home.problems():
        raise Damage(f"its records don't fit together ({sentence.rstrip('.')})")
    marks = []
    for number, name, at, seq, digest in connection.execute("SELECT n, name, at, seq, digest FROM mark ORDER BY n"):
        mark = Mark(name, at, seq)
        if _mark_digest(number, mark) != digest or not 1 <= seq <= len(entries):
            raise Damage(f"its mark {number} is damaged")
        marks.append(mark)
    hashes = set()
    for name, media in connection.execute("SELECT hash, media FROM asset"):
        if media not in EXTENSIONS:
            raise Damage("a picture in it is of a kind that isn't kept")
        hashes.add(name)
    return Loaded(home, entries, stacks, marks, hashes)


def _entries(connection: "Connection") -> list[Entry]:
    rows = connection.execute("SELECT seq, at, act, of, title, schema, state, chain FROM edit ORDER BY seq").fetchall()
    if not rows or [row[0] for row in rows] != list(range(1, len(rows) + 1)):
        raise Damage("lines of its log are missing")
    return [
        Entry(seq, at, act, of, title, schema, int.from_bytes(state, "big"), chain)
        for seq, at, act, of, title, schema, state, chain in rows
    ]


def _read(kind: str, record_id: str, schema: int, body: bytes) -> Record:
    if kind not in KINDS or not 1 <= schema <= FORMAT:
        raise Damage(f"it holds a record of an unknown kind ({kind[:20]} {record_id[:20]})")
    try:
        record = read_body(kind, schema, body)
    except (msgspec.MsgspecError, ValueError):
        raise Damage(f"its record {record_id[:20]} can't be read") from None
    if record.id != record_id:
        raise Damage(f"its record {record_id[:20]} holds another one")
    return record


def _counters(connection: "Connection") -> dict[str, int]:
    counters = dict(connection.execute("SELECT letter, number FROM given").fetchall())
    highest = "SELECT kind, max(CAST(substr(id, 2) AS INTEGER)) FROM pair GROUP BY kind"
    for kind, number in connection.execute(highest):
        letter = KINDS[kind].letter if kind in KINDS else ""
        if letter:
            counters[letter] = max(counters.get(letter, 0), number)
    return counters


def change_of(connection: "Connection", entry: Entry) -> Change:
    """Give the change that a line of the log holds."""
    pairs: list[Pair] = []
    for kind, record_id, before, after in _rows(connection, entry.seq):
        pairs.append(
            (
                _read(kind, record_id, entry.schema, before) if before is not None else None,
                _read(kind, record_id, entry.schema, after) if after is not None else None,
            )
        )
    return Change(entry.title, tuple(pairs))


def _rows(connection: "Connection", seq: int) -> Iterator[Row]:
    yield from connection.execute("SELECT kind, id, before, after FROM pair WHERE seq=? ORDER BY n", (seq,))


class Bodies(NamedTuple):
    """A home as it was after an edit, as it is kept: by kind and id, and the share of numbers given out beforehand."""

    entries: list[Entry]
    held: dict[tuple[str, str], tuple[int, bytes]]
    given: int


def home_at(connection: "Connection", loaded: Loaded, seq: int) -> Home:
    """Give the home as it was after an edit: whatever was touched later goes back to before its first later touch.

    Raises
    ------
    Damage
        When the result isn't what the log says the home was.
    """
    return home_of(_bodies_at(connection, loaded.entries, seq), seq, loaded.home.counters)


def bodies_then(connection: "Connection", seq: int) -> tuple[Bodies, dict[str, int]]:
    """Give what ``home_of`` makes a home of, from a file that nothing else was read from yet.

    Raises
    ------
    Damage
        When there is no such edit.
    """
    entries = _entries(connection)
    if not 1 <= seq <= len(entries):
        raise Damage(f"it has no edit {seq}")
    return _bodies_at(connection, entries, seq), _counters(connection)


def _bodies_at(connection: "Connection", entries: list[Entry], seq: int) -> Bodies:
    schema_of = {entry.seq: entry.schema for entry in entries}
    bodies: dict[tuple[str, str], tuple[int, bytes]] = {
        (kind, record_id): (schema, body)
        for kind, record_id, schema, body in connection.execute("SELECT kind, id, schema, body FROM record")
    }
    first = "SELECT kind, id, min(seq) AS seq FROM pair WHERE seq > ? GROUP BY kind, id"
    later = f"SELECT p.kind, p.id, p.seq, p.before FROM ({first}) AS f JOIN pair AS p USING (kind, id, seq)"
    for kind, record_id, touched, before in connection.execute(later, (seq,)):
        if before is None:
            bodies.pop((kind, record_id), None)
        else:
            bodies[kind, record_id] = (schema_of[touched], before)
    return Bodies(entries, bodies, state_of_given(connection))


def home_of(bodies: Bodies, seq: int, counters: Mapping[str, int]) -> Home:
    """Give the home that some bodies are, checked against what the log says of it.

    Raises
    ------
    Damage
        When it isn't what the log says.
    """
    state = bodies.given
    records = []
    for (kind, record_id), (schema, body) in bodies.held.items():
        state += digest_of(kind, record_id, body)
        records.append(_read(kind, record_id, schema, body))
    is_told = all(entry.schema == FORMAT for entry in bodies.entries)
    if is_told and state % _MODULUS != bodies.entries[seq - 1].state:
        raise Damage(f"the home after edit {seq} doesn't add up to what the log says")
    return Home.of(records, counters)


def verify(connection: "Connection", pictures: bool = True) -> list[str]:
    """Give everything that doesn't fit in the whole log, the records and the pictures."""
    found: list[str] = []
    bodies: dict[tuple[str, str], bytes] = {}
    state, chain = state_of_given(connection), _NO_CHAIN
    entries = _entries(connection)
    for entry in entries:
        rows = list(_rows(connection, entry.seq))
        for kind, record_id, _, after in rows:
            earlier = bodies.pop((kind, record_id), None)
            state -= digest_of(kind, record_id, earlier) if earlier is not None else 0
            if after is not None:
                bodies[kind, record_id] = after
                state += digest_of(kind, record_id, after)
        state %= _MODULUS
        head = (entry.seq, entry.at, entry.act, entry.of, entry.title, entry.schema, entry.state)
        chain = chain_of(chain, head, rows)
        if chain != entry.chain:
            found.append(f"edit {entry.seq} or one of its pairs was altered")
            chain = entry.chain
        if state != entry.state:
            found.append(f"the home after edit {entry.seq} doesn't add up to what the log says")
            break
    kept = {(kind, i): body for kind, i, body in connection.execute("SELECT kind, id, body FROM record")}
    if not found and kept != bodies:
        found.append("the records are not those that the log ends with")
    for name, data in connection.execute("SELECT hash, bytes FROM asset") if pictures else ():
        if hash_of(data) != name:
            found.append(f"the picture {name[:12]}… was altered")
    return found
