"""The canvas's pen: marks become shared pixmaps and C++ path items; no Python paints the many.

Positions are plan mm and go through the view's transform; sizes are screen pixels, so glyphs and words are pixmaps
that the view scales back by 1/zoom, and line widths are cosmetic.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QPixmap, QTransform
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsPixmapItem

from circuitmap.desk.theme import font
from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, Picture, Words, layer_rank
from circuitmap.drawing.palette import Theme, colour
from circuitmap.drawing.paths import Path, as_cubics
from circuitmap.drawing.states import Part, glyph_parts, reach_units
from circuitmap.drawing.typed import one_line

RECORD = 0  # the item data key under which a record's id stands
FAR = 1  # the item data key that says what becomes of an item seen from far away: "thin" or "gone"
_LABEL_LIMIT = 60


@dataclass(frozen=True, slots=True)
class Sprite:
    """A pixmap and where its top left corner lies from the mark's place, in screen px."""

    pixmap: QPixmap
    offset: QPointF


class Pen:
    """Makes scene items of marks for one theme and device pixel ratio, sharing pixmaps and colours."""

    def __init__(self, theme: Theme, ratio: float = 1.0) -> None:
        self.theme: Theme = theme
        self.ratio = ratio
        self._sprites: dict[object, Sprite] = {}
        self._paths: dict[Path, QPainterPath] = {}

    # -- colours ------------------------------------------------------------------------------------------------

    def colour(self, role: str) -> QColor:
        """Give a role's colour."""
        return QColor(colour(role, self.theme))

    def stroke(self, ink: Ink) -> QPen:
        """Give a cosmetic pen (its width is screen px) for an ink."""
        made = QPen(self.colour(ink.role), ink.width_px)
        made.setCosmetic(True)
        made.setCapStyle(Qt.PenCapStyle.RoundCap)
        made.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if ink.dash:
            made.setDashPattern([part / ink.width_px for part in ink.dash])
            made.setCapStyle(Qt.PenCapStyle.FlatCap if min(ink.dash) > ink.width_px else Qt.PenCapStyle.RoundCap)
        return made

    # -- items --------------------------------------------------------------------------------------------------

    def items(self, mark: Mark) -> Iterator[QGraphicsItem]:
        """Give the scene items of a mark (a picture has none here: the scene lays it itself)."""
        match mark:
            case Area():
                yield self._area(mark)
            case Line():
                line = self._line(mark, mark.ink)
                line.setData(FAR, "thin")
                yield line
                if mark.stripe is not None:
                    stripe = self._line(mark, mark.stripe)
                    stripe.setData(FAR, "gone")
                    yield stripe
            case Glyph() | Words():
                sprite = self.sprite(mark)
                item = QGraphicsPixmapItem(sprite.pixmap)
                item.setOffset(sprite.offset + way_off(mark))
                item.setPos(*mark.at_mm)
                item.setShapeMode(QGraphicsPixmapItem.ShapeMode.BoundingRectShape)
                item.setZValue(layer_rank(mark.layer))
                yield item
            case Picture():
                return

    def _area(self, mark: Area) -> QGraphicsPathItem:
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.OddEvenFill)
        for ring in mark.rings:
            path.addPath(_polyline(ring, closed=True))
        item = QGraphicsPathItem(path)
        item.setBrush(self._fill(mark))
        item.setPen(self.stroke(mark.edge) if mark.edge else QPen(Qt.PenStyle.NoPen))
        item.setZValue(layer_rank(mark.layer))
        if mark.opacity < 1:
            item.setData(FAR, "gone")
        return item

    def _fill(self, mark: Area) -> QBrush:
        if not mark.fill:
            return QBrush(Qt.BrushStyle.NoBrush)
        colour = QColor(self.colour(mark.fill))
        colour.setAlphaF(mark.opacity)
        return QBrush(colour)

    def thin(self, pen: QPen) -> QPen:
        """Give a line's pen as it is seen from far away: one pixel, whole."""
        made = QPen(pen.color(), 0)
        made.setCosmetic(True)
        return made

    def _line(self, mark: Line, ink: Ink) -> QGraphicsPathItem:
        item = QGraphicsPathItem(_polyline(mark.pts, closed=mark.closed))
        item.setPen(self.stroke(ink))
        item.setBrush(QBrush(Qt.BrushStyle.NoBrush))
        item.setZValue(layer_rank(mark.layer))
        return item

    # -- shared pixmaps -----------------------------------------------------------------------------------------

    def sprite(self, mark: Glyph | Words) -> Sprite:
        """Give the pixmap of a glyph or words, made once for all that look alike."""
        key: object
        if isinstance(mark, Glyph):
            key = (mark.symbol, mark.turn_deg, mark.state, mark.role, mark.size_px, mark.also)
        else:
            key = (mark.text, mark.role, mark.size_px, mark.anchor, mark.bold, mark.plate)
        found = self._sprites.get(key)
        if found is None:
            found = self._glyph(mark) if isinstance(mark, Glyph) else self._words(mark)
            self._sprites[key] = found
        return found

    def _glyph(self, mark: Glyph) -> Sprite:
        unit = mark.size_px / 100
        reach = reach_units(mark) * unit + 2
        pixmap = self._blank(2 * reach, 2 * reach)
        painter = QPainter(pixmap)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(reach, reach)
        painter.scale(unit, unit)
        self.paint_parts(painter, glyph_parts(mark))
        painter.end()
        return Sprite(pixmap, QPointF(-reach, -reach))

    def paint_parts(self, painter: QPainter, parts: Iterable[Part]) -> None:
        """Paint a glyph's parts in units of a hundredth of its size, about the painter's origin."""
        for part in parts:
            path = self._path(part.path)
            painter.save()
            painter.translate(part.dx, part.dy)
            if part.turn_deg:
                painter.rotate(part.turn_deg)
            painter.setBrush(QBrush(self.colour(part.fill)) if part.fill else QBrush(Qt.BrushStyle.NoBrush))
            if part.stroke:
                pen = QPen(self.colour(part.stroke), part.width)
                pen.setCapStyle(Qt.PenCapStyle.RoundCap)
                pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
                if part.dash:
                    pen.setDashPattern([piece / part.width for piece in part.dash])
                painter.setPen(pen)
            else:
                painter.setPen(Qt.PenStyle.NoPen)
            painter.drawPath(path)
            painter.restore()

    def _words(self, mark: Words) -> Sprite:
        face = font(round(mark.size_px), bold=mark.bold)
        metrics = QFontMetricsF(face)
        text = one_line(mark.text, _LABEL_LIMIT)
        width, height = metrics.horizontalAdvance(text) + 8, metrics.height() + 4
        pixmap = self._blank(width, height)
        painter = QPainter(pixmap)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(face)
        if mark.plate:
            painter.setPen(Qt.PenStyle.NoPen)
            plate = self.colour("paper")
            plate.setAlphaF(0.85)
            painter.setBrush(plate)
            painter.drawRoundedRect(QRectF(1, 1, width - 2, height - 2), 3, 3)
        painter.setPen(self.colour(mark.role))
        painter.drawText(QRectF(4, 0, width - 8, height), int(Qt.AlignmentFlag.AlignCenter), text)
        painter.end()
        left = {"start": -4.0, "middle": -width / 2, "end": -width + 4.0}[mark.anchor]
        return Sprite(pixmap, QPointF(left, -height / 2))

    def _blank(self, width: float, height: float) -> QPixmap:
        pixmap = QPixmap(max(1, round(width * self.ratio + 0.5)), max(1, round(height * self.ratio + 0.5)))
        pixmap.setDevicePixelRatio(self.ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        return pixmap

    def _path(self, path: Path) -> QPainterPath:
        found = self._paths.get(path)
        if found is None:
            found = QPainterPath()
            for command, numbers in as_cubics(path):
                if command == "M":
                    found.moveTo(*numbers)
                elif command == "L":
                    found.lineTo(*numbers)
                elif command == "C":
                    found.cubicTo(*numbers)
                else:
                    found.closeSubpath()
            self._paths[path] = found
        return found

    # -- straight onto a painter --------------------------------------------------------------------------------

    def paint_marks(
        self, painter: QPainter, marks: Iterable[Mark], px_per_mm: float, origin_mm: tuple[float, float] = (0, 0)
    ) -> None:
        """Paint marks, bottom layer first, with ``origin_mm`` at the painter's origin (for small drawings: loops)."""
        turn = QTransform().scale(px_per_mm, px_per_mm).translate(-origin_mm[0], -origin_mm[1])
        for mark in sorted(marks, key=lambda one: layer_rank(one.layer)):
            match mark:
                case Area():
                    path = QPainterPath()
                    path.setFillRule(Qt.FillRule.OddEvenFill)
                    for ring in mark.rings:
                        path.addPath(_polyline(ring, closed=True))
                    painter.setPen(self.stroke(mark.edge) if mark.edge else QPen(Qt.PenStyle.NoPen))
                    painter.setBrush(self._fill(mark))
                    painter.drawPath(turn.map(path))
                case Line():
                    painter.setBrush(QBrush(Qt.BrushStyle.NoBrush))
                    for ink in (mark.ink, mark.stripe):
                        if ink is not None:
                            painter.setPen(self.stroke(ink))
                            painter.drawPath(turn.map(_polyline(mark.pts, closed=mark.closed)))
                case Glyph() | Words():
                    if isinstance(mark, Words) and mark.from_zoom > px_per_mm:
                        continue
                    sprite = self.sprite(mark)
                    spot = turn.map(QPointF(*mark.at_mm)) + sprite.offset + way_off(mark)
                    painter.drawPixmap(spot, sprite.pixmap)
                case Picture():
                    continue


def way_off(mark: Glyph | Words, scale: float = 1.0) -> QPointF:
    """Give how far beside its place a mark stands, in screen px; beside a smaller symbol, words stand nearer."""
    return QPointF(*mark.offset_px) * scale if isinstance(mark, Words) else QPointF()


def _polyline(points: Iterable[tuple[float, float]], *, closed: bool) -> QPainterPath:
    path = QPainterPath()
    for n, (x, y) in enumerate(points):
        if n == 0:
            path.moveTo(x, y)
        else:
            path.lineTo(x, y)
    if closed:
        path.closeSubpath()
    return path
