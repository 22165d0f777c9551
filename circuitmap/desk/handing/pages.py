"""Pages of a document under each other, drawn as far as they are in sight; zoom about the pointer, keys for pages."""

from collections import OrderedDict
from itertools import accumulate
from typing import Final, NamedTuple

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QWidget

from circuitmap.desk.theme import Look

GAP_PX: Final = 16
_TILE_PX: Final = 1536
_KEPT_BYTES: Final = 96_000_000
_PX_PER_PT: Final = 96 / 72  # a screen's pixel at 100 %
LEAST, MOST = 0.1, 6.0
STEP: Final = 1.25
_KEYS: Final = (
    Qt.Key.Key_PageUp, Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_Plus, Qt.Key.Key_Minus,
    Qt.Key.Key_Equal, Qt.Key.Key_Space,
)  # fmt: skip
Region = tuple[int, int, int, int]


class Missing(NamedTuple):
    """A part of a page that is in sight and not drawn yet."""

    page: int
    px_per_pt: float
    region_px: Region


class _Drawn(NamedTuple):
    image: QImage
    px_per_pt: float
    region_px: Region
    made: int


class PagesView(QAbstractScrollArea):
    """Shows pages; ``missing`` gives what is to be drawn next, ``take`` puts it in place."""

    wanted = Signal()  # something in sight isn't drawn yet
    page_changed = Signal(int)
    zoom_changed = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._sizes_pt: list[tuple[float, float]] = []
        self._tops_pt: list[float] = [0.0]
        self._widest_pt = 0.0
        self._made = 0
        self._drawn: OrderedDict[tuple[int, int, int], _Drawn] = OrderedDict()
        self._zoom: float = 1.0
        self._fits = "width"
        self._page = 0
        self._grabbed: QPointF | None = None
        self.setObjectName("pages")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Preview")
        self.viewport().setMouseTracking(False)
        self.verticalScrollBar().valueChanged.connect(self._on_scrolled)
        look.changed.connect(self.viewport().update)

    # -- what is shown ------------------------------------------------------------------------------------------

    def show_pages(self, sizes_pt: list[tuple[float, float]]) -> None:
        """Show pages of some sizes; what is drawn of earlier ones stays in sight until they are drawn anew."""
        self._made += 1
        if len(sizes_pt) < len(self._sizes_pt):
            for key in [each for each in self._drawn if each[0] >= len(sizes_pt)]:
                del self._drawn[key]
        for number, size in enumerate(self._sizes_pt[: len(sizes_pt)]):
            if size != sizes_pt[number]:
                for key in [each for each in self._drawn if each[0] == number]:
                    del self._drawn[key]
        self._sizes_pt = sizes_pt
        self._tops_pt = [0.0, *accumulate(high for _, high in sizes_pt)]
        self._widest_pt = max((wide for wide, _ in sizes_pt), default=0.0)
        self._lay_out()
        self._on_scrolled()

    def forget(self) -> None:
        """Forget what is drawn: another document is shown, from its first page."""
        self._drawn.clear()
        self.verticalScrollBar().setValue(0)

    @property
    def count(self) -> int:
        """How many pages there are."""
        return len(self._sizes_pt)

    @property
    def page(self) -> int:
        """The page that is in the middle, from 0."""
        return self._page

    @property
    def zoom(self) -> float:
        """The size on the screen as a share of the true one."""
        return self._zoom

    @property
    def fits(self) -> str:
        """Whether pages fit the "width" or are shown whole ("page"), or "" where neither."""
        return self._fits

    @property
    def is_drawn(self) -> bool:
        """Whether all that is in sight is drawn as it is now."""
        return self.missing() is None

    def missing(self) -> Missing | None:
        """Give what is to be drawn next."""
        scale = self._px_per_pt()
        for page, rect in self._in_sight():
            for key, region in self._tiles(page, rect):
                held = self._drawn.get(key)
                if held is None or held.made != self._made or held.px_per_pt != scale:
                    return Missing(page, scale, region)
        return None

    def take(self, page: int, px_per_pt: float, region_px: Region, pixels: bytes) -> None:
        """Put a drawn part of a page in its place."""
        wide, high = region_px[2:]
        image = QImage(pixels, wide, high, 4 * wide, QImage.Format.Format_RGB32).copy()
        key = (page, region_px[0] // _TILE_PX, region_px[1] // _TILE_PX)
        self._drawn[key] = _Drawn(image, px_per_pt, region_px, self._made)
        self._drawn.move_to_end(key)
        while sum(each.image.sizeInBytes() for each in self._drawn.values()) > _KEPT_BYTES and len(self._drawn) > 1:
            self._drawn.popitem(last=False)
        self.viewport().update()

    # -- going about --------------------------------------------------------------------------------------------

    def go_to(self, page: int) -> None:
        """Bring the head of a page into sight."""
        page = max(0, min(self.count - 1, page))
        if self.count:
            self.verticalScrollBar().setValue(round(self._rect_of(page, scrolled=False).top()) - GAP_PX // 2)
            self._set_page(page)
            self.viewport().update()

    def fit(self, how: str = "width") -> None:
        """Fit pages to the "width", or show a whole "page"."""
        page = self._page
        self._fits = how
        self._lay_out()
        self.go_to(page)
        self.zoom_changed.emit()

    def zoom_by(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom about a spot of the viewport, its middle unless said."""
        self.zoom_to(self._zoom * factor, about)

    def zoom_to(self, zoom: float, about: QPointF | None = None) -> None:
        """Zoom to a share of the true size."""
        zoom = max(LEAST, min(MOST, zoom))
        spot = about or QPointF(self.viewport().rect().center())
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        page = self._page_at(spot.y())
        before = self._rect_of(page) if self.count else QRectF(0, 0, 1, 1)
        share_x = (spot.x() - before.left()) / before.width()
        share_y = (spot.y() - before.top()) / before.height()
        self._fits, self._zoom = "", zoom
        self._lay_out()
        if self.count:
            after = self._rect_of(page)
            across.setValue(across.value() + round(after.left() + share_x * after.width() - spot.x()))
            down.setValue(down.value() + round(after.top() + share_y * after.height() - spot.y()))
        self.zoom_changed.emit()
        self.viewport().update()

    # -- places -------------------------------------------------------------------------------------------------

    def _px_per_pt(self) -> float:
        return self._zoom * _PX_PER_PT * self.devicePixelRatioF()

    def _lay_out(self) -> None:
        port = self.viewport().size()
        if self._sizes_pt and self._fits:
            zoom = (port.width() - 2 * GAP_PX) / (self._widest_pt * _PX_PER_PT)
            if self._fits == "page":
                highest = max(high for _, high in self._sizes_pt) * _PX_PER_PT
                zoom = min(zoom, (port.height() - 2 * GAP_PX) / highest)
            else:
                zoom = min(zoom, 1.6)
            zoom = max(LEAST, min(MOST, zoom))
            if zoom != self._zoom:
                self._zoom = zoom
                self.zoom_changed.emit()
        scale = self._zoom * _PX_PER_PT
        high = self._tops_pt[-1] * scale + GAP_PX * (self.count + 1)
        wide = self._widest_pt * scale + 2 * GAP_PX
        for bar, whole, shown in (
            (self.verticalScrollBar(), high, port.height()),
            (self.horizontalScrollBar(), wide, port.width()),
        ):
            bar.setRange(0, max(0, round(whole - shown)))
            bar.setPageStep(max(1, shown - 2 * GAP_PX))
            bar.setSingleStep(40)
        self.viewport().update()

    def _rect_of(self, page: int, *, scrolled: bool = True) -> QRectF:
        scale = self._zoom * _PX_PER_PT
        top = GAP_PX * (page + 1) + self._tops_pt[page] * scale
        wide, high = (side * scale for side in self._sizes_pt[page])
        whole = self._widest_pt * scale + 2 * GAP_PX
        left = (max(whole, self.viewport().width()) - wide) / 2
        if scrolled:
            left -= self.horizontalScrollBar().value()
            top -= self.verticalScrollBar().value()
        return QRectF(round(left), round(top), wide, high)

    def _in_sight(self) -> list[tuple[int, QRectF]]:
        port = QRectF(self.viewport().rect())
        rects = [(page, self._rect_of(page)) for page in range(self.count)]
        found = [(page, rect) for page, rect in rects if rect.intersects(port)]
        return sorted(found, key=lambda each: each[0] != self._page)

    def _page_at(self, y: float) -> int:
        for page in range(self.count):
            if self._rect_of(page).bottom() + GAP_PX / 2 >= y:
                return page
        return max(0, self.count - 1)

    def _tiles(self, page: int, rect: QRectF) -> list[tuple[tuple[int, int, int], Region]]:
        """Give the tiles of a page that are in sight, in pixels of the screen from the page's corner."""
        ratio = self.devicePixelRatioF()
        wide, high = max(1, round(rect.width() * ratio)), max(1, round(rect.height() * ratio))
        seen = rect.intersected(QRectF(self.viewport().rect())).translated(-rect.topLeft())
        found = []
        for down in range(int(seen.top() * ratio) // _TILE_PX, int(seen.bottom() * ratio) // _TILE_PX + 1):
            for across in range(int(seen.left() * ratio) // _TILE_PX, int(seen.right() * ratio) // _TILE_PX + 1):
                x, y = across * _TILE_PX, down * _TILE_PX
                region = (x, y, min(_TILE_PX, wide - x), min(_TILE_PX, high - y))
                if region[2] > 0 and region[3] > 0:
                    found.append(((page, across, down), region))
        return found

    # -- events -------------------------------------------------------------------------------------------------

    def event(self, event: QEvent) -> bool:
        """Keep the keys that turn pages for the pages, though others have them elsewhere."""
        if event.type() == QEvent.Type.ShortcutOverride:
            assert isinstance(event, QKeyEvent)
            if event.key() in _KEYS and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Turn pages, zoom, scroll."""
        match event.key():
            case Qt.Key.Key_PageDown:
                self.go_to(self._page + 1)
            case Qt.Key.Key_PageUp:
                self.go_to(self._page - 1)
            case Qt.Key.Key_Home:
                self.go_to(0)
            case Qt.Key.Key_End:
                self.go_to(self.count - 1)
            case Qt.Key.Key_Plus | Qt.Key.Key_Equal:
                self.zoom_by(STEP)
            case Qt.Key.Key_Minus:
                self.zoom_by(1 / STEP)
            case Qt.Key.Key_Space:
                bar = self.verticalScrollBar()
                bar.setValue(bar.value() + bar.pageStep())
            case _:
                super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Scroll; with Ctrl, zoom about the pointer."""
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom_by(STEP ** (event.angleDelta().y() / 120), event.position())
            event.accept()
        else:
            super().wheelEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of the paper."""
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._grabbed = event.position()
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move the paper."""
        if self._grabbed is not None:
            by = event.position() - self._grabbed
            self._grabbed = event.position()
            for bar, moved in ((self.horizontalScrollBar(), by.x()), (self.verticalScrollBar(), by.y())):
                bar.setValue(bar.value() - round(moved))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go of the paper."""
        del event
        self._grabbed = None
        self.viewport().unsetCursor()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep what fits fitting."""
        super().resizeEvent(event)
        self._lay_out()
        self._on_scrolled()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show that the keys come here."""
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show that they don't any longer."""
        super().focusOutEvent(event)
        self.viewport().update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the pages in sight with what is drawn of them."""
        del event
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.viewport().rect(), self._look.colour("room"))
        edge = QPen(self._look.colour("grid"))
        ratio = self.devicePixelRatioF()
        for page, rect in self._in_sight():
            painter.setPen(edge)
            painter.setBrush(QColor("white"))
            painter.drawRect(rect.adjusted(-1, -1, 0, 0))
            painter.setClipRect(rect)
            keys = {key for key, _ in self._tiles(page, rect)}
            held = [(key, each) for key, each in self._drawn.items() if key[0] == page]
            now = self._px_per_pt()
            # What is drawn at another zoom first, the newest over it.
            for key, each in sorted(held, key=lambda one: one[1].px_per_pt == now):
                if each.px_per_pt == now and key not in keys:
                    continue
                over = now / each.px_per_pt / ratio
                x, y, wide, high = each.region_px
                place = QRectF(rect.left() + x * over, rect.top() + y * over, wide * over, high * over)
                painter.drawImage(place, each.image)
            painter.setClipping(False)
        if self.hasFocus():
            pen = QPen(self._look.colour("accent"))
            pen.setWidth(2)
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.viewport().rect().adjusted(1, 1, -1, -1))
        painter.end()
        if self.missing() is not None:
            self.wanted.emit()

    def _on_scrolled(self, _value: int = 0) -> None:
        self.viewport().update()
        port = self.viewport().rect()
        self._set_page(self._page_at(port.top() + port.height() / 2))

    def _set_page(self, page: int) -> None:
        if page != self._page:
            self._page = page
            self.page_changed.emit(page)
