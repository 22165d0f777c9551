"""Spur rules asked before anything is added: what an unfused or a fused spur may feed, from where, and how many.

Convention, to be said where counts are shown: a twin socket is one point unless the home chose to count it as two.
"""

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from circuitmap.circuits import CircuitView
from circuitmap.design.capacity import Case, Duty, Protection, Verdict, judge
from circuitmap.design.demand import add_up, judge_fuse
from circuitmap.home.records import Point
from circuitmap.trade import Cable, Choices, Trade
from circuitmap.words import PointKind

From = Literal["ring", "board", "spur", "radial"]
RULE = "On-Site Guide 7.2.2, as quoted; Electrical Installation Work, 5th ed., p. 272"


class Outlet(Struct, frozen=True, kw_only=True):
    """Something a spur is to feed: its gangs, and what it draws in watts where that is known."""

    kind: PointKind
    gangs: int = 1
    power_w: float | None = None


class Count(Struct, frozen=True, kw_only=True):
    """How many unfused spurs a ring has, and how many points are connected directly in it."""

    spurs: int
    ring_points: int


class Wanted(Struct, frozen=True, kw_only=True):
    """A spur that is wanted.

    Parameters
    ----------
    leaves
        What it leaves from: a point or joint of a ring, the board, a spur that is there already, or a radial.
    outlets
        What it is to feed, a fused unit at its head left out.
    protection
        The device over the circuit it leaves from.
    cable
        The cable after the take-off, or after the fused unit.
    fuse_a
        Of the fused unit at its head; None for an unfused spur.
    before
        What the ring has already; None where it isn't counted.
    """

    leaves: From
    outlets: tuple[Outlet, ...]
    protection: Protection
    cable: Cable | float | None
    method: str = ""
    fuse_a: float | None = None
    before: Count | None = None


def count(view: CircuitView, trade: Trade, edition: str, choices: Choices = ()) -> Count:
    """Give how many unfused spurs a circuit's ring has and how many points are in the ring itself.

    A spur is unfused if it feeds a point before any fuse; switches, joints and blanks are no points.

    **Source:** On-Site Guide 7.2.2, as quoted; what is a point: BS 7671 Part 2, from memory.
    """
    shape = view.shape
    if shape is None:
        return Count(spurs=0, ring_points=0)
    by_id = {member.point.id: member.point for member in view.members}
    spurs = 0
    for spur in shape.spurs:
        fed = [by_id[i] for i in spur.unfused_points if i in by_id and i != spur.fuse]
        spurs += any(trade.point(point.kind).counts_as_point for point in fed)
    on_ring = (by_id[i] for i in shape.loop if i in by_id)
    return Count(spurs=spurs, ring_points=points_of(trade, on_ring, edition, choices))


def points_of(trade: Trade, points: Iterable[Point], edition: str, choices: Choices = ()) -> int:
    """Give how many points some records count for, by the home's convention for twin sockets."""
    twin = trade.limit("twin socket counts as", edition, tuple(choices)).value
    found = 0.0
    for point in points:
        row = trade.point(point.kind)
        if row.counts_as_point:
            found += twin if point.gangs > 1 and row.is_socket_outlet else 1
    return round(found)


def judge_spur(trade: Trade, wanted: Wanted, edition: str, choices: Choices = ()) -> Verdict:
    """Say whether a spur may be added: the first thing against it, or what it has to carry and does.

    Unfused: one single or twin socket or one fixed appliance, not off another spur, no more of them than points in the
    ring, its cable good for what that can draw. Fused: at most 13 A and what the cable carries; any number of outlets.
    Off a radial it is a branch: one outlet may be fed by thinner cable, more need what the device lets through.

    **Source:** On-Site Guide 7.2.2, as quoted; Electrical Installation Work, 5th ed., p. 272; 433.1.1 and 433.3.1 from
    memory.
    """
    chosen = tuple(choices)
    if not wanted.outlets:
        return Verdict(answer="no", says="The spur feeds nothing.", source=RULE)
    if wanted.fuse_a is not None:
        return _fused(trade, wanted, wanted.fuse_a, edition, chosen)
    against = _against_unfused(trade, wanted, edition, chosen)
    if against is not None:
        return Verdict(answer="no", says=against, source=RULE)
    duty: Duty = "run" if wanted.leaves == "radial" and not _is_one(trade, wanted, edition, chosen) else "spur"
    # Appliances on a socket come and go; only what is fixed limits the load for good.
    fixed = [each for each in wanted.outlets if not trade.point(each.kind).is_socket_outlet]
    load_a = None
    if duty == "spur" and len(fixed) == len(wanted.outlets):
        powers = [each.power_w for each in fixed]
        known = [power for power in powers if power is not None]
        supply_v = trade.limit("supply voltage V", edition, chosen).value
        load_a = sum(known) / supply_v if len(known) == len(powers) else None
    case = Case(cable=wanted.cable, protection=wanted.protection, duty=duty, method=wanted.method, load_a=load_a)
    verdict = judge(trade, case, edition, chosen)
    if verdict.answer == "yes" and wanted.leaves == "ring" and wanted.before is None:
        says = f"{verdict.says} How many spurs the ring has already isn't known."
        return Verdict(answer="can't judge", says=says, source=RULE, have_a=verdict.have_a, need_a=verdict.need_a)
    return verdict


