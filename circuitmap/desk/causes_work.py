"""Weighing readings beside the window: the newest question counts, what an older one brings is dropped.

The one place of the window that asks for a diagnosis or a chart of readings.
"""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QObject, QTimer, Signal

from circuitmap.circuits import CircuitView
from circuitmap.desk.work import Work
from circuitmap.drawing.reading_chart_data import ReadingChart, SweepKey, chart_of
from circuitmap.errors import PersonError
from circuitmap.home import Home
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.readings.book import readings_of
from circuitmap.readings.causes import Diagnosis, Stop
from circuitmap.readings.entries import Side
from circuitmap.trade import Trade

Weigh = Callable[[Home, CircuitView, Trade, Memo, Side | None, Stop], Diagnosis]
# A result that comes sooner than this needs no word that it is coming.
PATIENCE_MS: Final = 120


def weigh(home: Home, view: CircuitView, trade: Trade, memo: Memo, side: Side | None, stop: Stop) -> Diagnosis:
    """Say what the readings of a way may mean."""
    from circuitmap.readings.diagnose import diagnose  # brings numpy and scipy: not before somebody asks

    return diagnose(home, view, trade, memo, side=side, stop=stop)


class Weighing:
    """One question, to be asked in another thread: of one home as it was, with a memo of its own."""

    def __init__(
        self, home: Home, view: CircuitView, trade: Trade, memo: Memo, side: Side | None, weigh_: Weigh = weigh
    ) -> None:
        self._home, self._view, self._trade, self._memo, self._side = home, view, trade, memo.fork(), side
        self._weigh = weigh_

    def __call__(self, ticket: Ticket) -> Diagnosis:
        """Weigh; stops between steps when nobody waits any longer."""

        def stop() -> None:
            ticket.tick(0)

        stop()
        return self._weigh(self._home, self._view, self._trade, self._memo, self._side, stop)


class Charting:
    """The question for the chart of one sweep."""

    def __init__(self, home: Home, view: CircuitView, trade: Trade, memo: Memo, key: SweepKey) -> None:
        self._home, self._view, self._trade, self._memo, self._key = home, view, trade, memo.fork(), key

    def __call__(self, ticket: Ticket) -> ReadingChart:
        """Work the chart out."""
        ticket.tick(0)
        book = readings_of(self._home, self._view, self._memo)
        return chart_of(self._home, self._view, self._trade, book, self._key)


class Latest(QObject):
    """Asks one question at a time: a newer one stops the older, whose result is never seen."""

    done = Signal(object)
    failed = Signal(str)
    ticked = Signal(int, int, str)  # how far the question is that is being asked: done, total, words
    waiting = Signal(bool)  # whether a result is being waited for, once that takes long enough to be told

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asked = 0
        self._work: Work | None = None
        self._is_told = False
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(PATIENCE_MS)
        self._patience.timeout.connect(self._on_patience)

    @property
    def is_busy(self) -> bool:
        """Whether a result is still to come."""
        return self._work is not None

    def ask(self, question: Callable[[Ticket], object]) -> None:
        """Ask, and forget what was asked before."""
        self._drop()
        self._asked += 1
        self._work = Work(_Numbered(question, self._asked), self)
        self._work.done.connect(self._on_done)
        self._work.ticked.connect(self.ticked)
        if not self._is_told:
            self._patience.start()
        self._work.start()

    def stop(self) -> None:
        """Ask no longer; what was under way brings nothing."""
        self._drop()
        self._tell(False)

    def _drop(self) -> None:
        self._patience.stop()
        if self._work is not None:
            self._work.stop()
            self._work.deleteLater()
            self._work = None

    def _on_done(self, answer: object) -> None:
        assert isinstance(answer, _Answer)
        if answer.number != self._asked or self._work is None:
            return
        self._drop()
        self._tell(False)
        if isinstance(answer.result, PersonError):
            self.failed.emit(str(answer.result))
        else:
            self.done.emit(answer.result)

    def _on_patience(self) -> None:
        self._tell(self.is_busy)

    def _tell(self, waits: bool) -> None:
        if waits != self._is_told:
            self._is_told = waits
            self.waiting.emit(waits)


class _Answer:
    def __init__(self, number: int, result: object) -> None:
        self.number, self.result = number, result


class _Numbered:
    """A question that brings its number back with its answer, also where the answer is a refusal."""

    def __init__(self, question: Callable[[Ticket], object], number: int) -> None:
        self._question, self._number = question, number

    def __call__(self, ticket: Ticket) -> _Answer:
        try:
            return _Answer(self._number, self._question(ticket))
        except PersonError as error:
            return _Answer(self._number, error)
