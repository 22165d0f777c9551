"""One home file: open and lock it, commit to it durably, read its past; sentences for whatever can go wrong.

The file is SQLite with a rollback journal and full syncing: each change is one transaction, and a process killed at
any moment leaves every completed change. Who can't have the lock looks at the file read-only.
"""

import contextlib
import os
import sqlite3
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from circuitmap.errors import FileError
from circuitmap.home import log
from circuitmap.home.assets import Asset, Assets, hash_of
from circuitmap.home.change import Change
from circuitmap.home.claim import Claim, claim
from circuitmap.home.log import Act, Damage, Entry, Loaded, Mark, Stacks
from circuitmap.home.snapshot import Home

SUFFIX: Final = ".cmap"
_MEMORY: Final = ":memory:"
_HEADER: Final = b"SQLite format 3\0"
_WAIT_S: Final = 5.0
_CHECKED_AT_ONCE: Final = 20_000
"""Up to so many pairs the whole log is checked on opening (0.1 s); longer logs wait for ``verify``."""
_FULL: Final = "the disk is full, so this change was not kept; make room and do it again."
_SENTENCES: Final = {
    "SQLITE_FULL": _FULL,
    "SQLITE_BUSY": "another program is holding this file, so this change was not kept; close it there and try again.",
    "SQLITE_LOCKED": "another program is holding this file, so this change was not kept; close it there and try again.",
    "SQLITE_READONLY_DBMOVED": "the file was moved or deleted while it was open, so this change was not kept;"
    " put it back and try again.",
    "SQLITE_READONLY": "the file can't be written, so this change was not kept; check who may write to it.",
    "SQLITE_CANTOPEN": "the folder can't be written, so this change was not kept; check who may write to it.",
    "SQLITE_IOERR": "the disk reported a fault or has no room, so this change was not kept; check the disk.",
    "SQLITE_TOOBIG": "that is too large to be kept in a home file; nothing was changed.",
}
_DAMAGED: Final = "is damaged or cut short"
_RESTORE: Final = "Go back to a copy of it, or to a text form unpacked earlier."


