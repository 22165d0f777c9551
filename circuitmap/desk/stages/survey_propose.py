"""The card that proposes the next switch-off: what, what it is good for, how much is left, and by which method."""

from typing import Final, cast

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import codes, together_on_line
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Choice, Opener, Thumb, Tick, bare, card, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_plan import Planned
from circuitmap.home.records import Device, natural_key
from circuitmap.survey.method import MOST_INTERRUPTIONS, MOST_OFF, MethodKind
from circuitmap.survey.proposal import Proposal

METHOD_WORDS: Final[tuple[tuple[str, MethodKind], ...]] = (
    ("Fewest\nswitch-offs", "fewest rounds"),
    ("Gentle", "gentle"),
    ("One at a\ntime", "one at a time"),
    ("All off,\none on", "all off, one on"),
)
METHOD_SAYS: Final[dict[MethodKind, str]] = {
    "fewest rounds": "Several ways off together, so chosen that every point is told from the fewest walks.",
    "gentle": f"At most {MOST_OFF} off together; each listed load goes off {MOST_INTERRUPTIONS} times at most, "
    "never two of them at once.",
    "one at a time": "One way off per walk; points already settled are left out. The most walks, the least fuss.",
    "all off, one on": "For an empty home: all off, then one way on at a time; what is on proves its feed.",
}


