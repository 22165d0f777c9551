"""The two sweeps of a ring are picked out of its book; what is no number is never reckoned with."""

import pytest

from circuitmap.home import verbs
from tests.readings.swept import Swept


def test_both_sweeps_and_the_ends_are_found_and_draw_the_ring() -> None:
    home = Swept()
    home.read_all()
    found = home.sweeps
    assert not found.problem
    assert [p.at for p in found.points] == ["P1", "P2", "P3", "P4", "P5", "P6"]
    assert dict(found.ends_ohm) == pytest.approx({"L": 0.44, "N": 0.44, "E": 0.73})  # CHECKS 2b, to 0.01 Ω
    assert found.far_ohm == pytest.approx(1.17)
    assert found.meter.accuracy_fraction == 0.01
    assert found.line_ohm_per_m is None
    drawn = home.drawn
    assert drawn.order == home.ORDER
    assert [(s.points, s.at) for s in drawn.spurs] == [(("P6",), "P4")]
    assert drawn.loop_m is None


def test_the_cable_on_the_map_gives_the_scale() -> None:
    home = Swept()
    home.run(home.way, "P3")
    home.read_all()
    assert home.sweeps.line_ohm_per_m == pytest.approx(0.00741)  # IEC 60228, 2.5 mm² class 1
    assert home.drawn.loop_m == pytest.approx(60, abs=1)


def test_two_kinds_of_cable_give_no_scale() -> None:
    home = Swept()
    home.run(home.way, "P3")
    home.run("P3", "P1", cable="T&E 4/1.5")
    home.read_all()
    assert home.sweeps.line_ohm_per_m is None


def test_warm_copper_makes_no_longer_ring() -> None:
    """0.4 % a kelvin: readings at 30 °C are 4 % higher, and so is the copper they are divided by."""
    home = Swept()
    home.run(home.way, "P3")
    home.read_all()
    cold = home.sweeps.line_ohm_per_m
    home.do(verbs.set_copper_temperature(home.home, tuple(e for p in home.sweeps.points for e in p.readings), 30))
    assert home.sweeps.line_ohm_per_m == pytest.approx(1.04 * (cold or 0))


def test_a_bound_is_set_aside_with_a_sentence_and_never_taken_for_a_number() -> None:
    home = Swept()
    home.ends("L", "N", "E")
    home.sweep("one leg", "L", "E", instead={"P2": ">20"})
    home.sweep("cross", "L", "N", instead={"P1": "not possible: behind the cooker"})
    found = home.sweeps
    says = {each.at: each.says for each in found.aside}
    assert set(says) == {"P1", "P2"}
    assert ">20" in says["P2"]
    assert "line or cpc is open" in says["P2"]
    assert "behind the cooker" in says["P1"]
    assert home.drawn.order == ("P3", "P4", "P5")
    assert home.drawn.aside == found.aside


def test_a_point_read_in_one_sweep_only_is_set_aside() -> None:
    home = Swept()
    home.ends("L", "N", "E")
    home.sweep("one leg", "L", "E", instead={"P2": ""})
    home.sweep("cross", "L", "N")
    assert [each.says for each in home.sweeps.aside] == [
        "P2 was read cross-linked and not with one leg linked: it can't be placed."
    ]


def test_each_thing_missing_has_its_sentence() -> None:
    home = Swept()
    assert "No sweep of A1" in home.drawn.problem
    home.sweep("cross", "L", "N")
    assert "with one leg linked" in home.drawn.problem
    home.sweep("one leg", "L", "E")
    assert "r1 and rn of A1 must be read end to end" in home.drawn.problem
    home.ends("L")
    assert home.drawn.problem.startswith("rn of A1 must")
    home.ends("N")
    assert not home.drawn.problem  # r2 comes from the far leg


def test_only_the_first_sweep_has_its_sentence() -> None:
    home = Swept()
    home.ends("L", "N", "E")
    home.sweep("one leg", "L", "E")
    assert "cross-linked sweep of A1" in home.drawn.problem


def test_an_open_end_draws_no_ring() -> None:
    home = Swept()
    home.take(">20", "L")
    home.ends("N", "E")
    home.sweep("one leg", "L", "E")
    home.sweep("cross", "L", "N")
    assert home.drawn.problem.startswith("r1 of A1 read open end to end")


def test_one_point_is_no_order() -> None:
    home = Swept()
    home.ends("L", "N", "E")
    home.take("0.20", "L", "E", at="P3", link="one leg")
    home.take("0.22", "L", "N", at="P3", link="cross")
    assert home.drawn.problem.startswith("One point only")


def test_a_cross_linked_sweep_of_line_and_cpc_serves_where_there_is_no_other() -> None:
    """Its curve rises to mid-ring (CHECKS 2b step 3); a spur still stands above it."""
    home = Swept()
    home.ends("L", "N", "E")
    home.sweep("one leg", "L", "E")
    home.sweep("cross", "L", "E")
    assert home.sweeps.across == ("L", "E")
    assert home.drawn.order == home.ORDER
    assert [(s.points, s.at) for s in home.drawn.spurs] == [(("P6",), "P4")]


def test_of_two_sweeps_with_one_leg_linked_the_fuller_is_used() -> None:
    home = Swept()
    legs = [home.run(home.way, "P3"), home.run("P5", home.way)]
    home.ends("L", "N", "E")
    home.take("0.98", "L", "E", at="P3", link="one leg", leg=legs[1])
    home.sweep("one leg", "L", "E", leg=legs[0])
    home.sweep("cross", "L", "N")
    assert home.sweeps.leg == legs[0]
    assert "more than one sweep" in home.drawn.notes[0]
    assert home.drawn.order == home.ORDER


def test_cables_counted_at_points_go_with_the_readings() -> None:
    home = Swept()
    home.do(verbs.count_cables(home.home, "P6", 1))
    home.read_all()
    assert {p.at: p.cables for p in home.sweeps.points}["P6"] == 1


def test_readings_taken_by_plug_carry_contacts_with_them() -> None:
    home = Swept()
    home.read_all()
    assert not any(any(point.by_plug) for point in home.sweeps.points)
    (across,) = [point.readings[1] for point in home.sweeps.points if point.at == "P2"]
    home.do(verbs.edit(home.home, across, "", by_plug=True))
    found = home.sweeps
    assert {p.at: p.by_plug for p in found.points}["P2"] == (False, True)
    assert found.meter.contact_ohm == pytest.approx(0.0115, abs=1e-4)  # 0.01 to 0.05 Ω evenly spread
