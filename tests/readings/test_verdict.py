"""Readings as spans: a bound stays one, null drift is zero, and no input whatever ends in anything but a sentence."""

from math import inf, nan
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.quantities import Measured, parse_measured
from circuitmap.readings.insulation import Taken, judge_insulation, judge_taken_off
from circuitmap.readings.loop import How, Protection, judge_prediction, judge_zs
from circuitmap.readings.rcd import Device, judge_trip
from circuitmap.readings.ring_verdicts import (
    judge_legs,
    judge_length,
    judge_middle,
    judge_ratio,
    judge_repeat,
    judge_step,
)
from circuitmap.readings.supply import judge_fault_current, judge_loops_alike, judge_ze
from circuitmap.readings.verdict import Level, Rules, Shown, Span, Verdict, drifted, span_of, unusable
from circuitmap.trade import load

RULES = Rules(load())
CABLES = [cable for code in ("T&E 2.5/1.5", "T&E 2.5/1.0") if (cable := load().cable(code)) is not None]
ANYTHING = st.none() | st.floats() | st.builds(
    Measured, value_si=st.none() | st.floats(-0.05, 1e9), bound=st.sampled_from(["=", ">", "<"])
)  # fmt: skip


@pytest.mark.parametrize(
    ("shown", "span"),
    [
        (0.55, (0.55, 0.55)), (-0.05, (0, 0)), (-0.02, (0, 0)), (-0.06, (-0.06, -0.06)), (inf, (inf, inf)), (nan, None),
        (None, None), (parse_measured(">200", "insulation"), (200e6, inf)),
        (parse_measured("<0.5", "Zs"), (0, 0.5)), (parse_measured("not possible: locked", "Zs"), None),
    ],
)  # fmt: skip
def test_a_reading_is_a_span(shown: Shown, span: tuple[float, float] | None) -> None:
    assert span_of(shown) == span


def test_only_a_plain_number_may_be_reckoned_with() -> None:
    assert Span(0.5, 0.5).is_number
    assert not Span(0.5, inf).is_number
    assert not Span(inf, inf).is_number
    assert Span(200, inf).is_open


def test_drift_is_accepted_with_a_word_and_more_is_refused() -> None:
    assert unusable({"r1": -0.02}) is None
    for shown in (-0.02, parse_measured("-0.02", "linked")):
        verdict = drifted({"r1": shown})
        assert verdict is not None
        assert "Null the leads" in verdict.why
    assert drifted({"r1": 0.0, "rn": None}) is None
    refused = unusable({"r1": 0.5, "rn": -0.2})
    assert refused is not None
    assert "rn reads -0.2" in refused.says


def judged(a: Shown, b: Shown, c: Shown) -> list[Verdict]:
    taken = Taken(500, pair="L-N", has_sensitive=True)
    device = Protection("RCBO", "B", 32, rcd_ma=30)
    return [
        judge_legs(RULES, a, b, c),
        judge_ratio(RULES, a, b, CABLES),
        judge_length(RULES, a, CABLES),
        judge_middle(a, b, c),
        judge_repeat(RULES, "r1", a, b),
        *judge_step(RULES, 2, a, b, {"P1": c, "P2": a}, board=b),
        *judge_step(RULES, 3, a, b, {"P1": c}, at="front"),
        judge_zs(RULES, device, a, how=How(True, True)),
        judge_zs(RULES, device, a, earthing="TT"),
        judge_prediction(RULES, 0.6, a),
        judge_ze(RULES, "TN-S", a),
        judge_ze(RULES, "TT", a, 30),
        judge_loops_alike(RULES, "TN-C-S", a, b),
        judge_fault_current(RULES, "MCB", a),
        *judge_insulation(RULES, a, taken),
        *judge_insulation(RULES, a, Taken(scope="board")),
        judge_taken_off(RULES, a, b, "the lamp"),
        judge_trip(RULES, Device(is_delayed=True), a),
        judge_trip(RULES, Device(), a, times_rated=0.5),
    ]


@given(ANYTHING, ANYTHING, ANYTHING)
def test_whatever_is_read_ends_in_a_sentence(a: Shown, b: Shown, c: Shown) -> None:
    for verdict in judged(a, b, c):
        assert verdict.says
        assert verdict.says[-1] in ".?"
        assert "nan" not in verdict.says
        assert verdict.level in get_args(Level)
        assert verdict.kind
        assert verdict.source


def test_nothing_read_is_never_fine_and_never_fails() -> None:
    for verdict in judged(None, None, None):
        assert verdict.level in ("can't tell", "query"), verdict
