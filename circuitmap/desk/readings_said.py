"""What is said of the readings of a way: verdicts in words, worst first, and what is odd about the records."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRect, QSize, Qt, Signal
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from circuitmap.desk.parts import plain_tip
from circuitmap.desk.readings_cells import TONES, paint_level
from circuitmap.desk.theme import Look
from circuitmap.readings.against import LEVELS
from circuitmap.readings.judged import Judged
from circuitmap.readings.odd import Problem
from circuitmap.readings.verdict import Level

_MOST: Final = 60
_ICON_PX: Final = 16


@dataclass(frozen=True, slots=True)
class Said:
    """One thing said: how much it matters, the sentence, why, and the readings and places it is about."""

    level: Level
    says: str
    why: str
    readings: tuple[str, ...]
    places: tuple[str, ...]


def all_said(judged: Iterable[Judged], problems: Iterable[Problem]) -> list[Said]:
    """Put verdicts and problems into one list, the worst first; what is fine comes last."""
    said = [Said("query", each.words, "", each.readings, each.subjects) for each in problems]
    said += [Said(each.verdict.level, each.verdict.says, each.verdict.why, each.readings, each.at) for each in judged]
    return sorted(said, key=_worst_first)


def _worst_first(said: Said) -> int:
    return -LEVELS.index(said.level)


class SaidList(QListWidget):
    """The list; Enter or a click goes to the reading that a sentence is about."""

    chosen = Signal(object)  # a Said

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._said: list[Said] = []
        self.setObjectName("said-of-readings")
        self.setAccessibleName("What is said of the readings")
        self.setWordWrap(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setIconSize(QSize(_ICON_PX, _ICON_PX))
        self.itemClicked.connect(self._on_chosen)
        self.itemActivated.connect(self._on_chosen)
        look.changed.connect(self._on_look_changed)

    @property
    def sentences(self) -> list[str]:
        """What the list says, line by line."""
        return [self.item(n).text() for n in range(self.count())]

    def show_said(self, said: list[Said]) -> None:
        """Show what is said, the worst first."""
        if said != self._said:
            self._said = said
            self._fill()

    def _fill(self) -> None:
        self.clear()
        for each in self._said[:_MOST]:
            why = f"\n{each.why}" if each.why and each.level != "fine" else ""
            item = QListWidgetItem(self._icon(each.level), f"{each.level.capitalize()}: {each.says}{why}")
            item.setToolTip(plain_tip(each.why or each.says))
            self.addItem(item)
        if len(self._said) > _MOST:
            self.addItem(f"… and {len(self._said) - _MOST} more.")

    def _icon(self, level: Level) -> QIcon:
        ratio = self.devicePixelRatioF()
        pixmap = QPixmap(QSize(_ICON_PX, _ICON_PX) * ratio)
        pixmap.setDevicePixelRatio(ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        centre = QRect(0, 0, _ICON_PX, _ICON_PX).center()
        paint_level(painter, level, QPointF(centre) + QPointF(0.5, 0.5), self._look.colour(TONES[level]))
        painter.end()
        return QIcon(pixmap)

    def _on_chosen(self, item: QListWidgetItem) -> None:
        row = self.row(item)
        if 0 <= row < min(len(self._said), _MOST):
            self.chosen.emit(self._said[row])

    def _on_look_changed(self) -> None:
        self._fill()
