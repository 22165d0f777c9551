"""Curves to straight pieces, placed by matrices, collected layer by layer."""

import math
from array import array
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, TypedDict

from circuitmap.pictures.study import Pen, RefusedError

Matrix = tuple[float, float, float, float, float, float]
"""The six numbers a b c d e f: x' = a x + c y + e, y' = b x + d y + f."""
Spot = tuple[float, float]

IDENTITY: Final[Matrix] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
# How far a straight piece may stray from its curve, in sheet px.
STRAY_PX: Final = 0.35
MOST_PIECES: Final = 2_000_000
_MOST_PER_CURVE: Final = 64


class Packed(TypedDict):
    """Segments, their layers and their pens as a ``Study`` holds them."""

    segments: bytes
    layer_of: bytes
    layers: tuple[str, ...]
    pen_of: bytes
    pens: tuple[Pen, ...]


class Pieces:
    """Straight pieces as they are found, each with its layer and its pen."""

    def __init__(self) -> None:
        self._ends = array("d")
        self._layer_of = array("i")
        self._layers: dict[str, int] = {}
        self._layer = 0
        self._pen_of = array("i")
        self._pens: dict[Pen, int] = {}
        self._pen = 0

    def begin(self, layer: str, pen: Pen) -> None:
        """Say which layer the following pieces are on, and what they are drawn with."""
        self._layer = self._layers.setdefault(layer, len(self._layers))
        self._pen = self._pens.setdefault(pen, len(self._pens))

    def line(self, spots: Sequence[Spot]) -> None:
        """Take a line through several spots.

        Raises
        ------
        RefusedError
            When there are more than a plan has.
        """
        for (x1, y1), (x2, y2) in pairwise(spots):
            if (x1 != x2 or y1 != y2) and math.isfinite(x1 + y1 + x2 + y2):
                self._ends.extend((x1, y1, x2, y2))
                self._layer_of.append(self._layer)
                self._pen_of.append(self._pen)
        if len(self._layer_of) > MOST_PIECES:
            says = f"the drawing has more than {MOST_PIECES:,} lines."
            raise RefusedError(says, "Save only the floor plan, without what else is in the drawing.")

    def packed(self) -> Packed:
        """Give all that was taken."""
        return Packed(
            segments=self._ends.tobytes(), layer_of=self._layer_of.tobytes(), layers=tuple(self._layers),
            pen_of=self._pen_of.tobytes(), pens=tuple(self._pens),
        )  # fmt: skip


def times(outer: Matrix, inner: Matrix) -> Matrix:
    """Give the matrix that applies ``inner`` first, then ``outer``."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f


def moved(matrix: Matrix, x: float, y: float) -> Spot:
    """Give where a matrix takes a spot."""
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def cubic(p: Spot, q: Spot, r: Spot, s: Spot, stray: float = STRAY_PX) -> list[Spot]:
    """Give spots along a cubic Bézier curve, without its start.

    So many that no chord strays further than allowed: n = √(3/4 · m / stray), where m is the larger of the two second
    differences of the control points.

    **Source:** the error of linear interpolation, |f''| h²/8, with |B''| ≤ 6 m.
    """
    m = max(
        math.hypot(p[0] - 2 * q[0] + r[0], p[1] - 2 * q[1] + r[1]),
        math.hypot(q[0] - 2 * r[0] + s[0], q[1] - 2 * r[1] + s[1]),
    )
    wanted = math.sqrt(0.75 * m / stray) if math.isfinite(m) else 1.0
    n = min(_MOST_PER_CURVE, max(1, math.ceil(wanted)))
    spots: list[Spot] = []
    for k in range(1, n + 1):
        t = k / n
        u = 1 - t
        wp, wq, wr, ws = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        x = wp * p[0] + wq * q[0] + wr * r[0] + ws * s[0]
        spots.append((x, wp * p[1] + wq * q[1] + wr * r[1] + ws * s[1]))
    return spots


def quadratic(p: Spot, q: Spot, r: Spot, stray: float = STRAY_PX) -> list[Spot]:
    """Give spots along a quadratic Bézier curve, without its start."""
    third = 2 / 3
    return cubic(
        p,
        (p[0] + third * (q[0] - p[0]), p[1] + third * (q[1] - p[1])),
        (r[0] + third * (q[0] - r[0]), r[1] + third * (q[1] - r[1])),
        r,
        stray,
    )