def _against_unfused(trade: Trade, wanted: Wanted, edition: str, choices: Choices) -> str | None:
    if wanted.leaves == "spur":
        return "It would leave from a spur, and an unfused spur must not carry on: fuse it, or take both into the ring."
    if wanted.leaves != "radial" and not _is_one(trade, wanted, edition, choices):
        return "An unfused spur may feed one single or one twin socket, or one fixed appliance; more need a fused spur."
    before = wanted.before
    if wanted.leaves in ("ring", "board") and before is not None:
        # What leaves the board beside a ring is a spur of that ring, and is counted with the others.
        most = before.ring_points * trade.limit("unfused spurs per ring point", edition, choices).value
        if before.spurs + 1 > most:
            return (
                f"The ring would have {before.spurs + 1} unfused spurs for {before.ring_points} points in the ring "
                "itself; there may be no more spurs than points."
            )
    return None


def _is_one(trade: Trade, wanted: Wanted, edition: str, choices: Choices) -> bool:
    gangs = sum(each.gangs for each in wanted.outlets if trade.point(each.kind).is_socket_outlet)
    return (
        len(wanted.outlets) <= trade.limit("unfused spur outlets", edition, choices).value
        and gangs <= trade.limit("unfused spur gangs", edition, choices).value
    )


def _fused(trade: Trade, wanted: Wanted, fuse_a: float, edition: str, choices: Choices) -> Verdict:
    most = trade.limit("fused spur A", edition, choices)
    if wanted.leaves == "spur":
        says = "The spur it would leave from feeds an outlet already; a fused connection unit belongs at its beginning."
        return Verdict(answer="no", says=says, source=RULE)
    if fuse_a > most.value:
        says = f"A fused spur takes a fuse of at most {most.value:g} A, and {fuse_a:g} A is meant."
        return Verdict(answer="no", says=says, source=most.source)
    after = Protection(in_a=fuse_a, kind="plug fuse")
    verdict = judge(trade, Case(cable=wanted.cable, protection=after, method=wanted.method), edition, choices)
    supply_v = trade.limit("supply voltage V", edition, choices).value
    load = judge_fuse(add_up(each.power_w for each in wanted.outlets), fuse_a, supply_v)
    if verdict.answer == "yes" and load.answer == "no":
        says = f"{verdict.says} {load.says}"
        return Verdict(answer="yes", says=says, source=verdict.source, have_a=verdict.have_a, need_a=verdict.need_a)
    return verdict


def judge_spurs(view: CircuitView, trade: Trade, edition: str, choices: Choices = ()) -> Verdict:
    """Say whether the spurs of a circuit are as they may be: what each feeds, and how many there are.

    **Source:** On-Site Guide 7.2.2, as quoted; Electrical Installation Work, 5th ed., p. 272.
    """
    chosen = tuple(choices)
    shape = view.shape
    if shape is None:
        return Verdict(answer="can't judge", says=f"No run is drawn on {view.code}.", source=RULE)
    by_id = {member.point.id: member.point for member in view.members}
    most_outlets = trade.limit("unfused spur outlets", edition, chosen).value
    most_gangs = trade.limit("unfused spur gangs", edition, chosen).value
    for spur in shape.spurs:
        fed = [by_id[i] for i in spur.unfused_points if i in by_id and i != spur.fuse]
        outlets = [point for point in fed if trade.point(point.kind).counts_as_point]
        gangs = sum(point.gangs for point in outlets if trade.point(point.kind).is_socket_outlet)
        if len(outlets) > most_outlets or gangs > most_gangs:
            names = ", ".join(point.id for point in outlets)
            says = f"The unfused spur from {spur.leaves} feeds {names}; it may feed one outlet."
            return Verdict(answer="no", says=says, source=RULE)
    held = count(view, trade, edition, chosen)
    most = held.ring_points * trade.limit("unfused spurs per ring point", edition, chosen).value
    says = f"{held.spurs} unfused spurs for {held.ring_points} points in the ring itself."
    if shape.loop and held.spurs > most:
        return Verdict(answer="no", says=f"{says} There may be no more spurs than points.", source=RULE)
    return Verdict(answer="yes", says=says if shape.spurs else f"{view.code} has no spurs.", source=RULE)