class HomeFile:
    """An open home file; ``Document`` is what the rest of the program uses."""

    def __init__(self, path: Path | None, connection: sqlite3.Connection, lock: Claim | None, why: str = "") -> None:
        self.path = path
        self.read_only_why = why
        self.connection = connection
        self._lock = lock
        self._loaded = Loaded(Home.blank(), [], Stacks(), [], set())

    # -- opening and making -------------------------------------------------------------------------------------

    @classmethod
    def open(cls, path: Path, look_only: bool = False) -> "HomeFile":
        """Open a home file, to write in it where that is possible.

        Parameters
        ----------
        look_only
            Don't even try for the lock, and leave the check of the whole log out (what a command does).

        Raises
        ------
        FileError
            When it is missing, foreign, damaged, newer than this program, or can't be read.
        """
        _look_at_header(path)
        why, lock = "", None
        if not look_only:
            why = _why_unwritable(path)
            if not why:
                lock, why = claim(path)
        elif _journal(path).exists() and not _why_unwritable(path):
            _heal(path)
        file = None
        try:
            file = cls(path, _connect(path, "ro" if why or look_only else "rw"), lock, why)
            file._load(check_log=not look_only)
        except BaseException:
            if file is not None:
                file.close()
            elif lock is not None:
                lock.release()
            raise
        return file

    @classmethod
    @contextlib.contextmanager
    def glance(cls, path: Path) -> Iterator["HomeFile"]:
        """Give a file for the sake of its pictures and its past: no lock is asked for and nothing else is read.

        Raises
        ------
        FileError
            When it is missing or foreign.
        """
        _look_at_header(path)
        file = cls(path, _connect(path, "ro"), None)
        try:
            yield file
        finally:
            file.close()

    @classmethod
    def create(cls, path: Path, stages: list[tuple[str, Home, Mark | None]], assets: Assets, at: str,
               replace: bool = False) -> "HomeFile":  # fmt: skip
        """Make a home file with a home in it, complete or not at all.

        Parameters
        ----------
        stages
            (title, home, mark) from the earliest to the present one; marks point at their stage.
        replace
            Whether a home file that is already there may be replaced.

        Raises
        ------
        FileError
            When something is already there, or it can't be written.
        """
        if not replace and (path.exists() or path.is_symlink()):
            raise FileError(path, "is already there; choose another name.")
        if replace and path.exists():
            _look_at_header(path)
        if not path.parent.is_dir():
            raise FileError(path, "has no folder to stand in; make the folder first.")
        if why := _why_unwritable(path):
            raise FileError(path, f"can't be written: {why}.")
        lock, why = claim(path)
        if lock is None:
            raise FileError(path, f"can't be written: {why}.")
        part = path.with_name(f".{path.name}.part")
        try:
            _drop(part)
            made = cls(path, _connect(part, "rwc"), None)
            try:
                made._fill(stages, assets, at)
            finally:
                made.close()
            if _journal(path).exists():
                _heal(path)
            _journal(path).unlink(missing_ok=True)  # a leftover journal would be played into the new file
            part.replace(path)
            sync_folder(path.parent)
            file = cls(path, _connect(path, "rw"), lock)
            file._load(check_log=True)
        except OSError as error:
            lock.release()
            raise FileError(path, f"can't be written: {_words(error)}.") from None
        except BaseException:
            lock.release()
            raise
        finally:
            with contextlib.suppress(OSError):
                _drop(part)
        return file

    @classmethod
    def memory(cls, stages: list[tuple[str, Home, Mark | None]], assets: Assets, at: str) -> "HomeFile":
        """Make the same in memory only: nothing is kept."""
        file = cls(None, _connect(None, "rwc"), None)
        file._fill(stages, assets, at)
        file._load(check_log=False)
        return file

    def _fill(self, stages: list[tuple[str, Home, Mark | None]], assets: Assets, at: str) -> None:
        last: Entry | None = None
        before = Home({})
        newest = stages[-1][1]
        # Numbers given out to records that none of these homes has any more would be forgotten with their log.
        held: dict[str, int] = {}
        for _, home, _ in stages:
            for record in home.all():
                if record.letter:
                    held[record.letter] = max(held.get(record.letter, 0), int(record.id[1:]))
        given = sorted((i, n) for i, n in newest.counters.items() if n > held.get(i, 0))
        with self._transaction():
            log.make_tables(self.connection, given)
            self._put_assets(assets)
            for title, home, mark in stages:
                change = difference(title, before, home)
                if change.pairs or last is None:
                    last = log.append(self.connection, last, change, "do", None, at)
                if mark is not None:
                    log.add_mark(self.connection, Mark(mark.name, mark.at, last.seq))
                before = home

    def _load(self, check_log: bool) -> None:
        try:
            self.connection.execute("BEGIN")
            try:
                version = self.connection.execute("PRAGMA user_version").fetchone()[0]
                if version > log.VERSION:
                    raise _newer(self._name, version)
                self._loaded = log.load(self.connection)
                if check_log and self.connection.execute("SELECT count(*) FROM pair").fetchone()[0] <= _CHECKED_AT_ONCE:
                    for words in log.verify(self.connection, pictures=False):
                        raise Damage(words)
            finally:
                self.connection.execute("COMMIT")
        except Damage as damage:
            raise FileError(self._name, f"{_DAMAGED}: {damage}.", _RESTORE) from None
        except sqlite3.OperationalError as error:
            raise FileError(self._name, _why_unread(error)) from None
        except (sqlite3.Error, UnicodeDecodeError, OverflowError):
            raise FileError(self._name, f"{_DAMAGED}.", _RESTORE) from None

    # -- what is in it ------------------------------------------------------------------------------------------

    @property
    def loaded(self) -> Loaded:
        """What was read on opening, kept up with every commit but for the home itself."""
        return self._loaded

    def asset(self, name: str) -> Asset:
        """Give an asset's media type and bytes, checked against its name.

        Raises
        ------
        FileError
            When there is none, or its bytes were altered.
        """
        with self._reading():
            row = self.connection.execute("SELECT media, bytes FROM asset WHERE hash=?", (name,)).fetchone()
        if row is None:
            raise FileError(self._name, f"has no picture {name[:12]}…; bring it in again.")
        if hash_of(row[1]) != name:
            raise FileError(self._name, f"{_DAMAGED}: the picture {name[:12]}… was altered.", "Bring it in again.")
        return row[0], row[1]

    def change_of(self, seq: int) -> Change:
        """Give the change that one line of the log holds."""
        with self._reading():
            return log.change_of(self.connection, self._loaded.entries[seq - 1])

    def home_at(self, seq: int) -> Home:
        """Give the home as it was after an edit."""
        with self._reading():
            return log.home_at(self.connection, self._loaded, seq)

    def home_then(self, seq: int) -> Home:
        """Give the home as it was after an edit, of a file that was only glanced at, held for the reading only."""
        with self._reading():
            self.connection.execute("BEGIN")
            try:
                bodies, counters = log.bodies_then(self.connection, seq)
            finally:
                self.connection.execute("COMMIT")
            return log.home_of(bodies, seq, counters)

    def verify(self) -> list[str]:
        """Give everything that doesn't fit anywhere in the file; nothing when it is sound."""
        with self._reading():
            return log.verify(self.connection)

    # -- writing ------------------------------------------------------------------------------------------------

    def commit(self, change: Change, act: Act, of: int | None, assets: Assets, at: str) -> Entry:
        """Write one change durably: it is on the disk when this comes back, and not at all when it raises.

        Raises
        ------
        FileError
            When it couldn't be kept.
        """
        last = self._loaded.last
        with self._transaction():
            self._put_assets(assets)
            entry = log.append(self.connection, last, change, act, of, at)
        self._loaded.entries.append(entry)
        self._loaded.stacks.note(entry.seq, act, of)
        self._loaded.hashes.update(assets)
        return entry

    def mark(self, name: str, at: str) -> Mark:
        """Name the present moment durably."""
        mark = Mark(name, at, self._loaded.last.seq)
        with self._transaction():
            log.add_mark(self.connection, mark)
        self._loaded.marks.append(mark)
        return mark

    def close(self) -> None:
        """Let go of the file and its lock."""
        self.connection.close()
        if self._lock is not None:
            self._lock.release()
            self._lock = None

    def _put_assets(self, assets: Assets) -> None:
        rows = [(name, media, data) for name, (media, data) in assets.items()]
        self.connection.executemany("INSERT OR IGNORE INTO asset VALUES (?,?,?)", rows)

    @contextlib.contextmanager
    def _transaction(self) -> Iterator[None]:
        if self.read_only_why:
            raise FileError(self._name, f"can't be changed here: {self.read_only_why}.")
        try:
            self.connection.execute("BEGIN IMMEDIATE")
            yield
            self.connection.execute("COMMIT")
        except Damage as damage:
            self._roll_back()
            raise FileError(self._name, f"this change was not kept: {damage}; open it again.") from None
        except (sqlite3.Error, OverflowError) as error:
            self._roll_back()
            raise FileError(self._name, _why_unkept(error)) from None
        except BaseException:
            self._roll_back()
            raise

    def _roll_back(self) -> None:
        if self.connection.in_transaction:
            with contextlib.suppress(sqlite3.Error):  # the journal undoes on the next opening what this couldn't
                self.connection.execute("ROLLBACK")

    @contextlib.contextmanager
    def _reading(self) -> Iterator[None]:
        try:
            yield
        except Damage as damage:
            raise FileError(self._name, f"{_DAMAGED}: {damage}.", _RESTORE) from None
        except sqlite3.OperationalError as error:
            raise FileError(self._name, _why_unread(error)) from None
        except (sqlite3.Error, UnicodeDecodeError):
            raise FileError(self._name, f"{_DAMAGED}.", _RESTORE) from None

    @property
    def _name(self) -> object:
        return self.path or "this home"


