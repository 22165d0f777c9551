"""While a switch-off lasts: how long, lamps that are watched, a walk that waits or was left open."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from circuitmap.desk.visit_time import day_words, elapsed_words, instant_of
from circuitmap.home import verbs
from circuitmap.home.records import Check, Round

from .conftest import Opened
from .driving import settle
from .planning import Pairs
from .survey_home import SmallHome, Survey

pytestmark = pytest.mark.usefixtures("moving_clock")


class Wall:
    """The clock on the wall, to be put forward."""

    def __init__(self) -> None:
        self.at = datetime(2026, 1, 5, 9, 5, 0, tzinfo=UTC)

    def now(self) -> datetime:
        return self.at

    def to(self, at: str, **later: float) -> None:
        read = instant_of(at)
        assert read is not None
        self.at = read + timedelta(**later)


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    made = Wall()
    monkeypatch.setattr("circuitmap.desk.visit_time.now", made.now)
    return made


@pytest.fixture
def small() -> SmallHome:
    made = SmallHome()
    made.asked()
    return made


@pytest.fixture
def survey(qapp: object, wall: Wall, small: SmallHome) -> Iterator[Survey]:
    made = Survey(small.home, planner=Pairs().planner)
    made.show()
    begin(made, small)
    yield made
    made.close()


def begin(survey: Survey, small: SmallHome) -> None:
    """See everything on, and know by switch-offs what is on which way, so that there are witnesses."""
    survey.click(survey.stage.start_button)
    survey.click(survey.stage.look_button)
    while survey.cursor.point:
        survey.press(Qt.Key.Key_S)
    survey.click(survey.stage.end)
    for way in (small.sockets, small.lights):
        switch_off(survey, way)
        survey.walk(small)
        survey.click(survey.stage.power.all_on)
        survey.click(survey.stage.summary.go_on)
    settle()


def switch_off(survey: Survey, *devices: str) -> None:
    for device in devices:
        survey.cursor.toggle(device)
    survey.agree()
    settle()


def last_round(survey: Survey) -> Round:
    return survey.home.sorted(Round)[-1]


def events(survey: Survey) -> list[str]:
    return [event.what for event in last_round(survey).events]


# -- how long -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "0:00"),
        (61, "1:01"),
        (754, "12:34"),
        (3600, "1:00:00"),
        (86400 * 3 + 7200, "3 days 2 h"),
        (86400, "1 day 0 h"),
    ],
)
def test_time_off_is_minutes_and_seconds_with_more_before_them_when_there_is_more(seconds: int, words: str) -> None:
    assert elapsed_words(seconds) == words


def test_an_instant_that_cant_be_read_is_said_as_it_is_written() -> None:
    assert day_words("some day") == "some day"


def test_the_clock_counts_the_seconds_while_something_is_off(survey: Survey, small: SmallHome, wall: Wall) -> None:
    clock_ = survey.stage.clock
    assert not clock_.isVisible()
    switch_off(survey, small.kitchen_way)
    began = last_round(survey).events[0].at
    wall.to(began, seconds=65)
    clock_.tick()
    assert clock_.time.text() == "Off for 1:05"
    assert clock_.is_counting
    wall.to(began, seconds=66)
    QTest.qWait(1300)
    assert clock_.time.text() == "Off for 1:06"
    survey.press(Qt.Key.Key_E)
    assert clock_.isVisible(), "it is off until the power is back"
    survey.click(survey.stage.power.all_on)
    assert not clock_.isVisible()
    assert not clock_.is_counting


# -- a walk that waits ----------------------------------------------------------------------------------------------


def test_a_paused_walk_takes_no_answer_and_goes_on_where_it_was(survey: Survey, small: SmallHome) -> None:
    switch_off(survey, small.kitchen_way)
    turn, many = survey.cursor.point, len(survey.home.table(Check))
    survey.click(survey.stage.clock.pause)
    assert survey.stage.waiting.isVisible()
    assert survey.stage.waiting.says.text() == "A2 stays off meanwhile; who lives here should know."
    assert not survey.stage.panel.isVisible()
    survey.cursor.answer("off")
    assert survey.said[-1] == "The walk is paused; go on with it first."
    assert len(survey.home.table(Check)) == many
    survey.click(survey.stage.waiting.go_on)
    assert survey.stage.panel.isVisible()
    assert survey.cursor.point == turn
    assert events(survey) == ["off", "pause", "resume"]


def test_ctrl_full_stop_pauses_and_goes_on(survey: Survey, small: SmallHome) -> None:
    switch_off(survey, small.kitchen_way)
    QTest.keyClick(survey.window, Qt.Key.Key_Period, Qt.KeyboardModifier.ControlModifier)
    assert survey.cursor.is_paused
    QTest.keyClick(survey.window, Qt.Key.Key_Period, Qt.KeyboardModifier.ControlModifier)
    assert not survey.cursor.is_paused


def test_a_paused_walk_is_paused_still_after_a_restart(
    qapp: object, wall: Wall, small: SmallHome, tmp_path: Path
) -> None:
    path = tmp_path / "small.home"
    survey = Survey(small.home, path, planner=Pairs().planner)
    survey.show()
    begin(survey, small)
    switch_off(survey, small.kitchen_way)
    survey.cursor.pause()
    survey.restart(path)
    survey.show()
    assert survey.stage.waiting.isVisible()
    survey.click(survey.stage.waiting.back_on)
    assert survey.cursor.step == "summary"
    survey.close()


def test_a_switch_off_left_open_for_days_asks_whether_the_power_is_back(
    qapp: object, wall: Wall, small: SmallHome, tmp_path: Path
) -> None:
    path = tmp_path / "small.home"
    survey = Survey(small.home, path, planner=Pairs().planner)
    survey.show()
    begin(survey, small)
    switch_off(survey, small.kitchen_way)
    opened = last_round(survey)
    survey.press(Qt.Key.Key_O)
    wall.to(opened.events[0].at, days=3)
    survey.restart(path)
    survey.show()
    stage, since = survey.stage, day_words(opened.events[0].at)
    assert stage.waiting.isVisible()
    assert stage.waiting.says.text() == (
        f"Switch-off {opened.id} has been open since {since} (A2 off); is the power back on?"
    )
    assert not stage.panel.isVisible()
    survey.cursor.answer("off")
    assert survey.said[-1] == "Say first whether the power is back on."
    survey.click(stage.waiting.go_on)
    wall.to(last_round(survey).events[-1].at, minutes=1)
    survey.cursor.changed.emit()
    assert stage.panel.isVisible(), "it is still off: the walk goes on"
    assert len(survey.cursor.left) == len(survey.cursor.points) - 1
    survey.close()


def test_a_home_opened_again_says_first_that_a_switch_off_was_left_open(
    opened: Opened, wall: Wall, small: SmallHome
) -> None:
    small.do(verbs.start_visit(small.home, day="2026-01-02"))
    small.do(verbs.open_round(small.home, "V1", (small.kitchen_way,), at="2026-01-02T10:00:00Z"))
    window = opened(small.home)
    assert window.adapter.stage == "draw"
    since = day_words("2026-01-02T10:00:00Z")
    assert window.message == f"Switch-off S1 has been open since {since} (A2 off); is the power back on?"


def test_left_open_and_back_on_ends_the_switch_off_and_keeps_its_answers(
    survey: Survey, small: SmallHome, wall: Wall
) -> None:
    switch_off(survey, small.kitchen_way)
    survey.press(Qt.Key.Key_O)
    wall.to(last_round(survey).events[0].at, hours=30)
    survey.cursor.changed.emit()
    survey.click(survey.stage.waiting.back_on)
    assert events(survey)[-1] == "power back"
    assert survey.cursor.step == "summary"
    assert len([c for c in survey.home.sorted(Check) if c.round == last_round(survey).id]) == 1


# -- lamps that are watched -----------------------------------------------------------------------------------------


def test_the_lamps_are_named_and_looked_at_first_in_another_room_and_at_the_end(
    survey: Survey, small: SmallHome
) -> None:
    switch_off(survey, small.kitchen_way)
    lamps = survey.stage.witnesses
    assert [(w.device, w.point) for w in survey.cursor.witnesses] == [(small.rcd, small.l1), (small.main, small.lamp)]
    assert survey.stage.next_step.text() == "Is the lamp left on still alight?"
    good, out = lamps.buttons_of(small.l1)
    assert good.isVisible()
    assert out.isVisible()
    assert good.height() >= 56
    survey.click(lamps.all_good)
    assert last_round(survey).events[-1].points == (small.l1, small.lamp)
    assert not survey.cursor.is_look_due
    assert not good.isVisible()
    assert survey.cursor.points == (small.k1, small.k2), "both in the kitchen"
    survey.press(Qt.Key.Key_O)
    assert not survey.cursor.is_look_due, "the same room"
    survey.press(Qt.Key.Key_O)
    assert survey.cursor.step == "power"
    assert survey.cursor.is_look_due, "at the end"
    assert lamps.isVisible()
    survey.click(lamps.all_good)
    assert not lamps.isVisible()
    assert survey.stage.power.isVisible()


def test_another_room_asks_for_the_lamps_again(survey: Survey, small: SmallHome) -> None:
    switch_off(survey, small.kitchen_way)
    survey.click(survey.stage.all_points)
    survey.press(Qt.Key.Key_L)
    rooms = []
    while survey.cursor.point:
        rooms.append((survey.cursor.point, survey.cursor.is_look_due))
        if survey.cursor.is_look_due:
            assert survey.stage.next_step.text() == "Another room: look at the lamp left on."
            survey.press(Qt.Key.Key_L)
        live = small.is_live(survey.cursor.point, survey.cursor.off)
        survey.press(Qt.Key.Key_S if live else Qt.Key.Key_O)
    assert [point for point, is_due in rooms if is_due] == [rooms[2][0]], "once, where the living room begins"


def test_a_lamp_gone_out_names_its_rcd_and_the_answers_since_are_asked_again(survey: Survey, small: SmallHome) -> None:
    switch_off(survey, small.kitchen_way)
    survey.press(Qt.Key.Key_L)
    survey.press(Qt.Key.Key_O)
    survey.click(survey.stage.panel.back)
    survey.press(Qt.Key.Key_O)
    survey.press(Qt.Key.Key_O)
    assert survey.cursor.step == "power"
    survey.click(survey.stage.witnesses.buttons_of(small.l1)[1])
    picker = survey.stage.events
    assert survey.cursor.step == "walk", "they are to be asked again"
    assert picker.picker.isVisible()
    assert picker.asks.text() == "The lamp has gone out: what tripped?"
    assert picker.tells.text() == "Answers since the last good look are set aside; they will be asked again."
    assert not survey.stage.panel.isVisible(), "no answer is taken before that is known"
    survey.cursor.answer("off")
    assert survey.said[-1] == "Say first what the lamp went out with."
    settle()
    assert picker.choices()[0].accessibleName() == "RCD tripped"
    survey.click(picker.choices()[0])
    assert survey.cursor.off == (small.kitchen_way, small.rcd)
    assert survey.cursor.left == (small.k1, small.k2)
    assert events(survey) == ["off", "look good", "look out", "trip"]
    assert last_round(survey).events[2].points == (small.l1,)
    assert not survey.stage.panel.isVisible(), "first whether it is on again"
    survey.click(survey.stage.tripped.without)
    assert survey.stage.panel.isVisible()
    survey.press(Qt.Key.Key_O)
    survey.press(Qt.Key.Key_O)
    assert survey.cursor.left == ()
    assert survey.cursor.step == "power"


def test_what_tripped_is_put_on_again_and_the_same_walk_goes_on(survey: Survey, small: SmallHome) -> None:
    """The RCD over the kitchen trips unseen after its first answer; put on again, the answers come out right."""
    switch_off(survey, small.lights)
    survey.click(survey.stage.all_points)
    survey.press(Qt.Key.Key_L)
    first = survey.cursor.point
    while small.is_live(survey.cursor.point, (small.lights,)) and small.feeds[survey.cursor.point] != small.kitchen_way:
        survey.press(Qt.Key.Key_S)
    assert first == survey.cursor.point == small.k1
    survey.press(Qt.Key.Key_O)  # the RCD is down by now, and nobody knows
    survey.click(survey.stage.panel.back)
    survey.press(Qt.Key.Key_O)
    turn = survey.cursor.point
    survey.press(Qt.Key.Key_T)
    settle()
    survey.click(next(c for c in survey.stage.events.choices() if c.accessibleName() == "RCD tripped"))
    card = survey.stage.tripped
    assert card.isVisible()
    assert card.heading.text() == "RCD has tripped"
    assert "1 answer is asked again" in card.says.text()
    assert card.again.text() == "RCD is on again, go on"
    assert card.again.height() >= 76
    assert survey.cursor.asked_again == {small.k1}
    survey.click(card.again)
    assert events(survey) == ["off", "look good", "look out", "trip", "on", "look good"]
    assert last_round(survey).events[4].devices == (small.rcd,)
    assert survey.cursor.off == (small.lights,)
    assert survey.cursor.step == "walk", "it is no part of putting the power back"
    assert survey.cursor.point == turn, "the walk goes on where it was"
    assert not card.isVisible()
    assert survey.stage.panel.hasFocus()
    assert "Tripped: RCD; on again since." in survey.stage.events.said.text()
    while survey.cursor.point:
        if survey.cursor.is_look_due:
            survey.press(Qt.Key.Key_L)
        live = small.is_live(survey.cursor.point, (small.lights,))
        survey.press(Qt.Key.Key_S if live else Qt.Key.Key_O)
    assert survey.cursor.step == "power"
    assert list(survey.stage.power.rows) == [small.lights]
    deduced = survey.adapter.deduced
    assert deduced[small.k1].candidates == (small.kitchen_way,), "the answer without supply doesn't count"
    assert deduced[small.lamp].candidates == (small.lights,)


def test_what_tripped_may_be_put_on_later_by_its_key_or_its_toggle(survey: Survey, small: SmallHome) -> None:
    switch_off(survey, small.lights)
    survey.press(Qt.Key.Key_T)
    settle()
    survey.click(next(c for c in survey.stage.events.choices() if c.accessibleName() == "RCD tripped"))
    survey.click(survey.stage.tripped.without)
    assert survey.stage.panel.isVisible()
    assert survey.stage.events.again.text() == "RCD is on again, go on"
    survey.press(Qt.Key.Key_R)
    assert survey.cursor.off == (small.lights,)
    survey.press(Qt.Key.Key_T)
    settle()
    survey.click(next(c for c in survey.stage.events.choices() if c.accessibleName() == "RCD tripped"))
    survey.cursor.pause()
    survey.cursor.resume()
    assert survey.stage.tripped.isVisible(), "a pause says nothing of it"
    survey.cursor.toggle(small.rcd)
    assert survey.cursor.off == (small.lights,)
    assert survey.cursor.step == "walk"


def test_a_trip_noticed_at_the_board_in_the_end_goes_back_to_what_is_asked_again(
    survey: Survey, small: SmallHome
) -> None:
    switch_off(survey, small.kitchen_way)
    while survey.cursor.point:
        survey.press(Qt.Key.Key_O)
    assert survey.cursor.step == "power"
    survey.press(Qt.Key.Key_T)
    settle()
    survey.click(next(c for c in survey.stage.events.choices() if c.accessibleName() == "RCD tripped"))
    assert survey.cursor.step == "walk"
    survey.click(survey.stage.tripped.again)
    assert set(survey.cursor.left) == {small.k1, small.k2}


def test_only_the_lamp_itself_had_failed(survey: Survey, small: SmallHome) -> None:
    switch_off(survey, small.kitchen_way)
    survey.press(Qt.Key.Key_L)
    survey.press(Qt.Key.Key_O)
    survey.cursor.go_to(small.l2)
    survey.click(survey.stage.witnesses.buttons_of(small.l1)[1])
    survey.click(survey.stage.events.leave)
    assert events(survey)[-2:] == ["look out", "look good"]
    assert survey.stage.panel.isVisible()
    assert set(survey.cursor.left) >= {small.k1}, "what was answered meanwhile is asked again all the same"


def test_with_everything_off_there_is_no_lamp_to_watch(survey: Survey, small: SmallHome) -> None:
    switch_off(survey, small.main)
    assert not survey.stage.witnesses.isVisible()
    assert survey.stage.next_step.text() == "2 left to look at."
