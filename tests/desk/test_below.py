"""What is selected gives way to the survey's panel unless it is wanted."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from tests.desk.conftest import Opened
from tests.desk.driving import click, settle
from tests.desk.survey_home import SmallHome


def test_what_is_selected_gives_way_to_the_walk(opened: Opened) -> None:
    home = SmallHome()
    home.asked()
    window = opened(home.home)
    assert window.tabs.isVisible()
    window.adapter.set_stage("survey")
    assert not window.tabs.isVisible(), "nothing is selected"
    window.adapter.select(home.k1)
    assert window.tabs.isVisible()
    click(window, window.survey_stage.start_button)
    click(window, window.survey_stage.look_button)
    assert not window.tabs.isVisible(), "a thumb needs the height"
    window.show_findings()
    settle()
    assert window.tabs.isVisible()
    QTest.keyClick(window, Qt.Key.Key_F9)
    settle()
    assert not window.tabs.isVisible()
    QTest.keyClick(window.survey_stage.panel, Qt.Key.Key_Escape)
    settle()
    assert window.tabs.isVisible(), "as it was"
    window.adapter.set_stage("wiring")
    assert window.tabs.isVisible()


def test_what_was_selected_elsewhere_leaves_the_start_of_a_visit_in_sight(opened: Opened) -> None:
    home = SmallHome()
    home.asked()
    window = opened(home.home)
    window.adapter.select(home.k1)
    window.show_findings()
    window.adapter.set_stage("survey")
    settle()
    assert not window.tabs.isVisible()
    start = window.survey_stage.start_button
    assert start.visibleRegion().boundingRect().height() == start.height()
    window.adapter.select(home.k2)
    assert window.tabs.isVisible(), "chosen here"


def test_a_page_to_read_has_the_height_until_what_is_selected_is_asked_for(opened: Opened) -> None:
    home = SmallHome()
    window = opened(home.home)
    window.adapter.select(home.k1)
    window.actions_["what-feeds"].trigger()
    settle()
    assert not window.tabs.isVisible()
    window.focus_inspector()
    assert window.tabs.isVisible()
    window.show_shortcuts()
    assert not window.tabs.isVisible()
    window.close_page()
    assert window.tabs.isVisible()
