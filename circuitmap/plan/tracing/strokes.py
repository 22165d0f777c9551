"""Filled walls: the thick strokes of a drawing, apart from its thin lines."""

import math
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.prepare import Grey

Floats = npt.NDArray[np.float64]

_THICKEST_PART: Final = 1 / 8  # of the drawing's longer side; what is thicker is a shaded area, no wall
_LEAST_WALLS: Final = 0.9  # of the drawing's longer side, along all thick strokes together
_MOST_WALLS: Final = 9.0  # the same: no home has so many; what runs so far are thin lines
_THINNEST_WALL: Final = 0.17  # of the thickest
_SIZES: Final = (2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 17, 20, 24, 29)


def stroke_areas(ink: Grey) -> Floats:
    """Give how much of the ink is left when strokes narrower than each of the sizes are taken away."""
    left = (cv2.countNonZero(cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((size, size), np.uint8))) for size in _SIZES)
    return np.array([cv2.countNonZero(ink), *left], dtype=float)


def thin_line_px(ink: Grey) -> float:
    """Give the thickness of the drawing's thin lines: that at which most of the thin ink goes."""
    areas = stroke_areas(ink)
    if areas[0] == 0:
        return 1.0
    lost = 1 - areas / areas[0]
    sizes = np.array((1, *_SIZES), dtype=float)
    return float(max(1.0, np.interp(0.5, lost, sizes - 1)))


def thick_strokes(ink: Grey) -> Grey:
    """Give what is drawn as thick strokes (1 there), nothing when the drawing has no filled walls."""
    nothing = np.zeros_like(ink)
    side = max(ink.shape)
    least = _least_thick(stroke_areas(ink), side)
    if least == 0:
        return nothing
    kept = opened(ink, least)
    thickest = side * _THICKEST_PART
    core = cv2.distanceTransform(kept, cv2.DIST_L2, 3)
    if float(core.max()) * 2 > thickest:
        heart = (core * 2 > thickest).astype(np.uint8)
        reach = math.ceil(thickest / 2) * 2 + 1
        kept = kept & (1 - cv2.dilate(heart, np.ones((reach, reach), np.uint8)))
    if _run_px(kept, least) < _LEAST_WALLS * side:
        return nothing
    return kept


def thicknesses(walls: Grey) -> list[float]:
    """Give the thicknesses that filled walls have for a good part of their length, thinnest first."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(walls, connectivity=8, ltype=cv2.CV_32S)
    longest = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    large = longest >= max(walls.shape) / 15
    large[0] = False
    depth = cv2.distanceTransform(large.astype(np.uint8)[labels], cv2.DIST_L2, 3)
    ridge = (depth >= cv2.dilate(depth, np.ones((5, 5), np.uint8))) & (depth > 1.5)
    widths = (2.0 * depth[ridge] - 1.0).astype(np.float64)
    found = peaks(widths, np.ones_like(widths), 0.08) if len(widths) else []
    return [width for width in found if width >= _THINNEST_WALL * found[-1]]


def peaks(values: Floats, weights: Floats, share: float, most: int = 99) -> list[float]:
    """Give where weighted values gather, on a scale of ratios; a place counts from a share of the greatest on.

    Only the ``most`` strongest are given, in rising order.
    """
    step = 0.05
    places = np.log(values) / step
    low = int(places.min()) - 2
    counts = np.bincount((places - low).round().astype(int), weights=weights)
    counts = np.append(counts, [0.0, 0.0])
    smooth = np.convolve(counts, [1, 1, 1], mode="same")
    found: list[tuple[float, float]] = []
    for at in range(1, len(smooth) - 1):
        if smooth[at] >= share * smooth.max() and smooth[at] >= smooth[at - 1] and smooth[at] > smooth[at + 1]:
            near = np.abs(places - low - at) <= 1.5
            order = np.argsort(values[near])
            grown = np.cumsum(weights[near][order])
            found.append((float(smooth[at]), float(values[near][order][int(np.searchsorted(grown, grown[-1] / 2))])))
    return sorted(value for _, value in sorted(found, reverse=True)[:most])


def _run_px(strokes: Grey, least: int) -> float:
    """Give how far thick strokes run together; letters and dots don't count."""
    count, _, stats, _ = cv2.connectedComponentsWithStats(strokes, connectivity=8)
    if count <= 1:
        return 0.0
    width, height, area = (
        stats[1:, k].astype(float) for k in (cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT, cv2.CC_STAT_AREA)
    )
    longest = np.maximum(width, height)
    wall = longest >= max(6 * least, max(strokes.shape) / 30)
    return float(longest[wall].sum())


def _least_thick(areas: Floats, side: int) -> int:
    """Give the least thickness of a filled wall, 0 where there are none.

    Between thin lines and walls lie sizes of which hardly any stroke is: the ink left after taking away all narrower
    strokes stays the same there. In a drawing of thin lines alone nothing is left by then.
    """
    sizes = np.array((1, *_SIZES))
    runs = -np.diff(areas) / np.sqrt(sizes[1:] * sizes[:-1])
    for at in range(2, len(sizes) - 2):
        size = int(sizes[at])
        if size < max(3, side / 450):
            continue
        if areas[at] < _LEAST_WALLS * 1.5 * size * side:
            return 0
        later = float(np.interp(1.35 * size, sizes, areas))
        just_above = runs[at:][sizes[at:-1] < 2.2 * size].sum()
        if areas[at] - later <= 0.07 * areas[at] and just_above < _MOST_WALLS * side:
            return size
    return 0


def opened(ink: Grey, size: int) -> Grey:
    """Give the ink without strokes narrower than a size, whichever way they run."""
    if size < 2:
        return ink
    square = cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((size, size), np.uint8))
    if size < 4:
        return square
    # An octagon of the same inner width lets slants through.
    round_ = cv2.morphologyEx(ink, cv2.MORPH_OPEN, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)))
    return square | round_
