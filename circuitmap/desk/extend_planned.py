"""What changed: what an accepted way put on the map as planned, what to read once it is done; done, or taken back."""

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_work import Latest
from circuitmap.desk.extend_asking import STAGE
from circuitmap.desk.extend_state import ExtendState
from circuitmap.desk.extend_work import Foreseeing
from circuitmap.desk.option_words import reading_lines
from circuitmap.desk.parts import Card, Heading, Label, button

NOTHING: Final = "Nothing of it is on the map yet. Pick a way under Options and put it on the map as planned."
PROMISE: Final = "Planned, not there yet: nothing below is a fact until the work is done, tested and certified."
DONE: Final = "Done on {day}. What was planned is on the map as it is; what it took out is kept as taken out."
WORKING: Final = "Working out what to read afterwards…"
CERTIFY: Final = (
    "“Done” says that the work was done as planned. Testing, the certificate and notification are the installer's."
)


class PlannedPage(QWidget):
    """The page of what is promised, and of what became of it."""

    done_wanted = Signal()
    back_wanted = Signal()
    quote_wanted = Signal()

    def __init__(self, adapter: Adapter, state: ExtendState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("extend-planned")
        self._adapter, self._state = adapter, state
        self._asked: tuple[object, str] | None = None
        self.says = Label("", self)
        self.done_button = button("It is done", self, strong=True)
        self.done_button.clicked.connect(self.done_wanted)
        self.back_button = button("Take the plan back", self)
        self.back_button.clicked.connect(self.back_wanted)
        self.quote_button = button("Quotation…", self)
        self.quote_button.clicked.connect(self.quote_wanted)
        self._row = QWidget(self)
        row = QHBoxLayout(self._row)
        row.setContentsMargins(0, 0, 0, 0)
        for each in (self.done_button, self.back_button):
            each.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(each)
        self._certify = Label(CERTIFY, self, role="faint")
        self._heads: dict[str, tuple[Heading, Label]] = {}
        self._list = Card(self)
        self._list.setObjectName("what-changed")
        self._list.setAccessibleName("What changed")
        for name in ("New", "To go", "Altered", "To be read afterwards", "Findings"):
            head, text = Heading(name, self._list), Label("", self._list)
            text.setAccessibleName(name)
            self._heads[name] = head, text
            self._list.body.addWidget(head)
            self._list.body.addWidget(text)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 8)
        layout.setSpacing(8)
        layout.addWidget(self.says)
        layout.addWidget(self._row)
        layout.addWidget(self._certify)
        layout.addWidget(self.quote_button)
        layout.addWidget(self._list)
        layout.addStretch(1)
        self._latest = Latest(self)
        self._latest.done.connect(self._on_foreseen)
        self._latest.failed.connect(self._on_failed)
        adapter.changed.connect(self.refresh)
        adapter.stage_changed.connect(self.refresh)
        state.changed.connect(self.refresh)
        self.refresh()

    @property
    def text(self) -> str:
        """All that is said, under its headings."""
        shown = [f"{name}\n{text.text()}" for name, (_, text) in self._heads.items() if text.isVisibleTo(self)]
        return "\n".join((self.says.text(), *shown))

    def focus_inside(self) -> None:
        """Put the keys on the quotation: a key pressed once too often must not say that the work is done."""
        (self.quote_button if self.quote_button.isVisibleTo(self) else self).setFocus()

    def refresh(self, *_: object) -> None:
        """Show what there is; what is to be read afterwards is worked out beside the window."""
        state, adapter = self._state, self._adapter
        if adapter.stage != STAGE:
            self._latest.stop()
            return
        extension = state.extension
        is_planned = state.is_planned
        is_done = extension is not None and extension.done_on is not None
        self._row.setVisible(is_planned)
        self._certify.setVisible(is_planned)
        self.quote_button.setVisible(is_planned)
        self._list.setVisible(is_planned or is_done)
        if extension is None or not (is_planned or is_done):
            self.says.setText(NOTHING)
            self._asked = None
            self._latest.stop()
            return
        self.says.setText(PROMISE if is_planned else DONE.format(day=extension.done_on))
        asked = adapter.home, extension.id
        if self._asked is not None and self._asked[0] is asked[0] and self._asked[1] == asked[1]:
            return
        self._asked = asked
        from circuitmap.extension.afterwards import what_changed

        changed = what_changed(adapter.home, extension.id, adapter.trade, adapter.memo)
        self._say("New", changed.new)
        self._say("To go", changed.goes)
        self._heads["To go"][0].setText("To go" if is_planned else "Taken out")
        self._say("Altered", changed.altered)
        self._heads["Altered"][0].setText("To be altered" if is_planned else "Altered")
        if is_planned:
            self._say("To be read afterwards", (WORKING,))
            self._latest.ask(Foreseeing(adapter.home, extension.id, adapter.trade, adapter.memo))
        else:
            self._latest.stop()
            self._say("To be read afterwards", ())
            self._say("Findings", ())

    def _say(self, name: str, lines: "tuple[str, ...] | list[str]") -> None:
        head, text = self._heads[name]
        text.setText("\n".join(f"· {line}" for line in lines))
        for each in (head, text):
            each.setVisible(bool(lines))

    def _on_foreseen(self, result: object) -> None:
        from circuitmap.extension.afterwards import Afterwards

        assert isinstance(result, Afterwards)
        rings = [(code, (ends.r1_ohm, ends.rn_ohm, ends.r2_ohm)) for code, ends in result.ring]
        self._say("To be read afterwards", reading_lines(rings, (each for _, each in result.expected)))
        findings = [f"Adds {f.code}: {f.says}" for f in result.added]
        findings += [f"Clears {f.code}: {f.says}" for f in result.cleared]
        self._say("Findings", findings or ("No finding is added or cleared.",))

    def _on_failed(self, sentence: str) -> None:
        self._say("To be read afterwards", (sentence,))
