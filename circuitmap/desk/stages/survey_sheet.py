"""The numbered list of a switch-off, a line to type answers into, and the sheet to be printed."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QFileDialog, QLineEdit, QPushButton, QVBoxLayout, QWidget

from circuitmap.desk import visit_paper as papers
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Opener, Pick, Thumb, bare, empty, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.drawing.paper_sheet import page_paths, sheet_pages
from circuitmap.errors import PersonError
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Check, Round
from circuitmap.survey.lines import Line
from circuitmap.survey.paper import text_of
from circuitmap.words import Outcome

_MARKS: Final[dict[Outcome, str]] = {"off": "off", "still on": "on", "faint glow": "glow", "can't tell": "?"}
_CSV_HEAD: Final = "number,room,point,went off,still on,faint glow,can't tell,why"
_FILTERS: Final = "Pages to print (*.svg);;Plain text (*.txt);;Table (*.csv)"


class SheetCard(QWidget):
    """The list of the switch-off being walked, or of one whose answers are still on paper."""

    picked = Signal(str)

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("List and paper sheet")
        self._adapter, self._cursor = adapter, cursor
        self._chosen = ""
        self._subjects: tuple[papers.Subject, ...] = ()
        self._shown: tuple[object, ...] = ()
        self._rows: list[tuple[Line, QPushButton]] = []
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        self.opener = Opener("List, quick entry, paper sheet", self)
        column.addWidget(self.opener)
        self.body, body = bare(self)
        column.addWidget(self.body)
        self.which = Pick("Which switch-off the sheet is for", self.body)
        self.which.currentIndexChanged.connect(self._on_which)
        body.addWidget(self.which)
        self.code = plain(role="faint")
        body.addWidget(self.code)
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
        self._read_subjects()

    @property
    def subject(self) -> str:
        """What the sheet is for: the id of a switch-off, or one of the words for one that isn't made yet."""
        keys = [each.key for each in papers.subjects(self._cursor)]
        return self._chosen if self._chosen in keys else keys[0]

    def choose(self, key: str) -> None:
        """Take the sheet of another switch-off."""
        self._chosen = key
        self.refresh()

    def open_entry(self) -> None:
        """Open the list and go to its line."""
        self.opener.setChecked(True)
        self.entry.setFocus()

    def can_type(self) -> bool:
        """Whether answers can be typed: the switch-off of the sheet was made."""
        return self._cursor.home.find(Round, self.subject) is not None

    def take_entry(self) -> None:
        """Record what was typed, as one change; what can't be read is said and nothing is taken."""
        text = self.entry.text().strip()
        if not text or not self.can_type():
            return
        key, going = self.subject, self._cursor.round
        try:
            pairs = papers.read_typed(self._cursor, key, text)
        except PersonError as error:
            show_text(self.problem, str(error))
            return
        show_text(self.problem, "")
        before = self._cursor.home
        if going is not None and going.id == key:
            self._cursor.answer_many(pairs)
        elif papers.answer_late(self._cursor, key, pairs):
            self._adapter.say(f"Written down for {key}: {len(pairs)} answers from paper.")
        if self._cursor.home is not before:
            self.entry.clear()

    def ask_where(self) -> None:
        """Ask for a file and write the sheet into it."""
        name, _ = QFileDialog.getSaveFileName(self, "Print sheet to a file", "sheet.svg", _FILTERS)
        if name:
            self.write(Path(name))

    def write(self, path: Path) -> bool:
        """Write the sheet as pages, or as text or a table by the name's ending; say whether it was written."""
        home, memo = self._adapter.home, self._adapter.memo
        kind = path.suffix.lower()
        if kind == ".csv":
            files = {path: self._table()}
        elif kind == ".txt":
            files = {path: text_of(home, papers.paper(self._cursor, self.subject))}
        else:
            pages = sheet_pages(home, memo, papers.paper(self._cursor, self.subject))
            named = path if kind else path.with_suffix(".svg")
            files = dict(zip(page_paths(named, len(pages)), pages, strict=True))
        for each, text in files.items():
            try:
                each.write_text(text, encoding="utf-8")
            except OSError as error:
                self._adapter.refuse(f"The sheet can't be written to {each.name}: {error.strerror or error}.")
                return False
        names = [each.name for each in files]
        pages_said = f" is on {len(names)} pages, " if len(names) > 1 else " is in "
        self._adapter.say(f"The sheet{pages_said}{', '.join(names)}.")
        return True

    def refresh(self) -> None:
        """Show the numbered list with the answers so far."""
        over = self._cursor.round is None
        self.opener.rename("Answers on paper, and sheets to print" if over else "List, quick entry, paper sheet")
        if self.body.isHidden():
            return
        self._read_subjects()
        numbers = papers.numbering(self._cursor, self.subject)
        self.entry.setVisible(self.can_type())
        if not self.can_type():
            show_text(self.problem, "")
        says = [f"Sheet {numbers.code}: the same code stands on the paper whose numbers these are."]
        if self.can_type() and papers.is_late(self._cursor, self.subject):
            says.append("The power is back: what is typed now counts as written on paper during the walk.")
        self.code.setText(" ".join(says))
        lines = numbers.all_lines
        if lines != self._shown:
            self._shown = lines
            self._build(lines)
        done, going = papers.outcomes(self._cursor, self.subject), self._cursor.round
        turn = self._cursor.point if going is not None and going.id == self.subject else ""
        for line, button in self._rows:
            marks = {_MARKS[done[i]] for i in line.points if i in done}
            mark = "/".join(sorted(marks)) or "–"
            here = "▸ " if turn in line.points else ""
            button.setText(f"{here}{line.number}   {shorten(line.words, 34)}   {mark}".replace("&", "&&"))
            button.setAccessibleName(f"{line.number}, {line.room}, {line.words}: {mark}")

    def _read_subjects(self) -> None:
        found = papers.subjects(self._cursor)
        if found != self._subjects:
            self._subjects = found
            with QSignalBlocker(self.which):
                self.which.clear()
                for each in found:
                    self.which.addItem(each.words, each.key)
        with QSignalBlocker(self.which):
            self.which.setCurrentIndex([each.key for each in found].index(self.subject))
        self.which.setVisible(len(found) > 1)

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
        key = self.subject
        found = {check.point: check for check in self._adapter.home.sorted(Check) if check.round == key}
        rows = [_CSV_HEAD]
        for line in papers.numbering(self._cursor, key).all_lines:
            check = next((found[i] for i in line.points if i in found), None)
            ticks = ["x" if check is not None and check.outcome == each else "" for each in _MARKS]
            cells = [str(line.number), line.room, line.words, *ticks, check.why if check is not None else ""]
            rows.append(",".join(_cell(each) for each in cells))
        return "\n".join(rows) + "\n"

    def _on_opened(self, is_open: bool) -> None:  # a slot's own signature
        self.body.setVisible(is_open)
        self.refresh()

    def _on_which(self, _index: int) -> None:
        key = self.which.currentData()
        if isinstance(key, str):
            self.choose(key)

    def _on_row(self, point_id: object) -> None:
        if self._cursor.round is None:
            self._adapter.show(str(point_id))
            return
        self._cursor.go_to(str(point_id))
        self.picked.emit(str(point_id))


def _cell(text: str) -> str:
    # A spreadsheet would run a cell that begins like a formula.
    safe = f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t") else text
    return '"' + safe.replace('"', '""') + '"' if any(c in safe for c in ',"\n\r') else safe
