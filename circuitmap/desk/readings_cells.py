"""How a cell of the readings is painted: two lines, and a level told by shape, tone and word together."""

from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QStyleOptionViewItem

from circuitmap.desk.parts import elided
from circuitmap.desk.readings_model import BELOW, HELD, LEVEL, PLACE, SAYS, SHOULD
from circuitmap.desk.theme import BODY_PX, SMALL_PX, Look, font
from circuitmap.readings.verdict import Level

ROW_PX: Final = 38
TONES: Final[dict[Level, str]] = {
    "fine": "zone",
    "look": "C2",
    "query": "C2",
    "fails": "warn",
    "can't tell": "faint",
}
_EDGE_PX: Final = 6
_SHAPE_PX: Final = 10.0


class CellPainter:
    """Paints cells in the colours of a look."""

    def __init__(self, look: Look) -> None:
        self._look = look

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
        *,
        is_row: bool,
        is_cell: bool,
        is_focused: bool,
    ) -> None:
        """Paint a cell; the row one is at has a wash, the cell an edge."""
        look, rect = self._look, QRectF(option.rect)
        ground = "accent/tint" if is_row else "room" if index.row() % 2 else "paper"
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(rect, look.colour(ground))
        level: Level | None = index.data(LEVEL)
        text, below = str(index.data(Qt.ItemDataRole.DisplayRole) or ""), str(index.data(BELOW) or "")
        tone = "ink"
        left = _EDGE_PX
        if index.column() == SAYS and level is not None:
            tone = TONES[level]
            paint_level(painter, level, QPointF(rect.left() + 11, rect.center().y()), look.colour(tone))
            left = 21
        elif index.column() == SHOULD and not is_row:
            tone = "faint"
        elif index.data(HELD):
            tone = "warn"
        strong = index.column() in (PLACE, SAYS) or tone == "warn"
        room = rect.adjusted(left, 2, -2, -2)
        painter.setPen(look.colour(tone))
        painter.setFont(font(BODY_PX, bold=strong))
        line = QRectF(room.left(), room.top(), room.width(), room.height() / 2 + 2 if below else room.height())
        flags = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        painter.drawText(line, flags, elided(text, painter.fontMetrics(), int(room.width())))
        if below:
            painter.setFont(font(SMALL_PX))
            painter.setPen(look.colour(tone if index.column() == SAYS else "ink" if is_row else "faint"))
            under = QRectF(room.left(), line.bottom() - 2, room.width(), room.bottom() - line.bottom() + 2)
            painter.drawText(under, flags, elided(below, painter.fontMetrics(), int(room.width())))
        if is_cell:
            painter.setPen(QPen(look.colour("accent"), 2 if is_focused else 1))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(rect.adjusted(1, 1, -1, -1))
        painter.restore()


def paint_level(painter: QPainter, level: Level, at: QPointF, colour: QColor) -> None:
    """Paint the shape of a level: a disc, a triangle, a diamond, a square, or an empty ring for "can't tell"."""
    half = _SHAPE_PX / 2
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    if level == "fine":
        painter.drawEllipse(at, half, half)
    elif level == "look":
        corners = (QPointF(0, -half), QPointF(half, half), QPointF(-half, half))
        painter.drawPolygon(QPolygonF([at + corner for corner in corners]))
    elif level == "query":
        corners4 = (QPointF(0, -half - 1), QPointF(half + 1, 0), QPointF(0, half + 1), QPointF(-half - 1, 0))
        painter.drawPolygon(QPolygonF([at + corner for corner in corners4]))
    elif level == "fails":
        painter.drawRect(QRectF(at.x() - half, at.y() - half, _SHAPE_PX, _SHAPE_PX))
    else:
        painter.setPen(QPen(colour, 1.8))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(at, half - 1, half - 1)
