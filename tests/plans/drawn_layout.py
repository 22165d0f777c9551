"""Where the rooms of an invented home lie: cells of a footprint, walls between them, everything in metres."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from random import Random
from typing import Final

import shapely
from shapely import LineString, MultiLineString, Polygon, box
from shapely.ops import linemerge, unary_union

LEAST_ROOM_M2: Final = 0.5
LEAST_SIDE_M: Final = 0.5
LEAST_EDGE_M: Final = 0.1
TRIES: Final = 60

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Space:
    """One room: what it is called, its cell up to the middle of the walls, and its floor up to their faces."""

    use: str
    cell: Polygon
    floor: Polygon


@dataclass(frozen=True, slots=True)
class Part:
    """A straight piece of wall between two rooms (or a room and outdoors, ``second`` is -1), along its middle line."""

    first: int
    second: int
    start: Point
    end: Point
    thickness_m: float

    @property
    def length_m(self) -> float:
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Layout:
    """Rooms, the walls' area, and the pieces of wall that doors and windows may stand in."""

    spaces: tuple[Space, ...]
    parts: tuple[Part, ...]
    walls: Polygon
    outside: Polygon


def lay_out(rng: Random, outer_m: float, inner_m: float, main_m: float, slant: str, kind: str) -> Layout:
    """A home of four to a dozen rooms; tried again until no room is too narrow to be one."""
    for _ in range(TRIES):
        footprint = _footprint(rng, slant)
        cells = _cells(rng, footprint, kind)
        if slant in {"partition", "both"}:
            cells = _slanted(rng, cells)
        if slant == "bay":
            footprint, cells = _with_bay(rng, footprint, cells)
        layout = _with_walls(footprint, cells, outer_m, inner_m, main_m)
        if layout is not None:
            return layout
    raise RuntimeError("no home could be laid out")  # the tries are many times what any seed needs


def _footprint(rng: Random, slant: str) -> Polygon:
    wide_m, deep_m = rng.uniform(7.0, 14.5), rng.uniform(6.0, 10.5)
    shape = box(0.0, 0.0, wide_m, deep_m)
    pick = rng.random()
    if pick < 0.35:  # an L: one corner is left out
        cut_x, cut_y = rng.uniform(2.2, wide_m * 0.4), rng.uniform(1.8, deep_m * 0.4)
        left, top = rng.choice([0.0, wide_m - cut_x]), rng.choice([0.0, deep_m - cut_y])
        shape = shape.difference(box(left, top, left + cut_x, top + cut_y))
    if slant in {"corner", "both"}:
        size = rng.uniform(1.0, 2.2)
        x, y = rng.choice([(0.0, 0.0), (wide_m, 0.0), (0.0, deep_m), (wide_m, deep_m)])
        shape = shape.difference(Polygon([(x - size, y), (x, y - size), (x + size, y), (x, y + size)]))
    if slant == "side":  # the plot runs askew: one whole side is slanted
        lean = rng.uniform(0.8, 2.0)
        shape = shape.intersection(Polygon([(0, 0), (wide_m, 0), (wide_m - lean, deep_m), (0, deep_m)]))
    return shape


def _cells(rng: Random, footprint: Polygon, kind: str) -> list[tuple[str, Polygon]]:
    _, _, wide_m, deep_m = footprint.bounds
    plots = _by_corridor(rng, wide_m, deep_m) if kind == "corridor" else _by_halving(rng, wide_m, deep_m)
    cells: list[tuple[str, Polygon]] = []
    for use, plot in plots:
        piece = plot.intersection(footprint)
        if isinstance(piece, Polygon) and piece.area > 1.2:
            cells.append((use, piece))
    lost = footprint.difference(unary_union([cell for _, cell in cells]))
    for piece in shapely.get_parts(lost):  # slivers go to the room they touch most
        if piece.area > 1e-6:
            touching = [piece.boundary.intersection(cell.boundary).length for _, cell in cells]
            best = touching.index(max(touching))
            cells[best] = (cells[best][0], cells[best][1].union(piece))
    return _named(rng, _with_small_rooms(rng, cells))


