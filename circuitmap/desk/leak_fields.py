"""One field for each part that a step of the hunt asks for, read in order; Enter records it and goes on to the next."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.leak_said import asked_words
from circuitmap.desk.parts import Label
from circuitmap.home.records import Reading
from circuitmap.readings.leak_state import Asked

HINT: Final = "MΩ, as shown: 0.3 or >200"
EMPTY: Final = "Type what it reads, or why it can’t be read, like: not possible: behind the oven."


class PartField(QLineEdit):
    """What one part reads; Esc puts back what is on record."""

    def __init__(self, asked: Asked, given: Reading | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("leak-part")
        self.setAccessibleName(f"{asked_words(asked)}, in megohms")
        self.setPlaceholderText(HINT)
        self.recorded = given.typed if given is not None else ""
        self.setText(self.recorded)

    @property
    def is_waiting(self) -> bool:
        """Whether it holds anything that isn't recorded."""
        return self.text().strip() != self.recorded

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Put back what is on record with Esc."""
        if event.key() == Qt.Key.Key_Escape and self.is_waiting:
            self.setText(self.recorded)
        else:
            super().keyPressEvent(event)


class PartFields(QWidget):
    """The fields of a step."""

    entered = Signal(int, str)  # which part, and what was typed

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: list[PartField] = []
        self._problems: list[Label] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)

    @property
    def problem(self) -> str:
        """What is said to be wrong, "" when nothing."""
        return "\n".join(filter(None, (each.text() for each in self._problems)))

    def show_parts(self, asked: Sequence[Asked], given: Sequence[Reading | None]) -> None:
        """Show a field for each part, filled with what is on record of it."""
        while (item := self._column.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.fields, self._problems = [], []
        for place, part in enumerate(asked):
            field = PartField(part, given[place] if place < len(given) else None, self)
            field.returnPressed.connect(self._on_return)
            words, problem = Label(asked_words(part), self), Label("", self, role="warn")
            words.setBuddy(field)
            problem.hide()
            self.fields.append(field)
            self._problems.append(problem)
            for widget in (words, field, problem):
                self._column.addWidget(widget)
        self.setVisible(bool(asked))

    def show_given(self, given: Sequence[Reading | None]) -> None:
        """Show what came on record of the same step; what is being typed stays."""
        for field, reading in zip(self.fields, given, strict=False):
            was_waiting = field.is_waiting
            field.recorded = reading.typed if reading is not None else ""
            if not was_waiting:
                field.setText(field.recorded)

    def mark_recorded(self, place: int) -> bool:
        """Take a field as recorded and go on to the next empty one; False when there is none."""
        field = self.fields[place]
        field.recorded = field.text().strip()
        field.setText(field.recorded)
        self.tell(place, "")
        return self.focus_first()

    def tell(self, place: int, sentence: str) -> None:
        """Say what is wrong with what was typed for a part."""
        if 0 <= place < len(self._problems):
            self._problems[place].setText(sentence)
            self._problems[place].setVisible(bool(sentence))

    def focus_first(self) -> bool:
        """Go to the first part that isn't recorded; False when all are."""
        field = next((each for each in self.fields if not each.recorded), None)
        if field is not None:
            field.setFocus()
            field.selectAll()
        return field is not None

    def has_focus(self) -> bool:
        """Whether somebody types here."""
        return any(each.hasFocus() for each in self.fields)

    def _on_return(self) -> None:
        field = self.sender()
        place = next((n for n, each in enumerate(self.fields) if each is field), -1)
        if place < 0:
            return
        typed = self.fields[place].text().strip()
        if not typed:
            self.tell(place, EMPTY)
        elif not self.fields[place].is_waiting:
            self.focus_first()
        else:
            self.entered.emit(place, typed)
