"""Careful words: what stops is said of settled points only, and never as proof that anything is safe."""

import pytest

from circuitmap.circuits import feeds, what_stops
from circuitmap.errors import HomeError
from circuitmap.home.records import End, OtherSource
from circuitmap.home.verbs import edit, set_supply, share_plate, tag
from tests.circuits.house import House


@pytest.fixture
def h() -> House:
    return House()


def says(h: House, point: str) -> str:
    return what_stops(h.home, h.views(), point)


def test_a_settled_point_stops_working_when_its_way_is_off(h: House) -> None:
    a, p = h.way(), h.point()
    h.way()
    h.settle(p, a)
    assert says(h, p) == "Socket P1 stops working when A1 is off. This is not proof that it is safe to touch."
    assert [view.code for view in feeds(h.home, h.views(), p)] == ["A1"]


@pytest.mark.parametrize("how", ["nothing", "run", "tag", "label"])
def test_anything_less_than_an_observation_sends_to_the_main_switch(h: House, how: str) -> None:
    a, p = h.way(label="Kitchen sockets"), h.point()
    if how == "run":
        h.run(a, p, evidence="seen")
    if how == "tag":
        h.do(tag(h.home, p, a, "seen"))
    text = says(h, p)
    assert "Use the main switch." in text
    assert "stops working" not in text
    assert text.endswith("This is not proof that it is safe to touch.")


def test_somebodys_test_counts_until_a_check_puts_it_in_doubt(h: House) -> None:
    a, p = h.way(), h.point()
    h.way()
    h.do(tag(h.home, p, a, "tested"))
    assert "stops working when A1 is off" in says(h, p)
    h.check(h.round(h.visit(), a), p, "still on")
    assert "Use the main switch." in says(h, p)


def test_disagreement_names_both_ways_and_the_main_switch(h: House) -> None:
    a, b, p = h.way(), h.way(), h.point()
    h.settle(p, a)
    h.do(tag(h.home, p, b, "tested"))
    text = says(h, p)
    assert "A1, A2" in text
    assert "Use the main switch." in text
    assert "stops working" not in text


def test_joined_ways_are_never_answered_by_one_of_them(h: House) -> None:
    a, b, p = h.way(), h.way(), h.point(cables=2)
    h.chain(a, p, b)
    h.settle(p, a)
    text = says(h, p)
    assert "joined (A1, A2)" in text
    assert "live from the other" in text
    assert "stops working" not in text


def test_another_circuit_in_the_box_is_named(h: House) -> None:
    a, b, p, q = h.way(), h.way(), h.point("light"), h.point("switch")
    h.settle(p, a)
    h.do(tag(h.home, q, b))
    h.do(share_plate(h.home, [p, q]))
    assert "Its box also holds A2, which stays live." in says(h, p)


def test_something_unknown_in_the_box_is_said(h: House) -> None:
    a, p, q = h.way(), h.point(), h.point()
    h.way()
    h.settle(p, a)
    h.do(share_plate(h.home, [p, q]))
    assert "It isn't known what else feeds its box." in says(h, p)


def test_other_sources_are_named(h: House) -> None:
    a, p = h.way(), h.point()
    h.way()
    h.settle(p, a)
    h.do(set_supply(h.home, sources=(OtherSource(kind="PV"), OtherSource(kind="battery"))))
    assert "other sources (PV, battery), which the main switch doesn't isolate" in says(h, p)


def test_a_fuse_before_the_point_and_another_household_are_named(h: House) -> None:
    a, f, p = h.way(), h.point("fused unit"), h.point()
    h.way()
    h.run(a, f)
    h.run(End(at=f, side="load"), p)
    h.settle(p, a)
    h.do(edit(h.home, p, belongs_to="flat 2"))
    text = says(h, p)
    assert "Fused unit P1 stands before it" in text
    assert "It belongs to flat 2" in text


def test_an_unknown_point_is_refused_in_words(h: House) -> None:
    with pytest.raises(HomeError, match="no point P9"):
        says(h, "P9")
