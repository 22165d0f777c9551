"""The points as rows of text for the table: sorted and narrowed down here, so that 5 000 of them stay quick."""

import re
from collections.abc import Mapping
from itertools import pairwise
from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import plain_tip
from circuitmap.home import verbs
from circuitmap.home.phases import going
from circuitmap.home.records import Check, Point, natural_key
from circuitmap.plan import rooms_of_points
from circuitmap.survey.deduce import Deduced

COLUMNS: Final = ("Point", "Kind", "Room", "Where", "Fed by", "Last seen", "Cables", "Findings")
NAME, KIND, ROOM, WHERE, FED, SEEN, CABLES, FOUND = range(8)
Index = QModelIndex | QPersistentModelIndex
Row = tuple[str, ...]

_EDITABLE: Final = frozenset({NAME, WHERE, CABLES})
_SHOWN: Final = 300
_MANY_BLOCKS: Final = 40  # beyond so many separate insertions and removals one reset is quicker
_CANDIDATES: Final = 4
_DIGITS: Final = re.compile(r"([0-9]{1,18})")
_PHASES: Final = {"planned": "planned", "removed": "taken out"}
_VERDICTS: Final = {"unchecked": "not checked", "elsewhere": "not on these ways"}


class PointModel(QAbstractTableModel):
    """The points as rows of text; ``refresh`` touches only the rows that read differently."""

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._all: dict[str, Row] = {}
        self._ids: list[str] = []
        self._rows: list[Row] = []
        self._at: dict[str, int] = {}
        self._column, self._falling = NAME, False
        self._words: tuple[str, ...] = ()
        self._flags: tuple[Qt.ItemFlag, ...] = ()
        self.refresh()

    # -- what the table asks ------------------------------------------------------------------------------------

    def id_at(self, row: int) -> str:
        """Give the id of the point in a row."""
        return self._ids[row]

    def row_of(self, point: str) -> int:
        """Give the row of a point, or -1 when it is not shown."""
        return self._at.get(point, -1)

    def refresh(self) -> None:
        """Take in what changed in the home."""
        self._all = rows_of(self._adapter)
        # Kept ready: selecting all of 5 000 points asks for them 40 000 times.
        plain = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        to_edit = plain if self._adapter.document.read_only else plain | Qt.ItemFlag.ItemIsEditable
        self._flags = tuple(to_edit if column in _EDITABLE else plain for column in range(len(COLUMNS)))
        self._settle()

    def narrow(self, text: str) -> None:
        """Show only the points that have all these words somewhere in their row."""
        words = tuple(text.casefold().split())
        if words != self._words:
            self._words = words
            self._settle()

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Sort by a column as people do: P9 before P10, whatever the case."""
        if 0 <= column < len(COLUMNS):
            self._column, self._falling = column, order == Qt.SortOrder.DescendingOrder
            self._settle()

    # -- Qt's questions -----------------------------------------------------------------------------------------

    def rowCount(self, parent: Index | None = None) -> int:
        """Give the number of points shown."""
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
        if role == Qt.ItemDataRole.DisplayRole:
            return " ".join(self._rows[index.row()][index.column()][:_SHOWN].split())
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain_tip(self._rows[index.row()][index.column()])
        if role == Qt.ItemDataRole.EditRole:
            point = self._adapter.home.take(Point, self._ids[index.row()])
            return {NAME: point.name, WHERE: point.where}.get(index.column(), self._rows[index.row()][index.column()])
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Say what can be done with a cell."""
        return self._flags[index.column()] if index.isValid() else Qt.ItemFlag.NoItemFlags

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:  # Qt hands over anything
        """Save an edited cell; a count that isn't one is refused in words."""
        if role != Qt.ItemDataRole.EditRole or index.column() not in _EDITABLE:
            return False
        adapter, point, text = self._adapter, self._ids[index.row()], str(value).strip()
        if index.column() == CABLES:
            if text and not (text.isdecimal() and int(text[:9]) <= 99):
                adapter.refuse(f"“{text[:40]}” is no count of cables; type a whole number up to 99, or nothing.")
                return False
            count = int(text) if text else None
            if count == adapter.home.take(Point, point).cables_seen:
                return True
            return adapter.do(lambda home: verbs.count_cables(home, point, count)) is not None
        field = "name" if index.column() == NAME else "where"
        if text == getattr(adapter.home.take(Point, point), field):
            return True
        return adapter.do(lambda home: verbs.edit(home, point, "", **{field: text})) is not None

    # -- inside -------------------------------------------------------------------------------------------------

    def _settle(self) -> None:
        """Bring the rows shown in line with what is known, sorted and narrowed down, in as small steps as will do."""
        wanted = self._ordered()
        if wanted != self._ids:
            now, then = set(self._ids), set(wanted)
            if now == then:
                self._reorder(wanted)
            elif not self._insert_and_remove(wanted, now, then):
                self.beginResetModel()
                self._take(wanted)
                self.endResetModel()
                return
        for n, point in enumerate(self._ids):
            if self._rows[n] != self._all[point]:
                self._rows[n] = self._all[point]
                self.dataChanged.emit(self.index(n, 0), self.index(n, len(COLUMNS) - 1))

    def _ordered(self) -> list[str]:
        column, rows, words = self._column, self._all, self._words
        ids = list(rows)  # in the natural order of their ids
        if words:
            ids = [i for i in ids if _has(rows[i], words)]
        if column != NAME:
            keys = {text: _people_key(text) for text in {rows[i][column] for i in ids}}
            return sorted(ids, key=lambda i: keys[rows[i][column]], reverse=self._falling)
        return ids[::-1] if self._falling else ids

    def _reorder(self, wanted: list[str]) -> None:
        self.layoutAboutToBeChanged.emit()
        held = self.persistentIndexList()
        points = [self._ids[index.row()] for index in held]
        texts = dict(zip(self._ids, self._rows, strict=True))
        self._take(wanted, texts)
        moved = [self.index(self._at[i], index.column()) for i, index in zip(points, held, strict=True)]
        self.changePersistentIndexList(held, moved)
        self.layoutChanged.emit()

    def _insert_and_remove(self, wanted: list[str], now: set[str], then: set[str]) -> bool:
        """Take rows out and put rows in, block by block; give False when that is too much or rows also moved."""
        if [i for i in self._ids if i in then] != [i for i in wanted if i in now]:
            return False
        gone = _blocks([n for n, i in enumerate(self._ids) if i not in then])
        new = _blocks([n for n, i in enumerate(wanted) if i not in now])
        if len(gone) + len(new) > _MANY_BLOCKS:
            return False
        parent = QModelIndex()
        for first, last in reversed(gone):
            self.beginRemoveRows(parent, first, last)
            del self._ids[first : last + 1], self._rows[first : last + 1]
            self.endRemoveRows()
        for first, last in new:
            self.beginInsertRows(parent, first, last)
            self._ids[first:first] = wanted[first : last + 1]
            self._rows[first:first] = [self._all[i] for i in wanted[first : last + 1]]
            self.endInsertRows()
        self._at = {i: n for n, i in enumerate(self._ids)}
        return True

    def _take(self, wanted: list[str], texts: Mapping[str, Row] | None = None) -> None:
        texts = self._all if texts is None else texts
        self._ids = wanted
        self._rows = [texts[i] for i in wanted]
        self._at = {i: n for n, i in enumerate(wanted)}


