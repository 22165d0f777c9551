"""Fixtures as plain outlines: bath, tray, basin, sink, hob, units, stairs, each from its outline and the way it faces.

Everything is laid out in the fixture's own frame, in millimetres: across runs along its back, out runs away from the
wall (up the flight, for a stair). What was drawn with another outline than a rectangle keeps that outline alone.
"""

import math
from collections.abc import Callable
from typing import Final

from circuitmap.drawing.marks import Area, Ink, Layer, Line, Mark, PointMm, Words
from circuitmap.home.records import Corner, Fixture, Place
from circuitmap.words import FixtureKind

_STEPS: Final = 24
_GOING_MM: Final = 220.0  # a usual going of a flight (common practice, no source)
_RIM_MM: Final = 60.0
_NAMED_FROM: Final = 0.15
_SQUARE: Final = math.sin(math.radians(4))
# What has a drawing of its own needs its name less, and only where it is large enough not to be covered by it.
_PLAIN: Final = frozenset(("unit", "appliance", "furniture", "chimney", "radiator"))

At = Callable[[float, float], PointMm]


class _Frame:
    """A fixture's rectangle: so wide across, so deep out, and where its spots lie on the plan."""

    def __init__(self, outline: tuple[Corner, ...], faces_deg: float) -> None:
        ahead_x, ahead_y = math.cos(math.radians(faces_deg)), math.sin(math.radians(faces_deg))
        self._ahead, self._aside = (ahead_x, ahead_y), (ahead_y, -ahead_x)
        outs = [x * ahead_x + y * ahead_y for x, y in outline]
        across = [x * ahead_y - y * ahead_x for x, y in outline]
        self._out, self._left = min(outs), min(across)
        self.wide, self.deep = max(across) - min(across), max(outs) - min(outs)

    def at(self, across: float, out: float) -> PointMm:
        """Give where a spot of the frame lies on the plan."""
        a, o = self._left + across, self._out + out
        return a * self._aside[0] + o * self._ahead[0], a * self._aside[1] + o * self._ahead[1]


def fixture_marks(fixture: Fixture) -> tuple[Mark, ...]:
    """Give a fixture as thin lines with its name, which is shown from the zoom on at which it fits."""
    place = fixture.place
    if len(fixture.outline_mm) < 3:
        name = Words("fixture", fixture.kind, (place.x_mm, place.y_mm), "faint", 11, "middle", from_zoom=_NAMED_FROM)
        return (name,)
    shape = fixture_shape(fixture.kind, place, fixture.outline_mm)
    xs, ys = [x for x, _ in fixture.outline_mm], [y for _, y in fixture.outline_mm]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    # Words are 11 px high and some 6 px a letter: shown only from the zoom at which they fit in.
    fits = max(len(fixture.kind) * 6 / wide, 14 / high) if wide > 0 and high > 0 else 1.0
    least = _NAMED_FROM if fixture.kind in _PLAIN else 2 * _NAMED_FROM
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    named = Words("fixture", fixture.kind, middle, "faint", 11, "middle", from_zoom=max(fits, least), plate=True)
    return (*shape, named)


def fixture_shape(
    kind: FixtureKind, place: Place, outline: tuple[Corner, ...], *, layer: Layer = "fixture", role: str = "fixture"
) -> tuple[Mark, ...]:
    """Give the lines of a fixture: its outline, and what is drawn inside a rectangle of its kind."""
    thin, fine = Ink(role, 1.0), Ink(role, 0.75)
    around = tuple((float(x), float(y)) for x, y in outline)
    if kind == "shower head":
        middle = float(place.x_mm), float(place.y_mm)
        return (Line(layer, _ring(middle, 100), thin, closed=True), Line(layer, _ring(middle, 35), fine, closed=True))
    edge: tuple[Mark, ...] = (Line(layer, around, thin, closed=True),)
    if kind == "chimney":
        edge = (Area(layer, (around,), f"{role}/tint", thin),)
    if not _is_rectangle(outline, place.faces_deg):
        return edge
    faces = place.faces_deg if place.faces_deg is not None else _long_way(outline) + (0 if kind == "stair" else 90)
    frame = _Frame(outline, faces)
    inside = _INSIDE.get(kind)
    lines = inside(frame, place.faces_deg is not None) if inside is not None else []
    return (*edge, *(Line(layer, points, fine, closed=closed) for points, closed in lines))


