"""How near the outlines found in a drawing come to the rooms that are there."""

import math
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from random import Random
from typing import Final, Protocol

import numpy as np
import numpy.typing as npt
from shapely import Point, Polygon
from shapely.validation import make_valid

from circuitmap.errors import PersonError
from tests.plans.drawn import Drawn, draw_plan
from tests.plans.drawn_ink import Grey
from tests.plans.drawn_style import Style

NEAR: Final = 0.02  # of the room's width: within this a corner counts as found

Corners = npt.NDArray[np.float64]


class Outline(Protocol):
    """What a click gives."""

    @property
    def corners_px(self) -> Sequence[tuple[float, float]]: ...


class Analysed(Protocol):
    """A sheet after its analysis."""

    def room_at(self, x_px: float, y_px: float) -> Outline: ...


Analyse = Callable[[Grey], Analysed]


@dataclass(frozen=True, slots=True)
class RoomRow:
    """One click: what came of it. ``near_short``: true corners found within 2 % of the room's shorter side."""

    seed: int
    name: str
    click_px: tuple[float, float]
    truth: Corners
    found: Corners | None
    said: str
    iou: float
    near_short: int
    near_long: int
    click_s: float

    @property
    def corners(self) -> int:
        return len(self.truth)


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One drawing: its style, how long its analysis took, and its rooms."""

    seed: int
    style: Style
    megapixels: float
    px_per_m: float
    analysis_s: float
    rooms: tuple[RoomRow, ...]


def _floor(corners: Sequence[tuple[float, float]] | Corners) -> Polygon:
    shape = Polygon(corners)
    return shape if shape.is_valid else make_valid(shape)


def iou(a: Sequence[tuple[float, float]] | Corners, b: Sequence[tuple[float, float]] | Corners) -> float:
    """The area two outlines share over the area they cover together, 0 … 1."""
    if len(a) < 3 or len(b) < 3:
        return 0.0
    first, second = _floor(a), _floor(b)
    together = float(first.union(second).area)
    return float(first.intersection(second).area) / together if together else 0.0


def sides(corners: Corners) -> tuple[float, float]:
    """The shorter and the longer side of the smallest rectangle about a room."""
    ring = list(_floor(corners).minimum_rotated_rectangle.exterior.coords)
    a, b = math.dist(ring[0], ring[1]), math.dist(ring[1], ring[2])
    return min(a, b), max(a, b)


def corner_errors(truth: Corners, found: Corners | None) -> npt.NDArray[np.float64]:
    """The distance from each true corner to the nearest found one, in px; infinite where nothing was found."""
    if found is None or len(found) == 0:
        return np.full(len(truth), np.inf)
    gaps = truth[:, None, :] - found[None, :, :]
    nearest: npt.NDArray[np.float64] = np.sqrt((gaps**2).sum(axis=2)).min(axis=1)
    return nearest


def click_into(drawn: Drawn, corners: Corners, rng: Random, is_anywhere: bool) -> tuple[float, float]:
    """A place to click in a room: well inside it, or ``is_anywhere`` but a hand from its walls, furniture or not."""
    floor = Polygon(corners)
    if is_anywhere:
        inner = floor.buffer(-0.2 * drawn.px_per_m)
        x0, y0, x1, y1 = floor.bounds
        for _ in range(200):
            x, y = rng.uniform(x0, x1), rng.uniform(y0, y1)
            if inner.contains(Point(x, y)):
                return x, y
    middle = floor.buffer(-0.2 * drawn.px_per_m).representative_point()
    return float(middle.x), float(middle.y)


def click(sheet: Analysed, seed: int, name: str, place: tuple[float, float], truth: Corners) -> RoomRow:
    """Click once and hold what comes against the truth."""
    began = time.perf_counter()
    found: Corners | None = None
    said = ""
    try:
        found = np.asarray(sheet.room_at(*place).corners_px, dtype=float).reshape(-1, 2)
    except PersonError as reason:
        said = str(reason)
    took_s = time.perf_counter() - began
    errors = corner_errors(truth, found)
    short, long = sides(truth)
    near_short, near_long = int((errors <= NEAR * short).sum()), int((errors <= NEAR * long).sum())
    overlap = 0.0 if found is None else iou(truth, found)
    return RoomRow(seed, name, place, truth, found, said, overlap, near_short, near_long, took_s)


def measure_one(analyse: Analyse, seed: int, style: Style | None = None) -> SheetRow:
    """Draw the plan of a seed, analyse it, and click into every room; every fourth seed clicks anywhere in them."""
    drawn = draw_plan(seed, style)
    began = time.perf_counter()
    said = ""
    sheet: Analysed | None = None
    try:
        sheet = analyse(drawn.grey)
    except PersonError as reason:
        said = str(reason)
    took_s = time.perf_counter() - began
    rng = Random(f"clicks {seed}")
    rows = []
    for room in drawn.rooms:
        place = click_into(drawn, room.corners_px, rng, seed % 4 == 0)
        if sheet is None:
            rows.append(RoomRow(seed, room.name, place, room.corners_px, None, said, 0.0, 0, 0, 0.0))
        else:
            rows.append(click(sheet, seed, room.name, place, room.corners_px))
    return SheetRow(seed, drawn.style, drawn.grey.size / 1e6, drawn.px_per_m, took_s, tuple(rows))


def measure(analyse: Analyse, seeds: Iterable[int], style: Style | None = None) -> Iterator[SheetRow]:
    """One row a drawing, as they come."""
    for seed in seeds:
        yield measure_one(analyse, seed, style)
