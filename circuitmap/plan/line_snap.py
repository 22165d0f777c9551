"""The line work of a sheet laid out to snap to: ends of lines, where they cross, and spots along them.

Segments stay in the sheet's own pixels, in a grid of cells; how the sheet lies on the plan is applied only to the few
that are near. So setting a scale anew costs nothing, and a million segments are asked in well under a millisecond.
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from circuitmap.errors import HomeError
from circuitmap.plan.outlines import Corner, Outline
from circuitmap.plan.sheet import Spot, Transform, inverse, to_plan

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Kind = Literal["end", "crossing", "line"]
WHY: Final[dict[Kind, str]] = {"end": "end of a line", "crossing": "lines cross", "line": "on a line"}

_MOST_CELLS: Final = 1_000_000
# More than these within reach, and the reach is halved: where everything is near, the nearest is very near.
_MOST_NEAR: Final = 800
_MOST_CROSSED: Final = 32
_HALVINGS: Final = 14
# Strays beyond so many times the bulk of a drawing don't coarsen its cells.
_BULK: Final = (0.002, 0.998)
_BULK_OF: Final = 200_000
# Lines closer to parallel than 2° cross at no spot that anybody means.
_CROSSES: Final = math.sin(math.radians(2))
_SAME_MM: Final = 0.5

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class LineSnap:
    """What the pointer snapped to, on the plan; ``along`` is the way of the line, as a unit."""

    x_mm: float
    y_mm: float
    kind: Kind
    along: Spot

    @property
    def why(self) -> str:
        """What it snapped to, in words."""
        return WHY[self.kind]


class LineGrid:
    """Straight segments in a grid of cells, to be asked what is near. A value: never changed."""

    def __init__(self, segments: "Floats") -> None:
        """Lay segments out.

        Parameters
        ----------
        segments
            One row (x1, y1, x2, y2) each, shape (n, 4), in any one unit; those that are points are left out.
        """
        import numpy as np

        rows = np.asarray(segments, float).reshape(-1, 4)
        whole = np.isfinite(rows).all(axis=1) & ((rows[:, :2] != rows[:, 2:]).any(axis=1))
        self.segments: Floats = rows if whole.all() else rows[whole]
        rows = self.segments
        self._across = self._down = 1
        self._cell = 1.0
        self._left = self._top = self._right = self._bottom = 0.0
        if not len(rows):
            self._starts = np.zeros(2, np.int64)
            self._order = self._outside = np.zeros(0, np.int32)
            return
        self._left, self._top, self._right, self._bottom = _bulk(rows)
        wide, high = self._right - self._left, self._bottom - self._top
        inside = _clipped(rows, (self._left, self._top, self._right, self._bottom))
        reach = np.abs(inside[:, 2:] - inside[:, :2]).max(axis=1)
        cells = min(max(len(rows), 16), _MOST_CELLS)
        self._cell = max(
            math.sqrt(wide * high / cells), float(reach.sum()) / (2 * len(rows) + 1_000), max(wide, high) / cells, 1e-9
        )
        self._across, self._down = int(wide / self._cell) + 1, int(high / self._cell) + 1
        times = np.ceil(reach / self._cell).astype(np.int64)
        np.maximum(times, 1, out=times)
        owner = np.repeat(np.arange(len(rows), dtype=np.int32), times)
        first = np.cumsum(times) - times
        share = (np.arange(len(owner)) - first[owner] + 0.5) / times[owner]
        column = self._column(inside[owner, 0] + share * (inside[owner, 2] - inside[owner, 0]))
        row = self._row(inside[owner, 1] + share * (inside[owner, 3] - inside[owner, 1]))
        cell = row * self._across + column
        self._order = owner[np.argsort(cell, kind="stable")]
        self._starts = np.concatenate(([0], np.cumsum(np.bincount(cell, minlength=self._across * self._down))))
        out = (rows[:, 0::2].min(axis=1) < self._left) | (rows[:, 0::2].max(axis=1) > self._right)
        out |= (rows[:, 1::2].min(axis=1) < self._top) | (rows[:, 1::2].max(axis=1) > self._bottom)
        self._outside = np.flatnonzero(out).astype(np.int32)

    def __len__(self) -> int:
        return len(self.segments)

    def near(self, box: Box, most: int = _MOST_NEAR) -> "tuple[NDArray[np.int32], float]":
        """Give which segments may come into a box, and by which share the box had to be made smaller for ``most``.

        Parameters
        ----------
        box
            Left, top, right and bottom. All that come into it are given, and some that only come near.
        most
            When there are more, a smaller box about the same middle is asked.
        """
        import numpy as np

        left, top, right, bottom = box
        x, y, half_x, half_y = (left + right) / 2, (top + bottom) / 2, (right - left) / 2, (bottom - top) / 2
        share = 1.0
        for _ in range(_HALVINGS):
            found = self._slices(x - share * half_x, y - share * half_y, x + share * half_x, y + share * half_y)
            # Within one cell a smaller box holds no fewer.
            if int((found[:, 1] - found[:, 0]).sum()) <= most or share * max(half_x, half_y) < self._cell:
                break
            share /= 2
        parts = [self._order[a:b] for a, b in found.tolist() if b > a]
        if left < self._left or top < self._top or right > self._right or bottom > self._bottom:
            parts.append(self._outside)
        if not parts:
            return np.zeros(0, np.int32), share
        return np.unique(np.concatenate(parts)[: 4 * most]), share

    def _slices(self, left: float, top: float, right: float, bottom: float) -> "NDArray[np.int64]":
        """Give where in the order the pieces of each row of cells stand, from and to; a piece counts by its middle."""
        import numpy as np

        half = self._cell / 2
        ends = np.array([left - half, right + half])
        first, last = self._column(ends).tolist()
        upper, lower = self._row(np.array([top - half, bottom + half])).tolist()
        rows = np.arange(upper, lower + 1) * self._across
        return np.column_stack((self._starts[rows + first], self._starts[rows + last + 1]))

    def _column(self, x: "Floats") -> "NDArray[np.int64]":
        import numpy as np

        return np.clip((x - self._left) / self._cell, 0, self._across - 1).astype(np.int64)

    def _row(self, y: "Floats") -> "NDArray[np.int64]":
        import numpy as np

        return np.clip((y - self._top) / self._cell, 0, self._down - 1).astype(np.int64)


@dataclass(frozen=True)
class SheetLines:
    """A sheet's line work as it lies on the plan."""

    grid: LineGrid
    px_to_plan_mm: Transform

    def snap(self, x_mm: float, y_mm: float, reach_mm: float) -> LineSnap | None:
        """Give what of the line work the pointer snaps to, None when nothing is within reach.

        The nearest end or crossing within reach comes first, else the nearest spot on a line.
        """
        found = self.around(x_mm, y_mm, reach_mm)
        if found is None:
            return None
        lines, share = found
        return snap_among(lines, x_mm, y_mm, reach_mm * share)

    def around(self, x_mm: float, y_mm: float, reach_mm: float) -> "tuple[Floats, float] | None":
        """Give the segments near a spot, on the plan in mm, and by which share the reach had to be made smaller."""
        try:
            back = inverse(self.px_to_plan_mm)
            corners = [to_plan(back, x_mm + dx * reach_mm, y_mm + dy * reach_mm) for dx in (-1, 1) for dy in (-1, 1)]
        except HomeError:
            return None
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        if not all(map(math.isfinite, (*xs, *ys))):
            return None
        which, share = self.grid.near((min(xs), min(ys), max(xs), max(ys)))
        if not len(which):
            return None
        return placed(self.grid.segments[which], self.px_to_plan_mm), share


