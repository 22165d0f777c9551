"""A small home to look at walls in: a kitchen of 4 × 3 m with things on its walls, cables that are drawn, a wish."""

from collections.abc import Iterable

import msgspec
from PySide6.QtCore import QCoreApplication, QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap.desk.wall_view import WallView
from circuitmap.desk.window import Window
from circuitmap.home import Home
from circuitmap.home.records import (
    Board,
    Device,
    End,
    Extension,
    Fixture,
    Opening,
    Place,
    Point,
    Record,
    Run,
    Wall,
    Wish,
)  # fmt: skip
from circuitmap.words import Build, PointKind
from tests.extension.routed import one_room

# On the upper wall of the plan: up from P1, 75 mm under the ceiling along to over P2, down to P2.
HOOP = (("G1", 600, 0, 450), ("G1", 600, 0, 2325), ("G1", 3700, 0, 2325), ("G1", 3700, 0, 1200))


def at_wall(u: int, height: int | None) -> Place:
    """A place on the upper wall of the plan, whose left end as one stands before it is at x = 0."""
    return Place(storey="G1", x_mm=u, y_mm=0, height_mm=height, wall="W1", faces_deg=90.0)


def thing(number: int, kind: PointKind, u: int, height: int | None, gangs: int = 1) -> Point:
    """A point on that wall."""
    return Point(id=f"P{number}", kind=kind, gangs=gangs, place=at_wall(u, height))


def wall_home(build: Build = "brick", *more: Record, wishes: Iterable[Wish] = ()) -> Home:
    """The home; wall 1 of the kitchen is the upper one on the plan, with a window and a unit before it."""
    window = Opening(kind="window", along_mm=2300, width_mm=700, sill_mm=900, head_mm=2100)
    rooms = [
        msgspec.structs.replace(each, openings=(window,)) if isinstance(each, Wall) and each.id == "W1" else each
        for each in one_room(build, 1).all()
    ]
    named = [
        msgspec.structs.replace(each, name="Kitchen", use="kitchen") if each.id == "M1" else each  # type: ignore[call-arg]
        for each in rooms
    ]
    return Home.of(
        [
            *named,
            thing(1, "socket", 600, 450, 2),
            thing(2, "switch", 3700, 1200, 2),
            thing(6, "socket", 2000, None, 2),
            Point(id="P7", kind="socket", gangs=2,
                  place=Place(storey="G1", x_mm=4000, y_mm=1500, height_mm=450, wall="W2", faces_deg=180.0)),
            Fixture(id="F1", kind="unit", place=Place(storey="G1", x_mm=1400, y_mm=300, faces_deg=90.0),
                    outline_mm=((1100, 0), (1700, 0), (1700, 600), (1100, 600))),
            Board(id="B1", letter_on_map="A",
                  place=Place(storey="G1", x_mm=0, y_mm=2000, height_mm=1500, wall="W4", faces_deg=0.0)),
            Device(id="D1", board="B1", kind="MCB", way="1", rating_a=32.0, curve="B"),
            Run(id="R1", a=End(at="P1"), b=End(at="P2"), cable="T&E 2.5/1.5", path_mm=HOOP, evidence="seen",
                length_mm=6100, length_from="path"),
            Extension(id="X1", name="More sockets", wishes=tuple(wishes)),
            *more,
        ]
    )  # fmt: skip


def wish(u: int, height: int = 1100, gangs: int = 2) -> Wish:
    """A socket wished on the upper wall."""
    return Wish(act="add", kind="socket", gangs=gangs, place=at_wall(u, height))


def view_of(window: Window) -> WallView:
    """The wall in the middle of the window; there has to be one."""
    assert window.wall.is_shown
    return window.wall.page.view


def on(window: Window, u: float, v: float) -> QPoint:
    """Where a spot of the wall lies in the view; it must be in sight."""
    view = view_of(window)
    spot = view.to_px(u, v).toPoint()
    assert view.rect().contains(spot), f"({u}, {v}) is out of sight"
    return spot


def click_wall(
    window: Window, u: float, v: float, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
) -> None:
    """A real move, press and release on the wall."""
    view, spot = view_of(window), on(window, u, v)
    QTest.mouseMove(view, spot)
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, modifiers, spot)
    QApplication.processEvents()


def grab_wall(window: Window, a: tuple[float, float], b: tuple[float, float], *, let_go: bool = True) -> None:
    """A real drag on the wall, in three moves; the button may stay down."""
    view, start, end = view_of(window), on(window, *a), on(window, *b)
    QTest.mousePress(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    for step in (1, 2, 3):
        spot = QPointF(start + (end - start) * (step / 3))
        move = QMouseEvent(
            QEvent.Type.MouseMove, spot, QPointF(view.mapToGlobal(spot.toPoint())), Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        QCoreApplication.sendEvent(view, move)
    if let_go:
        let_go_at(window, b)
    QApplication.processEvents()


def let_go_at(window: Window, b: tuple[float, float]) -> None:
    """Let the button go."""
    QTest.mouseRelease(view_of(window), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, on(window, *b))
    QApplication.processEvents()


def key(window: Window, which: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """A real key on the wall."""
    view = view_of(window)
    view.setFocus()
    QTest.keyClick(view, which, modifiers)
    QApplication.processEvents()
