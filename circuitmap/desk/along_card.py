"""A plan gets another size: what was drawn on it goes along or stays, asked beside the plan and never in its way."""

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import Card, Label, answers, button
from circuitmap.desk.stages.scaling import Proposal, drawn_here, is_same_place, rescaled
from circuitmap.errors import PersonError
from circuitmap.home.records import Sheet

_ASKS: Final = "{what} on this storey already. Was it drawn on this plan, so that it goes along, or does it stay?"


class AlongCard(Card):
    """Carries a proposal out: at once where nothing was drawn, else after the answer."""

    done = Signal(object)  # the Proposal that was carried out

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._asked: Proposal | None = None
        self._before: Sheet | None = None
        self.setObjectName("along-card")
        self._words = Label("", self)
        self.along = button("It goes along", self, strong=True)
        self.along.setAccessibleName("What was drawn goes along with the plan")
        self.along.clicked.connect(self._on_along)
        self.stays = button("It stays", self)
        self.stays.setAccessibleName("What was drawn stays as it is")
        self.stays.clicked.connect(self._on_stays)
        self.drop = button("Not now", self)
        self.drop.setAccessibleName("Leave the plan as it lies")
        self.drop.clicked.connect(self.put_away)
        self.body.addWidget(self._words)
        self.body.addLayout(answers(self.along, self.stays, self.drop))
        self.hide()
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_changed)

    @property
    def asks(self) -> str:
        """The question, empty while there is none."""
        return self._words.text() if self._asked is not None else ""

    def carry(self, proposal: Proposal) -> None:
        """Carry a proposal out, or ask first what becomes of what was drawn."""
        self.put_away()
        home = self._adapter.home
        sheet = home.take(Sheet, proposal.sheet)
        what = drawn_here(home, sheet.storey)
        if proposal.carries or not what or is_same_place(home, proposal):
            self._do(proposal, along=proposal.carries)
            return
        self._asked, self._before = proposal, sheet
        count = what.split()[0]
        verb = "is" if count == "1" and " and " not in what and "," not in what else "are"
        self._words.setText(_ASKS.format(what=f"There {verb} {what}"))
        self.show()
        self.along.setFocus()

    def put_away(self) -> None:
        """Ask no longer; nothing is changed."""
        self._asked = self._before = None
        self.hide()

    def _on_along(self) -> None:
        self._answer(along=True)

    def _on_stays(self) -> None:
        self._answer(along=False)

    def _answer(self, *, along: bool) -> None:
        proposal = self._asked
        self.put_away()
        if proposal is not None:
            self._do(proposal, along=along)

    def _do(self, proposal: Proposal, *, along: bool) -> None:
        try:
            change = rescaled(self._adapter.home, proposal, along=along)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return
        if self._adapter.do(change) is not None:
            self.done.emit(proposal)

    def _on_changed(self, _what: object) -> None:
        if self._asked is None or self._before is None:
            return
        sheet = self._adapter.home.find(Sheet, self._asked.sheet)
        if sheet != self._before or self._adapter.storey != self._before.storey:
            self.put_away()  # the plan the question was about lies otherwise by now
