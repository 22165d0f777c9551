"""What was read of each home, kept in the cache folder so that listing many takes no time. It is only a cache.

A row holds as long as path, size and time of change of a home are the same, and program and trade tables too. Nothing
is lost with the file: deleted, damaged, of another program or on a full disk, everything is read from the homes again.
"""

import contextlib
import hashlib
import json
import sqlite3
from pathlib import Path
from typing import Final, NamedTuple, Self

import msgspec

import circuitmap
from circuitmap.places import resources, user_data
from circuitmap.shelf.entry import Entry

FILE: Final = "shelf.sqlite"
_APPLICATION_ID: Final = 0x434D4958  # "CMIX"
_WAIT_S: Final = 2.0
_EVERY: Final = 20
_decoder = msgspec.msgpack.Decoder(Entry)


class Stamp(NamedTuple):
    """By what a home is known to be the same as last time: where it is, its size and when it was changed."""

    path: str
    size: int
    mtime_ns: int


class Index:
    """The kept rows; every failure only means that a home is read again. ``why_not`` says why nothing is kept."""

    def __init__(self, folder: Path | None, version: str) -> None:
        self.why_not = ""
        self._version = version
        self._waiting = 0
        self._path = (folder or Path()) / FILE
        self._connection = self._opened(folder) if folder is not None else None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def get(self, stamp: Stamp) -> Entry | None:
        """Give what was kept of a home that hasn't changed since."""
        if self._connection is None:
            return None
        try:
            row = self._connection.execute(
                "SELECT entry FROM home WHERE path=? AND size=? AND mtime=? AND version=?", (*stamp, self._version)
            ).fetchone()
            return _decoder.decode(row[0]) if row is not None else None
        except sqlite3.Error as error:
            self._give_up(error)
        except (msgspec.MsgspecError, TypeError):
            pass  # a row that can't be read is as good as none
        return None

    def put(self, stamp: Stamp, entry: bytes) -> None:
        """Keep what was read of a home."""
        if self._connection is None:
            return
        try:
            self._connection.execute(
                "INSERT OR REPLACE INTO home VALUES (?,?,?,?,?)", (*stamp, self._version, entry)
            )  # fmt: skip
            self._waiting += 1
            if self._waiting >= _EVERY:
                self._connection.commit()
                self._waiting = 0
        except sqlite3.Error as error:
            self._give_up(error)

    def forget_others(self, folder: str, known: set[str]) -> None:
        """Drop the rows of homes that are no longer in a folder."""
        if self._connection is None:
            return
        try:
            rows = self._connection.execute("SELECT path FROM home").fetchall()
            gone = [(path,) for (path,) in rows if path.startswith(folder) and path not in known]
            self._connection.executemany("DELETE FROM home WHERE path=?", gone)
        except sqlite3.Error as error:
            self._give_up(error)

    def close(self) -> None:
        """Write down what waits and let go of the file."""
        if self._connection is not None:
            try:
                self._connection.commit()
            except sqlite3.Error as error:
                self._give_up(error)
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def _opened(self, folder: Path) -> sqlite3.Connection | None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            return _connected(self._path)
        except sqlite3.OperationalError as error:  # held by another process, or no place to write
            self.why_not = str(error)
        except (sqlite3.DatabaseError, ValueError):
            return self._begun_again()
        except OSError as error:
            self.why_not = error.strerror or str(error)
        return None

    def _begun_again(self) -> sqlite3.Connection | None:
        try:
            _drop(self._path)
            return _connected(self._path)
        except (OSError, sqlite3.Error, ValueError) as error:
            self.why_not = getattr(error, "strerror", None) or str(error)
        return None

    def _give_up(self, error: sqlite3.Error) -> None:
        self.why_not = str(error)
        if self._connection is not None:
            with contextlib.suppress(sqlite3.Error):
                self._connection.close()
            self._connection = None
        if not isinstance(error, sqlite3.OperationalError):
            with contextlib.suppress(OSError):
                _drop(self._path)  # damaged: begun anew next time


def cache_folder() -> Path:
    """Give the folder for what can be worked out again (it may not exist yet)."""
    from platformdirs import user_cache_path

    return user_cache_path("circuitmap", appauthor=False)


def version_now() -> str:
    """Give what every row depends on beside its home: this program, what it keeps, and the trade tables in force."""
    digest = hashlib.sha256(circuitmap.__version__.encode())
    digest.update(json.dumps(msgspec.json.schema(Entry), sort_keys=True).encode())
    for folder in (resources() / "trade", user_data()):
        for path in sorted(folder.glob("*.toml")):
            with contextlib.suppress(OSError):
                digest.update(path.name.encode())
                digest.update(path.read_bytes())
    return digest.hexdigest()[:32]


def _connected(path: Path) -> sqlite3.Connection:
    """Open the file, or make it.

    Raises
    ------
    ValueError
        When it is a database of something else.
    """
    connection = sqlite3.connect(path, timeout=_WAIT_S)
    try:
        _begin(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _begin(connection: sqlite3.Connection) -> None:
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type='table'")}
    if tables and (application != _APPLICATION_ID or tables != {"home"}):
        raise ValueError("a file of another program")
    if not tables:
        connection.execute(f"PRAGMA application_id={_APPLICATION_ID}")
        connection.execute(
            "CREATE TABLE home (path TEXT PRIMARY KEY, size INTEGER NOT NULL, mtime INTEGER NOT NULL,"
            " version TEXT NOT NULL, entry BLOB NOT NULL) STRICT, WITHOUT ROWID"
        )
        connection.commit()
    connection.execute("SELECT path, size, mtime, version, entry FROM home LIMIT 1").fetchone()


def _drop(path: Path) -> None:
    for each in (path, path.with_name(f"{path.name}-journal")):
        each.unlink(missing_ok=True)
