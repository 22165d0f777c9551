"""What is painted over the plan at every repaint: light, selection, pulse, scale bar, advice. Never marks."""

from math import cos, dist, pi
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from circuitmap.desk.theme import BODY_PX, HEAD_PX, SMALL_PX, font
from circuitmap.drawing.blocks import round_length_mm
from circuitmap.drawing.building import UNKNOWN_THICK_MM
from circuitmap.drawing.rose import is_known, rose_marks
from circuitmap.home.records import Fixture, Room, Run, Wall
from circuitmap.quantities.show import show_length

if TYPE_CHECKING:
    from circuitmap.desk.canvas.view import PlanView

PULSE_STEPS = 24
# Under the stack of storeys, in the strip that a fitted plan leaves free.
ROSE_LEFT_PX = 78.0


def paint_lit(view: "PlanView", painter: QPainter) -> None:
    """Paint a wash over what is lit."""
    size = view.plan_scene.symbol_scale
    ink = view.look.colour("accent")
    wash = QColor(ink)
    wash.setAlphaF(0.22)
    for record_id in view.adapter.lit_ids:
        if record_id[:1] == "R":
            painter.setPen(QPen(wash, 9, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            for path in view.plan_scene.line_paths(record_id):
                painter.drawPath(view.viewportTransform().map(path))
        else:
            centre = view.plan_scene.glyph_centre(record_id)
            if centre is not None:
                painter.setPen(QPen(ink, 2))
                painter.setBrush(wash)
                painter.drawEllipse(view.to_px(centre), 21 * size, 21 * size)


def paint_selected(view: "PlanView", painter: QPainter) -> None:
    """Paint a frame round what is selected, with handles on a room's corners."""
    size = view.plan_scene.symbol_scale
    ink = view.look.colour("select")
    for record_id in view.adapter.selection:
        record = view.home.peek(record_id)
        if isinstance(record, Run):
            wash = QColor(ink)
            wash.setAlphaF(0.5)
            painter.setPen(QPen(wash, 6, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            for path in view.plan_scene.line_paths(record_id):
                painter.drawPath(view.viewportTransform().map(path))
        elif isinstance(record, Wall | Fixture):
            painter.setPen(QPen(ink, 2.5))
            wash = QColor(ink)
            wash.setAlphaF(0.18)
            painter.setBrush(wash)
            painter.drawPolygon([view.to_px(corner) for corner in _around(record)])
        elif isinstance(record, Room):
            if record.storey == view.storey and record.outline_mm:
                corners = [view.to_px(corner) for corner in record.outline_mm]
                painter.setPen(QPen(ink, 2))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawPolygon(corners)
                painter.setBrush(view.look.colour("paper"))
                for corner in corners:
                    painter.drawRect(QRectF(corner.x() - 5, corner.y() - 5, 10, 10))
        else:
            centre = view.plan_scene.glyph_centre(record_id)
            if centre is not None:
                painter.setPen(QPen(ink, 2.5))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawEllipse(view.to_px(centre), 24 * size, 24 * size)


def _around(record: Wall | Fixture) -> list[tuple[float, float]]:
    """Give the corners of a wall or a fixture."""
    if isinstance(record, Fixture):
        return [(float(x), float(y)) for x, y in record.outline_mm]
    long = dist(record.a_mm, record.b_mm) or 1.0
    half = (record.thickness_mm or UNKNOWN_THICK_MM) / 2 / long
    (ax, ay), (bx, by) = record.a_mm, record.b_mm
    out_x, out_y = (ay - by) * half, (bx - ax) * half
    return [(ax + out_x, ay + out_y), (bx + out_x, by + out_y), (bx - out_x, by - out_y), (ax - out_x, ay - out_y)]


def paint_pulse(view: "PlanView", painter: QPainter, record_id: str, step: int) -> None:
    """Paint the pulse of the point whose turn it is."""
    centre = view.plan_scene.glyph_centre(record_id)
    if centre is None:
        return
    size = view.plan_scene.symbol_scale
    phase = 0.5 - 0.5 * cos(2 * pi * step / PULSE_STEPS)
    ink = view.look.colour("accent")
    ink.setAlphaF(1 - 0.6 * phase)
    painter.setPen(QPen(ink, 3))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawEllipse(view.to_px(centre), 24 * size + 14 * phase, 24 * size + 14 * phase)


def paint_corners(view: "PlanView", painter: QPainter) -> None:
    """Paint what stands in the corners: north and the front at the left, a scale bar of a round length at the right."""
    details = view.home.details
    if is_known(details):
        middle = ROSE_LEFT_PX, view.viewport().height() - ROSE_LEFT_PX
        view.plan_scene.pen.paint_marks(painter, rose_marks(details, middle), 1.0)
    length_mm = round_length_mm(140 / view.zoom)
    width = length_mm * view.zoom
    right, bottom = view.viewport().width() - 16.0, view.viewport().height() - 16.0
    painter.setPen(QPen(view.look.colour("faint"), 1.5))
    painter.drawLine(QPointF(right - width, bottom), QPointF(right, bottom))
    for x in (right - width, right):
        painter.drawLine(QPointF(x, bottom - 5), QPointF(x, bottom + 5))
    painter.setFont(font(SMALL_PX))
    box = QRectF(right - max(width, 80), bottom - 24, max(width, 80), 16)
    painter.drawText(box, int(Qt.AlignmentFlag.AlignRight), show_length(length_mm))


def paint_advice(view: "PlanView", painter: QPainter, advice: str) -> None:
    """Paint the one sentence of an empty plan."""
    area = QRectF(view.viewport().rect()).adjusted(60, 40, -60, -40)
    first, _, rest = advice.partition("\n")
    painter.setPen(view.look.colour("ink"))
    painter.setFont(font(HEAD_PX + 3, bold=True))
    flags = int(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignBottom | Qt.TextFlag.TextWordWrap)
    upper = QRectF(area.left(), area.top(), area.width(), area.height() / 2)
    painter.drawText(upper, flags, first)
    painter.setPen(view.look.colour("faint"))
    painter.setFont(font(BODY_PX + 1))
    flags = int(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap)
    painter.drawText(upper.translated(0, area.height() / 2 + 10), flags, rest)
