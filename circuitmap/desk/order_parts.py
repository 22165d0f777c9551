"""The parts of a ring drawn from readings, one by one: the one chosen with its reasons and buttons, and all of them.

Enter in the list accepts the part chosen; a click only chooses it.
"""

from dataclasses import replace
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QApplication, QListWidgetItem, QPushButton, QVBoxLayout, QWidget

from circuitmap.desk.causes_list import RowList
from circuitmap.desk.order_said import accept_words, choice_row, part_words, parts_words, why_words
from circuitmap.desk.order_work import Choice, Told
from circuitmap.desk.parts import Card, Heading, Label, button
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.readings.inferred import Offer

_HIGHEST_PX: Final = 208  # what is said of the row chosen stays in sight beside a long list


class ShortList(RowList):
    """Rows scrolled inside, so that what belongs to the one chosen stays near."""

    def __init__(self, look: Look, name: str, parent: QWidget | None = None) -> None:
        super().__init__(look, name, parent)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.setVerticalScrollMode(RowList.ScrollMode.ScrollPerPixel)

    def _fit(self, *_: object) -> None:
        self.scheduleDelayedItemsLayout()
        height = 0
        for n in range(self.count()):
            height += self.sizeHintForRow(n)
            if height > _HIGHEST_PX:
                break
        self.setFixedHeight(max(TARGET_PX, min(height, _HIGHEST_PX) + 2 * self.frameWidth()))
        if self.currentItem() is not None:
            self.executeDelayedItemsLayout()
            self.scrollToItem(self.currentItem())


class PartList(ShortList):
    """The parts: Enter takes one, a click only chooses it."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, "Parts to accept, round the ring and then the spurs. Enter accepts", parent)
        self.setObjectName("order-parts")

    def _on_clicked(self, _item: QListWidgetItem) -> None:
        """Choose only: a click too many must draw nothing."""


class OrderParts(QWidget):
    """What is still to be accepted."""

    pointed = Signal(object)  # the Offer chosen, or None
    accepted = Signal(object)  # an Offer
    accepted_all = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._told: Told | None = None
        self._choices: tuple[Choice, ...] = ()
        self._choice: Choice | None = None
        self.head = Heading("Draw it, part by part", self)
        self.count = Label("", self)
        self.all_button = button("", self)
        self.all_button.clicked.connect(self.accepted_all)
        self.card = Card(self)
        self.card.setObjectName("order-part")
        self.title = Heading("", self.card)
        self.why = Label("", self.card)
        self.warning = Label("", self.card, role="warn")
        self.accept_button = button("", self.card, strong=True)
        self.accept_button.clicked.connect(self._on_accept)
        self.others: list[QPushButton] = []
        for widget in (self.title, self.why, self.warning, self.accept_button):
            self.card.body.addWidget(widget)
        self.list = PartList(look, self)
        self.list.pointed.connect(self._on_pointed)
        self.list.taken.connect(self._on_taken)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        for part in (self.head, self.count, self.all_button, self.card, self.list):
            layout.addWidget(part)

    @property
    def choice(self) -> Choice | None:
        """The part chosen."""
        return self._choice

    @property
    def choices(self) -> tuple[Choice, ...]:
        """The parts on show."""
        return self._choices

    def show_told(self, told: Told | None) -> None:
        """Show what is to be accepted; the part that was chosen stays chosen, else the one in its place."""
        row = max(0, self.list.currentRow())
        kept = _ends(self._choice)
        self._told = told
        choices = told.choices if told is not None else ()
        self._choices = choices
        again = next((n for n, each in enumerate(choices) if _ends(each) == kept), -1)
        row = again if again >= 0 else min(row, len(choices) - 1)
        focus = QApplication.focusWidget()
        had_focus = focus is not None and focus in (self.list, self.all_button, *self.others)
        self.list.show_rows([choice_row(each, told.order) for each in choices] if told is not None else [], row)
        self.count.setText(parts_words(told) if told is not None else "")
        sure = len(told.sure) if told is not None else 0
        self.all_button.setText(f"Accept all {sure} that are sure")
        self.all_button.setVisible(sure > 1)
        self._choose(choices[row] if choices else None)
        if had_focus and not self.list.hasFocus() and not self.all_button.hasFocus():
            self.focus_first()  # not on to a button that accepts the next one

    def drop(self, offer: Offer) -> None:
        """Take off the list what was accepted just now; what follows from it comes in a moment."""
        told = self._told
        if told is not None:
            left = tuple(c for c in told.choices if offer is not c.offer and offer not in c.others)
            self.show_told(replace(told, choices=left, on_map=told.on_map + len(told.choices) - len(left)))

    def focus_first(self) -> bool:
        """Go to the parts; False when there are none."""
        if not self._choices:
            return False
        self.list.setFocus()
        return True

    def _choose(self, choice: Choice | None) -> None:
        self._choice = choice
        self._fill()
        self.pointed.emit(choice.offer if choice is not None else None)

    def _fill(self) -> None:
        for each in self.others:
            self.card.body.removeWidget(each)
            each.hide()
            each.deleteLater()
        self.others.clear()
        told, choice = self._told, self._choice
        self.card.setVisible(choice is not None)
        if told is None or choice is None:
            return
        offer = choice.offer
        self.title.setText(part_words(offer, told.order))
        self.why.setText(why_words(choice))
        self.warning.setText(offer.warns)
        self.warning.setVisible(bool(offer.warns))
        self.accept_button.setText(accept_words(offer, told.order))
        before = self.accept_button
        for other in choice.others:
            made = _OtherButton(other, accept_words(other, told.order, instead=True), self.card)
            made.setToolTip(part_words(other, told.order))
            made.chosen.connect(self.accepted)
            self.card.body.addWidget(made)
            self.setTabOrder(before, made)
            before = made
            self.others.append(made)

    def _on_pointed(self, row: int) -> None:
        self._choose(self._choices[row] if 0 <= row < len(self._choices) else None)

    def _on_taken(self, row: int) -> None:
        if 0 <= row < len(self._choices):
            self.accepted.emit(self._choices[row].offer)

    def _on_accept(self) -> None:
        if self._choice is not None:
            self.accepted.emit(self._choice.offer)


class _OtherButton(QPushButton):
    """Accepts what a part may be instead."""

    chosen = Signal(object)

    def __init__(self, offer: Offer, words: str, parent: QWidget) -> None:
        super().__init__(words, parent)
        self._offer = offer
        self.clicked.connect(self._on_clicked)

    def _on_clicked(self) -> None:
        self.chosen.emit(self._offer)


def _ends(choice: Choice | None) -> tuple[str, str] | None:
    return (choice.offer.a, choice.offer.b) if choice is not None else None
