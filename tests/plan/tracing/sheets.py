"""A flat of three rooms drawn with rectangles, so that every corner is known without any tracing.

Walls lie between these inner faces (px): living 100…700 × 100…500, hall 100…700 × 520…640, bedroom 720…1100 × 100…640.
Outer walls are 40 px thick, inner ones 20 px; 100 px are a metre.
"""

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

Grey = npt.NDArray[np.uint8]
Box = tuple[int, int, int, int]

LIVING: Final[Box] = (100, 100, 700, 500)
HALL: Final[Box] = (100, 520, 700, 640)
BEDROOM: Final[Box] = (720, 100, 1100, 640)
ROOMS: Final = (LIVING, HALL, BEDROOM)
DOOR_LIVING: Final[Box] = (300, 500, 390, 520)
DOOR_BEDROOM: Final[Box] = (700, 540, 720, 620)
FRONT_DOOR: Final[Box] = (60, 535, 100, 625)
WINDOW: Final[Box] = (300, 60, 480, 100)


def blank(width: int = 1200, height: int = 760) -> Grey:
    return np.full((height, width), 255, np.uint8)


def box(sheet: Grey, where: Box, level: int) -> None:
    left, top, right, bottom = where
    sheet[top:bottom, left:right] = level


def flat(walls: int = 20) -> Grey:
    """The flat with filled walls, door gaps and one window."""
    sheet = blank()
    box(sheet, (60, 60, 1140, 680), walls)
    for room in ROOMS:
        box(sheet, room, 255)
    for gap in (DOOR_LIVING, DOOR_BEDROOM, FRONT_DOOR, WINDOW):
        box(sheet, gap, 255)
    for y in (62, 80, 97):
        cv2.line(sheet, (300, y), (479, y), 30, 2)
    return sheet


def furnished(sheet: Grey) -> Grey:
    """The same with a swing, a table, a bed, a name and a dimension."""
    cv2.ellipse(sheet, (300, 500), (90, 90), 0, 270, 360, 60, 2)
    cv2.line(sheet, (300, 500), (300, 410), 60, 2)
    cv2.rectangle(sheet, (150, 180), (260, 260), 60, 2)
    cv2.rectangle(sheet, (900, 120), (1080, 330), 60, 2)
    cv2.putText(sheet, "LIVING", (400, 300), cv2.FONT_HERSHEY_SIMPLEX, 1.2, 40, 3)
    cv2.line(sheet, (110, 400), (690, 400), 90, 1)
    return sheet


def hollow() -> Grey:
    """The flat with walls drawn by their faces only."""
    return cv2.bitwise_not(cv2.morphologyEx(cv2.bitwise_not(flat()), cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8)))


def hollow_wide() -> Grey:
    """The same by lines of 6 px whose middles are the faces, as draughtsmen draw them: 3 px lie in the room."""
    filled = cv2.bitwise_not(flat())
    grown = cv2.dilate(filled, np.ones((7, 7), np.uint8))
    return cv2.bitwise_not(cv2.subtract(grown, cv2.erode(filled, np.ones((7, 7), np.uint8))))


def corners(where: Box) -> list[tuple[float, float]]:
    """The corners of a box as outlines count them: a pixel's middle is at its number."""
    left, top, right, bottom = (side - 0.5 for side in where)
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def edges(where: Box) -> list[tuple[float, float, float, float]]:
    """The four sides of a box as segments."""
    ring = [(float(x), float(y)) for x, y in corners(where)]
    return [(*a, *b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
