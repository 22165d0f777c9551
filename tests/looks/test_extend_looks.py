"""The Extend stage from the first wish to what is planned, light and dark; with ``--looks DIR`` saved as pictures."""

import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.stages.extend import OPTIONS
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home.document import Document
from tests.desk.driving import click, show, type_into
from tests.desk.extend_home import cards, extend, laid_out, plant_two, rest, terrace


@pytest.mark.parametrize("size", [QSize(1366, 768), QSize(1920, 1080)], ids=["small", "large"])
@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_wishes_options_and_a_plan_in_the_window(
    look: Look, theme: Theme, size: QSize, qtbot: QtBot, request: pytest.FixtureRequest
) -> None:
    folder = request.config.getoption("--looks")
    window = Window(Adapter(Document.memory(terrace()), trade.load()), look)
    window.resize(size)
    show(window)
    stage = extend(window)

    def take(name: str) -> None:
        rest()
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        assert image.size() == size
        colours = {image.pixelColor(x, y).name().upper() for x in range(0, image.width(), 8)
                   for y in range(0, image.height(), 8)}  # fmt: skip
        assert colour("paper", theme) in colours
        assert len(colours) > 6
        assert not wider_than_the_panel(stage)
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"extend-{name}-{theme}-{size.width()}.png"))

    laid_out(window, qtbot)
    take("01-nothing-wished")
    plant_two(window, qtbot)
    type_into(window, "wish-words", "light, Kitchen, ceiling, wall 1, 3.0 m, 1.0 m")
    type_into(window, "wish-words", "move P22, Kitchen, wall 1, 4.3 m, 1100 mm")
    type_into(window, "wish-words", "remove P37")
    laid_out(window, qtbot)
    take("02-wishes")
    stage.tabs.setCurrentIndex(OPTIONS)
    take("03-options")
    click(window, stage.options.fit.more)
    take("04-first")
    click(window, stage.options.fit.more)
    card = next(card for card in cards(window) if 0 in card.option.wishes)
    card.setFocus()
    stage.options.open_option(card.option)
    detail = stage.options.detail
    qtbot.waitUntil(lambda: detail.range.text().startswith("low "), timeout=30_000)
    rest()
    take("05-open")
    for wishes in dict.fromkeys(each.option.wishes for each in cards(window)):
        stage.pick(next(each.option for each in cards(window) if each.option.wishes == wishes))
    take("06-picked")
    stage.options.close_detail()
    stage.accept()
    qtbot.waitUntil(lambda: "R1+R2" in stage.planned.text, timeout=30_000)
    take("07-planned")
    window.adapter.select("P37")
    window.focus_inspector()
    take("08-to-go")
    stage.say_done()
    window.adapter.select()
    take("09-done")
    window.close()
    window.deleteLater()
    rest()


def wider_than_the_panel(stage: QWidget) -> list[str]:
    """The widgets that reach beyond the stage's right edge, cards in their own scrolled row apart."""
    from circuitmap.desk.option_card import OptionCard

    return [
        f"{type(widget).__name__} {widget.objectName()}"
        for widget in stage.findChildren(QWidget)
        if widget.isVisibleTo(stage)
        and widget.width() > stage.width()
        and not widget.findChildren(OptionCard)
        and not widget.objectName().startswith("qt_")
    ]
