"""The readings of one circuit in sight: a chart of one sweep, the loop view with figures, and what a cause predicts."""

from typing import Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QShowEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.pen import Pen
from circuitmap.desk.causes_work import Charting, Latest
from circuitmap.desk.fields import ChoiceField
from circuitmap.desk.loop import LoopView
from circuitmap.desk.parts import Label
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.drawing.loop_readings import readings_beside
from circuitmap.drawing.marks import Mark
from circuitmap.drawing.reading_chart import LEAST_WIDTH_PX, Second, Spot, chart_drawing
from circuitmap.drawing.reading_chart_data import ReadingChart, SweepKey, sweeps_of
from circuitmap.drawing.reading_chart_labels import figures_of
from circuitmap.readings.book import readings_of
from circuitmap.readings.causes import CAUSE_WORDS, Cause
from circuitmap.words import Core, LinkKind

_NEAR_PX: Final = 24.0
_HEIGHT_PX: Final = 300
_SHORT: Final = 36


class ChartView(QWidget):
    """One chart; Left and Right go from place to place, Enter or a click chooses one."""

    chosen = Signal(str)  # the record of a place
    pointed = Signal(str)  # the place that the keys or the pointer have come to

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._chart: ReadingChart | None = None
        self._place = ""
        self._second = Second()
        self._marks: list[Mark] = []
        self._spots: tuple[Spot, ...] = ()
        self._made_for: object = None
        self._is_dim = False
        self._pen = Pen(look.theme, self.devicePixelRatioF())
        self.setObjectName("reading-chart")
        self.setAccessibleName("Chart of readings along the circuit")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setMinimumSize(round(LEAST_WIDTH_PX), _HEIGHT_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self._on_look_changed)

    def sizeHint(self) -> QSize:
        """Ask for a chart that can be read."""
        return QSize(420, _HEIGHT_PX)

    @property
    def chart(self) -> ReadingChart | None:
        """The chart on show."""
        return self._chart

    @property
    def place(self) -> str:
        """The place whose figures are printed, empty while none is."""
        return self._place

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Where each place stands in the widget, from left to right."""
        self._current_marks()
        return self._spots

    def show_chart(self, chart: ReadingChart | None) -> None:
        """Show a chart; the place stays if it is on it."""
        self._chart = chart
        if chart is None or self._place not in chart.axis.places:
            self._place = ""
        self._refresh()

    def show_second(self, second: Second) -> None:
        """Show what a likely cause predicts beside what the map does."""
        if second != self._second:
            self._second = second
            self._refresh()

    def show_place(self, record: str) -> None:
        """Print the figures of a place, or (empty) of none."""
        known = self._chart is not None and record in self._chart.axis.places
        place = record if known else ""
        if place != self._place:
            self._place = place
            self._refresh()

    def set_dim(self, dim: bool) -> None:
        """Show that a newer chart is on its way."""
        if dim != self._is_dim:
            self._is_dim = dim
            self.update()

    # -- events -------------------------------------------------------------------------------------------------

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the chart's marks."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._look.colour("paper"))
        painter.setOpacity(0.45 if self._is_dim else 1.0)
        self._pen.paint_marks(painter, self._current_marks(), 1.0)
        painter.setOpacity(1.0)
        if self.hasFocus():
            painter.setPen(QPen(self._look.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), 4, 4)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the place that was clicked."""
        place = self._near(event.position().x())
        if place:
            self._go(place)
            self.chosen.emit(place)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Print the figures of the place under the pointer."""
        place = self._near(event.position().x())
        if place:
            self._go(place)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go along the circuit, or choose where the keys have come to."""
        key, places = event.key(), [spot.record for spot in self.spots]
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Home, Qt.Key.Key_End) and places:
            self._go(places[self._step(key, places)])
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._place:
            self.chosen.emit(self._place)
        else:
            super().keyPressEvent(event)

    def _step(self, key: int, places: list[str]) -> int:
        if key == Qt.Key.Key_Home or (key == Qt.Key.Key_Right and self._place not in places):
            return 0
        if key == Qt.Key.Key_End or self._place not in places:
            return len(places) - 1
        there = places.index(self._place) + (1 if key == Qt.Key.Key_Right else -1)
        return max(0, min(len(places) - 1, there))

    def _near(self, x: float) -> str:
        near = min(self.spots, key=_Away(x), default=None)
        return near.record if near is not None and abs(near.at[0] - x) <= _NEAR_PX else ""

    def _go(self, place: str) -> None:
        if place != self._place:
            self.show_place(place)
            self.pointed.emit(place)

    # -- inside -------------------------------------------------------------------------------------------------

    def _refresh(self) -> None:
        said = ""
        if self._chart is not None:
            figures = figures_of(self._chart, self._place) if self._place else ""
            said = ". ".join(filter(None, (self._chart.key.words, figures, *self._chart.notes)))
        self.setAccessibleDescription(said)
        self.update()

    def _current_marks(self) -> list[Mark]:
        key = (self._chart, self._place, self._second, self.width(), self.height())
        if self._made_for != key:
            self._made_for = key
            self._marks, self._spots = [], ()
            if self._chart is not None:
                self._marks, self._spots = chart_drawing(
                    self._chart, self.width(), self.height(), chosen=self._place, second=self._second
                )
        return self._marks

    def _on_look_changed(self) -> None:
        self._pen = Pen(self._look.theme, self.devicePixelRatioF())
        self.update()


