"""What is odd about readings gets a sentence each, and what is sound gets none."""

from circuitmap.home import verbs
from tests.readings.recorded import Taken


def kinds(home: Taken, way: str = "") -> list[str]:
    return [problem.kind for problem in home.book(way).problems]


def ring_of_three(home: Taken) -> None:
    for core, typed in (("L", "0.55"), ("N", "0.56"), ("E", "0.91")):
        home.read("ring end to end", typed, core)


def test_a_whole_ring_test_with_a_proved_meter_is_not_odd() -> None:
    home = Taken()
    ring_of_three(home)
    for at in home.sockets:
        home.read("linked", "0.28", "L", "N", at=at, link="cross")
    home.read("insulation", ">200", "L+N", "E", test_v=500)
    assert home.book().problems == ()


def test_a_reading_at_a_point_of_another_circuit_counts_for_nothing() -> None:
    home = Taken()
    reading = home.read("linked", "0.31", "L", "N", at=home.lights[0], link="cross")
    (problem,) = home.book().problems
    assert (problem.kind, problem.readings, problem.subjects) == ("not on the circuit", (reading,), (home.lights[0],))
    assert problem.words == (
        f"{reading} was taken at P5, which isn't on A1 as the map has it: it counts for nothing until P5 is put on A1 "
        "or the reading on its own way."
    )
    assert home.book().latest == ()


def test_two_readings_of_one_visit_that_can_not_both_be_right_are_named() -> None:
    home = Taken()
    first = home.read("linked", "0.31", "L", "N", at=home.sockets[1], link="cross")
    second = home.read("linked", "0.62", "L", "N", at=home.sockets[1], link="cross")
    assert home.says("contradiction") == (
        f"Linked at P2 was read as 0.31 Ω ({first}) and then as 0.62 Ω ({second}) on the same visit: the later counts; "
        "read it once more, and look at the contact first."
    )


def test_a_reading_repeated_a_third_time_ends_the_argument_with_the_last() -> None:
    home = Taken()
    home.read("linked", "0.62", "L", "N", at=home.sockets[1], link="cross")
    for typed in ("0.31", "0.32"):
        home.read("linked", typed, "L", "N", at=home.sockets[1], link="cross")
    assert kinds(home) == ["contradiction"]
    assert home.book().problems[0].readings == ("Q2", "Q4")


def test_readings_of_two_days_are_a_change() -> None:
    home = Taken()
    home.read("insulation", ">200", "L+N", "E", test_v=500)
    home.come("2026-05-05", "periodic")
    home.read("insulation", "2", "L+N", "E", test_v=500)
    words = home.says("changed since")
    assert "was >200 MΩ (Q2) on 5 January 2026 and 2.00 MΩ (Q4) on 5 May 2026" in words
    assert "contradiction" not in kinds(home)


def test_before_and_after_the_work_never_contradict_each_other() -> None:
    home = Taken("before work")
    home.read("insulation", "0.2", "L+N", "E", test_v=500)
    home.come("2026-01-06", "after work")
    home.read("insulation", ">200", "L+N", "E", test_v=500)
    assert home.book().problems == ()


def test_bounds_and_reasons_contradict_only_what_they_exclude() -> None:
    home = Taken()
    for typed in (">200", ">999", "500", "not possible: dimmer"):
        home.read("insulation", typed, "L", "N", test_v=500)
    assert home.book().problems == ()


def test_answers_in_words_contradict_each_other_too() -> None:
    home = Taken()
    home.read("plug-in indicator", "correct", at=home.sockets[0])
    home.read("plug-in indicator", "no earth", at=home.sockets[0])
    assert "read as correct (Q2) and then as no earth (Q3)" in home.says("contradiction")


def test_r1_without_rn_is_said() -> None:
    home = Taken()
    home.read("ring end to end", "0.55", "L")
    assert home.says("ring test incomplete") == (
        "End to end r1 (Q2) was read, rn (neutral) and r2 (cpc) not: whether line and neutral agree within 0.05 Ω "
        "can't be told."
    )
    home.read("ring end to end", "0.56", "N")
    assert "whether the cpc goes all the way round can't be told" in home.says("ring test incomplete")
    home.read("ring end to end", "not possible: no cpc", "E")
    assert kinds(home) == []


def test_r1_from_before_and_rn_from_after_make_no_ring_test() -> None:
    home = Taken("before work")
    ring_of_three(home)
    home.come("2026-01-06", "after work")
    home.read("ring end to end", "0.56", "N")
    assert "rn (Q6) was read, r1 (line) and r2 (cpc) not" in home.says("ring test incomplete")


def test_a_radial_tested_as_a_ring_is_said() -> None:
    home = Taken()
    for core in "LNE":
        home.read("ring end to end", "0.55", core, way=home.radial)
    assert "A2 is a radial on the map and was tested as a ring (Q2, Q3, Q4)" in home.says(
        "radial tested as a ring", home.radial
    )


def test_a_radial_that_reads_open_end_to_end_or_was_linked_as_one_is_not_odd() -> None:
    home = Taken()
    for core in "LNE":
        home.read("ring end to end", ">99.9", core, way=home.radial)
    home.read("linked", "0.40", "L", "E", at=home.lights[1], link="radial", way=home.radial)
    assert kinds(home, home.radial) == []


def test_less_than_the_leads_is_zero_and_said() -> None:
    home = Taken(proved=False)
    home.do(verbs.subtract_leads(home.home, home.meter, 0.30))
    home.do(verbs.prove_meter(home.home, home.today, home.meter, "0.30"))
    reading = home.read("linked", "0.10", "L", "N", at=home.sockets[0], link="cross")
    assert f"{reading} shows 0.10 Ω, less than the 0.30 Ω of leads" in home.says("less than its leads")
    assert home.book().latest[0].value_si == 0.0
    home.read("linked", "0.27", "L", "N", at=home.sockets[1], link="cross")
    assert kinds(home) == ["less than its leads"]


def test_null_drift_asks_for_nulling_once_for_all_readings() -> None:
    home = Taken()
    for at in home.sockets:
        home.read("linked", "-0.02", "L", "N", at=at, link="cross")
    home.read("linked", "-0.02", "L", "E", at=home.sockets[0], link="cross")
    assert home.says("null drift") == "The meter stood below zero at Q2, Q3, Q4, Q5 and 1 more: null its leads again."


def test_proof_of_the_meter_is_asked_for_once_a_visit() -> None:
    home = Taken(proved=False)
    ring_of_three(home)
    home.read("insulation", ">200", "L+N", "E", test_v=500)
    assert kinds(home) == ["meter not proved"]
    assert home.says("meter not proved") == (
        "Visit of 5 January 2026: the meter has not been proved on this visit: short the leads and write down what it "
        "shows."
    )
    home.do(verbs.prove_meter(home.home, home.today, home.meter, "0.01"))
    assert kinds(home) == []


def test_live_tests_and_reasons_need_no_shorted_leads() -> None:
    home = Taken(proved=False)
    home.read("Zs", "0.85", "L", "E", at=home.sockets[0])
    home.read("insulation", "n/a", "L", "N")
    assert kinds(home) == []


def test_readings_without_a_meter_named_are_said_together() -> None:
    home = Taken()
    for core, typed in (("L", "0.55"), ("N", "0.56"), ("E", "0.91")):
        home.read("ring end to end", typed, core, instrument=None)
    assert home.says("no meter named").startswith("No meter is named for Q2, Q3, Q4 of 5 January 2026")
