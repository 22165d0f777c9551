"""A pen that draws on a sheet in metres: lines, areas, arcs and words, turned and scaled as the sheet is."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final

import cv2
import font_source_sans_pro
import numpy as np
import numpy.typing as npt
import shapely
from PIL import Image, ImageDraw, ImageFont
from shapely import LineString, Polygon

SHIFT: Final = 6  # cv2 takes whole numbers of 1/64 px
FILL_OVER_PX: Final = 0.7  # by so much cv2 fills over the edge of an area, as measured
FILL_OVER_BLOCKY_PX: Final = 0.4
FONT: Final = next(Path(font_source_sans_pro.__file__).parent.rglob("SourceSansPro-Regular*"))

Grey = npt.NDArray[np.uint8]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Frame:
    """From metres to pixels: scale, turn about the sheet's origin, and the origin's place. Pixel middles are whole."""

    px_per_m: float
    turn_rad: float
    left_px: float
    top_px: float

    def px(self, points: Iterable[Sequence[float]]) -> npt.NDArray[np.float64]:
        """Points in metres as an (n, 2) array in pixels."""
        xy = np.asarray(list(points), dtype=np.float64).reshape(-1, 2) * self.px_per_m
        c, s = math.cos(self.turn_rad), math.sin(self.turn_rad)
        return np.stack([xy[:, 0] * c - xy[:, 1] * s + self.left_px, xy[:, 0] * s + xy[:, 1] * c + self.top_px], axis=1)

    def m(self, points_px: Iterable[Sequence[float]]) -> list[Point]:
        """Points in pixels back in metres."""
        xy = np.asarray(list(points_px), dtype=np.float64).reshape(-1, 2) - [self.left_px, self.top_px]
        c, s = math.cos(self.turn_rad), math.sin(self.turn_rad)
        return [((x * c + y * s) / self.px_per_m, (y * c - x * s) / self.px_per_m) for x, y in xy]


@lru_cache(maxsize=64)
def _font(height_px: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FONT), height_px)


class Pen:
    """Draws on ``sheet``; thickness in pixels, places in metres."""

    def __init__(self, sheet: Grey, frame: Frame, thin_px: int, is_smooth: bool) -> None:
        self.sheet = sheet
        self.frame = frame
        self.thin_px = thin_px
        self.mode = cv2.LINE_AA if is_smooth else cv2.LINE_8

    def _fixed(self, points: Iterable[Sequence[float]]) -> npt.NDArray[np.int32]:
        return np.round(self.frame.px(points) * (1 << SHIFT)).astype(np.int32)

    def line(
        self, points: Iterable[Sequence[float]], ink: int = 0, px: int | None = None, is_closed: bool = False
    ) -> None:
        """A run of straight lines."""
        cv2.polylines(self.sheet, [self._fixed(points)], is_closed, ink, px or self.thin_px, self.mode, SHIFT)

    def fill(self, shape: shapely.Geometry, ink: int) -> None:
        """An area with its holes left open, its edge where it is said to be."""
        over_px = FILL_OVER_PX if self.mode == cv2.LINE_AA else FILL_OVER_BLOCKY_PX
        for piece in shapely.get_parts(shape.buffer(-over_px / self.frame.px_per_m, join_style="mitre")):
            if isinstance(piece, Polygon) and not piece.is_empty:
                rings = [self._fixed(ring.coords) for ring in (piece.exterior, *piece.interiors)]
                cv2.fillPoly(self.sheet, rings, ink, self.mode, SHIFT)

    def edge(self, shape: shapely.Geometry, ink: int = 0, px: int | None = None) -> None:
        """The outline of an area and of its holes."""
        for piece in shapely.get_parts(shape):
            if isinstance(piece, Polygon) and not piece.is_empty:
                for ring in (piece.exterior, *piece.interiors):
                    self.line(list(ring.coords)[:-1], ink, px, is_closed=True)
            elif isinstance(piece, LineString):
                self.line(piece.coords, ink, px)

    def shade(
        self, shape: shapely.Geometry, gap_m: float, angle_deg: float, ink: int = 0, px: int | None = None
    ) -> None:
        """Parallel lines over an area."""
        if shape.is_empty:
            return
        x0, y0, x1, y1 = shape.bounds
        cx, cy, reach = (x0 + x1) / 2, (y0 + y1) / 2, math.hypot(x1 - x0, y1 - y0) / 2 + gap_m
        c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        rows = np.arange(-reach, reach, gap_m)
        lines = [
            [(cx - s * r - c * reach, cy + c * r - s * reach), (cx - s * r + c * reach, cy + c * r + s * reach)]
            for r in rows
        ]
        self.edge(shapely.MultiLineString(lines).intersection(shape), ink, px)

    def arc(
        self, centre: Point, radius_m: float, start: Point, end: Point, ink: int = 0, px: int | None = None
    ) -> None:
        """The shorter arc about a centre from the direction of one point to that of another."""
        a = math.atan2(start[1] - centre[1], start[0] - centre[0])
        b = math.atan2(end[1] - centre[1], end[0] - centre[0])
        b = a + (b - a + math.pi) % (2 * math.pi) - math.pi
        turns = np.linspace(a, b, 24)
        self.line([(centre[0] + radius_m * math.cos(t), centre[1] + radius_m * math.sin(t)) for t in turns], ink, px)

    def oval(self, centre: Point, wide_m: float, deep_m: float, ink: int = 0, px: int | None = None) -> None:
        """An ellipse along the axes."""
        turns = np.linspace(0, 2 * math.pi, 40)[:-1]
        ring = [(centre[0] + wide_m / 2 * math.cos(t), centre[1] + deep_m / 2 * math.sin(t)) for t in turns]
        self.line(ring, ink, px, is_closed=True)

    def words(self, words: str, middle: Point, height_px: int, ink: int = 0, turn_deg: float = 0.0) -> None:
        """Words about a middle, turned with the sheet (and by ``turn_deg`` more), clockwise as the pixels run."""
        font = _font(height_px)
        box = font.getbbox(words)
        mask = Image.new("L", (int(box[2]) + 8, int(box[3]) + 8), 0)
        ImageDraw.Draw(mask).text((4, 4), words, fill=255, font=font)
        angle = -(math.degrees(self.frame.turn_rad) + turn_deg)
        if abs(angle) > 0.01:
            mask = mask.rotate(angle, Image.Resampling.BICUBIC, expand=True)
        ((x, y),) = self.frame.px([middle])
        left, top = round(x - mask.width / 2), round(y - mask.height / 2)
        x0, y0 = max(left, 0), max(top, 0)
        x1, y1 = min(left + mask.width, self.sheet.shape[1]), min(top + mask.height, self.sheet.shape[0])
        if x0 >= x1 or y0 >= y1:
            return
        cover = np.asarray(mask, dtype=np.float32)[y0 - top : y1 - top, x0 - left : x1 - left] / 255
        under = self.sheet[y0:y1, x0:x1].astype(np.float32)
        self.sheet[y0:y1, x0:x1] = np.round(under * (1 - cover) + ink * cover).astype(np.uint8)
