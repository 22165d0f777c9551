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
