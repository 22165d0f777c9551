"""Drawings of storeys of flats that never were, as planning programs plot them; only teaching looks at them."""

import itertools
import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Final

import numpy as np
import shapely
from shapely import LineString, Polygon, box
from shapely.ops import unary_union

from tests.plans.drawn import Drawn, DrawnRoom
from tests.plans.drawn_fittings import (
    build_counter,
    build_in,
    build_wardrobe,
    draw_lifts,
    draw_shaft,
    draw_stairs,
    stand_beside_walls,
)
from tests.plans.drawn_flats import COMMON, Storey, Thick, lay_out_flats
from tests.plans.drawn_furniture import PIECES, furnish
from tests.plans.drawn_ink import Frame, Pen
from tests.plans.drawn_labels import draw_dimensions
from tests.plans.drawn_layout import Layout, Part
from tests.plans.drawn_openings import Gap
from tests.plans.drawn_paper import weather
from tests.plans.drawn_walls import draw_area

Style = dict[str, object]
_WET: Final = frozenset({"bath", "shower", "wc", "kitchen", "utility"})
_AS_FURNISHED: Final = {"dressing": "store", "corridor": "", "lift": "", "store": "", "stairs": ""}
_MANNERS: Final = (*("hollow",) * 7, "black", "grey", "hatched")


@dataclass(frozen=True, slots=True)
class _Lot:
    """What one sheet draws alike all over."""

    light: int  # the ink of furniture, swings and tiles
    nib_m: float
    has_frames: bool
    thresholds: int
    leaf: str
    is_joined: bool
    panes: int


def storey_style(rng: Random) -> Style:
    """How a storey is drawn: mostly clean plots, in inks of many greys (what colours come out as)."""
    clean = rng.random() < 0.75
    return {
        "px per m": rng.uniform(85, 200),
        "length m": 0.0,  # by lot
        "walls": rng.choice(_MANNERS),
        "inner walls": rng.choice((*("hollow",) * 6, "black", "grey")),
        "wall ink": rng.choice([0, 0, rng.randint(0, 130)]),
        "inner ink": rng.choice([0, 0, rng.randint(0, 160)]),
        "wall grey": rng.randint(95, 205),
        "grey edge": rng.random() < 0.75,
        "edge px": rng.choice([1, 1, 2, 2, 3]),
        "hatch m": rng.uniform(0.06, 0.15),
        "hatch deg": rng.choice([45.0, -45.0]),
        "hatch ink": rng.randint(0, 150),
        "outer m": rng.uniform(0.1, 0.3),
        "main m": rng.uniform(0.1, 0.22),
        "inner m": rng.choice([rng.uniform(0.05, 0.075), rng.uniform(0.06, 0.12)]),
        "furniture": rng.choice([0.0, 0.4, 0.9]),
        "furniture ink": rng.randint(40, 190),
        "tiles": rng.random() < 0.6,
        "dims outside": rng.random() < 0.25,
        "dims inside": rng.random() < 0.15,
        "turn deg": rng.choice([0.0, 0.0, 0.0, rng.uniform(-2.0, 2.0)]),
        "smooth": rng.random() < 0.8,
        "paper": 255 if clean else rng.randint(225, 255),
        "fade": 0.0 if clean else rng.choice([0.0, 0.2]),
        "specks": 0 if clean else rng.choice([0, 20]),
        "blur px": 0.0 if clean else rng.choice([0.0, rng.uniform(0.3, 0.9)]),
        "light": 0.0 if clean else rng.choice([0.0, rng.uniform(0.1, 0.4)]),
        "grain": 0.0 if clean else rng.uniform(0.0, 5.0),
        "jpeg": None if clean else rng.choice([None, rng.randint(40, 90)]),
    }