def _by_corridor(rng: Random, wide_m: float, deep_m: float) -> list[tuple[str, Polygon]]:
    """Rooms on both sides of a corridor, which ends early at a room across the whole depth."""
    passage_m = rng.uniform(1.0, 1.45)
    low = rng.uniform(2.6, max(2.7, deep_m - passage_m - 2.6))
    high = low + passage_m
    ends = wide_m - rng.uniform(2.8, 4.2) if wide_m > 9.0 and rng.random() < 0.7 else wide_m
    cells = [("hall", box(0.0, low, ends, high))]
    if ends < wide_m:
        cells.append(("living", box(ends, 0.0, wide_m, deep_m)))
    for top, bottom in ((0.0, low), (high, deep_m)):
        stops = _stops(rng, ends, rng.uniform(1.6, 2.2), 4.6)
        cells += [("", box(a, top, b, bottom)) for a, b in pairwise(stops)]
    return cells


def _stops(rng: Random, length_m: float, least_m: float, most_m: float) -> list[float]:
    stops = [0.0]
    while length_m - stops[-1] > most_m:
        stops.append(stops[-1] + rng.uniform(least_m, min(most_m, length_m - stops[-1] - least_m)))
    return [*stops, length_m]


def _by_halving(rng: Random, wide_m: float, deep_m: float) -> list[tuple[str, Polygon]]:
    """Halved again and again; sometimes two neighbours are one room again, which makes Ls and Ts."""
    todo = [(0.0, 0.0, wide_m, deep_m)]
    done: list[Polygon] = []
    while todo:
        x0, y0, x1, y1 = todo.pop()
        w, d = x1 - x0, y1 - y0
        if max(w, d) < 3.4 or (max(w, d) < 4.6 and rng.random() < 0.4):
            done.append(box(x0, y0, x1, y1))
        elif w > d:
            at = x0 + w * rng.uniform(0.36, 0.64)
            todo += [(x0, y0, at, y1), (at, y0, x1, y1)]
        else:
            at = y0 + d * rng.uniform(0.36, 0.64)
            todo += [(x0, y0, x1, at), (x0, at, x1, y1)]
    while len(done) > 12 or (len(done) > 5 and rng.random() < 0.6):
        small = min(done, key=_area)
        near = [c for c in done if c is not small and c.boundary.intersection(small.boundary).length > 1.5]
        if not near:
            break
        other = rng.choice(near)
        done = [c for c in done if c is not small and c is not other] + [small.union(other)]
        if len(done) <= 9 and rng.random() < 0.5:
            break
    return [("", cell) for cell in done]


def _area(cell: Polygon) -> float:
    return float(cell.area)


def _with_small_rooms(rng: Random, cells: list[tuple[str, Polygon]]) -> list[tuple[str, Polygon]]:
    """A cupboard, a WC or a shower room in the corner of a bigger one, which becomes L-shaped."""
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(cells))
        use, cell = cells[at]
        if use == "hall" or cell.area < 9.0:
            continue
        name, w, d = rng.choice([("store", 0.9, 1.4), ("wc", 1.05, 1.8), ("store", 0.75, 1.9), ("shower", 1.6, 2.1)])
        w, d = w * rng.uniform(0.95, 1.25), d * rng.uniform(0.95, 1.25)
        if rng.random() < 0.5:
            w, d = d, w
        x, y = rng.choice(list(cell.exterior.coords))
        tries = [box(x, y, x + w, y + d), box(x - w, y, x, y + d), box(x, y - d, x + w, y), box(x - w, y - d, x, y)]
        rng.shuffle(tries)
        for small in tries:
            rest = cell.difference(small)
            if cell.buffer(1e-6).contains(small) and isinstance(rest, Polygon) and _is_roomy(rest, 1.3):
                cells[at] = (use, rest)
                cells.append((name, small))
                break
    return cells


def _is_roomy(shape: Polygon, width_m: float) -> bool:
    inner = shape.buffer(-width_m / 2)
    return isinstance(inner, Polygon) and not inner.is_empty and shape.area > 3.0 and not _has_strip(shape, 1.0)


def _shortest(shape: Polygon) -> float:
    return min(math.dist(a, b) for a, b in pairwise(shape.exterior.coords))


