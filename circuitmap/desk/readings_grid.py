"""The grid that readings are typed into: Enter records and goes on to the next in ring order, Esc leaves the cell."""

from typing import Final

from PySide6.QtCore import QAbstractItemModel, QEvent, QModelIndex, QObject, QPersistentModelIndex, QRect, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QHeaderView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from circuitmap.desk.readings_cells import ROW_PX, CellPainter
from circuitmap.desk.readings_model import AFTER, BEFORE, PLACE, SAYS, SHOULD, GridModel
from circuitmap.desk.theme import Look

Index = QModelIndex | QPersistentModelIndex
_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_STEPS: Final = {Qt.Key.Key_Return: 1, Qt.Key.Key_Enter: 1, Qt.Key.Key_Tab: 1, Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1,
                 Qt.Key.Key_Backtab: -1}  # fmt: skip
_SHARES: Final = {PLACE: 82, BEFORE: 74, AFTER: 74, SHOULD: 66, SAYS: 84}
_WORDY: Final = {**_SHARES, BEFORE: 130, AFTER: 130}  # answers in words instead of figures
_LONGEST: Final = 600
_SHEET: Final = """
QTableView#readings { border: 2px solid palette(mid); }
QTableView#readings:focus { border: 2px solid palette(highlight); }
"""


