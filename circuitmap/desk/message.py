"""The message over the foot of the plan: one sentence, put away by a click or after a while."""

import textwrap

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QPushButton, QWidget

from circuitmap.desk.theme import Look

_SHOWN_MS = 9000
_LETTERS = 84
_LINES = 6


class Message(QPushButton):
    """A sentence for the person; red when something was refused."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.setObjectName("message")
        self.setAccessibleName("Message")
        self.clicked.connect(self.hide)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.hide)
        self.hide()

    @property
    def sentence(self) -> str:
        """The sentence on show, empty when there is none."""
        return self.accessibleDescription() if self.isVisible() else ""

    def say(self, sentence: str, over: QWidget, *, refused: bool) -> None:
        """Show a sentence over a widget."""
        self.setParent(over)
        self.setText(_wrapped(sentence.replace("&", "&&")))
        role = "warn" if refused else "ink"
        self.setStyleSheet(
            f"QPushButton {{ background: {self._look.colour(role).name()}; color: {self._look.colour('paper').name()};"
            " border: none; border-radius: 8px; padding: 10px 16px; text-align: left; }"
        )
        self.setAccessibleDescription(sentence)
        self.adjustSize()
        self.show()
        self.raise_()
        self.settle()
        self._timer.start(_SHOWN_MS)

    def settle(self) -> None:
        """Stand in the middle, a little above the foot of whatever it lies over."""
        over = self.parentWidget()
        if over is not None:
            width = min(over.width() - 40, max(260, self.sizeHint().width()))
            height = self.sizeHint().height()
            self.setGeometry((over.width() - width) // 2, over.height() - height - 44, width, height)


def _wrapped(sentence: str) -> str:
    return "\n".join(line for part in sentence.splitlines() for line in textwrap.wrap(part, _LETTERS)[:_LINES])
