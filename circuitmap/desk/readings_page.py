"""The page of the grid: the choice of the test, what is to be done for it, the grid, and one sentence below."""

from collections.abc import Mapping, Sequence
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from circuitmap.desk.parts import Label
from circuitmap.desk.readings_choice import GroupChoice
from circuitmap.desk.readings_grid import ReadingGrid
from circuitmap.desk.readings_model import GridModel
from circuitmap.desk.theme import Look
from circuitmap.readings.sheet import Group

_LEAST_GRID_PX: Final = 150
_TWO_LINES_PX: Final = 34


class GridPage(QWidget):
    """What one types into, with the words around it."""

    def __init__(self, model: GridModel, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.choice = GroupChoice(self)
        self._title = Label("", self)
        self._how = Label("", self, role="faint")
        self.grid = ReadingGrid(model, look, self)
        self.grid.setMinimumHeight(_LEAST_GRID_PX)
        self._told = Label("", self)
        self._told.setMinimumHeight(_TWO_LINES_PX)
        self._told.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        inside = QVBoxLayout(self)
        inside.setContentsMargins(0, 6, 0, 0)
        inside.setSpacing(6)
        for widget in (self.choice, self._title, self._how):
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

    def show_row(self) -> None:
        """Say all of the row one is at."""
        row = self._model.row(self.grid.row)
        self.tell(row.sentence if row is not None else "", warns=False)

    def tell(self, words: str, *, warns: bool) -> None:
        """Say something below the grid."""
        self._told.setText(words)
        self._told.setProperty("role", "warn" if warns else "")
        self._told.style().unpolish(self._told)
        self._told.style().polish(self._told)

    def _on_told(self, words: str, warns: bool) -> None:
        if words and (warns or self.grid.editor is None):
            self.tell(words, warns=warns)
        elif not words:
            self.show_row()
