"""What two sweeps say of a ring, gathered for the desk: asked in another thread, and each part to be accepted.

What the readings say is ``readings.order`` and ``readings.inferred``; here it is only sorted into what a person may do.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home import Change, Home
from circuitmap.home.change import combine
from circuitmap.home.records import Run
from circuitmap.home.verbs_runs import runs_at
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.readings.book import ReadingBook, readings_of
from circuitmap.readings.entries import Side
from circuitmap.readings.inferred import Offer, infer_run, offers
from circuitmap.readings.order import TELLS, RingOrder, order_of_points
from circuitmap.readings.sweeps import FEWEST, Sweeps, sweeps_of
from circuitmap.trade import Trade

ENDS, ONE_LEG, CROSS = "ends", "one-leg", "cross-N"  # the tests of the sheet that an order takes
RING_TESTS: Final = (ENDS, ONE_LEG, CROSS)


@dataclass(frozen=True, slots=True)
class Choice:
    """One part to accept, the likeliest first, and what its far end may hang on instead."""

    offer: Offer
    others: tuple[Offer, ...] = ()

    @property
    def is_sure(self) -> bool:
        """Whether it may be accepted along with others, without a look at each."""
        return self.offer.sure >= TELLS and not self.others and not self.offer.warns


@dataclass(frozen=True, slots=True)
class Counting:
    """A point whose cables would tell what readings don't: ``asks`` is the question, ``tells`` what each count says."""

    at: str
    counted: int | None
    asks: str
    tells: str


@dataclass(frozen=True, slots=True)
class Told:
    """All that two sweeps say of a way: ``choices`` are still to be accepted, ``on_map`` parts are drawn already.

    ``missing`` are the tests of the sheet to be read first, in the order in which one reads them.
    """

    sweeps: Sweeps
    order: RingOrder
    choices: tuple[Choice, ...]
    on_map: int
    countings: tuple[Counting, ...]
    missing: tuple[str, ...]

    @property
    def sure(self) -> tuple[Choice, ...]:
        """The parts that may be accepted at once."""
        return tuple(choice for choice in self.choices if choice.is_sure)


class Ordering:
    """The question for the order of a way, to be asked in another thread: of one home as it was.

    ``before`` is what was told last: with the same two sweeps the order isn't worked out again.
    """

    def __init__(
        self, home: Home, view: CircuitView, trade: Trade, memo: Memo, side: Side | None, before: Told | None = None
    ) -> None:
        self._home, self._view, self._trade, self._memo, self._side = home, view, trade, memo.fork(), side
        self._before = before

    def __call__(self, ticket: Ticket) -> Told:
        """Tell; stops between steps when nobody waits any longer."""
        ticket.tick(0)
        book = readings_of(self._home, self._view, self._memo)
        sweeps = sweeps_of(self._home, self._view, book, self._trade, side=self._side)
        ticket.tick(0)
        before = self._before
        order = before.order if before is not None and before.sweeps == sweeps else order_of_points(sweeps)
        ticket.tick(0)
        found = offers(self._home, self._view, order)
        choices, on_map = choices_of(self._home, order, found)
        missing = missing_tests(book, sweeps, self._side) if order.problem else ()
        return Told(sweeps, order, choices, on_map, countings_of(self._home, order), missing)


def choices_of(home: Home, order: RingOrder, found: Iterable[Offer]) -> tuple[tuple[Choice, ...], int]:
    """Sort offers into parts still to be accepted, and count those that the map has already."""
    groups: dict[object, list[Offer]] = {}
    for offer in found:
        groups.setdefault((offer.a, offer.b) if offer.part == "ring" else offer.b, []).append(offer)
    choices: list[Choice] = []
    on_map = 0
    for held in groups.values():
        held.sort(key=_sure, reverse=True)
        drawn = next((offer for offer in held if offer.is_drawn), None)
        if drawn is not None:
            if _takes_length(home, drawn):
                choices.append(Choice(drawn))
            else:
                on_map += 1
        elif any(_is_joined(home, offer) for offer in held):
            on_map += 1
        else:
            choices.append(Choice(held[0], (*held[1:], *_other_take_offs(order, held))))
    return tuple(choices), on_map


