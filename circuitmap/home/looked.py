"""A home opened to be looked at: as it is now, as it was at its marks and on any day, and its pictures."""

import datetime
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Final, NamedTuple, Self

from circuitmap.errors import FileError, HomeError
from circuitmap.home.assets import Asset
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.file import HomeFile
from circuitmap.home.snapshot import Home
from circuitmap.words import day_said

NOW: Final = "now"


class Moment(NamedTuple):
    """A moment that a home can be looked at: its name, the instant (UTC, with Z) and how to get it."""

    name: str
    at: str
    home: Callable[[], Home]


class Looked:
    """A home that was opened to be looked at; close it, or use it with ``with``.

    ``home`` is the home as it is now, ``moments`` its marks in their order, the latest of each name.
    """

    def __init__(
        self,
        home: Home,
        moments: tuple[Moment, ...],
        asset: Callable[[str], Asset],
        close: Callable[[], None],
        log: "_Log | None" = None,
    ) -> None:
        self.home = home
        self.moments = moments
        self._asset = asset
        self._log = log
        self.close = close

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def asset(self, name: str) -> Asset | None:
        """Give the media type and the bytes of an asset by its SHA-256, None where it is missing or was altered."""
        try:
            return self._asset(name)
        except (FileError, KeyError):
            return None

    def at(self, name: str) -> Home:
        """Give the home as it was at a mark, or at the end of a day ("2026-01-31"); "now" for how it is.

        Raises
        ------
        HomeError
            When there is no such mark, with those that there are, or the home has no history of that day.
        """
        typed = name.strip().casefold()
        for moment in self.moments:
            if moment.name.casefold() == typed:
                return moment.home()
        if typed == NOW:
            return self.home
        day = _day(typed)
        if day is not None:
            return self.on(day)
        there = ", ".join(f"“{moment.name}”" for moment in self.moments) or "none"
        raise HomeError(f"There is no mark “{name}” in this home; there are: {there}.")

    def on(self, day: datetime.date) -> Home:
        """Give the home as it was at the end of a day, by the clock on the wall.

        Of a text form, which has no log of edits, it is the last mark of that day or before, and the home as it is
        when its marks are all earlier.

        Raises
        ------
        HomeError
            When the home had no history yet, with the first day that it has.
        """
        ends = datetime.datetime.combine(day + datetime.timedelta(days=1), datetime.time()).astimezone()
        if self._log is not None:
            seqs = [seq for seq, at in self._log.edits if _instant(at) < ends]
            if seqs:
                return self._log.at(seqs[-1])
            began = _instant(self._log.edits[0][1])
            raise HomeError(
                f"This home was begun here on {day_said(began.astimezone().date())}; of {day_said(day)} it has no "
                "history. Compare with a later day, or with a mark."
            )
        earlier = [moment for moment in self.moments if _instant(moment.at) < ends]
        if earlier:
            return self.home if len(earlier) == len(self.moments) else earlier[-1].home()
        raise HomeError(
            f"This text form has no log of edits, and no mark of {day_said(day)} or before; name one of its marks."
        )


class _Log(NamedTuple):
    """The edits of a home with their instants, and how to get the home after one."""

    edits: Sequence[tuple[int, str]]
    at: Callable[[int], Home]


def look_at(path: Path) -> Looked:
    """Open a home file or a text form to look at it; nothing is claimed and nothing written.

    Raises
    ------
    FileError
        When it is neither, or can't be read.
    """
    if path.is_dir():
        if not (path / "home.json").exists():
            raise FileError(path, "is a folder without a home.json, so it is no text form of a home.")
        form = read_folder(path)
        moments = tuple(Moment(mark.name, mark.at, partial(_same, mark.home)) for mark in form.marks)
        return Looked(form.home, moments, form.assets.__getitem__, lambda: None)
    file = HomeFile.open(path, look_only=True)
    latest = {mark.name: mark for mark in file.loaded.marks}
    ordered = sorted(latest.values(), key=lambda mark: mark.seq)
    moments = tuple(Moment(mark.name, mark.at, partial(file.home_at, mark.seq)) for mark in ordered)
    log = _Log([(entry.seq, entry.at) for entry in file.loaded.entries], file.home_at)
    return Looked(file.loaded.home, moments, file.asset, file.close, log)


def look_into(document: Document) -> Looked:
    """Give the home that a document holds open, as it is now, to be looked at; the document stays open."""
    moments = tuple(Moment(mark.name, mark.at, partial(document.at, mark.seq)) for mark in document.marks())
    log = _Log([(entry.seq, entry.at) for entry in document.history()], document.at)
    return Looked(document.home, moments, document.asset_with_media, lambda: None, log)


def _same(home: Home) -> Home:
    return home


def _day(text: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None


def _instant(text: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(text)
