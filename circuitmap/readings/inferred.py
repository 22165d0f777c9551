"""A ring drawn from readings, offered stretch by stretch as inferred runs: each is accepted by itself, or not.

What the map has already is recognised; a run on the map that the order doesn't have is named and never taken away.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import sqrt
from typing import Final, Literal

import msgspec

from circuitmap.circuits import CircuitView
from circuitmap.errors import HomeError
from circuitmap.home.change import Change, combine
from circuitmap.home.records import Device, End, Run
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import edit
from circuitmap.home.verbs_runs import end_at, join, runs_at, set_end
from circuitmap.readings.conductors import MAKE_SPREAD, RECTANGLE
from circuitmap.readings.order import RingOrder, Spur, Stretch
from circuitmap.words import weakest

Part = Literal["ring", "spur"]
Drawn = Mapping[frozenset[str], tuple[str, ...]]

_WORST: Final = 1.0  # a tolerance of ± 100 % says that all but nothing is known of a length


@dataclass(frozen=True, slots=True)
class Offer:
    """One stretch of the ring, or one spur, to accept as an inferred run.

    ``a`` is nearer to the linked leg, or to the ring; the way itself stands for the board. ``tolerance`` is how far the
    length may be out, as a fraction either way. ``drawn``: the runs by which the map has it already. ``leg``: a cable
    at the board that nobody followed, which would then be this one. ``instead``: what ``b`` may hang on in place of
    ``a``; the readings can't tell. ``against``: runs on the map that the order doesn't have.
    """

    a: str
    b: str
    part: Part
    length_m: float | None
    tolerance: float | None
    sure: float
    says: str
    why: str
    cable: str = ""
    drawn: tuple[str, ...] = ()
    leg: str = ""
    instead: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    warns: str = ""

    @property
    def is_drawn(self) -> bool:
        """Whether the map has it already."""
        return bool(self.drawn)


def offers(home: Home, view: CircuitView, order: RingOrder) -> tuple[Offer, ...]:
    """Offer a ring's order as inferred runs, round the ring from the linked leg, then its spurs.

    A spur from a joint that isn't on the map is not offered: there is nothing yet to draw it from.
    """
    if order.problem or not order.placed:
        return ()
    drawn = _drawn(view, order)
    strange = _strange(view, order, drawn)
    cables = {run.cable for run in view.runs if run.cable}
    cable = cables.pop() if len(cables) == 1 else ""
    found = [_of_stretch(view, order, n, drawn, cable) for n in range(len(order.stretches))] if order.order else []
    for spur in order.spurs:
        found += _of_spur(home, order, spur, drawn, cable)
    return tuple(_warned(home, view, offer, strange) for offer in found)


def infer_run(home: Home, offer: Offer) -> Change:
    """Accept one offer: its run, inferred, with its length from readings; one step to undo.

    A cable at the board that nobody had followed is followed. What is drawn already gets the length, unless that was
    measured.

    Raises
    ------
    HomeError
        When it is drawn already, or an end of it is gone or hangs elsewhere by now.
    """
    title = f"Infer from readings: {_name(home, offer.a)} to {_name(home, offer.b)}"
    length_mm = max(1, round(offer.length_m * 1000)) if offer.length_m is not None else None
    facts: dict[str, object] = {}
    if length_mm is not None:
        facts = {"length_mm": length_mm, "length_from": "reading", "length_tolerance": offer.tolerance}
    if offer.drawn:
        return _with_length(home, offer, title, facts)
    for end in (offer.a, offer.b):
        home.get(end)
    for run in runs_at(home, offer.b):
        other = run.a.at if run.b.at == offer.b else run.b.at
        if other in (offer.a, *offer.instead) and run.phase == "existing":
            raise HomeError(f"{run.id} already joins {offer.b} to {_name(home, other)}.", run.id, offer.b)
    leg = home.find(Run, offer.leg)
    if leg is not None and (free := _free_end(leg)):
        # Where it goes is a conclusion, however well the cable itself was seen.
        evidence = weakest(leg.evidence, "inferred")
        to = offer.b if home.find(Device, offer.a) is not None else offer.a
        followed = set_end(home, leg.id, free, end_at(home, to))
        return combine(title, (followed, edit(home.apply(followed), leg.id, "", evidence=evidence, **facts)))
    made = join(home, offer.a, offer.b, cable=offer.cable, evidence="inferred")
    pairs = [(None, msgspec.structs.replace(after, **facts)) for _, after in made.pairs if isinstance(after, Run)]
    return Change(title, tuple(pairs))


def _with_length(home: Home, offer: Offer, title: str, facts: Mapping[str, object]) -> Change:
    names = " and ".join(offer.drawn)
    run = home.find(Run, offer.drawn[0]) if len(offer.drawn) == 1 else None
    if run is None or not facts:
        raise HomeError(f"{names} on the map {'is' if len(offer.drawn) == 1 else 'are'} this stretch: nothing to add.")
    if run.length_mm and run.length_from == "measured":
        raise HomeError(f"{run.id} on the map is this stretch, and its length was measured: nothing to add.", run.id)
    return Change(title, edit(home, run.id, "", **facts).pairs)


def _of_stretch(view: CircuitView, order: RingOrder, n: int, drawn: Drawn, cable: str) -> Offer:
    stretch = order.stretches[n]
    placed = [order.of(end) for end in (stretch.a, stretch.b)]
    on_ring = 1.0
    for each in placed:
        on_ring *= 1 - each.p_spur if each is not None else 1.0
    around = order.stretches[max(0, n - 1) : n + 2]
    sure = on_ring
    for each_stretch in around:
        sure *= each_stretch.sure
    leg, why_leg = _unfollowed(view, order, n)
    length, tolerance = _length(stretch.length_m, stretch.sd_m)
    far = f"about {length:.1f} m" if length is not None else f"about {100 * stretch.share:.0f} % of the loop"
    a, b = (view.code if end == order.device else end for end in (stretch.a, stretch.b))
    why = f"With one leg linked the readings grow from {a} to {b} with no point between, and both read as on the ring"
    if order.device in (stretch.a, stretch.b):
        point = b if stretch.a == order.device else a
        which = "least" if n == 0 else "most"
        why = f"With one leg linked {point} reads {which} of all points on the ring"
    doubts = _doubts(stretch, around, [p.at for p in placed if p is not None and p.standing == "can't tell"])
    by = drawn.get(frozenset((stretch.a, stretch.b)), ())
    if len(order.order) == 1:  # both ways round lead to the one point: each has its own cable
        by = by[n : n + 1]
    return Offer(
        stretch.a, stretch.b, "ring", length, tolerance, sure, f"{a} to {b}, {far}, round the ring.",
        f"{why}{doubts}{why_leg}.", cable, by, "" if by else leg,
    )  # fmt: skip


def _doubts(stretch: Stretch, around: Iterable[Stretch], doubtful: Sequence[str]) -> str:
    said = ""
    if not stretch.is_told:
        said += f"; which of {stretch.a} and {stretch.b} comes first can't be told"
    elif not all(each.is_told for each in around):
        said += "; which of two near neighbours comes first beside it can't be told"
    if doubtful:
        said += f"; whether {' and '.join(doubtful)} sits on the ring can't be told: count the cables there"
    return said


def _of_spur(home: Home, order: RingOrder, spur: Spur, drawn: Drawn, cable: str) -> list[Offer]:
    """Offer each point of a spur from the take-off, and where several hang there also from the point before it."""
    found: list[Offer] = []
    if not spur.at:
        return found
    before = ""
    for at in spur.points:
        placed = order.of(at)
        if placed is None:
            continue
        sure = spur.take_off[0][1] * placed.p_spur
        from_points = [(spur.at, placed.spur_m, placed.spur_sd_m)]
        nearer = order.of(before)
        if nearer is not None:
            gap = None if placed.spur_m is None else max(0.0, placed.spur_m - (nearer.spur_m or 0.0))
            from_points.append((before, gap, sqrt((placed.spur_sd_m or 0) ** 2 + (nearer.spur_sd_m or 0) ** 2)))
        chances = _chances(home, before, len(from_points))
        for (start, far_m, sd_m), chance in zip(from_points, chances, strict=True):
            length, tolerance = _length(far_m, sd_m)
            far = f", about {length:.1f} m" if length is not None else ""
            instead = tuple(other for other, *_ in from_points if other != start)
            instead += tuple(other for other, _ in spur.take_off[1:] if other)
            why = f"Cross-linked {at} reads higher than the ring, as at the end of a spur taken off near {spur.at}"
            if len(from_points) > 1:
                why += f"; whether it hangs on {spur.at} or goes on from {before} no reading tells: count the cables"
            elif not spur.is_told:
                why += "; where it leaves the ring can't be told for sure: count the cables there"
            found.append(
                Offer(
                    start, at, "spur", length, tolerance, sure * chance, f"{start} to {at}{far}, a spur.",
                    f"{why}.", cable, drawn.get(frozenset((start, at)), ()), instead=instead,
                )
            )  # fmt: skip
        before = at
    return found


def _chances(home: Home, before: str, count: int) -> tuple[float, ...]:
    """Give how likely a second point on a spur hangs on the take-off, and how likely on the point before it."""
    if count == 1:
        return (1.0,)
    seen = getattr(home.peek(before), "cables_seen", None)
    if not seen:
        return 0.5, 0.5
    return (0.95, 0.05) if seen == 1 else (0.05, 0.95)


def _length(length_m: float | None, sd_m: float | None) -> tuple[float | None, float | None]:
    """Give a length, and within what fraction either way it lies: by the meter and by how copper is made."""
    if length_m is None or sd_m is None or length_m <= 0:
        return None, None
    return length_m, round(min(_WORST, RECTANGLE * sqrt((sd_m / length_m) ** 2 + MAKE_SPREAD**2)), 3)


# -- what the map has already ----------------------------------------------------------------------------------


def _drawn(view: CircuitView, order: RingOrder) -> Drawn:
    """Give what the map joins among the placed points and the board, directly or through what wasn't read."""
    known = dict.fromkeys((order.device, *(placed.at for placed in order.placed)))
    found: dict[frozenset[str], tuple[str, ...]] = {}
    around: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for run in view.runs:
        a, b = run.a.at, run.b.at
        if a is None or b is None:
            continue
        if a in known and b in known:
            pair = frozenset((a, b))
            found[pair] = (*found.get(pair, ()), run.id)
        else:
            around[a].append((b, run.id))
            around[b].append((a, run.id))
    for start in known:
        paths: list[tuple[str, tuple[str, ...]]] = [(start, ())]
        seen = {start}
        for here, runs in paths:
            for there, run_id in around[here] if here == start or here not in known else ():
                if there not in seen:
                    seen.add(there)
                    paths.append((there, (*runs, run_id)))
        for there, runs in paths[1:]:
            if there in known:
                found.setdefault(frozenset((start, there)), runs)
    return found


