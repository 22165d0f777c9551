"""Drawings that stand in documents: a part of a plan and walls, as SVG without paper of their own."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from circuitmap.drawing.building import room_outline, wall_marks
from circuitmap.drawing.elevation import MarkedOut, elevation, faces_to_draw
from circuitmap.drawing.fixtures import fixture_marks
from circuitmap.drawing.marks import Glyph, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.paths import number as px
from circuitmap.drawing.plan import stands_on, storeys_in_order
from circuitmap.drawing.svg import FAMILY, BoundsMm, fragment
from circuitmap.drawing.typed import element_text, width_px
from circuitmap.extension.pathing import RoutePoint
from circuitmap.home import Home
from circuitmap.home.records import Board, Fixture, Plate, Point, Room, Storey, Wall
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points, rooms_on
from circuitmap.plan.where import place_of
from circuitmap.trade import Trade

WIDE_PX: Final = 640.0  # 170 mm of 96 px to the inch
_PLAN_HIGH_PX: Final = 360.0
_PLAN_MARKS: Final = 0.8
_MOST_PLAN_SCALE: Final = 0.12
_SIDES_PX: Final = 116.0
_WALL_SCALE: Final = 0.11  # two ordinary walls to a page
_AROUND_MM: Final = 450.0
_ROUTE: Final = Ink("accent", 3.4)
_NAME_PX: Final = 12.0
_CROSS_MM: Final = 90.0
_GONE: Final = Ink("break", 2.0)


class Figure(NamedTuple):
    """A drawing with its title, its width in px, its words for those who can't see it, and what to mark out on it."""

    title: str
    svg: str
    wide_px: float
    says: str
    marked: tuple[MarkedOut, ...] = ()
    notes: tuple[str, ...] = ()


def plan_extracts(
    home: Home,
    memo: Memo,
    points: Sequence[str],
    paths: Sequence[Sequence[RoutePoint]],
    gone: Collection[str] = (),
) -> Iterator[Figure]:
    """Give the part of each storey's plan that the work is in: rooms, walls, new points with numbers, routes."""
    rooms = rooms_of_points(home, memo)
    for storey in storeys_in_order(home):
        here = [p for p in (*points, *gone) if _storey_of(home, p) == storey.id]
        lines = [line for path in paths for line in _seen_from_above(path, storey.id)]
        if not here and not lines:
            continue
        turns = tuple(_turns(home, storey, paths))
        shown = {room.id: room for p in here if (room := rooms.get(p)) is not None}
        spots = [spot for line in lines for spot in line]
        spots += [mark.at_mm for mark in turns]
        spots += [(float(x), float(y)) for room in shown.values() for x, y in room.outline_mm]
        spots += [(place.x_mm, place.y_mm) for p in here if (place := place_of(home, home.take(Point, p))) is not None]
        if not spots:
            continue
        symbols = tuple(_symbols(home, memo, storey, points, gone))
        marks = [*_ground(home, memo, storey), *_routes(lines), *symbols, *turns]
        bounds = _bounds(spots)
        wide, high = bounds[2] - bounds[0], bounds[3] - bounds[1]
        scale = min(WIDE_PX / wide, _PLAN_HIGH_PX / high, _MOST_PLAN_SCALE)
        marks += [_name(room, symbols, lines, scale) for room in rooms_on(home, memo, storey.id) if _is_named(room)]
        names = ", ".join(room.name or room.id for room in shown.values())
        says = f"Plan of {storey.name}" + (f": {names}" if names else "")
        yield Figure(says, bare_svg(marks, bounds, scale, _PLAN_MARKS, says), wide * scale, f"{says}.")


def wall_extracts(
    home: Home,
    memo: Memo,
    trade: Trade,
    points: Sequence[str],
    paths: Sequence[Sequence[RoutePoint]],
    gone: Collection[str] = (),
    *,
    on_surface: bool = False,
) -> Iterator[Figure]:
    """Give the walls that something is marked out on or that a route runs on; boxes in them, or on their surface."""
    for face in faces_to_draw(home, memo, trade, (*points, *gone), paths):
        scale = min((WIDE_PX - _SIDES_PX) / face.length_mm, _WALL_SCALE)
        made = elevation(
            home, memo, trade, face, marked=points, paths=paths, gone=gone, px_per_mm=scale, on_surface=on_surface
        )
        title = f"{made.title}, seen from the room"
        wide = (made.bounds_mm[2] - made.bounds_mm[0]) * scale
        svg = bare_svg(made.marks, made.bounds_mm, scale, 1.0, title)
        says = " ".join((f"{title}.", *(each.said() for each in made.marked)))
        yield Figure(title, svg, wide, says, made.marked, made.notes)


