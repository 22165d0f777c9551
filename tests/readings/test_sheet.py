"""What is read on a circuit and in which order: ring and radial take different tests, one walks round the ring."""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Rcd
from circuitmap.readings.sheet import Group, filed, groups_of, residual_current_device, walk_order
from tests.readings.recorded import Taken
from tests.readings.wired import Wired


def group(wired: Wired, short: str) -> Group:
    return next(each for each in groups_of(wired.on_way) if each.short == short)


def test_a_ring_is_read_end_to_end_then_twice_cross_linked_then_on_one_leg() -> None:
    wired = Wired()
    wired.ring(10, 5, 5, 10)
    shorts = [each.short for each in groups_of(wired.on_way)]
    assert shorts == ["Ends", "L–N", "L–E", "One leg", "Insul.", "Polarity", "Zs", "Supply"]
    assert [line.cores for line in group(wired, "Ends").lines] == [("L", "L"), ("N", "N"), ("E", "E")]


def test_a_radial_is_linked_at_the_board_and_has_no_ends() -> None:
    wired = Wired(rating_a=16)
    first = wired.point()
    wired.length(wired.way_id, first, 5)
    assert [each.short for each in groups_of(wired.on_way)] == ["R1+R2", "Insul.", "Polarity", "Zs", "Supply"]
    assert [line.at for line in group(wired, "R1+R2").lines] == [first]


def test_where_the_map_does_not_say_both_are_offered() -> None:
    shorts = [each.short for each in groups_of(Wired().on_way)]
    assert {"Ends", "R1+R2"} <= set(shorts)


def test_one_walks_from_leg_one_round_the_ring_each_spur_after_the_point_where_it_leaves() -> None:
    wired = Wired()
    one, two, three = wired.ring(10, 5, 5, 10)
    spur = wired.spur(two, 4)
    behind = wired.spur(spur, 3)
    assert walk_order(wired.on_way) == (one, two, spur, behind, three)
    sweep = group(wired, "L–E").lines
    assert [line.at for line in sweep] == [wired.way_id, one, two, spur, behind, three]


def test_insulation_is_read_at_the_usual_voltages_or_at_the_one_that_was_set() -> None:
    view = Wired().on_way
    usual = next(each for each in groups_of(view) if each.short == "Insul.").lines
    assert [(line.cores, line.test_v) for line in usual] == [
        (("L", "E"), 500), (("N", "E"), 500), (("L", "N"), 500), (("L+N", "E"), 250),
    ]  # fmt: skip
    low = next(each for each in groups_of(view, 250) if each.short == "Insul.").lines
    assert {line.test_v for line in low} == {250}
    assert [line.key for line in low] == [line.key for line in usual], "a reading finds its line at any voltage"


def test_what_no_run_leads_to_comes_last() -> None:
    home = Taken()
    lost = home.point("socket")
    home.do(verbs.tag(home.home, lost, home.ring))
    assert walk_order(home.view()) == (*home.sockets, lost)


def test_a_radial_is_walked_branch_by_branch() -> None:
    wired = Wired()
    one, two, three, four = (wired.point() for _ in range(4))
    for a, b in ((wired.way_id, one), (one, two), (one, three), (two, four)):
        wired.length(a, b, 5)
    assert walk_order(wired.on_way) == (one, two, four, three)


def test_a_reading_is_filed_under_its_line_whichever_core_is_named_first() -> None:
    home = Taken()
    first = home.read("linked", "0.31", "N", "L", at=home.sockets[0], link="cross")
    home.read("linked", "0.40", "L", "E", at=home.sockets[0], link="one leg")
    held = filed(home.book().entries)
    sweep = next(each for each in groups_of(home.view()) if each.short == "L–N")
    assert held["before", sweep.lines[1].key].reading.id == first
    assert ("before", sweep.lines[2].key) not in held


@pytest.mark.parametrize("typed", ["28", "28 ms"])
def test_a_trip_time_is_filed_under_its_half_wave(typed: str) -> None:
    home = Taken()
    rcd = home.device(home.board_id, "", "RCD", 63, rcd=Rcd(trips_ma=30.0))
    home.do(verbs.edit(home.home, home.ring, upstream=rcd))
    found = residual_current_device(home.view())
    assert found is not None
    assert found.id == rcd
    home.read("RCD trip", typed, way=rcd, at=rcd, test_a=0.03, phase_deg=180.0)
    trips = next(each for each in groups_of(home.view()) if each.short == "RCD")
    held = filed(home.rest().entries)
    assert [("before", line.key) in held for line in trips.lines] == [False, False, True, False, False]
