"""What stands on the floors of an invented home: tiles and boards, furniture, sanitary ware, kitchen units, stairs."""

import itertools
import math
from collections.abc import Callable, Sequence
from random import Random
from typing import Final

import numpy as np
from shapely import Polygon
from shapely.ops import unary_union

from tests.plans.drawn_ink import Pen
from tests.plans.drawn_layout import Layout, Point, Space
from tests.plans.drawn_openings import Gap

Style = dict[str, object]
WET: Final = frozenset({"bath", "shower", "wc"})


class Spot:
    """A piece's own axes: ``u`` along the wall it stands against, ``v`` into the room, from its left back corner."""

    def __init__(self, pen: Pen, ink: int, origin: Point, along: Point, inward: Point) -> None:
        self.pen = pen
        self.ink = ink
        self.origin = origin
        self.along = along
        self.inward = inward

    def at(self, u: float, v: float) -> Point:
        """A point by its distances along the wall and into the room."""
        (x, y), (ax, ay), (nx, ny) = self.origin, self.along, self.inward
        return x + ax * u + nx * v, y + ay * u + ny * v

    def box(self, u: float, v: float, w: float, d: float) -> None:
        """A rectangle."""
        self.pen.line(
            [self.at(u, v), self.at(u + w, v), self.at(u + w, v + d), self.at(u, v + d)], self.ink, None, True
        )

    def oval(self, u: float, v: float, w: float, d: float) -> None:
        """An ellipse in a rectangle."""
        turns = np.linspace(0, 2 * math.pi, 36)[:-1]
        ring = [self.at(u + w / 2 * (1 + math.cos(t)), v + d / 2 * (1 + math.sin(t))) for t in turns]
        self.pen.line(ring, self.ink, None, True)

    def line(self, *points: Point) -> None:
        """A run of lines."""
        self.pen.line([self.at(*p) for p in points], self.ink)


