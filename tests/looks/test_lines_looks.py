"""Snapping to a drawing's lines and walls made of them, light and dark; with ``--looks DIR`` each screen is saved."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home.document import Document
from circuitmap.home.records import Sheet
from tests.build import Builder
from tests.desk.driving import px, settle, show
from tests.desk.lined_home import lay_lines, on_plan

pytestmark = pytest.mark.parametrize("theme", ["paper", "dark"])
Take = Callable[[QWidget, str], QImage]


@pytest.fixture
def window(qtbot: QtBot, look: Look, tmp_path: Path) -> Window:
    made = Window(Adapter(Document.memory(Builder().home), trade.load()), look)
    qtbot.addWidget(made)
    made.resize(1280, 800)
    show(made)
    lay_lines(made, tmp_path)
    return made


@pytest.fixture
def take(theme: Theme, request: pytest.FixtureRequest) -> Take:
    folder: Path | None = request.config.getoption("--looks")

    def save(widget: QWidget, name: str) -> QImage:
        settle()
        shot = widget.grab()
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"lines-{name}-{theme}.png"))
        return shot.toImage().convertToFormat(QImage.Format.Format_RGB32)

    return save


def beside(window: Window, x: float, y: float, dx: int = -3, dy: int = -4) -> QPoint:
    return px(window, *on_plan(window.adapter.home.sorted(Sheet)[-1], x, y)) + QPoint(dx, dy)


def inked(image: QImage, middle: QPoint, name: str, reach: int = 9) -> int:
    """How many pixels about a spot have nearly a colour."""
    wanted = QImage(1, 1, QImage.Format.Format_RGB32)
    wanted.fill(name)
    want = wanted.pixelColor(0, 0)
    count = 0
    for x in range(middle.x() - reach, middle.x() + reach + 1):
        for y in range(middle.y() - reach, middle.y() + reach + 1):
            have = image.pixelColor(x, y)
            apart = max(abs(have.red() - want.red()), abs(have.green() - want.green()), abs(have.blue() - want.blue()))
            count += apart < 24
    return count


@pytest.mark.parametrize(
    ("name", "spot"), [("end", (3100, 1300)), ("line", (1900, 1800)), ("crossing", (4600, 2800))]
)  # fmt: skip
def test_what_is_snapped_to_is_marked_on_the_plan(
    window: Window, take: Take, theme: Theme, name: str, spot: tuple[float, float]
) -> None:
    window.take_tool("room")
    viewport = window.view.viewport()
    QTest.mouseMove(viewport, QPoint(300, 300))
    settle()
    QTest.mouseClick(viewport, Qt.MouseButton.LeftButton, pos=beside(window, 300, 300))
    QTest.mouseMove(viewport, beside(window, *spot, -20, 0))
    QTest.mouseMove(viewport, beside(window, *spot))
    settle()
    take(window, f"snap-{name}")
    image = take(viewport, f"snap-{name}-plan")
    marked = inked(image, beside(window, *spot, 0, 0), colour("route", theme), 10)
    assert marked >= 8


def test_the_choice_of_lines_and_the_walls_before_and_after(window: Window, take: Take) -> None:
    card = window.draw_stage.building.lines
    window.actions_["walls-from-lines"].trigger()
    settle()
    QTest.qWait(200)
    settle()
    take(window, "choice")
    for part in (card._words, card._says):
        assert part.height() >= part.heightForWidth(part.width()) - 1, part.text()
    for n in range(card.list.count()):
        assert card.list.visualItemRect(card.list.item(n)).width() > 60
    card.single.setText("100 mm")
    card.single.textEdited.emit("100 mm")
    for n in range(card.list.count()):
        card.list.item(n).setCheckState(Qt.CheckState.Checked)
    QTest.qWait(200)
    settle()
    take(window, "choice-all")
    card.make()
    take(window, "made")
