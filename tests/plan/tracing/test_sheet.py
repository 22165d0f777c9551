"""A click in a room gives its outline; anything else gives one sentence.

Checked against: areas and corners by hand (the flat is drawn with rectangles of known corners); shapely for areas and
overlaps.
"""

from typing import Final

import cv2
import numpy as np
import pytest
import shapely

from circuitmap.jobs import StoppedError, Ticket
from circuitmap.plan.tracing import Outlined, Sheeted, TracingError, analyse, grey_of
from circuitmap.plan.tracing.prepare import WORK_PX
from tests.plan.tracing.sheets import (
    BEDROOM,
    DOOR_LIVING,
    HALL,
    LIVING,
    ROOMS,
    Box,
    Grey,
    blank,
    box,
    corners,
    edges,
    flat,
    furnished,
    hollow,
    hollow_wide,
)  # fmt: skip

NEAR_PX: Final = 1.5


def overlap(found: Outlined, where: Box) -> float:
    a, b = shapely.Polygon(found.corners_px), shapely.Polygon(corners(where))
    return float(a.intersection(b).area / a.union(b).area)


def middle(where: Box) -> tuple[float, float]:
    return (where[0] + where[2]) / 2, (where[1] + where[3]) / 2


@pytest.fixture(scope="module")
def sheet() -> Sheeted:
    return analyse(furnished(flat()))


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_of_a_drawing_with_filled_walls_comes_out_to_the_pixel(sheet: Sheeted, room: Box) -> None:
    found = sheet.room_at(*middle(room))
    assert len(found.corners_px) == 4
    for x, y in corners(room):
        assert min(np.hypot(a - x, b - y) for a, b in found.corners_px) <= NEAR_PX


def test_the_area_is_that_worked_by_hand(sheet: Sheeted) -> None:
    found = sheet.room_at(*middle(BEDROOM))
    assert found.area_px2 == pytest.approx((1100 - 720) * (640 - 100), rel=0.01)  # 3.8 m × 5.4 m at 100 px a metre
    assert found.area_px2 == pytest.approx(shapely.Polygon(found.corners_px).area, rel=1e-9)


@pytest.mark.parametrize("place", [(300, 450), (200, 220), (455, 290), (410, 400)])
def test_a_click_on_a_swing_a_table_a_name_or_a_dimension_gives_the_room_about_it(
    sheet: Sheeted, place: tuple[float, float]
) -> None:
    assert overlap(sheet.room_at(*place), LIVING) > 0.99


def test_the_doors_of_a_room_are_told_with_their_width(sheet: Sheeted) -> None:
    doors = sheet.room_at(*middle(LIVING)).doors
    left, top, right, bottom = DOOR_LIVING
    door = min(doors, key=lambda d: abs(d.a_px[1] - (top + bottom) / 2))
    assert door.kind == "opening"
    assert door.width_px == pytest.approx(right - left, abs=3)
    assert door.depth_px == pytest.approx(bottom - top, abs=3)
    assert len(sheet.room_at(*middle(HALL)).doors) == 3


def test_a_window_is_an_opening_with_lines_along_it(sheet: Sheeted) -> None:
    assert [d.kind for d in sheet.room_at(*middle(LIVING)).doors].count("inked") == 1


def test_all_rooms_are_those_that_clicks_give(sheet: Sheeted) -> None:
    rooms = sheet.all_rooms()
    assert len(rooms) == len(ROOMS) == sheet.count
    assert {sheet.room_at(*middle(room)) for room in ROOMS} == set(rooms)
    assert all(0 <= room.sure <= 1 for room in rooms)


@pytest.mark.parametrize(
    ("place", "says"),
    [
        ((80.0, 300.0), "is on a wall; click in the middle of a room"),
        ((10.0, 10.0), "it is outside"),
        ((1300.0, 300.0), "is not on the picture, which is 1200 × 760 px"),
        ((-3.0, 5.0), "is not on the picture"),
    ],
)
def test_a_click_that_finds_no_room_says_why(sheet: Sheeted, place: tuple[float, float], says: str) -> None:
    with pytest.raises(TracingError, match=says) as error:
        sheet.room_at(*place)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("room", ROOMS)
def test_hollow_walls_give_the_same_rooms(room: Box) -> None:
    assert overlap(analyse(hollow()).room_at(*middle(room)), room) > 0.98


@pytest.mark.parametrize("room", [LIVING, BEDROOM])
def test_a_face_drawn_as_a_line_lies_in_the_middle_of_it(room: Box) -> None:
    found = np.array(analyse(hollow_wide()).room_at(*middle(room)).corners_px)
    for x, y in corners(room):
        assert np.hypot(*(found - (x, y)).T).min() <= NEAR_PX


@pytest.mark.parametrize("angle_deg", [-3.0, 1.3])
def test_a_sheet_that_lies_askew_gives_rooms_turned_with_it(angle_deg: float) -> None:
    matrix = cv2.getRotationMatrix2D((600, 380), angle_deg, 0.9)
    turned = cv2.warpAffine(furnished(flat()), matrix, (1200, 760), flags=cv2.INTER_AREA, borderValue=255)
    analysed = analyse(np.asarray(turned, dtype=np.uint8))
    for room in ROOMS:
        truth = np.array(corners(room)) @ matrix[:, :2].T + matrix[:, 2]
        found = analysed.room_at(*truth.mean(axis=0))
        a, b = shapely.Polygon(found.corners_px), shapely.Polygon(truth)
        assert a.intersection(b).area / a.union(b).area > 0.98
        assert len(found.corners_px) == 4


