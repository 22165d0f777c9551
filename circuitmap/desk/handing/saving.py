"""Documents saved with one click into a remembered folder, one or all of them, while the window goes on."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, QStandardPaths, Signal

from circuitmap.desk import prefs
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.handing.chosen import Chosen, file_stem
from circuitmap.desk.handing.press import Press
from circuitmap.desk.handing.showing import Showing, today
from circuitmap.errors import PersonError
from circuitmap.home.invariants import shorten
from circuitmap.paper.apart import Saved
from circuitmap.paper.catalogue import Paper
from circuitmap.paper.stored import stem_of

_NAMED: Final = 3  # so many files are named in a sentence, more are counted


def usual_folder() -> Path:
    """Give the folder that documents go into as long as nobody chose another."""
    kept = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
    return Path(kept) if kept else Path.home()


class Saving(QObject):
    """One document, or one after the other of all of them."""

    changed = Signal()  # it has begun, gone on or ended
    said = Signal(str, bool)  # what came of it; True where it was refused

    def __init__(self, adapter: Adapter, showing: Showing, press: Press, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._showing, self._press = adapter, showing, press
        self._number = 0
        self._paper: Paper | None = None
        self._left: list[Paper] = []
        self._count = 0
        self._into = Path()
        self._written: list[str] = []
        self.not_made: list[str] = []
        self._words = ""
        self._share = (0, 0)
        kept = prefs.load().papers_folder
        self._folder = Path(kept) if kept else usual_folder()
        press.saved.connect(self._on_saved)
        press.refused.connect(self._on_refused)
        press.halted.connect(self._on_halted)
        press.ticked.connect(self._on_ticked)

    # -- the folder ---------------------------------------------------------------------------------------------

    @property
    def folder(self) -> Path:
        """The folder that documents go into."""
        return self._folder

    def set_folder(self, typed: str) -> bool:
        """Take another folder, and remember it; give whether it can be one."""
        typed = typed.strip()
        folder = Path(typed).expanduser()
        if not typed or not folder.is_absolute():
            self.said.emit(f"“{shorten(typed, 60)}” is no folder from the root; type it whole, or choose it.", True)
            return False
        if folder.exists() and not folder.is_dir():
            self.said.emit(f"{folder}: is a file, not a folder. Choose another place.", True)
            return False
        self._folder = folder
        kept = prefs.load()
        kept.papers_folder = str(folder)
        prefs.save(kept)
        self.changed.emit()
        return True

    # -- saving -------------------------------------------------------------------------------------------------

    @property
    def is_busy(self) -> bool:
        """Whether something is being saved."""
        return self._number != 0

    @property
    def progress(self) -> tuple[str, int, int]:
        """How far it is: words, done, total (0 where the end isn't known)."""
        return (self._words, *self._share)

    def save(self, paper: Paper, chosen: Chosen) -> None:
        """Save one document."""
        self._begin([paper], self._folder)
        self._next(chosen)

    def save_all(self, papers: tuple[Paper, ...]) -> None:
        """Save every document in a folder of its own in the folder, each as it is chosen for it."""
        name = self._adapter.home.details.name
        self._begin(list(papers), self._folder / stem_of(shorten(name, 40), "documents", today().isoformat()))
        self._next()

    def stop(self) -> None:
        """Save no further; what is written stays."""
        if self.is_busy:
            self._left = []
            self._press.stop(self._number)

    def _begin(self, papers: list[Paper], into: Path) -> None:
        self._left, self._count, self._into = papers, len(papers), into
        self._written, self.not_made = [], []

    def _next(self, chosen: Chosen | None = None) -> None:
        self._number = 0
        while self._left:
            paper = self._paper = self._left.pop(0)
            chosen = chosen or self._showing.chosen_for(paper)
            at = self._count - len(self._left)
            self._words = f"{at} of {self._count}: {paper.title}" if self._count > 1 else f"Saving: {paper.title}"
            self._share = (at - 1, self._count) if self._count > 1 else (0, 0)
            try:
                wish = self._showing.wish(paper, chosen)
            except PersonError as error:
                self.not_made.append(f"{paper.title}: {error}")
                chosen = None
                continue
            stem = file_stem(paper, chosen, self._adapter.home, today())
            self._number = self._press.save(wish, str(self._into), stem)
            self.changed.emit()
            return
        self._end()

    def _end(self) -> None:
        self._number = 0
        self._left = []
        self.changed.emit()
        if self._written:
            self.said.emit(self._said(), False)
        elif self.not_made:
            self.said.emit(" ".join(self.not_made) if self._count == 1 else self._said(), True)

    def _said(self) -> str:
        names = [Path(path).name for path in self._written]
        files = ", ".join(names) if self._count == 1 and len(names) <= _NAMED else f"{len(names)} files"
        said = f"Wrote {files} to {self._into}." if names else "No document was written."
        if self._count > 1 and self.not_made:
            many = len(self.not_made)
            said += f" {many} of {self._count} documents couldn't be made; the reasons stand in the panel."
        return said

    # -- answers ------------------------------------------------------------------------------------------------

    def _on_saved(self, saved: Saved) -> None:
        if saved.number == self._number:
            self._written += saved.paths
            self._next()

    def _on_refused(self, number: int, says: str) -> None:
        if number == self._number and self._paper is not None:
            self.not_made.append(f"{self._paper.title}: {says}" if self._count > 1 else says)
            self._next()

    def _on_halted(self, number: int) -> None:
        if number == self._number:
            self._end()
            if not self._written:
                self.said.emit("Stopped; nothing was written.", False)

    def _on_ticked(self, number: int, done: int, total: int, words: str) -> None:
        if number == self._number and self._count == 1:
            self._words, self._share = words, (done, total)
            self.changed.emit()
