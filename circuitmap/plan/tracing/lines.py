"""Hollow and hatched walls: pairs of long straight lines that run side by side at a wall's thickness."""

import math
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.prepare import Grey, exact
from circuitmap.plan.tracing.strokes import peaks

Floats = npt.NDArray[np.float64]

_SHORTEST_PART: Final = 1 / 150  # of the drawing's longer side
_THICKEST_PART: Final = 1 / 22
_NEAR: Final = 0.05  # how far a thickness may be off a usual one
_SHARE: Final = 0.25
_MOST_DEPTHS: Final = 4
FAR: Final = 7.0  # times its thickness: so far runs hardly a pair of lines but a wall's
_FAR_TOGETHER: Final = 0.7  # of the drawing's longer side
_SAME_PX: Final = 2.5


@dataclass(frozen=True)
class Lines:
    """Straight lines along one direction: where each lies across it (``at``), from and to where, and how wide."""

    at: Floats
    start: Floats
    end: Floats
    width: Floats

    def __len__(self) -> int:
        return len(self.at)


@dataclass(frozen=True)
class Strips:
    """Strips between two lines along one direction: from and to across it, from and to along it."""

    low: Floats
    high: Floats
    start: Floats
    end: Floats

    def __len__(self) -> int:
        return len(self.low)

    @property
    def depth(self) -> Floats:
        """The distance between the two lines."""
        return self.high - self.low

    @property
    def length(self) -> Floats:
        """How far the strip runs."""
        return self.end - self.start

    def only(self, chosen: npt.NDArray[np.bool_]) -> "Strips":
        """Give the strips chosen by a mask."""
        return Strips(self.low[chosen], self.high[chosen], self.start[chosen], self.end[chosen])


def shortest_px(ink: Grey) -> int:
    """Give from what length on a stroke counts as a straight line."""
    return int(max(9, round(max(ink.shape) * _SHORTEST_PART)))


def straight_mask(ink: Grey, shortest: int) -> Grey:
    """Give the parts of the ink that run along the rows for long enough; lines broken by a pixel or two are mended."""
    # A residual lean of a line takes it from row to row: two rows count as one.
    thick = cv2.dilate(ink, np.ones((2, 1), np.uint8))
    mended = cv2.morphologyEx(thick, cv2.MORPH_CLOSE, np.ones((1, 3), np.uint8))
    return exact(cv2.morphologyEx(mended, cv2.MORPH_OPEN, np.ones((1, shortest), np.uint8)))


def lines_along_rows(mask: Grey, thickest_px: float) -> Lines:
    """Give the straight lines in a mask of strokes along the rows."""
    count, _, stats, middles = cv2.connectedComponentsWithStats(mask, connectivity=8)
    if count <= 1:
        return Lines(*(np.empty(0) for _ in range(4)))
    box = stats[1:].astype(float)
    width = np.maximum(box[:, cv2.CC_STAT_AREA] / box[:, cv2.CC_STAT_WIDTH] - 1, 1)
    kept = width <= thickest_px
    order = np.flatnonzero(kept)[np.argsort(middles[1:, 1][kept])]
    start = box[order, cv2.CC_STAT_LEFT]
    at = np.asarray(middles[1:, 1][order] - 0.5, dtype=float)
    return Lines(at, start, start + box[order, cv2.CC_STAT_WIDTH] - 1, width[order])


def pair(lines: Lines, across: Grey, shortest: int, line_px: float, side: int) -> Strips:
    """Give every strip between two lines that could be a wall: neither tiled, nor boarded, nor too thick."""
    low, high, start, end = [], [], [], []
    thickest = side * _THICKEST_PART
    thinnest = max(1.8 * line_px + 1, 4.0)
    for one in range(len(lines)):
        last = int(np.searchsorted(lines.at, lines.at[one] + thickest, side="right"))
        first = int(np.searchsorted(lines.at, lines.at[one] + thinnest))
        if first >= last:
            continue
        a = np.maximum(lines.start[first:last], lines.start[one])
        b = np.minimum(lines.end[first:last], lines.end[one])
        depth = lines.at[first:last] - lines.at[one]
        for other in np.flatnonzero(b - a >= np.maximum(shortest * 0.8, 0.35 * depth)):
            y0, y1 = lines.at[one], lines.at[first + other]
            if _is_repeated(lines, y0, y1, a[other], b[other]):
                continue
            for x0, x1 in _uncrossed(across, y0, y1, a[other], b[other], line_px):
                low.append(y0)
                high.append(y1)
                start.append(x0)
                end.append(x1)
    return Strips(*(np.array(each, dtype=float) for each in (low, high, start, end)))


