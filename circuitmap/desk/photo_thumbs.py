"""The photographs of one note as small pictures in rows: Enter shows one large, Delete takes it off."""

from typing import Final

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QAbstractButton, QGridLayout, QWidget

from circuitmap.desk.photo_work import PhotoPixels
from circuitmap.desk.theme import SMALL_PX, Look, font

THUMB_PX: Final = 92
ACROSS: Final = 3
_FRAME_PX: Final = 3


class Thumbnail(QAbstractButton):
    """One photograph, small."""

    removed = Signal(str)

    def __init__(self, photo: str, pixels: PhotoPixels, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.photo = photo
        self._pixels, self._look = pixels, look
        self._pixmap: QPixmap | None = None
        self._is_here = True
        self.may_remove = True
        self.setFixedSize(QSize(THUMB_PX, THUMB_PX))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def name(self, number: int, count: int, about: str) -> None:
        """Say which it is, for who can't see it."""
        self.setAccessibleName(f"Photograph {number} of {count}, {about}")
        self._describe()

    def refresh(self) -> None:
        """Take what can be shown now."""
        self._pixmap = self._pixels.get(self.photo, 2 * THUMB_PX)
        self._is_here = not self._pixels.why_missing(self.photo)
        self._describe()
        self.update()

    @property
    def is_shown(self) -> bool:
        """Whether the picture itself is on show."""
        return self._pixmap is not None

    @property
    def is_missing(self) -> bool:
        """Whether the photograph isn't in the home, or can't be read."""
        return not self._is_here

    def _describe(self) -> None:
        missing = self._pixels.why_missing(self.photo)
        keys = "Enter shows it large" + (", Delete takes it off." if self.may_remove else ".")
        self.setAccessibleDescription(missing or keys)
        self.setToolTip(missing or keys)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete takes it off the note."""
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self.may_remove:
            self.removed.emit(self.photo)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the picture, cut to a square, with a frame; words where there is none."""
        painter = QPainter(self)
        inner = self.rect().adjusted(_FRAME_PX, _FRAME_PX, -_FRAME_PX, -_FRAME_PX)
        if self._pixmap is not None:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            side = min(self._pixmap.width(), self._pixmap.height())
            cut = QRect(0, 0, side, side)
            cut.moveCenter(self._pixmap.rect().center())
            painter.drawPixmap(inner, self._pixmap, cut)
        else:
            painter.fillRect(inner, self._look.colour("paper"))
            painter.setFont(font(SMALL_PX))
            painter.setPen(self._look.colour("warn" if self.is_missing else "faint"))
            words = "missing: bring it in again" if self.is_missing else "reading…"
            painter.drawText(inner, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, words)
        marked = self.hasFocus() or self.underMouse()
        role = "accent" if marked else "warn" if self.is_missing else "faint"
        painter.setPen(QPen(self._look.colour(role), _FRAME_PX if marked else 1.0))
        half = _FRAME_PX // 2
        painter.drawRect(self.rect().adjusted(half, half, -half - 1, -half - 1))
        painter.end()
        event.accept()


class Thumbnails(QWidget):
    """The photographs of one note."""

    opened = Signal(str)
    removed = Signal(str)

    def __init__(self, pixels: PhotoPixels, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._pixels, self._look = pixels, look
        self.thumbs: list[Thumbnail] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(4)
        self._grid.setColumnStretch(ACROSS, 1)
        pixels.ready.connect(self._on_ready)

    def show_photos(self, photos: tuple[str, ...], about: str, *, may_remove: bool) -> None:
        """Show some photographs; those that were on show stay, with the focus that one of them may have."""
        held = {thumb.photo: thumb for thumb in self.thumbs}
        had_focus = next((n for n, thumb in enumerate(self.thumbs) if thumb.hasFocus()), None)
        self.thumbs = []
        for number, photo in enumerate(photos):
            thumb = held.pop(photo, None)
            if thumb is None:
                thumb = Thumbnail(photo, self._pixels, self._look, self)
                thumb.clicked.connect(self._on_clicked)
                thumb.removed.connect(self.removed)
            thumb.may_remove = may_remove
            thumb.name(number + 1, len(photos), about)
            thumb.refresh()
            self._grid.addWidget(thumb, number // ACROSS, number % ACROSS)
            self.thumbs.append(thumb)
        for gone in held.values():
            self._grid.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        if had_focus is not None and self.thumbs and not any(thumb.hasFocus() for thumb in self.thumbs):
            self.thumbs[min(had_focus, len(self.thumbs) - 1)].setFocus()
        self.setVisible(bool(photos))

    def _on_clicked(self) -> None:
        thumb = self.sender()
        if isinstance(thumb, Thumbnail):
            self.opened.emit(thumb.photo)

    def _on_ready(self, photo: str) -> None:
        for thumb in self.thumbs:
            if thumb.photo == photo:
                thumb.refresh()