def draw_storey(seed: int, style: Style | None = None) -> Drawn:
    """The storey of a seed; ``style`` overrules features by the names ``storey_style`` gives them."""
    rng = Random(f"drawn storey {seed}")
    look = storey_style(rng) | dict(style or {})
    thick = Thick(_number(look, "outer m"), _number(look, "main m"), _number(look, "inner m"))
    storey = lay_out_flats(rng, thick, _number(look, "length m") or None)
    lot = _Lot(
        rng.randint(40, 190), rng.uniform(0.03, 0.14), rng.random() < 0.4, rng.choice([0, 0, 0, 1, 2]),
        rng.choice(["line", "leaf", "leaf"]), rng.random() < 0.5, rng.choice([1, 2, 3, 4]),
    )  # fmt: skip
    gaps = _doors(rng, storey, lot) + _windows(rng, storey)
    frame, wide, high = _framed(rng, storey.layout, look)
    pen = Pen(np.full((high, wide), 255, np.uint8), frame, 1, bool(look["smooth"]))
    pen.thin_px = max(1, min(3, round(frame.px_per_m * rng.uniform(0.004, 0.011))))
    look["edge px"] = min(int(_number(look, "edge px")), max(1, round(frame.px_per_m * 0.013)))
    holes = unary_union([gap.hole() for gap in gaps]) if gaps else Polygon()
    _outdoors(rng, pen, storey, lot, look)
    _floors(rng, pen, storey, gaps, lot, look)
    _draw_walls(pen, storey, holes, lot, look)
    for shaft in storey.shafts:
        draw_shaft(rng, pen, shaft, int(_number(look, "inner ink")))
    for gap in gaps:
        _draw_gap(rng, pen, gap, lot, int(_number(look, "inner ink")))
    _words(rng, pen, storey)
    draw_dimensions(rng, pen, storey.layout, look)
    _axes(rng, pen, storey)
    rooms = tuple(
        DrawnRoom(f"{space.use} {at}", frame.px(list(space.floor.exterior.coords)[:-1]))
        for at, space in enumerate(storey.layout.spaces)
    )
    grey = weather(pen.sheet, look, np.random.default_rng(seed))
    grey.flags.writeable = False
    return Drawn(grey, rooms, frame.px_per_m, look, ())


def _number(style: Style, name: str) -> float:
    return float(str(style[name]))


