"""Filled walls: the thick strokes of a drawing, apart from its thin lines."""

import math
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.prepare import Grey, exact

Floats = npt.NDArray[np.float64]

_THICKEST_PART: Final = 1 / 8  # of the drawing's longer side; what is thicker is a shaded area, no wall
_LEAST_WALLS: Final = 0.9  # of the drawing's longer side, along all thick strokes together
_MOST_WALLS: Final = 9.0  # the same: no home has so many; what runs so far are thin lines
_STRONG: Final = 0.15  # of the walls of the most frequent thickness
_RARE: Final = 0.8
_THINNEST_WALL: Final = 0.15  # of the thickest
_FEW_LINES: Final = 1.2  # the same: thinner strokes that may still go
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
        kept = kept & (1 - exact(cv2.dilate(heart, np.ones((reach, reach), np.uint8))))
    if _run_px(kept, least) < _LEAST_WALLS * side:
        return nothing
    return kept


def thicknesses(walls: Grey, line_px: float) -> list[float]:
    """Give the thicknesses that filled walls have for a good part of their length, thinnest first.

    ``line_px`` is the thickness of the thin lines.
    """
    _, labels, stats, _ = cv2.connectedComponentsWithStats(walls, connectivity=8, ltype=cv2.CV_32S)
    longest = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    large = longest >= max(walls.shape) / 15
    large[0] = False
    depth = cv2.distanceTransform(large.astype(np.uint8)[labels], cv2.DIST_L2, 3)
    ridge = (depth >= cv2.dilate(depth, np.ones((5, 5), np.uint8))) & (depth > 1.5)
    widths = (2.0 * depth[ridge] - 1.0).astype(np.float64)
    if not len(widths):
        return []
    even = np.ones_like(widths)
    found, strong = peaks(widths, even, 0.08), peaks(widths, even, _STRONG)
    # Lines that run close together are thick now and then; a wall thinner than the others is seldom a rare one.
    least = max(2.4 * line_px + 1, _THINNEST_WALL * found[-1])
    return [width for width in found if width >= least and (width in strong or width >= _RARE * strong[0])]


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
    width, height = (stats[1:, k].astype(float) for k in (cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT))
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
        lost = areas[at] - later
        if lost <= 0.07 * areas[at] and lost <= _FEW_LINES * size * side and just_above < _MOST_WALLS * side:
            return size
    return 0


def opened(ink: Grey, size: int) -> Grey:
    """Give the ink without strokes narrower than a size, whichever way they run."""
    if size < 2:
        return ink
    square = exact(cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((size, size), np.uint8)))
    if size < 4:
        return square
    # An octagon of the same inner width lets slants through.
    round_ = cv2.morphologyEx(ink, cv2.MORPH_OPEN, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)))
    return exact(square | exact(round_))
