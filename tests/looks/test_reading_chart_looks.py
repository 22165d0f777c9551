"""A ring's readings as chart, loop view and likely causes, light and dark; with ``--looks DIR`` saved as pictures."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QHBoxLayout, QVBoxLayout, QWidget

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_panel import CausesPanel
from circuitmap.desk.reading_chart import ReadingSight
from circuitmap.desk.theme import Look
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home.document import Document
from circuitmap.readings.faults import Fault, Joint, OpenCore
from circuitmap.readings.predict import predict
from circuitmap.trade import load
from circuitmap.words import Core, LinkKind
from tests.desk.driving import settle
from tests.drawing.swept import Swept

SWEEPS: tuple[tuple[LinkKind, tuple[Core, Core]], ...] = (("cross", ("L", "N")), ("one leg", ("L", "E")))


class Shown:
    """Both halves of what the Readings stage shows beside its sheet."""

    def __init__(self, swept: Swept, look: Look, size: QSize) -> None:
        self.adapter = Adapter(Document.memory(swept.home), trade.load())
        self.window = QWidget()
        self.window.setObjectName("looked-at")
        self.window.setStyleSheet(f"#looked-at {{ background: {look.colour('paper').name()}; }}")
        self.sight = ReadingSight(self.adapter, look, self.window)
        self.panel = CausesPanel(self.adapter, look, self.window)
        self.panel.cause_chosen.connect(self.sight.show_cause)
        layout = QHBoxLayout(self.window)
        for widget in (self.sight, self.panel):
            column = QVBoxLayout()
            column.addWidget(widget)
            column.addStretch(1)
            layout.addLayout(column, 1)
        self.window.resize(size)
        self.window.show()
        view = self.adapter.view_of(swept.way_id)
        self.sight.show_view(view)
        self.panel.show_view(view)
        settle()
        settle()

    def close(self) -> None:
        self.window.close()
        self.window.deleteLater()
        settle()
        self.adapter.close()


def with_fault(count: int, *faults: int, joint: bool = False) -> Swept:
    """A ring read twice round with an open line in some run, or a poor joint there."""
    swept = Swept(count, named=True)
    planted: list[Fault] = [
        Joint(swept.sockets[n - 1], swept.loop_runs[n], "N", 0.5) if joint else OpenCore(swept.loop_runs[n], ("L",))
        for n in faults
    ]
    for link, cores in SWEEPS if not joint else (("cross", ("L", "N")),):
        told = predict(swept.on_way, load(), link, cores, faults=planted, home=swept.home)
        for n, (place, each) in enumerate(told.items()):
            if each.ohm is not None:
                swept.read(place, ">200" if each.is_open else f"{each.ohm + 0.01 * (n % 3 - 1):.2f}", link, cores)
    return swept


@pytest.fixture
def look(qapp: QApplication, theme: Theme) -> Iterator[Look]:
    made = Look(qapp, theme)
    yield made
    made.choose("paper")


@pytest.mark.parametrize("theme", ["paper", "dark"])
@pytest.mark.parametrize("size", [QSize(760, 980), QSize(1300, 980)], ids=["small", "large"])
def test_readings_of_a_ring_and_what_they_may_mean(
    look: Look, theme: Theme, size: QSize, request: pytest.FixtureRequest
) -> None:
    folder = request.config.getoption("--looks")

    def take(shown: Shown, name: str) -> None:
        settle()
        shot = shown.window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        across, down = range(0, image.width(), 8), range(0, image.height(), 8)
        colours = {image.pixelColor(x, y).name().upper() for x in across for y in down}
        assert len(colours) > 4
        assert colour("paper", theme) in colours
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"chart-{name}-{theme}-{size.width()}.png"))

    shown = Shown(Swept(8, named=True), look, size)
    take(shown, "01-nothing-read")
    shown.close()
    shown = Shown(with_fault(8, 4), look, size)
    take(shown, "02-open-line")
    assert shown.panel.diagnosis is not None
    shown.panel.causes.setCurrentRow(0)
    shown.sight.show_place("P5")
    take(shown, "03-cause-chosen")
    shown.sight.show_sweep("one leg", ("L", "E"))
    settle()
    take(shown, "04-one-leg")
    shown.close()
    swept = with_fault(12, 6, joint=True)
    swept.come("2026-01-09", "after work")
    swept.sweep()
    shown = Shown(swept, look, size)
    shown.panel.show_view(shown.panel.circuit, "before")
    settle()
    shown.panel.causes.setCurrentRow(0)
    take(shown, "05-before-and-after")
    shown.close()
    shown = Shown(with_fault(40, 11), look, size)
    take(shown, "06-forty-points")
    shown.close()
