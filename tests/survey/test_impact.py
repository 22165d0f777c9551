"""Who loses what, and what is said and asked before. Common practice, no source."""

from dataclasses import dataclass
from datetime import UTC
from random import Random

import msgspec
import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Arrangement, Consent, Device, Load, OtherSource, Round
from circuitmap.memo import Memo
from circuitmap.survey import after_power, blocks, cautions, impact
from circuitmap.survey.cautions import may_stay_off
from circuitmap.survey.likely import chances_by_scales, chances_of, likely_words, together
from circuitmap.survey.rehearsal.invent import invent
from circuitmap.survey.rehearsal.walker import Walker
from circuitmap.survey.taken import taken
from circuitmap.survey.weigh import scales_of, weigh
from circuitmap.trade import load
from circuitmap.words import DeviceKind
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


def held(home: Surveyed, way: str, consent: Consent | None) -> tuple[str, ...]:
    return blocks(home.home, (way,), consent, home.memo, zone=UTC)


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
    (says,) = held(home, way, ticked)
    assert "another supply for it that was proved" in says
    arranged = msgspec.structs.replace(AGREED, arrangements=(Arrangement(point=p, words="bottle, carer present"),))
    assert "until when" in held(home, way, arranged)[0]
    timed = msgspec.structs.replace(arranged, until="10:30")
    assert held(home, way, timed) == ()
    blank = msgspec.structs.replace(timed, arrangements=(Arrangement(point=p, words="  "),))
    assert len(held(home, way, blank)) == 1


@pytest.mark.parametrize("until", ["lunch", "45", "08:30", "0 min", "until she says so", "26 h"])
def test_a_time_limit_that_cant_be_read_or_has_passed_is_none(home: Surveyed, until: str) -> None:
    p, way = home.points[0], home.ways[0]
    give(home, p, BREATHING)
    arranged = msgspec.structs.replace(
        AGREED, arrangements=(Arrangement(point=p, words="bottle, carer present"),), until=until
    )
    (says,) = held(home, way, arranged)
    assert "oxygen concentrator (P1)" in says
    assert until in says


def test_without_life_supporting_equipment_any_words_say_until_when(home: Surveyed) -> None:
    assert held(home, home.ways[0], msgspec.structs.replace(AGREED, until="lunch")) == ()


def test_life_supporting_equipment_settled_elsewhere_holds_nothing_up(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[0])
    give(home, p, BREATHING)
    assert blocks(home.home, (home.ways[1],), AGREED, home.memo) == ()
    assert any("life-supporting" in s for s in cautions(home.home, (home.ways[0],), home.memo))


def test_telephone_and_alarms_are_settled_together(home: Surveyed) -> None:
    p, q, _ = home.points
    give(home, p, ROUTER)
    give(home, q, Load(what="alarm panel", if_off="security"))
    (says,) = held(home, home.ways[0], AGREED)
    assert says.startswith("router (P1) and alarm panel (P2) may lose supply: settle it")
    one = msgspec.structs.replace(AGREED, confirmed=(p,))
    (says,) = held(home, home.ways[0], one)
    assert "alarm panel" in says
    assert "router" not in says
    assert held(home, home.ways[0], msgspec.structs.replace(AGREED, confirmed=(p, q))) == ()


def test_after_the_power_is_back_rcds_go_before_ways_and_what_matters_is_looked_at(home: Surveyed) -> None:
    give(home, home.points[0], FREEZER)
    home.point("boiler")
    said = after_power(home.home, load())
    assert said[0].index("RCDs") < said[0].index("ways one by one")
    assert any("freezer (P1)" in s for s in said)
    assert any("boiler" in s and "locked out" in s for s in said)


def test_after_a_switch_off_only_what_was_off_in_it_is_to_be_looked_at(home: Surveyed) -> None:
    p, q, r = home.points
    for point, what in ((p, "freezer"), (q, "clock"), (r, "cooker clock")):
        give(home, point, Load(what=what, if_off="spoils" if point == p else "resets"))
    record = home.round(home.now, home.ways[0])
    home.happens(record, "off", home.ways[0])
    home.say(record, p, "off")
    home.say(record, q, "still on")
    home.happens(record, "power back")
    said = after_power(home.home, None, home.home.take(Round, record), home.memo)
    assert "See that it runs again: freezer (P1)." in said
    assert "Could have been off too: cooker clock (P3)." in said
    assert not any(" clock (P2)" in s for s in said), "it was seen on"


