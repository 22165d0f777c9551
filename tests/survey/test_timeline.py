"""Trips, witness lamps and late answers. All of it common practice, no source."""

import pytest

from circuitmap.home import verbs
from tests.survey.board import Surveyed


class Split(Surveyed):
    """Two RCDs with two ways each."""

    def __init__(self) -> None:
        super().__init__(ways=0, points=3)
        self.rcds = [self.device(self.a, f"R{n}", "RCD", 63, upstream=self.main) for n in (1, 2)]
        self.ways = [self.device(self.a, str(n), upstream=self.rcds[(n - 1) // 2]) for n in (1, 2, 3, 4)]
        base = self.round(self.now)
        for point in self.points:
            self.say(base, point, "still on")


@pytest.fixture
def home() -> Split:
    return Split()


def test_an_off_after_a_trip_may_be_the_tripped_groups(home: Split) -> None:
    p, q, r = home.points
    record = home.round(home.now, home.ways[0])
    home.say(record, p, "off")
    home.happens(record, "trip", home.rcds[1])
    home.say(record, q, "off")
    home.happens(record, "on", home.rcds[1])
    home.say(record, r, "off")
    assert home.found(p).candidates == home.found(r).candidates == (home.ways[0],)
    assert home.found(q).candidates == (home.ways[0], home.ways[2], home.ways[3])
    assert home.found(q).verdict == "in doubt"


def test_still_on_after_a_trip_rules_the_tripped_group_out(home: Split) -> None:
    p = home.points[0]
    record = home.round(home.now, home.ways[0])
    home.happens(record, "trip", home.rcds[1])
    home.say(record, p, "still on")
    assert home.found(p).candidates == (home.ways[1],)


def test_an_answer_in_the_second_of_a_trip_is_read_both_ways(home: Split) -> None:
    p, q, _ = home.points
    record = home.round(home.now, home.ways[0])
    at = home.instant
    home.do(verbs.record_event(home.home, record, "trip", (home.rcds[1],), at=at))
    home.do(verbs.record_check(home.home, record, p, "off", at=at))
    home.do(verbs.record_check(home.home, record, q, "still on", at=at))
    assert home.found(p).candidates == (home.ways[0], home.ways[2], home.ways[3])
    assert home.found(q).candidates == tuple(home.ways[1:])


def test_a_witness_lamp_found_out_sets_aside_every_answer_since_the_last_good_look(home: Split) -> None:
    p, q, r = home.points
    record = home.round(home.now, home.ways[0])
    home.say(record, p, "off")
    home.happens(record, "look good")
    aside = home.say(record, q, "off")
    home.happens(record, "look out", home.rcds[1])
    home.say(record, r, "off")
    assert home.found(p).verdict == "settled"
    assert home.found(q).verdict == home.found(r).verdict == "in doubt"
    assert home.found(q).candidates == tuple(home.ways)
    assert any(aside in note and "ask again" in note for note in home.found(q).notes)
    home.happens(record, "on", home.rcds[1])
    home.say(record, q, "off")
    assert (home.found(q).verdict, home.found(q).candidates) == ("settled", (home.ways[0],))


def test_with_no_good_look_before_all_answers_of_the_switch_off_are_set_aside(home: Split) -> None:
    record = home.round(home.now, home.ways[0])
    home.say(record, home.points[0], "off")
    home.happens(record, "look out")
    assert home.found(home.points[0]).verdict == "in doubt"


def test_a_trip_of_nobody_knows_what_leaves_the_answers_after_it_aside(home: Split) -> None:
    p, q, r = home.points
    record = home.round(home.now, home.ways[0])
    home.say(record, p, "off")
    home.happens(record, "trip")
    home.say(record, q, "off")
    home.happens(record, "look good")
    home.say(record, r, "off")
    assert [home.found(each).verdict for each in (p, q, r)] == ["settled", "in doubt", "settled"]


def test_answers_typed_from_paper_after_the_power_is_back_count_for_the_switch_off(home: Split) -> None:
    p, q, _ = home.points
    record = home.round(home.now, home.ways[0])
    home.happens(record, "power back")
    home.say(record, p, "off")
    home.say(record, q, "still on")
    assert (home.found(p).verdict, home.found(p).candidates) == ("settled", (home.ways[0],))
    assert home.ways[0] not in home.found(q).candidates


def test_late_answers_are_read_against_the_whole_course(home: Split) -> None:
    p, q, _ = home.points
    record = home.round(home.now, home.ways[0])
    home.happens(record, "trip", home.rcds[1])
    home.happens(record, "power back")
    home.say(record, p, "off")
    home.say(record, q, "still on")
    assert home.found(p).candidates == (home.ways[0], home.ways[2], home.ways[3])
    assert home.found(q).candidates == tuple(home.ways[1:])


def test_ways_put_back_one_by_one_end_a_switch_off_as_power_back_does(home: Split) -> None:
    record = home.round(home.now, home.ways[0], home.ways[1])
    for way in home.ways[:2]:
        home.happens(record, "on", way)
    home.say(record, home.points[0], "off")
    assert home.found(home.points[0]).candidates == (home.ways[0], home.ways[1])


def test_a_way_switched_back_on_in_the_course_no_longer_counts(home: Split) -> None:
    record = home.round(home.now, home.ways[0], home.ways[1])
    home.happens(record, "on", home.ways[1])
    home.say(record, home.points[0], "off")
    assert home.found(home.points[0]).candidates == (home.ways[0],)


def test_a_trip_while_looking_with_everything_on_is_no_baseline(home: Split) -> None:
    point = home.point()
    record = home.round(home.now)
    home.happens(record, "trip", home.rcds[0])
    home.say(record, point, "off")
    assert home.found(point).verdict == "in doubt"
    assert home.found(point).candidates == (home.ways[0], home.ways[1])


def test_a_trip_that_takes_the_last_way_does_not_show_another_source(home: Split) -> None:
    record = home.round(home.now, home.rcds[0])
    home.happens(record, "trip", home.main)
    home.say(record, home.points[0], "still on")
    assert home.found(home.points[0]).verdict != "elsewhere"


def test_pauses_and_fractions_of_a_second_keep_their_order(home: Split) -> None:
    p = home.points[0]
    record = home.round(home.now, home.ways[0])
    home.do(verbs.record_event(home.home, record, "pause", at="2026-01-05T10:00:00Z"))
    home.do(verbs.record_event(home.home, record, "trip", (home.rcds[1],), at="2026-01-05T10:00:00.500Z"))
    home.do(verbs.record_check(home.home, record, p, "off", at="2026-01-05T10:00:00Z"))
    assert home.found(p).candidates == (home.ways[0],)


def look(home: Split, record: str, what: str, *lamps: str) -> None:
    home.do(verbs.record_event(home.home, record, what, (), lamps, at=home.instant))  # type: ignore[arg-type]


def test_a_good_look_at_one_lamp_says_nothing_of_another(home: Split) -> None:
    p, q, r = home.points
    record = home.round(home.now, home.ways[0])
    look(home, record, "look good", p, q)
    home.say(record, r, "off")
    look(home, record, "look good", p)
    look(home, record, "look out", q)
    assert home.found(r).verdict == "in doubt", "the lamp at q was last seen alight before r was answered"
    look(home, record, "look good", p)
    home.say(record, r, "off")
    assert home.found(r).verdict == "in doubt", "nobody knows yet what q went out with"
    look(home, record, "look good", q)
    home.say(record, r, "off")
    assert home.found(r).verdict == "settled"


def test_a_good_look_at_no_lamp_in_particular_is_one_at_all_of_them(home: Split) -> None:
    p, q, r = home.points
    record = home.round(home.now, home.ways[0])
    look(home, record, "look good", p, q)
    look(home, record, "look good")
    home.say(record, r, "off")
    look(home, record, "look good")
    look(home, record, "look out", q)
    assert home.found(r).verdict == "settled"
