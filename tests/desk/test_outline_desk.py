"""Rooms of a plan outlined by real clicks and keys: one, all, none, and what the plan's words say of them."""

import statistics
import threading
import time
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image
from PySide6.QtCore import QEvent, Qt, QThreadPool
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap.desk import tracing_work
from circuitmap.desk.canvas.gestures import Touch
from circuitmap.desk.canvas.tracing import ReviewRooms, TraceRoom
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.records import Room, Sheet, Wall
from circuitmap.jobs import Ticket
from circuitmap.plan.traced import take_traced
from circuitmap.plan.walls_keep import lay_walls
from tests.desk.conftest import Opened
from tests.desk.driving import click, click_plan, px, settle
from tests.desk.plan_home import Laid, iou, lay_drawing, point_at, rooms
from tests.pictures.test_svg import svg


@pytest.fixture
def window(opened: Opened) -> Window:
    made = opened(Home.blank("A plan"))
    made.adapter.set_stage("draw")
    return made


@pytest.fixture
def laid(window: Window, tmp_path: Path) -> Laid:
    return lay_drawing(window, tmp_path)


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """Reading begins only once this is set, however quick the machine is."""
    gate = threading.Event()
    read = tracing_work._analysed

    def waiting(data: bytes, page: int, width_px: int, ticket: Ticket) -> tracing_work.Analysis:
        gate.wait(10)
        return read(data, page, width_px, ticket)

    monkeypatch.setattr(tracing_work, "_analysed", waiting)
    return gate


def begin(window: Window) -> TraceRoom:
    """Take the tool in hand and wait until the plan has been read."""
    click(window, window.draw_stage.trace.room_button)
    settle()
    gesture = window.view.gesture
    assert isinstance(gesture, TraceRoom)
    return gesture


def review(window: Window) -> ReviewRooms:
    click(window, window.draw_stage.trace.all_button)
    settle()
    gesture = window.view.gesture
    assert isinstance(gesture, ReviewRooms)
    return gesture


def key(window: Window, which: Qt.Key) -> None:
    """A real key to whatever has the focus, offered to the window's actions first as Qt does."""
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keyClick(focus, which)
    settle()


def matched(window: Window, laid: Laid) -> dict[int, float]:
    """How well each known room is met by the record that meets it best."""
    return {
        n: max(iou(room, laid.truth_mm(n)) for room in rooms(window)) for n in range(len(laid.drawn.rooms))
    }  # fmt: skip


# -- one room --------------------------------------------------------------------------------------------------------


def test_a_click_in_a_room_draws_it_where_it_is_and_asks_its_name(window: Window, laid: Laid) -> None:
    begin(window)
    click_plan(window, *laid.middle(0))
    assert window.tracing.name.isVisible()
    assert not rooms(window), "nothing is there before it has its name"
    QTest.keyClicks(window.tracing.name, "Parlour")
    key(window, Qt.Key.Key_Return)
    (room,) = rooms(window)
    assert room.name == "Parlour"
    assert room.storey == window.adapter.storey
    assert iou(room, laid.truth_mm(0)) >= 0.95
    assert window.adapter.selection == (room.id,)
    assert window.adapter.tool == "trace", "the next room can be clicked at once"
    assert "Parlour" in window.message
    assert "m²" in window.message


def test_one_undo_takes_the_room_away_and_one_redo_brings_it_back(window: Window, laid: Laid) -> None:
    before = window.adapter.home
    begin(window)
    click_plan(window, *laid.middle(1))
    key(window, Qt.Key.Key_Escape)
    assert [room.name for room in rooms(window)] == ["Room 1"]
    window.adapter.undo()
    assert not rooms(window)
    assert window.adapter.home == before
    window.adapter.redo()
    assert [room.name for room in rooms(window)] == ["Room 1"]


