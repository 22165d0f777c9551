"""The documents as a list: what each is called, and under it what it is for."""

from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QPainter
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from circuitmap.desk.parts import elided, plain_tip
from circuitmap.desk.theme import BODY_PX, SMALL_PX, Look, font
from circuitmap.paper.catalogue import Paper

ROW_PX: Final = 44
_MARGIN_PX: Final = 8
_SAYS: Final = Qt.ItemDataRole.UserRole + 1


def sentence(words: str) -> str:
    """Give words as a sentence: a capital first and a stop last."""
    words = words.strip()
    return f"{words[:1].upper()}{words[1:]}{'' if words[-1:] in '.!?…' else '.'}" if words else ""


class _Rows(QStyledItemDelegate):
    """Draws a row of two lines."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        """Give the size of a row."""
        del option, index
        return QSize(120, ROW_PX)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Paint a row."""
        state = option.state
        rect = option.rect
        is_chosen = bool(state & QStyle.StateFlag.State_Selected)
        painter.save()
        if is_chosen:
            painter.fillRect(rect, self._look.colour("accent"))
        elif state & QStyle.StateFlag.State_MouseOver:
            painter.fillRect(rect, self._look.colour("room"))
        inside = rect.adjusted(_MARGIN_PX, 5, -_MARGIN_PX, -5)
        for words, size_px, role, where in (
            (index.data(Qt.ItemDataRole.DisplayRole), BODY_PX, "ink", Qt.AlignmentFlag.AlignTop),
            (index.data(_SAYS), SMALL_PX, "faint", Qt.AlignmentFlag.AlignBottom),
        ):
            painter.setFont(font(size_px, bold=role == "ink"))
            painter.setPen(self._look.colour("on:accent" if is_chosen else role))
            painter.drawText(
                inside, int(where | Qt.AlignmentFlag.AlignLeft), elided(words, painter.fontMetrics(), inside.width())
            )
        painter.restore()


class PaperList(QListWidget):
    """One row for each document."""

    chosen = Signal(object)  # the Paper

    def __init__(self, papers: tuple[Paper, ...], look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._papers = papers
        self.setObjectName("papers")
        self.setAccessibleName("Documents")
        self.setItemDelegate(_Rows(look, self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMouseTracking(True)
        self.setUniformItemSizes(True)
        for paper in papers:
            item = QListWidgetItem(paper.title)
            says = sentence(paper.says)
            item.setData(_SAYS, says)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{paper.title}. {says}")
            item.setToolTip(plain_tip(says))
            self.addItem(item)
        self.setMinimumHeight(min(len(papers), 3) * ROW_PX + 4)
        self.setMaximumHeight(max(1, len(papers)) * ROW_PX + 4)
        self.currentRowChanged.connect(self._on_row)
        look.changed.connect(self.viewport().update)

    def sizeHint(self) -> QSize:
        """Ask for room for all of them, up to six."""
        return QSize(200, min(len(self._papers), 6) * ROW_PX + 4)

    def choose(self, paper: Paper) -> None:
        """Choose a document."""
        if paper in self._papers:
            self.setCurrentRow(self._papers.index(paper))

    def is_cut(self, paper: Paper) -> bool:
        """Whether what a document is for is too long for its row."""
        room = self.viewport().width() - 2 * _MARGIN_PX
        return QFontMetrics(font(SMALL_PX)).horizontalAdvance(sentence(paper.says)) > room

    def step(self, by: int) -> None:
        """Go some documents down (positive) or up."""
        if self._papers:
            self.setCurrentRow(max(0, min(len(self._papers) - 1, self.currentRow() + by)))

    def _on_row(self, row: int) -> None:
        if row >= 0:
            self.chosen.emit(self._papers[row])
