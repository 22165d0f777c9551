"""How likely each section holds the leak: by suspicion first, then by what parts read; shares by parallel parts."""

from math import inf

import pytest

from circuitmap.readings.insulation import megohms, parallel
from circuitmap.readings.leak import Cable, Layout, PartRead, Place, Section
from circuitmap.readings.leak_odds import odds_of, share_taken_off, shares
from circuitmap.readings.verdict import Span


def radial(points: int = 6, **weights: float) -> Layout:
    cables = [Cable(f"R{n}", f"P{n - 1}" if n > 1 else "", f"P{n}", n == 1) for n in range(1, points + 1)]
    sections = [Section(c.key, "cable", c.key, c.key, weights.get(c.key, 1.0)) for c in cables]
    sections += [
        Section(f"P{n}", "accessory", f"P{n}", f"P{n}", weights.get(f"P{n}", 1.0)) for n in range(1, points + 1)
    ]
    places = [Place(f"P{n}", f"P{n}", 5.0) for n in range(1, points + 1)]
    return Layout("D1", "A1", "L+N-E", tuple(sections), tuple(places), tuple(cables))


def read(mohm: float, *keys: str, is_over: bool = False) -> PartRead:
    return PartRead(frozenset(keys), megohms(mohm, is_over=is_over))


def whole(layout: Layout, mohm: float, *, is_over: bool = False) -> PartRead:
    return read(mohm, *layout.by_key, is_over=is_over)


def test_before_any_reading_suspicion_alone_stands() -> None:
    layout = radial(R3=8.0)
    odds = odds_of(layout, ())
    assert odds.by_section["R3"] == pytest.approx(8 / (8 + 11))
    assert sum(odds.by_section.values()) == pytest.approx(1)


def test_a_low_part_draws_the_odds_and_shares_them_by_suspicion() -> None:
    layout = radial(R2=3.0)
    near = ("R1", "P1", "R2")
    far = tuple(key for key in layout.by_key if key not in (*near, "P2"))
    reads = (whole(layout, 2.0), read(2.1, *near), read(200, *far, is_over=True), read(200, "P2", is_over=True))
    odds = odds_of(layout, reads)
    assert odds.of(frozenset(near)) > 0.98
    assert odds.by_section["R2"] == pytest.approx(3 * odds.by_section["R1"], rel=1e-6)
    assert odds.two < 0.05


def test_two_parts_that_make_up_the_whole_are_two_leaks() -> None:
    layout = radial()
    near, far = ("R1", "P1", "R2"), ("R3", "P3", "R4", "P4", "R5", "P5", "R6", "P6")
    reads = (whole(layout, parallel([megohms(3), megohms(5)]).least), read(3, *near), read(5, *far))
    odds = odds_of(layout, reads)
    assert odds.two > 0.9
    assert odds.of(frozenset(near)) > 0.9
    assert odds.of(frozenset(far)) > 0.9


def test_a_bound_is_not_its_number() -> None:
    """ ">5" beside a whole of 4 leaves the part open to suspicion, 5 itself would blame it."""
    layout = radial()
    near = ("R1", "P1")
    bound = odds_of(layout, (whole(layout, 4.0), read(5, *near, is_over=True)))
    number = odds_of(layout, (whole(layout, 4.0), read(4.2, *near)))
    assert number.of(frozenset(near)) > 0.9
    assert bound.of(frozenset(near)) < 0.2


def test_readings_that_are_all_high_say_nothing_of_where() -> None:
    layout = radial(P4=5.0)
    odds = odds_of(layout, (whole(layout, 200, is_over=True),))
    assert odds.by_section["P4"] == pytest.approx(5 / 16)


def test_one_wild_reading_does_not_leave_every_explanation_impossible() -> None:
    layout = radial()
    reads = (whole(layout, 2.0), read(0.001, "R1"), read(200, "R1", "P1", "R2", is_over=True))
    odds = odds_of(layout, reads)
    assert sum(odds.by_section.values()) >= 0.999
    assert all(0 <= share <= 1 for share in odds.by_section.values())


def test_a_part_of_2_among_50_and_100_explains_94_percent() -> None:
    """The parallel example 50 ‖ 100 ‖ 2 = 1.887 (arithmetic): 1.887 / 2 of the conductance is the part of 2."""
    found = shares(megohms(1.887), megohms(2), accuracy=0.0)
    assert found == pytest.approx((0.9435, 0.9435), rel=1e-3)
    wide = shares(megohms(1.887), megohms(2), accuracy=0.15)
    assert wide.least < 0.72
    assert wide.most == 1.0


def test_shares_of_bounds_stay_bounds_and_of_nothing_cant_be_told() -> None:
    assert shares(megohms(2), megohms(200, is_over=True)) == pytest.approx((0, 0.01 * 1.15 / 0.85))
    assert shares(Span(0, 0.001), Span(0, 0.001)) == (0, 1)
    assert shares(megohms(200, is_over=True), megohms(200, is_over=True)) == (0, 1)


def test_what_was_taken_off_explains_what_the_reading_gained() -> None:
    assert share_taken_off(megohms(5), megohms(20), 0.0) == pytest.approx((0.75, 0.75))
    wide = share_taken_off(megohms(20), megohms(200, is_over=True))
    assert wide.least > 0.8
    assert wide.most == 1.0
    assert share_taken_off(Span(inf, inf), megohms(20)) == (0, 1)
