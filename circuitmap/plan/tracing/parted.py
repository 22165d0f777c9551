"""The drawing parted into rooms: where they are likely to be, each by itself."""

import math
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from scipy import ndimage
from scipy.cluster.hierarchy import DisjointSet

from circuitmap.plan.tracing.borders import Border, Labels, borders, nearest
from circuitmap.plan.tracing.seen import Chances

Box = tuple[int, int, int, int]

_SMALLEST_PART: Final = 1 / 45  # of the drawing's longer side, as the side of a square
_SMALLEST_PX: Final = 24
_LARGE_ENOUGH_PX: Final = 60.0  # what is as large as that may be a room, however many there are
_DOUBT: Final = 2.0  # log-odds: what falls apart at this level was joined by doubt alone
_ONE_ROOM: Final = 0.0  # log-odds: along what parts two rooms, they are one and the line between them is none
_SURE_WALL: Final = -2.0  # log-odds
_THINNER: Final = 0.25  # of all walls: what is left out there is thicker, and so are walls between homes
_THIN_PX: Final = 16.0  # what is thicker parts them even so
_EDGE_PX: Final = 3
_COARSE: Final = 4  # every so many pixels


@dataclass(frozen=True)
class Parted:
    """Which room each pixel of the working picture is in (1 …; 0 in none), and the box of each room.

    ``sure`` is the mean chance, 0 … 1, that a room's pixels are in one; ``wall_px`` how thick the thinner
    walls between rooms are, 0 when there are none.
    """

    rooms: Labels
    boxes: dict[int, Box]
    sure: dict[int, float]
    wall_px: float = 0.0

    @property
    def count(self) -> int:
        """How many rooms there are."""
        return len(self.boxes)


def usual_width(seen: Chances) -> float:
    """Give how wide the middle one of what look like rooms is at its widest, in pixels; 0 when there are none.

    Rooms that are not told apart yet are hardly wider for that, but much larger.
    """
    within = cv2.distanceTransform((seen[::_COARSE, ::_COARSE] > 0).astype(np.uint8), cv2.DIST_L2, 3)
    count, labels, stats, _ = cv2.connectedComponentsWithStats((within > 0).astype(np.uint8), connectivity=4)
    least = (max(within.shape) * _SMALLEST_PART) ** 2
    large = [label for label in range(1, count) if stats[label, cv2.CC_STAT_AREA] >= least]
    if not large:
        return 0.0
    return 2 * _COARSE * float(np.median(ndimage.maximum(within, labels, large)))


