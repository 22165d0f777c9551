"""A plan worked out: its records, the home as it would be, and all that the rest of the program says of that."""

from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, Final

from msgspec import structs

from circuitmap.circuits import CircuitView, views
from circuitmap.design.supply import judge_supply
from circuitmap.extension.afterwards import differ, end_to_end, expected_at
from circuitmap.extension.asked import Asked
from circuitmap.extension.checks import Check, box_of, check_way, compare_supply
from circuitmap.extension.grounds import RUNS_A_LOT, Ground, Leg, Plan
from circuitmap.extension.kinds import KIND_TITLES, Option
from circuitmap.extension.option_work import lies, lines_of, papers_of, rcd_of, taken_for_granted, work_of
from circuitmap.extension.pathing import Route, routes_between
from circuitmap.extension.price import price
from circuitmap.extension.route_cautions import cautions
from circuitmap.extension.spots import RouteError
from circuitmap.extension.takeoff import Remedy, takeoff
from circuitmap.findings import Finding
from circuitmap.findings import run as find
from circuitmap.home.change import Change, Pair, combine
from circuitmap.home.records import Device, Point, Record, Run

if TYPE_CHECKING:
    from circuitmap.extension.option_work import Lines

GRAVE: Final = frozenset({"C1", "C2"})


def worked(
    ground: Ground, plan: Plan, before: tuple[Finding, ...], checked: dict[str, tuple[Check, ...]],
    remedies: tuple[Remedy, ...] = (),
) -> Option:  # fmt: skip
    """Work a plan out to an option.

    Parameters
    ----------
    before
        The findings of the home as it is.
    checked
        The checks of its circuits as they are, by the id of their device; filled as they are asked.
    remedies
        What makes the existing installation fit; priced as a block of its own.
    """
    try:
        routes = tuple(routes_between(plan.placed, *leg.at)[0] for leg in plan.legs)
    except RouteError as error:
        return _bare(plan, (*plan.failed, str(error)))
    change = _change(ground, plan, routes)
    asked = ground.asked
    home_after = asked.home.apply(as_built(change))
    after = Asked(home_after, views(home_after, asked.trade, asked.memo), asked.trade, asked.memo, asked.corrections)
    new_ids = [a.id for b, a in change.pairs if b is None and isinstance(a, Point)]
    mine = _mine(after, plan, new_ids)
    checks = check_way(after, mine) if mine is not None else ()
    was = _checked(ground, plan.view, checked)
    found = find(home_after, asked.trade, asked.memo)
    added, cleared = differ(before, found)
    demand = compare_supply(asked, after)
    failed, unsure = list(plan.failed), list(plan.unsure)
    new = {now.id for old, now in change.pairs if old is None and now is not None}
    _judge(checks, was, new, failed, unsure)
    if demand.verdict.answer == "no":
        # A supply that was too small before is for what comes first; one more load of its own isn't sound on it.
        was_over = judge_supply(demand.before, asked.supply).answer == "no"
        is_heavy = plan.lot.family == "own"
        (unsure if was_over and not is_heavy else failed).append(demand.verdict.says)
    failed += [f"{f.code} suggested: {f.says}" for f in added if f.code in GRAVE]
    _dangers(plan.view, before, failed, unsure)
    for each in plan.lot.wishes:
        if ground.job.on_surface and each.spot.faces_deg is not None:
            continue  # a box on the surface is cut into no wall
        _box(after, each.point, failed, unsure, is_deep=each.wish.deep)
    rcd, rcd_remedies = rcd_of(after, plan, mine)
    papers = papers_of(ground, plan)
    job = structs.replace(
        ground.job, certificate=papers.certificate, notify="notify by scheme" if papers.notify == "yes" else "",
    )  # fmt: skip
    work = work_of(ground, plan, routes, (*remedies, *rcd_remedies))
    taken = takeoff(work, ground.book, job)
    priced = price(taken, ground.book, job, draws=0)
    details = asked.home.details
    said = dict.fromkeys(s for route in routes for s in cautions(plan.placed.space, route, asked.trade, details))
    return Option(
        kind=plan.kind,
        key=_key(plan),
        title=KIND_TITLES[plan.kind],
        way=mine.code if mine is not None else plan.view.code if plan.view is not None else "",
        wishes=tuple(each.number for each in plan.lot.wishes),
        change=_whole(ground, change),
        routes=routes,
        runs=tuple(a.id for _, a in change.pairs[-len(routes) :] if isinstance(a, Run)) if routes else (),
        points=tuple(each.point.id for each in plan.lot.wishes) if plan.kind != "taken out" else (),
        length_mm=sum(route.length_mm for route in routes),
        cable=plan.cable,
        added=added,
        cleared=cleared,
        checks=checks,
        ring=end_to_end(after, mine) if mine is not None else None,
        expected=expected_at(after, mine, _read_at(plan)) if mine is not None else (),
        demand=demand,
        rcd=rcd,
        papers=papers,
        work=work,
        job=job,
        taken=taken,
        priced=priced,
        minutes=priced.minutes_mean,
        failed=tuple(dict.fromkeys(failed)),
        unsure=tuple(dict.fromkeys(unsure)),
        cautions=tuple(said),
        assumes=tuple(dict.fromkeys((*(s for route in routes for s in route.assumes), *taken_for_granted(routes)))),
    )


