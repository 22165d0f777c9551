"""The ways to choose from while none is being read."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.home.invariants import shorten
from circuitmap.readings.book import readings_of
from circuitmap.wiring.shape import SHAPE_WORDS


class WayList(QListWidget):
    """One row per way with what is known of it; Enter or a click chooses it."""

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self.setObjectName("ways-to-read")
        self.setAccessibleName("Ways to read")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMinimumHeight(300)
        self.itemClicked.connect(self._on_chosen)
        self.itemActivated.connect(self._on_chosen)

    def refresh(self) -> None:
        """Show the ways as they are now."""
        adapter = self._adapter
        rows = []
        for view in adapter.views:
            kind = SHAPE_WORDS[view.shape.kind] if view.shape is not None else "no cable drawn"
            count = len(readings_of(adapter.home, view, adapter.memo).entries)
            read = f"{count} reading{'' if count == 1 else 's'}" if count else "nothing read yet"
            rows.append((f"{view.code}  {shorten(view.device.label, 34)}\n{kind}, {read}", view.device.id))
        self.clear()
        for text, way in rows:
            item = QListWidgetItem(text)
            item.setData(Qt.ItemDataRole.UserRole, way)
            self.addItem(item)

    def _on_chosen(self, item: QListWidgetItem) -> None:
        self._adapter.select(str(item.data(Qt.ItemDataRole.UserRole)))
