"""Marks of the building under the wiring: sheets, rooms, walls with their openings, fixtures."""

import itertools
import math
from typing import Final

from circuitmap.drawing.marks import Area, Ink, Line, Mark, Picture, PointMm, Words
from circuitmap.home.records import Fixture, Opening, Room, Sheet, Wall

_FADE: Final = 0.65
_WALL_MM: Final = 100  # half a brick or a stud wall, where nobody measured it (common practice, no source)
_THIN: Final = Ink("fixture", 1.0)
_LEAF: Final = Ink("wall", 1.0)
_SWING_STEPS: Final = 8


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
    """Give a wall as solid pieces between its openings: a door with its swing, a window with its glass."""
    long = math.dist(wall.a_mm, wall.b_mm)
    if long == 0:
        return ()
    (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
    dx, dy = (bx - ax) / long, (by - ay) / long
    half = (wall.thickness_mm or _WALL_MM) / 2

    def at(along: float, out: float) -> PointMm:
        return ax + dx * along - dy * out, ay + dy * along + dx * out

    marks: list[Mark] = []
    done = 0.0
    for opening in sorted(wall.openings, key=lambda each: each.along_mm):
        start = min(max(float(opening.along_mm), done), long)
        stop = min(start + opening.width_mm, long)
        if start > done:
            marks.append(_piece(at(done, half), at(start, half), at(start, -half), at(done, -half)))
        marks += _opening(opening, [at(start, half), at(stop, half), at(stop, -half), at(start, -half)])
        done = max(done, stop)
    if done < long:
        marks.append(_piece(at(done, half), at(long, half), at(long, -half), at(done, -half)))
    return tuple(marks)


def fixture_marks(fixture: Fixture) -> tuple[Mark, ...]:
    """Give a bath, sink or stair as a thin outline with its name."""
    place = fixture.place
    if len(fixture.outline_mm) < 3:
        name = Words("fixture", fixture.kind, (place.x_mm, place.y_mm), "faint", 11, "middle", from_zoom=0.15)
        return (name,)
    outline = tuple((float(x), float(y)) for x, y in fixture.outline_mm)
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    marks: list[Mark] = [Line("fixture", outline, _THIN, closed=True)]
    if fixture.kind == "stair":
        marks += _treads(min(xs), min(ys), wide, high)
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    # Along a wall full of points a name is in the way, so only a stair has it at the reference zoom.
    least = 0.09 if fixture.kind == "stair" else 0.15
    # Words are 11 px high and some 6 px a letter: shown only from the zoom at which they fit in.
    fits = max(len(fixture.kind) * 6 / wide, 14 / high) if wide > 0 and high > 0 else 1.0
    marks.append(Words("fixture", fixture.kind, middle, "faint", 11, "middle", from_zoom=max(fits, least)))
    return tuple(marks)


def _piece(*corners: PointMm) -> Area:
    return Area("wall", (corners,), "wall")


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


def _treads(left: float, top: float, wide: float, high: float) -> list[Mark]:
    count = max(2, round(max(wide, high) / 250))  # a tread goes about 250 mm (common practice, no source)
    marks: list[Mark] = []
    for n, _ in itertools.pairwise(range(1, count + 1)):
        if wide >= high:
            x = left + wide * n / count
            marks.append(Line("fixture", ((x, top), (x, top + high)), Ink("fixture", 0.75)))
        else:
            y = top + high * n / count
            marks.append(Line("fixture", ((left, y), (left + wide, y)), Ink("fixture", 0.75)))
    return marks
