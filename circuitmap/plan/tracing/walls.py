"""Where the walls are: filled ones and hollow ones, in every direction that the drawing has."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from circuitmap.plan.tracing.lines import (
    FAR,
    Strips,
    fitting,
    has_open_end,
    in_line,
    is_enclosed,
    is_long,
    lengthened,
    lines_along_rows,
    paint,
    pair,
    straight_mask,
    usual_depths,
    wide_space,
)
from circuitmap.plan.tracing.prepare import Grey, exact
from circuitmap.plan.tracing.strokes import opened, thick_strokes, thicknesses, thin_line_px
from circuitmap.plan.tracing.turned import Turned, slants_deg, turned_by

_ROUNDS: Final = 2
_ENOUGH_ENCLOSED: Final = 2.0  # of the drawing's longer side
_LONG_ASLANT: Final = 3.0
_CLEARLY_WALL: Final = 0.6  # of the thinnest wall's thickness


@dataclass(frozen=True)
class Walls:
    """The walls of a drawing as a mask (1 there), what else is drawn, the thicknesses found, the directions walked."""

    mask: Grey
    ink: Grey
    depths: tuple[float, ...]
    turns: tuple[Turned, ...]
    line_px: float
    strips: tuple[Strips, ...] = ()


@dataclass(frozen=True)
class Strokes:
    """What a drawing is made of: all ink, its filled walls, the thickness of its thin lines, and its directions."""

    ink: Grey
    thick: Grey
    line_px: float
    turns: tuple[Turned, ...]


def find_strokes(ink: Grey) -> Strokes:
    """Part the ink of a drawing that lies straight, and find the directions it has."""
    thick = thick_strokes(ink)
    line_px = thin_line_px(ink & (1 - exact(cv2.dilate(thick, np.ones((3, 3), np.uint8)))))
    turns = tuple(turned_by(angle, ink.shape) for angle in (0.0, 90.0, *slants_deg(ink, thick)))
    return Strokes(ink, thick, line_px, turns)


def filled_walls(strokes: Strokes) -> Walls:
    """Give the filled walls alone."""
    depths = tuple(thicknesses(strokes.thick, strokes.line_px)) if strokes.thick.any() else ()
    # The lines of a window that run close together are thick as well, but not as thick as a wall.
    mask = strokes.thick
    if depths:
        even = exact(cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8)))
        mask = _without_crumbs(opened(even, round(_CLEARLY_WALL * depths[0])), 2 * depths[0] ** 2)
    return Walls(mask, strokes.ink, depths, strokes.turns, strokes.line_px)


def _without_crumbs(mask: Grey, least_px2: float) -> Grey:
    """Give walls without pieces too small to be any: where the leaves of a sliding door lie over one another."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8, ltype=cv2.CV_32S)
    kept = stats[:, cv2.CC_STAT_AREA] >= least_px2
    kept[0] = False
    return exact(kept[labels])


def all_walls(strokes: Strokes) -> Walls:
    """Give the filled and the hollow walls."""
    filled = filled_walls(strokes)
    near = exact(cv2.dilate(strokes.thick, np.ones((3, 3), np.uint8))) if filled.depths else strokes.thick
    mask, depths, strips = _hollow(strokes.ink & (1 - near), strokes.thick, list(strokes.turns), strokes.line_px)
    every = tuple(sorted({*filled.depths, *depths}))
    return Walls(mask | filled.mask, strokes.ink, every, strokes.turns, strokes.line_px, tuple(strips))


def _hollow(thin: Grey, thick: Grey, turns: list[Turned], line_px: float) -> tuple[Grey, list[float], list[Strips]]:
    """Give the mask of hollow walls, their thicknesses, and the strips they are made of, by direction."""
    side = max(thin.shape)
    inks = [turn.turn(thin) for turn in turns]
    strips = [_strips(ink, line_px, side, turn.is_exact) for ink, turn in zip(inks, turns, strict=True)]
    wide = wide_space(thin | thick, side / 18)
    enclosed = [is_enclosed(those, turn.turn(wide), line_px) for those, turn in zip(strips, turns, strict=True)]
    if _run(strips, enclosed) > _ENOUGH_ENCLOSED * side:  # else the walls of this drawing are open at their ends
        strips = [those.only(kept) for those, kept in zip(strips, enclosed, strict=True)]
    evident = [is_long(those) for those in strips]
    for _ in range(_ROUNDS):
        painted = [
            turn.undo(paint(lengthened(those.only(sure)), ink.shape, 0.0, 1))
            for those, sure, ink, turn in zip(strips, evident, inks, turns, strict=True)
        ]
        for one, turn in enumerate(turns):
            others = np.zeros_like(thick)
            for other, mask in enumerate(painted):
                if other != one:
                    others |= mask
            evident[one] = has_open_end(strips[one], inks[one], turn.turn(others), line_px)
            if not turn.is_exact:  # hatching lies aslant as well
                evident[one] &= strips[one].length >= _LONG_ASLANT * strips[one].depth
    found, alone = usual_depths(strips, evident, side)
    depths = sorted({*found, *alone})
    mask = np.zeros_like(thin)
    chosen = []
    for turn, ink, those, sure in zip(turns, inks, strips, evident, strict=True):
        far = fitting(those, alone) & (those.length >= FAR * those.depth)
        fits = fitting(those, depths)
        walls = those.only(fits)
        walls = walls.only(in_line(walls, (sure | far)[fits]))
        chosen.append(walls)
        if len(walls):
            mask |= turn.undo(paint(walls, ink.shape, line_px, 1.3 * max(depths)))
    return mask, depths, chosen


def _run(strips: list[Strips], chosen: "list[np.ndarray[tuple[int, ...], np.dtype[np.bool_]]]") -> float:
    """Give how far the long strips among those chosen run together."""
    return sum(float(those.length[here & is_long(those)].sum()) for those, here in zip(strips, chosen, strict=True))


def _strips(ink: Grey, line_px: float, side: int, is_main: bool) -> Strips:
    shortest = max(9, round(side / 150)) if is_main else round(side / 70)
    across = np.ascontiguousarray(straight_mask(np.ascontiguousarray(ink.T), shortest).T)
    lines = lines_along_rows(straight_mask(ink, shortest), max(3 * line_px, 6.0))
    return pair(lines, across, shortest, line_px, side)
