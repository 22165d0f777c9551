"""From a room's pixels to its corners: simplified, squared where the drawing is, edges placed at full resolution."""

import math
from dataclasses import dataclass, replace
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.prepare import Grey, Prepared

Floats = npt.NDArray[np.float64]

_SQUARE_DEG: Final = 1.2
_SAMPLES: Final = 40
_SHARE_FROM: Final = 0.08  # of a side's length
_SHARE_TO: Final = 0.92
_ENOUGH_SAMPLES: Final = 20
_LEAST_SUPPORT: Final = 0.25
_LONG_PX: Final = 60
_MOST_LEAN: Final = 0.012
_IN_LINE_PX: Final = 6.0
_NEAR_LINE: Final = 0.03  # of a room's size
_MOST_TAKEN: Final = 5  # sides
_ONWARD: Final = 0.5  # the cosine of how far a side may turn and still go the same way
_CROSSING: Final = 0.2  # the sine from which on two sides cross in a corner
_LEAST_CONTRAST: Final = 0.2
_SAME_EDGE_PX: Final = 1.5
_NEAR_EDGE_PX: Final = 5.0
_REACH_PX: Final = 8.0  # a side may lie off by so much before it is placed
_LINE_PART: Final = 0.65  # of a wall's thickness: what is drawn thinner than that is a face of it
_FACE_PART: Final = 0.75  # and so much at most, on any one side
_WIDEST_FACE_PX: Final = 12.0


@dataclass(frozen=True)
class Side:
    """One side of an outline: a point on it, its direction (of length 1), its length, and how well it is borne out."""

    x: float
    y: float
    along_x: float
    along_y: float
    length: float
    support: float = 1.0

    @property
    def is_main(self) -> bool:
        """Whether it runs along a main direction, but for what the sheet leans."""
        return min(abs(self.along_x), abs(self.along_y)) <= 2 * _MOST_LEAN

    @property
    def is_square(self) -> bool:
        """Whether it runs along a main direction of the drawing."""
        return self.along_x == 0.0 or self.along_y == 0.0


def outline(
    mask: Grey, left: int, top: int, prepared: Prepared, grey: Grey, wall_px: float = 0.0
) -> tuple[Floats, float]:
    """Give the corners of a region on the sheet (n, 2), and how much of them lies along something drawn, 0 … 1.

    ``mask`` is the region, 1 inside, with a free edge of a pixel at least; ``left`` and ``top`` say where it lies in
    the working picture. ``wall_px`` is how thick its walls are there: then the faces of walls that are drawn as lines
    are told from walls that are filled, and lie in the middle of their lines.
    """
    ring = _ring(mask)
    sides = _sides(ring, math.sqrt(float(mask.sum())))
    if len(sides) < 3:
        corners = ring.astype(float)
        return prepared.sheet(corners + np.array([left, top])), 0.0
    moved = [replace(side, x=side.x + left, y=side.y + top) for side in sides]
    placed = _placed(moved, prepared, grey, wall_px)
    # Moved to where the wall is, a stretch that was out of line may be in line again.
    placed = _joined(_without_short(_joined(placed, _IN_LINE_PX), _IN_LINE_PX), _IN_LINE_PX)
    near = max(_IN_LINE_PX, min(12.0, _NEAR_LINE * math.sqrt(float(mask.sum()))))
    placed = _absorbed(_straightened(placed, near), near)
    corners = _corners(placed)
    lengths = np.array([side.length for side in placed])
    support = float((np.array([side.support for side in placed]) * lengths).sum() / lengths.sum())
    return prepared.sheet(corners), support


def _ring(mask: Grey) -> Floats:
    """Give the pixels round a region, clockwise as seen; spikes and notches of a pixel or two are taken off."""
    around = np.ones((3, 3), np.uint8)
    smooth = cv2.morphologyEx(cv2.morphologyEx(mask, cv2.MORPH_OPEN, around), cv2.MORPH_CLOSE, around)
    contours, _ = cv2.findContours(smooth, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    ring = max(contours, key=len)[:, 0, :].astype(float)
    area = float((ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1]).sum())
    return ring if area > 0 else ring[::-1]