def _strange(view: CircuitView, order: RingOrder, drawn: Drawn) -> dict[frozenset[str], tuple[str, ...]]:
    """Give what the map joins and the order doesn't, where the readings can tell."""
    allowed = _allowed(order)
    found = {pair: runs for pair, runs in drawn.items() if pair not in allowed}
    last = frozenset((order.device, order.order[-1])) if order.order else frozenset[str]()
    if len(order.order) > 1 and drawn.get(last) == (order.leg,):
        found[last] = drawn[last]  # the leg that was linked leads to the point that reads as the farthest from it
    return found


def _allowed(order: RingOrder) -> Collection[frozenset[str]]:
    allowed = {frozenset((s.a, s.b)) for s in order.stretches}
    stops = [order.device, *order.order, order.device]
    for n, (left, right) in enumerate(pairwise(order.stretches)):
        middle = order.of(stops[n + 1])
        if not left.is_told or not right.is_told or (middle is not None and middle.standing == "can't tell"):
            allowed.add(frozenset((stops[n], stops[n + 2])))
    for spur in order.spurs:
        starts = [at or "" for at, _ in spur.take_off]
        starts += spur.between if "" in starts else ()
        hung = [*starts, *spur.points]
        allowed |= {frozenset((a, b)) for a in hung for b in spur.points if a and a != b}
        doubtful = [each for at in spur.points if (each := order.of(at)) is not None and each.standing == "can't tell"]
        allowed |= {frozenset((each.at, end)) for each in doubtful for end in spur.between}
    return allowed


