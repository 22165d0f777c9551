"""Line work drawn to pixels: hairlines of the same width however near one looks, solid areas, words."""

import math
from functools import cache
from typing import TYPE_CHECKING, Final

from circuitmap.pictures.info import Linework
from circuitmap.pictures.pdf import Region, Size

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.ImageFont import FreeTypeFont

    Pixels = NDArray[np.uint8]

_INK: Final = 40
_AREA: Final = 120
_PAPER: Final = 255
# Sub-pixel places: the drawing routine takes whole numbers of sixteenths.
_SHIFT: Final = 4
_FAR: Final = 1 << 20
_LEAST_TEXT_PX, _MOST_TEXT_PX = 4.0, 400.0
_LINE_PX: Final = 2
_MOST_TEXTS: Final = 3_000


def draw_lines(lines: Linework, fills: "list[NDArray[np.float64]]", region: Region, size_px: Size) -> bytes:
    """Draw a region of line work on white paper; give its pixels (red, green, blue, opacity; row by row)."""
    import cv2
    import numpy as np

    left, top, wide, high = region
    across, down = size_px[0] / wide, size_px[1] / high
    grey: Pixels = np.full((size_px[1], size_px[0]), _PAPER, np.uint8)
    origin, scale = np.array([left, top]), np.array([across, down])
    for corners in fills:
        (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
        if x1 >= left and x0 <= left + wide and y1 >= top and y0 <= top + high:
            cv2.fillPoly(grey, [_whole((corners - origin) * scale)], (_AREA,), cv2.LINE_AA, _SHIFT)
    ends = lines.segments
    if len(ends):
        x, y = ends[:, 0::2], ends[:, 1::2]
        near = (x.max(axis=1) >= left) & (x.min(axis=1) <= left + wide)
        near &= (y.max(axis=1) >= top) & (y.min(axis=1) <= top + high)
        placed = _clipped((ends[near].reshape(-1, 2, 2) - origin) * scale, size_px)
        cv2.polylines(grey, list(_whole(placed)), False, (_INK,), _LINE_PX, cv2.LINE_AA, _SHIFT)
    grey = _with_words(grey, lines, region, across)
    return cv2.cvtColor(grey, cv2.COLOR_GRAY2RGBA).tobytes()


def _whole(spots: "NDArray[np.float64]") -> "NDArray[np.int32]":
    import numpy as np

    return np.clip(np.rint(spots * (1 << _SHIFT)), -_FAR, _FAR).astype(np.int32)


def _clipped(ends: "NDArray[np.float64]", size_px: Size) -> "NDArray[np.float64]":
    """Cut segments that reach far outside, so that none is bent when its ends are rounded to whole numbers."""
    import numpy as np

    reach = 0.25 * _FAR / (1 << _SHIFT)
    far = np.abs(ends).max(axis=(1, 2), initial=0.0) > reach
    if not far.any():
        return ends
    kept = list(ends[~far])
    margin = 50.0
    for (x1, y1), (x2, y2) in ends[far]:
        cut = _cut(x1, y1, x2, y2, (-margin, -margin, size_px[0] + margin, size_px[1] + margin))
        if cut is not None:
            kept.append(np.array(cut).reshape(2, 2))
    return np.array(kept).reshape(-1, 2, 2)


def _cut(
    x1: float, y1: float, x2: float, y2: float, box: tuple[float, float, float, float]
) -> tuple[float, float, float, float] | None:
    """Cut a segment to a box.

    **Source:** Y.-D. Liang and B. A. Barsky, "A new concept and method for line clipping", ACM Transactions on
    Graphics 3 (1984).
    """
    dx, dy = x2 - x1, y2 - y1
    start, end = 0.0, 1.0
    for step, room in ((-dx, x1 - box[0]), (dx, box[2] - x1), (-dy, y1 - box[1]), (dy, box[3] - y1)):
        if step == 0:
            if room < 0:
                return None
            continue
        t = room / step
        if step < 0:
            start = max(start, t)
        else:
            end = min(end, t)
    return None if start > end else (x1 + start * dx, y1 + start * dy, x1 + end * dx, y1 + end * dy)


def _with_words(grey: "Pixels", lines: Linework, region: Region, scale: float) -> "Pixels":
    import numpy as np
    from PIL import Image, ImageDraw

    left, top, wide, high = region
    shown = []
    for text in lines.texts:
        size = text.size * scale
        if not _LEAST_TEXT_PX <= size <= _MOST_TEXT_PX:
            continue
        long = text.size * (len(text.words) + 1)
        if left - long <= text.x <= left + wide + long and top - long <= text.y <= top + high + long:
            shown.append((text, size))
        if len(shown) >= _MOST_TEXTS:
            break
    if not shown:
        return grey
    page = Image.fromarray(grey)
    pen = ImageDraw.Draw(page)
    for text, size in shown:
        # The height of a drawing's text is that of its capitals: 0.66 of the font's size.
        font = _font(max(1, round(size / 0.66)))
        x, y = (text.x - left) * scale, (text.y - top) * scale
        if abs(text.turn_deg) < 0.5:
            pen.text((x, y), text.words, fill=_INK, font=font, anchor="ls")
            continue
        room = math.ceil(font.getlength(text.words) + 2 * size)
        stamp = Image.new("L", (2 * room, 2 * room), 0) if room <= 1_500 else None
        if stamp is not None:
            ImageDraw.Draw(stamp).text((room, room), text.words, fill=255, font=font, anchor="ls")
            turned = stamp.rotate(-text.turn_deg, Image.Resampling.BICUBIC)
            page.paste(_INK, (round(x) - room, round(y) - room), turned)
    return np.array(page)


@cache
def _font(size_px: int) -> "FreeTypeFont":
    from pathlib import Path

    from font_source_sans_pro import font_directory
    from PIL import ImageFont

    return ImageFont.truetype(str(Path(font_directory) / "SourceSansPro-Regular.ttf"), size_px)
