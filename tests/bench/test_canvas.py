"""How long the canvas takes: a full repaint, marks of a storey, one moved point."""

from itertools import count
from typing import Any

import pytest
from PySide6.QtCore import QPoint, QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QGraphicsView
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.circuits.views import views
from circuitmap.desk.canvas.pen import Pen
from circuitmap.desk.canvas.scene import PlanScene
from circuitmap.desk.canvas.view import SMOOTH_ZOOM
from circuitmap.drawing.plan import plan_marks
from circuitmap.home import Home, verbs
from circuitmap.home.records import Place, Point
from circuitmap.memo import Memo
from circuitmap.survey.deduce import deduce
from tests.bench.blocks import block

Benchmark = Any  # pytest-benchmark ships no types


@pytest.fixture(scope="module")
def crowded() -> Home:
    """5 000 points, all on one storey."""
    return block(250, 20, circuits_per_storey=250)


def marks_of(home: Home, memo: Memo) -> dict[str, Any]:
    book = trade.load()
    return dict(plan_marks(home, "G1", views=views(home, book, memo), deduced=deduce(home, memo), memo=memo))


@pytest.mark.benchmark(group="canvas: marks of 5000 points")
def test_marks_first_time(benchmark: Benchmark, crowded: Home) -> None:
    benchmark.pedantic(lambda: marks_of(crowded, Memo()), rounds=3)


@pytest.mark.benchmark(group="canvas: marks of 5000 points")
def test_marks_after_a_move(benchmark: Benchmark, crowded: Home) -> None:
    memo = Memo()
    marks_of(crowded, memo)
    state = [crowded]
    places = count(1000, 10)

    def moved() -> tuple[tuple[Home, Memo], dict[str, Any]]:
        point = next(iter(state[0].table(Point)))
        state[0] = state[0].apply(verbs.move(state[0], point, Place(storey="G1", x_mm=next(places), y_mm=300)))
        return (state[0], memo), {}

    benchmark.pedantic(marks_of, setup=moved, rounds=20)


@pytest.mark.benchmark(group="canvas: full repaint of 5000 points, runs and labels")
@pytest.mark.parametrize("zoom", [0.0074, 0.02, 0.1])
def test_full_repaint(benchmark: Benchmark, crowded: Home, qtbot: QtBot, zoom: float) -> None:
    scene = PlanScene(Pen("paper"))
    scene.show_marks(marks_of(crowded, Memo()))
    view = QGraphicsView(scene)
    qtbot.addWidget(view)
    view.setFrameShape(QGraphicsView.Shape.NoFrame)
    view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.resize(1280, 800)
    view.show()
    view.scale(zoom, zoom)
    scene.set_zoom(zoom)
    for hint in (QPainter.RenderHint.Antialiasing, QPainter.RenderHint.SmoothPixmapTransform):
        view.setRenderHint(hint, zoom >= SMOOTH_ZOOM)
    view.centerOn(52_000, 52_000)
    image = QImage(1280, 800, QImage.Format.Format_ARGB32_Premultiplied)

    def repaint() -> None:
        painter = QPainter(image)
        view.render(painter, QRectF(0, 0, 1280, 800), view.viewport().rect())
        painter.end()

    repaint()
    shown = {item.data(0) for item in view.items(view.viewport().rect())}
    if zoom < 0.01:
        assert len({i for i in shown if i and i.startswith("P")}) == 5000
    benchmark.pedantic(repaint, rounds=10)
    assert image.pixel(QPoint(10, 10)) is not None