def bare_svg(marks: Iterable[Mark], bounds: BoundsMm, px_per_mm: float, mark_scale: float, title: str) -> str:
    """Give marks as an SVG of their own, without heading, key or paper, cut off at the bounds."""
    shared, body = fragment(marks, bounds, px_per_mm, mark_scale)
    wide, high = px((bounds[2] - bounds[0]) * px_per_mm), px((bounds[3] - bounds[1]) * px_per_mm)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{wide}" '
            f'height="{high}" viewBox="0 0 {wide} {high}" font-family="{FAMILY}" fill="none" '
            'stroke-linecap="round" stroke-linejoin="round">',
            f"<title>{element_text(title)}</title>",
            f'<defs><clipPath id="cut"><rect width="{wide}" height="{high}"/></clipPath>',
            *shared.values(),
            '</defs><g clip-path="url(#cut)">',
            *body,
            "</g></svg>\n",
        ]
    )


def _storey_of(home: Home, record: str) -> str | None:
    place = place_of(home, home.take(Point, record))
    return place.storey if place is not None else None


def _seen_from_above(path: Sequence[RoutePoint], storey: str) -> Iterator[tuple[PointMm, ...]]:
    """Give a route as the plan of a storey shows it, in pieces where it leaves the storey."""
    line: list[PointMm] = []
    for a, b in pairwise(path):
        if a.storey == b.storey == storey:
            line = [*(line or [(a.x_mm, a.y_mm)]), (b.x_mm, b.y_mm)]
        elif line:
            yield tuple(line)
            line = []
    if line:
        yield tuple(line)


def _turns(home: Home, storey: Storey, paths: Iterable[Sequence[RoutePoint]]) -> Iterator[Words]:
    """Give where routes leave a storey's plan, with the way that they go."""
    levels = {each.id: each.level for each in home.table(Storey).values()}
    for path in paths:
        for a, b in pairwise(path):
            here, there = (a, b) if a.storey == storey.id else (b, a)
            if here.storey == storey.id and there.storey != storey.id:
                way = "goes up" if levels[there.storey] > storey.level else "comes up"
                yield Words("label", way, (here.x_mm, here.y_mm), "accent", _NAME_PX, "middle", (0.0, 14.0), plate=True)


def _bounds(spots: Iterable[PointMm]) -> BoundsMm:
    listed = list(spots)
    xs, ys = [x for x, _ in listed], [y for _, y in listed]
    return min(xs) - _AROUND_MM, min(ys) - _AROUND_MM, max(xs) + _AROUND_MM, max(ys) + _AROUND_MM


def _ground(home: Home, memo: Memo, storey: Storey) -> Iterator[Mark]:
    for room in rooms_on(home, memo, storey.id):
        yield from room_outline(room, over_picture=True)
    for wall in home.sorted(Wall):
        if wall.storey == storey.id:
            yield from wall_marks(wall)
    for fixture in home.sorted(Fixture):
        if fixture.place.storey == storey.id:
            yield from fixture_marks(fixture)


def _is_named(room: Room) -> bool:
    return bool(room.name) and len(room.outline_mm) > 2


def _name(room: Room, symbols: Iterable[Mark], lines: Iterable[tuple[PointMm, ...]], scale: float) -> Words:
    """Give a room's name where no symbol and no route is under it, as near to its middle as may be."""
    import shapely

    outline = shapely.Polygon(room.outline_mm)
    whole = outline if outline.is_valid else shapely.make_valid(outline)
    spot = whole.representative_point()
    half = width_px(room.name, _NAME_PX) / 2 * _PLAN_MARKS / scale
    line = _NAME_PX * _PLAN_MARKS / scale
    taken = shapely.union_all(
        [shapely.Point(m.at_mm).buffer(1.2 * line) for m in symbols if isinstance(m, Glyph)]
        + [shapely.LineString(each).buffer(line / 2) for each in lines]
    )
    best = spot.x, spot.y
    for away in (0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0):
        y = spot.y + away * line * 1.4
        box = shapely.box(spot.x - half, y - line * 0.7, spot.x + half, y + line * 0.7)
        if whole.contains(box) and not taken.intersects(box):
            best = spot.x, y
            break
    return Words("label", room.name, best, "faint", _NAME_PX, "middle", plate=True)


def _routes(lines: Iterable[tuple[PointMm, ...]]) -> Iterator[Mark]:
    for line in lines:
        yield Line("run", line, _ROUTE)


def _symbols(home: Home, memo: Memo, storey: Storey, points: Sequence[str], gone: Collection[str]) -> Iterator[Mark]:
    new = {record: n for n, record in enumerate(points, 1)}
    for record, stand in stands_on(home, storey.id, memo).items():
        found = home.peek(record)
        if not isinstance(found, Point | Board | Plate):
            continue
        role = "accent" if record in new else "ink"
        yield Glyph("symbol", stand.symbol, stand.at, stand.turn_deg, role=role, size_px=stand.size_px)
        if record in gone:
            (x, y), half = stand.at, _CROSS_MM
            for side in (-1, 1):
                yield Line("symbol", ((x - half, y - side * half), (x + half, y + side * half)), _GONE)
        if record in new:
            dx, dy = stand.centre_px
            away = 1.0 + 24.0 / max(1.0, (dx * dx + dy * dy) ** 0.5)
            at = (dx * away, dy * away) if dx or dy else (18.0, -18.0)
            yield Words("label", str(new[record]), stand.at, "accent", 15.0, "middle", at, bold=True, plate=True)
