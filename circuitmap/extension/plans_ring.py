"""Plans that a ring gives: opened between two points, opened at one point, spurs without and with a fuse."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import dist, inf, isinf
from typing import Final, Literal

from msgspec import structs

from circuitmap.circuits import CircuitView
from circuitmap.design.capacity import Protection
from circuitmap.design.spurs import Outlet, Wanted, count, judge_spur
from circuitmap.extension.chains import best_chain
from circuitmap.extension.ends import place_ends
from circuitmap.extension.grounds import RUNS_A_LOT, Ground, Leg, Lot, Plan, counted, end_of, moved_end, void_of
from circuitmap.extension.insertion import Gap, insert
from circuitmap.extension.kinds import OptionKind
from circuitmap.extension.spots import RouteError, Spot3
from circuitmap.extension.takeoff import Fitting
from circuitmap.extension.wished import Wished
from circuitmap.home.change import Pair
from circuitmap.home.records import End, Place, Point, Run
from circuitmap.plan.elevation import size_on_wall
from circuitmap.plan.where import place_of

BESIDE_MM: Final = 50.0  # between two plates side by side (our own choice)


def ring_plans(ground: Ground, view: CircuitView, lot: Lot, cable: str) -> Iterator[Plan]:
    """Give all that a ring offers."""
    yield from opened(ground, view, lot, cable)
    yield from opened_at_point(ground, view, lot, cable)
    yield from opened_in_void(ground, view, lot, cable)
    yield spurs(ground, view, lot, cable)
    yield from fused(ground, view, lot, cable)


def opened(ground: Ground, view: CircuitView, lot: Lot, cable: str) -> Iterator[Plan]:
    """Open a ring at the best runs: the new points come between their two ends, and the runs are left out of use."""
    assert view.shape is not None
    runs = {run.id: run for run in view.runs}
    cost = 2 * opening_pence(ground)
    gaps = []
    for run_id in view.shape.loop_runs:
        a, b = (ground.spot_index(end.at or "") for end in (runs[run_id].a, runs[run_id].b))
        if a is not None and b is not None:
            gaps.append(Gap(run_id, a, b, cost))
    found = insert(ground.worths, gaps, [ground.at[i] for i in lot.ids])
    if not found:
        return
    legs: list[Leg] = []
    joined: list[str] = []
    for each in found:
        run = runs[each.run]
        legs += legs_between(ground, [_stop(run.a), *_news(ground, lot, each.order), _stop(run.b)])
        joined += [end.at or "" for end in (run.a, run.b)]
    yield Plan(
        kind="ring opened",
        key=f"{view.code} at {', '.join(each.run for each in found)}",
        view=view,
        lot=lot,
        placed=ground.placed,
        cable=cable,
        legs=tuple(legs),
        pairs=tuple((runs[each.run], structs.replace(runs[each.run], phase="removed")) for each in found),
        joined=tuple(joined),
    )


def opened_at_point(ground: Ground, view: CircuitView, lot: Lot, cable: str) -> Iterator[Plan]:
    """Open a ring at its best point: both legs leave from its box, where one old cable is joined on."""
    assert view.shape is not None
    runs = {run.id: run for run in view.runs}
    cost = 2 * opening_pence(ground)
    gaps = [
        Gap(run_id, ground.at[end.at], ground.at[end.at], cost, at=end.at)
        for run_id in view.shape.loop_runs
        for end in (runs[run_id].a, runs[run_id].b)
        if end.at is not None and end.at[0] == "P" and end.at in ground.at
    ]
    found = insert(ground.worths, gaps, [ground.at[i] for i in lot.ids], 1)
    if not found:
        return
    (each,) = found
    run, point_id = runs[each.run], each.gap.at
    point = ground.asked.home.take(Point, point_id)
    place = place_of(ground.asked.home, point)
    joint = extra_point(ground, lot, "junction box", place, f"joint in the box of {point_id}")
    stops = [_stop(end_of(run, point_id)), *_news(ground, lot, each.order)]
    legs = (*legs_between(ground, stops), Leg(stops[-1], End(at=joint.id), (each.order[-1], each.gap.b)))
    yield Plan(
        kind="ring opened at a point",
        key=f"{view.code} at {point_id}",
        view=view,
        lot=lot,
        placed=ground.placed,
        cable=cable,
        legs=legs,
        pairs=((None, joint), (run, moved_end(run, point_id, joint.id))),
        joined=(point_id, point_id),
        unsure=(f"Whether the box of {point_id} has room for a joint as well was not seen.",),
    )


def opened_in_void(ground: Ground, view: CircuitView, lot: Lot, cable: str) -> Iterator[Plan]:
    """Open a ring where one of its cables lies in a floor or a loft: it is cut there, and both ends are joined on."""
    assert view.shape is not None
    runs = {run.id: run for run in view.runs}
    gaps = [
        Gap(run_id, ground.at[name], ground.at[name])
        for run_id in view.shape.loop_runs
        if (name := void_of(run_id)) in ground.at
    ]
    found = insert(ground.worths, gaps, [ground.at[i] for i in lot.ids], 1)
    if not found:
        return
    (each,) = found
    run, spot = runs[each.run], ground.spots[void_of(each.run)]
    place = Place(storey=spot.storey, x_mm=round(spot.x_mm), y_mm=round(spot.y_mm), height_mm=round(spot.z_mm or 0))
    near = extra_point(ground, lot, "junction box", place, f"joint in {run.id}")
    far = structs.replace(near, id=ground.spare_id(lot, 1))
    first, rest = _cut(run, spot)
    before = structs.replace(run, b=End(at=near.id), length_mm=first, path_mm=())
    after = structs.replace(
        run, id=ground.asked.home.next_id(Run, lot.number * RUNS_A_LOT), a=End(at=far.id), length_mm=rest, path_mm=(),
        phase="planned",
    )  # fmt: skip
    stops = [End(at=near.id), *_news(ground, lot, each.order), End(at=far.id)]
    indices = [each.gap.a, *each.order, each.gap.b]
    yield Plan(
        kind="ring opened in a void",
        key=f"{view.code} in {run.id}",
        view=view,
        lot=lot,
        placed=ground.placed,
        cable=cable,
        legs=tuple(Leg(a, b, at) for (a, b), at in zip(pairwise(stops), pairwise(indices), strict=True)),
        pairs=((None, near), (None, far), (run, before), (None, after)),
        joints=2,
        unsure=(f"Whether {run.id} can be reached and has slack where it is to be cut was not seen.",),
    )


def _cut(run: Run, spot: Spot3) -> tuple[int | None, int | None]:
    """Give the lengths of the two parts of a run that is cut, by how far along its path the cut is."""
    if not run.length_mm:
        return None, None
    along = at = 0.0
    nearest = inf
    for a, b in pairwise(run.path_mm):
        if a[0] != b[0]:
            continue
        flat = dist(a[1:3], b[1:3])
        share = 0.0
        if flat:
            share = ((spot.x_mm - a[1]) * (b[1] - a[1]) + (spot.y_mm - a[2]) * (b[2] - a[2])) / flat**2
            share = min(max(share, 0.0), 1.0)
        off = dist((a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share), (spot.x_mm, spot.y_mm))
        if a[0] == spot.storey and off < nearest:
            nearest, at = off, along + dist(a[1:], b[1:]) * share
        along += dist(a[1:], b[1:])
    first = min(max(round(run.length_mm * (at / along if along else 0.5)), 1), run.length_mm - 1)
    return max(first, 1), max(run.length_mm - first, 1)


def opening_pence(ground: Ground) -> float:
    """Give what opening one point and joining there costs by the book, in pence."""
    recipe = ground.book.recipe("existing point", "any")
    rows = [(ground.book.tasks.get(key), many) for key, many in recipe.each.items()] if recipe is not None else []
    minutes = sum((t.minutes.low + t.minutes.likely + t.minutes.high) / 3 * many for t, many in rows if t is not None)
    return minutes * ground.space.costs.pence_per_minute


def spurs(ground: Ground, view: CircuitView, lot: Lot, cable: str) -> Plan:
    """Hang each wish on a ring point of its own, by one cable without a fuse."""
    assert view.shape is not None
    taken = {spur.leaves for spur in view.shape.spurs}
    trade, home = ground.asked.trade, ground.asked.home
    free = [
        i for i in view.shape.loop
        if i in ground.at and i not in taken and trade.point(home.take(Point, i).kind).is_socket_outlet
    ]  # fmt: skip
    legs: list[Leg] = []
    failed: list[str] = []
    pairs: list[Pair] = []
    joined: list[str] = []
    held = count(view, trade, ground.asked.rules.edition, ground.asked.rules.choices)
    for each in lot.wishes:
        here = ground.at[each.point.id]
        nearest = min(free, key=lambda i: ground.worths[ground.at[i]][here], default=None)
        if nearest is None:
            failed.append(f"{view.code} has no ring point left that the {each.says} could hang on.")
            continue
        free.remove(nearest)
        before = structs.replace(held, spurs=held.spurs + len(legs))
        wanted = Wanted(
            leaves="ring", outlets=(outlet_of(each),), protection=protection_of(view), cable=trade.cable(cable),
            before=before,
        )  # fmt: skip
        verdict = judge_spur(trade, wanted, ground.asked.rules.edition, ground.asked.rules.choices)
        if verdict.answer == "no":
            failed.append(verdict.says)
        legs.append(Leg(End(at=nearest), End(at=each.point.id), (ground.at[nearest], here)))
        pair = counted(home.take(Point, nearest), 1)
        pairs += [pair] if pair else []
        joined.append(nearest)
    return Plan(
        kind="unfused spurs",
        key=f"{view.code} from {', '.join(joined)}" if joined else view.code,
        view=view,
        lot=lot,
        placed=ground.placed,
        cable=cable,
        legs=tuple(legs),
        pairs=tuple(pairs),
        joined=tuple(joined),
        failed=tuple(dict.fromkeys(failed)),
    )


def fused(
    ground: Ground, view: CircuitView, lot: Lot, cable: str, kind: OptionKind = "fused spur",
    leaves: Literal["ring", "radial"] = "ring",
) -> Iterator[Plan]:  # fmt: skip
    """Put a fused connection unit beside the first of the wishes; everything else comes after its fuse."""
    assert view.shape is not None
    trade, home = ground.asked.trade, ground.asked.home
    among = view.shape.loop if leaves == "ring" else [m.point.id for m in view.members if m.after_fuse is None]
    starts = [i for i in among if i in ground.at and trade.point(home.take(Point, i).kind).is_socket_outlet]
    walls = [each for each in lot.wishes if each.face is not None]
    found: list[tuple[float, str, Wished]] = [
        (ground.worths[ground.at[i]][ground.at[each.point.id]], i, each) for i in starts for each in walls
    ]
    if not found or isinf(min(each[0] for each in found)):
        return
    _, origin, first = min(found, key=lambda each: each[0])
    spot = beside(ground, first)
    if spot is None:
        return
    place = Place(
        storey=spot.storey, x_mm=round(spot.x_mm), y_mm=round(spot.y_mm), height_mm=round(spot.z_mm or 0),
        faces_deg=spot.faces_deg,
    )  # fmt: skip
    fuse_a = ground.asked.rules.value("fused spur A")
    unit = structs.replace(extra_point(ground, lot, "fused unit", place, ""), fuse_a=fuse_a)
    try:
        placed = place_ends(ground.space, (ground.spots[origin], spot, *(each.spot for each in lot.wishes)))
    except RouteError:
        return
    rest = [each for each in lot.wishes if each is not first]
    number = {each.point.id: n + 2 for n, each in enumerate(lot.wishes)}
    _, order = best_chain(ground.worths, ground.at[first.point.id], [ground.at[each.point.id] for each in rest])
    after = {ground.at[each.point.id]: each.point.id for each in rest}
    chain = [first.point.id, *(after[n] for n in order)]
    legs = [Leg(End(at=origin), End(at=unit.id, side="supply"), (0, 1))]
    legs.append(Leg(End(at=unit.id, side="load"), End(at=chain[0]), (1, number[chain[0]])))
    legs += [
        Leg(End(at=a), End(at=b), (number[a], number[b])) for a, b in pairwise(chain)
    ]  # fmt: skip
    wanted = Wanted(
        leaves=leaves, outlets=tuple(outlet_of(each) for each in lot.wishes), protection=protection_of(view),
        cable=trade.cable(cable), fuse_a=fuse_a,
    )  # fmt: skip
    verdict = judge_spur(trade, wanted, ground.asked.rules.edition, ground.asked.rules.choices)
    pair = counted(home.take(Point, origin), 1)
    yield Plan(
        kind=kind,
        key=f"{view.code} from {origin}",
        view=view,
        lot=lot,
        placed=placed,
        cable=cable,
        legs=tuple(legs),
        pairs=((None, unit), *([pair] if pair else [])),
        joined=(origin,),
        fittings=(Fitting(what="fused unit", name="fused unit", build=first.build, where=first.where),),
        failed=(verdict.says,) if verdict.answer == "no" else (),
        unsure=(verdict.says,) if verdict.answer == "can't judge" else (),
    )


def beside(ground: Ground, each: Wished) -> Spot3 | None:
    """Give a spot for a single plate beside a wish, on the same wall and at its height; None where there is no room."""
    face, home = each.face, ground.asked.home
    if face is None or each.spot.z_mm is None:
        return None
    wide, high = size_on_wall(ground.asked.trade, Point(id=home.next_id(Point), kind="fused unit"))
    u, v = face.at(each.spot.x_mm, each.spot.y_mm)[0], each.spot.z_mm
    apart = (each.spot.wide_mm + wide) / 2 + BESIDE_MM
    stood = ground.space.stood.get(face.id, ())
    for at in (u - apart, u + apart):
        is_on = wide / 2 <= at <= face.length_mm - wide / 2
        in_hole = any(
            hole.from_mm - wide / 2 < at < hole.to_mm + wide / 2 and hole.sill_mm - high < v < hole.head_mm + high
            for hole in face.holes
        )
        is_taken = any(
            s.v is not None and abs(s.u - at) < (s.wide_mm + wide) / 2 and abs(s.v - v) < (s.high_mm + high) / 2
            for s in stood
        )
        if is_on and not in_hole and not is_taken:
            x, y, _ = face.place(at, v)
            return Spot3(each.spot.storey, x, y, v, each.spot.faces_deg, wide, high, "the fused connection unit")
    return None


def outlet_of(each: Wished) -> Outlet:
    """Give a wish as the spur rules ask it."""
    return Outlet(kind=each.point.kind, gangs=each.point.gangs, power_w=each.power_w)


def protection_of(view: CircuitView) -> Protection:
    """Give the device over a circuit."""
    return Protection(in_a=view.device.rating_a or 0.0, kind=view.device.kind)


def extra_point(
    ground: Ground,
    lot: Lot,
    kind: Literal["junction box", "fused unit"],
    place: Place | None,
    name: str,
) -> Point:
    """Give a planned point beside the wishes themselves, with an id that no other lot takes."""
    return Point(id=ground.spare_id(lot), kind=kind, place=place, name=name, phase="planned")


def legs_between(ground: Ground, stops: Sequence[End]) -> tuple[Leg, ...]:
    """Give the legs from each stop to the next."""
    made = []
    for a, b in pairwise(stops):
        one, two = ground.spot_index(a.at or ""), ground.spot_index(b.at or "")
        assert one is not None
        assert two is not None
        made.append(Leg(a, b, (one, two)))
    return tuple(made)


def _news(ground: Ground, lot: Lot, order: Sequence[int]) -> list[End]:
    by_index = {ground.at[i]: i for i in lot.ids}
    return [End(at=by_index[n]) for n in order]


def _stop(end: End) -> End:
    return End(at=end.at, side=end.side, leg=end.leg)
