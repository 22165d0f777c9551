"""The next switch-off: what to switch off, whom to look at, what it is likely to settle, how much is left after it."""

from collections.abc import Iterable, Sequence
from math import ceil, log2
from typing import Final

import numpy as np

from circuitmap.home.records import Device, Load, Point, Round, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.context import can_deduce
from circuitmap.survey.deduce import checks_of
from circuitmap.survey.kinds import is_carrier
from circuitmap.survey.method import Method
from circuitmap.survey.planner.choose import DISTURBS, LISTED, Chooser, bits
from circuitmap.survey.planner.glance import GLANCED, glance_at
from circuitmap.survey.planner.outlook import Floats, Outlook, outlook
from circuitmap.survey.planner.pace import minutes, operations
from circuitmap.survey.planner.witness import witnesses
from circuitmap.survey.proposal import Proposal, ProposalKind
from circuitmap.survey.settle import SETTLES
from circuitmap.survey.taken import main_switches, other_sources
from circuitmap.survey.walk import walk_order
from circuitmap.trade import Trade
from circuitmap.words import OtherSourceKind

MATTERS: Final = 0.004  # a point whose answer is surer than this beforehand isn't asked
_NAMED: Final = 6
_MENTIONED: Final = 0.3


def propose(
    home: Home,
    memo: Memo,
    trade: Trade,
    method: Method | None = None,
    visit: str | None = None,
    slip: float | None = None,
) -> Proposal:
    """Give the next switch-off by a method; the person may always choose otherwise, and the next proposal adapts.

    Parameters
    ----------
    visit
        The visit under way, the last one by default.
    slip
        Chance of a single wrong answer in place of the tables' rates, as for ``weigh``.
    """
    declined = can_deduce(home)
    if declined:
        return Proposal("declined", says=declined)
    method = method if method is not None else Method()
    look = outlook(home, memo, trade, method, visit, slip)
    if not look.scales.ways:
        return Proposal("done", says="List the ways of the board first, as found.")
    if not look.askable:
        return Proposal("done", says="There is no point that could be looked at; list the points first, room by room.")
    unseen = _unseen(look)
    if unseen:
        return _looked(look, unseen)
    if not look.open:
        return Proposal("done", says=_all_done(look))
    off, kind = _chosen(look)
    if not off:
        return Proposal("done", says=_stuck(look), why=_why(look, ()))
    sources: tuple[OtherSourceKind, ...] = ()
    if kind == "proof":
        sources = tuple(dict.fromkeys(source.kind for source in other_sources(home)))
    made = described(look, off, kind, sources)
    if not made.points:
        return Proposal("done", says=_stuck(look), why=_why(look, ()))
    return made


def described(look: Outlook, off: Sequence[str], kind: ProposalKind, sources: tuple[OtherSourceKind, ...]) -> Proposal:
    """Give the whole proposal for devices that were chosen, by the planner or by the person."""
    home, memo, trade = look.home, look.memo, look.trade
    points = walk_order(home, points_asked(look, off, kind), memo)
    spent = minutes(home, memo, trade, off, points)
    left = max(_rounds_left(look), 1)
    a_walk, shrinks = spent, 1
    if kind == "glance":  # a few points now, whole walks after it
        whole = walk_order(home, points_asked(look, off), memo)
        a_walk, shrinks = max(minutes(home, memo, trade, off, whole), spent), 0
    later = a_walk * sum(0.75**n for n in range(shrinks, left - 1 + shrinks))
    return Proposal(
        kind,
        tuple(sorted(off, key=natural_key)),
        sources,
        points,
        witnesses(look, off),
        _settles(look, off),
        left,
        spent,
        spent + later + trade.pace("set again at the end"),
        operations(home, off),
        _sentence(look, off, points, kind),
        _why(look, off),
    )


def points_asked(look: Outlook, off: Iterable[str], kind: ProposalKind = "group") -> tuple[str, ...]:
    """Give the points whose answer still matters while some devices are off."""
    if look.method.kind in ("one at a time", "all off, one on") and kind == "single":
        return look.open
    down = look.way_mask(off)[None, :]
    chance = look.off_chance(down)[:, 0] if len(look.rows) else np.zeros(0)
    new = (~look.seen_off & (chance > 0.5)) | (~look.seen_on & (chance < 0.5))
    if kind == "glance":
        alone = look.believed @ down[0] if len(look.rows) else np.zeros(0)
        return tuple(i for i, likely in zip(look.open, alone, strict=True) if likely > GLANCED)
    wanted = (np.minimum(chance, 1 - chance) > MATTERS) | new
    if kind == "proof":
        wanted |= ~look.seen_off
    return tuple(i for i, is_wanted in zip(look.open, wanted, strict=True) if is_wanted)


