"""The card on which isolating and proving dead is recorded, for one box; nothing of it is taken from the survey.

"Proved dead" is said only when every step of it is recorded; everything less is named for what is missing.
"""

from typing import Final, cast

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import way_name
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import SHEET, Choice, Pick, Thumb, Tick, bare, card, empty, plain, show_text
from circuitmap.desk.visit_state import visit_now
from circuitmap.home import Change, Home
from circuitmap.home.change import combine
from circuitmap.home.phases import is_there
from circuitmap.home.records import Board, Device, Instrument, Isolation, Plate, Point, ProvingTest
from circuitmap.home.verbs import add_instrument, now_text, record_isolation, start_visit
from circuitmap.survey.isolate import PAIRS, STEPS, WARNINGS, IsolationPlan, missing_steps, plan_isolation
from circuitmap.words import InstrumentKind, OtherSourceKind, ProvedPair

_PAIR_WORDS: Final[dict[ProvedPair, str]] = {
    "L-N": "Line to neutral",
    "L-E": "Line to earth",
    "N-E": "Neutral to earth",
}
_NEW: Final[tuple[tuple[str, InstrumentKind], ...]] = (
    ("Two-pole voltage indicator", "voltage indicator"),
    ("Multifunction tester", "multifunction"),
)
# What can prove dead; a plug-in tester or a lamp can't.
_PROVES: Final = frozenset({"voltage indicator", "multifunction"})