class ProposeCard(QWidget):
    """The next switch-off as the planner would have it; the person may put it down, alter it, or choose otherwise."""

    def __init__(
        self, adapter: Adapter, look: Look, cursor: SurveyCursor, planned: Planned, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("Next switch-off, proposed")
        self._adapter, self._look, self._cursor, self._planned = adapter, look, cursor, planned
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        frame, inside = card(parent=self)
        inside.setSpacing(4)
        self.heading = plain("Next switch-off (proposed)", "head")
        self.says = plain()
        self.good_for = plain(role="faint")
        self.stays_on = plain(role="faint")
        for label in (self.heading, self.says, self.good_for, self.stays_on):
            inside.addWidget(label)
        self.put_down = Thumb("Put these down", strong=True, tall=True, parent=frame)
        self.put_down.clicked.connect(cursor.put_down)
        inside.addWidget(self.put_down)
        self.why_opener = Opener("Why these", frame)
        inside.addWidget(self.why_opener)
        self.why = plain(parent=frame)
        self.why.hide()
        inside.addWidget(self.why)
        self.why_opener.toggled.connect(self.why.setVisible)
        self.why_opener.setChecked(True)
        column.addWidget(frame)
        self.method_opener = Opener("Method", self)
        column.addWidget(self.method_opener)
        self._method, method = bare(self)
        self.method = Choice(METHOD_WORDS, "Method", parent=self._method)
        self.method.picked.connect(self._on_method)
        method.addWidget(self.method)
        self.method_says = plain(role="faint")
        method.addWidget(self.method_says)
        self.dark = Tick("After dusk: lights stay on where one walks", self._method)
        self.dark.toggled.connect(self._on_dark)
        method.addWidget(self.dark)
        self._method.hide()
        self.method_opener.toggled.connect(self._method.setVisible)
        column.addWidget(self._method)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Have the next switch-off worked out, if that is what comes next, and show it."""
        step = self._cursor.step
        self._show_method()
        if step not in ("choose", "summary") or self._adapter.stage != "survey":
            return
        visit = self._cursor.visit
        self._planned.ask(visit.id if visit is not None else None)
        pending, proposal = self._cursor.pending, self._planned.proposal
        is_altered = bool(pending) and (proposal is None or frozenset(pending) != frozenset(proposal.off))
        if is_altered:
            self._planned.ask_altered(pending, visit.id if visit is not None else None)
        self.put_down.setVisible(not pending and proposal is not None and _can_be_done(proposal))
        self.method_opener.setVisible(not pending)
        self._method.setVisible(not pending and self.method_opener.isChecked())
        if is_altered:
            self._show_altered(pending)
        elif proposal is None:
            self._show_waiting()
        else:
            self._show_proposal(proposal, is_chosen=bool(pending))

    def _show_waiting(self) -> None:
        self.heading.setText("Next switch-off (proposed)")
        self.says.setText(self._planned.failed or "Working out what to switch off next …")
        for label in (self.good_for, self.stays_on):
            show_text(label, "")
        self._show_why(())

    def _show_proposal(self, proposal: Proposal, *, is_chosen: bool) -> None:
        self.heading.setText("Chosen, as proposed" if is_chosen else _heading(proposal))
        says = [proposal.says]
        if proposal.sources_off:
            says.append(f"Also off, at their own isolators: {', '.join(proposal.sources_off)}.")
        self.says.setText(" ".join(says))
        show_text(self.good_for, "" if is_chosen else good_for(proposal))
        show_text(self.stays_on, "" if is_chosen else self._staying())
        self.put_down.say("Begin the look" if proposal.kind == "look" else "Put these down")
        self._show_why(() if is_chosen else proposal.why)

    def _show_altered(self, pending: tuple[str, ...]) -> None:
        altered = self._planned.altered
        self.heading.setText("Chosen otherwise than proposed")
        which = codes(self._adapter.home, pending)
        if altered is None:
            self.says.setText(f"Working out what {which} off would tell …")
        elif not altered.points:
            self.says.setText(f"With {which} off no point would tell anything new.")
        else:
            self.says.setText(altered.says)
        show_text(self.good_for, good_for(altered) if altered is not None and altered.points else "")
        show_text(self.stays_on, "")
        self._show_why(altered.why if altered is not None else ())

    def _staying(self) -> str:
        home = self._adapter.home
        kept = sorted((d.id for d in home.table(Device).values() if d.keep_on), key=natural_key)
        return f"Stays on, as its own page says: {codes(home, kept)}." if kept else ""

    def _show_why(self, why: tuple[str, ...]) -> None:
        self.why_opener.setVisible(bool(why))
        self.why.setText(together_on_line("\n".join(f"– {line}" for line in why)))
        self.why.setVisible(bool(why) and self.why_opener.isChecked())

    def _show_method(self) -> None:
        chosen = self._planned.method
        self.method.set_value(chosen.kind)
        self.method_says.setText(METHOD_SAYS[chosen.kind])
        words = next(text.replace("\n", " ") for text, kind in METHOD_WORDS if kind == chosen.kind)
        self.method_opener.rename(f"Method: {words[:1].lower()}{words[1:]}{', after dusk' if chosen.is_dark else ''}")
        with QSignalBlocker(self.dark):
            self.dark.setChecked(chosen.is_dark)

    def _on_method(self, kind: object) -> None:
        if kind is None:  # pressed again: one method is always chosen
            self._show_method()
            return
        self._planned.set_method(cast(MethodKind, kind))  # the choice holds these words only

    def _on_dark(self, is_dark: bool) -> None:
        self._planned.set_dark(is_dark=is_dark)


def good_for(proposal: Proposal) -> str:
    """Give in words what a proposal is expected to settle, and what is likely left with it counted."""
    if not _can_be_done(proposal):
        return ""
    parts = []
    if proposal.settles >= 0.5:
        many = round(proposal.settles)
        parts.append(f"Likely settles {many} point{'s' if many > 1 else ''}.")
    took = f"about {_minutes(proposal.minutes)} for this one, " if proposal.minutes else ""
    rounds = proposal.rounds_left
    if rounds:
        left = f"likely {rounds} switch-off{'s' if rounds > 1 else ''} and {_minutes(proposal.minutes_left)} left"
        parts.append(f"{took}{left}.".capitalize())
    return " ".join(parts)


def _minutes(minutes: float) -> str:
    whole = max(1, round(minutes))
    return f"{whole} min" if whole < 100 else f"{whole // 60} h {whole % 60} min"


def _heading(proposal: Proposal) -> str:
    match proposal.kind:
        case "done":
            return "Nothing is left to switch off"
        case "declined":
            return "No switch-off is proposed"
        case "look":
            return "Next: a look with everything on"
        case _:
            return "Next switch-off (proposed)"


def _can_be_done(proposal: Proposal) -> bool:
    return proposal.kind == "look" or bool(proposal.off)