# -- choosing ---------------------------------------------------------------------------------------------------


def _chosen(look: Outlook) -> tuple[tuple[str, ...], ProposalKind]:
    match look.method.kind:
        case "one at a time":
            off, kind = _one(look)
        case "all off, one on":
            off, kind = _all_but_one(look)
        case "gentle":
            off, kind = _gently(look)
        case _:
            off, kind = _fewest(look)
    if off and points_asked(look, off, kind):
        return off, kind
    proof = _everything(look)
    # At the very end it is worth a listed load's further interruption: nothing else shows what is fed from elsewhere.
    return (proof, "proof") if proof and not _was_proved(look) else ((), "done")


def _fewest(look: Outlook) -> tuple[tuple[str, ...], ProposalKind]:
    chooser = Chooser(look, cost=_cost(look, DISTURBS, 0.0))
    if chooser.rounds_needed() == 0 and _pays(look):
        return _everything(look), "proof"
    is_coded = chooser.rounds_needed() > 0
    off = chooser.best()
    return off, ("group" if is_coded else _after(look)) if len(off) != 1 else "single" if is_coded else _after(look)


def _gently(look: Outlook) -> tuple[tuple[str, ...], ProposalKind]:
    glance = glance_at(look)
    if glance:
        return glance, "glance"
    if _pays(look) and not _left_to_code(look):
        proof = _everything(look)
        if proof and not _interrupts_again(look, proof):
            return proof, "proof"
    chooser = Chooser(look, gentle=True, most=look.method.most_off, cost=_cost(look, DISTURBS, LISTED))
    off = chooser.best()
    if not off:
        return (), "done"
    hunted = _is_hunt(look, off)
    return off, "hunt" if hunted else "group" if len(off) > 1 else "single"


def _one(look: Outlook) -> tuple[tuple[str, ...], ProposalKind]:
    """Give the first way of the board that wasn't off by itself yet, then the one with most in doubt."""
    done = {record.off for record in _rounds(look)}
    order = sorted(look.units, key=lambda i: _place(look.home, i))
    for unit in order:
        if (unit,) not in done and _may_feed(look, unit):
            return (unit,), "single"
    return _most_in_doubt(look, order), "single"


def _all_but_one(look: Outlook) -> tuple[tuple[str, ...], ProposalKind]:
    """Give all ways but the first one that wasn't on by itself yet; none after dusk, when that puts the lights out."""
    if _is_too_dark(look):
        return (), "single"
    order = sorted(look.units, key=lambda i: _place(look.home, i))
    done = {frozenset(record.off) for record in _rounds(look)}
    for unit in order:
        off = _others(look, order, unit)
        if off and frozenset(off) not in done and _may_feed(look, unit):
            return off, "single"
    doubt = _most_in_doubt(look, order)
    return _others(look, order, doubt[0]) if doubt else (), "single"


def _others(look: Outlook, order: Sequence[str], unit: str) -> tuple[str, ...]:
    """Give all units but one and those that it hangs under; they must stay on for it to be on."""
    column = look.scales.ways.index(unit)
    return tuple(i for i in order if not look.takes[look.units.index(i), column])


def _may_feed(look: Outlook, unit: str) -> bool:
    return bool(len(look.rows)) and bool((look.chances[:, look.masks((unit,))].sum(axis=1) > MATTERS).any())


def _most_in_doubt(look: Outlook, order: Sequence[str]) -> tuple[str, ...]:
    if not order or not len(look.rows):
        return ()
    off = np.array([look.masks((unit,)) for unit in order])
    told = bits(look.off_chance(off)).sum(axis=0) + 0.3 * (look.off_chance(off)[~look.seen_off]).sum(axis=0)
    best = int(np.argmax(told))
    return (order[best],) if told[best] > 0.05 else ()


def _cost(look: Outlook, each: float, listed: float) -> Floats:
    """Give what switching each way off must earn in bits; settled listed loads are left on where they can be."""
    cost = np.full(look.scales.belief.ways, each)
    for way in range(len(cost)):
        if is_carrier(look.home.take(Device, look.scales.ways[way])):
            cost[way] += 2 * each
    if listed:
        for _, chances, times in look.listed:
            cost += listed * (1 + times) * np.where(chances > SETTLES, chances, chances * 0.2)
    return cost


def _is_hunt(look: Outlook, off: Sequence[str]) -> bool:
    down = look.masks(off)
    loads = [chances for _, chances, times in look.listed if not times and chances.max() < SETTLES]
    return bool(loads) and max(float(chances[down].sum()) for chances in loads) > 0.3


def _after(look: Outlook) -> ProposalKind:
    """Tell whether what is left is a matter of two ways joined or of answers to be repeated."""
    if look.paired.shape[1] and bool(look.plausible_pairs.any()):
        return "apart"
    return "repeat"


