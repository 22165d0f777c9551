"""Where the rooms of an invented storey lie: flats along a corridor, shafts, lifts and stairs, everything in metres.

Only the network is taught with these; what tracing is measured by is in ``drawn_layout``.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from random import Random
from typing import Final

import shapely
from shapely import LineString, Polygon, affinity, box
from shapely.ops import unary_union

from tests.plans.drawn_layout import Layout, Part, Space, band, segments, shared_lines

COMMON: Final = -1  # the flat that corridors, lifts and stairs belong to
SHAFT: Final = "shaft"
PILLAR: Final = "pillar"
TRIES: Final = 80
_LEAST_ROOM_M2: Final = 0.7
_LEAST_SIDE_M: Final = 0.55
_GRID_M: Final = 1e-3  # corners lie on it, so that neighbours share theirs exactly
_WET: Final = ("bath", "shower", "bath")


@dataclass(frozen=True, slots=True)
class Cell:
    """A room or a shaft up to the middle of its walls, and the flat it is in."""

    use: str
    shape: Polygon
    flat: int


@dataclass(frozen=True, slots=True)
class Thick:
    """How thick walls are, in metres: outside, between flats, within one."""

    outer_m: float
    main_m: float
    inner_m: float


@dataclass(frozen=True, slots=True)
class Storey:
    """Rooms and walls of a storey: the layout's rooms with the flat of each, shafts, and walls that part flats."""

    layout: Layout
    flats: tuple[int, ...]
    shafts: tuple[Polygon, ...]
    main_walls: Polygon


def lay_out_flats(rng: Random, thick: Thick, length_m: float | None = None) -> Storey:
    """A piece of a storey, flats along a corridor of some length; tried again until every room is one."""
    for _ in range(TRIES):
        cells = [replace(cell, shape=_on_grid(cell.shape)) for cell in _cells(rng, length_m)]
        storey = _with_walls(cells, thick)
        if storey is not None:
            return storey
    raise RuntimeError("no storey could be laid out")  # the tries are many times what any seed needs


def _on_grid(shape: Polygon) -> Polygon:
    return shapely.set_precision(shapely.set_precision(shape, _GRID_M), 0.0)


def _cells(rng: Random, length_m: float | None) -> list[Cell]:
    passage_m = rng.uniform(1.15, 2.3)
    length_m = length_m or rng.uniform(9.0, 20.0)
    deep_m = rng.uniform(5.2, 7.8)
    cells: list[Cell] = []
    core = rng.choice([0, 1, 2])  # on which side lifts and stairs are, if they are in this piece
    lobby: list[Polygon] = []
    for side in (0, 1) if rng.random() < 0.8 else (0,):
        x = rng.choice([0.0, 0.0, rng.uniform(0.3, 1.5)])
        while length_m - x > 3.2:
            wide_m = min(rng.choice([rng.uniform(3.4, 5.0), *(rng.uniform(5.2, 9.5) for _ in range(2))]), length_m - x)
            if length_m - x - wide_m < 3.2:
                wide_m = length_m - x
            if core == side and wide_m < 7.0 and rng.random() < 0.6:
                plots = _core(rng, wide_m, deep_m, lobby)
                flat = COMMON
                core = 2
            else:
                plots = _flat(rng, wide_m, deep_m + rng.choice([0.0, 0.0, -0.5, 0.6]))
                flat = len(cells)
            to_place = _placing(x, passage_m / 2, is_above=side == 1, is_flipped=rng.random() < 0.5, wide_m=wide_m)
            cells += [Cell(use, to_place(shape), flat) for use, shape in plots if use != "lobby"]
            lobby += [to_place(shape) for use, shape in plots if use == "lobby"]
            x += wide_m
    corridor = unary_union([box(0.0, -passage_m / 2, length_m, passage_m / 2), *lobby])
    if rng.random() < 0.35:
        at = length_m * rng.uniform(0.25, 0.75)
        halves = [corridor.intersection(box(-1, -99, at, 99)), corridor.intersection(box(at, -99, length_m + 1, 99))]
        return cells + [Cell("corridor", half, COMMON) for half in halves]
    return [*cells, Cell("corridor", corridor, COMMON)]


def _placing(
    x_m: float, off_m: float, *, is_above: bool, is_flipped: bool, wide_m: float
) -> Callable[[Polygon], Polygon]:
    """From a flat's own axes (the corridor along y = 0, the open at the far end) to the storey's."""

    def placed(shape: Polygon) -> Polygon:
        turned = affinity.affine_transform(shape, (-1, 0, 0, 1, wide_m, 0)) if is_flipped else shape
        down = -1 if is_above else 1
        return affinity.affine_transform(turned, (1, 0, 0, down, x_m, down * off_m))

    return placed


