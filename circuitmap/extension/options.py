"""All sound ways of doing what is wished, each worked out; those that fail are kept with their reasons.

What is reckoned here prepares a choice. Design, certification and notification belong to a competent person and local
rules.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Final, Literal

from msgspec import structs

from circuitmap.circuits import CircuitView, views
from circuitmap.design.capacity import Correction
from circuitmap.extension.asked import Asked
from circuitmap.extension.checks import Check
from circuitmap.extension.estimate_says import optional_ranges, optional_sums
from circuitmap.extension.fit import fit_to_extend, remedies_of
from circuitmap.extension.grounds import IDS_A_PART, USUAL, Ground, Lot, Plan, family_by, laid_out, lots_of
from circuitmap.extension.kinds import Asking, Option, OptionKind
from circuitmap.extension.plans_lights import on_with_light, switch_plans, with_switches
from circuitmap.extension.plans_other import gone, new_way_plans, radial_plans, taken_out, thicker
from circuitmap.extension.plans_ring import fused, ring_plans
from circuitmap.extension.price import price
from circuitmap.extension.pricebook import Book
from circuitmap.extension.spots import Structure
from circuitmap.extension.takeoff import Job, Remedy, Work, takeoff
from circuitmap.extension.wish_words import LIGHT_SWITCHES
from circuitmap.extension.worked import as_built, refused, worked
from circuitmap.findings import Finding
from circuitmap.findings import run as find
from circuitmap.home.change import Change, combine
from circuitmap.home.records import Extension, Point, Wish
from circuitmap.home.snapshot import Home
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.trade import Trade
from circuitmap.wiring.shape import SHAPE_WORDS

_WHOLE = frozenset({"ring", "ring with spurs"})
_RADIAL = frozenset({"radial", "branched radial", "one point only"})
# So many circuits of each shape are tried, those nearest to the wishes first.
MOST_OF_A_SHAPE: Final = 3
THICKER_TRIED: Final = 2


def options(
    home: Home,
    extension: Extension,
    trade: Trade,
    book: Book,
    memo: Memo | None = None,
    ticket: Ticket | None = None,
    *,
    job: Job | None = None,
    structure: Structure | None = None,
    corrections: Mapping[str, Correction] | None = None,
) -> Asking:
    """Lay out every way of doing what an extension wishes for.

    Parameters
    ----------
    home
        As it is; promises in it are left out of account.
    extension
        What is wished for.
    trade, book, memo
        Figures, prices, and what is kept between askings.
    ticket
        Ticks with every option; stops the work when it is told to.
    job
        How the work is done; as the extension says unless told otherwise.
    structure
        What is inside floors and above ceilings; the usual by default.
    corrections
        How the surroundings of runs, by their id, lower their rating.

    Returns
    -------
    Asking
        What has to be in order first, and the options: sound ones first, the cheaper first.

    Raises
    ------
    StoppedError
        When the ticket was stopped.
    """
    ticket, memo, job = ticket or Ticket(), memo or Memo(), job or job_of(extension)
    ticket.tick(0, 0, "What is there")
    home = home.existing()
    asked = Asked(home, views(home, trade, memo), trade, memo, corrections or {})
    before = find(home, trade, memo)
    fit = fit_to_extend(asked, before)
    needed = tuple(structs.replace(each, optional=True) for each in remedies_of(fit))
    fitting = price(takeoff(Work(remedies=needed), book, job), book, job, draws=0)
    first_sums, ranges = optional_sums(fitting), optional_ranges(fitting)
    if not extension.wishes:
        return Asking(
            fit=fit,
            options=(),
            first=first_sums,
            first_ranges=ranges,
            sign=book.terms.sign,
            tax_percent=book.terms.tax_percent(),
        )
    ticket.tick(0, 0, "Where cables may run")
    grounds: list[Ground] = []
    for part, wishes in enumerate(_parts(trade, home, extension)):
        there, first = _without(asked, wishes, part)
        grounds.append(laid_out(there, wishes, book, job, structure, first=first, part=part))
    ticket.tick(0, 0, "What can be done")
    plans: list[tuple[Ground, Plan]] = []
    said: list[tuple[int, str]] = []
    lots = 0
    for ground in grounds:
        said += ground.refused
        for lot in lots_of(ground, lots):
            lots += 1
            mine = list(_plans(ground, lot))
            plans += [(ground, plan) for plan in mine]
            if not mine:
                said += [(each.number, _nothing(lot)) for each in lot.wishes]
    checked: dict[str, tuple[Check, ...]] = {}
    made: list[Option] = []
    for done, (ground, plan) in enumerate(plans):
        ticket.tick(done, len(plans), plan.kind)
        made.append(_made(ground, plan, before, checked, needed))
    ticket.tick(len(plans), len(plans), "Done")
    made.sort(key=lambda each: (each.wishes, not each.is_sound, each.priced.total if each.priced is not None else 0))
    return Asking(
        fit=fit,
        options=tuple(made),
        refused=tuple(sorted(said)),
        first=first_sums,
        first_ranges=ranges,
        sign=book.terms.sign,
        tax_percent=book.terms.tax_percent(),
    )


def job_of(extension: Extension) -> Job:
    """Give how an extension's work is done, as its record says."""
    return Job(
        occupied=extension.lived_in,
        making_good="by others" if extension.others_make_good else "included",
        on_surface=extension.on_surface,
    )


