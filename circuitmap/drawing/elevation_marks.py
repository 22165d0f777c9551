"""The marks of an elevation one by one: wall, openings, zones, accessories with their labels, routes and strays."""

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from circuitmap.drawing.marks import Area, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.typed import width_px
from circuitmap.extension.pathing import RoutePoint
from circuitmap.extension.stray import Stray
from circuitmap.plan.elevation import Face, Hidden, Stood
from circuitmap.plan.permitted import Permitted
from circuitmap.quantities.show import show_length
from circuitmap.words import PointKind

if TYPE_CHECKING:
    import shapely

ZONE: Final = "zone/tint"
DASHED: Final = Ink("zone", 1.0, (5.0, 3.0))
ROUTE: Final = Ink("accent", 3.2)
BY_HAND: Final = Ink("select", 3.2)
STRAY: Final = Ink("break", 3.2, (7.0, 4.0))
NEW: Final = Ink("accent", 2.4)
EXISTING: Final = Ink("ink", 1.3)
_SMALL: Final = 11.0
_NUMBER: Final = 15.0
_DETAIL: Final = Ink("faint", 1.0)
_BEFORE: Final = Ink("fixture", 1.2, (2.0, 3.0))
_LEAVES_PX: Final = 16.0
_SWITCHES: Final = frozenset(
    ("switch", "dimmer", "double-pole switch", "grid switch", "cooker control unit", "isolator")
)

Box = tuple[float, float, float, float]


def ground_marks(face: Face, hidden: Iterable[Hidden]) -> Iterator[Mark]:
    """Give the wall's outline, its openings and what stands before it."""
    high = face.height_mm
    yield Area("room", (_box(0, 0, face.length_mm, high),), "paper", Ink("wall", 2.2))
    yield Line("wall", ((0.0, high), (face.length_mm, high)), Ink("wall", 4.0))
    for each in hidden:
        corners = _box(each.from_mm, high - each.top_mm, each.to_mm, high)
        yield Area("fixture", (corners,), "fixture/tint", _BEFORE, 0.7)
        yield Line("fixture", (corners[0], corners[2]), _BEFORE)
        yield Line("fixture", (corners[1], corners[3]), _BEFORE)
    for hole in face.holes:
        corners = _box(hole.from_mm, high - hole.head_mm, hole.to_mm, high - hole.sill_mm)
        yield Area("wall", (corners,), "paper", Ink("wall", 1.8))


def ground_names(face: Face, hidden: Iterable[Hidden], beside: "Beside") -> Iterator[Mark]:
    """Give what openings and fixtures are called, each inside itself where nothing else stands."""
    named: list[tuple[str, float, float, float, float]]
    named = [(each.kind, each.from_mm, each.to_mm, 0.0, each.top_mm) for each in hidden]
    named += [(hole.kind, hole.from_mm, hole.to_mm, hole.sill_mm, hole.head_mm) for hole in face.holes]
    for kind, start, end, low, top in named:
        spots = [
            (start + (end - start) * across, face.height_mm - (low + (top - low) * up))
            for up in (0.5, 0.3, 0.7, 0.15, 0.85)
            for across in (0.5, 0.3, 0.7)
        ]
        yield Words("label", kind, beside.among(kind, spots, _SMALL), "faint", _SMALL, "middle", plate=True)


def zone_marks(face: Face, zones: Permitted) -> Iterator[Mark]:
    """Give where a cable may be hidden: a wash with a dashed edge."""
    area = zones.area()
    for part in _polygons(area):
        rings = tuple(
            tuple((float(u), face.height_mm - float(v)) for u, v in ring.coords[:-1])
            for ring in (part.exterior, *part.interiors)
        )
        yield Area("area", rings, ZONE, DASHED)


def _polygons(area: "shapely.Geometry") -> list["shapely.Polygon"]:
    import shapely

    return [part for part in shapely.get_parts(area).tolist() if part.geom_type == "Polygon" and not part.is_empty]


def on_face(face: Face, path: Sequence[RoutePoint]) -> Iterator[tuple[PointMm, PointMm]]:
    """Give the stretches of a route that lie on a face, in its own space."""
    for a, b in pairwise(path):
        if a.on == b.on == face.id:
            yield _spot(face, a), _spot(face, b)


