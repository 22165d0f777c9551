"""Where a visit stands on the desk, to be read only: its step, its walk, what is off, whose turn it is."""

from collections.abc import Callable, Mapping
from typing import Final, Literal, TypeVar, cast

from PySide6.QtCore import QObject, Signal

from circuitmap.desk import visit_state as state
from circuitmap.desk.adapter import Adapter
from circuitmap.home import Home
from circuitmap.home.records import Round, Visit
from circuitmap.home.verbs import supply_of
from circuitmap.words import Outcome

Step = Literal["start", "phases", "declined", "sources", "look", "choose", "walk", "power", "summary"]
STAGE: Final = "survey"
Kind = TypeVar("Kind")


class VisitView(QObject):
    """The readable half of the survey's cursor: records first, and what nobody has agreed to yet."""

    changed = Signal()  # anything that the stage shows
    step_changed = Signal(str)
    point_changed = Signal(str)  # whose turn it is, empty when nobody's
    off_changed = Signal(object)  # frozenset of device ids to be shown down: what is off, or what is chosen to go off

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._pending: tuple[str, ...] = ()
        self._turn = ""
        self._walked = ""  # the switch-off that the turn belongs to
        self._ended = ""  # the switch-off whose walk the person has ended
        self._past_look = ""  # the visit whose look with everything on is being left out
        self._seen = ""  # the switch-off whose summary was read
        self._walk_all = False
        self._read_from: tuple[object, ...] = ()
        self._read: dict[str, object] = {}

    def _once(self, name: str, make: Callable[[], Kind]) -> Kind:
        """Read something off the records once for as long as they, and what the person chose, are the same."""
        source = (self.home, self._adapter.deduced, self._past_look, self._walk_all)
        if len(self._read_from) != len(source) or any(a is not b for a, b in zip(self._read_from, source, strict=True)):
            self._read_from, self._read = source, {}
        if name not in self._read:
            self._read[name] = make()
        return cast(Kind, self._read[name])  # each name holds what its own reader made

    # -- where the visit stands ---------------------------------------------------------------------------------

    @property
    def adapter(self) -> Adapter:
        """The window's link to the document."""
        return self._adapter

    @property
    def home(self) -> Home:
        """The home as it is now."""
        return self._adapter.home

    @property
    def visit(self) -> Visit | None:
        """The visit that is going on, or None before it is started."""
        return state.visit_now(self.home)

    @property
    def round(self) -> Round | None:
        """What is being walked: the open switch-off, or the look with everything on."""
        going = state.round_open(self.home)
        if going is not None:
            return going
        visit = self.visit
        look = state.look_of(self.home, visit.id) if visit is not None else None
        if visit is None or look is None or not state.is_looking(look) or self.is_past_look:
            return None
        return look

    @property
    def step(self) -> Step:
        """What comes next."""
        going = state.round_open(self.home)
        if going is not None:
            return self._step_of(going)
        visit = self.visit
        if visit is None:
            return "start"
        supply = supply_of(self.home)
        if supply is None or supply.phases is None:
            return "phases"
        if supply.phases != 1:
            return "declined"
        if not supply.sources_asked:
            return "sources"
        if self.round is not None:
            return "look"
        look = state.look_of(self.home, visit.id)
        if look is None and not self.is_past_look and not self._pending:
            return "look"
        last = self.last_closed
        if last is not None and last.id != self._seen and not self._pending:
            return "summary"
        return "choose"

    def _step_of(self, going: Round) -> Step:
        if state.is_closing(going) or self._ended == going.id:
            return "power"
        return "power" if self.points and not self.left and not self._turn else "walk"

    @property
    def is_past_look(self) -> bool:
        """Whether the visit has gone past its look with everything on."""
        visit = self.visit
        if visit is None:
            return False
        return self._past_look == visit.id or any(r.off for r in state.rounds_of(self.home, visit.id))

    @property
    def last_closed(self) -> Round | None:
        """The visit's last switch-off, if its power is back."""
        visit = self.visit
        if visit is None:
            return None
        closed = [r for r in state.rounds_of(self.home, visit.id) if r.off]
        return closed[-1] if closed and state.round_open(self.home) is None else None

    @property
    def number(self) -> int:
        """Which switch-off of the visit is open, or would be opened next."""
        going = state.round_open(self.home)
        if going is not None:
            return state.number_of(self.home, going)
        visit = self.visit
        return 1 + sum(1 for r in state.rounds_of(self.home, visit.id) if r.off) if visit is not None else 1

    @property
    def off(self) -> tuple[str, ...]:
        """The devices that are off as things stand."""
        going = state.round_open(self.home)
        return state.off_now(going) if going is not None else ()

    @property
    def shown_off(self) -> frozenset[str]:
        """The devices to be shown down: those that are off, or those chosen to go off."""
        return frozenset(self.off or self._pending)

    @property
    def has_all_been_off(self) -> bool:
        """Whether everything was off together in this visit."""
        visit = self.visit
        need = frozenset(state.everything(self.home))
        if visit is None or not need:
            return False
        return any(need <= frozenset(r.off) for r in state.rounds_of(self.home, visit.id))

    @property
    def pending(self) -> tuple[str, ...]:
        """The devices chosen to go off, to which nobody has agreed yet."""
        return self._pending

    @property
    def point(self) -> str:
        """The id of the point whose turn it is, empty when nobody's."""
        return self._turn

    @property
    def all_points(self) -> tuple[str, ...]:
        """All points that can be checked, in walk order."""
        return state.walkable(self.home, self._adapter.trade, self._adapter.memo)

    @property
    def points(self) -> tuple[str, ...]:
        """The points of this walk, in walk order: those it was opened for, or else all that are not settled yet."""
        return self._once("points", self._points)

    def _points(self) -> tuple[str, ...]:
        order = self.all_points
        going = self.round
        if going is None or not going.off or self._walk_all:
            return order
        if state.asked_points(going):
            return self._asked(going, frozenset(order))
        deduced = self._adapter.deduced
        seen = {c.point for c in state.checks_in(self.home, going.id)}
        shut = state.not_reached(self.home, going.visit)
        settled = {i for i, known in deduced.items() if known.verdict == "settled"}
        return tuple(i for i in order if i in seen or i not in settled | shut)

    def _asked(self, going: Round, known: frozenset[str]) -> tuple[str, ...]:
        """Give what a switch-off was opened for, and what was answered in it beside that, if it can be looked at."""
        seen = self.outcomes
        shut = state.not_reached(self.home, going.visit)
        wanted = dict.fromkeys((*state.asked_points(going), *seen))
        return tuple(i for i in wanted if i in known and (i in seen or i not in shut))

    @property
    def settled_left_out(self) -> int:
        """How many points are left out of this walk: settled, out of reach, or of no use to this switch-off."""
        return len(self.all_points) - len(self.points)

    @property
    def walks_all(self) -> bool:
        """Whether settled points are walked to as well."""
        return self._walk_all

    @property
    def outcomes(self) -> Mapping[str, Outcome]:
        """What was found in this walk, the last answer of each point."""
        return self._once("outcomes", self._outcomes)

    def _outcomes(self) -> Mapping[str, Outcome]:
        going = self.round
        return {c.point: c.outcome for c in state.checks_in(self.home, going.id)} if going is not None else {}

    @property
    def seen_on(self) -> frozenset[str]:
        """The points that were seen on at any time in this visit."""
        return self._once("seen on", self._seen_on)

    def _seen_on(self) -> frozenset[str]:
        visit = self.visit
        rounds = state.rounds_of(self.home, visit.id) if visit is not None else ()
        return frozenset(c.point for r in rounds for c in state.checks_in(self.home, r.id) if c.outcome == "still on")

    @property
    def left(self) -> tuple[str, ...]:
        """The points of this walk that have no answer yet."""
        return self._once("left", lambda: self._left(self.points))

    @property
    def ahead(self) -> tuple[str, ...]:
        """The points still to be walked to, as they follow each other: first the one whose turn it is."""
        if not self._turn or self.step not in ("walk", "look"):
            return ()
        order, done = self.points, self.done
        at = order.index(self._turn) if self._turn in order else 0
        rest = (i for i in (*order[at:], *order[:at]) if i not in done and i != self._turn)
        return (self._turn, *rest)

    @property
    def asked_again(self) -> frozenset[str]:
        """The points of this walk whose answers were set aside: they are to be looked at once more."""
        return self._once("asked again", self._asked_again)

    def _asked_again(self) -> frozenset[str]:
        going = self.round
        if going is None or not going.off:
            return frozenset()
        return state.asked_again(self.home, self._adapter.memo, going)

    @property
    def done(self) -> frozenset[str]:
        """The points of this walk whose answers count."""
        return self._once("done", lambda: frozenset(self.outcomes) - self.asked_again)

    def _left(self, order: tuple[str, ...]) -> tuple[str, ...]:
        done = self.done
        return tuple(i for i in order if i not in done)
