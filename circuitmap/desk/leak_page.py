"""The hunt for low insulation as a page of the Readings stage: scrolled, with what one types into always in sight."""

from typing import Final

from PySide6.QtWidgets import QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.leak_card import LeakCard
from circuitmap.desk.readings_recorder import Recorder
from circuitmap.desk.scrolled import ScrolledCard
from circuitmap.desk.theme import Look

_ROUND_PX: Final = 48  # a field's question stands over it, and comes into sight with it


class LeakPage(ScrolledCard):
    """Holds the card."""

    def __init__(self, adapter: Adapter, recorder: Recorder, look: Look, parent: QWidget | None = None) -> None:
        super().__init__("Looking for low insulation", parent, round_px=_ROUND_PX)
        self.card = LeakCard(adapter, recorder, look, self.inside)
        self.hold(self.card)
        self.card.followed.connect(self._on_grown)
