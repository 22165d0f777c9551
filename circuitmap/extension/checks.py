"""The design checks of a home, asked of its map: one function each, all of them by ``check_way`` and ``check_home``.

What is reckoned here prepares a design; design, certification and notification belong to a competent person and local
rules. A map that is not complete gives "can't judge" with its reason, and never a pass.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import hypot, inf
from typing import Final, Literal

from msgspec import Struct, structs

from circuitmap.circuits import CircuitView
from circuitmap.design.adiabatic import judge_heat
from circuitmap.design.boxes import Fit, judge_box
from circuitmap.design.capacity import Range, Verdict, capacity_a
from circuitmap.design.duties import RINGS, judged_runs
from circuitmap.design.earth_loop import Zs, judge_loop, r1_r2_ohm, worst_of
from circuitmap.design.loads import Loading, design_loads, recorded_loads
from circuitmap.design.ring_currents import flow, judge_currents
from circuitmap.design.spurs import judge_spurs
from circuitmap.design.supply import Changed, HomeDemand, compare, judge_load, judge_supply
from circuitmap.design.volt_drop import Drop, judge_flow
from circuitmap.extension.asked import Asked, at_work, before_board_v, board_ohm, boards_a
from circuitmap.home.records import Plate, Point, Run, Wall
from circuitmap.plan.where import place_of
from circuitmap.readings.judged_case import least_trip_ma, rcds_over
from circuitmap.readings.loop import Protection, behind_fuse, disconnection_s
from circuitmap.readings.network import Network, ReadingError
from circuitmap.trade import Trade

CAUTION: Final = (
    "Reckoned from the map. Design and certification belong to a competent person, and local rules decide; prove dead "
    "before anything is opened."
)
Kind = Literal["load", "capacity", "legs", "volt drop", "earth loop", "fault heat", "spurs", "box", "supply"]
TITLES: Final[Mapping[Kind, str]] = {
    "load": "Load against device",
    "capacity": "Device against cable",
    "legs": "Load of the ring's legs",
    "volt drop": "Volt drop",
    "earth loop": "Earth fault loop",
    "fault heat": "Heat of a fault",
    "spurs": "Spurs",
    "box": "Box and wall",
    "supply": "Demand of the home",
}
_RANK: Final = {"no": 2, "can't judge": 1, "yes": 0}
_SAME_PLACE_MM: Final = 120


class Check(Struct, frozen=True, kw_only=True):
    """One check: what was asked, the answer, what it is about, and its figures with their units."""

    kind: Kind
    verdict: Verdict
    at: tuple[str, ...] = ()
    figures: tuple[tuple[str, float, str], ...] = ()

    @property
    def title(self) -> str:
        """Give its name for people."""
        return TITLES[self.kind]


def check_way(asked: Asked, view: CircuitView) -> tuple[Check, ...]:
    """Make all checks of one circuit."""
    made = (check_load, check_capacity, check_legs, check_drop, check_loop, check_heat, check_spurs)
    return tuple(found for check in made for found in check(asked, view))


def check_home(asked: Asked) -> tuple[Check, ...]:
    """Make all checks of a home: every circuit's, every box that stands on a known wall, and the supply."""
    points = [m.point for view in asked.views for m in view.members]
    return (
        *(found for view in asked.views for found in check_way(asked, view)),
        *check_boxes(asked, points),
        check_supply(asked),
    )


def check_load(asked: Asked, view: CircuitView) -> Iterator[Check]:
    """Ask Ib ≤ In of a way with fixed loads, with diversity.

    **Source:** BS 7671 433.1.1, from memory; On-Site Guide Table A2; see ``design.supply``.
    """
    verdict = judge_load(asked.trade, view, asked.rules.edition, asked.rules.choices)
    if verdict is not None:
        figures = (("Ib", verdict.need_a or 0.0, "A"), ("In", view.device.rating_a or 0.0, "A"))
        yield Check(kind="load", verdict=verdict, at=(view.device.id,), figures=figures)


