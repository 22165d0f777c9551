"""A near look at a corner of a picture while it is set: a round window beside the corner, never under the pointer."""

from typing import Final

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from circuitmap.desk.theme import Look

SIDE_PX: Final = 144
_AWAY_PX: Final = 34
_HAIR_PX: Final = 10


class Lens(QWidget):
    """Shows a piece of a picture with a cross at its middle."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._image = QImage()
        self.setObjectName("lens")
        self.setAccessibleName("The corner from near")
        self.setFixedSize(SIDE_PX, SIDE_PX)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    @property
    def image(self) -> QImage:
        """What is shown."""
        return self._image

    def show_near(self, image: QImage, at: QPoint) -> None:
        """Show a piece of the picture beside a spot of the parent, on the side where there is room."""
        self._image = image
        parent = self.parentWidget()
        wide, high = (parent.width(), parent.height()) if parent is not None else (0, 0)
        x = at.x() + _AWAY_PX if at.x() + _AWAY_PX + SIDE_PX <= wide else at.x() - _AWAY_PX - SIDE_PX
        y = at.y() - _AWAY_PX - SIDE_PX if at.y() >= _AWAY_PX + SIDE_PX else at.y() + _AWAY_PX
        self.move(max(0, min(x, wide - SIDE_PX)), max(0, min(y, high - SIDE_PX)))
        self.show()
        self.raise_()
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the piece, its rim and the cross."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(2, 2, -2, -2)
        path = QPainterPath()
        path.addEllipse(box)
        painter.setClipPath(path)
        painter.fillRect(box, self._look.colour("paper"))
        if not self._image.isNull():
            shown = self._image
            if self._look.theme == "dark":  # the plan is its negative there too
                shown = shown.copy()
                shown.invertPixels()
            # Single pixels are to be seen, so nothing is smoothed.
            painter.drawImage(box, shown)
        painter.setClipping(False)
        middle = box.center()
        painter.setPen(QPen(self._look.colour("select"), 1.5))
        for way in (QPointF(1, 0), QPointF(0, 1)):
            for sign in (-1, 1):
                painter.drawLine(middle + way * sign * 3, middle + way * sign * (_HAIR_PX + 14))
        painter.setPen(QPen(self._look.colour("select"), 2.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(box)
