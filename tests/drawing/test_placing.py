"""Pictures: their size from the header, and where they lie."""

import io

import pytest
from PIL import Image

from circuitmap.drawing.placing import picture_size, placed
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
    assert at.matrix == pytest.approx((10, 3, -2, 8, 500, -700))
    assert at.worst_mm == pytest.approx(0, abs=1e-9)


def test_a_sheet_in_perspective_is_placed_as_near_as_least_squares_can_and_says_by_how_much() -> None:
    # Against numpy's least-squares solver, over the same four corners.
    import numpy as np

    nine = (10.0, 0.5, 100.0, 0.2, 11.0, 50.0, 2e-4, -1e-4, 1.0)
    at = placed(picture("PNG", 400, 300), nine)
    corners = np.array([[0, 0, 1], [400, 0, 1], [0, 300, 1], [400, 300, 1]], dtype=float)
    there = corners @ np.array(nine).reshape(3, 3).T
    there = there[:, :2] / there[:, 2:]
    fit, *_ = np.linalg.lstsq(corners, there, rcond=None)
    a, b, c, d, e, f = at.matrix
    assert np.allclose(fit, [[a, b], [c, d], [e, f]])
    assert at.worst_mm == pytest.approx(np.hypot(*(corners @ fit - there).T).max())
    assert at.worst_mm > 1


def test_a_placement_that_runs_to_infinity_is_refused() -> None:
    with pytest.raises(OurError):
        placed(picture("PNG", 10, 10), (1, 0, 0, 0, 1, 0, -0.1, 0, 1))
