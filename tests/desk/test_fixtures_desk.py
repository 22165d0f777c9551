"""Fixtures on the desk: placed against walls by a click, turned, sized, moved, with the zones that they make."""

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap.desk.fields import TextField
from circuitmap.desk.inspect_building import FixturePage
from circuitmap.desk.inspect_points import PointPage
from circuitmap.desk.window import Window
from circuitmap.drawing.marks import Line, Words
from circuitmap.home import verbs
from circuitmap.home.records import Fixture, Place
from circuitmap.words import FIXTURE_KINDS
from tests.desk.building_home import box, ground_floor, two_storeys
from tests.desk.conftest import Opened
from tests.desk.driving import click, click_plan, drag_plan, press, px, settle, type_into


def fixtures(window: Window) -> list[Fixture]:
    return window.adapter.home.sorted(Fixture)


def only(window: Window) -> Fixture:
    (found,) = fixtures(window)
    return found


def page(window: Window) -> FixturePage:
    found = window.inspector.page
    assert isinstance(found, FixturePage)
    return found


def enter(field: TextField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle()


def take(window: Window, kind: str) -> None:
    building = window.draw_stage.building
    building.fixture_kind.setCurrentIndex(building.fixture_kind.findData(kind))
    if window.adapter.tool != "fixture":
        click(window, building.fixture_button)


def point_at(window: Window, x_mm: float, y_mm: float) -> None:
    """Move the pointer there, from beside it."""
    for aside in (20, 0):
        QTest.mouseMove(window.view.viewport(), px(window, x_mm, y_mm) + QPoint(aside, 0))
        settle()


def wheel(window: Window, notches: int, modifiers: Qt.KeyboardModifier) -> None:
    viewport = window.view.viewport()
    spot = QPointF(viewport.rect().center())
    QApplication.sendEvent(
        viewport,
        QWheelEvent(spot, QPointF(viewport.mapToGlobal(spot.toPoint())), QPoint(), QPoint(0, 120 * notches),
                    Qt.MouseButton.NoButton, modifiers, Qt.ScrollPhase.NoScrollPhase, False),
    )  # fmt: skip
    QApplication.processEvents()


def test_every_kind_of_the_trade_table_can_be_placed(opened: Opened) -> None:
    window = opened(ground_floor().home)
    for kind in FIXTURE_KINDS:
        take(window, kind)
        click_plan(window, 1500, 4300)
        assert fixtures(window)[-1].kind == kind
        assert window.adapter.selection == (fixtures(window)[-1].id,)


def test_a_bath_goes_against_the_wall_nearby_snug_in_the_corner(opened: Opened) -> None:
    window = opened(ground_floor().home)
    take(window, "bath")
    click_plan(window, 700, 3300)
    bath = only(window)
    assert bath.place.faces_deg == 90.0
    assert {y for _, y in bath.outline_mm} == {3100, 3800}
    assert {x for x, _ in bath.outline_mm} == {0, 1700}
    assert "zone 1 to 2.25 m, zone 2 to 2.25 m" in page(window).says.text()
    window.adapter.undo()
    assert fixtures(window) == []


def test_the_ghost_shows_the_fixture_and_the_zones_before_the_click(opened: Opened) -> None:
    window = opened(ground_floor().home)
    take(window, "bath")
    point_at(window, 700, 3300)
    preview = window.view.gesture.preview
    assert {mark.text for mark in preview if isinstance(mark, Words)} >= {"0", "1", "2"}
    assert any(isinstance(mark, Line) and mark.closed for mark in preview)
    take(window, "unit")
    point_at(window, 2000, 1500)
    assert not any(isinstance(mark, Words) for mark in window.view.gesture.preview)
    assert fixtures(window) == []


def test_a_typed_size_holds_and_a_bad_one_is_said(opened: Opened) -> None:
    window = opened(ground_floor().home)
    take(window, "unit")
    type_into(window, "fixture-size", "1.2 × 0.65")
    click_plan(window, 2000, 150)
    xs, ys = [x for x, _ in only(window).outline_mm], [y for _, y in only(window).outline_mm]
    assert (max(xs) - min(xs), max(ys) - min(ys)) == (1200, 650)
    for typed in ("big", "30 × 30 m"):
        type_into(window, "fixture-size", typed)
        window._message.hide()
        click_plan(window, 3000, 1500)
        assert window.message
    assert len(fixtures(window)) == 1


def test_q_and_the_wheel_with_shift_turn_what_is_in_hand_and_the_wheel_alone_zooms(opened: Opened) -> None:
    window = opened(ground_floor().home)
    take(window, "stair")
    point_at(window, 2000, 1500)
    press(window.view, Qt.Key.Key_Q)
    wheel(window, 2, Qt.KeyboardModifier.ShiftModifier)
    zoom = window.view.zoom
    click_plan(window, 2000, 1500)
    assert only(window).place.faces_deg == 210.0
    wheel(window, 1, Qt.KeyboardModifier.NoModifier)
    assert window.view.zoom > zoom


def test_a_chosen_fixture_is_turned_by_q_shift_q_and_its_button(opened: Opened) -> None:
    window = opened(ground_floor().home)
    take(window, "furniture")
    click_plan(window, 2000, 1500)
    window.adapter.set_tool("select")
    start = only(window).place.faces_deg
    assert start == 90.0
    press(window.view, Qt.Key.Key_Q)
    assert only(window).place.faces_deg == 180.0
    press(window.view, Qt.Key.Key_Q, Qt.KeyboardModifier.ShiftModifier)
    assert only(window).place.faces_deg == 90.0
    click(window, page(window).turn)
    assert only(window).place.faces_deg == 180.0
    window.adapter.undo()
    assert only(window).place.faces_deg == 90.0


def test_a_fixture_is_dragged_to_another_wall_nudged_and_removed(opened: Opened) -> None:
    window = opened(ground_floor().home)
    take(window, "basin")
    click_plan(window, 1500, 3200)
    window.adapter.set_tool("select")
    drag_plan(window, (1500, 3300), (2900, 4400))
    basin = only(window)
    assert basin.place.faces_deg == 180.0
    assert basin.place.x_mm == 3000
    before = basin.place.y_mm
    press(window.view, Qt.Key.Key_Down)
    assert only(window).place.y_mm == before + 10
    press(window.view, Qt.Key.Key_Delete)
    assert fixtures(window) == []
    window.adapter.undo()
    assert only(window).place.y_mm == before + 10


def test_the_page_of_a_fixture_takes_its_size_and_its_height(opened: Opened) -> None:
    window = opened(ground_floor().home)
    take(window, "bath")
    click_plan(window, 700, 3300)
    enter(page(window).measures, "1.5 × 0.75 m")
    ys = [y for _, y in only(window).outline_mm]
    assert (min(ys), max(ys)) == (3100, 3850)
    enter(page(window).top, "0.6")
    assert only(window).top_mm == 600
    enter(page(window).measures, "1 mm × 30 m")
    assert window.message.startswith("A fixture is between 2 cm and 20 m each way")
    enter(page(window).measures, "round")
    assert "round" in window.message
    enter(page(window).top, "tall")
    assert only(window).top_mm == 600


def test_a_stair_says_which_storeys_it_joins(opened: Opened) -> None:
    window = opened(two_storeys())
    flight = next(f for f in fixtures(window) if f.kind == "stair" and f.place.storey == "G1")
    window.adapter.select(flight.id)
    settle()
    assert page(window).says.text() == "Joins First."
    other = next(f for f in fixtures(window) if f.kind == "stair" and f.place.storey == "G2")
    window.adapter.do(verbs.remove(window.adapter.home, other.id))
    assert page(window).says.text() == "Joins First (not drawn there)."


# -- zones -----------------------------------------------------------------------------------------------------------


def zones_on(window: Window) -> bool:
    return bool(window.view.plan_scene.marks_of("zones"))


def test_zones_are_shown_by_their_button_by_z_and_while_points_are_placed(opened: Opened) -> None:
    b = ground_floor()
    b.do(verbs.add_fixture(b.home, "bath", b.place("G1", 850, 3450), box(0, 3100, 1700, 3800)))
    window = opened(b.home)
    assert not zones_on(window)
    click(window, window.draw_stage.building.zones_button)
    assert zones_on(window)
    assert window.actions_["show-zones"].isChecked()
    press(window.view, Qt.Key.Key_Z)
    assert not zones_on(window)
    assert not window.draw_stage.building.zones_button.isChecked()
    window.take_tool("point")
    assert zones_on(window)
    window.adapter.set_tool("select")
    assert not zones_on(window)


@pytest.mark.parametrize(
    ("x", "y", "height", "said"),
    [
        (1700, 3100, 1000, "In zone 1, to 2.25 m."),
        (2200, 3100, 1000, "In zone 2, to 2.25 m."),
        (2200, 3100, None, "In zone 2 if it is below 2.25 m; its height is unknown."),
        (2200, 3100, 2300, "Outside the zones, 500 mm from zone 1."),
        (3000, 4600, 300, "Outside the zones, 1.53 m from zone 1."),
        (2000, 0, 300, ""),
    ],
)
def test_a_point_says_which_zone_it_is_in(opened: Opened, x: int, y: int, height: int | None, said: str) -> None:
    """Distances by hand: a bath 1.7 × 0.7 m in the corner; √(1.3² + 0.8²) = 1.53 m. Source: BS 7671 701.32."""
    b = ground_floor()
    b.do(verbs.add_fixture(b.home, "bath", b.place("G1", 850, 3450), box(0, 3100, 1700, 3800)))
    b.do(verbs.edit(b.home, "F1", "", top_mm=550))
    point = b.point("switch", ("G1", x, y))
    b.do(verbs.move(b.home, point, Place(storey="G1", x_mm=x, y_mm=y, height_mm=height)))
    window = opened(b.home)
    window.adapter.select(point)
    settle()
    shown = window.inspector.page
    assert isinstance(shown, PointPage)
    assert shown.zone.text() == said
    assert shown.zone.isVisibleTo(window) == bool(said)


def test_v_goes_back_to_choosing_from_any_tool(opened: Opened) -> None:
    window = opened(ground_floor().home)
    take(window, "bath")
    press(window.view, Qt.Key.Key_V)
    assert window.adapter.tool == "select"
    assert not window.draw_stage.building.fixture_button.isChecked()


def test_a_points_height_is_typed_and_settles_its_zone(opened: Opened) -> None:
    b = ground_floor()
    b.do(verbs.add_fixture(b.home, "bath", b.place("G1", 850, 3450), box(0, 3100, 1700, 3800)))
    point = b.point("switch", ("G1", 2200, 3100))
    window = opened(b.home)
    window.adapter.select(point)
    settle()
    shown = window.inspector.page
    assert isinstance(shown, PointPage)
    enter(shown.height_field, "2.4 m")
    assert shown.zone.text().startswith("Outside the zones")
    enter(shown.height_field, "1200")
    assert shown.zone.text().startswith("In zone 2, to 2.25 m")
    assert shown.height_field.text() == "1.20 m"
    for typed in ("-1", "30 m", "eye level"):
        window._message.hide()
        enter(shown.height_field, typed)
        assert window.message
        assert shown.height_field.text() == "1.20 m"
    window.adapter.undo()
    assert shown.height_field.text() == "2.40 m"
