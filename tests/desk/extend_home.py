"""The older terrace in the Extend stage, driven with mouse and keys."""

from functools import cache

import msgspec
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap.desk.option_card import OptionCard
from circuitmap.desk.stages.extend import ExtendStage
from circuitmap.desk.window import Window
from circuitmap.drawing.marks import Words
from circuitmap.home import Home
from circuitmap.home.records import Place
from tests.desk.driving import click, click_plan
from tests.samples import make_terrace

DESK_KEYS = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
# On the kitchen's wall 2, which runs down the plan at x = 5000 and looks to the left; two spots with nothing there.
FIRST, SECOND = (4960.0, 4400.0), (4960.0, 3400.0)


@cache
def terrace() -> Home:
    """The sample home with a whole ring A4 in its kitchen; made once, for nothing in it ever changes."""
    return make_terrace.make().home


def extend(window: Window) -> ExtendStage:
    """Go to the stage, with the ground floor in sight."""
    window.adapter.set_stage("extend")
    window.fit()
    rest()
    return window.extend_stage


def rest() -> None:
    """Let layouts happen, and not wait for what is worked out beside the window."""
    for _ in range(4):
        QApplication.processEvents()


def laid_out(window: Window, qtbot: QtBot) -> None:
    """Wait until the options are those of the map as it is."""
    asked = window.extend_stage.asked
    qtbot.waitUntil(lambda: asked.is_current and not asked.is_busy, timeout=30_000)
    rest()


def plant_two(window: Window, qtbot: QtBot) -> None:
    """Wish two twin sockets on the kitchen's wall by clicking it, and wait for the options."""
    click(window, window.extend_stage.wishes.card.plant_button)
    for spot in (FIRST, SECOND):
        click_plan(window, *spot)
    window.adapter.set_tool("select")
    laid_out(window, qtbot)


def cards(window: Window, *, sound: bool = True) -> list[OptionCard]:
    """All cards of sound ways (or of those that fail), in their order."""
    rows = window.extend_stage.options.rows
    return [card for row in rows for card in row.cards if card.option.is_sound == sound]


def over_plan(window: Window) -> list[str]:
    """The words that lie over the plan."""
    return [mark.text for mark in window.view._promises if isinstance(mark, Words)]


def key(window: Window, pressed: Qt.Key) -> None:
    """A key of the stage, wherever the focus is."""
    QTest.keyClick(QApplication.focusWidget() or window.view, pressed, DESK_KEYS)
    QApplication.processEvents()


def along(place: Place, y_mm: int) -> Place:
    """The same wall, further along."""
    return msgspec.structs.replace(place, y_mm=y_mm)