def check_capacity(asked: Asked, view: CircuitView) -> Iterator[Check]:
    """Ask Ib ≤ In ≤ Iz of every run by its duty, with its surroundings; the worst is handed on.

    **Source:** BS 7671 433.1.1, 433.1.204 and 433.3.1, from memory; see ``design.capacity``.
    """
    rules = asked.rules
    judged = [
        (run, case, verdict)
        for run, case, verdict in judged_runs(view, asked.trade, rules.edition, rules.choices, asked.around)
    ]
    if not judged:
        says = f"Neither shape nor rating of {view.code} is known, so its cables aren't judged."
        yield Check(kind="capacity", verdict=Verdict(answer="can't judge", says=says, source="BS 7671 433.1.1"))
        return
    run, case, verdict = max(judged, key=lambda each: (_RANK[each[2].answer], _short_by(each[2])))
    figures = [] if case.protection is None else [("In", case.protection.in_a, "A")]
    if verdict.have_a is not None:
        figures += [("Iz least", verdict.have_a[0], "A"), ("Iz most", verdict.have_a[1], "A")]
    yield Check(kind="capacity", verdict=verdict, at=(run.id,), figures=tuple(figures))


def check_legs(asked: Asked, view: CircuitView) -> Iterator[Check]:
    """Ask of a ring whether any part carries more than its cable may for long, under three loads one after the other.

    What is fixed and recorded decides; a ring that is broken fails by the Guide's load as well. That the Guide's load,
    or all that is recorded, is on at once for long is not likely, so on that alone a whole ring never fails. Currents
    are the network's.

    **Source:** BS 7671 433.1.204, as quoted; On-Site Guide 7.2.2, as quoted.
    """
    shape, trade = view.shape, asked.trade
    if shape is None or shape.kind not in (*RINGS, "open ring"):
        return
    rules = asked.rules
    carries: dict[str, Range | None] = {
        run.id: capacity_a(trade, case)
        for run, case, _ in judged_runs(view, trade, rules.edition, rules.choices, asked.around)
        if case.duty == "ring"
    }
    try:
        network = at_work(asked, view)
        guide = design_loads(view, network, trade, rules.edition, rules.choices, far_among=shape.loop)
        if guide is None or not carries:
            return
        first = _currents(network, guide, carries)
        fixed = recorded_loads(view, network, trade, only_fixed=True)
        every = recorded_loads(view, network, trade)
        if fixed is not None and (by_fixed := _currents(network, fixed, carries)).verdict.answer == "no":
            yield by_fixed
        elif first.verdict.answer == "no" and shape.kind in RINGS:
            yield _milder(first, "Should it ever be loaded in full for long")
        elif first.verdict.answer == "yes" and every is not None:
            second = _currents(network, every, carries)
            is_over = second.verdict.answer == "no"
            yield _milder(second, "With all that is recorded on at once for long") if is_over else first
        else:
            yield first
    except ReadingError as error:
        yield _untold("legs", error)


def check_drop(asked: Asked, view: CircuitView) -> Iterator[Check]:
    """Ask whether too much voltage is lost at any point of a circuit, the way to its board included.

    **Source:** BS 7671 Appendix 4, 6.4 and Table 4D5; see ``design.volt_drop``.
    """
    rules = asked.rules
    try:
        network = at_work(asked, view)
        loading = design_loads(view, network, asked.trade, rules.edition, rules.choices, boards_a(asked, view))
        if loading is None:
            return
        before_v = before_board_v(asked, view.board)
        found = flow(network, loading.loads_a)
        drop = judge_flow(asked.trade, found, lighting=loading.lights, before_v=before_v or 0.0,
                          edition=rules.edition, choices=rules.choices)  # fmt: skip
    except ReadingError as error:
        yield _untold("volt drop", error)
        return
    verdict = drop.verdict
    if before_v is None and verdict.answer == "yes":
        says = f"{verdict.says} What is lost on the way to board {view.board.letter_on_map} isn't known."
        verdict = structs.replace(verdict, answer="can't judge", says=says)
    verdict = structs.replace(verdict, source=f"{verdict.source}; load: {loading.source}")
    yield Check(kind="volt drop", verdict=verdict, at=(drop.at,) if drop.at else (), figures=_figures_of_drop(drop))


