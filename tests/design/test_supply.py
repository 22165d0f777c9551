"""Demand with diversity against worked examples, and the supply fuse as far as it can be believed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.circuits import views
from circuitmap.design.supply import (
    Load,
    compare,
    demand_of,
    diversified_a,
    judge_load,
    judge_supply,
    loads_of,
    reckoned,
)
from circuitmap.home import records
from circuitmap.home.records import Supply
from circuitmap.memo import Memo
from circuitmap.trade import DEFAULT_EDITION, Trade, load
from tests.circuits.house import House
from tests.homes import PLANS, healthy

EDITION = DEFAULT_EDITION


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def supply(**facts: object) -> Supply:
    return Supply(id="E1", **facts)  # type: ignore[arg-type]  # test shorthand


def test_a_cooker_of_5800_watts_with_a_socket(trade: Trade) -> None:
    """An exam answer, relayed: 24.16 A: 10 + 0.3 × 14.16 + 5 = 19.25 A."""
    assert diversified_a(trade, "cooking", [24.16], 1) == pytest.approx(19.25, abs=0.005)


def test_a_cooker_of_twelve_kilowatts(trade: Trade) -> None:
    """Textbook p. 309: 52.17 A come to 27.65 A with a socket in its unit, 22.65 A without."""
    assert diversified_a(trade, "cooking", [12000 / 230], 1) == pytest.approx(27.65, abs=0.005)
    assert diversified_a(trade, "cooking", [12000 / 230]) == pytest.approx(22.65, abs=0.005)


def test_an_exam_answer_of_a_whole_home_adds_up() -> None:
    """An exam answer, relayed: 1.51, .41, 2.11, 32, 12.8, 12.8, 10, 19.25 and 6.41 A make 97.29 A."""
    after = [1.51, 0.41, 2.11, 32, 12.8, 12.8, 10, 19.25, 6.41]
    demand = reckoned(load(), [Load(name=str(n), use="in full", amps=a) for n, a in enumerate(after)])
    assert demand.total_a == pytest.approx(97.29)


def test_rings_of_that_answer_are_the_largest_in_full_and_forty_per_cent_of_the_others(trade: Trade) -> None:
    """The same answer: three 32 A circuits are 32, 12.8 and 12.8 A."""
    assert diversified_a(trade, "standard circuits", [32, 32, 32]) == pytest.approx(57.6)


HOME = (
    Load(name="A1", use="standard circuits", amps=32),
    Load(name="A2", use="standard circuits", amps=32),
    Load(name="A3", use="cooking", amps=12000 / 230),
    Load(name="A4", use="instantaneous water heaters", amps=9500 / 230),
    Load(name="A5", use="lighting", amps=700 / 230),
    Load(name="A6", use="water heaters", amps=3000 / 230),
)


def test_a_home_with_cooker_shower_and_immersion_heater_wants_more_than_a_hundred_amperes(trade: Trade) -> None:
    """Arithmetic on Table A2: 44.8 + 22.65 + 41.3 + 2.01 + 13.04 = 123.8 A."""
    demand = reckoned(trade, HOME)
    assert demand.total_a == pytest.approx(123.8, abs=0.05)
    parts = {part.use: part.with_diversity_a for part in demand.parts}
    assert parts["standard circuits"] == pytest.approx(44.8)
    assert parts["lighting"] == pytest.approx(2.01, abs=0.005)
    assert judge_supply(demand, supply(fuse_a=100.0)).answer == "no"


def test_two_showers_and_a_small_heater_are_in_full_in_full_and_a_quarter(trade: Trade) -> None:
    """Arithmetic on Table A2: 9.5, 8.5 and 3 kW: 81.5 A."""
    amps = [p / 230 for p in (3000, 9500, 8500)]
    assert diversified_a(trade, "instantaneous water heaters", amps) == pytest.approx(81.5, abs=0.05)


@given(st.lists(st.floats(0, 60), min_size=1, max_size=8), st.floats(0, 60))
def test_diversity_never_reckons_with_more_than_everything_and_more_load_is_never_less(
    amps: list[float], more: float
) -> None:
    trade = load()
    for use in trade.diversity_rows:
        demand = diversified_a(trade, use, amps)  # type: ignore[arg-type]  # words of the table
        assert demand <= sum(amps) + 1e-9
        assert diversified_a(trade, use, [*amps, more]) >= demand - 1e-9  # type: ignore[arg-type]


def test_a_fuse_is_as_sure_as_who_said_so(trade: Trade) -> None:
    demand = reckoned(trade, HOME[:2])
    labelled = judge_supply(demand, supply(fuse_a=60.0, fuse_from="as labelled"))
    assert labelled.answer == "yes"
    assert "may be another" in labelled.says
    assert "by the distributor" in judge_supply(demand, supply(fuse_a=60.0, fuse_from="by distributor")).says
    assert "isn't recorded" in judge_supply(demand, supply(fuse_a=60.0)).says
    assert judge_supply(demand, supply()).answer == "can't judge"
    assert judge_supply(demand, None).answer == "can't judge"


def test_a_smaller_main_switch_decides(trade: Trade) -> None:
    demand = reckoned(trade, HOME[:3])
    verdict = judge_supply(demand, supply(fuse_a=100.0, main_switch_a=60.0))
    assert verdict.answer == "no"
    assert "main switch" in verdict.says


def test_three_phases_are_not_reckoned_as_one(trade: Trade) -> None:
    assert judge_supply(reckoned(trade, HOME), supply(fuse_a=100.0, phases=3)).answer == "can't judge"


def test_what_is_not_known_of_a_way_leaves_the_home_unjudged_unless_it_is_over_already(trade: Trade) -> None:
    some = reckoned(trade, HOME[:2], unknown=("A9",))
    assert judge_supply(some, supply(fuse_a=100.0)).answer == "can't judge"
    assert judge_supply(reckoned(trade, HOME, unknown=("A9",)), supply(fuse_a=100.0)).answer == "no"


def test_before_and_after(trade: Trade) -> None:
    before, after = reckoned(trade, HOME[:2]), reckoned(trade, HOME[:3])
    changed = compare(before, after, supply(fuse_a=60.0))
    assert changed.more_a == pytest.approx(22.65, abs=0.005)
    assert changed.verdict.answer == "no"
    assert "before" not in changed.verdict.says
    was_over = compare(reckoned(trade, HOME), reckoned(trade, HOME), supply(fuse_a=100.0))
    assert "It was over that before and draws no more" in was_over.verdict.says
    assert was_over.verdict.answer == "can't judge"
    worse = compare(reckoned(trade, HOME), reckoned(trade, (*HOME, *HOME[:1])), supply(fuse_a=100.0))
    assert (worse.verdict.answer, worse.more_a) == ("no", pytest.approx(12.8))


def test_a_home_is_reckoned_from_its_map(trade: Trade) -> None:
    house = House()
    ring, cooker, lights, shower, ev = (house.way(a) for a in (32, 32, 6, 45, 32))
    house.say(ring, house.point(), house.point(), house.point("fused unit", fuse_a=3.0))
    house.say(cooker, house.point("cooker control unit"), house.point("socket"),
              house.point("cooker connection unit", loads=(records.Load(what="cooker", power_w=12000.0),)))  # fmt: skip
    house.say(lights, *(house.point("light") for _ in range(7)))
    house.say(shower, house.point("shower", loads=(records.Load(what="shower", power_w=9500.0),)))
    house.say(ev, house.point("EV charging point"))
    demand = demand_of(trade, house.views(), EDITION)
    parts = {part.use: part for part in demand.parts}
    assert parts["standard circuits"].full_a == 32
    assert parts["cooking"].loads[0].amps == pytest.approx(32)  # no more than its device lets through
    assert parts["cooking"].with_diversity_a == pytest.approx(10 + 0.3 * 22 + 5)
    assert parts["lighting"].full_a == pytest.approx(700 / 230)
    assert parts["instantaneous water heaters"].with_diversity_a == pytest.approx(41.3, abs=0.01)
    assert parts["in full"].full_a == pytest.approx(32)
    assert demand.asks_distributor == ("vehicle charging",)
    assert "vehicle charging" in judge_supply(demand, supply(fuse_a=200.0)).says
    mine = demand_of(trade, house.views(), EDITION, said_a={ev: 10.0})
    assert mine.total_a == pytest.approx(demand.total_a - 22)


def test_a_way_of_which_nothing_is_known_is_named(trade: Trade) -> None:
    house = House()
    way = house.way(None)
    house.say(way, house.point("hob"))
    (view,) = house.views()
    assert loads_of(trade, view, EDITION) == ()
    assert demand_of(trade, [view], EDITION).unknown == (view.code,)


@pytest.mark.parametrize(
    ("kind", "power_w", "in_a", "answer"),
    [
        ("shower", 9500.0, 40, "no"),  # 41.3 A
        ("shower", 9500.0, 45, "yes"),
        ("cooker connection unit", 12000.0, 32, "yes"),  # 52.2 A in full, 22.7 A with diversity
        ("cooker connection unit", 22000.0, 32, "no"),  # 35.7 A with diversity
        ("immersion heater", None, 10, "no"),  # 13.0 A as is customary
        ("hob", None, 32, "yes"),
    ],
)
def test_a_device_stands_the_fixed_loads_behind_it(
    trade: Trade, kind: str, power_w: float | None, in_a: float, answer: str
) -> None:
    """Arithmetic P / 230 V; cookers by Table A2 of the On-Site Guide."""
    house = House()
    way = house.way(in_a)
    loads = () if power_w is None else (records.Load(what="it", power_w=power_w),)
    house.say(way, house.point(kind, loads=loads))  # type: ignore[arg-type]  # words of the vocabulary
    (view,) = house.views()
    verdict = judge_load(trade, view, EDITION)
    assert verdict is not None
    assert verdict.answer == answer, verdict.says


def test_alarms_and_fans_on_a_lighting_way_add_little(trade: Trade) -> None:
    """Common practice, no source: 100 W each where nothing is recorded, in full up to 10 A."""
    house = House()
    way = house.way(6)
    house.say(way, *(house.point("light") for _ in range(6)), house.point("smoke alarm"), house.point("extractor fan"))
    (view,) = house.views()
    assert demand_of(trade, [view], EDITION).total_a == pytest.approx((600 * 0.66 + 200) / 230)


def test_lamps_that_nobody_wrote_down_never_fail_and_sockets_are_not_asked(trade: Trade) -> None:
    """From memory, On-Site Guide Table A1: each lampholder 100 W; thirty of them are 8.6 A with diversity."""
    house = House()
    lights, sockets = house.way(6), house.way(32)
    house.say(lights, *(house.point("downlight") for _ in range(30)))
    house.say(sockets, house.point(), house.point())
    first, second = house.views()
    verdict = judge_load(trade, first, EDITION)
    assert verdict is not None
    assert (verdict.answer, verdict.need_a) == ("can't judge", pytest.approx(30 * 100 / 230 * 0.66))
    assert judge_load(trade, second, EDITION) is None


@pytest.mark.parametrize("plan", PLANS[::6], ids=lambda plan: plan.name)
def test_ordinary_homes_come_to_what_their_fuse_stands(trade: Trade, plan: object) -> None:
    """Common practice, no source: an ordinary home without electric heating is reckoned with 40 to 110 A."""
    home = healthy(plan)  # type: ignore[arg-type]
    demand = demand_of(trade, views(home, trade, Memo()), EDITION)
    assert 20 < demand.total_a < 130, [part.working for part in demand.parts]
    assert not demand.unknown
