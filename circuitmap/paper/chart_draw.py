"""A window of a storey as it is printed: walls, rooms, symbols on their circuits' colours, codes beside them.

A filled disc says that the point was seen to stop working with its way, a ring that it wasn't. The code stands beside
each point, in a frame whose line is solid, dashed, dotted or mixed by turns, so that the plan reads without colours.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from msgspec import structs

from circuitmap.drawing.building import room_outline, wall_marks
from circuitmap.drawing.fixtures import fixture_marks
from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, PointMm, Words, mark_points
from circuitmap.drawing.palette import circuit_ink
from circuitmap.drawing.plan import stands_on
from circuitmap.drawing.standing import BOARD_SYMBOLS, Stand
from circuitmap.home.records import Board, Fixture, Room, Storey, Wall
from circuitmap.memo import Memo
from circuitmap.paper.chart_facts import Facts, PointFact
from circuitmap.paper.chart_layout import Box, Label, Layout, NamedRoom, Px, Style, Thing
from circuitmap.paper.chart_words import where_words
from circuitmap.paper.figures import bare_svg
from circuitmap.plan import rooms_on

MM: Final = 96 / 25.4  # px, an SVG pixel being 1/96 inch (CSS Values 4, section 6.2)
BoundsMm = tuple[float, float, float, float]
# The line round a code, by turns, in px on and off: circuits next to each other on the board never look alike.
FRAMES: Final[tuple[tuple[float, ...], ...]] = ((), (4.0, 2.2), (0.6, 2.4), (6.0, 2.2, 0.6, 2.2))
FRAME_NAMES: Final = ("solid", "dashed", "dotted", "dash-dotted")
_DISC_UNITS: Final = 0.70  # radius of a disc over the size of its symbol, as a settled point is drawn
_BOARD: Final = 1.45  # radii of a disc that a board reaches
_BOARD_SIZE: Final = 2.5  # its symbol's size in radii
_CIRCLE: Final = 28


class Ground(NamedTuple):
    """What is drawn of a storey whatever the window: its parts by the box that they lie in, its stands and rooms."""

    storey: Storey
    parts: tuple[tuple[BoundsMm, tuple[Mark, ...]], ...]
    busy: tuple[BoundsMm, ...]
    stands: Mapping[str, Stand]
    rooms: tuple[Room, ...]
    bounds: BoundsMm


class Window(NamedTuple):
    """A part of a storey, in plan mm, at px per mm; ``whole`` when it is all of it."""

    ground: Ground
    bounds: BoundsMm
    scale: float
    style: Style
    whole: bool

    @property
    def origin(self) -> PointMm:
        """Give the plan spot of the window's upper left corner, what is kept round it included."""
        return self.bounds[0] - self.style.around / self.scale, self.bounds[1] - self.style.around / self.scale

    @property
    def size(self) -> Px:
        """Give the window's width and height in px."""
        left, top, right, bottom = self.bounds
        around = 2 * self.style.around
        return (right - left) * self.scale + around, (bottom - top) * self.scale + around

    def px(self, x_mm: float, y_mm: float) -> Px:
        """Give where a plan spot is in the window."""
        ox, oy = self.origin
        return (x_mm - ox) * self.scale, (y_mm - oy) * self.scale

    def mm(self, spot: Px) -> PointMm:
        """Give the plan spot of a place in the window."""
        ox, oy = self.origin
        return ox + spot[0] / self.scale, oy + spot[1] / self.scale


def ground_of(facts: Facts, memo: Memo, storey: Storey) -> Ground | None:
    """Gather what is drawn of a storey; None when nothing is."""
    home = facts.home
    rooms = rooms_on(home, memo, storey.id)
    lone: list[tuple[Mark, ...]] = [room_outline(room, over_picture=True) for room in rooms]
    lone += [wall_marks(wall) for wall in home.sorted(Wall) if wall.storey == storey.id]
    fixtures = [
        tuple(mark for mark in fixture_marks(fixture) if not isinstance(mark, Words))
        for fixture in home.sorted(Fixture)
        if fixture.place.storey == storey.id
    ]
    busy = tuple(_box(marks) for marks in fixtures if marks)
    lone += fixtures
    parts = tuple((_box(marks), marks) for marks in lone if any(mark_points(mark) for mark in marks))
    stands = {i: s for i, s in stands_on(home, storey.id, memo).items() if i in facts.points or home.find(Board, i)}
    spots = [spot for box, _ in parts for spot in ((box[0], box[1]), (box[2], box[3]))]
    spots += [stand.at for stand in stands.values()]
    if not spots:
        return None
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    # A window holds what lies before its far edges, so that nothing is in two.
    bounds = min(xs), min(ys), max(max(xs) + 1.0, min(xs) + 1000.0), max(max(ys) + 1.0, min(ys) + 1000.0)
    return Ground(storey, parts, busy, stands, rooms, bounds)


