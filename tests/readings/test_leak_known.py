"""What is known of a part: its own reading, its share of the lowest reading that held it, found or sound."""

import pytest

from circuitmap.readings.insulation import megohms
from circuitmap.readings.leak import Part, PartRead
from circuitmap.readings.leak_hunt import begin
from circuitmap.readings.leak_known import explain, groups, is_found, is_sound, loose_in, may_be_read
from circuitmap.readings.leak_odds import odds_of
from circuitmap.readings.leak_state import Hunt
from circuitmap.readings.verdict import Rules
from circuitmap.trade import load
from tests.readings.wired import Wired


def state(*reads: tuple[float, set[str]], open_at: tuple[str, ...] = (), off: bool = True) -> Hunt:
    """A hunt on a ring of three sockets; a reading of 500 is over the meter's range."""
    wired = Wired()
    wired.ring(5, 5, 5, 5)
    start = begin(wired.on_way, Rules(load()))
    layout = start.layout
    taken = tuple(PartRead(frozenset(k or layout.whole()), megohms(m, is_over=m >= 500)) for m, k in reads)
    return Hunt(layout, open_at=open_at, off=layout.equipment if off else frozenset(), reads=taken)


def known(hunt: Hunt, *keys: str) -> tuple[bool, bool]:
    each = explain(hunt, odds_of(hunt.layout, hunt.reads), Part(frozenset(keys), ()))
    return is_found(hunt, each), is_sound(hunt, each)


def test_a_section_read_alone_and_low_is_found_one_that_reads_high_is_sound() -> None:
    hunt = state((2.0, set()), (2.1, {"R2"}), (500, {"R1"}), open_at=("P1", "P2"))
    assert known(hunt, "R2") == (True, False)
    assert known(hunt, "R1") == (False, True)
    assert known(hunt, "R3") == (False, False)


def test_a_part_that_can_still_be_split_is_not_found_however_low() -> None:
    hunt = state((2.0, set()), (2.0, {"R1", "P1", "R2"}), open_at=("P2",))
    assert known(hunt, "R1", "P1", "R2") == (False, False)


def test_a_low_part_with_too_little_of_the_leak_is_let_be() -> None:
    assert known(state((0.5, set()), (20, {"R1"}), open_at=("P1",)), "R1") == (False, True)


def test_shares_are_of_the_lowest_reading_that_held_the_part() -> None:
    hunt = state((5.0, set()), (2.0, {"R1", "P1", "R2"}), (4.0, {"R1"}))
    each = explain(hunt, odds_of(hunt.layout, hunt.reads), Part(frozenset({"R1"}), ()))
    assert each.share is not None
    assert each.share.least < 0.5 < each.share.most


def test_what_was_taken_off_is_a_part_with_its_share_by_difference() -> None:
    wiring = {s.key for s in state().layout.wiring}
    hunt = state((2.0, set()), (40.0, wiring))
    taken = next(part for part in groups(hunt) if part.sections == hunt.layout.equipment)
    each = explain(hunt, odds_of(hunt.layout, hunt.reads), taken)
    assert each.span is None
    assert each.share is not None
    assert each.share.least == pytest.approx(1 - 2.0 / 40.0 * 1.15 / 0.85)


def test_equipment_comes_off_where_it_is_open_and_can_be_told_from_its_accessory() -> None:
    hunt = state(open_at=("P2",), off=False)
    assert loose_in(hunt, frozenset({"P2", "P2 equipment"})) == ["P2 equipment"]
    assert loose_in(hunt, frozenset({"P1", "P1 equipment"})) == []
    assert loose_in(hunt, frozenset({"P2"})) == []


def test_what_was_read_or_refused_is_not_asked_for_again() -> None:
    hunt = state((2.0, {"R1"}))
    assert not may_be_read(hunt, frozenset({"R1"}))
    assert may_be_read(hunt, frozenset({"R2"}))
