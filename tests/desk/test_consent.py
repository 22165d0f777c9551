"""The agreement before a switch-off: who loses what, and what must be settled first."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap.desk.overdue import OverdueCard
from circuitmap.home.records import Arrangement, Load, Round
from circuitmap.home.verbs import edit
from circuitmap.survey.limits import instant

from .survey_home import SmallHome, Survey

pytestmark = pytest.mark.usefixtures("moving_clock")


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
    card.together.setChecked(True)
    QTest.keyClicks(card.arrangement_of(small.l2), "two full cylinders")
    QTest.keyClicks(card.until, "45 min")


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
    survey.click(card.together)
    assert "Router (P3)" not in card.missing.text()
    assert not card.open_button.isEnabled()
    QTest.keyClicks(card.arrangement_of(small.l2), "two full cylinders")
    assert "until when" in card.missing.text(), "an arrangement without an end is none"
    QTest.keyClicks(card.until, "lunch")
    assert not card.open_button.isEnabled()
    assert "“lunch” is no time limit" in card.missing.text()
    card.until.clear()
    QTest.keyClicks(card.until, "45 min")
    assert "in 45 min" in card.until_says.text(), "it is said back as it was understood"
    survey.click(card.open_button)
    (record,) = survey.home.sorted(Round)
    assert record.off == (small.sockets,)
    assert record.consent is not None
    assert record.consent.by == "agent"
    assert record.consent.at.endswith("Z")
    assert record.consent.confirmed == (small.l1,)
    assert record.consent.named == (small.k2, small.l1, small.l2)
    assert record.consent.arrangements == (Arrangement(point=small.l2, words="two full cylinders"),)
    assert record.consent.until == "45 min"
    assert not record.consent.for_visit


def test_a_tick_is_not_enough_for_what_keeps_somebody_alive(survey: Survey, small: SmallHome) -> None:
    survey.adapter.do(edit(survey.home, small.l1, loads=()))
    survey.cursor.toggle(small.sockets)
    QApplication.processEvents()
    assert survey.stage.consent.arrangement_of(small.l2).isVisible()
    with pytest.raises(KeyError):
        survey.stage.consent.together.isChecked()


def test_telephone_alarms_and_other_households_are_one_tick_with_the_list_named(
    survey: Survey, small: SmallHome
) -> None:
    survey.adapter.do(edit(survey.home, small.k1, loads=(Load(what="alarm panel", if_off="security"),)))
    survey.adapter.do(edit(survey.home, small.k2, belongs_to="upper flat"))
    survey.cursor.toggle(small.sockets)
    card = survey.stage.consent
    assert card.together.text() == "All 3 settled with them"
    named = card.together.accessibleName()
    for name in ("Router, Living room (P3)", "Alarm panel, Kitchen (P1)", "Freezer, Kitchen (P2)"):
        assert name in named
    survey.click(card.together)
    survey.click(card.who.thumbs()[0])
    consent = card.consent()
    assert consent is not None
    assert set(consent.confirmed) == {small.k1, small.k2, small.l1}
    assert "settle it" not in card.missing.text()
    assert "upper flat" not in card.missing.text()


def test_what_comes_to_the_list_after_the_tick_has_to_be_settled_too(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.sockets)
    card = survey.stage.consent
    survey.click(card.together)
    survey.adapter.do(edit(survey.home, small.k1, loads=(Load(what="alarm panel", if_off="security"),)))
    assert not card.together.isChecked()
    survey.adapter.do(edit(survey.home, small.k1, loads=()))
    assert card.together.isChecked(), "back to the list that it was set for"


def test_a_point_with_a_telephone_and_life_support_can_be_settled(survey: Survey, small: SmallHome) -> None:
    """A telecare unit with a monitor on the same socket: each is asked in its own way, and neither locks the other."""
    loads = (Load(what="monitor", if_off="medical"), Load(what="telecare unit", if_off="phone"))
    survey.adapter.do(edit(survey.home, small.l2, loads=loads))
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.agree()
    assert survey.cursor.step == "walk"


def test_what_was_settled_stays_settled_while_more_is_chosen(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.cursor.toggle(small.lights)
    assert survey.stage.consent.together.isChecked()
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
    assert not card.together.isChecked()
    assert card.arrangement_of(small.l2).text() == ""
    assert not card.open_button.isEnabled()


# -- the rest of the visit ----------------------------------------------------------------------------------------


def agree_for_the_visit(survey: Survey, small: SmallHome, until: str = "") -> None:
    """Agree to the sockets for the rest of the visit; nobody's life hangs on them."""
    survey.adapter.do(edit(survey.home, small.l2, loads=()))
    survey.cursor.toggle(small.sockets)
    card = survey.stage.consent
    card.together.setChecked(True)
    QTest.keyClicks(card.until, until)
    survey.click(card.for_visit)
    survey.agree()
    survey.cursor.end_walk()
    survey.cursor.power_back()


