"""The Survey stage: where the visit is, the next step in one sentence, and the cards of that step. Nothing is modal."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from circuitmap.desk.actions import Act
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import codes
from circuitmap.desk.consent import ConsentCard
from circuitmap.desk.isolation import IsolationCard
from circuitmap.desk.overdue import OverdueCard
from circuitmap.desk.sight import show_top, show_whole
from circuitmap.desk.stages.survey_acts import acts_of
from circuitmap.desk.stages.survey_after import PowerBack, Summary
from circuitmap.desk.stages.survey_clock import Clock, Waiting
from circuitmap.desk.stages.survey_events import Events, TrippedCard
from circuitmap.desk.stages.survey_hunt import HuntCard
from circuitmap.desk.stages.survey_propose import ProposeCard
from circuitmap.desk.stages.survey_sheet import SheetCard
from circuitmap.desk.stages.survey_start import PhasesPage, SourcesPage, StartPage
from circuitmap.desk.stages.survey_walk import SETTLED_TOO, AnswerPanel
from circuitmap.desk.stages.witness import Witnesses
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import SHEET, Opener, Thumb, Tick, bare, plain, show_text
from circuitmap.desk.visit import STAGE, Step, SurveyCursor
from circuitmap.desk.visit_hunt import Hunt
from circuitmap.desk.visit_state import answered_with, everything, is_closing
from circuitmap.survey.progress import counts, next_step
from circuitmap.words import written_day_said

_SAYS: Final[dict[Step, str]] = {
    "start": "Start the visit. Nothing is switched off before somebody has agreed.",
    "phases": "Look at the supply: how many phases come in?",
    "declined": "This survey is for single-phase homes only: with more phases two ways off can leave 400 V in a box.",
    "sources": "Ask before anything goes off: is there any other source of power?",
    "power": "Put the power back on first.",
    "summary": "The power is back on.",
}
# While the power is being put back, nothing else is to be done; typing in what is on paper waits until it is.
_SHEET_STEPS: Final[frozenset[Step]] = frozenset({"start", "look", "walk", "choose", "summary"})


class SurveyStage(QWidget):
    """The right-hand side while surveying."""

    left = Signal()  # Esc was pressed and nothing in here had a use for it

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
        self.clock = Clock(adapter, look, cursor, self)
        self.overdue = OverdueCard(adapter, cursor, self)
        column.addWidget(self.where)
        column.addWidget(self.clock)
        column.addWidget(self.overdue)
        column.addWidget(self.next_step)

        self.waiting = Waiting(adapter, look, cursor, self)
        self.hunt = Hunt(cursor, self)
        self.hunt_card = HuntCard(adapter, look, cursor, self.hunt, self)
        self.hunt_card.answered.connect(self.setFocus)
        self.witnesses = Witnesses(adapter, look, cursor, self)
        planned = cursor.planned
        self.propose = ProposeCard(adapter, look, cursor, planned, self) if planned is not None else None
        self.panel = AnswerPanel(adapter, look, cursor, self)
        self.start = StartPage(cursor, self)
        self.phases = PhasesPage(cursor, self)
        self.sources = SourcesPage(cursor, self)
        self.start_button, self.sources_button = self.start.button, self.sources.button
        self.phase_choice, self.source_ticks = self.phases.choice, self.sources.ticks
        self.begin_look = self._build_begin_look()
        self.choose = self._build_choose()
        self.consent = ConsentCard(adapter, look, cursor, self)
        self.tools, tools = bare(self)
        self.events = Events(adapter, look, cursor, self)
        self.tripped = TrippedCard(adapter, look, cursor, self)
        self.tripped.handled.connect(self.panel.setFocus)
        self.go_round = Thumb("Go round  (F9)", quiet=True, parent=self.tools)
        self._is_going_round = False
        self._asks = False
        self.witnesses.handled.connect(self.panel.setFocus)
        self.witnesses.went_out.connect(self._on_lamp_out)
        self.end = Thumb("Walk done: power back on  (E)", parent=self)
        self.end.clicked.connect(self.end_walk)
        self.all_points = Tick(SETTLED_TOO, self.tools)
        self.all_points.toggled.connect(cursor.set_walk_all)
        self.sheet = SheetCard(adapter, look, cursor, self)
        self.sheet.picked.connect(self._on_picked)
        self.events.handled.connect(self.panel.setFocus)
        for widget in (self.go_round, self.all_points):
            tools.addWidget(widget)
        self.power = PowerBack(adapter, look, cursor, self)
        self.summary = Summary(adapter, look, cursor, self)
        self._pages: tuple[tuple[QWidget, frozenset[Step]], ...] = (
            (self.start, frozenset({"start"})),
            (self.phases, frozenset({"phases", "declined"})),
            (self.sources, frozenset({"sources"})),
            (self.begin_look, frozenset({"look"})),
            (self.waiting, frozenset({"walk", "power"})),
            (self.hunt_card, frozenset({"choose", "walk", "power"})),
            (self.tripped, frozenset({"walk"})),
            (self.panel, frozenset({"look", "walk"})),
            (self.witnesses, frozenset({"walk", "power"})),
            *(((self.propose, frozenset[Step]({"choose"})),) if self.propose is not None else ()),
            (self.choose, frozenset({"choose"})),
            (self.consent, frozenset({"choose"})),
            (self.end, frozenset({"look", "walk"})),
            (self.power, frozenset({"power"})),
            (self.events, frozenset({"walk", "power"})),
            (self.tools, frozenset({"look", "walk"})),
            (self.summary, frozenset({"summary"})),
            (self.sheet, _SHEET_STEPS),
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
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self, self.escape)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        cursor.changed.connect(self.refresh)
        self.hunt.changed.connect(self.refresh)
        adapter.selected.connect(self._on_selected)
        cursor.step_changed.connect(self._on_step_changed)
        self._warming = self._soon(self._warm_up)
        self._picking = self._soon(self._show_picker)
        self._rising = self._soon(self._show_top)
        self.events.asked.connect(self._on_tripped_asked)
        self.tripped.handled.connect(self._show_top)
        cursor.point_changed.connect(self._on_point_changed)
        self.refresh()

    def _soon(self, do: Callable[[], None]) -> QTimer:
        """Give a timer that does something once what happens now has happened."""
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.timeout.connect(do)
        return timer

    @property
    def visit(self) -> SurveyCursor:
        """Where the visit stands."""
        return self._cursor

    # -- building -----------------------------------------------------------------------------------------------

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
        self.skip_look = Thumb("Go on without looking", quiet=True, parent=page)
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
        self.search = Thumb("", parent=page)
        self.search.clicked.connect(self.start_hunt)
        column.addWidget(self.search)
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
        if looking and going is None and self._adapter.stage == STAGE:
            self._warming.start()
        self._show_walk(step, is_on=step == "walk" or (looking and going is not None))
        asks = step == "choose" and bool(self._cursor.pending)
        if asks and not self._asks:
            self._rising.start()  # once it is laid out: what had the focus goes, and the panel would follow it down
        self._asks = asks
        self.consent.setVisible(asks)
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
            self.phases.show_step(is_asked=step == "phases")
        if step == "choose":
            proposal = self._cursor.proposal
            is_done = proposal is not None and proposal.kind == "done"
            self.how_to.setVisible(not self._cursor.pending and not is_done)
            self.look_again.setVisible(not self._cursor.pending)
            self.everything.setVisible(not self._cursor.pending)
            _make_strong(self.everything, is_strong=self.propose is None and not self._cursor.has_all_been_off)
            self._show_search()

    def _warm_up(self) -> None:
        """Work out the walk before it is begun, so that its first point is there at once."""
        if self._cursor.all_points:
            answered_with(self._adapter.home, self._adapter.trade, self._adapter.memo, self._cursor.all_points[0])

    def _show_walk(self, step: Step, *, is_on: bool) -> None:
        """Show the answers, unless something has to be said first, and what stands beside them."""
        cursor, searches = self._cursor, bool(self.hunt.point)
        waits = step in ("walk", "power") and (cursor.is_left_open or cursor.is_paused)
        self.waiting.setVisible(waits)
        if waits:
            self.power.hide()
        self.clock.setVisible(step in ("walk", "power") and not cursor.is_left_open)
        self.hunt_card.setVisible(searches and step in ("choose", "walk", "power") and not waits)
        was_hidden = self.panel.isHidden()
        is_shown = is_on and not waits and not searches and not cursor.out_now() and not cursor.is_trip_open
        self.tripped.setVisible(cursor.is_trip_open and not waits)
        if not is_shown and self.panel.hasFocus():
            self.setFocus()  # or Qt would give the focus to some button that Space then presses
        self.panel.setVisible(is_shown)
        if was_hidden and not self.panel.isHidden() and self.isVisible():
            self.panel.setFocus()
        self.tools.setVisible(is_on and not waits)
        closing = step == "power" and bool(cursor.round and is_closing(cursor.round))
        self.events.setVisible((step == "walk" or (step == "power" and not closing)) and not waits)
        self.end.setVisible(is_on and not waits and not searches)
        self.sheet.setVisible(step in _SHEET_STEPS and not (searches or waits or self._is_going_round))
        watches = step == "walk" or (step == "power" and cursor.is_look_due and not closing)
        has_some_on = not frozenset(everything(self._adapter.home)) <= frozenset(cursor.off)
        asks = waits or searches or bool(cursor.out_now()) or cursor.is_trip_open
        self.witnesses.setVisible(watches and has_some_on and not asks)
        if self.propose is not None:
            self.propose.setVisible(step == "choose" and not searches)

    def _show_search(self) -> None:
        chosen = self._adapter.selection
        can = len(chosen) == 1 and not self._cursor.pending and not self.hunt.point
        self.search.setVisible(can and not self.hunt.can_start(chosen[0]))
        if can:
            self.search.say(f"Find the way of {chosen[0]}:\none stands here, the other switches")
        if self.hunt.point:
            for widget in (self.how_to, self.everything, self.look_again):
                widget.hide()

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
                return f"Visit of {written_day_said(visit.day)}"
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
        return f"Visit of {written_day_said(visit.day)}"

    def _next(self, step: Step) -> str:
        cursor = self._cursor
        if self.hunt.point or (step in ("walk", "power") and (cursor.is_left_open or cursor.is_paused)):
            return ""
        if step == "power" and self.witnesses.reminder:
            return f"{self.witnesses.reminder} Then the power back on."
        if step in _SAYS:
            return _SAYS[step]
        if step == "walk":
            return self.witnesses.reminder or self._left_words() if cursor.points else ""
        if step == "look" and cursor.round is not None:
            return "" if cursor.left else "Everything was looked at: done looking."
        if step == "choose" and self.propose is not None:
            return ""
        if step == "choose" and cursor.pending:
            return f"Chosen: {codes(self._adapter.home, cursor.pending)}. Get it agreed."
        visit = cursor.visit
        return next_step(self._adapter.home, self._adapter.memo, self._adapter.trade, visit.id if visit else None)

    def _left_words(self) -> str:
        again = len(self._cursor.asked_again)
        if again:
            return f"{again} to be looked at again: {'its' if again == 1 else 'their'} answers were set aside."
        left = len(self._cursor.left)
        return "The last one." if left == 1 else f"{left} left to look at." if left else "Every point has its answer."

    def _on_step_changed(self, step: str) -> None:
        if self.isVisible():
            # What had the focus may just have gone; Qt would give it to some button that Space then presses.
            (self if self.panel.isHidden() else self.panel).setFocus()
        self._show_top()
        if step == "sources":
            self.sources.show_known()

    def _show_top(self) -> None:
        show_top(self)

    def _on_point_changed(self, point: str) -> None:
        if point and not self.sheet.isAncestorOf(QApplication.focusWidget() or self):
            self._show_top()

    def _on_tripped_asked(self) -> None:
        self._picking.start()

    def _show_picker(self) -> None:
        show_whole(self.events.picker)

    # -- what is pressed ----------------------------------------------------------------------------------------

    def end_walk(self) -> None:
        """End the walk, or the look with everything on."""
        if self._cursor.step == "look":
            self._cursor.end_look()
        else:
            self._cursor.end_walk()

    def _on_picked(self, _point: str) -> None:
        self.panel.setFocus()

    def _on_selected(self, _ids: object) -> None:
        if self._cursor.step == "choose":
            self._show_search()

    def _on_lamp_out(self, devices: object) -> None:
        self._cursor.back_to_walk()
        if isinstance(devices, tuple):
            self.events.ask_what_tripped(devices)

    def start_hunt(self) -> None:
        """Search for the way of the point that is selected."""
        self.hunt.start(self._adapter.selection[0] if len(self._adapter.selection) == 1 else "")
        self._show_top()

    def set_going_round(self, *, is_on: bool) -> None:
        """Leave out what a go-round has no use for, or have it again."""
        self._is_going_round = is_on
        self.go_round.say("Leave the go-round  (Esc)" if is_on else "Go round  (F9)")
        self.refresh()

    def escape(self) -> None:
        """Go back from the reasons to the answers, or leave the go-round."""
        if not self.panel.hide_reasons():
            self.left.emit()

    # -- actions ------------------------------------------------------------------------------------------------

    def key_owners(self) -> tuple[QWidget, ...]:
        """Give the widgets in which single keys answer; a line that is typed into keeps its letters."""
        return (self,)

    def acts(self) -> list[Act]:
        """Give the actions of this stage."""
        return acts_of(self)

    def is_surveying(self) -> bool:
        """Whether answers can be given at all."""
        return self._adapter.stage == STAGE and self._cursor.round is not None

    def can_type(self) -> bool:
        """Whether answers can be typed in from paper, now or for a switch-off whose power is back."""
        return self._adapter.stage == STAGE and self._cursor.step in _SHEET_STEPS and self.sheet.can_type()

    def can_answer(self) -> bool:
        """Whether it is some point's turn."""
        return self.is_surveying() and bool(self._cursor.point)

    def can_take_back(self) -> bool:
        """Whether there is an answer to take back."""
        return self.is_surveying() and bool(self._cursor.outcomes)

    def is_walking(self) -> bool:
        """Whether a switch-off is being walked."""
        return self._adapter.stage == STAGE and self._cursor.step == "walk"

    def can_say_tripped(self) -> bool:
        """Whether it can be said that something tripped: in the walk, or at the board before anything is on again."""
        return self._adapter.stage == STAGE and self._cursor.step in ("walk", "power") and not self.events.isHidden()

    def can_put_on_again(self) -> bool:
        """Whether something tripped in this walk and is off still."""
        return self.is_walking() and bool(self._cursor.tripped)

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

    def can_pause(self) -> bool:
        """Whether there is a walk that can wait."""
        return self.is_walking() and not self._cursor.is_left_open

    def turn_pause(self) -> None:
        """Let the walk wait, or go on with it."""
        if self._cursor.is_paused:
            self._cursor.resume()
        else:
            self._cursor.pause()

    def can_put_down(self) -> bool:
        """Whether something is proposed that can be put down."""
        return self._cursor.step == "choose" and self._cursor.proposal is not None and not self.hunt.point

    def can_hunt(self) -> bool:
        """Whether one point is selected whose way can be searched."""
        chosen = self._adapter.selection
        return len(chosen) == 1 and not self.hunt.can_start(chosen[0]) and not self.hunt.point

    def open_entry(self) -> None:
        """Go to the line that answers are typed into."""
        self.sheet.open_entry()

    def put_on_again(self) -> None:
        """Record that what tripped is on again."""
        self._cursor.put_on_again()
        self.panel.setFocus()

    def lamp_good(self) -> None:
        """Record that the lamps are still alight."""
        self.witnesses.say_good()


def _make_strong(thumb: Thumb, *, is_strong: bool) -> None:
    if thumb.property("strong") != is_strong:
        thumb.setProperty("strong", is_strong)
        thumb.style().polish(thumb)
