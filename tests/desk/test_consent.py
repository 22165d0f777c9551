"""The agreement before a switch-off: who loses what, and what must be settled first."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from circuitmap.home.records import Arrangement, Round
from circuitmap.home.verbs import edit

from .survey_home import SmallHome, Survey, clock


@pytest.fixture(autouse=True)
def _moving_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    ticks = clock()
    monkeypatch.setattr("circuitmap.home.verbs_survey.now_text", lambda: next(ticks))


@pytest.fixture
def small() -> SmallHome:
    made = SmallHome()
    made.asked()
    made.sensitive()
    return made


@pytest.fixture
def survey(qapp: object, small: SmallHome) -> Iterator[Survey]:
    made = Survey(small.home)
    made.cursor.start_visit()
    made.cursor.end_look()
    made.show()
    yield made
    made.close()


def settle(survey: Survey, small: SmallHome) -> None:
    card = survey.stage.consent
    card.tick_of(small.l1).setChecked(True)
    QTest.keyClicks(card.arrangement_of(small.l2), "two full cylinders")
    QTest.keyClicks(card.until, "11:30")


def test_until_a_load_is_settled_every_switch_off_may_take_it(survey: Survey, small: SmallHome) -> None:
    """Common practice, no source: before the first switch-off nothing is known, so all of it may go off."""
    survey.cursor.toggle(small.lights)
    asked = survey.stage.consent.asked
    assert asked is not None
    assert [(s.point, s.if_off, s.is_sure) for s in asked.sensitive] == [
        (small.l2, "medical", False), (small.l1, "phone", False),
    ]  # fmt: skip
    assert any("Freezer, Kitchen" in each for each in asked.told)
    assert any("any of the 6 may go off" in each for each in asked.others)


def test_a_load_settled_on_another_way_is_not_asked_about(survey: Survey, small: SmallHome) -> None:
    survey.cursor.start_look()
    survey.cursor.answer_many([(i, "still on") for i in small.feeds])
    survey.cursor.end_look()
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.agree()
    survey.cursor.answer_many([(i, "off" if way == small.sockets else "still on") for i, way in small.feeds.items()])
    survey.cursor.power_back()
    survey.cursor.toggle(small.lights)
    asked = survey.stage.consent.asked
    assert asked is not None
    assert asked.sensitive == ()
    survey.cursor.toggle(small.sockets)
    asked = survey.stage.consent.asked
    assert asked is not None
    assert {(s.point, s.is_sure) for s in asked.sensitive} == {(small.l1, True), (small.l2, True)}


def test_it_opens_only_when_each_sensitive_load_is_settled_and_somebody_agreed(
    survey: Survey, small: SmallHome
) -> None:
    card = survey.stage.consent
    survey.cursor.toggle(small.sockets)
    assert not card.open_button.isEnabled()
    survey.click(card.who.thumbs()[1])
    assert not card.open_button.isEnabled()
    assert "Router (P3)" in card.missing.text()
    survey.click(card.tick_of(small.l1))
    assert "Router (P3)" not in card.missing.text()
    assert not card.open_button.isEnabled()
    QTest.keyClicks(card.arrangement_of(small.l2), "two full cylinders")
    assert "until when" in card.missing.text(), "an arrangement without an end is none"
    QTest.keyClicks(card.until, "11:30")
    survey.click(card.open_button)
    (record,) = survey.home.sorted(Round)
    assert record.off == (small.sockets,)
    assert record.consent is not None
    assert record.consent.by == "agent"
    assert record.consent.at.endswith("Z")
    assert record.consent.confirmed == (small.l1,)
    assert record.consent.arrangements == (Arrangement(point=small.l2, words="two full cylinders"),)
    assert record.consent.until == "11:30"


def test_a_tick_is_not_enough_for_what_keeps_somebody_alive(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.sockets)
    with pytest.raises(KeyError):
        survey.stage.consent.tick_of(small.l2)


def test_what_was_settled_stays_settled_while_more_is_chosen(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.cursor.toggle(small.lights)
    assert survey.stage.consent.tick_of(small.l1).isChecked()
    assert survey.stage.consent.arrangement_of(small.l2).text() == "two full cylinders"


def test_the_next_switch_off_is_agreed_to_anew(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.agree()
    survey.cursor.end_walk()
    survey.cursor.power_back()
    survey.cursor.toggle(small.sockets)
    card = survey.stage.consent
    assert card.who.value is None
    assert not card.tick_of(small.l1).isChecked()
    assert card.arrangement_of(small.l2).text() == ""
    assert not card.open_button.isEnabled()


def test_a_way_over_one_that_must_stay_on_cant_be_opened(survey: Survey, small: SmallHome) -> None:
    survey.adapter.do(edit(survey.home, small.sockets, keep_on="ventilator upstairs"))
    survey.cursor.toggle(small.rcd)
    settle(survey, small)
    survey.click(survey.stage.consent.who.thumbs()[0])
    assert not survey.stage.consent.open_button.isEnabled()
    assert "ventilator upstairs" in survey.stage.consent.missing.text()


def test_with_everything_off_the_other_sources_are_asked_for_too(survey: Survey, small: SmallHome) -> None:
    survey.cursor.set_sources(("PV", "battery"))
    survey.cursor.choose_everything()
    settle(survey, small)
    card = survey.stage.consent
    survey.click(card.source_tick("PV"))
    assert "meter tails" in card.cautions.text()
    survey.agree()
    (record,) = survey.home.sorted(Round)
    assert record.sources_off == ("PV",)
    assert record.off == (small.main,)


def test_cautions_name_the_fuse_carrier_and_the_switch_that_may_not_go_back_on(
    survey: Survey, small: SmallHome
) -> None:
    """Common practice, no source: a carrier is pulled with the main switch off; an RCD may refuse to reset."""
    survey.adapter.do(edit(survey.home, small.sockets, kind="fuse BS 3036"))
    survey.cursor.toggle(small.sockets)
    survey.cursor.toggle(small.rcd)
    text = survey.stage.consent.cautions.text()
    assert "A1: a carrier is pulled" in text
    assert "may not go back on" in text
    assert "not proof that it is safe to touch" in text


def test_choosing_nothing_puts_the_card_away(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.sockets)
    assert survey.stage.consent.isVisible()
    survey.click(survey.stage.consent.clear_button)
    assert not survey.stage.consent.isVisible()
    assert survey.cursor.pending == ()


def test_the_card_is_worked_by_keys_alone(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.sockets)
    card = survey.stage.consent
    QTest.keyClick(card.tick_of(small.l1), Qt.Key.Key_Space)
    card.arrangement_of(small.l2).setFocus()
    QTest.keyClicks(card.arrangement_of(small.l2), "two full cylinders")
    QTest.keyClicks(card.until, "11:30")
    QTest.keyClick(card.who.thumbs()[0], Qt.Key.Key_Space)
    QTest.keyClick(card.open_button, Qt.Key.Key_Space)
    assert survey.cursor.step == "walk"
