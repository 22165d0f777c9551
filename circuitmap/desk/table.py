"""The plan's twin: every point in a table that keys and a screen reader can reach, and that can be edited in place."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    QSignalBlocker,
    QSortFilterProxyModel,
    Qt,
    Signal,
)
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QLineEdit, QTableView, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import Label
from circuitmap.desk.theme import TARGET_PX, Look
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Check, Point, natural_key
from circuitmap.plan import rooms_of_points

COLUMNS = ("Point", "Kind", "Room", "Where", "Fed by", "Last seen", "Cables", "Findings")
_NAME, _KIND, _ROOM, _WHERE, _FED, _SEEN, _CABLES, _FOUND = range(8)
_EDITABLE = frozenset({_NAME, _WHERE, _CABLES})
Index = QModelIndex | QPersistentModelIndex
Row = tuple[str, ...]


class PointModel(QAbstractTableModel):
    """The points as rows of text; ``refresh`` touches only the rows that read differently."""

    def __init__(self, adapter: Adapter, parent: QWidget) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._ids: list[str] = []
        self._rows: list[Row] = []
        self.refresh()

    def id_at(self, row: int) -> str:
        """Give the id of the point in a row."""
        return self._ids[row]

    def row_of(self, point: str) -> int:
        """Give the row of a point, or -1."""
        return self._ids.index(point) if point in self._ids else -1

    def refresh(self) -> None:
        """Take in what changed."""
        ids, rows = self._gathered()
        if ids == self._ids:
            for n, (old, new) in enumerate(zip(self._rows, rows, strict=True)):
                if old != new:
                    self._rows[n] = new
                    self.dataChanged.emit(self.index(n, 0), self.index(n, len(COLUMNS) - 1))
            return
        self.beginResetModel()
        self._ids, self._rows = ids, rows
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        """Give the number of points."""
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index | None = None) -> int:
        """Give the number of columns."""
        return 0 if parent is not None and parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Give a column's heading."""
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return COLUMNS[section]
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Give a cell's text."""
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            text = self._rows[index.row()][index.column()]
            return text[:300]
        if role == Qt.ItemDataRole.EditRole:
            point = self._adapter.home.take(Point, self._ids[index.row()])
            return {_NAME: point.name, _WHERE: point.where}.get(index.column(), self._rows[index.row()][index.column()])
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Say what can be done with a cell."""
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if index.column() in _EDITABLE and not self._adapter.document.read_only:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Save an edited cell; a count that isn't one is refused in words."""
        if role != Qt.ItemDataRole.EditRole:
            return False
        point, text = self._ids[index.row()], str(value).strip()
        make: Callable[[Home], Change]
        if index.column() == _CABLES:
            if text and not (text.isdecimal() and int(text) <= 99):
                self._adapter.refuse(f"“{text[:40]}” is no count of cables; type a whole number, or nothing.")
                return False
            count = int(text) if text else None

            def make(home: Home) -> Change:
                return verbs.count_cables(home, point, count)
        else:
            field = "name" if index.column() == _NAME else "where"

            def make(home: Home) -> Change:
                return verbs.edit(home, point, "", **{field: text})

        return self._adapter.do(make) is not None

    def _gathered(self) -> tuple[list[str], list[Row]]:
        adapter = self._adapter
        home = adapter.home
        rooms = rooms_of_points(home, adapter.memo)
        fed: dict[str, list[str]] = {}
        for view in adapter.views:
            for name in view.names:
                fed.setdefault(name, []).append(view.code)
        counts: dict[str, int] = {}
        for finding in adapter.findings:
            if not finding.aside and finding.code != "note":
                for subject in finding.subjects:
                    counts[subject] = counts.get(subject, 0) + 1
        seen: dict[str, str] = {check.point: check.outcome for check in home.table(Check).values()}
        ids = sorted(home.table(Point), key=natural_key)
        rows: list[Row] = []
        for point_id in ids:
            point = home.take(Point, point_id)
            room = rooms.get(point_id)
            title = adapter.trade.point(point.kind).title
            rows.append(
                (
                    f"{point_id} {point.name}".strip(),
                    f"{title} ×{point.gangs}" if point.gangs > 1 else title,
                    room.name if room is not None else "",
                    point.where,
                    ", ".join(fed.get(point_id, ())),
                    "went off" if seen.get(point_id) == "off" else seen.get(point_id, ""),
                    "" if point.cables_seen is None else str(point.cables_seen),
                    str(counts[point_id]) if point_id in counts else "",
                )
            )
        return ids, rows


