"""The checks of a home asked of its map: healthy homes are quiet, planted mistakes are found and named."""

from dataclasses import replace

import pytest

from circuitmap.circuits import views
from circuitmap.design.capacity import Correction
from circuitmap.extension.asked import Asked, at_work, before_board_v, board_ohm
from circuitmap.extension.checks import (
    TITLES,
    Check,
    Kind,
    check_boxes,
    check_home,
    check_legs,
    check_way,
    compare_supply,
    zs_of,
)
from circuitmap.home import Home, verbs
from circuitmap.home.records import End, Load, Place, Point, Run, RunFault, Supply
from circuitmap.memo import Memo
from circuitmap.trade import Trade, load
from tests.homes import PLANS, Plan, healthy
from tests.readings.wired import Wired

ZE_OHM = {"TN-S": 0.6, "TN-C-S": 0.25, "TT": 60.0}


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def asked(home: Home, trade: Trade) -> Asked:
    memo = Memo()
    return Asked(home, views(home, trade, memo), trade, memo)


def measured(plan: Plan, run_m: float = 5.0) -> Home:
    """A healthy home with every run measured and its supply page filled in."""
    home = healthy(plan)
    for run in home.sorted(Run):
        home = home.apply(verbs.edit(home, run.id, length_mm=round(run_m * 1000), length_from="measured"))
    (supply,) = home.sorted(Supply)
    facts = {"fuse_a": 100.0, "fuse_from": "by distributor", "ze_ohm": ZE_OHM[plan.earthing]}
    return home.apply(verbs.edit(home, supply.id, **facts))


def of_kind(found: tuple[Check, ...], kind: Kind) -> Check:
    (check,) = [each for each in found if each.kind == kind]
    return check


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.name)
def test_no_check_fails_in_a_healthy_home(trade: Trade, plan: Plan) -> None:
    """Common practice, no source: ordinary homes of all ages are as they may be; what isn't known never fails."""
    found = check_home(asked(measured(plan), trade))
    assert not [each for each in found if each.verdict.answer == "no"]
    kinds = {each.kind for each in found}
    assert {"capacity", "volt drop", "earth loop", "fault heat", "supply"} <= kinds <= set(TITLES)
    unsure = [each for each in found if each.verdict.answer == "can't judge"]
    # Armoured cable has no table here, and an old breaker's own let-through isn't known.
    assert all("rating isn't known" in each.verdict.says or "maker" in each.verdict.says for each in unsure), unsure
    assert all(each.verdict.says.endswith(".") and each.verdict.source and each.title for each in found)


@pytest.mark.parametrize("plan", PLANS[::5], ids=lambda plan: plan.name)
def test_a_home_without_lengths_is_not_judged_and_says_why(trade: Trade, plan: Plan) -> None:
    found = check_home(asked(healthy(plan), trade))
    assert not [each for each in found if each.verdict.answer == "no"]
    loops = [each for each in found if each.kind == "earth loop"]
    assert loops
    assert all("isn't known" in each.verdict.says for each in loops if each.verdict.answer == "can't judge")


def ring_with_supply(*lengths_m: float, **facts: object) -> tuple[Wired, list[str]]:
    wired = Wired()
    wired.do(verbs.edit(wired.home, wired.way_id, curve="B"))
    sockets = wired.ring(*lengths_m)
    wired.do(verbs.set_supply(wired.home, earthing="TN-C-S", ze_ohm=0.35, fuse_a=80.0, **facts))
    for run in wired.home.sorted(Run):
        wired.do(verbs.edit(wired.home, run.id, method="C"))
    return wired, sockets


def way(wired: Wired, trade: Trade) -> tuple[Asked, tuple[Check, ...]]:
    all_of = asked(wired.home, trade)
    return all_of, check_way(all_of, wired.on_way)


