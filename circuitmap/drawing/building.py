"""Marks of the building under the wiring: sheets, rooms, walls of what they are built with their openings."""

import math
from collections.abc import Callable
from typing import Final

from circuitmap.drawing.marks import Area, Ink, Line, Mark, Picture, PointMm
from circuitmap.home.records import Opening, Room, Sheet, Wall
from circuitmap.words import Build

UNKNOWN_WALL: Final = "wall/half"

_FADE: Final = 0.65
UNKNOWN_THICK_MM: Final = 100  # half a brick or a stud wall, where nobody measured it (common practice, no source)
_LEAF: Final = Ink("wall", 1.0)
_SWING_STEPS: Final = 8
_STUDS_MM: Final = 400  # studs stand so far apart, centre to centre (common practice, no source)
# Plasterboard on dabs stands some 25 mm off its wall (common practice, no source).
_LINING_MM: Final = 25


def sheet_marks(sheet: Sheet) -> tuple[Mark, ...]:
    """Give a sheet's picture, faded; nothing while it has no scale."""
    if sheet.px_to_plan_mm is None:
        return ()
    return (Picture("underlay", sheet.asset, sheet.px_to_plan_mm, _FADE, sheet.page),)


def room_outline(room: Room, over_picture: bool) -> tuple[Mark, ...]:
    """Give a room's floor and outline; over a picture the outline alone, so that the picture shows."""
    if len(room.outline_mm) < 3:
        return ()
    outline = tuple((float(x), float(y)) for x, y in room.outline_mm)
    if over_picture:
        return (Line("room", outline, Ink("wall", 2.0), closed=True),)
    return (Area("room", (outline,), "room", Ink("wall", 2.0)),)


def wall_marks(wall: Wall) -> tuple[Mark, ...]:
    """Give a wall in pieces between its openings: a door with its swing, a window with its glass.

    Masonry is solid, a stud wall hollow with its studs across, a dry-lined one solid with a line on either face, and
    one of which nobody said what it is built of a paler tone.
    """
    long = math.dist(wall.a_mm, wall.b_mm)
    if long == 0:
        return ()
    (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
    dx, dy = (bx - ax) / long, (by - ay) / long
    half = (wall.thickness_mm or UNKNOWN_THICK_MM) / 2

    def at(along: float, out: float) -> PointMm:
        return ax + dx * along - dy * out, ay + dy * along + dx * out

    marks: list[Mark] = []
    done = 0.0
    for opening in sorted(wall.openings, key=lambda each: each.along_mm):
        start = min(max(float(opening.along_mm), done), long)
        stop = min(start + opening.width_mm, long)
        if start > done:
            marks += _piece(wall.build, at, (done, start), half)
        marks += _opening(opening, [at(start, half), at(stop, half), at(stop, -half), at(start, -half)])
        done = max(done, stop)
    if done < long:
        marks += _piece(wall.build, at, (done, long), half)
    return tuple(marks)


def _piece(build: Build, at: Callable[[float, float], PointMm], span: tuple[float, float], half: float) -> list[Mark]:
    start, stop = span

    def box(out: float) -> tuple[PointMm, ...]:
        return at(start, out), at(stop, out), at(stop, -out), at(start, -out)

    if build == "stud":
        studs = [_STUDS_MM * n for n in range(int(start // _STUDS_MM) + 1, int(stop // _STUDS_MM) + 1)]
        across = (Line("wall", (at(x, half), at(x, -half)), _LEAF) for x in studs if start < x < stop)
        return [Area("wall", (box(half),), "paper", _LEAF), *across]
    if build == "lined":
        core = max(half - _LINING_MM, half / 2)
        return [Area("wall", (box(half),), "paper", _LEAF), Area("wall", (box(core),), "wall")]
    if build == "unknown":
        return [Area("wall", (box(half),), UNKNOWN_WALL, _LEAF)]
    return [Area("wall", (box(half),), "wall")]


def _opening(opening: Opening, corners: list[PointMm]) -> list[Mark]:
    near_a, near_b, far_b, far_a = corners
    kind = opening.kind.lower()
    sides: list[Mark] = [Line("wall", (near_a, far_a), _LEAF), Line("wall", (near_b, far_b), _LEAF)]
    if "window" in kind:
        middle = tuple(((p[0] + q[0]) / 2, (p[1] + q[1]) / 2) for p, q in ((near_a, far_a), (near_b, far_b)))
        rails = (Line("wall", (near_a, near_b), _LEAF), Line("wall", (far_a, far_b), _LEAF))
        return [*sides, *rails, Line("wall", middle, _LEAF)]
    if "door" in kind:
        wide = math.dist(near_a, near_b)
        start = math.atan2(near_b[1] - near_a[1], near_b[0] - near_a[0])
        swing = [start + math.pi / 2 * n / _SWING_STEPS for n in range(_SWING_STEPS + 1)]
        arc = tuple((near_a[0] + wide * math.cos(t), near_a[1] + wide * math.sin(t)) for t in swing)
        return [*sides, Line("wall", (near_a, arc[-1]), _LEAF), Line("wall", arc, Ink("fixture", 0.75))]
    return sides
