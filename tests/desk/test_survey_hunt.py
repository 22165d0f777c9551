"""The search for one point's way by two persons: each step a switch-off of its own, agreed to and recorded."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt

from circuitmap.home.records import Check, Round

from .driving import settle
from .planning import Pairs
from .survey_home import SmallHome, Survey

pytestmark = pytest.mark.usefixtures("moving_clock")


@pytest.fixture
def small() -> SmallHome:
    made = SmallHome()
    made.asked()
    return made


@pytest.fixture
def survey(qapp: object, small: SmallHome) -> Iterator[Survey]:
    made = Survey(small.home, planner=Pairs().planner)
    made.show()
    made.click(made.stage.start_button)
    made.click(made.stage.skip_look)
    settle()
    yield made
    made.close()


def test_the_search_is_offered_for_the_point_that_is_selected(survey: Survey, small: SmallHome) -> None:
    assert not survey.stage.search.isVisible()
    survey.adapter.select(small.l1)
    assert survey.stage.search.text() == f"Find the way of {small.l1}:\none stands here, the other switches"
    survey.adapter.select(small.switch)
    assert not survey.stage.search.isVisible(), "a switch is not looked at itself"
    survey.adapter.select(small.l1, small.l2)
    assert not survey.stage.search.isVisible()


def test_two_steps_name_the_way_and_are_recorded_as_switch_offs(survey: Survey, small: SmallHome) -> None:
    survey.adapter.select(small.k1)
    survey.click(survey.stage.search)
    card = survey.stage.hunt_card
    assert survey.stage.propose is not None
    assert not survey.stage.propose.isVisible()
    assert card.heading.text() == f"Find the way of Worktop left, Kitchen ({small.k1})"
    assert card.says.text() == (f"One stands at {small.k1} and calls, the other switches. Switch A1, A2 off.")
    assert card.chances.text() == "Likely A1 33\u00a0%, A2 33\u00a0%, A3 33\u00a0%. 2 steps likely left."
    assert survey.cursor.pending == (small.sockets, small.kitchen_way), "nothing goes off before it is agreed"
    survey.agree()
    assert survey.cursor.points == (small.k1,)
    assert not survey.stage.panel.isVisible()
    assert card.off.height() >= 56
    survey.click(card.off)
    assert survey.cursor.step == "power"
    assert card.says.text() == "A1, A2 back on first; then the search goes on."
    survey.click(survey.stage.power.all_on)
    assert survey.cursor.pending == (small.sockets,)
    survey.agree()
    survey.click(card.on)
    survey.click(survey.stage.power.all_on)
    assert card.says.text() == f"{small.k1} is on A2."
    assert card.leave.text() == "Done"
    assert not survey.stage.consent.isVisible()
    rounds = [(r.off, r.events[0].points, r.events[-1].what) for r in survey.home.sorted(Round)]
    assert rounds == [
        ((small.sockets, small.kitchen_way), (small.k1,), "power back"),
        ((small.sockets,), (small.k1,), "power back"),
    ]
    assert [(c.point, c.outcome) for c in survey.home.sorted(Check)] == [(small.k1, "off"), (small.k1, "still on")]
    assert all(r.consent is not None for r in survey.home.sorted(Round))
    survey.click(card.leave)
    assert not card.isVisible()
    settle()
    assert survey.stage.propose.isVisible()


def test_keys_answer_in_the_search_too(survey: Survey, small: SmallHome) -> None:
    survey.adapter.select(small.k1)
    survey.click(survey.stage.search)
    survey.agree()
    survey.press(Qt.Key.Key_O)
    assert survey.home.sorted(Check)[-1].outcome == "off"
    assert survey.cursor.step == "power"


def test_the_search_can_be_given_up_and_nothing_is_off(survey: Survey, small: SmallHome) -> None:
    survey.adapter.select(small.k1)
    survey.click(survey.stage.search)
    survey.click(survey.stage.hunt_card.leave)
    assert survey.cursor.pending == ()
    assert not survey.stage.hunt_card.isVisible()
    assert not survey.home.table(Round)


def test_given_up_while_something_is_off_the_walk_and_the_power_come_first(survey: Survey, small: SmallHome) -> None:
    survey.adapter.select(small.k1)
    survey.click(survey.stage.search)
    survey.agree()
    survey.click(survey.stage.hunt_card.leave)
    assert survey.stage.panel.isVisible()
    survey.press(Qt.Key.Key_E)
    assert survey.stage.power.isVisible()


def test_an_answer_that_cant_be_told_does_not_count_as_one(survey: Survey, small: SmallHome) -> None:
    survey.adapter.select(small.k1)
    survey.click(survey.stage.search)
    survey.agree()
    survey.click(survey.stage.hunt_card.cant)
    assert survey.home.sorted(Check)[-1].outcome == "can't tell"
    survey.click(survey.stage.power.all_on)
    assert survey.cursor.pending == (small.sockets, small.kitchen_way), "the same step again"


def test_a_point_removed_ends_its_search(survey: Survey, small: SmallHome) -> None:
    from circuitmap.home.verbs import remove

    survey.adapter.select(small.k1)
    survey.click(survey.stage.search)
    survey.adapter.do(remove(survey.home, small.k1))
    assert survey.stage.hunt.point == ""
    assert survey.cursor.pending == ()


def test_no_search_begins_while_something_is_off(survey: Survey, small: SmallHome) -> None:
    survey.cursor.toggle(small.lights)
    survey.agree()
    survey.adapter.select(small.k1)
    survey.stage.start_hunt()
    assert survey.said[-1].startswith("Start a visit, and put the power back on")
    survey.adapter.select()
    survey.stage.start_hunt()
    assert survey.said[-1] == "Choose one point first."
