"""The working picture turned, so that lines along any direction lie along its rows."""

import math
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from circuitmap.plan.tracing.prepare import Grey, Matrix, exact, inverse

_MOST_SLANTS: Final = 4
_APART_DEG: Final = 4.0
_LEAST_ASIDE_PX: Final = 12


@dataclass(frozen=True, eq=False)
class Turned:
    """A way of turning the working picture by ``angle_deg``; a quarter turn is exact."""

    angle_deg: float
    matrix: Matrix
    back: Matrix
    size: tuple[int, int]  # width, height once turned
    original: tuple[int, int]  # width, height before

    @property
    def is_exact(self) -> bool:
        """Tell whether no pixel is lost or smeared."""
        return self.angle_deg in (0.0, 90.0)

    def turn(self, mask: Grey) -> Grey:
        """Give a mask turned."""
        if self.angle_deg == 0.0:
            return mask
        if self.angle_deg == 90.0:
            return np.ascontiguousarray(mask.T)
        return (cv2.warpAffine(mask * 255, self.matrix, self.size, flags=cv2.INTER_LINEAR) > 110).astype(np.uint8)

    def undo(self, mask: Grey) -> Grey:
        """Give a mask turned back."""
        if self.angle_deg == 0.0:
            return mask
        if self.angle_deg == 90.0:
            return np.ascontiguousarray(mask.T)
        return (cv2.warpAffine(mask * 255, self.back, self.original, flags=cv2.INTER_LINEAR) > 110).astype(np.uint8)

    def undo_points(
        self, points: "np.ndarray[tuple[int, ...], np.dtype[np.float64]]"
    ) -> "np.ndarray[tuple[int, ...], np.dtype[np.float64]]":
        """Give points (n, 2) of the turned picture in the working picture."""
        return points @ self.back[:, :2].T + self.back[:, 2]


def turned_by(angle_deg: float, shape: tuple[int, ...]) -> Turned:
    """Give the turn that lays lines at an angle (0° right, 90° down) along the rows."""
    height, width = shape[0], shape[1]
    if angle_deg == 0.0:
        same = np.array([[1.0, 0, 0], [0, 1.0, 0]])
        return Turned(0.0, same, same, (width, height), (width, height))
    if angle_deg == 90.0:
        swap = np.array([[0, 1.0, 0], [1.0, 0, 0]])
        return Turned(90.0, swap, swap, (height, width), (width, height))
    matrix = cv2.getRotationMatrix2D((width / 2, height / 2), angle_deg, 1.0).astype(np.float64)
    corners = np.array([[0, 0, 1], [width, 0, 1], [0, height, 1], [width, height, 1]], dtype=float) @ matrix.T
    matrix[:, 2] -= corners.min(axis=0)
    across, down = np.ceil(corners.max(axis=0) - corners.min(axis=0)).astype(int) + 1
    return Turned(angle_deg, matrix, inverse(matrix), (int(across), int(down)), (width, height))


def slants_deg(ink: Grey, thick: Grey) -> list[float]:
    """Give the directions other than the main two in which a drawing has long straight lines, strongest first."""
    edges = exact(cv2.morphologyEx(thick, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8)))
    drawn = (ink & (1 - thick)) | edges
    half = cv2.resize(drawn * 255, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    _, half = cv2.threshold(half, 60, 255, cv2.THRESH_BINARY)
    shortest = max(30, max(half.shape) // 25)
    # The many lines along the main directions would only cost time.
    for side in ((1, shortest), (shortest, 1)):
        straight = cv2.morphologyEx(half, cv2.MORPH_OPEN, np.ones(side, np.uint8))
        half = cv2.bitwise_and(half, cv2.bitwise_not(cv2.dilate(straight, np.ones((3, 3), np.uint8))))
    found = cv2.HoughLinesP(half, 1, math.pi / 360, max(20, shortest // 2), minLineLength=shortest, maxLineGap=3)
    if found is None:
        return []
    ends = found.reshape(-1, 4).astype(float)
    dx, dy = ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1]
    length, angle = np.hypot(dx, dy), np.degrees(np.arctan2(dy, dx)) % 180
    free = np.minimum(angle % 90, 90 - angle % 90) > 4.5
    length, angle = length[free], angle[free]
    slants: list[float] = []
    for _ in range(2 * _MOST_SLANTS):
        if not len(length) or len(slants) == _MOST_SLANTS:
            break
        counts = np.bincount((angle * 2).astype(int), weights=length, minlength=360)
        around = counts + np.roll(counts, 1) + np.roll(counts, -1)
        peak = (int(around.argmax()) + 0.5) / 2
        off = (angle - peak + 90) % 180 - 90
        near = np.abs(off) <= 1.5
        slant = float(peak + np.average(off[near], weights=length[near] ** 2)) % 180
        aside = math.radians(min(slant % 90, 90 - slant % 90))
        # A thick edge holds lines a little aslant; only one that leaves the edge is a direction of its own.
        if float(length[near].max()) * math.sin(aside) >= _LEAST_ASIDE_PX and float(length[near].sum()) >= 2 * shortest:
            slants.append(slant)
        far = np.abs(off) > _APART_DEG
        length, angle = length[far], angle[far]
    return slants