def _core(rng: Random, wide_m: float, deep_m: float, lobby: list[Polygon]) -> list[tuple[str, Polygon]]:
    """Lifts by the corridor, stairs behind them, and a lobby beside both."""
    way_m, lift_m = rng.uniform(1.1, 1.5), rng.uniform(1.8, 2.3)
    if lobby:
        return [("lift", box(0, 0, wide_m, lift_m)), ("stairs", box(0, lift_m, wide_m, deep_m))]
    return [
        ("lobby", box(0, 0, way_m, deep_m)),
        ("lift", box(way_m, 0, wide_m, lift_m)),
        ("stairs", box(way_m, lift_m, wide_m, deep_m)),
    ]


def _flat(rng: Random, wide_m: float, deep_m: float) -> list[tuple[str, Polygon]]:
    """Living room across the whole depth, bedrooms by the open, wet rooms by the corridor."""
    serve_m = rng.uniform(1.4, 2.4)
    living_m = rng.uniform(2.7, 4.2)
    spare_m = wide_m - living_m
    if spare_m < 2.2:
        bath_m = rng.uniform(1.3, min(2.3, wide_m - 1.3))
        bath = box(0, 0, bath_m, rng.uniform(1.4, 2.7))
        plots = [(rng.choice(_WET), bath), ("living", box(0, 0, wide_m, deep_m).difference(bath))]
        return _with_shafts(rng, _with_cupboards(rng, plots))
    count = 1 if spare_m < 4.8 else 2
    living = box(0, 0, living_m, deep_m)
    plots = []
    for at in range(count):
        x0, x1 = living_m + spare_m * at / count, living_m + spare_m * (at + 1) / count
        column, way = _bedroom(rng, x0, x1, deep_m, serve_m, is_by_living=at == 0)
        plots += column
        living = living.union(way)
    if rng.random() < 0.35 and living_m > 2.6:
        kitchen = box(0, 0, living_m - rng.uniform(1.05, 1.25), serve_m)
        if isinstance(living.difference(kitchen), Polygon):
            living = living.difference(kitchen)
            plots.append(("kitchen", kitchen))
    if rng.random() < 0.3:  # the corridor widens before the flat's door
        recess = box(0, 0, rng.uniform(1.1, 1.8), rng.uniform(0.3, 0.9))
        if isinstance(living.difference(recess), Polygon) and living.contains(shapely.Point(0.5, 0.2)):
            living = living.difference(recess)
            plots.append(("lobby", recess))
    return _with_shafts(rng, _with_cupboards(rng, [*plots, ("living", living)]))


def _bedroom(
    rng: Random, x0: float, x1: float, deep_m: float, serve_m: float, *, is_by_living: bool
) -> tuple[list[tuple[str, Polygon]], Polygon]:
    """A bedroom and what lies between it and the corridor, and a way to it that the living room gets."""
    wide_m = x1 - x0
    manner = rng.choice(["one", "way", "way", "two", "deep", "way of living"])
    if wide_m < 2.5 and manner in {"two", "way"}:
        manner = "one"
    bed = box(x0, serve_m, x1, deep_m)
    wet = rng.choice(_WET)
    if manner == "way":
        at = rng.uniform(0.95, 1.2)
        way = box(x0, 0, x0 + at, serve_m)
        return [("bedroom", bed.union(way)), (wet, box(x0 + at, 0, x1, serve_m))], Polygon()
    if manner == "two":
        at = x0 + wide_m * rng.uniform(0.42, 0.58)
        uses = [wet, rng.choice(["dressing", "dressing", "utility", wet])]
        rng.shuffle(uses)
        return [("bedroom", bed), (uses[0], box(x0, 0, at, serve_m)), (uses[1], box(at, 0, x1, serve_m))], Polygon()
    if manner == "deep" and deep_m > serve_m + 4.2:
        more_m = serve_m + rng.uniform(1.2, 1.6)
        return [
            ("bedroom", box(x0, more_m, x1, deep_m)), (wet, box(x0, 0, x1, serve_m)),
            ("dressing", box(x0, serve_m, x1, more_m)),
        ], Polygon()  # fmt: skip
    if manner == "way of living" and is_by_living:
        at, past = rng.uniform(0.95, 1.4), serve_m - rng.uniform(0.0, 0.3)
        way = box(x0, past - at if past - at > 1.0 else 0.0, x0 + rng.uniform(0.9, 1.2), serve_m)
        below = box(x0, 0, x1, serve_m).difference(way)
        if isinstance(below, Polygon):
            return [("bedroom", bed), (wet, below)], way
    if rng.random() < 0.4:  # a niche: the wet room reaches into the bedroom
        niche = box(x0, serve_m, x0 + wide_m * rng.uniform(0.3, 0.5), serve_m + rng.uniform(0.5, 1.1))
        return [("bedroom", bed.difference(niche)), (wet, box(x0, 0, x1, serve_m).union(niche))], Polygon()
    return [("bedroom", bed), (wet, box(x0, 0, x1, serve_m))], Polygon()


def _with_cupboards(rng: Random, plots: list[tuple[str, Polygon]]) -> list[tuple[str, Polygon]]:
    """Cupboards with walls of their own in corners of bedrooms and living rooms."""
    done = []
    for use, shape in plots:
        if use in {"bedroom", "living"} and rng.random() < 0.22:
            corner = _corner(rng, shape, rng.uniform(0.7, 0.95), rng.uniform(1.0, 1.9), 1.6)
            if corner is not None:
                done.append(("store", corner))
                shape = shape.difference(corner)
        done.append((use, shape))
    return done


