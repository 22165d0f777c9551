"""What a switch-off may conclude. The rules of the trade here are common practice, no source, unless one is named."""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import OtherSource
from circuitmap.memo import Memo
from circuitmap.survey import can_deduce, checks_of, deduce
from tests.survey.board import Surveyed


@pytest.fixture
def home() -> Surveyed:
    return Surveyed()


def test_seen_on_and_off_in_one_visit_with_one_way_left_settles(home: Surveyed) -> None:
    (p,) = home.points
    on = home.look(p, "still on")
    off = home.look(p, "off", home.ways[2])
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("settled", (home.ways[2],))
    assert found.checks == (on, off)
    assert found.visit == home.now
    assert "A3" in found.says


def test_off_without_ever_seen_on_does_not_settle(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "off", home.ways[2])
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("in doubt", (home.ways[2],))
    assert "never seen on" in found.says


def test_on_in_one_visit_and_off_in_another_do_not_settle(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[2], visit=home.visit("2026-02-01"))
    assert home.found(p).verdict == "in doubt"


def test_one_way_left_by_still_on_alone_does_not_settle(home: Surveyed) -> None:
    (p,) = home.points
    for way in home.ways[:3]:
        home.look(p, "still on", way)
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("in doubt", (home.ways[3],))


def test_faint_glow_counts_as_off_and_is_noted(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "faint glow", home.ways[0])
    found = home.found(p)
    assert found.verdict == "settled"
    assert any("faint glow" in note for note in found.notes)


def test_cant_tell_gives_nothing_and_keeps_its_reason(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "can't tell", home.ways[0], why="behind the oven")
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("unchecked", tuple(home.ways))
    assert "behind the oven" in found.says


@pytest.mark.parametrize("facts", [{"local_switch": "off"}, {"via": True}])
def test_an_off_with_the_local_switch_off_or_through_another_point_is_no_off(facts: dict[str, object]) -> None:
    home = Surveyed(points=2)
    p, other = home.points
    if "via" in facts:
        facts = {"via": other}
    home.look(p, "still on")
    home.look(p, "off", home.ways[0], **facts)
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("in doubt", tuple(home.ways))
    assert any("no “off”" in note for note in found.notes)


