"""The next switch-off as proposed: put down, altered, done otherwise; and the walk that asks only what it is for."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from circuitmap.desk import prefs
from circuitmap.home.records import Check, Round
from circuitmap.home.verbs import edit

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
def pairs() -> Pairs:
    return Pairs()


@pytest.fixture
def survey(qapp: object, small: SmallHome, pairs: Pairs) -> Iterator[Survey]:
    made = Survey(small.home, planner=pairs.planner)
    made.show()
    begin(made)
    yield made
    made.close()


def begin(survey: Survey) -> None:
    """Start the visit, see everything on, and wait for the proposal."""
    survey.click(survey.stage.start_button)
    survey.click(survey.stage.look_button)
    while survey.cursor.point:
        survey.press(Qt.Key.Key_S)
    survey.click(survey.stage.end)
    settle()


def put_down(survey: Survey) -> None:
    assert survey.stage.propose is not None
    survey.click(survey.stage.propose.put_down)


def test_the_proposal_says_what_to_do_what_it_is_good_for_and_what_is_left(survey: Survey) -> None:
    card = survey.stage.propose
    assert card is not None
    assert card.isVisible()
    assert card.heading.text() == "Next switch-off (proposed)"
    assert card.says.text() == "Switch A1 and A2 off and walk: 6 points in 2 rooms."
    assert card.good_for.text() == (
        "Likely settles 2 points. About 6 min for this one, likely 3 switch-offs and 20 min left."
    )
    assert card.why.text().splitlines() == [
        "– The freezer is interrupted once.", "– No two lighting ways together on the stairs.",
    ]  # fmt: skip
    assert card.why.isVisible(), "nothing is hidden unless somebody puts it away"
    survey.click(card.why_opener)
    assert not card.why.isVisible()


def test_while_it_is_worked_out_the_card_says_so_and_the_window_goes_on(
    qapp: object, small: SmallHome, pairs: Pairs
) -> None:
    survey = Survey(small.home, planner=pairs.planner)
    survey.show()
    survey.click(survey.stage.start_button)
    survey.click(survey.stage.skip_look)
    assert survey.stage.propose is not None
    assert survey.stage.propose.says.text() == "Working out what to switch off next …"
    assert not survey.stage.propose.put_down.isVisible()
    settle()
    assert survey.stage.propose.put_down.isVisible()
    survey.close()


def test_put_these_down_chooses_the_set_and_the_consent_is_asked_for_it(survey: Survey, small: SmallHome) -> None:
    put_down(survey)
    assert survey.cursor.pending == (small.sockets, small.kitchen_way)
    assert survey.cursor.shown_off == {small.sockets, small.kitchen_way}
    assert survey.stage.propose is not None
    assert survey.stage.propose.heading.text() == "Chosen, as proposed"
    assert not survey.stage.propose.put_down.isVisible()
    assert survey.stage.consent.isVisible()


def test_ctrl_return_puts_it_down(survey: Survey, small: SmallHome) -> None:
    survey.actions["visit-put-down"].trigger()
    assert survey.cursor.pending == (small.sockets, small.kitchen_way)


def test_a_set_that_was_altered_says_what_it_would_ask(survey: Survey, small: SmallHome) -> None:
    put_down(survey)
    survey.cursor.toggle(small.kitchen_way)
    card = survey.stage.propose
    assert card is not None
    assert card.heading.text() == "Chosen otherwise than proposed"
    assert card.says.text() == "Working out what A1 off would tell …"
    settle()
    assert card.says.text() == "Switch A1 off and walk: 6 points."
    survey.cursor.toggle(small.kitchen_way)
    assert card.heading.text() == "Chosen, as proposed"
    survey.click(survey.stage.consent.clear_button)
    assert card.heading.text() == "Next switch-off (proposed)"


def test_the_proposal_is_worked_out_again_after_every_switch_off(survey: Survey, small: SmallHome) -> None:
    put_down(survey)
    survey.agree()
    survey.walk(small)
    survey.click(survey.stage.power.all_on)
    survey.click(survey.stage.summary.go_on)
    settle()
    assert survey.stage.propose is not None
    assert survey.stage.propose.says.text().startswith("Switch A3 off")
    put_down(survey)
    survey.agree()
    survey.walk(small)
    survey.click(survey.stage.power.all_on)
    survey.click(survey.stage.summary.go_on)
    settle()
    assert survey.stage.propose.heading.text() == "Nothing is left to switch off"
    assert not survey.stage.propose.put_down.isVisible()
    survey.adapter.undo()
    survey.adapter.undo()
    settle()


def test_a_way_that_must_stay_on_is_said_and_is_not_put_down(qapp: object, small: SmallHome, pairs: Pairs) -> None:
    small.do(edit(small.home, small.kitchen_way, keep_on="the freezer hangs on it"))
    survey = Survey(small.home, planner=pairs.planner)
    survey.show()
    begin(survey)
    assert survey.stage.propose is not None
    assert survey.stage.propose.stays_on.text() == "Stays on, as its own page says: A2."
    put_down(survey)
    assert survey.cursor.pending == (small.sockets, small.lights)
    survey.close()


def test_the_method_is_chosen_explained_asked_for_and_remembered(survey: Survey, pairs: Pairs) -> None:
    card = survey.stage.propose
    assert card is not None
    assert "fewest switch-offs" in card.method_opener.text()
    survey.click(card.method_opener)
    survey.click(card.method.thumbs()[2])
    assert card.method_says.text().startswith("One way off per walk")
    assert "one at a time" in card.method_opener.text()
    survey.click(card.dark)
    settle()
    assert (pairs.asked[-1].kind, pairs.asked[-1].is_dark) == ("one at a time", True)
    assert card.says.text().startswith("Switch A1 off")
    assert prefs.load().method == "one at a time"
    survey.click(card.method.thumbs()[2])
    assert survey.cursor.planned is not None
    assert survey.cursor.planned.method.kind == "one at a time", "pressed again it stays"


def test_the_method_of_the_last_home_is_the_method_of_the_next(qapp: object, small: SmallHome, pairs: Pairs) -> None:
    kept = prefs.Prefs(method="gentle")
    assert prefs.save(kept)
    survey = Survey(small.home, planner=pairs.planner)
    assert survey.cursor.planned is not None
    assert survey.cursor.planned.method.kind == "gentle"
    assert not survey.cursor.planned.method.is_dark
    survey.close()


def test_the_walk_asks_only_for_the_points_it_was_opened_for_after_a_restart_too(
    qapp: object, small: SmallHome, pairs: Pairs, tmp_path: Path
) -> None:
    path = tmp_path / "small.home"
    survey = Survey(small.home, path, planner=pairs.planner)
    survey.show()
    begin(survey)
    survey.cursor.toggle(small.lights)
    survey.agree()
    survey.walk(small)
    survey.click(survey.stage.power.all_on)
    settled = {i for i, known in survey.adapter.deduced.items() if known.verdict == "settled"}
    survey.click(survey.stage.summary.go_on)
    settle()
    survey.cursor.toggle(small.sockets)
    settle()
    survey.agree()
    asked = survey.cursor.points
    assert settled == {small.lamp, small.lamp2}
    assert set(asked) == {small.k1, small.k2, small.l1, small.l2}
    assert survey.home.sorted(Round)[-1].events[0].points == asked
    survey.press(Qt.Key.Key_O)
    left = survey.cursor.left
    survey.restart(path)
    survey.show()
    assert survey.cursor.points == asked
    assert survey.cursor.left == left
    assert survey.cursor.point == left[0]
    survey.click(survey.stage.all_points)
    assert set(survey.cursor.points) == set(survey.cursor.all_points)
    survey.close()


def test_progress_counts_the_points_of_the_walk(survey: Survey) -> None:
    put_down(survey)
    survey.agree()
    assert survey.stage.where.text().endswith("A1, A2 off · 0 of 6")
    survey.press(Qt.Key.Key_O)
    survey.press(Qt.Key.Key_S)
    assert survey.stage.where.text().endswith("· 2 of 6")
    survey.press(Qt.Key.Key_Backspace)
    assert survey.stage.where.text().endswith("· 1 of 6")
    assert len(survey.home.table(Check)) == 7


def test_everything_on_the_card_is_a_thumb_high(survey: Survey) -> None:
    card = survey.stage.propose
    assert card is not None
    survey.click(card.method_opener)
    QTest.qWait(0)
    for thumb in (card.put_down, card.why_opener, card.method_opener, *card.method.thumbs(), card.dark):
        assert thumb.height() >= 56, thumb.text()
