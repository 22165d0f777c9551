"""Plans for lights and what works them: on with a light that is there, a switch of their own, a second switch."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import inf, isinf
from typing import Final

from msgspec import structs

from circuitmap.circuits import CircuitView
from circuitmap.extension.chains import best_chain
from circuitmap.extension.grounds import USUAL, Ground, Leg, Lot, Plan, counted
from circuitmap.extension.plans_ring import legs_between
from circuitmap.extension.takeoff import Fitting
from circuitmap.extension.wish_words import LIGHT_SWITCHES
from circuitmap.extension.wished import Wished
from circuitmap.home.change import Pair
from circuitmap.home.records import End, Point, Run
from circuitmap.home.snapshot import Home
from circuitmap.plan.where import room_of
from circuitmap.words import Switching

BETWEEN_SWITCHES: Final = "3C&E 1.0"
_WORKED: Final = (
    "What is to work the new light isn't planned: ask for a switch in its room as well, or take it on with a light "
    "that is there."
)


def switches_of(home: Home, light: str) -> tuple[Point, ...]:
    """Give the switches that are recorded to work a light, in natural order."""
    return tuple(p for p in home.sorted(Point) if light in p.controls and p.phase != "removed")


def has_lasting_feed(view: CircuitView, point: str) -> bool:
    """Whether a feed that no switch breaks is on the map at a point."""
    return any(run.role == "feed" and point in (run.a.at, run.b.at) for run in view.runs)


def on_with_light(ground: Ground, view: CircuitView, lot: Lot, cable: str) -> Iterator[Plan]:
    """Go on from the light where that costs least, so that what works it works the new ones too."""
    if lot.switches or not all(each.row.is_light for each in lot.wishes):
        return
    home = ground.asked.home
    through = [ground.at[i] for i in lot.ids]
    best: tuple[float, Point, tuple[int, ...]] | None = None
    for member in view.members:
        at = ground.at.get(member.point.id)
        is_light = ground.asked.trade.point(member.point.kind).is_light
        if at is None or not is_light or member.after_fuse is not None or not switches_of(home, member.point.id):
            continue
        cost, order = best_chain(ground.worths, at, through)
        if not isinf(cost) and (best is None or cost < best[0]):
            best = cost, member.point, order
    if best is None:
        return
    _, light, order = best
    by_index = {ground.at[i]: i for i in lot.ids}
    legs = legs_between(ground, [End(at=light.id), *(End(at=by_index[n]) for n in order)])
    pair = counted(light, 1)
    worked = [(s, structs.replace(s, controls=(*s.controls, *lot.ids))) for s in switches_of(home, light.id)]
    yield Plan(
        kind="on with a light",
        key=f"{view.code} with {light.id}",
        view=view,
        lot=lot,
        placed=ground.placed,
        cable=cable,
        legs=tuple(replace(leg, role="switched") for leg in legs),
        pairs=(*((pair,) if pair else ()), *worked),
        joined=(light.id,),
    )


def with_switches(ground: Ground, plan: Plan) -> Plan:
    """Give a plan for lights its switches: a drop from the first light, each further switch joined to the one before.

    Lights after the first come on the switched line. Without a switch the plan says that one is missing.
    """
    lot = plan.lot
    if lot.family != "lights" or not plan.legs:
        return plan
    lights = [i for i in lot.ids if ground.asked.trade.point(_point_of(lot, i).kind).is_light]
    if not lot.switches:
        return replace(plan, unsure=(*plan.unsure, _WORKED)) if lights else plan
    first = next(end.at for leg in plan.legs for end in (leg.a, leg.b) if end.at in lights)
    assert first is not None
    legs = [replace(leg, role="switched") if {leg.a.at, leg.b.at} <= set(lights) else leg for leg in plan.legs]
    one, *more = lot.switches
    legs.append(Leg(End(at=first), End(at=one.point.id), (ground.at[first], ground.at[one.point.id]), "switch drop"))
    for before, after in zip(lot.switches, more, strict=False):
        a, b = before.point.id, after.point.id
        legs.append(Leg(End(at=a), End(at=b), (ground.at[a], ground.at[b]), "strappers", BETWEEN_SWITCHES))
    return replace(plan, legs=tuple(legs))


def _point_of(lot: Lot, point: str) -> Point:
    return next(each.point for each in lot.wishes if each.point.id == point)


def switch_plans(ground: Ground, lot: Lot) -> Iterator[Plan]:
    """Give a light that is there one more switch, or one where none is recorded to work it."""
    (each,) = lot.wishes
    partner = _partner(ground, each) if each.row.kind in LIGHT_SWITCHES else None
    if partner is None or partner.id not in ground.at:
        return
    home = ground.asked.home
    is_light = ground.asked.trade.point(partner.kind).is_light
    lights = (partner.id,) if is_light else partner.controls
    view = next((v for v in ground.asked.views if set(lights) & set(v.names)), None)
    at = (ground.at[partner.id], ground.at[each.point.id])
    pair = counted(partner, 1)
    if is_light:
        leg = Leg(End(at=partner.id), End(at=each.point.id), at, "switch drop")
        yield Plan(
            kind="switch for a light",
            key=partner.id,
            view=view,
            lot=_working(lot, lights, "one way"),
            placed=ground.placed,
            cable=USUAL["lights"],
            legs=(leg,),
            pairs=(pair,) if pair else (),
            joined=(partner.id,),
            unsure=(f"What works {partner.id} now isn't recorded; find that out first.",),
        )
        return
    failed: tuple[str, ...] = ()
    if partner.switching in ("cord", "sensor", "timer") or partner.kind not in LIGHT_SWITCHES:
        failed = (f"{partner.id} is of a kind that a second switch can't be joined to; name another one.",)
    elif partner.switching == "intermediate" or (partner.switching == "two way" and not _is_last(home, partner)):
        failed = (
            f"{partner.id} has the light's cable or stands between two others; name the last switch of its row, the "
            "one with nothing but the three-core cable.",
        )
    becomes: Switching = "two way" if partner.switching in ("one way", "") else "intermediate"
    before, now = partner, (pair[1] if pair is not None else partner)
    assert isinstance(now, Point)
    pairs: tuple[Pair, ...] = ((before, structs.replace(now, switching=becomes)),)
    yield Plan(
        kind="second switch",
        key=f"with {partner.id}",
        view=view,
        lot=_working(lot, lights, "two way"),
        placed=ground.placed,
        cable=BETWEEN_SWITCHES,
        legs=(Leg(End(at=partner.id), End(at=each.point.id), at, "strappers"),),
        pairs=pairs,
        joined=(partner.id,),
        fittings=(Fitting(what=partner.kind, name=f"{partner.id}, for {becomes} switching", act="replace", box=False),),
        failed=failed,
    )


def _working(lot: Lot, lights: Sequence[str], switching: Switching) -> Lot:
    points = [structs.replace(each.point, controls=tuple(lights), switching=switching) for each in lot.wishes]
    return replace(
        lot, wishes=tuple(replace(each, point=point) for each, point in zip(lot.wishes, points, strict=True))
    )


def _partner(ground: Ground, each: Wished) -> Point | None:
    """Give the switch that a new one is joined to, or the light that it is to work where no switch is recorded.

    What the wish names, else what is nearest in its room.
    """
    home, asked = ground.asked.home, ground.asked
    named = home.find(Point, each.wish.point)
    if named is not None:
        if not asked.trade.point(named.kind).is_light:
            if named.switching != "two way" or _is_last(home, named):
                return named
            rest = [p for light in named.controls for p in switches_of(home, light) if _is_last(home, p)]
            return min(rest, key=lambda p: _worth(ground, p, each), default=named)
        works = switches_of(home, named.id)
        last = [p for p in works if _is_last(home, p)] if len(works) > 1 else []
        return min(last or works, key=lambda p: _worth(ground, p, each), default=named)
    room = room_of(home, asked.memo, each.point)
    if room is None:
        return None
    here = [
        p for p in home.sorted(Point) if p.phase == "existing" and p.id in ground.at
        and (found := room_of(home, asked.memo, p)) is not None and found.id == room.id
    ]  # fmt: skip
    switches = [p for p in here if p.kind in LIGHT_SWITCHES and p.controls]
    lights = [p for p in here if asked.trade.point(p.kind).is_light and not switches_of(home, p.id)]
    return min(switches or lights, key=lambda p: _worth(ground, p, each), default=None)


def _is_last(home: Home, switch: Point) -> bool:
    """Whether a two-way switch is the far one of its row: nothing ends at it but one cable from another switch.

    Only such a one can become the intermediate switch between two others. **Source:** common practice, no source.
    """
    roles = [run.role for run in home.sorted(Run) if switch.id in (run.a.at, run.b.at) and run.phase == "existing"]
    return switch.switching == "two way" and roles == ["strappers"]


def _worth(ground: Ground, point: Point, each: Wished) -> float:
    at = ground.at.get(point.id)
    return ground.worths[at][ground.at[each.point.id]] if at is not None else inf
