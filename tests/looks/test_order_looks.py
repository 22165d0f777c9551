"""The order of a ring from two sweeps, from nothing read to all of it drawn; with ``--looks DIR`` saved as pictures."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.order_page import OrderCard
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home.document import Document
from tests.desk.driving import press, settle, show
from tests.desk.meter_home import key, read_way
from tests.desk.order_home import OrderHome


@pytest.fixture
def look(qapp: QApplication, theme: Theme) -> Iterator[Look]:
    made = Look(qapp, theme)
    yield made
    made.choose("paper")


@pytest.mark.parametrize("size", [QSize(1280, 800), QSize(1920, 1080)], ids=["small", "large"])
@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_a_ring_is_drawn_from_its_sweeps_in_its_window(
    look: Look, theme: Theme, size: QSize, request: pytest.FixtureRequest
) -> None:
    folder = request.config.getoption("--looks")

    def opened(home: OrderHome) -> Window:
        window = Window(Adapter(Document.memory(home.home), trade.load()), look)
        window.resize(size)
        show(window)
        window.fit()
        read_way(window, home.ring)
        window.actions_["readings-order"].trigger()
        settle()
        return window

    def take(window: Window, name: str) -> None:
        settle()
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        assert image.size() == size
        colours = {image.pixelColor(x, y).name().upper() for x in range(0, image.width(), 8)
                   for y in range(0, image.height(), 8)}  # fmt: skip
        assert colour("paper", theme) in colours
        assert len(colours) > 6
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"order-{name}-{theme}-{size.width()}.png"))

    def close(window: Window) -> None:
        window.close()
        window.deleteLater()
        settle()

    def card_of(window: Window) -> OrderCard:
        return window.readings_stage.order

    window = opened(OrderHome())
    take(window, "01-nothing-read")
    close(window)

    home = OrderHome(beyond_m=4)
    home.run("P5", "P8")
    home.read_all()
    window = opened(home)
    take(window, "02-parts")
    for _ in range(3):
        key(Qt.Key.Key_Down)
    key(Qt.Key.Key_Return)
    take(window, "03-accepted")
    key(Qt.Key.Key_Home)
    key(Qt.Key.Key_Down)
    take(window, "04-otherwise-on-the-map")
    key(Qt.Key.Key_End)
    take(window, "05-one-of-two")
    card = card_of(window)
    card.counts.list.setFocus()
    key(Qt.Key.Key_Down)
    key(Qt.Key.Key_Return)
    take(window, "06-count")
    close(window)

    home = OrderHome(legs_m=(6, 9, 7, 11, 0.4, 8, 10, 12))
    home.read_all()
    window = opened(home)
    key(Qt.Key.Key_End)
    take(window, "07-near-neighbours")
    card = card_of(window)
    press(card.parts.all_button, Qt.Key.Key_Space)
    settle()
    take(window, "08-sure-ones-drawn")
    while card.parts.choices:
        press(card.parts.list, Qt.Key.Key_Return)
        settle()
    take(window, "09-all-drawn")
    assert card.parts.count.text().startswith("All that")
    close(window)
