"""The part of the cursor that watches a switch-off while it lasts: how long, what still is alight, whether it waits."""

from PySide6.QtCore import QObject

from circuitmap.desk import visit_state as state
from circuitmap.desk import visit_time as time
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import codes
from circuitmap.desk.visit_plan import Planned, Planner
from circuitmap.desk.visit_view import Step, VisitView
from circuitmap.home.change import combine
from circuitmap.home.records import Point, Round, RoundEvent
from circuitmap.home.verbs import record_event
from circuitmap.plan.where import room_of
from circuitmap.survey.proposal import Proposal, Witness
from circuitmap.words import EventWhat

_LOOKS = ("look good", "look out")


class VisitWatch(VisitView):
    """What goes on beside the answers of a switch-off; all of it is read off its record."""

    def __init__(self, adapter: Adapter, parent: QObject | None = None, planner: Planner | None = None) -> None:
        super().__init__(adapter, parent)
        self.planned: Planned | None = Planned(adapter, planner, self) if planner is not None else None
        if self.planned is not None:
            self.planned.changed.connect(self.changed)
        self.asks_only: tuple[str, ...] = ()  # the points that a switch-off asks for while one is searched for
        self._watched: tuple[str, tuple[str, ...], tuple[Witness, ...]] = ("", (), ())

    # -- the next switch-off ------------------------------------------------------------------------------------

    @property
    def proposal(self) -> Proposal | None:
        """What the planner proposes to switch off next, None while that is being worked out."""
        return self.planned.proposal if self.planned is not None else None

    # -- how long -----------------------------------------------------------------------------------------------

    @property
    def elapsed(self) -> str:
        """How long something has been off in the open switch-off, in words; empty when nothing is."""
        going = state.round_open(self.home)
        if going is None:
            return ""
        seconds = time.seconds_since(time.off_since(going), time.now())
        return "" if seconds is None else time.elapsed_words(seconds)

    @property
    def is_left_open(self) -> bool:
        """Whether the open switch-off was left half a day ago or more, so that nobody knows what is off now."""
        return time.is_left_open(self.home, state.round_open(self.home), time.now())

    @property
    def left_open_says(self) -> str:
        """What to ask about a switch-off that was left open, in a sentence."""
        going = state.round_open(self.home)
        if going is None:
            return ""
        since = time.day_words(time.off_since(going))
        off = codes(self.home, state.off_now(going))
        return f"Switch-off {going.id} has been open since {since} ({off} off); is the power back on?"

    def say_left_open(self) -> None:
        """Say that a switch-off was left open, if one was."""
        if self.is_left_open:
            self._adapter.say(self.left_open_says)

    # -- waiting ------------------------------------------------------------------------------------------------

    @property
    def is_paused(self) -> bool:
        """Whether the walk waits until somebody goes on with it; what is off stays off."""
        going = state.round_open(self.home)
        return going is not None and state.is_paused(going)

    def pause(self) -> None:
        """Let the walk wait."""
        if not self.is_paused:
            self._event("pause")

    def resume(self) -> None:
        """Go on with a walk that waited, or that was left open and is as it was."""
        self._event("resume")

    # -- the lamps that are watched -----------------------------------------------------------------------------

    @property
    def witnesses(self) -> tuple[Witness, ...]:
        """The points watched in the open switch-off, one for each RCD that is still on."""
        going = state.round_open(self.home)
        if going is None or self.planned is None:
            return ()
        off = state.off_now(going)
        if self._watched[:2] != (going.id, off):
            self._watched = (going.id, off, self.planned.witnesses_for(off))
        # A lamp that was looked at stays where it is, whatever the planner would choose by now.
        stood = {i: p for e in going.events if e.what in _LOOKS for i, p in zip(e.devices, e.points, strict=False)}
        known = {w.device: w for w in self._watched[2]}
        for device, point in stood.items():
            if device in known and self.home.find(Point, point) is not None:
                known[device] = Witness(device, point)
        return tuple(known.values())

    def last_look(self, witness: Witness | None = None) -> RoundEvent | None:
        """Give the last look at a lamp in the open switch-off, or at any (None)."""
        going = state.round_open(self.home)
        for event in reversed(going.events if going is not None else ()):
            if event.what in _LOOKS and (witness is None or not event.points or witness.point in event.points):
                return event
        return None

    @property
    def is_look_due(self) -> bool:
        """Whether a lamp wants looking at: at first, in another room than at the last look, and at the end."""
        going = state.round_open(self.home)
        if going is None or self.step not in ("walk", "power"):
            return False
        watched: tuple[Witness | None, ...] = self.witnesses or (None,)
        return any(self._is_due(going, witness) for witness in watched)

    def _is_due(self, going: Round, witness: Witness | None) -> bool:
        last = self.last_look(witness)
        if last is None:
            return True
        here = self._room(self._turn)
        since = [c for c in state.checks_in(self.home, going.id) if c.at > last.at]
        return any(not self._turn or self._room(check.point) != here for check in since)

    def _room(self, point_id: str) -> str:
        point = self.home.find(Point, point_id)
        room = room_of(self.home, self._adapter.memo, point) if point is not None else None
        return room.id if room is not None else ""

    def out_now(self) -> tuple[RoundEvent, ...]:
        """Give the looks that found a lamp out and that nothing has explained yet."""
        going = state.round_open(self.home)
        out: dict[tuple[str, ...], RoundEvent] = {}
        for event in going.events if going is not None else ():
            if event.what == "look out":
                out[event.points] = event
            elif event.what == "look good":
                out = {p: e for p, e in out.items() if event.points and not set(p) & set(event.points)}
            elif (event.what == "trip" and event.devices) or event.what in ("on", "power back"):
                out = {}
        return tuple(out.values())

    def look_at_lamp(self, *, is_good: bool, witnesses: tuple[Witness, ...] = ()) -> None:
        """Record whether the lamps left in points that are on were still alight; all of them when none is named."""
        chosen = witnesses or (self.witnesses if is_good else ())
        devices, points = tuple(w.device for w in chosen), tuple(w.point for w in chosen)
        self._event("look good" if is_good else "look out", devices, points)

    # -- what happens -------------------------------------------------------------------------------------------

    @property
    def tripped(self) -> tuple[str, ...]:
        """The devices that tripped in this walk and are off still."""
        going = state.round_open(self.home)
        return state.tripped_now(going) if going is not None else ()

    @property
    def is_trip_open(self) -> bool:
        """Whether it is to be said whether what tripped is on again."""
        going = state.round_open(self.home)
        return going is not None and self.step == "walk" and state.is_trip_open(going)

    def trip(self, devices: tuple[str, ...], *, just_now: bool = True) -> None:
        """Record that some devices tripped: they are off from here on.

        When nobody knows since when, the answers since their lamp was last seen alight are set aside, as when the
        lamp itself was found out.
        """
        going = state.round_open(self.home)
        if going is None or just_now or self.out_now():
            self._event("trip", devices)
            return
        lamps = tuple(w.point for w in self.witnesses if w.device in devices)
        out = record_event(self.home, going.id, "look out", devices if lamps else (), lamps)
        trip = record_event(self.home.apply(out), going.id, "trip", devices)
        self._adapter.do(combine(trip.title, [out, trip]))

    def put_on_again(self, devices: tuple[str, ...] = ()) -> None:
        """Record that what tripped is on again, all of it or some, and that the lamps are alight: the walk goes on."""
        going, again = state.round_open(self.home), devices or self.tripped
        if going is None or not again:
            self._adapter.refuse("Nothing has tripped in this walk.")
            return
        on = record_event(self.home, going.id, "on", again)
        good = record_event(self.home.apply(on), going.id, "look good")
        self._adapter.do(combine(f"{codes(self.home, again)} on again", [on, good]))

    def go_on_without(self) -> None:
        """Record that the walk goes on with what tripped left off."""
        self._event("resume")

    def note_others(self) -> None:
        """Record that somebody outside this home lost their power."""
        self._event("others lost power")

    def _event(self, what: EventWhat, devices: tuple[str, ...] = (), points: tuple[str, ...] = ()) -> None:
        going = state.round_open(self.home)
        if going is None:
            self._adapter.refuse("No switch-off is open.")
            return
        self._adapter.do(record_event(self.home, going.id, what, devices, points))

    def holds_up_answers(self, step: Step) -> str:
        """Give why no answer can be taken just now, as a sentence; empty when it can."""
        if step != "walk":
            return ""
        if self.is_left_open:
            return "Say first whether the power is back on."
        if self.is_paused:
            return "The walk is paused; go on with it first."
        if self.is_trip_open:
            return f"Say first whether {codes(self.home, self.tripped)} is on again."
        return "Say first what the lamp went out with." if self.out_now() else ""
