"""What a home refuses beyond types and references, each with a sentence that says what to do."""

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import Home, verbs
from circuitmap.home.records import Check, Consent, Isolation, Point, Record, Round, RoundEvent, Visit

NOON = "2026-01-05T12:00:00Z"


@pytest.mark.parametrize("day", ["2025-99-99", "2025-02-29", "2025-04-31", "2025-00-01", "0000-01-01"])
def test_a_day_that_no_calendar_has_is_refused_with_an_example(day: str) -> None:
    with pytest.raises(HomeError, match=f"Visit V1 is said to be on {day}, which no calendar has; .* like 2025-03-14"):
        visited(day)


@pytest.mark.parametrize("day", ["2024-02-29", "1999-12-31"])
def test_a_real_day_is_kept(day: str) -> None:
    assert visited(day).get("V1").day == day  # type: ignore[attr-defined]  # it is the visit


def visited(day: str) -> Home:
    home = Home.of([])
    return home.apply(verbs.start_visit(home, day))


@pytest.mark.parametrize("at", ["2026-13-05T12:00:00Z", "2026-01-32T12:00:00Z", "2026-01-05T25:00:00Z"])
@pytest.mark.parametrize("what", ["check", "event", "agreement", "isolation"])
def test_a_time_that_no_day_has_is_refused_wherever_it_stands(at: str, what: str) -> None:
    records: dict[str, Record] = {
        "check": Check(id="C1", round="S1", point="P1", outcome="off", at=at),
        "event": Round(id="S1", visit="V1", events=(RoundEvent(at=NOON, what="off"), RoundEvent(at=at, what="on"))),
        "agreement": Round(id="S1", visit="V1", consent=Consent(at=at)),
        "isolation": Isolation(id="J1", visit="V1", box=("P1",), at=at),
    }
    rest: list[Record] = [Point(id="P1", kind="socket"), Visit(id="V1", day="2026-01-05")]
    if not isinstance(records[what], Round):
        rest.append(Round(id="S1", visit="V1"))
    home = Home.of([*rest, records[what]])
    assert [sentence for _, sentence in home.problems()] == [
        f"{records[what].kind_of.capitalize()} {records[what].id} holds the time {at}, which no day has; "
        "give the real one."
    ]