def is_enclosed(strips: Strips, wide: Grey, line_px: float) -> npt.NDArray[np.bool_]:
    """Tell for each strip whether its inside belongs to no wide space: the two faces of a wall close it in."""
    if not len(strips):
        return np.zeros(0, dtype=bool)
    total = cv2.integral(wide)
    inset = line_px / 2 + 1
    top = np.clip(np.ceil(strips.low + inset), 0, wide.shape[0] - 1).astype(int)
    bottom = np.clip(np.maximum(np.floor(strips.high - inset), top + 1), 1, wide.shape[0]).astype(int)
    left = np.clip(np.ceil(strips.start), 0, wide.shape[1] - 1).astype(int)
    right = np.clip(np.maximum(np.floor(strips.end), left + 1), 1, wide.shape[1]).astype(int)
    inside = total[bottom, right] - total[top, right] - total[bottom, left] + total[top, left]
    return np.asarray(inside <= 0.25 * (bottom - top) * (right - left))


def wide_space(ink: Grey, widest: float) -> Grey:
    """Give the mask of the spaces between lines that are wider somewhere than a wall is thick."""
    closed = cv2.morphologyEx(ink, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))
    paper = 1 - closed
    count, labels = cv2.connectedComponents(paper, connectivity=4, ltype=cv2.CV_32S)
    depth = cv2.distanceTransform(paper, cv2.DIST_L2, 3)
    is_wide = np.zeros(count, dtype=np.uint8)
    is_wide[np.unique(labels[depth > widest / 2])] = 1
    is_wide[0] = 0
    return exact(is_wide[labels])


def has_open_end(strips: Strips, ink: Grey, others: Grey, line_px: float) -> npt.NDArray[np.bool_]:
    """Tell for each strip whether its inside runs on into a strip of another direction, as walls do where they meet.

    The ends of furniture are closed by a line; so are jambs, but a wall has another end somewhere. A short strip with a
    line across its other end that goes on is a tile.
    """
    found = np.zeros(len(strips), dtype=bool)
    long = is_long(strips)
    for one in range(len(strips)):
        top = math.ceil(strips.low[one] + line_px / 2 + 1)
        rows = (top, max(top + 1, math.floor(strips.high[one] - line_px / 2)))
        reach = round(max(4 + 2 * line_px, 0.5 * strips.depth[one]))
        ends = ((round(strips.start[one]), -reach), (round(strips.end[one]), reach))
        open_ = [_lands(others, rows, here, way) and not _is_shut(ink, rows, here) for here, way in ends]
        if any(open_) and not long[one]:
            beyond = round(0.4 * strips.depth[one])
            crossing = [
                _is_shut(ink, (max(0, rows[0] - beyond), rows[1]), here)
                or _is_shut(ink, (rows[0], rows[1] + beyond), here)
                for (here, _), is_open in zip(ends, open_, strict=True)
                if not is_open
            ]
            found[one] = not any(crossing)
        else:
            found[one] = any(open_)
    return found


def _lands(others: Grey, rows: tuple[int, int], here: int, way: int) -> bool:
    block = others[rows[0] : rows[1], max(0, min(here, here + way)) : max(here, here + way) + 1]
    return bool(block.size and block.mean(axis=0).max() >= 0.7)


def _is_shut(ink: Grey, rows: tuple[int, int], here: int) -> bool:
    """Tell whether a line crosses all the rows within a few pixels of a column."""
    block = ink[rows[0] : rows[1], max(0, here - 3) : here + 4].astype(bool)
    if not block.size:
        return True
    block[:, 1:] |= block[:, :-1].copy()
    return bool(block.mean(axis=0).max() >= 0.75)


def usual_depths(
    strips: list[Strips], evident: list[npt.NDArray[np.bool_]], side: int
) -> tuple[list[float], list[float]]:
    """Give the wall thicknesses of a drawing: those at which most of the strips lie that are walls beyond doubt.

    Partitions that were drawn by themselves show no open end; they are thin strips that run far, and come second.
    """
    sure = [those.only(here & is_long(those)) for those, here in zip(strips, evident, strict=True)]
    depth = np.concatenate([those.depth for those in sure])
    length = np.concatenate([those.length for those in sure])
    found = peaks(depth, length, _SHARE, _MOST_DEPTHS) if len(depth) else []
    far = [those.only(those.length >= FAR * those.depth) for those in strips]
    depth = np.concatenate([those.depth for those in far])
    length = np.concatenate([those.length for those in far])
    thin = depth <= (0.62 * found[-1] if found else side / 60)
    depth, length = depth[thin], length[thin]
    alone = []
    for one in peaks(depth, length, 0.5, 2) if len(depth) else []:
        near = np.abs(depth - one) <= max(_NEAR * one, 1.6)
        if length[near].sum() >= _FAR_TOGETHER * side and all(
            abs(one - other) > max(_NEAR * one, 1.6) for other in found
        ):
            alone.append(one)
    return found, alone


