"""Insulation of circuits and boards as they stand in the book: what was connected, which pair, boards beside circuits.

1 MΩ at 500 V: BS 7671 Table 64 from memory, Wiring Matters 81 (2020); at 250 V with equipment in: 643.3.3, from memory.
Gates of 2 and 20 MΩ: common practice, no source. Parallel figures: arithmetic.
"""

import pytest

from circuitmap.readings.insulation import megohms
from circuitmap.readings.judged_insulation import Figure, judge_board_against
from circuitmap.readings.verdict import Rules
from circuitmap.trade import load
from tests.readings.test_judged import Judging

RULES = Rules(load())


def figure(code: str, mohm: float, *, is_over: bool = False) -> Figure:
    return Figure(code, "L-E", megohms(mohm, is_over=is_over), "V1", f"Q{code}")


@pytest.mark.parametrize(("cores", "pair"), [
    (("L", "N"), "L-N"), (("N", "L"), "L-N"), (("L", "E"), "L-E"), (("E", "N"), "N-E"), (("L+N", "E"), "L+N-E"),
    (("E", "N+L"), "L+N-E"),
])  # fmt: skip
def test_a_pair_is_the_same_whichever_way_round_it_was_written(cores: tuple[str, str], pair: str) -> None:
    b = Judging()
    b.read("insulation", "150", *cores, test_v=500)
    assert [each.subject for each in b.all()] == [f"insulation {pair} {b.ring}"]


def test_what_a_remark_says_was_connected_takes_the_wiring_out_of_the_verdict() -> None:
    b = Judging()
    b.read("insulation", "0.4", "L", "E", test_v=500, remark="boiler connected")
    assert b.of("low with equipment").verdict.level == "query"
    assert b.kinds()["could harm"] == "query"
    other = Judging()
    other.read("insulation", "0.4", "L", "E", test_v=500, remark="boiler disconnected, nothing left connected")
    assert other.of("too low").verdict.level == "fails"


def test_electronics_ask_for_250_v_with_line_and_neutral_joined() -> None:
    """From memory: BS 7671 643.3.3; 250 V between line and neutral would still be across them."""
    b = Judging()
    b.read("insulation", ">200", "L+N", "E", test_v=250, remark="USB sockets connected")
    assert set(b.kinds().values()) == {"fine"}
    b.read("insulation", ">200", "L", "N", test_v=250, remark="USB sockets connected")
    assert b.of("could harm").verdict.level == "query"


def test_less_than_the_asked_voltage_is_queried_and_1_mohm_is_asked_all_the_same() -> None:
    b = Judging()
    b.read("insulation", "45", "L", "E", test_v=250)
    assert b.kinds() == {"low test voltage": "query", "high enough": "fine"}
    b.read("insulation", "0.7", "L", "E", test_v=250)
    assert b.of("too low").verdict.level == "fails"


def test_a_low_between_line_and_neutral_beside_a_high_to_earth_is_equipment() -> None:
    b = Judging()
    low = b.read("insulation", "0.25", "L", "N", test_v=500)
    high = b.read("insulation", ">200", "L+N", "E", test_v=500)
    assert b.of("low with equipment").readings == (low, high)
    damp = Judging()
    damp.read("insulation", "0.25", "L", "N", test_v=500)
    damp.read("insulation", "0.6", "L+N", "E", test_v=500)
    assert [each.verdict.kind for each in damp.all()] == ["too low", "too low"]


def test_a_low_reading_names_what_nobody_said_was_taken_off() -> None:
    b = Judging()
    alarm = b.point("smoke alarm")
    b.run(b.lights[1], alarm, cable="T&E 1.5/1.0")
    b.read("insulation", "8", "L", "E", way=b.radial, test_v=500)
    assert f"Nothing says that {alarm} was taken off" in b.of("low for its age", b.radial).verdict.why
    b.read("insulation", "8", "L", "E", way=b.radial, test_v=500, apart=(alarm,))
    assert "Nothing says" not in [e for e in b.all(b.radial) if e.verdict.kind == "low for its age"][-1].verdict.why


def test_a_board_is_below_its_worst_circuit_and_near_all_of_them_together() -> None:
    """30 and 60 MΩ in parallel are 20 MΩ (arithmetic)."""
    circuits = (figure("A1", 30), figure("A2", 60))
    assert judge_board_against(RULES, megohms(20), circuits, 2) is None
    above = judge_board_against(RULES, megohms(90), circuits, 2)
    below = judge_board_against(RULES, megohms(6), circuits, 2)
    assert above is not None
    assert (above.kind, above.level) == ("board above a circuit", "query")
    assert "A1 alone reads 30 MΩ" in above.says
    assert below is not None
    assert (below.kind, below.level) == ("board below its circuits", "look")
    assert "together give 20 MΩ" in below.says


def test_nothing_is_missed_while_a_circuit_is_unread_or_only_a_bound() -> None:
    assert judge_board_against(RULES, megohms(6), (figure("A1", 30), figure("A2", 60)), 3) is None
    assert judge_board_against(RULES, megohms(200, is_over=True), (figure("A1", 200, is_over=True),), 1) is None


def test_a_board_is_only_held_against_readings_of_the_same_visit_and_pair() -> None:
    b = Judging()
    b.read("insulation", "30", "L", "E", test_v=500)
    b.read("insulation", "90", "N", "E", way=None, at=b.board_id, test_v=500)
    assert "board above a circuit" not in b.supply_kinds()
    b.read("insulation", "90", "L", "E", way=None, at=b.board_id, test_v=500)
    assert b.supply_kinds()["board above a circuit"] == "query"
    later = Judging()
    later.read("insulation", "30", "L", "E", test_v=500)
    later.come("2026-03-01")
    later.read("insulation", "90", "L", "E", way=None, at=later.board_id, test_v=500)
    assert "board above a circuit" not in later.supply_kinds()


def test_a_board_that_reads_low_blames_no_circuit() -> None:
    b = Judging()
    b.read("insulation", "0.6", "L", "E", way=None, at=b.board_id, test_v=500)
    assert b.supply_kinds() == {"board low": "query"}
    assert b.all() == ()


def test_a_part_read_alone_is_no_figure_of_the_circuit_nor_of_its_board() -> None:
    b = Judging()
    b.read("insulation", ">200", "L", "E", test_v=500)
    low = b.read("insulation", "0.3", "L", "E", test_v=500, apart=(b.runs[0], b.sockets[0]))
    b.read("insulation", "0.2", "L", "E", at=b.sockets[0], test_v=500, apart=(b.runs[0],))
    assert {each.verdict.level for each in b.all()} == {"fine"}
    assert low not in {reading for each in b.all() for reading in each.readings}
    b.read("insulation", "90", "L", "E", way=None, at=b.board_id, test_v=500)
    assert "board above a circuit" not in b.supply_kinds()


def test_without_some_equipment_it_is_still_the_circuit() -> None:
    b = Judging()
    b.read("insulation", "0.3", "L", "E", test_v=500, apart=(b.sockets[0],))
    assert b.of("too low").verdict.level == "fails"