def check_loop(asked: Asked, view: CircuitView) -> Iterator[Check]:
    """Ask whether the earth fault loop lets the device disconnect, at every point before any fuse; the worst decides.

    Where Ze isn't recorded the greatest usually declared for the earthing stands in; on that alone nothing fails.

    **Source:** BS 7671 411.4.4; see ``design.earth_loop``.
    """
    try:
        loops = zs_of(asked, view)
    except ReadingError as error:
        yield _untold("earth loop", error)
        return
    worst = worst_of(loops)
    if worst is None:
        return
    figures = [("R1+R2", worst.r1_r2_ohm, "Ω"), ("reading to expect", worst.reading_ohm, "Ω"),
               ("Zs at work", worst.at_work_ohm, "Ω"), ("most", worst.limit_ohm, "Ω")]  # fmt: skip
    known = tuple((name, value, unit) for name, value, unit in figures if value is not None and value < inf)
    yield Check(kind="earth loop", verdict=worst.verdict, at=(worst.at,), figures=known)


def zs_of(asked: Asked, view: CircuitView) -> dict[str, Zs]:
    """Give the earth loop at every point of a circuit, and at the boards it feeds.

    Behind a fused unit its fuse clears a fault, or the way's device where that allows more.

    Raises
    ------
    ReadingError
        When no run is drawn from the way.
    """
    network = asked.network(view)
    fuses = {m.point.id: m.after_fuse for m in view.members}
    places = [place for place in fuses if network.legs_to.get(place)]
    places += [board.id for board in view.boards_fed if network.legs_to.get(board.id)]
    paths = r1_r2_ohm(network, places)
    device = _protection(asked, view)
    earthing = asked.supply.earthing if asked.supply is not None else "unknown"
    sockets = any(asked.trade.point(m.point.kind).is_socket_outlet for m in view.members)
    only_boards = bool(view.boards_fed) and not view.members
    asks = disconnection_s(
        asked.rules, earthing, device.in_a or 0.0, feeds_sockets=sockets, is_distribution=only_boards
    )
    time_s = asks.value if asks is not None else 0.4
    base = board_ohm(asked, view.board)
    declared = _declared_ohm(asked) if base is None and view.board.source == "supply" else None
    found = {}
    for place, path in paths.items():
        fuse, clears, is_sure = fuses.get(place), device, True
        if fuse is not None and earthing != "TT":
            clears, is_sure = behind_fuse(asked.rules, device, fuse.fuse_a, time_s)
        zs = judge_loop(asked.rules, clears, place, base if base is not None else declared, path, time_s=time_s,
                        earthing=earthing)  # fmt: skip
        if fuse is not None and clears.kind == "plug fuse" and zs.limit_ohm is not None:
            zs = _by_fuse(zs, fuse, clears, is_sure=is_sure)
        if declared is not None and zs.at_work_ohm is not None:
            says = f"{zs.verdict.says} Ze isn't recorded; {declared:g} Ω, the most usually declared, stands in."
            answer = "yes" if zs.verdict.answer == "yes" else "can't judge"
            zs = structs.replace(zs, verdict=structs.replace(zs.verdict, answer=answer, says=says))
        found[place] = zs
    return found


def _by_fuse(zs: Zs, fuse: Point, clears: Protection, *, is_sure: bool) -> Zs:
    """Say which fuse a loop was held to; a larger one that stands in for it fails nothing."""
    if is_sure:
        says = f"{zs.verdict.says} The {clears.in_a:g} A fuse of {fuse.id} clears a fault there."
        return structs.replace(zs, verdict=structs.replace(zs.verdict, says=says))
    whose = "whose rating isn't recorded" if fuse.fuse_a is None else f"whose {fuse.fuse_a:g} A the tables don't have"
    says = (
        f"{zs.verdict.says} A fuse of {clears.in_a:g} A, which allows less, stands in for that of {fuse.id}, {whose}."
    )
    answer = "yes" if zs.verdict.answer == "yes" else "can't judge"
    return structs.replace(zs, verdict=structs.replace(zs.verdict, answer=answer, says=says))


