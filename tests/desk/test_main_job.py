"""The whole main job with real mouse and key events, from a blank home to an open ring, a restart, and still there."""

from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Check, Device, Point, Room, Run, Sheet
from tests.desk.driving import answer_round, click_plan, drag_plan, press, settle, show, type_into


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """A plan drawn by the test: two rooms side by side, 100 px to the metre, walls 10 px thick."""
    image = Image.new("RGB", (1400, 900), "white")
    draw = ImageDraw.Draw(image)
    for box in ((100, 100, 500, 500), (530, 100, 930, 500)):
        draw.rectangle(box, outline="black", width=10)
    path = tmp_path / "plan.png"
    image.save(path)
    return path


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "job.cmap"
    Document.create(path, Home.blank("Test house")).close()
    return path


def open_window(qtbot: QtBot, path: Path) -> Window:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    look = Look(app, "paper")
    window = Window(Adapter(Document.open(path), trade.load()), look)
    qtbot.addWidget(window)
    show(window)
    return window


def shape(window: Window) -> str:
    view = window.adapter.views[0]
    return view.shape.kind if view.shape else "nothing drawn"


def test_the_main_job(qtbot: QtBot, path: Path, picture: Path) -> None:
    window = open_window(qtbot, path)
    adapter, view = window.adapter, window.view

    # A picture of the plan, and its scale: 8.3 m between the outer walls.
    assert window.draw_stage.bring(picture)
    settle()
    sheet = adapter.home.sorted(Sheet)[0]
    assert sheet.px_to_plan_mm is not None
    mm_per_px = sheet.px_to_plan_mm[0]
    assert adapter.tool == "scale"
    for wrong in ("3 bananas", "0 m", "-2 m"):
        click_plan(window, 100 * mm_per_px, 300 * mm_per_px)
        click_plan(window, 930 * mm_per_px, 300 * mm_per_px)
        type_into(window, "scale-length", wrong)
        assert window.message
        assert adapter.home.sorted(Sheet)[0].px_to_plan_mm == sheet.px_to_plan_mm
        window.draw_stage.drop_scale()
        window.take_tool("scale")
    click_plan(window, 100 * mm_per_px, 300 * mm_per_px)
    click_plan(window, 930 * mm_per_px, 300 * mm_per_px)
    type_into(window, "scale-length", "8.3 m")
    scaled = adapter.home.sorted(Sheet)[0].px_to_plan_mm
    assert scaled is not None
    assert scaled[0] == pytest.approx(10.0, rel=0.01)

    # Two rooms by their corners.
    window.fit()
    for left, name in ((1000, "Kitchen"), (5300, "Lounge")):
        window.take_tool("room")
        for x, y in ((left, 1000), (left + 4000, 1000), (left + 4000, 5000), (left, 5000)):
            click_plan(window, x, y)
        press(view, Qt.Key.Key_Return)
        (room,) = adapter.selection
        adapter.do(verbs.edit(adapter.home, room, name=name))
    press(view, Qt.Key.Key_Escape)
    rooms = adapter.home.sorted(Room)
    assert [room.name for room in rooms] == ["Kitchen", "Lounge"]
    for room in rooms:
        xs, ys = [x for x, _ in room.outline_mm], [y for _, y in room.outline_mm]
        assert max(xs) - min(xs) == pytest.approx(4000, abs=60)
        assert max(ys) - min(ys) == pytest.approx(4000, abs=60)

    # The board, and two ways on it by its own button.
    window.take_tool("board")
    click_plan(window, 1300, 1400)
    board = adapter.selection[0]
    for _ in range(2):
        window.board.add_way.emit(board)
    devices = adapter.home.sorted(Device)
    for device in devices:
        adapter.do(verbs.edit(adapter.home, device.id, rating_a=32.0, curve="B", cables_seen=2))

    # Four sockets on walls and one light.
    window.draw_stage.choose_kind("socket")
    window.take_tool("point")
    for x, y in ((3000, 1000), (4900, 3000), (3000, 5000), (7000, 1050)):
        click_plan(window, x, y)
    press(view, Qt.Key.Key_Escape)
    points = adapter.home.sorted(Point)
    assert [point.kind for point in points] == ["socket"] * 4
    assert all(point.place is not None and point.place.faces_deg is not None for point in points)
    first, second, third, fourth = (point.id for point in points)

    # Moving one by dragging, and taking it back.
    settle()
    drag_plan(window, (7000, 1000), (7600, 1000))
    moved = adapter.home.take(Point, fourth)
    assert moved.place is not None
    assert moved.place.x_mm > 7300
    press(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    undone = adapter.home.take(Point, fourth)
    assert undone.place is not None
    assert undone.place.x_mm == pytest.approx(7000, abs=60)

    # Three switch-offs: everything on, way 1, way 2.
    adapter.set_stage("survey")
    settle()
    feeds = {first: devices[0].id, second: devices[0].id, third: devices[0].id, fourth: devices[1].id}
    for off in ((), (devices[0].id,), (devices[1].id,)):
        answer_round(window, off, feeds)
    # Four points looked at twice; the third walk leaves out the three that are settled already.
    assert len(adapter.home.table(Check)) == 9
    settled = {point: d.candidates for point, d in adapter.deduced.items() if d.verdict == "settled"}
    assert settled == {point: (feed,) for point, feed in feeds.items()}

    # A ring of three sockets by clicks: way, socket, socket, socket, way.
    adapter.set_stage("wiring")
    settle()
    for point in (first, second, third):
        adapter.do(verbs.count_cables(adapter.home, point, 2))
    window.take_tool("run")
    adapter.select(devices[0].id)
    for x, y in ((3000, 1000), (5000, 3000), (3000, 5000)):
        click_plan(window, x, y)
    adapter.select(devices[0].id)
    press(view, Qt.Key.Key_Escape)
    assert len(adapter.home.table(Run)) == 4
    assert shape(window) == "ring"

    # One run taken away: not a break, only not traced.
    lost = adapter.home.sorted(Run)[2]
    adapter.select(lost.id)
    press(view, Qt.Key.Key_Delete)
    assert len(adapter.home.table(Run)) == 3
    assert shape(window) == "not known enough"
    assert not any(finding.rule.startswith("ring-open") for finding in adapter.findings)

    # Both ends counted at one cable each: now it is an open ring, and said so.
    for point in (second, third):
        adapter.do(verbs.count_cables(adapter.home, point, 1))
    assert shape(window) == "open ring"
    found = [finding for finding in adapter.findings if set(finding.subjects) & {second, third, devices[0].id}]
    assert any(finding.code == "C2" for finding in found)

    # Undo, undo, undo: the ring is whole again; redo brings the break back; a restart loses nothing.
    for _ in range(3):
        press(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert shape(window) == "ring"
    for _ in range(3):
        press(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    assert shape(window) == "open ring"
    before = adapter.home
    window.close()
    again = open_window(qtbot, path)
    assert again.adapter.home == before
    assert shape(again) == "open ring"
    press(again, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert shape(again) == "not known enough"


def test_a_second_window_on_the_same_home_is_read_only_and_says_so(qtbot: QtBot, path: Path) -> None:
    first = open_window(qtbot, path)
    second = open_window(qtbot, path)
    assert second.adapter.document.read_only
    assert second._notice.isVisible()
    assert second._notice.text()
    before = second.adapter.home
    assert second.adapter.do(lambda home: verbs.add_room(home, "Hall")) is None
    assert second.message
    assert second.adapter.home == before
    assert first.adapter.do(lambda home: verbs.add_room(home, "Hall")) is not None
