"""The heat of a fault: k by its own formula, the equation by hand, and how long devices take."""

from math import log, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.design.adiabatic import energy_a2s, judge_heat, let_through, needed_mm2
from circuitmap.readings.loop import Protection
from circuitmap.readings.verdict import Rules
from circuitmap.trade import load

FUSE_30 = Protection("fuse BS 3036", "", 30)


@pytest.fixture(scope="module")
def rules() -> Rules:
    return Rules(load())


@pytest.mark.parametrize(
    ("row", "start_c", "end_c"),
    [("k cpc in cable", 70, 160), ("k cpc apart", 30, 160), ("k cpc in 90 cable", 90, 250)],
)
def test_k_is_what_its_formula_gives(rules: Rules, row: str, start_c: float, end_c: float) -> None:
    """From memory: IEC 60364-5-54 Annex A: k = √(Qc (β + 20) / ρ20 · ln((β + θf)/(β + θi))) with copper's constants."""
    qc, beta, rho = 3.45e-3, 234.5, 17.241e-6
    k = sqrt(qc * (beta + 20) / rho * log((beta + end_c) / (beta + start_c)))
    assert rules.value(row) == pytest.approx(k, abs=0.6)


def test_a_breaker_clears_a_fault_in_a_tenth_of_a_second(rules: Rules) -> None:
    """By hand: 230/0.8 = 287.5 A for 0.1 s needs √(287.5²·0.1)/115 = 0.79 mm²."""
    found = judge_heat(rules, Protection("MCB", "B", 32), 1.5, 0.8)
    assert (found.fault_a, found.time_s) == (pytest.approx(287.5), 0.1)
    assert found.needed_mm2 == pytest.approx(0.7906, abs=1e-4)
    assert found.verdict.answer == "yes"


def test_near_a_strong_supply_only_a_breaker_that_limits_it_protects_a_thin_cpc(rules: Rules) -> None:
    """230/0.1 = 2300 A for 0.1 s needs 6.3 mm²; class 3 lets 18 000 A²s through: 1.17 mm² (EN 60898, from memory)."""
    b32 = Protection("MCB", "B", 32)
    assert needed_mm2(2300**2 * 0.1, 115) == pytest.approx(6.32, abs=0.01)
    assert needed_mm2(18_000, 115) == pytest.approx(1.167, abs=0.001)
    stands = judge_heat(rules, b32, 1.5, 0.1)
    assert (stands.verdict.answer, stands.a2s) == ("yes", 18_000)
    assert "class 3" in stands.verdict.says
    thin = judge_heat(rules, b32, 1.0, 0.1)
    assert thin.needed_mm2 == pytest.approx(1.167, abs=0.001)
    assert thin.verdict.answer == "can't judge"
    assert "maker" in thin.verdict.says
    at_six = let_through(rules, b32, 3500)
    assert at_six is not None
    assert at_six.a2s == 45_000
    assert let_through(rules, Protection("MCB", "B", 50), 500) is None


def test_a_light_circuit_with_a_cpc_of_one_square_millimetre_is_as_the_guide_prints_it(rules: Rules) -> None:
    """On-Site Guide 7.2, least sizes, from memory: 1.0 mm² up to 16 A type B and 3 kA, where √15 000/115 is 1.065."""
    found = judge_heat(rules, Protection("MCB", "B", 6), 1.0, 0.25)
    assert (found.verdict.answer, found.needed_mm2) == ("yes", pytest.approx(1.065, abs=0.001))
    assert judge_heat(rules, Protection("MCB", "C", 6), 1.0, 0.25).verdict.answer == "can't judge"


def test_a_small_fault_to_an_own_electrode_heats_nothing(rules: Rules) -> None:
    """By hand: 230/60 = 3.8 A for 0.5 s needs 0.024 mm²; the RCD clears what no breaker would."""
    found = judge_heat(rules, Protection("RCBO", "B", 32, 30), 1.5, 60)
    assert (found.verdict.answer, found.time_s) == ("yes", 0.5)
    assert found.needed_mm2 == pytest.approx(0.0236, abs=1e-4)


def test_a_fuse_takes_the_time_of_its_table(rules: Rules) -> None:
    """Tables 41.2 and 41.4, from memory: 30 A to BS 3036: 218.5/1.04 = 210 A in 0.4 s, 218.5/2.51 = 87 A in 5 s."""
    quick = energy_a2s(rules, FUSE_30, 218.5 / 1.04)
    slow = energy_a2s(rules, FUSE_30, 218.5 / 2.51)
    assert quick is not None
    assert slow is not None
    assert quick[0] == pytest.approx(0.4)
    assert slow[0] == pytest.approx(5)
    assert energy_a2s(rules, FUSE_30, 80) is None
    assert needed_mm2(quick[1], 115) == pytest.approx(210.1 * sqrt(0.4) / 115, rel=1e-3)


@given(st.floats(88, 5000), st.floats(1.0, 3.0))
def test_a_larger_fault_is_cleared_sooner_and_never_with_more_energy(fault_a: float, more: float) -> None:
    rules = Rules(load())
    first, second = energy_a2s(rules, FUSE_30, fault_a), energy_a2s(rules, FUSE_30, fault_a * more)
    assert first is not None
    assert second is not None
    assert second[0] <= first[0] * (1 + 1e-9)
    assert second[1] <= first[1] * (1 + 1e-9)


def test_a_one_millimetre_cpc_behind_a_rewirable_thirty_fails_far_out(rules: Rules) -> None:
    """By hand: at its 5 s figure 87 A · √5 / 115 = 1.69 mm², more than 1.5; at its 0.4 s figure 1.16 mm²."""
    far = judge_heat(rules, FUSE_30, 1.5, 2.62)
    assert far.needed_mm2 == pytest.approx(1.69, abs=0.02)
    assert far.verdict.answer == "no"
    near = judge_heat(rules, FUSE_30, 1.5, 1.04)
    assert near.verdict.answer == "yes"


def test_a_fault_below_what_trips_the_magnet_has_no_time_here(rules: Rules) -> None:
    assert judge_heat(rules, Protection("MCB", "C", 32), 1.5, 1.0).verdict.answer == "can't judge"


def test_what_is_not_known_is_not_judged(rules: Rules) -> None:
    assert "size" in judge_heat(rules, FUSE_30, None, 1.0).verdict.says
    assert "loop" in judge_heat(rules, FUSE_30, 1.5, None).verdict.says
    assert judge_heat(rules, Protection("MCB", "", None), 1.5, 1.0).verdict.answer == "can't judge"
    assert judge_heat(rules, Protection("voltage ELCB", "", 30), 1.5, 1.0).verdict.answer == "can't judge"
