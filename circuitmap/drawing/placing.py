"""Where a picture lies: its pixel size, and the nine numbers of a sheet as the six that SVG can place a picture by."""

import struct
from typing import Final

from msgspec import Struct

from circuitmap.drawing.marks import NineNumbers
from circuitmap.errors import OurError
from circuitmap.plan.near_side import is_all_near, near_side

Six = tuple[float, float, float, float, float, float]

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_JPEG: Final = b"\xff\xd8\xff"
# Start-of-frame markers: those that carry the size of the picture.
_FRAMES: Final = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}


class Placed(Struct, frozen=True):
    """A picture's media type and size, the six numbers (a b c d e f) to plan mm, and how far these miss at worst."""

    media: str
    width_px: int
    height_px: int
    matrix: Six
    worst_mm: float


def placed(data: bytes, px_to_plan_mm: NineNumbers) -> Placed | None:
    """Give how to place a picture by an affine matrix, the only kind that SVG has.

    For a sheet that was straightened in perspective this is an approximation: the affine matrix that comes nearest at
    the picture's four corners (least squares), with the distance by which it misses the worst of them. None comes back
    for a photograph so steep that its horizon lies inside it or close by: its corners have no place on the plan.

    Raises
    ------
    OurError
        When the bytes are neither PNG nor JPEG.
    """
    media, width, height = picture_size(data)
    if not has_corners(px_to_plan_mm, width, height):
        return None
    corners = ((0.0, 0.0), (float(width), 0.0), (0.0, float(height)), (float(width), float(height)))
    targets = [_project(px_to_plan_mm, x, y) for x, y in corners]
    # Over the corners of a rectangle the least-squares affine fit is the mean of the two estimates of each side.
    fit: list[tuple[float, float, float]] = []
    for axis in (0, 1):
        p, q, r, s = (target[axis] for target in targets)
        across, down = ((q - p) + (s - r)) / 2, ((r - p) + (s - q)) / 2
        fit.append((across / width, down / height, (p + q + r + s) / 4 - across / 2 - down / 2))
    (a, c, e), (b, d, f) = fit
    worst = max(
        ((a * x + c * y + e - tx) ** 2 + (b * x + d * y + f - ty) ** 2) ** 0.5
        for (x, y), (tx, ty) in zip(corners, targets, strict=True)
    )
    return Placed(media, width, height, (a, b, c, d, e, f), worst)


def has_corners(px_to_plan_mm: NineNumbers, width_px: int, height_px: int) -> bool:
    """Whether all four corners of a picture have a place on the plan that is not many times further than the rest."""
    size = float(width_px), float(height_px)
    return is_all_near(near_side(px_to_plan_mm, size), size)


def picture_size(data: bytes) -> tuple[str, int, int]:
    """Give the media type, width and height that a PNG's or JPEG's header states, without decoding it."""
    if data.startswith(_PNG) and len(data) >= 24:
        width, height = struct.unpack(">II", data[16:24])
        return _sized("image/png", width, height)
    if data.startswith(_JPEG):
        at = 2
        while at + 9 <= len(data) and data[at] == 0xFF:
            if data[at + 1] in _FRAMES:
                height, width = struct.unpack(">HH", data[at + 5 : at + 9])
                return _sized("image/jpeg", width, height)
            at += 2 + int(struct.unpack(">H", data[at + 2 : at + 4])[0])
    raise OurError("A picture handed to the drawing is neither a whole PNG nor a whole JPEG.")


def _sized(media: str, width: int, height: int) -> tuple[str, int, int]:
    if width < 1 or height < 1:
        raise OurError("A picture handed to the drawing has no size.")
    return media, width, height


def _project(numbers: NineNumbers, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f, g, h, i = numbers
    under = g * x + h * y + i
    return (a * x + b * y + c) / under, (d * x + e * y + f) / under