def test_a_real_slant_is_kept() -> None:
    drawing = flat()
    cv2.fillPoly(drawing, [np.array([[980, 100], [1100, 100], [1100, 220]])], 20)
    found = analyse(drawing).room_at(900, 400)
    truth = shapely.Polygon(corners(BEDROOM)).difference(shapely.Polygon([(980, 100), (1100, 100), (1100, 220)]))
    assert len(found.corners_px) == 5
    shape = shapely.Polygon(found.corners_px)
    assert shape.intersection(truth).area / shape.union(truth).area > 0.99


def test_a_sheet_of_many_small_flats_is_looked_at_from_nearer_by() -> None:
    sheet = np.tile(flat(), (4, 5))  # 6000 × 3040 px
    found = analyse(sheet)
    assert found.prepared.even.size > 1.5 * WORK_PX
    overlaps = []
    for row, column in ((0, 0), (1, 3), (3, 4)):
        for room in ROOMS:
            left, top, right, bottom = (at + off for at, off in zip(room, (column * 1200, row * 760) * 2, strict=True))
            overlaps.append(overlap(found.room_at(*middle((left, top, right, bottom))), (left, top, right, bottom)))
    assert min(overlaps) > 0.97


def test_a_home_is_not_looked_at_from_nearer_by() -> None:
    found = analyse(np.kron(furnished(flat()), np.ones((3, 3), np.uint8)))  # 3600 × 2280 px
    assert found.prepared.even.size < 1.2 * WORK_PX


def test_noise_and_jpeg_leave_the_rooms_alone() -> None:
    rng = np.random.default_rng(5)
    noisy = np.clip(furnished(flat(90)).astype(float) * 0.8 + 30 + rng.normal(0, 6, (760, 1200)), 0, 255).astype(
        np.uint8
    )
    _, packed = cv2.imencode(".jpg", noisy, [cv2.IMWRITE_JPEG_QUALITY, 45])
    analysed = analyse(np.asarray(cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE), dtype=np.uint8))
    for room in ROOMS:
        assert overlap(analysed.room_at(*middle(room)), room) > 0.98


def test_a_room_with_a_hole_in_its_wall_is_closed_and_said() -> None:
    drawing = flat()
    box(drawing, (1100, 300, 1140, 350), 255)
    box(drawing, (1140, 300, 1160, 302), 20)  # a drip that makes the hole no clean gap
    box(drawing, (1095, 340, 1140, 352), 255)
    found = analyse(drawing).room_at(*middle(BEDROOM))
    assert overlap(found, BEDROOM) > 0.93
    assert found.sure < 1 or not found.why


def test_line_work_is_traced_without_a_picture() -> None:
    outer = (60, 60, 1140, 680)
    sides = [side for where in (outer, *ROOMS) for side in edges(where)]
    lines = np.array(sides) * 0.5
    analysed = analyse(np.zeros((380, 600), np.uint8), lines=lines)
    for room in ROOMS:
        found = analysed.room_at(*(np.array(middle(room)) * 0.5))
        truth = shapely.Polygon(np.array(corners(room)) * 0.5)
        shape = shapely.Polygon(found.corners_px)
        assert shape.intersection(truth).area / shape.union(truth).area > 0.98
    with pytest.raises(TracingError, match="not on the picture, which is 600 × 380 px"):
        analysed.room_at(700, 100)


@pytest.mark.parametrize("lines", [np.empty((0, 4)), np.full((3, 4), np.nan), np.full((2, 4), 7.0)])
def test_no_line_work_is_said(lines: "np.ndarray[tuple[int, ...], np.dtype[np.float64]]") -> None:
    with pytest.raises(TracingError, match="no line work"):
        analyse(blank(), lines=lines)


@pytest.mark.parametrize("drawing", [blank(), np.zeros((400, 600), np.uint8), np.zeros((1, 1), np.uint8)])
def test_an_empty_black_or_tiny_sheet_is_a_sentence(drawing: Grey) -> None:
    with pytest.raises(TracingError) as error:
        analyse(drawing)
    assert str(error.value).endswith(".")


def test_a_sheet_without_walls_has_no_rooms() -> None:
    drawing = blank()
    cv2.putText(drawing, "nothing here", (200, 300), cv2.FONT_HERSHEY_SIMPLEX, 1.5, 0, 2)
    analysed = analyse(drawing)
    assert analysed.all_rooms() == ()
    with pytest.raises(TracingError, match="No walls"):
        analysed.room_at(600, 500)


def test_the_analysis_tells_how_far_it_is_and_stops_when_asked() -> None:
    told: list[tuple[int, int, str]] = []
    analyse(flat(), ticket=Ticket(lambda *tick: told.append(tick)))
    assert [done for done, _, _ in told] == sorted(done for done, _, _ in told)
    assert told[-1][0] == told[-1][1]
    ticket = Ticket(lambda *_: ticket.stop())
    with pytest.raises(StoppedError):
        analyse(flat(), ticket=ticket)


def test_colours_count_as_drawn_on_light_and_on_dark_paper() -> None:
    light = np.full((50, 60, 3), 255, np.uint8)
    light[10, 10:50] = (255, 255, 0)
    dark = np.zeros((50, 60, 4), np.uint8)
    dark[..., 3] = 255
    dark[10, 10:50, 1] = 255
    for pixels in (light, dark):
        grey = grey_of(pixels)
        assert (grey[10, 10:50] == 0).all()
        assert grey[30, 30] == 255
    clear = np.zeros((50, 60, 4), np.uint8)  # black ink on nothing: what can be seen through is paper
    clear[10, 10:50, 3] = 255
    assert grey_of(clear)[10, 20] == 0
    assert grey_of(clear)[30, 30] == 255
