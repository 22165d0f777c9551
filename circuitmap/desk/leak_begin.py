"""Where a hunt for low insulation begins: one on record to go on with, a low reading, or what somebody types."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from circuitmap.circuits import CircuitView
from circuitmap.desk.causes_list import RowList
from circuitmap.desk.fields import ChoiceField
from circuitmap.desk.leak_said import hunt_row, low_row
from circuitmap.desk.parts import Card, Label, add_row, button, form
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import SHEET
from circuitmap.readings.entries import Entry
from circuitmap.readings.leak_book import OnRecord
from circuitmap.readings.leak_told import CAUTIONS
from circuitmap.readings.sheet import Line, groups_of

NO_CIRCUIT: Final = "Choose a circuit whose insulation reads low: where the leak is, is looked for here, step by step."
INTRO: Final = (
    "What to unplug, take off or open next is said step by step, so that the leak is found with the least work. Each "
    "part that is read is kept among the readings."
)
NONE_LOW: Final = "No reading of the whole circuit on record is low. Type what it read, or begin by reading it."
_USUAL: Final = "L+N–E, 250 V"


class LeakBegin(QWidget):
    """The ways to begin."""

    gone_on = Signal(object)  # an OnRecord
    begun_from = Signal(object)  # an Entry
    begun_with = Signal(object, str)  # the Line that was read, and what was typed ("": read the whole first)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setStyleSheet(SHEET)
        self._hunts: Sequence[OnRecord] = ()
        self._low: Sequence[Entry] = ()
        self._lines: tuple[Line, ...] = ()
        self.says = Label("", self)
        self._caution = Card(self, warn=True)
        self._caution.body.addWidget(Label(CAUTIONS[0][0], self._caution))
        self.hunts = RowList(look, "Hunts on record to go on with", self)
        self.hunts.taken.connect(self._on_hunt)
        self.low = RowList(look, "Low readings to begin from", self)
        self.low.taken.connect(self._on_low)
        self._none = Label(NONE_LOW, self, role="faint")
        self.between = ChoiceField("It was read between", [], self._on_between, self)
        self.typed = QLineEdit(self)
        self.typed.setObjectName("leak-whole")
        self.typed.setAccessibleName("What the whole circuit read, in megohms")
        self.typed.setPlaceholderText("MΩ; empty: read it first")
        self.typed.returnPressed.connect(self._on_begin)
        self.problem = Label("", self, role="warn")
        self.begin_button = button("Begin", self, strong=True)
        self.begin_button.setAccessibleName("Begin to look for low insulation")
        self.begin_button.clicked.connect(self._on_begin)
        self._rows = QWidget(self)
        rows = form(self._rows)
        add_row(rows, "Between", self.between)
        add_row(rows, "It read", self.typed)
        foot = QHBoxLayout()
        foot.addWidget(self.begin_button, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        for widget in (self.says, self._caution, self.hunts, self.low, self._none):
            layout.addWidget(widget)
        layout.addWidget(self._rows)
        layout.addWidget(self.problem)
        layout.addLayout(foot)
        self.problem.hide()

    def show_view(self, view: CircuitView | None, hunts: Sequence[OnRecord] = (), low: Sequence[Entry] = ()) -> None:
        """Show the ways to begin on a circuit, or (None) ask for one."""
        self.says.setText(NO_CIRCUIT if view is None else INTRO)
        for widget in (self._caution, self._rows, self.begin_button):
            widget.setVisible(view is not None)
        self._none.setVisible(view is not None and not low)
        if hunts != self._hunts or not hunts:
            self._hunts = hunts
            self.hunts.show_rows([hunt_row(each) for each in hunts])
        if low != self._low or not low:
            self._low = low
            self.low.show_rows([low_row(each) for each in low])
        lines = () if view is None else next(g.lines for g in groups_of(view) if g.id == "insulation")
        if lines != self._lines:
            self._lines = lines
            self.between.offer([(line.name, n) for n, line in enumerate(lines)])
            usual = next((n for n, line in enumerate(lines) if line.name == _USUAL), 0)
            self.between.show_value(usual)
            self.typed.clear()
            self.tell("")

    def tell(self, sentence: str) -> None:
        """Say what is wrong with what was typed; nothing with ""."""
        self.problem.setText(sentence)
        self.problem.setVisible(bool(sentence))

    def forget_typed(self) -> None:
        """Empty the field once a hunt has begun."""
        self.typed.clear()
        self.tell("")

    def focus_first(self) -> None:
        """Go to where a hunt most likely begins."""
        first = next((each for each in (self.hunts, self.low) if each.count()), self.typed)
        first.setFocus()

    def _on_hunt(self, row: int) -> None:
        self.gone_on.emit(self._hunts[row])

    def _on_low(self, row: int) -> None:
        self.begun_from.emit(self._low[row])

    def _on_between(self, value: object) -> bool:
        self.between.show_value(value)
        return True

    def _on_begin(self) -> None:
        self.between.settle()
        place = self.between.currentData()
        if isinstance(place, int) and place < len(self._lines):
            self.begun_with.emit(self._lines[place], self.typed.text().strip())
