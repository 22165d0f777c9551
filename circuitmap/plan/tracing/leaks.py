"""A room that isn't closed: found by narrowing until it parts from the outside."""

from typing import Final

import cv2
import numpy as np

from circuitmap.plan.tracing.prepare import Grey, exact

_PARTS: Final = 3  # worked at a third of the size
_WIDEST_PART: Final = 1 / 9  # of the longer side, for an opening
_SMALLEST_PART: Final = 1 / 40


def behind_a_neck(closed: Grey, x: int, y: int) -> tuple[Grey, int, int, float] | None:
    """Give the region about a place that only a narrow neck joins to the outside, as mask, left, top and neck's width.

    None when it is outside, or the neck would be wider than any opening.
    """
    small = cv2.resize(closed * 255, None, fx=1 / _PARTS, fy=1 / _PARTS, interpolation=cv2.INTER_AREA)
    free = (small < 100).astype(np.uint8)
    depth = cv2.distanceTransform(free, cv2.DIST_L2, 5)
    at = (min(y // _PARTS, free.shape[0] - 1), min(x // _PARTS, free.shape[1] - 1))
    side = max(free.shape)
    most = side * _WIDEST_PART / 2
    radius = 2.0
    while radius <= most:
        core = (depth > radius).astype(np.uint8)
        _, labels, stats, _ = cv2.connectedComponentsWithStats(core, connectivity=4, ltype=cv2.CV_32S)
        label = int(labels[at]) or _nearest(np.asarray(labels, dtype=np.int32), at, radius)
        outside = int(labels[1 + int(radius) + 4, 1 + int(radius) + 4])
        if label and label != outside and not _reaches_edge(stats[label], free.shape, radius):
            if stats[label][cv2.CC_STAT_AREA] < (side * _SMALLEST_PART) ** 2:
                return None
            return _grown(labels == label, free, radius)
        radius *= 1.2
    return None


def _nearest(labels: "np.ndarray[tuple[int, ...], np.dtype[np.int32]]", at: tuple[int, int], radius: float) -> int:
    reach = int(radius * 1.5) + 2
    top, left = max(0, at[0] - reach), max(0, at[1] - reach)
    block = labels[top : at[0] + reach + 1, left : at[1] + reach + 1]
    ys, xs = np.nonzero(block)
    if not len(xs):
        return 0
    nearest = int(((ys + top - at[0]) ** 2 + (xs + left - at[1]) ** 2).argmin())
    return int(block[ys[nearest], xs[nearest]])


def _reaches_edge(
    stats: "np.ndarray[tuple[int, ...], np.dtype[np.int32]]", shape: tuple[int, ...], radius: float
) -> bool:
    left, top, width, height, _ = stats
    edge = radius + 3
    return bool(left <= edge or top <= edge or left + width >= shape[1] - edge or top + height >= shape[0] - edge)


def _grown(
    core: "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]", free: Grey, radius: float
) -> tuple[Grey, int, int, float]:
    """Let a core grow back to its walls, and give it at working size."""
    away = cv2.distanceTransform((~core).astype(np.uint8), cv2.DIST_L2, 5)
    region = ((away <= radius + 1) & (free > 0)).astype(np.uint8)
    ys, xs = np.nonzero(region)
    top, left, bottom, right = int(ys.min()), int(xs.min()), int(ys.max()) + 1, int(xs.max()) + 1
    part = cv2.resize(region[top:bottom, left:right], None, fx=_PARTS, fy=_PARTS, interpolation=cv2.INTER_NEAREST)
    mask = cv2.copyMakeBorder(part, 4, 4, 4, 4, cv2.BORDER_CONSTANT, value=0)
    return exact(mask), left * _PARTS - 4, top * _PARTS - 4, 2 * radius * _PARTS
