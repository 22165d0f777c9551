"""One option as a card: painted whole, so that a dozen of them appear at once; a button for mouse, keys and readers."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QRect, QSize, Qt, Signal
from PySide6.QtGui import QEnterEvent, QFocusEvent, QFont, QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from circuitmap.desk.option_words import card_words
from circuitmap.desk.parts import wrapped
from circuitmap.desk.theme import BODY_PX, SMALL_PX, TITLE_PX, Look, font

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Option

CARD_PX: Final = 158
_PAD: Final = 9
_TITLE_LINES: Final = 3
_FAILED_LINES: Final = 5
_FOOT_PX: Final = 24


class OptionCard(QAbstractButton):
    """A card; ``pointed`` tells that pointer or keys have come to it (True) or left it."""

    pointed = Signal(bool)
    pick_wanted = Signal()
    step_wanted = Signal(int)  # to the card so many further on

    def __init__(self, option: "Option", look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look, self.option = look, option
        self.is_picked = False
        self._is_under = False
        self._shown, self._words = option, card_words(option)
        self._fonts = font(BODY_PX, bold=True), font(TITLE_PX, bold=True), font(SMALL_PX)
        self.setCheckable(True)
        self.setText(self._words.title)
        self.setAccessibleName(self._words.title)
        self.setAccessibleDescription(self._words.sentence)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._high = self._laid(None)
        self.setFixedSize(self.sizeHint())
        look.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """As wide as any card, as high as its words need."""
        return QSize(CARD_PX, self._high)

    def needs_px(self) -> int:
        """How high the card has to be for its own words."""
        return self._high

    def set_high(self, high_px: int) -> None:
        """Be as high as the highest card beside it."""
        self.setFixedSize(CARD_PX, high_px)

    @property
    def text_shown(self) -> str:
        """All that is said on it."""
        return "\n".join((self._words.title, self._words.price, *self._words.lines))

    def show_as(self, option: "Option") -> bool:
        """Say what its option comes to as it is shown now, such as with a cable drawn by hand; whether that is new."""
        if option is self._shown:
            return False
        self._shown, self._words = option, card_words(option)
        self.setAccessibleDescription(self._words.sentence)
        self._high = self._laid(None)
        self.update()
        return True

    def set_picked(self, *, is_picked: bool) -> None:
        """Show whether it is picked."""
        if is_picked != self.is_picked:
            self.is_picked = is_picked
            name = self._words.title + (", picked" if is_picked else "")
            self.setAccessibleName(name)
            self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the card: its head, its price, its lines, and what became of it at the foot."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = self._look
        marked = self.hasFocus() or self.isChecked()
        edge = look.colour("accent" if marked or self._is_under else "grid")
        painter.setPen(QPen(edge, 2 if marked or self._is_under else 1))
        painter.setBrush(look.colour("accent/tint" if self.isChecked() else "room"))
        painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), 8, 8)
        self._laid(painter)
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Open it with Enter or Space, pick it with P."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self.step_wanted.emit(1 if event.key() == Qt.Key.Key_Right else -1)
        elif event.text().casefold() == "p":
            self.pick_wanted.emit()
        else:
            super().keyPressEvent(event)

    def enterEvent(self, event: QEnterEvent) -> None:
        """Show its route while the pointer is over it."""
        super().enterEvent(event)
        self._is_under = True
        self.pointed.emit(True)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        """Show it no longer."""
        super().leaveEvent(event)
        self._is_under = False
        self.pointed.emit(False)
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show its route while it has the keys."""
        super().focusInEvent(event)
        self.pointed.emit(True)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show it no longer, unless the pointer is over it."""
        super().focusOutEvent(event)
        if not self._is_under:
            self.pointed.emit(False)

    def _laid(self, painter: QPainter | None) -> int:
        """Paint the words (or only measure them) and give how high the card has to be."""
        words, look = self._words, self._look
        head, large, small = self._fonts
        wide = CARD_PX - 2 * _PAD
        y = _PAD

        def put(text: str, with_font: QFont, role: str, lines: int) -> None:
            nonlocal y
            metrics = QFontMetrics(with_font)
            broken = wrapped(text, metrics, wide, lines)
            high = metrics.lineSpacing() * (broken.count("\n") + 1)
            if painter is not None:
                painter.setFont(with_font)
                painter.setPen(look.colour(role))
                painter.drawText(QRect(_PAD, y, wide, high + 2), int(Qt.AlignmentFlag.AlignTop), broken)
            y += high

        put(words.title, head, "ink", _TITLE_LINES)
        y += 3
        if words.price:
            put(words.price, large, "faint" if words.failed else "ink", 1)
        if words.failed:
            put("not sound", head, "warn", 1)
            put(words.failed, small, "ink", _FAILED_LINES)
        y += 3
        for line in words.lines:
            put(line, small, "ink", 2)
            y += 2
        if painter is not None and self.is_picked:
            foot = QRect(1, self.height() - _FOOT_PX, self.width() - 2, _FOOT_PX - 1)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look.colour("accent"))
            painter.drawRoundedRect(foot.adjusted(4, 0, -4, -4), 5, 5)
            painter.setPen(look.colour("on:accent"))
            painter.setFont(head)
            painter.drawText(foot.adjusted(0, 0, 0, -4), int(Qt.AlignmentFlag.AlignCenter), "✓ picked")
        return y + _FOOT_PX + 4
