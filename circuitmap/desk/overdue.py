"""A warning in the walk when the time agreed for a switch-off runs out, and louder once it has."""

from typing import Final

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.thumb import warning
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_state import round_open
from circuitmap.home.verbs import now_text
from circuitmap.survey.agreed import minutes_left, overdue
from circuitmap.survey.limits import clock_words, duration_words, limit_of

_LOOKS_EVERY_MS: Final = 5000
_WARNS_MIN: Final = 10.0


class OverdueCard(QWidget):
    """Stands at the top while the time agreed is nearly over or past; holds no place otherwise."""

    def __init__(self, adapter: Adapter, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Time agreed for this switch-off")
        self._adapter = adapter
        _, self.heading, self.says = warning(self)
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOKS_EVERY_MS)
        self._timer.timeout.connect(self.refresh)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Look at the clock, and go on looking while there is a time to keep."""
        home, now = self._adapter.home, now_text()
        going = round_open(home)
        left = minutes_left(going, now) if going is not None else None
        ends = limit_of(going.consent) if going is not None else None
        if going is None or left is None or ends is None:
            self._timer.stop()
            self.hide()
            return
        self._timer.start()
        if past := overdue(home, going, now):
            self.heading.setText("Time is up")
            self.says.setText("\n".join(past))
        else:
            self.heading.setText(f"{duration_words(left).capitalize()} left")
            self.says.setText(f"Agreed until {clock_words(ends)}: power back by then, or ask for more time beforehand.")
        self.setVisible(left <= _WARNS_MIN)