# -- what is inside ---------------------------------------------------------------------------------------------------

Lines = list[tuple[tuple[PointMm, ...], bool]]


def _bath(frame: _Frame, _faces: bool) -> Lines:
    rim = min(_RIM_MM, frame.wide / 6, frame.deep / 6)
    long_is_across = frame.wide >= frame.deep
    waste = (rim + 120, frame.deep / 2) if long_is_across else (frame.wide / 2, rim + 120)
    return [
        (_rounded(frame, rim, rim, frame.wide - rim, frame.deep - rim, min(frame.wide, frame.deep) / 4), True),
        (_ring(frame.at(*waste), 28), True),
    ]


def _tray(frame: _Frame, _faces: bool) -> Lines:
    middle = frame.at(frame.wide / 2, frame.deep / 2)
    corners = [(0.0, 0.0), (frame.wide, 0.0), (frame.wide, frame.deep), (0.0, frame.deep)]
    lines: Lines = []
    for corner in corners:
        x, y = frame.at(*corner)
        away = math.dist((x, y), middle) or 1.0
        near = (middle[0] + (x - middle[0]) * 45 / away, middle[1] + (y - middle[1]) * 45 / away)
        lines.append((((x, y), near), False))
    return [*lines, (_ring(middle, 45), True)]


def _basin(frame: _Frame, faces: bool) -> Lines:
    if not faces:
        return [(_oval(frame, frame.wide / 2, frame.deep / 2, frame.wide * 0.4, frame.deep * 0.36), True)]
    return [
        (_oval(frame, frame.wide / 2, frame.deep * 0.57, frame.wide * 0.4, frame.deep * 0.34), True),
        (_ring(frame.at(frame.wide / 2, frame.deep * 0.12), 20), True),
    ]


def _sink(frame: _Frame, _faces: bool) -> Lines:
    rim = min(50.0, frame.deep / 8)
    bowl = frame.wide * 0.5
    lines: Lines = [
        (_rounded(frame, rim, rim, bowl, frame.deep - rim, 60), True),
        (_ring(frame.at((rim + bowl) / 2, frame.deep / 2), 25), True),
    ]
    for n in range(1, 5):
        out = rim + (frame.deep - 2 * rim) * n / 5
        lines.append(((frame.at(bowl + rim, out), frame.at(frame.wide - rim, out)), False))
    return lines


def _hob(frame: _Frame, _faces: bool) -> Lines:
    radius = min(frame.wide, frame.deep) * 0.16
    return [
        (_ring(frame.at(frame.wide * across, frame.deep * out), radius * size), True)
        for across, out, size in ((0.27, 0.28, 1.0), (0.73, 0.28, 0.8), (0.27, 0.72, 0.8), (0.73, 0.72, 1.0))
    ]


def _unit(frame: _Frame, faces: bool) -> Lines:
    if not faces:
        return []
    out = frame.deep - min(40.0, frame.deep / 5)
    return [((frame.at(0, out), frame.at(frame.wide, out)), False)]


def _appliance(frame: _Frame, faces: bool) -> Lines:
    front = frame.deep - min(40.0, frame.deep / 5) if faces else frame.deep
    return [*_unit(frame, faces), ((frame.at(0, 0), frame.at(frame.wide, front)), False)]


