"""Readings at the supply: Ze by its earthing, both loops of TN-C-S, fault current against what devices can break."""

import pytest

from circuitmap.quantities import parse_measured
from circuitmap.readings.supply import judge_fault_current, judge_loops_alike, judge_ze, prospective_a
from circuitmap.readings.verdict import Rules
from circuitmap.trade import load
from circuitmap.words import DeviceKind, Earthing

RULES = Rules(load())


@pytest.mark.parametrize(
    ("earthing", "ze", "level"),
    [  # from memory: On-Site Guide 1.1, greatest usually declared 0.35 and 0.8 Ω
        ("TN-C-S", 0.35, "fine"), ("TN-C-S", 0.36, "query"), ("TN-S", 0.8, "fine"), ("TN-S", 0.81, "query"),
        ("TN-S", -0.02, "fine"), ("TN-S", -0.2, "can't tell"), ("TN-S", None, "can't tell"),
        ("unknown", 0.3, "can't tell"),
        ("TT", 90.0, "fine"), ("TT", 250.0, "look"),
    ],
)  # fmt: skip
def test_ze_is_judged_by_its_earthing(earthing: Earthing, ze: float | None, level: str) -> None:
    assert judge_ze(RULES, earthing, ze).level == level


def test_an_electrode_is_measured_against_its_rcd_and_told_from_the_distributors() -> None:
    assert "21 Ω" in judge_ze(RULES, "TT", 90.0).why  # On-Site Guide, as relayed
    assert "dries" in judge_ze(RULES, "TT", 250.0).why  # Table 41.5 note 2, as quoted
    for rcd_ma, most in ((30, 1667), (100, 500), (300, 167), (500, 100)):
        assert judge_ze(RULES, "TT", most, rcd_ma).level != "fails"
        assert judge_ze(RULES, "TT", most + 2, rcd_ma).level == "fails"
    assert judge_ze(RULES, "TT", parse_measured(">200", "Ze")).level == "can't tell"


def test_a_bound_on_ze_decides_only_where_it_can() -> None:
    assert judge_ze(RULES, "TN-S", parse_measured("<0.5", "Ze")).level == "fine"
    assert judge_ze(RULES, "TN-S", parse_measured("<2", "Ze")).level == "can't tell"


def test_both_loops_of_tn_c_s_are_one() -> None:
    # A distribution network directive, 2019: at the supply terminals the two are identical.
    assert judge_loops_alike(RULES, "TN-C-S", 0.22, 0.22).level == "fine"
    assert judge_loops_alike(RULES, "TN-C-S", 0.22, 0.24).level == "fine"
    assert judge_loops_alike(RULES, "TN-C-S", 0.22, 0.60).level == "query"
    assert judge_loops_alike(RULES, "TN-S", 0.22, 0.60).level == "can't tell"
    assert judge_loops_alike(RULES, "TN-C-S", 0.22, None).level == "can't tell"
    assert judge_loops_alike(RULES, "TN-C-S", -0.5, 0.2).level == "can't tell"


def test_the_larger_current_of_both_loops_counts() -> None:
    assert prospective_a(RULES, 0.20, 0.35) == pytest.approx(1150)
    assert prospective_a(RULES, None, 0.35) == pytest.approx(657, abs=0.5)
    assert prospective_a(RULES, None, None) is None


@pytest.mark.parametrize(
    ("kind", "marking", "kilo", "level"),
    [
        ("MCB", "6000", 2.3, "fine"), ("MCB", "", 6.0, "fine"), ("MCB", "3000", 3.2, "look"),
        ("MCB", "6000", 8.0, "look"),
        ("fuse BS 3036", "S2A", 1.8, "fine"), ("fuse BS 3036", "", 1.8, "look"), ("fuse BS 1361", "", 9.0, "fine"),
        ("MCB BS 3871", "M3", 2.5, "fine"), ("MCB BS 3871", "M1.5", 2.5, "look"), ("RCD", "", 1.0, "can't tell"),
        ("MCB", "60 00 ?", 1.0, "can't tell"), ("MCB", "10000", 20.0, "query"), ("MCB", "", None, "can't tell"),
    ],
)  # fmt: skip
def test_a_device_must_break_the_current(kind: DeviceKind, marking: str, kilo: float | None, level: str) -> None:
    measured = None if kilo is None else kilo * 1000
    assert judge_fault_current(RULES, kind, measured, marking).level == level


def test_a_todays_board_may_be_backed_by_its_cut_out_fuse() -> None:
    assert "16 kA as a whole" in judge_fault_current(RULES, "MCB", 8000.0, "6000").why
    assert "inspector" in judge_fault_current(RULES, "fuse BS 3036", 1800.0).why


def test_a_current_over_range_is_a_bound() -> None:
    assert judge_fault_current(RULES, "MCB", parse_measured(">5 kA", "PFC"), "6000").level == "can't tell"
    assert judge_fault_current(RULES, "MCB", parse_measured(">5 kA", "PFC"), "3000").level == "look"
    assert judge_fault_current(RULES, "MCB", parse_measured("<5 kA", "PFC"), "6000").level == "fine"
