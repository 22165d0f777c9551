"""The answer panel: whose turn it is, and buttons as large as a thumb for what was found there."""

from collections.abc import Callable
from typing import Final, cast

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QGridLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import kind_title
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Choice, Opener, Pick, Thumb, Tick, bare, card, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_state import answered_with, how_checked
from circuitmap.desk.visit_words import likely_words, would_settle
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Device, Point
from circuitmap.home.verbs import tags_of
from circuitmap.plan.where import room_of
from circuitmap.survey.kinds import is_way
from circuitmap.survey.lines import NOT_REACHED
from circuitmap.words import LocalSwitch, Outcome

REASONS: Final[tuple[tuple[str, str], ...]] = (
    ("Switched off\nat itself", "switched off at the point"),
    ("Lamp out or\nmissing", "lamp out or missing"),
    ("Timer, sensor or\nthermostat", "held off by a timer, sensor or thermostat"),
    ("Can't reach it", NOT_REACHED),
    ("Appliance in\nthe way", "an appliance stands in front of it"),
    ("Fuse in plug\nor unit", "the fuse in its plug or unit may have blown"),
    ("Runs on its\nown battery", "what is there runs on a battery"),
    ("Other…", ""),
)
SETTLED_TOO: Final = "Walk to settled points too"
_LOCAL: Final[tuple[tuple[str, object], ...]] = (
    ("On", "on"),
    ("Off", "off"),
    ("Both ways tried", "both ways tried"),
    ("Has no switch", "no switch"),
)
_SAID: Final[dict[Outcome, str]] = {
    "off": "went off",
    "still on": "still on",
    "faint glow": "faint glow",
    "can't tell": "can't tell",
}


