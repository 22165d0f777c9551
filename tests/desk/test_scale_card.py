"""How large a plan is, said in every way that people know it, by real clicks and keys; and what speaks against it."""

from pathlib import Path

import ezdxf.filemanagement
import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit

from circuitmap.desk.theme import TARGET_PX
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.records import Opening, Place, Point, Room, Sheet
from tests.desk.conftest import Opened
from tests.desk.driving import click, click_plan, settle, type_into
from tests.pictures import pdfs

# A sheet of A3 lying (420 × 297 mm), 4 px to a millimetre, drawn at 1:50, so that a pixel is 12.5 mm of the house.
PX_PER_MM, MM_PER_PX = 4, 12.5
OUTER_PX = (160, 160, 1184, 880)  # 12.8 × 9.0 m
DOOR_PX = 72  # 0.90 m


@pytest.fixture
def window(opened: Opened) -> Window:
    made = opened(Home.blank())
    made.adapter.set_stage("draw")
    return made


def plan(folder: Path, *, stretch: float = 1.0) -> Path:
    """Two rooms with a door of 0.90 m between them and one to the outside."""
    sheet = np.full((297 * PX_PER_MM, 420 * PX_PER_MM), 255, dtype=np.uint8)
    left, top, right, bottom = OUTER_PX
    for x0, y0, x1, y1 in (
        (left, top, right, top + 16), (left, bottom - 16, right, bottom), (left, top, left + 16, bottom),
        (right - 16, top, right, bottom), (660, top, 672, bottom),
    ):  # fmt: skip
        sheet[y0:y1, x0:x1] = 0
    sheet[500 : 500 + DOOR_PX, 660:672] = 255
    sheet[bottom - 16 : bottom, 300 : 300 + DOOR_PX] = 255
    picture = Image.fromarray(sheet)
    if stretch != 1.0:
        picture = picture.resize((round(picture.width * stretch), picture.height))
    path = folder / "plan.png"
    picture.save(path)
    return path


def bring(window: Window, path: Path) -> None:
    assert window.draw_stage.bring(path)
    settle()
    settle()
    window.fit()


def sheet_of(window: Window) -> Sheet:
    return window.adapter.home.sorted(Sheet)[-1]


def mm_per_px(window: Window) -> float:
    matrix = sheet_of(window).px_to_plan_mm
    assert matrix is not None
    return matrix[0]


def pick(window: Window, a_px: tuple[float, float], b_px: tuple[float, float]) -> None:
    """Click two pixels of the sheet."""
    if window.adapter.tool != "scale":
        window.take_tool("scale")
    window.view.fit((sheet_of(window).id,))
    per = mm_per_px(window)
    for x, y in (a_px, b_px):
        click_plan(window, x * per, y * per)


def say(window: Window, way: str) -> None:
    """Choose how the scale is known, on the card, by keys."""
    card = window.draw_stage.scale
    if not card.card.isVisibleTo(window):
        click(window, window.draw_stage._scale_button)
    card.ways.setFocus()
    wanted = card.ways.findData(way)
    for _ in range(4):
        if card.ways.currentIndex() < wanted:
            QTest.keyClick(card.ways, Qt.Key.Key_Down)
    assert card.way == way


def by_length(
    window: Window, typed: str, a: tuple[float, float] = (160, 400), b: tuple[float, float] = (1184, 400)
) -> None:
    pick(window, a, b)
    type_into(window, "scale-length", typed)
    settle()


@pytest.mark.parametrize("typed", ["12.8 m", "1280 cm", "41 ft 11.94 in", "41' 11.94\""])
def test_two_points_and_a_length_in_metres_or_feet(window: Window, tmp_path: Path, typed: str) -> None:
    bring(window, plan(tmp_path))
    by_length(window, typed)
    assert mm_per_px(window) == pytest.approx(MM_PER_PX, rel=0.01)
    assert "second length" in window.message
    assert not window.draw_stage.scale.card.isVisibleTo(window)