def difference(title: str, before: Home, after: Home) -> Change:
    """Give the change that turns one home into another."""
    was = {record.id: record for record in before.all()}
    now = {record.id: record for record in after.all()}
    pairs = [(was.get(i), record) for i, record in now.items() if was.get(i) != record]
    return Change(title, (*pairs, *((record, None) for i, record in was.items() if i not in now)))


def sync_folder(folder: Path) -> None:
    """Make a renaming durable; where a folder can't be synced (some network shares) the system does it in its time."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


# -- before SQLite is let near it ---------------------------------------------------------------------------------


def _look_at_header(path: Path) -> None:
    try:
        kind = path.stat().st_mode
        if stat.S_ISDIR(kind):
            raise FileError(path, "is a folder, not a home file.")
        if not stat.S_ISREG(kind):
            raise FileError(path, "is not a file that can be opened.")
        with path.open("rb") as stream:
            header = stream.read(100)
    except FileNotFoundError:
        raise FileError(path, "is not there; check the name.") from None
    except OSError as error:
        raise FileError(path, f"can't be read: {_words(error)}.") from None
    if not header:
        raise FileError(path, "is empty; it holds no home.")
    if header[:16] != _HEADER[: len(header)] or (
        len(header) == 100 and int.from_bytes(header[68:72], "big") != log.APPLICATION_ID
    ):
        raise FileError(path, "is not a home file of this program.")
    if len(header) < 100:
        raise FileError(path, f"{_DAMAGED}.", _RESTORE)
    version = int.from_bytes(header[60:64], "big")
    if version > log.VERSION and not _journal(path).exists():
        raise _newer(path, version)
    if header[18:20] != b"\1\1":
        raise FileError(path, f"{_DAMAGED}: another program has altered how it is kept.", _RESTORE)


def _newer(path: object, version: int) -> FileError:
    return FileError(
        path,
        f"was written by a newer circuitmap (layout {version}; this one reads up to {log.VERSION}).",
        "Update this program to open it.",
    )


def _why_unwritable(path: Path) -> str:
    """Give why a file can't be written, or nothing; also where only its marking says so and the person could."""
    writable = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH
    for what, name in ((path, "the file"), (path.parent, "its folder")):
        if what.exists() and (not what.stat().st_mode & writable or not os.access(what, os.W_OK)):
            return f"{name} is read-only"
    return ""


