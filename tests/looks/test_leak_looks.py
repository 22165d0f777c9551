"""The guided insulation hunt from its beginning to its end, light and dark; with ``--looks DIR`` saved as pictures."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QHBoxLayout, QVBoxLayout, QWidget

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.leak_card import LeakCard
from circuitmap.desk.readings_recorder import Recorder
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.readings.insulation import megohms, parallel
from tests.desk.driving import press, settle, show
from tests.desk.meter_home import MeterHome, enter, key, keys, read_way

LEAKS = {"R3": 0.4}


@pytest.fixture
def look(qapp: QApplication, theme: Theme) -> Iterator[Look]:
    made = Look(qapp, theme)
    yield made
    made.choose("paper")


@pytest.fixture
def home() -> MeterHome:
    """A meter proved today, a low reading on record, and a hunt somebody stopped."""
    made = MeterHome()
    visit = made.do(verbs.start_visit(made.home, purpose="before work"))
    meter = made.with_meter()
    made.do(verbs.prove_meter(made.home, visit, meter, "0.00"))
    for typed, core in (("0.42", "L"), ("0.40", "N")):
        made.do(verbs.record_reading(made.home, visit, "insulation", typed, device=made.ring, at=made.ring,
                                     cores=(core, "E"), test_v=500, instrument=meter))  # fmt: skip
    return made


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_every_screen_of_a_hunt(look: Look, theme: Theme, home: MeterHome, request: pytest.FixtureRequest) -> None:
    folder = request.config.getoption("--looks")
    adapter = Adapter(Document.memory(home.home), trade.load())
    window = QWidget()
    window.setObjectName("looked-at")
    window.setStyleSheet(f"#looked-at {{ background: {look.colour('paper').name()}; }}")
    card = LeakCard(adapter, Recorder(adapter, window), look, window)
    row, column = QHBoxLayout(window), QVBoxLayout()
    column.addWidget(card)
    column.addStretch(1)
    row.addLayout(column)

    def take(name: str) -> None:
        settle()
        window.resize(392, 900)
        settle()
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        colours = {image.pixelColor(x, y).name().upper() for x in range(0, image.width(), 8)
                   for y in range(0, image.height(), 8)}  # fmt: skip
        assert len(colours) > 4
        assert colour("paper", theme) in colours
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"leak-{name}-{theme}.png"))

    def answer() -> None:
        assert card.trail is not None
        for asked in card.trail.step.asked:
            here = parallel(megohms(LEAKS.get(each, 50_000.0)) for each in asked.sections).least
            enter(">500" if here > 500 else f"{here:.3g}")
        settle()

    window.resize(392, 900)
    show(window)
    take("01-no-way")
    card.show_view(adapter.view_of(home.ring))
    take("02-begin")
    enter_into = card.begin.typed
    enter_into.setFocus()
    enter("nearly none")
    take("03-bad-whole")
    enter_into.clear()
    enter("0.4")
    take("04-first-step")
    answer()
    take("05-open")
    assert card.trail is not None
    enter("0.4")
    keys("0.3.3")
    enter("")
    take("06-bad-part")
    enter_into = card.step.fields.fields[1]
    enter_into.clear()
    for _ in card.trail.step.asked[1:]:
        enter(">500")
    take("07-narrowed")
    press(card.step.cannot, Qt.Key.Key_Space)
    take("08-cant-get-at-it")
    for _ in range(20):
        if card.trail.step.is_end:
            break
        answer()
    take("09-end")
    assert card.trail.step.is_end
    press(card.step.stop, Qt.Key.Key_Space)
    take("10-go-on")
    card.show_view(adapter.view_of(home.bare))
    card.begin.typed.setFocus()
    enter("2")
    settle()
    take("11-nothing-drawn")
    window.close()
    window.deleteLater()
    settle()
    adapter.close()


@pytest.mark.parametrize("size", [QSize(1280, 800), QSize(1920, 1080)], ids=["small", "large"])
@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_a_hunt_in_its_window(
    look: Look, theme: Theme, size: QSize, home: MeterHome, request: pytest.FixtureRequest
) -> None:
    folder = request.config.getoption("--looks")
    window = Window(Adapter(Document.memory(home.home), trade.load()), look)
    window.resize(size)
    show(window)
    window.fit()
    read_way(window, home.ring)
    card = window.readings_stage.leak
    window.actions_["readings-leak"].trigger()
    settle()

    def take(name: str) -> None:
        settle()
        shot = window.grab()
        assert shot.toImage().size() == size
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"leak-{name}-{theme}-{size.width()}.png"))

    take("20-begin")
    card.begin.low.setFocus(Qt.FocusReason.TabFocusReason)
    key(Qt.Key.Key_Return)
    settle()
    take("21-unplug")
    for kind in ("22-open", "23-narrowed", "24-further"):
        assert card.trail is not None
        for asked in card.trail.step.asked:
            here = parallel(megohms(LEAKS.get(each, 50_000.0)) for each in asked.sections).least
            enter(">500" if here > 500 else f"{here:.3g}")
        settle()
        take(kind)
    window.close()
    window.deleteLater()
    settle()
