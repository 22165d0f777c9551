"""Starting the app: fonts, theme, the document, the window; a picture instead where there is no display."""

import os
import sys
import time
import traceback
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QCoreApplication, QEvent, QTimer
from PySide6.QtWidgets import QApplication

from circuitmap import __version__, trade
from circuitmap.desk import prefs as prefs_
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.files import open_path, say_missing
from circuitmap.desk.idle import IdleCollector
from circuitmap.desk.shelf_acts import shelving_of
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme
from circuitmap.home.verbs import now_text
from circuitmap.places import user_data, user_state

_PLATFORMS = "wayland;xcb;offscreen"
_LONGEST_S = 30.0  # that a picture waits for a document


def has_display() -> bool:
    """Whether this machine offers somewhere to show a window."""
    if sys.platform != "linux":
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def open_app(path: Path | None, picture: Path | None = None, theme: Theme | None = None, stage: str = "wiring") -> int:
    """Open the app on a home and give its exit code; with ``picture``, write the window as PNG there and end.

    Raises
    ------
    FileError
        When the home can't be read or the picture can't be written.
    """
    if picture is not None or not has_display():
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
        picture = picture or Path("circuitmap-window.png")
        document = open_path(path, in_memory=True)
    else:
        os.environ.setdefault("QT_QPA_PLATFORM", _PLATFORMS)
        document = open_path(path, in_memory=path is None)  # without a home the shelf is the start page
    app = QApplication.instance() or QApplication(["circuitmap"])
    assert isinstance(app, QApplication)
    app.setApplicationName("circuitmap")
    app.setApplicationVersion(__version__)
    kept = prefs_.load()
    look = Look(app, theme or (kept.theme if picture is None else "paper"))
    adapter = Adapter(document, trade.load(user_data()))
    window = Window(adapter, look)
    if path is not None:
        adapter.set_stage(stage)
        say_missing(adapter)
    if picture is not None:
        return _write_picture(app, window, picture)
    sys.excepthook = _Crash(window)
    window.resize(kept.width_px, kept.height_px)
    window.show()
    if path is None:
        shelving_of(window).start()
    IdleCollector(adapter, window)
    code = app.exec()
    kept = prefs_.load()  # what was chosen meanwhile is there already
    if adapter.document.path is not None:
        kept.opened(adapter.document.path)
    kept.width_px, kept.height_px = window.width(), window.height()
    prefs_.save(kept)
    return code


def _write_picture(app: QApplication, window: Window, picture: Path) -> int:
    from circuitmap.errors import FileError

    window.resize(1280, 800)
    window.show()
    settle(app)
    window.fit()
    settle(app)
    _wait_for_paper(app, window)
    shot = window.grab()
    window.close()
    if not shot.save(str(picture), "PNG"):
        raise FileError(picture, "the picture of the window can't be written there.", "Choose another place.")
    print(f"Wrote a picture of the window: {picture}")  # noqa: T201  # the answer to the command
    return 0


def _wait_for_paper(app: QApplication, window: Window) -> None:
    """Let the document that is on show come, where one is: it is made in a process of its own."""
    end = time.monotonic() + _LONGEST_S
    over = window.hand_over
    while window.adapter.stage == "hand over" and time.monotonic() < end:
        app.processEvents()
        if over.showing.is_settled and over.preview.is_drawn:
            return
        time.sleep(0.01)


def settle(app: QApplication, rounds: int = 6) -> None:
    """Let everything that waits (layouts, pictures being decoded) happen."""
    from PySide6.QtCore import QThreadPool

    for _ in range(rounds):
        QThreadPool.globalInstance().waitForDone(5000)
        app.processEvents()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


class _Crash:
    """Writes a report when something of ours breaks, says so, and carries on: the home is on disk already."""

    def __init__(self, window: Window) -> None:
        self._window = window

    def __call__(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            QTimer.singleShot(0, self._window.close)
            return
        text = f"circuitmap {__version__} {now_text()}\n" + "".join(traceback.format_exception(kind, error, trace))
        sys.stderr.write(text)
        folder = user_state()
        try:
            folder.mkdir(parents=True, exist_ok=True)
            report = folder / f"report-{now_text().replace(':', '')}.txt"
            report.write_text(text, encoding="utf-8")
            words = f"Something of ours went wrong; a report is at {report}. Your home is saved."
        except OSError:
            words = "Something of ours went wrong. Your home is saved."
        self._window.adapter.refuse(words)
