"""The scene: one group of items per record id, changed only where its marks are other objects than before."""

from collections.abc import Mapping

from PySide6.QtCore import QObject, QRectF
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPixmapItem, QGraphicsScene

from circuitmap.desk.canvas.pen import RECORD, Pen, picture_item
from circuitmap.drawing.marks import Mark, Picture, Words

Marks = tuple[Mark, ...]
_EXTENT_MM = 400_000.0


class PlanScene(QGraphicsScene):
    """Shows marks by record id; ``show_marks`` takes what should be there and touches only what differs."""

    def __init__(self, pen: Pen, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pen = pen
        self._zoom = 0.1
        self._marks: dict[str, Marks] = {}
        self._items: dict[str, list[QGraphicsItem]] = {}
        self._pictures: dict[str, tuple[tuple[int, int], bytes]] = {}
        self._sized: dict[str, list[tuple[QGraphicsPixmapItem, float]]] = {}
        self.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.BspTreeIndex)
        self.setSceneRect(QRectF(-_EXTENT_MM, -_EXTENT_MM, 2 * _EXTENT_MM, 2 * _EXTENT_MM))

    @property
    def pen(self) -> Pen:
        """The pen in use."""
        return self._pen

    def set_pen(self, pen: Pen) -> None:
        """Draw everything again with another pen (another theme or pixel ratio)."""
        self._pen = pen
        marks, self._marks = self._marks, {}
        for record_id in list(self._items):
            self._drop(record_id)
        self.show_marks(marks)

    def offer_picture(self, asset: str, size_px: tuple[int, int], rgba: bytes) -> None:
        """Hand over a picture's pixels; marks that name it are drawn (again) from now on."""
        self._pictures[asset] = (size_px, rgba)
        for record_id, marks in self._marks.items():
            if any(isinstance(mark, Picture) and mark.asset == asset for mark in marks):
                self._drop(record_id)
                self._put(record_id, marks)

    def has_picture(self, asset: str) -> bool:
        """Whether a picture's pixels were handed over."""
        return asset in self._pictures

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
        scale = 1 / px_per_mm
        for sized in self._sized.values():
            for item, from_zoom in sized:
                item.setScale(scale)
                if from_zoom:
                    item.setVisible(px_per_mm >= from_zoom)

    def _put(self, record_id: str, marks: Marks) -> None:
        items: list[QGraphicsItem] = []
        sized: list[tuple[QGraphicsPixmapItem, float]] = []
        for mark in marks:
            if isinstance(mark, Picture):
                held = self._pictures.get(mark.asset)
                if held is not None:
                    items.append(picture_item(held[1], held[0], mark))
                continue
            for item in self._pen.items(mark):
                if isinstance(item, QGraphicsPixmapItem):
                    from_zoom = mark.from_zoom if isinstance(mark, Words) else 0.0
                    item.setScale(1 / self._zoom)
                    if from_zoom:
                        item.setVisible(self._zoom >= from_zoom)
                    sized.append((item, from_zoom))
                items.append(item)
        for item in items:
            item.setData(RECORD, record_id)
            self.addItem(item)
        self._items[record_id] = items
        if sized:
            self._sized[record_id] = sized

    def _drop(self, record_id: str) -> None:
        for item in self._items.pop(record_id, ()):
            self.removeItem(item)
        self._sized.pop(record_id, None)
