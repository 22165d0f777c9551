"""A plan photographed at a slant: a drawn sheet of known size, warped by a known transform, as a JPEG."""

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

Spot = tuple[float, float]

# The sheet: A3 lying, 4 px to a millimetre of paper, drawn at 1:50; a house of two rooms and a hall.
SHEET_PX = (1680, 1188)
PX_PER_PAPER_MM = 4.0
RATIO = 50.0
PX_PER_M = PX_PER_PAPER_MM * 1000 / RATIO  # 80
ROOMS_PX = {  # inner faces: left, top, right, bottom
    "Kitchen": (160.0, 160.0, 560.0, 640.0),  # 5.00 × 6.00 m
    "Hall": (572.0, 160.0, 732.0, 640.0),  # 2.00 × 6.00 m
    "Lounge": (744.0, 160.0, 1464.0, 960.0),  # 9.00 × 10.00 m
}
PHOTO_PX = (2000, 1500)
CORNERS_PX = ((330.0, 210.0), (1690.0, 300.0), (1880.0, 1380.0), (120.0, 1250.0))


@dataclass(frozen=True)
class Photograph:
    """The picture as a file, and where its sheet's corners and rooms are seen on it."""

    path: Path
    corners_px: tuple[Spot, ...]

    def seen(self, x_px: float, y_px: float) -> Spot:
        """Where a pixel of the drawn sheet is seen on the photograph."""
        spot = cv2.perspectiveTransform(np.array([[[x_px, y_px]]], dtype=np.float64), _warp())
        return float(spot[0, 0, 0]), float(spot[0, 0, 1])


def photograph(folder: Path) -> Photograph:
    """Draw the plan and photograph it."""
    sheet = np.full((SHEET_PX[1], SHEET_PX[0]), 255, dtype=np.uint8)
    for left, top, right, bottom in ROOMS_PX.values():
        cv2.rectangle(sheet, (int(left) - 6, int(top) - 6), (int(right) + 6, int(bottom) + 6), 0, 12)
    cv2.rectangle(sheet, (330, 628), (402, 656), 255, -1)  # a door of 0.9 m
    desk = np.full((PHOTO_PX[1], PHOTO_PX[0]), 90, dtype=np.uint8)
    seen = cv2.warpPerspective(sheet, _warp(), PHOTO_PX, dst=desk, borderMode=cv2.BORDER_TRANSPARENT)
    path = folder / "photograph.jpg"
    assert cv2.imwrite(str(path), seen, [cv2.IMWRITE_JPEG_QUALITY, 85])
    return Photograph(path, CORNERS_PX)


def _warp() -> "np.ndarray[tuple[int, int], np.dtype[np.float64]]":
    """OpenCV's own four-point transform: the truth that straightening is held against."""
    width, height = SHEET_PX
    at = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=np.float32)
    return np.asarray(cv2.getPerspectiveTransform(at, np.array(CORNERS_PX, dtype=np.float32)), dtype=np.float64)
