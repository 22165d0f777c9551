"""Straightening and scales, light and dark; with ``--looks DIR`` each screen is saved there for a person to look at."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.straightening import Straighten
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Sheet
from circuitmap.plan import to_plan
from tests.desk.driving import drag_plan, settle, show
from tests.desk.photographed import photograph


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_straightening_and_scales(
    qtbot: QtBot, look: Look, theme: Theme, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    folder: Path | None = request.config.getoption("--looks")
    window = Window(Adapter(Document.memory(Home.blank("A photographed plan")), trade.load()), look)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    show(window)
    window.adapter.set_stage("draw")
    draw = window.draw_stage
    photo = photograph(tmp_path)

    def take(name: str, widget: QWidget | None = None) -> None:
        for _ in range(3):
            settle()
            QTest.qWait(60)
        if widget is not None:
            scroll = widget.parentWidget()
            while scroll is not None and not isinstance(scroll, QScrollArea):
                scroll = scroll.parentWidget()
            assert scroll is not None
            scroll.ensureWidgetVisible(widget)
            settle()
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        colours = {image.pixelColor(x, y).name().upper() for x in range(0, 1280, 16) for y in range(0, 800, 16)}
        assert len(colours) > 4
        assert colour("paper", theme) in colours
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"scale-{name}-{theme}.png"))

    def corner(number: int) -> tuple[float, float]:
        gesture = window.view.gesture
        assert isinstance(gesture, Straighten)
        return gesture.corner_mm(number)

    def lies(spot: tuple[float, float]) -> tuple[float, float]:
        matrix = window.adapter.home.sorted(Sheet)[-1].px_to_plan_mm
        assert matrix is not None
        return to_plan(matrix, *spot)

    assert draw.bring(photo.path)
    take("brought")
    window.take_tool("straighten")
    take("begun")
    for number, spot in enumerate(photo.corners_px):
        drag_plan(window, corner(number), lies(spot))
    draw.straighten.paper.setCurrentText("A3")
    draw.straighten.printed.setText("1:50")
    take("corners")
    draw.straighten.choose("unknown")
    window.view.setFocus()
    QTest.keyClick(window.view, Qt.Key.Key_Tab, Qt.KeyboardModifier.NoModifier)
    take("unknown")
    draw.straighten.choose("room")
    drag_plan(window, corner(1), corner(0))
    take("refused")
    drag_plan(window, corner(1), lies(photo.corners_px[1]))
    draw.straighten.choose("paper")
    draw.straighten.take_button.click()
    take("flat")
    storey = window.adapter.storey
    outline = ((2000, 2000), (6000, 2000), (6000, 5000), (2000, 5000))
    window.adapter.do(verbs.add_room(window.adapter.home, "Kitchen", outline, storey))
    draw.scale.begin("room")
    take("by-room", draw.scale.card)
    entry = draw.findChild(QLineEdit, "scale-across")
    assert entry is not None
    entry.setText("wide")
    draw.scale.use()
    take("by-room-refused", draw.scale.card)
    draw.scale.begin("print")
    take("by-print", draw.scale.card)
    draw.scale.begin("points")
    draw.take_picked((lies(photo.seen(160, 200)), lies(photo.seen(560, 200))))
    draw.scale.length.setText("7.9 m")
    take("points", draw.scale.card)
    draw.scale.use()
    assert draw.scale.along.isVisibleTo(window)
    take("along", draw.scale.along)
    draw.scale.along.stays.click()
    take("doubt", draw.scale.doubt)
