"""Where doors, archways and windows stand in the walls of an invented home."""

from collections import deque
from dataclasses import dataclass
from random import Random
from typing import Final

import shapely
from shapely import Polygon

from tests.plans.drawn_layout import Layout, Part, Point

NIB_M: Final = 0.12
SMALL: Final = frozenset({"store", "wc"})


@dataclass(frozen=True, slots=True)
class Gap:
    """An opening: its middle on the wall's middle line, along and across the wall, and what fills it.

    ``across`` points into the room ``room``, the one a door opens into.
    """

    kind: str
    middle: Point
    along: Point
    across: Point
    width_m: float
    thickness_m: float
    room: int
    is_hinged_first: bool

    def at(self, along_m: float, across_m: float) -> Point:
        """A point by its distances from the middle."""
        (x, y), (ux, uy), (nx, ny) = self.middle, self.along, self.across
        return x + ux * along_m + nx * across_m, y + uy * along_m + ny * across_m

    def hole(self, over_m: float = 0.004) -> Polygon:
        """What the opening takes out of the wall, a hair more than its thickness."""
        w, t = self.width_m / 2, self.thickness_m / 2 + over_m
        return Polygon([self.at(-w, -t), self.at(w, -t), self.at(w, t), self.at(-w, t)])


def place_gaps(rng: Random, layout: Layout, doors: str, windows: bool) -> tuple[Gap, ...]:
    """A way into every room from the hall, a few more doors, the front door, and windows to the open."""
    gaps: list[Gap] = []
    spaces = layout.spaces
    halls = [i for i, s in enumerate(spaces) if s.use == "hall"] or [0]
    for part in _tree(rng, layout, halls[0]):
        _add(gaps, _door(rng, layout, part, doors))
    inner = [p for p in layout.parts if p.second >= 0]
    for part in rng.sample(inner, min(len(inner), rng.randint(0, 2))):
        uses = {spaces[part.first].use, spaces[part.second].use}
        if not uses & {"store", "wc", "bath", "shower"}:
            _add(gaps, _door(rng, layout, part, "arch" if rng.random() < 0.5 else doors))
    outer = [p for p in layout.parts if p.second < 0]
    fronts = [p for p in outer if spaces[p.first].use == "hall"] or [
        p for p in outer if spaces[p.first].use == "living"
    ]
    for part in sorted(fronts, key=_shortness)[:1]:
        _add(gaps, _gap(rng, layout, part, "swing", rng.uniform(0.9, 1.05)))
    if windows:
        for part in outer:
            if spaces[part.first].use != "store" and rng.random() < 0.85:
                _add(gaps, _window(rng, layout, part))
    return tuple(gaps)


def _shortness(part: Part) -> float:
    return -part.length_m


def _tree(rng: Random, layout: Layout, root: int) -> list[Part]:
    """One piece of wall for every room that can be reached, nearest to the hall first."""
    seen, queue, chosen = {root}, deque([root]), []
    while queue:
        here = queue.popleft()
        near = [p for p in layout.parts if p.second >= 0 and here in (p.first, p.second) and p.length_m > 1.15]
        rng.shuffle(near)
        for part in near:
            other = part.second if part.first == here else part.first
            if other not in seen:
                seen.add(other)
                chosen.append(part)
                if layout.spaces[other].use not in SMALL | {"bath", "shower"}:
                    queue.append(other)
    return chosen


def _door(rng: Random, layout: Layout, part: Part, doors: str) -> Gap | None:
    uses = {layout.spaces[part.first].use, layout.spaces[part.second].use}
    kind, width_m = doors, rng.uniform(0.72, 0.92)
    if doors == "mixed":
        kind = rng.choice(["swing", "swing", "swing", "slide", "gap", "double", "arch", "thick leaf", "pocket"])
    if "store" in uses:
        kind, width_m = (rng.choice(["double", "slide"]) if doors == "mixed" else kind), rng.uniform(0.55, 0.75)
    if kind == "arch":
        width_m = rng.uniform(0.9, 1.6)
    if kind == "double" and "store" not in uses:
        width_m = rng.uniform(1.2, 1.6)
    return _gap(rng, layout, part, kind, width_m) or _gap(rng, layout, part, "swing", 0.66)


def _window(rng: Random, layout: Layout, part: Part) -> Gap | None:
    use = layout.spaces[part.first].use
    if use == "living" and rng.random() < 0.3:
        return _gap(rng, layout, part, "patio", rng.uniform(1.6, 2.4))
    if use in {"bath", "shower", "wc"}:
        return _gap(rng, layout, part, "window", rng.uniform(0.45, 0.8))
    return _gap(rng, layout, part, "window", min(rng.uniform(0.9, 2.2), part.length_m * 0.7))


def _gap(rng: Random, layout: Layout, part: Part, kind: str, width_m: float) -> Gap | None:
    """An opening somewhere along the piece, clear of the walls that meet it at its ends; None if there is no room."""
    spare = part.length_m - width_m - 2 * (NIB_M + 0.12)
    if spare < 0:
        return None
    place = width_m / 2 + NIB_M + 0.12 + spare * rng.choice([0.0, 1.0, 0.5, rng.random()])
    (x0, y0), (x1, y1) = part.start, part.end
    ux, uy = (x1 - x0) / part.length_m, (y1 - y0) / part.length_m
    x, y = x0 + ux * place, y0 + uy * place
    room = part.first if part.second < 0 or rng.random() < 0.5 else part.second
    if part.second >= 0 and layout.spaces[room].use in SMALL | {"hall"}:
        room = part.second if room == part.first else part.first
    nx, ny = -uy, ux
    probe = shapely.Point(x + nx * 0.01, y + ny * 0.01)
    if not layout.spaces[room].cell.covers(probe):
        nx, ny = -nx, -ny
    if part.second < 0:  # the piece runs along the inner face of the outer wall: its middle is half a wall further out
        x, y = x - nx * part.thickness_m / 2, y - ny * part.thickness_m / 2
    return Gap(kind, (x, y), (ux, uy), (nx, ny), width_m, part.thickness_m, room, rng.random() < 0.5)


def _add(gaps: list[Gap], gap: Gap | None) -> None:
    """Put it in unless it stands in another."""
    if gap is not None and all(gap.hole(0.0).distance(other.hole(0.0)) > 0.1 for other in gaps):
        gaps.append(gap)
