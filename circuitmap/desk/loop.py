"""The loop view: the selected circuit straightened out; its points can be clicked."""

from collections.abc import Mapping
from math import hypot

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.pen import Pen
from circuitmap.desk.theme import Look
from circuitmap.drawing.dress import circuit_index
from circuitmap.drawing.loop import loop_drawing
from circuitmap.drawing.loop_readings import Beside
from circuitmap.drawing.marks import Mark, mark_points
from circuitmap.wiring.shape import SHAPE_WORDS

_NEAR_PX = 18.0


class LoopView(QWidget):
    """One circuit as a ring with its points in order, or as a tree."""

    chosen = Signal(str)  # the id of a point that was clicked

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._look = adapter, look
        self._view: CircuitView | None = None
        self._marks: list[Mark] = []
        self._places: dict[str, tuple[float, float]] = {}
        self._beside: Mapping[str, Beside] = {}
        self._lit: frozenset[str] = frozenset()
        self._made_for: tuple[object, ...] | None = None
        self._pen = Pen(look.theme, self.devicePixelRatioF())
        self.setObjectName("loop")
        self.setAccessibleName("The selected circuit straightened out")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self._on_look_changed)

    def sizeHint(self) -> QSize:
        """Grow with the number of points, up to a limit."""
        count = len(self._view.members) if self._view is not None else 0
        each = 20 if self._beside else 16
        return QSize(320, max(200, min(520, 150 + each * count)))

    @property
    def view(self) -> CircuitView | None:
        """The circuit on show."""
        return self._view

    def show_view(self, view: CircuitView | None) -> None:
        """Show a circuit, or nothing."""
        if view is not self._view:
            self._view = view
            self.updateGeometry()
            self.update()
            self.setAccessibleDescription(
                "" if view is None or view.shape is None else f"{view.code}: {SHAPE_WORDS[view.shape.kind]}"
            )

    def show_readings(self, beside: Mapping[str, Beside], lit: frozenset[str] = frozenset()) -> None:
        """Print readings beside the points, and light up where a cause may lie."""
        if beside != self._beside or lit != self._lit:
            self._beside, self._lit = beside, lit
            self.updateGeometry()
            self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the circuit's marks."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._look.colour("paper"))
        self._pen.paint_marks(painter, self._current_marks(), 1.0)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the point that was clicked."""
        spot = event.position()
        best, least = "", _NEAR_PX
        for record, (x, y) in self._places.items():
            away = hypot(x - spot.x(), y - spot.y())
            if away < least:
                best, least = record, away
        if best:
            self.chosen.emit(best)

    def _current_marks(self) -> list[Mark]:
        key = (self._view, self._beside, self._lit, self.width(), self.height())
        if self._made_for != key:
            self._made_for = key
            self._marks, self._places = [], {}
            if self._view is not None and self._view.shape is not None:
                number = circuit_index(self._adapter.views).get(self._view.device.id, 0)
                self._marks, self._places = loop_drawing(
                    self._view,
                    self._adapter.home,
                    self.width(),
                    self.height(),
                    number=number,
                    beside=self._beside,
                    lit=self._lit,
                )
                low = max((y for mark in self._marks for _, y in mark_points(mark)), default=0.0)
                self.setMinimumHeight(round(low + 36))
        return self._marks

    def _on_look_changed(self) -> None:
        self._pen = Pen(self._look.theme, self.devicePixelRatioF())
        self.update()
