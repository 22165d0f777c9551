"""The wall as it is seen from its room, to look at and to work on: zoom about the pointer, pan, drag, draw."""

from typing import Final

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from circuitmap.desk.canvas.pen import Pen
from circuitmap.desk.canvas.walling import DrawCable, WallTouch, nudged
from circuitmap.desk.theme import Look
from circuitmap.desk.wall_view_scene import overlay_of
from circuitmap.desk.wall_view_state import WallState
from circuitmap.drawing.blocks import Block
from circuitmap.drawing.elevation import key_block
from circuitmap.drawing.marks import Area, Line, Mark, Words

_ZOOM_MIN, _ZOOM_MAX = 0.02, 3.0  # screen px per mm
_WHEEL: Final = 1.25
_KEY_PX: Final = 34.0
_STEP_MM: Final = 10
_LONG_STEP_MM: Final = 100
_PAN_PX: Final = 60
_ARROWS: Final[dict[int, tuple[int, int]]] = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}


class WallView(QWidget):
    """Paints the wall in view and hands presses and keys to the gesture in hand."""

    left = Signal()  # Esc with nothing to give up
    figures_wanted = Signal()

    def __init__(self, state: WallState, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state, self._look = state, look
        self._zoom = 0.15
        self._origin = QPointF(0.0, 0.0)  # what lies at the top left corner, in the space of the wall
        self._is_fitted = True
        self._pan_from: QPointF | None = None
        self._space_down = self._space_used = False
        self._pen = Pen(look.theme, self.devicePixelRatioF())
        self.setObjectName("wall")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(320, 220)
        self.setAccessibleName("The wall seen from its room")
        state.changed.connect(self.refresh)
        state.turned.connect(self.fit)
        look.changed.connect(self._on_look_changed)

    # -- scale --------------------------------------------------------------------------------------------------

    @property
    def zoom(self) -> float:
        """How many px a mm is."""
        return self._zoom

    def fit(self) -> None:
        """Fit the whole wall with its measures into the view."""
        self._is_fitted = True
        if self._state.wall is None:
            return
        for _ in range(3):  # how much room measures take depends on the scale that they are placed for
            left, top, right, bottom = self._state.scene.drawn.bounds_mm
            face = self._state.face
            beside_px = (right - left - face.length_mm) * self._zoom
            over_px = (bottom - top - face.height_mm) * self._zoom
            free = self.width() - beside_px - 8, self.height() - over_px - _KEY_PX - 8
            self._set_zoom(min(free[0] / face.length_mm, free[1] / face.height_mm))
        left, top, right, bottom = self._state.scene.drawn.bounds_mm
        middle = QPointF((left + right) / 2, (top + bottom) / 2)
        self._origin = middle - QPointF(self.width() / 2, (self.height() - _KEY_PX) / 2) / self._zoom
        self.update()

    def zoom_by(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom about a place of the view, by default its middle."""
        spot = about if about is not None else QPointF(self.width() / 2, self.height() / 2)
        anchor = self._origin + spot / self._zoom
        self._is_fitted = False
        self._set_zoom(self._zoom * factor)
        self._origin = anchor - spot / self._zoom
        self.update()

    def to_px(self, u: float, v: float) -> QPointF:
        """Give where a spot of the wall lies in the view."""
        return (QPointF(u, self._state.face.height_mm - v) - self._origin) * self._zoom

    def touch_at(self, px: QPointF, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> WallTouch:
        """Give the touch at a place of the view."""
        spot = self._origin + px / self._zoom
        is_free = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        return WallTouch(spot.x(), self._state.face.height_mm - spot.y(), 1 / self._zoom, is_free)

    def _set_zoom(self, zoom: float) -> None:
        self._zoom = max(_ZOOM_MIN, min(_ZOOM_MAX, zoom))
        self._state.set_zoom(self._zoom)

    def _shift_by(self, px: QPointF) -> None:
        self._is_fitted = False
        self._origin -= px / self._zoom
        self.update()

    # -- events -------------------------------------------------------------------------------------------------

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the wall, what is chosen on it, and the key."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._look.colour("paper"))
        if self._state.wall is not None:
            scene = self._state.scene
            marks: list[Mark] = [*scene.drawn.marks]
            marks += overlay_of(scene, self._state.chosen, self._zoom, self._state.refused)
            self._pen.paint_marks(painter, marks, self._zoom, (self._origin.x(), self._origin.y()))
            self._paint_key(painter, key_block(scene.drawn))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Start a pan or hand the press to the gesture."""
        if self._state.wall is None:
            return
        button = event.button()
        if button == Qt.MouseButton.MiddleButton or (button == Qt.MouseButton.LeftButton and self._space_down):
            self._begin_pan(event.position())
        elif button == Qt.MouseButton.LeftButton:
            gesture = self._state.gesture
            self._state.carry_out(gesture.press(self.touch_at(event.position(), event.modifiers())))
            if gesture.pans:
                self._begin_pan(event.position())
                self._space_used = False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Pan, or let the gesture follow."""
        if self._state.wall is None:
            return
        gesture = self._state.gesture
        if self._pan_from is not None:
            way = event.position() - self._pan_from
            if self._pan_moved or way.manhattanLength() > 4:
                self._pan_moved = True
                self._shift_by(way)
                self._pan_from = event.position()
            return
        touch = self.touch_at(event.position(), event.modifiers())
        if event.buttons() & Qt.MouseButton.LeftButton:
            gesture.move(touch)
        elif isinstance(gesture, DrawCable):
            gesture.hover(touch)
        else:
            self._point_at(touch)
            return
        self._state.follow()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End a pan or hand the release to the gesture."""
        if self._state.wall is None:
            return
        if self._pan_from is not None:
            was_moved, self._pan_from, self._pan_moved = self._pan_moved, None, False
            self.setCursor(Qt.CursorShape.ArrowCursor)
            if was_moved:
                self._state.gesture.cancel()
                return
        if event.button() == Qt.MouseButton.LeftButton:
            self._state.carry_out(self._state.gesture.release(self.touch_at(event.position(), event.modifiers())))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Hand the second press of a double click to the gesture."""
        if event.button() == Qt.MouseButton.LeftButton and self._state.wall is not None:
            self._state.carry_out(self._state.gesture.twice(self.touch_at(event.position(), event.modifiers())))

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer; a touchpad's fine scrolling pans."""
        if event.pixelDelta().isNull() or event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            steps = event.angleDelta().y() / 120
            if steps:
                self.zoom_by(_WHEEL**steps, event.position())
        else:
            self._shift_by(QPointF(event.pixelDelta()))
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move what is chosen by the arrows; Enter, Backspace, Space and Esc draw and give up."""
        key, state = event.key(), self._state
        if state.wall is None:
            event.ignore()
        elif key == Qt.Key.Key_Space:
            if not event.isAutoRepeat():
                self._space_down, self._space_used = True, False
                self.setCursor(Qt.CursorShape.OpenHandCursor)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if state.is_drawing:
                state.carry_out(state.gesture.key("Return"))
            else:
                self.figures_wanted.emit()
        elif key == Qt.Key.Key_Backspace:
            state.carry_out(state.gesture.key("Backspace"))
        elif key == Qt.Key.Key_Escape:
            self._give_up()
        elif key in _ARROWS:
            across, up = _ARROWS[key]
            self._arrow(across, up, is_long=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Space let go without a drag puts a corner where the cross is, while a cable is drawn."""
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            tapped = self._space_down and not self._space_used
            self._space_down = False
            self.setCursor(Qt.CursorShape.ArrowCursor)
            if tapped and self._state.is_drawing:
                self._state.carry_out(self._state.gesture.key("Space"))
        else:
            event.ignore()

    def focusOutEvent(self, event: object) -> None:
        """Forget a held Space when the focus goes elsewhere."""
        self._space_down = False
        super().focusOutEvent(event)  # type: ignore[arg-type]  # Qt hands a QFocusEvent
        self.update()

    def focusInEvent(self, event: object) -> None:
        """Show that keys come here."""
        super().focusInEvent(event)  # type: ignore[arg-type]  # Qt hands a QFocusEvent
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the whole wall in view, or what was in the middle in the middle."""
        super().resizeEvent(event)
        if self._is_fitted:
            self.fit()
        elif event.oldSize().isValid():
            grown = event.size() - event.oldSize()
            self._shift_by(QPointF(grown.width() / 2, grown.height() / 2))

    # -- inside -------------------------------------------------------------------------------------------------

    _pan_moved = False

    def _begin_pan(self, at: QPointF) -> None:
        self._pan_from, self._pan_moved = at, False
        self._space_used = True
        self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def _give_up(self) -> None:
        state = self._state
        if state.gesture.cancel():
            state.carry_out(None)
        elif state.is_drawing:
            state.draw(is_on=False)
        elif state.chosen:
            state.choose("")
        else:
            self.left.emit()

    def _arrow(self, across: int, up: int, *, is_long: bool) -> None:
        state = self._state
        step = _LONG_STEP_MM if is_long else _STEP_MM
        gesture = state.gesture
        if isinstance(gesture, DrawCable):
            gesture.nudge(across * step, up * step)
            state.follow()
            return
        outcome = nudged(state, across * step, up * step)
        if outcome is not None:
            state.carry_out(outcome)
        else:
            self._shift_by(QPointF(-across * _PAN_PX, up * _PAN_PX))

    def _point_at(self, touch: WallTouch) -> None:
        from circuitmap.desk.canvas.walling import held_at

        held = held_at(self._state, touch)
        shapes = {"thing": Qt.CursorShape.SizeAllCursor, "bend": Qt.CursorShape.CrossCursor,
                  "stretch": Qt.CursorShape.PointingHandCursor}  # fmt: skip
        self.setCursor(shapes[held[0]] if held is not None else Qt.CursorShape.ArrowCursor)

    def _paint_key(self, painter: QPainter, block: Block) -> None:
        top = self.height() - _KEY_PX
        strip = self._look.colour("paper")
        painter.fillRect(QRectF(0, top, self.width(), _KEY_PX), strip)
        scale = min(1.0, (self.width() - 24) / max(block.width_px, 1.0))
        painter.save()
        painter.translate(QPoint(12, round(top + (_KEY_PX - block.height_px * scale) / 2)))
        painter.scale(scale, scale)
        self._pen.paint_marks(painter, _as_marks(block), 1.0)
        painter.restore()

    def refresh(self) -> None:
        """Paint again, and tell in words what is to be marked out."""
        wall = self._state.wall
        if wall is not None:
            scene = self._state.scene
            self.setAccessibleDescription(" ".join((scene.drawn.title, *(each.said() for each in scene.drawn.marked))))
        self.update()

    def _on_look_changed(self) -> None:
        self._pen = Pen(self._look.theme, self.devicePixelRatioF())
        self.update()


def _as_marks(block: Block) -> list[Mark]:
    marks: list[Mark] = [Area("room", (fill.pts,), fill.role) for fill in block.fills]
    marks += [Line("grid", stroke.pts, stroke.ink) for stroke in block.strokes]
    marks += [
        Words("label", text.text, (text.x_px, text.y_px), text.role, text.size_px, text.anchor, bold=text.bold)
        for text in block.texts
    ]
    return marks
