"""What is built into flats or stands against their walls, in lines like those of walls; lifts, stairs and shafts."""

import itertools
import math
from random import Random
from typing import Final

import numpy as np
from shapely import Polygon, box

from tests.plans.drawn_furniture import Spot
from tests.plans.drawn_ink import Pen
from tests.plans.drawn_layout import Point

_PAPER: Final = 255


def build_wardrobe(rng: Random, pen: Pen, floor: Polygon, clear: Polygon, ink: int) -> None:
    """Built in along a wall: a front of one or two thin lines, or dashes; the floor goes on behind it."""
    ring = list(floor.exterior.coords)
    walls = list(itertools.pairwise(ring))
    rng.shuffle(walls)
    for (x0, y0), (x1, y1) in walls:
        length = math.dist((x0, y0), (x1, y1))
        if length < 0.9:
            continue
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        turn = -1 if floor.exterior.is_ccw else 1
        wide = length if length < 3.2 and rng.random() < 0.7 else min(length, rng.uniform(0.9, 2.4))
        spot = Spot(pen, ink, (x0, y0), (ux, uy), (uy * turn, -ux * turn))
        deep = rng.uniform(0.45, 0.65)
        area = Polygon([spot.at(0, 0), spot.at(wide, 0), spot.at(wide, deep), spot.at(0, deep)])
        if area.intersects(clear) or not floor.buffer(0.003).covers(area):
            continue
        if wide < length:
            spot.line((wide, 0), (wide, deep))
        manner = rng.choice(["one", "one", "two", "sliding", "dashed"])
        if manner == "dashed":
            for at in np.arange(0, wide, 0.16).tolist():
                spot.line((at, deep), (min(at + 0.09, wide), deep))
        else:
            spot.line((0, deep), (wide, deep))
        if manner == "two":
            spot.line((0, deep - 0.04), (wide, deep - 0.04))
        elif manner == "sliding":
            spot.box(0, deep, wide * 0.53, 0.035)
            spot.box(wide * 0.47, deep - 0.035, wide * 0.53, 0.035)
        if rng.random() < 0.4:
            spot.line((0, deep / 2), (wide, deep / 2))
        if rng.random() < 0.3:
            for at in np.arange(0.06, wide - 0.05, 0.11).tolist():
                spot.line((at, 0.06), (at + rng.uniform(-0.04, 0.04), deep - 0.08))
        return


def build_in(rng: Random, pen: Pen, floor: Polygon, clear: Polygon, ink: int) -> None:
    """A tub, a tray or a worktop with a basin from wall to wall, a pan, a machine: all of it stands in the room."""
    sides = [pair for pair in itertools.pairwise(floor.exterior.coords) if 0.8 < math.dist(*pair) < 2.2]
    rng.shuffle(sides)
    taken = clear
    has_tub, left = rng.random() < 0.2, rng.randint(1, 3)
    is_bare = rng.random() < 0.7  # tiles end where something stands
    for start, end in sides:
        length = math.dist(start, end)
        spot = _beside(pen, floor, start, end, ink)
        is_tub = not has_tub and length > 1.1
        deep = rng.uniform(0.6, 0.85) if is_tub else rng.uniform(0.35, 0.55)
        area = Polygon([spot.at(0, 0), spot.at(length, 0), spot.at(length, deep), spot.at(0, deep)])
        if left == 0 or area.intersects(taken) or not floor.buffer(0.003).covers(area):
            continue
        taken, left = taken.union(area), left - 1
        if is_bare:
            pen.fill(area, _PAPER)
        if rng.random() < (0.9 if is_tub else 0.75):
            spot.line((0, deep), (length, deep))
        if is_tub:
            has_tub = True
            _tub(rng, spot, length, deep)
        elif rng.random() < 0.6:
            spot.oval(length / 2 - 0.25, deep * 0.15, 0.5, deep * 0.7)
        else:
            spot.box(length * 0.3, 0, 0.36, 0.16)
            spot.oval(length * 0.3 + 0.02, 0.16, 0.32, 0.42)
    if rng.random() < 0.5:
        _machine_in_corner(rng, pen, floor, taken, ink)


def _beside(pen: Pen, floor: Polygon, start: Point, end: Point, ink: int) -> Spot:
    """Give the axes of what stands along a side of a floor."""
    length = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    turn = -1 if floor.exterior.is_ccw else 1
    return Spot(pen, ink, start, (ux, uy), (uy * turn, -ux * turn))