def test_escape_leaves_a_number_and_keeps_the_tool(window: Window, laid: Laid) -> None:
    begin(window)
    for number in (0, 1):
        click_plan(window, *laid.middle(number))
        QTest.keyClicks(window.tracing.name, "Wrong")
        key(window, Qt.Key.Key_Escape)
    assert [room.name for room in rooms(window)] == ["Room 1", "Room 2"]
    assert window.adapter.tool == "trace"


def test_the_next_click_takes_the_room_before_with_the_name_that_stands_there(window: Window, laid: Laid) -> None:
    begin(window)
    click_plan(window, *laid.middle(0))
    QTest.keyClicks(window.tracing.name, "First")
    click_plan(window, *laid.middle(1))
    assert [room.name for room in rooms(window)] == ["First"]
    assert window.tracing.name.isVisible()
    key(window, Qt.Key.Key_Return)
    assert [room.name for room in rooms(window)] == ["First", "Room 2"]


def test_another_tool_takes_the_room_that_is_being_named(window: Window, laid: Laid) -> None:
    begin(window)
    click_plan(window, *laid.middle(0))
    QTest.keyClicks(window.tracing.name, "Den")
    window.take_tool("point")
    assert [room.name for room in rooms(window)] == ["Den"]
    assert not window.tracing.name.isVisible()


def test_every_known_room_is_met_by_a_click_in_it(window: Window, laid: Laid) -> None:
    begin(window)
    for number in range(len(laid.drawn.rooms)):
        click_plan(window, *laid.middle(number))
        key(window, Qt.Key.Key_Escape)
    assert len(rooms(window)) == len(laid.drawn.rooms)
    assert min(matched(window, laid).values()) >= 0.95


def test_a_sheet_that_lies_askew_gives_rooms_where_it_lies(window: Window, tmp_path: Path) -> None:
    laid = lay_drawing(window, tmp_path, turned=True)
    begin(window)
    for number in (0, 2):
        click_plan(window, *laid.middle(number))
        key(window, Qt.Key.Key_Escape)
    for room, number in zip(rooms(window), (0, 2), strict=True):
        assert iou(room, laid.truth_mm(number)) >= 0.95


def test_a_click_before_the_plan_is_read_waits_and_is_answered(
    window: Window, laid: Laid, held: threading.Event
) -> None:
    window.adapter.set_tool("trace")
    click_plan(window, *laid.middle(0))
    gesture = window.view.gesture
    assert isinstance(gesture, TraceRoom)
    assert gesture.is_waiting
    assert gesture.preview
    assert window.draw_stage.trace.stop_button.isVisible()
    assert window.draw_stage.trace.progress.startswith("Reading the plan")
    held.set()
    settle()
    assert window.tracing.name.isVisible()
    assert not window.draw_stage.trace.stop_button.isVisible()
    key(window, Qt.Key.Key_Return)
    assert iou(rooms(window)[0], laid.truth_mm(0)) >= 0.95


def test_reading_is_stopped_and_a_click_begins_again(window: Window, laid: Laid, held: threading.Event) -> None:
    window.adapter.set_tool("trace")
    click_plan(window, *laid.middle(0))
    click(window, window.draw_stage.trace.stop_button)
    held.set()
    settle()
    trace, gesture = window.draw_stage.trace, window.view.gesture
    assert isinstance(gesture, TraceRoom)
    assert not trace.tracer.is_ready
    assert not trace.tracer.is_busy
    assert not gesture.is_waiting
    assert not gesture.preview
    assert not window.tracing.name.isVisible()
    assert "Stopped" in window.message
    click_plan(window, *laid.middle(0))
    settle()
    assert window.tracing.name.isVisible()


def test_the_window_goes_on_while_the_plan_is_read(window: Window, laid: Laid, held: threading.Event) -> None:
    window.draw_stage.trace.begin_room()
    assert window.draw_stage.trace.tracer.is_busy
    held.set()
    QThreadPool.globalInstance().waitForDone(10_000)
    assert not window.draw_stage.trace.tracer.is_ready, "its news waits for the window's own thread"
    settle()
    assert window.draw_stage.trace.tracer.is_ready


