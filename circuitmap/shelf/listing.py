"""A folder of homes, listed one by one in the order of their paths; what can't be read is a line of its own.

Homes that haven't changed come from the index. Where many have to be read, other processes of this program read them,
so that two cores are used and a window beside it never waits.
"""

import contextlib
import os
import stat
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import cache
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from typing import Final, NamedTuple

import msgspec

from circuitmap.errors import FileError, PersonError, TextFormError
from circuitmap.jobs import Ticket
from circuitmap.places import user_data
from circuitmap.shelf.entry import Entry
from circuitmap.shelf.index import Index, Stamp
from circuitmap.trade import Trade, load

TEXT_FORM: Final = "home.json"
HOME_FILE: Final = ".cmap"
_DEEPEST: Final = 12
_MOST: Final = 100_000
WORTH_PROCESSES: Final = 12
_MOST_PROCESSES: Final = 4
_HANDED_OUT: Final = 8


class Spot(NamedTuple):
    """A home found in a folder, or (with ``problem``) something there that can't be looked at."""

    shown: str
    path: Path
    stamp: Stamp | None
    problem: str = ""


def spots_in(folder: Path, ticket: Ticket | None = None) -> tuple[Spot, ...]:
    """Give the home files and text forms in a folder and below it, in the natural order of their paths.

    Hidden files, links to folders, and whatever is inside a text form are passed over.

    Raises
    ------
    FileError
        When the folder itself can't be looked at.
    StoppedError
        When it was stopped.
    """
    if not folder.exists():
        raise FileError(folder, "is not there; check the name.")
    if not folder.is_dir():
        raise FileError(folder, "is not a folder; give the folder in which the homes are.")
    try:
        if _text_form(folder) is not None:
            return (_spot(folder, folder.name, folder / TEXT_FORM),)
        with os.scandir(folder):
            pass
    except OSError as error:
        raise FileError(folder, f"can't be looked at: {(error.strerror or str(error)).lower()}.") from None
    found = list(islice(_walk(folder, folder, 0, ticket or Ticket()), _MOST))
    return tuple(sorted(found, key=lambda spot: [natural_text(part) for part in spot.shown.split("/")]))


def natural_text(text: str) -> tuple[tuple[int, str], ...]:
    """Give by what texts are put in order so that 2 comes before 10, whatever the case."""
    parts: list[tuple[int, str]] = []
    number = ""
    for letter in f"{text.casefold()}\0":
        if letter.isdecimal() and letter.isascii():
            number += letter
            continue
        if number:
            parts.append((int(number[:15]), ""))
            number = ""
        parts.append((1 << 60, letter))
    return tuple(parts)


def listed(
    folder: Path, trade: Trade, index: Index, ticket: Ticket | None = None, apart_from: int = WORTH_PROCESSES
) -> Iterator[Entry]:
    """Give what is kept of every home in a folder, each as soon as all before it are there.

    Parameters
    ----------
    apart_from
        From so many homes on that have to be read, other processes read them.

    Raises
    ------
    FileError
        When the folder itself can't be looked at.
    StoppedError
        When it was stopped.
    """
    ticket = ticket or Ticket()
    spots = spots_in(folder, ticket)
    known = [index.get(spot.stamp) if spot.stamp is not None else Entry(path="") for spot in spots]
    to_read = [n for n, entry in enumerate(known) if entry is None]
    reader = _Reader(len(to_read) >= apart_from, trade)
    try:
        for n in to_read:
            reader.ask(n, spots[n])
        for n, spot in enumerate(spots):
            ticket.tick(n, len(spots), spot.shown)
            if spot.problem:
                yield Entry(path=spot.shown, problem=spot.problem)
                continue
            entry = known[n]
            if entry is None:
                data = reader.answer(n, spot)
                entry = msgspec.msgpack.decode(data, type=Entry)
                if (
                    not entry.problem
                    and spot.stamp is not None
                    and _stamp(_kept(spot.path), spot.stamp.path) == spot.stamp
                ):
                    index.put(spot.stamp, data)
            yield entry if entry.path == spot.shown else msgspec.structs.replace(entry, path=spot.shown)
        index.forget_others(f"{folder.resolve()}{os.sep}", {spot.stamp.path for spot in spots if spot.stamp})
    finally:
        reader.close()


def matches(entry: Entry, words: str) -> tuple[str, ...]:
    """Give the texts of a home in which every word occurs, its name and address first; nothing for no words."""
    from circuitmap.trade.spelling import spelled

    wanted = spelled(words).split()
    if not wanted:
        return ()
    found = []
    head = f"{entry.name} {entry.address} {entry.path}"
    if _holds(spelled(head), wanted):
        found.append(entry.title)
    found += [text for _, text, plain in entry.texts if _holds(plain, wanted)]
    return tuple(found)


