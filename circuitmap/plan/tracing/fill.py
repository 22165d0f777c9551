"""The free space between walls, parted into rooms and the outside."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.found import Opening
from circuitmap.plan.tracing.openings import Gap, find_gaps, opening_of, paint_gaps
from circuitmap.plan.tracing.prepare import Grey
from circuitmap.plan.tracing.turned import Turned
from circuitmap.plan.tracing.walls import Walls

Labels = npt.NDArray[np.int32]

_SMALLEST_PART: Final = 1 / 45  # of the drawing's longer side, as the side of a square
_MOST_OF_HOME: Final = 0.55
_ONE_ROOM: Final = 0.7
_HOME: Final = 12.0  # times the thickest wall's thickness
_BEND: Final = 2.5
OUTSIDE: Final = 0
_SMALLEST_PX: Final = 24


@dataclass(frozen=True)
class Filled:
    """The working picture parted: which room each pixel is in (0 outside, −1 wall or nothing), and the gaps closed."""

    rooms: Labels
    count: int
    openings: tuple[Opening, ...]
    closed: Grey
    boxes: dict[int, tuple[int, int, int, int]]


def fill(walls: Walls, scale: float) -> Filled:
    """Close the gaps and part the free space; ``scale`` is that of the working picture."""
    gaps = [(turn, gap) for turn in walls.turns for gap in find_gaps(walls, turn)]
    mask, gaps = _without_loose(walls.mask, gaps, walls.depths[-1] if walls.depths else 1.0)
    closed = mask.copy()
    for turn in walls.turns:
        those = [gap for its, gap in gaps if its is turn]
        if those:
            closed |= turn.undo(paint_gaps(those, (turn.size[1], turn.size[0])))
    rooms, boxes = _parted(closed, walls, scale)
    openings = tuple(opening_of(gap, turn) for turn, gap in gaps)
    return Filled(rooms, len(boxes), openings, closed, boxes)


def holds_together(filled: Filled) -> bool:
    """Tell whether walls alone make a home: rooms that together cover most of it, no single one nearly all."""
    ys, xs = np.nonzero(filled.closed)
    if filled.count < 2 or not len(xs):
        return False
    hull = cv2.contourArea(cv2.convexHull(np.column_stack([xs, ys])[:: max(1, len(xs) // 20_000)].astype(np.int32)))
    return _covered(filled) >= _MOST_OF_HOME * hull


def better(filled: Filled | None, every: Filled) -> Filled:
    """Choose between the rooms that filled walls make and those that all walls make: those that cover more.

    One room that is nearly all is no home: its inner walls were not seen.
    """
    return filled if filled is not None and _covered(filled) > 1.15 * _covered(every) else every


def _covered(filled: Filled) -> float:
    """Give the area of the rooms, 0 where a single one is nearly all of it."""
    areas = np.bincount(filled.rooms[filled.rooms > 0])[1:]
    return float(areas.sum()) if len(areas) > 1 and areas.max() <= _ONE_ROOM * areas.sum() else 0.0


def _without_loose(mask: Grey, gaps: list[tuple[Turned, Gap]], depth: float) -> tuple[Grey, list[tuple[Turned, Gap]]]:
    """Give the walls without what stands alone (furniture, letters), and the gaps without those that lead to it.

    Pieces of wall hang together, directly or over gaps between two ends of wall; ``depth`` is the thickest's thickness.
    """
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8, ltype=cv2.CV_32S)
    ends = []
    for turn, gap in gaps:
        middle = (gap.top + gap.bottom) / 2
        points = turn.undo_points(np.array([[gap.start - 3.0, middle], [gap.end + 2.0, middle]])).round().astype(int)
        points = np.clip(points, 0, (mask.shape[1] - 1, mask.shape[0] - 1))
        ends.append((int(labels[points[0, 1], points[0, 0]]), int(labels[points[1, 1], points[1, 0]])))
    group = list(range(count))

    def root(label: int) -> int:
        while group[label] != label:
            group[label] = group[group[label]]
            label = group[label]
        return label

    for (_, gap), (one, other) in zip(gaps, ends, strict=True):
        if gap.is_strict and one and other:
            group[root(one)] = root(other)
    roots = np.array([root(label) for label in range(count)])
    low, high = np.full((count, 2), 1 << 30), np.zeros((count, 2), dtype=int)
    for label in range(1, count):
        left, top, width, height, _ = stats[label]
        low[roots[label]] = np.minimum(low[roots[label]], (left, top))
        high[roots[label]] = np.maximum(high[roots[label]], (left + width, top + height))
    size = np.maximum(high - low, 0)
    # A straight piece alone is a line of dimensions, a small one is furniture or a letter.
    big = (size.max(axis=1) >= _HOME * depth) & (size.min(axis=1) >= _BEND * depth)
    kept = big[roots] if big.any() else np.ones(count, dtype=bool)
    kept[0] = False
    chosen = [
        pair
        for pair, (one, other) in zip(gaps, ends, strict=True)
        if (kept[one] or not one) and (kept[other] or not other)
    ]
    return kept.astype(np.uint8)[labels], chosen


def _parted(closed: Grey, walls: Walls, scale: float) -> tuple[Labels, dict[int, tuple[int, int, int, int]]]:
    """Give the number of each pixel's room, and the box (left, top, width, height) of each room."""
    free = 1 - closed
    found, labels, stats, _ = cv2.connectedComponentsWithStats(free, connectivity=4, ltype=cv2.CV_32S)
    depth = cv2.distanceTransform(free, cv2.DIST_L2, 3)
    side = max(free.shape)
    least = max(side * _SMALLEST_PART, _SMALLEST_PX * scale) ** 2
    narrowest = 0.5 * walls.depths[-1] if walls.depths else 1.0
    number = np.full(found, -1, dtype=np.int32)
    outside = int(labels[0, 0])
    boxes: dict[int, tuple[int, int, int, int]] = {}
    for label in range(1, found):
        if label == outside:
            number[label] = OUTSIDE
            continue
        left, top, width, height, area = stats[label]
        if area < least:
            continue
        part = labels[top : top + height, left : left + width] == label
        if float(depth[top : top + height, left : left + width][part].max()) < min(1.1 * narrowest, side / 90):
            continue
        number[label] = len(boxes) + 1
        boxes[len(boxes) + 1] = (int(left), int(top), int(width), int(height))
    rooms = number[labels]
    for room, (left, top, width, height) in boxes.items():
        # What stands free in a room belongs to it.
        block = rooms[top : top + height, left : left + width]
        contours, _ = cv2.findContours((block == room).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
        whole = cv2.drawContours(np.zeros(block.shape, np.uint8), contours, -1, 1, cv2.FILLED)
        block[(whole > 0) & (block < 0)] = room
    return rooms, boxes