class ReadingEdit(QLineEdit):
    """The field in a cell; it grows as far as the grid is wide while a longer text is typed."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("reading-edit")
        self.setAccessibleName(name)
        self.setMaxLength(_LONGEST)
        self.is_filled = False
        self.is_done = False
        self._cell = QRect()
        self.textChanged.connect(self._grow)

    def settle_in(self, cell: QRect) -> None:
        """Take the place of a cell."""
        self._cell = cell
        self._grow()

    def _grow(self, _text: str = "") -> None:
        parent = self.parentWidget()
        if parent is None or self._cell.isNull():
            return
        wanted = self.fontMetrics().horizontalAdvance(self.text()) + 24
        width = max(self._cell.width(), min(wanted, parent.width() - 4))
        left = min(self._cell.left(), parent.width() - width)
        self.setGeometry(QRect(max(0, left), self._cell.top(), width, self._cell.height()))


class ReadingGrid(QTableView):
    """The sheet of one test on screen."""

    row_changed = Signal(int)  # the row one is at
    told = Signal(str, bool)  # a sentence about the row one is at; True when something wasn't recorded
    waits = Signal()  # a reading waits for the proof of the meter
    finished = Signal()  # the last row was recorded

    def __init__(self, model: GridModel, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sheet = model
        self._delegate = _Cells(self, look)
        self.setObjectName("readings")
        self.setStyleSheet(_SHEET)
        self.setAccessibleName("Readings")
        self.setAccessibleDescription("Type a reading; Enter records it and goes on to the next, Esc leaves the cell.")
        self.setModel(model)
        self.setItemDelegate(self._delegate)
        triggers = QAbstractItemView.EditTrigger
        self.setEditTriggers(triggers.AnyKeyPressed | triggers.DoubleClicked | triggers.EditKeyPressed)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectItems)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.verticalHeader().setDefaultSectionSize(ROW_PX)
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionsClickable(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setMinimumSectionSize(20)
        model.modelReset.connect(self._on_reset)
        look.changed.connect(self.viewport().update)

    @property
    def row(self) -> int:
        """The row one is at, -1 when at none."""
        return self.currentIndex().row()

    @property
    def editor(self) -> ReadingEdit | None:
        """The field that is open in a cell."""
        found = [edit for edit in self.viewport().findChildren(ReadingEdit) if not edit.is_done]
        return found[-1] if found else None

    def go_to(self, row: int, *, edits: bool = False) -> None:
        """Go to a row, into the column that is being filled."""
        index = self.sheet.index(row, self.sheet.column)
        if not index.isValid():
            return
        self.setCurrentIndex(index)
        self.scrollTo(index)
        if edits and self.sheet.flags(index) & Qt.ItemFlag.ItemIsEditable:
            self.setFocus()
            self.edit(index)

    def lay_out(self) -> None:
        """Show the columns that have anything to say, as wide as there is room."""
        self.setColumnHidden(AFTER, not self.sheet.has_after)
        self.setColumnHidden(SHOULD, not self.sheet.has_expected)
        shares = _WORDY if self.sheet.is_wordy else _SHARES
        shown = [column for column in shares if not self.isColumnHidden(column)]
        whole, room = sum(shares[column] for column in shown), self.viewport().width()
        for column in shown[:-1]:
            self.setColumnWidth(column, room * shares[column] // whole)
        self.setColumnWidth(shown[-1], room - sum(self.columnWidth(column) for column in shown[:-1]))

    # -- what the field in a cell does --------------------------------------------------------------------------

    def enter(self, editor: ReadingEdit, step: int) -> None:
        """Record what was typed and go on; what can't be recorded stays in the field, with the reason."""
        row, text = self.row, editor.text().strip()
        if text and text != editor.property("was"):
            editor.is_done = True  # whatever takes the focus while it is recorded finds nothing to record again
            result = self.sheet.take(row, text)
            if result.waits:
                self.sheet.hold(row, text, result.says)
                self._close(editor)
                self.told.emit(result.says, True)
                self.waits.emit()
                return
            self.told.emit(result.says, not result.recorded)
            if not result.recorded:
                editor.is_done = False
                return
        editor.is_done = True
        self._close(editor)
        self.setFocus()
        last = self.sheet.rowCount() - 1
        if row == last and step > 0 and text:
            self.finished.emit()
        self.go_to(min(max(row + step, 0), last))

    def leave(self, editor: ReadingEdit) -> None:
        """Record what was typed as the field is left; what can't be recorded stays in its cell."""
        row, text = self.row, editor.text().strip()
        editor.is_done = True
        if text and text != editor.property("was"):
            result = self.sheet.take(row, text)
            if not result.recorded:
                self.sheet.hold(row, text, result.says)
            self.told.emit(result.says, not result.recorded)
        self._close(editor)

    def drop(self, editor: ReadingEdit) -> None:
        """Leave the cell as it was."""
        editor.is_done = True
        self.sheet.let_go(self.row)
        self._close(editor)
        self.setFocus()
        self.told.emit("", False)

    def _close(self, editor: ReadingEdit) -> None:
        self.closeEditor(editor, QAbstractItemDelegate.EndEditHint.NoHint)

    # -- events -------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Open the cell of this row that is being filled, whichever cell of the row one stands in."""
        index = self.currentIndex()
        if index.isValid() and self.state() != QAbstractItemView.State.EditingState:
            is_enter = event.key() in _ENTER
            if is_enter or (event.text().isprintable() and event.text() and index.column() != self.sheet.column):
                self.setCurrentIndex(index.siblingAtColumn(self.sheet.column))
            if is_enter:
                self.go_to(index.row(), edits=True)
                return
        super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Keep Delete from the record that is selected: here it would be taken for the reading's."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if event.key() == Qt.Key.Key_Delete:
                event.accept()
                return True
        elif event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            is_delete = event.key() == Qt.Key.Key_Delete
            if is_delete:
                self.told.emit("A reading is never removed; Ctrl+Z takes back the last one.", False)
                return True
        return super().event(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Stand on the first row that isn't read yet when one comes in."""
        super().focusInEvent(event)
        if not self.currentIndex().isValid() and self.sheet.rowCount():
            self.go_to(self.sheet.first_open())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the width out again."""
        super().resizeEvent(event)
        self.lay_out()

    def currentChanged(self, current: QModelIndex, previous: QModelIndex) -> None:  # type: ignore[override]  # as Qt calls it
        """Say at which row one is."""
        super().currentChanged(current, previous)
        self.viewport().update()
        if current.row() != previous.row():
            self.row_changed.emit(current.row())

    def _on_reset(self) -> None:
        self.lay_out()
        self.row_changed.emit(-1)


class _Cells(QStyledItemDelegate):
    """Paints the cells and opens the field in one of them."""

    def __init__(self, grid: ReadingGrid, look: Look) -> None:
        super().__init__(grid)
        self._grid = grid
        self._painter = CellPainter(look)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint a cell in two lines."""
        here = self._grid.currentIndex()
        self._painter.paint(painter, option, index, is_row=index.row() == here.row(), is_cell=index == here,
                            is_focused=self._grid.hasFocus())  # fmt: skip

    def createEditor(self, parent: QWidget, _option: QStyleOptionViewItem, index: Index) -> QWidget:
        """Open the field."""
        row = self._grid.sheet.row(index.row())
        name = row.line.name if row is not None else ""
        return ReadingEdit(f"Reading of {name}", parent)

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        """Show what is held or was read, once; news from elsewhere must not wipe what is being typed."""
        if not isinstance(editor, ReadingEdit) or editor.is_filled:
            return
        editor.is_filled = True
        held = self._grid.sheet.held_text(index.row())
        shown = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        editor.setText(held or shown)
        editor.setProperty("was", "" if held else shown)
        editor.selectAll()

    def setModelData(self, _editor: QWidget, _model: QAbstractItemModel, _index: Index) -> None:
        """Do nothing: the grid records."""

    def updateEditorGeometry(self, editor: QWidget, option: QStyleOptionViewItem, _index: Index) -> None:
        """Let the field cover its cell."""
        if isinstance(editor, ReadingEdit):
            editor.settle_in(option.rect.adjusted(1, 2, -1, -2))

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        """Take Enter, Tab, the arrows, Esc and the loss of the focus."""
        if not isinstance(editor, ReadingEdit) or editor.is_done:
            return False
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if event.key() == Qt.Key.Key_Escape:
                event.accept()
                return True
        elif event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = Qt.Key(event.key())
            if key == Qt.Key.Key_Escape:
                self._grid.drop(editor)
                return True
            if key in _STEPS:
                self._grid.enter(editor, _STEPS[key])
                return True
        elif event.type() == QEvent.Type.FocusOut and isinstance(event, QFocusEvent):
            passing = (Qt.FocusReason.ActiveWindowFocusReason, Qt.FocusReason.PopupFocusReason)
            if event.reason() not in passing:
                self._grid.leave(editor)
        return False
