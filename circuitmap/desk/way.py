"""One device on the board strip, painted like the thing on the wall: a button with its toggle or its carrier."""

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QEnterEvent, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from circuitmap.desk.parts import plain_tip, wrapped
from circuitmap.desk.theme import BODY_PX, HEAD_PX, SMALL_PX, Look, font
from circuitmap.drawing.boardstrip import WayCell
from circuitmap.drawing.palette import colour

CELL_W, CELL_H = 68, 126
_WIDE_W = 84
_FAR = 10_000
_STEPS: dict[int, int] = {
    Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Home: -_FAR, Qt.Key.Key_End: _FAR,
}  # fmt: skip


class WayButton(QAbstractButton):
    """One device: its toggle or carrier, rating, code, label, and its circuit's colour as a band."""

    pointed = Signal(str)
    stepped = Signal(str, int)
    focused = Signal(str)

    def __init__(self, device: str, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.device = device
        self._look = look
        self._cell: WayCell | None = None
        self._off = self._pending = self._lit = self._chosen = False
        self.setObjectName(f"way-{device}")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_cell(self, cell: WayCell, *, off: bool, pending: bool) -> None:
        """Show a device as it is now."""
        if (cell, off, pending) != (self._cell, self._off, self._pending):
            self._cell, self._off, self._pending = cell, off, pending
            state = "to go off" if pending and not off else "off" if off else "on"
            if cell.promise == "planned":
                state = "planned, not there yet"
            name = " ".join(part for part in (cell.code, cell.label) if part) or cell.kind
            self.setAccessibleName(f"{name}, {cell.kind} {cell.rating}, {state}".replace(" ,", ","))
            self.setToolTip(plain_tip(f"{cell.code} {cell.label}\n{cell.kind} {cell.rating}".strip()))
            self.setFixedSize(_WIDE_W if not cell.code else CELL_W, CELL_H)
            self.update()

    def set_marked(self, *, lit: bool, chosen: bool) -> None:
        """Mark the device as feeding what is lit, or as selected."""
        if (lit, chosen) != (self._lit, self._chosen):
            self._lit, self._chosen = lit, chosen
            self.update()

    @property
    def over(self) -> str:
        """The device that this one is bracketed under, empty when none."""
        return self._cell.over if self._cell is not None else ""

    @property
    def words(self) -> str:
        """What the device is, in short: "RCD 63 A 30 mA"."""
        return f"{self._cell.kind} {self._cell.rating}".strip() if self._cell is not None else ""

    @property
    def is_down(self) -> bool:
        """Whether its toggle is shown down (or its carrier out)."""
        return self._off or self._pending

    def sizeHint(self) -> QSize:
        """Give the size of a device on the strip."""
        return QSize(CELL_W, CELL_H)

    def enterEvent(self, event: QEnterEvent) -> None:
        """Light up what the device feeds."""
        self.pointed.emit(self.device)
        super().enterEvent(event)

    def leaveEvent(self, event: QEvent) -> None:
        """Put the light out."""
        self.pointed.emit("")
        super().leaveEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take the focus, tab stop or not."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        super().mousePressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Become the way that Tab comes back to."""
        super().focusInEvent(event)
        self.focused.emit(self.device)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk along the board with the arrows; Enter does what a click does."""
        step = _STEPS.get(event.key())
        if step is not None:
            self.stepped.emit(self.device, step)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the device."""
        cell = self._cell
        if cell is None:
            return
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        body = QRectF(3, 3, self.width() - 6, 74)
        is_planned = cell.promise == "planned"  # not there yet: an outline in dashes, and no toggle that is on or off
        edge = QPen(look.colour("select" if self._chosen else "faint"), 2.5 if self._chosen else 1)
        if is_planned:
            edge.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(edge)
        painter.setBrush(look.colour("accent/tint") if self._lit else look.colour("room"))
        painter.drawRoundedRect(body, 4, 4)
        if cell.role:
            band = QRectF(body.left() + 1, body.bottom() - 8, body.width() - 2, 7)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colour(cell.role, look.theme)))
            painter.drawRect(band)
            if cell.stripe:
                pen = QPen(look.colour("paper"), 2.5, Qt.PenStyle.CustomDashLine)
                pen.setDashPattern([part / 2.5 for part in cell.stripe])
                painter.setPen(pen)
                painter.drawLine(QPointF(band.left(), band.center().y()), QPointF(band.right(), band.center().y()))
        if is_planned:
            self._paint_planned(painter, body)
        elif cell.carrier:
            self._paint_carrier(painter, body)
        elif cell.toggle:
            self._paint_toggle(painter, body)
        painter.setPen(look.colour("ink"))
        painter.setFont(font(BODY_PX, bold=True))
        centred = int(Qt.AlignmentFlag.AlignCenter)
        rating = cell.rating or _short(cell.kind)
        painter.setFont(font(SMALL_PX if len(rating) > 7 else BODY_PX, bold=True))
        painter.drawText(QRectF(body.left(), body.bottom() - 26, body.width(), 17), centred, rating)
        painter.setFont(font(HEAD_PX, bold=True))
        painter.drawText(QRectF(0, body.bottom() + 2, self.width(), 18), centred, cell.code or _short(cell.kind))
        painter.setFont(font(SMALL_PX))
        painter.setPen(look.colour("faint"))
        label = wrapped(cell.label, painter.fontMetrics(), self.width() - 4, lines=2)
        top = int(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop)
        painter.drawText(QRectF(1, body.bottom() + 20, self.width() - 2, 29), top, label)
        if self.hasFocus():
            painter.setPen(QPen(look.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(1, 1, self.width() - 2, self.height() - 2), 5, 5)
        painter.end()

    def _paint_planned(self, painter: QPainter, body: QRectF) -> None:
        """Paint where a toggle will be; the label says that it is planned."""
        painter.setPen(QPen(self._look.colour("faint"), 1.2, Qt.PenStyle.DashLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(QRectF(body.center().x() - 11, body.top() + 6, 22, 40), 3, 3)

    def _paint_toggle(self, painter: QPainter, body: QRectF) -> None:
        look, down = self._look, self.is_down
        slot = QRectF(body.center().x() - 11, body.top() + 6, 22, 40)
        painter.setPen(QPen(look.colour("faint"), 1))
        painter.setBrush(look.colour("paper"))
        painter.drawRoundedRect(slot, 3, 3)
        handle = QRectF(slot.left() + 3, slot.top() + (21 if down else 3), 16, 16)
        waiting = self._pending and not self._off
        painter.setPen(QPen(look.colour("ink"), 1.5, Qt.PenStyle.DashLine if waiting else Qt.PenStyle.SolidLine))
        painter.setBrush(look.colour("paper") if down else look.colour("ink"))
        painter.drawRoundedRect(handle, 3, 3)
        painter.setFont(font(SMALL_PX))
        painter.setPen(look.colour("ink" if down else "faint"))
        words = "off?" if waiting else "off" if down else "on"
        side = QRectF(slot.right() + 1, slot.top() + (20 if down else 2), body.right() - slot.right() - 1, 18)
        painter.drawText(side, int(Qt.AlignmentFlag.AlignCenter), words)

    def _paint_carrier(self, painter: QPainter, body: QRectF) -> None:
        look, out = self._look, self.is_down
        holder = QRectF(body.left() + 12, body.top() + 8, body.width() - 24, 36)
        painter.setPen(QPen(look.colour("faint"), 1))
        painter.setBrush(look.colour("paper"))
        painter.drawRoundedRect(holder, 3, 3)
        if out:
            painter.setPen(QPen(look.colour("ink"), 1, Qt.PenStyle.DashLine))
            painter.drawRect(holder.adjusted(6, 6, -6, -6))
            words = "out?" if self._pending and not self._off else "out"
        else:
            painter.setPen(QPen(look.colour("ink"), 1.5))
            painter.setBrush(look.colour("ink"))
            painter.drawRoundedRect(holder.adjusted(6, 6, -6, -6), 3, 3)
            words = "in"
        painter.setFont(font(SMALL_PX))
        painter.setPen(look.colour("ink" if out else "paper"))
        painter.drawText(holder, int(Qt.AlignmentFlag.AlignCenter), words)


def _short(kind: str) -> str:
    return {"main switch": "main", "changeover switch": "change", "connector block": "block"}.get(kind, kind)[:9]