class IsolationCard(QWidget):
    """For the box that is selected: what must be off, the steps as a checklist, and the record of them."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Isolate and prove dead")
        self.setStyleSheet(SHEET)
        self._adapter, self._look = adapter, look
        self._box: tuple[str, ...] = ()
        self._plan: IsolationPlan | None = None
        self.off_ticks: dict[str, Tick] = {}
        self.source_ticks: dict[OtherSourceKind, Tick] = {}
        self.pairs: dict[ProvedPair, Choice] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        self.heading = plain(role="head")
        self.hint = plain()
        column.addWidget(self.heading)
        column.addWidget(self.hint)
        self.body, body = bare(self)
        column.addWidget(self.body)
        self._build_says(body)
        self._build_steps(body)
        self._build_foot(body)
        adapter.selected.connect(self._on_selected)
        adapter.changed.connect(self._on_changed)
        self._box = _box_of(adapter.home, adapter.selection)
        self._plan_again()

    # -- building -----------------------------------------------------------------------------------------------

    def _build_says(self, body: QVBoxLayout) -> None:
        self.skilled, inside = card("warn", self.body)
        inside.addWidget(plain("For a skilled person only: the cover comes off live parts.", "head"))
        body.addWidget(self.skilled)
        frame, inside = card(parent=self.body)
        self.says = plain()
        self.earlier = plain(role="faint")
        inside.addWidget(self.says)
        inside.addWidget(self.earlier)
        body.addWidget(frame)
        care, inside = card("warn", self.body)
        inside.addWidget(plain("\n".join(f"– {each}" for each in WARNINGS)))
        body.addWidget(care)
        self.one_way = Tick("One way alone (the exception)", self.body)
        self.one_way.toggled.connect(self._plan_again)
        body.addWidget(self.one_way)

    def _build_steps(self, body: QVBoxLayout) -> None:
        find, prove, off, lock, test, again = (step.words for step in STEPS)
        body.addWidget(plain(f"1  {find}"))
        body.addWidget(plain(f"2  {prove}"))
        self.instrument = Pick("Indicator used", self.body)
        self.instrument.currentIndexChanged.connect(self._on_touched)
        body.addWidget(self.instrument)
        self.before = self._tick("Proved before the tests", body)
        body.addWidget(plain(f"3  {off}"))
        self._off, self._off_column = bare(self.body)
        self._off_column.setSpacing(0)
        body.addWidget(self._off)
        body.addWidget(plain(f"4  {lock}"))
        self.locked = self._tick("Locked off and labelled", body)
        body.addWidget(plain(f"5  {test}"))
        for pair in PAIRS:
            body.addWidget(plain(_PAIR_WORDS[pair], "faint"))
            choice = Choice((("Dead", True), ("Live", False)), _PAIR_WORDS[pair], parent=self.body)
            choice.picked.connect(self._on_touched)
            self.pairs[pair] = choice
            body.addWidget(choice)
        body.addWidget(plain(f"6  {again}"))
        self.after = self._tick("Proved again after the tests", body)

    def _build_foot(self, body: QVBoxLayout) -> None:
        self.by = QLineEdit(self.body)
        self.by.setPlaceholderText("Who did it")
        self.by.setAccessibleName("Who proved it dead")
        body.addWidget(self.by)
        self.missing = plain(role="warn")
        body.addWidget(self.missing)
        self.record_button = Thumb("Record", strong=True, tall=True, parent=self.body)
        self.record_button.clicked.connect(self.record)
        body.addWidget(self.record_button)

    def _tick(self, text: str, body: QVBoxLayout) -> Tick:
        box = Tick(text, self.body)
        box.toggled.connect(self._on_touched)
        body.addWidget(box)
        return box

    # -- showing ------------------------------------------------------------------------------------------------

    @property
    def box(self) -> tuple[str, ...]:
        """The ids of the box that the card is about."""
        return self._box

    @property
    def plan(self) -> IsolationPlan | None:
        """What must be off for this box, None while no box is selected."""
        return self._plan

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        box = _box_of(self._adapter.home, ids)
        if box != self._box or self._plan is None:
            self._box = box
            self._clear()
            if self.isVisible():
                self._plan_again()

    def _on_changed(self) -> None:
        box = tuple(i for i in self._box if self._adapter.home.peek(i) is not None)
        if box != self._box:
            self._box = box
            self._clear()
        if self.isVisible():
            self._plan_again()

    def showEvent(self, event: QShowEvent) -> None:
        """Plan anew: the home may have changed while nobody looked."""
        super().showEvent(event)
        self._plan_again()

    def _clear(self) -> None:
        """Start the checklist anew: what was proved at one box says nothing of another."""
        for tick in (self.one_way, self.before, self.locked, self.after):
            tick.setChecked(False)
        for choice in self.pairs.values():
            choice.set_value(None)
        for tick in (*self.off_ticks.values(), *self.source_ticks.values()):
            tick.setChecked(False)

    def _plan_again(self) -> None:
        home = self._adapter.home
        self.body.setVisible(bool(self._box))
        names = " + ".join(way_name(home, i) if i.startswith("D") else i for i in self._box)
        self.heading.setText(f"Isolate and prove dead at {names}" if self._box else "Isolate and prove dead")
        show_text(self.hint, "" if self._box else "Choose the box first: a point, a way or a board.")
        if not self._box:
            self._plan = None
            return
        self._plan = plan_isolation(home, self._box, self._adapter.memo, self.one_way.isChecked(), self._adapter.trade)
        inside = any(isinstance(home.peek(i), Board | Device) for i in self._box)
        self.skilled.setVisible(inside)
        self.says.setText("\n".join(self._plan.says))
        self.one_way.setVisible(not inside)
        self._fill_off(self._plan)
        self._fill_instruments()
        show_text(self.earlier, "\n".join(self._earlier()))
        self._on_touched()

    def _fill_off(self, plan: IsolationPlan) -> None:
        if tuple(self.off_ticks) == plan.off and tuple(self.source_ticks) == plan.sources:
            return
        gone = {i for i, box in self.off_ticks.items() if box.isChecked()}
        away = {kind for kind, box in self.source_ticks.items() if box.isChecked()}
        empty(self._off_column)
        self.off_ticks, self.source_ticks = {}, {}
        home = self._adapter.home
        for device_id in plan.off:
            box = Tick(_start(f"{way_name(home, device_id)}: off"), self._off)
            box.setChecked(device_id in gone)
            box.toggled.connect(self._on_touched)
            self.off_ticks[device_id] = box
            self._off_column.addWidget(box)
        for source in plan.sources:
            box = Tick(f"{source}: off at its isolator", self._off)
            box.setChecked(source in away)
            box.toggled.connect(self._on_touched)
            self.source_ticks[source] = box
            self._off_column.addWidget(box)

    def _fill_instruments(self) -> None:
        known = [i for i in self._adapter.home.sorted(Instrument) if i.kind in _PROVES]
        wanted = [(f"{i.name or i.kind} ({i.id})", i.id) for i in known]
        wanted += [(f"New: {text}", f"+{kind}") for text, kind in _NEW]
        if wanted == [
            (self.instrument.itemText(n), self.instrument.itemData(n)) for n in range(self.instrument.count())
        ]:
            return
        chosen = self.instrument.currentData()
        self.instrument.clear()
        for text, data in wanted:
            self.instrument.addItem(text, data)
        self.instrument.setCurrentIndex(max(0, self.instrument.findData(chosen)))

    def _earlier(self) -> list[str]:
        home = self._adapter.home
        says = []
        for record in home.sorted(Isolation):
            if set(record.box) & set(self._box):
                words = "proved dead then" if is_proved(record, home) else "not every step recorded"
                says.append(f"{record.at[:16].replace('T', ' ')}: {words}. It says nothing of now; prove it again.")
        return says

    # -- recording ----------------------------------------------------------------------------------------------

    def draft(self) -> Isolation:
        """Give the record as the card stands."""
        return Isolation(
            id="J1",
            visit="V1",
            box=self._box,
            off=tuple(i for i, box in self.off_ticks.items() if box.isChecked()),
            sources_off=tuple(kind for kind, box in self.source_ticks.items() if box.isChecked()),
            locked=self.locked.isChecked(),
            proved_before=self.before.isChecked(),
            tests=tuple(
                ProvingTest(pair=pair, dead=bool(choice.value))
                for pair, choice in self.pairs.items()
                if choice.value is not None
            ),
            proved_after=self.after.isChecked(),
            at=now_text(),
            by=self.by.text().strip(),
        )

    def missing_now(self) -> tuple[str, ...]:
        """Give what is missing for "proved dead", a sentence each."""
        home, draft = self._adapter.home, self.draft()
        off = [i for i in self.off_ticks if i not in draft.off]
        more = [_start(f"{way_name(home, i)} isn't recorded as switched off.") for i in off] if draft.off else []
        return (*more, *missing_steps(draft, home))

    def _on_touched(self) -> None:
        missing = self.missing_now()
        show_text(self.missing, "\n".join(missing))
        live = any(choice.value is False for choice in self.pairs.values())
        if live:
            self.record_button.say("Record: found live, stop")
        elif missing:
            self.record_button.say(f"Record, not proved: {len(missing)} missing")
        else:
            self.record_button.say("Record: proved dead")

    def record(self) -> None:
        """Write the steps down as they were done."""
        if not self._box:
            self._adapter.refuse("Choose the box first: a point, a way or a board.")
            return
        missing, names = self.missing_now(), ", ".join(self._box)
        title = f"Isolation record at {names}, not complete" if missing else f"Proved dead at {names}"
        if self._adapter.do(_Recording(self.draft(), str(self.instrument.currentData() or ""), title)) is None:
            return
        self._adapter.say(
            f"Recorded at {names}, not as proved dead: {missing[0]}" if missing else f"Recorded: {names} proved dead."
        )
        self._clear()
        self._on_touched()


class _Recording:
    """Makes the change that records an isolation, with its visit and indicator where they are new."""

    def __init__(self, draft: Isolation, instrument: str, title: str) -> None:
        self.draft, self.instrument, self.title = draft, instrument, title

    def __call__(self, home: Home) -> Change:
        changes: list[Change] = []
        visit = visit_now(home)
        if visit is None:
            changes.append(start_visit(home, purpose="before work"))
            home = home.apply(changes[-1])
        visit_id = visit.id if visit is not None else changes[0].added()[0]
        instrument: str | None = self.instrument or None
        if self.instrument.startswith("+"):
            kind = cast(InstrumentKind, self.instrument[1:])  # the choice holds these words only
            changes.append(add_instrument(home, kind))
            home = home.apply(changes[-1])
            instrument = changes[-1].added()[0]
        draft = self.draft
        changes.append(
            record_isolation(
                home,
                visit_id,
                draft.box,
                draft.off,
                draft.tests,
                draft.locked,
                draft.proved_before,
                draft.proved_after,
                draft.sources_off,
                instrument,
                draft.by,
                draft.at,
            )
        )
        return combine(self.title, changes)


def is_proved(record: Isolation, home: Home) -> bool:
    """Whether every step of proving dead was recorded, other sources included."""
    return record.is_proved and not missing_steps(record, home)


def _start(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _box_of(home: Home, ids: tuple[str, ...]) -> tuple[str, ...]:
    """Give the boxes among what is selected: points with all that share their plate, ways, boards."""
    box: dict[str, None] = {}
    for record_id in ids:
        match home.peek(record_id):
            case Point(plate=str(plate)):
                box.update(dict.fromkeys(p.id for p in home.sorted(Point) if p.plate == plate and is_there(p)))
            case Plate():
                box.update(dict.fromkeys(p.id for p in home.sorted(Point) if p.plate == record_id and is_there(p)))
            case Point() | Device() | Board():
                box[record_id] = None
            case _:
                continue
    return tuple(box)
