"""A photograph of a plan laid flat by real drags and keys, held against the transform it was made with."""

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit

from circuitmap.desk.canvas.lens import Lens
from circuitmap.desk.canvas.straightening import TOOL, Straighten
from circuitmap.desk.canvas.underlay import Underlay
from circuitmap.desk.theme import TARGET_PX
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.records import Room, Sheet
from circuitmap.plan import to_plan
from tests.desk.conftest import Opened
from tests.desk.driving import click, drag_plan, settle
from tests.desk.photographed import PX_PER_M, ROOMS_PX, Photograph, photograph

SHIFT, NONE = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.NoModifier


@pytest.fixture
def photo(tmp_path: Path) -> Photograph:
    return photograph(tmp_path)


@pytest.fixture
def window(opened: Opened, photo: Photograph) -> Window:
    made = opened(Home.blank())
    made.adapter.set_stage("draw")
    assert made.draw_stage.bring(photo.path)
    settle()
    settle()
    made.fit()
    return made


def sheet_of(window: Window) -> Sheet:
    return window.adapter.home.sorted(Sheet)[-1]


def lies(window: Window, spot_px: tuple[float, float]) -> tuple[float, float]:
    matrix = sheet_of(window).px_to_plan_mm
    assert matrix is not None
    return to_plan(matrix, *spot_px)


def gesture(window: Window) -> Straighten:
    held = window.view.gesture
    assert isinstance(held, Straighten)
    return held


def begin(window: Window) -> None:
    click(window, window.draw_stage.straighten.open_button)
    assert window.adapter.tool == TOOL


def drag_corners(window: Window, photo: Photograph) -> None:
    """Drag each handle to where the sheet's corner is seen, and set it to the pixel by keys."""
    window.fit()
    for number, corner in enumerate(photo.corners_px):
        drag_plan(window, gesture(window).corner_mm(number), lies(window, corner))
        assert math.dist(gesture(window).corners_px[number], corner) < 4, "a pixel of the screen is some of the picture"


def sides_m(window: Window, photo: Photograph, name: str) -> tuple[float, float, float, float]:
    """Each of a room's four sides as it lies on the plan now."""
    left, top, right, bottom = ROOMS_PX[name]
    spots = [lies(window, photo.seen(x, y)) for x, y in ((left, top), (right, top), (right, bottom), (left, bottom))]
    a, b, c, d = (math.dist(one, other) / 1000 for one, other in zip(spots, [*spots[1:], spots[0]], strict=True))
    return a, b, c, d


def true_sides_m(name: str) -> tuple[float, float, float, float]:
    left, top, right, bottom = ROOMS_PX[name]
    wide, deep = (right - left) / PX_PER_M, (bottom - top) / PX_PER_M
    return wide, deep, wide, deep


def field(window: Window, name: str) -> QLineEdit:
    found = window.findChild(QLineEdit, name)
    assert found is not None
    return found


def test_a_sheet_of_paper_with_its_printed_scale_comes_out_to_size_within_one_in_a_hundred(
    window: Window, photo: Photograph
) -> None:
    begin(window)
    drag_corners(window, photo)
    card = window.draw_stage.straighten
    card.choose("paper")
    card.paper.setCurrentText("A3")
    entry = field(window, "straighten-printed")
    entry.setFocus()
    QTest.keyClicks(entry, "1:50")
    click(window, card.take_button)
    for name in ROOMS_PX:
        assert sides_m(window, photo, name) == pytest.approx(true_sides_m(name), rel=0.01)
    assert sheet_of(window).scale_note == "1:50 at A3, straightened"
    assert window.adapter.tool == "select"


def test_a_room_with_typed_sides_straightens_the_whole_photograph(window: Window, photo: Photograph) -> None:
    left, top, right, bottom = ROOMS_PX["Lounge"]
    begin(window)
    window.fit()
    for number, spot in enumerate(((left, top), (right, top), (right, bottom), (left, bottom))):
        drag_plan(window, gesture(window).corner_mm(number), lies(window, photo.seen(*spot)))
    card = window.draw_stage.straighten
    card.choose("room")
    for name, typed in (("straighten-across", "29' 6 3/8\""), ("straighten-down", "10 m")):
        entry = field(window, name)
        entry.setFocus()
        QTest.keyClicks(entry, typed)
    QTest.keyClick(field(window, "straighten-down"), Qt.Key.Key_Return)
    assert sides_m(window, photo, "Lounge") == pytest.approx(true_sides_m("Lounge"), rel=0.005)
    assert sides_m(window, photo, "Hall") == pytest.approx(true_sides_m("Hall"), rel=0.01)


