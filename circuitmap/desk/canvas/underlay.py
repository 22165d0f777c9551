"""A sheet's picture under the plan: painted tile by tile from copies of fitting size, sharp where it is made of lines.

A large picture is never painted whole. From afar a smaller copy of it stands in; from near only the tiles in sight are
painted. Of a drawing made of lines, tiles finer than its own pixels are drawn anew off the window's thread, and the
coarse ones stand in until they are there.
"""

import math
from collections import OrderedDict
from collections.abc import Callable, Iterator
from typing import Final

from PySide6.QtCore import QObject, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import QImage, QPainter, QPainterPath, QPixmap, QPolygonF, QTransform
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from circuitmap.desk.work import Work
from circuitmap.drawing.marks import Picture, layer_rank
from circuitmap.jobs import Ticket
from circuitmap.pictures import Level
from circuitmap.plan.near_side import is_all_near, near_side, upright

Tile = tuple[int, int, int]
"""How often the picture was halved (negative: doubled), column and row."""
Render = Callable[[tuple[float, float, float, float], tuple[int, int]], bytes]
"""Draws a region (left, top, width, height in sheet px) at a size in px, as RGBA."""

TILE_PX: Final = 512
MOST_TILES: Final = 160  # a megabyte each
_FINEST: Final = -12
_AT_ONCE: Final = 4