class _Sorted(QSortFilterProxyModel):
    """Sorts ids and numbers as people do."""

    def lessThan(self, left: Index, right: Index) -> bool:
        """Compare two cells."""
        a, b = str(left.data() or ""), str(right.data() or "")
        return (_key(a), a) < (_key(b), b)


class PointTable(QWidget):
    """The table with a line to narrow it down."""

    inspect = Signal()

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._busy = False
        self.setObjectName("list")
        self.model = PointModel(adapter, self)
        self._proxy = _Sorted(self)
        self._proxy.setSourceModel(self.model)
        self._proxy.setFilterCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self._proxy.setFilterKeyColumn(-1)
        self.filter = QLineEdit(self)
        self.filter.setPlaceholderText("Only points with…")
        self.filter.setAccessibleName("Show only points with these words")
        self.filter.setClearButtonEnabled(True)
        self.filter.textChanged.connect(self._proxy.setFilterFixedString)
        self.view = QTableView(self)
        self.view.setObjectName("points")
        self.view.setAccessibleName("Points of the home")
        self.view.setModel(self._proxy)
        self.view.setSortingEnabled(True)
        self.view.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        self.view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.view.setAlternatingRowColors(True)
        self.view.setWordWrap(False)
        self.view.setTabKeyNavigation(False)
        self.view.verticalHeader().hide()
        self.view.verticalHeader().setDefaultSectionSize(TARGET_PX)
        header = self.view.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setStretchLastSection(True)
        for column, width in enumerate((130, 150, 120, 110, 80, 90, 60, 60)):
            self.view.setColumnWidth(column, width)
        self.view.selectionModel().selectionChanged.connect(self._on_rows)
        self._none = Label("No points yet. Place them on the plan, or list them in a room (Draw).", self, role="faint")
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
        """Enter goes to the page of what is selected."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.inspect.emit()
        else:
            super().keyPressEvent(event)

    def _on_changed(self, _change: object) -> None:
        self._busy = True
        self.model.refresh()
        self._busy = False
        self._none.setVisible(self.model.rowCount() == 0)
        self._on_selected(self._adapter.selection)

    def _on_rows(self, *_: object) -> None:
        if self._busy:
            return
        rows = self.view.selectionModel().selectedRows()
        self._busy = True
        self._adapter.select(*(self.model.id_at(self._proxy.mapToSource(index).row()) for index in rows))
        self._busy = False

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        if self._busy:
            return
        chosen = QItemSelection()
        first = None
        for point in ids:
            row = self.model.row_of(point) if point.startswith("P") else -1
            if row >= 0:
                index = self._proxy.mapFromSource(self.model.index(row, 0))
                chosen.select(index, index)
                first = first or index
        self._busy = True
        model = self.view.selectionModel()
        flags = QItemSelectionModel.SelectionFlag
        with QSignalBlocker(self._proxy):
            model.select(chosen, flags.ClearAndSelect | flags.Rows)
        if first is not None:
            model.setCurrentIndex(first, flags.NoUpdate)
            self.view.scrollTo(first)
        self._busy = False


def _key(text: str) -> tuple[str, int]:
    head = text.split(" ", 1)[0]
    return natural_key(head) if head[1:].isdecimal() else (text.casefold(), int(text) if text.isdecimal() else 0)
