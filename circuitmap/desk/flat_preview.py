"""The photograph laid flat in small, off the window's thread: while corners move, only the newest is drawn."""

from functools import partial
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QImage

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.work import Work
from circuitmap.errors import PersonError
from circuitmap.home.records import Sheet
from circuitmap.jobs import Ticket
from circuitmap.pictures import Level, grey_levels
from circuitmap.plan.rectify import Corners, rectified

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_FROM_PX: Final = 1600  # the copy that is warped
_NEAR_PX: Final = 4000  # the copy for a near look at a corner
_LONGEST_PX: Final = 640
_EVERY_MS: Final = 40


class FlatPreview(QObject):
    """Draws what is wanted last; ``shown`` brings an image."""

    shown = Signal(object)
    loaded = Signal()  # the picture can be looked at from near

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._levels: tuple[str, tuple[Level, ...]] | None = None
        self._wanted: tuple[str, Corners, float] | None = None
        self._full_px = 1
        self._loading: Work | None = None
        self._job: Work | None = None
        self.drawn = 0  # how many were drawn: fewer than were wanted while a corner is dragged fast
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_EVERY_MS)
        self._pause.timeout.connect(self._go_on)

    @property
    def is_waiting(self) -> bool:
        """Whether something wanted is not yet shown."""
        return self._wanted is not None or self._job is not None or self._loading is not None

    def want(self, sheet: Sheet, corners_px: Corners, aspect: float) -> None:
        """Want what the corners surround to be shown flat."""
        self._wanted, self._full_px = (_key(sheet), corners_px, aspect), sheet.width_px or 1
        if self._levels is None or self._levels[0] != _key(sheet):
            self._load(sheet)
        elif not self._pause.isActive():
            self._pause.start()

    def stop(self) -> None:
        """Want nothing any more; the picture is let go when the corners are."""
        self._wanted = None

    def near(self, sheet: Sheet, x_px: float, y_px: float, half_px: int) -> QImage | None:
        """Give the picture about a pixel of the sheet, from near; None before it was read."""
        if self._levels is None or self._levels[0] != _key(sheet):
            return None
        level = _level(self._levels[1], _NEAR_PX)
        scale = level.width_px / max(1, sheet.width_px or 1)
        half = max(4, round(half_px * scale))
        image = QImage(level.greys, level.width_px, level.height_px, level.width_px, QImage.Format.Format_Grayscale8)
        return image.copy(round(x_px * scale) - half, round(y_px * scale) - half, 2 * half, 2 * half)

    # -- inside -------------------------------------------------------------------------------------------------

    def _load(self, sheet: Sheet) -> None:
        if self._loading is not None:
            return
        try:
            data = self._adapter.document.asset(sheet.asset)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return
        self._loading = Work(partial(_read, _key(sheet), data, sheet.page), self)
        self._loading.done.connect(self._on_loaded)
        self._loading.failed.connect(self._on_unread)
        self._loading.start()

    def _on_loaded(self, levels: tuple[str, tuple[Level, ...]]) -> None:
        self._levels, self._loading = levels, None
        self.loaded.emit()
        self._go_on()

    def _on_unread(self, sentence: str) -> None:
        self._loading, self._wanted = None, None
        self._adapter.refuse(sentence)

    def _go_on(self) -> None:
        if self._job is not None or self._wanted is None or self._levels is None:
            return
        (key, corners, aspect), self._wanted = self._wanted, None
        if key != self._levels[0]:
            return
        level = _level(self._levels[1], _FROM_PX)
        self._job = Work(partial(_flat, level, corners, aspect, level.width_px / self._full_px), self)
        self._job.done.connect(self._on_drawn)
        self._job.failed.connect(self._on_failed)
        self._job.start()

    def _on_drawn(self, flat: "NDArray[np.uint8]") -> None:
        self._job = None
        self.drawn += 1
        height, width = flat.shape
        image = QImage(flat.tobytes(), width, height, width, QImage.Format.Format_Grayscale8)
        self.shown.emit(image.copy())  # the bytes are let go
        if self._wanted is not None:
            self._pause.start()

    def _on_failed(self, _sentence: str) -> None:
        # The card has judged the corners already and says what is wrong with them.
        self._job = None
        if self._wanted is not None:
            self._pause.start()


def _read(key: str, data: bytes, page: int, _ticket: Ticket) -> object:
    return key, grey_levels(data, page=page)


def _flat(level: Level, corners: Corners, aspect: float, scale: float, _ticket: Ticket) -> object:
    import numpy as np

    grey = np.frombuffer(level.greys, np.uint8).reshape(level.height_px, level.width_px)
    return rectified(grey, corners, aspect, whole=False, longest_px=_LONGEST_PX, scale=scale)


def _level(levels: tuple[Level, ...], longest_px: int) -> Level:
    return next((one for one in levels if max(one.width_px, one.height_px) <= longest_px), levels[-1])


def _key(sheet: Sheet) -> str:
    return f"{sheet.asset} {sheet.page}"