def test_walls_in_a_light_colour_are_walls(window: Window, tmp_path: Path) -> None:
    pixels = np.full((800, 1000, 3), 255, np.uint8)
    pixels[100:700, 100:900] = (255, 235, 0)  # yellow: as grey hardly darker than the paper
    pixels[120:680, 120:480] = 255
    pixels[120:680, 500:880] = 255
    path = tmp_path / "yellow.png"
    Image.fromarray(pixels).save(path)
    assert window.draw_stage.bring(path)
    settle()
    sheet = window.adapter.home.sorted(Sheet)[-1]
    window.adapter.do(verbs.set_scale(window.adapter.home, sheet.id, (10, 0, 0, 0, 10, 0, 0, 0, 1), "10 m"))
    window.adapter.set_tool("select")
    window.fit()
    begin(window)
    click_plan(window, 3000, 4000)
    key(window, Qt.Key.Key_Return)
    (room,) = rooms(window)
    assert iou(room, shapely.box(1200, 1200, 4800, 6800)) >= 0.98


# -- what shows before the click -------------------------------------------------------------------------------------


def test_the_outline_and_its_area_show_under_the_pointer(window: Window, laid: Laid) -> None:
    gesture = begin(window)
    point_at(window, laid.middle(0))
    QTest.qWait(120)
    shown = gesture.preview
    assert shown
    outline = shapely.Polygon(shown[0].rings[0])  # type: ignore[union-attr]  # an area comes first
    truth = laid.truth_mm(0)
    assert outline.intersection(truth).area / outline.union(truth).area >= 0.95
    assert f"{outline.area / 1e6:.1f} m²" in str(shown[1])
    point_at(window, laid.wall())
    QTest.qWait(120)
    assert not gesture.preview
    assert not rooms(window)


def test_many_moves_are_looked_up_seldom(window: Window, laid: Laid) -> None:
    gesture = begin(window)
    looked: list[float] = []
    now = [0.0]
    gesture._clock = lambda: now[0]
    look = gesture.look

    def counted() -> None:
        looked.append(now[0])
        look()

    gesture.look = counted  # type: ignore[method-assign]  # counting what it does
    x, y = laid.wall()
    for step in range(100):
        now[0] = 1.0 + step * 0.01
        gesture.hover(Touch(x, y + step, 10.0))
    assert 10 <= len(looked) <= 20


def test_looking_a_room_up_takes_no_time(window: Window, laid: Laid) -> None:
    begin(window)
    tracer = window.draw_stage.trace.tracer
    took = []
    for number in range(len(laid.drawn.rooms)):
        start = time.perf_counter()
        tracer.room_at(*laid.middle(number))
        took.append(time.perf_counter() - start)
    assert statistics.median(took) < 0.15


# -- where there is no room ------------------------------------------------------------------------------------------


def test_a_click_on_a_wall_says_so_and_leaves_the_home_alone(window: Window, laid: Laid) -> None:
    begin(window)
    before = window.adapter.home
    click_plan(window, *laid.wall())
    assert "This spot is on a wall" in window.message or "between two walls" in window.message
    assert window.adapter.home is before
    assert not window.tracing.name.isVisible()


def test_a_wall_beside_a_drawn_room_is_still_a_wall(window: Window, laid: Laid) -> None:
    begin(window)
    left = min(range(len(laid.drawn.rooms)), key=lambda n: laid.truth_mm(n).bounds[0])
    click_plan(window, *laid.middle(left))
    key(window, Qt.Key.Key_Return)
    click_plan(window, *laid.wall())
    assert "wall" in window.message
    assert len(rooms(window)) == 1


def test_a_click_outside_says_so(window: Window, laid: Laid) -> None:
    begin(window)
    click_plan(window, *(each * 6 for each in (window.adapter.home.sorted(Sheet)[0].px_to_plan_mm or ())[:1]), 60)
    assert "this spot" in window.message
    assert "(" not in window.message, "nobody beside a plan knows its pixels"
    assert not rooms(window)


