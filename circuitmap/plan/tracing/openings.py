"""Gaps in walls: doors, archways and windows, found where two ends of wall face each other, and closed."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.found import Opening, OpeningKind
from circuitmap.plan.tracing.lines import Strips
from circuitmap.plan.tracing.prepare import Grey
from circuitmap.plan.tracing.turned import Turned
from circuitmap.plan.tracing.walls import Walls

Ints = npt.NDArray[np.int64]

_SLACK_PX: Final = 2
_SAME_PX: Final = 2.5
_WIDEST_PLAIN: Final = 18.0  # times the thinnest wall: a double door in a stud partition
_WIDEST_INKED: Final = 34.0
_INKED: Final = 0.72  # of its width, along one row


@dataclass(frozen=True)
class Gap:
    """A gap in the turned picture: from and to along the rows, first and last row, and what is drawn along it."""

    start: int
    end: int
    top: int
    bottom: int
    kind: OpeningKind
    is_strict: bool


def find_gaps(walls: Walls, turn: Turned) -> list[Gap]:
    """Find the gaps in walls that run along the rows of the turned picture."""
    if not walls.depths:
        return []
    mask, ink = turn.turn(walls.mask), turn.turn(walls.ink)
    side = max(walls.mask.shape)
    plain = min(_WIDEST_PLAIN * walls.depths[0], side / 5)
    inked = min(_WIDEST_INKED * walls.depths[0], side / 2.5)
    row, start, end = _runs(mask, max(4.0, 0.8 * walls.depths[0]), max(plain, inked))
    least_ends, times = (1, 1.0) if turn.is_exact else (2, 3.0)
    gaps = []
    for first, middle, last in _chains(row, start, end, mask.shape[1]):
        depth = int(row[last] - row[first]) + 1
        if not 0.72 * walls.depths[0] <= depth <= 1.3 * walls.depths[-1] + 2:
            continue
        a, b, top, bottom = int(start[middle]), int(end[middle]), int(row[first]), int(row[last])
        if not _is_free_beside(mask, a, b, top, bottom):
            continue
        ends = _ends(mask, a, b, top, bottom, times)
        if ends < least_ends:
            continue
        is_inked = _is_inked(ink, a, b, top, bottom)
        if b - a <= plain or (is_inked and ends == 2):
            gaps.append(Gap(a, b, top, bottom, "inked" if is_inked else "opening", ends == 2))
    strips = walls.strips[walls.turns.index(turn)] if walls.strips else None
    return gaps if strips is None else gaps + _between(strips, mask, ink, plain, inked, times)


def _between(strips: Strips, mask: Grey, ink: Grey, plain: float, inked: float, times: float) -> list[Gap]:
    """Give the gaps between hollow pieces of one wall, whatever is drawn in them."""
    gaps = []
    order = np.lexsort((strips.start, strips.low.round()))
    for one in order:
        same = (np.abs(strips.low - strips.low[one]) <= _SAME_PX) & (np.abs(strips.high - strips.high[one]) <= _SAME_PX)
        later = same & (strips.start > strips.end[one] + 3)
        if not later.any() or (same & (strips.start <= strips.end[one] + 3) & (strips.end > strips.end[one] + 3)).any():
            continue
        a, b = round(strips.end[one]) + 1, round(strips.start[later].min())
        top, bottom = round(strips.low[one]), round(strips.high[one])
        if b - a > max(plain, inked) or _ends(mask, a, b, top, bottom, times) < 2:
            continue
        is_inked = _is_inked(ink, a, b, top, bottom)
        if b - a <= plain or is_inked:
            gaps.append(Gap(a, b, top, bottom, "inked" if is_inked else "opening", True))
    return gaps


def paint_gaps(gaps: list[Gap], shape: tuple[int, int]) -> Grey:
    """Give the mask of gaps, with a pixel over at both ends."""
    mask = np.zeros(shape, np.uint8)
    for gap in gaps:
        mask[gap.top : gap.bottom + 1, max(0, gap.start - 2) : gap.end + 2] = 1
    return mask


def opening_of(gap: Gap, turn: Turned) -> Opening:
    """Give a gap as an opening in the working picture."""
    middle = (gap.top + gap.bottom) / 2
    (ax, ay), (bx, by) = turn.undo_points(np.array([[gap.start - 0.5, middle], [gap.end - 0.5, middle]]))
    ends = (float(ax), float(ay)), (float(bx), float(by))
    return Opening(*ends, float(gap.end - gap.start), float(gap.bottom - gap.top + 1), gap.kind)


def _runs(mask: Grey, least: float, most: float) -> tuple[Ints, Ints, Ints]:
    """Give row, start and end (not included) of the free runs between two pieces of wall in one row."""
    change = np.diff(mask.astype(np.int8), axis=1)
    row_a, from_wall = np.nonzero(change == -1)
    row_b, to_wall = np.nonzero(change == 1)
    width = mask.shape[1] + 1
    ends = row_b * width + to_wall
    nearest = np.searchsorted(ends, row_a * width + from_wall)
    has = nearest < len(ends)
    row, start, nearest = row_a[has], from_wall[has] + 1, nearest[has]
    end = to_wall[nearest] + 1
    good = (row_b[nearest] == row) & (end - start >= least) & (end - start <= most)
    return row[good], start[good], end[good]


def _chains(row: Ints, start: Ints, end: Ints, width: int) -> list[tuple[int, int, int]]:
    """Give the first, a middle and the last run of each chain of runs that lie below one another."""
    count = len(row)
    if not count:
        return []
    key = row * (width + 8) + start + 4
    after = np.full(count, -1)
    for off in sorted(range(-_SLACK_PX, _SLACK_PX + 1), key=abs):
        at = np.searchsorted(key, key + width + 8 + off)
        safe = np.minimum(at, count - 1)
        fits = (
            (at < count) & (key[safe] == key + width + 8 + off) & (np.abs(end[safe] - end) <= _SLACK_PX) & (after < 0)
        )
        after[fits] = safe[fits]
    is_later = np.zeros(count, dtype=bool)
    is_later[after[after >= 0]] = True
    following = after.tolist()
    chains = []
    for first in np.flatnonzero(~is_later).tolist():
        chain = [first]
        while following[chain[-1]] >= 0:
            chain.append(following[chain[-1]])
        chains.append((first, chain[len(chain) // 2], chain[-1]))
    return chains


def _is_free_beside(mask: Grey, a: int, b: int, top: int, bottom: int) -> bool:
    inset, beyond = max(1, (b - a) // 8), _beyond(top, bottom)
    for at in (top - beyond, bottom + beyond):
        if not 0 <= at < mask.shape[0] or mask[at, a + inset : b - inset].mean() > 0.25:
            return False
    return True


def _beyond(top: int, bottom: int) -> int:
    """Give how far beside a wall to look: lines along its faces make it a little thicker here and there."""
    return 4 + (bottom - top) // 10


def _ends(mask: Grey, a: int, b: int, top: int, bottom: int, times: float) -> int:
    """Give at how many sides a wall ends: it goes on behind its end, and stands free above and below.

    ``times`` says how much of its length must stand free: seen aslant, the corner of any wall is free for a little.
    """
    depth = bottom - top + 1
    inner = slice(top + depth // 4, bottom + 1 - depth // 4)
    reach, free = max(4, round(0.8 * depth)), round(times * max(3, min(8, depth // 4)))
    beyond = _beyond(top, bottom)
    if top < beyond or bottom + beyond >= len(mask):
        return 0
    count = 0
    for left, right, near in ((a - reach, a, slice(max(0, a - free), a)), (b, b + reach, slice(b, b + free))):
        if left < 0 or right > mask.shape[1] or mask[inner, left:right].mean() < 0.9:
            continue
        if mask[top - beyond, near].mean() < 0.3 and mask[bottom + beyond, near].mean() < 0.3:
            count += 1
    return count


def _is_inked(ink: Grey, a: int, b: int, top: int, bottom: int) -> bool:
    block = cv2.dilate(np.ascontiguousarray(ink[max(0, top - 2) : bottom + 3, a:b]), np.ones((2, 3), np.uint8))
    return bool(block.mean(axis=1).max() >= _INKED)
