"""Straightening a photograph, against OpenCV, a published example, and a camera worked by hand."""

import math

import cv2
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from circuitmap.errors import HomeError
from circuitmap.plan import to_plan
from circuitmap.plan.rectify import (
    Corners,
    aspect_of,
    check_corners,
    compose,
    flattened,
    four_point_transform,
    in_order,
    laid_flat,
    rectified,
)

SLANTED: Corners = ((158, 64), (494, 69), (495, 404), (158, 404))


def photographed(
    width_mm: float, height_mm: float, tilt_deg: float, turn_deg: float, focal_px: float = 3000.0, size=(4000, 3000)
) -> Corners:
    """Where a camera sees the corners of a rectangle: turned about two axes, 1.5 m away, in a picture of a size."""
    tilt, turn = math.radians(tilt_deg), math.radians(turn_deg)
    seen = []
    for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        px, py, pz = x * width_mm / 2, y * height_mm / 2, 0.0
        py, pz = py * math.cos(tilt), py * math.sin(tilt)
        px, pz = px * math.cos(turn) + pz * math.sin(turn), -px * math.sin(turn) + pz * math.cos(turn)
        pz += 1500
        seen.append((size[0] / 2 + focal_px * px / pz, size[1] / 2 + focal_px * py / pz))
    return tuple(seen)


def test_a_published_example_of_four_points_comes_out_as_printed() -> None:
    # Source: readme of the package perspective-transform 1.1.3 (MIT), basic usage; it rounds its coefficients to ten
    # decimals, so that some 1e-8 of a place is as well as it can be met.
    found = four_point_transform(SLANTED, ((100, 500), (152, 564), (148, 604), (100, 560)))
    assert to_plan(found, 250, 120) == pytest.approx((117.27521125839255, 530.9202410878403), rel=5e-8)


SPOT = st.tuples(st.floats(-4000, 4000), st.floats(-4000, 4000))


@given(st.tuples(SPOT, SPOT, SPOT, SPOT), st.floats(100, 20_000), st.floats(100, 20_000))
def test_any_four_corners_give_what_opencv_gives(corners: Corners, width: float, height: float) -> None:
    try:
        check_corners(corners)
    except HomeError:
        assume(False)
    square = ((0, 0), (width, 0), (width, height), (0, height))
    ours = np.array(laid_flat(corners, width, height)).reshape(3, 3)
    theirs = cv2.getPerspectiveTransform(np.array(corners, np.float32), np.array(square, np.float32))
    for corner, (x, y) in zip(corners, square, strict=True):
        assert to_plan(tuple(ours.ravel().tolist()), *corner) == pytest.approx((x, y), abs=1e-3)
    middle = np.mean(np.array(corners), axis=0)
    for at in (*corners, tuple(middle)):
        one, other = ours @ (*at, 1), theirs @ (*at, 1)
        if abs(other[2] / np.abs(theirs[2]).sum()) > 1e-3:
            # OpenCV is handed single precision: some 1e-4 of the size is as well as the two can agree.
            assert one[:2] / one[2] == pytest.approx(other[:2] / other[2], rel=2e-3, abs=2e-3 * max(width, height))


def test_a_room_of_known_sides_lies_on_the_plan_at_its_size() -> None:
    found = laid_flat(SLANTED, 3600, 4200, origin_mm=(1000, 2000))
    assert to_plan(found, 158, 64) == pytest.approx((1000, 2000))
    assert to_plan(found, 495, 404) == pytest.approx((4600, 6200))


@pytest.mark.parametrize(("width", "height"), [(420, 297), (210, 297), (3600, 4200), (1000, 1000)])
def test_the_shape_of_a_sheet_is_told_by_its_slant(width: float, height: float) -> None:
    size = 420 / max(width, height)
    corners = photographed(width * size, height * size, 25, 18)
    found = aspect_of(corners, 4000, 3000)
    assert found.from_slant
    assert found.width_over_height == pytest.approx(width / height, rel=1e-6)


def test_a_sheet_seen_straight_on_is_taken_as_it_is_seen() -> None:
    found = aspect_of(photographed(420, 297, 0, 0), 4000, 3000)
    assert not found.from_slant
    assert found.width_over_height == pytest.approx(420 / 297)
    assert "check a length" in found.says


def test_a_sheet_seen_along_one_pair_of_sides_is_guessed_and_said_to_be() -> None:
    found = aspect_of(photographed(420, 297, 25, 0), 4000, 3000)
    assert not found.from_slant
    assert "guessed" in found.says