def test_a_sixty_metre_ring_has_the_figures_of_its_worked_example(trade: Trade) -> None:
    """Arithmetic on IEC 60228 and Table 4D5: R1+R2 0.293, 0.643 Ω to read, 0.701 Ω at work; the load of the Guide."""
    wired, _ = ring_with_supply(*[10] * 6)
    _, found = way(wired, trade)
    loop = of_kind(found, "earth loop")
    assert {name: value for name, value, _ in loop.figures} == pytest.approx(
        {"R1+R2": 0.2926, "reading to expect": 0.6426, "Zs at work": 0.7012, "most": 1.37}, abs=1e-4
    )
    # 20 A and 2.4 A at five points: mV · L · (20 · ¼ + 2.4 · Σ of each) at the middle, by superposition on 18 mV/A/m.
    mid = 18 * 60 / 1000
    spread = 2.4 * (2 * (1 / 6 * 1 / 2) + 2 * (2 / 6 * 1 / 2) + 1 / 4)
    drop = of_kind(found, "volt drop")
    assert drop.figures[0][1] == pytest.approx(mid * (20 / 4 + spread), rel=1e-3)
    legs = of_kind(found, "legs")
    assert [value for _, value, _ in legs.figures] == pytest.approx([16, 16])
    assert all(each.verdict.answer == "yes" for each in found)


@pytest.mark.parametrize(("fuse_a", "limit"), [(3.0, 15.6), (13.0, 2.3), (5.0, 2.3), (None, 2.3)])
def test_behind_a_fused_unit_the_loop_is_held_to_its_fuse(trade: Trade, fuse_a: float | None, limit: float) -> None:
    """Worked by hand: 2.5/1.5 has 7.41 + 12.1 mΩ/m. Ring of 40 m, a quarter round: 7.5 m; spur 10 m, load side 20 m.

    R1 + R2 = 37.5 m · 19.51 mΩ/m = 0.732 Ω; Zs = 0.35 + 1.2 · 0.732 = 1.228 Ω at work (Table I3, from memory).
    """
    wired, sockets = ring_with_supply(10, 10, 10, 10)
    unit, boiler = wired.point("fused unit", fuse_a=fuse_a), wired.point("boiler")
    wired.length(sockets[0], unit, 10)
    wired.length(End(at=unit, side="load"), boiler, 20)
    all_of, found = way(wired, trade)
    zs = zs_of(all_of, wired.on_way)[boiler]
    assert zs.at_work_ohm == pytest.approx(0.35 + 1.2 * 0.732, abs=0.002)
    assert zs.limit_ohm == limit
    assert zs.verdict.answer == "yes"
    assert ("stands in" in zs.verdict.says) == (fuse_a not in (3.0, 13.0))
    assert of_kind(found, "earth loop").verdict.answer == "yes"


@pytest.mark.parametrize(("fuse_a", "answer"), [(13.0, "no"), (5.0, "can't judge"), (None, "can't judge")])
def test_a_long_flex_behind_a_fuse_fails_only_where_its_limit_is_known(
    trade: Trade, fuse_a: float | None, answer: str
) -> None:
    wired, sockets = ring_with_supply(10, 10, 10, 10)
    unit, boiler = wired.point("fused unit", fuse_a=fuse_a), wired.point("boiler")
    wired.length(sockets[0], unit, 10)
    wired.length(End(at=unit, side="load"), boiler, 90)  # at work 0.35 + 1.2 · 107.5 m · 19.51 mΩ/m = 2.87 Ω
    all_of, _ = way(wired, trade)
    assert zs_of(all_of, wired.on_way)[boiler].verdict.answer == answer


def test_recorded_loads_bunched_at_one_end_are_worth_a_look(trade: Trade) -> None:
    """Table 4D5: 27 A by method C: 32 A with all of it 5 m from the board of 60 m puts 29.3 A in the near leg."""
    wired, sockets = ring_with_supply(5, 20, 35)
    heavy = (Load(what="dryer", power_w=3000.0), Load(what="washing machine", power_w=2200.0),
             Load(what="dishwasher", power_w=2200.0))  # fmt: skip
    wired.do(verbs.edit(wired.home, sockets[0], loads=heavy))
    all_of = asked(wired.home, trade)
    (check,) = check_legs(all_of, wired.on_way)
    assert check.verdict.answer == "can't judge"
    assert "on at once" in check.verdict.says
    assert check.figures[0][1] == pytest.approx(32 * 55 / 60, rel=1e-3)


def test_a_fixed_load_that_overloads_one_leg_fails(trade: Trade) -> None:
    """By hand: 5.75 kW at 5 m of 60 m, 25 · 55/60 = 22.9 A, where 100 mm of insulation leaves 27 · 0.78 = 21.1 A."""
    wired, sockets = ring_with_supply(5, 20, 35)
    heater = Load(what="heater", power_w=5750.0)
    wired.do(verbs.edit(wired.home, sockets[0], kind="panel heater", loads=(heater,)))
    around = {run.id: Correction(insulation_mm=100) for run in wired.home.sorted(Run)}
    (check,) = check_legs(replace(asked(wired.home, trade), corrections=around), wired.on_way)
    assert (check.verdict.answer, check.verdict.need_a) == ("no", pytest.approx(25 * 55 / 60, rel=1e-3))


