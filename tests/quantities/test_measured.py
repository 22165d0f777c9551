"""Readings as people write them: every text is a reading or one sentence, and no bound ever becomes a number."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.errors import QuantityError
from circuitmap.quantities.indicated import INDICATED
from circuitmap.quantities.measured import Measured, parse_measured, show_measured
from circuitmap.quantities.scales import SCALES, WORD_TESTS, example_of, name_of_test
from circuitmap.words import ReadingTest

TESTS = get_args(ReadingTest)


@pytest.mark.parametrize(
    ("test", "typed", "value_si"),
    [
        ("ring end to end", ".55", 0.55),
        ("ring end to end", "0.55 ohm", 0.55),
        ("ring end to end", "550 mΩ", 0.55),
        ("ring end to end", "0,55", 0.55),
        ("linked", "0.55R", 0.55),
        ("linked", " 0.55 Ω ", 0.55),
        ("linked", "0", 0.0),
        ("Zs", "0.85", 0.85),
        ("earth electrode", "1 200", 1200.0),
        ("insulation", "150", 150e6),
        ("insulation", "0.5 MΩ", 0.5e6),
        ("insulation", "20M", 20e6),
        ("insulation", "1.2 GΩ", 1.2e9),
        ("insulation", "500 kΩ", 0.5e6),
        ("insulation", "300 ohm", 300.0),
        ("RCD trip", "28 ms", 0.028),
        ("RCD trip", "28", 0.028),
        ("RCD trip", "0.028 s", 0.028),
        ("supply voltage", "230 V", 230.0),
        ("supply voltage", "241", 241.0),
        ("PFC", "1.2 kA", 1200.0),
        ("PFC", "1.2", 1200.0),
        ("PFC", "950 A", 950.0),
    ],
)
def test_the_test_fixes_the_unit_of_a_bare_number(test: ReadingTest, typed: str, value_si: float) -> None:
    found = parse_measured(typed, test)
    assert found.value_si == pytest.approx(value_si, rel=1e-12)
    assert (found.is_number, found.bound, found.typed, found.remark) == (True, "=", typed, "")


@pytest.mark.parametrize(
    ("test", "typed", "bound", "value_si"),
    [
        ("insulation", ">200", ">", 200e6),
        ("insulation", "200+", ">", 200e6),
        ("insulation", "200+ MΩ", ">", 200e6),
        ("insulation", "200 MΩ +", ">", 200e6),
        ("insulation", ">999 MΩ", ">", 999e6),
        ("insulation", "> 999+", ">", 999e6),
        ("insulation", "over 200", ">", 200e6),
        ("insulation", "≥ 500", ">", 500e6),
        ("insulation", "more than 500 megohms", ">", 500e6),
        ("linked", "> 99.9", ">", 99.9),
        ("linked", "<0.01", "<", 0.01),
        ("linked", "less than 0.01 Ω", "<", 0.01),
        ("RCD trip", ">300 ms", ">", 0.3),
    ],
)
def test_what_is_written_as_a_bound_stays_one(test: ReadingTest, typed: str, bound: str, value_si: float) -> None:
    found = parse_measured(typed, test)
    assert (found.bound, found.is_number) == (bound, False)
    assert found.value_si == pytest.approx(value_si, rel=1e-12)


@pytest.mark.parametrize("typed", ["OL", "O.L", "o/l", "0L", "OL Ω", "over range", "over-range", "∞", "> OL", "open"])
def test_over_range_takes_what_the_instrument_can_show_or_asks(typed: str) -> None:
    found = parse_measured(typed, "linked", most_si=99.9)
    assert (found.value_si, found.bound, found.is_number) == (99.9, ">", False)
    with pytest.raises(QuantityError, match=r"how far the instrument reads; write that, like >99\.9 Ω"):
        parse_measured(typed, "linked")


def test_an_rcd_that_did_not_trip_is_a_bound_too() -> None:
    assert parse_measured("no trip", "RCD trip", 0.3) == Measured(0.3, ">", typed="no trip")
    with pytest.raises(QuantityError, match="how long the instrument waited; write that, like >300 ms"):
        parse_measured("did not trip", "RCD trip")


def test_the_end_of_the_scale_without_its_sign_is_a_bound() -> None:
    assert parse_measured("999", "insulation", most_si=999e6).bound == ">"
    assert parse_measured("1500", "insulation", most_si=999e6) == Measured(999e6, ">", typed="1500")
    assert parse_measured("998", "insulation", most_si=999e6).is_number


@pytest.mark.parametrize("typed", ["-0.01", "-.05", "−0.02 Ω", "- 50 mΩ", "–0.03"])
def test_down_to_null_drift_is_zero_with_a_remark(typed: str) -> None:
    # TRADE: −0.01 and −0.02 after nulling is everyday, refused below −0.05 (common practice, no source).
    found = parse_measured(typed, "ring end to end")
    assert (found.value_si, found.bound, found.remark) == (0.0, "=", "null drift, re-null")


@pytest.mark.parametrize("typed", ["-0.051", "-0.5", "−60 mΩ", "-3"])
def test_below_null_drift_is_refused(typed: str) -> None:
    with pytest.raises(QuantityError, match="no null drift; null the leads again and repeat the reading"):
        parse_measured(typed, "ring end to end")


def test_zero_with_a_minus_is_plain_zero() -> None:
    assert parse_measured("-0.00", "linked") == Measured(0.0, typed="-0.00")


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("not possible: boiler connected", "boiler connected"),
        ("Not possible - boiler connected", "boiler connected"),
        ("not tested, no access", "no access"),
        ("can't reach the loft", "can't reach the loft"),
        ("n/a", "not applicable"),
        ("N/A: no cpc", "not applicable: no cpc"),
        ("na no cpc", "not applicable: no cpc"),
        ("limitation: tenant asleep", "limitation: tenant asleep"),
        ("LIM. tenant asleep", "limitation: tenant asleep"),
    ],
)
@pytest.mark.parametrize("test", ["insulation", "polarity"])
def test_why_there_is_no_reading_is_kept(typed: str, why: str, test: ReadingTest) -> None:
    assert parse_measured(typed, test) == Measured(not_possible=why, typed=typed)


@pytest.mark.parametrize("typed", ["not possible", "limitation", "LIM", "not possible:"])
def test_a_reading_that_was_not_possible_needs_its_reason(typed: str) -> None:
    with pytest.raises(QuantityError, match="say why"):
        parse_measured(typed, "insulation")


def test_a_remark_stands_in_brackets_or_behind_a_semicolon() -> None:
    assert parse_measured("0.55 (wanders)", "linked") == Measured(0.55, remark="wanders", typed="0.55 (wanders)")
    assert parse_measured("-0.01; at the plate", "linked").remark == "null drift, re-null; at the plate"
    assert parse_measured(">200 (dimmer out); damp", "insulation").remark == "dimmer out; damp"


@pytest.mark.parametrize(
    ("test", "typed", "says"),
    [
        ("linked", "28 ms", "ms is a time; write it in ohms, like 0.55 Ω"),
        ("linked", "0.8 m", "m is a length; write it in ohms"),
        ("RCD trip", "28 Ω", "Ω is a resistance; write it in milliseconds, like 28 ms"),
        ("supply voltage", "32 A", "A is a current; write it in volts, like 230 V"),
        ("PFC", "230 V", "V is a voltage; write it in kiloamperes, like 1.20 kA"),
        ("insulation", "20 xyz", "xyz is no unit we know for it; write it in megohms"),
        ("insulation", "200 mΩ", "a small m is a thousandth; write MΩ for megohms"),
        ("insulation", "-0.01", "can't be less than zero"),
        ("RCD trip", "0", "more than zero"),
        ("PFC", "1200", "a bare number is kiloamperes, check the unit"),
        ("supply voltage", "230 kV", "more than any home has"),
        ("linked", "<0", "more than zero"),
        ("linked", "<OL", "under what is over range"),
        ("linked", ">-0.01", "a bound can't be less than zero"),
        ("linked", "0.55 0.56", "more than one number"),
        ("linked", "0.5.5", "more than one point"),
        ("linked", "--0.01", "two signs"),
        ("linked", "9**9**9", "write a number and a unit"),
        ("linked", "1e3", "more than one number"),
        ("linked", "1,234", "two ways; write 1234 or 1.234"),
        ("linked", "", "nothing was typed"),
        ("linked", ">", "nothing was typed"),
        ("linked", "x" * 5000, "5000 characters long"),
        ("polarity", "", "nothing was typed"),
        ("polarity", "wrong", "say what it showed"),
        ("plug-in indicator", "on on", "say what it showed"),
        ("plug-in indicator", "on on off no earth", "say what it showed"),
    ],
)
def test_what_is_no_reading_gets_one_sentence_naming_what_was_expected(
    test: ReadingTest, typed: str, says: str
) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_measured(typed, test)
    sentence = str(caught.value)
    assert says in sentence
    assert sentence.startswith("“" + typed[:20])
    assert name_of_test(test) in sentence
    assert sentence.endswith(".")
    assert len(sentence) < 240


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("ok", "correct"), ("✓", "correct"), ("Polarity correct", "correct"),
        ("L-N reversed", "line and neutral reversed"),
        ("live/earth swapped", "line and earth reversed"), ("reversed", "line and neutral reversed"),
        ("N and E crossed", "neutral and earth reversed"), ("no earth", "no earth"), ("open cpc", "no earth"),
        ("earth missing", "no earth"), ("no n", "no neutral"), ("no supply", "no line"),
        ("switch in neutral", "switched in the neutral"), ("on on off", "lamps on, on, off"),
        ("●○●", "lamps on, off, on"), ("1, 0, 0", "lamps on, off, off"),
    ],
)  # fmt: skip
def test_what_an_indicator_showed_comes_to_a_closed_list(typed: str, shown: str) -> None:
    found = parse_measured(typed, "plug-in indicator")
    assert (found.indicated, found.value_si, found.not_possible) == (shown, None, "")


@pytest.mark.parametrize("words", INDICATED)
def test_every_word_of_the_closed_list_reads_as_itself(words: str) -> None:
    assert parse_measured(words, "polarity").indicated == words


@pytest.mark.parametrize(
    ("test", "reading", "shown"),
    [
        ("linked", Measured(0.5), "0.50 Ω"),
        ("linked", Measured(0.0, remark="null drift, re-null"), "0.00 Ω (null drift, re-null)"),
        ("linked", Measured(99.9, ">"), ">99.9 Ω"),
        ("linked", Measured(0.005, "<"), "<0.005 Ω"),
        ("linked", Measured(2.0, ">"), ">2.00 Ω"),
        ("earth electrode", Measured(120.4), "120 Ω"),
        ("earth electrode", Measured(1234.4), "1234 Ω"),
        ("continuity", Measured(12_340.0), "12.3 kΩ"),
        ("continuity", Measured(2.5e6), "2.50 MΩ"),
        ("insulation", Measured(200e6, ">"), ">200 MΩ"),
        ("insulation", Measured(99.95e6, ">"), ">99.95 MΩ"),
        ("insulation", Measured(1999e6, ">"), ">1999 MΩ"),
        ("insulation", Measured(0.5e6), "0.50 MΩ"),
        ("insulation", Measured(0.0), "0.00 MΩ"),
        ("insulation", Measured(not_possible="boiler connected"), "not possible: boiler connected"),
        ("insulation", Measured(not_possible="not applicable"), "not applicable"),
        ("insulation", Measured(not_possible="limitation: no access"), "limitation: no access"),
        ("RCD trip", Measured(0.028), "28 ms"),
        ("RCD trip", Measured(0.0085), "8.5 ms"),
        ("RCD trip", Measured(1.999, ">"), ">1999 ms"),
        ("supply voltage", Measured(230.4), "230 V"),
        ("PFC", Measured(1200.0), "1.20 kA"),
        ("polarity", Measured(indicated="correct"), "correct"),
        ("polarity", Measured(), "not read"),
    ],
)
def test_readings_are_shown_as_the_trade_writes_them(test: ReadingTest, reading: Measured, shown: str) -> None:
    assert show_measured(reading, test) == shown


@pytest.mark.parametrize("test", TESTS)
def test_the_example_of_every_test_is_a_reading_of_it(test: ReadingTest) -> None:
    assert parse_measured(example_of(test), test).typed
    if test not in WORD_TESTS:
        assert parse_measured(SCALES[test].over, test).bound == ">"


LIKELY = st.text(alphabet="0123456789.,+-<>≥−OLol mMΩkKAVsn/a:;()●○ ", max_size=14)


@given(st.one_of(st.text(max_size=60), LIKELY), st.sampled_from(TESTS), st.sampled_from([None, 0.3, 99.9, 200e6]))
def test_any_text_is_a_reading_or_one_sentence(typed: str, test: ReadingTest, most_si: float | None) -> None:
    try:
        found = parse_measured(typed, test, most_si)
    except QuantityError as error:
        sentence = str(error)
        assert sentence.endswith(".")
        assert "\n" not in sentence
        return
    kinds = [found.value_si is not None, bool(found.not_possible), bool(found.indicated)]
    assert sum(kinds) == 1
    assert found.value_si is None or 0 <= found.value_si <= 1e12
    assert found.is_number or found.value_si is None or found.bound in "<>"
    assert most_si is None or not found.is_number or (found.value_si or 0.0) < most_si


# The step in which each test is shown below ten of its unit, in SI units.
STEPS = {"insulation": 1e4, "PFC": 10.0, "RCD trip": 1e-4, "supply voltage": 0.1}


@given(st.integers(1, 99_999), st.sampled_from([t for t in TESTS if t not in WORD_TESTS]), st.sampled_from("=<>"))
def test_what_is_shown_reads_back_as_what_it_was(steps: int, test: ReadingTest, bound: str) -> None:
    value_si = min(steps * STEPS.get(test, 0.01), SCALES[test].most_si)
    again = parse_measured(show_measured(Measured(value_si, bound), test), test)  # type: ignore[arg-type]  # a sign of the three
    assert again.bound == bound
    # A bound comes back exactly, a number as near as its three figures are.
    assert again.value_si == pytest.approx(value_si, rel=1e-9 if bound != "=" else 0.0051)