def test_a_hand_that_shakes_by_a_pixel_alters_the_shape_by_less_than_two_per_cent() -> None:
    corners = photographed(420, 297, 30, 20)
    for number in range(4):
        shaken = tuple((x + (n == number), y - (n == number)) for n, (x, y) in enumerate(corners))
        assert aspect_of(shaken, 4000, 3000).width_over_height == pytest.approx(420 / 297, rel=0.02)


@pytest.mark.parametrize(
    ("corners", "says"),
    [
        (((0, 0), (500, 0), (1000, 0), (0, 800)), "lie in a line"),
        (((0, 0), (1000, 800), (1000, 0), (0, 800)), "cross each other"),
        (((0, 0), (1000, 0), (300, 200), (0, 800)), "inside the other three"),
        (((0, 0), (0, 800), (1000, 800), (1000, 0)), "mirror"),
        (((0, 0), (5, 0), (5, 5), (0, 5)), "almost on one spot"),
        (((0, 0), (1000, 0), (4, 3), (0, 800)), "almost on one spot"),
        (((0, 0), (math.nan, 0), (500, 500), (0, 800)), "nowhere"),
    ],
)
def test_corners_that_no_flat_sheet_has_are_refused_in_a_sentence(corners: Corners, says: str) -> None:
    with pytest.raises(HomeError, match=says):
        laid_flat(corners, 3000, 4000)


def test_sides_that_no_room_has_are_refused() -> None:
    for sides in ((0, 4000), (3000, -1), (math.inf, 3000), (math.nan, 3000)):
        with pytest.raises(HomeError, match="more than zero"):
            laid_flat(SLANTED, *sides)


def test_four_spots_in_any_order_become_corners() -> None:
    assert in_order([SLANTED[2], SLANTED[0], SLANTED[3], SLANTED[1]]) == SLANTED
    with pytest.raises(HomeError, match="Four corners"):
        in_order(SLANTED[:3])


def test_two_transforms_one_after_the_other_are_their_product() -> None:
    first = laid_flat(SLANTED, 3600, 4200)
    turned = (0.0, -2.0, 5.0, 2.0, 0.0, 7.0, 0.0, 0.0, 1.0)
    assert to_plan(compose(turned, first), 300, 300) == pytest.approx(to_plan(turned, *to_plan(first, 300, 300)))


def test_a_slanted_picture_of_squares_comes_out_square() -> None:
    corners = photographed(400, 300, 20, 15, focal_px=900, size=(1200, 900))
    board = np.full((300, 400), 255, np.uint8)
    board[:100, :100] = 0
    board[200:, 300:] = 0
    onto = cv2.getPerspectiveTransform(
        np.array([(0, 0), (400, 0), (400, 300), (0, 300)], np.float32), np.array(corners, np.float32)
    )
    seen = cv2.warpPerspective(board, onto, (1200, 900), borderValue=255)
    flat = rectified(seen, corners, 4 / 3, whole=False, longest_px=400)
    assert flat.shape == (300, 400)
    # Two pixels off the edges, where the warping blurs, nothing is left of the slant.
    assert (flat[3:97, 3:97] < 20).all()
    assert (flat[203:297, 303:397] < 20).all()
    assert (flat[3:97, 103:] > 235).all()


def test_colours_and_the_whole_picture_are_kept_and_a_reduced_copy_gives_the_same_view() -> None:
    corners = photographed(400, 300, 10, 5, focal_px=900, size=(1200, 900))
    colours = np.zeros((900, 1200, 4), np.uint8)
    colours[..., 0], colours[..., 3] = 200, 255
    flat = rectified(colours, corners, 4 / 3, longest_px=800)
    assert max(flat.shape[:2]) == 800
    assert tuple(flat[400, 400]) == (200, 0, 0, 255)
    half = rectified(np.ascontiguousarray(colours[::2, ::2]), corners, 4 / 3, longest_px=800, scale=0.5)
    assert half.shape == flat.shape


def test_what_lies_beyond_the_horizon_is_left_away() -> None:
    steep: Corners = ((900, 300), (1100, 300), (1900, 1400), (100, 1400))
    flat = flattened(steep, 1.0, (2000, 1500))
    # The sides meet 183 px above the top corners: the top of the picture has no place on the plan.
    assert 0 < flat.width_px <= 1600
    assert 0 < flat.height_px <= 1600
    assert max(flat.width_px, flat.height_px) == 1600
