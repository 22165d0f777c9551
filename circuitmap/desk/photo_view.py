"""One photograph large, over the whole window: arrows go through those of the note, Esc puts it away."""

from typing import Final

from PySide6.QtCore import QEvent, QObject, QRect, QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from circuitmap.desk.parts import Label, button
from circuitmap.desk.photo_work import PhotoPixels
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.pictures.photo import LONGEST_PX

_BACK, _ON = (Qt.Key.Key_Left, Qt.Key.Key_PageUp), (Qt.Key.Key_Right, Qt.Key.Key_PageDown, Qt.Key.Key_Space)
_MARGIN_PX: Final = 16


class PhotoView(QWidget):
    """Covers the window with one photograph; nothing else is held up by it."""

    def __init__(self, pixels: PhotoPixels, look: Look, over: QWidget) -> None:
        super().__init__(over)
        self._pixels, self._look = pixels, look
        self._photos: tuple[str, ...] = ()
        self._at = 0
        self._about = ""
        self._from: QWidget | None = None
        self.setObjectName("photo-view")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAutoFillBackground(True)
        self.picture = _Fitted(self)
        self.caption = Label("", self)
        self.back = button("‹ Before", self)
        self.on = button("Next ›", self)
        self.away = button("Close (Esc)", self, strong=True)
        for each in (self.back, self.on, self.away):
            each.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.back.setAccessibleName("The photograph before")
        self.on.setAccessibleName("The next photograph")
        self.away.setAccessibleName("Close the photograph")
        self.back.clicked.connect(self._on_back)
        self.on.clicked.connect(self._on_next)
        self.away.clicked.connect(self.put_away)
        foot = QHBoxLayout()
        foot.setSpacing(GAP_PX)
        foot.addWidget(self.caption, 1)
        for each in (self.back, self.on, self.away):
            foot.addWidget(each)
        column = QVBoxLayout(self)
        column.setContentsMargins(_MARGIN_PX, _MARGIN_PX, _MARGIN_PX, _MARGIN_PX)
        column.setSpacing(GAP_PX)
        column.addWidget(self.picture, 1)
        column.addLayout(foot)
        pixels.ready.connect(self._on_ready)
        over.installEventFilter(self)
        self.hide()

    def show_photos(self, photos: tuple[str, ...], at: int, about: str, back_to: QWidget | None) -> None:
        """Show one of some photographs."""
        self._photos, self._at, self._about, self._from = photos, at, about, back_to
        over = self.parentWidget()
        if over is not None:
            self.setGeometry(over.rect())
        self.show()
        self.raise_()
        self.setFocus()
        self._fill()

    @property
    def photo(self) -> str:
        """The photograph on show, empty when there is none."""
        return self._photos[self._at] if self.isVisible() and self._photos else ""

    def put_away(self) -> None:
        """Go back to where the person came from."""
        self.hide()
        if self._from is not None:
            self._from.setFocus()

    def step(self, by: int) -> None:
        """Go on to another photograph; the ends hold."""
        to = max(0, min(len(self._photos) - 1, self._at + by))
        if to != self._at:
            self._at = to
            self._fill()

    def _fill(self) -> None:
        photo = self._photos[self._at]
        found = self._pixels.get(photo, LONGEST_PX)
        missing = self._pixels.why_missing(photo)
        self.picture.show_pixmap(found, missing or "Reading the photograph…")
        words = f"{self._at + 1} of {len(self._photos)} · {self._about}"
        self.caption.setText(words)
        self.setAccessibleName(f"Photograph {words}")
        self.setAccessibleDescription(missing)
        self.back.setEnabled(self._at > 0)
        self.on.setEnabled(self._at + 1 < len(self._photos))

    # -- slots --------------------------------------------------------------------------------------------------

    def _on_ready(self, photo: str) -> None:
        if photo == self.photo:
            self._fill()

    def _on_back(self) -> None:
        self.step(-1)

    def _on_next(self) -> None:
        self.step(1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows go through the photographs, Esc puts them away."""
        if event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.put_away()
        elif event.key() in _BACK:
            self.step(-1)
        elif event.key() in _ON:
            self.step(1)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Keep clicks from what lies under the photograph."""
        event.accept()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay as large as the window."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            over = self.parentWidget()
            if over is not None and watched is over:
                self.setGeometry(over.rect())
        return False


class _Fitted(QWidget):
    """A pixmap as large as there is room, never larger than it is; words where there is none."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._pixmap: QPixmap | None = None
        self._words = ""
        self.setMinimumSize(QSize(120, 120))

    def show_pixmap(self, pixmap: QPixmap | None, words: str) -> None:
        """Show a pixmap, or words instead."""
        self._pixmap, self._words = pixmap, words
        self.update()

    @property
    def has_picture(self) -> bool:
        """Whether a picture is on show."""
        return self._pixmap is not None

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint it in the middle."""
        painter = QPainter(self)
        if self._pixmap is None:
            painter.setPen(self.palette().windowText().color())
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect(), flags, self._words)
        else:
            size = self._pixmap.size()
            if size.width() > self.width() or size.height() > self.height():
                size.scale(self.size(), Qt.AspectRatioMode.KeepAspectRatio)
            place = QRect(0, 0, size.width(), size.height())
            place.moveCenter(self.rect().center())
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawPixmap(place, self._pixmap)
        painter.end()
        event.accept()
