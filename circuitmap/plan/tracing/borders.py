"""What parts one room of a drawing from the next: how far they are apart, and how likely it is that a wall does."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.seen import Chances

Labels = npt.NDArray[np.int32]

_FARTHEST_PX: Final = 30.0  # from the middle of what parts two rooms to either of them
_NEAR_PX: Final = 16.0  # farther off, what lies between is beside the point: places near both say how likely it is
_LEAST: Final = 15  # places along a border


@dataclass(frozen=True, slots=True)
class Border:
    """What parts two rooms, told apart by their numbers.

    ``apart_px`` is how far they are apart, ``odds`` the log-odds (natural) that the places half-way between them lie
    in a room: the middle one of all along the border, so that a doorway doesn't count where there is a wall.
    """

    one: int
    other: int
    apart_px: float
    odds: float


def borders(rooms: Labels, seen: Chances) -> list[Border]:
    """Give what parts each room from its neighbours.

    Parameters
    ----------
    rooms
        The number of the room that each pixel is in, shape (height, width); 0 where it is in none.
    seen
        The log-odds that each pixel lies in a room, of the same shape.
    """
    near, far_px = nearest(rooms)
    count = int(rooms.max()) + 1
    pairs, levels, ways = [], [], []
    whole = slice(None)
    for here, beyond in (((slice(None, -1), whole), (slice(1, None), whole)),
                         ((whole, slice(None, -1)), (whole, slice(1, None)))):  # fmt: skip
        one, other = near[here], near[beyond]
        at = np.nonzero((one != other) & (far_px[here] < _FARTHEST_PX) & (one > 0) & (other > 0))
        pairs.append(np.minimum(one[at], other[at]).astype(np.int64) * count + np.maximum(one[at], other[at]))
        levels.append(seen[here][at])
        ways.append(far_px[here][at])
    pair, level, way = np.concatenate(pairs), np.concatenate(levels), np.concatenate(ways)
    order = np.argsort(pair, kind="stable")
    pair, level, way = pair[order], level[order], way[order]
    firsts = np.flatnonzero(np.diff(pair, prepend=-1)).tolist()
    found = []
    for start, end in pairwise([*firsts, len(pair)]):
        if end - start >= _LEAST:
            pair_of = divmod(int(pair[start]), count)
            apart_px = max(0.0, 2 * float(np.median(way[start:end])) - 1)  # the first pixel off a room is 1 away
            close = way[start:end] < _NEAR_PX
            telling = level[start:end][close] if close.sum() >= _LEAST else level[start:end]
            found.append(Border(*pair_of, apart_px, float(np.median(telling))))
    return found


def nearest(rooms: Labels) -> tuple[Labels, npt.NDArray[np.float32]]:
    """Give for each pixel the number of the nearest room and how far off it is, in pixels; 0 where there is none."""
    outside = (rooms == 0).astype(np.uint8)
    if outside.all():
        return np.zeros(rooms.shape, np.int32), np.zeros(rooms.shape, np.float32)
    far_px, places = cv2.distanceTransformWithLabels(outside, cv2.DIST_L2, 3, labelType=cv2.DIST_LABEL_PIXEL)
    inside = rooms > 0
    number_of = np.zeros(int(places.max()) + 1, np.int32)
    number_of[places[inside]] = rooms[inside]
    return number_of[places], np.asarray(far_px, np.float32)
