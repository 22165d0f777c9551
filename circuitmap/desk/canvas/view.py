"""The view: zoom about the pointer, pan, hits, gestures' previews, selection, light and the pulse of the next point."""

from collections.abc import Iterable

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QGraphicsView, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.choosing import Choose
from circuitmap.desk.canvas.dropping import consider, files_in, target_of
from circuitmap.desk.canvas.gestures import Gesture, Outcome, Touch
from circuitmap.desk.canvas.hitting import hits
from circuitmap.desk.canvas.line_snapping import LineSource, NoLines
from circuitmap.desk.canvas.overpaint import (
    PULSE_STEPS,
    paint_advice,
    paint_corners,
    paint_lit,
    paint_pulse,
    paint_selected,
)
from circuitmap.desk.canvas.pen import Pen
from circuitmap.desk.canvas.scene import PlanScene
from circuitmap.desk.canvas.wheel import turn_of
from circuitmap.desk.photo_work import sources_of
from circuitmap.desk.theme import Look
from circuitmap.drawing.marks import Mark
from circuitmap.home import Home
from circuitmap.memo import Memo

_ZOOM_MIN, _ZOOM_MAX = 0.003, 3.0  # screen px per plan mm
_WHEEL = 1.25
_EDGE_PX = 30
_NEAR = 1.3  # by so much nearer than where all is in sight, somebody has come near on purpose
_STACK_PX = 120
SMOOTH_ZOOM = 0.03
_PULSE_MS = 60


