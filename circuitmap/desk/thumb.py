"""Small widgets for a thumb: what is hit in Survey is at least 56 px high, and typed words stay plain text."""

from collections.abc import Iterable
from typing import Final

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QComboBox,
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
_BOX_PX: Final = 24
SHEET: Final = f"""
QPushButton {{ min-height: {_INSIDE_PX}px; padding: 5px 8px; font-size: {HEAD_PX}px; text-align: center; }}
QPushButton:!focus {{ border-color: palette(dark); }}
QPushButton:disabled {{ border-color: palette(mid); }}
QFrame[card="true"] QPushButton:!checked:!pressed, QFrame[card="warn"] QPushButton:!checked:!pressed {{
  background: palette(window); }}
QFrame[card="true"] QPushButton[strong="true"]:!checked:!pressed:enabled {{
  background: palette(highlight); color: palette(highlighted-text); }}
QFrame[card="ask"] {{ background: palette(alternate-base); border: 2px solid palette(highlight); border-radius: 8px; }}
QFrame[card="ask"] QPushButton:!checked:!pressed {{ background: palette(window); }}
QPushButton[tall="true"] {{ min-height: {_INSIDE_PX + 20}px; font-size: 20px; font-weight: 600; }}
QPushButton[quiet="true"] {{ font-size: 13px; }}
QLineEdit, QComboBox {{ min-height: {_INSIDE_PX + 2}px; font-size: {HEAD_PX}px; }}
QCheckBox {{ min-height: {THUMB_PX}px; font-size: {HEAD_PX}px; }}
QComboBox::drop-down {{ border: none; width: 32px; }}
QPushButton[opener="true"], QPushButton[opener="true"]:checked {{ text-align: left; padding-left: 12px;
  background: palette(button); color: palette(button-text); border-color: palette(mid); }}
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


class Tick(QCheckBox):
    """A box to tick that is drawn the same, and as clearly, in both themes; all of it can be hit."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text.replace("&", "&&"), parent)
        self.setAccessibleName(text)
        self.setMinimumHeight(THUMB_PX)
        self.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)

    def say(self, text: str) -> None:
        """Give the box another text."""
        self.setText(text.replace("&", "&&"))
        self.setAccessibleName(text)

    def hitButton(self, pos: QPoint) -> bool:
        """Let the whole width be hit."""
        return self.rect().contains(pos)

    def sizeHint(self) -> QSize:
        """Give room for the box and the words beside it."""
        wide = self.fontMetrics().horizontalAdvance(self.text())
        return QSize(_BOX_PX + 3 * GAP_PX + wide, THUMB_PX)

    def minimumSizeHint(self) -> QSize:
        """Let the words be cut rather than the column widened."""
        return QSize(THUMB_PX, THUMB_PX)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the box, its tick and the words."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = self.palette()
        ink = palette.color(palette.ColorRole.WindowText)
        accent = palette.color(palette.ColorRole.Highlight)
        top = (self.height() - _BOX_PX) / 2
        box = QRectF(2, top, _BOX_PX, _BOX_PX)
        painter.setPen(QPen(accent if self.hasFocus() else ink, 3 if self.hasFocus() else 1.5))
        painter.setBrush(palette.color(palette.ColorRole.Base))
        painter.drawRoundedRect(box, 4, 4)
        if self.isChecked():
            painter.setPen(QPen(ink, 3, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
            painter.drawPolyline([box.topLeft() + QPointF(x, y) for x, y in ((5, 13), (10, 18), (19, 6))])
        painter.setPen(ink)
        words = self.rect().adjusted(_BOX_PX + 2 + GAP_PX, 0, 0, 0)
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextShowMnemonic
        painter.drawText(
            words, int(flags), self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, words.width())
        )


class Pick(QComboBox):
    """A choice from a list, with an arrow that shows in both themes."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the arrow over what the style draws."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self.palette().color(self.palette().ColorRole.WindowText), 2))
        x, y = self.width() - 22.0, self.height() / 2 - 2
        painter.drawPolyline([QPointF(x, y), QPointF(x + 5, y + 5), QPointF(x + 10, y)])


class Opener(Thumb):
    """A button that opens and closes what stands below it."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, quiet=True, parent=parent)
        self._words = text
        self.setCheckable(True)
        self.setProperty("opener", True)
        self.toggled.connect(self._on_toggled)
        self._on_toggled()

    def rename(self, text: str) -> None:
        """Call what it opens something else."""
        self._words = text
        self.setAccessibleName(text)
        self._on_toggled()

    def _on_toggled(self) -> None:
        self.setText(f"{'▾' if self.isChecked() else '▸'}  {self._words}".replace("&", "&&"))


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
            is_down = value is not None and own == value
            thumb.setChecked(is_down)
            # Told by a mark as well as by tone.
            thumb.setText(("✓ " if is_down else "") + thumb.text().removeprefix("✓ "))

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


def warning(page: QWidget) -> tuple[QVBoxLayout, QLabel, QLabel]:
    """Give a page's column that begins with a warning card, and the heading and the words on that card."""
    column = QVBoxLayout(page)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(GAP_PX)
    frame, inside = card("warn", page)
    heading, says = plain(role="head"), plain()
    inside.addWidget(heading)
    inside.addWidget(says)
    column.addWidget(frame)
    return column, heading, says


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
