"""The process that makes documents, asked from the window: nothing here ever waits for it."""

from collections import OrderedDict
from functools import partial
from typing import Final

import msgspec
from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, QTimer, Signal

from circuitmap.errors import OurError
from circuitmap.paper import apart

# So long a piece of work that was stopped may go on before its process is ended.
GRACE_MS: Final = 700
_GONE: Final = (
    "The document wasn't finished: its process ended, perhaps for want of memory. Try again, or a smaller one."
)
_CANT_BEGIN: Final = "No document can be made on this machine just now: its process can't be started."


class Press(QObject):
    """One process; it is begun when something is asked for and begun anew when it had to be ended."""

    made = Signal(object)  # apart.Made
    drawn = Signal(object)  # apart.Drawn
    saved = Signal(object)  # apart.Saved
    refused = Signal(int, str)  # the number of what was asked, and why it can't be done
    halted = Signal(int)  # the number of what was stopped
    ticked = Signal(int, int, int, str)  # number, done, total, words
    lost = Signal()  # the process has ended: what it had made is gone with it

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._process: QProcess | None = None
        self._answers = apart.Answers()
        self._number = 0
        self._kept: OrderedDict[str, apart.Keep] = OrderedDict()
        self._asked: OrderedDict[int, apart.Make | apart.Draw | apart.Save] = OrderedDict()
        self._stopped: set[int] = set()

    # -- asking -------------------------------------------------------------------------------------------------

    def keep(self, home: apart.Keep) -> None:
        """Send a home; documents are made of it by its key from now on."""
        self._kept[home.key] = home
        if self._process is not None:
            self._send(home)

    def forget(self, key: str) -> None:
        """Let go of a home."""
        if self._kept.pop(key, None) is not None and self._process is not None:
            self._send(apart.Forget(key))

    def make(self, wish: apart.Wish, to: str = "") -> int:
        """Ask for a document to be looked at; give the number that its answer bears."""
        return self._ask(apart.Make(self._next(), wish, to))

    def draw(
        self, file: int, page: int, px_per_pt: float, region_px: tuple[int, int, int, int], *,
        in_grey: bool = False, to: str = "", is_packed: bool = False,
    ) -> int:  # fmt: skip
        """Ask for a part of a page; give the number that its answer bears."""
        return self._ask(apart.Draw(self._next(), file, page, px_per_pt, region_px, in_grey, to, is_packed))

    def save(self, wish: apart.Wish, folder: str, stem: str) -> int:
        """Ask for a document to be written into a folder; give the number that its answer bears."""
        return self._ask(apart.Save(self._next(), wish, folder, stem))

    def stop(self, number: int) -> None:
        """Stop what was asked for; where that takes too long, its process is ended and begun anew."""
        if number in self._asked and number not in self._stopped:
            self._stopped.add(number)
            self._send(apart.Halt(number))
            QTimer.singleShot(GRACE_MS, self, _Later(self, number).end)

    @property
    def is_begun(self) -> bool:
        """Whether the process is there."""
        return self._process is not None

    def begin(self) -> None:
        """Begin the process before it is needed."""
        if self._process is None:
            self._begin()

    def close(self) -> None:
        """End the process; nothing is answered any longer."""
        self._asked.clear()
        self._stopped.clear()
        if self._process is not None:
            self._end()
            self.lost.emit()

    # -- the process --------------------------------------------------------------------------------------------

    def _next(self) -> int:
        self._number += 1
        return self._number

    def _ask(self, asked: apart.Make | apart.Draw | apart.Save) -> int:
        self._asked[asked.number] = asked
        self.begin()
        self._send(asked)
        return asked.number

    def _begin(self) -> None:
        process = QProcess(self)
        around = QProcessEnvironment.systemEnvironment()
        around.insert("PYTHONPATH", apart.python_path())
        process.setProcessEnvironment(around)
        process.setStandardErrorFile(QProcess.nullDevice())
        process.readyReadStandardOutput.connect(self._on_ready)
        process.finished.connect(self._on_finished)
        process.errorOccurred.connect(self._on_error)
        self._process, self._answers = process, apart.Answers()
        process.start(*apart.command())
        for home in self._kept.values():
            self._send(home)

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        process.readyReadStandardOutput.disconnect(self._on_ready)
        process.finished.disconnect(self._on_finished)
        process.errorOccurred.disconnect(self._on_error)
        if process.state() != QProcess.ProcessState.NotRunning:
            process.kill()
            process.waitForFinished(1000)  # killed: it is gone in a few milliseconds
        process.deleteLater()

    def _send(self, message: apart.Asked) -> None:
        if self._process is not None:
            self._process.write(apart.framed(message))

    def end_stopped(self, number: int) -> None:
        """End the process when what was stopped is still at work; what else was asked for is asked again."""
        if number not in self._asked:
            return
        self._end()
        given_up = [each for each in self._asked if each in self._stopped]
        for each in given_up:
            self._done(each)
        left = list(self._asked.values())
        self._begin()
        for asked in left:
            self._send(asked)
        for each in given_up:
            self.halted.emit(each)
        self.lost.emit()

    def _done(self, number: int) -> bool:
        """Give whether an answer is still waited for."""
        self._stopped.discard(number)
        return self._asked.pop(number, None) is not None

    def _on_ready(self) -> None:
        if self._process is None:
            return
        try:
            answers = self._answers.take(bytes(self._process.readAllStandardOutput().data()))
        except msgspec.MsgspecError:
            self._give_up(_GONE)
            return
        for answer in answers:
            self._take(answer)

    def _take(self, answer: apart.Answer) -> None:
        if isinstance(answer, apart.Ticked):
            if answer.number in self._asked and answer.number not in self._stopped and answer.words:
                self.ticked.emit(answer.number, answer.done, answer.total, answer.words)
            return
        was_stopped = answer.number in self._stopped
        if not self._done(answer.number):
            return
        match answer:
            case apart.Halted():
                self.halted.emit(answer.number)
            case apart.Saved():
                self.saved.emit(answer)  # what is written is told, also when it was stopped too late
            case _ if was_stopped:
                self.halted.emit(answer.number)
            case apart.Made():
                self.made.emit(answer)
            case apart.Drawn():
                self.drawn.emit(answer)
            case apart.Refused():
                self.refused.emit(answer.number, answer.says)
                if answer.trace:
                    QTimer.singleShot(0, partial(_report, answer.trace))  # after the answers that came with it

    def _on_finished(self, *_: object) -> None:
        self._give_up(_GONE)

    def _on_error(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._give_up(_CANT_BEGIN)

    def _give_up(self, says: str) -> None:
        self._end()
        waiting, self._asked = list(self._asked), OrderedDict()
        stopped, self._stopped = self._stopped, set()
        for number in waiting:
            if number in stopped:
                self.halted.emit(number)
            else:
                self.refused.emit(number, says)
        self.lost.emit()


def _report(trace: str) -> None:
    raise OurError(trace)


class _Later(QObject):
    def __init__(self, press: Press, number: int) -> None:
        super().__init__(press)
        self._press, self._number = press, number

    def end(self) -> None:
        self._press.end_stopped(self._number)
        self.deleteLater()