def is_long(strips: Strips) -> npt.NDArray[np.bool_]:
    """Tell for each strip whether it is long for its thickness."""
    return strips.length >= 2 * strips.depth


def fitting(strips: Strips, depths: list[float], near: float = _NEAR) -> npt.NDArray[np.bool_]:
    """Tell for each strip whether it has one of the usual thicknesses."""
    if not len(strips) or not depths:
        return np.zeros(len(strips), dtype=bool)
    off = np.abs(strips.depth[:, None] - np.array(depths)[None, :])
    return np.asarray((off <= np.maximum(near * np.array(depths)[None, :], 1.6)).any(axis=1))


def in_line(strips: Strips, evident: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Choose the strips that are walls: evidently, or in line with such a one; what leans on a longer one is none."""
    length = strips.length
    strength = np.zeros(len(strips))
    for one in range(len(strips)):
        same = (np.abs(strips.low - strips.low[one]) <= _SAME_PX) & (np.abs(strips.high - strips.high[one]) <= _SAME_PX)
        if evident[same].any():
            strength[one] = length[same].sum()
    kept = strength > 0
    for one in np.flatnonzero(kept).tolist():
        beside = (np.abs(strips.low - strips.high[one]) <= _SAME_PX) | (
            np.abs(strips.high - strips.low[one]) <= _SAME_PX
        )
        shared = np.minimum(strips.end, strips.end[one]) - np.maximum(strips.start, strips.start[one])
        # Two walls never share a face: what leans on a longer one is a shelf or a worktop.
        if (beside & (shared > 0.5 * length[one]) & (strength > 1.25 * strength[one])).any():
            kept[one] = False
    return kept


def _is_repeated(lines: Lines, y0: float, y1: float, x0: float, x1: float) -> bool:
    """Tell whether a strip is one of a row of like ones, as boards and steps are."""
    depth = y1 - y0
    near = max(0.15 * depth, 1.6)

    def has(at: float) -> bool:
        first, last = np.searchsorted(lines.at, (at - near, at + near))
        shared = np.minimum(lines.end[first:last], x1) - np.maximum(lines.start[first:last], x0)
        return bool((np.maximum(shared, 0)).sum() > 0.6 * (x1 - x0))

    return has(y0 - depth) and has(y1 + depth)


def _uncrossed(across: Grey, y0: float, y1: float, x0: float, x1: float, line_px: float) -> list[tuple[float, float]]:
    """Give the pieces of a strip between the lines that cross it from side to side and go on beyond both."""
    depth = y1 - y0
    beyond = max(0.45 * depth, 2.5 * line_px)
    left, right = round(x0), round(x1) + 1

    def is_covered(top: float, bottom: float) -> npt.NDArray[np.bool_]:
        block = across[max(0, round(top)) : min(across.shape[0], round(bottom) + 1), left:right]
        return np.asarray(block.sum(axis=0) >= 0.93 * len(block))

    crossed = is_covered(y0 - beyond, y1) | is_covered(y0, y1 + beyond)
    if not crossed.any():
        return [(x0, x1)]
    edges = np.diff(np.concatenate([[0], (~crossed).astype(np.int8), [0]]))
    pieces = zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True)
    return [(left + float(a), left + float(b) - 1) for a, b in pieces if b - a >= max(3.0, 0.35 * depth)]


def lengthened(strips: Strips) -> Strips:
    """Give strips longer at both ends, as far as a wall that meets them may be thick."""
    return Strips(strips.low, strips.high, strips.start - 1.5 * strips.depth, strips.end + 1.5 * strips.depth)


def paint(strips: Strips, shape: tuple[int, int], line_px: float, merge_px: float) -> Grey:
    """Give the mask of strips along the rows, faces included, those in line with one another joined over short gaps."""
    mask = np.zeros(shape, np.uint8)
    half = line_px / 2
    for low, high, start, end in zip(strips.low, strips.high, strips.start, strips.end, strict=True):
        mask[
            max(0, math.floor(low - half + 0.5)) : math.floor(high + half + 0.5) + 1,
            max(0, round(start)) : round(end) + 1,
        ] = 1
    reach = max(3, round(merge_px))
    return exact(cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((1, reach), np.uint8)))