def _whole(ground: Ground, change: Change) -> Change:
    """Put what was altered first before a change: one change of the home as it is, all that is new in it planned."""
    if ground.first is None:
        return change
    whole = combine(change.title, (ground.first, change))
    return Change(whole.title, tuple((old, _promised(old, now)) for old, now in whole.pairs))


def _promised(old: Record | None, now: Record | None) -> Record | None:
    if old is None and isinstance(now, Point | Device | Run):
        return structs.replace(now, phase="planned")
    return now


def as_built(change: Change) -> Change:
    """Give a change as it is once the work is done: what was planned is there, and was seen by whoever laid it."""
    return Change(change.title, tuple((before, _there(after)) for before, after in change.pairs))


def _there(record: Record | None) -> Record | None:
    if not isinstance(record, Point | Device | Run) or record.phase != "planned":
        return record
    if isinstance(record, Run) and record.evidence in ("assumed", "inferred"):
        return structs.replace(record, phase="existing", evidence="seen")
    return structs.replace(record, phase="existing")


def _bare(plan: Plan, failed: Iterable[str]) -> Option:
    return Option(
        kind=plan.kind, key=_key(plan), title=KIND_TITLES[plan.kind], way=plan.view.code if plan.view else "",
        wishes=tuple(each.number for each in plan.lot.wishes), change=Change("", ()), cable=plan.cable,
        failed=tuple(dict.fromkeys(failed)), unsure=plan.unsure,
    )  # fmt: skip


def refused(plan: Plan) -> Option:
    """Give an option that can't be laid out at all, with its reasons."""
    return _bare(plan, plan.failed)


def _key(plan: Plan) -> str:
    return f"{plan.kind}: {plan.key}" + (f" for {', '.join(str(w.number + 1) for w in plan.lot.wishes)}")


def _change(ground: Ground, plan: Plan, routes: Sequence[Route]) -> Change:
    """Put a plan's records together: points, runs, what is altered, with the cables counted at what is new."""
    lines = [lines_of(plan.placed.space, route.path) for route in routes]
    kept = sum(before is None and isinstance(after, Run) for before, after in plan.pairs)
    runs = [
        _run(ground, plan, kept + n + plan.lot.number * RUNS_A_LOT, leg, route, n, lines)
        for n, (leg, route) in enumerate(zip(plan.legs, routes, strict=True))
    ]
    points = [each.point for each in plan.lot.wishes if each.wish.act != "remove"]
    pairs: list[Pair] = [(None, point) for point in points]
    pairs += plan.pairs
    pairs += [(None, run) for run in runs]
    laid = [after for _, after in pairs if isinstance(after, Run) and after.phase != "removed"]
    ends = [end.at for run in laid for end in (run.a, run.b)]
    load = [end.at for run in laid for end in (run.a, run.b) if end.side == "load"]
    counted: list[Pair] = []
    for before, after in pairs:
        now = after
        if before is None and isinstance(after, Point):
            on_load = load.count(after.id)
            now = structs.replace(
                after, cables_seen=ends.count(after.id) - on_load, cables_seen_load=on_load if on_load else None
            )
        counted.append((before, now))
    title = f"{KIND_TITLES[plan.kind]}: {', '.join(each.says for each in plan.lot.wishes)}"
    return Change(title, tuple(counted))


