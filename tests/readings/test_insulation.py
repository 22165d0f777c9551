"""Insulation against BS 7671 Table 64, parallel parts by arithmetic, and the trade's order of suspicion."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.quantities import parse_measured
from circuitmap.readings.insulation import (
    Pair,
    System,
    Taken,
    judge_insulation,
    judge_taken_off,
    megohms,
    minimum,
    parallel,
    setup,
    share_explained,
    suspects,
)
from circuitmap.readings.verdict import Rules, Shown, Span, Verdict
from circuitmap.trade import load

RULES = Rules(load())
AT_500 = Taken(500)


def read(typed: str) -> Shown:
    return parse_measured(typed, "insulation")


def level(typed: str, taken: Taken = AT_500) -> str:
    return judge_insulation(RULES, read(typed), taken)[-1].level


def last(typed: str, taken: Taken = AT_500) -> Verdict:
    return judge_insulation(RULES, read(typed), taken)[-1]


@pytest.mark.parametrize(
    ("system", "test_v", "least"),
    [  # from memory: Table 64; 1 MΩ at 500 V also Wiring Matters 81 (2020)
        ("SELV or PELV", 250, 0.5), ("low voltage", 500, 1.0), ("above 500 V", 1000, 1.0), ("low voltage", 250, 1.0),
    ],
)  # fmt: skip
def test_the_least_by_test_voltage(system: System, test_v: float, least: float) -> None:
    assert minimum(RULES, system, test_v).value == least
    assert setup(RULES, system=system, has_sensitive=system == "low voltage" and test_v == 250).test_v == test_v


def test_the_16th_edition_asked_for_half_and_may_be_chosen_for_old_paperwork() -> None:
    old = Rules(load(), "17th", (("insulation 500 V Mohm", "16th edition"),))
    assert minimum(old).value == 0.5  # trainee forum: before 2008
    assert judge_insulation(old, read("0.7"), AT_500)[-1].level != "fails"
    assert level("0.7") == "fails"


def test_sensitive_equipment_gets_250_v_with_live_conductors_joined_to_earth_and_still_1_megohm() -> None:
    way = setup(RULES, has_sensitive=True)
    assert way.joins_live
    assert way.test_v == 250
    assert "never between them" in way.says
    assert minimum(RULES, test_v=250).value == 1.0
    assert not setup(RULES).joins_live
    assert "1 mA" in setup(RULES).says


@pytest.mark.parametrize(
    ("typed", "expected"),
    [("0.99", "fails"), ("1.0", "query"), ("1.99", "query"), ("2.0", "look"), ("19.9", "look"), ("20", "fine"),
     ("150", "fine"), (">200", "fine"), ("200+", "fine"), (">0.5", "can't tell"), ("<0.5", "fails"),
     ("<50", "can't tell")],
)  # fmt: skip
def test_below_2_is_asked_2_to_20_noted_per_circuit_with_equipment_out(typed: str, expected: str) -> None:
    assert level(typed) == expected


def test_passing_but_low_says_that_new_wiring_reads_hundreds() -> None:
    assert "hundreds" in last("8").why
    assert "passes 1 MΩ" in last("1.5").says


def test_new_work_is_normally_above_200() -> None:
    assert level("150", Taken(500, is_new=True)) == "look"  # common practice, no source
    assert level(">200", Taken(500, is_new=True)) == "fine"


@pytest.mark.parametrize("typed", ["1.0", "1.5", "1.9", "5", "19"])
def test_a_board_is_never_low_for_its_age(typed: str) -> None:
    verdict = last(typed, Taken(500, scope="board"))
    assert verdict.level == "fine"
    assert "below its worst circuit" in verdict.why


def test_a_board_below_the_least_blames_no_circuit() -> None:
    verdict = last("0.8", Taken(500, scope="board"))
    assert verdict.level == "query"
    assert "one by one" in verdict.why
    assert level(">0.5", Taken(500, scope="board")) == "can't tell"


@pytest.mark.parametrize("typed", ["0.2", "1.5", "8", "150", ">200"])
@pytest.mark.parametrize("pair", ["L-N", "L-E", "L+N-E"])
def test_with_equipment_in_the_wiring_is_never_failed_nor_called_old(typed: str, pair: Pair) -> None:
    verdict = last(typed, Taken(250, pair=pair, has_equipment=True))
    assert verdict.level in ("query", "fine")
    assert (verdict.level == "query") == (typed == "0.2")
    if typed == "0.2":
        assert "Unplug everything" in verdict.why


def test_line_to_neutral_with_electronics_connected_could_harm_them() -> None:
    for taken in (
        Taken(250, pair="L-N", has_sensitive=True),
        Taken(500, pair="L+N-E", has_sensitive=True),
    ):
        first = judge_insulation(RULES, read("50"), taken)[0]
        assert first.kind == "could harm"
        assert "joined" in first.why
    assert len(judge_insulation(RULES, read("50"), Taken(250, pair="L+N-E", has_sensitive=True))) == 1


def test_a_reading_without_or_with_too_low_a_test_voltage_says_so() -> None:
    assert judge_insulation(RULES, read("50"), Taken())[0].level == "can't tell"
    assert "250 V is less" in judge_insulation(RULES, read("50"), Taken(250))[0].says


def test_bad_readings_get_a_sentence() -> None:
    for shown in (None, read("not possible: boiler connected"), -1e6):
        verdict = judge_insulation(RULES, shown, AT_500)[-1]
        assert verdict.level == "can't tell"
        assert verdict.says.endswith(".")


def test_extra_low_voltage_isnt_compared_with_new_mains_wiring() -> None:
    assert level("0.6", Taken(250, system="SELV or PELV")) == "fine"
    assert level("0.4", Taken(250, system="SELV or PELV")) == "fails"


# parallel -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("parts", "whole"),
    [  # arithmetic
        ((10, 20), 6.667), ((20, 20, 20, 20), 5.0), ((100, 50, 25, 10), 5.882), ((200,) * 6, 33.33), ((5, 5), 2.5),
        ((50, 100, 2), 1.887),
    ],
)  # fmt: skip
def test_parts_in_parallel_add_up_by_their_inverses(parts: tuple[float, ...], whole: float) -> None:
    found = parallel(megohms(part) for part in parts)
    assert found.is_number
    assert found.least == pytest.approx(whole, rel=5e-4)


def test_a_board_at_1_9_may_hide_a_circuit_of_2() -> None:
    whole = parallel(map(megohms, (50, 100, 2)))
    assert whole.least < 2
    assert level("1.887", Taken(500, scope="board")) == "fine"


@given(st.lists(st.floats(0.01, 999), min_size=1, max_size=12))
def test_the_whole_is_never_above_its_worst_part(parts: list[float]) -> None:
    assert parallel(map(megohms, parts)).most <= min(parts) * (1 + 1e-12)


def test_over_200_stays_a_bound_and_is_never_200() -> None:
    six = parallel([megohms(200, is_over=True)] * 6)
    assert six.least == pytest.approx(33.33, rel=5e-4)
    assert six.most == inf
    assert not six.is_number
    mixed = parallel([megohms(200, is_over=True), megohms(20)])
    assert mixed == pytest.approx((18.18, 20), rel=5e-4)


def test_nothing_in_parallel_is_endless_and_a_short_takes_all() -> None:
    assert parallel([]) == (inf, inf)
    assert parallel([megohms(0), megohms(100)]) == (0, 0)


# what was taken off -------------------------------------------------------------------------------------------


def test_20_that_jumps_past_200_has_its_fault_on_that_branch() -> None:
    # Common practice, no source; more often equipment or dampness on the branch than its cable.
    verdict = judge_taken_off(RULES, read("20"), read(">200"), "the branch to P7", is_branch=True)
    assert verdict.level == "look"
    assert "at least 90 %" in verdict.says
    assert verdict.why.index("equipment") < verdict.why.index("damp") < verdict.why.index("cable")


def test_a_part_that_explains_little_is_left_in() -> None:
    assert judge_taken_off(RULES, read("2"), read("2.5"), "the kettle").level == "fine"
    assert judge_taken_off(RULES, read("2"), read("100"), "the kettle").level == "look"


def test_taking_something_off_cant_lower_it() -> None:
    verdict = judge_taken_off(RULES, read("50"), read("5"), "the lamp")
    assert verdict.level == "query"
    assert "fell" in verdict.says
    assert judge_taken_off(RULES, read("50"), read("48"), "the lamp").level == "fine"


@pytest.mark.parametrize(("whole", "without"), [(">200", ">200"), (None, "20"), ("20", None), (">20", ">999")])
def test_bounds_that_dont_decide_and_missing_readings_cant_tell(whole: str | None, without: str | None) -> None:
    both = [None if typed is None else read(typed) for typed in (whole, without)]
    assert judge_taken_off(RULES, both[0], both[1], "the lamp").level == "can't tell"


def test_shares_come_from_inverse_resistances() -> None:
    assert share_explained(megohms(5), megohms(20)) == pytest.approx((0.75, 0.75))
    assert share_explained(megohms(20), megohms(200, is_over=True)) == pytest.approx((0.9, 1))
    assert share_explained(Span(inf, inf), megohms(20)) == (0, 1)


# suspicion ----------------------------------------------------------------------------------------------------


def test_unplug_first_then_fixed_loads_then_split() -> None:
    assert [row.name for row in suspects(RULES)] == ["plugged in", "fixed loads", "cable"]
    assert [row.name for row in suspects(RULES, cleared=["plugged in"])] == ["fixed loads", "cable"]
    assert "Neon and USB sockets" in suspects(RULES, "L-N")[1].note
    assert [row.name for row in suspects(RULES, "L+N-E")] == ["plugged in", "fixed loads", "cable"]
    assert suspects(RULES, cleared=["plugged in", "fixed loads", "cable"]) == ()


def test_a_line_to_neutral_low_names_what_usually_explains_it() -> None:
    assert "dimmers" in last("1.5", Taken(500, pair="L-N")).why