def lay_on_lines(outline: Outline, sheet: SheetLines, reach_mm: float) -> tuple[Outline, LineSnap | None]:
    """Give an outline moved so that one corner lies on the sheet's lines: on the nearest end or crossing, else a line.

    Where no corner has anything within reach, it is given as it was.
    """
    best: tuple[bool, float, Corner, LineSnap] | None = None
    for corner in outline:
        on = sheet.snap(*corner, reach_mm)
        if on is not None:
            key = on.kind == "line", math.dist(corner, (on.x_mm, on.y_mm))
            if best is None or key < best[:2]:
                best = *key, corner, on
    if best is None:
        return outline, None
    _, _, corner, on = best
    by = round(on.x_mm) - corner[0], round(on.y_mm) - corner[1]
    return tuple((x + by[0], y + by[1]) for x, y in outline), on


def placed(segments_px: "Floats", px_to_plan_mm: Transform) -> "Floats":
    """Give segments of a sheet on the plan; those that reach to the picture's horizon are left out."""
    import numpy as np

    a, b, c, d, e, f, g, h, i = px_to_plan_mm
    x, y = segments_px[:, 0::2], segments_px[:, 1::2]
    w = g * x + h * y + i
    seen = (w > 0).all(axis=1) if i > 0 else (w < 0).all(axis=1)
    if not seen.all():
        x, y, w = x[seen], y[seen], w[seen]
    made = np.empty((len(x), 4))
    made[:, 0::2] = (a * x + b * y + c) / w
    made[:, 1::2] = (d * x + e * y + f) / w
    return made


