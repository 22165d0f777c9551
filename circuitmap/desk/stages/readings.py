"""The Readings stage: what the meter shows, typed in the order in which one walks, beside what the map expects.

The way is the one selected. Nothing is modal: the proof of the meter holds up only recording. What the readings are
held against and what they may mean is worked out off the window's thread.
"""

from functools import partial
from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QSizePolicy, QTabWidget, QVBoxLayout, QWidget

from circuitmap.circuits import CircuitView
from circuitmap.desk.actions import Act
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.leak_page import LeakPage
from circuitmap.desk.order_page import OrderPage
from circuitmap.desk.parts import Heading, Label, button, column
from circuitmap.desk.readings_judging import Judging
from circuitmap.desk.readings_meter import MeterCard
from circuitmap.desk.readings_model import GridModel
from circuitmap.desk.readings_page import GridPage, caution_of
from circuitmap.desk.readings_recorder import Recorder
from circuitmap.desk.readings_said import Said, SaidList, all_said
from circuitmap.desk.readings_sights import Sights
from circuitmap.desk.readings_ways import WayList
from circuitmap.desk.stages.readings_acts import acts_of
from circuitmap.desk.theme import Look
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Point
from circuitmap.plan.where import place_of
from circuitmap.readings.entries import Side
from circuitmap.readings.sheet import Group, Line, groups_of
from circuitmap.wiring.shape import SHAPE_WORDS
from circuitmap.words import written_day_said

STAGE: Final = "readings"
GRID, CHART, CAUSES, VERDICTS, LEAK, ORDER = range(6)
TABS: Final = ("Grid", "Chart", "Causes", "Verdicts", "Leak", "Order")
_NO_WAY: Final = "Choose a way here or on the board strip, or a point on the plan: its readings are typed here."
_NO_WAYS: Final = "No way on the board yet. Add the board's ways on the strip below; then the readings have a place."
_NO_POINTS: Final = "No point is known on it yet. Draw its runs (Wiring), or say what it feeds."


