"""What happens beside the answers: something trips, others lose their power; and the sheet on paper."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QGridLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import codes, way_name
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Opener, Thumb, bare, card, empty, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_state import sheet_lines
from circuitmap.errors import PersonError
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Check, Device
from circuitmap.survey.kinds import is_existing, is_way
from circuitmap.survey.lines import Line
from circuitmap.survey.paper import sheet_text
from circuitmap.survey.sheet import parse_answers
from circuitmap.words import Outcome

_TRIPS: Final = frozenset({"main switch", "RCD", "RCD BS 4293", "voltage ELCB"})
_MARKS: Final[dict[Outcome, str]] = {"off": "off", "still on": "on", "faint glow": "glow", "can't tell": "?"}
_CSV_HEAD: Final = "number,room,point,went off,still on,faint glow,can't tell,why"


class Events(QWidget):
    """Something that tripped, others who lost their power."""

    handled = Signal()

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("What else happened in this switch-off")
        self._adapter, self._cursor = adapter, cursor
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        grid = QGridLayout()
        grid.setSpacing(GAP_PX)
        column.addLayout(grid)
        self.trip = Thumb("Something tripped…", quiet=True, parent=self)
        self.others = Thumb("Others lost power", quiet=True, tip="Somebody outside this home lost power", parent=self)
        for number, thumb in enumerate((self.trip, self.others)):
            grid.addWidget(thumb, 0, number)
        self.trip.clicked.connect(self.ask_what_tripped)
        self.others.clicked.connect(self._on_others)
        self.said = plain(role="warn")
        column.addWidget(self.said)
        self.picker, self._picker_column = card("warn", self)
        self.asks = plain(role="head")
        self.tells = plain()
        self._picker_column.addWidget(self.asks)
        self._picker_column.addWidget(self.tells)
        self._choices, choices = bare(self.picker)
        self._choice_grid = QGridLayout()
        self._choice_grid.setSpacing(GAP_PX // 2)
        choices.addLayout(self._choice_grid)
        self._picker_column.addWidget(self._choices)
        self.leave = Thumb("Nothing tripped", quiet=True, parent=self.picker)
        self.leave.clicked.connect(self._on_left)
        self._picker_column.addWidget(self.leave)
        column.addWidget(self.picker)
        self.picker.hide()
        self._asks_about_lamp = False
        cursor.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say again what happened in this switch-off."""
        going = self._cursor.round
        if going is None or not going.off:
            self.picker.hide()
            return
        home = self._adapter.home
        says = []
        tripped = [i for event in going.events if event.what == "trip" for i in event.devices]
        if tripped:
            says.append(f"Tripped: {codes(home, dict.fromkeys(tripped))}; off from then on.")
        if any(event.what == "others lost power" for event in going.events):
            says.append("Somebody outside this home lost power: ask them before going on.")
        show_text(self.said, "\n".join(says))
        is_out = bool(self._cursor.out_now())
        if is_out and not self._asks_about_lamp:
            self.ask_what_tripped()
        elif self._asks_about_lamp and not is_out:
            self._asks_about_lamp = False
            self.picker.hide()

    def ask_what_tripped(self, first: tuple[str, ...] = ()) -> None:
        """Show what may have tripped: what a lamp that is out tells of, what stands over others, the ways still on."""
        empty(self._choice_grid)
        home = self._adapter.home
        out = self._cursor.out_now()
        self._asks_about_lamp = bool(out)
        first = (*first, *(device for event in out for device in event.devices))
        self.asks.setText("The lamp has gone out: what tripped?" if out else "What tripped?")
        show_text(
            self.tells,
            "Answers since the last good look are set aside; they will be asked again." if out
            else "Answers so far are kept.",
        )  # fmt: skip
        self.leave.say("It is alight again: only the lamp" if out else "Nothing tripped")
        off = set(self._cursor.off)
        devices = [d for d in home.sorted(Device) if is_existing(d) and d.id not in off]
        over = sorted((d for d in devices if d.kind in _TRIPS or d.id in first), key=lambda d: d.id not in first)
        ways = [d for d in devices if is_way(d) and d not in over]
        for number, device in enumerate((*over, *ways)):
            words = way_name(home, device.id) + (f" {shorten(device.label, 14)}" if device.way else "")
            thumb = Thumb(words, device.id, quiet=True, tip=f"{words} tripped", parent=self._choices)
            thumb.chosen.connect(self._on_tripped)
            self._choice_grid.addWidget(thumb, number // 2, number % 2)
        self.picker.show()

    def choices(self) -> list[Thumb]:
        """Give the buttons of what may have tripped."""
        return [thumb for thumb in self._choices.findChildren(Thumb) if not thumb.isHidden()]

    def _on_left(self) -> None:
        self.picker.hide()
        if self._cursor.out_now():
            self._cursor.look_at_lamp(is_good=True)
        self.handled.emit()

    def _on_tripped(self, device_id: object) -> None:
        self.picker.hide()
        self._cursor.trip((str(device_id),))
        self.handled.emit()

    def _on_others(self) -> None:
        self._cursor.note_others()
        self.handled.emit()


class SheetCard(QWidget):
    """The numbered list of the walk, a line to type answers into, and the sheet to be printed."""

    picked = Signal(str)

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("List and paper sheet")
        self._adapter, self._cursor = adapter, cursor
        self._shown: tuple[object, ...] = ()
        self._rows: list[tuple[Line, QPushButton]] = []
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        self.opener = Opener("List, quick entry, paper sheet", self)
        column.addWidget(self.opener)
        self.body, body = bare(self)
        column.addWidget(self.body)
        self.entry = QLineEdit(self.body)
        self.entry.setPlaceholderText("1–14 off except 6, 9; 6 on; 7 ?")
        self.entry.setAccessibleName("Quick entry of answers by number")
        self.entry.returnPressed.connect(self.take_entry)
        body.addWidget(self.entry)
        self.problem = plain(role="warn")
        body.addWidget(self.problem)
        self.problem.hide()
        self.print_button = Thumb("Print sheet to a file…", quiet=True, parent=self.body)
        self.print_button.clicked.connect(self.ask_where)
        body.addWidget(self.print_button)
        self._list, self._list_column = bare(self.body)
        self._list_column.setSpacing(2)
        body.addWidget(self._list)
        self.body.hide()
        self.opener.toggled.connect(self._on_opened)
        cursor.changed.connect(self.refresh)

    def open_entry(self) -> None:
        """Open the list and go to its line."""
        self.opener.setChecked(True)
        self.entry.setFocus()

    def take_entry(self) -> None:
        """Record what was typed, as one change; what can't be read is said and nothing is taken."""
        text = self.entry.text().strip()
        if not text:
            return
        lines = {line.number: line for line in self._lines()}
        try:
            answers = parse_answers(text, lines.keys())
        except PersonError as error:
            show_text(self.problem, str(error))
            return
        show_text(self.problem, "")
        self.entry.clear()
        table = {i for line in lines.values() for i in line.points if i in self._cursor.all_points}
        pairs = [(point, outcome) for number, outcome in answers for point in lines[number].points if point in table]
        self._cursor.answer_many(pairs)

    def ask_where(self) -> None:
        """Ask for a file and write the sheet into it."""
        name, _ = QFileDialog.getSaveFileName(
            self, "Print sheet to a file", "sheet.txt", "Text to print (*.txt);;Table (*.csv)"
        )
        if name:
            self.write(Path(name))

    def write(self, path: Path) -> bool:
        """Write the sheet as text, or as a table when the name ends in .csv; say whether it was written."""
        going = self._cursor.round
        home, trade, memo = self._adapter.home, self._adapter.trade, self._adapter.memo
        if path.suffix.lower() == ".csv":
            text = self._table()
        else:
            text = sheet_text(home, going.id if going is not None else None, memo, trade)
        try:
            path.write_text(text, encoding="utf-8")
        except OSError as error:
            self._adapter.refuse(f"The sheet can't be written to {path.name}: {error.strerror or error}.")
            return False
        self._adapter.say(f"The sheet is in {path.name}.")
        return True

    def refresh(self) -> None:
        """Show the numbered list with the answers so far."""
        if self.body.isHidden():
            return
        lines = self._lines()
        if lines != self._shown:
            self._shown = lines
            self._build(lines)
        done, turn = self._cursor.outcomes, self._cursor.point
        for line, button in self._rows:
            marks = {_MARKS[done[i]] for i in line.points if i in done}
            mark = "/".join(sorted(marks)) or "–"
            here = "▸ " if turn in line.points else ""
            button.setText(f"{here}{line.number}   {shorten(line.words, 34)}   {mark}".replace("&", "&&"))
            button.setAccessibleName(f"{line.number}, {line.room}, {line.words}: {mark}")

    def _lines(self) -> tuple[Line, ...]:
        return sheet_lines(self._adapter.home, self._adapter.trade, self._adapter.memo)

    def _build(self, lines: tuple[Line, ...]) -> None:
        empty(self._list_column)
        self._rows = []
        room = ""
        for line in lines:
            if line.room != room:
                room = line.room
                self._list_column.addWidget(plain(room, "faint"))
            button = Thumb("", line.points[0], quiet=True, parent=self._list)
            button.setStyleSheet("text-align: left;")
            button.chosen.connect(self._on_row)
            self._rows.append((line, button))
            self._list_column.addWidget(button)

    def _table(self) -> str:
        home, going = self._adapter.home, self._cursor.round
        found = {c.point: c for c in home.sorted(Check) if going is not None and c.round == going.id}
        rows = [_CSV_HEAD]
        for line in self._lines():
            check = next((found[i] for i in line.points if i in found), None)
            ticks = ["x" if check is not None and check.outcome == each else "" for each in _MARKS]
            cells = [str(line.number), line.room, line.words, *ticks, check.why if check is not None else ""]
            rows.append(",".join(_cell(each) for each in cells))
        return "\n".join(rows) + "\n"

    def _on_opened(self, is_open: bool) -> None:  # a slot's own signature
        self.body.setVisible(is_open)
        self.refresh()

    def _on_row(self, point_id: object) -> None:
        self._cursor.go_to(str(point_id))
        self.picked.emit(str(point_id))


def _cell(text: str) -> str:
    # A spreadsheet would run a cell that begins like a formula.
    safe = f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t") else text
    return '"' + safe.replace('"', '""') + '"' if any(c in safe for c in ',"\n\r') else safe
