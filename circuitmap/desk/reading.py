"""A page to read in place of the stage's panel: the keys, the cautions."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPlainTextEdit, QVBoxLayout, QWidget

from circuitmap.desk.parts import Heading, button


class ReadingPage(QWidget):
    """A heading, a text, and the way back."""

    done = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = Heading("", self)
        self._text = QPlainTextEdit(self)
        self._text.setReadOnly(True)
        self._text.setAccessibleName("Text to read")
        self._text.setTabStopDistance(230)
        back = button("Back", self)
        back.clicked.connect(self.done)
        layout = QVBoxLayout(self)
        layout.addWidget(self._title)
        layout.addWidget(self._text, 1)
        layout.addWidget(back)

    def show_text(self, title: str, text: str) -> None:
        """Show a text."""
        self._title.setText(title)
        self._text.setPlainText(text)
        self._text.setFocus()
