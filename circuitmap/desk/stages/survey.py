"""The Survey stage: where the visit is, the next step in one sentence, and the cards of that step. Nothing is modal."""

from typing import Final, cast

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QGridLayout, QLineEdit, QScrollArea, QVBoxLayout, QWidget

from circuitmap.desk.actions import Act
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import codes
from circuitmap.desk.consent import ConsentCard
from circuitmap.desk.isolation import IsolationCard
from circuitmap.desk.stages.survey_after import PowerBack, Summary
from circuitmap.desk.stages.survey_events import Events, SheetCard
from circuitmap.desk.stages.survey_walk import AnswerPanel
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import SHEET, Choice, Opener, Thumb, Tick, bare, card, plain, show_text
from circuitmap.desk.visit import STAGE, Step, SurveyCursor
from circuitmap.home.verbs import supply_of
from circuitmap.survey.progress import counts, next_step
from circuitmap.words import OTHER_SOURCES, OtherSourceKind, Purpose

_PURPOSES: Final[tuple[tuple[str, object], ...]] = (
    ("Survey", "survey"),
    ("Before work", "before work"),
    ("After work", "after work"),
    ("Periodic", "periodic"),
)
_SOURCE_WORDS: Final[dict[OtherSourceKind, str]] = {
    "PV": "Solar panels",
    "battery": "Battery",
    "generator inlet": "Generator inlet",
    "vehicle to home": "Vehicle feeds back",
    "UPS": "UPS",
    "neighbour": "From a neighbour",
    "landlord": "Landlord’s supply",
    "off-peak": "Off-peak board",
    "second meter": "Second meter",
}
_SAYS: Final[dict[Step, str]] = {
    "start": "Start the visit. Nothing is switched off before somebody has agreed.",
    "phases": "Look at the supply: how many phases come in?",
    "declined": "This survey is for single-phase homes only: with more phases two ways off can leave 400 V in a box.",
    "sources": "Ask before anything goes off: is there any other source of power?",
    "power": "Put the power back on first.",
    "summary": "The power is back on.",
}