def _tub(rng: Random, spot: Spot, length: float, deep: float) -> None:
    """Its rim about a wall's thickness off the walls, corners more or less round, a drain, sometimes a second rim."""
    rim_m, round_m = rng.uniform(0.03, 0.1), rng.uniform(0.0, 0.2)
    for near in (rim_m, rim_m + 0.05)[: rng.choice([1, 1, 1, 2])]:
        far = deep - near
        tub = Polygon(
            [spot.at(u, v) for u, v in ((near, near), (length - near, near), (length - near, far), (near, far))]
        )
        spot.pen.edge(tub.buffer(-round_m).buffer(round_m) if round_m > 0.02 else tub, spot.ink)
    if rng.random() < 0.85:
        size = rng.uniform(0.05, 0.1)
        place = rng.choice([0.14, length - 0.14, length / 2]) - size / 2
        spot.oval(place, deep / 2 - size / 2, size, size)


def _machine_in_corner(rng: Random, pen: Pen, floor: Polygon, clear: Polygon, ink: int) -> None:
    """A machine, bare as often as not, in a niche or a corner: a box within lines a wall's thickness apart."""
    sides = list(itertools.pairwise(floor.exterior.coords))
    niches = [pair for pair in sides if 0.45 < math.dist(*pair) < 0.95]
    rng.shuffle(sides)
    for start, end in niches + sides:
        length, off = math.dist(start, end), rng.uniform(0.02, 0.09)
        wide = length - 2 * off if 0.45 < length < 0.95 else rng.uniform(0.5, 0.68)
        deep = rng.uniform(0.5, 0.68)
        if length < wide + off:
            continue
        spot = _beside(pen, floor, start, end, ink)
        area = Polygon([spot.at(0, 0), spot.at(wide, 0), spot.at(wide, deep), spot.at(0, deep)])
        if area.intersects(clear) or not floor.buffer(0.003).covers(area):
            continue
        if rng.random() < 0.7:
            pen.fill(area, _PAPER)
        spot.box(off, off, wide, deep)
        if rng.random() < 0.35:
            spot.line((0, deep + 2 * off), (wide + 2 * off, deep + 2 * off))
            if length > wide + 2 * off:
                spot.line((wide + 2 * off, 0), (wide + 2 * off, deep + 2 * off))
        if rng.random() < 0.3:
            spot.oval(off + wide / 4, off + deep / 4, wide / 2, deep / 2)
        return


def stand_beside_walls(rng: Random, pen: Pen, floor: Polygon, clear: Polygon, ink: int) -> None:
    """A bed with tables beside it, desks, chests, seats: boxes against walls or a hand off them, in a wall's ink."""
    walls = [pair for pair in itertools.pairwise(floor.exterior.coords) if math.dist(*pair) > 0.9]
    rng.shuffle(walls)
    taken = clear
    for (x0, y0), (x1, y1) in walls[: rng.randint(1, 4)]:
        length = math.dist((x0, y0), (x1, y1))
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        turn = -1 if floor.exterior.is_ccw else 1
        spot = Spot(pen, ink, (x0, y0), (ux, uy), (uy * turn, -ux * turn))
        off = rng.choice([0.0, 0.0, rng.uniform(0.02, 0.1)])
        pieces = rng.choice([
            [(0.42, 0.42), (1.5, 1.95), (0.42, 0.42)], [(0.42, 0.42), (0.95, 1.95)], [(0.75, 0.75), (0.75, 0.75)],
            [(0.8, 0.8), (0.8, 0.8), (0.8, 0.8)], [(1.1, 0.5)], [(0.55, 0.45)],
        ])  # fmt: skip
        u = off if rng.random() < 0.6 else rng.uniform(0, 0.8)
        for w, d in pieces:
            area = Polygon([spot.at(u, off), spot.at(u + w, off), spot.at(u + w, off + d), spot.at(u, off + d)])
            if u + w < length and floor.covers(area.buffer(-0.003)) and not area.intersects(taken):
                spot.box(u, off, w, d)
                if rng.random() < 0.4:
                    spot.line((u + 0.12, off), (u + 0.12, off + d))
                taken = taken.union(area)
            u += w + rng.choice([0.0, 0.02, 0.04])


