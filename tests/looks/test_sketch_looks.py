"""Drawing from nothing, light and dark; with ``--looks DIR`` each screen is saved there for a person to look at."""

from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import Home
from circuitmap.home.document import Document
from circuitmap.home.records import Room
from tests.desk.driving import px, settle, show, type_into
from tests.desk.test_sketch import BUNGALOW

LEFT, NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier


def hold(window: Window, a_mm: tuple[float, float], b_mm: tuple[float, float]) -> None:
    """Press and drag without letting go."""
    viewport = window.view.viewport()
    a, b = px(window, *a_mm), px(window, *b_mm)
    QTest.mousePress(viewport, LEFT, NONE, a)
    for share in (0.5, 1.0):
        spot = QPointF(a + (b - a) * share)
        there = QPointF(viewport.mapToGlobal(spot.toPoint()))
        QApplication.sendEvent(viewport, QMouseEvent(QEvent.Type.MouseMove, spot, there, Qt.MouseButton.NoButton,
                                                     LEFT, NONE))  # fmt: skip


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_drawing_from_nothing(qtbot: QtBot, look: Look, theme: Theme, request: pytest.FixtureRequest) -> None:
    folder: Path | None = request.config.getoption("--looks")
    window = Window(Adapter(Document.memory(Home.blank("From nothing")), trade.load()), look)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    show(window)

    def take(name: str) -> None:
        settle()
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        colours = {image.pixelColor(x, y).name().upper() for x in range(0, 1280, 16) for y in range(0, 800, 16)}
        assert len(colours) > 4
        assert colour("paper", theme) in colours
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"sketch-{name}-{theme}.png"))

    def room(name: str) -> Room:
        return next(r for r in window.adapter.home.sorted(Room) if r.name == name)

    def escape() -> None:
        window.view.setFocus()
        QTest.keyClick(window.view, Qt.Key.Key_Escape)
        QTest.mouseRelease(window.view.viewport(), LEFT, NONE, window.view.viewport().rect().center())

    for line in BUNGALOW[:3]:
        type_into(window, "sketch-room", line)
    window._message.hide()
    field = window.draw_stage.sketch.field
    field.setText("Bedroom 1 4 × 3.9 left of Hall")
    field.setFocus()
    take("typing")
    field.setText("Study 3 × bananas")
    take("not-understood")
    field.clear()
    for line in BUNGALOW[3:]:
        type_into(window, "sketch-room", line)
    take("bungalow")
    window._message.hide()
    window.fit()
    settle()
    window.adapter.select(room("Kitchen").id)
    x0, y0 = room("Kitchen").outline_mm[0]
    spot = px(window, x0 + 1800, y0 + 3900)
    for aside in (40, 0):
        QTest.mouseMove(window.view.viewport(), spot + QPoint(aside, -aside))
        settle()
    take("side-under-pointer")
    hold(window, (x0 + 1800, y0 + 3900), (x0 + 1800, y0 + 4600))
    take("side-dragged")
    QTest.keyClicks(window.view, "4.25")
    take("side-typed")
    escape()
    hold(window, (x0 + 1800, y0 + 2500), (x0 + 400, y0 + 2500))
    take("room-refused")
    escape()
    window.adapter.select(room("Bathroom").id)
    x, y = room("Bathroom").outline_mm[3]
    hold(window, (x, y), (x - 500, y + 20))
    take("corner-dragged")
    escape()
    window.adapter.select(room("Lounge").id)
    field.setText("Porch 1.5 × 1.2")
    window.view.zoom_by(0.75)
    window.take_tool("sized room")
    window.view.gesture.hover(window.view.touch_at(QPointF(px(window, 600, -800))))
    window.view.viewport().update()
    take("by-click")
    window.adapter.set_tool("cut")
    x, y = room("Lounge").outline_mm[2]
    hold(window, (x + 300, y + 300), (x - 1500, y - 1200))
    take("cut")
    QTest.mouseRelease(window.view.viewport(), LEFT, NONE, px(window, x - 1500, y - 1200))
    window._message.hide()
    assert len(room("Lounge").outline_mm) == 6
    take("cut-done")
