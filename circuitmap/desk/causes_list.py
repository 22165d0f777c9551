"""A list of rows with a figure before them, a sentence and a fainter reason below it; for causes and next readings."""

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from circuitmap.desk.theme import BODY_PX, SMALL_PX, TARGET_PX, Look, font

_ROW: Final = Qt.ItemDataRole.UserRole
_FIGURE_PX: Final = 52
_PAD_PX: Final = 7
_BAR_PX: Final = 4
_WRAP: Final = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the figure before it, how full its bar is (None: no bar), the sentence, and what is said below it."""

    figure: str
    share: float | None
    says: str
    below: str = ""

    @property
    def sentence(self) -> str:
        """All of it, to be heard."""
        said = (part.rstrip(".") for part in (self.figure, self.says, self.below) if part)
        return " ".join(part if part.endswith("?") else f"{part}." for part in said)


class RowList(QListWidget):
    """Rows as high as their words need, never scrolled inside; keys walk them, Enter or a click takes one."""

    pointed = Signal(int)  # the row that the keys or the pointer have come to, -1 for none
    taken = Signal(int)

    def __init__(self, look: Look, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setItemDelegate(_Delegate(look, self))
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.setWordWrap(True)
        self.currentRowChanged.connect(self._on_row)
        self.itemClicked.connect(self._on_clicked)
        look.changed.connect(self._fit)

    def show_rows(self, rows: list[Row], current: int = -1) -> None:
        """Show rows and stand on one of them, without telling anybody."""
        self.blockSignals(True)
        self.clear()
        for row in rows:
            item = QListWidgetItem(row.says)
            item.setData(_ROW, row)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, row.sentence)
            self.addItem(item)
        self.setCurrentRow(current)
        self.blockSignals(False)
        self.setVisible(bool(rows))
        self._fit()

    def row_at(self, n: int) -> Row:
        """Give a row as it is shown."""
        found = self.item(n).data(_ROW)
        assert isinstance(found, Row)
        return found

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take the row with Enter; Escape stands on none."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.currentRow() >= 0:
                self.taken.emit(self.currentRow())
        elif event.key() == Qt.Key.Key_Escape and self.currentRow() >= 0:
            self.setCurrentRow(-1)
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Break the words anew."""
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """Fit anew in another font."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    def _on_row(self, row: int) -> None:
        if row < 0:
            self.clearSelection()
        else:
            self.item(row).setSelected(True)  # Qt stands on the first row when keys come here, and chooses it not
        self.pointed.emit(row)

    def _on_clicked(self, item: QListWidgetItem) -> None:
        self.taken.emit(self.row(item))

    def _fit(self, *_: object) -> None:
        self.scheduleDelayedItemsLayout()
        height = sum(self.sizeHintForRow(n) for n in range(self.count()))
        self.setFixedHeight(max(TARGET_PX, height + 2 * self.frameWidth()))


class _Delegate(QStyledItemDelegate):
    """Draws a row in the program's two small sizes, chosen rows in their accent."""

    def __init__(self, look: Look, parent: RowList) -> None:
        super().__init__(parent)
        self._look, self._list = look, parent

    def sizeHint(self, _option: QStyleOptionViewItem, index: Index) -> QSize:
        """Give as much height as the words need at the list's width."""
        row = index.data(_ROW)
        width = max(120, self._list.viewport().width())
        if not isinstance(row, Row):
            return QSize(width, TARGET_PX)
        text = self._text_rect(QRect(0, 0, width, 0), row)
        height = _high(row.says, BODY_PX, text.width()) + (
            _high(row.below, SMALL_PX, text.width()) + 2 if row.below else 0
        )
        least = BODY_PX + SMALL_PX + 12 if row.share is not None else 0
        return QSize(width, max(TARGET_PX, height + 2 * _PAD_PX, least + 2 * _PAD_PX))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw the figure and its bar, the sentence, and the reason."""
        row = index.data(_ROW)
        if not isinstance(row, Row):
            return
        look = self._look
        rect, state = option.rect, option.state
        chosen = bool(state & QStyle.StateFlag.State_Selected)
        painter.save()
        if chosen:
            painter.fillRect(rect, look.colour("accent"))
        elif state & QStyle.StateFlag.State_MouseOver:
            painter.fillRect(rect, look.colour("accent/tint"))
        ink = look.colour("on:accent" if chosen else "ink")
        quiet = look.colour("on:accent" if chosen else "faint")
        painter.setPen(ink)
        if row.figure:
            painter.setFont(font(BODY_PX, bold=True))
            head = QRect(rect.left() + 8, rect.top() + _PAD_PX, _FIGURE_PX - 8, BODY_PX + 6)
            painter.drawText(head, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop), row.figure)
        if row.share is not None:
            bar = QRect(rect.left() + 8, rect.top() + _PAD_PX + BODY_PX + 10, _FIGURE_PX - 16, _BAR_PX)
            painter.fillRect(bar, look.colour("accent/half" if chosen else "grid"))
            full = QRect(bar.left(), bar.top(), max(1, round(bar.width() * row.share)), bar.height())
            painter.fillRect(full, look.colour("on:accent" if chosen else "accent"))
        text = self._text_rect(rect, row)
        text.setTop(rect.top() + _PAD_PX)
        text.setBottom(rect.bottom())
        painter.setPen(ink)
        painter.setFont(font(BODY_PX))
        painter.drawText(text, _WRAP, row.says)
        if row.below:
            text.setTop(text.top() + _high(row.says, BODY_PX, text.width()) + 2)
            painter.setPen(quiet)
            painter.setFont(font(SMALL_PX))
            painter.drawText(text, _WRAP, row.below)
        painter.setPen(look.colour("grid"))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        painter.restore()

    def _text_rect(self, rect: QRect, row: Row) -> QRect:
        left = _FIGURE_PX if row.figure else 8
        return QRect(rect.left() + left, rect.top(), rect.width() - left - 8, rect.height())


def _high(text: str, size_px: int, width_px: int) -> int:
    metrics = QFontMetrics(font(size_px))
    return metrics.boundingRect(QRect(0, 0, max(40, width_px), 10_000), _WRAP, text).height()
