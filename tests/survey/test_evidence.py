"""What a point's checks come to as answers: repeats, asides, visits, rates; and odd records that must not be lost."""

from typing import Final

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Round
from circuitmap.survey import checks_of
from circuitmap.survey.context import context_of
from circuitmap.survey.evidence import EARLIER_SLIP, LEAST_SLIP, NOTHING, Told, neutral_cutters, told_of
from circuitmap.survey.settle import settle
from circuitmap.survey.weigh import weigh
from circuitmap.trade import load
from tests.survey.board import Surveyed

TRADE: Final = load()


def told(home: Surveyed, point: str, slip: float | None = None) -> Told:
    context = context_of(home.home, home.memo)
    cutters = neutral_cutters(home.home, context, home.memo)
    checks = checks_of(home.home, home.memo, point)
    return told_of(home.home, checks, context, cutters, TRADE.checking("socket"), slip)


@pytest.fixture
def home() -> Surveyed:
    return Surveyed(3, 2)


def test_without_checks_nothing_is_told(home: Surveyed) -> None:
    assert told(home, home.points[0]) is NOTHING


def test_bits_stand_for_the_ways_that_were_off(home: Surveyed) -> None:
    (p, _) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[0], home.ways[2])
    found = told(home, p)
    assert [(s.live, s.sure, s.may) for s in found.seen] == [(True, 0, 0), (False, 0b101, 0b101)]
    assert (found.on_and_off, found.seen_on, found.seen_off) == (True, True, True)


def test_an_answer_given_twice_in_one_switch_off_counts_once_and_the_last_one_stands(home: Surveyed) -> None:
    p, q = home.points
    record = home.round(home.now, home.ways[0])
    for outcome in ("off", "off", "off"):
        home.say(record, p, outcome)  # type: ignore[arg-type]
    for outcome in ("off", "still on"):
        home.say(record, q, outcome)  # type: ignore[arg-type]
    assert len(told(home, p).seen) == 1
    assert [s.live for s in told(home, q).seen] == [True]
    assert len(checks_of(home.home, home.memo, p)) == 3, "none of them is lost"


def test_cant_tell_tells_nothing(home: Surveyed) -> None:
    home.look(home.points[0], "can't tell", home.ways[0])
    assert told(home, home.points[0]).seen == ()


def test_everything_off_takes_all_ways(home: Surveyed) -> None:
    home.look(home.points[0], "still on", home.main)
    (seen,) = told(home, home.points[0]).seen
    assert seen.sure == 0b111
    assert seen.everything


def test_rates_are_those_of_the_method_unless_one_is_given_and_never_quite_0(home: Surveyed) -> None:
    (p, _) = home.points
    home.look(p, "off", home.ways[0])
    row = TRADE.checking("socket")
    (seen,) = told(home, p).seen
    assert (seen.off_slip, seen.on_slip) == (row.seems_off_slip, row.seems_on_slip)
    (seen,) = told(home, p, 0.02).seen
    assert (seen.off_slip, seen.on_slip) == (0.02, 0.02)
    (seen,) = told(home, p, 0.0).seen
    assert (seen.off_slip, seen.on_slip) == (LEAST_SLIP, LEAST_SLIP)


def test_answers_of_earlier_visits_are_believed_less_and_make_no_on_and_off_with_later_ones(home: Surveyed) -> None:
    (p, _) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[0], visit=home.visit("2026-02-02"))
    found = told(home, p)
    assert [s.off_slip for s in found.seen] == [EARLIER_SLIP, TRADE.checking("socket").seems_off_slip]
    assert not found.on_and_off
    assert (found.seen_off, found.seen_on) == (True, False), "what the last visit saw"


def test_only_devices_that_switch_the_neutral_cut_it(home: Surveyed) -> None:
    home.do(verbs.edit(home.home, home.ways[0], poles=2))
    home.do(verbs.edit(home.home, home.ways[1], neutral_switched=True))
    home.do(verbs.edit(home.home, home.ways[2], poles=2, neutral_switched=False))
    cutters = neutral_cutters(home.home, context_of(home.home, home.memo), home.memo)
    assert cutters[0b001] >= {home.ways[0], home.main}
    assert home.ways[1] in cutters[0b010]
    assert home.ways[2] not in cutters[0b100]


# -- odd records ------------------------------------------------------------------------------------------------------


def test_a_switch_off_with_no_device_off_is_a_look_with_everything_on(home: Surveyed) -> None:
    (p, _) = home.points
    home.look(p, "still on")
    (seen,) = told(home, p).seen
    assert (seen.sure, seen.may, seen.everything) == (0, 0, False)


def test_a_device_named_twice_in_one_switch_off_is_off_once(home: Surveyed) -> None:
    (p, _) = home.points
    home.look(p, "off", home.ways[0], home.ways[0])
    assert [record.off for record in home.home.table(Round).values()] == [(home.ways[0],)]
    (seen,) = told(home, p).seen
    assert seen.sure == 0b001


def test_answers_that_deny_each_other_are_all_weighed_and_none_is_dropped(home: Surveyed) -> None:
    (p, _) = home.points
    checks = [home.look(p, outcome, home.ways[0]) for outcome in ("off", "still on", "off", "still on")]  # type: ignore[arg-type]
    assert len(told(home, p).seen) == 4
    known = settle(home.home, home.memo, TRADE)[p]
    assert known.verdict == "contradiction"
    assert set(known.repeat) <= set(checks)
    assert known.repeat


def test_a_device_removed_from_the_board_takes_its_switch_offs_with_it_and_nothing_breaks(home: Surveyed) -> None:
    (p, _) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[0])
    home.look(p, "off", home.ways[1], home.ways[2])
    home.do(verbs.remove(home.home, home.ways[1]))
    assert sum(e.chance for e in weigh(home.home, home.memo, TRADE)[p].explanations) == pytest.approx(1, abs=0.02)
    assert settle(home.home, home.memo, TRADE)[p].says


def test_hundreds_of_ways_are_weighed_as_exactly_as_few() -> None:
    home = Surveyed(260, 20)
    masks: list[tuple[str, ...]] = [()]
    masks += [tuple(way for n, way in enumerate(home.ways) if (n + 1) >> bit & 1) for bit in range(9)]
    for off in masks:
        record = home.round(home.now, *off)
        for n, point in enumerate(home.points):
            home.say(record, point, "off" if home.ways[13 * n] in off else "still on")
    found = settle(home.home, home.memo, TRADE)
    assert [found[p].candidates for p in home.points] == [(home.ways[13 * n],) for n in range(20)]


def test_a_switch_off_left_open_for_days_still_counts_its_answers(home: Surveyed) -> None:
    """Nobody said that the power came back: what was off then was off, whenever the answer came."""
    (p, _) = home.points
    home.look(p, "still on")
    record = home.round(home.now, home.ways[0])
    home.do(verbs.record_check(home.home, record, p, "off", at="2026-01-09T18:30:00Z"))
    assert settle(home.home, home.memo, TRADE)[p].candidates == (home.ways[0],)