def _sides(ring: Floats, size: float) -> list[Side]:
    """Give the sides of a ring of pixels: straight stretches, squared, those in line with one another joined."""
    coarse = max(8.0, min(12.0, 0.015 * size))
    kept = cv2.approxPolyDP(ring.astype(np.float32).reshape(-1, 1, 2), coarse, True)[:, 0, :]
    where = np.array([int(np.abs(ring - corner).sum(axis=1).argmin()) for corner in kept])
    sides = []
    for one, other in zip(where, np.roll(where, -1), strict=True):
        stretch = ring[one : other + 1] if other > one else np.concatenate([ring[one:], ring[: other + 1]])
        if len(stretch) >= 3:
            sides.append(_fitted(stretch))
    jog = max(14.0, 0.04 * size)
    return _joined(_without_short(_joined(sides, jog), jog), jog)


def _fitted(stretch: Floats) -> Side:
    """Fit a side to the pixels of a stretch, straight along a main direction when that is no worse than a hair."""
    ends = stretch[-1] - stretch[0]
    length = max(float(np.hypot(*ends)), 1e-6)
    inset = max(0, min(len(stretch) // 8, 12))
    inner = stretch[inset : len(stretch) - inset]
    across, down = abs(float(ends[0])), abs(float(ends[1]))
    lean = math.degrees(math.atan2(min(across, down), max(across, down)))
    if lean <= _SQUARE_DEG or min(across, down) <= 3.0:
        if across >= down:
            return _outward(
                float(inner[:, 0].mean()), float(np.median(inner[:, 1])), math.copysign(1.0, ends[0]), 0.0, length
            )
        return _outward(
            float(np.median(inner[:, 0])), float(inner[:, 1].mean()), 0.0, math.copysign(1.0, ends[1]), length
        )
    line = cv2.fitLine(inner.astype(np.float32), cv2.DIST_HUBER, 0, 0.01, 0.01).reshape(-1)
    vx, vy, x, y = (float(value) for value in line)
    if vx * ends[0] + vy * ends[1] < 0:
        vx, vy = -vx, -vy
    return _outward(x, y, vx, vy, length)


def _outward(x: float, y: float, vx: float, vy: float, length: float) -> Side:
    # The ring runs through the middles of the outermost pixels; the region ends half a pixel further out.
    return Side(x + 0.5 * vy, y - 0.5 * vx, vx, vy, length)


def _turn_deg(one: Side, other: Side) -> float:
    return abs(
        math.degrees(
            math.atan2(
                one.along_x * other.along_y - one.along_y * other.along_x,
                one.along_x * other.along_x + one.along_y * other.along_y,
            )
        )
    )


def _joined(sides: list[Side], jog: float) -> list[Side]:
    """Join neighbours that go the same way with hardly a step between them."""
    changed = True
    while changed and len(sides) > 3:
        changed = False
        for at, side in enumerate(sides):
            after = sides[(at + 1) % len(sides)]
            if _turn_deg(side, after) > 3.0:
                continue
            step = abs((after.x - side.x) * -side.along_y + (after.y - side.y) * side.along_x)
            if step <= jog:
                sides = _put(sides, at, 2, _merged(side, after))
                changed = True
                break
    return sides


def _without_short(sides: list[Side], jog: float) -> list[Side]:
    """Leave out sides too short to be meant, the shortest first; what lay either side of a small step becomes one."""
    while len(sides) > 4:
        at = min(range(len(sides)), key=[side.length for side in sides].__getitem__)
        if sides[at].length > jog:
            break
        before, after = sides[at - 1], sides[(at + 1) % len(sides)]
        rotated = sides[at:] + sides[:at]
        sides = [*rotated[2:-1], _merged(before, after)] if _turn_deg(before, after) <= 3.0 else rotated[1:]
    return sides


def _merged(one: Side, other: Side) -> Side:
    long, short = (one, other) if one.length >= other.length else (other, one)
    total = one.length + other.length
    if short.length < 0.35 * long.length:
        return replace(long, length=total)
    share = other.length / total
    x, y = one.x + (other.x - one.x) * share, one.y + (other.y - one.y) * share
    return replace(long, x=x, y=y, length=total)


def _absorbed(sides: list[Side], reach: float) -> list[Side]:
    """Let a squared side, the longest first, take in what follows or goes before it while it keeps close to its line.

    Where a door leaves nothing to see, an outline bulges or dents a little; so it does beside furniture.
    """
    done: set[tuple[float, float]] = set()
    while len(sides) > 4:
        left = [at for at, side in enumerate(sides) if side.is_main and (side.x, side.y) not in done]
        if not left:
            break
        at = max(left, key=lambda one: sides[one].length)
        done.add((sides[at].x, sides[at].y))
        ahead = _taken(sides[at:] + sides[:at], reach)
        sides = [sides[at], *(sides[at:] + sides[:at])[1 + ahead :]]
        behind = _taken([_reversed(side) for side in [sides[0], *sides[:0:-1]]], reach)
        sides = sides[: len(sides) - behind]
    return sides


def _straightened(sides: list[Side], reach: float) -> list[Side]:
    """Make one squared side of two that bend a little, when it goes from end to end of them along the others."""
    at = 0
    while at < len(sides) and len(sides) > 4:
        one, other = sides[at], sides[(at + 1) % len(sides)]
        corners = _corners(sides)
        start, bend, end = corners[at - 1], corners[at], corners[(at + 1) % len(sides)]
        length = float(np.hypot(*(end - start)))
        guide = next((side for side in sides if side.is_main), None)
        if guide is not None and length > reach and not (one.is_main or other.is_main):
            along = (end - start) / length
            ways = ((guide.along_x, guide.along_y), (-guide.along_y, guide.along_x))
            x, y = max(ways, key=lambda way: abs(float(along @ way)))
            sign = math.copysign(1.0, float(along @ (x, y)))
            off = abs(float(along[0] * (bend - start)[1] - along[1] * (bend - start)[0]))
            if off <= reach and abs(float(along[0] * y - along[1] * x)) <= 2 * _MOST_LEAN:
                middle = (start + end) / 2
                whole = replace(one, x=float(middle[0]), y=float(middle[1]), along_x=sign * x, along_y=sign * y)
                sides = _put(sides, at, 2, replace(whole, length=length))
                at = 0
                continue
        at += 1
    return sides


def _taken(sides: list[Side], reach: float) -> int:
    """Give how many of the sides after the first keep close to its line, going its way."""
    first = sides[0]
    corners = _corners(sides)
    best = 0
    for count in range(1, min(_MOST_TAKEN, len(sides) - 4) + 1):
        side = sides[count]
        x, y = corners[count] - (first.x, first.y)
        ahead = side.along_x * first.along_x + side.along_y * first.along_y
        if abs(-first.along_y * x + first.along_x * y) > reach or (ahead < _ONWARD and side.length > 1.5 * reach):
            break
        after = sides[count + 1]
        if abs(first.along_x * after.along_y - first.along_y * after.along_x) > _CROSSING:
            best = count
    return best


def _reversed(side: Side) -> Side:
    return replace(side, along_x=-side.along_x, along_y=-side.along_y)


def _put(sides: list[Side], at: int, count: int, side: Side) -> list[Side]:
    rotated = sides[at:] + sides[:at]
    return [side, *rotated[count:]]


def _placed(sides: list[Side], prepared: Prepared, grey: Grey, wall_px: float) -> list[Side]:
    """Move each side to where the wall's edge lies on the sheet itself: what most samples along it say."""
    corners = _corners(sides)
    step = 0.5 * prepared.scale if prepared.scale < 1 else 0.5
    steps = np.arange(-_REACH_PX, _REACH_PX + min(_FACE_PART * wall_px, _WIDEST_FACE_PX) + step, step)
    near = int((steps <= _REACH_PX + step / 2).sum())
    maps, centred = [], []
    for at, side in enumerate(sides):
        start, end = corners[at - 1], corners[at]
        along = np.array([side.along_x, side.along_y])
        middle = (start + end) / 2
        middle = np.array([side.x, side.y]) + along * float((middle - (side.x, side.y)) @ along)
        length = float((end - start) @ along)
        side = replace(side, x=float(middle[0]), y=float(middle[1]), length=abs(length))
        centred.append(side)
        points = middle + along * (np.linspace(_SHARE_FROM, _SHARE_TO, _SAMPLES) - 0.5)[:, None] * side.length
        normal = np.array([side.along_y, -side.along_x])
        maps.append(prepared.sheet((points[:, None, :] + normal * steps[None, :, None]).reshape(-1, 2)))
    where = np.concatenate(maps).reshape(len(sides) * _SAMPLES, len(steps), 2).astype(np.float32)
    seen = cv2.remap(grey, where[..., 0], where[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE).astype(
        float
    )
    contrast = max(30.0, float(seen[:, :near].max() - seen[:, :near].min()))
    profiles = seen.reshape(-1, len(steps))
    offsets = _crossings(profiles[:, :near], steps[:near], contrast)
    widths = _widths(profiles, steps, near, offsets).reshape(len(sides), _SAMPLES)
    offsets = offsets.reshape(len(sides), _SAMPLES)
    lean = _common_lean(centred, offsets)
    moved = [_moved(side, row, wide, lean) for side, row, wide in zip(centred, offsets, widths, strict=True)]
    faces = [wide for _, wide in moved if math.isfinite(wide)]
    if 2 * len(faces) < len(sides) or float(np.median(faces)) > _LINE_PART * wall_px:
        return [side for side, _ in moved]
    return [_outwards(side, wide / 2) if wide <= _FACE_PART * wall_px else side for side, wide in moved]


def _outwards(side: Side, far_px: float) -> Side:
    return replace(side, x=side.x + side.along_y * far_px, y=side.y - side.along_x * far_px)


def _widths(profiles: Floats, steps: Floats, near: int, offsets: Floats) -> Floats:
    """Give how wide what is dark is where each profile falls; infinite where it doesn't rise again, nan without one."""
    within = profiles[:, :near]
    half = ((within.max(axis=1) + within.min(axis=1)) / 2)[:, None]
    rises = (profiles[:, :-1] < half) & (profiles[:, 1:] >= half) & (steps[None, 1:] > offsets[:, None])
    gain = np.where(rises, profiles[:, 1:] - profiles[:, :-1], 1.0)
    place = steps[:-1] + (steps[1:] - steps[:-1]) * np.where(rises, (half - profiles[:, :-1]) / gain, 0)
    first = rises.argmax(axis=1)
    rows = np.arange(len(profiles))
    found = np.where(rises.any(axis=1), place[rows, first] - offsets, np.inf)
    return np.where(np.isfinite(offsets), found, np.nan)


def _common_lean(sides: list[Side], offsets: Floats) -> float:
    """Give the slope that the squared sides have in common against where the sheet was turned to; 0 when too few say.

    A sheet is turned straight as a whole, to within a few tenths of a degree; each room's own walls say it better.
    """
    slopes, weights = [], []
    for side, row in zip(sides, offsets, strict=True):
        known = np.flatnonzero(np.isfinite(row))
        if not side.is_square or len(known) < _ENOUGH_SAMPLES or side.length < _LONG_PX:
            continue
        one, other = np.triu_indices(len(known), len(known) // 3)
        run = (known[other] - known[one]) * side.length * (_SHARE_TO - _SHARE_FROM) / (_SAMPLES - 1)
        slopes.append(float(np.median((row[known[other]] - row[known[one]]) / run)))
        weights.append(side.length * len(known))
    if len(slopes) < 2:
        return 0.0
    order = np.argsort(slopes)
    summed = np.cumsum(np.array(weights)[order])
    slope = slopes[order[int(np.searchsorted(summed, summed[-1] / 2))]]
    return slope if abs(slope) <= _MOST_LEAN else 0.0


def _moved(side: Side, offsets: Floats, widths: Floats, lean: float) -> tuple[Side, float]:
    """Move a side to where its wall's edge was seen, and turn it by what all squared sides lean.

    Gives also how wide what is dark is there: infinite for a filled wall, nan where nothing is drawn.
    """
    known = np.isfinite(offsets)
    support = min(1.0, float(known.sum()) / _SAMPLES)
    run = (np.linspace(_SHARE_FROM, _SHARE_TO, _SAMPLES) - 0.5) * side.length
    slope = lean if side.is_square else 0.0
    level = offsets - slope * run
    shift, wide = 0.0, math.nan
    if support >= _LEAST_SUPPORT:
        shift = _nearest_edge(level[known])
        wide = float(np.median(widths[known & (np.abs(level - shift) <= _SAME_EDGE_PX)]))
    size = math.hypot(1.0, slope)
    turned = replace(
        side,
        x=side.x + side.along_y * shift,
        y=side.y - side.along_x * shift,
        along_x=(side.along_x + slope * side.along_y) / size,
        along_y=(side.along_y - slope * side.along_x) / size,
        support=support,
    )
    return turned, wide


def _nearest_edge(offsets: Floats) -> float:
    """Give where most samples agree on an edge, the nearer the better: beside a door a wall's far face is seen too."""
    agree = (np.abs(offsets[:, None] - offsets[None, :]) <= _SAME_EDGE_PX).sum(axis=1)
    best = offsets[int((agree * np.exp(-((offsets / _NEAR_EDGE_PX) ** 2))).argmax())]
    return float(np.median(offsets[np.abs(offsets - best) <= _SAME_EDGE_PX]))


def _crossings(block: Floats, steps: Floats, contrast: float) -> Floats:
    """Give for each profile, from inside out, where it falls half-way to its darkest, nearest to where the side is.

    nan where nothing is dark.
    """
    bright, dark = block.max(axis=1), block.min(axis=1)
    half = ((bright + dark) / 2)[:, None]
    falls = (block[:, :-1] >= half) & (block[:, 1:] < half)
    falls &= (bright - dark >= _LEAST_CONTRAST * contrast)[:, None]
    drop = np.where(falls, block[:, :-1] - block[:, 1:], 1.0)
    place = steps[:-1] + (steps[1:] - steps[:-1]) * np.where(falls, (block[:, :-1] - half) / np.maximum(drop, 1e-6), 0)
    off = np.where(falls, np.abs(place), np.inf)
    nearest = off.argmin(axis=1)
    rows = np.arange(len(block))
    return np.where(falls.any(axis=1), place[rows, nearest], np.nan)


def _corners(sides: list[Side]) -> Floats:
    """Give where each side meets the next; between two that run alike the step is squared off at its middle."""
    corners: list[tuple[float, float]] = []
    for one, other in zip(sides, sides[1:] + sides[:1], strict=True):
        cross = one.along_x * other.along_y - one.along_y * other.along_x
        if abs(cross) < 0.05:
            # A corner for each would be two; this keeps the count of corners that of sides.
            corners.append(((one.x + other.x) / 2, (one.y + other.y) / 2))
            continue
        along = ((other.x - one.x) * other.along_y - (other.y - one.y) * other.along_x) / cross
        corners.append((one.x + one.along_x * along, one.y + one.along_y * along))
    return np.array(corners)
