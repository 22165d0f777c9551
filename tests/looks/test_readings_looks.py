"""Every screen of the readings, light and dark, small and large; with ``--looks DIR`` each is saved to be looked at."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import Home, verbs
from circuitmap.home.assets import Assets
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Link
from circuitmap.places import sample_homes
from tests.desk.driving import click, settle
from tests.desk.meter_home import MeterHome, enter, key, keys, read_way

Take = Callable[[Window, str], None]
Shown = Callable[[Home, Assets], Window]
SIZES = pytest.mark.parametrize("size", [QSize(1280, 800), QSize(1920, 1080)], ids=["small", "large"])
THEMES = pytest.mark.parametrize("theme", ["paper", "dark"])


@pytest.fixture(autouse=True)
def _day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("circuitmap.desk.visit_time.now", lambda: datetime(2026, 1, 5, 9, 30, tzinfo=UTC))
    for module in ("circuitmap.home.verbs_survey", "circuitmap.desk.visit_state", "circuitmap.home.verbs"):
        monkeypatch.setattr(f"{module}.today_text", lambda: "2026-01-05")


@pytest.fixture
def look(qapp: QApplication, theme: Theme) -> Look:
    return Look(qapp, theme)


@pytest.fixture
def shown(look: Look, size: QSize) -> Iterator[Shown]:
    made: list[Window] = []

    def show(home: Home, assets: Assets) -> Window:
        window = Window(Adapter(Document.memory(home, assets), trade.load()), look)
        made.append(window)
        window.resize(size)
        window.show()
        window.activateWindow()
        settle()
        window.fit()
        settle()
        return window

    yield show
    for window in made:
        window.close()
        window.deleteLater()


@pytest.fixture
def take(request: pytest.FixtureRequest, theme: Theme, size: QSize) -> Take:
    def save(window: Window, name: str) -> None:
        settle()
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        assert image.size() == size
        across, down = range(0, image.width(), 16), range(0, image.height(), 16)
        colours = {image.pixelColor(x, y).name().upper() for x in across for y in down}
        assert len(colours) > 3
        assert colour("paper", theme) in colours
        folder = request.config.getoption("--looks")
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"readings-{name}-{theme}-{size.width()}.png"))

    return save


def wait_for_causes(window: Window) -> None:
    causes = window.readings_stage.sights.causes
    for _ in range(100):
        settle()
        if causes.diagnosis is not None:
            return
        QTest.qWait(20)


@SIZES
@THEMES
def test_every_screen_of_a_ring_being_read(shown: Shown, take: Take) -> None:
    home = MeterHome()
    meter = home.with_meter(leads_ohm=None, accuracy_fraction=0.02)
    window = shown(home.home, {})
    stage = window.readings_stage
    window.adapter.set_stage("readings")
    take(window, "01-no-way")
    read_way(window, home.ring, "ends")
    take(window, "02-ends")
    enter("0.54")
    take(window, "03-prove")
    enter("0.12")
    take(window, "04-leads-add")
    click(window, stage.meter.subtract)
    take(window, "05-proved")
    key(Qt.Key.Key_Return)
    for text in ("0.55", ">99.9"):
        enter(text)
    settle()
    take(window, "06-ends-read")
    click(window, stage.choice.button_of("cross-N"))
    for text in ("0.33", "0.34", "0.33", "0.33", "0.38", "0.62"):
        enter(text)
        settle()
    enter("not possible: behind the oven, would have to come out")
    settle()
    keys("0.3.4")
    key(Qt.Key.Key_Return)
    take(window, "07-bad-value")
    key(Qt.Key.Key_Escape)
    stage.grid.go_to(5)
    take(window, "08-sweep")
    click(window, stage.meter.opener)
    take(window, "09-meter")
    click(window, stage.meter.opener)
    window.actions_["readings-chart"].trigger()
    take(window, "10-chart")
    window.actions_["readings-causes"].trigger()
    wait_for_causes(window)
    key(Qt.Key.Key_Home)
    take(window, "11-causes")
    window.actions_["readings-verdicts"].trigger()
    take(window, "12-verdicts")
    for name, typed in (("insulation", (">999", "150", "0.8", "9.5")), ("rcd", (">300", "28", "412")),
                        ("supply", ("0.35", "1.2", "238")), ("Zs", ("0.7", "2.4")),
                        ("polarity", ("ok", "reversed"))):  # fmt: skip
        stage.show_group(name)
        stage.grid.go_to(0)
        for text in typed:
            enter(text)
            settle()
        take(window, f"13-{name}")
    stage.show_group("cross-N")
    click(window, stage.after)
    stage.grid.go_to(0)
    enter("0.33")
    enter("0.12")
    key(Qt.Key.Key_Return)
    for text in ("0.33", "0.33", "0.60", "0.38", "0.33"):
        enter(text)
        settle()
    take(window, "14-before-after")
    window.adapter.select(home.bare)
    settle()
    take(window, "15-nothing-drawn")
    window.focus_inspector()
    take(window, "16-with-what-is-selected")
    assert window.adapter.home.peek(meter) is not None


@SIZES
@THEMES
@pytest.mark.parametrize("name", ["older-terrace", "bungalow-tt"])
def test_the_readings_of_the_sample_homes(shown: Shown, take: Take, name: str) -> None:
    read = read_folder(sample_homes() / name)
    window = shown(read.home, read.assets)
    window.adapter.set_stage("readings")
    view = max(window.adapter.views, key=lambda each: len(each.members))
    rings = [each for each in window.adapter.views if each.shape is not None and "ring" in each.shape.kind]
    for each in (*rings[:2], view):
        read_way(window, each.device.id)
        stage = window.readings_stage
        for group in stage.groups[:4]:
            stage.show_group(group.id)
            take(window, f"20-{name}-{each.code}-{group.id}")
        stage.show_chart()
        take(window, f"21-{name}-{each.code}-chart")
        stage.show_causes()
        wait_for_causes(window)
        take(window, f"22-{name}-{each.code}-causes")
        stage.show_verdicts()
        take(window, f"23-{name}-{each.code}-verdicts")


@pytest.mark.parametrize("size", [QSize(1280, 800)], ids=["small"])
@THEMES
def test_a_hundred_points_and_long_names(shown: Shown, take: Take) -> None:
    home = MeterHome(100)
    visit = home.do(verbs.start_visit(home.home, "2026-01-05"))
    meter = home.with_meter()
    home.do(verbs.prove_meter(home.home, visit, meter, "0.00"))
    for number, place in enumerate(home.sockets[:60]):
        home.do(verbs.edit(home.home, place, name=f"Socket no. {number} behind the big sideboard"))
        home.do(verbs.record_reading(home.home, visit, "linked", f"{3 + number % 7 / 50:.2f}", device=home.ring,
                                     at=place, cores=("L", "N"), link=Link(kind="cross", cores=("L", "N")),
                                     instrument=meter))  # fmt: skip
    window = shown(home.home, {})
    read_way(window, home.ring, "cross-N")
    window.readings_stage.grid.go_to(30)
    take(window, "30-hundred")
    window.readings_stage.show_chart()
    take(window, "31-hundred-chart")