def route_marks(face: Face, path: Sequence[RoutePoint], px_per_mm: float) -> Iterator[Mark]:
    """Give a route on a face, with an arrow where it leaves for a floor or a loft and a ring where it goes through."""
    px = 1 / px_per_mm
    line: list[PointMm] = []
    for a, b in on_face(face, path):
        if line and line[-1] != a:
            yield Line("route", tuple(line), ROUTE)
            line = []
        line = [*(line or [a]), b]
    if line:
        yield Line("route", tuple(line), ROUTE)
    for before, after in pairwise(path):
        if (before.on == face.id) == (after.on == face.id):
            continue
        here, there = (before, after) if before.on == face.id else (after, before)
        x, y = _spot(face, here)
        if there.surface in ("floor", "loft"):
            up = -1.0 if here.z_mm > face.height_mm / 2 else 1.0
            end = (0.0 if up < 0 else face.height_mm) + up * _LEAVES_PX * px
            yield Line("route", ((x, y), (x, end)), ROUTE)
            tip = ((x - 5 * px, end - up * 6 * px), (x, end), (x + 5 * px, end - up * 6 * px))
            yield Line("route", tip, Ink("accent", 2.4))
        else:
            yield Area("run", (_ring(x, y, 6 * px),), "paper", Ink("accent", 2.0))


def stray_marks(face: Face, stray: Stray) -> Iterator[Mark]:
    """Give a stretch outside the zones, with its length on it."""
    (u0, _), (u1, _) = face.at(*stray.start[1:3]), face.at(*stray.end[1:3])
    a, b = (u0, face.height_mm - stray.start[3]), (u1, face.height_mm - stray.end[3])
    yield Line("run", (a, b), STRAY)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    yield Words("label", show_length(stray.mm), middle, "break", _SMALL, "middle", bold=True, plate=True)


class Beside:
    """Finds room for labels: off routes, plates, measures and other labels, as near to their accessory as may be."""

    def __init__(self, face: Face, px_per_mm: float, marks: Iterable[Mark]) -> None:
        self.face, self.px_per_mm = face, px_per_mm
        self._taken: list[Box] = []
        self.keep_clear(marks)

    def keep_clear(self, marks: Iterable[Mark]) -> None:
        """Let no label lie on words or on lines that mean something."""
        for mark in marks:
            if isinstance(mark, Words):
                wide = width_px(mark.text, mark.size_px) / 2 + 2
                x, y = self._px(mark.at_mm)
                self._taken.append((x - wide, y - mark.size_px * 0.6, x + wide, y + mark.size_px * 0.6))
            elif isinstance(mark, Line) and mark.layer in ("route", "run", "grid"):
                for a, b in pairwise(mark.pts):
                    (x0, y0), (x1, y1) = self._px(a), self._px(b)
                    self._taken.append((min(x0, x1) - 1, min(y0, y1) - 1, max(x0, x1) + 1, max(y0, y1) + 1))

    def take(self, box_mm: Box) -> None:
        """Keep a part of the wall for something that stands there."""
        (x0, y0), (x1, y1) = self._px((box_mm[0], box_mm[1])), self._px((box_mm[2], box_mm[3]))
        self._taken.append((x0, y0, x1, y1))

    def put(self, text: str, box_mm: Box, size_px: float) -> PointMm:
        """Give the middle of a free place for a label by a box, the first of those all round it that is free."""
        left, top = self._px((box_mm[0], box_mm[1]))
        right, bottom = self._px((box_mm[2], box_mm[3]))
        half_w, half_h = width_px(text, size_px) / 2 + 3, size_px * 0.62
        x, y = (left + right) / 2, (top + bottom) / 2
        first: PointMm | None = None
        for away in (2.0, 12.0, 24.0, 38.0):
            over, under = top - half_h - away, bottom + half_h + away
            before, behind = left - half_w - away, right + half_w + away
            for at in ((x, over), (before, over), (behind, over), (before, y), (behind, y), (x, under),
                       (before, under), (behind, under)):  # fmt: skip
                box = (at[0] - half_w, at[1] - half_h, at[0] + half_w, at[1] + half_h)
                first = first or at
                if self._is_free(box):
                    self._taken.append(box)
                    return at[0] / self.px_per_mm, at[1] / self.px_per_mm
        assert first is not None
        return first[0] / self.px_per_mm, first[1] / self.px_per_mm

    def among(self, text: str, spots: Sequence[PointMm], size_px: float) -> PointMm:
        """Give the first of some places where a label lies on nothing, or else the first."""
        half_w, half_h = width_px(text, size_px) / 2 + 3, size_px * 0.62
        for spot in spots:
            x, y = self._px(spot)
            box = (x - half_w, y - half_h, x + half_w, y + half_h)
            if self._is_free(box):
                self._taken.append(box)
                return spot
        return spots[0]

    def _px(self, at: PointMm) -> PointMm:
        return at[0] * self.px_per_mm, at[1] * self.px_per_mm

    def _is_free(self, box: Box) -> bool:
        left, top, right, bottom = box
        wide, high = self._px((self.face.length_mm, self.face.height_mm))
        if left < 1 or top < 1 or right > wide - 1 or bottom > high - 1:
            return False
        return not any(left < x1 and x0 < right and top < y1 and y0 < bottom for x0, y0, x1, y1 in self._taken)


