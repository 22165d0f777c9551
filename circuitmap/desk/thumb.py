"""Small widgets for a thumb: everything that is hit in Survey is at least 56 px high, and typed words stay plain text."""

from collections.abc import Iterable
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QGridLayout,
    QLabel,
    QLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from circuitmap.desk.theme import GAP_PX, HEAD_PX, THUMB_PX

_INSIDE_PX: Final = THUMB_PX - 12  # without padding and edge
SHEET: Final = f"""
QPushButton {{ min-height: {_INSIDE_PX}px; padding: 5px 8px; font-size: {HEAD_PX}px; text-align: center; }}
QPushButton[tall="true"] {{ min-height: {_INSIDE_PX + 20}px; font-size: 20px; font-weight: 600; }}
QPushButton[quiet="true"] {{ font-size: 13px; }}
QLineEdit, QComboBox {{ min-height: {_INSIDE_PX}px; font-size: {HEAD_PX}px; }}
QCheckBox {{ min-height: {THUMB_PX}px; font-size: {HEAD_PX}px; }}
QCheckBox::indicator {{ width: 24px; height: 24px; }}
"""


class Thumb(QPushButton):
    """A button for a thumb that says which value it stands for when it is pressed."""

    chosen = Signal(object)

    def __init__(
        self,
        text: str,
        value: object = None,
        *,
        strong: bool = False,
        tall: bool = False,
        quiet: bool = False,
        tip: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(text.replace("&", "&&"), parent)
        self._value = value
        self.setAccessibleName(tip or text.replace("\n", " "))
        if tip:
            self.setToolTip(tip)
        self.setProperty("strong", strong)
        self.setProperty("tall", tall)
        self.setProperty("quiet", quiet)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        self.setMinimumWidth(THUMB_PX)
        self.clicked.connect(self._on_clicked)

    def say(self, text: str) -> None:
        """Give the button another text."""
        self.setText(text.replace("&", "&&"))
        self.setAccessibleName(text.replace("\n", " "))

    def _on_clicked(self) -> None:
        self.chosen.emit(self._value)


class Choice(QWidget):
    """A row of thumbs of which one at most is down."""

    picked = Signal(object)

    def __init__(
        self, options: Iterable[tuple[str, object]], name: str, *, columns: int = 2, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self._group = QButtonGroup(self)
        self._group.setExclusive(False)
        self._value: object = None
        self._thumbs: list[tuple[Thumb, object]] = []
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(GAP_PX // 2)
        for number, (text, value) in enumerate(options):
            thumb = Thumb(text, value, quiet=True, tip=f"{name}: {text}", parent=self)
            thumb.setToolTip("")
            thumb.setCheckable(True)
            thumb.chosen.connect(self._on_chosen)
            self._group.addButton(thumb)
            self._thumbs.append((thumb, value))
            grid.addWidget(thumb, number // columns, number % columns)

    @property
    def value(self) -> object:
        """What is down, None when nothing is."""
        return self._value

    def set_value(self, value: object) -> None:
        """Put one down, or (None) none."""
        self._value = value
        for thumb, own in self._thumbs:
            thumb.setChecked(value is not None and own == value)

    def thumbs(self) -> tuple[Thumb, ...]:
        """Give the buttons in their order."""
        return tuple(thumb for thumb, _ in self._thumbs)

    def _on_chosen(self, value: object) -> None:
        self.set_value(None if value == self._value else value)
        self.picked.emit(self._value)


def plain(text: str = "", role: str = "", parent: QWidget | None = None) -> QLabel:
    """Give a label that wraps and shows what was typed as it was typed."""
    label = QLabel(text, parent)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setProperty("role", role)
    label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
    return label


def show_text(label: QLabel, text: str) -> None:
    """Put a text into a label, which hides while it has none."""
    label.setText(text)
    label.setVisible(bool(text))


def card(kind: str = "true", parent: QWidget | None = None) -> tuple[QFrame, QVBoxLayout]:
    """Give a card and the column inside it; kind "warn" is for cautions."""
    frame = QFrame(parent)
    frame.setProperty("card", kind)
    column = QVBoxLayout(frame)
    column.setContentsMargins(12, 10, 12, 10)
    column.setSpacing(GAP_PX)
    return frame, column


def bare(parent: QWidget | None = None) -> tuple[QWidget, QVBoxLayout]:
    """Give a widget and the column in it, without edges."""
    widget = QWidget(parent)
    column = QVBoxLayout(widget)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(GAP_PX)
    return widget, column


def empty(layout: QLayout) -> None:
    """Take everything out of a layout and let it go."""
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        inner = item.layout()
        if widget is not None:
            widget.hide()
            widget.deleteLater()
        elif inner is not None:
            empty(inner)
