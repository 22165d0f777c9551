"""Practising a survey on the desk, driven by mouse and keys: begun, looked at, answered, compared, put away."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QThreadPool
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu
from shiboken6 import isValid

from circuitmap.desk.practice import open_practice
from circuitmap.desk.practice_card import StartCard
from circuitmap.desk.practice_desk import PracticeDesk
from circuitmap.desk.practice_wanted import Wanted
from circuitmap.desk.theme import Look
from circuitmap.desk.thumb import Tick
from circuitmap.desk.window import Window
from circuitmap.home import Home
from circuitmap.home.records import Check, Round, Run
from circuitmap.survey.method import Method
from circuitmap.survey.rehearsal.many import practise
from circuitmap.trade import load

from .conftest import Opened
from .driving import click, press, settle, show

KEYS = {"lit": Qt.Key.Key_S, "dark": Qt.Key.Key_O, "faint": Qt.Key.Key_G}


@pytest.fixture(autouse=True)
def _moving_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    at = [datetime(2026, 1, 5, 9, 0, 0, tzinfo=UTC)]

    def tick() -> str:
        at[0] += timedelta(seconds=2)
        return at[0].strftime("%Y-%m-%dT%H:%M:%SZ")

    monkeypatch.setattr("circuitmap.home.verbs_survey.now_text", tick)
    monkeypatch.setattr("circuitmap.home.verbs_survey.today_text", lambda: "2026-01-05")
    monkeypatch.setattr("circuitmap.desk.visit_state.today_text", lambda: "2026-01-05")
    monkeypatch.setattr("circuitmap.desk.visit_time.now", lambda: at[0])


@pytest.fixture(autouse=True)
def _own_folders(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture
def desks(look: Look) -> Iterator["list[PracticeDesk]"]:
    """Practice windows that a test opened, closed at its end."""
    made: list[PracticeDesk] = []
    yield made
    for desk in made:
        if isValid(desk):
            desk.window.close()
    QThreadPool.globalInstance().waitForDone(20_000)


def practising(desks: list[PracticeDesk], look: Look, wanted: Wanted) -> PracticeDesk:
    desk = open_practice(wanted, load(), look)
    desks.append(desk)
    desk.window.resize(1280, 800)
    show(desk.window)
    return desk


def begin_look(desk: PracticeDesk) -> None:
    stage = desk.window.survey_stage
    click(desk.window, stage.start_button)
    click(desk.window, stage.look_button)


def walk(desk: PracticeDesk) -> None:
    """Go round as an honest apprentice: look, then answer what was shown, by keys."""
    window, cursor = desk.window, desk.window.cursor_
    for _ in range(200):
        if cursor.step not in ("look", "walk") or not cursor.point:
            return
        if cursor.step == "walk" and cursor.is_look_due and cursor.witnesses:
            click(window, desk.card.lamps_button)
            assert "alight" in desk.card.beside_says.text()
            assert " out" not in desk.card.beside_says.text()
            press(window.survey_stage.panel, Qt.Key.Key_L)
        point, going = cursor.point, cursor.round
        assert going is not None
        press(window.survey_stage.panel, Qt.Key.Key_K)
        assert desk.card.says.text().startswith(f"{point}: ")
        press(window.survey_stage.panel, KEYS[desk.house.shown[going.id, point]])
        assert cursor.outcomes.get(point) or cursor.round != going


def switch_off(desk: PracticeDesk) -> None:
    """Put down what is proposed and have it agreed."""
    window, consent = desk.window, desk.window.survey_stage.consent
    desk.window.cursor_.put_down()
    settle()
    assert window.cursor_.pending
    click(window, consent.who.thumbs()[0])
    for tick in consent.findChildren(Tick):
        if tick.isVisibleTo(window) and not tick.isChecked() and tick is not consent.for_visit:
            click(window, tick)
    click(window, consent.open_button)


def survey(desk: PracticeDesk) -> None:
    """Survey the home to the end."""
    window, stage, cursor = desk.window, desk.window.survey_stage, desk.window.cursor_
    begin_look(desk)
    for _ in range(40):
        settle()
        if desk.result.isVisibleTo(window):
            return
        match cursor.step:
            case "look" | "walk":
                walk(desk)
                if cursor.step in ("look", "walk"):
                    click(window, stage.end)
            case "power":
                click(window, stage.power.all_on)
            case "summary":
                click(window, stage.summary.go_on)
            case _:
                switch_off(desk)
    raise AssertionError("the survey doesn't end")


def cells(desk: PracticeDesk, column: int) -> list[str]:
    return [desk.result.cells[column, row].text() for row in range(1, 6)]


def test_the_command_search_begins_it_in_a_window_of_its_own_and_leaves_the_open_home_alone(
    opened: Opened, small: Home, desks: list[PracticeDesk], tmp_path: Path
) -> None:
    window = opened(small)
    before, home = window.adapter.document, window.adapter.home
    window.find_field.setFocus()
    QTest.keyClicks(window.find_field, "apprentice")
    QTest.keyClick(window.find_field, Qt.Key.Key_Return)
    settle()
    card = window.findChild(StartCard)
    assert card is not None
    click(window, next(t for t in card.homes.thumbs() if "flat" in t.text()))
    click(window, next(t for t in card.errors.thumbs() if t.text().startswith("2 ")))
    click(window, card.trips)
    click(window, card.begin)
    settle()
    others = [w for w in QApplication.topLevelWidgets() if isinstance(w, Window) and w is not window and w.isVisible()]
    assert len(others) == 1
    desk = others[0].findChild(PracticeDesk)
    assert desk is not None
    desks.append(desk)
    wanted = desk.ready.wanted
    assert (wanted.sample, wanted.error, wanted.trips) == ("rented-flat", 0.02, True)
    assert others[0].adapter.document.path is None
    assert others[0].windowTitle().startswith("Practice: Flat 5")
    assert not len(others[0].adapter.home.table(Run))
    assert window.adapter.document is before
    assert window.adapter.home is home
    assert not card.isVisibleTo(window)
    assert not list(tmp_path.rglob("*.cmap"))


def test_it_stands_in_the_menu_beside_the_sample_homes_and_on_the_page_of_a_blank_home(
    opened: Opened, desks: list[PracticeDesk]
) -> None:
    window = opened(Home.blank())
    menu = next(m for m in window.menuBar().findChildren(QMenu) if m.accessibleName() == "Home")
    words = [action.text().replace("&", "") for action in menu.actions()]
    assert words.index("Practise a survey…") == words.index("Open a sample home") + 1
    assert "practise a survey" in window.content._advice()
    window.actions_["practise"].trigger()
    settle()
    card = window.findChild(StartCard)
    assert card is not None
    assert card.isVisibleTo(window)
    click(window, card.not_now)
    assert not card.isVisibleTo(window)


def test_the_band_is_always_in_sight(look: Look, desks: list[PracticeDesk]) -> None:
    desk = practising(desks, look, Wanted(ways=3, seed=4))
    begin_look(desk)
    window = desk.window
    for stage in ("draw", "wiring", "survey"):
        window.adapter.set_stage(stage)
        settle()
        assert desk.band.badge.isVisible()
        assert desk.band.badge.text() == "PRACTICE"
    press(window, Qt.Key.Key_F9)
    assert window.go_round.is_on
    settle()
    assert desk.band.badge.isVisible()
    assert not window.rail.isVisible()
    assert desk.band.toggleViewAction().isEnabled() is False


def test_an_honest_apprentice_gets_every_point_right_and_is_compared_with_the_planner(
    look: Look, desks: list[PracticeDesk]
) -> None:
    desk = practising(desks, look, Wanted(ways=5, seed=4))
    survey(desk)
    settle()
    home = desk.window.adapter.home
    points = len(desk.ready.truth)
    rounds = [record for record in home.sorted(Round) if record.off]
    mine = cells(desk, 1)
    assert mine[0] == str(len(rounds))
    assert mine[1] == str(len(home.table(Check)))
    assert mine[3:] == ["0", "0"]
    assert desk.house.count(home, desk.window.adapter.memo, desk.window.adapter.deduced).right == points
    ours, single = practise([desk.ready.task()], load(), [Method(), Method("one at a time")], 0.0)
    assert cells(desk, 2)[:2] == [str(ours[0].rounds), str(ours[0].checks)]
    assert cells(desk, 3)[:2] == [str(single[0].rounds), str(single[0].checks)]
    assert desk.result.heading.text() == "How the practice went"
    assert "Every answer was what the look showed." in desk.result.lists.text()
    click(desk.window, desk.result.close_button)
    assert not desk.result.isVisibleTo(desk.window)


def test_wrong_answers_and_those_without_a_look_are_listed(look: Look, desks: list[PracticeDesk]) -> None:
    desk = practising(desks, look, Wanted(ways=3, seed=4))
    begin_look(desk)
    panel, cursor = desk.window.survey_stage.panel, desk.window.cursor_
    first = cursor.point
    click(desk.window, desk.card.look_button)
    assert "lit" in desk.card.says.text()
    press(panel, Qt.Key.Key_O)
    second = cursor.point
    assert second != first
    assert "Look at it" in desk.card.says.text()  # what was shown at another point is gone
    press(panel, Qt.Key.Key_S)
    click(desk.window, desk.band.result)
    settle()
    said = desk.result.lists.text()
    assert f"{first} in the look with everything on: it was lit, the answer was “off”." in said
    assert f"{second} in the look with everything on: answered without a look." in said
    assert desk.result.heading.text().startswith("So far: ")


def test_a_tripped_rcd_is_seen_at_its_lamp_and_at_the_board(look: Look, desks: list[PracticeDesk]) -> None:
    desk = practising(desks, look, Wanted("older-terrace", trips=True, seed=3))
    window, stage, cursor = desk.window, desk.window.survey_stage, desk.window.cursor_
    begin_look(desk)
    walk(desk)
    click(window, stage.end)
    settle()
    home = window.adapter.home
    assert cursor.proposal is not None
    first = cursor.proposal.off[0]
    click(window, window.board.button_of(first))
    settle()
    click(window, stage.consent.who.thumbs()[0])
    for tick in stage.consent.findChildren(Tick):
        if tick.isVisibleTo(window) and not tick.isChecked() and tick is not stage.consent.for_visit:
            click(window, tick)
    click(window, stage.consent.open_button)
    witness = cursor.witnesses[0]
    assert cursor.round is not None
    desk.house.trip, desk.house.trip_round = witness.device, cursor.round.id
    click(window, desk.card.lamps_button)
    assert f"{witness.point} is out" in desk.card.beside_says.text()
    click(window, desk.card.board_button)
    assert f"{home.code(witness.device)} (tripped)" in desk.card.beside_says.text()
    assert home.code(first) in desk.card.beside_says.text()
    press(stage.panel, Qt.Key.Key_T)
    settle()
    click(window, next(c for c in stage.events.choices() if c._value == witness.device))
    assert desk.house.trip == witness.device, "it is down until somebody puts it on"
    assert desk.house.trip_found
    assert not desk.card.look_button.isVisibleTo(window), "first whether it is on again"
    click(window, stage.tripped.again)
    assert desk.house.trip == ""
    assert desk.house.down(window.adapter.home, cursor.round) == (first,)
    assert cursor.step == "walk"
    press(stage.panel, Qt.Key.Key_K)
    assert cursor.round is not None
    assert desk.house.shown[cursor.round.id, cursor.point]
    walk(desk)
    assert cursor.step == "power"
    assert "answered without a look" not in " ".join(desk.house.answered_wrongly(window.adapter.home))


def test_closing_it_keeps_nothing_and_stops_the_comparison(
    look: Look, desks: list[PracticeDesk], tmp_path: Path
) -> None:
    desk = practising(desks, look, Wanted("bungalow-tt", error=0.05, seed=3))
    window = desk.window
    click(window, desk.band.result)
    assert "The planner surveys the same home" in desk.result.note.text()
    click(window, desk.band.stop)
    settle()
    assert not isValid(window)
    assert not list(tmp_path.rglob("*.cmap"))