def _parts(trade: Trade, home: Home, extension: Extension) -> tuple[dict[int, Wish], ...]:
    """Part wishes by what they move: each family with a move in it alone, all others together."""
    families: dict[str, dict[int, Wish]] = {}
    for number, wish in enumerate(extension.wishes):
        was = home.find(Point, wish.point)
        kind = wish.kind or (was.kind if was is not None else None)
        family = family_by(wish.act, trade.point(kind)) if kind is not None else ""
        families.setdefault(family, {})[number] = wish
    moved = [held for held in families.values() if any(wish.act == "move" for wish in held.values())]
    rest = {number: wish for held in families.values() if held not in moved for number, wish in held.items()}
    return tuple(([rest] if rest else []) + moved)


def _without(asked: Asked, wishes: Mapping[int, Wish], part: int) -> tuple[Asked, Change | None]:
    """Give a home without the points that wishes move, each taken out of where it is, and the change that does it."""
    home = asked.home
    changes: list[Change] = []
    for wish in wishes.values():
        was = home.find(Point, wish.point)
        if wish.act != "move" or was is None:
            continue
        skip = part * IDS_A_PART + len(changes)
        pairs, _, _, _ = gone(home, was, asked.trade.point(was.kind), asked.home.next_id(Point, skip))
        change = as_built(Change("Take out what moves", pairs))
        home = home.apply(change)
        changes.append(change)
    if not changes:
        return asked, None
    there = views(home, asked.trade, asked.memo)
    return Asked(home, there, asked.trade, asked.memo, asked.corrections), combine("Take out what moves", changes)


def _made(
    ground: Ground,
    plan: Plan,
    before: tuple[Finding, ...],
    checked: dict[str, tuple[Check, ...]],
    remedies: tuple[Remedy, ...],
) -> Option:
    if not plan.legs and plan.kind != "taken out":
        return refused(plan)
    made = worked(ground, plan, before, checked, remedies)
    if plan.kind != "new way":
        return made
    # A way of its own may have a thicker cable where the usual one loses too much; it is shown thin if that helps not.
    tried, held = plan, made
    for _ in range(THICKER_TRIED):
        code = thicker(ground, tried.cable)
        if code is None or not any(c.kind == "volt drop" and c.verdict.answer == "no" for c in held.checks):
            break
        tried = replace(tried, cable=code)
        held = worked(ground, tried, before, checked, remedies)
    return held if held.is_sound else made


def _nothing(lot: Lot) -> str:
    if lot.family == "controls":
        row = lot.wishes[0].row
        if row.kind in LIGHT_SWITCHES:
            return (
                f"It isn't known what the {row.title} is to work: name a light or a switch of the map that it goes "
                f"with, as in “{row.title} for P12, Hall, wall 1, 0.3 m, 1.2 m”, or ask for lights in its room."
            )
        return f"A {row.title} is not planned as a point of its own; plan it with what it works."
    return "No cable can be brought there within the zones of the walls and the floors that are known."


