"""Snapping while a room is drawn: to what is there already, to right angles, to whole centimetres.

A snapped spot snaps to itself. What won is told in a word, so that the hand learns what the pointer is doing.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Room
from circuitmap.plan.outlines import Corner, tidy_outline

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from circuitmap.plan.line_snap import LineSnap, SheetLines

GRID_MM: Final = 10

# Lines closer to parallel than this meet too far away to be meant.
_PARALLEL: Final = 0.05


@dataclass(frozen=True)
class Snapped:
    """Where a corner goes, why in a word ("" when only the grid spoke), and what of the sheet's lines it goes to."""

    x_mm: int
    y_mm: int
    why: str
    on: "LineSnap | None" = None


@dataclass(frozen=True)
class _Line:
    x: float
    y: float
    along_x: float
    along_y: float
    why: str
    counted: bool = False  # whether whole steps of the grid are counted along it

    def off(self, x: float, y: float) -> float:
        return abs((x - self.x) * self.along_y - (y - self.y) * self.along_x)

    def foot(self, x: float, y: float, grid_mm: int) -> tuple[float, float]:
        along = (x - self.x) * self.along_x + (y - self.y) * self.along_y
        if self.counted:
            along = round(along / grid_mm) * grid_mm
        return self.x + along * self.along_x, self.y + along * self.along_y


class Snapper:
    """The corners and edges of a storey, laid out to snap to. A value: never changed."""

    def __init__(self, rooms: Iterable[Room] = (), lines: Iterable[tuple[Corner, Corner]] = ()) -> None:
        import numpy as np

        edges: list[tuple[int, int, int, int]] = [(*a, *b) for a, b in lines if a != b]
        for room in rooms:
            outline = tidy_outline(room.outline_mm)
            if len(outline) > 1:
                edges += [(*a, *b) for a, b in pairwise((*outline, outline[0]))]
        table: NDArray[np.float64] = np.array(edges, dtype=float).reshape(-1, 4)
        self._corners = np.concatenate([table[:, :2], table[:, 2:]])
        self._starts = table[:, :2]
        self._runs = table[:, 2:] - table[:, :2]
        self._squares = np.maximum((self._runs**2).sum(axis=1), 1e-12)

    def snap(
        self,
        x_mm: float,
        y_mm: float,
        drawn: Sequence[Corner] = (),
        *,
        tolerance_mm: float = 150.0,
        grid_mm: int = GRID_MM,
        square: bool = True,
        sheet: "SheetLines | None" = None,
    ) -> Snapped:
        """Give the spot that a corner at the pointer should go to.

        In order of precedence: closing on the first corner; a corner that is there; an end or a crossing in the sheet's
        line work; where two lines cross; the line at a right angle to (or straight on from) the last side; in line with
        the first corner; an edge or a line of the sheet, whichever is nearer; the grid.

        Parameters
        ----------
        x_mm, y_mm
            The pointer on the plan.
        drawn
            The corners of the outline being drawn, first to last.
        tolerance_mm
            How near is near: some pixels of the screen, as millimetres of the plan.
        grid_mm
            The step of the grid.
        square
            False while the person holds right angles off.
        sheet
            The line work of the sheet under the storey, where there is any and it is not held off.
        """
        lines = _lines(drawn) if square else []
        trail: list[Snapped] = []
        snapped = self._once(x_mm, y_mm, drawn, lines, tolerance_mm, grid_mm, sheet)
        # One snap can bring the next within reach (the grid moves a spot nearer to a corner): go on until it rests.
        while snapped not in trail:
            trail.append(snapped)
            snapped = self._once(snapped.x_mm, snapped.y_mm, drawn, lines, tolerance_mm, grid_mm, sheet)
        # It rests, or goes round between spots a millimetre apart: then it always rests on the same one of them.
        return min(trail[trail.index(snapped) :], key=lambda each: (each.x_mm, each.y_mm, each.why))

    def _once(
        self,
        x: float,
        y: float,
        drawn: Sequence[Corner],
        lines: list[_Line],
        tolerance_mm: float,
        grid_mm: int,
        sheet: "SheetLines | None",
    ) -> Snapped:
        if len(drawn) >= 3 and math.dist((x, y), drawn[0]) <= tolerance_mm:
            return Snapped(*drawn[0], "close the outline")
        corner = self._corner(x, y, tolerance_mm)
        if corner is not None and corner not in drawn[-1:]:
            return Snapped(*corner, "corner")
        on = sheet.snap(x, y, tolerance_mm) if sheet is not None else None
        if on is not None and on.kind != "line":
            spot = round(on.x_mm), round(on.y_mm)
            if spot not in drawn[-1:]:
                return Snapped(*spot, on.why, on)
            on = None
        near = [line for line in lines if line.off(x, y) <= tolerance_mm]
        edge = self._edge(x, y, tolerance_mm)
        if on is not None and (edge is None or edge.off(x, y) > math.dist((x, y), (on.x_mm, on.y_mm))):
            edge = _Line(on.x_mm, on.y_mm, *on.along, on.why)
        else:
            on = None
        if edge is not None:
            near.append(edge)
        if not near:
            return Snapped(_to_grid(x, grid_mm), _to_grid(y, grid_mm), "")
        first = near[0]
        for second in near[1:]:
            crossing = _crossing(first, second)
            # Lines through the last corner cross there, which is no new corner.
            if crossing is None or (drawn and math.dist(crossing, drawn[-1]) < 1):
                continue
            if math.dist(crossing, (x, y)) <= 2 * tolerance_mm:
                to = round(crossing[0]), round(crossing[1])
                return Snapped(*to, _both(first.why, second.why), on if edge in (first, second) else None)
        foot_x, foot_y = first.foot(x, y, grid_mm)
        if first is edge:
            # Along an edge that runs with the grid the other way keeps to whole centimetres.
            foot_x = _to_grid(foot_x, grid_mm) if edge.along_y == 0 else foot_x
            foot_y = _to_grid(foot_y, grid_mm) if edge.along_x == 0 else foot_y
        return Snapped(round(foot_x), round(foot_y), first.why, on if first is edge else None)

    def _corner(self, x: float, y: float, tolerance_mm: float) -> tuple[int, int] | None:
        if not len(self._corners):
            return None
        away = ((self._corners - (x, y)) ** 2).sum(axis=1)
        nearest = int(away.argmin())
        if away[nearest] > tolerance_mm**2:
            return None
        return int(self._corners[nearest, 0]), int(self._corners[nearest, 1])

    def _edge(self, x: float, y: float, tolerance_mm: float) -> _Line | None:
        if not len(self._starts):
            return None
        import numpy as np

        to_spot = (x, y) - self._starts
        share = np.clip((to_spot * self._runs).sum(axis=1) / self._squares, 0, 1)
        away = ((to_spot - share[:, None] * self._runs) ** 2).sum(axis=1)
        nearest = int(away.argmin())
        if away[nearest] > tolerance_mm**2:
            return None
        start_x, start_y = self._starts[nearest].tolist()
        run_x, run_y = self._runs[nearest].tolist()
        length = math.hypot(run_x, run_y)
        return _Line(start_x, start_y, run_x / length, run_y / length, "edge")


