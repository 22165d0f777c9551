"""The search for one point's way by two persons: one stands at it and calls, the other switches.

Each step is a switch-off of its own, agreed to and recorded like any other, with the answer at that one point.
"""

from PySide6.QtCore import QObject, Signal

from circuitmap.desk.visit import STAGE, SurveyCursor
from circuitmap.home import Home
from circuitmap.home.records import Point
from circuitmap.survey.proposal import HuntStep


class Hunt(QObject):
    """Leads the cursor from step to step until the way is known."""

    changed = Signal()

    def __init__(self, cursor: SurveyCursor, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._cursor, self._adapter = cursor, cursor.adapter
        self._point = ""
        self._known: tuple[Home, HuntStep] | None = None
        self._put_for: Home | None = None
        cursor.changed.connect(self._on_changed)

    @property
    def point(self) -> str:
        """The id of the point whose way is searched, empty while none is."""
        return self._point

    @property
    def step(self) -> HuntStep | None:
        """The next step, None while nothing is searched; without anything to switch off it is over."""
        planned, home = self._cursor.planned, self._adapter.home
        if not self._point or planned is None:
            return None
        if self._known is None or self._known[0] is not home:
            self._known = (home, planned.hunt(self._point))
        return self._known[1]

    @property
    def is_over(self) -> bool:
        """Whether nothing is left to be switched off for it."""
        return self.step is not None and not self.step.off and not self._cursor.off

    def can_start(self, point_id: str) -> str:
        """Give why a search can't begin at a point, as a sentence; empty when it can."""
        home, trade = self._adapter.home, self._adapter.trade
        point = home.find(Point, point_id)
        if point is None:
            return "Choose one point first."
        if not trade.point(point.kind).checkable or point.phase != "existing":
            return f"{point_id} can't be looked at in a switch-off; choose what it works or feeds."
        if self._cursor.planned is None or self._cursor.off or self._cursor.step not in ("choose", "summary", "look"):
            return "Start a visit, and put the power back on, before searching for one point’s way."
        return ""

    def start(self, point_id: str) -> None:
        """Search for the way of a point."""
        why = self.can_start(point_id)
        if why:
            self._adapter.refuse(why)
            return
        self._cursor.end_look()
        self._point, self._known, self._put_for = point_id, None, None
        self._cursor.asks_only = (point_id,)
        self._on_changed()

    def stop(self) -> None:
        """End the search; what was found stays."""
        if not self._point:
            return
        self._point, self._known = "", None
        self._cursor.asks_only = ()
        if self._cursor.off:
            self.changed.emit()
        else:
            self._cursor.clear_pending()

    def _on_changed(self) -> None:
        if not self._point:
            return
        if self._adapter.home.find(Point, self._point) is None or self._cursor.visit is None:
            self.stop()
            return
        if self._adapter.stage == STAGE and self._cursor.step == "summary":
            self._cursor.go_on()
            return
        if self._cursor.step == "choose" and self._put_for is not self._adapter.home:
            self._put_for = self._adapter.home
            step = self.step
            self._cursor.choose(step.off if step is not None else ())
            return
        self.changed.emit()