def _bed(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    pillows = 2 if w > 1.3 else 1
    for i in range(pillows):
        s.box(w * i / pillows + 0.08, 0.08, w / pillows - 0.16, 0.35)
    s.line((0, 0.65), (w, 0.65))


def _wardrobe(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    s.line((0, d / 2), (w, d / 2))
    for i in range(1, int(w / 0.12)):
        s.line((i * 0.12 - 0.03, 0.1), (i * 0.12 + 0.03, d - 0.1))


def _sofa(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    s.box(0.18, 0.2, w - 0.36, d - 0.2)
    s.line((w / 2, 0.2), (w / 2, d))


def _table(s: Spot, w: float, d: float) -> None:
    s.box(0.1, 0.4, w - 0.2, d - 0.8)
    for u in (w * 0.2, w * 0.6):
        s.box(u, 0.08, 0.38, 0.4)
        s.box(u, d - 0.48, 0.38, 0.4)


def _desk(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    s.oval(w / 2 - 0.22, d - 0.1, 0.45, 0.42)


def _bath(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    s.oval(0.08, 0.08, w - 0.16, d - 0.16)
    s.oval(w - 0.3, d / 2 - 0.03, 0.06, 0.06)


def _tray(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    s.line((0, 0), (w, d))
    s.line((w, 0), (0, d))


def _pan(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, 0.18)
    s.oval(0.02, 0.18, w - 0.04, d - 0.18)


def _basin(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    s.oval(0.07, 0.1, w - 0.14, d - 0.15)


def _worktop(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    s.box(0.15, 0.1, 0.5, d - 0.2)  # the sink
    if w > 1.6:
        for u in (w - 0.75, w - 0.45):
            for v in (0.08, 0.32):
                s.oval(u, v, 0.22, 0.22)
    for u in np.arange(0.6, w - 0.1, 0.6):
        s.line((float(u), d * 0.9), (float(u), d))


def _machine(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)
    s.oval(0.1, 0.1, w - 0.2, d - 0.2)


def _shelf(s: Spot, w: float, d: float) -> None:
    s.box(0, 0, w, d)


Piece = tuple[Callable[[Spot, float, float], None], float, float]
PIECES: Final[dict[str, tuple[Piece, ...]]] = {
    "bedroom": ((_bed, 1.6, 2.05), (_wardrobe, 1.8, 0.6), (_shelf, 0.45, 0.4), (_desk, 1.2, 0.6), (_bed, 0.95, 2.0)),
    "living": ((_sofa, 2.1, 0.9), (_table, 1.8, 1.7), (_shelf, 1.6, 0.35), (_sofa, 1.5, 0.85), (_shelf, 0.9, 0.9)),
    "dining": ((_table, 1.8, 1.7), (_shelf, 1.4, 0.4)),
    "kitchen": ((_worktop, 2.6, 0.6), (_worktop, 1.8, 0.6), (_machine, 0.6, 0.6), (_table, 1.3, 1.5)),
    "bath": ((_bath, 1.7, 0.72), (_pan, 0.4, 0.66), (_basin, 0.55, 0.44), (_machine, 0.6, 0.6)),
    "shower": ((_tray, 0.85, 0.85), (_pan, 0.4, 0.66), (_basin, 0.5, 0.4)),
    "wc": ((_pan, 0.4, 0.66), (_basin, 0.36, 0.26)),
    "utility": ((_machine, 0.6, 0.6), (_machine, 0.6, 0.6), (_worktop, 1.2, 0.6)),
    "study": ((_desk, 1.5, 0.7), (_shelf, 1.2, 0.3), (_sofa, 1.5, 0.85)),
    "hall": ((_wardrobe, 1.0, 0.4),),
    "store": ((_shelf, 0.6, 0.3),),
    "stairs": (),
}


def furnish(rng: Random, pen: Pen, layout: Layout, gaps: Sequence[Gap], style: Style) -> None:
    """Floors first, then what stands on them, mostly clear of the doors and never over one another."""
    ink = int(str(style["furniture ink"]))
    keep_clear = unary_union([gap.hole().buffer(0.35) for gap in gaps if gap.kind not in {"window", "patio"}])
    boarded = rng.random()
    for space in layout.spaces:
        if style["tiles"] and space.use in WET | {"kitchen", "utility"}:
            _tile(rng, pen, space, ink)
        elif style["boards"] and space.use in {"living", "hall", "bedroom"} and boarded < 0.8:
            pen.shade(space.floor, max(rng.uniform(0.12, 0.2), 5 / pen.frame.px_per_m), rng.choice([0, 90]), 150)
        if space.use == "stairs":
            _stairs(pen, space, ink)
        taken = keep_clear
        for draw, w, d in PIECES[space.use]:
            if rng.random() < float(str(style["furniture"])):
                taken = _stand(rng, pen, space, taken, (draw, w, d), ink)


def _tile(rng: Random, pen: Pen, space: Space, ink: int) -> None:
    size = max(rng.choice([0.2, 0.3, 0.33, 0.45]), 6 / pen.frame.px_per_m)
    for angle in (0.0, 90.0):
        pen.shade(space.floor, size, angle, min(ink + 40, 170))


def _stand(rng: Random, pen: Pen, space: Space, taken: Polygon, piece: Piece, ink: int) -> Polygon:
    """Against a wall, in a corner if it can be; what there is no place for is left out."""
    draw, w, d = piece
    ring = list(space.floor.exterior.coords)
    walls = list(itertools.pairwise(ring))
    rng.shuffle(walls)
    roomy = space.floor.buffer(0.003)
    for (x0, y0), (x1, y1) in walls:
        length = math.dist((x0, y0), (x1, y1))
        if length < w:
            continue
        ax, ay = (x1 - x0) / length, (y1 - y0) / length
        turn = -1 if space.floor.exterior.is_ccw else 1
        inward = (ay * turn, -ax * turn)
        for along in (0.0, length - w, (length - w) * rng.random()):
            spot = Spot(pen, ink, (x0 + ax * along, y0 + ay * along), (ax, ay), inward)
            area = Polygon([spot.at(0, 0), spot.at(w, 0), spot.at(w, d), spot.at(0, d)])
            if roomy.contains(area) and not taken.intersects(area):
                draw(spot, w, d)
                return taken.union(area)
    return taken


def _stairs(pen: Pen, space: Space, ink: int) -> None:
    """Treads across the longer way, a walking line with an arrow."""
    x0, y0, x1, y1 = space.floor.bounds
    is_wide = x1 - x0 > y1 - y0
    pen.shade(space.floor, 0.25, 90.0 if is_wide else 0.0, ink)
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    ends = [(x0 + 0.3, cy), (x1 - 0.3, cy)] if is_wide else [(cx, y0 + 0.3), (cx, y1 - 0.3)]
    pen.line(ends, ink)
    tx, ty = ends[1]
    for side in (-0.1, 0.1):
        pen.line([(tx - 0.15, ty + side) if is_wide else (tx + side, ty - 0.15), (tx, ty)], ink)