def _framed(rng: Random, layout: Layout, look: Style) -> tuple[Frame, int, int]:
    margin_m = 1.9 if look["dims outside"] else rng.uniform(0.3, 2.2)
    turn = math.radians(_number(look, "turn deg"))
    x0, y0, x1, y1 = layout.outside.bounds
    corners = Frame(1.0, turn, 0.0, 0.0).px([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    low, high = corners.min(axis=0) - margin_m, corners.max(axis=0) + margin_m
    scale = _number(look, "px per m")
    frame = Frame(scale, turn, -float(low[0]) * scale, -float(low[1]) * scale)
    wide, deep = (float(value) * scale for value in high - low)
    return frame, math.ceil(wide), math.ceil(deep)


def _doors(rng: Random, storey: Storey, lot: _Lot) -> list[Gap]:
    """From the corridor into each flat, and from its living room on into every room."""
    spaces, parts = storey.layout.spaces, storey.layout.parts
    gaps: list[Gap] = []
    corridors = [at for at, space in enumerate(spaces) if space.use == "corridor"]
    for flat in sorted(set(storey.flats)):
        rooms = [at for at, each in enumerate(storey.flats) if each == flat]
        if flat == COMMON:
            for part in parts:
                pair = {part.first, part.second}
                if part.second >= 0 and pair <= set(rooms) and pair & set(corridors):
                    _add(gaps, _door(rng, storey, part, lot, rng.uniform(0.8, 1.1)))
            continue
        root = next(at for at in rooms if spaces[at].use == "living")
        entries = [p for p in parts if p.second >= 0 and root in (p.first, p.second) and _other(p, root) in corridors]
        for part in sorted(entries, key=_shortness)[:1]:
            _add(gaps, _door(rng, storey, part, lot, rng.uniform(0.8, 0.95)))
        reached, queue = {root}, deque([root])
        while queue:
            here = queue.popleft()
            near = [p for p in parts if p.second >= 0 and here in (p.first, p.second)]
            rng.shuffle(near)
            for part in near:
                other = _other(part, here)
                if other in reached or other not in rooms:
                    continue
                gap = _door(rng, storey, part, lot, rng.uniform(0.6, 0.85))
                if gap is not None:
                    _add(gaps, gap)
                    reached.add(other)
                    if spaces[other].use not in {"bath", "shower", "store"}:
                        queue.append(other)
    return gaps


def _other(part: Part, room: int) -> int:
    return part.second if part.first == room else part.first


def _shortness(part: Part) -> float:
    return -part.length_m


def _door(rng: Random, storey: Storey, part: Part, lot: _Lot, width_m: float) -> Gap | None:
    end_m = 0.09 + lot.nib_m
    if part.length_m - 2 * end_m < 0.55:
        return None
    width_m = min(width_m, part.length_m - 2 * end_m)
    spare = part.length_m - width_m - 2 * end_m
    kind = rng.choice(["swing"] * 9 + ["slide", "pocket", "gap", "double"])
    return _gap(rng, storey, part, kind, width_m, end_m + width_m / 2 + spare * rng.choice([0.0, 1.0, 0.0, 1.0, 0.5]))


def _windows(rng: Random, storey: Storey) -> list[Gap]:
    gaps: list[Gap] = []
    for part in storey.layout.parts:
        use = storey.layout.spaces[part.first].use
        if part.second >= 0 or part.length_m < 0.9 or rng.random() < 0.2:
            continue
        share = rng.uniform(0.55, 0.97) if use in {"living", "bedroom"} else rng.uniform(0.25, 0.5)
        _add(gaps, _gap(rng, storey, part, "window", share * (part.length_m - 0.3), part.length_m / 2))
    return gaps


def _gap(rng: Random, storey: Storey, part: Part, kind: str, width_m: float, place_m: float) -> Gap:
    (x0, y0), (x1, y1) = part.start, part.end
    ux, uy = (x1 - x0) / part.length_m, (y1 - y0) / part.length_m
    x, y = x0 + ux * place_m, y0 + uy * place_m
    room = part.first if part.second < 0 or rng.random() < 0.5 else part.second
    nx, ny = -uy, ux
    if not storey.layout.spaces[room].cell.covers(shapely.Point(x + nx * 0.01, y + ny * 0.01)):
        nx, ny = -nx, -ny
    if part.second < 0:
        x, y = x - nx * part.thickness_m / 2, y - ny * part.thickness_m / 2
    return Gap(kind, (x, y), (ux, uy), (nx, ny), width_m, part.thickness_m, room, rng.random() < 0.5)


def _add(gaps: list[Gap], gap: Gap | None) -> None:
    if gap is not None and all(gap.hole(0.0).distance(other.hole(0.0)) > 0.03 for other in gaps):
        gaps.append(gap)


def _outdoors(rng: Random, pen: Pen, storey: Storey, lot: _Lot, look: Style) -> None:
    """Balconies along the open sides: slabs with a parapet and tiles; no rooms."""
    x0, y0, x1, y1 = storey.layout.outside.bounds
    for edge, way in ((y0, -1), (y1, 1)):
        if rng.random() < 0.4:
            continue
        out_m, wall_m = rng.uniform(0.9, 1.6), rng.uniform(0.06, 0.15)
        stops = [x0, x1] if rng.random() < 0.5 else sorted([x0, x1, *(rng.uniform(x0, x1) for _ in range(3))])
        for a, b in itertools.pairwise(stops):
            if b - a < 1.0 or rng.random() < 0.15:
                continue
            near, far = sorted((edge, edge + way * out_m))
            if rng.random() < 0.7:
                for turn in (0.0, 90.0):
                    pen.shade(box(a, near, b, far), rng.choice([0.3, 0.4, 0.6]), turn, lot.light)
            pen.edge(box(a, near, b, far), int(_number(look, "wall ink")))
            pen.edge(box(a + wall_m, near + wall_m, b - wall_m, far - wall_m), lot.light)


def _floors(rng: Random, pen: Pen, storey: Storey, gaps: Sequence[Gap], lot: _Lot, look: Style) -> None:
    """Tiles, wardrobes behind thin fronts, furniture, units; stairs and lifts."""
    layout = storey.layout
    clear = unary_union([gap.hole().buffer(0.3) for gap in gaps]) if gaps else Polygon()
    furnished = []
    inner = int(_number(look, "inner ink"))
    fixed = rng.choice([inner, inner, int(_number(look, "furniture ink"))])  # drawn like walls, often
    for space in layout.spaces:
        if look["tiles"] and space.use in _WET | {"corridor"} and rng.random() < 0.85:
            size = max(rng.choice([0.2, 0.3, 0.33, 0.45, 0.6]), 6 / pen.frame.px_per_m)
            for turn in (0.0, 90.0):
                pen.shade(space.floor, size, turn, min(lot.light + 40, 215))
        if space.use == "bedroom" or (space.use in {"living", "corridor", "dressing"} and rng.random() < 0.35):
            build_wardrobe(rng, pen, space.floor, clear, rng.choice([lot.light, int(_number(look, "inner ink"))]))
        if space.use == "lift":
            draw_lifts(rng, pen, space.floor, lot.light)
        if space.use == "stairs":
            draw_stairs(rng, pen, space.floor, lot.light)
        if space.use in {"bath", "shower", "utility", "dressing"}:
            build_in(rng, pen, space.floor, clear, fixed)
        if space.use in {"bedroom", "living"}:
            stand_beside_walls(rng, pen, space.floor, clear, fixed)
        if space.use in {"kitchen", "living"} and rng.random() < 0.6:
            build_counter(rng, pen, space.floor, clear, lot.light)
        use = _AS_FURNISHED.get(space.use, space.use)
        if use in PIECES:
            furnished.append(replace(space, use=use))
        if use == "living":
            furnished.append(replace(space, use="kitchen"))
    furnish(rng, pen, replace(layout, spaces=tuple(furnished)), gaps, look | {"tiles": False, "boards": False})


def _draw_walls(pen: Pen, storey: Storey, holes: Polygon, lot: _Lot, look: Style) -> None:
    solid = storey.layout.walls.difference(holes)
    inner = look | {"wall ink": look["inner ink"]}
    if lot.is_joined and look["walls"] == look["inner walls"]:
        draw_area(pen, solid, str(look["walls"]), look)
        return
    draw_area(pen, solid.difference(storey.main_walls), str(look["inner walls"]), inner)
    draw_area(pen, solid.intersection(storey.main_walls), str(look["walls"]), look)


def _draw_gap(rng: Random, pen: Pen, gap: Gap, lot: _Lot, ink: int) -> None:
    half, side = gap.width_m / 2, gap.thickness_m / 2
    if gap.kind == "window":
        levels = {1: (0.0,), 2: (-side, side), 3: (-side, 0.0, side), 4: (-side, -side / 3, side / 3, side)}[lot.panes]
        for level in levels:
            pen.line([gap.at(-half, level), gap.at(half, level)], ink)
        if lot.panes == 1:
            for end in (-half, half):
                pen.line([gap.at(end, -side), gap.at(end, side)], ink)
        return
    for level in (side, -side)[: lot.thresholds]:
        pen.line([gap.at(-half, level), gap.at(half, level)], lot.light)
    if lot.has_frames and gap.kind != "gap":
        for end, way in ((-half, 1), (half, -1)):
            corners = [gap.at(end, -side - 0.01), gap.at(end + way * 0.04, -side - 0.01)]
            corners += [gap.at(end + way * 0.04, side + 0.01), gap.at(end, side + 0.01)]
            pen.line(corners, ink, None, is_closed=True)
    if gap.kind in {"swing", "double"}:
        hinges = (-half, half) if gap.kind == "double" else ((-half,) if gap.is_hinged_first else (half,))
        for hinge in hinges:
            shut = 0.0 if gap.kind == "double" else -hinge
            _leaf(pen, gap, hinge, shut, lot, ink)
    elif gap.kind == "slide":
        for a, b, at in ((-half, 0.04, 0.0), (-0.04, half, -0.04)):
            pen.line([gap.at(a, at), gap.at(b, at), gap.at(b, at + 0.03), gap.at(a, at + 0.03)], lot.light, None, True)
    elif gap.kind == "pocket":
        pen.line([gap.at(-half * 2.9, 0.0), gap.at(half * 0.4, 0.0)], lot.light, pen.thin_px + 1)


def _leaf(pen: Pen, gap: Gap, hinge: float, shut: float, lot: _Lot, ink: int) -> None:
    side, length = gap.thickness_m / 2, abs(shut - hinge)
    pivot, free = gap.at(hinge, side), gap.at(hinge, side + length)
    if lot.leaf == "line":
        pen.line([pivot, free], ink)
    else:
        off = math.copysign(0.04, shut - hinge)
        pen.line([pivot, free, gap.at(hinge + off, side + length), gap.at(hinge + off, side)], ink, None, True)
    pen.arc(pivot, length, free, gap.at(shut, side), lot.light)


def _words(rng: Random, pen: Pen, storey: Storey) -> None:
    """The numbers of each flat in its living room; the names of some rooms; lamps and letters in corridors."""
    height = max(8, round(rng.uniform(0.11, 0.24) * pen.frame.px_per_m))
    ink, lines, named = rng.randint(0, 180), rng.randint(1, 8), rng.choice([0.0, 0.3, 0.9])
    for at, space in enumerate(storey.layout.spaces):
        spot = space.floor.representative_point()
        x, y = spot.x + rng.uniform(-0.3, 0.3), spot.y + rng.uniform(-0.3, 0.3)
        step = 1.2 * height / pen.frame.px_per_m
        if space.use == "living":
            for line in range(lines):
                words = f"{rng.randint(101, 1999)}-{rng.randint(101, 1999)}" if line else f"FLAT {at}"
                pen.words(words, (x, y + step * (line - lines / 2)), height, ink)
        elif space.use == "corridor":
            for along in np.arange(space.floor.bounds[0] + 1, space.floor.bounds[2], 3.5).tolist():
                pen.oval((along, spot.y), 0.3, 0.3, ink)
                pen.words(rng.choice(["E", "S/E", "F60"]), (along + 0.5, spot.y), height, ink)
        elif rng.random() < named:
            pen.words(space.use.upper(), (x, y), max(7, round(height * 0.8)), ink)


def _axes(rng: Random, pen: Pen, storey: Storey) -> None:
    """Building axes right across the sheet, dashed and dotted, often in the middle of a wall."""
    if rng.random() < 0.35:
        return
    x0, y0, x1, y1 = storey.layout.outside.bounds
    ink = rng.randint(90, 210)
    walls = [part for part in storey.layout.parts if part.second >= 0 and part.length_m > 2.0]
    for _ in range(rng.randint(1, 6)):
        is_upright = rng.random() < 0.6
        place = rng.uniform(x0, x1) if is_upright else rng.uniform(y0, y1)
        level = [part.start[0 if is_upright else 1] for part in walls if (part.start[0] == part.end[0]) == is_upright]
        if level and rng.random() < 0.6:
            place = rng.choice(level)
        start, end = (y0 - 1.5, y1 + 1.5) if is_upright else (x0 - 1.5, x1 + 1.5)
        dash = rng.uniform(0.5, 1.4)
        for at in np.arange(start, end, dash * 1.4).tolist():
            for a, b in ((at, at + dash), (at + dash * 1.17, at + dash * 1.23)):
                pen.edge(LineString([(place, a), (place, b)] if is_upright else [(a, place), (b, place)]), ink)
