"""The scene: one group of items per record id, changed only where its marks are other objects than before."""

import math
from collections.abc import Mapping
from itertools import pairwise

from msgspec.structs import replace
from PySide6.QtCore import QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsPixmapItem, QGraphicsScene

from circuitmap.desk.canvas.pen import FAR, RECORD, Pen, way_off
from circuitmap.desk.canvas.underlay import SheetPixels, Underlay
from circuitmap.drawing.marks import Glyph, Line, Mark, Picture, Words, mark_points

Marks = tuple[Mark, ...]
# An item of fixed size on screen, from which zoom on it shows, and for words (where it hangs, how far off its place),
# for a symbol its mark.
_Sized = tuple[QGraphicsPixmapItem, float, tuple[QPointF, QPointF] | Glyph]
_ASIDE = ""  # under what the marks stand that are no record's
_EXTENT_MM = 400_000.0
# Below so many px per mm a metre is 25 px: stripes and washes can't be told any more, and lines are thin.
FAR_ZOOM = 0.025
# Symbols keep their size while a metre is 85 px or more; on a smaller plan they give way, or they would cover it.
_FULL_ZOOM, _SMALLEST, _LARGEST = 0.085, 0.5, 1.15


class PlanScene(QGraphicsScene):
    """Shows marks by record id; ``show_marks`` takes what should be there and touches only what differs."""

    def __init__(self, pen: Pen, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pen = pen
        self._zoom = 0.1
        self._marks: dict[str, Marks] = {}
        self._items: dict[str, list[QGraphicsItem]] = {}
        self._aside: Marks = ()
        self._pictures: dict[str, SheetPixels] = {}
        self._far: dict[str, list[tuple[QGraphicsPathItem, QPen | None]]] = {}
        self._is_far = False
        self._sized: dict[str, list[_Sized]] = {}
        self.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.BspTreeIndex)
        self.setSceneRect(QRectF(-_EXTENT_MM, -_EXTENT_MM, 2 * _EXTENT_MM, 2 * _EXTENT_MM))

    @property
    def pen(self) -> Pen:
        """The pen in use."""
        return self._pen

    def set_pen(self, pen: Pen) -> None:
        """Draw everything again with another pen (another theme or pixel ratio)."""
        self._pen = pen
        for pixels in self._pictures.values():
            pixels.show_negative(pen.theme == "dark")
        marks, self._marks = self._marks, {}
        aside, self._aside = self._aside, ()
        for record_id in list(self._items):
            self._drop(record_id)
        self.show_marks(marks)
        self.show_aside(aside)

    def offer_picture(self, key: str, pixels: SheetPixels) -> None:
        """Hand over a picture's pixels by its mark's key; marks that name it are drawn (again) from now on."""
        pixels.setParent(self)
        pixels.show_negative(self._pen.theme == "dark")
        pixels.ready.connect(self._on_sharper)
        self._pictures[key] = pixels
        for record_id, marks in self._marks.items():
            if any(isinstance(mark, Picture) and mark.key == key for mark in marks):
                self._drop(record_id)
                self._put(record_id, marks)

    def has_picture(self, key: str) -> bool:
        """Whether a picture's pixels were handed over."""
        return key in self._pictures

    def _on_sharper(self) -> None:
        for items in self._items.values():
            for item in items:
                if isinstance(item, Underlay) and item.pixels is self.sender():
                    item.update()

    def show_marks(self, wanted: Mapping[str, Marks]) -> int:
        """Make the scene show these marks and no others; give how many records had to be drawn again."""
        touched = 0
        for record_id in self._marks.keys() - wanted.keys():
            self._drop(record_id)
            del self._marks[record_id]
            touched += 1
        for record_id, marks in wanted.items():
            if self._marks.get(record_id) is marks:
                continue
            self._drop(record_id)
            self._put(record_id, marks)
            self._marks[record_id] = marks
            touched += 1
        return touched

    def show_aside(self, marks: Marks) -> None:
        """Show marks that are no record's, such as the walk ahead: they can't be pointed at."""
        if marks == self._aside:
            return
        self._drop(_ASIDE)
        self._put(_ASIDE, marks)
        self._aside = marks

    @property
    def aside(self) -> Marks:
        """The marks on show that are no record's."""
        return self._aside

    def marks_of(self, record_id: str) -> Marks:
        """Give the marks on show for a record."""
        return self._marks.get(record_id, ())

    @property
    def ids(self) -> list[str]:
        """The ids of all records on show."""
        return list(self._marks)

    def set_zoom(self, px_per_mm: float) -> None:
        """Keep glyphs and words at their size in screen px while the plan grows or shrinks."""
        if px_per_mm == self._zoom:
            return
        self._zoom = px_per_mm
        turned = (px_per_mm < FAR_ZOOM) != self._is_far
        self._is_far = px_per_mm < FAR_ZOOM
        for sized in self._sized.values():
            for item, from_zoom, place in sized:
                item.setScale(self._scale(symbol=isinstance(place, Glyph)))
                if not isinstance(place, Glyph):
                    item.setOffset(place[0] + place[1] * self.symbol_scale)
                if from_zoom:
                    item.setVisible(px_per_mm >= from_zoom)
        if turned:
            for held in self._far.values():
                self._show_far(held)
            for sized in self._sized.values():
                self._show_small(sized)

    @property
    def symbol_scale(self) -> float:
        """How large symbols are at this zoom, 1 being their size on paper."""
        return max(_SMALLEST, min(_LARGEST, math.pow(self._zoom / _FULL_ZOOM, 0.75)))

    def _scale(self, *, symbol: bool) -> float:
        return (self.symbol_scale if symbol and not self._is_far else 1.0) / self._zoom

    def _show_small(self, sized: list[_Sized]) -> None:
        """Give symbols pixmaps of the size they are seen in from afar: scaling thousands of them takes too long."""
        for item, _, mark in sized:
            if isinstance(mark, Glyph):
                shown = replace(mark, size_px=mark.size_px * _SMALLEST) if self._is_far else mark
                sprite = self._pen.sprite(shown)
                item.setPixmap(sprite.pixmap)
                item.setOffset(sprite.offset)
                item.setScale(self._scale(symbol=True))

    def _show_far(self, held: list[tuple[QGraphicsPathItem, QPen | None]]) -> None:
        for item, pen in held:
            if pen is None:
                item.setVisible(not self._is_far)
            else:
                item.setPen(self._pen.thin(pen) if self._is_far else pen)

    # -- where things are ---------------------------------------------------------------------------------------

    def glyph_centre(self, record_id: str) -> tuple[float, float] | None:
        """Give where a record's symbol stands on the plan, or None when it has none here."""
        for mark in self._marks.get(record_id, ()):
            if isinstance(mark, Glyph) and mark.layer == "symbol":
                return mark.at_mm
        return None

    def bounds(self, record_id: str) -> QRectF | None:
        """Give the plan area that a record's marks stand on, or None when none of them is on show."""
        spots = [spot for mark in self._marks.get(record_id, ()) for spot in mark_points(mark)]
        if not spots:
            box = QRectF()
            for item in self._items.get(record_id, ()):
                box = box.united(item.sceneBoundingRect())
            return None if box.isEmpty() else box
        xs, ys = [x for x, _ in spots], [y for _, y in spots]
        return QRectF(min(xs), min(ys), max(max(xs) - min(xs), 1.0), max(max(ys) - min(ys), 1.0))

    def line_paths(self, record_id: str) -> list[QPainterPath]:
        """Give the lines of a record, in plan mm."""
        return [item.path() for item in self._items.get(record_id, ()) if isinstance(item, QGraphicsPathItem)]

    def is_near_line(self, record_id: str, spot: tuple[float, float], reach_mm: float) -> bool:
        """Whether any of a record's lines passes within reach of a spot."""
        for mark in self._marks.get(record_id, ()):
            if isinstance(mark, Line):
                pts = (*mark.pts, mark.pts[0]) if mark.closed else mark.pts
                if any(_distance(spot, a, b) <= reach_mm for a, b in pairwise(pts)):
                    return True
        return False

    def is_inside(self, record_id: str, spot: tuple[float, float]) -> bool:
        """Whether a spot lies inside one of a record's areas."""
        return any(
            item.contains(QPointF(*spot))
            for item in self._items.get(record_id, ())
            if isinstance(item, QGraphicsPathItem) and item.brush().style() != Qt.BrushStyle.NoBrush
        )

    def _put(self, record_id: str, marks: Marks) -> None:
        items: list[QGraphicsItem] = []
        sized: list[_Sized] = []
        far: list[tuple[QGraphicsPathItem, QPen | None]] = []
        for mark in marks:
            if isinstance(mark, Picture):
                held = self._pictures.get(mark.key)
                if held is not None:
                    items.append(Underlay(held, mark))
                continue
            for item in self._pen.items(mark):
                if isinstance(item, QGraphicsPixmapItem):
                    from_zoom = mark.from_zoom if isinstance(mark, Words) else 0.0
                    place: tuple[QPointF, QPointF] | Glyph
                    if isinstance(mark, Words):
                        off = way_off(mark)
                        place = (item.offset() - off, off)
                        item.setOffset(place[0] + off * self.symbol_scale)
                    else:
                        assert isinstance(mark, Glyph)
                        place = mark
                    item.setScale(self._scale(symbol=isinstance(place, Glyph)))
                    if from_zoom:
                        item.setVisible(self._zoom >= from_zoom)
                    sized.append((item, from_zoom, place))
                elif isinstance(item, QGraphicsPathItem) and item.data(FAR):
                    far.append((item, item.pen() if item.data(FAR) == "thin" else None))
                items.append(item)
        for item in items:
            if record_id != _ASIDE:
                item.setData(RECORD, record_id)
            self.addItem(item)
        self._items[record_id] = items
        if sized:
            self._sized[record_id] = sized
            if self._is_far:
                self._show_small(sized)
        if far:
            self._far[record_id] = far
            if self._is_far:
                self._show_far(far)

    def _drop(self, record_id: str) -> None:
        for item in self._items.pop(record_id, ()):
            self.removeItem(item)
        self._sized.pop(record_id, None)
        self._far.pop(record_id, None)


def _distance(spot: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    along_x, along_y = b[0] - a[0], b[1] - a[1]
    square = along_x**2 + along_y**2
    share = ((spot[0] - a[0]) * along_x + (spot[1] - a[1]) * along_y) / square if square else 0.0
    share = max(0.0, min(1.0, share))
    return math.hypot(spot[0] - a[0] - share * along_x, spot[1] - a[1] - share * along_y)
