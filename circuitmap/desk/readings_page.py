"""The page of the grid: the choice of the test, what is to be done for it, the grid, and one sentence below."""

from collections.abc import Mapping, Sequence
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from circuitmap.desk.fields import ChoiceField
from circuitmap.desk.parts import Label
from circuitmap.desk.readings_choice import GroupChoice
from circuitmap.desk.readings_grid import ReadingGrid
from circuitmap.desk.readings_model import GridModel
from circuitmap.desk.theme import Look
from circuitmap.readings.sheet import Group

_LEAST_GRID_PX: Final = 150
_TWO_LINES_PX: Final = 34
_DEAD: Final = (
    "Dead tests: only after isolating and proving dead. Line and neutral of the circuit out of the board, everything "
    "unplugged."
)
_LIVE: Final = "Live test: covers on, skilled persons only. Nobody else touches anything meanwhile."
_AT_BOARD: Final = "Live test at the open board: skilled persons only, insulated probes, nobody else within reach."
_VOLTAGES: Final[list[tuple[str, object]]] = [
    ("500 V, and 250 V with L and N joined", None),
    ("all at 250 V", 250.0),
    ("all at 500 V", 500.0),
    ("all at 1000 V", 1000.0),
]


class GridPage(QWidget):
    """What one types into, with the words around it."""

    voltage_changed = Signal(object)  # the test voltage of insulation, None for the usual ones

    def __init__(self, model: GridModel, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.choice = GroupChoice(self)
        self._title = Label("", self)
        self._how = Label("", self, role="faint")
        self.voltage = ChoiceField("Test voltage", _VOLTAGES, self._on_voltage, self)
        self._is_row = True  # whether the sentence is that of the row one is at
        self.grid = ReadingGrid(model, look, self)
        self.grid.setMinimumHeight(_LEAST_GRID_PX)
        self._told = Label("", self)
        self._told.setMinimumHeight(_TWO_LINES_PX)
        self._told.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        inside = QVBoxLayout(self)
        inside.setContentsMargins(0, 6, 0, 0)
        inside.setSpacing(6)
        for widget in (self.choice, self._title, self._how, self.voltage):
            inside.addWidget(widget)
        inside.addWidget(self.grid, 1)
        inside.addWidget(self._told)
        self.grid.told.connect(self._on_told)

    @property
    def told(self) -> str:
        """The sentence below the grid."""
        return self._told.text()

    def show_group(self, group: Group, groups: Sequence[Group], read: Mapping[str, int]) -> None:
        """Show which test is on, what it takes, and how much of each is read."""
        self.choice.offer(groups, read)
        self.choice.show_group(group.id)
        whole = len(group.lines)
        self._title.setText(f"{group.title} · {read[group.id]} of {whole} read" if whole else group.title)
        self._how.setText(group.how)
        self.voltage.setVisible(group.id == "insulation")
        if self._is_row:
            self.show_row()

    def show_row(self) -> None:
        """Say all of the row one is at."""
        row = self._model.row(self.grid.row)
        self.tell(row.sentence if row is not None else "", warns=False)
        self._is_row = True

    def refresh_row(self) -> None:
        """Say all of the row anew if that is what is said, now that more is known."""
        if self._is_row and self.grid.editor is None:
            self.show_row()

    def tell(self, words: str, *, warns: bool) -> None:
        """Say something below the grid."""
        self._is_row = False
        self._told.setText(words)
        self._told.setProperty("role", "warn" if warns else "")
        self._told.style().unpolish(self._told)
        self._told.style().polish(self._told)

    def _on_told(self, words: str, warns: bool) -> None:
        if words and (warns or self.grid.editor is None):
            self.tell(words, warns=warns)
        elif not words:
            self.show_row()

    def _on_voltage(self, value: object) -> bool:
        self.voltage_changed.emit(value)
        return True


def caution_of(group: Group) -> str:
    """Give the caution for a test: that of dead tests, of live ones, or of live ones at the open board."""
    if group.is_dead:
        return _DEAD
    return _AT_BOARD if group.id == "supply" else _LIVE
