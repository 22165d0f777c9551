"""A whole survey practised on a home whose wiring is known, by the same planner, checks and deduction as a real one."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Final

from circuitmap.home import verbs
from circuitmap.home.change import Change
from circuitmap.home.records import Check, Point, Round, RoundEvent
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.deduce import Deduced, deduce
from circuitmap.survey.method import Method
from circuitmap.survey.planner.next_off import propose
from circuitmap.survey.planner.outlook import is_listed, outlook
from circuitmap.survey.planner.witness import groups
from circuitmap.survey.proposal import Proposal
from circuitmap.survey.rehearsal.tally import Tally, count_up
from circuitmap.survey.rehearsal.truth import Fed
from circuitmap.survey.rehearsal.walker import Walker
from circuitmap.survey.settle import settle
from circuitmap.survey.taken import taken
from circuitmap.trade import Trade
from circuitmap.words import EventWhat, Outcome

_START: Final = datetime(2026, 1, 5, 9, 0, 0, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Tripped:
    """An RCD that trips in the middle of one walk; ``found`` once it was noticed and named."""

    device: str
    round: int
    after: float


@dataclass
class Practice:
    """One survey under way: the home as its records stand, the clock, what has happened."""

    home: Home
    trade: Trade
    walker: Walker
    method: Method
    slip: float | None
    memo: Memo = field(default_factory=Memo)
    now: datetime = _START
    visit: str = ""
    trip: Tripped | None = None
    trip_found: bool = False
    trip_by_lamp: bool = False
    rounds: int = 0
    looks: int = 0
    checks: int = 0
    minutes: float = 0.0
    apart: int = 0
    doubted: set[str] = field(default_factory=set)
    misled: set[str] = field(default_factory=set)
    ever_wrong: set[str] = field(default_factory=set)
    off_times: dict[str, int] = field(default_factory=dict)
    together: int = 0

    def do(self, change: Change) -> str:
        """Take a change into the home."""
        self.home = self.home.apply(change)
        added = change.added()
        return added[0] if added else ""

    def tick(self, minutes: float) -> str:
        """Let time pass, a second at least; give the instant."""
        self.now += max(timedelta(minutes=minutes), timedelta(seconds=1))
        return self.now.strftime("%Y-%m-%dT%H:%M:%SZ")


def rehearse(
    home: Home,
    trade: Trade,
    truth: Mapping[str, Fed],
    method: Method | None = None,
    error: float = 0.0,
    seed: int = 1,
    *,
    trips: bool = False,
    most_rounds: int | None = None,
    each_round: Callable[[Practice, Proposal], None] | None = None,
) -> Tally:
    """Survey a home to the end and give what it took and what came out.

    Parameters
    ----------
    home
        The home with its wiring hidden.
    truth
        What really feeds each point that can be checked; other points are taken as out of reach.
    error
        Chance that any one answer is wrong, from 0 to under one half; the planner is told the same rate.
    seed
        Of the errors and of when an RCD trips.
    trips
        Whether an RCD that is still on trips in the middle of one walk.
    each_round
        Called after every switch-off, to watch.

    Raises
    ------
    ValueError
        When the error rate is not from 0 to under one half.
    """
    if not 0 <= error < 0.5:
        raise ValueError(f"an error rate is from 0 to under 0.5, not {error}")
    rng = Random(seed)
    walker = Walker(truth, error, rng)
    practice = Practice(home, trade, walker, method if method is not None else Method(), error)
    practice.visit = practice.do(verbs.start_visit(home, "2026-01-05"))
    for point in home.sorted(Point):
        if point.phase == "existing" and point.id not in truth and trade.point(point.kind).checkable:
            practice.do(verbs.add_limitation(practice.home, point.id, "can't be reached in this practice"))
    limit = most_rounds if most_rounds is not None else 3 * len(outlook_ways(practice)) + 20
    if trips:
        practice.trip = _choose_trip(practice, rng)
    while practice.rounds < limit:
        proposal = propose(practice.home, practice.memo, trade, practice.method, practice.visit, practice.slip)
        if proposal.kind in ("done", "declined"):
            break
        _round(practice, proposal)
        _watch(practice)
        if each_round is not None:
            each_round(practice, proposal)
    return count_up(practice, settle(practice.home, practice.memo, trade, practice.slip))


def outlook_ways(practice: Practice) -> tuple[str, ...]:
    """Give the ways of the home that is practised on."""
    look = outlook(practice.home, practice.memo, practice.trade, practice.method, practice.visit, practice.slip)
    return look.scales.ways


def _round(practice: Practice, proposal: Proposal) -> None:
    home, walker = practice.home, practice.walker
    started = practice.now
    is_look = proposal.kind == "look"
    number = practice.do(
        verbs.open_round(home, practice.visit, proposal.off, proposal.sources_off, None, practice.tick(0.1))
    )
    practice.looks += is_look
    practice.rounds += not is_look
    practice.apart += proposal.kind == "apart"
    out = taken(practice.home, proposal.off, practice.memo).sure
    _count_loads(practice, out)
    points = [i for i in proposal.points if i in walker.truth]
    order: list[tuple[str, Outcome, str]] = []
    events: list[RoundEvent] = []
    pace = max(proposal.minutes / max(len(points), 1), 0.05)
    lamps = _Lamps(practice, proposal, out)
    rooms = rooms_of_points(practice.home, practice.memo)
    at_room: str | None = ""
    waiting = list(points)
    since_good: list[str] = []
    tripped_at = _trip_at(practice, proposal, out, len(points))
    done = 0
    while waiting or tripped_at is not None:
        if not waiting or (room.id if (room := rooms.get(waiting[0])) is not None else None) != at_room:
            gone = lamps.look(out | lamps.tripped)
            practice.trip_by_lamp |= bool(gone)
            unseen = not waiting and bool(lamps.tripped) and not gone
            if unseen:  # at the board at the end: a toggle is down that nobody put down, and no lamp told since when
                since_good = list(points)
            if gone or unseen:
                dark = () if gone else lamps.out_with_it(points, out)
                events += _asked_again(practice, gone, lamps, dark)
                waiting = [*dict.fromkeys(since_good), *waiting]
                since_good, tripped_at = [], None
            elif lamps.on:
                events.append(RoundEvent(at=practice.tick(0.02), what="look good", points=tuple(lamps.on)))
                since_good = []
            if not waiting:
                break
            room = rooms.get(waiting[0])
            at_room = room.id if room is not None else None
        if tripped_at is not None and done >= tripped_at:
            assert practice.trip is not None
            lamps.tripped = taken(practice.home, (practice.trip.device,), practice.memo).sure
        point = waiting.pop(0)
        since_good.append(point)
        found = walker.look(point, out | lamps.tripped)
        if is_look and found == "off":
            found = walker.look(point, out)
            practice.checks += 1
        order.append((point, found, practice.tick(pace)))
        done += 1
    _record(practice, number, order, events, is_look=is_look)
    practice.checks += len(order)
    practice.minutes += proposal.minutes if not is_look else (practice.now - started).total_seconds() / 60


class _Lamps:
    """The witness lamps of one walk: which RCD each tells of, which were on at the start, what has tripped."""

    def __init__(self, practice: Practice, proposal: Proposal, out: frozenset[str]) -> None:
        self.walker = practice.walker
        self.of = [(w.device, w.point) for w in proposal.witnesses if w.point in practice.walker.truth]
        self.tripped: frozenset[str] = frozenset()
        self.on = [point for _, point in self.of if self.walker.see_lamp(point, out)]

    def look(self, out: frozenset[str]) -> tuple[str, ...]:
        """Give the RCDs whose lamp has gone out."""
        gone = [point for point in self.on if not self.walker.see_lamp(point, out)]
        return tuple(dict.fromkeys(device for device, point in self.of if point in gone))

    def out_with_it(self, points: Sequence[str], out: frozenset[str]) -> tuple[str, ...]:
        """Give a point that is out only because something tripped, none when all of them are out anyway."""
        for point in points:
            if self.walker.see_lamp(point, out) and not self.walker.see_lamp(point, out | self.tripped):
                return (point,)
        return ()


def _trip_at(practice: Practice, proposal: Proposal, out: frozenset[str], points: int) -> int | None:
    trip = practice.trip
    if trip is None or practice.trip_found or proposal.kind in ("look", "proof") or practice.rounds < trip.round:
        return None
    if trip.device in out or points < 2:
        return None
    return int(trip.after * points)


def _asked_again(practice: Practice, gone: Sequence[str], lamps: _Lamps, dark: tuple[str, ...]) -> list[RoundEvent]:
    """Write down what went out and the RCD found tripped at the board, put it on again, go on from there.

    Where no lamp told, ``dark`` names a point found out with the RCD: nobody saw it alight since the start, so all
    answers are asked again.
    """
    practice.trip_found = True
    trip = practice.trip
    device = trip.device if trip is not None else gone[0]
    lamps.tripped = frozenset()
    steps: tuple[tuple[EventWhat, float, tuple[str, ...], tuple[str, ...]], ...] = (
        ("look out", 0.1, (), dark),
        ("trip", 0.5, (device,), ()),
        ("on", 1.0, (device,), ()),
        ("look good", 0.2, (), ()),
    )
    return [
        RoundEvent(at=practice.tick(minutes), what=what, devices=devices, points=points)
        for what, minutes, devices, points in steps
    ]


def _record(
    practice: Practice,
    number: str,
    order: Iterable[tuple[str, Outcome, str]],
    events: Sequence[RoundEvent],
    *,
    is_look: bool,
) -> None:
    home = practice.home
    first = int(home.next_id(Check)[1:])
    pairs: list[tuple[Check | Round | None, Check | Round | None]] = [
        (None, Check(id=f"C{first + n}", round=number, point=point, outcome=outcome, at=at))
        for n, (point, outcome, at) in enumerate(order)
    ]
    record = home.take(Round, number)
    after = [*record.events, *events]
    if not is_look:
        after.append(RoundEvent(at=practice.tick(1.0), what="power back"))
    if after != list(record.events):
        pairs.append((record, Round(id=record.id, visit=record.visit, off=record.off, sources_off=record.sources_off,
                                    consent=record.consent, events=tuple(after))))  # fmt: skip
    practice.do(Change("Answers", tuple(pairs)))


def _count_loads(practice: Practice, out: frozenset[str]) -> None:
    """Count which listed loads really lost their supply, and whether two on different ways did at once."""
    home, truth = practice.home, practice.walker.truth
    lost: set[tuple[str, ...]] = set()
    for point, fed in truth.items():
        if not is_listed(home.take(Point, point), practice.trade):
            continue
        if fed.how == "one way" and fed.devices[0] in out:
            practice.off_times[point] = practice.off_times.get(point, 0) + 1
            lost.add(fed.devices)
    practice.together += len(lost) > 1


def _watch(practice: Practice) -> None:
    """Keep who was ever taken for settled wrongly, who was misled, and who was put in doubt."""
    if not practice.walker.error:
        return
    truth = practice.walker.truth
    exact = deduce(practice.home, practice.memo)
    for point, known in settle(practice.home, practice.memo, practice.trade, practice.slip).items():
        fed = truth.get(point)
        if fed is None:
            continue
        blind: Deduced = exact[point]
        if is_wrong(known, fed):
            practice.ever_wrong.add(point)
        # Any point is in doubt at first; it counts as flagged only while the bare answers would mislead.
        if point in practice.walker.wrong and (blind.verdict == "contradiction" or is_wrong(blind, fed)):
            practice.misled.add(point)
            if known.verdict in ("in doubt", "contradiction", "never off", "not seen on"):
                practice.doubted.add(point)


def is_wrong(known: Deduced, fed: Fed) -> bool:
    """Whether a point is taken for settled on what doesn't feed it."""
    return known.verdict == "settled" and not (fed.how == "one way" and known.candidates == fed.devices)


def _choose_trip(practice: Practice, rng: Random) -> Tripped | None:
    look = outlook(practice.home, practice.memo, practice.trade, practice.method, practice.visit, practice.slip)
    rcds = sorted(groups(look))
    if not rcds:
        return None
    return Tripped(rng.choice(rcds), rng.randint(1, 2), rng.uniform(0.1, 0.8))
