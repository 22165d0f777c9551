"""Proving dead: a record of its own, said only when every step of it is there."""

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QLabel

from circuitmap.desk.isolation import IsolationCard, is_proved
from circuitmap.home import verbs
from circuitmap.home.records import Instrument, Isolation, Visit

from .survey_home import SmallHome, Survey


@pytest.fixture
def small() -> SmallHome:
    made = SmallHome()
    made.asked()
    return made


@pytest.fixture
def survey(qapp: object, small: SmallHome) -> Iterator[Survey]:
    made = Survey(small.home)
    made.show()
    made.click(made.stage.open_isolation)
    yield made
    made.close()


def do_all(card: IsolationCard) -> None:
    for tick in (card.before, card.locked, card.after, *card.off_ticks.values(), *card.source_ticks.values()):
        tick.setChecked(True)
    for choice in card.pairs.values():
        choice.thumbs()[0].click()


def test_without_a_box_it_asks_for_one(survey: Survey) -> None:
    card = survey.stage.isolation
    assert card.hint.isVisible()
    assert not card.body.isVisible()
    card.record()
    assert survey.said == ["Choose the box first: a point, a way or a board."]


def test_proved_dead_needs_every_step(survey: Survey, small: SmallHome) -> None:
    """HSE GS38 and the safe isolation sequence: prove, switch off, lock, three tests, prove again."""
    card = survey.stage.isolation
    survey.adapter.select(small.k1)
    assert tuple(card.off_ticks) == (small.main,)
    do_all(card)
    assert card.record_button.text() == "Record: proved dead"
    assert card.missing_now() == ()
    for take_away in (card.before, card.locked, card.after, card.off_ticks[small.main]):
        take_away.setChecked(False)
        assert len(card.missing_now()) == 1
        assert card.record_button.text() == "Record, not proved: 1 missing"
        take_away.setChecked(True)
    for choice in card.pairs.values():
        choice.thumbs()[0].click()
        assert len(card.missing_now()) == 1
        choice.thumbs()[0].click()
    survey.click(card.record_button)
    (record,) = survey.home.sorted(Isolation)
    assert is_proved(record, survey.home)
    assert (record.box, record.off) == ((small.k1,), (small.main,))
    assert survey.said == [f"Recorded: {small.k1} proved dead."]
    assert survey.document.undo_title == f"Proved dead at {small.k1}"


def test_less_is_recorded_as_less(survey: Survey, small: SmallHome) -> None:
    card = survey.stage.isolation
    survey.adapter.select(small.k1)
    do_all(card)
    card.after.setChecked(False)
    survey.click(card.record_button)
    (record,) = survey.home.sorted(Isolation)
    assert not is_proved(record, survey.home)
    assert survey.document.undo_title == f"Isolation record at {small.k1}, not complete"
    assert survey.said == [
        f"Recorded at {small.k1}, not as proved dead: The indicator wasn't proved again after the tests."
    ]
    assert "not every step recorded" in card.earlier.text()


def test_a_conductor_found_live_stops_it(survey: Survey, small: SmallHome) -> None:
    card = survey.stage.isolation
    survey.adapter.select(small.k1)
    do_all(card)
    card.pairs["N-E"].thumbs()[1].click()
    assert card.record_button.text() == "Record: found live, stop"
    assert "N-E was found live: it is not isolated." in card.missing.text()


def test_other_sources_must_be_off_as_well(survey: Survey, small: SmallHome) -> None:
    survey.adapter.do(verbs.set_supply(survey.home, sources=()))
    survey.cursor.set_sources(("battery",))
    card = survey.stage.isolation
    survey.adapter.select(small.k1)
    do_all(card)
    assert card.missing_now() == ()
    card.source_ticks["battery"].setChecked(False)
    assert any("battery" in each for each in card.missing_now())


def test_a_survey_that_saw_it_go_off_proves_nothing(survey: Survey, small: SmallHome) -> None:
    survey.adapter.do(verbs.start_visit(survey.home))
    visit = survey.home.sorted(Visit)[0].id
    survey.adapter.do(verbs.open_round(survey.home, visit, (small.main,), at="2026-01-05T09:00:00Z"))
    survey.adapter.do(verbs.record_check(survey.home, "S1", small.k1, "off", at="2026-01-05T09:10:00Z"))
    survey.adapter.do(verbs.record_event(survey.home, "S1", "power back", at="2026-01-05T09:20:00Z"))
    survey.adapter.select(small.k1)
    assert len(survey.stage.isolation.missing_now()) == 7


def test_another_box_starts_the_checklist_anew(survey: Survey, small: SmallHome) -> None:
    card = survey.stage.isolation
    survey.adapter.select(small.k1)
    do_all(card)
    survey.adapter.select(small.k2)
    assert card.box == (small.k2,)
    assert not card.before.isChecked()
    assert all(choice.value is None for choice in card.pairs.values())
    assert not any(tick.isChecked() for tick in card.off_ticks.values())


def test_all_points_of_a_plate_are_one_box(survey: Survey, small: SmallHome) -> None:
    survey.adapter.do(verbs.share_plate(survey.home, (small.k1, small.k2)))
    survey.adapter.select(small.k2)
    assert survey.stage.isolation.box == (small.k1, small.k2)


def test_taking_a_cover_off_a_board_is_for_a_skilled_person(survey: Survey, small: SmallHome) -> None:
    card = survey.stage.isolation
    survey.adapter.select(small.k1)
    assert not card.skilled.isVisible()
    survey.adapter.select(small.sockets)
    assert card.skilled.isVisible()
    assert not card.one_way.isVisible()
    said = "\n".join(label.text() for label in card.findChildren(QLabel) if label.isVisible())
    assert "skilled person only" in said
    assert "meter tails and the switch's own supply terminals stay live" in said
    assert "are not opened" in said


def test_one_way_alone_is_refused_where_the_feed_is_not_settled(survey: Survey, small: SmallHome) -> None:
    card = survey.stage.isolation
    survey.adapter.select(small.k1)
    survey.click(card.one_way)
    assert tuple(card.off_ticks) == (small.main,)
    assert "One way alone is not enough here" in card.says.text()


def test_a_new_indicator_and_visit_come_with_the_record_in_one_change(survey: Survey, small: SmallHome) -> None:
    survey.adapter.select(small.k1)
    do_all(survey.stage.isolation)
    survey.click(survey.stage.isolation.record_button)
    (instrument,) = survey.home.sorted(Instrument)
    (visit,) = survey.home.sorted(Visit)
    (record,) = survey.home.sorted(Isolation)
    assert (record.instrument, record.visit, instrument.kind) == (instrument.id, visit.id, "voltage indicator")
    survey.adapter.undo()
    assert not survey.home.sorted(Isolation)
    assert not survey.home.sorted(Visit)
