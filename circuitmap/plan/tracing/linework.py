"""Line work of a PDF, SVG or DXF as a sheet to trace: its segments drawn at a size that keeps them apart."""

import math
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.found import TracingError
from circuitmap.plan.tracing.prepare import Grey, Matrix

_DRAWN_PX: Final = 6_000_000
_LARGEST_SIDE: Final = 12_000
_SHIFT: Final = 4  # parts of a pixel that the drawing routine knows, as a power of two
_PAPER: Final = 255


def drawn(lines: npt.NDArray[np.float64]) -> tuple[Grey, Matrix]:
    """Draw segments (n, 4) dark on light; gives the picture, and the way from the sheet's pixels to its own.

    Raises
    ------
    TracingError
        When there are no segments, or they all lie in one point.
    """
    lines = np.asarray(lines, dtype=float).reshape(-1, 4)
    lines = lines[np.isfinite(lines).all(axis=1)]
    if not len(lines):
        raise TracingError("There is no line work on this sheet to outline.")
    points = lines.reshape(-1, 2)
    low, high = points.min(axis=0), points.max(axis=0)
    across, down = np.maximum(high - low, 1e-9)
    if max(across, down) <= 1e-6:
        raise TracingError("There is no line work on this sheet to outline.")
    scale = min(math.sqrt(_DRAWN_PX / max(across * down, 1e-9)), _LARGEST_SIDE / max(across, down))
    margin = 20.0
    to_grey = np.array([[scale, 0, margin - low[0] * scale], [0, scale, margin - low[1] * scale]])
    grey = np.full((math.ceil(down * scale + 2 * margin), math.ceil(across * scale + 2 * margin)), _PAPER, np.uint8)
    placed = (points * scale + to_grey[:, 2]).reshape(-1, 2, 2)
    for start, end in (placed * (1 << _SHIFT)).round().astype(int).tolist():
        cv2.line(grey, start, end, 0, 2, cv2.LINE_8, _SHIFT)
    return grey, to_grey