def accessory_marks(
    beside: Beside, stood: Stood, drawn_as: tuple[PointKind | None, int], number: int | None, *, is_gone: bool = False
) -> Iterator[Mark]:
    """Give an accessory or a board: its plate, what tells its kind, and its label; new ones with their number.

    One whose height nobody knows is a dotted line with its label at the foot.
    """
    face = beside.face
    half_w, half_h = stood.wide_mm / 2, stood.high_mm / 2
    if stood.v is None:
        px = 1 / beside.px_per_mm
        yield Line("symbol", ((stood.u, 0.0), (stood.u, face.height_mm)), Ink("faint", 1.2, (1.5, 4.0)))
        foot = (stood.u - half_w, face.height_mm - 2 * px, stood.u + half_w, face.height_mm)
        yield Words("label", f"{stood.record}, height?", beside.put(f"{stood.record}, height?", foot, _SMALL), "faint",
                    _SMALL, "middle", plate=True)  # fmt: skip
        return
    y = face.height_mm - stood.v
    box = (stood.u - half_w, y - half_h, stood.u + half_w, y + half_h)
    beside.take(box)
    corners = _box(*box)
    new = number is not None
    yield Area("symbol", (corners,), "accent/tint" if new else "paper", NEW if new else EXISTING)
    yield from _details(drawn_as, box)
    if is_gone:
        for a, b in ((corners[0], corners[2]), (corners[1], corners[3])):
            yield Line("symbol", (a, b), Ink("break", 2.0))
    said, size = (str(number), _NUMBER) if new else (stood.record, _SMALL)
    role = "accent" if new else "ink"
    yield Words("label", said, beside.put(said, box, size), role, size, "middle", bold=new, plate=True)


def _details(drawn_as: tuple[PointKind | None, int], box: Box) -> Iterator[Mark]:
    """Give what tells a kind of accessory on its plate: three slots of a socket, rockers, a row of toggles."""
    kind, gangs = drawn_as
    left, top, right, bottom = box
    wide, high = right - left, bottom - top
    if kind is None:
        yield Line(
            "symbol", ((left + wide * 0.1, (top + bottom) / 2), (right - wide * 0.1, (top + bottom) / 2)), EXISTING
        )
        for n in range(8):
            x = left + wide * (0.16 + 0.68 * n / 7)
            yield Line("symbol", ((x, top + high * 0.35), (x, bottom - high * 0.35)), _DETAIL)
        return
    for n in range(min(gangs, 6)):
        each = wide / min(gangs, 6)
        x, y = left + each * (n + 0.5), (top + bottom) / 2
        if "socket" in kind:
            yield Line("symbol", ((x, y - high * 0.24), (x, y - high * 0.06)), _DETAIL)
            for side in (-1, 1):
                across = x + side * min(each, high) * 0.2
                yield Line("symbol", ((across - high * 0.06, y + high * 0.16), (across + high * 0.06, y + high * 0.16)),
                           _DETAIL)  # fmt: skip
        elif kind in _SWITCHES:
            half = min(each * 0.3, high * 0.14)
            yield Line("symbol", _box(x - half, y - high * 0.22, x + half, y + high * 0.22), _DETAIL, closed=True)
        elif "fused" in kind:
            yield Line(
                "symbol", _box(x - high * 0.2, y - high * 0.1, x + high * 0.2, y + high * 0.1), _DETAIL, closed=True
            )
            yield Line("symbol", ((x - high * 0.2, y), (x + high * 0.2, y)), _DETAIL)


def _spot(face: Face, spot: RoutePoint) -> PointMm:
    return face.at(spot.x_mm, spot.y_mm)[0], face.height_mm - spot.z_mm


def _box(left: float, top: float, right: float, bottom: float) -> tuple[PointMm, ...]:
    return (left, top), (right, top), (right, bottom), (left, bottom)


def _ring(x: float, y: float, radius: float) -> tuple[PointMm, ...]:
    return tuple(
        (x + radius * math.cos(math.tau * n / 16), y + radius * math.sin(math.tau * n / 16)) for n in range(16)
    )
