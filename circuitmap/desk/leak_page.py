"""The hunt for low insulation as a page of the Readings stage: scrolled, with what one types into always in sight."""

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QScrollArea, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.leak_card import LeakCard
from circuitmap.desk.readings_recorder import Recorder
from circuitmap.desk.theme import Look

_ROUND_PX: Final = 48  # so much of what stands over and under a field comes into sight with it


class LeakPage(QScrollArea):
    """Holds the card."""

    def __init__(self, adapter: Adapter, recorder: Recorder, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.card = LeakCard(adapter, recorder, look)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 6, 6, 0)
        column.addWidget(self.card)
        column.addStretch(1)
        self.setAccessibleName("Looking for low insulation")
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidget(inside)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._on_focus)
        self.card.followed.connect(self._on_followed)

    def _on_focus(self, _before: QWidget | None, now: QWidget | None) -> None:
        if now is not None and self.card.isAncestorOf(now):
            self.ensureWidgetVisible(now, 0, _ROUND_PX)

    def _on_followed(self, _trail: object) -> None:
        layout = self.card.layout()
        if layout is not None:
            layout.activate()  # a field just made has no place yet
        self._on_focus(None, QApplication.focusWidget())
