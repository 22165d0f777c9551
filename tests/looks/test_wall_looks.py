"""Walls seen from their rooms in the window, light and dark; with ``--looks DIR`` each screen is saved there."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.extension.on_wall import spot_for
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Place, Point, Run, Wish
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.plan.elevation import Face, faces_on
from tests.desk.driving import settle, show
from tests.desk.extend_home import cards, laid_out
from tests.desk.wall_home import click_wall, grab_wall, key, on, view_of, wall_home, wish

Take = Callable[[Window, str], None]
TRADE = trade.load()


@pytest.fixture
def look(qapp: object, theme: Theme) -> Iterator[Look]:
    from PySide6.QtWidgets import QApplication

    assert isinstance(qapp, QApplication)
    made = Look(qapp, theme)
    yield made
    made.choose("paper")


@pytest.fixture
def shown(qtbot: QtBot, look: Look) -> Callable[[Home, str], Window]:
    def open_home(home: Home, stage: str) -> Window:
        window = Window(Adapter(Document.memory(home), TRADE), look)
        qtbot.addWidget(window)
        window.resize(1280, 800)
        show(window)
        window.adapter.set_stage(stage)
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
        colours = {image.pixelColor(x, y).name().upper() for x in range(90, 900, 3) for y in range(110, 560, 3)}
        assert colour("paper", theme) in colours
        assert colour("zone/tint", theme) in colours
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"wall-{name}-{theme}.png"))

    return save


def terrace() -> tuple[Home, Face]:
    """The terrace with two wishes on a wall of its kitchen, and the path of one of its cables drawn there."""
    home = read_folder(sample_homes() / "older-terrace").home
    face = next(each for each in faces_on(home, Memo(), TRADE, "G1") if each.id == "M4/2")
    wishes = [
        Wish(act="add", kind="socket", gangs=2, place=spot_for(face, 1000, 1100)),
        Wish(act="add", kind="fused unit", place=spot_for(face, 350, 450), deep=True),
    ]
    home = home.apply(verbs.add_extension(home, "Sockets by the sink", tuple(wishes)))
    run = next(each for each in home.sorted(Run) if {"P31", "P22"} & {each.a.at, each.b.at})
    spots = ((1760, 450), (1760, 2425), (2350, 2425), (2350, 1100))
    path = tuple((face.storey, *(round(value) for value in face.place(u, v))) for u, v in spots)
    return home.apply(verbs.edit(home, run.id, path_mm=path)), face


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_the_kitchen_of_the_terrace(shown: Callable[[Home, str], Window], take: Take) -> None:
    home, face = terrace()
    window = shown(home, "extend")
    window.wall.open(face.id)
    window.wall.state.choose("wish 1")
    take(window, "terrace-wish")
    grab_wall(window, (1000, 1100), (2340, 1100), let_go=False)
    take(window, "terrace-refused")
    key(window, Qt.Key.Key_Escape)
    for n in range(3):
        key(window, Qt.Key.Key_Period)
        take(window, f"terrace-{n}")


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_a_cable_that_is_dragged_and_one_that_is_drawn(shown: Callable[[Home, str], Window], take: Take) -> None:
    window = shown(wall_home("unknown", wishes=[wish(2100)]), "wiring")
    window.adapter.select("R1")
    window.wall.open()
    grab_wall(window, (600, 2325), (1000, 1700))
    take(window, "bend-dragged")
    window.view.adapter.undo()
    window.adapter.select()
    key(window, Qt.Key.Key_D)
    for spot in ((900, 1700), (1800, 1700), (2200, 300)):
        click_wall(window, *spot)
    take(window, "drawing")
    key(window, Qt.Key.Key_Return)
    take(window, "drawn")
    view_of(window).zoom_by(2.5, view_of(window).to_px(900, 1700))
    take(window, "near")


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_routes_of_an_option_and_one_by_hand(shown: Callable[[Home, str], Window], take: Take) -> None:
    home, face = terrace()
    window = shown(home, "extend")
    window.wall.open(face.id)
    routes = []
    for spots in (((1760, 450), (1760, 2425), (1000, 2425), (1000, 1100)), ((1000, 1100), (1000, 450), (350, 450))):
        routes.append(tuple((face.storey, *face.place(u, v)) for u, v in spots))
    window.wall.state.show_paths(routes)
    take(window, "routes")
    window.wall.state.choose("route 1")
    grab_wall(window, (1400, 2425), (1400, 1700))
    assert on(window, 1400, 1700)
    take(window, "route-by-hand")


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_a_wall_with_twenty_things(shown: Callable[[Home, str], Window], take: Take) -> None:
    more = [Point(id=f"P{n}", kind="socket" if n % 3 else "switch", gangs=1 + n % 2,
                  place=Place(storey="G1", x_mm=110 + 180 * (n - 20), y_mm=0, height_mm=(450, 1100, 1500)[n % 3],
                  wall="W1", faces_deg=90.0)) for n in range(20, 40)]  # fmt: skip
    window = shown(wall_home("stud", *more), "draw")
    window.adapter.select("P20")
    window.wall.open()
    take(window, "twenty")


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_an_option_that_is_open_on_the_wall_it_runs_on(
    shown: Callable[[Home, str], Window], take: Take, qtbot: QtBot
) -> None:
    home, face = terrace()
    window = shown(home, "extend")
    laid_out(window, qtbot)
    window.extend_stage.show_options()
    settle()
    card = cards(window)[0]
    window.extend_stage.options.open_option(card.option)
    settle()
    window.wall.open(face.id)
    take(window, "option")
    routes = [each for each in window.wall.state.cables if each.id.startswith("route")]
    window.wall.state.choose(routes[0].id)
    take(window, "option-route")
    window.extend_stage.pick(card.option)
    window.extend_stage.accept()
    window._message.hide()
    take(window, "planned")
