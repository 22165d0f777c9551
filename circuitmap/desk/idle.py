"""Garbage is collected while the person rests, never between a key and what it does.

With some hundred points a full collection takes the better part of a tenth of a second; left to itself it would come
in the middle of an answer. What the program itself consists of is not looked through again at all.
"""

import gc
from typing import Final

from PySide6.QtCore import QObject, QTimer

from circuitmap.desk.adapter import Adapter

_REST_MS: Final = 1500
_SELDOM: Final = 100  # a full collection by itself only after that many of the middle ones: for who never rests


class IdleCollector(QObject):
    """Collects in full once nothing has changed for a while."""

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        first, second, _ = gc.get_threshold()
        gc.set_threshold(first, second, _SELDOM)
        gc.collect()
        gc.freeze()
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_REST_MS)
        self._timer.timeout.connect(self.collect)
        adapter.changed.connect(self._on_changed)

    def collect(self) -> None:
        """Collect now, unless work is under way in another thread, which holds collecting back."""
        if gc.isenabled():
            gc.collect()
        else:
            self._timer.start()

    def _on_changed(self, _change: object) -> None:
        self._timer.start()
