"""Openings in the walls of a room: where what is drawn across a wall differs from the wall on either side."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.borders import Labels
from circuitmap.plan.tracing.found import Opening, OpeningKind
from circuitmap.plan.tracing.prepare import Grey

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Whole = npt.NDArray[np.int64]

_THICKEST_PART: Final = 1 / 20  # of the drawing's longer side
_FACE_PX: Final = 3  # what is drawn so near to where a wall's face must be counts as the face
_SOLID: Final = 0.72  # of a wall's thickness is inked where it is filled
_HOLE: Final = 0.45
_MENDED_PX: Final = 3
_LEAST_FACE: Final = 0.12  # of a stretch of wall: the rest may be a wide door
_NARROWEST: Final = 0.7  # of the wall's thickness
_NARROWEST_PX: Final = 10
_WIDEST_PART: Final = 1 / 3
_INKED: Final = 0.72  # of an opening's width, along one row


@dataclass(frozen=True)
class _Wall:
    """A stretch of the wall along one side of a room, unrolled: a row for each pixel across it, from its face on."""

    ink: Flags
    first: int
    last: int
    depth: int


def openings_of(corners: Floats, number: int, rooms: Labels, ink: Grey) -> tuple[Opening, ...]:
    """Give the openings in the walls round a room.

    Parameters
    ----------
    corners
        The room's corners (n, 2) in the working picture, clockwise as seen.
    number
        Its number in ``rooms``; 0 when it has none.
    rooms
        Which room each pixel is in.
    ink
        1 where something is drawn.
    """
    found: list[Opening] = []
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        length = float(np.hypot(*(end - start)))
        if length < 2 * _NARROWEST_PX:
            continue
        along = (end - start) / length
        outward = np.array([along[1], -along[0]])
        found += _in_side(start, along, outward, round(length), number, rooms, ink)
    return tuple(found)


def _in_side(
    start: Floats, along: Floats, outward: Floats, length: int, number: int, rooms: Labels, ink: Grey
) -> Iterator[Opening]:
    thickest = round(max(rooms.shape) * _THICKEST_PART)
    # Corners lie between pixels: the middle of the first pixel of the wall is half a pixel out.
    steps = np.arange(length) + 0.5
    deep = np.arange(-_FACE_PX, thickest + _FACE_PX + 1) + 0.5
    where = start + deep[:, None, None] * outward + steps[None, :, None] * along
    mapped = where.astype(np.float32)
    seen = cv2.remap(ink, mapped[..., 0], mapped[..., 1], cv2.INTER_NEAREST, borderValue=0) > 0
    whose = cv2.remap(rooms.astype(np.float32), mapped[..., 0], mapped[..., 1], cv2.INTER_NEAREST, borderValue=0)
    behind = np.asarray(whose, dtype=np.int32)
    for wall in _stretches(seen, behind, number):
        for first, last, kind in _gaps(wall, max(rooms.shape)):
            middle = start + outward * wall.depth / 2
            a = middle + along * (wall.first + first)
            b = middle + along * (wall.first + last)
            ends = (float(a[0]), float(a[1])), (float(b[0]), float(b[1]))
            yield Opening(*ends, float(last - first), float(wall.depth), kind)


def _stretches(seen: Flags, whose: Labels, number: int) -> Iterator[_Wall]:
    """Part a side by what lies behind its wall: another room, or nothing."""
    beyond = (whose[_FACE_PX + 1 :] > 0) & (whose[_FACE_PX + 1 :] != number)
    depth = np.where(beyond.any(axis=0), beyond.argmax(axis=0) + 1, 0)
    # Small steps belong to doors and mouldings, not to another wall.
    smooth = depth.copy()
    edges = np.flatnonzero(np.abs(np.diff(smooth)) > 2) + 1
    for first, last in zip([0, *edges], [*edges, seen.shape[1]], strict=True):
        if last - first < 2 * _NARROWEST_PX:
            continue
        thick = int(np.median(smooth[first:last]))
        part = seen[:, first:last]
        thick = thick or _outer_depth(part)
        if thick >= 3:
            yield _Wall(part[: thick + 2 * _FACE_PX], int(first), int(last), thick)


def _outer_depth(part: Flags) -> int:
    """Give how thick a wall is that has nothing behind it: to its last face along most of it; 0 when none is seen."""
    covered = part[_FACE_PX:].mean(axis=1)
    face = float(part[: 2 * _FACE_PX].mean(axis=1).max())
    if face < _LEAST_FACE:
        return 0
    strong = covered > 0.5 * face
    after = 4
    while after < len(covered) - 4:
        ahead = covered[after + 1 : after + 1 + max(4, after // 3)]
        if strong[after] and ahead.max(initial=0.0) < 0.3 * face:
            return after + 1
        after += 1
    return 0


def _gaps(wall: _Wall, side: int) -> Iterator[tuple[int, int, OpeningKind]]:
    """Give from where to where a wall has openings, and whether lines run along them."""
    inner = wall.ink[_FACE_PX + 1 : _FACE_PX + wall.depth - 1]
    near = wall.ink[: 2 * _FACE_PX].any(axis=0)
    far = wall.ink[wall.depth : wall.depth + 2 * _FACE_PX].any(axis=0)
    filled = inner.mean(axis=0) if len(inner) else np.zeros(wall.ink.shape[1])
    reach = round(max(_NARROWEST_PX, _NARROWEST * wall.depth))
    walled = filled[near | far]
    if len(walled) and np.median(walled) > _SOLID:
        open_here = filled < _HOLE
    else:
        lines = _along(inner, reach) if len(inner) > 4 else np.zeros(wall.ink.shape[1], bool)
        open_here = (~near & ~far) | lines
    for first, last in _runs(_mended(open_here)):
        if not reach <= last - first <= side * _WIDEST_PART:
            continue
        block = wall.ink[:, first:last]
        rows = cv2.dilate(block.astype(np.uint8), np.ones((2, 3), np.uint8)).mean(axis=1)
        yield first, last, "inked" if rows.max(initial=0.0) >= _INKED else "opening"


def _along(inner: Flags, reach: int) -> Flags:
    """Tell where a line runs along inside a hollow wall, as the panes of a window do."""
    core = inner[2:-2].astype(np.uint8)
    if not len(core):
        return np.zeros(inner.shape[1], bool)
    lines = cv2.morphologyEx(cv2.dilate(core, np.ones((2, 1), np.uint8)), cv2.MORPH_OPEN, np.ones((1, reach), np.uint8))
    return np.asarray(lines.any(axis=0))


def _mended(flags: Flags) -> Flags:
    row = np.pad(flags.astype(np.uint8), _MENDED_PX)[None]
    closed = cv2.morphologyEx(row, cv2.MORPH_CLOSE, np.ones((1, 2 * _MENDED_PX + 1), np.uint8))
    opened = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((1, _MENDED_PX), np.uint8))
    return np.asarray(opened[0, _MENDED_PX:-_MENDED_PX] > 0)


def _runs(flags: Flags) -> Iterator[tuple[int, int]]:
    change = np.diff(np.concatenate([[0], flags.astype(np.int8), [0]]))
    yield from zip(np.flatnonzero(change == 1).tolist(), np.flatnonzero(change == -1).tolist(), strict=True)
