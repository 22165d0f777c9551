"""The chart, the loop view and the likely causes inside the Readings stage, and what goes to and fro between them.

They work only while they are looked at: typing a sweep doesn't weigh it anew at every reading.
"""

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_panel import CausesPanel
from circuitmap.desk.reading_chart import ReadingSight
from circuitmap.desk.theme import Look
from circuitmap.drawing.reading_chart_data import SweepKey
from circuitmap.readings.entries import Side
from circuitmap.readings.sheet import Group, Line


class Sights(QObject):
    """Holds the two pages and joins them."""

    line_wanted = Signal(str, object)  # the test and the line that a cause wants to be read
    group_wanted = Signal(str)  # the test whose sweep was chosen in the chart
    place_wanted = Signal(str)

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._groups: tuple[Group, ...] = ()
        self.chart_page, chart_column = _page(parent)
        self.causes_page, causes_column = _page(parent)
        self.sight = ReadingSight(adapter, look, self.chart_page.widget())
        self.causes = CausesPanel(adapter, look, self.causes_page.widget())
        chart_column.insertWidget(0, self.sight)
        causes_column.insertWidget(0, self.causes)
        self.chart_page.setAccessibleName("Readings against the map")
        self.causes_page.setAccessibleName("What the readings may mean")
        self.sight.place_chosen.connect(self.place_wanted)
        self.sight.sweep_chosen.connect(self._on_sweep)
        self.causes.cause_chosen.connect(self.sight.show_cause)
        self.causes.reading_chosen.connect(self._on_reading)

    def show_view(self, view: CircuitView | None, side: Side | None, groups: tuple[Group, ...]) -> None:
        """Show a circuit, or (None) work no longer."""
        self._groups = groups
        self.sight.show_view(view)
        self.causes.show_view(view, side)

    def show_group(self, group: Group) -> None:
        """Show the sweep of a test in the chart, if it is one."""
        line = next(iter(group.lines), None)
        if line is not None and line.test == "linked" and line.pair is not None:
            self.sight.show_sweep(line.link, line.pair)

    def show_place(self, place: str) -> None:
        """Print the figures of a place in the chart."""
        self.sight.show_place(place)

    def _on_sweep(self, key: object) -> None:
        if isinstance(key, SweepKey):
            for group in self._groups:
                if any(line.link == key.link and line.pair == key.cores for line in group.lines[:1]):
                    self.group_wanted.emit(group.id)

    def _on_reading(self, test: str, link: object, cores: object, at: str) -> None:
        wanted = frozenset(cores) if isinstance(cores, tuple) else frozenset()
        for group in self._groups:
            for line in group.lines:
                if line.test == test and line.at == at and _is_linked(line, link) and frozenset(line.cores) == wanted:
                    self.line_wanted.emit(group.id, line)
                    return


def _is_linked(line: Line, link: object) -> bool:
    return line.link == link or (line.test == "ring end to end" and link in (None, "end to end"))


def _page(parent: QWidget) -> tuple[QScrollArea, QVBoxLayout]:
    """Make an empty page and the column that it is filled in."""
    area = QScrollArea(parent)
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    inside = QWidget(area.viewport())
    column = QVBoxLayout(inside)
    column.setContentsMargins(0, 6, 6, 0)
    column.addStretch(1)
    area.setWidget(inside)
    return area, column
