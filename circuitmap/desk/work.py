"""Long work off the window's thread: it runs on an immutable snapshot and its result carries a number."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal

from circuitmap.errors import PersonError
from circuitmap.jobs import StoppedError, Ticket


class _Wire(QObject):
    done = Signal(object)
    failed = Signal(str)
    ticked = Signal(int, int, str)


class _Job(QRunnable):
    def __init__(self, work: Callable[[Ticket], object], wire: _Wire, ticket: Ticket) -> None:
        super().__init__()
        self._work, self._wire, self._ticket = work, wire, ticket

    def run(self) -> None:
        """Do the work; what the person caused comes back as a sentence."""
        try:
            result = self._work(self._ticket)
        except StoppedError:
            return
        except PersonError as error:
            self._wire.failed.emit(str(error))
            return
        self._wire.done.emit(result)


class Work(QObject):
    """One piece of long work: ``done`` brings its result, ``failed`` a sentence, ``stop`` ends it at its next tick."""

    done = Signal(object)
    failed = Signal(str)
    ticked = Signal(int, int, str)

    def __init__(self, work: Callable[[Ticket], object], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._wire = _Wire(self)
        self._wire.done.connect(self.done)
        self._wire.failed.connect(self.failed)
        self._wire.ticked.connect(self.ticked)
        self._ticket = Ticket(self._wire.ticked.emit)
        self._job = _Job(work, self._wire, self._ticket)
        self._job.setAutoDelete(False)

    def start(self) -> None:
        """Start the work on the pool."""
        QThreadPool.globalInstance().start(self._job)

    def stop(self) -> None:
        """Ask the work to stop."""
        self._ticket.stop()