def accept_all(home: Home, chosen: Iterable[Offer], code: str) -> Change:
    """Accept several offers in one step to undo.

    Raises
    ------
    HomeError
        When one of them is drawn by now.
    """
    made: list[Change] = []
    now = home
    for offer in chosen:
        made.append(infer_run(now, offer))
        now = now.apply(made[-1])
    return combine(f"Infer from readings: {len(made)} part{'' if len(made) == 1 else 's'} of {code}", made)


def missing_tests(book: ReadingBook, sweeps: Sweeps, side: Side | None) -> tuple[str, ...]:
    """Give which tests of the sheet an order still takes, in the order in which one reads them."""
    wanted = {*sweeps.across, *(() if sweeps.far_ohm else sweeps.near)}
    linked = [entry for entry in book.of_test("linked", side=side) if entry.is_number and not entry.reading.apart]
    read = {
        kind: {entry.at for entry in linked if entry.link == kind and entry.at not in (None, book.device)}
        for kind in ("one leg", "cross")
    }
    missing = [ENDS] if any(book.end_to_end(core, side) is None for core in wanted) else []
    if len(read["one leg"] & read["cross"]) < FEWEST:
        missing += [ONE_LEG] if len(read["one leg"]) <= len(read["cross"]) else []
        missing += [CROSS] if len(read["cross"]) <= len(read["one leg"]) else []
    return tuple(missing)


def countings_of(home: Home, order: RingOrder) -> tuple[Counting, ...]:
    """Give the points whose cables are worth counting, each once, with what they would tell."""
    asked: dict[str, tuple[str, str]] = {}
    for placed in order.placed:
        if placed.standing == "can't tell":
            asked[placed.at] = ("On the ring, or at the end of a spur?", "One cable: the end of a spur. Two: the ring.")
    for spur in order.spurs:
        ends = " and ".join(spur.points)
        if not spur.is_told:
            for at, _ in spur.take_off:
                if at:
                    asked.setdefault(at, (f"Does the spur to {ends} leave here?", "Three cables: yes. Two: no."))
        if len(spur.points) > 1:
            if spur.at:
                asked.setdefault(spur.at, (f"One spur from here to {ends}, or several?", "Three cables: one spur."))
            for at in spur.points[:-1]:
                asked.setdefault(at, ("Does the spur go on from here?", "Two cables: yes. One: no."))
    return tuple(Counting(at, getattr(home.peek(at), "cables_seen", None), *words) for at, words in asked.items())


def _sure(offer: Offer) -> float:
    return offer.sure


def _takes_length(home: Home, offer: Offer) -> bool:
    """Whether accepting what is drawn already would still give its run a length, or a truer one from readings."""
    run = home.find(Run, offer.drawn[0]) if len(offer.drawn) == 1 else None
    if run is None or offer.length_m is None or run.length_from == "measured":
        return False
    if run.length_from != "reading" or not run.length_mm:
        return True
    return abs(run.length_mm / 1000 - offer.length_m) > (offer.tolerance or 0) * offer.length_m


def _is_joined(home: Home, offer: Offer) -> bool:
    """Whether the far end of a spur hangs already on one of the things that the readings leave open."""
    ends = (offer.a, *offer.instead)
    return offer.part == "spur" and any(
        run.phase == "existing" and (run.a.at if run.b.at == offer.b else run.b.at) in ends
        for run in runs_at(home, offer.b)
    )


def _other_take_offs(order: RingOrder, held: list[Offer]) -> tuple[Offer, ...]:
    """Give a spur from the other points where it may leave the ring."""
    first = held[0]
    spur = next((each for each in order.spurs if first.part == "spur" and first.b in each.points), None)
    placed = order.of(first.b)
    if spur is None or placed is None:
        return ()
    from_ring = next((offer for offer in held if offer.a == spur.at), first)
    known = {offer.a for offer in held}
    every = (first.a, *first.instead)
    share = from_ring.sure / (spur.take_off[0][1] or 1.0)
    return tuple(
        replace(from_ring, a=at, sure=share * odds, instead=tuple(each for each in every if each != at))
        for at, odds in spur.take_off[1:]
        if at and at not in known
    )