def part(seen: Chances, scale: float) -> Parted:
    """Part a drawing by the log-odds of being in a room; ``scale`` is that of the working picture."""
    side = max(seen.shape)
    least = max(min(side * _SMALLEST_PART, _LARGE_ENOUGH_PX), _SMALLEST_PX * scale) ** 2
    labels, walls = _rejoined(_apart(seen, least), seen, least)
    rooms = np.zeros(seen.shape, np.int32)
    boxes: dict[int, Box] = {}
    sure: dict[int, float] = {}
    for label, where in enumerate(ndimage.find_objects(labels), start=1):
        if where is None:
            continue
        block = (labels[where] == label).astype(np.uint8)
        block = cv2.copyMakeBorder(block, _EDGE_PX, _EDGE_PX, _EDGE_PX, _EDGE_PX, cv2.BORDER_CONSTANT, value=0)
        smooth = cv2.morphologyEx(block, cv2.MORPH_OPEN, np.ones((5, 5), np.uint8))
        contours, _ = cv2.findContours(smooth, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        contour = max(contours, key=cv2.contourArea, default=None)
        if contour is None or cv2.contourArea(contour) < least:
            continue
        # What stands free in a room belongs to it; what hangs on by a hair doesn't.
        whole = cv2.drawContours(np.zeros(block.shape, np.uint8), [contour], -1, 1, cv2.FILLED)
        inside = whole[_EDGE_PX:-_EDGE_PX, _EDGE_PX:-_EDGE_PX] > 0
        number = len(boxes) + 1
        rooms[where][inside] = number
        down, across = where
        boxes[number] = (across.start, down.start, across.stop - across.start, down.stop - down.start)
        odds = seen[where][inside]
        sure[number] = float((1 / (1 + np.exp(-np.clip(odds, -30, 30)))).mean())
    wall_px = float(np.quantile([wall.apart_px for wall in walls], _THINNER)) if walls else 0.0
    return Parted(rooms, boxes, sure, wall_px)


def _apart(seen: Chances, least: float) -> Labels:
    """Give each place its room's number; rooms that doubt alone joins are parted where doubt is greatest."""
    likely = (seen > 0).astype(np.uint8)
    firm = (seen > _DOUBT).astype(np.uint8)
    count, labels, _, _ = cv2.connectedComponentsWithStats(likely, connectivity=4, ltype=cv2.CV_32S)
    cores, core_of, stats, _ = cv2.connectedComponentsWithStats(firm, connectivity=4, ltype=cv2.CV_32S)
    large = np.flatnonzero(stats[1:, cv2.CC_STAT_AREA] >= least) + 1
    holds = np.zeros(count, int)
    whose = np.zeros(cores, int)
    for core in large:
        left, top, width, height, _ = stats[core]
        at = np.argwhere(core_of[top : top + height, left : left + width] == core)[0]
        whose[core] = labels[top + at[0], left + at[1]]
        holds[whose[core]] += 1
    result = np.asarray(labels, dtype=np.int32)
    torn = [core for core in large if holds[whose[core]] > 1]
    if not torn:
        return result
    markers = np.zeros(seen.shape, np.int32)
    markers[likely == 0] = 1
    for number, core in enumerate(torn, start=2):
        markers[core_of == core] = number
    level = np.clip(128 - seen * 16, 0, 255).astype(np.uint8)
    parted = cv2.watershed(cv2.cvtColor(level, cv2.COLOR_GRAY2BGR), markers)
    is_torn = np.isin(labels, np.unique(whose[torn]))
    result[is_torn] = 0
    own = is_torn & (parted > 1)
    result[own] = parted[own] + count
    return result


def _rejoined(labels: Labels, seen: Chances, least: float) -> tuple[Labels, list[Border]]:
    """Make one room of what a bed's edge, a dimension or a board alone parts; gives what parts the others, too."""
    is_large = np.bincount(labels.reshape(-1)) >= least
    is_large[0] = False
    large = np.where(is_large[labels], labels, 0).astype(np.int32)
    found = borders(large, seen)
    thin = [each for each in found if each.odds > _ONE_ROOM and each.apart_px <= _THIN_PX]
    walls = [each for each in found if each.odds < _SURE_WALL]
    if not thin:
        return labels, walls
    whole = DisjointSet(range(len(is_large)))
    for each in thin:
        whole.merge(each.one, each.other)
    first_of = np.array([whole[label] for label in range(len(is_large))], np.int32)
    result = np.asarray(first_of[labels], np.int32)
    by_room: dict[int, float] = {}
    for each in thin:
        room = int(first_of[each.one])
        by_room[room] = max(by_room.get(room, 0.0), each.apart_px)
    near = first_of[nearest(large)[0]]
    for room, apart_px in by_room.items():
        _fill_between(result, near, room, 2 * math.ceil(apart_px / 2) + 3)
    return result, walls


def _fill_between(labels: Labels, near: Labels, room: int, width: int) -> None:
    """Let a room take in what lies between its parts, where no other room is nearer."""
    down, across = np.nonzero(labels == room)
    top, left = max(0, int(down.min()) - width), max(0, int(across.min()) - width)
    where = slice(top, int(down.max()) + width + 1), slice(left, int(across.max()) + width + 1)
    block = (labels[where] == room).astype(np.uint8)
    framed = cv2.copyMakeBorder(block, *(width,) * 4, cv2.BORDER_CONSTANT, value=0)
    closed = cv2.morphologyEx(framed, cv2.MORPH_CLOSE, np.ones((width, width), np.uint8))
    closed = closed[width:-width, width:-width]
    labels[where][(closed > 0) & (labels[where] == 0) & (near[where] == room)] = room