def build_counter(rng: Random, pen: Pen, floor: Polygon, clear: Polygon, ink: int) -> None:
    """A worktop along a wall with cupboards dashed over it, sometimes a bar that stands out from it, and stools."""
    ring = list(floor.exterior.coords)
    (x0, y0), (x1, y1) = rng.choice(list(itertools.pairwise(ring)))
    length = math.dist((x0, y0), (x1, y1))
    if length < 1.2:
        return
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    turn = -1 if floor.exterior.is_ccw else 1
    spot = Spot(pen, ink, (x0, y0), (ux, uy), (uy * turn, -ux * turn))
    wide = min(length, rng.uniform(1.2, 3.0))
    out_m = rng.choice([0.6, 0.6, rng.uniform(1.4, 2.0)])
    area = Polygon([spot.at(0, 0), spot.at(wide, 0), spot.at(wide, out_m), spot.at(0, out_m)])
    if area.intersects(clear) or not floor.buffer(0.003).covers(area):
        return
    spot.box(0, 0, wide, 0.6)
    for level in (0.33, 0.36)[: rng.randint(1, 2)]:
        for at in np.arange(0, wide, 0.15).tolist():
            spot.line((at, level), (min(at + 0.1, wide), level))
    spot.box(0.1, 0.08, 0.5, 0.42)
    for u in (0.75, 0.95):
        for v in (0.12, 0.34):
            if wide > u + 0.2:
                spot.oval(u, v, 0.17, 0.17)
    if out_m > 0.7:
        spot.box(wide - 0.45, 0.6, 0.45, out_m - 0.6)
        for v in np.arange(0.75, out_m - 0.3, 0.5).tolist():
            spot.oval(wide - 0.9, v, 0.36, 0.36)
            spot.line((wide - 0.45, v), (wide, v + 0.2))


def draw_lifts(rng: Random, pen: Pen, floor: Polygon, ink: int) -> None:
    """Cabins beside one another, crossed or not, and their doors."""
    x0, y0, x1, y1 = floor.bounds
    count = max(1, round((x1 - x0) / 1.8))
    each = (x1 - x0) / count
    for at in range(count):
        a, b = x0 + each * at + 0.2, x0 + each * (at + 1) - 0.2
        top, bottom = y0 + 0.25, y1 - rng.uniform(0.2, 0.45)
        if b - a < 0.5 or bottom - top < 0.5:
            continue
        pen.edge(box(a, top, b, bottom), ink)
        if rng.random() < 0.6:
            pen.line([(a, top), (b, bottom)], ink)
            pen.line([(b, top), (a, bottom)], ink)
        pen.edge(box(a + 0.1, bottom + 0.03, b - 0.1, bottom + 0.12), ink)


def draw_stairs(rng: Random, pen: Pen, floor: Polygon, ink: int) -> None:
    """Two flights side by side, or one."""
    x0, y0, x1, y1 = floor.bounds
    is_upright = y1 - y0 > x1 - x0
    shorter, longer = sorted((x1 - x0, y1 - y0))
    landing = min(rng.uniform(0.9, 1.3), longer / 4)
    flights = 2 if shorter > 1.7 else 1

    def at(along: float, across: float) -> tuple[float, float]:
        return (x0 + across, y0 + along) if is_upright else (x0 + along, y0 + across)

    ends = landing if rng.random() < 0.7 else 0.0
    for along in np.arange(ends, longer - landing + 0.01, rng.uniform(0.26, 0.3)).tolist():
        pen.line([at(along, 0), at(along, shorter)], ink)
    if flights == 2:
        for off in (-0.06, 0.06):
            pen.line([at(ends, shorter / 2 + off), at(longer - landing, shorter / 2 + off)], ink)
    pen.line([at(ends + 0.2, shorter / 4), at(longer - landing, shorter / 4)], ink)


def draw_shaft(rng: Random, pen: Pen, shaft: Polygon, ink: int) -> None:
    """Crossed, struck through, with ducts in it, grey, or bare."""
    x0, y0, x1, y1 = shaft.bounds
    manner = rng.choice(["crossed", "struck", "ducts", "bare", "bare", "grey", "void"])
    if manner == "grey":
        pen.fill(shaft, rng.randint(130, 220))
    if manner in {"crossed", "struck"}:
        pen.line([(x0, y0), (x1, y1)], ink)
    if manner == "crossed":
        pen.line([(x0, y1), (x1, y0)], ink)
    if manner == "void":
        pen.line([(x0, y1), (x0 + (x1 - x0) * 0.3, y0 + (y1 - y0) * 0.3), (x1, y0)], ink)
    if manner == "ducts":
        size = min(x1 - x0, y1 - y0)
        pen.oval((x0 + size / 2, y0 + size / 2), size * 0.6, size * 0.6, ink)
        if max(x1 - x0, y1 - y0) > 1.6 * size:
            pen.edge(box(x1 - size * 0.8, y1 - size * 0.7, x1 - size * 0.2, y1 - size * 0.2), ink)
