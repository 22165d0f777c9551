"""A name asked on the plan itself, at the place of what it is for."""

from PySide6.QtCore import QEvent, QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

_NAME_PX = (190, 34)


class NameInPlace(QLineEdit):
    """Asks a room's name on the plan, where the room is: Enter takes it, Esc leaves it a number."""

    named = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("room-name-in-place")
        self.setAccessibleName("Name of the room; Enter takes it, Esc leaves it a number")
        self.setMaxLength(80)
        self.setPlaceholderText("Name of the room")
        self.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.returnPressed.connect(self._on_enter)
        self._asks = False
        self.hide()

    @property
    def is_asking(self) -> bool:
        """Whether a name is being asked."""
        return self._asks

    def ask(self, proposed: str, middle_px: QPoint) -> None:
        """Ask, with a proposal that typing replaces."""
        self.resize(*_NAME_PX)
        self.stand_at(middle_px)
        self._asks = True
        self.setText(proposed)
        self.selectAll()
        self.show()
        self.raise_()
        self.setFocus()

    def stand_at(self, middle_px: QPoint) -> None:
        """Stand about a place of the plan, as far as that is in sight."""
        over = self.parentWidget()
        if over is not None:
            x = max(6, min(middle_px.x() - self.width() // 2, over.width() - self.width() - 6))
            y = max(6, min(middle_px.y() - self.height() // 2, over.height() - self.height() - 6))
            self.move(x, y)

    def finish(self) -> None:
        """Take what stands there, where a name is being asked."""
        self._end(self.text())

    def event(self, event: QEvent) -> bool:
        """Take Esc and the keys that edit, before any action of the window claims them."""
        claimed = (Qt.Key.Key_Escape, Qt.Key.Key_Delete, Qt.Key.Key_Backspace)
        is_offer = event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent)
        if is_offer and isinstance(event, QKeyEvent) and event.key() in claimed:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave the name on Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self._end("")
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: object) -> None:
        """Take what stands there when the person goes on elsewhere."""
        super().focusOutEvent(event)  # type: ignore[arg-type]  # Qt hands a QFocusEvent
        if self.is_asking and self.window().isActiveWindow():
            self._end(self.text())

    def _on_enter(self) -> None:
        self._end(self.text())

    def _end(self, name: str) -> None:
        if self.is_asking:
            self._asks = False
            self.hide()
            self.named.emit(name)
