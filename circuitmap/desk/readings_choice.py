"""The small rows of choices above the grid: which test is on show, and which are done."""

from collections.abc import Mapping, Sequence
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QGridLayout, QPushButton, QSizePolicy, QWidget

from circuitmap.desk.parts import button
from circuitmap.readings.sheet import Group

_IN_A_ROW: Final = 5


class GroupChoice(QWidget):
    """One button per test of the way; ``chosen`` hands on its id."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(4)
        self._group = QButtonGroup(self)
        self._buttons: dict[str, QPushButton] = {}

    def button_of(self, group_id: str) -> QPushButton:
        """Give the button of a test."""
        return self._buttons[group_id]

    def offer(self, groups: Sequence[Group], read: Mapping[str, int]) -> None:
        """Offer tests, with how many of their lines are read."""
        if [group.id for group in groups] != list(self._buttons):
            self._build(groups)
        for group in groups:
            made, count, whole = self._buttons[group.id], read[group.id], len(group.lines)
            done = " ✓" if whole and count == whole else ""
            made.setText(f"{group.short}{done}")
            made.setToolTip(f"{group.title}: {count} of {whole} read")
            made.setAccessibleName(f"{group.title}, {count} of {whole} read")

    def show_group(self, group_id: str) -> None:
        """Mark the test on show."""
        self._buttons[group_id].setChecked(True)

    def _build(self, groups: Sequence[Group]) -> None:
        for old in self._buttons.values():
            self._group.removeButton(old)
            self._grid.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._buttons = {}
        in_a_row = _IN_A_ROW if len(groups) > 4 else max(1, len(groups))
        for n, group in enumerate(groups):
            made = button(group.short, self, checkable=True)
            made.setProperty("test", group.id)
            made.setStyleSheet("padding: 5px 2px;")
            made.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            made.clicked.connect(self._on_clicked)
            self._group.addButton(made)
            self._buttons[group.id] = made
            self._grid.addWidget(made, n // in_a_row, n % in_a_row)
        for n in range(_IN_A_ROW):
            self._grid.setColumnStretch(n, 1 if n < in_a_row else 0)

    def _on_clicked(self) -> None:
        self.chosen.emit(str(self.sender().property("test")))
