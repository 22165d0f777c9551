"""The document on show: made anew when the home or a choice changes; the newest wish counts, older ones are stopped.

Nothing is made while nobody looks.
"""

import datetime
import re
import time
from typing import Final

import msgspec
from PySide6.QtCore import QObject, QTimer, Signal

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.handing.chosen import Chosen, fit_for, usual, wish_of
from circuitmap.desk.handing.kept import Homes
from circuitmap.desk.handing.press import Press
from circuitmap.errors import PersonError
from circuitmap.paper.apart import Made, Wish
from circuitmap.paper.catalogue import Paper

SETTLE_MS: Final = 220  # what is typed and clicked in quick succession is asked for once
_AGAIN_S: Final = 10.0
_OPTION: Final = re.compile(r" \(--[a-z][^()]*\)")  # how a command line would say it
PATIENCE_MS: Final = 150  # what comes sooner needs no word that it is coming


def today() -> datetime.date:
    """Give the day that is printed on documents."""
    return datetime.datetime.now(datetime.UTC).astimezone().date()


class Showing(QObject):
    """What is on show, what is under way, and what is chosen for each document."""

    changed = Signal()  # another document is made, refused, or was stopped
    chosen_changed = Signal()  # another document is looked at, or something else is chosen for it
    waiting = Signal(bool)  # whether one is being made, once that takes long enough to be told
    ticked = Signal(int, int, str)  # done, total, words

    def __init__(self, adapter: Adapter, press: Press, homes: Homes, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._press, self._homes = adapter, press, homes
        self.paper: Paper | None = None
        self.made: Made | None = None
        self.shown: tuple[Paper, Chosen] | None = None
        self.refusal = ""
        self.was_stopped = False
        self._document = adapter.document
        self._chosen: dict[str, Chosen] = {}
        self._taken: dict[str, str] = {}
        self._number = 0
        self._lost_at = -_AGAIN_S
        self._is_looked_at = self._is_stale = self._is_told = False
        self._settle = _timer(self, SETTLE_MS, self._ask)
        self._patience = _timer(self, PATIENCE_MS, self._on_patience)
        adapter.changed.connect(self._on_home_changed)
        press.made.connect(self._on_made)
        press.refused.connect(self._on_refused)
        press.halted.connect(self._on_halted)
        press.ticked.connect(self._on_ticked)
        press.lost.connect(self._on_lost)

    # -- what is chosen -----------------------------------------------------------------------------------------

    @property
    def chosen(self) -> Chosen:
        """What is chosen for the document looked at."""
        assert self.paper is not None
        return self.chosen_for(self.paper)

    def look_at(self, paper: Paper | None) -> None:
        """Look at another document."""
        if paper is not self.paper:
            self.paper = paper
            self._take_selected()
            self.chosen_changed.emit()
            self._ask_soon(0)

    def _take_selected(self) -> None:
        """Let a document that can be about one point be about what is selected, once for each selection."""
        selected = self._adapter.selection
        paper = self.paper
        if paper is None or "subject" not in paper.choices or "P" not in paper.of or len(selected) != 1:
            return
        if selected[0][0] in paper.of and self._taken.get(paper.name) != selected[0]:
            self._taken[paper.name] = selected[0]
            self.choose(msgspec.structs.replace(self.chosen, subject=selected[0]))

    def choose(self, chosen: Chosen) -> None:
        """Choose something else for the document looked at."""
        if self.paper is not None and chosen != self.chosen:
            self._chosen[self.paper.name] = chosen
            self.chosen_changed.emit()
            self._ask_soon(SETTLE_MS)

    def wish(self, paper: Paper, chosen: Chosen) -> Wish:
        """Give the wish for a document of the home as it is now.

        Raises
        ------
        HomeError, FileError
            When the home can't be had as it was at a moment chosen.
        """
        document = self._adapter.document
        compares = "moments" in paper.choices
        later = self._homes.key_of(document, chosen.later if compares or "moment" in paper.choices else 0)
        earlier = self._homes.key_of(document, chosen.earlier) if compares and chosen.earlier else ""
        return wish_of(paper, chosen, document, today(), (later, earlier))

    def chosen_for(self, paper: Paper) -> Chosen:
        """Give what is chosen for any document."""
        document = self._adapter.document
        return fit_for(paper, self._chosen.get(paper.name) or usual(paper, document), document)

    # -- looking ------------------------------------------------------------------------------------------------

    def set_looked_at(self, *, is_on: bool) -> None:
        """Say whether somebody looks; while nobody does, nothing is made."""
        self._is_looked_at = is_on
        if is_on:
            self._take_selected()
            if self._is_stale:
                self._ask_soon(0)
        else:
            self._drop()

    @property
    def is_busy(self) -> bool:
        """Whether a document is being made."""
        return self._number != 0

    @property
    def is_settled(self) -> bool:
        """Whether what is on show is what is wanted."""
        return not self.is_busy and not self._settle.isActive() and not self._is_stale

    def stop(self) -> None:
        """Make it no longer; it is made when something else is chosen, or asked for again."""
        if self.is_busy:
            self._drop()
            self._is_stale = False
            self.was_stopped = True
            self.made, self.shown, self.refusal = None, None, ""
            self.changed.emit()

    def again(self) -> None:
        """Make it now."""
        self._ask_soon(0)

    def _ask_soon(self, wait_ms: int) -> None:
        self._is_stale = True
        if self._is_looked_at:
            self._settle.start(wait_ms)

    def _drop(self) -> None:
        self._settle.stop()
        if self._number:
            self._is_stale = True
            self._press.stop(self._number)
            self._number = 0
        self._tell(is_on=False)

    def _ask(self) -> None:
        was_told = self._is_told
        self._is_told = False  # one that follows another at once is told as the same
        self._drop()
        self._is_told = was_told
        self._is_stale = False
        if self.paper is None:
            self.made, self.shown, self.refusal = None, None, ""
            self._tell(is_on=False)
            self.changed.emit()
            return
        asked = (self.paper, self.chosen)
        try:
            wish = self.wish(*asked)
        except PersonError as error:
            self._settled(None, str(error))
            return
        self._asked = asked
        self._number = self._press.make(wish)
        if not self._is_told:
            self._patience.start()

    # -- answers ------------------------------------------------------------------------------------------------

    def _settled(self, made: Made | None, refusal: str) -> None:
        refusal = _OPTION.sub("", refusal)
        self._number = 0
        self.was_stopped = False
        self.made, self.refusal = made, refusal
        self.shown = self._asked if made is not None else None
        self._tell(is_on=False)
        self.changed.emit()

    def _on_made(self, made: Made) -> None:
        if made.number == self._number:
            self._settled(made, "")

    def _on_refused(self, number: int, says: str) -> None:
        if number == self._number:
            self._settled(None, says)

    def _on_halted(self, number: int) -> None:
        if number == self._number:
            self._number = 0
            self._tell(is_on=False)

    def _on_ticked(self, number: int, done: int, total: int, words: str) -> None:
        if number == self._number:
            self.ticked.emit(done, total, words)

    def _on_home_changed(self, _change: object) -> None:
        if self._adapter.document is not self._document:
            self._document = self._adapter.document
            self._taken.clear()
            self._chosen.clear()  # boards, moments and what is private are those of another home
            self.made, self.shown, self.refusal = None, None, ""
            self.changed.emit()
        if self.paper is not None:
            self.chosen_changed.emit()
            self._ask_soon(SETTLE_MS)

    def _on_lost(self) -> None:
        """Make again what went with its process, but not time after time: it may be what ends the process."""
        now = time.monotonic()
        if self.made is not None and now - self._lost_at > _AGAIN_S:
            self._lost_at = now
            self._ask_soon(0)

    def _on_patience(self) -> None:
        self._tell(is_on=self.is_busy)

    def _tell(self, *, is_on: bool) -> None:
        if not is_on:
            self._patience.stop()
        if is_on != self._is_told:
            self._is_told = is_on
            self.waiting.emit(is_on)


def _timer(parent: QObject, wait_ms: int, then: object) -> QTimer:
    timer = QTimer(parent)
    timer.setSingleShot(True)
    timer.setInterval(wait_ms)
    timer.timeout.connect(then)
    return timer
