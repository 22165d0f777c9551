"""How long a wall in the window takes: opened, a thing or a bend dragged one step with the repaint, a step let go."""

from collections.abc import Iterator
from itertools import cycle
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.wall_view import WallView
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Extension, Point, Run
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.plan.elevation import faces_on
from tests.desk.driving import settle, show
from tests.desk.wall_home import wish

Benchmark = Any  # pytest-benchmark ships no types


def crowded() -> Home:
    """The terrace with twenty things on a wall of its kitchen and the paths of six of its cables drawn there."""
    home = read_folder(sample_homes() / "older-terrace").home
    face = next(each for each in faces_on(home, Memo(), trade.load(), "G1") if each.id == "M4/2")
    for n in range(13):
        x, y, _ = face.place(200 + 370 * n, 0)
        place = wish(0).place
        assert place is not None
        moved = type(place)(storey="G1", x_mm=round(x), y_mm=round(y), height_mm=(300, 1500)[n % 2],
                            wall=face.wall, faces_deg=270.0)  # fmt: skip
        home = home.apply(verbs.add_point(home, "socket", moved, gangs=2))
    for n, run in enumerate(home.sorted(Run)[:6]):
        spots = ((400 + 600 * n, 450), (400 + 600 * n, 2425), (1400 + 600 * n, 2425), (1400 + 600 * n, 1100))
        path = tuple(("G1", *(round(value) for value in face.place(u, v))) for u, v in spots)
        home = home.apply(verbs.edit(home, run.id, path_mm=path, phase="planned"))
    return home.apply(verbs.add_extension(home, "More"))


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication) -> Iterator[Window]:
    made = Window(Adapter(Document.memory(crowded()), trade.load()), Look(qapp, "paper"))
    qtbot.addWidget(made)
    made.resize(1280, 800)
    show(made)
    made.adapter.set_stage("wiring")
    settle()
    assert made.adapter.home.table(Extension)
    yield made
    made.close()


def drag_steps(view: WallView, at: QPointF) -> Iterator[QMouseEvent]:
    for by in cycle((0.0, 30.0, 60.0, 90.0, 60.0, 30.0)):
        spot = at + QPointF(by, -by / 3)
        yield QMouseEvent(
            QEvent.Type.MouseMove, spot, QPointF(view.mapToGlobal(spot.toPoint())), Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip


@pytest.mark.benchmark(group="wall: open")
def test_a_wall_is_opened(benchmark: Benchmark, window: Window) -> None:
    window.wall.open("M4/2")

    def back() -> None:
        window.show_plan()
        QApplication.processEvents()

    def open_() -> None:
        window.wall.open("M4/2")
        window.wall.page.view.repaint()

    benchmark.pedantic(open_, setup=back, rounds=8)
    assert len(window.wall.state.things) >= 20


@pytest.mark.benchmark(group="wall: drag")
@pytest.mark.parametrize("what", ["thing", "bend"])
def test_one_step_of_a_drag(benchmark: Benchmark, window: Window, what: str) -> None:
    window.wall.open("M4/2")
    settle()
    state, view = window.wall.state, window.wall.page.view
    if what == "thing":
        at = view.to_px(state.things[4].stood.u, state.things[4].stood.v or 0.0)
    else:
        run = next(each for each in state.cables if each.id.startswith("R"))
        state.choose(run.id, 1)
        face = state.face
        at = view.to_px(face.at(*run.path[1][1:3])[0], run.path[1][3])
    QTest.mousePress(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at.toPoint())
    steps = drag_steps(view, at)

    def step() -> None:
        QApplication.sendEvent(view, next(steps))
        view.repaint()
        window.wall.card.repaint()

    for _ in range(3):
        step()
    benchmark.pedantic(step, rounds=60)
    assert state.gesture.trial is not None
    state.gesture.cancel()


@pytest.mark.benchmark(group="wall: let go")
def test_a_change_is_made(benchmark: Benchmark, window: Window) -> None:
    window.wall.open("M4/2")
    settle()
    state, view = window.wall.state, window.wall.page.view
    state.choose(next(each.id for each in state.things if isinstance(window.adapter.home.peek(each.id), Point)))
    keys = cycle((Qt.Key.Key_Left, Qt.Key.Key_Right))

    def step() -> None:
        QTest.keyClick(view, next(keys))
        view.repaint()

    benchmark.pedantic(step, rounds=12)
    assert window.adapter.document.can_undo
