"""The house that answers while a survey is practised: what a tester shows there, errors and a trip included. No Qt.

What really feeds the points is known here alone; the window that is practised in never sees it before the end.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import Final

from circuitmap.desk.practice_wanted import Shows, Wanted
from circuitmap.errors import HomeError
from circuitmap.home import Home, verbs
from circuitmap.home.assets import Assets
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Check, Device, Point, Round
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.survey.deduce import Deduced
from circuitmap.survey.method import Method
from circuitmap.survey.planner.pace import minutes
from circuitmap.survey.rehearsal.invent import invent
from circuitmap.survey.rehearsal.many import Task
from circuitmap.survey.rehearsal.rehearse import Practice, is_wrong
from circuitmap.survey.rehearsal.tally import Tally, count_up
from circuitmap.survey.rehearsal.truth import Fed, hide, truth_of
from circuitmap.survey.rehearsal.walker import Walker, is_on
from circuitmap.survey.taken import taken
from circuitmap.trade import Trade
from circuitmap.words import Outcome

MEANS: Final[Mapping[Shows, Outcome]] = {"lit": "still on", "dark": "off", "faint": "faint glow"}
SHOWN: Final[Mapping[Shows, str]] = {"lit": "lit", "dark": "dark", "faint": "glowing faintly"}
BADGE: Final = "Practice"
_NAMED: Final = 6
_LEFT_OUT: Final = "left out of this practice: nobody knows what feeds it"


@dataclass(frozen=True, slots=True)
class Ready:
    """A home to practise on: a copy without its wiring, its pictures, and what was hidden."""

    wanted: Wanted
    home: Home
    truth: Mapping[str, Fed]
    assets: Assets

    def task(self, number: int = 0) -> Task:
        """Give the same home for the planner to practise on, each number with other errors."""
        return Task(self.home, self.truth, self.wanted.seed + number)


def get_ready(wanted: Wanted, trade: Trade) -> Ready:
    """Make the home to practise on; where it came from stays as it is.

    Raises
    ------
    FileError
        When a sample home can't be read.
    """
    assets: Assets = {}
    if wanted.sample:
        read = read_folder(sample_homes() / wanted.sample)
        memo = Memo()
        truth, home, assets = truth_of(read.home, memo, trade), hide(read.home, memo), read.assets
    else:
        made = invent(wanted.seed, ways=wanted.ways)
        truth, home = made.truth, made.home
        home = home.apply(verbs.edit(home, home.details.id, name=f"an invented home of {wanted.ways} ways"))
    if not truth:
        raise HomeError("Nobody knows what feeds any point of that home; practise on another.")
    named = home.details.name or "a home"
    home = home.apply(verbs.edit(home, home.details.id, name=f"{BADGE}: {named}", address=""))
    shut = [
        p.id
        for p in home.sorted(Point)
        if p.id not in truth and p.phase == "existing" and trade.point(p.kind).checkable
    ]
    if shut:
        home = home.apply(verbs.edit_many(home, shut, "Left out", uncheckable=_LEFT_OUT))
    return Ready(wanted, home, truth, assets)


@dataclass
class House:
    """What is really so while the survey goes on: what is off or tripped, what lamps and testers show."""

    ready: Ready
    trade: Trade
    shown: dict[tuple[str, str], Shows] = field(default_factory=dict)
    misled: dict[tuple[str, str], str] = field(default_factory=dict)
    answered: dict[str, Shows | None] = field(default_factory=dict)
    trip: str = ""
    trip_round: str = ""
    trip_found: bool = False
    _looks: dict[str, int] = field(default_factory=dict)
    _told: int = 0  # how many events were written down before it tripped

    def __post_init__(self) -> None:
        """Settle which points show the wrong thing every time."""
        wanted = self.ready.wanted
        self.rng = Random(wanted.seed)
        self.walker = Walker(self.ready.truth, wanted.error, self.rng)
        self._trips_in = self.rng.randint(1, 2) if wanted.trips else 0
        self._trips_after = self.rng.randint(2, 5)

    # -- what is so ---------------------------------------------------------------------------------------------

    def down(self, home: Home, record: Round | None) -> tuple[str, ...]:
        """Give the devices that are down at the board: switched off and not put on again, or tripped."""
        off: dict[str, None] = dict.fromkeys(record.off) if record is not None else {}
        for event in record.events if record is not None else ():
            if event.what == "off":
                off.update(dict.fromkeys(event.devices))
            elif event.what == "on":
                for device in event.devices:
                    off.pop(device, None)
            elif event.what == "power back":
                off = {}
        if self.trip and home.find(Device, self.trip) is not None:
            off[self.trip] = None
        return tuple(off)

    def follow(self, home: Home) -> None:
        """Notice what was answered, and whether a tripped RCD was closed or the power is back."""
        for check in home.table(Check).values():
            if check.id not in self.answered:
                self.answered[check.id] = self.shown.get((check.round, check.point))
        if not self.trip:
            return
        record = home.find(Round, self.trip_round)
        if record is None:
            self.trip = ""
            return
        named = [e for e in record.events[self._told :] if e.what in ("trip", "on") and self.trip in e.devices]
        self.trip_found = self.trip_found or any(e.what == "trip" for e in named)
        if any(e.what == "on" for e in named) or record.events[-1].what == "power back":
            self.trip = ""

    def look(self, home: Home, memo: Memo, record: Round, point: str, watched: Iterable[str] = ()) -> Shows:
        """Give what a look at a point shows; ``watched`` are the devices with a lamp, of which one may trip."""
        self._maybe_trip(home, record, watched)
        out = taken(home, self.down(home, record), memo).sure
        really = is_on(self.ready.truth[point], out)
        found = self.walker.look(point, out)
        shows: Shows = "lit" if found == "still on" else "dark"
        is_light = self.trade.point(home.take(Point, point).kind).is_light
        if shows == "dark" and not really and is_light and self.rng.random() < 2 * self.ready.wanted.error:
            shows = "faint"  # a long cable beside a live one lets an LED glow
        key = (record.id, point)
        self.shown[key] = shows
        self.misled.pop(key, None)
        if (shows == "lit") != really:
            stuck = point in self.walker.stuck
            self.misled[key] = "its lamp is faulty, every time" if stuck else "a look that went wrong"
        return shows

    def lamp(self, home: Home, memo: Memo, record: Round, point: str) -> bool:
        """Give whether a lamp left at a point is alight."""
        if point not in self.ready.truth:
            return True
        return self.walker.see_lamp(point, taken(home, self.down(home, record), memo).sure)

    def _maybe_trip(self, home: Home, record: Round, watched: Iterable[str]) -> None:
        """Let an RCD that is watched trip, once, in the first or second switch-off, some looks into it."""
        rcds = [i for i in watched if self.trade.device(home.take(Device, i).kind).residual_current]
        if not self._trips_in or self.trip_round or not record.off or not rcds:
            return
        self._looks[record.id] = self._looks.get(record.id, 0) + 1
        if len(self._looks) >= self._trips_in and self._looks[record.id] >= self._trips_after:
            self.trip, self.trip_round = self.rng.choice(rcds), record.id
            self._told = len(record.events)

    # -- how it went --------------------------------------------------------------------------------------------

    def count(self, home: Home, memo: Memo, known: Mapping[str, Deduced]) -> Tally:
        """Count up the person's own survey as the practised ones are; its minutes by the same table of paces."""
        own = Practice(home, self.trade, self.walker, Method(), self.ready.wanted.error)
        for record in home.sorted(Round):
            asked = tuple(dict.fromkeys(c.point for c in home.sorted(Check) if c.round == record.id))
            own.rounds += bool(record.off)
            own.looks += not record.off
            own.minutes += minutes(home, memo, self.trade, record.off, asked)
        own.checks = len(home.table(Check))
        return count_up(own, known)

    def answered_wrongly(self, home: Home) -> tuple[str, ...]:
        """Give a sentence for every answer that isn't what the look showed, or that was given without one."""
        says: list[str] = []
        number = 0
        for record in home.sorted(Round):
            number += bool(record.off)
            where = f"switch-off {number}" if record.off else "the look with everything on"
            unseen: dict[str, None] = {}
            for check in home.sorted(Check):
                if check.round != record.id or check.outcome == "can't tell":
                    continue
                shows = self.answered.get(check.id)
                if shows is None:
                    unseen[check.point] = None
                elif MEANS[shows] != check.outcome:
                    says.append(f"{check.point} in {where}: it was {SHOWN[shows]}, the answer was “{check.outcome}”.")
            if unseen:
                few, more = list(unseen)[:_NAMED], len(unseen) - _NAMED
                named = f"{', '.join(few)} and {more} more" if more > 0 else ", ".join(few)
                says.append(f"{named} in {where}: answered without a look.")
        return tuple(says)

    def settled_wrongly(self, home: Home, known: Mapping[str, Deduced]) -> tuple[str, ...]:
        """Give a sentence for every point that stands settled on what doesn't feed it."""
        return tuple(
            f"{point} stands settled on {_codes(home, known[point].candidates)}; really it is {_really(home, fed)}."
            for point, fed in self.ready.truth.items()
            if point in known and is_wrong(known[point], fed)
        )


def _codes(home: Home, devices: Iterable[str]) -> str:
    return " and ".join(home.code(i) for i in devices)


def _really(home: Home, fed: Fed) -> str:
    match fed.how:
        case "one way":
            return f"on {_codes(home, fed.devices)}"
        case "joined":
            return f"fed by {_codes(home, fed.devices)} together"
        case "either":
            return f"fed by {_codes(home, fed.devices)}, line from one and neutral from the other"
        case "elsewhere":
            return "fed from elsewhere"
        case _:
            return "connected to nothing"
