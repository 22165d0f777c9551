"""The sheet of one test as rows of text: what was read before and after, what the map expects, and the word for it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import plain_tip
from circuitmap.desk.readings_recorder import Recorder, Result
from circuitmap.home.records import Point
from circuitmap.quantities.measured import show_value
from circuitmap.readings.against import fit_of, worst_of
from circuitmap.readings.entries import Entry, Side
from circuitmap.readings.pairs import Pair
from circuitmap.readings.predict import Predicted
from circuitmap.readings.sheet import Group, Line, filed
from circuitmap.readings.verdict import Level

PLACE, BEFORE, AFTER, SHOULD, SAYS = range(5)
Index = QModelIndex | QPersistentModelIndex
BELOW: Final = Qt.ItemDataRole.UserRole  # a cell's second line
LEVEL: Final = Qt.ItemDataRole.UserRole + 1
HELD: Final = Qt.ItemDataRole.UserRole + 2  # whether a cell shows a text that isn't recorded
Expectations = Mapping[tuple[object, ...], Predicted]


@dataclass(frozen=True, slots=True)
class Cell:
    """What a cell shows: a line, a smaller one below it, whether it is only held."""

    text: str = ""
    below: str = ""
    is_held: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the sheet as it is shown; ``sentence`` says all of it."""

    line: Line
    cells: tuple[Cell, ...]
    level: Level | None
    sentence: str
    latest: Entry | None