def test_what_was_seen_on_before_something_tripped_could_have_been_off(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    record = home.round(home.now, home.ways[0])
    home.say(record, p, "still on")
    home.happens(record, "trip", home.ways[1])
    said = after_power(home.home, None, home.home.take(Round, record), home.memo)
    assert "Could have been off too: freezer (P1)." in said


def test_what_was_likely_off_is_looked_at_with_what_was(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    round_id = home.round(home.now, home.ways[0])
    record = home.home.take(Round, round_id)
    for chance, line in (
        (0.7, "See that it runs again: freezer (P1)."),
        (0.2, "Could have been off too: freezer (P1)."),
    ):
        assert line in after_power(home.home, None, record, home.memo, {p: {home.ways[0]: chance}})


def test_life_support_is_looked_at_though_it_is_unlikely_that_it_was_off(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, BREATHING)
    round_id = home.round(home.now, home.ways[0])
    record = home.home.take(Round, round_id)
    assert "Look at once at: oxygen concentrator (P1)." in after_power(
        home.home, None, record, home.memo, {p: {home.ways[0]: 0.01}}
    )


def test_pulling_a_carrier_has_taken_the_whole_home_down(home: Surveyed) -> None:
    p = home.points[0]
    fuse = home.device(home.a, "9", "fuse BS 3036", 30, upstream=home.main)
    give(home, p, FREEZER)
    settle(home, p, home.ways[0])
    round_id = home.round(home.now, fuse)
    record = home.home.take(Round, round_id)
    assert "See that it runs again: freezer (P1)." in after_power(home.home, None, record, home.memo)


# -- how likely ---------------------------------------------------------------------------------------------------


def odds(home: Surveyed, point: str, *chances: float) -> dict[str, dict[str, float]]:
    return {point: dict(zip(home.ways, chances, strict=False))}


def weighed(home: Surveyed, chances: dict[str, dict[str, float]], *off: str) -> list[tuple[str, bool, object]]:
    return [(x.point, x.sure, x.chance) for x in impact(home.home, off, home.memo, None, chances)]


def test_a_chance_is_that_of_the_ways_that_go_off_together(home: Surveyed) -> None:
    """Sum over ways that exclude each other: 0.7 for A1, 0.2 for A2, so 0.9 for both."""
    p = home.points[0]
    give(home, p, ROUTER)
    chances = odds(home, p, 0.7, 0.2, 0.06, 0.01)
    assert weighed(home, chances, home.ways[0]) == [(p, False, 0.7)]
    assert weighed(home, chances, *home.ways[:2]) == [(p, False, pytest.approx(0.9))]
    assert weighed(home, chances, home.main) == [(p, False, pytest.approx(0.97))]


def test_a_small_chance_is_never_dropped_to_nothing(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    assert weighed(home, odds(home, p, 0.98, 0.0), home.ways[1]) == [(p, False, 0.0)]
    assert likely_words(0.0, sure=False) == "can't be ruled out"
    assert likely_words(0.7, sure=False) == "likely, 70 %"
    assert likely_words(0.999, sure=False) == "likely, 99 %", "never as certain while it isn't settled"
    assert likely_words(0.2, sure=False) == "perhaps, 20 %"


def test_what_the_checks_settle_is_sure_only_when_the_weighing_agrees(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, FREEZER)
    settle(home, p, home.ways[0])
    assert weighed(home, odds(home, p, 0.995), home.ways[0]) == [(p, True, 1.0)]
    assert weighed(home, odds(home, p, 0.995), home.ways[1]) == []
    assert weighed(home, odds(home, p, 0.9, 0.04), home.ways[0]) == [(p, False, 0.9)]
    assert weighed(home, odds(home, p, 0.9, 0.04), home.ways[1]) == [(p, False, 0.04)]


def test_the_gravest_and_likeliest_come_first(home: Surveyed) -> None:
    p, q, r = home.points
    give(home, p, FREEZER)
    give(home, q, FREEZER)
    give(home, r, BREATHING)
    chances = {p: {home.ways[0]: 0.1}, q: {home.ways[0]: 0.6}, r: {home.ways[0]: 0.01}}
    assert [x[0] for x in weighed(home, chances, home.ways[0])] == [r, q, p]


def test_a_likely_point_without_a_load_is_named_and_an_unlikely_one_is_not(home: Surveyed) -> None:
    p = home.points[0]
    assert weighed(home, odds(home, p, 0.8), home.ways[0]) == [(p, False, 0.8)]
    assert weighed(home, odds(home, p, 0.3), home.ways[0]) == []


@dataclass(frozen=True)
class Explained:
    kind: str
    devices: tuple[str, ...]
    chance: float


@dataclass(frozen=True)
class Weighed:
    explanations: tuple[Explained, ...]


def test_chances_come_from_what_the_survey_has_weighed(home: Surveyed) -> None:
    a, b, c, _ = home.ways
    known = Weighed(
        (
            Explained("one way", (a,), 0.5),
            Explained("joined", (a, b), 0.3),
            Explained("either", (b, c), 0.1),
            Explained("not fed", (), 0.1),
        )
    )
    chances = chances_of({"P1": known})
    assert chances["P1"] == pytest.approx({a: 0.65, b: 0.25, c: 0.1})
    assert together(chances["P1"], (a, b)) == pytest.approx(0.9), "both of a joined pair take it"


def test_before_the_first_switch_off_every_way_is_weighed_as_possible(home: Surveyed) -> None:
    p = home.points[0]
    give(home, p, ROUTER)
    chances = chances_of(weigh(home.home, home.memo, load()))
    for way in home.ways:
        ((point, sure, chance),) = weighed(home, chances, way)
        assert (point, sure) == (p, False)
        assert isinstance(chance, float)
        assert 0 < chance < 1


def test_one_wrong_check_among_many_right_ones_doesnt_bring_the_load_back_into_doubt(home: Surveyed) -> None:
    """Exact deduction would find a contradiction; weighed, P1 is still A1's and no other way may take it."""
    p = home.points[0]
    give(home, p, ROUTER)
    for _ in range(6):
        home.look(p, "still on")
        home.look(p, "off", home.ways[0])
        home.look(p, "still on", *home.ways[1:])
    home.look(p, "still on", home.ways[0])
    assert home.found(p).verdict == "contradiction"
    chances = chances_of(weigh(home.home, home.memo, load()))
    (loss,) = impact(home.home, (home.ways[0],), home.memo, load(), chances)
    assert (loss.sure, loss.chance) == (True, 1.0)
    assert impact(home.home, (home.ways[1],), home.memo, load(), chances) == ()


# -- old switchgear -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["MCB BS 3871", "fuse BS 3036", "fuse BS 1361", "RCD BS 4293", "voltage ELCB"])
def test_old_kinds_may_not_go_back_on_and_that_is_said_when_asking(home: Surveyed, kind: DeviceKind) -> None:
    old = home.device(home.a, "7", kind, 30, upstream=home.main)
    says = may_stay_off(home.home, (old,))
    assert "A7" in says
    assert "may not go back on" in says
    assert "Say so when asking" in says
    assert may_stay_off(home.home, (home.ways[0],)) == ""
    assert "main switch of an old board" in may_stay_off(home.home, (home.main,))


def test_an_old_home_is_asked_about_unless_its_board_was_renewed(home: Surveyed) -> None:
    home.do(verbs.edit(home.home, "home", built_year=1989))
    assert "home is of 1989" in may_stay_off(home.home, (home.ways[0],))
    home.do(verbs.edit(home.home, "home", built_year=1990))
    assert may_stay_off(home.home, (home.ways[0],)) == ""
    home.do(verbs.edit(home.home, "home", built_year=1930))
    home.do(verbs.edit(home.home, home.ways[1], curve="B"))
    assert may_stay_off(home.home, (home.ways[0],)) == "", "a breaker with a curve's letter is of a newer make"
    home.do(verbs.edit(home.home, home.ways[1], curve=""))
    assert may_stay_off(home.home, (home.ways[0],)) != ""
    home.device(home.a, "7", "RCBO", 32, upstream=home.main)
    assert may_stay_off(home.home, (home.ways[0],)) == ""


def test_chances_read_off_the_arrays_are_those_of_the_weighing() -> None:
    """Over an invented home in mid-survey, a neutral cut with another way among the explanations."""
    made = invent(6, ways=8)
    trade_, walker = load(), Walker(made.truth, 0.05, Random(1))
    home = made.home.apply(verbs.start_visit(made.home, "2026-01-05"))
    ways = [d.id for d in home.sorted(Device) if d.way]
    for off in ((), *((way,) for way in ways)):
        home = home.apply(verbs.open_round(home, "V1", off, at="2026-01-05T10:00:00Z"))
        for point in made.truth:
            found = walker.look(point, taken(home, off, Memo()).sure)
            home = home.apply(verbs.record_check(home, home.sorted(Round)[-1].id, point, found, "2026-01-05T10:01:00Z"))
    memo = Memo()
    weighed = weigh(home, memo, trade_)
    assert any(each.kind == "either" for known in weighed.values() for each in known.explanations)
    expected = chances_of(weighed)
    found_ = chances_by_scales(scales_of(home, memo, trade_))
    assert found_.keys() == expected.keys()
    for point, odds in expected.items():
        assert found_[point] == pytest.approx(odds)