def _run(ground: Ground, plan: Plan, skip: int, leg: Leg, route: Route, n: int, lines: Sequence["Lines"]) -> Run:
    path = tuple((p.storey, round(p.x_mm), round(p.y_mm), round(p.z_mm)) for p in route.path)
    trade = ground.asked.trade
    others = [*lines[:n], *lines[n + 1 :]]
    method, grouped = lies(trade, trade.cable(leg.cable or plan.cable), route, lines[n], others)
    return Run(
        id=ground.asked.home.next_id(Run, skip),
        a=leg.a,
        b=leg.b,
        role=leg.role,
        cable=leg.cable or plan.cable,
        colours="new",
        length_mm=max(round(route.length_mm), 1),
        length_from="path",
        method=method,
        grouped_with=grouped,
        path_mm=path,
        evidence="assumed",
        phase="planned",
    )


def _mine(after: Asked, plan: Plan, new_ids: Sequence[str]) -> CircuitView | None:
    """Give the circuit that the option alters, as it is afterwards."""
    device = plan.new_device or (plan.view.device.id if plan.view is not None else "")
    return next((view for view in after.views if view.device.id == device), None) or next(
        (view for view in after.views if set(new_ids) & set(view.names)), None
    )


def _checked(ground: Ground, view: CircuitView | None, checked: dict[str, tuple[Check, ...]]) -> tuple[Check, ...]:
    if view is None:
        return ()
    if view.device.id not in checked:
        checked[view.device.id] = check_way(ground.asked, view)
    return checked[view.device.id]


def judged_by(
    checks: Iterable[Check], was: Iterable[Check], new: Collection[str]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Give what checks fail, and what they couldn't judge, a sentence each; beside those of the way as it was."""
    failed: list[str] = []
    unsure: list[str] = []
    _judge(checks, was, new, failed, unsure)
    return tuple(failed), tuple(unsure)


def _judge(
    checks: Iterable[Check], was: Iterable[Check], new: Collection[str], failed: list[str], unsure: list[str]
) -> None:
    """Sort answers: a no fails unless it was one before and isn't about what is new; what can't be judged is said."""
    before = {check.kind: check.verdict.answer for check in was}
    for check in checks:
        says = f"{check.title}: {check.verdict.says}"
        if check.verdict.answer == "no":
            if before.get(check.kind) == "no" and not set(check.at) & set(new):
                unsure.append(f"{says} That was wrong before: put it right first.")
            else:
                failed.append(says)
        elif check.verdict.answer == "can't judge":
            unsure.append(says)


def _dangers(view: CircuitView | None, before: Iterable[Finding], failed: list[str], unsure: list[str]) -> None:
    """Say what was found to be dangerous on the circuit: while a danger is present nothing is added to it."""
    if view is None:
        return
    mine = {view.device.id, *view.names, *(run.id for run in view.runs)}
    for finding in before:
        if finding.aside or finding.ruling == "not so" or not mine & set(finding.subjects):
            continue
        says = f"{finding.code} suggested on {view.code} as it is: {finding.says}"
        if finding.code == "C1":
            failed.append(says)
        elif finding.code in GRAVE:
            unsure.append(f"{says} Put that right first.")


def _box(after: Asked, point: Point, failed: list[str], unsure: list[str], *, is_deep: bool) -> None:
    now = after.home.find(Point, point.id)
    fit = box_of(after, now, is_deep=is_deep) if now is not None else None
    if fit is None:
        if now is not None and after.trade.box(now.kind) is not None:
            unsure.append(f"Box and wall: no wall is drawn where {point.id} is meant, so its box isn't judged.")
        return
    if fit.verdict.answer == "no":
        failed.append(f"Box and wall: {fit.verdict.says}")
    elif fit.verdict.answer == "can't judge":
        unsure.append(f"Box and wall: {fit.verdict.says}")


def _read_at(plan: Plan) -> tuple[str, ...]:
    """Give the new points at which something is read afterwards: none where points go, or where only switches come."""
    return () if plan.kind == "taken out" or plan.lot.family == "controls" else plan.lot.ids