class ReadingSight(QWidget):
    """The chart of one sweep over the loop view with its figures; both show what a likely cause says."""

    place_chosen = Signal(str)
    sweep_chosen = Signal(object)  # the SweepKey that the person chose

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._device = ""
        self._key: SweepKey | None = None
        self._shown: tuple[object, ...] = ()
        self._cause: Cause | None = None
        self.setObjectName("reading-sight")
        self.says = Label("", self, role="faint")
        self.sweeps = ChoiceField("Sweep in the chart", [], self._on_sweep, self)
        self.sweeps.setObjectName("reading-sweep")
        self.sweeps.setStyleSheet(f"min-height: {TARGET_PX - 10}px")  # the sheet of all fields gives two less
        self.view = ChartView(look, self)
        self.loop = LoopView(adapter, look, self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        for widget in (self.says, self.sweeps, self.view, self.loop):
            layout.addWidget(widget)
        self.setFocusProxy(self.view)
        self._latest = Latest(self)
        self._latest.done.connect(self._on_chart)
        self._latest.failed.connect(self.says.setText)
        self._latest.waiting.connect(self.view.set_dim)
        self.view.chosen.connect(self.place_chosen)
        self.loop.chosen.connect(self._on_loop)
        adapter.changed.connect(self.refresh)
        self.show_view(None)

    @property
    def key(self) -> SweepKey | None:
        """The sweep in the chart."""
        return self._key

    @property
    def circuit(self) -> CircuitView | None:
        """The circuit on show, as it is now."""
        return self._adapter.view_of(self._device) if self._device else None

    def show_view(self, view: CircuitView | None) -> None:
        """Show a circuit; the sweep stays the same if it has that one too."""
        device = view.device.id if view is not None else ""
        if device != self._device:
            self._device = device
            self.show_cause(None)
            self.view.show_chart(None)
        self.refresh()

    def show_sweep(self, link: LinkKind | None, cores: tuple[Core, ...]) -> None:
        """Show the sweep of a test, if it is one: of readings along the circuit, linked at the board."""
        if link is not None and link != "end to end" and len(cores) == 2:
            self._key = SweepKey(link, (cores[0], cores[1]))
            self.refresh()

    def show_place(self, record: str) -> None:
        """Print the figures of a place in the chart."""
        self.view.show_place(record)

    def show_cause(self, cause: Cause | None) -> None:
        """Show what a likely cause predicts, and where it lies."""
        self._cause = cause
        self._show_second()

    def refresh(self, *_: object) -> None:
        """Ask for the chart anew if anything that it shows has changed."""
        view = self.circuit
        drawn = view is not None and bool(view.runs or view.names)
        for widget in (self.sweeps, self.view, self.loop):
            widget.setVisible(drawn)
        self.says.setVisible(not drawn)
        if view is None or not drawn:
            self.says.setText("Choose a circuit: its readings are shown here along the cable." if view is None else
                              f"Nothing is known on {view.code} yet: place its points and draw its runs.")  # fmt: skip
            self._latest.stop()
            self._shown = ()
            return
        self.loop.setVisible(view.shape is not None)
        self.loop.show_view(view)
        book = readings_of(self._adapter.home, view, self._adapter.memo)
        keys = sweeps_of(view, book)
        if self._key is not None and self._key not in keys:
            keys = (*keys, self._key)
        key = self._key or (keys[0] if keys else SweepKey("radial", ("L", "E")))
        self.sweeps.offer([(each.words, each) for each in keys or (key,)])
        self.sweeps.show_value(key)
        wanted = (view, book, key)
        if wanted != self._shown and self.isVisible():  # else asked once it is shown
            self._shown = wanted
            self._latest.ask(Charting(self._adapter.home, view, self._adapter.trade, self._adapter.memo, key))

    def showEvent(self, event: QShowEvent) -> None:
        """Ask for what has changed meanwhile."""
        super().showEvent(event)
        self.refresh()

    # -- inside -------------------------------------------------------------------------------------------------

    def _on_sweep(self, value: object) -> bool:
        assert isinstance(value, SweepKey)
        self._key = value
        self.refresh()
        self.sweep_chosen.emit(value)
        return True

    def _on_loop(self, record: str) -> None:
        self.view.show_place(record)
        self.place_chosen.emit(record)

    def _on_chart(self, chart: object) -> None:
        assert isinstance(chart, ReadingChart)
        self.view.show_chart(chart)
        self._show_second()

    def _show_second(self) -> None:
        chart, cause = self.view.chart, self._cause
        if cause is None or chart is None:
            self.view.show_second(Second())
        else:
            self.view.show_second(Second(chart.expected_by(cause), _short(cause), cause.at, cause.runs))
        lit = (*cause.at, *cause.runs) if cause is not None else ()
        self.loop.show_readings(readings_beside(chart) if chart is not None else {}, frozenset(lit))


def _short(cause: Cause) -> str:
    """Give what a cause is in so few words that they fit beside its line."""
    return cause.says if len(cause.says) <= _SHORT else CAUSE_WORDS[cause.kind]


class _Away:
    def __init__(self, x: float) -> None:
        self._x = x

    def __call__(self, spot: Spot) -> float:
        return abs(spot.at[0] - self._x)