class AnswerPanel(QWidget):
    """The point whose turn it is, and the answers; single keys work while it, or the plan, has the focus."""

    answered = Signal(str)

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Answers for the point whose turn it is")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._adapter, self._look, self._cursor = adapter, look, cursor
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        frame, inside = card(parent=self)
        inside.setSpacing(2)
        self.title = plain(role="title")
        self.where = plain()
        self.check_by = plain()
        self.likely = plain(role="faint")
        self.earlier = plain(role="faint")
        for label in (self.title, self.where, self.check_by, self.likely, self.earlier):
            inside.addWidget(label)
        self.together = Tick("", frame)
        self.together.setChecked(True)
        inside.addWidget(self.together)
        column.addWidget(frame)

        self._answers = self._build_answers()
        column.addWidget(self._answers)
        self._reasons = self._build_reasons()
        column.addWidget(self._reasons)
        self.more = Opener("Own switch, told elsewhere, seen to feed it", self)
        column.addWidget(self.more)
        self._extra = self._build_extra()
        column.addWidget(self._extra)
        self.more.toggled.connect(self._extra.setVisible)
        self._extra.hide()
        self._reasons.hide()
        self._shown = ""
        cursor.changed.connect(self.refresh)
        self.refresh()

    # -- building -----------------------------------------------------------------------------------------------

    def _build_answers(self) -> QWidget:
        widget = QWidget(self)
        grid = QGridLayout(widget)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(GAP_PX)
        self.off = self._thumb("Off  (O)", self.say_off, tall=True)
        self.on = self._thumb("Still on  (S)", self.say_on, tall=True)
        self.glow = self._thumb("Faint glow  (G)", self.say_glow)
        self.cant = self._thumb("Can't tell  (C)", self.ask_why)
        self.back = self._thumb("Take back  (⌫)", self.take_back)
        self.following = self._thumb("Next  (Space)", self.go_next)
        for number, thumb in enumerate((self.off, self.on, self.glow, self.cant, self.back, self.following)):
            grid.addWidget(thumb, number // 2, number % 2)
        return widget

    def _thumb(self, text: str, do: Callable[[], None], *, tall: bool = False) -> Thumb:
        thumb = Thumb(text, tall=tall, parent=self)
        thumb.clicked.connect(do)
        return thumb

    def _build_reasons(self) -> QWidget:
        frame, column = card(parent=self)
        column.addWidget(plain("Why can't it be told?", "head"))
        grid = QGridLayout()
        grid.setSpacing(GAP_PX // 2)
        column.addLayout(grid)
        self.reasons: list[Thumb] = []
        for number, (text, why) in enumerate(REASONS):
            thumb = Thumb(text, why, quiet=True, parent=frame)
            thumb.chosen.connect(self._on_reason)
            self.reasons.append(thumb)
            grid.addWidget(thumb, number // 2, number % 2)
        self.other = QLineEdit(frame)
        self.other.setPlaceholderText("What stood in the way")
        self.other.setAccessibleName("Reason why it can't be told")
        self.other.returnPressed.connect(self._on_other)
        self.other.hide()
        column.addWidget(self.other)
        self.leave_reasons = Thumb("Back to the answers", quiet=True, parent=frame)
        self.leave_reasons.clicked.connect(self.hide_reasons)
        column.addWidget(self.leave_reasons)
        return frame

    def _build_extra(self) -> QWidget:
        widget, column = bare(self)
        column.addWidget(plain("Its own switch, at the next answer", "head"))
        self.local = Choice(_LOCAL, "Its own switch", parent=widget)
        column.addWidget(self.local)
        column.addWidget(plain("Told at", "head"))
        self.via = Pick("Where it was told", widget)
        column.addWidget(self.via)
        column.addWidget(plain("A way was seen to feed it", "head"))
        self.feeder = Pick("Way that was seen to feed it", widget)
        column.addWidget(self.feeder)
        self.tag_button = Thumb("Write down that it feeds this", quiet=True, parent=widget)
        self.tag_button.clicked.connect(self._on_tag)
        column.addWidget(self.tag_button)
        self.tags = plain(role="faint")
        column.addWidget(self.tags)
        return widget

    # -- showing ------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the point whose turn it is."""
        cursor, home = self._cursor, self._adapter.home
        going = cursor.round
        point = home.find(Point, cursor.point)
        is_look = going is not None and not going.off
        self.off.say("Not on  (O)" if is_look else "Off  (O)")
        self.on.say("It is on  (S)" if is_look else "Still on  (S)")
        for thumb in (self.off, self.on, self.glow, self.cant, self.following):
            thumb.setEnabled(point is not None)
        self.back.setEnabled(bool(cursor.outcomes))
        if point is None:
            title, where = _without_point(home, has_answers=bool(cursor.points))
            self.title.setText(title)
            show_text(self.where, where)
            for label in (self.check_by, self.likely, self.earlier):
                show_text(label, "")
            self.together.hide()
            self.hide_reasons()
            self._extra.hide()
            self.more.hide()
            self._shown = ""
            return
        if point.id != self._shown:
            self._shown = point.id
            self.hide_reasons()
            self.local.set_value(None)
            self.together.setChecked(True)
            self._fill_choices(point)
        self.more.show()
        self._extra.setVisible(self.more.isChecked())
        self._show_point(point)

    def _show_point(self, point: Point) -> None:
        home, trade = self._adapter.home, self._adapter.trade
        room = room_of(home, self._adapter.memo, point)
        kind = kind_title(trade, point)
        load = next((each.name or each.what for each in point.loads if each.name or each.what), "")
        name = shorten(point.name or load, 40)
        self.title.setText(shorten(room.name, 40) if room is not None else "No room said")
        words = [point.id, name if name and name.lower() != kind else "", kind, shorten(point.where, 60)]
        show_text(self.where, " · ".join(word for word in words if word))
        show_text(self.check_by, f"Check it {how_checked(trade, point)}.")
        memo = self._adapter.memo
        found = self._cursor.outcomes.get(point.id)
        is_look = self._cursor.round is not None and not self._cursor.round.off
        says = [likely_words(home, memo, trade, point.id)]
        says += [] if is_look else [would_settle(home, memo, trade, point.id)]  # a look is at all
        show_text(self.likely, " ".join(each for each in says if each))
        said = {"off": "not on", "still on": "on"}.get(found or "") if is_look else None
        show_text(self.earlier, f"Answered: {said or _SAID[found]}. Another answer is kept beside it." if found else "")
        lights = self._lights(point.id)
        self.together.setVisible(len(lights) > 1)
        many = "both" if len(lights) == 2 else f"all {len(lights)}"
        self.together.say(f"For {many} lights of its switch")
        tags = tags_of(home, point.id)
        show_text(self.tags, "\n".join(f"{home.code(tag.device)} feeds it, {tag.evidence}." for tag in tags))

    def _lights(self, turn: str) -> tuple[str, ...]:
        points, done = self._cursor.points, self._cursor.outcomes
        lights = answered_with(self._adapter.home, self._adapter.trade, self._adapter.memo, turn)
        return tuple(i for i in lights if i == turn or (i in points and i not in done))

    def _fill_choices(self, point: Point) -> None:
        home, memo = self._adapter.home, self._adapter.memo
        room = room_of(home, memo, point)
        self.via.clear()
        self.via.addItem("This point itself", None)
        for other in home.sorted(Point):
            if (
                other.id != point.id
                and other.phase == "existing"
                and room is not None
                and room_of(home, memo, other) == room
            ):
                self.via.addItem(f"{other.id} · {kind_title(self._adapter.trade, other)}", other.id)
        self.feeder.clear()
        for device in home.sorted(Device):
            if is_way(device):
                self.feeder.addItem(f"{home.code(device.id)}  {shorten(device.label, 24)}".rstrip(), device.id)
        self.tag_button.setEnabled(self.feeder.count() > 0)

    # -- answering ----------------------------------------------------------------------------------------------

    def say_off(self) -> None:
        """Answer: it went off."""
        self._answer("off")

    def say_on(self) -> None:
        """Answer: it is still on."""
        self._answer("still on")

    def say_glow(self) -> None:
        """Answer: it glows faintly."""
        self._answer("faint glow")

    def ask_why(self) -> None:
        """Ask why it can't be told; the answer is the reason."""
        if not self._cursor.point:
            return
        self._answers.hide()
        self._reasons.show()
        self.setFocus()

    def hide_reasons(self) -> bool:
        """Go back from the reasons to the answers; say whether they were on show."""
        was_shown = not self._reasons.isHidden()
        self._reasons.hide()
        self.other.hide()
        self.other.clear()
        self._answers.show()
        return was_shown

    def go_next(self) -> None:
        """Go on without an answer, or press the button that has the focus."""
        self._cursor.next()

    def space(self) -> None:
        """Do what Space does: press the button that was tabbed to, or else go on to the next point."""
        focused = QApplication.focusWidget()
        if isinstance(focused, QAbstractButton) and self.isAncestorOf(focused):
            focused.click()
        else:
            self.go_next()

    def take_back(self) -> None:
        """Take the last answer back."""
        self._cursor.take_back()

    def _answer(self, outcome: Outcome, why: str = "") -> None:
        turn = self._cursor.point
        if not turn:
            self._adapter.refuse("No point has its turn; choose one on the plan.")
            return
        local = cast(LocalSwitch, self.local.value or "")  # the choice holds these words only
        via = self.via.currentData()
        together = self._lights(turn) if self.together.isChecked() else ()
        if why == NOT_REACHED:
            self._cursor.not_reached(why)
        else:
            self._cursor.answer(outcome, why, local, via if isinstance(via, str) else None, together)
        self.hide_reasons()
        self.setFocus()
        self.answered.emit(turn)

    def _on_reason(self, why: object) -> None:
        if why:
            self._answer("can't tell", str(why))
            return
        self.other.show()
        self.other.setFocus()

    def _on_other(self) -> None:
        why = self.other.text().strip()
        if why:
            self._answer("can't tell", why)

    def _on_tag(self) -> None:
        device = self.feeder.currentData()
        if isinstance(device, str):
            self._cursor.tag_point(device)


def _without_point(home: Home, *, has_answers: bool) -> tuple[str, str]:
    """Say why nobody's turn it is, and what to do about it."""
    if has_answers:
        return "Every point has its answer", ""
    if home.table(Point):
        return "Nothing new to walk to", f"No point would tell anything new. To look again, tick “{SETTLED_TOO}” below."
    return "No point to walk to", "Place points on the plan, or list them by room, first."