def _with_shafts(rng: Random, plots: list[tuple[str, Polygon]]) -> list[tuple[str, Polygon]]:
    """Shafts in corners of wet rooms and kitchens, more rarely of others."""
    done = []
    for use, shape in plots:
        often = 0.4 if use in {*_WET, "kitchen", "utility", "dressing"} else 0.15
        for _ in range(2):
            if rng.random() >= often:
                break
            leave_m = rng.choice([0.85, 0.7]) if use in _WET else 0.85  # beside it, a niche for a machine
            corner = _corner(rng, shape, rng.uniform(0.3, 0.8), rng.uniform(0.35, 1.15), leave_m)
            if corner is not None:
                done.append((SHAFT, corner))
                shape = shape.difference(corner)
        if use in {"bedroom", "living"} and rng.random() < 0.2:
            corner = _corner(rng, shape, rng.uniform(0.2, 0.35), rng.uniform(0.25, 0.8), 1.2)
            if corner is not None:
                done.append((PILLAR, corner))
                shape = shape.difference(corner)
        done.append((use, shape))
    return done


def _corner(rng: Random, shape: Polygon, wide_m: float, deep_m: float, leave_m: float) -> Polygon | None:
    """A box in a corner of a room that leaves it whole and wide enough; None if there is no such corner."""
    if rng.random() < 0.5:
        wide_m, deep_m = deep_m, wide_m
    corners = list(shape.exterior.coords[:-1])
    rng.shuffle(corners)
    for x, y in corners:
        for sx, sy in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            small = box(
                min(x, x + sx * wide_m), min(y, y + sy * deep_m), max(x, x + sx * wide_m), max(y, y + sy * deep_m)
            )
            rest = shape.difference(small)
            if not shape.buffer(1e-6).contains(small) or not isinstance(rest, Polygon) or rest.interiors:
                continue
            inner = rest.buffer(-leave_m / 2, join_style="mitre")
            if isinstance(inner, Polygon) and not inner.is_empty and inner.buffer(leave_m / 2 + 0.25).covers(rest):
                return small
    return None


def _with_walls(cells: Sequence[Cell], thick: Thick) -> Storey | None:
    """Walls of their thickness between the cells; None if a room comes out in pieces or too narrow."""
    footprint = unary_union([cell.shape for cell in cells])
    if not isinstance(footprint, Polygon):
        return None
    parts: list[Part] = []
    lines: list[tuple[LineString, float]] = []
    for a, b in combinations(range(len(cells)), 2):
        if not cells[a].shape.intersects(cells[b].shape):
            continue
        thick_m = thick.inner_m if cells[a].flat == cells[b].flat != COMMON else thick.main_m
        for line in shared_lines(cells[a].shape.boundary & cells[b].shape.boundary):
            for start, end in segments(line):
                parts.append(Part(a, b, start, end, thick_m))
                lines.append((LineString([start, end]), thick_m))
    bands = [band(line, thick_m, lines) for line, thick_m in lines]
    inner = unary_union(bands)
    main = unary_union([each for each, (_, thick_m) in zip(bands, lines, strict=True) if thick_m == thick.main_m])
    spaces: list[Space] = []
    flats: list[int] = []
    shafts: list[Polygon] = []
    numbers: dict[int, int] = {}
    for at, cell in enumerate(cells):
        if cell.use == PILLAR:
            continue
        floor = cell.shape.difference(inner)
        floor = max(shapely.get_parts(floor), key=lambda piece: float(piece.area), default=Polygon())
        if not isinstance(floor, Polygon) or floor.is_empty or floor.interiors:
            return None
        if cell.use == SHAFT:
            shafts.append(floor)
            continue
        floor = floor.simplify(2e-3)
        if floor.area < _LEAST_ROOM_M2 or floor.buffer(-_LEAST_SIDE_M / 2).is_empty:
            return None
        numbers[at] = len(spaces)
        spaces.append(Space(cell.use, cell.shape, floor))
        flats.append(cell.flat)
    between = [
        Part(numbers[part.first], numbers[part.second], part.start, part.end, part.thickness_m)
        for part in parts
        if part.first in numbers and part.second in numbers
    ]
    for at, number in numbers.items():
        for line in shared_lines(cells[at].shape.boundary & footprint.boundary):
            between += [Part(number, -1, start, end, thick.outer_m) for start, end in segments(line)]
    outside = footprint.buffer(thick.outer_m, join_style="mitre")
    walls = outside.difference(unary_union([space.floor for space in spaces] + shafts))
    pillars = [cell.shape for cell in cells if cell.use == PILLAR]
    main = unary_union([main, outside.difference(footprint), *pillars]).intersection(walls)
    return Storey(Layout(tuple(spaces), tuple(between), walls, outside), tuple(flats), tuple(shafts), main)