def _warned(home: Home, view: CircuitView, offer: Offer, strange: Mapping[frozenset[str], tuple[str, ...]]) -> Offer:
    ends = {offer.a, offer.b} - {view.device.id}
    mine = {pair: runs for pair, runs in strange.items() if pair & ends}
    if not mine:
        return offer
    against = tuple(dict.fromkeys(run for runs in mine.values() for run in runs))
    said = "; ".join(
        f"{' and '.join(runs)} join{'s' if len(runs) == 1 else ''} {' and '.join(_name(home, i) for i in sorted(pair))}"
        for pair, runs in mine.items()
    )
    warns = f"On the map {said}, which the readings don't have: look before you accept; nothing is taken away."
    return replace(offer, against=against, warns=warns)


def _unfollowed(view: CircuitView, order: RingOrder, n: int) -> tuple[str, str]:
    """Give the cable at the board that nobody followed and that a stretch there would be."""
    if n not in (0, len(order.stretches) - 1):
        return "", ""
    free = [run.id for run in view.runs if order.device in (run.a.at, run.b.at) and _free_end(run)]
    joined = [run.id for run in view.runs if order.device in (run.a.at, run.b.at) and not _free_end(run)]
    if not free:
        return "", ""
    if order.leg:
        if n == 0:
            return (order.leg, "") if order.leg in free else ("", "")
        rest = [leg for leg in free if leg != order.leg]
        return (rest[0], "") if rest else ("", "")
    place = 0 if n == 0 else 1 if len(free) > 1 else 0 if joined else -1
    if place < 0:
        return "", ""
    return free[place], "; which of the cables at the board was linked isn't recorded"


def _free_end(run: Run) -> str:
    """Give which end of a run nobody followed, empty if both are known or loose."""
    ends: dict[str, End] = {"a": run.a, "b": run.b}
    return next((which for which, end in ends.items() if end.at is None and end.state == "unknown"), "")


def _name(home: Home, record_id: str | None) -> str:
    if record_id is None:
        return "nowhere"
    return home.code(record_id) if home.find(Device, record_id) is not None else record_id