def test_still_on_counts_however_it_was_seen(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on", home.ways[0], local_switch="off")
    assert home.ways[0] not in home.found(p).candidates


def test_off_with_everything_on_is_not_seen_on_and_names_local_causes(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "off")
    home.look(p, "off", home.ways[1])
    found = home.found(p)
    assert found.verdict == "not seen on"
    assert found.candidates == tuple(home.ways)
    assert "switch, lamp, fuse" in found.says


def test_a_lamp_put_right_makes_only_later_offs_count(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "off")
    early = home.look(p, "off", home.ways[1])
    home.look(p, "still on")
    home.look(p, "off", home.ways[2])
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("settled", (home.ways[2],))
    assert any(early in note for note in found.notes)


def test_a_point_that_did_not_come_back_is_in_doubt(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[1])
    last = home.look(p, "off")
    found = home.found(p)
    assert (found.verdict, found.odd, found.repeat) == ("in doubt", "did not come back", (last,))


def test_a_main_switch_takes_its_ways_with_it(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on", *home.ways[:3])
    home.look(p, "off", home.main)
    assert home.found(p).candidates == (home.ways[3],)
    assert home.found(p).verdict == "settled"


def test_a_main_switch_takes_its_board_though_nobody_recorded_what_is_under_it() -> None:
    home = Surveyed(ways=0)
    (p,) = home.points
    loose = [home.device(home.a, str(n)) for n in (7, 8)]
    home.look(p, "still on", loose[0])
    home.look(p, "off", home.main)
    assert home.found(p).candidates == (loose[1],)


def test_an_rcd_of_unknown_reach_may_be_over_any_way_of_its_board() -> None:
    home = Surveyed(ways=0)
    (p,) = home.points
    rcd = home.device(home.a, "R", "RCD", 63)
    loose = [home.device(home.a, str(n)) for n in (7, 8)]
    home.look(p, "still on")
    home.look(p, "off", rcd)
    home.look(p, "still on", loose[0])
    assert home.found(p).candidates == (loose[1],)
    home.look(p, "still on", rcd)
    assert home.found(p).candidates == (loose[1],), "on with an RCD off proves nothing when its reach is unknown"


def test_an_rcd_takes_the_ways_under_it(home: Surveyed) -> None:
    (p,) = home.points
    rcd = home.device(home.a, "R", "RCD", 63, upstream=home.main)
    under = home.device(home.a, "9", upstream=rcd)
    home.look(p, "still on")
    home.look(p, "off", rcd)
    assert home.found(p).candidates == (under,)


def test_a_sub_boards_way_goes_with_the_way_that_feeds_the_board(home: Surveyed) -> None:
    (p,) = home.points
    sub = home.board("B", source="run")
    inner = home.device(sub, "1")
    home.do(verbs.tag(home.home, sub, home.ways[3]))
    home.look(p, "still on")
    home.look(p, "off", home.ways[3])
    assert home.found(p).candidates == (home.ways[3], inner)
    home.look(p, "off", inner)
    assert (home.found(p).verdict, home.found(p).candidates) == ("settled", (inner,))


def test_a_sub_board_of_unknown_feed_may_go_with_anything(home: Surveyed) -> None:
    (p,) = home.points
    inner = home.device(home.board("B", source="run"), "1")
    home.look(p, "still on")
    home.look(p, "off", home.main)
    assert inner in home.found(p).candidates


def test_still_on_with_everything_off_is_fed_from_elsewhere(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on", home.main)
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("elsewhere", ())


def test_everything_off_means_every_other_source_too(home: Surveyed) -> None:
    (p,) = home.points
    home.do(verbs.set_supply(home.home, sources=(OtherSource(kind="battery"),), sources_asked=True))
    home.look(p, "still on", home.main)
    assert home.found(p).verdict == "never off"
    record = home.do(verbs.open_round(home.home, home.now, (home.main,), ("battery",), at="2026-01-05T09:00:00Z"))
    home.say(record, p, "still on")
    assert home.found(p).verdict == "elsewhere"


def test_ways_all_off_under_a_closed_main_switch_are_not_everything(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on", *home.ways)
    assert home.found(p).verdict == "never off"


def test_never_off_though_every_way_was_off_once(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    for way in home.ways:
        home.look(p, "still on", way)
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("never off", ())


def test_off_in_two_single_way_switch_offs_names_all_four_causes_local_first(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    one, two = home.look(p, "off", home.ways[0]), home.look(p, "off", home.ways[1])
    found = home.found(p)
    assert (found.verdict, found.odd) == ("contradiction", "off in two")
    assert found.checks == found.repeat == (one, two)
    said = [found.says.index(cause) for cause in ("local switch", "RCD that tripped", "two-pole", "contactor")]
    assert said == sorted(said)
    assert "lamp" in found.says
    assert "joined" not in found.says


def test_on_and_off_with_the_same_way_off_contradict_and_the_off_is_repeated_first(home: Surveyed) -> None:
    (p,) = home.points
    off, on = home.look(p, "off", home.ways[0]), home.look(p, "still on", home.ways[0])
    found = home.found(p)
    assert (found.verdict, found.odd, found.repeat) == ("contradiction", "on and off", (off, on))


def test_off_only_together_says_joined_and_that_each_terminal_stays_live(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    a, b = home.look(p, "still on", home.ways[0]), home.look(p, "still on", home.ways[1])
    both = home.look(p, "off", home.ways[0], home.ways[1])
    found = home.found(p)
    assert (found.verdict, found.odd) == ("contradiction", "only together")
    assert set(found.checks) == {a, b, both}
    assert found.repeat[0] == both
    assert "own terminal stays live" in found.says


def test_off_with_a_way_and_on_with_everything_off_is_a_battery_or_a_source(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "off", home.ways[0])
    home.look(p, "still on", home.main)
    assert home.found(p).odd == "battery or source"


def test_an_answer_repeated_in_the_same_switch_off_replaces_the_first_and_says_so(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    record = home.round(home.now, home.ways[0])
    first = home.say(record, p, "off")
    second = home.say(record, p, "still on")
    found = home.found(p)
    assert home.ways[0] not in found.candidates
    assert any(first in note and second in note for note in found.notes)
    assert {c.id for c in checks_of(home.home, home.memo, p)} >= {first, second}, "all answers are kept"


def test_cant_tell_takes_back_an_off_but_not_a_still_on(home: Surveyed) -> None:
    (p,) = home.points
    record = home.round(home.now, home.ways[0])
    home.say(record, p, "off")
    home.say(record, p, "can't tell", why="the lamp is broken")
    assert home.found(p).verdict == "unchecked"
    record = home.round(home.now, home.ways[1])
    home.say(record, p, "still on")
    home.say(record, p, "can't tell")
    assert home.ways[1] not in home.found(p).candidates


def test_a_later_look_that_tells_less_keeps_what_an_earlier_visit_settled(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[0])
    home.look(p, "still on", visit=home.visit("2026-03-01"))
    found = home.found(p)
    assert (found.verdict, found.candidates, found.visit) == ("settled", (home.ways[0],), home.now)


def test_a_later_visit_that_denies_an_earlier_one_stands_and_says_so(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[0])
    home.look(p, "still on", home.ways[0], visit=home.visit("2026-03-01"))
    found = home.found(p)
    assert found.verdict == "in doubt"
    assert home.ways[0] not in found.candidates
    assert any(f"{home.now} settled it on A1" in note for note in found.notes)


def test_an_earlier_visit_narrows_a_later_doubt_and_is_named(home: Surveyed) -> None:
    (p,) = home.points
    home.look(p, "still on", home.ways[0])
    later = home.visit("2026-03-01")
    home.look(p, "still on", home.ways[1], visit=later)
    found = home.found(p)
    assert (found.verdict, found.candidates) == ("in doubt", (home.ways[2], home.ways[3]))
    assert home.now in found.says


@pytest.mark.parametrize("phases", [2, 3])
def test_more_than_one_phase_is_declined_in_words(home: Surveyed, phases: int) -> None:
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[0])
    assert can_deduce(home.home) == ""
    home.do(verbs.set_supply(home.home, phases=phases))
    assert f"{phases} phases" in can_deduce(home.home)
    assert home.found(p).verdict == "unchecked"
    assert home.found(p).says == can_deduce(home.home)


def test_a_device_that_feeds_no_circuit_is_never_a_candidate(home: Surveyed) -> None:
    for kind in ("RCD", "SPD", "blank", "timer"):
        home.device(home.a, kind, kind)
    assert home.found(home.points[0]).candidates == tuple(home.ways)


def test_a_planned_way_is_no_candidate(home: Surveyed) -> None:
    planned = home.device(home.a, "9")
    home.do(verbs.edit(home.home, planned, phase="planned"))
    assert planned not in home.found(home.points[0]).candidates


def test_a_control_device_off_leaves_the_way_above_it_possible(home: Surveyed) -> None:
    (p,) = home.points
    timer = home.device(home.a, "T", "timer", None, upstream=home.ways[1])
    home.look(p, "still on")
    home.look(p, "off", timer)
    assert home.found(p).candidates == (home.ways[1],)


def test_a_home_without_ways_says_so(home: Surveyed) -> None:
    bare = Surveyed(ways=0)
    bare.look(bare.points[0], "still on")
    assert "no way" in bare.found(bare.points[0]).says


# -- only what changed is worked out again ----------------------------------------------------------------------------


def test_a_check_changes_its_own_point_only() -> None:
    home = Surveyed(points=5)
    record = home.round(home.now)
    for p in home.points[:4]:
        home.say(record, p, "still on")
    before = deduce(home.home, home.memo)
    home.say(home.round(home.now, home.ways[0]), home.points[1], "off")
    after = deduce(home.home, home.memo)
    assert after[home.points[1]] is not before[home.points[1]]
    assert all(after[p] is before[p] for p in home.points if p != home.points[1])
    assert deduce(home.home, home.memo) is after


def test_an_edit_that_bears_on_nothing_gives_the_same_object() -> None:
    home = Surveyed(points=2)
    home.look(home.points[0], "still on")
    before = deduce(home.home, home.memo)
    home.do(verbs.edit(home.home, home.points[0], name="Kettle"))
    record = home.round(home.now, home.ways[0])
    home.happens(record, "pause")
    assert deduce(home.home, home.memo) is before


def test_step_by_step_gives_what_starting_afresh_gives() -> None:
    home = Surveyed(points=3)
    p, q, r = home.points
    first = home.look(p, "still on")
    home.found(p)
    record = home.round(home.now, home.ways[0])
    for point in (p, q, r):
        home.say(record, point, "off")
        home.found(point)
    home.happens(record, "trip", home.ways[1])
    home.found(p)
    home.say(record, q, "off")
    home.do(verbs.remove(home.home, first))
    home.found(p)
    home.do(verbs.remove(home.home, r))
    home.point()
    home.do(verbs.edit(home.home, home.ways[0], way="12"))
    assert deduce(home.home, home.memo) == deduce(home.home, Memo())
    home.do(verbs.remove(home.home, record))
    assert deduce(home.home, home.memo) == deduce(home.home, Memo())
