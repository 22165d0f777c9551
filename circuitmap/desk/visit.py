"""The cursor of the survey: where the visit stands, what is chosen to go off, and whose turn it is.

What is known comes from the records every time, so that undo, redo and a restart in the middle of a walk are all one.
Kept here is only what nobody has agreed to yet (the pending set) and where the person is looking.
"""

from collections.abc import Iterable

from PySide6.QtCore import QObject

from circuitmap.desk import visit_state as state
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.visit_plan import Planner
from circuitmap.desk.visit_view import STAGE, Step
from circuitmap.desk.visit_watch import VisitWatch
from circuitmap.home import Change, Home
from circuitmap.home.change import combine
from circuitmap.home.records import Check, Consent, Device, OtherSource, Point, Supply
from circuitmap.home.verbs import (
    add_limitation,
    open_round,
    record_check,
    record_event,
    remove,
    set_supply,
    start_visit,
    supply_of,
    tag,
)
from circuitmap.plan.where import storey_of
from circuitmap.survey.lines import NOT_REACHED
from circuitmap.words import LocalSwitch, OtherSourceKind, Outcome, Purpose

__all__ = ["STAGE", "Step", "SurveyCursor"]


class SurveyCursor(VisitWatch):
    """What the survey stage, the board strip and the canvas all follow."""

    def __init__(self, adapter: Adapter, parent: QObject | None = None, planner: Planner | None = None) -> None:
        super().__init__(adapter, parent, planner)
        self._batch = ("", "")  # title of the last answer for several points, and its last check
        self._said: tuple[str, str, frozenset[str]] = ("", "", frozenset())
        adapter.changed.connect(self._on_changed)
        adapter.selected.connect(self._on_selected)
        adapter.stage_changed.connect(self._on_stage_changed)
        self._settle()

    # -- starting -----------------------------------------------------------------------------------------------

    def start_visit(self, purpose: Purpose = "survey", by: str = "") -> None:
        """Start a visit today."""
        if self.visit is not None:
            self._adapter.refuse("A visit is going on already.")
            return
        self._adapter.do(_Starting(purpose, by))

    def set_phases(self, phases: int) -> None:
        """Record how many phases the supply has."""
        self._adapter.do(set_supply(self.home, phases=phases))

    def set_sources(self, kinds: Iterable[OtherSourceKind], *, asked: bool = True) -> None:
        """Record which other sources there are, keeping what is known of those already on the supply page."""
        supply = supply_of(self.home) or Supply(id="E1")
        wanted = dict.fromkeys(kinds)
        kept = [s for s in supply.sources if s.kind in wanted]
        known = {s.kind for s in kept}
        kept += [OtherSource(kind=kind) for kind in wanted if kind not in known]
        self._adapter.do(set_supply(self.home, sources=tuple(kept), sources_asked=asked))

    def start_look(self) -> None:
        """Begin the look at everything with the power on, or go back to it."""
        visit = self.visit
        if visit is None or state.round_open(self.home) is not None:
            self._adapter.refuse("Put the power back on first; a look with everything on needs everything on.")
            return
        self._past_look = ""
        look = state.look_of(self.home, visit.id)
        if look is None or any(r.off for r in state.rounds_of(self.home, visit.id)):
            self._adapter.do(open_round(self.home, visit.id))
        elif not state.is_looking(look):
            self._adapter.do(record_event(self.home, look.id, "resume"))
        self._settle()

    def end_look(self) -> None:
        """End the look with everything on; without one, go past it."""
        visit, going = self.visit, self.round
        if going is not None and not going.off:
            self._adapter.do(record_event(self.home, going.id, "pause"))
        elif visit is not None and state.round_open(self.home) is None:
            self._past_look = visit.id
        self._settle()

    # -- choosing what goes off ---------------------------------------------------------------------------------

    def toggle(self, device_id: str) -> None:
        """Take a device into what is to go off, or out of it; while the power comes back, put it on."""
        going = state.round_open(self.home)
        if going is not None:
            code = self.home.code(device_id)
            if self.step == "walk" and device_id in self.tripped:
                self.put_on_again((device_id,))
            elif self.step == "power" and device_id in state.closing_order(self.home, self._adapter.trade, self.off):
                self.turn_on(device_id)
            else:
                self._adapter.refuse(f"Switch-off {self.number} is open; put the power back on before choosing {code}.")
            self._refresh(force=True)
            return
        if device_id in self._pending:
            self._choose(tuple(i for i in self._pending if i != device_id))
            return
        why = state.why_not_off(self.home, self._adapter.trade, device_id) or self._not_yet()
        if why:
            self._adapter.refuse(why)
            self._refresh(force=True)
            return
        self._choose((*self._pending, device_id))

    def choose_everything(self) -> None:
        """Choose all that must go off so that nothing is on."""
        self.choose(state.everything(self.home))

    def choose(self, devices: tuple[str, ...]) -> None:
        """Choose some devices and no others; the first that must not go off refuses all of them."""
        why = self._not_yet()
        for device_id in devices:
            why = why or state.why_not_off(self.home, self._adapter.trade, device_id)
        if why:
            self._adapter.refuse(why)
            return
        self._choose(devices)

    def clear_pending(self) -> None:
        """Choose nothing."""
        self._choose(())

    def put_down(self) -> None:
        """Choose what the planner proposes; the person may alter it by the toggles of the board."""
        proposal, why = self.proposal, self._not_yet()
        if proposal is None or why:
            self._adapter.refuse(why or "It is being worked out what to switch off next.")
            return
        if proposal.kind == "look":
            self.start_look()
            return
        if not proposal.off:
            self._adapter.refuse(proposal.says)
            return
        self.choose(proposal.off)

    def _choose(self, devices: tuple[str, ...]) -> None:
        self._pending = devices
        self._settle()

    def _not_yet(self) -> str:
        match self.step:
            case "start":
                return "Start the visit first."
            case "phases":
                return "Say first whether the supply is single-phase."
            case "declined":
                return "The switch-off survey is for single-phase homes only."
            case "sources":
                return "Say first which other sources there are."
            case _:
                return ""

    def open(self, consent: Consent, sources_off: tuple[OtherSourceKind, ...] = ()) -> bool:
        """Open the switch-off that was agreed to; say whether it was opened."""
        visit = self.visit
        if visit is None or not self._pending or state.round_open(self.home) is not None or self._not_yet():
            self._adapter.refuse(self._not_yet() or "Choose on the board what is to go off.")
            return False
        going = self.round
        changes = []
        home = self.home
        if going is not None:
            changes.append(record_event(home, going.id, "pause"))
            home = home.apply(changes[-1])
        opening = open_round(home, visit.id, self._pending, sources_off, consent)
        if self.planned is not None:
            opening = state.asking(opening, self.asks_only or self.planned.points_for(self._pending, visit.id))
        changes.append(opening)
        pending, self._pending = self._pending, ()
        if self._adapter.do(combine(changes[-1].title, changes)) is None:
            self._pending = pending
            return False
        return True

    # -- walking ------------------------------------------------------------------------------------------------

    def set_walk_all(self, walk_all: bool) -> None:
        """Walk to settled points as well, or leave them out."""
        self._walk_all = walk_all
        self._settle()

    def answer(
        self,
        outcome: Outcome,
        why: str = "",
        local_switch: LocalSwitch = "",
        via: str | None = None,
        together: Iterable[str] = (),
    ) -> None:
        """Record what was found at the point whose turn it is, and at those answered together with it."""
        if not self._turn:
            self._adapter.refuse("It is nobody's turn; choose a point on the plan or in the list.")
            return
        self.answer_many([(i, outcome) for i in dict.fromkeys((self._turn, *together))], why, local_switch, via)

    def answer_many(
        self, answers: Iterable[tuple[str, Outcome]], why: str = "", local_switch: LocalSwitch = "",
        via: str | None = None,
    ) -> None:  # fmt: skip
        """Record what was found at several points, as one change."""
        going = self.round
        if going is None or (self.step == "power" and state.is_closing(going)):
            self._adapter.refuse("No walk is going on; answers belong to a switch-off or to the look beforehand.")
            return
        held_up = self.holds_up_answers(self.step)
        if held_up:
            self._adapter.refuse(held_up)
            return
        home, changes = self.home, list[Change]()
        for point, outcome in answers:
            changes.append(record_check(home, going.id, point, outcome, "", why, None, local_switch, via))
            home = home.apply(changes[-1])
        if not changes:
            return
        title = changes[0].title if len(changes) == 1 else f"{len(changes)} answers in switch-off {self.number}"
        self._batch = (title, home.sorted(Check)[-1].id)
        self._adapter.do(combine(title, changes))

    def not_reached(self, why: str) -> None:
        """Record that the point whose turn it is can't be reached: a limitation, so that later walks don't wait."""
        going, visit = self.round, self.visit
        if going is None or visit is None or not self._turn:
            return
        check = record_check(self.home, going.id, self._turn, "can't tell", why=why)
        changes = [check]
        if self._turn not in state.not_reached(self.home, visit.id):
            changes.append(add_limitation(self.home.apply(check), self._turn, NOT_REACHED, visit=visit.id))
        self._batch = (f"{self._turn} {why}", check.added()[0])
        self._adapter.do(combine(self._batch[0], changes))

    def next(self) -> None:
        """Go on to the next point that has no answer, without answering this one."""
        if self.round is None:
            return
        following = self._following(self._turn)
        if following == self._turn or not following:
            self._adapter.say("No other point is left in this walk.")
        self._go(following)

    def go_to(self, point_id: str) -> None:
        """Make it a point's turn, whether it has an answer or not."""
        going = self.round
        point = self.home.find(Point, point_id)
        if going is None or point is None or state.is_closing(going):
            return
        if not self._adapter.trade.point(point.kind).checkable and point.controls:
            left = [i for i in point.controls if i not in self.outcomes]
            point_id = (left or list(point.controls))[0]
        if point_id in self.all_points:
            self._ended = ""
            self._go(point_id)

    def take_back(self) -> None:
        """Take the last answer of this walk back."""
        going = self.round
        checks = state.checks_in(self.home, going.id) if going is not None else ()
        if not checks:
            self._adapter.say("There is no answer to take back in this walk.")
            return
        last = checks[-1]
        titles = {f"{last.point} {last.outcome}", f"{last.point} {last.why}"}
        if self._batch[1] == last.id:
            titles.add(self._batch[0])
        if self._adapter.document.undo_title in titles:
            self._adapter.undo()
            return
        gone = [last.id]
        if last.why == NOT_REACHED:
            gone += [i for i in self.home.used_by(last.point) if i.startswith("L")]
        self._adapter.do(remove(self.home, *gone, title=f"Take back {last.point} {last.outcome}"))

    def tag_point(self, device_id: str) -> None:
        """Say that a device was seen to feed the point whose turn it is."""
        visit = self.visit
        if self._turn and visit is not None:
            self._adapter.do(tag(self.home, self._turn, device_id, "seen", visit.id))

    def _following(self, after: str) -> str:
        order = self.points
        if after in order:
            at = order.index(after)
            order = (*order[at + 1 :], *order[: at + 1])
        done = self.done
        return next((i for i in order if i not in done), "")

    def _go(self, point_id: str) -> None:
        self._turn = point_id
        point = self.home.find(Point, point_id)
        storey = storey_of(self.home, self._adapter.memo, point) if point is not None else None
        if storey and self._adapter.stage == STAGE:
            self._adapter.set_storey(storey)
        self._refresh()

    # -- the power back on --------------------------------------------------------------------------------------

    def end_walk(self) -> None:
        """End the walk, whatever is left unanswered; the power comes back on next."""
        going = state.round_open(self.home)
        if going is not None:
            self._ended = going.id
            self._refresh()

    def trip(self, devices: tuple[str, ...], *, just_now: bool = True) -> None:
        """Record that some devices tripped; a walk that was ended goes on when answers are to be asked again."""
        super().trip(devices, just_now=just_now)
        if self.asked_again and self.step == "power" and not (self.round and state.is_closing(self.round)):
            self.back_to_walk()

    def back_to_walk(self) -> None:
        """Go back to a walk that was ended, as something in it is to be asked again."""
        self._ended = ""
        self._settle()

    def resume_walk(self) -> None:
        """Go back to the walk; when devices were put on again already, they are off no more."""
        going = state.round_open(self.home)
        self._ended = ""
        if going is not None and state.is_closing(going):
            self._adapter.refuse("Some of it is on again; put the rest on, then open another switch-off.")
        elif going is not None:
            self._go(self._following("") or next(iter(self.points), ""))

    def turn_on(self, device_id: str) -> None:
        """Record that a device was put on again."""
        self._event("on", (device_id,))

    def trip_on_closing(self, device_id: str) -> None:
        """Record that something tripped when a device was put on; it stays off."""
        self._event("trip on closing", (device_id,))

    def power_back(self) -> None:
        """Record that the power is back: the switch-off is over."""
        self._event("power back")
        self._ended = ""
        self._refresh()

    def go_on(self) -> None:
        """Leave the summary of the last switch-off behind."""
        last = self.last_closed
        self._seen = last.id if last is not None else ""
        self._refresh()

    # -- following ----------------------------------------------------------------------------------------------

    def _on_changed(self, change: Change | None) -> None:
        home = self.home
        if change is None:
            self._pending, self._ended, self._seen, self._past_look, self._walked = (), "", "", "", ""
        self._pending = tuple(i for i in self._pending if home.find(Device, i) is not None)
        if self._adapter.stage != STAGE:
            return  # nobody looks at the survey now; coming back to it reads the records again
        going = self.round
        if change is not None and going is not None and going.id == self._walked:
            came = [a.point for _b, a in change.pairs if isinstance(a, Check) and a.round == going.id]
            went = [b.point for b, a in change.pairs if isinstance(b, Check) and a is None and b.round == going.id]
            if came:
                self._go(self._following(came[0] if self._turn not in came else self._turn))
                return
            if went:
                self._ended = ""
                self._go(went[-1])
                return
        self._settle()

    def _on_stage_changed(self, stage: str) -> None:
        if stage == STAGE:
            self._settle()

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        if self._adapter.stage == STAGE and len(ids) == 1 and self.home.find(Point, ids[0]) is not None:
            self.go_to(ids[0])

    def _settle(self) -> None:
        going = self.round
        if going is None:
            self._walked = ""
            self._go("")
        elif going.id != self._walked:
            self._walked = going.id
            self._go(self._following(""))
        elif self.home.find(Point, self._turn) is None and (self._turn or self.left):
            self._go(self._following(""))
        else:
            self._refresh()

    def _refresh(self, *, force: bool = False) -> None:
        said = (self.step, self._turn if self.step in ("walk", "look") else "", self.shown_off)
        before, self._said = self._said, said
        if said[0] != before[0]:
            self.step_changed.emit(said[0])
        if said[1] != before[1]:
            self.point_changed.emit(said[1])
        if said[2] != before[2] or force:
            self.off_changed.emit(said[2])
        self.changed.emit()


class _Starting:
    """Makes the change that starts a visit on whatever the home is then."""

    def __init__(self, purpose: Purpose, by: str) -> None:
        self.purpose, self.by = purpose, by

    def __call__(self, home: Home) -> Change:
        return start_visit(home, purpose=self.purpose, by=self.by)