def _has_strip(shape: Polygon, width_m: float) -> bool:
    """Whether some of the floor is a strip narrower than this, too narrow to be of use (acute corners are let pass)."""
    wide = shape.buffer(-width_m / 2, join_style="mitre").buffer(width_m / 2, join_style="mitre")
    return any(piece.area > 0.2 for piece in shapely.get_parts(shape.difference(wide)))


def _named(rng: Random, cells: list[tuple[str, Polygon]]) -> list[tuple[str, Polygon]]:
    """Uses by size: the biggest is the living room, the smallest are wet rooms and stores."""
    free = sorted((i for i, (use, _) in enumerate(cells) if not use), key=lambda i: -cells[i][1].area)
    uses = {i: use for i, (use, _) in enumerate(cells) if use}
    big = ["kitchen", "bedroom", "bedroom"] if "living" in uses.values() else ["living", "kitchen", "bedroom"]
    for i in free:
        area = cells[i][1].area
        if area < 2.2:
            uses[i] = rng.choice(["store", "wc"])
        elif area < 6.0:
            uses[i] = rng.choice(["bath", "bath", "shower", "stairs" if area > 3.5 else "wc", "utility"])
        elif big:
            uses[i] = big.pop(0)
        else:
            uses[i] = rng.choice(["bedroom", "bedroom", "study", "dining"])
    if "hall" not in uses.values():
        middle = unary_union([cell for _, cell in cells]).centroid
        spare = [i for i in free if uses[i] not in {"living", "store", "wc"}] or free
        uses[min(spare, key=lambda i: cells[i][1].distance(middle))] = "hall"
    return [(uses[i], cell) for i, (_, cell) in enumerate(cells)]


def _slanted(rng: Random, cells: list[tuple[str, Polygon]]) -> list[tuple[str, Polygon]]:
    """One corner of a room is cut off at a slant and given to its neighbour."""
    order = list(combinations(range(len(cells)), 2))
    rng.shuffle(order)
    for a, b in order:
        shared = cells[a][1].boundary.intersection(cells[b][1].boundary)
        if shared.length < 1.6 or cells[a][1].area < 7.0:
            continue
        size, ratio = rng.uniform(0.8, 1.3), rng.choice([1.0, 1.0, 0.6])
        corners = [p for p in cells[a][1].exterior.coords[:-1] if shared.distance(shapely.Point(p)) < 1e-6]
        for x, y in corners:
            diamond = Polygon([(x - size, y), (x, y - size * ratio), (x + size, y), (x, y + size * ratio)])
            triangle = cells[a][1].intersection(diamond)
            grown, rest = cells[b][1].union(triangle), cells[a][1].difference(diamond)
            is_whole = isinstance(triangle, Polygon) and isinstance(grown, Polygon) and isinstance(rest, Polygon)
            if is_whole and len(triangle.exterior.coords) == 4 and triangle.intersection(shared).length > 0.4:
                cells[a], cells[b] = (cells[a][0], rest), (cells[b][0], grown)
                return cells
    return cells


def _with_bay(
    rng: Random, footprint: Polygon, cells: list[tuple[str, Polygon]]
) -> tuple[Polygon, list[tuple[str, Polygon]]]:
    _, _, _, deep_m = footprint.bounds
    edge = LineString([(-1.0, deep_m), (99.0, deep_m)])
    fits = [i for i, (_, c) in enumerate(cells) if c.boundary.intersection(edge).length > 2.8]
    if not fits:
        return footprint, cells
    at = rng.choice(fits)
    x0, _, x1, _ = cells[at][1].boundary.intersection(edge).bounds
    wide, out, lean = min(x1 - x0 - 0.8, rng.uniform(1.8, 2.8)), rng.uniform(0.6, 0.9), rng.uniform(0.35, 0.6)
    a = (x0 + x1 - wide) / 2
    bay = Polygon([(a, deep_m), (a + lean, deep_m + out), (a + wide - lean, deep_m + out), (a + wide, deep_m)])
    cells[at] = (cells[at][0], cells[at][1].union(bay))
    return footprint.union(bay), cells