def test_a_room_that_is_drawn_is_chosen_by_a_click(window: Window, laid: Laid) -> None:
    begin(window)
    click_plan(window, *laid.middle(0))
    key(window, Qt.Key.Key_Return)
    window.adapter.select()
    click_plan(window, *laid.middle(0))
    assert window.adapter.selection == (rooms(window)[0].id,)
    assert len(rooms(window)) == 1
    assert "outlined already" in window.message


def test_an_outline_over_a_drawn_room_is_refused(window: Window, laid: Laid) -> None:
    truth = laid.truth_mm(0)
    x0, y0, x1, y1 = (round(each) for each in truth.bounds)
    third = x0 + (x1 - x0) // 3
    window.adapter.do(
        verbs.add_room(
            window.adapter.home, "Strip", ((x0, y0), (third, y0), (third, y1), (x0, y1)), window.adapter.storey
        )
    )
    begin(window)
    spot = truth.intersection(shapely.box(third + 200, y0, x1, y1)).representative_point()
    click_plan(window, spot.x, spot.y)
    assert "lies over “Strip”" in window.message
    assert len(rooms(window)) == 1


@pytest.mark.parametrize("tool", ["room_button", "all_button"])
def test_without_a_plan_or_a_scale_it_says_what_to_do_first(window: Window, tmp_path: Path, tool: str) -> None:
    button = getattr(window.draw_stage.trace, tool)
    click(window, button)
    assert "bring one in first" in window.message
    assert window.adapter.tool == "select"
    assert not button.isChecked()
    lay_drawing(window, tmp_path)
    sheet = window.adapter.home.sorted(Sheet)[0]
    assert sheet.px_to_plan_mm is not None
    window.adapter.do(verbs.set_scale(window.adapter.home, sheet.id, sheet.px_to_plan_mm, ""))
    click(window, button)
    assert "no scale yet" in window.message
    assert window.adapter.tool == "select"


# -- what is kept ----------------------------------------------------------------------------------------------------


def test_a_second_look_at_the_same_plan_is_at_once_and_another_plan_is_read_anew(
    window: Window, laid: Laid, tmp_path: Path
) -> None:
    begin(window)
    tracer = window.draw_stage.trace.tracer
    window.adapter.set_tool("select")
    window.draw_stage.trace.begin_room()
    assert tracer.is_ready
    assert not tracer.is_busy
    first = window.adapter.home.sorted(Sheet)[0]
    again = verbs.edit(window.adapter.home, first.id, "Another revision", page=2)
    window.adapter.do(again)
    assert not tracer.is_ready
    assert tracer.kept == 0
    window.adapter.undo()
    assert not tracer.is_ready


def test_of_many_plans_only_the_last_are_kept(window: Window, tmp_path: Path) -> None:
    tracer = window.draw_stage.trace.tracer
    for seed in (12, 6, 5):
        lay_drawing(window, tmp_path, seed=seed)
        tracer.begin()
        settle()
        assert tracer.is_ready
    assert tracer.kept == 2


# -- all rooms -------------------------------------------------------------------------------------------------------


def test_all_rooms_are_offered_one_by_one(window: Window, laid: Laid) -> None:
    gesture = review(window)
    trace = window.draw_stage.trace
    count = len(laid.drawn.rooms)
    assert trace.list.count() == count
    assert f"{count} rooms found" in trace.says
    assert "m²" in trace.list.item(0).text()
    assert trace.list.hasFocus()
    shown = trace.list.visibleRegion().boundingRect()
    assert shown.height() >= trace.list.height() - 4, "the list is in sight, however long the panel is"
    assert len(gesture.preview) >= count
    key(window, Qt.Key.Key_Down)
    assert trace.review.at == 1
    key(window, Qt.Key.Key_Return)
    assert len(rooms(window)) == 1
    assert trace.list.count() == count - 1
    key(window, Qt.Key.Key_Delete)
    assert trace.list.count() == count - 2
    assert len(rooms(window)) == 1
    window.adapter.undo()
    assert not rooms(window)
    assert trace.list.count() == count - 1, "what is undone is offered again, what was skipped is not"


