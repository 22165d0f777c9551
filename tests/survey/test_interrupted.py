"""How often and how long a load was off already in a visit."""

import pytest

from circuitmap.home import verbs
from circuitmap.survey.interrupted import Interrupted, device_interruptions, interruptions
from tests.build import Builder
from tests.survey.board import Surveyed


@pytest.fixture
def home() -> Surveyed:
    return Surveyed(points=3)


def settle(home: Surveyed, point: str, way: str) -> None:
    """Settle a point in an earlier visit, so that it interrupts nothing in this one."""
    home.look(point, "still on", visit=home.now)
    home.look(point, "off", way, visit=home.now)
    home.now = home.visit("2026-01-06")


def opened(home: Builder, visit: str, minute: int, *off: str) -> str:
    return home.do(verbs.open_round(home.home, visit, off, at=clock(minute)))


def happens(home: Builder, record: str, minute: int, what: str, *devices: str) -> None:
    home.do(verbs.record_event(home.home, record, what, devices, at=clock(minute)))  # type: ignore[arg-type]  # words


def says(home: Builder, record: str, point: str, outcome: str, minute: int) -> None:
    home.do(verbs.record_check(home.home, record, point, outcome, at=clock(minute)))  # type: ignore[arg-type]  # words


def clock(minute: int) -> str:
    return f"2026-01-06T{9 + minute // 60:02}:{minute % 60:02}:00Z"


def of(home: Surveyed, point: str, now: str = "") -> Interrupted:
    return interruptions(home.home, home.memo, home.now, now).get(point, Interrupted())


def test_a_settled_load_was_off_with_its_way_and_minutes_add_up(home: Surveyed) -> None:
    """By hand: 7 min, and 5 min in a second switch-off, make 12 min and two interruptions."""
    p, way = home.points[0], home.ways[0]
    settle(home, p, way)
    first = opened(home, home.now, 0, way)
    happens(home, first, 7, "power back")
    second = opened(home, home.now, 20, way, home.ways[1])
    happens(home, second, 25, "power back")
    third = opened(home, home.now, 30, home.ways[1])
    happens(home, third, 40, "power back")
    assert of(home, p) == Interrupted(2, 12.0)
    assert of(home, p).says == "off 12 min already today, twice"
    assert device_interruptions(home.home, home.memo, home.now)[home.ways[1]] == Interrupted(2, 15.0)


def test_another_visit_is_another_day(home: Surveyed) -> None:
    p, way = home.points[0], home.ways[0]
    settle(home, p, way)
    record = opened(home, home.now, 0, way)
    happens(home, record, 7, "power back")
    later = home.visit("2026-01-07")
    assert interruptions(home.home, home.memo, later) == {}


def test_what_goes_on_again_before_the_rest_is_off_no_longer(home: Surveyed) -> None:
    p, way = home.points[0], home.ways[0]
    settle(home, p, way)
    record = opened(home, home.now, 0, way, home.ways[1])
    happens(home, record, 4, "on", way)
    happens(home, record, 9, "off", way)
    happens(home, record, 10, "power back")
    assert of(home, p) == Interrupted(2, 5.0)


def test_a_main_switch_takes_what_is_under_it(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[0])
    record = opened(home, home.now, 0, home.main)
    happens(home, record, 3, "power back")
    assert of(home, p) == Interrupted(1, 3.0)


def test_a_trip_counts_from_then_on(home: Surveyed) -> None:
    p, way = home.points[0], home.ways[0]
    settle(home, p, way)
    record = opened(home, home.now, 0, home.ways[1])
    happens(home, record, 4, "trip", way)
    happens(home, record, 10, "power back")
    assert of(home, p) == Interrupted(1, 6.0)


def test_a_pause_leaves_it_off(home: Surveyed) -> None:
    p, way = home.points[0], home.ways[0]
    settle(home, p, way)
    record = opened(home, home.now, 0, way)
    happens(home, record, 2, "pause")
    happens(home, record, 50, "resume")
    happens(home, record, 60, "power back")
    assert of(home, p) == Interrupted(1, 60.0)


def test_an_open_switch_off_counts_until_now_even_after_days(home: Surveyed) -> None:
    p, way = home.points[0], home.ways[0]
    settle(home, p, way)
    opened(home, home.now, 0, way)
    assert of(home, p, clock(12)) == Interrupted(1, 12.0)
    assert of(home, p, "2026-01-09T09:00:00Z").says == "off 3 days already today"
    assert of(home, p, "2026-01-01T09:00:00Z") == Interrupted(), "a clock put back counts nothing"


def test_a_point_that_is_not_settled_was_off_when_it_was_seen_off(home: Surveyed) -> None:
    p, q, r = home.points
    record = opened(home, home.now, 0, *home.ways[:2])
    says(home, record, p, "off", 2)
    says(home, record, q, "still on", 3)
    happens(home, record, 8, "power back")
    assert of(home, p) == Interrupted(1, 8.0)
    assert of(home, q) == Interrupted()
    assert of(home, r) == Interrupted(0, 0.0, 1, 8.0), "nobody looked"
    assert of(home, r).says == "perhaps off 8 min already today"


def test_a_point_is_surely_off_when_everything_that_can_feed_it_is(home: Surveyed) -> None:
    record = opened(home, home.now, 0, home.main)
    happens(home, record, 8, "power back")
    assert of(home, home.points[0]) == Interrupted(1, 8.0)


def test_a_carrier_interrupts_the_whole_home_twice_for_a_moment(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[0])
    fuse = home.device(home.a, "9", "fuse BS 3036", 30, upstream=home.main)
    record = opened(home, home.now, 0, fuse)
    happens(home, record, 10, "power back")
    assert of(home, p) == Interrupted(2, 0.0)
    assert of(home, p).says == "off for a moment already today, twice"
    assert device_interruptions(home.home, home.memo, home.now)[fuse] == Interrupted(1, 10.0), "its own is one"


def test_a_switch_off_without_events_has_no_length(home: Surveyed) -> None:
    settle(home, home.points[0], home.ways[0])
    record = opened(home, home.now, 0, home.ways[0])
    home.do(verbs.edit(home.home, record, events=()))
    assert interruptions(home.home, home.memo, home.now, clock(30)) == {}
    assert interruptions(home.home, home.memo, "V99") == {}


def test_whatever_was_once_off_is_told_in_a_large_home_too() -> None:
    home = Surveyed(ways=30, points=500)
    for n in range(30):
        record = opened(home, home.now, 10 * n, *home.ways[n::3])
        happens(home, record, 10 * n + 5, "power back")
    assert len(interruptions(home.home, home.memo, home.now)) == 500
