"""The sheet made ready: ink apart from paper, light evened out, turned straight, at a size that is quick to work at."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final  # Any: the number types of the image library's stubs

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.found import TracingError

Grey = npt.NDArray[np.uint8]
Matrix = npt.NDArray[np.float64]


def exact(mask: npt.NDArray[np.integer[Any] | np.floating[Any]]) -> Grey:
    """Give what the image library returned as the bytes that it is; its stubs don't say so."""
    return np.asarray(mask, dtype=np.uint8)


WORK_PX: Final = 3_600_000
_MOST_ENLARGED: Final = 2.0
_SMALLEST_PX: Final = 40
_BAND: Final = 256  # rows
_EVEN_ENOUGH: Final = 14  # levels between the brightest and darkest paper
_SKEW_STEP_DEG: Final = 0.05
_NEAR_STEP_DEG: Final = 0.1
_NEAR_STEPS: Final = 16
_LEVEL_DEG: Final = 0.15
_SHARP_POINTS: Final = 60_000
_HALF_INKED: Final = 80  # of 255: a line of one pixel is still one at half the size


@dataclass(frozen=True)
class Prepared:
    """A sheet at working size: evenly lit and straight, its ink (1 where drawn), the way from sheet pixels and back."""

    even: Grey
    ink: Grey
    to_work: Matrix
    to_sheet: Matrix
    scale: float
    angle_deg: float

    def work(self, points: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """Turn points on the sheet (n, 2) into points of the working picture; a pixel's middle is at its number."""
        return points @ self.to_work[:, :2].T + self.to_work[:, 2]

    def sheet(self, points: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """Turn points of the working picture (n, 2) into points on the sheet."""
        return points @ self.to_sheet[:, :2].T + self.to_sheet[:, 2]


def grey_of(pixels: npt.NDArray[np.uint8]) -> Grey:
    """Give what is drawn as dark on light, from grey, RGB or RGBA pixels, whatever the colour of the paper.

    A coloured line is as dark as its darkest channel, so that yellow on white counts as drawn; on a dark paper the
    brightest channel is taken and the whole turned round.
    """
    if pixels.ndim == 2:
        grey = pixels
        return exact(cv2.bitwise_not(grey)) if _is_dark(grey) else grey
    channels = pixels[..., :3]
    if pixels.shape[2] == 4 and int(pixels[..., 3].min()) < 255:
        channels = _on_paper(pixels)
    if _is_dark(channels.max(axis=2) if channels.size < 3_000_000 else channels[::4, ::4].max(axis=2)):
        return exact(cv2.bitwise_not(_over_channels(np.maximum, channels)))
    return _over_channels(np.minimum, channels)


def _on_paper(pixels: npt.NDArray[np.uint8]) -> Grey:
    """Lay what can be seen through on white paper, a band at a time: the products take twice the bytes."""
    laid = np.empty((*pixels.shape[:2], 3), np.uint8)
    for top in range(0, len(laid), _BAND):
        band = pixels[top : top + _BAND]
        opacity = band[..., 3:4].astype(np.uint16)
        laid[top : top + _BAND] = (band[..., :3] * opacity + 255 * (255 - opacity)) // 255
    return laid


def _over_channels(chosen: np.ufunc, channels: Grey) -> Grey:
    """Give the darkest or brightest of three channels without a copy of them: a large sheet in colours is large."""
    found = chosen(channels[..., 0], channels[..., 1])
    chosen(found, channels[..., 2], out=found)
    return exact(found)


def prepare(grey: Grey, work_px: float = WORK_PX) -> Prepared:
    """Make a sheet ready: crop to what is drawn, bring to working size, part ink from paper, turn straight.

    ``work_px`` is how many pixels the working picture gets, at most; none is made up for a sheet that has fewer, but
    for twice as many along a side.

    Raises
    ------
    TracingError
        When the sheet is too small, or nothing is drawn on it.
    """
    if grey.ndim != 2 or min(grey.shape) < _SMALLEST_PX:
        raise TracingError("The picture is too small to hold a plan; use one of at least a few hundred pixels.")
    left, top, right, bottom = _drawn_box(grey)
    scale = min(math.sqrt(work_px / ((right - left) * (bottom - top))), _MOST_ENLARGED)
    part = _resized(grey[top:bottom, left:right], scale)
    even = evened(part)
    ink, paper_even = _ink(even, scale)
    angle = skew_deg(_without_frame(ink))
    height, width = even.shape
    to_part = np.array([[scale, 0.0, 0.5 * scale - 0.5 - left * scale], [0.0, scale, 0.5 * scale - 0.5 - top * scale]])
    turn, size = _turn(width, height, angle)
    if abs(angle) > _SKEW_STEP_DEG / 2:
        even = exact(cv2.warpAffine(even, turn, size, flags=cv2.INTER_LINEAR, borderValue=paper_even))
        ink, _ = _ink(even, scale)
    else:
        angle = 0.0
        turn, size = _turn(width, height, 0.0)
        edge = int(turn[0, 2])
        ink = exact(cv2.copyMakeBorder(ink, edge, edge, edge, edge, cv2.BORDER_CONSTANT, value=0))
        even = exact(cv2.copyMakeBorder(even, edge, edge, edge, edge, cv2.BORDER_CONSTANT, value=paper_even))
    to_work = turn[:, :2] @ to_part
    to_work[:, 2] += turn[:, 2]
    ink = _without_frame(ink)
    return Prepared(even, ink, to_work, inverse(to_work), scale, angle)


def inverse(matrix: Matrix) -> Matrix:
    """Give the affine map that undoes another."""
    linear = np.linalg.inv(matrix[:, :2])
    return np.hstack([linear, -(linear @ matrix[:, 2:])])


def skew_deg(ink: Grey) -> float:
    """Give by how much the straight lines of a drawing lie off the picture's own directions, −45° … 45°."""
    half = cv2.resize(ink * 255, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    shortest = max(20, max(half.shape) // 25)
    found = cv2.HoughLinesP(
        (half > _HALF_INKED).astype(np.uint8), 1, math.pi / 720, 40, minLineLength=shortest, maxLineGap=2
    )
    if found is None:
        return 0.0
    ends = found.reshape(-1, 4).astype(float)
    dx, dy = ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1]
    length = np.hypot(dx, dy)
    angle = (np.degrees(np.arctan2(dy, dx)) + 45) % 90 - 45
    bins = np.arange(-45, 45, 0.5)
    counts, _ = np.histogram(angle, bins=np.append(bins, 45), weights=np.minimum(length, shortest * 3))
    around = counts + np.roll(counts, 1) + np.roll(counts, -1)
    peak = bins[int(around.argmax())] + 0.25
    off = (angle - peak + 45) % 90 - 45
    near = np.abs(off) <= 1.0
    order = np.argsort(off[near])
    weights = np.cumsum(length[near][order])
    middle = off[near][order][int(np.searchsorted(weights, weights[-1] / 2))]
    return float(_sharpest(ink, peak + middle))


def _sharpest(ink: Grey, about_deg: float) -> float:
    """Give the turn nearest by at which edges gather most sharply into rows and columns; none, if that is as good."""
    edges = cv2.morphologyEx(ink, cv2.MORPH_GRADIENT, np.ones((2, 2), np.uint8))
    rows, columns = np.nonzero(edges)
    if len(columns) > _SHARP_POINTS:
        chosen = np.linspace(0, len(columns) - 1, _SHARP_POINTS).astype(int)
        rows, columns = rows[chosen], columns[chosen]
    # Whole numbers would gather best unturned, whatever the drawing.
    within = np.random.default_rng(0).random((2, len(columns)))
    xs, ys = columns + within[0], rows + within[1]

    def sharpness(angle_deg: float) -> float:
        cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        value = 0.0
        for along in (xs * cos + ys * sin, ys * cos - xs * sin):
            counts = np.bincount((along - along.min()).astype(int)).astype(float)
            value += float((counts**2).sum())
        return value

    def best_of(angles: Iterable[float]) -> float:
        return max(angles, key=sharpness)

    # Short lines that lean a little look level: the true lean may be well beside what most of them say.
    near = best_of(about_deg + step * _NEAR_STEP_DEG for step in range(-_NEAR_STEPS, _NEAR_STEPS + 1))
    best = best_of(near + step * _SKEW_STEP_DEG / 2 for step in range(-4, 5))
    if abs(best) < _LEVEL_DEG and sharpness(0.0) >= 0.97 * sharpness(best):
        return 0.0
    return best


def _is_dark(grey: Grey) -> bool:
    return bool(np.median(grey[:: max(1, grey.shape[0] // 400), :: max(1, grey.shape[1] // 400)]) < 100)


def _drawn_box(grey: Grey) -> tuple[int, int, int, int]:
    """Give the box (left, top, right, bottom) that holds everything drawn, with a margin."""
    height, width = grey.shape
    step = max(1, min(height, width) // 700)
    darkest = cv2.erode(grey, np.ones((step, step), np.uint8))[::step, ::step] if step > 1 else grey
    even = evened(np.ascontiguousarray(darkest))
    ink, _ = _ink(even, 1.0)
    ink = _without_frame(ink)
    ys, xs = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    margin = 3 * step + max(height, width) // 200
    return (
        max(0, int(xs[0]) * step - margin), max(0, int(ys[0]) * step - margin),
        min(width, int(xs[-1] + 1) * step + margin), min(height, int(ys[-1] + 1) * step + margin),
    )  # fmt: skip


def _without_frame(ink: Grey) -> Grey:
    """Give the ink of a sheet without the lines drawn round the whole of it."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8, ltype=cv2.CV_32S)
    is_frame = np.zeros(count, dtype=bool)
    for label in range(1, count):
        left, top, width, height, _ = stats[label]
        if width < 0.7 * ink.shape[1] or height < 0.7 * ink.shape[0]:
            continue
        part = labels[top : top + height, left : left + width] == label
        down, across = max(2, height // 20), max(2, width // 20)
        is_frame[label] = not part[down:-down, across:-across].any()
    if not is_frame.any():
        return ink
    rest = ink & (1 - is_frame.astype(np.uint8)[labels])
    ys, xs = np.flatnonzero(rest.any(axis=1)), np.flatnonzero(rest.any(axis=0))
    if not len(ys):
        return ink
    box = rest[ys[0] : ys[-1] + 1, xs[0] : xs[-1] + 1]
    edges = (box[:4].any(axis=0), box[-4:].any(axis=0), box[:, :4].any(axis=1), box[:, -4:].any(axis=1))
    # A line all round, close about another one, is the outer face of the walls.
    return ink if sum(float(edge.mean()) > 0.6 for edge in edges) >= 3 else rest


def _resized(grey: Grey, scale: float) -> Grey:
    if scale < 0.62:  # thin lines would fade
        side = max(2, round(0.5 / scale))
        grey = exact(cv2.erode(grey, np.ones((side, side), np.uint8), anchor=(side // 2, side // 2)))
    way = cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR
    return exact(cv2.resize(grey, None, fx=scale, fy=scale, interpolation=way))


def evened(grey: Grey) -> Grey:
    """Give the sheet as under even light: each pixel against the paper about it."""
    height, width = grey.shape
    small = cv2.resize(grey, (max(16, width // 8), max(16, height // 8)), interpolation=cv2.INTER_AREA)
    reach = max(3, min(small.shape) // 12) | 1
    paper = cv2.dilate(small, np.ones((reach, reach), np.uint8))
    paper = cv2.GaussianBlur(cv2.erode(paper, np.ones((reach, reach), np.uint8)), (0, 0), reach / 2)
    low, high = np.percentile(paper, (4, 96))
    if high - low < _EVEN_ENOUGH:
        return grey
    under = np.maximum(cv2.resize(paper, (width, height), interpolation=cv2.INTER_LINEAR), 32)
    return exact(cv2.divide(grey, under, scale=235))


def _ink(even: Grey, scale: float) -> tuple[Grey, int]:
    """Part ink from paper: 1 where drawn, and the level of the paper.

    Raises
    ------
    TracingError
        When nothing stands out from the paper.
    """
    counts = np.bincount(even.reshape(-1), minlength=256).astype(float)
    smooth = np.convolve(counts, np.ones(5) / 5, mode="same")
    paper = int(smooth.argmax())
    middle, _ = cv2.threshold(even, 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    below = counts[: int(min(middle, paper)) + 1]
    if paper < 60 or below.sum() < 20:
        raise TracingError("Nothing is drawn on this sheet that stands out from its paper.")
    dark = float((below * np.arange(len(below))).sum() / below.sum())
    if paper - dark < 25:
        raise TracingError("Nothing is drawn on this sheet that stands out from its paper.")
    noise = _noise(counts, paper)
    level = paper - max(0.38 * (paper - dark), min(5.0 * noise, 0.6 * (paper - dark)))
    return _sharp(even, level, paper, scale), paper


def _sharp(even: Grey, level: float, paper: int, scale: float) -> Grey:
    """Give the ink below a level; edges of lines half-way between the paper and their darkest: blur widens no line.

    Filled areas keep all their ink: a grey wall is no darker than half-way to its black edge.
    """
    ink = (even < level).astype(np.uint8)
    size = max(5, round(4.5 * scale))
    filled = exact(cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((size, size), np.uint8)))
    darkest = cv2.erode(even, np.ones((5, 5), np.uint8))
    half_way = cv2.addWeighted(darkest, 0.5, np.full_like(darkest, paper), 0.5, 0)
    return exact(filled | (ink & (even <= half_way).astype(np.uint8)))


def _noise(counts: npt.NDArray[np.float64], paper: int) -> float:
    """Give how far the paper's own levels spread: on its bright side, where no ink is."""
    above = counts[paper:]
    reach = np.arange(len(above))
    return float(math.sqrt((above * reach**2).sum() / max(above.sum(), 1.0)))


def _turn(width: int, height: int, angle_deg: float) -> tuple[Matrix, tuple[int, int]]:
    """Give the turn that undoes an angle, and the size that then holds the whole, with a free edge about it."""
    edge = 12
    turn = cv2.getRotationMatrix2D(((width - 1) / 2, (height - 1) / 2), angle_deg, 1.0).astype(np.float64)
    corners = np.array([[0, 0, 1], [width - 1, 0, 1], [0, height - 1, 1], [width - 1, height - 1, 1]], dtype=float)
    there = corners @ turn.T
    low, high = there.min(axis=0), there.max(axis=0)
    turn[:, 2] += np.round(edge - low) if angle_deg else edge - low
    size = (math.ceil(high[0] - low[0]) + 2 * edge + 1, math.ceil(high[1] - low[1]) + 2 * edge + 1)
    return turn, size
