"""Rooms of a plan being outlined, light and dark; with ``--looks DIR`` each screen is saved there for a person."""

import threading
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk import tracing_work
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import Home
from circuitmap.home.document import Document
from circuitmap.jobs import Ticket
from tests.desk.driving import click, click_plan, settle, show
from tests.desk.plan_home import lay_drawing, point_at
from tests.desk.test_outline_desk import bring_svg


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """Reading goes on only once this is set."""
    held, read = threading.Event(), tracing_work._analysed

    def waiting(data: bytes, page: int, width_px: int, ticket: Ticket) -> tracing_work.Analysis:
        ticket.tick(2, 6, "doors and windows")
        held.wait(10)
        return read(data, page, width_px, ticket)

    monkeypatch.setattr(tracing_work, "_analysed", waiting)
    return held


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_outlining_rooms(
    qtbot: QtBot, look: Look, theme: Theme, gate: threading.Event, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    folder: Path | None = request.config.getoption("--looks")
    window = Window(Adapter(Document.memory(Home.blank("A plan")), trade.load()), look)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    show(window)
    window.adapter.set_stage("draw")

    def take(name: str) -> None:
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        colours = {image.pixelColor(x, y).name().upper() for x in range(0, 1280, 16) for y in range(0, 800, 16)}
        assert len(colours) > 4
        assert colour("paper", theme) in colours
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"outline-{name}-{theme}.png"))

    trace = window.draw_stage.trace
    laid = lay_drawing(window, tmp_path)
    window._message.hide()
    click(window, trace.room_button)
    click_plan(window, *laid.middle(0))
    QTest.qWait(50)
    take("being-read")
    gate.set()
    settle()
    take("named-in-place")
    QTest.keyClicks(window.tracing.name, "Lounge")
    QTest.keyClick(window.tracing.name, Qt.Key.Key_Return)
    settle()
    take("taken")
    window._message.hide()
    window.adapter.select()
    point_at(window, laid.middle(3))
    QTest.qWait(120)
    take("under-the-pointer")
    click_plan(window, *laid.wall())
    take("on-a-wall")
    window._message.hide()
    click(window, trace.all_button)
    settle()
    QTest.keyClick(trace.list, Qt.Key.Key_Down)
    settle()
    take("all-rooms")
    click(window, trace.sure_button)
    settle()
    take("all-taken")
    window.adapter.set_tool("select")
    for _ in range(3):
        window.adapter.undo()
    bring_svg(window, tmp_path, '<text x="240" y="400" font-size="30">KITCHEN</text>',
              '<text x="240" y="440" font-size="20">3.60 x 5.60</text>',
              '<text x="600" y="250" font-size="30">BEDROOM 1</text>',
              '<text x="600" y="550" font-size="30">BATH</text>', mm_per_px=9.0)  # fmt: skip
    window._message.hide()
    click(window, trace.all_button)
    settle()
    take("doubted")
    click(window, trace.take_button)
    settle()
    take("doubt-said")