def _left_to_code(look: Outlook) -> bool:
    return Chooser(look).rounds_needed() > 0


def _pays(look: Outlook) -> bool:
    """Whether everything off tells something: some point never went off, and no way is left that could be its own."""
    if not len(look.rows) or _was_proved(look):
        return False
    never = ~look.seen_off
    beyond = look.elsewhere + look.paired.sum(axis=1)
    return bool((never & (beyond > 0.05)).any())


def _was_proved(look: Outlook) -> bool:
    """Whether every open point was looked at with everything off already."""
    never = [i for i, off in zip(look.open, look.seen_off, strict=True) if not off]
    proved = {i for i in never if any(seen.everything for seen in look.scales.told[i].seen)} if never else set()
    return len(proved) == len(never)


def _everything(look: Outlook) -> tuple[str, ...]:
    """Give what turns everything off: the main switches, or every way where one may not be used; nothing if neither."""
    home = look.home
    kept = {d.id for d in home.table(Device).values() if d.keep_on} | set(look.method.keep_on)
    if kept or _is_too_dark(look):
        return ()
    mains = [d for d in main_switches(home) if d.how_switched not in ("leave alone", "can't be reached")]
    if mains and len(mains) == len(main_switches(home)) and look.way_mask(d.id for d in mains).all():
        return tuple(d.id for d in mains)
    return look.units if look.masks(look.units).all() else ()


def _is_too_dark(look: Outlook) -> bool:
    """Whether everything off would put more than one lighting way out after dusk."""
    return look.method.is_dark and int(look.lighting.sum()) > 1


def _interrupts_again(look: Outlook, off: Sequence[str]) -> bool:
    down = look.way_mask(off)
    return any(
        times >= look.method.most_interruptions and float(chances[down].sum()) > 0.02
        for _, chances, times in look.listed
    )


# -- telling ----------------------------------------------------------------------------------------------------


def _settles(look: Outlook, off: Iterable[str]) -> float:
    """Give how many points are expected to be settled by the answers: both ways an answer may go, by their chances."""
    if not len(look.rows):
        return 0.0
    down = look.way_mask(off).astype(np.float64)
    chance = look.off_chance(down[None, :] > 0)[:, 0]
    gone, stays = look.believed * down, look.believed * (1 - down)
    best_gone = gone.max(axis=1) / np.maximum(chance, 1e-12)
    best_stays = stays.max(axis=1) / np.maximum(1 - chance, 1e-12)
    on_then = look.seen_on
    off_then = look.seen_off
    sure = chance * ((best_gone >= SETTLES) & on_then) + (1 - chance) * ((best_stays >= SETTLES) & off_then)
    return float(sure.sum())


def _rounds_left(look: Outlook) -> int:
    needed = Chooser(look).rounds_needed()
    if look.method.kind == "fewest rounds":
        return needed
    waiting = [unit for unit in look.units if _may_feed(look, unit)]
    if look.method.kind == "gentle":
        each = min(max(look.method.most_off, 1), 3)
        return max(ceil(len(waiting) * (1 / each + (ceil(log2(each)) / each if each > 1 else 0))), needed)
    done = {record.off for record in _rounds(look)}
    return max(sum((unit,) not in done for unit in waiting), 1)


def _sentence(look: Outlook, off: Sequence[str], points: Sequence[str], kind: ProposalKind) -> str:
    home = look.home
    rooms = rooms_of_points(home, look.memo)
    many = len({room.id for i in points if (room := rooms.get(i)) is not None})
    where = f" in {many} room{'' if many == 1 else 's'}" if many else ""
    whom = f"{len(points)} point{'' if len(points) == 1 else 's'}{where}"
    if kind == "glance":
        names = _all_of(home.code(i) for i in sorted(off, key=natural_key))
        return f"Switch {names} off and look at the appliances only, a glance each: {whom}."
    if kind == "proof":
        return f"Switch everything off and look at what never went off: {whom}."
    codes = [home.code(i) for i in sorted(off, key=natural_key)]
    if look.method.kind == "all off, one on":
        on = [home.code(i) for i in look.units if i not in set(off)]
        return f"Leave only {_all_of(on)} on and walk: {whom}."
    return f"Switch {_all_of(codes)} off and walk: {whom}."


