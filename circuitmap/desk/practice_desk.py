"""What makes a window one of practice: the band over it, the look at what the house shows, how it went in the end."""

from typing import TYPE_CHECKING, Final, cast

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import QMenu

from circuitmap.desk.actions import Act
from circuitmap.desk.practice_card import Band, Column, LookCard, ResultCard, column_of
from circuitmap.desk.practice_house import House, Ready
from circuitmap.desk.practice_wanted import Shows
from circuitmap.desk.sight import show_top
from circuitmap.desk.visit import STAGE
from circuitmap.desk.visit_state import answered_with
from circuitmap.desk.work import Work
from circuitmap.home.records import Point, Round
from circuitmap.jobs import Ticket
from circuitmap.survey.method import Method, MethodKind
from circuitmap.survey.rehearsal.many import COMPARED, practise, spread
from circuitmap.survey.rehearsal.tally import Tally
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from circuitmap.desk.window import Window

_RUNS: Final = 5  # surveys by which the planner's own way is judged when looks go wrong
_MOST_LISTED: Final = 6
_SAYS: Final = "The house answers here. Nothing of it is the survey of a real home, and nothing is kept."
_TESTER: Final[dict[Shows, str]] = {
    "lit": "the tester is lit",
    "dark": "the tester stays dark",
    "faint": "the tester glows faintly",
}
_LAMP: Final[dict[Shows, str]] = {
    "lit": "its lamp is lit",
    "dark": "its lamp is dark",
    "faint": "its lamp glows faintly",
}
_LOAD: Final[dict[Shows, str]] = {
    "lit": "what it feeds runs",
    "dark": "what it feeds doesn't run",
    "faint": "what it feeds hums faintly",
}
_TITLES: Final[dict[MethodKind, str]] = {
    "fewest rounds": "Planner: fewest",
    "gentle": "Planner: gentle",
    "one at a time": "One at a time",
    "all off, one on": "Planner: one on",
}


