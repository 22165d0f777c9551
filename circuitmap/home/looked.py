"""A home opened to be looked at: as it is now, as it was at its marks, and the pictures that it holds."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Final, NamedTuple, Self

from circuitmap.errors import FileError, HomeError
from circuitmap.home.assets import Asset
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.file import HomeFile
from circuitmap.home.snapshot import Home

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
        self, home: Home, moments: tuple[Moment, ...], asset: Callable[[str], Asset], close: Callable[[], None]
    ) -> None:
        self.home = home
        self.moments = moments
        self._asset = asset
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
        """Give the home as it was at a mark; "now" for how it is.

        Raises
        ------
        HomeError
            When there is no such mark, with those that there are.
        """
        typed = name.strip().casefold()
        for moment in self.moments:
            if moment.name.casefold() == typed:
                return moment.home()
        if typed == NOW:
            return self.home
        there = ", ".join(f"“{moment.name}”" for moment in self.moments) or "none"
        raise HomeError(f"There is no mark “{name}” in this home; there are: {there}.")


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
    return Looked(file.loaded.home, moments, file.asset, file.close)


def look_into(document: Document) -> Looked:
    """Give the home that a document holds open, as it is now, to be looked at; the document stays open."""
    moments = tuple(Moment(mark.name, mark.at, partial(document.at, mark.seq)) for mark in document.marks())
    return Looked(document.home, moments, document.asset_with_media, lambda: None)


def _same(home: Home) -> Home:
    return home