def _why(look: Outlook, off: Sequence[str]) -> tuple[str, ...]:
    """Give what was heeded, a sentence each."""
    home = look.home
    says: list[str] = []
    fixed = [i for i in look.scales.ways if i not in look.units]
    if fixed:
        says.append(f"{_listed(home.code(i) for i in fixed)} stay{'s' if len(fixed) == 1 else ''} on or can't be used.")
    carriers = [i for i in off if is_carrier(home.take(Device, i))]
    if carriers:
        says.append(
            f"{_listed(home.code(i) for i in carriers)}: pulled with the main switch off; the home is down twice."
        )
    down = look.way_mask(off)
    lights = [home.code(look.scales.ways[n]) for n in np.flatnonzero(down & look.lighting)]
    if lights:
        says.append(f"Torch needed: {_listed(lights)} may be lighting.")
    if look.method.is_dark:
        says.append("After dusk one lighting way at most goes off at a time.")
    lost = [(float(chances[down].sum()), _load_name(home, point), times) for point, chances, times in look.listed]
    likely = sorted((each for each in lost if each[0] > _MENTIONED), reverse=True)
    if likely:
        named = [f"{name} {min(chance * 100, 99):.0f} %" for chance, name, _ in likely]
        says.append(f"Likely to go off: {_listed(named)}.")
    again = [name for chance, name, times in likely if times]
    if again:
        says.append(f"Off before in this visit: {_listed(again)}.")
    missing = [
        i for i in look.scales.ids if i not in look.askable and look.trade.point(home.take(Point, i).kind).checkable
    ]
    if missing:
        says.append(f"{_listed(missing)} can't be looked at and {'is' if len(missing) == 1 else 'are'} not waited for.")
    return tuple(says)


def _load_name(home: Home, point_id: str) -> str:
    point = home.take(Point, point_id)
    first: Load | None = point.loads[0] if point.loads else None
    return f"{(first.name or first.what) if first is not None else point.name or point.kind} ({point_id})"


def _all_of(names: Iterable[str]) -> str:
    """Give every name: what is to be switched is never left out."""
    said = list(names)
    return " and ".join([", ".join(said[:-1]), said[-1]]) if len(said) > 1 else "".join(said)


def _listed(names: Iterable[str]) -> str:
    said = list(names)
    if len(said) > _NAMED:
        return ", ".join(said[:_NAMED]) + f" and {len(said) - _NAMED} more"
    return " and ".join([", ".join(said[:-1]), said[-1]]) if len(said) > 1 else "".join(said)


# -- the look beforehand, and the end -----------------------------------------------------------------------------


def _unseen(look: Outlook) -> tuple[str, ...]:
    """Give the points that this visit hasn't looked at with the power on, unless an earlier one settled them."""
    if any(record.off for record in _rounds(look)):
        return ()
    seen: set[str] = set()
    for i in look.askable:
        for check in checks_of(look.home, look.memo, i):
            if look.home.take(Round, check.round).visit == look.visit:
                seen.add(i)
    return tuple(i for i in look.askable if i not in seen and look.known[i].verdict != "settled")


def _looked(look: Outlook, unseen: Sequence[str]) -> Proposal:
    points = walk_order(look.home, unseen, look.memo)
    spent = minutes(look.home, look.memo, look.trade, (), points)
    left = _rounds_left(look) if look.open else 0
    return Proposal(
        "look",
        points=points,
        rounds_left=left + 1,
        minutes=spent,
        minutes_left=spent * (1 + 0.6 * left) + look.trade.pace("set again at the end"),
        says=f"Look at everything with the power on first: {len(points)} point{'' if len(points) == 1 else 's'}.",
    )


def _rounds(look: Outlook) -> tuple[Round, ...]:
    return tuple(r for r in look.home.sorted(Round) if r.visit == look.visit and r.off)


def _place(home: Home, device_id: str) -> tuple[str, int, tuple[str, int]]:
    device = home.take(Device, device_id)
    return device.board, device.module if device.module is not None else 10_000, natural_key(device_id)


def _all_done(look: Outlook) -> str:
    settled = sum(look.known[i].verdict == "settled" for i in look.askable)
    rest = len(look.scales.ids) - settled
    more = f" {rest} others can't be settled by switching off." if rest and rest != 1 else ""
    more = " One other can't be settled by switching off." if rest == 1 else more
    return f"{settled} points are settled; no other switch-off would tell more.{more}"


def _stuck(look: Outlook) -> str:
    names = _listed(look.open)
    if _is_too_dark(look):
        return f"After dusk no switch-off that may be made tells more of {names}: go on by daylight."
    spent = [
        _load_name(look.home, point)
        for point, chances, times in look.listed
        if times >= look.method.most_interruptions and look.method.kind == "gentle" and chances.max() < SETTLES
    ]
    if spent:
        return (
            f"{names}: only switch-offs are left that may interrupt {_listed(spent)} once more. Agree to that and "
            "choose them yourself, or go on by fewest switch-offs."
        )
    return f"No switch-off that may be made tells more of {names}; look for what is local there, or note why."
