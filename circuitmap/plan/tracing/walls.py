"""Where the walls are: filled ones and hollow ones, in every direction that the drawing has."""

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from circuitmap.jobs import Ticket
from circuitmap.plan.tracing.lines import (
    Strips,
    fitting,
    has_open_end,
    in_line,
    is_long,
    lengthened,
    lines_along_rows,
    pair,
    paint,
    straight_mask,
    usual_depths,
)
from circuitmap.plan.tracing.prepare import Grey
from circuitmap.plan.tracing.strokes import thick_strokes, thicknesses, thin_line_px
from circuitmap.plan.tracing.turned import Turned, slants_deg, turned_by


_ROUNDS: Final = 2


@dataclass(frozen=True)
class Walls:
    """The walls of a drawing as a mask (1 there), what else is drawn, the thicknesses found, the directions walked."""

    mask: Grey
    ink: Grey
    depths: tuple[float, ...]
    turns: tuple[Turned, ...]
    line_px: float


def find_walls(ink: Grey, ticket: Ticket, done: int, total: int) -> Walls:
    """Find the walls of a drawing that lies straight; ticks from ``done`` on, three times."""
    ticket.tick(done, total, "filled walls")
    thick = thick_strokes(ink)
    line_px = thin_line_px(ink & (1 - cv2.dilate(thick, np.ones((3, 3), np.uint8))))
    ticket.tick(done + 1, total, "directions")
    turns = [turned_by(angle, ink.shape) for angle in (0.0, 90.0, *slants_deg(ink, thick))]
    ticket.tick(done + 2, total, "hollow walls")
    thin = ink & (1 - thick)
    mask, depths = _hollow(thin, thick, turns, line_px)
    filled = thicknesses(thick) if thick.any() else []
    mask |= thick
    return Walls(mask, ink, tuple(sorted({*filled, *depths})), tuple(turns), line_px)


def _hollow(thin: Grey, thick: Grey, turns: list[Turned], line_px: float) -> tuple[Grey, list[float]]:
    """Give the mask of hollow walls, and their thicknesses."""
    side = max(thin.shape)
    inks = [turn.turn(thin) for turn in turns]
    strips = [_strips(ink, line_px, side, turn.is_exact) for ink, turn in zip(inks, turns, strict=True)]
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
    depths = usual_depths(strips, evident)
    mask = np.zeros_like(thin)
    for turn, ink, those, sure in zip(turns, inks, strips, evident, strict=True):
        fits = fitting(those, depths)
        walls = those.only(fits)
        walls = walls.only(in_line(walls, sure[fits]))
        if len(walls):
            mask |= turn.undo(paint(walls, ink.shape, line_px, 1.3 * max(depths)))
    return mask, depths


def _strips(ink: Grey, line_px: float, side: int, is_main: bool) -> Strips:
    shortest = max(9, round(side / 150)) if is_main else round(side / 70)
    across = np.ascontiguousarray(straight_mask(np.ascontiguousarray(ink.T), shortest).T)
    lines = lines_along_rows(straight_mask(ink, shortest), max(3 * line_px, 6.0))
    return pair(lines, across, shortest, line_px, side)