class PracticeDesk(QObject):
    """What makes a window one of practice: the band, the look, the comparison at the end."""

    def __init__(self, window: "Window", ready: Ready) -> None:
        super().__init__(window)
        self.window, self.ready = window, ready
        self._adapter, self._cursor = window.adapter, window.cursor_
        self.house = House(ready, self._adapter.trade)
        self._shown_at = ("", "")  # the switch-off and point that the last look belongs to
        self._told_of: Round | None = None  # the switch-off as it was when lamps or board were looked at
        self._was_shown = False
        self._work: Work | None = None
        self._rows: dict[MethodKind, tuple[Tally, ...]] = {}
        self._progress = ""
        stage = window.survey_stage
        self.band = Band(window.look, _SAYS, window)
        window.addToolBar(Qt.ToolBarArea.TopToolBarArea, self.band)
        self.card, self.result = LookCard(window.look, stage), ResultCard(stage)
        column = column_of(stage)
        column.insertWidget(column.indexOf(stage.panel), self.card)
        column.insertWidget(0, self.result)
        self.result.hide()
        self.card.looked.connect(self.look)
        self.card.lamps_looked.connect(self.look_at_lamps)
        self.card.board_looked.connect(self.look_at_board)
        self.band.wants_result.connect(self.show_result)
        self.band.stopped.connect(window.close)
        self.result.closed.connect(self._on_put_away)
        self._cursor.changed.connect(self.refresh)
        self._cursor.point_changed.connect(self._on_point_changed)
        stage.hunt.changed.connect(self.refresh)
        self._add_acts()
        window.installEventFilter(self)
        self._adapter.set_stage(STAGE)
        self.refresh()

    def _add_acts(self) -> None:
        window = self.window
        acts = [
            Act("practice-look", "Look (practice)", "Survey", self.look, "K", "See what is shown at the point",
                self.can_look, scope="canvas", also=("tester", "lamp")),
            Act("practice-result", "How the practice went", "Survey", self.show_result, "", "Compare with the planner",
                also=("compare", "result")),
        ]  # fmt: skip
        window.actions_.add(acts, key_owner=(window.view, window.table.view, *window.survey_stage.key_owners()))
        menu = next((m for m in window.menuBar().findChildren(QMenu) if m.accessibleName() == "Survey"), None)
        for act in acts if menu is not None else ():
            cast(QMenu, menu).addAction(window.actions_[act.id])

    # -- the look -----------------------------------------------------------------------------------------------

    @property
    def point(self) -> str:
        """The point that a look is at: the one whose turn it is, or whose way is searched."""
        return self.window.survey_stage.hunt.point or self._cursor.point

    def can_look(self) -> bool:
        """Whether there is a point to be looked at now."""
        cursor = self._cursor
        return self._adapter.stage == STAGE and cursor.round is not None and cursor.step in ("look", "walk") and bool(
            self.point in self.ready.truth
        )  # fmt: skip

    def look(self) -> None:
        """Show what the tester, or the lamp, shows at the point; the answer stays the person's own."""
        going, home = self._cursor.round, self._adapter.home
        if going is None or not self.can_look():
            self._adapter.refuse("Begin a look or a switch-off first; then look at its points.")
            return
        watched = [witness.device for witness in self._cursor.witnesses]
        memo, trade = self._adapter.memo, self._adapter.trade
        together = [i for i in answered_with(home, trade, memo, self.point) if i in self.ready.truth]
        found = {i: self.house.look(home, memo, going, i, watched) for i in dict.fromkeys((self.point, *together))}
        self._shown_at = (going.id, self.point)
        said = (f"{i}: {_words(trade, home.take(Point, i), shows)}." for i, shows in found.items())
        self.card.tell("\n".join(said), found[self.point])
        self._back_to_answers()

    def look_at_lamps(self) -> None:
        """Show whether the lamps left on are alight."""
        going = self._cursor.round
        if going is None:
            return
        home, memo = self._adapter.home, self._adapter.memo
        said = []
        for witness in self._cursor.witnesses:
            alight = self.house.lamp(home, memo, going, witness.point)
            said.append(f"{witness.point} is {'alight' if alight else 'out'}")
        self.card.tell_beside(f"{'; '.join(said)}." if said else "No lamp was left on.")
        self._told_of = going
        self._back_to_answers()

    def look_at_board(self) -> None:
        """Show what is down at the board."""
        home = self._adapter.home
        down = self.house.down(home, self._cursor.round)
        tripped = self.house.trip
        named = ", ".join(home.code(i) + (" (tripped)" if i == tripped else "") for i in down)
        self.card.tell_beside(f"Down at the board: {named}." if named else "Nothing is down at the board.")
        self._told_of = self._cursor.round
        self._back_to_answers()

    def _back_to_answers(self) -> None:
        panel = self.window.survey_stage.panel
        if panel.isVisible():
            panel.setFocus()

    def _on_point_changed(self, _point: str) -> None:
        self.card.tell("", None)

    # -- following ----------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Follow the visit: what can be looked at now, what was put on again, whether all is done."""
        cursor = self._cursor
        self.house.follow(self._adapter.home)
        going = cursor.round
        if going is None or (going.id, self.point) != self._shown_at:
            self.card.tell("", None)
            self._shown_at = ("", "")
        if going is None or going != self._told_of:
            self.card.tell_beside("")  # something was done or found since
        is_out = cursor.step in ("walk", "power") and going is not None
        held_up = bool(cursor.out_now()) or cursor.is_trip_open
        has_beside = is_out and (cursor.is_look_due or held_up or cursor.step == "power")
        has_point = self.can_look() and not held_up
        self.card.setVisible(has_beside or has_point)
        self.card.set_for(has_point=has_point, has_beside=has_beside)
        if going is not None and self._rows:
            self.result.hide()  # its figures are of before
        proposal = cursor.proposal if cursor.step == "choose" else None
        is_done = proposal is not None and proposal.kind == "done" and bool(len(self._adapter.home.table(Round)))
        if is_done and not self._was_shown:
            self.show_result()

    # -- how it went --------------------------------------------------------------------------------------------

    def show_result(self) -> None:
        """Show how it went so far, and have the same home surveyed by the planner for comparison."""
        self._was_shown = True
        self._adapter.set_stage(STAGE)
        self.result.show()
        if not self._rows and self._work is None:
            self._compare()
        self._fill()
        show_top(self.window.survey_stage)

    def _compare(self) -> None:
        wanted, trade, ready = self.ready.wanted, self._adapter.trade, self.ready
        planned = self._cursor.planned
        kind = planned.method.kind if planned is not None else "fewest rounds"
        kinds = tuple(dict.fromkeys(("fewest rounds" if kind == COMPARED else kind, COMPARED)))
        runs = _RUNS if wanted.error or wanted.trips else 1

        def work(ticket: Ticket) -> object:
            tasks = [ready.task(number) for number in range(runs)]
            methods = [Method(each) for each in kinds]
            rows = practise(tasks, trade, methods, wanted.error, trips=wanted.trips, ticket=ticket, total=runs)
            return dict(zip(kinds, rows, strict=True))

        self._work = Work(work, self)
        self._work.done.connect(self._on_compared)
        self._work.failed.connect(self._adapter.refuse)
        self._work.ticked.connect(self._on_ticked)
        self._progress = "The planner surveys the same home …"
        self._work.start()

    def _on_ticked(self, done: int, total: int, _words: str) -> None:
        said = f"The planner surveys the same home: {done} of {total} …"
        if said != self._progress:
            self._progress = said
            self._fill()

    def _on_compared(self, rows: object) -> None:
        self._rows = cast("dict[MethodKind, tuple[Tally, ...]]", rows)  # what the work above gives
        self._progress, self._work = "", None
        self._fill()

    def _on_put_away(self) -> None:
        self.result.hide()
        if self._work is not None:
            self._work.stop()
            self._work, self._progress = None, ""

    def _fill(self) -> None:
        home, adapter = self._adapter.home, self._adapter
        known = adapter.deduced
        mine = self.house.count(home, adapter.memo, known)
        columns = [Column("You", _figures((mine,)))]
        columns += [Column(_TITLES[kind], _figures(row)) for kind, row in self._rows.items()]
        note = self._progress or "Minutes by the table of paces, as if everything had been walked to."
        if self._rows and len(next(iter(self._rows.values()))) > 1:
            note += f" The planner's figures are the median of {_RUNS} surveys."
        is_over = mine.doubtful == 0 or self._was_done()
        heading = "How the practice went" if is_over else f"So far: {mine.doubtful} of {mine.points} points in doubt"
        self.result.show_columns(heading, columns, note, self._lists())

    def _was_done(self) -> bool:
        proposal = self._cursor.proposal
        return self._cursor.step == "choose" and proposal is not None and proposal.kind == "done"

    def _lists(self) -> list[str]:
        home = self._adapter.home
        wrong, settled = self.house.answered_wrongly(home), self.house.settled_wrongly(home, self._adapter.deduced)
        said = _some("Answered wrongly:", wrong) + _some("Settled wrongly:", settled)
        if not wrong and len(self.house.shown):
            said.append("Every answer was what the look showed.")
        misled = [f"{point}: {why}." for (_, point), why in self.house.misled.items()]
        said += _some("Where the house misled you:", list(dict.fromkeys(misled)))
        if self.house.trip_round:
            found = self.house.trip_found
            said.append("The tripped RCD was found." if found else "An RCD tripped, and it wasn't written down.")
        return said

    # -- the end ------------------------------------------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stop what is being worked out when the window is closed."""
        if watched is self.window and event.type() == QEvent.Type.Close and self._work is not None:
            self._work.stop()
        return super().eventFilter(watched, event)


def _words(trade: Trade, point: Point, shows: Shows) -> str:
    checked = trade.point(point.kind).checked
    return (_TESTER if checked == "plug-in tester" else _LOAD if checked == "at load" else _LAMP)[shows]


def _figures(row: "tuple[Tally, ...]") -> tuple[str, ...]:
    def middle(values: list[float]) -> str:
        return f"{spread(values).median:.0f}"

    return (
        middle([t.rounds for t in row]),
        middle([t.checks for t in row]),
        middle([t.minutes for t in row]),
        middle([t.wrong for t in row]),
        middle([t.doubtful for t in row]),
    )


def _some(title: str, sentences: "tuple[str, ...] | list[str]") -> list[str]:
    if not sentences:
        return []
    more = len(sentences) - _MOST_LISTED
    return [title, *(f"– {each}" for each in sentences[:_MOST_LISTED]), *([f"– and {more} more"] if more > 0 else [])]