def rows_of(adapter: Adapter) -> dict[str, Row]:
    """Give every point's row of text, in the natural order of their ids."""
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
    last: dict[str, Check] = {}
    for check in home.table(Check).values():
        before = last.get(check.point)
        if before is None or check.at >= before.at:
            last[check.point] = check
    deduced, goes = adapter.deduced, going(home)
    rows: dict[str, Row] = {}
    for point_id in sorted(home.table(Point), key=natural_key):
        point = home.take(Point, point_id)
        room, seen, said = rooms.get(point_id), last.get(point_id), deduced.get(point_id)
        title = adapter.trade.point(point.kind).title
        if point.phase != "existing":
            title, said = f"{_PHASES[point.phase]}: {title}", None
        elif point_id in goes:
            title = f"to go: {title}"
        rows[point_id] = (
            f"{point_id} {point.name}".strip(),
            f"{title} ×{point.gangs}" if point.gangs > 1 else title,
            room.name if room is not None else "",
            point.where,
            _fed_by(adapter, fed.get(point_id, []), said),
            "" if seen is None else "went off" if seen.outcome == "off" else seen.outcome,
            "" if point.cables_seen is None else str(point.cables_seen),
            str(counts[point_id]) if point_id in counts else "",
        )
    return rows


def _fed_by(adapter: Adapter, codes: list[str], said: Deduced | None) -> str:
    """Say which ways feed a point; where none is known or the checks disagree, what the checks say of it."""
    words = ", ".join(codes)
    if said is None or (codes and said.verdict != "contradiction"):
        return words
    verdict = _VERDICTS.get(said.verdict, said.verdict)
    if codes:
        return f"{words} ({verdict})"
    if said.verdict in ("settled", "in doubt") and 0 < len(said.candidates) <= _CANDIDATES:
        named = " or ".join(adapter.home.code(device) for device in said.candidates)
        return named if said.verdict == "settled" else f"{named}? ({verdict})"
    return verdict


def _has(row: Row, words: tuple[str, ...]) -> bool:
    text = "\n".join(row).casefold()
    return all(word in text for word in words)


def _people_key(text: str) -> tuple[tuple[int, int, str], ...]:
    parts = _DIGITS.split(text[:_SHOWN].casefold())
    return tuple((0, int(part), "") if n % 2 else (1, 0, part) for n, part in enumerate(parts) if part)


def _blocks(rows: list[int]) -> list[tuple[int, int]]:
    """Give rising row numbers as blocks (first, last)."""
    if not rows:
        return []
    starts = [rows[0], *(b for a, b in pairwise(rows) if b != a + 1)]
    ends = [*(a for a, b in pairwise(rows) if b != a + 1), rows[-1]]
    return list(zip(starts, ends, strict=True))
