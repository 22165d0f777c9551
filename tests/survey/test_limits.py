"""Time limits as people type them. Clock arithmetic by hand."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from circuitmap.home.records import Consent
from circuitmap.survey.limits import TimeLimitError, duration_words, limit_of, read_limit, why_no_limit

NINE = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("14:30", 330), ("14.30", 330), ("until 14:30", 330), ("2 pm", 300), ("2:30 p.m.", 330), ("12 noon", None),
        ("12:15 am", None), ("45 min", 45), ("for 45 minutes", 45), ("90m", 90), ("1 h", 60), ("1.5 h", 90),
        ("1,5 h", 90), ("1 h 30", 90), ("1h30", 90), ("1 hour and 15 min", 75), ("24 h", 1440), ("9:01", 1),
        ("23:59", 899),
    ],
)  # fmt: skip
def test_times_of_day_and_durations_are_read(typed: str, minutes: int | None) -> None:
    if minutes is None:
        with pytest.raises(TimeLimitError):
            read_limit(typed, NINE, UTC)
    else:
        assert read_limit(typed, NINE, UTC) - NINE == timedelta(minutes=minutes)


@pytest.mark.parametrize(
    "typed",
    ["", " ", "45", "lunch", "the unit has answered a test call", "0 min", "0 h", "25 h", "24:10", "13:75", "13 pm",
     "99999 min", "-5 min", "half past two", "h", "until", "9" * 5000, "1 h 30 min 20 s"],
)  # fmt: skip
def test_what_is_no_time_is_said_to_be_none(typed: str) -> None:
    with pytest.raises(TimeLimitError, match="time limit"):
        read_limit(typed, NINE, UTC)


def test_a_time_that_has_passed_is_no_limit_but_one_after_midnight_is() -> None:
    with pytest.raises(TimeLimitError, match="has passed"):
        read_limit("08:30", NINE, UTC)
    with pytest.raises(TimeLimitError, match="has passed"):
        read_limit("9:00", NINE, UTC)
    late = datetime(2026, 1, 5, 23, 30, tzinfo=UTC)
    assert read_limit("00:15", late, UTC) - late == timedelta(minutes=45)


def test_the_clock_on_the_wall_is_read_not_that_of_the_records() -> None:
    east = timezone(timedelta(hours=2))
    assert read_limit("11:30", NINE, east) - NINE == timedelta(minutes=30)


def test_an_agreement_tells_its_end_or_why_there_is_none() -> None:
    given = Consent(at="2026-01-05T09:00:00Z", until="45 min")
    assert limit_of(given, UTC) == NINE + timedelta(minutes=45)
    assert why_no_limit(given, UTC) == ""
    for vague in (Consent(at=given.at), Consent(at=given.at, until="lunch")):
        assert limit_of(vague, UTC) is None
        assert "14:30 or 45 min" in why_no_limit(vague, UTC)
    assert limit_of(None) is None


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0.4, "less than a minute"), (12.9, "12 min"), (119, "119 min"), (125, "2 h 5 min"), (180, "3 h"),
     (2880, "2 days"), (-3, "less than a minute")],
)  # fmt: skip
def test_lengths_of_time_in_words(minutes: float, words: str) -> None:
    assert duration_words(minutes) == words