class SheetPixels(QObject):
    """The pixels of one page: its tiles as pixmaps, made when asked for; the last used are kept."""

    ready = Signal()

    def __init__(self, levels: tuple[Level, ...], render: Render | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._levels, self._render = levels, render
        self._negative = False
        self._tiles: OrderedDict[Tile, QPixmap] = OrderedDict()
        self._wanted: list[Tile] = []
        self._job: Work | None = None

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the sheet."""
        return self._levels[0].width_px, self._levels[0].height_px

    @property
    def tile_count(self) -> int:
        """How many tiles are kept now."""
        return len(self._tiles)

    @property
    def is_waiting(self) -> bool:
        """Whether finer tiles are being drawn."""
        return self._job is not None

    def show_negative(self, negative: bool) -> None:
        """Show the picture as its negative, or not: white paper would be a slab of grey on dark paper."""
        if negative != self._negative:
            self._negative = negative
            self._tiles.clear()

    def halvings(self, screen_px: float) -> int:
        """Give the level whose pixels are as large as those of the screen, or up to half that."""
        wanted = math.floor(-math.log2(max(screen_px, 1e-6)))
        return max(_FINEST if self._render is not None else 0, min(len(self._levels) - 1, wanted))

    def tile(self, key: Tile) -> QPixmap | None:
        """Give a tile; a finer one than the picture's own pixels only once it was drawn."""
        found = self._tiles.get(key)
        if found is None and key[0] >= 0:
            found = self._cut(key)
            self._keep(key, found)
        elif found is not None:
            self._tiles.move_to_end(key)
        return found

    def want(self, keys: list[Tile]) -> None:
        """Have finer tiles drawn; what was wanted before and is out of sight now is forgotten."""
        self._wanted = keys
        if self._job is None and keys:
            self._draw_next()

    # -- inside -------------------------------------------------------------------------------------------------

    def _cut(self, key: Tile) -> QPixmap:
        halved, column, row = key
        level = self._levels[halved]
        left, top = column * TILE_PX, row * TILE_PX
        wide, high = min(TILE_PX, level.width_px - left), min(TILE_PX, level.height_px - top)
        start = top * level.width_px + left
        rows = memoryview(level.greys)[start : start + (high - 1) * level.width_px + wide]
        return self._pixmap(QImage(rows, wide, high, level.width_px, QImage.Format.Format_Grayscale8))

    def _pixmap(self, image: QImage) -> QPixmap:
        if self._negative:
            image = image.copy()
            image.invertPixels()
        return QPixmap.fromImage(image)

    def _keep(self, key: Tile, tile: QPixmap) -> None:
        self._tiles[key] = tile
        while len(self._tiles) > MOST_TILES:
            self._tiles.popitem(last=False)

    def _draw_next(self) -> None:
        keys, render = self._wanted[:_AT_ONCE], self._render
        self._wanted = self._wanted[_AT_ONCE:]
        if render is None:
            return

        def work(_ticket: Ticket) -> object:
            return [(key, render(region_of(key), (TILE_PX, TILE_PX))) for key in keys]

        self._job = Work(work, self)
        self._job.done.connect(self._on_drawn)
        self._job.failed.connect(self._on_failed)
        self._job.start()

    def _on_drawn(self, drawn: list[tuple[Tile, bytes]]) -> None:
        for key, pixels in drawn:
            image = QImage(pixels, TILE_PX, TILE_PX, 4 * TILE_PX, QImage.Format.Format_RGBA8888)
            self._keep(key, self._pixmap(image.convertToFormat(QImage.Format.Format_Grayscale8)))
        self._job = None
        self._wanted = [key for key in self._wanted if key not in self._tiles]
        if self._wanted:
            self._draw_next()
        self.ready.emit()

    def _on_failed(self, _sentence: str) -> None:
        # It was drawn once already, so the coarse picture is there; it stays as it is.
        self._job, self._render, self._wanted = None, None, []


class Underlay(QGraphicsItem):
    """A page laid to scale under the plan, drained of colour and faded."""

    def __init__(self, pixels: SheetPixels, mark: Picture) -> None:
        super().__init__()
        self._pixels = pixels
        self._bounds = QRectF(QPointF(0, 0), QSizeF(*pixels.size_px))
        # Qt takes what has a depth below zero for hidden.
        a, b, c, d, e, f, g, h, i = upright(mark.px_to_plan_mm)
        placed = QTransform(a, d, g, b, e, h, c, f, i)
        near = near_side(mark.px_to_plan_mm, pixels.size_px)
        self._cut: tuple[QTransform, QPolygonF] | None = None
        if is_all_near(near, pixels.size_px):
            self.setTransform(placed)
        else:
            # A horizon runs through the picture: nothing beyond it has a place, so this is no mapped rectangle.
            self._cut = placed, QPolygonF([QPointF(x, y) for x, y in near])
            self._bounds = placed.map(self._cut[1]).boundingRect()
        self.setOpacity(max(0.0, min(1.0, 1 - mark.fade)))
        self.setZValue(layer_rank(mark.layer))
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemUsesExtendedStyleOption)

    @property
    def pixels(self) -> SheetPixels:
        """What is painted."""
        return self._pixels

    def boundingRect(self) -> QRectF:
        """Give the sheet's extent: in its own px, or on the plan where only the near side of a photograph is drawn."""
        return self._bounds

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """Paint the tiles in sight."""
        seen = option.exposedRect & self._bounds
        if self._cut is not None:
            placed, near = self._cut
            seen = near.boundingRect()
            painter.setTransform(placed, True)
            path = QPainterPath()
            path.addPolygon(near)
            painter.setClipPath(path, Qt.ClipOperation.IntersectClip)
        ratio = widget.devicePixelRatioF() if widget is not None else 1.0
        turn = painter.worldTransform()
        screen_px = _screen_px(turn, seen.center()) * ratio
        halved = self._pixels.halvings(screen_px)
        # Edges of tiles smoothed one by one would show as a grid.
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, True)
        missing = []
        for key in _tiles_in(seen, halved):
            tile = self._pixels.tile(key)
            if tile is None:
                missing.append(key)
                self._paint_coarse(painter, QRectF(*region_of(key)) & seen)
            else:
                side = 2.0**halved
                place = QRectF(*region_of(key)[:2], tile.width() * side, tile.height() * side)
                painter.drawPixmap(place, tile, QRectF(tile.rect()))
        self._pixels.want(missing)

    def _paint_coarse(self, painter: QPainter, area: QRectF) -> None:
        for key in _tiles_in(area, 0):
            tile = self._pixels.tile(key)
            if tile is not None:
                left, top, _, _ = region_of(key)
                part = area & QRectF(left, top, tile.width(), tile.height())
                painter.drawPixmap(part, tile, part.translated(-left, -top))


def _screen_px(turn: QTransform, at: QPointF) -> float:
    """Give how large a pixel of the sheet is on the screen; of a straightened photograph, one at a spot."""
    if turn.isAffine():
        return QStyleOptionGraphicsItem.levelOfDetailFromTransform(turn)
    here = turn.map(at)
    ways = [turn.map(at + step) - here for step in (QPointF(1, 0), QPointF(0, 1))]
    return math.sqrt(abs(ways[0].x() * ways[1].y() - ways[0].y() * ways[1].x()))


def region_of(key: Tile) -> tuple[float, float, float, float]:
    """Give what a tile covers of its sheet: left, top, width and height in sheet px."""
    halved, column, row = key
    side = TILE_PX * 2.0**halved
    return column * side, row * side, side, side


def _tiles_in(area: QRectF, halved: int) -> Iterator[Tile]:
    if area.isEmpty():
        return
    side = TILE_PX * 2.0**halved
    for row in range(int(area.top() // side), math.ceil(area.bottom() / side)):
        for column in range(int(area.left() // side), math.ceil(area.right() / side)):
            yield halved, column, row
