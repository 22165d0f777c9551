"""A small dial for the way to north and the way the front of the house looks, by dragging or by keys."""

import math
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from circuitmap.desk.theme import SMALL_PX, Look, font

Hand = Literal["north", "front"]
HANDS: tuple[Hand, ...] = ("north", "front")

_SIDE_PX = 112
_RING_PX = 34.0
_KNOB_PX = 16.0  # half of what there is to hit
_STEP_DEG, _FINE_DEG = 5.0, 1.0
# Where a hand lies while nobody has said its way: up for north, down for the front, as plans mostly have them.
_AT_REST = {"north": 270.0, "front": 90.0}


class Compass(QWidget):
    """A ring round a house with a knob for north and one for the front; what is not known yet is drawn broken."""

    turned = Signal(str, object)  # which hand, and its way in degrees from the right, or None for not known
    chosen = Signal(str)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._ways: dict[Hand, float | None] = {"north": None, "front": None}
        self._hand: Hand = "north"
        self._dragged: float | None = None
        self.setObjectName("compass")
        self.setAccessibleName("North and the front of the house")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setToolTip(
            "Drag N to where north is, and the other knob to where the front door looks. Keys: Up and Down choose, "
            "Left and Right turn (Shift finely), Delete makes it not known."
        )
        look.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Give its one size."""
        return QSize(_SIDE_PX, _SIDE_PX)

    def show_ways(self, north_deg: float | None, front_deg: float | None) -> None:
        """Show what the home says."""
        self._ways = {"north": north_deg, "front": front_deg}
        said = ", ".join(f"{hand} {show_way(way)}" for hand, way in self._ways.items())
        self.setAccessibleDescription(f"{said}. The keys turn {self._hand}.")
        self.update()

    @property
    def hand(self) -> Hand:
        """The hand that keys turn."""
        return self._hand

    def knob(self, hand: Hand) -> QPointF:
        """Give where a hand's knob lies in the widget."""
        held = self._dragged if hand == self._hand and self._dragged is not None else self._ways[hand]
        way = math.radians(held if held is not None else _AT_REST[hand])
        middle = self.rect().center()
        return QPointF(middle.x() + _RING_PX * math.cos(way), middle.y() + _RING_PX * math.sin(way))

    # -- events -------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take the nearest hand."""
        at = event.position()
        away = {hand: math.dist((at.x(), at.y()), (self.knob(hand).x(), self.knob(hand).y())) for hand in HANDS}
        nearest = min(HANDS, key=away.__getitem__)
        if event.button() != Qt.MouseButton.LeftButton or away[nearest] > _KNOB_PX:
            return
        self._choose(nearest)
        self._dragged = self._way_at(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Turn the hand that is held."""
        if self._dragged is not None:
            self._dragged = self._way_at(event)
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Say where the hand was left."""
        if self._dragged is not None:
            way, self._dragged = self._way_at(event), None
            self.turned.emit(self._hand, way)
            self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose a hand, turn it, or make it not known."""
        key = event.key()
        step = _FINE_DEG if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else _STEP_DEG
        if key == Qt.Key.Key_Escape and self._dragged is not None:
            self._dragged = None
            self.update()
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self._choose("front" if self._hand == "north" else "north")
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            now = self._ways[self._hand]
            start = now if now is not None else _AT_REST[self._hand]
            self.turned.emit(self._hand, (start + (step if key == Qt.Key.Key_Right else -step)) % 360)
        elif key == Qt.Key.Key_Delete:
            self.turned.emit(self._hand, None)
        else:
            event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show that keys go here."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show that keys go elsewhere."""
        super().focusOutEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the ring, the house in its middle and the two knobs."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = QPointF(self.rect().center())
        painter.setPen(QPen(self._look.colour("faint"), 1))
        painter.drawEllipse(middle, _RING_PX, _RING_PX)
        painter.setBrush(self._look.colour("room"))
        painter.drawRect(QRectF(middle.x() - 11, middle.y() - 9, 22, 18))
        for hand in HANDS:
            self._paint_hand(painter, middle, hand)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self._look.colour("accent"), 2))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 5, 5)
        painter.end()

    # -- inside -------------------------------------------------------------------------------------------------

    def _paint_hand(self, painter: QPainter, middle: QPointF, hand: Hand) -> None:
        at, is_known = self.knob(hand), self._ways[hand] is not None or (hand == self._hand and self._dragged)
        ink = self._look.colour("ink" if is_known else "faint")
        edge = self._look.colour("accent") if hand == self._hand and self.hasFocus() else ink
        line = Qt.PenStyle.SolidLine if is_known else Qt.PenStyle.DashLine
        painter.setPen(QPen(ink, 1.5, line))
        painter.drawLine(middle + (at - middle) * 0.42, middle + (at - middle) * 0.66)
        painter.setPen(QPen(edge, 1.75, line))
        painter.setBrush(self._look.colour("paper"))
        painter.drawEllipse(at, 11, 11)
        painter.setPen(ink)
        painter.setFont(font(SMALL_PX, bold=True))
        box = QRectF(at.x() - 11, at.y() - 11, 22, 22)
        if hand == "north":
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), "N")
            return
        # A door in a wall: what the front is known by.
        painter.setBrush(ink)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawPolygon(QPolygonF([at + QPointF(-3.5, 6), at + QPointF(-3.5, -5), at + QPointF(3.5, -5),
                                       at + QPointF(3.5, 6)]))  # fmt: skip

    def _choose(self, hand: Hand) -> None:
        self._hand = hand
        self.show_ways(self._ways["north"], self._ways["front"])
        self.chosen.emit(hand)

    def _way_at(self, event: QMouseEvent) -> float:
        middle = self.rect().center()
        at = event.position()
        way = math.degrees(math.atan2(at.y() - middle.y(), at.x() - middle.x()))
        step = _FINE_DEG if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else _STEP_DEG
        return round(way / step) * step % 360


_NAMED = {
    0.0: "to the right", 45.0: "down right", 90.0: "down the plan", 135.0: "down left", 180.0: "to the left",
    225.0: "up left", 270.0: "up the plan", 315.0: "up right",
}  # fmt: skip
WAYS: tuple[tuple[str, float | None], ...] = (
    ("not known", None),
    *((_NAMED[way], way) for way in (270.0, 315.0, 0.0, 45.0, 90.0, 135.0, 180.0, 225.0)),
)


def show_way(way_deg: float | None) -> str:
    """Say a way on the plan, as people do: "up the plan", or in degrees clockwise from up."""
    if way_deg is None:
        return "not known"
    return _NAMED.get(way_deg % 360) or f"{(way_deg + 90) % 360:g}° from up"