def test_agreed_for_the_rest_of_the_visit_the_next_one_takes_one_tap(survey: Survey, small: SmallHome) -> None:
    agree_for_the_visit(survey, small)
    survey.cursor.toggle(small.lights)
    card = survey.stage.consent
    assert not card.who.isVisible()
    assert "By the occupier" in card.standing.says.text()
    survey.click(card.standing.button)
    first, second = survey.home.sorted(Round)
    assert second.off == (small.lights,)
    assert second.consent is not None
    assert second.consent.for_visit
    assert second.consent.by == "occupier"
    assert second.consent.confirmed == (small.l1,)
    assert first.consent is not None
    assert second.consent.at >= first.consent.at


def test_something_new_at_stake_is_asked_about_again(survey: Survey, small: SmallHome) -> None:
    agree_for_the_visit(survey, small)
    survey.adapter.do(edit(survey.home, small.k1, loads=(Load(what="fish tank", if_off="spoils"),)))
    survey.cursor.toggle(small.lights)
    card = survey.stage.consent
    assert not card.standing.button.isVisible()
    assert "New in this switch-off: fish tank (P1)." in card.standing.says.text()
    assert card.who.isVisible()
    assert not card.open_button.isEnabled()


def test_life_support_is_asked_about_again_each_time(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.click(survey.stage.consent.for_visit)
    survey.agree()
    survey.cursor.end_walk()
    survey.cursor.power_back()
    survey.cursor.toggle(small.sockets)
    card = survey.stage.consent
    assert "life-supporting equipment is asked about each time" in card.standing.says.text()
    assert card.together.isChecked(), "the router was settled for the visit"
    assert card.for_visit.isChecked(), "what is asked anew stands for the visit too, or the rest would have to be asked"
    QApplication.processEvents()
    assert card.arrangement_of(small.l2).isVisible()
    assert not card.open_button.isEnabled()


def test_they_can_be_asked_again_all_the_same(survey: Survey, small: SmallHome) -> None:
    agree_for_the_visit(survey, small)
    survey.cursor.toggle(small.lights)
    card = survey.stage.consent
    survey.click(card.standing.ask_anew)
    assert card.who.isVisible()
    assert not card.standing.isVisible()
    assert not card.together.isChecked()
    card.together.setChecked(True)
    survey.agree()
    last = survey.home.sorted(Round)[-1].consent
    assert last is not None
    assert not last.for_visit


def test_a_way_that_stays_on_holds_up_what_was_agreed_too(survey: Survey, small: SmallHome) -> None:
    agree_for_the_visit(survey, small)
    survey.adapter.do(edit(survey.home, small.sockets, keep_on="freezer full"))
    survey.cursor.toggle(small.rcd)
    card = survey.stage.consent
    assert not card.standing.button.isEnabled()
    assert "freezer full" in card.standing.missing.text()


def test_what_stands_is_found_again_after_a_restart(survey: Survey, small: SmallHome) -> None:
    """It is read off the records, so nothing of it lives in the window."""
    agree_for_the_visit(survey, small)
    survey.close()
    survey.start(survey.look)
    survey.show()
    survey.cursor.go_on()
    survey.cursor.toggle(small.lights)
    assert survey.stage.consent.standing.button.isVisible()


# -- time ----------------------------------------------------------------------------------------------------------


def test_when_the_time_agreed_is_nearly_over_and_past_the_walk_says_so(
    survey: Survey, small: SmallHome, monkeypatch: pytest.MonkeyPatch
) -> None:
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.agree()
    card = OverdueCard(survey.adapter, survey.cursor, survey.stage)
    (record,) = survey.home.sorted(Round)
    assert record.consent is not None
    began = instant(record.consent.at)

    def at(minutes: int) -> str:
        return (began + timedelta(minutes=minutes)).strftime("%Y-%m-%dT%H:%M:%SZ")

    for minutes, heading in ((20, None), (38, "7 min left"), (57, "Time is up")):
        monkeypatch.setattr("circuitmap.desk.overdue.now_text", lambda minutes=minutes: at(minutes))
        card.refresh()
        assert card.isHidden() == (heading is None)
        if heading is not None:
            assert card.heading.text() == heading
    assert "Oxygen concentrator (P4)" in card.says.text()
    assert "12 min ago" in card.says.text()
    survey.cursor.end_walk()
    survey.cursor.power_back()
    assert card.isHidden()


def test_how_long_it_was_off_already_is_said_when_asking_again(survey: Survey, small: SmallHome) -> None:
    """The clock of these tests moves ten seconds with each thing that is written down."""
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.agree()
    survey.cursor.answer_many([(i, "off" if way == small.sockets else "still on") for i, way in small.feeds.items()])
    survey.cursor.end_walk()
    survey.cursor.power_back()
    survey.cursor.toggle(small.sockets)
    asked = survey.stage.consent.asked
    assert asked is not None
    says = {each.point: each.says for each in asked.sensitive}
    assert "off 1 min already today" in says[small.l1]
    assert not any("already today" in each for each in asked.told), "the freezer was seen on"


def test_what_was_off_is_looked_at_and_what_could_have_been_is_said_beside(survey: Survey, small: SmallHome) -> None:
    survey.adapter.do(edit(survey.home, small.lamp, loads=(Load(what="sensor light", if_off="resets"),)))
    survey.cursor.toggle(small.sockets)
    settle(survey, small)
    survey.agree()
    survey.cursor.answer_many([(small.l1, "off")])
    survey.cursor.end_walk()
    survey.cursor.power_back()
    lines = survey.stage.summary.look_at.text().splitlines()
    assert lines[0].startswith("– Oxygen concentrator, Living room (P4): is it running"), "looked at, however unlikely"
    assert lines[1].startswith("– Router, Living room (P3): is it up again")
    assert lines[-1] == "– Could have been off too: Sensor light, Living room (P5)"


def test_old_switchgear_is_named_when_asking(survey: Survey, small: SmallHome) -> None:
    survey.adapter.do(edit(survey.home, small.lights, kind="MCB BS 3871"))
    survey.cursor.toggle(small.lights)
    assert "A3 (breaker to BS 3871) may not go back on" in survey.stage.consent.told.text()


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
    QTest.keyClick(card.together, Qt.Key.Key_Space)
    card.arrangement_of(small.l2).setFocus()
    QTest.keyClicks(card.arrangement_of(small.l2), "two full cylinders")
    QTest.keyClicks(card.until, "45 min")
    QTest.keyClick(card.who.thumbs()[0], Qt.Key.Key_Space)
    QTest.keyClick(card.open_button, Qt.Key.Key_Space)
    assert survey.cursor.step == "walk"