def test_one_undo_takes_it_back(window: Window, photo: Photograph) -> None:
    before = window.adapter.home
    begin(window)
    drag_corners(window, photo)
    assert window.adapter.home is before, "nothing is changed while corners are dragged"
    window.draw_stage.straighten.choose("unknown")
    click(window, window.draw_stage.straighten.take_button)
    assert window.adapter.document.undo_title == "Straighten the plan"
    window.adapter.undo()
    assert sheet_of(window) == before.sorted(Sheet)[-1]
    window.adapter.redo()
    assert sheet_of(window) != before.sorted(Sheet)[-1]


def test_unknown_sides_are_guessed_and_said_so_then_two_points_give_the_scale(
    window: Window, photo: Photograph
) -> None:
    begin(window)
    drag_corners(window, photo)
    card = window.draw_stage.straighten
    card.choose("unknown")
    assert "worked out from the slant" in card.says.text() or "guessed" in card.says.text()
    click(window, card.take_button)
    assert sheet_of(window).scale_note == ""
    assert window.adapter.tool == "scale"
    left, top, right, _ = ROOMS_PX["Lounge"]
    window.fit()
    a, b = lies(window, photo.seen(left, top)), lies(window, photo.seen(right, top))
    window.draw_stage.take_picked((a, b))
    entry = field(window, "scale-length")
    QTest.keyClicks(entry, "9 m")
    QTest.keyClick(entry, Qt.Key.Key_Return)
    matrix = sheet_of(window).px_to_plan_mm
    assert matrix is not None
    assert matrix[6:8] != (0, 0), "the scale keeps what straightens"
    wide, deep, wide_too, deep_too = sides_m(window, photo, "Lounge")
    assert (wide, wide_too) == pytest.approx((9.0, 9.0), rel=0.01)
    assert deep == pytest.approx(deep_too, rel=0.01)


def test_corners_are_reached_and_moved_by_keys_alone(window: Window, photo: Photograph) -> None:
    window.view.setFocus()
    QTest.keyClick(window.view, Qt.Key.Key_G, Qt.KeyboardModifier.ControlModifier | SHIFT)
    view = window.view
    start = gesture(window).corners_px
    QTest.keyClick(view, Qt.Key.Key_Tab)
    assert gesture(window).chosen == 0
    QTest.keyClick(view, Qt.Key.Key_Right)
    QTest.keyClick(view, Qt.Key.Key_Down, SHIFT)
    assert gesture(window).corners_px[0] == pytest.approx((start[0][0] + 1, start[0][1] + 10), abs=1e-6)
    QTest.keyClick(view, Qt.Key.Key_Tab)
    QTest.keyClick(view, Qt.Key.Key_Left)
    assert gesture(window).corners_px[1] == pytest.approx((start[1][0] - 1, start[1][1]), abs=1e-6)
    QTest.keyClick(view, Qt.Key.Key_Backtab, SHIFT)
    assert gesture(window).chosen == 0
    for _ in range(4):
        QTest.keyClick(view, Qt.Key.Key_Tab)
    assert gesture(window).chosen == -1, "the focus is not caught among the corners"
    assert not view.hasFocus()
    before = sheet_of(window)
    view.setFocus()
    QTest.keyClick(view, Qt.Key.Key_Return)
    assert sheet_of(window) != before


def test_escape_gives_up_and_leaves_the_sheet(window: Window, photo: Photograph) -> None:
    before = window.adapter.home
    begin(window)
    drag_corners(window, photo)
    window.view.setFocus()
    QTest.keyClick(window.view, Qt.Key.Key_Escape)
    assert window.adapter.tool == "select"
    assert not window.draw_stage.straighten.card.isVisibleTo(window)
    assert window.adapter.home is before


def crossed(window: Window) -> None:
    a, b = gesture(window).corner_mm(0), gesture(window).corner_mm(1)
    drag_plan(window, a, (b[0] + 800, b[1] + 900))


def in_a_line(window: Window) -> None:
    a, c = gesture(window).corner_mm(0), gesture(window).corner_mm(2)
    drag_plan(window, gesture(window).corner_mm(1), ((a[0] + c[0]) / 2, (a[1] + c[1]) / 2))


def on_one_spot(window: Window) -> None:
    drag_plan(window, gesture(window).corner_mm(0), gesture(window).corner_mm(1))