def test_a_ring_unevenly_laid_is_worth_a_look_and_no_failure(trade: Trade) -> None:
    """By hand: 20 A and 6 A at 25 m, 6 A at 5 m of 60 m: 20.7 A in the near leg, where method A carries 20 A."""
    wired, _ = ring_with_supply(5, 20, 35)
    for run in wired.home.sorted(Run):
        wired.do(verbs.edit(wired.home, run.id, method="A"))
    (check,) = check_legs(asked(wired.home, trade), wired.on_way)
    assert check.verdict.answer == "can't judge"
    assert check.verdict.need_a == pytest.approx(26 * 35 / 60 + 6 * 55 / 60, rel=1e-3)


def test_a_ring_too_long_loses_too_much(trade: Trade) -> None:
    """On-Site Guide's load as quoted on 18 mV/A/m: 98 m without temperature correction (arithmetic)."""
    for metres, answer in ((88, "yes"), (120, "no")):
        wired, _ = ring_with_supply(*[metres / 12] * 12)
        _, found = way(wired, trade)
        assert of_kind(found, "volt drop").verdict.answer == answer


def test_a_broken_ring_carries_everything_through_one_leg(trade: Trade) -> None:
    """32 A where the cable is good for 27 A (Table 4D5, method C): the neutral still divides, the line doesn't."""
    wired, _ = ring_with_supply(*[10] * 6)
    first = wired.home.sorted(Run)[0]
    wired.do(verbs.edit(wired.home, first.id, faults=(RunFault(kind="open", cores=("L",)),)))
    legs = of_kind(way(wired, trade)[1], "legs")
    assert (legs.verdict.answer, legs.verdict.need_a) == ("no", pytest.approx(32))
    assert [value for _, value, _ in legs.figures] == pytest.approx([0, 32])


def test_surroundings_lower_what_a_cable_carries(trade: Trade) -> None:
    """Tables 4C1 and 52.2, from memory: two grouped in 100 mm of insulation, 27 A by C are 16.8 A, under 20 A."""
    wired, _ = ring_with_supply(*[10] * 4)
    all_of = asked(wired.home, trade)
    assert of_kind(check_way(all_of, wired.on_way), "capacity").verdict.answer == "yes"
    around = {run.id: Correction(circuits=2, insulation_mm=100) for run in wired.home.sorted(Run)}
    worse = replace(all_of, corrections=around)
    check = of_kind(check_way(worse, wired.on_way), "capacity")
    assert check.verdict.answer == "no"
    assert {name: value for name, value, _ in check.figures}["Iz most"] == pytest.approx(27 * 0.8 * 0.78)


def test_the_grouping_on_record_counts_by_itself(trade: Trade) -> None:
    wired, _ = ring_with_supply(*[10] * 4)
    for run in wired.home.sorted(Run):
        wired.do(verbs.edit(wired.home, run.id, grouped_with=3))
    check = of_kind(way(wired, trade)[1], "capacity")
    assert check.verdict.answer == "no"  # 27 · 0.65 = 17.6 A


def test_without_a_recorded_ze_the_usual_most_stands_in_and_nothing_fails_on_it(trade: Trade) -> None:
    """From memory: On-Site Guide 1.1: 0.35 Ω on TN-C-S, 0.8 Ω on TN-S."""
    wired = Wired("T&E 4/1.5")
    wired.do(verbs.edit(wired.home, wired.way_id, curve="B"))
    far = wired.point()
    wired.length(wired.way_id, far, 40)
    wired.do(verbs.set_supply(wired.home, earthing="TN-S"))
    all_of, found = way(wired, trade)
    loop = of_kind(found, "earth loop")
    assert loop.verdict.answer == "can't judge"  # 0.8 + 1.2 · 0.668 = 1.60 Ω
    assert "stands in" in loop.verdict.says
    assert zs_of(all_of, wired.on_way)[far].at_work_ohm == pytest.approx(0.8 + 1.2 * 0.6684, abs=1e-3)
    wired.do(verbs.edit(wired.home, wired.home.sorted(Supply)[0].id, ze_ohm=0.8))
    assert of_kind(way(wired, trade)[1], "earth loop").verdict.answer == "no"


