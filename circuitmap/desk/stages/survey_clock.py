"""How long it has been off; a walk that waits, or that was left open for days, until somebody says how things are."""

from typing import Final

from PySide6.QtCore import QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import codes
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Thumb, plain, show_text, warning
from circuitmap.desk.visit import SurveyCursor

_TICK_MS: Final = 1000


class Clock(QWidget):
    """Counts how long something has been off, second by second, and lets the walk wait."""

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("How long it has been off")
        self._cursor = cursor
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP_PX)
        self.time = plain(role="head")
        self.pause = Thumb("Pause", quiet=True, tip="Let the walk wait; what is off stays off", parent=self)
        self.pause.clicked.connect(cursor.pause)
        row.addWidget(self.time, 1)
        row.addWidget(self.pause, 1)
        self._timer = QTimer(self)
        self._timer.setInterval(_TICK_MS)
        self._timer.timeout.connect(self.tick)
        cursor.changed.connect(self.refresh)
        self.refresh()

    @property
    def is_counting(self) -> bool:
        """Whether the seconds are being counted."""
        return self._timer.isActive()

    def refresh(self) -> None:
        """Count while a switch-off is open and somebody can see it."""
        is_off = bool(self._cursor.elapsed)
        if is_off and self.isVisible():
            self._timer.start()
        else:
            self._timer.stop()
        self.pause.setVisible(self._cursor.step == "walk" and not self._cursor.is_paused)
        self.tick()

    def tick(self) -> None:
        """Show how long it has been by now; count for nobody no longer."""
        if not self.isVisible():
            self._timer.stop()
        elapsed = self._cursor.elapsed
        self.time.setText(f"Off for {elapsed}" if elapsed else "")
        self.time.setAccessibleName(f"Off for {elapsed}, minutes and seconds" if elapsed else "Nothing is off")

    def showEvent(self, event: QShowEvent) -> None:
        """Go on counting."""
        super().showEvent(event)
        self.refresh()


class Waiting(QWidget):
    """Stands in place of the answers while a walk waits, or was left open and nobody knows what is off now."""

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("The walk waits")
        self._adapter, self._cursor = adapter, cursor
        column, self.heading, self.says = warning(self)
        self.go_on = Thumb("Go on with the walk", strong=True, tall=True, parent=self)
        self.go_on.clicked.connect(cursor.resume)
        self.back_on = Thumb("The power is back on", tall=True, parent=self)
        self.back_on.clicked.connect(cursor.power_back)
        column.addWidget(self.go_on)
        column.addWidget(self.back_on)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say why the walk waits."""
        cursor = self._cursor
        if cursor.is_left_open:
            self.heading.setText("Left open")
            show_text(self.says, cursor.left_open_says)
            self.go_on.say("No, still off: go on")
            self.back_on.say("Yes, it is back on")
        elif cursor.is_paused:
            off = codes(self._adapter.home, cursor.off)
            stays = "stays" if len(cursor.off) == 1 else "stay"
            self.heading.setText("Paused")
            show_text(self.says, f"{off} {stays} off meanwhile; who lives here should know." if off else "")
            self.go_on.say("Go on with the walk")
            self.back_on.say("End it: the power is back on")