@pytest.mark.parametrize(
    ("spoil", "says"), [(crossed, "cross"), (in_a_line, "lie in a line"), (on_one_spot, "almost on one spot")]
)
def test_corners_that_no_sheet_has_are_refused_in_a_sentence(
    window: Window, spoil: Callable[[Window], None], says: str
) -> None:
    before = window.adapter.home
    begin(window)
    window.fit()
    spoil(window)
    card = window.draw_stage.straighten
    assert says in card.says.text()
    click(window, card.take_button)
    assert says in window.message
    assert window.adapter.home is before
    assert window.adapter.tool == TOOL, "the corners stay in hand to be mended"


@pytest.mark.parametrize(
    ("across", "down", "says"),
    [
        ("", "", "Type both sides"),
        ("3 m", "", "Type both sides"),
        ("3 bananas", "4 m", "3 bananas"),
        ("0 m", "4 m", "0 m"),
    ],
)
def test_sides_that_are_no_lengths_are_refused_in_a_sentence(window: Window, across: str, down: str, says: str) -> None:
    before = window.adapter.home
    begin(window)
    card = window.draw_stage.straighten
    card.choose("room")
    field(window, "straighten-across").setText(across)
    field(window, "straighten-down").setText(down)
    click(window, card.take_button)
    assert says in window.message
    assert window.adapter.home is before


def test_the_preview_shows_the_sheet_flat_and_only_the_newest_of_many_moves(window: Window, photo: Photograph) -> None:
    begin(window)
    drag_corners(window, photo)
    card = window.draw_stage.straighten
    card.choose("paper")
    card.paper.setCurrentText("A3")
    view = window.view
    view.setFocus()
    QTest.keyClick(view, Qt.Key.Key_Tab)
    for _ in range(60):
        QTest.keyClick(view, Qt.Key.Key_Right)
        QTest.keyClick(view, Qt.Key.Key_Left)
    while card.flat.is_waiting:
        settle()
        QTest.qWait(20)
    assert card.flat.drawn < 60
    shown = card.preview.pixmap()
    assert shown.width() / shown.height() == pytest.approx(420 / 297, rel=0.02)
    image = shown.toImage()
    # The kitchen's middle is white paper, its left wall dark, where the drawn sheet has them.
    across, down = shown.width() / 1680, shown.height() / 1188
    assert image.pixelColor(round(360 * across), round(400 * down)).lightness() > 220
    assert image.pixelColor(round(154 * across), round(400 * down)).lightness() < 120