def test_a_second_board_hangs_on_the_cable_before_it(trade: Trade) -> None:
    """By hand: Ze 0.25 + 20 m of 6/2.5 at 10.49 mΩ/m = 0.46 Ω; its volts by 7.3 mV/A/m."""
    wired = Wired("T&E 6/2.5", 32)
    second = wired.board("B", source="run")
    wired.length(wired.way_id, second, 20)
    wired.do(verbs.set_supply(wired.home, earthing="TN-C-S", ze_ohm=0.25))
    way_b = wired.device(second, "1", "MCB", 16, curve="B")
    socket = wired.point()
    wired.run(way_b, socket, length_mm=10_000)
    all_of = asked(wired.home, trade)
    board = next(view.board for view in all_of.views if view.device.id == way_b)
    assert board_ohm(all_of, board) == pytest.approx(0.25 + 20 * 0.01049, rel=1e-3)
    assert before_board_v(all_of, board) == pytest.approx(7.3 * 16 * 20 / 1000, rel=1e-3)
    view = next(view for view in all_of.views if view.device.id == way_b)
    drop = of_kind(check_way(all_of, view), "volt drop")
    assert drop.figures[0][1] == pytest.approx((7.3 * 16 * 20 + 18 * 16 * 10) / 1000, rel=1e-3)


def test_live_cores_have_what_the_table_has(trade: Trade) -> None:
    wired, _ = ring_with_supply(10, 10)
    all_of = asked(wired.home, trade)
    edges = [edge for edge in at_work(all_of, wired.on_way).edges if edge.run]
    assert {edge.core: round(edge.ohm, 5) for edge in edges} == {"L": 0.09, "N": 0.09, "E": 0.121}


def test_a_spur_too_many_is_found(trade: Trade) -> None:
    wired, sockets = ring_with_supply(10, 10)
    wired.spur(sockets[0], 3)
    wired.spur(sockets[0], 4)
    assert of_kind(way(wired, trade)[1], "spurs").verdict.answer == "no"


def test_a_box_against_its_wall_and_the_one_behind(trade: Trade) -> None:
    wired = Wired()
    ground = wired.storey()
    wall = wired.do(verbs.add_wall(wired.home, ground, (0, 0), (4000, 0), thickness_mm=126, build="block"))
    here = Place(storey=ground, wall=wall, height_mm=450, x_mm=1000, y_mm=60)
    near = wired.do(verbs.add_point(wired.home, "usb socket", here))
    (alone,) = check_boxes(asked(wired.home, trade), [wired.home.take(Point, near)])
    assert alone.verdict.answer == "yes"
    other = Place(storey=ground, wall=wall, height_mm=450, x_mm=1050, y_mm=-60)
    wired.do(verbs.add_point(wired.home, "usb socket", other))
    (behind,) = check_boxes(asked(wired.home, trade), [wired.home.take(Point, near)])
    assert behind.verdict.answer == "can't judge"
    wired.do(verbs.edit(wired.home, wall, thickness_mm=80))
    (too_thin,) = check_boxes(asked(wired.home, trade), [wired.home.take(Point, near)])
    assert too_thin.verdict.answer == "no"
    unplaced = wired.point()
    assert not list(check_boxes(asked(wired.home, trade), [wired.home.take(Point, unplaced)]))


def test_demand_before_and_after_a_shower_is_added(trade: Trade) -> None:
    """Table A2 of the On-Site Guide: a 9.5 kW shower in full, 41.3 A more."""
    wired, _ = ring_with_supply(*[10] * 4)
    before = asked(wired.home, trade)
    shower = wired.way(45)
    wired.say(shower, wired.point("shower", loads=(Load(what="shower", power_w=9500.0),)))
    changed = compare_supply(before, asked(wired.home, trade))
    assert changed.more_a == pytest.approx(41.3, abs=0.01)
    assert (changed.before.total_a, changed.verdict.answer) == (32, "yes")


def test_a_way_of_which_nothing_is_drawn_is_not_judged(trade: Trade) -> None:
    wired = Wired()
    wired.say(wired.way_id, wired.point())
    found = check_way(asked(wired.home, trade), wired.on_way)
    assert {each.verdict.answer for each in found} == {"can't judge"}