def snap_among(lines: "Floats", x: float, y: float, reach: float) -> LineSnap | None:
    """Give what a spot snaps to among a few segments, shape (n, 4): an end or a crossing within reach, else a line."""
    import numpy as np

    starts, runs = lines[:, :2], lines[:, 2:] - lines[:, :2]
    squares = np.maximum((runs**2).sum(axis=1), 1e-12)
    to_spot = (x, y) - starts
    share = np.clip((to_spot * runs).sum(axis=1) / squares, 0.0, 1.0)
    feet = starts + share[:, None] * runs
    off = np.hypot(feet[:, 0] - x, feet[:, 1] - y)
    near = np.flatnonzero(off <= reach)
    if not len(near):
        return None
    near = near[np.argsort(off[near], kind="stable")]
    units = runs[near] / np.sqrt(squares[near])[:, None]
    ends = np.concatenate((lines[near, :2], lines[near, 2:]))
    away = np.hypot(ends[:, 0] - x, ends[:, 1] - y)
    best = int(away.argmin())
    crossing = _crossing(starts[near[:_MOST_CROSSED]], runs[near[:_MOST_CROSSED]], x, y)
    # A crossing at the end of a line is that end.
    if crossing is not None and crossing[0] <= reach and crossing[0] < away[best] - _SAME_MM:
        return LineSnap(crossing[1], crossing[2], "crossing", _unit(units, crossing[3]))
    if away[best] <= reach:
        return LineSnap(float(ends[best, 0]), float(ends[best, 1]), "end", _unit(units, best % len(near)))
    return LineSnap(float(feet[near[0], 0]), float(feet[near[0], 1]), "line", _unit(units, 0))


def _crossing(starts: "Floats", runs: "Floats", x: float, y: float) -> tuple[float, float, float, int] | None:
    """Give the nearest crossing of two among some segments: how far off, where, and the number of one of the two."""
    import numpy as np

    one, other = np.triu_indices(len(starts), 1)
    if not len(one):
        return None
    p, r, s = starts[one], runs[one], runs[other]
    between = starts[other] - p
    turn = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
    long_r, long_s = np.hypot(r[:, 0], r[:, 1]), np.hypot(s[:, 0], s[:, 1])
    square = np.abs(turn) >= _CROSSES * long_r * long_s
    turn = np.where(square, turn, 1.0)
    t = (between[:, 0] * s[:, 1] - between[:, 1] * s[:, 0]) / turn
    u = (between[:, 0] * r[:, 1] - between[:, 1] * r[:, 0]) / turn
    loose_r, loose_s = _SAME_MM / np.maximum(long_r, 1e-9), _SAME_MM / np.maximum(long_s, 1e-9)
    meets = square & (t >= -loose_r) & (t <= 1 + loose_r) & (u >= -loose_s) & (u <= 1 + loose_s)
    if not meets.any():
        return None
    spots = p[meets] + t[meets, None] * r[meets]
    away = np.hypot(spots[:, 0] - x, spots[:, 1] - y)
    best = int(away.argmin())
    return float(away[best]), float(spots[best, 0]), float(spots[best, 1]), int(one[meets][best])


def _unit(units: "Floats", number: int) -> Spot:
    return float(units[number, 0]), float(units[number, 1])


def _bulk(rows: "Floats") -> Box:
    """Give the box that holds the bulk of some segments, strays left out."""
    import numpy as np

    some = rows[:: max(1, len(rows) // _BULK_OF)]
    found = []
    for axis in (0, 1):
        ends = some[:, axis::2].ravel()
        low, high = np.quantile(ends, _BULK)
        margin = max((high - low) * 0.1, 1e-6)
        found.append(
            (max(low - margin, float(rows[:, axis::2].min())), min(high + margin, float(rows[:, axis::2].max())))
        )
    (left, right), (top, bottom) = found
    return float(left), float(top), float(right), float(bottom)


def _clipped(rows: "Floats", box: Box) -> "Floats":
    """Give segments cut to a box; what misses it is drawn together to the spot of it that lies next."""
    import numpy as np

    left, top, right, bottom = box
    start, run = rows[:, :2], rows[:, 2:] - rows[:, :2]
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = ((left, top) - start) / run, ((right, bottom) - start) / run
    low, high = np.minimum(one, other), np.maximum(one, other)
    # A segment that runs along an axis is within its strip for good, or never.
    still = run == 0
    within = (start >= (left, top)) & (start <= (right, bottom))
    low = np.where(still, np.where(within, -np.inf, np.inf), low)
    high = np.where(still, np.where(within, np.inf, -np.inf), high)
    first, last = np.clip(low.max(axis=1), 0, 1), np.clip(high.min(axis=1), 0, 1)
    last = np.maximum(first, last)
    made = np.empty_like(rows)
    made[:, :2] = start + first[:, None] * run
    made[:, 2:] = start + last[:, None] * run
    return np.clip(made, (left, top, left, top), (right, bottom, right, bottom))