class PlanView(QGraphicsView):
    """The plan, always in the same place."""

    done = Signal(object)  # an Outcome that the window should carry out
    space_tapped = Signal()  # Space went down and up and nothing was dragged meanwhile
    zoomed = Signal(float)
    file_dropped = Signal(str)
    photos_dropped = Signal(object, str)  # photographs and the id of what they were dropped on

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        self._scene = PlanScene(Pen(look.theme))
        super().__init__(self._scene, parent)
        self._scene.setParent(self)
        self.adapter, self.look = adapter, look
        self.lines: LineSource = NoLines()
        self._gesture: Gesture = Choose(self)
        self._space_down = False
        self._space_used = False
        self._pan_from: QPoint | None = None
        self._pulsing = ""
        self._pulse_step = 0
        self._advice = ""
        self._ghost: tuple[Mark, ...] = ()
        self._promises: tuple[Mark, ...] = ()
        self._pulse = QTimer(self)
        self._pulse.setInterval(_PULSE_MS)
        self._pulse.timeout.connect(self._on_pulse)
        self.setObjectName("plan")
        self.setAccessibleName("Plan of the storey")
        self.setAccessibleDescription("Everything on it is in the list of points too, where it can be reached by keys.")
        self.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.SmoothPixmapTransform)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.MinimalViewportUpdate)
        self.setOptimizationFlag(QGraphicsView.OptimizationFlag.DontSavePainterState)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMouseTracking(True)
        self.setAcceptDrops(True)
        self.setFrameShape(QGraphicsView.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._set_zoom(0.08, QPointF(0, 0))
        look.changed.connect(self._on_look_changed)
        adapter.selected.connect(self._repaint)
        adapter.lit.connect(self._repaint)
        adapter.shown.connect(self.bring_into_view)
        self._on_look_changed()

    # -- what gestures ask --------------------------------------------------------------------------------------

    @property
    def home(self) -> Home:
        """The home as it is now."""
        return self.adapter.home

    @property
    def memo(self) -> Memo:
        """Where derived values are kept."""
        return self.adapter.memo

    @property
    def storey(self) -> str:
        """The storey on show."""
        return self.adapter.storey

    @property
    def selection(self) -> tuple[str, ...]:
        """What is selected."""
        return self.adapter.selection

    def hits(self, touch: Touch, within_px: float = 8.0) -> list[str]:
        """Give the ids of what lies under a touch, topmost and nearest first; rooms and sheets last."""
        return hits(self._scene, touch, within_px)

    def within(self, box: tuple[float, float, float, float]) -> list[str]:
        """Give the ids of points and boards whose place lies in a box, and runs that lie wholly in it."""
        x0, y0, x1, y1 = box
        found = []
        for record_id in self._scene.ids:
            if record_id[:1] in ("P", "B"):
                centre = self._scene.glyph_centre(record_id)
                if centre and x0 <= centre[0] <= x1 and y0 <= centre[1] <= y1:
                    found.append(record_id)
            elif record_id[:1] == "R":
                bounds = self._scene.bounds(record_id)
                if bounds is not None and QRectF(x0, y0, x1 - x0, y1 - y0).contains(bounds):
                    found.append(record_id)
        return found

    # -- showing ------------------------------------------------------------------------------------------------

    @property
    def plan_scene(self) -> PlanScene:
        """The scene."""
        return self._scene

    @property
    def zoom(self) -> float:
        """Screen px per plan mm."""
        return self.transform().m11()

    def set_advice(self, sentence: str) -> None:
        """Set the one sentence that an empty plan says."""
        if sentence != self._advice:
            self._advice = sentence
            self._repaint()

    def set_ghost(self, marks: tuple[Mark, ...]) -> None:
        """Show something that is being thought of, over the plan."""
        if marks != self._ghost:
            self._ghost = marks
            self._repaint()

    def set_promises(self, marks: tuple[Mark, ...]) -> None:
        """Show what is wished, or what an option would bring, over the plan."""
        if marks != self._promises:
            self._promises = marks
            self._repaint()

    def fit(self, ids: Iterable[str] = (), margin_px: float = 36.0) -> None:
        """Fit some records, or all that is drawn (sheets count only while nothing else is there), into the view."""
        bounds = QRectF()
        drawn = [i for i in self._scene.ids if not i.startswith(("H", "below", "finding"))]
        for record_id in ids or drawn or self._scene.ids:
            found = self._scene.bounds(record_id)
            if found is not None:
                bounds = bounds.united(found)
        if bounds.isEmpty() and not ids:
            return
        size = self.viewport().size()
        width = max(bounds.width(), 500.0)
        height = max(bounds.height(), 500.0)
        free_px = size.width() - _STACK_PX  # the stack of storeys stands over the plan's left edge
        zoom = min((free_px - 2 * margin_px) / width, (size.height() - 2 * margin_px) / height)
        zoom = max(_ZOOM_MIN, min(_ZOOM_MAX, zoom))
        aside = min(_STACK_PX, max(0.0, _STACK_PX + margin_px - (size.width() - width * zoom) / 2))
        self._set_zoom(zoom, bounds.center() - QPointF(aside / zoom, 0))

    def bring_into_view(self, ids: tuple[str, ...]) -> None:
        """Bring records into view, near enough to see them."""
        known = [i for i in ids if self._scene.bounds(i) is not None]
        if not known:
            return
        bounds = QRectF()
        for record_id in known:
            found = self._scene.bounds(record_id)
            if found is not None:
                bounds = bounds.united(found)
        size = self.viewport().size()
        fits = min(size.width() / max(bounds.width() * 1.4, 1500.0), size.height() / max(bounds.height() * 1.4, 1500.0))
        self._set_zoom(max(_ZOOM_MIN, min(max(self.zoom, 0.1), fits)), bounds.center())

    def keep_in_sight(self, record_id: str) -> None:
        """Bring a record into sight if it is not: by showing all that is drawn, or where one is near, by moving."""
        bounds = self._scene.bounds(record_id)
        edge = _EDGE_PX
        if bounds is None:
            return
        inside = self.viewport().rect().adjusted(edge, edge, -edge, -edge)
        if inside.contains(self.mapFromScene(bounds.center())):
            return
        before = self.zoom
        self.fit()
        if before > _NEAR * self.zoom:
            self._set_zoom(before, bounds.center())

    def keep_whole_in_sight(self, record_id: str) -> None:
        """Show all that is drawn, unless the whole of a record is in sight already."""
        bounds = self._scene.bounds(record_id)
        seen = QRectF(self.viewport().rect()).adjusted(_STACK_PX, _EDGE_PX, -_EDGE_PX, -_EDGE_PX)
        if bounds is None or not seen.contains(self.viewportTransform().mapRect(bounds)):
            self.fit()

    def zoom_by(self, factor: float, about: QPoint | None = None) -> None:
        """Zoom about a place of the viewport, by default its middle."""
        spot = about or self.viewport().rect().center()
        anchor = self.mapToScene(spot)
        zoom = max(_ZOOM_MIN, min(_ZOOM_MAX, self.zoom * factor))
        middle = self.viewport().rect().center()
        self._set_zoom(zoom, anchor + QPointF(middle - spot) / zoom)

    def pulse(self, record_id: str) -> None:
        """Let a point pulse, or (with an empty id) none."""
        self._pulsing = record_id
        self._pulse_step = 0
        if record_id:
            self._pulse.start()
        else:
            self._pulse.stop()
        self._repaint()

    def set_gesture(self, gesture: Gesture) -> None:
        """Take another gesture in hand; what the earlier one had begun is given up."""
        self._gesture.cancel()
        self._gesture = gesture
        self.setCursor(Qt.CursorShape.ArrowCursor if isinstance(gesture, Choose) else Qt.CursorShape.CrossCursor)
        self._repaint()

    @property
    def gesture(self) -> Gesture:
        """The gesture in hand."""
        return self._gesture

    def carry_out(self, outcome: Outcome | None) -> None:
        """Hand an outcome to the window and show what the gesture previews now."""
        if outcome is not None:
            self.done.emit(outcome)
            self._gesture.after()
        self._repaint()

    # -- events -------------------------------------------------------------------------------------------------

    def touch_at(self, pos_px: QPointF, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> Touch:
        """Give the touch at a place of the viewport."""
        spot = self.mapToScene(pos_px.toPoint())
        return Touch(
            spot.x(),
            spot.y(),
            1 / self.zoom,
            bool(modifiers & Qt.KeyboardModifier.ShiftModifier),
            bool(modifiers & Qt.KeyboardModifier.ControlModifier),
        )

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Start a pan or hand the press to the gesture."""
        button = event.button()
        if button == Qt.MouseButton.MiddleButton or (button == Qt.MouseButton.LeftButton and self._space_down):
            self._pan_from = event.position().toPoint()
            self._space_used = True
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif button == Qt.MouseButton.LeftButton:
            self.carry_out(self._gesture.press(self.touch_at(event.position(), event.modifiers())))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Pan, or let the gesture follow; light up what is pointed at."""
        if self._pan_from is not None:
            here = event.position().toPoint()
            self._shift_by(here - self._pan_from)
            self._pan_from = here
            return
        touch = self.touch_at(event.position(), event.modifiers())
        before = self._gesture.preview
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._gesture.move(touch)
        else:
            self._gesture.hover(touch)
            self._light(touch)
        if before or self._gesture.preview:
            self._repaint()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End a pan or hand the release to the gesture."""
        if self._pan_from is not None:
            self._pan_from = None
            self.set_gesture_cursor()
            return
        if event.button() == Qt.MouseButton.LeftButton:
            self.carry_out(self._gesture.release(self.touch_at(event.position(), event.modifiers())))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Hand the second press of a double click to the gesture."""
        if event.button() == Qt.MouseButton.LeftButton and self._pan_from is None:
            self.carry_out(self._gesture.twice(self.touch_at(event.position(), event.modifiers())))

    def set_gesture_cursor(self) -> None:
        """Give the pointer the shape of the gesture in hand."""
        shape = Qt.CursorShape.ArrowCursor if isinstance(self._gesture, Choose) else Qt.CursorShape.CrossCursor
        self.setCursor(shape)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer; a touchpad's fine scrolling pans."""
        turned = self._gesture.turned(turn_of(event)) if turn_of(event) else None
        if turned is not None:
            self.carry_out(turned)
        elif event.pixelDelta().isNull() or event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            steps = event.angleDelta().y() / 120
            if steps:
                self.zoom_by(_WHEEL**steps, event.position().toPoint())
        else:
            self._shift_by(event.pixelDelta())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Hand Enter, Backspace and Esc to the gesture; Space pans while held, arrows pan."""
        key = event.key()
        if key == Qt.Key.Key_Space:
            if not event.isAutoRepeat():
                self._space_down, self._space_used = True, False
                self.setCursor(Qt.CursorShape.OpenHandCursor)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.carry_out(self._gesture.key("Return"))
        elif key == Qt.Key.Key_Backspace:
            self.carry_out(self._gesture.key("Backspace"))
        elif key == Qt.Key.Key_Delete:  # nothing is chosen, or the action would have taken the key
            self.carry_out(self._gesture.key("Delete"))
        elif key == Qt.Key.Key_Escape:
            if not self._gesture.cancel():
                self.adapter.set_tool("select") if self.adapter.tool != "select" else self.adapter.select()
            self._repaint()
        elif key in _ARROWS:
            dx, dy = _ARROWS[key]
            by_mm = -100 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else -10
            nudged = self._gesture.nudge(dx * by_mm, dy * by_mm)
            if nudged is not None:
                self.carry_out(nudged)
            else:
                self._shift_by(QPoint(dx * 60, dy * 60))
        elif self._gesture.typed(event.text()):
            self._repaint()
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Space let go without a drag means "next"."""
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            tapped = self._space_down and not self._space_used
            self._space_down = False
            self.set_gesture_cursor()
            if tapped:
                self.space_tapped.emit()
        else:
            event.ignore()

    def focusOutEvent(self, event: object) -> None:
        """Forget a held Space when the focus goes elsewhere."""
        self._space_down = False
        super().focusOutEvent(event)  # type: ignore[arg-type]  # Qt hands a QFocusEvent

    def leaveEvent(self, event: object) -> None:
        """Put the light out when the pointer leaves."""
        self.adapter.light()
        super().leaveEvent(event)  # type: ignore[arg-type]  # Qt hands a QEvent

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Have no menu of its own: the inspector beside the plan shows all that can be done."""
        event.accept()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take a dropped picture."""
        consider(event)

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Light up what the photograph would be of, if it is dropped here."""
        consider(event)
        self.adapter.light(frozenset({self._target(event)} - {""}))

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        """Put the light out."""
        self.adapter.light()
        event.accept()

    def dropEvent(self, event: QDropEvent) -> None:
        """Hand a picture to the notes of what it was dropped on, else to the Draw stage."""
        self.adapter.light()
        target, mime = self._target(event), event.mimeData()
        if target and (sources := sources_of(mime)):
            self.photos_dropped.emit(sources, target)
        for name in files_in(mime) if not target else ():
            self.file_dropped.emit(name)

    def _target(self, event: QDropEvent) -> str:
        return target_of(self.hits(self.touch_at(event.position())))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep what was in the middle in the middle."""
        old = event.oldSize()
        super().resizeEvent(event)
        if old.isValid():
            grown = event.size() - old
            self._shift_by(QPoint(grown.width() // 2, grown.height() // 2))

    # -- painting over the plan ---------------------------------------------------------------------------------

    def drawForeground(self, painter: QPainter, rect: QRectF | object) -> None:
        """Paint what is lit, selected, pulsing and previewed, the scale bar, and the advice on an empty plan."""
        painter.save()
        painter.resetTransform()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_lit(self, painter)
        paint_selected(self, painter)
        if self._pulsing:
            paint_pulse(self, painter, self._pulsing, self._pulse_step)
        marks = (*self._promises, *self._ghost, *self._gesture.preview)
        if marks:
            origin = self.mapToScene(QPoint(0, 0))
            self._scene.pen.paint_marks(painter, marks, self.zoom, (origin.x(), origin.y()))
        paint_corners(self, painter)
        if self._advice:
            paint_advice(self, painter, self._advice)
        painter.restore()

    # -- inside -------------------------------------------------------------------------------------------------

    def to_px(self, spot_mm: tuple[float, float]) -> QPointF:
        """Give where a spot of the plan lies in the viewport."""
        return self.viewportTransform().map(QPointF(*spot_mm))

    def _light(self, touch: Touch) -> None:
        hit = next((i for i in self.hits(touch, 4) if i[0] in "PR"), "")
        ids: set[str] = set()
        for view in self.adapter.views_of(hit) if hit else ():
            ids |= self.adapter.area_served(view.device.id)
        self.adapter.light(frozenset(ids))

    def _set_zoom(self, zoom: float, centre_mm: QPointF) -> None:
        middle = QPointF(self.viewport().rect().center())
        offset = middle - centre_mm * zoom
        self.setTransform(QTransform(zoom, 0, 0, zoom, 0, 0))
        self._scroll_to(centre_mm, offset)
        self._scene.set_zoom(zoom)
        # Symbols and words are smooth pixmaps; from afar the lines are thin and mostly upright or level.
        for hint in (QPainter.RenderHint.Antialiasing, QPainter.RenderHint.SmoothPixmapTransform):
            self.setRenderHint(hint, zoom >= SMOOTH_ZOOM)
        self.zoomed.emit(zoom)
        self._repaint()

    def _scroll_to(self, centre_mm: QPointF, _offset: QPointF) -> None:
        self.centerOn(centre_mm)

    def _shift_by(self, way_px: QPoint) -> None:
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        across.setValue(across.value() - way_px.x())
        down.setValue(down.value() - way_px.y())
        self._repaint()

    def _repaint(self, *_: object) -> None:
        self.viewport().update()

    def _on_pulse(self) -> None:
        self._pulse_step = (self._pulse_step + 1) % PULSE_STEPS
        centre = self._scene.glyph_centre(self._pulsing)
        if centre is not None:
            spot = self.to_px(centre).toPoint()
            self.viewport().update(spot.x() - 45, spot.y() - 45, 90, 90)

    def _on_look_changed(self) -> None:
        self.setBackgroundBrush(self.look.colour("paper"))
        self._scene.set_pen(Pen(self.look.theme, self.devicePixelRatioF()))
        self._repaint()


_ARROWS: dict[int, tuple[int, int]] = {
    Qt.Key.Key_Left: (1, 0),
    Qt.Key.Key_Right: (-1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}
