"""Long work off the window's thread: it runs on an immutable snapshot and its result carries a number.

Python may collect garbage in whichever thread happens to allocate; were widgets among it, they would be destroyed in
the worker and take the program down. So while any work is under way, collecting waits for the window's own thread.
"""

import gc
from collections.abc import Callable

from PySide6.QtCore import QCoreApplication, QObject, QRunnable, QThreadPool, Signal

from circuitmap.errors import PersonError
from circuitmap.jobs import StoppedError, Ticket


class _Wire(QObject):
    done = Signal(object)
    failed = Signal(str)
    ticked = Signal(int, int, str)
    finished = Signal(object)


class _Job(QRunnable):
    def __init__(self, work: Callable[[Ticket], object]) -> None:
        super().__init__()
        self.setAutoDelete(False)
        self.wire = _Wire()
        self.ticket = Ticket(self.wire.ticked.emit)
        self._work = work

    def run(self) -> None:
        """Do the work; what the person caused comes back as a sentence.

        Qt's pool holds on to a job that Python made for good; what the job worked on is let go here, once it is done.
        """
        work, self._work = self._work, _done_already
        try:
            self.wire.done.emit(work(self.ticket))
        except StoppedError:
            return
        except PersonError as error:
            self.wire.failed.emit(str(error))
        finally:
            self.wire.finished.emit(self)


def _done_already(_ticket: Ticket) -> object:
    raise StoppedError


class _Gate(QObject):
    """Keeps jobs alive until they are finished, and garbage uncollected as long as there are any."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.setObjectName("gate-of-work")
        self._under_way: set[_Job] = set()
        self._was_on = True

    def admit(self, job: _Job) -> None:
        if not self._under_way:
            self._was_on = gc.isenabled()
            gc.disable()
        self._under_way.add(job)
        job.wire.finished.connect(self.let_go)

    def let_go(self, job: _Job) -> None:
        self._under_way.discard(job)
        if not self._under_way and self._was_on:
            gc.enable()


def _gate() -> _Gate:
    app = QCoreApplication.instance()
    assert app is not None
    found = app.findChild(_Gate, "gate-of-work")
    return found if isinstance(found, _Gate) else _Gate(app)


class Work(QObject):
    """One piece of long work: ``done`` brings its result, ``failed`` a sentence, ``stop`` ends it at its next tick."""

    done = Signal(object)
    failed = Signal(str)
    ticked = Signal(int, int, str)

    def __init__(self, work: Callable[[Ticket], object], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._job = _Job(work)
        self._job.wire.done.connect(self.done)
        self._job.wire.failed.connect(self.failed)
        self._job.wire.ticked.connect(self.ticked)

    def start(self) -> None:
        """Start the work on the pool; to be called from the window's thread."""
        _gate().admit(self._job)
        QThreadPool.globalInstance().start(self._job)

    def stop(self) -> None:
        """Ask the work to stop."""
        self._job.ticket.stop()
