"""How likely each place of a drawing lies in a room: seen by a small network that was taught on invented drawings.

The network is a picture-to-picture one (strided and dilated convolutions down to 1/32 of the size, and back up with
what each size saw). It was taught by ``tests/plans/teach.py`` on drawings that the tests draw, none of which is among
those that tracing is measured by; it is run by OpenCV.
"""

import math
from functools import cache
from itertools import pairwise
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
NEAR_PARTS: Final = (0.65, 1.0)  # of a storey's working picture
HOMES: Final = "rooms.onnx"
HOMES_NEAR: Final = "rooms_near.onnx"  # the same network, taught otherwise: what one takes for a wall the other doesn't
STOREYS: Final = "storeys.onnx"  # and taught on with storeys of flats
STEP: Final = 32  # the sides that the network takes are multiples of this
_MARGIN_PX: Final = 64  # of bare paper all round, so that what is outside is seen to be
_BAND_PX: Final = 2_600_000  # what the network is shown at once: it needs some 60 bytes a pixel
_OVER_PX: Final = 160  # bands lap over by so much, which is further than what is seen of a place depends on
_CERTAIN: Final = 2.5  # log-odds
_DARKEST: Final = 0.004  # this share of the drawing is as dark as ink gets
_LEAST_CONTRAST: Final = 40  # levels

_one_at_a_time = Lock()


def chances(even: Grey) -> Chances:
    """Give for each pixel of an evenly lit, straight drawing the log-odds (natural) that it lies in a room."""
    return cleared(even, usual(even))


def usual(even: Grey) -> Chances:
    """Give the log-odds as they are seen from two distances, which are wrong in different places."""
    return _mean([_look(even, size, taught) for size, taught in zip(USUAL_PX, (HOMES, HOMES_NEAR), strict=True)])


def near(even: Grey) -> Chances:
    """Give the log-odds for a working picture that was made as large as the rooms in it ask for."""
    with _one_at_a_time:
        _network.cache_clear()  # each network holds on to what it worked with, some 60 bytes a pixel
    return _mean([_look(even, even.size * part, STOREYS) for part in NEAR_PARTS])


def cleared(even: Grey, seen: Chances) -> Chances:
    """Look from other distances as well where much is left in doubt; the look with the least doubt counts.

    Large bare rooms are clearer from afar, a storey of small flats from near by.
    """
    best, least = seen, doubt(seen)
    for size, doubtful in OTHER_PX:
        if least > doubtful and even.size > 1.2 * size:
            other = _look(even, size, HOMES)
            if (left := doubt(other)) < least:
                best, least = other, left
    return best


def _mean(looks: list[Chances]) -> Chances:
    return np.asarray(np.mean(looks, axis=0), dtype=np.float32)


def doubt(seen: Chances) -> float:
    """Give which share of what may lie in rooms neither does nor doesn't for certain."""
    possible = int((seen > -_CERTAIN).sum())
    return int((np.abs(seen) < _CERTAIN).sum()) / possible if possible else 0.0


def _look(even: Grey, size_px: float, taught: str) -> Chances:
    """Give the log-odds as seen with the drawing brought to a size; a large one goes through in bands."""
    scale = min(1.0, math.sqrt(size_px / even.size))
    small = even if scale == 1.0 else cv2.resize(even, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    dark = cv2.copyMakeBorder(
        darkness(np.asarray(small, dtype=np.uint8)), *(_MARGIN_PX,) * 4, cv2.BORDER_CONSTANT, value=0.0
    )
    is_tall = dark.shape[0] > dark.shape[1]
    along = np.asarray(dark.T if is_tall else dark, dtype=np.float32)
    bands = max(1, round(along.size / _BAND_PX))
    seen = np.empty(along.shape, np.float32)
    edges = [along.shape[1] * at // bands for at in range(bands + 1)]
    for start, end in pairwise(edges):
        first, last = max(0, start - _OVER_PX), min(along.shape[1], end + _OVER_PX)
        part = along[:, first:last].T if is_tall else along[:, first:last]
        odds = _odds(part, taught)
        seen[:, start:end] = (odds.T if is_tall else odds)[:, start - first : end - first]
    inner = (seen.T if is_tall else seen)[_MARGIN_PX:-_MARGIN_PX, _MARGIN_PX:-_MARGIN_PX]
    if inner.shape == even.shape:
        return np.ascontiguousarray(inner)
    return np.asarray(
        cv2.resize(np.ascontiguousarray(inner), even.shape[::-1], interpolation=cv2.INTER_LINEAR), dtype=np.float32
    )


def _odds(dark: Chances, taught: str) -> Chances:
    """Run a network over a picture of any size."""
    height, width = dark.shape
    padded = np.zeros([-(-length // STEP) * STEP for length in dark.shape], np.float32)
    padded[:height, :width] = dark
    with _one_at_a_time:
        network = _network(taught)
        network.setInput(padded[None, None])
        seen = np.asarray(network.forward(), dtype=np.float32)
    return np.asarray(seen[0, 0, :height, :width])


def darkness(even: Grey) -> Chances:
    """Give how dark each pixel is, 0 at the paper's level and 1 at that of the ink; a little beyond either."""
    counts = np.bincount(even.reshape(-1), minlength=256)
    paper = int(np.convolve(counts, np.ones(5), "same").argmax())
    summed = np.cumsum(counts)
    darkest = min(int(np.searchsorted(summed, _DARKEST * summed[-1])), paper - _LEAST_CONTRAST)
    levels = np.clip((paper - np.arange(256, dtype=np.float32)) / (paper - darkest), -0.2, 1.2)
    return np.asarray(levels[even], dtype=np.float32)


@cache
def _network(taught: str) -> "cv2.dnn.Net":
    return cv2.dnn.readNetFromONNX(str(resources() / "tracing" / taught))
