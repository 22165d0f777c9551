"""What feeds this? on the desk: the field, the answer beside the plan, the way there from Find and from a selection."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton, QScrollArea
from pytestqt.qtbot import QtBot

from circuitmap.circuits.feeding_says import CAUTION
from circuitmap.circuits.which import NOT_PROOF
from circuitmap.desk.feeds_page import FeedsPage
from circuitmap.desk.parts import Card, Label
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import read_folder
from circuitmap.places import sample_homes
from tests.desk.driving import settle

Opened = Callable[[Home], Window]


def page_of(window: Window) -> FeedsPage:
    (page,) = window.findChildren(FeedsPage)
    assert page.isVisible()
    return page


def said(page: FeedsPage) -> str:
    return "\n".join(label.text() for label in page.findChildren(Label) if not label.isHidden())


def wait(qtbot: QtBot, page: FeedsPage, words: str) -> None:
    qtbot.waitUntil(lambda: words in said(page), timeout=10_000)
    settle()


def test_typed_words_are_answered_beside_the_plan(opened: Opened, small: Home, qtbot: QtBot) -> None:
    window = opened(small)
    window.actions_["what-feeds"].trigger()
    page = page_of(window)
    assert page.field.hasFocus()
    QTest.keyClicks(page.field, "kitchen light")
    wait(qtbot, page, "“kitchen light” fits 1 point.")
    text = said(page)
    assert "Use the main switch" in text
    assert "may be" in text
    assert "A3 “Lights”" in text
    assert NOT_PROOF in text
    assert page.findChildren(Card)


def test_the_caution_stays_in_sight_beside_a_long_answer(opened: Opened, qtbot: QtBot) -> None:
    window = opened(read_folder(sample_homes() / "older-terrace").home)
    window.resize(1366, 768)
    window.actions_["what-feeds"].trigger()
    page = page_of(window)
    QTest.keyClicks(page.field, "kitchen")
    wait(qtbot, page, "“kitchen” fits 19 points.")
    assert page.findChild(QScrollArea).verticalScrollBar().maximum() > 0
    (caution,) = (label for label in page.findChildren(Label) if CAUTION in label.text())
    assert caution.height() >= caution.heightForWidth(caution.width())
    assert caution.visibleRegion().boundingRect() == caution.rect()


def test_a_change_of_the_home_changes_the_answer(opened: Opened, small: Home, qtbot: QtBot) -> None:
    window = opened(small)
    window.actions_["what-feeds"].trigger()
    page = page_of(window)
    page.ask("P1")
    wait(qtbot, page, "may be")
    device = next(d.id for d in small.devices_on("B1") if d.label == "Sockets")
    window.adapter.do(lambda home: verbs.tag(home, "P1", device, "tested"))
    wait(qtbot, page, "stops working when A1 is off")
    assert "30 mA type A" in said(page)


def test_find_leads_there_by_keys_alone(opened: Opened, small: Home, qtbot: QtBot) -> None:
    window = opened(small)
    window.focus_find()
    QTest.keyClicks(window.find_field, "freezer")
    assert [found.kind for found in window.find_field.results] == ["answer"]
    QTest.keyClick(window.find_field, Qt.Key.Key_Return)
    page = page_of(window)
    wait(qtbot, page, "P1 twin socket in Kitchen (freezer)")
    QTest.keyClick(page.field, Qt.Key.Key_Escape)
    assert not page.isVisible()


def test_what_is_selected_is_asked_about_and_shown(opened: Opened, small: Home, qtbot: QtBot) -> None:
    window = opened(small)
    window.adapter.select("P2")
    window.actions_["what-feeds"].trigger()
    page = page_of(window)
    wait(qtbot, page, "P2 twin socket")
    shown: list[tuple[str, ...]] = []
    window.adapter.shown.connect(shown.append)
    button = next(b for b in page.findChildren(QPushButton) if b.text() == "Show on the plan")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert shown == [("P2",)]


def test_nothing_found_and_nothing_typed_are_said(opened: Opened, small: Home, qtbot: QtBot) -> None:
    window = opened(small)
    window.actions_["what-feeds"].trigger()
    page = page_of(window)
    page.ask("sauna " * 80)
    wait(qtbot, page, "No point, room or way here is called")
    page.ask("")
    settle()
    assert not page.findChildren(Card)
