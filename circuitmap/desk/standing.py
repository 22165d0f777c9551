"""What was agreed for the rest of the visit: the next switch-off on the same terms takes one tap."""

from collections.abc import Iterable
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from circuitmap.desk.theme import GAP_PX
from circuitmap.desk.thumb import Thumb, card, plain, show_text
from circuitmap.home import Home
from circuitmap.home.records import Consent
from circuitmap.home.verbs import now_text
from circuitmap.survey.agreed import Standing, agree_again
from circuitmap.survey.limits import clock_words, instant
from circuitmap.survey.losses import Loss
from circuitmap.words import WhoAgreed

_BY: Final[dict[WhoAgreed, str]] = {
    "occupier": "the occupier",
    "agent": "the agent",
    "owner": "the owner",
    "other household": "the other household",
}


class StandingCard(QWidget):
    """Offers the terms that stand, or says what is new and must be asked about."""

    open = Signal()
    anew = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Agreed for the rest of this visit")
        self._stands: Standing | None = None
        self._new: tuple[str, ...] = ()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        frame, inside = card(parent=self)
        self._title = plain(role="head")
        inside.addWidget(self._title)
        self.says = plain()
        inside.addWidget(self.says)
        column.addWidget(frame)
        self.missing = plain(role="warn")
        column.addWidget(self.missing)
        self.button = Thumb("Switch off, as agreed", strong=True, tall=True, parent=self)
        self.button.clicked.connect(self.open)
        column.addWidget(self.button)
        self.ask_anew = Thumb("Ask them again", quiet=True, tip="Ask for another agreement instead", parent=self)
        self.ask_anew.clicked.connect(self.anew)
        column.addWidget(self.ask_anew)
        self.hide()

    @property
    def offers(self) -> bool:
        """Whether the terms that stand cover the switch-off."""
        return self._stands is not None and not self._new

    def show_terms(self, stands: Standing | None, new: tuple[str, ...]) -> None:
        """Show what stands and what it leaves open; nothing without an agreement for the visit."""
        self._stands, self._new = stands, new
        self.setVisible(stands is not None)
        if stands is None:
            return
        until = f", until {stands.until}" if stands.until else ""
        agreed = f"By {_BY[stands.by]} at {clock_words(instant(stands.since))}{until}, for this visit."
        self._title.setText("Agreed already" if self.offers else "To be asked again")
        self.says.setText(
            f"{agreed} Nothing new is at stake."
            if self.offers
            else "\n".join((agreed, *(each[:1].upper() + each[1:] for each in new)))
        )
        self.button.setVisible(self.offers)
        self.ask_anew.setVisible(self.offers)
        self.missing.setVisible(False)

    def show_button(self, which: str, missing: tuple[str, ...]) -> None:
        """Say what goes off with one tap, and what holds even that up."""
        self.button.say(f"As agreed: switch off\n{which}")
        self.button.setEnabled(not missing)
        show_text(self.missing, "\n".join(missing) if self.offers else "")

    def consent(self, home: Home, losses: Iterable[Loss]) -> Consent | None:
        """Give the agreement on the terms that stand; None when there is none."""
        return agree_again(home, self._stands, losses, now_text()) if self._stands is not None else None