def shared_lines(shape: shapely.Geometry) -> list[LineString]:
    """The lines of an intersection of two boundaries, joined where they go on."""
    pieces = [p for p in shapely.get_parts(shape) if isinstance(p, LineString) and p.length > 1e-6]
    if not pieces:
        return []
    merged = linemerge(MultiLineString(pieces))
    return [merged] if isinstance(merged, LineString) else list(merged.geoms)


def segments(line: LineString) -> list[tuple[Point, Point]]:
    coords = [(float(x), float(y)) for x, y in line.simplify(1e-6).coords]
    return list(pairwise(coords))


def _with_walls(
    footprint: Polygon, cells: Sequence[tuple[str, Polygon]], outer_m: float, inner_m: float, main_m: float
) -> Layout | None:
    """Walls of their thickness between the cells; None if a room comes out in pieces or too narrow."""
    if not isinstance(footprint, Polygon):
        return None
    parts: list[Part] = []
    lines: list[tuple[LineString, float]] = []
    bends: list[Polygon] = []
    main_axis = max(
        (
            (line, line.length)
            for (_, a), (_, b) in combinations(cells, 2)
            for line in shared_lines(a.boundary & b.boundary)
        ),
        key=lambda pair: pair[1],
    )[0]
    for a, b in combinations(range(len(cells)), 2):
        for line in shared_lines(cells[a][1].boundary & cells[b][1].boundary):
            bends.append(
                line.buffer(inner_m / 2, cap_style="flat", join_style="mitre")
            )  # fills the wedge at a slant's knee
            for start, end in segments(line):
                thick = main_m if _is_along(main_axis, start, end) else inner_m
                parts.append(Part(a, b, start, end, thick))
                lines.append((LineString([start, end]), thick))
    bands = [band(line, thick, lines) for line, thick in lines]
    inner = unary_union(bands + bends)
    spaces = []
    for use, cell in cells:
        rest = cell.difference(inner)
        floor = rest.buffer(-0.06, join_style="mitre").buffer(0.06, join_style="mitre").intersection(rest)
        if not isinstance(floor, Polygon) or floor.is_empty or floor.interiors:
            return None
        floor = floor.simplify(2e-3)
        if floor.area < LEAST_ROOM_M2 or floor.buffer(-LEAST_SIDE_M / 2).is_empty or not isinstance(floor, Polygon):
            return None
        if rest.area - floor.area > 0.05 or _has_strip(floor, 0.6) or _shortest(floor) < LEAST_EDGE_M:
            return None
        spaces.append(Space(use, cell, floor))
    for i, (_, cell) in enumerate(cells):
        for line in shared_lines(cell.boundary & footprint.boundary):
            parts += [Part(i, -1, start, end, outer_m) for start, end in segments(line)]
    outside = footprint.buffer(outer_m, join_style="mitre")
    walls = outside.difference(unary_union([space.floor for space in spaces]))
    if not isinstance(outside, Polygon) or len(spaces) < 4:
        return None
    return Layout(tuple(spaces), tuple(parts), walls, outside)


def _is_along(axis: LineString, start: Point, end: Point) -> bool:
    (ax, ay), (bx, by) = axis.coords[0], axis.coords[-1]
    length = math.dist((ax, ay), (bx, by))
    if length == 0.0:  # it comes back to where it began
        return False
    return all(abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length < 1e-6 for x, y in (start, end))


def band(line: LineString, thick_m: float, lines: Sequence[tuple[LineString, float]]) -> Polygon:
    """A wall's area, run on into the walls it meets squarely so that corners are filled and nothing sticks out."""
    (x0, y0), (x1, y1) = line.coords
    length = line.length
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    on = []
    for x, y in ((x0, y0), (x1, y1)):
        square = [
            thick / 2
            for other, thick in lines
            if other.distance(shapely.Point(x, y)) < 1e-6 and _is_square_to((ux, uy), other)
        ]
        on.append(max(square, default=0.0))
    start, end = (x0 - ux * on[0], y0 - uy * on[0]), (x1 + ux * on[1], y1 + uy * on[1])
    return LineString([start, end]).buffer(thick_m / 2, cap_style="flat")


def _is_square_to(u: Point, other: LineString) -> bool:
    (x0, y0), (x1, y1) = other.coords
    return bool(abs(u[0] * (x1 - x0) + u[1] * (y1 - y0)) / other.length < 0.02)
