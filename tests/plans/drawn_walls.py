"""Walls, doors and windows as draughtsmen draw them."""

import math
from collections.abc import Sequence
from random import Random

from shapely import Polygon
from shapely.ops import unary_union

from tests.plans.drawn_ink import Pen
from tests.plans.drawn_layout import Layout
from tests.plans.drawn_openings import Gap

Style = dict[str, object]


def draw_walls(pen: Pen, layout: Layout, gaps: Sequence[Gap], style: Style) -> None:
    """The walls without their openings, in the style's manner; outer and inner ones may differ."""
    solid = layout.walls.difference(unary_union([gap.hole() for gap in gaps])) if gaps else layout.walls
    if style["walls"] == style["inner walls"]:
        draw_area(pen, solid, str(style["walls"]), style)
        return
    floors = unary_union([space.cell for space in layout.spaces])
    draw_area(pen, solid.intersection(floors), str(style["inner walls"]), style)
    draw_area(pen, solid.difference(floors), str(style["walls"]), style)


def draw_area(pen: Pen, area: Polygon, manner: str, style: Style) -> None:
    """An area of wall in a manner: filled, hollow or hatched."""
    edge_px = int(str(style["edge px"]))
    if manner in {"black", "line"}:
        pen.fill(area, int(str(style["wall ink"])))
    elif manner == "grey":
        pen.fill(area, int(str(style["wall grey"])))
        if style["grey edge"]:
            pen.edge(area, int(str(style["wall ink"])), edge_px)
    else:
        if manner == "hatched":
            gap_m = max(float(str(style["hatch m"])), 5 / pen.frame.px_per_m)
            pen.shade(area, gap_m, float(str(style["hatch deg"])), int(str(style["hatch ink"])), pen.thin_px)
        pen.edge(area, int(str(style["wall ink"])), edge_px)


def draw_gaps(rng: Random, pen: Pen, gaps: Sequence[Gap], style: Style) -> None:
    """Leaves, swings, sliding leaves, thresholds and panes."""
    for gap in gaps:
        if gap.kind == "window":
            _window(pen, gap, str(style["window"]))
        elif gap.kind == "patio":
            _patio(pen, gap)
        else:
            if style["threshold"] and gap.kind != "arch":
                side = gap.thickness_m / 2
                pen.line([gap.at(-gap.width_m / 2, side), gap.at(gap.width_m / 2, side)], 90)
                if rng.random() < 0.4:
                    pen.line([gap.at(-gap.width_m / 2, -side), gap.at(gap.width_m / 2, -side)], 90)
            _door(pen, gap, style)


def _window(pen: Pen, gap: Gap, manner: str) -> None:
    half, side = gap.width_m / 2, gap.thickness_m / 2
    across = {
        "one": (0.0,),
        "two": (-side, side),
        "three": (-side, 0.0, side),
        "four": (-side, -side * 0.25, side * 0.25, side),
        "frame": (-0.03, 0.03),
    }[manner]
    for at in across:
        pen.line([gap.at(-half, at), gap.at(half, at)])
    for end in (-half, half):  # the reveals
        pen.line([gap.at(end, -side), gap.at(end, side)])


def _patio(pen: Pen, gap: Gap) -> None:
    half, side = gap.width_m / 2, gap.thickness_m / 2
    pen.line([gap.at(-half, -side), gap.at(half, -side)])
    for a, b, at in ((-half, 0.05, 0.02), (-0.05, half, -0.05)):
        pen.line([gap.at(a, at), gap.at(b, at), gap.at(b, at + 0.04), gap.at(a, at + 0.04)], is_closed=True)


def _door(pen: Pen, gap: Gap, style: Style) -> None:
    half, side = gap.width_m / 2, gap.thickness_m / 2
    if gap.kind in {"swing", "thick leaf"}:
        ends = (-half, half) if gap.is_hinged_first else (half, -half)
        _leaf(pen, gap, ends[0], ends[1], gap.kind == "thick leaf", bool(style["arcs"]))
    elif gap.kind == "double":
        for hinge in (-half, half):
            _leaf(pen, gap, hinge, 0.0, False, bool(style["arcs"]))
    elif gap.kind == "slide":
        for a, b, at in ((-half, 0.04, 0.0), (-0.04, half, -0.05)):
            pen.line([gap.at(a, at), gap.at(b, at), gap.at(b, at + 0.04), gap.at(a, at + 0.04)], is_closed=True)
    elif gap.kind == "pocket":
        pen.line([gap.at(-half, side + 0.02), gap.at(half * 1.1, side + 0.02)], 0, pen.thin_px + 1)


def _leaf(pen: Pen, gap: Gap, hinge: float, shut: float, is_thick: bool, has_arc: bool) -> None:
    side = gap.thickness_m / 2
    length = abs(shut - hinge)
    pivot, free, closed = gap.at(hinge, side), gap.at(hinge, side + length), gap.at(shut, side)
    if is_thick:
        sign = math.copysign(0.045, shut - hinge)
        other = [gap.at(hinge + sign, side + length), gap.at(hinge + sign, side)]
        pen.line([pivot, free, *other], is_closed=True)
    else:
        pen.line([pivot, free])
    if has_arc:
        pen.arc(pivot, length, free, closed)
