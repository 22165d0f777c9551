"""The small plan of a storey on a printed sheet: where the points are, and their numbers in walk order beside them."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import msgspec

from circuitmap.drawing.building import room_outline, wall_marks
from circuitmap.drawing.fixtures import fixture_marks
from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, PointMm
from circuitmap.drawing.paper_pen import measured, rule, shortened, text
from circuitmap.drawing.paths import number as px
from circuitmap.drawing.plan import stands_on
from circuitmap.drawing.standing import Stand
from circuitmap.drawing.svg import bounds_of, fragment
from circuitmap.home import Home
from circuitmap.home.records import Board, Fixture, Storey, Wall
from circuitmap.memo import Memo
from circuitmap.plan import rooms_on
from circuitmap.survey.lines import Line as SheetLine

if TYPE_CHECKING:
    import shapely

_MARKS: Final = 0.5  # of the size that marks have on screen
_NUMBER_PX: Final = 8.0
_ROOM_PX: Final = 7.5
_TITLE_PX: Final = 10.0
HEAD_PX: Final = 16.0  # how much of a small plan's height its title takes
_AROUND_MM: Final = 350.0
_RINGS: Final = 14
_TURNS: Final = 16
_PIECE_PX: Final = 6.0
_CELL_PX: Final = 16.0
_LEAST_LETTERS: Final = 5
_WALK: Final = Ink("zone", 1.6, (3.0, 3.0))

Box = tuple[float, float, float, float]
_Project = Callable[[PointMm], PointMm]


@dataclass(frozen=True, slots=True)
class SmallPlan:
    """A storey drawn to fit: its size, the symbols it shares, its lines, and which numbers found no place."""

    width_px: float
    height_px: float
    shared: Mapping[str, str]
    drawn: tuple[str, ...]
    left_out: tuple[int, ...]


def small_plan(
    home: Home,
    memo: Memo,
    storey: Storey,
    lines: Sequence[SheetLine],
    room_px: tuple[float, float],
    watched: Iterable[str] = (),
    letters: Callable[[str], str] = str,
    *,
    even_empty: bool = False,
) -> SmallPlan | None:
    """Draw one storey to fit into a width and a height; None when none of the points stands on it.

    Parameters
    ----------
    watched
        Points that are looked at in every room; they are marked W.
    letters
        Gives a typed name as it will be printed, where a font hasn't all of its letters.
    even_empty
        Whether a storey of rooms or walls is drawn though none of the points stands on it.
    """
    stands = stands_on(home, storey.id, memo)
    numbered = [(line.number, point) for line in lines for point in line.points if point in stands]
    ground = _ground(home, memo, storey.id)
    if not numbered and not (even_empty and ground):
        return None
    looked_at = [point for point in watched if point in stands]
    marks = [*ground]
    shown = dict.fromkeys((*(p for _, p in numbered), *looked_at, *(b for b in home.table(Board) if b in stands)))
    tour = [stands[point].at for _, point in numbered]
    marks += [_glyph(stands[record]) for record in shown]
    bounds = bounds_of(marks, _AROUND_MM)
    wide, high = bounds[2] - bounds[0], bounds[3] - bounds[1]
    scale = min(room_px[0] / wide, (room_px[1] - HEAD_PX) / high)
    if len(tour) > 1:
        marks.append(Line("route", tuple(tour), _WALK))
    shared, body = fragment(marks, bounds, scale, _MARKS)
    page = _Page(wide * scale, high * scale)

    def at(point: PointMm) -> PointMm:
        return (point[0] - bounds[0]) * scale, (point[1] - bounds[1]) * scale

    for covered in _along_walls(marks, at):
        page.cover(covered)
    for record in shown:
        page.take(*_middle(stands[record], at), stands[record].size_px * _MARKS)
    said: list[str] = []
    missing: list[int] = []
    for words, record in (*((str(n), p) for n, p in numbered), *(("W", p) for p in looked_at)):
        placed = page.place(words, _middle(stands[record], at), stands[record])
        if placed:
            said += placed
        elif words != "W":
            missing.append(int(words))
    said += _room_names(home, memo, storey.id, at, page, letters)
    title = shortened(letters(storey.name), wide * scale, _TITLE_PX, bold=True)
    drawn = (
        text(title, 0, HEAD_PX * 0.45, _TITLE_PX, bold=True),
        f'<g transform="translate(0 {px(HEAD_PX)})">', *body, *said, "</g>",
    )  # fmt: skip
    return SmallPlan(wide * scale, high * scale + HEAD_PX, shared, drawn, tuple(dict.fromkeys(missing)))


class _Page:
    """Keeps what is taken on a small plan, so that no number is laid over another or over a symbol."""

    def __init__(self, width: float, height: float) -> None:
        self._width, self._height = width, height
        self._taken: dict[tuple[int, int], list[Box]] = {}  # by cells, so that little is asked of thousands

    def cover(self, box: Box) -> None:
        for cell in _cells(box):
            self._taken.setdefault(cell, []).append(box)

    def take(self, x: float, y: float, side: float) -> None:
        half = side / 2
        self.cover((x - half, y - half, x + half, y + half))

    def is_free(self, box: Box) -> bool:
        left, top, right, bottom = box
        if left < 0 or top < 0 or right > self._width or bottom > self._height:
            return False
        taken = self._taken
        return not any(
            left < x2 and x1 < right and top < y2 and y1 < bottom
            for cell in _cells(box)
            for x1, y1, x2, y2 in taken.get(cell, ())
        )

    def place(self, words: str, at: PointMm, stand: Stand) -> list[str]:
        """Put a number as near to its symbol as there is room, into the room first; nothing when there is none."""
        half_w, half_h = measured(words, _NUMBER_PX, bold=True) / 2 + 0.5, _NUMBER_PX * 0.46
        radius = stand.size_px * _MARKS / 2
        inwards = math.atan2(stand.faces[1], stand.faces[0]) if stand.faces is not None else -math.pi / 4
        turns = sorted(range(_TURNS), key=lambda n: min(n, _TURNS - n))
        for ring in range(_RINGS):
            for turn in turns:
                angle = inwards + 2 * math.pi * turn / _TURNS
                cos, sin = math.cos(angle), math.sin(angle)
                out = min(half_w / abs(cos) if cos else math.inf, half_h / abs(sin) if sin else math.inf)
                away = radius + out + 0.5 + ring * 5.0
                x, y = at[0] + cos * away, at[1] + sin * away
                box = (x - half_w, y - half_h, x + half_w, y + half_h)
                if self.is_free(box):
                    self.cover(box)
                    number = text(words, x, y, _NUMBER_PX, "ink", anchor="middle", bold=True)
                    if ring == 0:
                        return [number]
                    start, end = radius * 0.9, away - out
                    lead = rule(at[0] + cos * start, at[1] + sin * start, at[0] + cos * end, at[1] + sin * end,
                                width_px=0.5)  # fmt: skip
                    return [lead, number]
        return []

    def name(self, words: str, middles: Iterable[PointMm], fits: Callable[[Box], bool]) -> list[str]:
        """Put a room's name where it is free and inside the room; nothing when there is no such place."""
        half_w, half_h = measured(words, _ROOM_PX) / 2, _ROOM_PX * 0.5
        for x, y in middles:
            box = (x - half_w, y - half_h, x + half_w, y + half_h)
            if self.is_free(box) and fits(box):
                self.cover(box)
                return [text(words, x, y, _ROOM_PX, "faint", anchor="middle")]
        return []


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    left, top, right, bottom = box
    for x in range(int(left // _CELL_PX), int(right // _CELL_PX) + 1):
        for y in range(int(top // _CELL_PX), int(bottom // _CELL_PX) + 1):
            yield x, y


def _ground(home: Home, memo: Memo, storey: str) -> list[Mark]:
    """Give the building, its walls pale: the numbers lead, and ink is dear."""
    marks: list[Mark] = []
    for room in rooms_on(home, memo, storey):
        marks += room_outline(room, over_picture=True)
    for wall in home.sorted(Wall):
        if wall.storey == storey:
            marks += [_pale(mark) for mark in wall_marks(wall)]
    for fixture in home.sorted(Fixture):
        if fixture.place.storey == storey and fixture.kind == "stair":
            marks += [mark for mark in fixture_marks(fixture) if isinstance(mark, Line)]
    return marks


def _pale(mark: Mark) -> Mark:
    return msgspec.structs.replace(mark, fill="wall/half") if isinstance(mark, Area) else mark


def _along_walls(marks: Iterable[Mark], at: _Project) -> Iterable[Box]:
    """Give what walls cover, long and slanting ones in short pieces."""
    for mark in marks:
        if not isinstance(mark, Area) or len(mark.rings[0]) != 4:
            continue
        a, b, c, d = (at(corner) for corner in mark.rings[0])
        count = max(1, round(math.dist(a, b) / _PIECE_PX))
        for n in range(count):
            corners = [_between(p, q, (n + k) / count) for p, q in ((a, b), (d, c)) for k in (0, 1)]
            xs, ys = [x for x, _ in corners], [y for _, y in corners]
            yield min(xs), min(ys), max(xs), max(ys)


def _between(a: PointMm, b: PointMm, share: float) -> PointMm:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _glyph(stand: Stand) -> Glyph:
    return Glyph("symbol", stand.symbol, stand.at, stand.turn_deg, size_px=stand.size_px)


def _middle(stand: Stand, at: _Project) -> PointMm:
    x, y = at(stand.at)
    dx, dy = stand.centre_px
    return x + dx * _MARKS, y + dy * _MARKS


def _room_names(
    home: Home, memo: Memo, storey: str, at: _Project, page: _Page, letters: Callable[[str], str]
) -> list[str]:
    import shapely

    said: list[str] = []
    for room in rooms_on(home, memo, storey):
        if len(room.outline_mm) < 3 or not room.name:
            continue
        drawn = shapely.Polygon([at((float(x), float(y))) for x, y in room.outline_mm])
        outline = drawn if drawn.is_valid else shapely.make_valid(drawn)
        spot = outline.representative_point()
        left, top, right, bottom = outline.bounds
        middles = [(spot.x, spot.y)]
        middles += [(x, y) for y in _steps(top, bottom, spot.y) for x in _steps(left, right, spot.x)]

        def fits(box: Box, outline: "shapely.Geometry" = outline) -> bool:
            return bool(outline.contains(shapely.box(*box)))

        whole = letters(room.name)
        for words in (whole, shortened(whole, (right - left) * 0.8, _ROOM_PX)):
            made = page.name(words, middles, fits) if len(words) > _LEAST_LETTERS or words == whole else []
            if made:
                said += made
                break
    return said


def _steps(start: float, end: float, middle: float) -> list[float]:
    """Give places across a room, the nearest to a middle first."""
    count = 8
    places = [start + (end - start) * (n + 0.5) / count for n in range(count)]
    return sorted(places, key=lambda place: abs(place - middle))
