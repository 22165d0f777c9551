"""What a result makes of a hunt: bounds kept, the last reading counts, contradictions and vanished leaks noticed."""

from math import inf

import pytest

from circuitmap.quantities import parse_measured
from circuitmap.readings.leak_hunt import begin, next_step
from circuitmap.readings.leak_state import Asked, Hunt, Step, cannot, conflict, take, vanished
from circuitmap.readings.network import ReadingError
from circuitmap.readings.verdict import Rules, Shown
from circuitmap.trade import load
from tests.readings.wired import Wired

RULES = Rules(load())


def mohm(typed: str) -> Shown:
    return parse_measured(typed, "insulation")


def hunt() -> Hunt:
    wired = Wired()
    wired.ring(5, 5, 5, 5)
    return begin(wired.on_way, RULES)


def reading(hunt: Hunt, typed: str | None, *keys: str, kind: str = "read parts") -> Hunt:
    sections = frozenset(keys) or hunt.layout.whole(hunt.off)
    step = Step(kind, "", asked=(Asked("it", sections),), off=hunt.off)  # type: ignore[arg-type]  # words of the type
    return take(hunt, step, [mohm(typed) if typed else None])


def test_a_state_is_never_changed_only_followed_by_another() -> None:
    before = hunt()
    after = reading(before, "2")
    assert [len(state.reads) for state in (before, after)] == [0, 1]
    assert after.reads[0].span == (2, 2)


def test_a_bound_stays_a_bound_and_nothing_is_as_small_as_the_meter_shows() -> None:
    assert reading(hunt(), ">200").reads[0].span == (200, inf)
    assert reading(hunt(), "0").reads[0].span == (0, 0.001)
    assert reading(hunt(), "<0.5").reads[0].span == (0, 0.5)


def test_the_last_reading_of_a_part_counts_and_how_often_it_was_read_is_known() -> None:
    after = reading(reading(hunt(), "2"), "3")
    assert [(read.span.least, read.times) for read in after.reads] == [(3, 2)]


def test_a_part_nobody_could_read_is_remembered_and_not_asked_again() -> None:
    state = hunt()
    step = next_step(state)
    after = take(state, step, [mohm("not possible: board cover stuck")])
    assert after.unread == {step.asked[0].sections}
    assert next_step(after).kind == "stuck"


def test_one_reading_belongs_to_each_part_asked_for() -> None:
    state = hunt()
    with pytest.raises(ReadingError, match="1 readings belong to this step, not 2"):
        take(state, next_step(state), [mohm("2"), mohm("3")])


def test_less_than_nothing_is_refused() -> None:
    state = hunt()
    with pytest.raises(ReadingError, match="less than nothing"):
        take(state, next_step(state), [-5e6])


def test_a_part_below_the_whole_contradicts_it_beyond_what_the_meter_may_be_off() -> None:
    state = reading(hunt(), "2")
    assert conflict(reading(state, "1.6", "R1")) is None
    pair = conflict(reading(state, "1.4", "R1"))
    assert pair is not None
    assert [read.span.least for read in pair] == [2, 1.4]


def test_a_part_above_the_whole_is_as_it_must_be() -> None:
    assert conflict(reading(reading(hunt(), "2"), ">500", "R1")) is None


def test_a_whole_that_rises_above_its_part_contradicts_it_too() -> None:
    state = reading(hunt(), "1.4", "R1")
    pair = conflict(reading(state, "30"))
    assert pair is not None
    assert pair[1].span.least == 30


def test_read_twice_the_newer_one_counts_and_the_older_is_told_not_to() -> None:
    state = reading(reading(reading(hunt(), "2"), "0.5", "R1"), "0.5", "R1", kind="read again")
    assert conflict(state) is None
    assert [read.sections for read in state.reads] == [frozenset({"R1"})]
    assert "no longer counts" in state.notes[-1]


def test_a_leak_in_none_of_the_parts_has_vanished_and_a_bound_too_low_to_say_so_does_not() -> None:
    state = reading(hunt(), "2")
    keys = sorted(state.layout.by_key)
    first, second = keys[: len(keys) // 2], keys[len(keys) // 2 :]
    half = reading(state, ">500", *first)
    assert vanished(half) is None
    assert vanished(reading(half, ">500", *second)) is not None
    assert vanished(reading(half, ">3", *second)) is None
    assert vanished(reading(half, "2.1", *second)) is None


def test_a_place_that_cant_be_opened_stays_shut_and_another_is_proposed() -> None:
    state = reading(hunt(), "2")
    for _ in range(3):
        step = next_step(state)
        if step.kind == "open":
            break
        state = take(state, step, [mohm("2")])
    assert step.kind == "open"
    after = cannot(state, step)
    assert after.shut == {step.at}
    other = next_step(after)
    assert other.kind == "open"
    assert other.at != step.at


def test_equipment_that_cant_be_taken_off_is_kept_and_the_hunt_goes_on() -> None:
    state = reading(hunt(), "2")
    step = next_step(state)
    assert step.kind == "unplug"
    after = cannot(state, step)
    assert after.kept == step.off
    assert next_step(after).kind != "unplug"
