"""Every screen, light and dark, at 1280 × 800; with ``--looks DIR`` each is saved there for a person to look at."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.files import open_path
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import verbs
from circuitmap.home.records import Device, Point, Room, Storey
from circuitmap.places import sample_homes
from tests.desk.driving import settle

HOMES = ("older-terrace", "rented-flat", "bungalow-tt")
Prepare = Callable[[Window], None]


def _draw(window: Window) -> None:
    window.adapter.set_stage("draw")


def _room(window: Window) -> None:
    window.adapter.set_stage("draw")
    room = max(window.adapter.home.table(Room).values(), key=lambda r: len(r.outline_mm))
    window.adapter.show(room.id)


def _survey(window: Window) -> None:
    window.adapter.set_stage("survey")


def _walk(window: Window) -> None:
    window.adapter.set_stage("survey")
    if window.cursor_.visit is None:
        window.cursor_.start_visit()
    window.cursor_.clear_pending()
    window.cursor_.start_look()
    window.adapter.select()
    window.adapter.light()
    window.tabs.setCurrentIndex(0)
    settle()
    window.fit()


def _consent(window: Window) -> None:
    adapter = window.adapter
    adapter.set_stage("survey")
    adapter.do(verbs.start_visit(adapter.home, "2026-11-25"))
    settle()
    ways = [d.id for d in adapter.home.sorted(Device) if adapter.view_of(d.id) is not None]
    window.cursor_.toggle(ways[0])


def _wiring(window: Window) -> None:
    window.adapter.set_stage("wiring")


def _circuit(window: Window) -> None:
    adapter = window.adapter
    adapter.set_stage("wiring")
    view = max(adapter.views, key=lambda v: len(v.members))
    adapter.select(view.device.id)
    adapter.light(adapter.area_served(view.device.id))


def _point(window: Window) -> None:
    adapter = window.adapter
    adapter.set_stage("wiring")
    point = next(p for p in adapter.home.sorted(Point) if p.kind == "socket")
    adapter.show(point.id)


def _findings(window: Window) -> None:
    window.adapter.set_stage("wiring")
    window.show_findings()


def _upstairs(window: Window) -> None:
    window.adapter.set_stage("wiring")
    top = max(window.adapter.home.table(Storey).values(), key=lambda s: s.level)
    window.adapter.set_storey(top.id)


def _list(window: Window) -> None:
    window.adapter.set_stage("wiring")
    window.show_list()


def _find(window: Window) -> None:
    window.adapter.set_stage("wiring")
    window.find_field.setFocus()
    window.find_field.setText("kitch")


def _keys(window: Window) -> None:
    window.show_shortcuts()


def _cautions(window: Window) -> None:
    window.show_cautions()


def _refused(window: Window) -> None:
    window.adapter.set_stage("draw")
    window.adapter.refuse("“3 bananas” is not a length: bananas are not a unit; type for example 3.2 m or 12 ft 6 in.")


SCREENS: dict[str, Prepare] = {
    "draw": _draw,
    "draw-room": _room,
    "survey": _survey,
    "survey-consent": _consent,
    "wiring": _wiring,
    "wiring-circuit": _circuit,
    "wiring-point": _point,
    "wiring-upstairs": _upstairs,
    "findings": _findings,
    "list": _list,
    "find": _find,
    "keys": _keys,
    "cautions": _cautions,
    "refused": _refused,
    "survey-walk": _walk,
}


@pytest.mark.parametrize("theme", ["paper", "dark"])
@pytest.mark.parametrize("name", HOMES)
def test_every_screen_of_the_sample_homes(
    qtbot: QtBot, request: pytest.FixtureRequest, name: str, theme: Theme
) -> None:
    chosen = SCREENS if name == HOMES[0] else {k: SCREENS[k] for k in ("wiring", "wiring-circuit", "findings")}
    window = _open(qtbot, sample_homes() / name, theme)
    for screen, prepare in chosen.items():
        prepare(window)
        _take(window, request, f"{name}-{screen}-{theme}", theme)
        window.close_page()
        window.show_plan()
        window.find_field.clear()
        window._message.hide()


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_a_blank_home_says_what_to_do_first(qtbot: QtBot, request: pytest.FixtureRequest, theme: Theme) -> None:
    window = _open(qtbot, None, theme)
    for stage in ("draw", "survey", "wiring", "readings"):
        window.adapter.set_stage(stage)
        _take(window, request, f"blank-{stage}-{theme}", theme)


def _open(qtbot: QtBot, path: Path | None, theme: Theme) -> Window:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    window = Window(Adapter(open_path(path, in_memory=True), trade.load()), Look(app, theme))
    qtbot.addWidget(window)
    window.resize(1280, 800)
    window.show()
    settle()
    window.fit()
    settle()
    return window


def _take(window: Window, request: pytest.FixtureRequest, name: str, theme: Theme) -> None:
    settle()
    shot = window.grab()
    image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
    assert (image.width(), image.height()) == (1280, 800)
    colours = {image.pixelColor(x, y).name().upper() for x in range(0, 1280, 16) for y in range(0, 800, 16)}
    assert len(colours) > 3
    assert colour("paper", theme) in colours
    folder: Path | None = request.config.getoption("--looks")
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
        assert shot.save(str(folder / f"{name}.png"))