def busy_in(window: Window) -> list[Box]:
    """Give what names should not lie over, if they can be elsewhere, in px of the window."""
    return [(*window.px(box[0], box[1]), *window.px(box[2], box[3])) for box in window.ground.busy]


def things_in(facts: Facts, window: Window) -> list[Thing]:
    """Give what stands in a window, in natural order."""
    left, top, right, bottom = window.bounds
    found: list[Thing] = []
    for record, stand in window.ground.stands.items():
        x, y = stand.at
        # Half open, so that no point is in two windows.
        if not window.whole and not (left <= x < right and top <= y < bottom):
            continue
        sized = structs.replace(stand, size_px=_symbol_size(stand, window.style))
        dx, dy = sized.centre_px
        px, py = window.px(x, y)
        fact = facts.points.get(record)
        code = where_words(facts, fact) if fact is not None else board_code(facts, record)
        radius = window.style.disc * (_BOARD if stand.symbol in BOARD_SYMBOLS else 1.0)
        found.append(Thing(record, (px + dx, py + dy), stand.faces, radius, code, (px, py)))
    return found


def board_code(facts: Facts, record: str) -> str:
    """Give what stands beside a board."""
    return f"Board {facts.home.take(Board, record).letter_on_map}"


def rooms_in(window: Window) -> list[NamedRoom]:
    """Give the rooms of a window that have a name, as far as they are in it."""
    import shapely

    left, top, right, bottom = window.bounds
    found: list[NamedRoom] = []
    frame = shapely.box(left, top, right, bottom)
    for room in window.ground.rooms:
        if len(room.outline_mm) < 3 or not room.name.strip():
            continue
        if not window.whole:
            xs, ys = [x for x, _ in room.outline_mm], [y for _, y in room.outline_mm]
            if max(xs) <= left or min(xs) >= right or max(ys) <= top or min(ys) >= bottom:
                continue
        shape = shapely.Polygon(room.outline_mm)
        shape = shape if shape.is_valid else shapely.make_valid(shape)
        inside = shape if window.whole else shape.intersection(frame)
        parts = [p for p in shapely.get_parts(inside) if isinstance(p, shapely.Polygon) and p.area > 250_000]
        parts = parts or [p for p in shapely.get_parts(shape) if window.whole and isinstance(p, shapely.Polygon)]
        if not parts:
            continue
        part = max(parts, key=lambda each: each.area)
        spot = part.representative_point()
        outline = tuple(window.px(x, y) for x, y in part.exterior.coords[:-1])
        found.append(NamedRoom(room.id, room.name.strip(), outline, window.px(spot.x, spot.y)))
    return found


def window_svg(facts: Facts, window: Window, layout: Layout, things: Sequence[Thing], title: str) -> str:
    """Draw a window as SVG, its width and height in px."""
    wide, high = window.size
    ox, oy = window.origin
    bounds = ox, oy, ox + wide / window.scale, oy + high / window.scale
    return bare_svg(_marks(facts, window, layout, things, bounds), bounds, window.scale, 1.0, title)


def way_number(facts: Facts, device: str) -> int | None:
    """Give the number of a way's colour, None for what is no way."""
    return next((way.number for way in facts.ways if way.view.device.id == device), None)


def symbol_svg(name: str, size_px: float) -> str:
    """Draw a symbol by itself, for a legend."""
    from circuitmap.drawing.symbols import symbol

    cx, cy = symbol(name).centre
    glyph = Glyph("symbol", name, (-cx * size_px / 100, -cy * size_px / 100), size_px=size_px)
    half = size_px * 0.72
    return bare_svg((glyph,), (-half, -half, half, half), 1.0, 1.0, symbol(name).title)


def state_svg(role: str, size_px: float, *, seen: bool) -> str:
    """Draw a socket as it stands on the plan: seen to stop working with its way, or not."""
    from circuitmap.drawing.symbols import symbol

    cx, cy = symbol("socket").centre
    at = (-cx * size_px / 100, -cy * size_px / 100)
    half = size_px * 0.8
    marks: list[Mark] = list(_ring((0.0, 0.0), size_px * _DISC_UNITS, role)) if not seen else []
    marks.append(Glyph("symbol", "socket", at, state="settled" if seen else "", role=role if seen else "ink",
                       size_px=size_px))  # fmt: skip
    return bare_svg(marks, (-half, -half, half, half), 1.0, 1.0, "filled" if seen else "ring")


