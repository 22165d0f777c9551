"""The building on the desk, light and dark; with ``--looks DIR`` each screen is saved there for a person to look at."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour, contrast, mixed
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Fixture, Wall
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.plan import put_fixture
from circuitmap.plan.walls_keep import lay_walls
from circuitmap.words import Build, FixtureKind
from tests.build import Builder
from tests.desk.building_home import SHIFT, TRADE, ground_floor, two_storeys
from tests.desk.driving import click_plan, px, settle, show

Take = Callable[[Window, str], None]


@pytest.fixture
def shown(qtbot: QtBot, look: Look) -> Callable[[Home], Window]:
    def open_home(home: Home) -> Window:
        window = Window(Adapter(Document.memory(home), trade.load()), look)
        qtbot.addWidget(window)
        window.resize(1280, 800)
        show(window)
        window.fit()
        settle()
        return window

    return open_home


@pytest.fixture
def take(theme: Theme, request: pytest.FixtureRequest) -> Take:
    folder: Path | None = request.config.getoption("--looks")

    def save(window: Window, name: str) -> None:
        settle()
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        colours = {image.pixelColor(x, y).name().upper() for x in range(0, 1280, 16) for y in range(0, 800, 16)}
        assert len(colours) > 4
        assert colour("paper", theme) in colours
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"building-{name}-{theme}.png"))

    return save


def panel_to(window: Window, widget: QWidget) -> None:
    """Scroll the stage's panel to a part of it."""
    parent = widget.parentWidget()
    while parent is not None and not isinstance(parent, QScrollArea):
        parent = parent.parentWidget()
    assert isinstance(parent, QScrollArea)
    parent.verticalScrollBar().setValue(widget.mapTo(parent.widget(), QPoint(0, 0)).y() - 40)
    settle()


def hover(window: Window, x_mm: float, y_mm: float) -> None:
    for aside in (30, 0):
        QTest.mouseMove(window.view.viewport(), px(window, x_mm, y_mm) + QPoint(aside, aside))
        settle()


def furnished() -> Home:
    """The ground floor with walls of every build and one fixture of every kind."""
    b: Builder = ground_floor()
    b.room("Shop", "G1", (3100, 3100, 6000, 5600), use="living room")
    b.do(lay_walls(b.home, "G1", TRADE))
    builds: tuple[Build, ...] = ("brick", "stud", "lined", "unknown")
    for n, wall in enumerate(b.home.sorted(Wall)):
        b.do(verbs.set_build(b.home, [wall.id], builds[n % 4]))
    stands: tuple[tuple[FixtureKind, int, int], ...] = (
        ("bath", 700, 3300), ("basin", 2900, 4600), ("tray", 400, 5300), ("shower head", 2000, 5300),
        ("sink", 1500, 100), ("hob", 2600, 100), ("unit", 600, 100), ("appliance", 100, 2000), ("stair", 5000, 1500),
        ("chimney", 4600, 5500), ("radiator", 5900, 4200), ("furniture", 4200, 3600),
    )  # fmt: skip
    for kind, x, y in stands:
        b.do(put_fixture(b.home, Memo(), TRADE, kind, b.place("G1", x, y)))
    return b.home


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_walls_openings_and_fixtures(shown: Callable[[Home], Window], take: Take) -> None:
    window = shown(furnished())
    assert len(window.adapter.home.table(Fixture)) == 12
    panel_to(window, window.draw_stage.building)
    take(window, "all-kinds")
    wall = next(w for w in window.adapter.home.sorted(Wall) if w.rooms == ("M1", "M2"))
    window.take_tool("opening")
    hover(window, 4050, 1200)
    take(window, "opening-ghost")
    click_plan(window, 4050, 1200)
    window.adapter.set_tool("select")
    click_plan(window, 4050, 1200)
    window._message.hide()
    assert window.adapter.selection == (wall.id,)
    take(window, "wall-chosen")
    window.content.turn_zones()
    window.adapter.select(window.adapter.home.sorted(Fixture)[0].id)
    take(window, "zones")
    window.view.zoom_by(2.2, px(window, 1500, 4300))
    take(window, "near")


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_a_fixture_in_hand_shows_its_zones(shown: Callable[[Home], Window], take: Take) -> None:
    b = ground_floor()
    b.do(lay_walls(b.home, "G1", TRADE))
    window = shown(b.home)
    panel_to(window, window.draw_stage.building)
    window.take_tool("fixture")
    hover(window, 700, 3400)
    take(window, "ghost")
    window.draw_stage.building.fixture_size.setText("wide")
    hover(window, 1500, 4200)
    take(window, "size-not-understood")


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_laying_a_storey_over_the_one_below(shown: Callable[[Home], Window], take: Take) -> None:
    window = shown(two_storeys())
    dx, dy = SHIFT
    window.adapter.do(verbs.edit(window.adapter.home, "home", "", north_deg=300.0, front_deg=90.0))
    window.adapter.set_storey("G2")
    window.fit()
    panel_to(window, window.draw_stage.lie)
    window.content.turn_below()
    take(window, "below")
    window.take_tool("lay over")
    click_plan(window, 1000 + dx, 350 + dy)
    click_plan(window, 1000, 350)
    click_plan(window, 5460 + dx, 2900 + dy)
    click_plan(window, 5460, 2900)
    panel_to(window, window.draw_stage.lie)
    take(window, "lay-over")
    window.draw_stage.lie.lay()
    take(window, "laid")


@pytest.mark.parametrize("name", ["older-terrace", "bungalow-tt", "rented-flat"])
@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_the_sample_homes(shown: Callable[[Home], Window], take: Take, name: str) -> None:
    read = read_folder(sample_homes() / name)
    window = shown(read.home)
    window.adapter.do(verbs.edit(window.adapter.home, "home", "", north_deg=240.0, front_deg=0.0))
    window.content.turn_zones()
    storeys = window.adapter.storeys()
    window.adapter.set_storey(storeys[0].id)
    if len(storeys) > 1:
        window.content.turn_below()
    window.fit()
    settle()
    window._message.hide()
    take(window, name)
    for storey in storeys:
        window.adapter.set_storey(storey.id)
        window.draw_stage.building.lay_walls()
    window.fit()
    take(window, f"{name}-laid")
    window.view.gesture.hover(window.view.touch_at(QPointF(300, 300)))


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_zones_can_be_told_from_the_floor_and_from_each_other(theme: Theme) -> None:
    floor, wash = colour("room", theme), colour("zone", theme)
    shades = [mixed(floor, wash, share) for share in (0.11, 0.22, 0.34)]
    assert contrast(colour("zone", theme), floor) >= 3
    for one, other in zip([floor, *shades], shades, strict=False):
        assert contrast(one, other) > 1.08


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_a_wall_in_hand(shown: Callable[[Home], Window], take: Take) -> None:
    b = ground_floor()
    b.do(lay_walls(b.home, "G1", TRADE))
    window = shown(b.home)
    card = window.draw_stage.building
    panel_to(window, card)
    window.take_tool("wall")
    card.wall_build.setCurrentIndex(card.wall_build.findData("stud"))
    card.wall_thickness.setText("75 mm")
    click_plan(window, 1500, 1000)
    hover(window, 1500, 2200)
    take(window, "wall-in-hand")
