"""Line work put in order before walls are looked for in it: what runs alike, what lies in one line, what is no wall.

Directions that agree to half a degree are one; in each, lines are stretches (from, to) at an offset. Curves, drawn as
short chords, and ladders (treads, tiles, hatching: five or more alike in equal steps) are left out.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Stretch = tuple[float, float]

_ALIKE: Final = math.radians(0.2)
_WIDEST: Final = math.radians(1.0)
_ONE_LINE_MM: Final = 3.0
_TOUCHING_MM: Final = 2.0
# A curve's chords turn by a little each; walls round a bay turn by more.
_BENDS: Final = (math.radians(1.0), math.radians(25.0))
_FEWEST_BENDS: Final = 3
_LADDER: Final = 5
_STEPS_MM: Final = (5.0, 460.0)
_STEP_SHARE: Final = 0.08
_RUNGS_ALIKE: Final = 0.8
_SHORTEST_MM: Final = 40.0


@dataclass
class Run:
    """A straight line as drawn, in the measure of its direction; ``free`` is what of it stands for no wall yet."""

    start: float
    end: float
    off: float
    free: list[Stretch] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.free = [(self.start, self.end)]

    @property
    def length(self) -> float:
        """How long it is."""
        return self.end - self.start

    def take(self, start: float, end: float) -> None:
        """Note that a stretch of it stands for a wall now."""
        self.free = without(self.free, start, end)


@dataclass
class Way:
    """One direction of a drawing, as a unit, and the lines that run in it, by their offset to its left.

    A spot lies ``along`` · direction + ``off`` · normal from the drawing's middle, where the normal is (−y, x).
    """

    x: float
    y: float
    middle: tuple[float, float]
    runs: list[Run]

    def spot(self, along: float, off: float) -> tuple[float, float]:
        """Give a spot on the plan."""
        return self.middle[0] + along * self.x - off * self.y, self.middle[1] + along * self.y + off * self.x

    def measure(self, x: float, y: float) -> tuple[float, float]:
        """Give where a spot of the plan lies: along, and off."""
        dx, dy = x - self.middle[0], y - self.middle[1]
        return dx * self.x + dy * self.y, dy * self.x - dx * self.y


def ways_of(lines: "Floats") -> list[Way]:
    """Give the directions of some lines with what runs in each; curves, specks and ladders are left out.

    Parameters
    ----------
    lines
        One row (x1, y1, x2, y2) each, on the plan in mm, in the order in which they were drawn.
    """
    import numpy as np

    rows = np.asarray(lines, float).reshape(-1, 4)
    rows = rows[~_curved(rows)]
    runs = rows[:, 2:] - rows[:, :2]
    rows = rows[np.hypot(runs[:, 0], runs[:, 1]) > 0]
    if not len(rows):
        return []
    spots = rows.reshape(-1, 2)
    middle = spots.mean(axis=0)
    angles = np.arctan2(rows[:, 3] - rows[:, 1], rows[:, 2] - rows[:, 0]) % math.pi
    angles[angles > math.pi - _WIDEST] -= math.pi
    found = []
    for chosen in _alike(angles):
        lengths = np.hypot(*(rows[chosen, 2:] - rows[chosen, :2]).T)
        turn = float(np.average(angles[chosen], weights=lengths))
        # Nearly level and upright are level and upright: whoever drew them meant it.
        nearest = round(turn / (math.pi / 2)) * math.pi / 2
        turn = nearest if abs(turn - nearest) < _ALIKE / 4 else turn
        way = Way(_clean(math.cos(turn)), _clean(math.sin(turn)), (float(middle[0]), float(middle[1])), [])
        way.runs = _without_ladders(_in_line(way, rows[chosen]))
        if way.runs:
            found.append(way)
    return found


def without(stretches: Iterable[Stretch], start: float, end: float, least: float = 1.0) -> list[Stretch]:
    """Give stretches with one cut out; what is left of one is at least so long."""
    left = []
    for a, b in stretches:
        left += [(s, e) for s, e in ((a, min(b, start)), (max(a, end), b)) if e - s > least]
    return left


def common(one: Iterable[Stretch], other: Sequence[Stretch]) -> list[Stretch]:
    """Give what two sets of stretches have in common."""
    return [(max(a, c), min(b, d)) for a, b in one for c, d in other if min(b, d) > max(a, c)]


def _curved(rows: "Floats") -> "NDArray[np.bool_]":
    """Tell which lines are chords of a curve: several in a row, each turned a little further than the one before."""
    import numpy as np

    curved = np.zeros(len(rows), bool)
    if len(rows) <= _FEWEST_BENDS:
        return curved
    runs = rows[:, 2:] - rows[:, :2]
    lengths = np.hypot(runs[:, 0], runs[:, 1])
    meets = np.hypot(*(rows[1:, :2] - rows[:-1, 2:]).T) <= 0.5
    turns = np.arctan2(
        runs[:-1, 0] * runs[1:, 1] - runs[:-1, 1] * runs[1:, 0], (runs[:-1] * runs[1:]).sum(axis=1)
    )  # fmt: skip
    longer, shorter = np.maximum(lengths[:-1], lengths[1:]), np.minimum(lengths[:-1], lengths[1:])
    bends = meets & (np.abs(turns) >= _BENDS[0]) & (np.abs(turns) <= _BENDS[1]) & (longer <= 2.5 * shorter)
    begin = 0
    way = np.sign(turns)
    for n in range(len(bends) + 1):
        goes_on = n < len(bends) and bends[n] and (n == begin or way[n] == way[n - 1])
        if not goes_on:
            if n - begin >= _FEWEST_BENDS:
                curved[begin : n + 1] = True
            begin = n if n < len(bends) and bends[n] else n + 1
    return curved


def _alike(angles: "Floats") -> "Iterable[NDArray[np.int64]]":
    """Give the numbers of lines that run alike, one direction after the other."""
    import numpy as np

    order = np.argsort(angles, kind="stable")
    sorted_ = angles[order]
    breaks = [0]
    for n in range(1, len(sorted_)):
        if sorted_[n] - sorted_[n - 1] > _ALIKE or sorted_[n] - sorted_[breaks[-1]] > _WIDEST:
            breaks.append(n)
    return np.split(order, breaks[1:])


def _in_line(way: Way, rows: "Floats") -> list[Run]:
    """Put together what lies in one line and touches or overlaps."""
    import numpy as np

    x = rows[:, 0::2] - way.middle[0]
    y = rows[:, 1::2] - way.middle[1]
    along = np.sort(x * way.x + y * way.y, axis=1)
    off = (y * way.x - x * way.y).mean(axis=1)
    order = np.lexsort((along[:, 0], off))
    found: list[Run] = []
    line: list[tuple[float, float, float]] = []
    for start, end, at in np.column_stack((along, off))[order].tolist():
        if line and at - line[0][2] > _ONE_LINE_MM:
            found += _joined(line)
            line = []
        line.append((start, end, at))
    found += _joined(line)
    return [run for run in found if run.length >= _SHORTEST_MM]


def _joined(line: list[tuple[float, float, float]]) -> list[Run]:
    if not line:
        return []
    weight = sum(end - start for start, end, _ in line)
    off = sum((end - start) * at for start, end, at in line) / weight
    runs: list[Run] = []
    for start, end, _ in sorted(line):
        if runs and start - runs[-1].end <= _TOUCHING_MM:
            runs[-1] = Run(runs[-1].start, max(runs[-1].end, end), off)
        else:
            runs.append(Run(start, end, off))
    return runs


def _without_ladders(runs: list[Run]) -> list[Run]:
    """Leave out lines that repeat in equal steps."""
    runs = sorted(runs, key=lambda run: (run.off, run.start))
    following: list[int] = []
    for n, run in enumerate(runs):
        next_one = -1
        for m in range(n + 1, len(runs)):
            step = runs[m].off - run.off
            if step > _STEPS_MM[1]:
                break
            if step >= _STEPS_MM[0] and _are_rungs(run, runs[m]):
                next_one = m
                break
        following.append(next_one)
    out: set[int] = set()
    for n in range(len(runs)):
        chain = [n]
        step = 0.0
        while following[chain[-1]] >= 0:
            m = following[chain[-1]]
            next_step = runs[m].off - runs[chain[-1]].off
            if step and abs(next_step - step) > _STEP_SHARE * step:
                break
            step = step or next_step
            chain.append(m)
        if len(chain) >= _LADDER:
            out.update(chain)
    return [run for n, run in enumerate(runs) if n not in out]


def _are_rungs(one: Run, other: Run) -> bool:
    shared = min(one.end, other.end) - max(one.start, other.start)
    return shared >= _RUNGS_ALIKE * (max(one.end, other.end) - min(one.start, other.start))


def _clean(value: float) -> float:
    return round(value) * 1.0 if abs(value - round(value)) < 1e-12 else value
