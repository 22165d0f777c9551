"""A part of a storey's plan with a few things picked out on it, each by a shape, a number and a word.

What is new stands in a circle, what is gone is crossed out in a broken circle, what changed stands in a diamond, and
what a text is about in a double circle: nothing is told by colour alone.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from circuitmap.drawing.building import room_outline, wall_marks
from circuitmap.drawing.fixtures import fixture_marks
from circuitmap.drawing.labels import Placer
from circuitmap.drawing.marks import Glyph, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.plan import stands_on
from circuitmap.drawing.standing import Stand
from circuitmap.drawing.svg import BoundsMm
from circuitmap.drawing.typed import fitted, width_px
from circuitmap.home import Home
from circuitmap.home.records import Fixture, Room, Storey, Wall
from circuitmap.memo import Memo
from circuitmap.paper.figures import WIDE_PX, Figure, bare_svg
from circuitmap.paper.typeset import shown
from circuitmap.plan import rooms_on

if TYPE_CHECKING:
    from shapely import Polygon

Shape = Literal["new", "gone", "changed", "here"]
ROLES: Final[Mapping[Shape, str]] = {"new": "accent", "gone": "break", "changed": "select", "here": "accent"}
_MARKS: Final = 0.8
_MOST_SCALE: Final = 0.10
_LEAST_SCALE: Final = 0.03
_HIGH_PX: Final = 420.0
_AROUND_MM: Final = 500.0
_OVERLAP_MM: Final = 900.0  # so that what stands at the edge of a part is whole
_RING: Final = 0.86  # radii of a ring over the size of its symbol
_HELD: Final = 1.6  # radii of what has to be in sight over that of a ring; the double ring is 1.28
_SIDES: Final = 36
_OUTS: Final = (0.0, 5.0, 12.0, 22.0, 36.0, 54.0)
_NEAR: Final = 8.0
_WAYS: Final = 16
_NAME_PX: Final = 12.0
_WORD_PX: Final = 13.0
_DASH: Final[dict[Shape, tuple[float, ...]]] = {
    "new": (),
    "gone": (4.0, 3.0),
    "changed": (9.0, 3.0, 2.0, 3.0),
    "here": (),
}


class Spot(NamedTuple):
    """A thing picked out: where and how it is drawn, by which shape, and the words beside it."""

    stand: Stand
    shape: Shape
    words: str


class Joining(NamedTuple):
    """A cable picked out: from where to where on this storey, by which sort of line, and the words beside it."""

    a: PointMm
    b: PointMm
    shape: Shape
    words: str


def spotted_plans(
    home: Home,
    memo: Memo,
    storey: Storey,
    spots: Sequence[Spot],
    joinings: Sequence[Joining] = (),
    *,
    title: str = "",
    wide_px: float = WIDE_PX,
    high_px: float = _HIGH_PX,
    whole: bool = False,
) -> list[Figure]:
    """Draw the rooms that some things are in, with these picked out and everything else pale.

    A storey that is too large to be read in one drawing is given in parts, those in which something is picked out.

    Parameters
    ----------
    home
        The state of the home that is drawn beneath.
    whole
        Show the whole storey, and not only the rooms that something is picked out in.
    """
    rooms = rooms_on(home, memo, storey.id)
    ends = [end for each in joinings for end in (each.a, each.b)]
    at = [*(spot.stand.at for spot in spots), *ends]
    bounds = _bounds(rooms, at, {spot.stand.room for spot in spots}, whole)
    said = title or f"Plan of {storey.name}"
    parts = [part for part in _parts(bounds, wide_px, high_px) if any(_is_in(each, part) for each in at)]
    drawn = []
    for number, part in enumerate(parts, 1):
        here = [spot for spot in spots if _is_in(spot.stand.at, part)]
        lines = [each for each in joinings if _is_in(each.a, part) or _is_in(each.b, part)]
        name = f"{said}, part {number} of {len(parts)}" if len(parts) > 1 else said
        sight = _grown(part, _OVERLAP_MM) if len(parts) > 1 else part
        sight = _holding(sight, [spot.stand for spot in here], (wide_px, high_px))
        drawn.append(_Drawing(home, memo, storey, rooms, sight, (wide_px, high_px)).figure(here, lines, name))
    return drawn


def _parts(bounds: BoundsMm, wide_px: float, high_px: float) -> Iterator[BoundsMm]:
    left, top, right, bottom = bounds
    across = max(1, math.ceil((right - left) * _LEAST_SCALE / wide_px))
    down = max(1, math.ceil((bottom - top) * _LEAST_SCALE / high_px))
    wide, high = (right - left) / across, (bottom - top) / down
    for row in range(down):
        for column in range(across):
            x, y = left + column * wide, top + row * high
            yield x, y, x + wide, y + high


def _grown(bounds: BoundsMm, by_mm: float) -> BoundsMm:
    return bounds[0] - by_mm, bounds[1] - by_mm, bounds[2] + by_mm, bounds[3] + by_mm


def _holding(bounds: BoundsMm, stands: Iterable[Stand], most_px: tuple[float, float]) -> BoundsMm:
    """Widen what is in sight until what is picked out stands in it whole, its ring and a little air included."""
    left, top, right, bottom = bounds
    scale = _scale_of(bounds, most_px)
    for stand in stands:
        x, y = _centre(stand, scale)
        reach = stand.size_px * _MARKS * _RING * _HELD / scale
        left, top, right, bottom = (
            min(left, x - reach),
            min(top, y - reach),
            max(right, x + reach),
            max(bottom, y + reach),
        )
    return left, top, right, bottom


def _scale_of(bounds: BoundsMm, most_px: tuple[float, float]) -> float:
    return min(most_px[0] / (bounds[2] - bounds[0]), most_px[1] / (bounds[3] - bounds[1]), _MOST_SCALE)


class _Drawing:
    """One drawing of a part of a storey, made and thrown away."""

    def __init__(
        self,
        home: Home,
        memo: Memo,
        storey: Storey,
        rooms: Sequence[Room],
        bounds: BoundsMm,
        most_px: tuple[float, float],
    ) -> None:
        self._home, self._memo, self._storey, self._rooms, self._bounds = home, memo, storey, rooms, bounds
        self._scale = _scale_of(bounds, most_px)
        self._placer = Placer()
        self._wide_px = (bounds[2] - bounds[0]) * self._scale

    def figure(self, spots: Sequence[Spot], joinings: Sequence[Joining], title: str) -> Figure:
        """Draw it."""
        marks: list[Mark] = [*_ground(self._home, self._rooms, self._storey)]
        picked = {spot.stand.at for spot in spots}
        for stand in stands_on(self._home, self._storey.id, self._memo).values():
            if _is_in(stand.at, self._bounds):
                self._take(stand, 0.5)
                if stand.at not in picked:
                    pale = Glyph("symbol", stand.symbol, stand.at, stand.turn_deg, role="faint", size_px=stand.size_px)
                    marks.append(pale)
        for spot in spots:
            self._take(spot.stand, _RING * (1.28 if spot.shape == "here" else 1.0))
        for joining in joinings:
            marks += _line(joining, self._scale)
        for spot in spots:
            marks += _shape(spot, self._scale)
            if spot.words:
                clear = spot.stand.size_px * _MARKS * _RING * 1.3
                marks += self._label(spot.words, _centre(spot.stand, self._scale), clear, ROLES[spot.shape])
        for joining in joinings:
            middle = (joining.a[0] + joining.b[0]) / 2, (joining.a[1] + joining.b[1]) / 2
            if joining.words and _is_in(middle, self._bounds):
                marks += self._label(joining.words, middle, 8.0, ROLES[joining.shape])
        marks += self._names()
        return Figure(title, bare_svg(marks, self._bounds, self._scale, _MARKS, title), self._wide_px, f"{title}.")

    def _take(self, stand: Stand, share: float) -> None:
        x, y = _centre(stand, self._scale)
        half = stand.size_px * _MARKS * share
        self._placer.take((x * self._scale - half, y * self._scale - half, x * self._scale + half,
                           y * self._scale + half))  # fmt: skip

    def _label(self, words: str, at: PointMm, clear: float, role: str) -> Iterator[Mark]:
        """Give words beside a spot, on nothing else and inside the drawing; from further off with a line to the spot.

        Where there is no room even for their first word, which is the number, nothing is said there.
        """
        x, y = at[0] * self._scale, at[1] * self._scale
        for said in dict.fromkeys((words, words.split(" ")[0])):
            wide, high = width_px(said, _WORD_PX) * _MARKS + 5, _WORD_PX * _MARKS * 1.45
            for out in _OUTS:
                for turn in range(_WAYS):
                    ux, uy = math.cos(2 * math.pi * turn / _WAYS), math.sin(2 * math.pi * turn / _WAYS)
                    mx = x + ux * (clear + out + wide / 2 * abs(ux)) + (wide / 2 * ux if abs(ux) > 0.6 else 0) * 0.1
                    my = y + uy * (clear + out + high / 2 * abs(uy))
                    box = (mx - wide / 2, my - high / 2, mx + wide / 2, my + high / 2)
                    if not self._fits(box) or self._placer.covered_px2(box):
                        continue
                    self._placer.take(box)
                    middle = mx / self._scale, my / self._scale
                    if out > _NEAR:
                        start = (x + ux * clear) / self._scale, (y + uy * clear) / self._scale
                        yield Line("label", (start, middle), Ink(role, 0.9))
                    yield Words("label", said, middle, role, _WORD_PX, "middle", bold=True, plate=True)
                    return

    def _fits(self, box: tuple[float, float, float, float]) -> bool:
        left, top, right, bottom = (side * self._scale for side in self._bounds)
        return box[0] > left + 1 and box[1] > top + 1 and box[2] < right - 1 and box[3] < bottom - 1

    def _names(self) -> Iterator[Words]:
        """Give the names of the rooms in sight, where nothing else is; of one that is too narrow, what fits."""
        import shapely

        scale, sight = self._scale, shapely.box(*self._bounds)
        for room in self._rooms:
            if not room.name or len(room.outline_mm) < 3:
                continue
            outline = shapely.Polygon(room.outline_mm)
            seen = shapely.intersection(outline if outline.is_valid else shapely.make_valid(outline), sight)
            if seen.is_empty or seen.area < 1:
                continue
            middle = seen.representative_point()
            left, _, right, _ = seen.bounds
            words = fitted(shown(room.name), (right - left) * scale * 0.92 / _MARKS, _NAME_PX)
            size = (width_px(words, _NAME_PX) * _MARKS + 4, _NAME_PX * _MARKS * 1.3)
            step = size[1] * 1.25
            x, y = middle.x * scale, middle.y * scale
            places = [(x, y + away * step) for away in (0, 1, -1, 2, -2, 3, -3, 4, -4)]
            inside = [(sx, sy) for sx, sy in places if seen.contains(_text_box(sx, sy, size, scale))]
            if not words or not inside:
                continue
            place = self._placer.among(inside, size)
            if place.covered == 0:
                yield Words("label", words, (place.x / scale, place.y / scale), "faint", _NAME_PX, "middle", plate=True)


def _bounds(rooms: Sequence[Room], at: Sequence[PointMm], held: set[str], whole: bool) -> BoundsMm:
    corners = [(float(x), float(y)) for room in rooms if whole or room.id in held for x, y in room.outline_mm]
    listed = [*at, *corners] or [(0.0, 0.0), (4000.0, 3000.0)]
    xs, ys = [x for x, _ in listed], [y for _, y in listed]
    # A thing in no room is shown with something round it.
    lone = 0.0 if corners else 1500.0
    around = _AROUND_MM + lone
    return min(xs) - around, min(ys) - around, max(xs) + around, max(ys) + around


def _is_in(at: PointMm, bounds: BoundsMm) -> bool:
    return bounds[0] <= at[0] <= bounds[2] and bounds[1] <= at[1] <= bounds[3]


def _ground(home: Home, rooms: Iterable[Room], storey: Storey) -> Iterator[Mark]:
    for room in rooms:
        yield from room_outline(room, over_picture=True)
    for wall in home.sorted(Wall):
        if wall.storey == storey.id:
            yield from wall_marks(wall)
    for fixture in home.sorted(Fixture):
        if fixture.place.storey == storey.id:
            yield from fixture_marks(fixture)


def _centre(stand: Stand, scale: float) -> PointMm:
    dx, dy = stand.centre_px
    return stand.at[0] + dx * _MARKS / scale, stand.at[1] + dy * _MARKS / scale


def _shape(spot: Spot, scale: float) -> Iterator[Mark]:
    stand, shape, role = spot.stand, spot.shape, ROLES[spot.shape]
    yield Glyph("symbol", stand.symbol, stand.at, stand.turn_deg, role=role if shape != "gone" else "faint",
                size_px=stand.size_px)  # fmt: skip
    centre = _centre(stand, scale)
    radius = stand.size_px * _RING * _MARKS / scale
    if shape == "changed":
        x, y = centre
        reach = radius * 1.25
        yield Line("overlay", ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)), Ink(role, 2.4), True)
    else:
        yield Line("overlay", _ring(centre, radius), Ink(role, 2.4, _DASH[shape]), True)
    if shape == "here":
        yield Line("overlay", _ring(centre, radius * 1.28), Ink(role, 1.2), True)
    if shape == "gone":
        half = radius * 0.72
        for side in (-1, 1):
            ends = ((centre[0] - half, centre[1] - side * half), (centre[0] + half, centre[1] + side * half))
            yield Line("overlay", ends, Ink(role, 2.4))


def _ring(centre: PointMm, radius: float) -> tuple[PointMm, ...]:
    turns = (2 * math.pi * n / _SIDES for n in range(_SIDES))
    return tuple((centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)) for turn in turns)


def _line(joining: Joining, scale: float) -> Iterator[Mark]:
    role = ROLES[joining.shape]
    yield Line("run", (joining.a, joining.b), Ink(role, 2.8, _DASH[joining.shape]))
    if joining.shape == "gone":
        x, y = (joining.a[0] + joining.b[0]) / 2, (joining.a[1] + joining.b[1]) / 2
        half = 6.0 / scale
        for side in (-1, 1):
            yield Line("run", ((x - half, y - side * half), (x + half, y + side * half)), Ink(role, 2.4))


def _text_box(x_px: float, y_px: float, size: tuple[float, float], scale: float) -> "Polygon":
    import shapely

    wide, high = size[0] / 2, size[1] / 2
    return shapely.box((x_px - wide) / scale, (y_px - high) / scale, (x_px + wide) / scale, (y_px + high) / scale)
