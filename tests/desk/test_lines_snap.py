"""The sheet's own lines as targets on the desk, by real moves, clicks and drags."""

from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from circuitmap.desk.canvas.outlining import Measure
from circuitmap.desk.window import Window
from circuitmap.drawing.marks import Area, Line, Words
from circuitmap.home import verbs
from circuitmap.home.records import Fixture, Room, Sheet
from tests.build import Builder
from tests.desk.conftest import Opened
from tests.desk.driving import press, px, settle
from tests.desk.lined_home import lay_lines, on_plan
from tests.desk.plan_home import lay_drawing

FREE = Qt.KeyboardModifier.ShiftModifier
NONE = Qt.KeyboardModifier.NoModifier


@pytest.fixture
def window(opened: Opened, tmp_path: Path) -> Window:
    made = opened(Builder().home)
    lay_lines(made, tmp_path)
    return made


def sheet(window: Window) -> Sheet:
    return window.adapter.home.sorted(Sheet)[-1]


def beside(window: Window, x: float, y: float, dx: int = 5, dy: int = -4) -> QPoint:
    """A pixel that lies a little off a spot of the drawing."""
    return px(window, *on_plan(sheet(window), x, y)) + QPoint(dx, dy)


def move(window: Window, spot: QPoint, modifiers: Qt.KeyboardModifier = NONE, *, down: bool = False) -> None:
    viewport = window.view.viewport()
    button = Qt.MouseButton.LeftButton if down else Qt.MouseButton.NoButton
    QApplication.sendEvent(viewport, QMouseEvent(
        QEvent.Type.MouseMove, QPointF(spot), QPointF(viewport.mapToGlobal(spot)), Qt.MouseButton.NoButton, button,
        modifiers,
    ))  # fmt: skip
    QApplication.processEvents()


def tap(window: Window, spot: QPoint, modifiers: Qt.KeyboardModifier = NONE) -> None:
    move(window, spot, modifiers)
    QTest.mouseClick(window.view.viewport(), Qt.MouseButton.LeftButton, modifiers, spot)
    QApplication.processEvents()


def drag(window: Window, start: QPoint, end: QPoint, modifiers: Qt.KeyboardModifier = NONE) -> None:
    viewport = window.view.viewport()
    QTest.mousePress(viewport, Qt.MouseButton.LeftButton, NONE, start)
    for n in (1, 2, 3):
        move(window, start + (end - start) * n / 3, modifiers, down=True)
    QTest.mouseRelease(viewport, Qt.MouseButton.LeftButton, modifiers, end)
    QApplication.processEvents()


def awaken(window: Window, tool: str) -> None:
    """Take a tool in hand and let the lines be read, which the first move asks for."""
    window.take_tool(tool)
    move(window, QPoint(200, 200))
    settle()


def rounded(spot: tuple[float, float]) -> tuple[int, int]:
    return round(spot[0]), round(spot[1])


def words(window: Window) -> str:
    return " ".join(mark.text for mark in window.view.gesture.preview if isinstance(mark, Words))


def test_a_room_is_outlined_on_the_corners_of_the_drawing(window: Window) -> None:
    awaken(window, "room")
    corners = [(300, 300), (3100, 300), (3100, 3900), (300, 3900)]
    for n, corner in enumerate(corners):
        tap(window, beside(window, *corner, 6 - 3 * n, 4 - 2 * n))
    press(window.view, Qt.Key.Key_Return)
    (room,) = window.adapter.home.table(Room).values()
    assert room.outline_mm == tuple(rounded(on_plan(sheet(window), *corner)) for corner in corners)


def test_what_was_snapped_to_is_marked_and_said(window: Window) -> None:
    awaken(window, "room")
    tap(window, beside(window, 300, 300))
    move(window, beside(window, 3100, 1300, -3))
    assert "end of a line" in words(window)
    (square,) = [m for m in window.view.gesture.preview if isinstance(m, Area) and m.edge and not m.fill]
    xs, ys = [x for x, _ in square.rings[0]], [y for _, y in square.rings[0]]
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    assert rounded(middle) == rounded(on_plan(sheet(window), 3100, 1300))
    move(window, beside(window, 1900, 1800, 4, 0))
    assert "on a line" in words(window)
    move(window, beside(window, 4600, 2800))
    assert "lines cross" in words(window)
    move(window, beside(window, 1300, 1800, 0, 0))
    assert not any(isinstance(m, Area) and m.edge and not m.fill for m in window.view.gesture.preview)


def test_shift_lets_go_of_the_lines(window: Window) -> None:
    awaken(window, "room")
    spot = beside(window, 300, 300, 7, 7)
    tap(window, spot, FREE)
    move(window, spot + QPoint(100, 40), FREE)
    line = next(m for m in window.view.gesture.preview if isinstance(m, Line))
    assert rounded(line.pts[0]) != rounded(on_plan(sheet(window), 300, 300))
    there = window.view.mapToScene(spot)
    assert line.pts[0] == pytest.approx((there.x(), there.y()), abs=6)