def test_the_keys_work_on_the_plan_too(window: Window, laid: Laid) -> None:
    review(window)
    trace = window.draw_stage.trace
    click_plan(window, *laid.middle(2))
    chosen = trace.review.chosen
    assert chosen is not None
    assert shapely.Polygon(chosen.traced.outline_mm).contains(shapely.Point(laid.middle(2)))
    assert window.view.hasFocus()
    at = trace.review.at
    key(window, Qt.Key.Key_Right)
    assert trace.review.at != at
    assert trace.list.currentRow() == trace.review.at
    key(window, Qt.Key.Key_Left)
    assert trace.review.at == at
    key(window, Qt.Key.Key_Return)
    assert iou(rooms(window)[0], laid.truth_mm(2)) >= 0.95
    left = trace.list.count()
    key(window, Qt.Key.Key_Delete)
    assert trace.list.count() == left - 1
    assert len(rooms(window)) == 1
    key(window, Qt.Key.Key_Escape)
    assert window.adapter.tool == "select"
    assert not trace.list.isVisible()


def test_all_that_are_sure_are_one_step(window: Window, laid: Laid) -> None:
    review(window)
    trace = window.draw_stage.trace
    sure = len(trace.review.sure)
    assert sure >= 3
    click(window, trace.sure_button)
    assert len(rooms(window)) == sure
    found = matched(window, laid)
    assert sum(value >= 0.95 for value in found.values()) >= sure
    assert len({room.name for room in rooms(window)}) == sure
    window.adapter.undo()
    assert not rooms(window)


def test_a_name_typed_in_the_card_goes_to_the_room_that_is_looked_at(window: Window, laid: Laid) -> None:
    review(window)
    trace = window.draw_stage.trace
    trace.name.setFocus()
    QTest.keyClicks(trace.name, "Snug")
    assert "Snug" in trace.list.item(0).text()
    QTest.keyClick(trace.name, Qt.Key.Key_Return)
    assert [room.name for room in rooms(window)] == ["Snug"]


def test_rooms_that_are_drawn_are_not_offered(window: Window, laid: Laid) -> None:
    begin(window)
    click_plan(window, *laid.middle(0))
    key(window, Qt.Key.Key_Return)
    review(window)
    trace = window.draw_stage.trace
    assert trace.list.count() == len(laid.drawn.rooms) - 1


def test_delete_in_the_list_never_removes_what_is_chosen_elsewhere(window: Window, laid: Laid) -> None:
    begin(window)
    click_plan(window, *laid.middle(0))
    key(window, Qt.Key.Key_Return)
    review(window)
    window.adapter.select(rooms(window)[0].id)
    window.draw_stage.trace.list.setFocus()
    event = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_Delete, Qt.KeyboardModifier.NoModifier)
    event.ignore()
    QApplication.sendEvent(window.draw_stage.trace.list, event)
    assert event.isAccepted(), "the window's own Delete must not get the key"
    key(window, Qt.Key.Key_Delete)
    assert len(rooms(window)) == 1


# -- what the plan says ----------------------------------------------------------------------------------------------

WALLS = (
    "M100 100 H900 V700 H100 Z M120 120 H480 V680 H120 Z M500 120 H880 V380 H500 Z M500 400 H880 V680 H500 Z"
)  # fmt: skip


