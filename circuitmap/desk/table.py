"""The plan's twin: every point in a table that keys and a screen reader can reach, and that can be edited in place."""

from itertools import pairwise

from PySide6.QtCore import QItemSelection, QItemSelectionModel, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QLineEdit, QTableView, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import Label
from circuitmap.desk.table_rows import COLUMNS, PointModel
from circuitmap.desk.theme import TARGET_PX, Look

_WIDTHS_PX = (130, 150, 120, 110, 110, 90, 60, 60)
_NO_POINTS = "No points yet. Place them on the plan, or list them in a room (Draw)."
_NONE_LEFT = "No point has these words. Clear the line above to see all of them."


class PointTable(QWidget):
    """The table with a line to narrow it down.

    Enter goes to the page of what is selected; a double click or Ctrl+Enter edits the cell in place.
    """

    inspect = Signal()

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._busy = False
        self.setObjectName("list")
        self.model = PointModel(adapter, self)
        self.filter = QLineEdit(self)
        self.filter.setObjectName("points-filter")
        self.filter.setPlaceholderText("Only points with…")
        self.filter.setAccessibleName("Show only points with these words")
        self.filter.setClearButtonEnabled(True)
        self.filter.textChanged.connect(self._on_narrowed)
        self.view = QTableView(self)
        self.view.setObjectName("points")
        self.view.setAccessibleName("Points of the home")
        self.view.setAccessibleDescription("Enter goes to the page of a point, Ctrl+Enter edits a cell in place.")
        self.view.setModel(self.model)
        self.view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.view.setAlternatingRowColors(True)
        self.view.setWordWrap(False)
        self.view.setTabKeyNavigation(False)
        self.view.verticalHeader().hide()
        self.view.verticalHeader().setDefaultSectionSize(TARGET_PX)
        header = self.view.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setStretchLastSection(True)
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setSortIndicator(0, Qt.SortOrder.AscendingOrder)
        header.setSortIndicatorShown(True)
        header.setSectionsClickable(True)
        header.sortIndicatorChanged.connect(self._on_sorted)
        for column, width in enumerate(_WIDTHS_PX):
            self.view.setColumnWidth(column, width)
        self.view.selectionModel().selectionChanged.connect(self._on_rows)
        self._none = Label(_NO_POINTS, self, role="faint")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(10, 8, 10, 8)
        layout.addWidget(self.filter)
        layout.addWidget(self._none)
        layout.addWidget(self.view, 1)
        self.setFocusProxy(self.view)
        adapter.changed.connect(self._on_changed)
        adapter.selected.connect(self._on_selected)
        look.changed.connect(self.view.viewport().update)
        self._on_changed(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go to the page of what is selected with Enter, edit the cell in place with Ctrl+Enter."""
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        # An editor lets its Enter through after it took it; that one only ends the editing.
        if not is_enter or not self.view.hasFocus():
            super().keyPressEvent(event)
        elif event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            index = self.view.currentIndex()
            if self.model.flags(index) & Qt.ItemFlag.ItemIsEditable:
                self.view.edit(index)
        else:
            self.inspect.emit()

    # -- inside -------------------------------------------------------------------------------------------------

    def _on_changed(self, _change: object) -> None:
        self._busy = True
        self.model.refresh()
        self._after()

    def _on_narrowed(self, text: str) -> None:
        self._busy = True
        self.model.narrow(text)
        self._after()

    def _on_sorted(self, column: int, order: Qt.SortOrder) -> None:
        self._busy = True
        self.view.selectionModel().clearSelection()  # put back afterwards; taking thousands of rows along is slow
        self.model.sort(column, order)
        self._after()

    def _after(self) -> None:
        self._busy = False
        empty = self.model.rowCount() == 0
        self._none.setVisible(empty)
        if empty:
            self._none.setText(_NONE_LEFT if self.filter.text().strip() else _NO_POINTS)
        self._on_selected(self._adapter.selection)

    def _on_rows(self, *_: object) -> None:
        if self._busy:
            return
        self._busy = True
        self._adapter.select(*(self.model.id_at(row) for row in self._selected_rows()))
        self._busy = False

    def _selected_rows(self) -> list[int]:
        chosen = self.view.selectionModel().selection()
        parts = [chosen.at(n) for n in range(chosen.count())]
        return sorted({row for part in parts for row in range(part.top(), part.bottom() + 1)})

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        if self._busy:
            return
        rows = [row for point in ids if (row := self.model.row_of(point)) >= 0]
        wanted = sorted(set(rows))
        if wanted == self._selected_rows():
            return
        chosen = QItemSelection()
        starts = [wanted[0], *(b for a, b in pairwise(wanted) if b != a + 1)] if wanted else []
        ends = [*(a for a, b in pairwise(wanted) if b != a + 1), wanted[-1]] if wanted else []
        for first, last in zip(starts, ends, strict=True):
            chosen.select(self.model.index(first, 0), self.model.index(last, len(COLUMNS) - 1))
        self._busy = True
        flags = QItemSelectionModel.SelectionFlag
        model = self.view.selectionModel()
        model.select(chosen, flags.ClearAndSelect)
        if rows:
            first_index = self.model.index(rows[0], max(0, self.view.currentIndex().column()))
            model.setCurrentIndex(first_index, flags.NoUpdate)
            self.view.scrollTo(first_index)
        self._busy = False
