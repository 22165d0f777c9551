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
_LEAST_CONTRAST: Final = 0.2


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
    def offset(self) -> float:
        """How far the line lies from the origin, to its left."""
        return self.x * -self.along_y + self.y * self.along_x


def outline(mask: Grey, left: int, top: int, prepared: Prepared, grey: Grey, line_px: float) -> tuple[Floats, float]:
    """Give the corners of a region on the sheet (n, 2), and how much of them lies along something drawn, 0 … 1.

    ``mask`` is the region, 1 inside, with a free edge of a pixel at least; ``left`` and ``top`` say where it lies in
    the working picture.
    """
    ring = _ring(mask)
    sides = _sides(ring, math.sqrt(float(mask.sum())))
    if len(sides) < 3:
        corners = ring.astype(float)
        return prepared.sheet(corners + np.array([left, top])), 0.0
    moved = [replace(side, x=side.x + left, y=side.y + top) for side in sides]
    placed = _placed(moved, prepared, grey, line_px)
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
    coarse = max(2.0, min(5.0, 0.008 * size))
    kept = cv2.approxPolyDP(ring.astype(np.float32).reshape(-1, 1, 2), coarse, True)[:, 0, :]
    where = np.array([int(np.abs(ring - corner).sum(axis=1).argmin()) for corner in kept])
    sides = []
    for one, other in zip(where, np.roll(where, -1), strict=True):
        stretch = ring[one : other + 1] if other > one else np.concatenate([ring[one:], ring[: other + 1]])
        if len(stretch) >= 3:
            sides.append(_fitted(stretch))
    jog = max(6.0, 0.02 * size)
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


def _put(sides: list[Side], at: int, count: int, side: Side) -> list[Side]:
    rotated = sides[at:] + sides[:at]
    return [side, *rotated[count:]]


def _placed(sides: list[Side], prepared: Prepared, grey: Grey, line_px: float) -> list[Side]:
    """Move each side to where the wall's edge lies on the sheet itself: the median over samples along it."""
    corners = _corners(sides)
    reach = max(2.5, 0.75 * line_px + 1.5)
    step = 0.5 * prepared.scale if prepared.scale < 1 else 0.5
    steps = np.arange(-reach, reach + step, step)
    maps = []
    for at, side in enumerate(sides):
        start, end = corners[at - 1], corners[at]
        share = np.linspace(0.08, 0.92, _SAMPLES)[:, None]
        points = start + (end - start) * share
        normal = np.array([side.along_y, -side.along_x])
        maps.append(prepared.sheet((points[:, None, :] + normal * steps[None, :, None]).reshape(-1, 2)))
    where = np.concatenate(maps).reshape(len(sides) * _SAMPLES, len(steps), 2).astype(np.float32)
    seen = cv2.remap(grey, where[..., 0], where[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE).astype(
        float
    )
    contrast = max(30.0, float(seen.max() - seen.min()))
    placed = []
    for at, side in enumerate(sides):
        block = seen[at * _SAMPLES : (at + 1) * _SAMPLES]
        offsets = _crossings(block, steps, contrast)
        found = offsets[np.isfinite(offsets)]
        if len(found) < 0.25 * _SAMPLES:
            placed.append(replace(side, support=len(found) / _SAMPLES))
            continue
        shift = float(np.median(found))
        placed.append(
            replace(
                side,
                x=side.x + side.along_y * shift,
                y=side.y - side.along_x * shift,
                support=min(1.0, len(found) / _SAMPLES),
            )
        )
    return placed


def _crossings(block: Floats, steps: Floats, contrast: float) -> Floats:
    """Give for each profile, from inside out, where it falls half-way to its darkest; nan where nothing is dark."""
    bright = np.maximum.accumulate(block, axis=1)[:, -1]
    dark = block.min(axis=1)
    half = (bright + dark) / 2
    below = block < half[:, None]
    first = below.argmax(axis=1)
    offsets = np.full(len(block), np.nan)
    for row in np.flatnonzero((bright - dark >= _LEAST_CONTRAST * contrast) & (first > 0)):
        at = first[row]
        high, low = block[row, at - 1], block[row, at]
        offsets[row] = steps[at - 1] + (steps[at] - steps[at - 1]) * (high - half[row]) / max(high - low, 1e-6)
    return offsets


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