def bring_svg(window: Window, folder: Path, *texts: str, mm_per_px: float = 10.0) -> None:
    words = "".join(texts)
    path = folder / "plan.svg"
    path.write_bytes(
        svg(f'<path d="{WALLS}" fill="black" fill-rule="evenodd" stroke="black"/>{words}',
            'width="1000" height="800" viewBox="0 0 1000 800"')
    )  # fmt: skip
    assert window.draw_stage.bring(path)
    settle()
    settle()
    sheet = window.adapter.home.sorted(Sheet)[-1]
    assert sheet.width_px is not None
    mm = mm_per_px * 1000 / sheet.width_px
    window.adapter.do(verbs.set_scale(window.adapter.home, sheet.id, (mm, 0, 0, 0, mm, 0, 0, 0, 1), "10 m"))
    window.adapter.set_tool("select")
    window.fit()
    settle()


def test_a_drawings_own_words_propose_name_and_use(window: Window, tmp_path: Path) -> None:
    bring_svg(window, tmp_path, '<text x="240" y="400" font-size="30">KITCHEN</text>',
              '<text x="240" y="440" font-size="20">3.60 x 5.60</text>')  # fmt: skip
    begin(window)
    click_plan(window, 3000, 3000)
    assert window.tracing.name.text() == "Kitchen"
    assert window.tracing.name.selectedText() == "Kitchen"
    key(window, Qt.Key.Key_Return)
    (room,) = rooms(window)
    assert (room.name, room.use) == ("Kitchen", "kitchen")
    assert iou(room, shapely.box(1200, 1200, 4800, 6800)) >= 0.98
    assert "check" not in window.message


def test_a_size_on_the_plan_checks_the_scale(window: Window, tmp_path: Path) -> None:
    # the walls are 3.60 × 5.60 m apart at 10 mm a px; at 9 mm the room is 3.24 m wide
    bring_svg(window, tmp_path, '<text x="240" y="400" font-size="30">KITCHEN</text>',
              '<text x="240" y="440" font-size="20">3.60 x 5.60</text>', mm_per_px=9.0)  # fmt: skip
    begin(window)
    click_plan(window, 2700, 2700)
    key(window, Qt.Key.Key_Return)
    assert "The plan says" in window.message
    assert "check the scale" in window.message


def test_names_that_the_plan_gives_twice_are_told_apart(window: Window, tmp_path: Path) -> None:
    bring_svg(window, tmp_path, '<text x="600" y="250" font-size="30">BEDROOM</text>',
              '<text x="600" y="550" font-size="30">BEDROOM</text>')  # fmt: skip
    review(window)
    click(window, window.draw_stage.trace.sure_button)
    names = sorted(room.name for room in rooms(window))
    assert "Bedroom" in names
    assert "Bedroom 2" in names


# -- walls -----------------------------------------------------------------------------------------------------------


def test_where_walls_are_laid_the_doors_found_come_along(window: Window, laid: Laid) -> None:
    begin(window)
    click_plan(window, *laid.middle(0))
    key(window, Qt.Key.Key_Return)
    adapter = window.adapter
    adapter.do(lay_walls(adapter.home, adapter.storey, adapter.trade))
    before = len(adapter.home.table(Wall))
    assert before
    click_plan(window, *laid.middle(1))
    key(window, Qt.Key.Key_Return)
    walls = adapter.home.table(Wall).values()
    room = rooms(window)[1]
    assert any(room.id in wall.rooms for wall in walls)
    assert any(wall.openings for wall in walls if room.id in wall.rooms)
    adapter.undo()
    assert len(rooms(window)) == 1
    assert len(adapter.home.table(Wall)) == before


def test_an_outline_is_kept_to_whole_millimetres(window: Window, laid: Laid) -> None:
    begin(window)
    traced = window.draw_stage.trace.tracer.room_at(*laid.middle(0))
    change = take_traced(window.adapter.home, window.adapter.storey, [(traced, "")], window.adapter.trade)
    made = window.adapter.home.apply(change).take(Room, change.added(Room)[0])
    assert all(isinstance(value, int) for corner in made.outline_mm for value in corner)
    assert made.name == "Room 1"
    assert px(window, *laid.middle(0))