def _holds(plain: str, wanted: list[str]) -> bool:
    padded = f" {plain}"
    return all(f" {word}" in padded for word in wanted)


# -- finding ------------------------------------------------------------------------------------------------------


def _walk(root: Path, folder: Path, depth: int, ticket: Ticket) -> Iterator[Spot]:
    ticket.tick(0, 0, folder.name)
    try:
        with os.scandir(folder) as entries:
            here = list(entries)
    except OSError as error:
        yield Spot(_shown(root, folder), folder, None, f"can't be looked at: {(error.strerror or str(error)).lower()}")
        return
    for each in here:
        if each.name.startswith("."):
            continue
        path = Path(each.path)
        try:
            if each.is_dir(follow_symlinks=False):
                if _text_form(path) is not None:
                    yield _spot(path, _shown(root, path), path / TEXT_FORM)
                elif depth < _DEEPEST:
                    yield from _walk(root, path, depth + 1, ticket)
            elif each.name.lower().endswith(HOME_FILE):
                yield _spot(path, _shown(root, path), path)
        except OSError as error:
            yield Spot(_shown(root, path), path, None, f"can't be looked at: {(error.strerror or str(error)).lower()}")


def _text_form(folder: Path) -> os.stat_result | None:
    with contextlib.suppress(OSError):
        found = (folder / TEXT_FORM).lstat()
        return found if not stat.S_ISDIR(found.st_mode) else None
    return None


def _spot(path: Path, shown: str, kept: Path) -> Spot:
    return Spot(shown, path, _stamp(kept, str(path.resolve())))


def _kept(path: Path) -> Path:
    return path / TEXT_FORM if path.is_dir() else path


def _stamp(kept: Path, path: str) -> Stamp | None:
    try:
        found = kept.stat()
    except OSError:
        return Stamp(path, -1, -1)
    return Stamp(path, found.st_size, found.st_mtime_ns)


def _shown(root: Path, path: Path) -> str:
    return path.relative_to(root).as_posix().encode("utf-8", "replace").decode()


# -- reading ------------------------------------------------------------------------------------------------------


class _Reader:
    """Reads homes here, or in other processes where there are many."""

    def __init__(self, is_apart: bool, trade: Trade) -> None:
        self._trade = trade
        self._pool: ProcessPoolExecutor | None = None
        self._asked: dict[int, Future[bytes]] = {}
        self._waiting: deque[tuple[int, Spot]] = deque()
        cores = min(os.cpu_count() or 1, _MOST_PROCESSES)
        if is_apart and cores > 1:
            self._pool = ProcessPoolExecutor(cores, mp_context=get_context("spawn"))

    def ask(self, n: int, spot: Spot) -> None:
        if self._pool is not None:
            self._waiting.append((n, spot))

    def answer(self, n: int, spot: Spot) -> bytes:
        if self._pool is not None:
            try:
                self._hand_out()
                return self._asked.pop(n).result()
            except (BrokenProcessPool, OSError):
                self.close()
        return _read(spot.path, spot.shown, self._trade)

    def close(self) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True)  # few are handed out at a time, so these are soon done
            self._pool = None

    def _hand_out(self) -> None:
        while self._pool is not None and self._waiting and len(self._asked) < _HANDED_OUT:
            n, spot = self._waiting.popleft()
            self._asked[n] = self._pool.submit(_read_elsewhere, str(spot.path), spot.shown)


@cache
def _tables() -> Trade:
    return load(user_data())


def _read_elsewhere(path: str, shown: str) -> bytes:
    return _read(Path(path), shown, _tables())


def _read(path: Path, shown: str, trade: Trade) -> bytes:
    from circuitmap.shelf.reading import read_entry

    try:
        entry = read_entry(path, shown, trade)
    except PersonError as error:
        entry = Entry(path=shown, is_folder=path.is_dir(), problem=_one_line(error))
    except Exception as error:  # noqa: BLE001  # whatever is wrong with one home, the rest is listed
        says = f"something of ours went wrong with it ({type(error).__name__}); open it by itself to see more"
        entry = Entry(path=shown, is_folder=path.is_dir(), problem=says)
    return msgspec.msgpack.encode(entry)


def _one_line(error: PersonError) -> str:
    match error:
        case TextFormError():
            says = f"{error.says} {error.problems[0]}" if error.problems else error.says
        case FileError():
            says = error.says
        case _:
            says = str(error)
    return " ".join(says.split())[:400]