def test_the_lens_shows_the_corner_from_near_and_goes_with_the_tool(window: Window, photo: Photograph) -> None:
    begin(window)
    card = window.draw_stage.straighten
    while card.flat.is_waiting:
        settle()
        QTest.qWait(20)
    drag_corners(window, photo)
    lens = window.view.viewport().findChild(Lens, "lens")
    assert lens is not None
    assert lens.isVisible()
    image = lens.image
    # The last corner set is the bottom left one: paper up and to the right of it, the table elsewhere.
    wide, high = image.width(), image.height()
    assert image.pixelColor(wide * 3 // 4, high // 5).lightness() > 200
    assert image.pixelColor(wide // 5, high * 4 // 5).lightness() < 130
    window.view.setFocus()
    QTest.keyClick(window.view, Qt.Key.Key_Escape)
    assert not lens.isVisible()


def test_the_canvas_draws_the_straightened_sheet_where_the_rooms_are(window: Window, photo: Photograph) -> None:
    test_a_sheet_of_paper_with_its_printed_scale_comes_out_to_size_within_one_in_a_hundred(window, photo)
    settle()
    underlay = next(item for item in window.view.plan_scene.items() if isinstance(item, Underlay))
    for name, (left, top, right, bottom) in ROOMS_PX.items():
        seen = photo.seen((left + right) / 2, (top + bottom) / 2)
        spot = underlay.mapToScene(*seen)
        assert (spot.x(), spot.y()) == pytest.approx(lies(window, seen)), name
    window.fit()
    settle()
    shot = window.view.grab().toImage()

    def shade(x: float, y: float) -> int:
        at = window.view.mapFromScene(*lies(window, photo.seen(x, y)))
        return shot.pixelColor(at).lightness()

    walls = [shade(x, 400) for x in (154, 566, 738, 1470)]
    floors = [shade(x, 400) for x in (360, 650, 1100)]
    assert max(walls) + 40 < min(floors)


def test_a_photograph_so_steep_that_its_horizon_is_in_it_is_drawn_on_this_side_only(
    window: Window, photo: Photograph
) -> None:
    begin(window)
    window.fit()
    corners = ((800.0, 700.0), (1100.0, 700.0), (1900.0, 1400.0), (100.0, 1400.0))
    for number, spot in reversed(list(enumerate(corners))):
        drag_plan(window, gesture(window).corner_mm(number), lies(window, spot))
    set_px = gesture(window).corners_px
    window.draw_stage.straighten.choose("unknown")
    window.draw_stage.straighten.take()
    settle()
    underlay = next(item for item in window.view.plan_scene.items() if isinstance(item, Underlay))
    bounds = underlay.sceneBoundingRect()
    assert 0 < bounds.width() < 500_000
    assert all(bounds.contains(*lies(window, spot)) for spot in set_px)
    a, b, c, d = (lies(window, spot) for spot in set_px)
    assert (b[1], c[0], d[1]) == pytest.approx((a[1], b[0], c[1])), "the corners lie square"
    window.view.fit((sheet_of(window).id,))
    settle()
    shot = window.view.grab().toImage()
    table, paper = (window.view.mapFromScene(*lies(window, spot)) for spot in ((60, 800), (1300, 900)))
    assert shot.pixelColor(table).lightness() + 25 < shot.pixelColor(paper).lightness()
    begin(window)
    assert all(abs(x) < 1e6 and abs(y) < 1e6 for x, y in map(gesture(window).corner_mm, range(4)))


def test_two_corners_on_one_spot_come_apart_again(window: Window, photo: Photograph) -> None:
    begin(window)
    window.fit()
    home = gesture(window).corners_px
    drag_plan(window, gesture(window).corner_mm(1), gesture(window).corner_mm(0))
    drag_plan(window, gesture(window).corner_mm(1), lies(window, home[1]))
    assert math.dist(gesture(window).corners_px[1], home[1]) < 8
    assert gesture(window).corners_px[0] == home[0]


def test_a_corner_dragged_out_of_the_picture_stays_on_its_edge(window: Window) -> None:
    begin(window)
    window.fit()
    x, y = gesture(window).corner_mm(0)
    drag_plan(window, (x, y), (x - 1200, y))
    assert gesture(window).corners_px[0][0] == 0.0


def test_what_was_drawn_goes_along_or_stays_as_the_person_says(window: Window, photo: Photograph) -> None:
    storey = window.adapter.storey
    window.adapter.do(
        verbs.add_room(window.adapter.home, "Store", ((0, 0), (2000, 0), (2000, 1000), (0, 1000)), storey)
    )
    before = window.adapter.home.sorted(Room)[0]
    begin(window)
    window.draw_stage.straighten.choose("unknown")
    settle()  # the rooms were in sight and the plan is brought there
    for number, corner in enumerate(photo.corners_px):
        drag_plan(window, gesture(window).corner_mm(number), lies(window, corner))
    click(window, window.draw_stage.straighten.take_button)
    along = window.draw_stage.scale.along
    assert "There is 1 room on this storey already" in along.asks
    click(window, along.stays)
    assert window.adapter.home.sorted(Room)[0] == before
    window.adapter.undo()
    begin(window)
    click(window, window.draw_stage.straighten.take_button)
    click(window, along.along)
    assert window.adapter.home.sorted(Room)[0].outline_mm != before.outline_mm
    window.adapter.undo()
    assert window.adapter.home.sorted(Room)[0] == before


def test_everything_on_the_card_can_be_hit_and_has_a_name(window: Window) -> None:
    begin(window)
    QApplication.processEvents()
    card = window.draw_stage.straighten
    for kind in (QAbstractButton, QComboBox, QLineEdit):
        for widget in card.findChildren(kind):
            if widget.isVisibleTo(card):
                assert widget.height() >= TARGET_PX, widget.objectName()
                assert widget.accessibleName() or widget.text(), widget.objectName()  # type: ignore[attr-defined]  # a button


def test_of_two_plans_the_chosen_one_is_straightened(window: Window, photo: Photograph) -> None:
    first = sheet_of(window)
    assert window.draw_stage.bring(photo.path)
    settle()
    second = sheet_of(window)
    assert second.id != first.id
    window.adapter.choose_sheet(first.id)
    begin(window)
    window.draw_stage.straighten.choose("unknown")
    window.draw_stage.straighten.take()
    settle()
    assert window.adapter.home.take(Sheet, first.id).px_to_plan_mm != first.px_to_plan_mm
    assert window.adapter.home.take(Sheet, second.id) == second


def test_corners_in_hand_are_put_down_when_another_plan_is_chosen(window: Window, photo: Photograph) -> None:
    first = sheet_of(window)
    assert window.draw_stage.bring(photo.path)
    settle()
    begin(window)
    window.adapter.choose_sheet(first.id)
    settle()
    assert window.adapter.tool == "select"
    assert window.draw_stage.straighten.corners_px is None
