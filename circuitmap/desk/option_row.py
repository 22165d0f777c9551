"""Cards side by side: the ways of doing the same wishes, scrolled across, walked by the arrow keys."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QWidget

from circuitmap.desk.option_card import OptionCard
from circuitmap.desk.theme import GAP_PX, Look

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Option

_BAR_PX: Final = 16


class OptionRow(QScrollArea):
    """Some options as cards."""

    pointed = Signal(object)  # the option that is pointed at or has the keys, None for none
    opened = Signal(object)  # the option whose card was clicked
    pick_wanted = Signal(object)

    def __init__(self, name: str, options: "tuple[Option, ...]", look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        inside = QWidget(self.viewport())
        row = QHBoxLayout(inside)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP_PX)
        self.cards = tuple(OptionCard(option, look, inside) for option in options)
        high = max((card.needs_px() for card in self.cards), default=0)
        for card in self.cards:
            card.set_high(high)
            card.pointed.connect(self._on_pointed)
            card.clicked.connect(self._on_clicked)
            card.pick_wanted.connect(self._on_pick)
            card.step_wanted.connect(self._on_step)
            row.addWidget(card)
        row.addStretch(1)
        self.setWidget(inside)
        self.setFixedHeight(high + _BAR_PX)

    def card_of(self, option: "Option | None") -> OptionCard | None:
        """Give the card of an option, None where it has none here."""
        return next((card for card in self.cards if card.option is option), None)

    def mark(self, opened: "Option | None", picked: "tuple[Option, ...]") -> None:
        """Show which card is open and which are picked."""
        for card in self.cards:
            card.setChecked(card.option is opened)
            card.set_picked(is_picked=any(card.option is each for each in picked))

    def show_as(self, shown: "Callable[[Option], Option]") -> None:
        """Say what each option comes to as it is shown now."""
        news = [card.show_as(shown(card.option)) for card in self.cards]
        if any(news):
            high = max(card.needs_px() for card in self.cards)
            for card in self.cards:
                card.set_high(high)
            self.setFixedHeight(high + _BAR_PX)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave turning up and down to the page; aside and with Shift goes across."""
        turned = event.angleDelta()
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier or abs(turned.x()) > abs(turned.y()):
            bar = self.horizontalScrollBar()
            bar.setValue(bar.value() - (turned.x() or turned.y()))
            event.accept()
        else:
            event.ignore()

    def _on_pointed(self, is_pointed: bool) -> None:
        card = self.sender()
        assert isinstance(card, OptionCard)
        if is_pointed and card.hasFocus():
            self.ensureWidgetVisible(card, GAP_PX, 0)
        self.pointed.emit(card.option if is_pointed else None)

    def _on_clicked(self) -> None:
        card = self.sender()
        assert isinstance(card, OptionCard)
        self.opened.emit(card.option)

    def _on_pick(self) -> None:
        card = self.sender()
        assert isinstance(card, OptionCard)
        self.pick_wanted.emit(card.option)

    def _on_step(self, by: int) -> None:
        card = self.sender()
        assert isinstance(card, OptionCard)
        at = self.cards.index(card) + by
        if 0 <= at < len(self.cards):
            self.cards[at].setFocus(Qt.FocusReason.OtherFocusReason)