def _stair(frame: _Frame, faces: bool) -> Lines:
    count = max(2, round(frame.deep / _GOING_MM))
    lines: Lines = [
        ((frame.at(0, frame.deep * n / count), frame.at(frame.wide, frame.deep * n / count)), False)
        for n in range(1, count)
    ]
    if faces:
        middle, tip = frame.wide / 2, frame.deep - frame.deep / count / 2
        head = min(frame.wide / 5, frame.deep / 6)
        lines.append(((frame.at(middle, frame.deep / count / 2), frame.at(middle, tip)), False))
        barbs = frame.at(middle - head, tip - head), frame.at(middle, tip), frame.at(middle + head, tip - head)
        lines.append((barbs, False))
    return lines


def _radiator(frame: _Frame, _faces: bool) -> Lines:
    return [((frame.at(0, frame.deep / 2), frame.at(frame.wide, frame.deep / 2)), False)]


def _chimney(frame: _Frame, faces: bool) -> Lines:
    if not faces:
        return []
    third = frame.wide / 3
    # The hearth: an opening in the breast, half as deep as it.
    corners = (third, frame.deep), (third, frame.deep / 2), (2 * third, frame.deep / 2), (2 * third, frame.deep)
    return [(tuple(frame.at(*corner) for corner in corners), False)]


_INSIDE: Final[dict[FixtureKind, Callable[[_Frame, bool], Lines]]] = {
    "bath": _bath,
    "tray": _tray,
    "basin": _basin,
    "sink": _sink,
    "hob": _hob,
    "unit": _unit,
    "appliance": _appliance,
    "stair": _stair,
    "radiator": _radiator,
    "chimney": _chimney,
}


# -- shapes -----------------------------------------------------------------------------------------------------------


def _ring(middle: PointMm, radius: float) -> tuple[PointMm, ...]:
    turns = (2 * math.pi * n / _STEPS for n in range(_STEPS))
    return tuple((middle[0] + radius * math.cos(t), middle[1] + radius * math.sin(t)) for t in turns)


def _oval(frame: _Frame, across: float, out: float, half_wide: float, half_deep: float) -> tuple[PointMm, ...]:
    turns = (2 * math.pi * n / _STEPS for n in range(_STEPS))
    return tuple(frame.at(across + half_wide * math.cos(t), out + half_deep * math.sin(t)) for t in turns)


def _rounded(frame: _Frame, left: float, near: float, right: float, far: float, radius: float) -> tuple[PointMm, ...]:
    r = min(radius, (right - left) / 2, (far - near) / 2)
    found: list[PointMm] = []
    centres = (right - r, far - r), (left + r, far - r), (left + r, near + r), (right - r, near + r)
    for quarter, (x, y) in enumerate(centres):
        for n in range(_STEPS // 4 + 1):
            t = math.pi / 2 * (quarter + n / (_STEPS // 4))
            found.append(frame.at(x + r * math.cos(t), y + r * math.sin(t)))
    return tuple(found)


def _is_rectangle(outline: tuple[Corner, ...], faces_deg: float | None) -> bool:
    """Whether an outline has four square corners and lies the way the fixture faces."""
    if len(outline) != 4:
        return False
    sides = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(outline, (*outline[1:], outline[0]), strict=True)]
    lengths = [math.hypot(*side) for side in sides]
    if min(lengths) == 0:
        return False
    for n in range(4):
        (ax, ay), (bx, by) = sides[n], sides[(n + 1) % 4]
        if abs(ax * bx + ay * by) > _SQUARE * lengths[n] * lengths[(n + 1) % 4]:
            return False
    faces = math.radians(faces_deg if faces_deg is not None else _long_way(outline))
    along = sides[0][0] * math.cos(faces) + sides[0][1] * math.sin(faces)
    aside = -sides[0][0] * math.sin(faces) + sides[0][1] * math.cos(faces)
    return min(abs(along), abs(aside)) <= _SQUARE * lengths[0]


def _long_way(outline: tuple[Corner, ...]) -> float:
    """Give the way that the longest side of an outline runs, in degrees."""
    sides = zip(outline, (*outline[1:], outline[0]), strict=True)
    a, b = max(sides, key=lambda side: math.dist(*side))
    return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 180
