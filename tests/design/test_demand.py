"""Load currents and fuses."""

import pytest

from circuitmap.design import add_up, current_a, judge_fuse, point_power_w
from circuitmap.trade import load


@pytest.mark.parametrize(
    ("power_w", "voltage_v", "amperes"),
    [(5800, 240, 24.17), (12000, 230, 52.17), (9500, 230, 41.3), (3000, 230, 13.04)],
)
def test_current_is_power_over_voltage(power_w: float, voltage_v: float, amperes: float) -> None:
    """52.17 A of a 12 kW cooker: textbook p. 309; the rest arithmetic."""
    assert current_a(power_w, voltage_v) == pytest.approx(amperes, abs=0.01)


def test_no_voltage_is_no_supply() -> None:
    with pytest.raises(ValueError, match="no supply voltage"):
        current_a(100, 0)


def test_four_appliances_after_one_fuse_blow_it_first() -> None:
    verdict = judge_fuse(add_up([2000, 1500, 900]), 13)
    assert verdict.answer == "no"
    assert "the fuse will blow first" in verdict.says


def test_three_kilowatts_go_through_a_thirteen_ampere_fuse_at_240_but_not_at_230() -> None:
    """Arithmetic: 12.5 A and 13.04 A."""
    assert judge_fuse(add_up([3000]), 13, 240).answer == "yes"
    assert judge_fuse(add_up([3000]), 13, 230).answer == "no"


def test_a_load_nobody_wrote_down_is_not_zero() -> None:
    demand = add_up([100, None])
    assert (demand.known_w, demand.known, demand.unknown) == (100, 1, 1)
    verdict = judge_fuse(demand, 13)
    assert verdict.answer == "can't judge"
    assert "1 of 2" in verdict.says
    assert judge_fuse(add_up([4000, None]), 13).answer == "no"
    assert judge_fuse(add_up([]), 13).answer == "yes"


def test_a_recorded_load_goes_before_the_customary_one() -> None:
    trade = load()
    assert point_power_w(trade, "immersion heater", []) == (3000,)
    assert point_power_w(trade, "immersion heater", [1000]) == (1000,)
    assert point_power_w(trade, "towel rail", [None]) == (None,)
    assert point_power_w(trade, "towel rail", []) == ()
