"""Small widgets that every panel is made of. Whatever people typed is plain text everywhere."""

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from circuitmap.desk.theme import GAP_PX, TARGET_PX

_SHOWN = 2000
_TIP = 10_000


class Label(QLabel):
    """Plain text that wraps; very long text is cut for display and kept whole in the tool tip."""

    def __init__(self, text: str = "", parent: QWidget | None = None, role: str = "") -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setProperty("role", role)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        self.setText(text)

    def setText(self, text: str) -> None:
        """Show a text."""
        short = text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"
        if short != self.text():
            super().setText(short)
        self.setToolTip("" if short == text else plain_tip(text))


class Heading(Label):
    """A heading inside a panel."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent, role="head")


class Card(QFrame):
    """A framed part of a panel; put things into ``body``."""

    def __init__(self, parent: QWidget | None = None, *, warn: bool = False) -> None:
        super().__init__(parent)
        self.setProperty("card", "warn" if warn else "true")
        self.body = QVBoxLayout(self)
        self.body.setContentsMargins(10, 8, 10, 8)
        self.body.setSpacing(6)


class Rule(QFrame):
    """A thin line across a panel."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("rule", True)
        self.setFixedHeight(1)


def column(widget: QWidget) -> QVBoxLayout:
    """Give a panel its column, with the usual margins."""
    layout = QVBoxLayout(widget)
    layout.setContentsMargins(12, 10, 12, 12)
    layout.setSpacing(GAP_PX)
    return layout


def form(parent: QWidget | None = None) -> QFormLayout:
    """Give a form with the usual spacing."""
    layout = QFormLayout(parent) if parent is not None else QFormLayout()
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(6)
    layout.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.ExpandingFieldsGrow)
    layout.setRowWrapPolicy(QFormLayout.RowWrapPolicy.DontWrapRows)
    return layout


def add_row(layout: QFormLayout, label: str, field: QWidget) -> None:
    """Add a field with its label in front of it to a form."""
    words = QLabel(label)
    words.setTextFormat(Qt.TextFormat.PlainText)
    words.setProperty("role", "faint")
    words.setFixedWidth(82)
    words.setBuddy(field)
    field.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
    layout.addRow(words, field)


def button(
    text: str,
    parent: QWidget | None = None,
    *,
    checkable: bool = False,
    strong: bool = False,
    thumb: bool = False,
) -> QPushButton:
    """Give a button."""
    made = QPushButton(text, parent)
    made.setCheckable(checkable)
    made.setProperty("strong", strong)
    made.setProperty("thumb", thumb)
    return made


def entry_field(name: str, called: str, parent: QWidget, example: str = "") -> QLineEdit:
    """Give a field for a few typed words that can be hit: its name, what it is called, and an example of an answer."""
    made = QLineEdit(parent)
    made.setObjectName(name)
    made.setMaxLength(80)
    made.setMinimumHeight(TARGET_PX)
    made.setPlaceholderText(example)
    made.setAccessibleName(called)
    return made


def answers(*buttons: QPushButton) -> QHBoxLayout:
    """Give the row of buttons under a question, from the left."""
    row = QHBoxLayout()
    row.setSpacing(GAP_PX)
    for each in buttons:
        row.addWidget(each)
    row.addStretch(1)
    return row


def elided(text: str, metrics: QFontMetrics, width_px: int) -> str:
    """Give a typed text on one line, cut with an ellipsis to fit a width."""
    line = " ".join(text[:400].split())
    return metrics.elidedText(line, Qt.TextElideMode.ElideRight, width_px)


def wrapped(text: str, metrics: QFontMetrics, width_px: int, lines: int) -> str:
    """Give a typed text broken between words into at most some lines; what is too long is cut with an ellipsis."""
    found: list[str] = []
    words = text[:400].split()
    for n, word in enumerate(words):
        if found and metrics.horizontalAdvance(f"{found[-1]} {word}") <= width_px:
            found[-1] += f" {word}"
        elif len(found) < lines:
            found.append(word)
        else:
            found[-1] = " ".join([found[-1], *words[n:]])
            break
    return "\n".join(metrics.elidedText(line, Qt.TextElideMode.ElideRight, width_px) for line in found)


def plain_tip(text: str) -> str:
    """Give a typed text for a tool tip: Qt would take what looks like markup for markup."""
    short = text if len(text) <= _TIP else text[: _TIP - 1] + "…"
    return f"<qt>{escape(short)}</qt>".replace("\n", "<br>") if "<" in short else short