def _journal(path: Path) -> Path:
    return path.with_name(f"{path.name}-journal")


def _heal(path: Path) -> None:
    """Let SQLite take back what a killed process left half done, unless a window is at work on it right now."""
    lock, _ = claim(path)
    if lock is None:
        return
    try:
        with contextlib.closing(_connect(path, "rw")) as connection, contextlib.suppress(sqlite3.Error):
            connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    finally:
        lock.release()


def _connect(path: Path | None, mode: str) -> sqlite3.Connection:
    try:
        uri = f"{path.absolute().as_uri()}?mode={mode}" if path is not None else _MEMORY
        connection = sqlite3.connect(uri, uri=path is not None, isolation_level=None, timeout=_WAIT_S)
        connection.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 0)
        for pragma in ("trusted_schema=OFF", "cell_size_check=ON", "foreign_keys=ON", "synchronous=EXTRA"):
            connection.execute(f"PRAGMA {pragma}")
    except sqlite3.OperationalError as error:
        raise FileError(path, _why_unread(error)) from None
    except sqlite3.Error:
        raise FileError(path, f"{_DAMAGED}.", _RESTORE) from None
    return connection


def _drop(part: Path) -> None:
    part.unlink(missing_ok=True)
    _journal(part).unlink(missing_ok=True)


def _words(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _why_unkept(error: Exception) -> str:
    name = getattr(error, "sqlite_errorname", "")
    for key, sentence in _SENTENCES.items():
        if name == key or (name.startswith(key) and key != "SQLITE_READONLY_DBMOVED"):
            return sentence
    return f"this change was not kept ({error}); check the file with a copy of it."


def _why_unread(error: sqlite3.OperationalError) -> str:
    name = getattr(error, "sqlite_errorname", "")
    if name == "SQLITE_READONLY_ROLLBACK":
        return (
            "a window was cut off in the middle of a change, and that can't be put right where nothing may be written;"
            " copy the file and its -journal to a folder of your own and open it there."
        )
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return "another program is holding this file; close it there and try again."
    if name.startswith(("SQLITE_CANTOPEN", "SQLITE_IOERR", "SQLITE_PERM", "SQLITE_AUTH")):
        return "can't be read; check the disk and who may read it."
    return f"{_DAMAGED}. {_RESTORE}"
