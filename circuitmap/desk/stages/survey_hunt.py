"""The card of the search for one point's way: where to stand, what to switch, and the answer in one word."""

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import codes, name_of, way_name
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Thumb, bare, card, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_hunt import Hunt
from circuitmap.survey.proposal import HuntStep

_SHOWN: Final = 4
_LEAST: Final = 0.01


class HuntCard(QWidget):
    """One stands at the point and calls, the other switches; two big buttons say what was called."""

    answered = Signal()

    def __init__(
        self, adapter: Adapter, look: Look, cursor: SurveyCursor, hunt: Hunt, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("Search for one point’s way")
        self._adapter, self._cursor, self._hunt = adapter, cursor, hunt
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        frame, inside = card(parent=self)
        inside.setSpacing(4)
        self.heading = plain(role="head")
        self.says = plain()
        self.chances = plain(role="faint")
        for label in (self.heading, self.says, self.chances):
            inside.addWidget(label)
        column.addWidget(frame)
        self._answers, answers = bare(self)
        grid = QGridLayout()
        grid.setSpacing(GAP_PX)
        answers.addLayout(grid)
        self.off = Thumb("It went off  (O)", tall=True, parent=self._answers)
        self.on = Thumb("Still on  (S)", tall=True, parent=self._answers)
        self.cant = Thumb("Can't tell", quiet=True, parent=self._answers)
        self.off.clicked.connect(self.say_off)
        self.on.clicked.connect(self.say_on)
        self.cant.clicked.connect(self._on_cant)
        grid.addWidget(self.off, 0, 0)
        grid.addWidget(self.on, 0, 1)
        grid.addWidget(self.cant, 1, 0, 1, 2)
        column.addWidget(self._answers)
        self.leave = Thumb("Give the search up", quiet=True, parent=self)
        self.leave.clicked.connect(hunt.stop)
        column.addWidget(self.leave)
        cursor.changed.connect(self.refresh)
        hunt.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the step that the search is at."""
        step, cursor = self._hunt.step, self._cursor
        if step is None:
            return
        home = self._adapter.home
        self.heading.setText(f"Find the way of {name_of(home, self._adapter.trade, self._adapter.memo, step.point)}")
        is_asked = cursor.step == "walk"
        self._answers.setVisible(is_asked)
        self.leave.say("Done" if self._hunt.is_over else "Give the search up")
        if is_asked:
            show_text(self.says, f"{codes(home, cursor.off)} off: what does the one at {step.point} call?")
            show_text(self.chances, "")
            return
        if cursor.step == "power":
            show_text(self.says, f"{codes(home, cursor.off)} back on first; then the search goes on.")
            show_text(self.chances, "")
            return
        stands = "" if self._hunt.is_over else f"One stands at {step.point} and calls, the other switches. "
        show_text(self.says, f"{stands}{step.says}")
        show_text(self.chances, "" if self._hunt.is_over else self._chance_words(step))

    def _chance_words(self, step: HuntStep) -> str:
        home = self._adapter.home
        likely = [(device, chance) for device, chance in step.chances if chance >= _LEAST][:_SHOWN]
        words = ", ".join(f"{way_name(home, device)} {chance:.0%}".replace("%", "\u00a0%") for device, chance in likely)
        left = f"{step.steps_left} step{'s' if step.steps_left != 1 else ''} likely left." if step.steps_left else ""
        return " ".join(part for part in (f"Likely {words}." if words else "", left) if part)

    def say_off(self) -> None:
        """Answer: it went off."""
        self._cursor.answer("off")
        self.answered.emit()

    def say_on(self) -> None:
        """Answer: it is still on."""
        self._cursor.answer("still on")
        self.answered.emit()

    def _on_cant(self) -> None:
        self._cursor.answer("can't tell", "could not be told from the board")
        self.answered.emit()
