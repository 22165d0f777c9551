"""What an agreement for the rest of a visit covers, and what is said when its time has run out."""

from datetime import UTC

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Arrangement, Consent, Load, Round
from circuitmap.survey import blocks, impact
from circuitmap.survey.agreed import (
    Standing,
    agree_again,
    minutes_left,
    named_in,
    new_at_stake,
    overdue,
    standing,
)
from circuitmap.words import WhoAgreed
from tests.survey.board import Surveyed

NINE = "2026-01-05T09:00:00Z"


@pytest.fixture
def home() -> Surveyed:
    made = Surveyed(points=3)
    give(made, 0, Load(what="router", if_off="phone"))
    give(made, 1, Load(what="freezer", if_off="spoils"))
    return made


def give(home: Surveyed, number: int, *loads: Load) -> None:
    home.do(verbs.edit(home.home, home.points[number], loads=loads))


def agree(
    home: Surveyed, *, until: str = "", by: WhoAgreed = "occupier", for_visit: bool = True, at: str = NINE, way: int = 0
) -> Consent:
    """Record a switch-off agreed to, with the loads it names as they are then, and put the power back."""
    losses = impact(home.home, (home.ways[way],), home.memo)
    phones = tuple(x.point for x in losses if x.word == "phone")
    given = Consent(at=at, by=by, confirmed=phones, until=until, named=named_in(losses), for_visit=for_visit)
    record = home.do(verbs.open_round(home.home, home.now, (home.ways[way],), (), given, at))
    home.do(verbs.record_event(home.home, record, "power back", at="2026-01-05T09:05:00Z"))
    return given


def stands(home: Surveyed, now: str = "2026-01-05T09:10:00Z") -> Standing:
    found = standing(home.home, home.now, now, UTC)
    assert found is not None
    return found


def new(home: Surveyed, way: int = 1) -> tuple[str, ...]:
    return new_at_stake(home.home, stands(home), impact(home.home, (home.ways[way],), home.memo))


def test_the_same_loads_on_another_way_need_one_tap(home: Surveyed) -> None:
    agree(home)
    assert new(home) == ()
    losses = impact(home.home, (home.ways[1],), home.memo)
    again = agree_again(home.home, stands(home), losses, "2026-01-05T09:10:00Z")
    assert again == Consent(
        at="2026-01-05T09:10:00Z", by="occupier", confirmed=(home.points[0],), named=tuple(home.points[:2]),
        for_visit=True,
    )  # fmt: skip
    assert blocks(home.home, (home.ways[1],), again, home.memo) == ()


def test_nothing_stands_unless_it_was_agreed_for_the_visit(home: Surveyed) -> None:
    assert standing(home.home, home.now, NINE) is None
    agree(home, for_visit=False)
    assert standing(home.home, home.now, NINE) is None
    agree(home)
    assert standing(home.home, home.now, NINE) is not None
    assert standing(home.home, home.visit(), NINE) is None, "another visit, another agreement"


def test_the_last_word_counts(home: Surveyed) -> None:
    agree(home)
    agree(home, for_visit=False)
    assert standing(home.home, home.now, NINE) is None


def test_a_listed_load_that_was_not_named_is_new(home: Surveyed) -> None:
    agree(home)
    give(home, 2, Load(what="fish tank", if_off="spoils"))
    assert new(home) == ("New in this switch-off: fish tank (P3).",)


def test_a_telephone_that_was_named_but_not_settled_is_new(home: Surveyed) -> None:
    agree(home)
    give(home, 1, Load(what="freezer", if_off="phone"))
    assert new(home) == ("New in this switch-off: freezer (P2).",)


def test_life_support_and_another_household_are_asked_each_time(home: Surveyed) -> None:
    give(home, 2, Load(what="oxygen concentrator", if_off="medical"))
    agree(home)
    (says,) = new(home)
    assert "oxygen concentrator (P3)" in says
    give(home, 2)
    home.do(verbs.edit(home.home, home.points[1], belongs_to="upper flat"))
    (says,) = new(home)
    assert "upper flat" in says


def test_what_one_person_agreed_doesnt_add_to_what_another_did(home: Surveyed) -> None:
    for point in (home.points[0], home.points[1]):
        home.look(point, "still on")
    home.look(home.points[0], "off", home.ways[0])
    home.look(home.points[1], "off", home.ways[1])
    agree(home, way=0)
    agree(home, way=1, by="agent")
    assert stands(home).by == "agent"
    assert stands(home).named == {home.points[1]}
    assert new(home, way=0) == ("New in this switch-off: router (P1).",)
    agree(home, way=0, by="agent")
    assert stands(home).named == {home.points[0], home.points[1]}


def test_what_stands_ends_with_its_time_and_a_duration_is_not_begun_anew(home: Surveyed) -> None:
    agree(home, until="45 min")
    assert stands(home).until == "09:45"
    again = agree_again(home.home, stands(home), (), "2026-01-05T09:40:00Z")
    assert again.until == "09:45"
    assert standing(home.home, home.now, "2026-01-05T09:45:00Z", UTC) is None


def test_vague_words_stand_as_they_were_said(home: Surveyed) -> None:
    agree(home, until="lunch")
    assert stands(home).until == "lunch"
    assert stands(home).ends is None


# -- overdue --------------------------------------------------------------------------------------------------------


def opened(home: Surveyed, until: str, *arranged: str) -> Round:
    given = Consent(at=NINE, arrangements=tuple(Arrangement(point=i, words="battery") for i in arranged), until=until)
    record = home.do(verbs.open_round(home.home, home.now, (home.ways[0],), (), given, NINE))
    return home.home.take(Round, record)


def test_a_switch_off_is_overdue_once_the_time_agreed_has_passed(home: Surveyed) -> None:
    record = opened(home, "45 min")
    assert minutes_left(record, "2026-01-05T09:40:00Z", UTC) == 5
    assert overdue(home.home, record, "2026-01-05T09:44:59Z", UTC) == ()
    (says,) = overdue(home.home, record, "2026-01-05T09:57:00Z", UTC)
    assert says == "Agreed until 09:45, 12 min ago: put the power back on now, then ask again for more time."


def test_whoever_depends_on_it_is_named_when_it_is_overdue(home: Surveyed) -> None:
    give(home, 2, Load(what="oxygen concentrator", if_off="medical"))
    record = opened(home, "9:30", home.points[2])
    (says,) = overdue(home.home, record, "2026-01-05T09:31:00Z", UTC)
    assert says.startswith("Oxygen concentrator (P3): what was arranged lasted until 09:30, 1 min ago.")
    assert "put the power back on now" in says


def test_a_switch_off_left_open_for_days_is_overdue_all_the_while(home: Surveyed) -> None:
    (says,) = overdue(home.home, opened(home, "9:30"), "2026-01-09T09:31:00Z", UTC)
    assert "4 days ago" in says


@pytest.mark.parametrize("until", ["", "lunch"])
def test_without_a_time_nothing_is_overdue(home: Surveyed, until: str) -> None:
    record = opened(home, until)
    assert minutes_left(record, "2026-01-09T09:31:00Z") is None
    assert overdue(home.home, record, "2026-01-09T09:31:00Z") == ()


def test_with_the_power_back_nothing_is_overdue(home: Surveyed) -> None:
    record = opened(home, "9:30")
    home.do(verbs.record_event(home.home, record.id, "power back", at="2026-01-05T09:20:00Z"))
    assert overdue(home.home, home.home.take(Round, record.id), "2026-01-05T09:31:00Z", UTC) == ()