class SurveyStage(QWidget):
    """The right-hand side while surveying."""

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("survey-stage")
        self.setAccessibleName("Survey")
        self.setStyleSheet(SHEET)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self._adapter, self._look, self._cursor = adapter, look, cursor
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 12)
        column.setSpacing(GAP_PX)
        self.where = plain(role="head")
        self.next_step = plain()
        column.addWidget(self.where)
        column.addWidget(self.next_step)

        self.panel = AnswerPanel(adapter, look, cursor, self)
        self.start = self._build_start()
        self.phases = self._build_phases()
        self.sources = self._build_sources()
        self.begin_look = self._build_begin_look()
        self.choose = self._build_choose()
        self.consent = ConsentCard(adapter, look, cursor, self)
        self.tools, tools = bare(self)
        self.events = Events(adapter, look, cursor, self.tools)
        self.end = Thumb("Walk done: power back on  (E)", parent=self.tools)
        self.end.clicked.connect(self.end_walk)
        self.all_points = Tick("Walk to settled points too", self.tools)
        self.all_points.toggled.connect(cursor.set_walk_all)
        self.sheet = SheetCard(adapter, look, cursor, self.tools)
        self.sheet.picked.connect(self._on_picked)
        self.events.handled.connect(self.panel.setFocus)
        for widget in (self.end, self.events, self.sheet, self.all_points):
            tools.addWidget(widget)
        self.power = PowerBack(adapter, look, cursor, self)
        self.summary = Summary(adapter, look, cursor, self)
        self._pages: tuple[tuple[QWidget, frozenset[Step]], ...] = (
            (self.start, frozenset({"start"})),
            (self.phases, frozenset({"phases", "declined"})),
            (self.sources, frozenset({"sources"})),
            (self.begin_look, frozenset({"look"})),
            (self.panel, frozenset({"look", "walk"})),
            (self.choose, frozenset({"choose"})),
            (self.consent, frozenset({"choose"})),
            (self.tools, frozenset({"look", "walk"})),
            (self.power, frozenset({"power"})),
            (self.summary, frozenset({"summary"})),
        )
        for page, _ in self._pages:
            column.addWidget(page)
        self.open_isolation = Opener("Isolate and prove dead at a box", self)
        column.addWidget(self.open_isolation)
        self.isolation = IsolationCard(adapter, look, self)
        self.isolation.hide()
        self.open_isolation.toggled.connect(self.isolation.setVisible)
        column.addWidget(self.isolation)
        column.addStretch(1)
        # The plan pans while Space is held and says itself when it was only tapped; here a press is enough.
        space = QShortcut(QKeySequence(Qt.Key.Key_Space), self.panel, self.panel.space)
        space.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self.panel, self.panel.hide_reasons)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        cursor.changed.connect(self.refresh)
        cursor.step_changed.connect(self._on_step_changed)
        self.refresh()

    # -- building -----------------------------------------------------------------------------------------------

    def _build_start(self) -> QWidget:
        page, column = bare(self)
        column.addWidget(plain("What is the visit for?", "head"))
        self.purpose = Choice(_PURPOSES, "Purpose of the visit", parent=page)
        self.purpose.set_value("survey")
        column.addWidget(self.purpose)
        self.by = QLineEdit(page)
        self.by.setPlaceholderText("Who makes the visit (may stay empty)")
        self.by.setAccessibleName("Who makes the visit")
        column.addWidget(self.by)
        self.start_button = Thumb("Start the visit", strong=True, tall=True, parent=page)
        self.start_button.clicked.connect(self.start_visit)
        column.addWidget(self.start_button)
        frame, inside = card("warn", page)
        inside.addWidget(
            plain(
                "A point that went off is not proved dead: a lamp may have failed, a neutral may be borrowed. "
                "Before anything is opened, isolate and prove dead at that box."
            )
        )
        column.addWidget(frame)
        return page

    def _build_phases(self) -> QWidget:
        page, column = bare(self)
        self.phase_choice: dict[int, Thumb] = {}
        for phases, text in ((1, "One phase"), (2, "Two phases"), (3, "Three phases")):
            thumb = Thumb(text, phases, strong=phases == 1, tall=phases == 1, parent=page)
            thumb.chosen.connect(self._on_phases)
            self.phase_choice[phases] = thumb
            column.addWidget(thumb)
        column.addWidget(
            plain("One meter with one live tail and one neutral is one phase. Ask the supplier when in doubt.", "faint")
        )
        return page

    def _build_sources(self) -> QWidget:
        page, column = bare(self)
        column.addWidget(plain("The main switch does not isolate them. Tick each one there is."))
        grid = QGridLayout()
        grid.setSpacing(GAP_PX // 2)
        column.addLayout(grid)
        self.source_ticks: dict[OtherSourceKind, Tick] = {}
        for number, kind in enumerate(OTHER_SOURCES):
            box = Tick(_SOURCE_WORDS[kind], page)
            box.toggled.connect(self._on_source)
            self.source_ticks[kind] = box
            grid.addWidget(box, number // 2, number % 2)
        self.sources_button = Thumb("None of these", strong=True, tall=True, parent=page)
        self.sources_button.clicked.connect(self._on_sources)
        column.addWidget(self.sources_button)
        return page

    def _build_begin_look(self) -> QWidget:
        page, column = bare(self)
        self.look_says = plain(
            "Leave everything on and go round once: whatever is not on now would look as if it had gone off later. "
            "A point settles only when it was seen on and off in the same visit."
        )
        column.addWidget(self.look_says)
        self.look_button = Thumb("Begin the look", strong=True, tall=True, parent=page)
        self.look_button.clicked.connect(self._cursor.start_look)
        column.addWidget(self.look_button)
        self.skip_look = Thumb("Go on without", quiet=True, parent=page)
        self.skip_look.clicked.connect(self._cursor.end_look)
        column.addWidget(self.skip_look)
        return page

    def _build_choose(self) -> QWidget:
        page, column = bare(self)
        self.how_to = plain("Put down, on the board below, what is to go off. Nothing happens before it is agreed.")
        column.addWidget(self.how_to)
        self.everything = Thumb("Everything off", parent=page)
        self.everything.clicked.connect(self._cursor.choose_everything)
        column.addWidget(self.everything)
        self.look_again = Thumb("Look at everything with the power on", quiet=True, parent=page)
        self.look_again.clicked.connect(self._cursor.start_look)
        column.addWidget(self.look_again)
        return page

    # -- showing ------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the step that the visit is at."""
        step = self._cursor.step
        going = self._cursor.round
        for page, steps in self._pages:
            if page is not self.panel:
                page.setVisible(step in steps)
        looking = step == "look"
        self.begin_look.setVisible(looking and going is None)
        was_hidden = self.panel.isHidden()
        self.panel.setVisible(step == "walk" or (looking and going is not None))
        if was_hidden and not self.panel.isHidden() and self.isVisible():
            self.panel.setFocus()
        self.tools.setVisible(step == "walk" or (looking and going is not None))
        self.consent.setVisible(step == "choose" and bool(self._cursor.pending))
        self.events.setVisible(step == "walk")
        self._isolating(is_open=step not in ("look", "walk", "power") or going is None)
        self.end.say("Done looking  (E)" if looking else "End the walk: power back on  (E)")
        _make_strong(self.end, is_strong=looking and not self._cursor.left)
        left_out = self._cursor.settled_left_out
        with QSignalBlocker(self.all_points):
            self.all_points.setChecked(self._cursor.walks_all)
        self.all_points.setVisible(step == "walk" and (left_out > 0 or self._cursor.walks_all))
        self.where.setText(self._where(step))
        show_text(self.next_step, self._next(step))
        if step == "phases" or step == "declined":
            for phases, thumb in self.phase_choice.items():
                thumb.setVisible(step == "phases" or phases == 1)
            self.phase_choice[1].say("One phase" if step == "phases" else "It is one phase after all")
        if step == "choose":
            self.how_to.setVisible(not self._cursor.pending)
            self.look_again.setVisible(not self._cursor.pending)
            self.everything.setVisible(not self._cursor.pending)
            _make_strong(self.everything, is_strong=not self._cursor.has_all_been_off)

    def _isolating(self, *, is_open: bool) -> None:
        self.open_isolation.setVisible(is_open)
        self.isolation.setVisible(is_open and self.open_isolation.isChecked())

    def _where(self, step: Step) -> str:
        cursor, home = self._cursor, self._adapter.home
        visit, going = cursor.visit, cursor.round
        if visit is None:
            return "No visit is going on"
        if step == "look":
            done = len(cursor.outcomes)
            if going is None:
                return f"Visit of {visit.day}"
            return f"Everything on · {done} of {len(cursor.points)} seen"
        if step in ("walk", "power"):
            done = len(cursor.points) - len(cursor.left)
            walked = f" · {done} of {len(cursor.points)}" if step == "walk" else ""
            return f"Switch-off {cursor.number} of this visit: {codes(home, cursor.off) or 'nothing'} off{walked}"
        if step == "summary":
            return f"Switch-off {cursor.number - 1} of this visit is over"
        if step == "choose":
            known = counts(home, self._adapter.memo, self._adapter.trade)
            return f"Switch-off {cursor.number} · {known.settled} of {known.points} points settled"
        return f"Visit of {visit.day}"

    def _next(self, step: Step) -> str:
        if step in _SAYS:
            return _SAYS[step]
        cursor = self._cursor
        if step == "walk":
            return "" if cursor.points else "There is no point to walk to."
        if step == "look" and cursor.round is not None:
            return "" if cursor.left else "Everything was looked at: done looking."
        if step == "choose" and cursor.pending:
            return f"Chosen: {codes(self._adapter.home, cursor.pending)}. Get it agreed."
        visit = cursor.visit
        return next_step(self._adapter.home, self._adapter.memo, self._adapter.trade, visit.id if visit else None)

    def _on_step_changed(self, step: str) -> None:
        if self.isVisible():
            # What had the focus may just have gone; Qt would give it to some button that Space then presses.
            (self if self.panel.isHidden() else self.panel).setFocus()
        viewport = self.parentWidget()
        area = viewport.parentWidget() if viewport is not None else None
        if isinstance(area, QScrollArea):
            area.verticalScrollBar().setValue(0)
        if step == "sources":
            supply = supply_of(self._adapter.home)
            known = {s.kind for s in supply.sources} if supply is not None else set()
            for kind, box in self.source_ticks.items():
                box.setChecked(kind in known)

    # -- what is pressed ----------------------------------------------------------------------------------------

    def start_visit(self) -> None:
        """Start the visit with what the card says."""
        purpose = cast(Purpose, self.purpose.value or "survey")  # the choice holds these words only
        self._cursor.start_visit(purpose, self.by.text().strip())

    def end_walk(self) -> None:
        """End the walk, or the look with everything on."""
        if self._cursor.step == "look":
            self._cursor.end_look()
        else:
            self._cursor.end_walk()

    def _on_phases(self, phases: object) -> None:
        self._cursor.set_phases(cast(int, phases))  # the buttons hold numbers only

    def _on_source(self) -> None:
        some = any(box.isChecked() for box in self.source_ticks.values())
        self.sources_button.say("Write these down" if some else "None of these")

    def _on_sources(self) -> None:
        self._cursor.set_sources(kind for kind, box in self.source_ticks.items() if box.isChecked())

    def _on_picked(self, _point: str) -> None:
        self.panel.setFocus()

    # -- actions ------------------------------------------------------------------------------------------------

    def key_owners(self) -> tuple[QWidget, ...]:
        """Give the widgets in which single keys answer; a line that is typed into keeps its letters."""
        return (self,)

    def acts(self) -> list[Act]:
        """Give the actions of this stage; "check-next" has no key here, Space is the plan's and the panel's own."""
        panel, cursor = self.panel, self._cursor
        walks, surveys = self.can_answer, self.is_surveying
        return [
            Act("check-off", "Went off", "Survey", panel.say_off, "O", "Record: it went off", walks, scope="canvas",
                also=("check", "answer")),
            Act("check-on", "Still on", "Survey", panel.say_on, "S", "Record: it is still on", walks, scope="canvas",
                also=("check", "answer")),
            Act("check-glow", "Faint glow", "Survey", panel.say_glow, "G", "Record: a faint glow", walks,
                scope="canvas", also=("check", "answer")),
            Act("check-unknown", "Can't tell…", "Survey", panel.ask_why, "C", "Record that it can't be told, and why",
                walks, scope="canvas", also=("check", "answer", "not reached")),
            Act("check-next", "Next point", "Survey", panel.go_next, "", "Go on without an answer (Space)", walks,
                scope="canvas", also=("skip",)),
            Act("check-back", "Take back the last answer", "Survey", panel.take_back, "Backspace",
                "Take the last answer of this walk back", self.can_take_back, scope="canvas", also=("undo",)),
            Act("check-trip", "Something tripped…", "Survey", self.events.ask_what_tripped, "T",
                "Record what tripped during this switch-off", self.is_walking, scope="canvas", also=("rcd",)),
            Act("check-lamp", "The lamp is still alight", "Survey", self._lamp_good, "L",
                "Record that the lamp left on was looked at", self.is_walking, scope="canvas", also=("witness",)),
            Act("check-end", "End the walk", "Survey", self.end_walk, "E", "Go on to the power back on",
                self.can_end, scope="canvas", also=("done",)),
            Act("visit-start", "Start a visit", "Survey", self.start_visit, "", "", self.can_start),
            Act("visit-look", "Look at everything with the power on", "Survey", cursor.start_look, "", "",
                self.can_choose, also=("baseline",)),
            Act("visit-all-off", "Choose everything off", "Survey", cursor.choose_everything, "", "", self.can_choose),
            Act("visit-power", "The power is back on", "Survey", cursor.power_back, "", "", self.can_close),
            Act("visit-entry", "Quick entry of answers", "Survey", self._open_entry, "Ctrl+T",
                "Type answers by number, as on the paper sheet", surveys, also=("sheet", "paper")),
            Act("visit-sheet", "Print sheet to a file…", "Survey", self.sheet.ask_where, "Ctrl+Shift+T",
                "Write the survey's sheet to a text or table file", None, also=("paper", "csv")),
        ]  # fmt: skip

    def is_surveying(self) -> bool:
        """Whether answers can be given at all."""
        return self._adapter.stage == STAGE and self._cursor.round is not None

    def can_answer(self) -> bool:
        """Whether it is some point's turn."""
        return self.is_surveying() and bool(self._cursor.point)

    def can_take_back(self) -> bool:
        """Whether there is an answer to take back."""
        return self.is_surveying() and bool(self._cursor.outcomes)

    def is_walking(self) -> bool:
        """Whether a switch-off is being walked."""
        return self._adapter.stage == STAGE and self._cursor.step == "walk"

    def can_end(self) -> bool:
        """Whether there is a walk, or a look, to end."""
        return self.is_surveying() and self._cursor.step in ("walk", "look")

    def can_start(self) -> bool:
        """Whether no visit is going on."""
        return self._cursor.step == "start"

    def can_choose(self) -> bool:
        """Whether what goes off can be chosen."""
        return self._cursor.step in ("choose", "summary", "look") and not self._cursor.off

    def can_close(self) -> bool:
        """Whether the power is to come back on."""
        return self._cursor.step == "power"

    def _open_entry(self) -> None:
        self.sheet.open_entry()

    def _lamp_good(self) -> None:
        self._cursor.look_at_lamp(is_good=True)


def _make_strong(thumb: Thumb, *, is_strong: bool) -> None:
    if thumb.property("strong") != is_strong:
        thumb.setProperty("strong", is_strong)
        thumb.style().polish(thumb)
