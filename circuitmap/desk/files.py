"""Homes as files: new, open, sample, copy, SVG. Each answers a refusal with one sentence and leaves all as it was."""

import shutil
from collections.abc import Mapping
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog

from circuitmap.desk.work import Work
from circuitmap.errors import FileError, PersonError
from circuitmap.home import Home
from circuitmap.home.assets import missing_said
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Sheet
from circuitmap.home.verbs import today_text
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.places import sample_homes, user_data
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from circuitmap.desk.adapter import Adapter
    from circuitmap.desk.window import Window

SUFFIX = ".cmap"
_FILTER = f"Homes (*{SUFFIX})"


def fresh_path(stem: str, folder: Path | None = None) -> Path:
    """Give a path that no file has yet, in the person's folder of homes.

    Raises
    ------
    FileError
        When the folder can't be made.
    """
    where = folder or user_data() / "homes"
    try:
        where.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(where, f"the folder for homes can't be made ({error.strerror}).") from None
    clean = "".join(c if c.isalnum() or c in " -_" else " " for c in stem).strip()[:60] or "home"
    path = where / f"{clean}{SUFFIX}"
    number = 2
    while path.exists():
        path = where / f"{clean} {number}{SUFFIX}"
        number += 1
    return path


def open_path(path: Path | None, *, in_memory: bool = False, folder: Path | None = None) -> Document:
    """Open what a person named: a home file as it is; a text-form folder, or nothing, as a new home file.

    Raises
    ------
    FileError
        When it can't be read, or the new file can't be written.
    """
    if path is not None and path.is_file():
        return Document.open(path)
    if path is None:
        if in_memory:
            return Document.memory(Home.blank())
        return Document.create(fresh_path(f"Home {today_text()}", folder), Home.blank())
    read = read_folder(path)
    if in_memory:
        return Document.memory(read.home, assets=read.assets, marks=read.marks)
    return Document.create(
        fresh_path(path.name, folder), read.home, assets=read.assets, marks=read.marks, missing=read.missing
    )


def say_missing(adapter: "Adapter") -> None:
    """Tell that pictures of the home that was opened are missing from it, if they are."""
    if said := missing_said(tuple(adapter.document.missing(now_only=True).values())):
        adapter.say(said)


class Files(QObject):
    """What the Home menu does."""

    def __init__(self, window: "Window") -> None:
        super().__init__(window)
        self._window = window

    def new(self) -> None:
        """Ask where, and start a blank home there."""
        name, _ = QFileDialog.getSaveFileName(self._window, "New home", str(fresh_path("Home")), _FILTER)
        if not name:
            return
        path = Path(name).with_suffix(SUFFIX)
        try:
            document = Document.create(path, Home.blank(path.stem))
        except PersonError as error:
            self._window.adapter.refuse(str(error))
            return
        self._window.adapter.switch(document)

    def open(self) -> None:
        """Ask which, and open a home."""
        name, _ = QFileDialog.getOpenFileName(self._window, "Open a home", "", _FILTER)
        if name:
            self.open_this(Path(name))

    def open_this(self, path: Path) -> bool:
        """Open a home file or a text-form folder; give whether that was possible."""
        try:
            document = open_path(path)
        except PersonError as error:
            self._window.adapter.refuse(str(error))
            return False
        self._window.adapter.switch(document)
        say_missing(self._window.adapter)
        return True

    def open_sample(self) -> None:
        """Open a copy of the first sample home."""
        self.open_this(sample_homes() / "older-terrace")

    def save_copy(self) -> None:
        """Ask where, and copy the home file as it is now."""
        source = self._window.adapter.document.path
        if source is None:
            self._window.adapter.refuse("This home is only in memory; open it from a file to copy it.")
            return
        name, _ = QFileDialog.getSaveFileName(self._window, "Save a copy", str(fresh_path(source.stem)), _FILTER)
        if not name or Path(name) == source:
            return
        try:
            shutil.copyfile(source, Path(name).with_suffix(SUFFIX))
        except OSError as error:
            self._window.adapter.refuse(f"{name}: the copy can't be written ({error.strerror}).")
            return
        self._window.adapter.say(f"Copied to {Path(name).name}.")

    def mark_as_found(self) -> None:
        """Mark the home as it is now as found."""
        try:
            self._window.adapter.document.mark("as found")
        except PersonError as error:
            self._window.adapter.refuse(str(error))
            return
        self._window.adapter.say("Marked: as found.")
        self._window.adapter.changed.emit(None)

    def save_svg(self) -> None:
        """Ask where, and write the plan as SVG with the pictures under it, while the window goes on."""
        name, _ = QFileDialog.getSaveFileName(self._window, "Save the plan as SVG", "plan.svg", "Drawings (*.svg)")
        if not name:
            return
        adapter = self._window.adapter
        assets: dict[str, bytes] = {}
        for sheet in adapter.home.table(Sheet).values():
            with suppress(PersonError):  # the drawing says which pictures were not at hand
                assets[sheet.asset] = adapter.document.asset(sheet.asset)
        job = Work(partial(_drawn, Path(name), adapter.home, adapter.trade, adapter.memo.fork(), assets), self)
        job.done.connect(self._on_written)
        job.failed.connect(adapter.refuse)
        job.start()

    def _on_written(self, path: Path) -> None:
        self._window.adapter.say(f"Written to {path.name}.")


def _drawn(path: Path, home: Home, trade: Trade, memo: Memo, assets: Mapping[str, bytes], _ticket: Ticket) -> Path:
    from circuitmap.drawing.saved import sheet_pictures, write_whole
    from circuitmap.drawing.whole import home_svg

    write_whole(path, home_svg(home, trade, memo, theme="paper", pictures=sheet_pictures(home, assets.get)))
    return path