def test_the_two_ends_of_a_known_length_are_taken_from_the_drawing(window: Window) -> None:
    awaken(window, "scale")
    assert isinstance(window.view.gesture, Measure)
    picked: list[tuple[tuple[float, float], ...]] = []
    window.view.done.connect(lambda outcome: picked.append(outcome.picked))
    tap(window, beside(window, 0, 0))
    tap(window, beside(window, 6300, 0, -6, 5))
    assert picked[-1][0] == pytest.approx(on_plan(sheet(window), 0, 0), abs=0.01)
    assert picked[-1][1] == pytest.approx(on_plan(sheet(window), 6300, 0), abs=0.01)


def test_a_room_s_corner_is_dragged_onto_a_corner_of_the_drawing(window: Window) -> None:
    at = on_plan(sheet(window), 500, 500)
    room = ((0, 0), (2000, 0), (2000, -2600), (0, -2600))
    outline = tuple((round(at[0]) + x, round(at[1]) + y) for x, y in room)
    window.adapter.do(lambda home: verbs.add_room(home, "Den", outline, window.adapter.storey))
    window.adapter.select("M1")
    window.view.lines.under(window.adapter.storey)
    settle()
    start = px(window, *outline[2])
    end = beside(window, 3100, 3900, -3)
    drag(window, start, end)
    assert window.adapter.home.take(Room, "M1").outline_mm[2] == rounded(on_plan(sheet(window), 3100, 3900))
    window.adapter.undo()
    drag(window, start, end, FREE)
    moved = window.adapter.home.take(Room, "M1").outline_mm[2]
    assert moved != outline[2]
    assert moved != rounded(on_plan(sheet(window), 3100, 3900))


def test_a_fixture_stands_on_a_line_of_the_drawing(window: Window) -> None:
    building = window.draw_stage.building
    building.fixture_kind.setCurrentIndex(building.fixture_kind.findData("sink"))
    awaken(window, "fixture")
    tap(window, beside(window, 1900, 2700))
    (fixture,) = window.adapter.home.table(Fixture).values()
    assert (fixture.place.x_mm, fixture.place.y_mm) == rounded(on_plan(sheet(window), 1900, 2700))


def test_a_typed_room_sticks_to_the_drawing_by_a_corner(window: Window) -> None:
    window.view.lines.under(window.adapter.storey)
    settle()
    field = window.findChild(QLineEdit, "sketch-room")
    assert field is not None
    field.setFocus()
    QTest.keyClicks(field, "Den 2.8 × 3.6")
    window.take_tool("sized room")
    # Its middle, so that a corner comes near (300, 300) of the drawing.
    tap(window, beside(window, 1700, 2100, 3, 2))
    (room,) = window.adapter.home.table(Room).values()
    assert rounded(on_plan(sheet(window), 300, 300)) in room.outline_mm
    assert rounded(on_plan(sheet(window), 3100, 3900)) in room.outline_mm


def test_a_common_point_is_taken_from_the_drawing(window: Window) -> None:
    window.adapter.do(lambda home: verbs.add_storey(home, "Cellar", -1))
    awaken(window, "lay over")
    move(window, beside(window, 3200, 300))
    ring = next(m for m in window.view.gesture.preview if isinstance(m, Area) and m.fill == "")
    assert ring.edge is not None
    xs = [x for x, _ in ring.rings[0]]
    assert (min(xs) + max(xs)) / 2 == pytest.approx(on_plan(sheet(window), 3200, 300)[0], abs=1)


def test_a_picture_has_no_lines_to_snap_to(opened: Opened, tmp_path: Path) -> None:
    window = opened(Builder().home)
    lay_drawing(window, tmp_path)
    assert window.view.lines.under(window.adapter.storey) is None
    assert not window.draw_stage.building.lines.work.is_busy


def test_a_drawing_whose_lines_cannot_be_read_is_asked_once_and_drawing_goes_on(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    from circuitmap.errors import PictureError

    asked = []

    def refuses(*_: object) -> object:
        asked.append(1)
        raise PictureError("The picture", "took too long.")

    monkeypatch.setattr("circuitmap.desk.lines_work.linework", refuses)
    awaken(window, "room")
    for n in range(5):
        move(window, QPoint(300 + n, 300))
        settle()
    assert len(asked) == 1
    assert "took too long" in window.draw_stage.building.lines.work.failure(window.adapter.storey)
    tap(window, beside(window, 300, 300))
    assert window.view.gesture.preview


def test_lines_are_let_go_with_their_sheet(window: Window) -> None:
    awaken(window, "room")
    assert window.view.lines.under(window.adapter.storey) is not None
    window.adapter.do(lambda home: verbs.remove(home, sheet(window).id))
    assert window.view.lines.under(window.adapter.storey) is None


def test_scaling_anew_moves_the_targets_without_reading_again(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    awaken(window, "room")
    before = window.view.lines.under(window.adapter.storey)
    assert before is not None
    monkeypatch.setattr("circuitmap.desk.lines_work.linework", None)
    matrix = (2.0, 0, 0, 0, 2.0, 0, 0, 0, 1)
    window.adapter.do(lambda home: verbs.set_scale(home, sheet(window).id, matrix, "twice"))
    after = window.view.lines.under(window.adapter.storey)
    assert after is not None
    assert after.grid is before.grid
    x, y = after.grid.segments[0, :2]
    found = after.snap(2 * x + 1, 2 * y, 5)
    assert found is not None
    assert (found.x_mm, found.y_mm) == pytest.approx((2 * x, 2 * y))