def test_a_scale_printed_on_a_picture_of_the_whole_sheet(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    say(window, "print")
    assert window.adapter.tool == "select"
    type_into(window, "scale-printed", "1:50 at A3")
    assert mm_per_px(window) == pytest.approx(MM_PER_PX)
    assert sheet_of(window).scale_note == "1:50 at A3, as printed"
    assert "Printers and copiers shrink" in window.draw_stage.scale.doubt.text()


def test_the_paper_may_be_chosen_instead_of_typed(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    say(window, "print")
    window.draw_stage.scale.paper.setCurrentText("A4")
    type_into(window, "scale-printed", "1:100")
    # The same picture of a sheet of A4: half the area, so 1/√2 of the side, at twice the ratio.
    assert mm_per_px(window) == pytest.approx(MM_PER_PX * 2 * 297 / 420, rel=1e-3)


def test_a_pdf_knows_its_own_page(window: Window, tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(
        pdfs.pdf(  # type: ignore[no-untyped-call]  # a builder without hints
            b"3 w 100 100 900 600 re S", size=(1190.55, 841.89)
        )
    )
    bring(window, path)
    click(window, window.draw_stage._scale_button)
    settle()
    say(window, "print")
    type_into(window, "scale-printed", "1:50")
    sheet = sheet_of(window)
    assert sheet.width_px is not None
    assert sheet.width_px * mm_per_px(window) == pytest.approx(420 * 50, rel=2e-3)


@pytest.mark.parametrize(
    ("typed", "says"),
    [("", "a printed scale"), ("1:3", "between 1:5"), ("A3", "a printed scale"), ("1:50", "which paper"),
     ("1:50 at A9", "A9"), ("x" * 80, "a printed scale")],
)  # fmt: skip
def test_a_printed_scale_that_is_none_is_refused_in_a_sentence(
    window: Window, tmp_path: Path, typed: str, says: str
) -> None:
    bring(window, plan(tmp_path))
    before = window.adapter.home
    say(window, "print")
    type_into(window, "scale-printed", typed)
    assert says in window.message
    assert window.adapter.home is before
    assert window.draw_stage.scale.card.isVisibleTo(window)


def test_a_cropped_picture_can_not_be_scaled_by_its_paper(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path, stretch=0.8))
    say(window, "print")
    type_into(window, "scale-printed", "1:50 at A3")
    assert "not the shape of a whole sheet" in window.message


def test_a_rooms_known_width_scales_the_plan_and_the_room_goes_along(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    window.draw_stage.drop_scale()
    per = mm_per_px(window)
    corners = [(round(x * per), round(y * per)) for x, y in ((176, 176), (660, 176), (660, 864), (176, 864))]
    window.adapter.do(verbs.add_room(window.adapter.home, "Left", corners, window.adapter.storey))
    say(window, "room")
    type_into(window, "scale-across", "6.05 m")  # 484 px × 12.5 mm
    assert mm_per_px(window) == pytest.approx(MM_PER_PX, rel=1e-3)
    room = window.adapter.home.sorted(Room)[0]
    xs, ys = [x for x, _ in room.outline_mm], [y for _, y in room.outline_mm]
    assert max(xs) - min(xs) == pytest.approx(6050, abs=2)
    assert max(ys) - min(ys) == pytest.approx(8600, abs=5)
    assert min(xs) == pytest.approx(176 * MM_PER_PX, abs=5), "it lies where the plan shows it"
    assert "One size only" in window.draw_stage.scale.doubt.text()
    window.adapter.undo()
    assert window.adapter.home.sorted(Room)[0].outline_mm == tuple(corners)
    assert mm_per_px(window) == pytest.approx(per)


def test_width_and_depth_that_disagree_are_said(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    per = mm_per_px(window)
    corners = [(round(x * per), round(y * per)) for x, y in ((176, 176), (660, 176), (660, 864), (176, 864))]
    window.adapter.do(verbs.add_room(window.adapter.home, "Left", corners, window.adapter.storey))
    say(window, "room")
    window.draw_stage.scale.down.setText("9.3 m")
    type_into(window, "scale-across", "6.05 m")
    assert "Width and depth differ by 8" in window.draw_stage.scale.doubt.text()


@pytest.mark.parametrize(("typed", "says"), [("", "Type the room's width"), ("wide", "wide"), ("-3 m", "-3 m")])
def test_a_width_that_is_none_is_refused_in_a_sentence(window: Window, tmp_path: Path, typed: str, says: str) -> None:
    bring(window, plan(tmp_path))
    window.adapter.do(
        verbs.add_room(window.adapter.home, "Left", ((0, 0), (3000, 0), (3000, 2000), (0, 2000)), window.adapter.storey)
    )
    before = window.adapter.home
    say(window, "room")
    type_into(window, "scale-across", typed)
    assert says in window.message
    assert window.adapter.home is before


def test_without_a_room_its_width_can_not_be_said(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    say(window, "room")
    type_into(window, "scale-across", "3 m")
    assert "No room is drawn on this storey yet" in window.message


def test_what_the_file_says_can_be_had_again(window: Window, tmp_path: Path) -> None:
    drawing = ezdxf.filemanagement.new()
    drawing.header["$INSUNITS"] = 4
    space = drawing.modelspace()
    for a, b in (((0, 0), (8000, 0)), ((8000, 0), (8000, 6000)), ((8000, 6000), (0, 6000)), ((0, 6000), (0, 0))):
        space.add_line(a, b)
    path = tmp_path / "plan.dxf"
    drawing.saveas(path)
    bring(window, path)
    right = mm_per_px(window)
    by_length(window, "3 m", (100, 100), (900, 100))
    assert mm_per_px(window) != pytest.approx(right, rel=0.05)
    click(window, window.draw_stage._scale_button)
    settle()
    say(window, "file")
    click(window, window.draw_stage.scale.use_button)
    assert mm_per_px(window) == pytest.approx(right)
    assert sheet_of(window).scale_note == "as drawn in the DXF"


def test_a_picture_without_a_unit_does_not_offer_one(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    click(window, window.draw_stage._scale_button)
    settle()
    card = window.draw_stage.scale
    card.ways.setFocus()
    for _ in range(6):
        QTest.keyClick(card.ways, Qt.Key.Key_Down)
    assert card.way == "print"


def test_a_second_length_across_the_first_shows_a_stretched_picture(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path, stretch=1.1))
    by_length(window, "12.8 m", (176, 400), (1302.4, 400))
    click(window, window.draw_stage._check_button)
    assert not window.draw_stage.scale.ways.isVisibleTo(window)
    before = window.adapter.home
    pick(window, (900, 160), (900, 880))
    type_into(window, "scale-length", "9 m")
    assert "9" in window.message
    assert "shorter than measured" in window.message
    assert window.adapter.home is before


def test_a_second_length_the_same_way_is_asked_for_across(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    by_length(window, "12.8 m")
    click(window, window.draw_stage._check_button)
    pick(window, (160, 700), (1184, 700))
    type_into(window, "scale-length", "12.8 m")
    assert "agrees within" in window.message
    assert "measure one across them too" in window.message


def test_doors_seen_in_the_drawing_tell_a_wrong_scale(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    by_length(window, "20 m")  # 0.90 m × 20 / 12.8 = 1.41 m
    doubt = window.draw_stage.scale.doubt
    assert doubt.isVisibleTo(window)
    assert "1.4" in doubt.text()
    assert "leaf is usually" in doubt.text()
    by_length(window, "12.8 m")
    assert not doubt.text()


def test_doors_in_the_walls_are_judged_first(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    by_length(window, "12.8 m")
    home, storey = window.adapter.home, window.adapter.storey
    added = window.adapter.do(verbs.add_wall(home, storey, (2000, 2000), (9000, 2000), 100))
    assert added is not None
    opening = Opening(kind="door", along_mm=500, width_mm=1420)
    window.adapter.do(verbs.edit(window.adapter.home, added[0], openings=(opening,)))
    by_length(window, "12.81 m")
    click(window, window.draw_stage.scale.along.stays)
    assert "1.42 m" in window.draw_stage.scale.doubt.text()


def drawn_on(window: Window) -> tuple[Room, Point]:
    storey = window.adapter.storey
    outline = ((2000, 2000), (6000, 2000), (6000, 5000), (2000, 5000))
    window.adapter.do(verbs.add_room(window.adapter.home, "Room", outline, storey))
    window.adapter.do(verbs.add_point(window.adapter.home, "socket", Place(storey=storey, x_mm=2000, y_mm=3000)))
    return window.adapter.home.sorted(Room)[0], window.adapter.home.sorted(Point)[0]


def test_what_was_drawn_goes_along_when_the_scale_changes(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    by_length(window, "6.4 m")
    drawn_on(window)
    before = window.adapter.home
    by_length(window, "12.8 m")
    along = window.draw_stage.scale.along
    assert "1 room and 1 thing placed" in along.asks
    assert window.adapter.home is before, "nothing happens before the answer"
    click(window, along.along)
    room, point = window.adapter.home.sorted(Room)[0], window.adapter.home.sorted(Point)[0]
    # The scale doubles, but for the pixel of a shaky click.
    assert room.outline_mm[2] == pytest.approx((12000, 10000), rel=0.01)
    assert point.place is not None
    assert (point.place.x_mm, point.place.y_mm) == pytest.approx((4000, 6000), rel=0.01)
    assert mm_per_px(window) == pytest.approx(MM_PER_PX, rel=0.01)
    window.adapter.undo()
    assert window.adapter.home.sorted(Room) == before.sorted(Room)
    assert window.adapter.home.sorted(Sheet) == before.sorted(Sheet)


def test_what_was_drawn_stays_when_the_person_says_so(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    by_length(window, "6.4 m")
    room, point = drawn_on(window)
    by_length(window, "12.8 m")
    click(window, window.draw_stage.scale.along.stays)
    assert window.adapter.home.sorted(Room) == [room]
    assert window.adapter.home.sorted(Point) == [point]
    assert mm_per_px(window) == pytest.approx(MM_PER_PX, rel=0.01)


def test_the_question_can_be_left_and_goes_when_the_plan_goes(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    by_length(window, "6.4 m")
    drawn_on(window)
    along = window.draw_stage.scale.along
    before = window.adapter.home
    by_length(window, "12.8 m")
    click(window, along.drop)
    assert window.adapter.home is before
    by_length(window, "12.8 m")
    assert along.isVisibleTo(window)
    window.adapter.do(verbs.remove(window.adapter.home, sheet_of(window).id))
    assert not along.isVisibleTo(window)


def test_the_scale_is_not_asked_for_an_earlier_picture(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    pick(window, (160, 400), (1184, 400))
    window.adapter.do(verbs.remove(window.adapter.home, sheet_of(window).id))
    settle()
    assert not window.draw_stage.scale.card.isVisibleTo(window)
    window.draw_stage.scale.use()
    assert not window.adapter.home.sorted(Sheet)


def test_everything_on_the_cards_can_be_hit_and_has_a_name(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    card = window.draw_stage.scale
    for way in ("points", "room", "print"):
        card.begin(way)
        if way == "points":
            pick(window, (160, 400), (1184, 400))
        QApplication.processEvents()
        seen = 0
        for kind in (QAbstractButton, QComboBox, QLineEdit):
            for widget in card.findChildren(kind):
                if widget.isVisibleTo(card):
                    seen += 1
                    assert widget.height() >= TARGET_PX, (way, widget.objectName())
                    assert widget.accessibleName() or widget.text(), (way, widget.objectName())  # type: ignore[attr-defined]  # a button
        assert seen >= 4


def two_plans(window: Window, folder: Path) -> tuple[Sheet, Sheet]:
    """Two copies of the plan under one storey, the later one 30 m to the right."""
    bring(window, plan(folder))
    bring(window, plan(folder, stretch=1.25))
    first, second = window.adapter.home.sorted(Sheet)
    matrix = second.px_to_plan_mm
    assert matrix is not None
    aside = (*matrix[:2], 30_000.0, *matrix[3:])
    window.adapter.do(verbs.set_scale(window.adapter.home, second.id, aside))  # type: ignore[arg-type]  # nine of nine
    return first, window.adapter.home.take(Sheet, second.id)


def test_of_two_plans_the_chosen_one_gets_the_scale_and_the_other_stays(window: Window, tmp_path: Path) -> None:
    first, second = two_plans(window, tmp_path)
    choice = window.draw_stage.sheets
    assert choice.isVisibleTo(window)
    assert choice.currentData() == second.id  # the one that came last
    choice.setFocus()
    QTest.keyClick(choice, Qt.Key.Key_Up)
    settle()
    assert window.adapter.sheet == first
    say(window, "print")
    type_into(window, "scale-printed", "1:50 at A3")
    assert window.adapter.home.take(Sheet, first.id).scale_note == "1:50 at A3, as printed"
    assert window.adapter.home.take(Sheet, second.id) == second
    assert "1:50 at A3" in choice.currentText()


def test_two_points_on_one_of_two_plans_are_for_that_one(window: Window, tmp_path: Path) -> None:
    first, second = two_plans(window, tmp_path)
    window.take_tool("scale")
    window.view.fit((first.id, second.id))
    assert first.px_to_plan_mm is not None
    per = first.px_to_plan_mm[0]
    for x in (160, 1184):
        click_plan(window, x * per, 400 * per)
    type_into(window, "scale-length", "12.8 m")
    settle()
    after = window.adapter.home.take(Sheet, first.id).px_to_plan_mm
    assert after is not None
    assert after[0] == pytest.approx(MM_PER_PX, rel=0.02)
    assert window.adapter.home.take(Sheet, second.id) == second


def test_a_plan_is_the_chosen_one_until_another_is_brought_in(window: Window, tmp_path: Path) -> None:
    first, second = two_plans(window, tmp_path)
    choice = window.draw_stage.sheets
    choice.setFocus()
    QTest.keyClick(choice, Qt.Key.Key_Up)
    settle()
    assert window.adapter.sheet == first
    seen = window.view.mapToScene(window.view.viewport().rect()).boundingRect()
    assert seen.right() < 30_000  # it is brought into view, and the other is out of it
    assert window.adapter.home.take(Sheet, second.id) == second
    bring(window, plan(tmp_path))
    assert window.adapter.sheet == window.adapter.home.sorted(Sheet)[-1]
    window.adapter.undo()
    assert window.adapter.sheet is not None  # the chosen one is gone: the last of those left


def test_one_plan_alone_asks_for_no_choice(window: Window, tmp_path: Path) -> None:
    bring(window, plan(tmp_path))
    assert not window.draw_stage.sheets.isVisibleTo(window)
