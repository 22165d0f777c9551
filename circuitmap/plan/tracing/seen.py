"""How likely each place of a drawing lies in a room: seen by a small network that was taught on invented drawings.

The network is a picture-to-picture one (strided and dilated convolutions down to 1/32 of the size, and back up with
what each size saw). It was taught by ``tests/plans/teach.py`` on drawings that the tests draw, none of which is among
those that tracing is measured by; it is run by OpenCV.
"""

import math
from functools import cache
from threading import Lock
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.places import resources
from circuitmap.plan.tracing.prepare import Grey

Chances = npt.NDArray[np.float32]

USUAL_PX: Final = (1_200_000, 2_000_000)  # about so many pixels of a sheet: walls are then some 4 to 25 px thick
OTHER_PX: Final = ((750_000, 0.06), (450_000, 0.06), (280_000, 0.06), (2_700_000, 0.15))  # and from what doubt on
STEP: Final = 32  # the sides that the network takes are multiples of this
_MARGIN_PX: Final = 64  # of bare paper all round, so that what is outside is seen to be
_CERTAIN: Final = 2.5  # log-odds
_DARKEST: Final = 0.004  # this share of the drawing is as dark as ink gets
_LEAST_CONTRAST: Final = 40  # levels

_one_at_a_time = Lock()


def chances(even: Grey) -> Chances:
    """Give for each pixel of an evenly lit, straight drawing the log-odds (natural) that it lies in a room.

    The drawing is looked at from two distances, which are wrong in different places. One that still leaves much in
    doubt is looked at from others as well: large bare rooms are clearer from afar, a storey of small flats from near
    by. The look with the least doubt counts.
    """
    best = np.asarray(np.mean([_look(even, size) for size in USUAL_PX], axis=0), dtype=np.float32)
    least = doubt(best)
    for size, doubtful in OTHER_PX:
        if least > doubtful and even.size > 1.2 * size:
            other = _look(even, size)
            if (left := doubt(other)) < least:
                best, least = other, left
    return best


def doubt(seen: Chances) -> float:
    """Give which share of what may lie in rooms neither does nor doesn't for certain."""
    possible = int((seen > -_CERTAIN).sum())
    return int((np.abs(seen) < _CERTAIN).sum()) / possible if possible else 0.0


def _look(even: Grey, size_px: int) -> Chances:
    """Give the log-odds as seen with the drawing brought to a size."""
    scale = min(1.0, math.sqrt(size_px / even.size))
    small = even if scale == 1.0 else cv2.resize(even, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    height, width = small.shape
    padded = np.zeros([-(-(length + 2 * _MARGIN_PX) // STEP) * STEP for length in small.shape], np.float32)
    inner = (slice(_MARGIN_PX, _MARGIN_PX + height), slice(_MARGIN_PX, _MARGIN_PX + width))
    padded[inner] = darkness(np.asarray(small, dtype=np.uint8))
    with _one_at_a_time:
        network = _network()
        network.setInput(padded[None, None])
        seen = np.asarray(network.forward(), dtype=np.float32)
    seen = np.ascontiguousarray(seen[0, 0][inner])
    if seen.shape == even.shape:
        return seen
    return np.asarray(cv2.resize(seen, even.shape[::-1], interpolation=cv2.INTER_LINEAR), dtype=np.float32)


def darkness(even: Grey) -> Chances:
    """Give how dark each pixel is, 0 at the paper's level and 1 at that of the ink; a little beyond either."""
    counts = np.bincount(even.reshape(-1), minlength=256)
    paper = int(np.convolve(counts, np.ones(5), "same").argmax())
    summed = np.cumsum(counts)
    darkest = min(int(np.searchsorted(summed, _DARKEST * summed[-1])), paper - _LEAST_CONTRAST)
    levels = np.clip((paper - np.arange(256, dtype=np.float32)) / (paper - darkest), -0.2, 1.2)
    return np.asarray(levels[even], dtype=np.float32)


@cache
def _network() -> "cv2.dnn.Net":
    return cv2.dnn.readNetFromONNX(str(resources() / "tracing" / "rooms.onnx"))
