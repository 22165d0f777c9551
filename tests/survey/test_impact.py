"""Who loses what, and what is said and asked before. Common practice, no source."""

import msgspec
import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Arrangement, Consent, Load, OtherSource
from circuitmap.survey import after_power, blocks, cautions, impact
from circuitmap.trade import load
from tests.survey.board import Surveyed

AGREED = Consent(at="2026-01-05T09:00:00Z")
FREEZER = Load(what="freezer", if_off="spoils")
ROUTER = Load(what="router", if_off="phone")
BREATHING = Load(what="oxygen concentrator", if_off="medical")


@pytest.fixture
def home() -> Surveyed:
    return Surveyed(points=3)


def settle(home: Surveyed, point: str, way: str) -> None:
    home.look(point, "still on")
    home.look(point, "off", way)


def give(home: Surveyed, point: str, *loads: Load) -> None:
    home.do(verbs.edit(home.home, point, loads=loads))


def lost(home: Surveyed, *off: str) -> list[tuple[str, str, bool]]:
    return [(x.point, x.load.what if x.load else "", x.sure) for x in impact(home.home, off, home.memo)]


def test_until_a_load_is_settled_every_switch_off_may_take_it(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    for way in home.ways:
        assert lost(home, way) == [(p, "freezer", False)]
    settle(home, p, home.ways[1])
    assert lost(home, home.ways[1]) == [(p, "freezer", True)]
    assert lost(home, home.ways[0]) == []


def test_a_load_narrowed_but_not_settled_may_still_be_taken_by_any_way(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    home.look(p, "still on", home.ways[0])
    assert lost(home, home.ways[0]) == [(p, "freezer", False)]


def test_a_settled_point_without_loads_is_named_and_an_unsettled_one_is_not(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[0])
    assert lost(home, home.ways[0]) == [(p, "", True)]


def test_a_way_goes_with_its_main_switch(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    settle(home, p, home.ways[0])
    assert (p, "freezer", True) in lost(home, home.main)


def test_what_somebody_saw_tagged_is_surely_lost_and_elsewhere_still_possible(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    home.do(verbs.tag(home.home, p, home.ways[0], "seen"))
    assert lost(home, home.ways[0]) == [(p, "freezer", True)]
    assert lost(home, home.ways[1]) == [(p, "freezer", False)]


def test_pulling_a_carrier_takes_the_whole_home_down(home: Surveyed) -> None:
    p = home.points[0]
    fuse = home.device(home.a, "9", "fuse BS 3036", 30, upstream=home.main)
    give(home, p, FREEZER)
    settle(home, p, home.ways[0])
    assert lost(home, fuse) == [(p, "freezer", True)]
    said = " ".join(cautions(home.home, (fuse,), home.memo))
    assert "A9" in said
    assert "Main switch off, pull, main switch on" in said
    assert "whole home is down" in said


def test_kinds_that_matter_count_though_nobody_listed_their_load(home: Surveyed) -> None:
    boiler = home.point("boiler")
    losses = impact(home.home, (home.ways[0],), home.memo, load())
    assert [(x.point, x.load.if_off, x.sure) for x in losses if x.load] == [(boiler, "heating", False)]


def test_a_planned_point_loses_nothing(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    home.do(verbs.edit(home.home, p, phase="planned"))
    assert lost(home, home.ways[0]) == []


def test_agreement_is_the_first_caution_and_not_proof_the_last(home: Surveyed) -> None:
    said = cautions(home.home, (home.ways[0],), home.memo)
    assert "agreement first" in said[0]
    assert "not proved dead" in said[-1]


def test_other_sources_are_asked_for_until_they_were(home: Surveyed) -> None:
    assert any("other sources" in s for s in cautions(home.home, (home.ways[0],), home.memo))
    home.do(verbs.set_supply(home.home, sources_asked=True, phases=1, sources=(OtherSource(kind="PV"),)))
    said = cautions(home.home, (home.ways[0],), home.memo)
    assert not any("Ask first" in s for s in said)
    assert any("doesn't isolate PV" in s for s in said)
    assert not any("how many phases" in s for s in said)


def test_lights_large_loads_and_an_rcd_are_warned_of(home: Surveyed) -> None:
    rcd = home.device(home.a, "R", "RCD", 63)
    said = " ".join(cautions(home.home, (rcd,), home.memo))
    for words in ("torch", "large loads off first", "may not go back on", "irons"):
        assert words in said
    for point in home.points:
        settle(home, point, home.ways[0])
    said = " ".join(cautions(home.home, (home.ways[0],), home.memo))
    assert "torch" not in said
    assert "may not go back on" not in said
    light = home.point("light")
    settle(home, light, home.ways[0])
    assert "torch" in " ".join(cautions(home.home, (home.ways[0],), home.memo))
    assert "torch" not in " ".join(cautions(home.home, (home.ways[1],), home.memo))


def test_losing_the_router_loses_the_telephone(home: Surveyed) -> None:
    give(home, home.points[0], Load(what="router", if_off="resets"))
    assert any("telephone is lost" in s for s in cautions(home.home, (home.ways[0],), home.memo))


def test_another_household_is_named(home: Surveyed) -> None:
    p = home.points[0]
    home.do(verbs.edit(home.home, p, belongs_to="upper flat"))
    settle(home, p, home.ways[0])
    assert any("Another household" in s and "upper flat" in s for s in cautions(home.home, (home.ways[0],), home.memo))
    assert any("upper flat" in s for s in blocks(home.home, (home.ways[0],), AGREED, home.memo))
    theirs = msgspec.structs.replace(AGREED, by="other household")
    assert blocks(home.home, (home.ways[0],), theirs, home.memo) == ()


def test_looking_with_everything_on_needs_no_consent(home: Surveyed) -> None:
    assert blocks(home.home, (), None, home.memo) == ()
    assert len(cautions(home.home, (), home.memo)) == 1


def test_nothing_goes_off_before_somebody_agreed(home: Surveyed) -> None:
    assert blocks(home.home, (home.ways[0],), None, home.memo) == ("Nobody has agreed to this switch-off yet.",)
    assert blocks(home.home, (home.ways[0],), AGREED, home.memo) == ()


@pytest.mark.parametrize("how", ["leave alone", "can't be reached"])
def test_a_device_to_be_left_alone_or_out_of_reach_holds_the_switch_off_up(home: Surveyed, how: str) -> None:
    home.do(verbs.edit(home.home, home.ways[0], how_switched=how))
    (says,) = blocks(home.home, (home.ways[0],), AGREED, home.memo)
    assert "A1" in says


def test_a_way_kept_on_holds_up_whatever_would_take_it(home: Surveyed) -> None:
    home.do(verbs.edit(home.home, home.ways[0], keep_on="freezer full"))
    (says,) = blocks(home.home, (home.ways[0],), AGREED, home.memo)
    assert says == "A1 stays on (freezer full)."
    (says,) = blocks(home.home, (home.main,), AGREED, home.memo)
    assert "would go off with it" in says
    assert blocks(home.home, (home.ways[1],), AGREED, home.memo) == ()


def test_a_tick_is_not_enough_for_life_supporting_equipment(home: Surveyed) -> None:
    p, way = home.points[0], home.ways[0]
    give(home, p, BREATHING)
    ticked = msgspec.structs.replace(AGREED, confirmed=(p,))
    assert len(blocks(home.home, (way,), ticked, home.memo)) == 1
    arranged = msgspec.structs.replace(AGREED, arrangements=(Arrangement(point=p, words="bottle, carer present"),))
    assert "until when" in blocks(home.home, (way,), arranged, home.memo)[0]
    timed = msgspec.structs.replace(arranged, until="10:30")
    assert blocks(home.home, (way,), timed, home.memo) == ()
    blank = msgspec.structs.replace(timed, arrangements=(Arrangement(point=p, words="  "),))
    assert len(blocks(home.home, (way,), blank, home.memo)) == 1


def test_life_supporting_equipment_settled_elsewhere_holds_nothing_up(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[0])
    give(home, p, BREATHING)
    assert blocks(home.home, (home.ways[1],), AGREED, home.memo) == ()
    assert any("life-supporting" in s for s in cautions(home.home, (home.ways[0],), home.memo))


def test_telephone_and_alarms_are_confirmed_one_by_one(home: Surveyed) -> None:
    p, q, _ = home.points
    give(home, p, ROUTER)
    give(home, q, Load(what="alarm panel", if_off="security"))
    assert len(blocks(home.home, (home.ways[0],), AGREED, home.memo)) == 2
    one = msgspec.structs.replace(AGREED, confirmed=(p,))
    (says,) = blocks(home.home, (home.ways[0],), one, home.memo)
    assert "alarm panel" in says


def test_after_the_power_is_back_rcds_go_before_ways_and_what_matters_is_looked_at(home: Surveyed) -> None:
    give(home, home.points[0], FREEZER)
    home.point("boiler")
    said = after_power(home.home, load())
    assert said[0].index("RCDs") < said[0].index("ways one by one")
    assert any("freezer (P1)" in s for s in said)
    assert any("boiler" in s and "locked out" in s for s in said)