def _plans(ground: Ground, lot: Lot) -> Iterator[Plan]:
    """Give the plans of all kinds that suit a lot."""
    if lot.family == "controls":
        yield from switch_plans(ground, lot)
    elif lot.family == "taken out":
        yield taken_out(ground, lot)
    elif lot.family == "sockets":
        yield from _on_circuits(ground, lot, lights=False)
        yield from new_way_plans(ground, lot, USUAL["sockets"])
    elif lot.family == "lights":
        plans = (*_on_circuits(ground, lot, lights=True), *new_way_plans(ground, lot, USUAL["lights"]))
        yield from (with_switches(ground, plan) if plan.kind != "on with a light" else plan for plan in plans)
    elif lot.family == "appliances":
        for view in _nearest(ground, lot, lights=False):
            leaves: Literal["ring", "radial"] = (
                "ring" if view.shape is not None and view.shape.kind in _WHOLE else "radial"
            )
            if view.shape is not None and view.shape.kind in _WHOLE | _RADIAL:
                yield from fused(ground, view, lot, _cable(ground, view, "appliances"), leaves=leaves)
        yield from new_way_plans(ground, lot, USUAL["appliances"])
    elif lot.family == "own":
        yield from new_way_plans(ground, lot, USUAL["sockets"])


def _on_circuits(ground: Ground, lot: Lot, *, lights: bool) -> Iterator[Plan]:
    for view in _nearest(ground, lot, lights=lights):
        family = "lights" if lights else "sockets"
        kind = view.shape.kind if view.shape is not None else None
        against = _against(ground, view)
        cable = _cable(ground, view, family)
        if against:
            tried: OptionKind = "ring opened" if kind not in _RADIAL else "radial extended"
            yield Plan(tried, view.code, view, lot, ground.placed, cable, failed=(against,))
        elif kind in _WHOLE and not lights:
            yield from ring_plans(ground, view, lot, cable)
        elif kind in _RADIAL:
            yield from radial_plans(ground, view, lot, cable)
            if lights:
                yield from on_with_light(ground, view, lot, cable)
    if not lights and not any(v.shape is not None and v.shape.kind in _WHOLE for v in ground.asked.views):
        says = "There is no ring on the map that could be opened."
        yield Plan("ring opened", "none", None, lot, ground.placed, USUAL["sockets"], failed=(says,))


def _against(ground: Ground, view: CircuitView) -> str:
    """Say why nothing may be added to a circuit as it is, if so."""
    old = [run for run in view.runs if (row := ground.asked.trade.cable(run.cable)) is not None and row.do_not_extend]
    if old:
        return f"{view.code} has cable ({old[0].cable}) that nothing is added to; it is replaced first."
    if view.shape is None:
        return f"No cable of {view.code} is on the map: follow it first."
    if view.shape.kind not in _WHOLE | _RADIAL:
        said = SHAPE_WORDS[view.shape.kind]
        return f"{view.code} is “{said}” on the map: find out or put that right before anything is added."
    return ""


def _nearest(ground: Ground, lot: Lot, *, lights: bool) -> tuple[CircuitView, ...]:
    """Give the circuits of a family that a lot could go on, the nearest of each shape first."""
    trade = ground.asked.trade
    found: dict[str, list[tuple[float, int, CircuitView]]] = {}
    for number, view in enumerate(ground.asked.views):
        rows = [trade.point(member.point.kind) for member in view.members]
        if not any((row.is_light if lights else row.is_socket_outlet) for row in rows):
            continue
        here = [ground.at[m.point.id] for m in view.members if m.point.id in ground.at]
        near = min((ground.worths[a][ground.at[i]] for a in here for i in lot.ids), default=float("inf"))
        shape = "ring" if view.shape is not None and view.shape.kind in _WHOLE else "other"
        found.setdefault(shape, []).append((near, number, view))
    return tuple(
        view for held in found.values() for _, _, view in sorted(held, key=lambda each: each[:2])[:MOST_OF_A_SHAPE]
    )


def _cable(ground: Ground, view: CircuitView, family: str) -> str:
    """Give the cable to go on with: the thickest of the circuit's own that has a price, no thinner than is usual."""
    trade = ground.asked.trade
    usual = trade.cable(USUAL[family])
    assert usual is not None
    codes = {run.cable for run in view.runs if ground.book.priced(f"cable {run.cable}") is not None}
    rows = [row for code in codes if (row := trade.cable(code)) is not None]
    best = max([*rows, usual], key=lambda row: row.live_mm2)
    return best.code if best.live_mm2 > usual.live_mm2 else usual.code