class ReadingsStage(QWidget):
    """The right-hand side while the meter is out."""

    point_wanted = Signal(str)  # a point to be kept in sight on the plan

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("readings-stage")
        self.setAccessibleName("Readings")
        self._adapter, self._look = adapter, look
        self._groups: tuple[Group, ...] = ()
        self._group_id = ""
        self._way = ""
        self._volts: float | None = None
        self._is_busy = False
        self._parts = QWidget(self)
        self.recorder = Recorder(adapter, self)
        self.model = GridModel(adapter, self.recorder, self)
        self.judging = Judging(adapter, self.recorder, self)
        self.sights = Sights(adapter, look, self)
        self.leak_page = LeakPage(adapter, self.recorder, look, self)
        self.leak = self.leak_page.card
        self.order_page = OrderPage(adapter, look, self)
        self.order = self.order_page.card
        self._name = Heading("", self)
        self._empty = Label("", self)
        self.meter = MeterCard(adapter, self.recorder, self)
        self.caution = Label("", self, role="warn")
        self._note = Label("", self, role="faint")
        self.tabs = self._build_tabs()
        layout = column(self)
        layout.setContentsMargins(12, 8, 12, 6)
        layout.setSpacing(6)
        layout.addWidget(self._name)
        layout.addWidget(self._empty)
        self.ways = WayList(adapter, self)
        layout.addWidget(self.ways)
        self._build_parts()
        layout.addWidget(self._parts, 1)
        layout.addStretch(0)
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(0)
        self._settle.timeout.connect(self.refresh)
        self._connect()
        self.refresh()

    # -- building -----------------------------------------------------------------------------------------------

    def _build_parts(self) -> None:
        parts = self._parts
        inside = QVBoxLayout(parts)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(6)
        self.before = button("Before the work", parts, checkable=True)
        self.after = button("After the work", parts, checkable=True)
        sides = QButtonGroup(parts)
        row = QHBoxLayout()
        row.setSpacing(6)
        for each in (self.before, self.after):
            sides.addButton(each)
            each.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(each)
        self.before.clicked.connect(self.read_before)
        self.after.clicked.connect(self.read_after)
        inside.addLayout(row)
        inside.addWidget(self._note)
        inside.addWidget(self.meter)
        inside.addWidget(self.caution)
        inside.addWidget(self.tabs, 1)

    def _build_tabs(self) -> QTabWidget:
        tabs = QTabWidget(self._parts)  # at once where it stays: it is heavy to move
        tabs.setObjectName("readings-tabs")
        tabs.setDocumentMode(True)
        tabs.tabBar().setAccessibleName("Grid, chart, meaning")
        tabs.tabBar().setStyleSheet("QTabBar::tab { padding: 6px 7px; }")  # all six beside each other
        self.page = GridPage(self.model, self._look, tabs)
        self.choice, self.grid = self.page.choice, self.page.grid
        verdicts = QWidget(tabs)
        self.said = SaidList(self._look, verdicts)
        inside = QVBoxLayout(verdicts)
        inside.setContentsMargins(0, 6, 0, 0)
        inside.addWidget(self.said, 1)
        sights = (self.sights.chart_page, self.sights.causes_page)
        for page, words in zip((self.page, *sights, verdicts, self.leak_page, self.order_page), TABS, strict=True):
            tabs.addTab(page, words)
        tabs.setTabToolTip(LEAK, "Look for what makes insulation read low, step by step")
        tabs.setTabToolTip(ORDER, "The order of a ring's points from two sweeps, to accept part by part")
        return tabs

    def _connect(self) -> None:
        adapter = self._adapter
        adapter.selected.connect(self._on_selected)
        adapter.stage_changed.connect(self._on_stage_changed)
        self.recorder.changed.connect(self._settle.start)
        self.judging.changed.connect(self._on_judged)
        self.choice.chosen.connect(self.show_group)
        self.page.voltage_changed.connect(self._on_voltage)
        self.grid.row_changed.connect(self._on_row)
        self.grid.waits.connect(self.meter.ask)
        self.grid.finished.connect(self._on_finished)
        self.meter.answered.connect(self._on_answered)
        self.meter.left.connect(self._on_meter_left)
        self.leak.proof_wanted.connect(self.meter.ask)
        self.said.chosen.connect(self._on_said_chosen)
        self.sights.line_wanted.connect(self._on_line_wanted)
        self.order.group_wanted.connect(self.show_group)
        self.sights.group_wanted.connect(self._on_group_wanted)
        self.sights.place_wanted.connect(adapter.show)

    # -- what actions call --------------------------------------------------------------------------------------

    def acts(self) -> list[Act]:
        """Give the actions of the stage."""
        return acts_of(self)

    @property
    def is_on(self) -> bool:
        """Whether the window is in this stage, with a way to read."""
        return self._adapter.stage == STAGE and self.recorder.view is not None

    @property
    def view(self) -> CircuitView | None:
        """The circuit that is read."""
        return self.recorder.view

    @property
    def group(self) -> Group | None:
        """The test on show."""
        return self.model.group

    @property
    def groups(self) -> tuple[Group, ...]:
        """The tests that the way takes."""
        return self._groups

    @property
    def told(self) -> str:
        """The sentence below the grid."""
        return self.page.told

    @property
    def words(self) -> str:
        """What is said above the grid: the way, or what to do first."""
        return "\n".join(filter(None, (self._name.text(), self._empty.text())))

    @property
    def note(self) -> str:
        """What is said of the visit."""
        return self._note.text()

    def show_group(self, group_id: str) -> None:
        """Show another test of the way."""
        self._group_id = group_id
        self.refresh()
        self.tabs.setCurrentIndex(GRID)
        if self.grid.isVisible():
            self.grid.setFocus()
            self.grid.go_to(self.model.first_open())

    def step_group(self, step: int) -> None:
        """Go to the next or the last test of the way."""
        ids = [group.id for group in self._groups]
        if ids:
            self.show_group(ids[(ids.index(self._group_id) + step) % len(ids)])

    def next_group(self) -> None:
        """Go to the next test."""
        self.step_group(1)

    def previous_group(self) -> None:
        """Go to the test before."""
        self.step_group(-1)

    def read_before(self) -> None:
        """Read as it was found, before the work."""
        self._set_side("before")

    def read_after(self) -> None:
        """Read as it is left, after the work."""
        self._set_side("after")

    def go_on(self) -> None:
        """Go to the first reading that is still to be taken, and open its cell."""
        self.tabs.setCurrentIndex(GRID)
        self.grid.setFocus()
        self.grid.go_to(self.model.first_open(), edits=True)

    def show_grid(self) -> None:
        """Show the grid."""
        self.tabs.setCurrentIndex(GRID)
        self.grid.setFocus()

    def show_chart(self) -> None:
        """Show the readings against the map."""
        self.tabs.setCurrentIndex(CHART)
        self.sights.sight.setFocus()

    def show_causes(self) -> None:
        """Show what the readings may mean."""
        self.tabs.setCurrentIndex(CAUSES)
        self.sights.causes.setFocus()

    def show_verdicts(self) -> None:
        """Show what is said of the readings, the worst first."""
        self.tabs.setCurrentIndex(VERDICTS)
        self.said.setFocus()

    def show_leak(self) -> None:
        """Look for what makes insulation read low."""
        self.tabs.setCurrentIndex(LEAK)
        self.leak.focus_inside()

    def show_order(self) -> None:
        """Show the order of a ring's points from two sweeps."""
        self.tabs.setCurrentIndex(ORDER)
        self.order.focus_inside()

    # -- showing ------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the way and what is known of it, as far as the stage is on show."""
        if self._adapter.stage != STAGE:
            self._show_sights()
            return
        view = self.recorder.view
        self._parts.setVisible(view is not None)
        self.ways.setVisible(view is None and bool(self._adapter.views))
        if view is None:
            self._name.setText("Readings")
            self._empty.setText(_NO_WAY if self._adapter.views else _NO_WAYS)
            self._empty.show()
            self.ways.refresh()
            self._groups = ()
            self.model.show_group(None)
            self._show_sights()
            return
        kind = SHAPE_WORDS[view.shape.kind] if view.shape is not None else "no cable drawn"
        self._name.setText(f"{view.code} {shorten(view.device.label, 34)}".strip() + f" · {kind}")
        self._empty.setText("" if view.members else _NO_POINTS)
        self._empty.setVisible(not view.members)
        if view.device.id != self._way:
            self._way = view.device.id
            self.model.forget()
        self._show_visit()
        memo, volts = self._adapter.memo, self._volts
        self._groups = memo.get("desk readings groups", view.device.id, (view, volts), partial(groups_of, view, volts))
        if all(group.id != self._group_id for group in self._groups):
            self._group_id = self._groups[0].id
        group = next(group for group in self._groups if group.id == self._group_id)
        self._is_busy = True
        if group != self.model.group:
            self.model.show_group(group)
        else:
            self.model.refresh()
        self.grid.lay_out()
        self._is_busy = False
        self._on_judged()
        self.judging.ask(view, group)
        self._show_group(group)
        self._show_sights()

    def _show_sights(self) -> None:
        """Hand the way on to chart and causes; they work once they are looked at."""
        view = self.recorder.view if self._adapter.stage == STAGE else None
        side = self.recorder.side if self.model.has_after else None
        self.sights.show_view(view, side, self._groups)
        self.leak.show_view(view)
        self.order.show_view(view, side, self._groups)
        if self.model.group is not None and view is not None:
            self.sights.show_group(self.model.group)

    def _show_visit(self) -> None:
        recorder = self.recorder
        (self.after if recorder.side == "after" else self.before).setChecked(True)
        visit = recorder.visit
        if recorder.starts_over:
            self._note.setText(
                "The last visit was after the work. A reading before new work begins a new story: what was read so far "
                "then counts as before."
            )
        elif visit is None:
            self._note.setText("The first reading begins today's visit.")
        else:
            self._note.setText(f"Visit {visit.id}, {written_day_said(visit.day)}.")

    def _show_group(self, group: Group) -> None:
        counts = self.model.counts(self._groups)
        self.page.show_group(group, self._groups, counts)
        self.caution.setText(caution_of(group))

    # -- slots --------------------------------------------------------------------------------------------------

    def _set_side(self, side: Side) -> None:
        row = self.grid.row
        self.recorder.set_side(side)
        self.refresh()
        self.grid.go_to(max(0, row))
        self.grid.setFocus()

    def _on_stage_changed(self, _stage: str) -> None:
        self.refresh()

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        if self._is_busy or self._adapter.stage != STAGE or len(ids) != 1:
            return
        self.refresh()
        row = self.model.row_at(ids[0])
        if row >= 0 and row != self.grid.row:
            self._is_busy = True
            self.grid.go_to(row)
            self._is_busy = False
        self.page.show_row()
        self.sights.show_place(ids[0])

    def _on_row(self, number: int) -> None:
        row = self.model.row(number)
        if row is None or self._is_busy:
            return
        self.page.show_row()
        place = row.line.at or self._way
        self._is_busy = True
        point = self._adapter.home.find(Point, place)
        if point is not None:
            spot = place_of(self._adapter.home, point)
            if spot is not None and spot.storey:
                self._adapter.set_storey(spot.storey)
            self._adapter.select(place)
            self.point_wanted.emit(place)
        else:
            self._adapter.select(self._way)
        self._is_busy = False

    def _on_finished(self) -> None:
        ids = [group.id for group in self._groups]
        after = ids.index(self._group_id) + 1
        onward = f" Next (Alt+Right): {self._groups[after].title}." if after < len(ids) else ""
        self.page.tell(f"That was the last one.{onward}", warns=False)

    def _on_meter_left(self) -> None:
        if self.tabs.currentIndex() == LEAK:
            self.leak.focus_inside()
        else:
            self.grid.setFocus()

    def _on_answered(self) -> None:
        if self.tabs.currentIndex() == LEAK:
            self.leak.focus_inside()
            return
        row = self.model.held_row()
        self.tabs.setCurrentIndex(GRID)
        self.grid.setFocus()
        if row >= 0:
            self.grid.go_to(row, edits=True)
            self.page.tell(f"Enter records {self.model.held_text(row)}.", warns=False)

    def _on_judged(self) -> None:
        judging, book = self.judging, self.recorder.book
        self.model.expect(judging.expected)
        self.model.judge(judging.levels, judging.shared)
        said = all_said(judging.judged, book.problems if book is not None else ())
        self.said.show_said(said)
        grave = sum(1 for each in said if each.level in ("fails", "query", "look"))
        self.tabs.setTabText(VERDICTS, f"{TABS[VERDICTS]} {grave}" if grave else TABS[VERDICTS])
        self.page.refresh_row()

    def _on_voltage(self, volts: object) -> None:
        self._volts = float(volts) if isinstance(volts, int | float) else None
        self.refresh()

    def _on_group_wanted(self, group_id: str) -> None:
        self._group_id = group_id
        self.refresh()

    def _on_line_wanted(self, group_id: str, line: object) -> None:
        group = next((each for each in self._groups if each.id == group_id), None)
        if group is not None and isinstance(line, Line):
            self.show_group(group_id)
            self.grid.go_to(group.lines.index(line), edits=True)

    def _on_said_chosen(self, said: Said) -> None:
        readings = [(n, group) for group in self._groups for n in said.readings if self.model.shows(group, n)]
        if readings:
            reading, group = readings[0]
            self.show_group(group.id)
            self.grid.go_to(self.model.row_of_reading(reading))
            self.grid.setFocus()
        places = [place for place in said.places if self._adapter.home.peek(place) is not None]
        if places and not readings:
            self._adapter.show(*places[:1])