def check_heat(asked: Asked, view: CircuitView) -> Iterator[Check]:
    """Ask of every protective conductor before any fuse whether it stands a fault at either of its ends.

    The near end has the greatest current, the far end of a fuse's circuit the longest fault.

    **Source:** BS 7671 543.1.3, from memory; see ``design.adiabatic``.
    """
    base = board_ohm(asked, view.board)
    network = asked.network(view)
    behind = {m.point.id for m in view.members if m.after_fuse is not None}
    device = _protection(asked, view)
    ends = [place for place in {e.at for run in view.runs for e in (run.a, run.b)} if place and place[0] in "PB"]
    try:
        paths = r1_r2_ohm(network, [place for place in ends if network.legs_to.get(place)])
    except ReadingError as error:
        yield _untold("fault heat", error)
        return
    found: list[tuple[int, float, Check]] = []
    for run in view.runs:
        at = [e.at or "" for e in (run.a, run.b)]
        if behind & set(at) or any(e.side == "load" for e in (run.a, run.b)):
            continue
        ohms = [0.0 if place[:1] == "D" else paths.get(place) for place in at]
        known = [ohm for ohm in ohms if ohm is not None and ohm < inf]
        size = _cpc_mm2(asked.trade, run)
        loops: list[float | None] = [None]
        if base is not None and len(known) == 2:
            loops = [base + min(known), base + max(known)]
        for loop in loops:
            heat = judge_heat(asked.rules, device, size, loop)
            need = heat.needed_mm2 or 0.0
            figures = () if heat.needed_mm2 is None else (("fault current", heat.fault_a, "A"), ("needed", need, "mm²"))
            check = Check(kind="fault heat", verdict=heat.verdict, at=(run.id,), figures=figures)
            found.append((_RANK[heat.verdict.answer], need, check))
    if found:
        yield max(found, key=lambda each: each[:2])[2]


def check_spurs(asked: Asked, view: CircuitView) -> Iterator[Check]:
    """Ask whether a ring's spurs are as they may be.

    **Source:** On-Site Guide 7.2.2, as quoted; see ``design.spurs``.
    """
    if view.shape is None or not view.shape.spurs or view.shape.kind not in RINGS:
        return
    verdict = judge_spurs(view, asked.trade, asked.rules.edition, asked.rules.choices)
    yield Check(kind="spurs", verdict=verdict, at=tuple(spur.leaves for spur in view.shape.spurs))


def check_boxes(asked: Asked, points: Iterable[Point], deep: Iterable[str] = ()) -> Iterator[Check]:
    """Ask of points that stand on a wall whether it takes their box, with what stands behind them in the other face.

    **Source:** common practice, no source; see ``design.boxes``.

    Parameters
    ----------
    deep
        The ids of those whose accessory wants a deeper box than others of its kind.
    """
    wanting = set(deep)
    for point in points:
        fit = box_of(asked, point, is_deep=point.id in wanting)
        if fit is not None:
            figures = (("depth", fit.depth_mm, "mm"), ("cut into masonry", fit.cut_mm, "mm"))
            yield Check(kind="box", verdict=fit.verdict, at=(point.id,), figures=figures)


def box_of(asked: Asked, point: Point, *, is_deep: bool = False) -> Fit | None:
    """Give how a point's box fits its wall; None where it stands on none, or its kind has no box in the tables."""
    place = place_of(asked.home, point)
    wall = asked.home.find(Wall, place.wall) if place is not None and place.wall is not None else None
    if wall is None or asked.trade.box(point.kind) is None:
        return None
    plate = asked.home.find(Plate, point.plate) if point.plate is not None else None
    depth = point.box_depth_mm or (plate.depth_mm if plate is not None else None)
    return judge_box(
        asked.trade, point.kind, wall.build, wall.thickness_mm, edition=asked.rules.edition, depth_mm=depth,
        is_deep=is_deep, is_outer=bool(wall.outer), behind_mm=_behind_mm(asked, point, wall),
        choices=asked.rules.choices,
    )  # fmt: skip