class GridModel(QAbstractTableModel):
    """One group of lines; ``refresh`` touches only the rows that read differently."""

    def __init__(self, adapter: Adapter, recorder: Recorder, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._recorder = adapter, recorder
        self._group: Group | None = None
        self._rows: list[Row] = []
        self._expected: Expectations = {}
        self._levels: Mapping[str, Level] = {}
        self._shared: Mapping[str, Level] = {}
        self._held: dict[tuple[object, ...], tuple[str, str]] = {}  # by line: the text, why it isn't recorded
        self._has_after = False

    # -- what the stage does ------------------------------------------------------------------------------------

    @property
    def group(self) -> Group | None:
        """The group of lines on show."""
        return self._group

    @property
    def column(self) -> int:
        """The column that is being filled."""
        return AFTER if self._recorder.side == "after" else BEFORE

    @property
    def has_after(self) -> bool:
        """Whether there is anything to say of after the work."""
        return self._has_after or self._recorder.side == "after"

    @property
    def is_wordy(self) -> bool:
        """Whether these lines are answered in words."""
        return self._group is not None and not self._group.unit

    @property
    def has_expected(self) -> bool:
        """Whether the map can say anything of these lines."""
        return self._group is not None and any(line.test in ("linked", "ring end to end", "Zs") for line in
                                               self._group.lines)  # fmt: skip

    def show_group(self, group: Group | None) -> None:
        """Show another group of lines."""
        if group == self._group:
            return
        self.beginResetModel()
        self._group, self._expected = group, {}
        self._rows = self._made()
        self.endResetModel()

    def expect(self, expected: Expectations) -> None:
        """Take in what the lines should read."""
        if expected != self._expected:
            self._expected = expected
            self.refresh()

    def judge(self, levels: Mapping[str, Level], shared: Mapping[str, Level]) -> None:
        """Take in the worst that verdicts say of each reading alone, and of it together with others, by its id.

        A reading that fits the map isn't blamed for what is said of several.
        """
        if (levels, shared) != (self._levels, self._shared):
            self._levels, self._shared = levels, shared
            self.refresh()

    def refresh(self) -> None:
        """Take in what changed."""
        rows = self._made()
        if len(rows) != len(self._rows):
            self.beginResetModel()
            self._rows = rows
            self.endResetModel()
            return
        for number, row in enumerate(rows):
            if row != self._rows[number]:
                self._rows[number] = row
                self.dataChanged.emit(self.index(number, PLACE), self.index(number, SAYS))

    def row(self, number: int) -> Row | None:
        """Give a row, None when there is none."""
        return self._rows[number] if 0 <= number < len(self._rows) else None

    def row_at(self, place: str) -> int:
        """Give the number of the first row at a place, -1 when there is none."""
        return next((n for n, row in enumerate(self._rows) if row.line.at == place), -1)

    def row_of_reading(self, reading: str) -> int:
        """Give the number of the row that shows a reading, -1 when none does."""
        for number, row in enumerate(self._rows):
            if row.latest is not None and row.latest.reading.id == reading:
                return number
        return -1

    def counts(self, groups: Sequence[Group]) -> dict[str, int]:
        """Give how many lines of each group are read on this side."""
        side = self._recorder.side
        read = {key for on, key in filed(self._recorder.entries) if on == side}
        return {group.id: sum(1 for line in group.lines if line.key in read) for group in groups}

    def shows(self, group: Group, reading: str) -> bool:
        """Whether a group has a line for a reading."""
        keys = {line.key for line in group.lines}
        return any(key in keys and entry.reading.id == reading for (_, key), entry in
                   filed(self._recorder.entries).items())  # fmt: skip

    def first_open(self) -> int:
        """Give the number of the first row not read yet on this side; the first row when all are."""
        column = self.column
        return next((n for n, row in enumerate(self._rows) if not row.cells[column].text), 0)

    def take(self, number: int, typed: str) -> Result:
        """Record what was typed in a row."""
        row = self._rows[number]
        result = self._recorder.take(row.line, typed, row.latest)
        if result.recorded:
            self._held.pop(row.line.key, None)  # the row itself is made anew with the change that was recorded
        return result

    def hold(self, number: int, typed: str, why: str) -> None:
        """Keep a text that couldn't be recorded in its cell, with the reason."""
        self._held[self._rows[number].line.key] = (typed, why)
        self.refresh()

    def let_go(self, number: int) -> None:
        """Forget a text that was held."""
        if self._held.pop(self._rows[number].line.key, None) is not None:
            self.refresh()

    def forget(self) -> None:
        """Forget all texts that were held: they belong to the way they were typed for."""
        self._held = {}

    def held_text(self, number: int) -> str:
        """Give the text that a row holds unrecorded."""
        return self._held.get(self._rows[number].line.key, ("", ""))[0]

    def held_row(self) -> int:
        """Give the number of the first row with a text held, -1 when there is none."""
        return next((n for n, row in enumerate(self._rows) if row.line.key in self._held), -1)

    # -- Qt's questions -----------------------------------------------------------------------------------------

    def rowCount(self, parent: Index | None = None) -> int:
        """Give the number of lines."""
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index | None = None) -> int:
        """Give the number of columns."""
        return 0 if parent is not None and parent.isValid() else SAYS + 1

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Give a column's heading, with its unit."""
        if role != Qt.ItemDataRole.DisplayRole or orientation != Qt.Orientation.Horizontal:
            return None
        unit = self._group.unit if self._group is not None else ""
        with_unit = f", {unit}" if unit and unit != "as written" else ""
        before = "Before" if self.has_after else "Read"
        first = {"ends": "Conductor", "insulation": "Between", "rcd": "Test", "supply": "What"}
        place = first.get(self._group.id, "Point") if self._group is not None else "Point"
        return (place, f"{before}{with_unit}", f"After{with_unit}", f"Map{with_unit}", "In words")[section]

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Give a cell's text, the smaller line below it, its level, or the whole row as a sentence."""
        row = self._rows[index.row()]
        cell = row.cells[index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            return cell.text
        if role == BELOW:
            return cell.below
        if role == LEVEL:
            return row.level
        if role == HELD:
            return cell.is_held
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain_tip(row.sentence)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return " ".join(filter(None, (cell.text, cell.below)))
        if role == Qt.ItemDataRole.AccessibleDescriptionRole:
            return row.sentence
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Say what can be done with a cell: only this side's column is filled."""
        plain = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if index.isValid() and index.column() == self.column and not self._adapter.document.read_only:
            return plain | Qt.ItemFlag.ItemIsEditable
        return plain

    # -- inside -------------------------------------------------------------------------------------------------

    def _made(self) -> list[Row]:
        group, book = self._group, self._recorder.book
        if group is None or book is None:
            self._has_after = False
            return []
        entries = self._recorder.entries
        held = filed(entries)
        earlier: dict[tuple[Side, tuple[object, ...]], int] = {}
        for entry in entries:
            earlier[entry.side, entry.place] = earlier.get((entry.side, entry.place), 0) + 1
        pairs = {pair.after.reading.id: pair for pair in book.pairs if pair.after is not None}
        self._has_after = any(entry.side == "after" for entry in entries)
        view = self._recorder.view
        rooms = {m.point.id: m.room.name for m in view.members if m.room is not None} if view is not None else {}
        return [self._row(line, held, earlier, pairs, rooms) for line in group.lines]

    def _row(
        self,
        line: Line,
        held: Mapping[tuple[Side, tuple[object, ...]], Entry],
        earlier: Mapping[tuple[Side, tuple[object, ...]], int],
        pairs: Mapping[str, Pair],
        rooms: Mapping[str, str],
    ) -> Row:
        before, after = held.get(("before", line.key)), held.get(("after", line.key))
        latest = after or before
        expected = self._expected.get(line.key)
        fit = fit_of(latest, expected)
        pair = pairs.get(after.reading.id) if after is not None else None
        if pair is not None and pair.before is None:
            pair = None
        judged = None
        if latest is not None:
            of_several = self._shared.get(latest.reading.id) if fit is None or fit.level != "fine" else None
            judged = worst_of(self._levels.get(latest.reading.id), of_several)
        level = worst_of(fit.level if fit is not None else None, judged)
        if latest is not None and level is None and latest.value_si is None and not latest.reading.indicated:
            level = "can't tell"
        typed, why = self._held.get(line.key, ("", ""))
        cells = [
            Cell(line.name, _where(self._adapter, line, rooms)),
            self._value(before, earlier),
            self._value(after, earlier, pair),
            _should(expected),
            _says(latest, fit.word if fit is not None else "", level),
        ]
        if typed:
            cells[self.column] = Cell(typed, "waits", is_held=True)
        by_map = expected.why if expected is not None and expected.ohm is None else ""
        if fit is not None and latest is not None:
            by_map = fit.says if latest.says_something else ""
        said = [
            f"{line.name}:" + (f" {latest.shown}." if latest is not None else " not read yet."),
            why,
            by_map,
            pair.words if pair is not None else "",
        ]
        return Row(line, tuple(cells), level, " ".join(filter(None, said)), latest)

    def _value(
        self,
        entry: Entry | None,
        earlier: Mapping[tuple[Side, tuple[object, ...]], int],
        pair: Pair | None = None,
    ) -> Cell:
        if entry is None:
            return Cell()
        unit = self._group.unit if self._group is not None else ""
        count = earlier.get((entry.side, entry.place), 1) - 1
        kept = f"{count} earlier" if count else ""
        below = pair.paired_as if pair is not None else kept
        if entry.value_si is None:
            return Cell(entry.reading.indicated or "not read", below)
        sign = "" if entry.reading.bound == "=" else entry.reading.bound
        text = sign + show_value(entry.value_si, entry.test, exact=bool(sign))
        return Cell(text.removesuffix(f" {unit}"), below)


def _where(adapter: Adapter, line: Line, rooms: Mapping[str, str]) -> str:
    point = adapter.home.find(Point, line.at) if line.at is not None else None
    if point is None:
        return ""
    return point.name or rooms.get(point.id, "") or point.kind


def _should(expected: Predicted | None) -> Cell:
    if expected is None:
        return Cell()
    if expected.ohm is None:
        return Cell("?", "can't tell")
    if expected.ohm == inf:
        return Cell("open")
    return Cell(f"{expected.ohm:.2f}", f"± {2 * expected.sd_ohm:.2f}")


def _says(latest: Entry | None, word: str, level: Level | None) -> Cell:
    if latest is None or level is None:
        return Cell()
    if not word:
        return Cell(level)
    return Cell(word, "" if level == "fine" else level)