def _marks(facts: Facts, window: Window, layout: Layout, things: Sequence[Thing], bounds: BoundsMm) -> Iterator[Mark]:
    numbers = {way.view.device.id: way.number for way in facts.ways}
    for box, marks in window.ground.parts:
        if box[2] >= bounds[0] and box[0] <= bounds[2] and box[3] >= bounds[1] and box[1] <= bounds[3]:
            yield from marks
    for label in layout.names:
        yield from _text(window, label, "ink", bold=False)
    for thing in things:
        yield from _standing(facts, window, thing, layout.at[thing.record], numbers)
    for label in layout.codes:
        fact = facts.points.get(label.record)
        number = numbers.get(fact.devices[0]) if fact is not None and fact.devices else None
        role = f"circuit:{number}" if number is not None else "ink"
        frame = FRAMES[number % len(FRAMES)] if number is not None else ()
        if label.line is not None:
            yield Line("label", tuple(window.mm(spot) for spot in label.line), Ink("ink", 0.7))
        left, top, right, bottom = label.box
        corners = ((left, top), (right, top), (right, bottom), (left, bottom))
        inset = 0.6
        ring = tuple(
            window.mm((x + (inset if x == left else -inset), y + (inset if y == top else -inset))) for x, y in corners
        )
        plate = fact is not None
        yield Area("label", (ring,), "paper", Ink(role, 1.1, frame) if plate else None)
        yield from _text(window, label, "ink", bold=True)


def _standing(facts: Facts, window: Window, thing: Thing, at: Px, numbers: Mapping[str, int]) -> Iterator[Mark]:
    stand = window.ground.stands[thing.record]
    size = _symbol_size(stand, window.style)
    sized = structs.replace(stand, size_px=size)
    dx, dy = sized.centre_px
    foot = window.mm((at[0] - dx, at[1] - dy))
    if math.hypot(at[0] - thing.at[0], at[1] - thing.at[1]) > thing.radius * 1.15:
        yield Line("symbol", (window.mm(thing.spot), window.mm(at)), Ink("ink", 0.7))
        yield Area("symbol", (_circle(window.mm(thing.spot), 1.3 / window.scale),), "ink")
    fact = facts.points.get(thing.record)
    if fact is None:
        yield Glyph("symbol", stand.symbol, foot, stand.turn_deg, size_px=size)
        return
    number = numbers.get(fact.devices[0]) if fact.devices else None
    role = f"circuit:{number}" if number is not None else "faint"
    if fact.is_sure and number is not None:
        yield Glyph("symbol", stand.symbol, foot, stand.turn_deg, "settled", role, size)
        if circuit_ink(number)[1]:  # the colours come again, as the legend shows them
            yield Line("symbol", _circle(window.mm(at), thing.radius / window.scale), Ink("ink", 1.1), closed=True)
        return
    yield from _ring(window.mm(at), thing.radius * 0.94, role, 1 / window.scale)
    yield Glyph("symbol", stand.symbol, foot, stand.turn_deg, size_px=size)


def _ring(at: PointMm, radius_px: float, role: str, mm_per_px: float = 1.0) -> Iterator[Mark]:
    yield Area("symbol", (_circle(at, radius_px * mm_per_px),), "paper", Ink(role, 1.6))


def _text(window: Window, label: Label, role: str, *, bold: bool) -> Iterator[Mark]:
    left, top, right, bottom = label.box
    step = (bottom - top) / len(label.lines)
    for n, line in enumerate(label.lines):
        at = window.mm(((left + right) / 2, top + step * (n + 0.5)))
        yield Words("label", line, at, role, label.size, "middle", bold=bold)


def _symbol_size(stand: Stand, style: Style) -> float:
    return style.disc * _BOARD_SIZE if stand.symbol in BOARD_SYMBOLS else style.disc / _DISC_UNITS


def _circle(at: PointMm, radius: float) -> tuple[PointMm, ...]:
    steps = (math.tau * n / _CIRCLE for n in range(_CIRCLE))
    return tuple((at[0] + radius * math.cos(t), at[1] + radius * math.sin(t)) for t in steps)


def _box(marks: Iterable[Mark]) -> BoundsMm:
    points = [point for mark in marks for point in mark_points(mark)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def used_facts(facts: Facts, things: Iterable[Thing]) -> list[PointFact]:
    """Give the points among what stands in a window."""
    return [facts.points[thing.record] for thing in things if thing.record in facts.points]