def snap(
    x_mm: float,
    y_mm: float,
    rooms: Iterable[Room] = (),
    drawn: Sequence[Corner] = (),
    *,
    tolerance_mm: float = 150.0,
) -> Snapped:
    """Snap one spot among some rooms; while drawing keep a ``Snapper``."""
    return Snapper(rooms).snap(x_mm, y_mm, drawn, tolerance_mm=tolerance_mm)


def _lines(drawn: Sequence[Corner]) -> list[_Line]:
    """Give the lines that the next corner may lie on, the most wanted first."""
    if not drawn:
        return []
    corners = tidy_outline(drawn)
    last = corners[-1]
    if len(corners) < 2:
        return [_through(last, (1.0, 0.0), "level", counted=True), _through(last, (0.0, 1.0), "upright", counted=True)]
    along = _direction(corners[-2], last)
    across = (-along[1], along[0])
    lines = [_through(last, across, "right angle", counted=True), _through(last, along, "straight on", counted=True)]
    first = corners[0]
    along = _direction(first, corners[1])
    across = (-along[1], along[0])
    lines += [_through(first, across, "in line with the start"), _through(first, along, "in line with the start")]
    return lines


def _through(at: Corner, along: tuple[float, float], why: str, *, counted: bool = False) -> _Line:
    return _Line(*at, *along, why, counted)


def _direction(a: Corner, b: Corner) -> tuple[float, float]:
    length = math.dist(a, b)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def _crossing(one: _Line, other: _Line) -> tuple[float, float] | None:
    turn = one.along_x * other.along_y - one.along_y * other.along_x
    if abs(turn) < _PARALLEL:
        return None
    along = ((other.x - one.x) * other.along_y - (other.y - one.y) * other.along_x) / turn
    return one.x + along * one.along_x, one.y + along * one.along_y


def _both(why: str, also: str) -> str:
    return why if also == why else f"{why}, {also}"


def _to_grid(value: float, grid_mm: int) -> int:
    return round(value / grid_mm) * grid_mm