def check_supply(asked: Asked) -> Check:
    """Hold the demand of the home, with diversity, against its supply fuse and main switch as recorded.

    **Source:** On-Site Guide Table A2; see ``design.supply``.
    """
    demand = asked.demand()
    return Check(kind="supply", verdict=judge_supply(demand, asked.supply), figures=_figures_of_demand(demand))


def compare_supply(before: Asked, after: Asked) -> Changed:
    """Give the demand of a home before and after a change, against the supply as it is after."""
    return compare(before.demand(), after.demand(), after.supply)


def _currents(network: Network, loading: Loading, carries: Mapping[str, Range | None]) -> Check:
    found = flow(network, loading.loads_a)
    verdict = judge_currents(found, carries, f"BS 7671 433.1.204, as quoted; load: {loading.source}")
    figures = tuple((f"leg {n}", a, "A") for n, a in enumerate(found.legs_a, 1))
    return Check(kind="legs", verdict=verdict, at=network.legs, figures=figures)


def _milder(check: Check, when: str) -> Check:
    verdict = structs.replace(check.verdict, answer="can't judge", says=f"{when}: {check.verdict.says}")
    return structs.replace(check, verdict=verdict)


def _protection(asked: Asked, view: CircuitView) -> Protection:
    device = view.device
    return Protection(device.kind, device.curve, device.rating_a, least_trip_ma(rcds_over(view, asked.trade)))


def _declared_ohm(asked: Asked) -> float | None:
    earthing = asked.supply.earthing if asked.supply is not None else "unknown"
    return asked.rules.value(f"{earthing} Ze ohm") if earthing in ("TN-S", "TN-C-S") else None


def _cpc_mm2(trade: Trade, run: Run) -> float | None:
    cable = trade.cable(run.cable)
    size = run.cpc_mm2 if run.cpc_mm2 is not None else cable.cpc_mm2 if cable is not None else None
    return size or None


def _behind_mm(asked: Asked, point: Point, wall: Wall) -> float:
    """Give the depth of a box at the same place in the other face of a wall; 0 for none."""
    here = _on_wall(asked, point, wall)
    if here is None:
        return 0.0
    deepest = 0.0
    for other in asked.on_walls.get(wall.id, ()):
        row = asked.trade.box(other.kind)
        there = _on_wall(asked, other, wall) if other.id != point.id and row is not None else None
        if there is None or row is None or there[2] * here[2] >= 0:
            continue
        if hypot(there[0] - here[0], there[1] - here[1]) < _SAME_PLACE_MM:
            deepest = max(deepest, other.box_depth_mm or row.depth_mm)
    return deepest


def _on_wall(asked: Asked, point: Point, wall: Wall) -> tuple[float, float, float] | None:
    """Give where a point is on a wall: along it and up from the floor in mm, and at which side of its centre line."""
    place = place_of(asked.home, point)
    if place is None or place.wall != wall.id or place.height_mm is None:
        return None
    (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
    length = hypot(bx - ax, by - ay)
    if not length:
        return None
    dx, dy = place.x_mm - ax, place.y_mm - ay
    return (dx * (bx - ax) + dy * (by - ay)) / length, place.height_mm, (bx - ax) * dy - (by - ay) * dx


def _short_by(verdict: Verdict) -> float:
    return 0.0 if verdict.have_a is None or verdict.need_a is None else verdict.need_a - verdict.have_a[0]


def _untold(kind: Kind, error: ReadingError) -> Check:
    return Check(kind=kind, verdict=Verdict(answer="can't judge", says=str(error), source="the map"))


def _figures_of_drop(drop: Drop) -> tuple[tuple[str, float, str], ...]:
    return (("lost", drop.drop_v, "V"), ("share", drop.percent, "%"), ("most", drop.limit_v, "V"))


def _figures_of_demand(demand: HomeDemand) -> tuple[tuple[str, float, str], ...]:
    parts: Sequence[tuple[str, float, str]] = [(part.use, part.with_diversity_a, "A") for part in demand.parts]
    return (("with diversity", demand.total_a, "A"), *parts)
