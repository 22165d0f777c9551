"""A survey from the first look to the last settled point by what the planner proposes, with mouse and keys."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel

from circuitmap.desk.sight import area_of
from circuitmap.desk.visit_words import likely_words, would_settle
from circuitmap.desk.window import Window
from circuitmap.home.records import Round
from circuitmap.survey.planner import settling
from tests.desk.conftest import Opened
from tests.desk.driving import click, settle
from tests.desk.survey_home import SmallHome

MOST = 8


pytestmark = pytest.mark.usefixtures("moving_clock")


@pytest.fixture
def small() -> SmallHome:
    made = SmallHome()
    made.asked()
    return made


@pytest.fixture
def window(opened: Opened, small: SmallHome) -> Window:
    window = opened(small.home)
    window.adapter.set_stage("survey")
    click(window, window.survey_stage.start_button)
    click(window, window.survey_stage.look_button)
    answer_all(window, small)
    click(window, window.survey_stage.end)
    settle()
    return window


def answer_all(window: Window, small: SmallHome) -> None:
    cursor = window.cursor_
    for _ in range(20):
        if not cursor.point:
            return
        live = small.is_live(cursor.point, cursor.off)
        QTest.keyClick(window.survey_stage.panel, Qt.Key.Key_S if live else Qt.Key.Key_O)
    raise AssertionError("the walk has no end")


def test_put_down_walk_power_back_until_nothing_is_left_settles_every_point(window: Window, small: SmallHome) -> None:
    stage, cursor = window.survey_stage, window.cursor_
    assert stage.propose is not None
    for _ in range(MOST):
        proposal = cursor.proposal
        assert proposal is not None
        if proposal.kind == "done":
            break
        assert stage.propose.says.text().startswith(proposal.says)
        click(window, stage.propose.put_down)
        assert set(cursor.pending) == set(proposal.off)
        click(window, stage.consent.who.thumbs()[0])
        click(window, stage.consent.open_button)
        assert cursor.points == proposal.points
        answer_all(window, small)
        click(window, stage.power.all_on)
        click(window, stage.summary.go_on)
        settle()
    assert cursor.proposal is not None
    assert cursor.proposal.kind == "done"
    assert {p: window.adapter.deduced[p].candidates for p in small.feeds} == {p: (w,) for p, w in small.feeds.items()}
    assert sum(1 for r in window.adapter.home.table(Round).values() if r.off) < len(small.feeds)


def test_what_is_likely_and_what_would_settle_it_is_said_at_the_point_and_in_the_inspector(
    window: Window, small: SmallHome
) -> None:
    adapter = window.adapter
    words = likely_words(adapter.home, adapter.memo, adapter.trade, small.lamp)
    assert words.startswith("Likely A3 9")
    assert "\u00a0%" in words, "a figure and its sign stay on one line"
    settles = would_settle(adapter.home, adapter.memo, adapter.trade, small.lamp)
    assert settles == settling(adapter.home, adapter.memo, adapter.trade, small.lamp)
    assert settles.startswith(f"Look at {small.lamp} with A3 off and the rest on: off settles it on A3")
    adapter.select(small.lamp)
    said = [label.text() for label in window.inspector.findChildren(QLabel) if label.isVisibleTo(window.inspector)]
    assert any(words in text and settles in text for text in said)
    window.cursor_.start_look()
    window.cursor_.go_to(small.lamp)
    assert window.survey_stage.panel.likely.text() == words, "in a look every point is looked at anyway"
    window.cursor_.end_look()
    window.cursor_.toggle(small.kitchen_way)
    click(window, window.survey_stage.consent.who.thumbs()[0])
    click(window, window.survey_stage.consent.open_button)
    window.cursor_.go_to(small.lamp)
    assert window.survey_stage.panel.likely.text() == f"{words} {settles}"


def test_a_settled_point_has_nothing_likely_said_of_it(window: Window, small: SmallHome) -> None:
    window.cursor_.toggle(small.lights)
    click(window, window.survey_stage.consent.who.thumbs()[0])
    click(window, window.survey_stage.consent.open_button)
    answer_all(window, small)
    home, memo, trade = window.adapter.home, window.adapter.memo, window.adapter.trade
    assert likely_words(home, memo, trade, small.lamp) == would_settle(home, memo, trade, small.lamp) == ""
    assert likely_words(home, memo, trade, small.k1) != ""
    assert would_settle(home, memo, trade, small.switch) == "", "a switch is not looked at itself"


def test_the_search_for_one_point_ends_by_naming_its_way(window: Window, small: SmallHome) -> None:
    stage, cursor = window.survey_stage, window.cursor_
    window.adapter.select(small.l2)
    click(window, stage.search)
    for _ in range(MOST):
        if stage.hunt.is_over:
            break
        click(window, stage.consent.who.thumbs()[0])
        click(window, stage.consent.open_button)
        live = small.is_live(small.l2, cursor.off)
        click(window, stage.hunt_card.on if live else stage.hunt_card.off)
        click(window, stage.power.all_on)
        settle()
    assert stage.hunt_card.says.text() == f"{small.l2} goes off with A1."
    assert window.adapter.deduced[small.l2].candidates == (small.sockets,)


def test_what_is_asked_before_a_switch_off_begins_at_the_top(window: Window, small: SmallHome) -> None:
    stage = window.survey_stage
    assert stage.propose is not None
    settle()
    click(window, stage.propose.method_opener)
    stage.open_isolation.setChecked(True)
    settle()
    area = area_of(stage)
    assert area is not None
    area.verticalScrollBar().setValue(area.verticalScrollBar().maximum())
    assert area.verticalScrollBar().value() > 0
    window.cursor_.put_down()
    settle()
    assert stage.consent.isVisible()
    assert area.verticalScrollBar().value() == 0
