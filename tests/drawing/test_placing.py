"""Pictures: their size from the header, and where they lie."""

import io

import pytest
from PIL import Image

from circuitmap.drawing.marks import NineNumbers
from circuitmap.drawing.placing import has_corners, picture_size, placed
from circuitmap.errors import OurError


def picture(kind: str, width: int, height: int, **how: object) -> bytes:
    held = io.BytesIO()
    Image.new("RGB", (width, height), "white").save(held, kind, **how)
    return held.getvalue()


@pytest.mark.parametrize(
    ("kind", "how", "media"),
    [("PNG", {}, "image/png"), ("JPEG", {}, "image/jpeg"), ("JPEG", {"progressive": True}, "image/jpeg")],
)
def test_the_header_gives_the_size_that_pillow_gives(kind: str, how: dict[str, object], media: str) -> None:
    data = picture(kind, 321, 123, **how)
    assert picture_size(data) == (media, *Image.open(io.BytesIO(data)).size)


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"<svg/>", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0\x00\x10"])
def test_bytes_that_are_no_picture_of_ours_are_refused(data: bytes) -> None:
    with pytest.raises(OurError):
        picture_size(data)


def test_an_affine_sheet_is_placed_exactly() -> None:
    at = placed(picture("PNG", 200, 100), (10, -2, 500, 3, 8, -700, 0, 0, 1))
    assert at is not None
    assert at.matrix == pytest.approx((10, 3, -2, 8, 500, -700))
    assert at.worst_mm == pytest.approx(0, abs=1e-9)


def test_a_sheet_in_perspective_is_placed_as_near_as_least_squares_can_and_says_by_how_much() -> None:
    # Against numpy's least-squares solver, over the same four corners.
    import numpy as np

    nine = (10.0, 0.5, 100.0, 0.2, 11.0, 50.0, 2e-4, -1e-4, 1.0)
    at = placed(picture("PNG", 400, 300), nine)
    assert at is not None
    corners = np.array([[0, 0, 1], [400, 0, 1], [0, 300, 1], [400, 300, 1]], dtype=float)
    there = corners @ np.array(nine).reshape(3, 3).T
    there = there[:, :2] / there[:, 2:]
    fit, *_ = np.linalg.lstsq(corners, there, rcond=None)
    a, b, c, d, e, f = at.matrix
    assert np.allclose(fit, [[a, b], [c, d], [e, f]])
    assert at.worst_mm == pytest.approx(np.hypot(*(corners @ fit - there).T).max())
    assert at.worst_mm > 1


@pytest.mark.parametrize(
    "nine",
    [
        (1.0, 0, 0, 0, 1, 0, -0.1, 0, 1),  # the horizon runs through the right-hand corners
        (1.0, 0, 0, 0, 1, 0, -0.2, 0, 1),  # half of the picture lies beyond it
        (-1.0, 0, 0, 0, -1, 0, 0.2, 0, -1),  # the same by numbers of the other sign
        (1.0, 0, 0, 0, 1, 0, -0.099, 0, 1),  # a hundred times further right than left: nobody can trace there
    ],
)
def test_a_photograph_with_its_horizon_in_it_has_no_flat_place(nine: NineNumbers) -> None:
    assert placed(picture("PNG", 10, 10), nine) is None
    assert not has_corners(nine, 10, 10)


def test_a_slanted_photograph_whose_horizon_lies_well_outside_keeps_its_place() -> None:
    nine = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, -0.05, 0.0, 1.0)
    assert has_corners(nine, 10, 10)
    at = placed(picture("PNG", 10, 10), nine)
    # The corners come to lie at 0 and 20 across, and at 10 left but 20 right down: the mean of the sides is 20 and 15.
    assert at is not None
    assert at.matrix[0] * 10 == pytest.approx(20)
    assert at.matrix[3] * 10 == pytest.approx(15)
