"""A card on a page of its own: scrolled, with what has the keys always in sight."""

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QScrollArea, QVBoxLayout, QWidget

_ROUND_PX: Final = 24  # so much of what stands over and under a field comes into sight with it


class ScrolledCard(QScrollArea):
    """Holds one card, which is made with ``inside`` as its parent: where it stays, it is styled only once."""

    def __init__(self, name: str, parent: QWidget | None = None, *, round_px: int = _ROUND_PX) -> None:
        super().__init__(parent)
        self._round_px = round_px
        self._held: QWidget | None = None
        self.inside = QWidget(self.viewport())
        self.setAccessibleName(name)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._on_focus)

    def hold(self, card: QWidget) -> None:
        """Hold a card made inside."""
        column = QVBoxLayout(self.inside)
        column.setContentsMargins(0, 6, 6, 0)
        column.addWidget(card)
        column.addStretch(1)
        self._held = card
        self.setWidget(self.inside)

    def _on_focus(self, _before: QWidget | None, now: QWidget | None) -> None:
        if now is not None and self._held is not None and self._held.isAncestorOf(now):
            self.ensureWidgetVisible(now, 0, self._round_px)

    def _on_grown(self, _news: object) -> None:
        layout = self._held.layout() if self._held is not None else None
        if layout is not None:
            layout.activate()  # what was just made, or has grown, has no place yet
        self._on_focus(None, QApplication.focusWidget())
