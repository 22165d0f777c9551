"""Tables of a document as they will stand in the file: as many rows as are shown, and how many there are."""

from typing import Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtWidgets import QAbstractItemView, QTabBar, QTableView, QVBoxLayout, QWidget

from circuitmap.desk.parts import Label, plain_tip
from circuitmap.paper.apart import Sheet

_Index = QModelIndex | QPersistentModelIndex
_WIDEST_PX: Final = 320
_MEASURED: Final = 60  # rows that the widths of columns are taken from


class _Cells(QAbstractTableModel):
    """The cells of one sheet."""

    def __init__(self, sheet: Sheet, parent: QWidget) -> None:
        super().__init__(parent)
        self._rows = sheet.rows
        self._wide = max((len(row) for row in sheet.rows), default=0)

    def rowCount(self, parent: _Index | None = None) -> int:
        """Give how many rows are shown."""
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: _Index | None = None) -> int:
        """Give how many columns there are."""
        return 0 if parent is not None and parent.isValid() else self._wide

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Give the words of a cell."""
        row = self._rows[index.row()]
        cell = row[index.column()] if index.column() < len(row) else ""
        if role == Qt.ItemDataRole.DisplayRole:
            return cell[:300]
        if role == Qt.ItemDataRole.ToolTipRole and len(cell) > 40:
            return plain_tip(cell)
        return None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Call columns and rows as a spreadsheet does."""
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return str(section + 1) if orientation == Qt.Orientation.Vertical else _column(section)


class RowsView(QWidget):
    """One sheet at a time; tabs where there are several."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sheets: list[Sheet] = []
        self.tabs = QTabBar(self)
        self.tabs.setAccessibleName("Sheets")
        self.tabs.setExpanding(False)
        self.tabs.currentChanged.connect(self._on_tab)
        self.table = QTableView(self)
        self.table.setObjectName("paper-table")
        self.table.setAccessibleName("Preview of the table")
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setAlternatingRowColors(True)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().setDefaultSectionSize(26)
        self.table.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self._says = Label("", self, role="faint")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 4, 8, 4)
        layout.setSpacing(4)
        layout.addWidget(self.tabs)
        layout.addWidget(self.table, 1)
        layout.addWidget(self._says)
        self.setFocusProxy(self.table)

    def show_sheets(self, sheets: list[Sheet]) -> None:
        """Show some sheets; the one on show stays if it is among them."""
        number = self.tabs.currentIndex()
        self._sheets = sheets
        self.tabs.blockSignals(True)
        while self.tabs.count():
            self.tabs.removeTab(0)
        for sheet in sheets:
            self.tabs.addTab(sheet.name or "Table")
        self.tabs.setCurrentIndex(min(max(0, number), len(sheets) - 1))
        self.tabs.blockSignals(False)
        self.tabs.setVisible(len(sheets) > 1)
        self._on_tab(self.tabs.currentIndex())

    def _on_tab(self, number: int) -> None:
        if not 0 <= number < len(self._sheets):
            return
        sheet = self._sheets[number]
        before = self.table.model()
        self.table.setModel(_Cells(sheet, self))
        if before is not None:
            before.deleteLater()
        metrics = self.table.fontMetrics()
        for column in range(self.table.model().columnCount()):
            cells = [row[column] for row in sheet.rows[:_MEASURED] if column < len(row)]
            widest = max((metrics.horizontalAdvance(cell[:60]) for cell in cells), default=0)
            self.table.setColumnWidth(column, max(48, min(_WIDEST_PX, widest + 20)))
        rows = f"{sheet.count} row{'' if sheet.count == 1 else 's'}"
        is_whole = sheet.count <= len(sheet.rows)
        self._says.setText(f"{rows}." if is_whole else f"The first {len(sheet.rows)} of {rows} are shown.")


def _column(number: int) -> str:
    """Give a column's letters, A to Z, then AA and on.

    Examples
    --------
    >>> [_column(n) for n in (0, 25, 26, 701, 702)]
    ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    letters = ""
    number += 1
    while number:
        number, left = divmod(number - 1, 26)
        letters = chr(ord("A") + left) + letters
    return letters
