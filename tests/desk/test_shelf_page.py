"""The shelf on the desk: filled off the window's thread, searched, walked by keys; a start page loses nothing."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QToolButton
from pytestqt.qtbot import QtBot

from circuitmap.desk import prefs
from circuitmap.desk.shelf_acts import Shelving, shelving_of
from circuitmap.desk.shelf_list import lines_of, today
from circuitmap.desk.shelf_page import ShelfPage
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import open_home, write_folder
from circuitmap.places import user_data
from tests.desk.driving import settle
from tests.shelf import ics
from tests.shelf.homes import noted, save, small, visited

Opened = Callable[[Home], Window]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    homes = tmp_path / "homes"
    homes.mkdir()
    built = small("Mill Cottage", address="Mill Lane 3", tenure="rented", country="England")
    visited(built, "2020-01-05", "periodic")
    noted(built, "P1", "scorched")
    save(built.home, homes / "a.cmap")
    save(small("x" * 300).home, homes / "b.cmap")
    save(small("غرفة 👩‍🔧").home, homes / "c.cmap")
    (homes / "d.cmap").write_bytes(b"something else")
    write_folder(homes / "e", small("In text").home)
    kept = prefs.load()
    kept.shelf = str(homes)
    prefs.save(kept)
    return homes


def shown(window: Window, qtbot: QtBot) -> tuple[Shelving, ShelfPage]:
    shelving = shelving_of(window)
    if not shelving.is_shown:
        window.actions_["shelf"].trigger()
    page = shelving.page
    assert page is not None
    qtbot.waitUntil(lambda: page.stop_button.isHidden(), timeout=60_000)
    settle()
    return shelving, page


def titles(page: ShelfPage) -> list[str]:
    return [page.model.row(page.model.index(n, 0)).entry.title for n in range(page.model.rowCount())]


def test_the_homes_of_a_folder_are_listed_with_what_is_open_and_due(
    opened: Opened, small: Home, folder: Path, qtbot: QtBot
) -> None:
    window = opened(small)
    shelving, page = shown(window, qtbot)
    assert shelving.is_shown
    assert page.geometry() == window.centralWidget().rect()
    assert titles(page) == ["Mill Cottage", "x" * 300, "غرفة 👩‍🔧", "d", "In text"]
    first = page.model.row(page.model.index(0, 0))
    said = lines_of(first, today())
    assert said[0] == "Mill Lane 3"
    assert said[1] == "Last visit 5 January 2020"
    assert "overdue since" in said[2]
    assert "1 C2" in said[3]
    broken = page.model.index(3, 0)
    assert "not a home file" in str(page.model.data(broken, Qt.ItemDataRole.AccessibleTextRole))
    assert page.says.text() == "4 properties, and 1 that can't be read."


def test_enter_opens_the_home_that_the_keys_came_to(opened: Opened, small: Home, folder: Path, qtbot: QtBot) -> None:
    window = opened(small)
    shelving, page = shown(window, qtbot)
    assert page.search.hasFocus()
    QTest.keyClick(page.search, Qt.Key.Key_Down)
    QTest.keyClick(page.search, Qt.Key.Key_Down)
    QTest.keyClick(page.search, Qt.Key.Key_Return)
    settle()
    assert window.adapter.document.path == folder / "c.cmap"
    assert not shelving.is_shown


def test_a_double_click_opens_a_text_form_as_a_file_of_its_own(
    opened: Opened, small: Home, folder: Path, qtbot: QtBot
) -> None:
    window = opened(small)
    _, page = shown(window, qtbot)
    page.list.scrollToBottom()
    settle()
    spot = page.list.visualRect(page.model.index(4, 0)).center()
    QTest.mouseClick(page.list.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot)
    QTest.mouseDClick(page.list.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot)
    settle()
    assert window.adapter.home.details.name == "In text"


def test_a_home_that_cannot_be_read_says_why_and_all_stays(
    opened: Opened, small: Home, folder: Path, qtbot: QtBot
) -> None:
    window = opened(small)
    shelving, page = shown(window, qtbot)
    page.list.setCurrentIndex(page.model.index(3, 0))
    QTest.keyClick(page.list, Qt.Key.Key_Return)
    settle()
    assert "d.cmap can't be opened" in page.says.text()
    assert shelving.is_shown
    assert window.adapter.home == small


def test_words_are_looked_for_in_all_homes(opened: Opened, small: Home, folder: Path, qtbot: QtBot) -> None:
    window = opened(small)
    shelving, page = shown(window, qtbot)
    QTest.keyClicks(page.search, "mill worktop")
    assert titles(page) == []
    page.search.setText("worktop left")
    assert len(titles(page)) == 4
    assert lines_of(page.model.row(page.model.index(0, 0)), today())[-1] == "P1 Worktop left, socket, Kitchen"
    QTest.keyClick(page.search, Qt.Key.Key_Escape)
    assert page.search.text() == ""
    assert len(titles(page)) == 5
    QTest.keyClick(page.search, Qt.Key.Key_Escape)
    assert not shelving.is_shown
    assert window.adapter.home == small


def test_another_folder_is_remembered(opened: Opened, small: Home, folder: Path, tmp_path: Path, qtbot: QtBot,
                                      monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    window = opened(small)
    _, page = shown(window, qtbot)
    other = tmp_path / "other"
    other.mkdir()
    monkeypatch.setattr("circuitmap.desk.shelf_page.QFileDialog.getExistingDirectory", lambda *_: str(other))
    page.choose()
    qtbot.waitUntil(lambda: page.stop_button.isHidden(), timeout=60_000)
    settle()
    assert titles(page) == []
    assert page.says.text() == "There is no property in this folder."
    QTest.keyClicks(page.search, "sockets")
    assert page.says.text() == "There is no property in this folder."
    (clear,) = page.search.findChildren(QToolButton)
    assert abs(clear.geometry().center().y() - page.search.rect().center().y()) <= 1
    assert clear.sizeHint().height() <= page.search.height()
    page.search.clear()
    assert prefs.load().shelf == str(other)


def test_going_to_a_stage_leaves_the_shelf(opened: Opened, small: Home, folder: Path, qtbot: QtBot) -> None:
    window = opened(small)
    shelving, _ = shown(window, qtbot)
    window.actions_["stage-survey"].trigger()
    assert not shelving.is_shown


@pytest.mark.parametrize("action", ["stage-draw", "show-plan", "show-list", "show-findings"])
def test_what_lies_beneath_the_shelf_is_gone_to_by_its_key(
    opened: Opened, small: Home, folder: Path, qtbot: QtBot, action: str
) -> None:
    window = opened(small)
    window.adapter.set_stage("draw")
    shelving, page = shown(window, qtbot)
    QTest.keyClick(page.list, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert page.search.hasFocus()
    key = window.actions_[action].shortcuts()[0][0]
    QTest.keyClick(page.search, key.key(), key.keyboardModifiers())
    assert not shelving.is_shown


def test_the_shelf_keeps_the_size_of_the_window(opened: Opened, small: Home, folder: Path, qtbot: QtBot) -> None:
    window = opened(small)
    _, page = shown(window, qtbot)
    window.resize(900, 600)
    settle()
    assert page.geometry() == window.centralWidget().rect()
    assert page.list.visualRect(page.model.index(0, 0)).right() <= page.list.viewport().width()


def test_the_days_that_are_due_go_into_a_calendar(
    opened: Opened, small: Home, folder: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    window = opened(small)
    _, page = shown(window, qtbot)
    page.write_calendar(tmp_path / "due.ics")
    events = ics.check((tmp_path / "due.ics").read_bytes())
    assert {event["DTSTART"][0][1] for event in events} == {"20250105", "20200202"}
    assert page.says.text() == "2 days that are due are in due.ics."
    page.write_calendar(tmp_path / "nowhere" / "due.ics")
    assert "can't be written" in page.says.text()
    tip = str(page.model.data(page.model.index(0, 0), Qt.ItemDataRole.ToolTipRole))
    assert "gov.uk" in tip


# -- starting without a home ----------------------------------------------------------------------------------------


def homes_made() -> list[Path]:
    return sorted((user_data() / "homes").glob("*.cmap"))


def test_a_start_without_a_home_makes_no_file_until_there_is_something_in_it(
    opened: Opened, folder: Path, qtbot: QtBot
) -> None:
    window = opened(Home.blank())
    shelving_of(window).start()
    shelving, page = shown(window, qtbot)
    assert page.back.isHidden()
    assert not homes_made()
    page.list.setCurrentIndex(page.model.index(0, 0))
    QTest.keyClick(page.list, Qt.Key.Key_Return)
    settle()
    assert window.adapter.home.details.name == "Mill Cottage"
    assert not homes_made()
    assert not shelving.is_shown


def test_going_on_from_the_start_page_gives_the_new_home_a_file(opened: Opened, folder: Path, qtbot: QtBot) -> None:
    window = opened(Home.blank())
    shelving_of(window).start()
    shelving, _ = shown(window, qtbot)
    window.actions_["stage-survey"].trigger()
    settle()
    (path,) = homes_made()
    assert window.adapter.document.path == path
    assert not shelving.is_shown


def test_what_is_done_behind_the_start_page_is_in_a_file_at_once(opened: Opened, folder: Path, qtbot: QtBot) -> None:
    window = opened(Home.blank())
    shelving_of(window).start()
    shown(window, qtbot)
    window.adapter.do(lambda home: verbs.add_storey(home, "Ground"))
    settle()
    (path,) = homes_made()
    assert window.adapter.document.path == path
    window.adapter.do(lambda home: verbs.add_storey(home, "First", 1))
    window.close()
    assert len(open_home(path).table(type(open_home(path).get("G1")))) == 2


def test_a_mark_on_the_start_page_is_not_lost_either(opened: Opened, folder: Path, qtbot: QtBot) -> None:
    window = opened(Home.blank())
    shelving_of(window).start()
    shown(window, qtbot)
    window.actions_["mark-home"].trigger()
    settle()
    (path,) = homes_made()
    assert window.adapter.document.path == path
    assert [mark.name for mark in window.adapter.document.marks()] == ["as found"]


def test_an_empty_start_says_so(opened: Opened, qtbot: QtBot) -> None:
    window = opened(Home.blank())
    shelving_of(window).start()
    _, page = shown(window, qtbot)
    assert page.says.text() == "There is no property in this folder."
    (hint,) = (label for label in page.list.findChildren(QLabel) if label.isVisible())
    assert "Begin a new home" in hint.text()
    assert not homes_made()
    assert QApplication.widgetAt(QPoint(-5, -5)) is None
