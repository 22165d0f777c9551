"""A wall as it is seen from its room: what stands on it, where cables may be hidden, a route, and how it is marked out.

Its space is the face's own: x is how far from the left end, y how far below the ceiling, in mm. Everything is told by
shape and words as well as tone, so that it reads when printed in black.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import Final, NamedTuple

from msgspec import Struct

from circuitmap import words
from circuitmap.design.boxes import depth_needed_mm
from circuitmap.drawing.blocks import Block, Fill, Stroke, Text
from circuitmap.drawing.elevation_marks import (
    BY_HAND,
    DASHED,
    EXISTING,
    NEW,
    ROUTE,
    STRAY,
    ZONE,
    Beside,
    accessory_marks,
    ground_marks,
    ground_names,
    route_marks,
    stray_marks,
    zone_marks,
)
from circuitmap.drawing.marks import Area, Ink, Line, Mark, Words
from circuitmap.drawing.palette import Theme
from circuitmap.drawing.svg import BoundsMm, svg_text
from circuitmap.drawing.typed import width_px
from circuitmap.errors import OurError
from circuitmap.extension.pathing import RoutePoint
from circuitmap.extension.stray import Stray
from circuitmap.home import Home
from circuitmap.home.records import Board, Extension, Plate, Point, Room, Storey
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, Stood, faces_on, hidden_on, standing_on
from circuitmap.plan.permitted import permitted_on
from circuitmap.plan.wall_numbers import number_of
from circuitmap.quantities.show import show_length
from circuitmap.trade import Trade

PX_PER_MM: Final = 0.2
CAUTION: Final = (
    "Worked out from a plan: measure on site, look for hidden cables and pipes, isolate and prove dead before cutting."
)
_DIM: Final = Ink("faint", 1.0)
_CENTRE: Final = Ink("faint", 0.8, (8.0, 3.0, 2.0, 3.0))
_ROW_PX: Final = 22.0
_FIRST_ROW_PX: Final = 28.0  # clear of the arrow of a route that goes down
_TICK_PX: Final = 4.0
_TEXT_PX: Final = 11.0
_SIDE_PX: Final = 58.0
_ABOVE_PX: Final = 26.0
_LETTER_GAP_PX: Final = 10.0

BUILD_WORDS: Final[dict[words.Build, str]] = {
    "brick": "brick", "block": "block", "concrete": "concrete", "stud": "stud wall", "lined": "lined wall",
    "unknown": "not known",
}  # fmt: skip


class MarkedOut(Struct, frozen=True, kw_only=True):
    """How a box is marked out: its centre from both ends of the wall and from the floor, its hole and depth, in mm.

    ``hole_mm`` is the width and height of the box's own outline, held against the wall; None for what has no box of a
    usual size. ``depth_mm`` is that of the box the accessory needs, None where no table says. A box ``on_surface`` is
    cut into nothing.
    """

    number: int
    record: str
    what: str
    from_left_mm: int
    from_right_mm: int
    from_floor_mm: int | None
    hole_mm: tuple[int, int] | None
    depth_mm: int | None
    build: words.Build
    on_surface: bool = False

    def said(self) -> str:
        """Give the measures in one sentence."""
        height = f"{self.from_floor_mm} mm over the floor" if self.from_floor_mm is not None else "height to be agreed"
        hole = f"; box {self.hole_mm[0]} × {self.hole_mm[1]} mm" if self.hole_mm else ""
        deep = f", {self.depth_mm} mm deep or more" if self.depth_mm else ""
        deep = ", on the surface" if self.on_surface else deep
        return (
            f"{self.number}: {self.what}, centre {self.from_left_mm} mm from the left corner, {height}{hole}{deep}; "
            f"wall: {BUILD_WORDS[self.build]}."
        )


class Elevation(Struct, frozen=True, kw_only=True):
    """A wall drawn: its marks, the part of its space that they take, and what is to be marked out on it."""

    face: Face
    title: str
    marks: tuple[Mark, ...]
    bounds_mm: BoundsMm
    px_per_mm: float
    marked: tuple[MarkedOut, ...]
    notes: tuple[str, ...]


class _Dimension(NamedTuple):
    """A level measure under the wall, from a corner to a centre."""

    from_mm: float
    to_mm: float


def elevation(
    home: Home,
    memo: Memo,
    trade: Trade,
    face: Face,
    *,
    marked: Sequence[str] = (),
    paths: Iterable[Sequence[RoutePoint]] = (),
    strays: Iterable[Stray] = (),
    gone: Collection[str] = (),
    measured: Collection[str] = (),
    over: Iterable[Mark] = (),
    px_per_mm: float = PX_PER_MM,
    on_surface: bool = False,
) -> Elevation:
    """Draw one face of a wall.

    Parameters
    ----------
    home
        With the points that are to be marked out already on it.
    face
        Which face, from ``plan.elevation.faces_on``.
    marked
        The points to mark out, by record id, in the order of their numbers.
    paths
        Routes, as paths; only what lies on the face, or leaves it, is drawn.
    strays
        Stretches outside the zones, drawn with their length and why.
    gone
        Points that are taken away; they are drawn crossed out.
    measured
        Of what is there already, what is given its measures too.
    over
        Other marks of the face, like cables that are there; labels keep clear of them.
    px_per_mm
        The scale that labels are placed for.
    on_surface
        Whether boxes are put on the wall and not into it.
    """
    stood = standing_on(home, memo, trade, face.storey).get(face.id, ())
    zones = permitted_on(home, memo, trade, face.storey)[face.id]
    numbers = {record: n for n, record in enumerate(marked, 1)}
    hidden = hidden_on(home, trade, face)
    marks: list[Mark] = [*ground_marks(face, hidden), *zone_marks(face, zones)]
    on_face = [path for path in paths if any(spot.on == face.id for spot in path)]
    for path in on_face:
        marks += route_marks(face, path, px_per_mm)
    here = [stray for stray in strays if stray.face == face.id]
    for stray in here:
        marks += stray_marks(face, stray)
    marks += over
    beside = Beside(face, px_per_mm, marks)
    out = [
        _marked_out(home, trade, face, each, numbers[each.record], on_surface=on_surface)
        for each in stood
        if each.record in numbers
    ]
    out.sort(key=lambda each: each.number)
    with_measures = [each for each in stood if each.record in numbers or each.record in measured]
    below, below_px = _below(face, with_measures, px_per_mm)
    upright = [mark for each in with_measures for mark in upright_marks(face, each, px_per_mm)]
    beside.keep_clear(upright)
    for each in sorted(stood, key=lambda one: one.record not in numbers):  # what is to be marked out is labelled first
        record = home.peek(each.record)
        marks += accessory_marks(
            beside, each, _drawn_as(home, record), numbers.get(each.record), is_gone=each.record in gone
        )
    marks += [*upright, *below, *ground_names(face, hidden, beside)]
    bounds = (
        -_SIDE_PX / px_per_mm,
        -_ABOVE_PX / px_per_mm,
        face.length_mm + _SIDE_PX / px_per_mm,
        face.height_mm + below_px / px_per_mm,
    )
    return Elevation(
        face=face,
        title=face_said(home, memo, trade, face),
        marks=tuple(marks),
        bounds_mm=bounds,
        px_per_mm=px_per_mm,
        marked=tuple(out),
        notes=_notes(face, [each for each in stood if each.record not in gone], here, numbers, bool(zones.strips)),
    )


def faces_to_draw(
    home: Home, memo: Memo, trade: Trade, marked: Collection[str], paths: Iterable[Sequence[RoutePoint]]
) -> tuple[Face, ...]:
    """Give the faces that something is marked out on, then those that a route runs on, each once."""
    routed = [spot.on for path in paths for spot in path]
    first: list[Face] = []
    then: list[Face] = []
    for storey in sorted(home.table(Storey).values(), key=lambda each: (each.level, each.id)):
        standing = standing_on(home, memo, trade, storey.id)
        for face in faces_on(home, memo, trade, storey.id):
            if any(each.record in marked for each in standing.get(face.id, ())):
                first.append(face)
            elif face.id in routed:
                then.append(face)
    return (*first, *sorted(then, key=lambda face: routed.index(face.id)))


def face_said(home: Home, memo: Memo, trade: Trade, face: Face) -> str:
    """Name a face in words: the room it is seen from, the number of its wall there, and the wall's id on the map."""
    wall = f"wall {face.wall}" if face.wall is not None else f"side {face.id}"
    room = home.find(Room, face.room) if face.room is not None else None
    if room is None:
        return f"{wall[0].upper()}{wall[1:]}"
    number = number_of(home, memo, trade, face)
    if number is not None:
        wall = f"wall {number}" + (f" ({face.wall})" if face.wall is not None else "")
    return f"{room.name or room.id}, {wall}"


def elevation_svg(drawn: Elevation, *, theme: Theme = "paper") -> str:
    """Give an elevation as a whole SVG with its key, what is marked out, and the caution."""
    length, height = show_length(drawn.face.length_mm), show_length(drawn.face.height_mm)
    return svg_text(
        drawn.marks,
        title=f"{drawn.title}, seen from the room, {length} × {height}",
        theme=theme,
        bounds_mm=drawn.bounds_mm,
        px_per_mm=drawn.px_per_mm,
        description=f"Elevation of {drawn.title}. {' '.join(each.said() for each in drawn.marked)} {CAUTION}",
        notes=(*drawn.notes, CAUTION),
        blocks=(key_block(drawn), *((marked_block(drawn.marked),) if drawn.marked else ())),
    )


def key_block(drawn: Elevation) -> Block:
    """Lay out what the lines and shapes of an elevation mean, with a sample of each that is on it."""
    inks = {mark.ink for mark in drawn.marks if isinstance(mark, Line)}
    inks |= {mark.edge for mark in drawn.marks if isinstance(mark, Area) and mark.edge is not None}
    strokes: list[Stroke] = []
    fills: list[Fill] = []
    texts: list[Text] = []
    x = 0.0
    for said, ink, fill in (
        ("cable may be hidden here", DASHED, ZONE),
        ("route", ROUTE, ""),
        ("strays from the zones", STRAY, ""),
        ("to be fitted", NEW, "accent/tint"),
        ("there already", EXISTING, "paper"),
        ("drawn by hand", BY_HAND, ""),
    ):
        if ink not in inks:
            continue
        box = ((x, 3.0), (x + 26, 3.0), (x + 26, 17.0), (x, 17.0))
        if fill:
            fills.append(Fill(box, fill))
            strokes.append(Stroke((*box, box[0]), ink))
        else:
            strokes.append(Stroke(((x, 10.0), (x + 26, 10.0)), ink))
        texts.append(Text(said, x + 32, 10.0, _TEXT_PX))
        x += 32 + width_px(said, _TEXT_PX) + 20
    return Block(x, 20.0, strokes=tuple(strokes), texts=tuple(texts), fills=tuple(fills))


def marked_block(marked: Sequence[MarkedOut]) -> Block:
    """Lay out what is marked out as a table: centres from the corners and the floor, holes, depths."""
    heads = ("", "box", "from left", "from right", "from floor", "outline", "depth", "wall")
    rows = [heads, *(marked_row(each) for each in marked)]
    wide = [max(width_px(row[n], _TEXT_PX) for row in rows) + 18 for n in range(len(heads))]
    texts = []
    for line, row in enumerate(rows):
        x = 0.0
        for n, cell in enumerate(row):
            role = "faint" if not line else "ink"
            texts.append(Text(cell, x, 10 + 18 * line, _TEXT_PX, role, bold=n == 0))
            x += wide[n]
    rule = Stroke(((0.0, 19.5), (sum(wide), 19.5)), Ink("faint", 0.8))
    return Block(sum(wide), 18.0 * len(rows) + 4, strokes=(rule,), texts=tuple(texts))


def marked_row(each: MarkedOut) -> tuple[str, ...]:
    """Give one row of the marking-out table as texts, lengths in mm."""
    return (
        str(each.number),
        each.what,
        f"{each.from_left_mm} mm",
        f"{each.from_right_mm} mm",
        f"{each.from_floor_mm} mm" if each.from_floor_mm is not None else "to be agreed",
        f"{each.hole_mm[0]} × {each.hole_mm[1]} mm" if each.hole_mm else "by its maker",
        depth_said(each),
        BUILD_WORDS[each.build],
    )


def depth_said(each: MarkedOut) -> str:
    """Give how deep a box has to be, for a table."""
    if each.on_surface:
        return "on the surface"
    return f"{each.depth_mm} mm or more" if each.depth_mm else "by its maker"


def _marked_out(
    home: Home, trade: Trade, face: Face, stood: Stood, number: int, *, on_surface: bool
) -> MarkedOut:  # fmt: skip
    record = home.peek(stood.record)
    hole = depth = None
    what = "board"
    if isinstance(record, Point):
        what = called(trade, record)
        depth = depth_needed_mm(trade, record.kind, is_deep=_is_deep(home, record))
        if depth is not None:
            is_twin = stood.wide_mm > trade.size_mm("plate single wide")
            wide = trade.size_mm("box twin wide" if is_twin else "box single wide")
            hole = round(wide), round(trade.size_mm("box high"))
    left = round(stood.u)
    return MarkedOut(
        number=number,
        record=stood.record,
        what=what,
        from_left_mm=left,
        from_right_mm=round(face.length_mm) - left,
        from_floor_mm=round(stood.v) if stood.v is not None else None,
        hole_mm=hole,
        depth_mm=depth,
        build=face.backed(stood.u).build,
        on_surface=on_surface and hole is not None,
    )


def called(trade: Trade, point: Point) -> str:
    """Give what a point is called: its own name, or its kind with the gangs of a twin."""
    if point.name:
        return point.name
    row = trade.point(point.kind)
    if point.gangs == 2 and row.family == "sockets":
        return f"twin {row.title}"
    return row.title if point.gangs == 1 else f"{row.title}, {point.gangs} gang"


def _is_deep(home: Home, point: Point) -> bool:
    for each in home.table(Extension).values():
        for wish in each.wishes:
            if wish.deep and wish.place is not None and wish.place == point.place and wish.kind == point.kind:
                return True
    return False


def _drawn_as(home: Home, record: object) -> tuple[words.PointKind | None, int]:
    """Give the kind and gangs that an accessory's face shows; None for a board."""
    if isinstance(record, Board):
        return None, 1
    if not isinstance(record, Point):
        raise OurError("Only points and boards stand on walls.")
    plate = home.find(Plate, record.plate) if record.plate is not None and record.place is None else None
    return record.kind, plate.gangs if plate is not None else record.gangs


def _below(face: Face, stood: Iterable[Stood], px_per_mm: float) -> tuple[list[Mark], float]:
    """Give the level measures under the wall: its length, and each centre from the nearer corner; and their depth."""
    px = 1 / px_per_mm
    rows: list[list[_Dimension]] = []
    wanted = [
        _Dimension(0.0, each.u) if each.u <= face.length_mm / 2 else _Dimension(face.length_mm, each.u)
        for each in stood
    ]
    for each in sorted(set(wanted), key=lambda d: abs(d.to_mm - d.from_mm)):
        low, high = sorted(each)
        row = next((r for r in rows if all(max(o) <= low or min(o) >= high for o in r)), None)
        if row is None:
            rows.append(row := [])
        row.append(each)
    marks: list[Mark] = []
    depth = _FIRST_ROW_PX
    for row in rows:
        for each in row:
            v = -depth * px
            marks += _level(face, *each, v, px)
            marks.append(Line("grid", ((each.to_mm, face.height_mm), (each.to_mm, face.height_mm - v)), _CENTRE))
        depth += _ROW_PX
    marks += _level(face, 0.0, face.length_mm, -depth * px, px)
    for u in (0.0, face.length_mm):
        marks.append(Line("grid", ((u, face.height_mm), (u, face.height_mm + (depth + _TICK_PX) * px)), _DIM))
    high = face.height_mm
    x = -22 * px
    marks += [Line("grid", ((x, 0.0), (x, high)), _DIM), *_ticks(((x, 0.0), (x, high)), px)]
    marks.append(Words("label", f"{high:.0f}", (x, high / 2), "faint", _TEXT_PX, "middle", plate=True))
    return marks, depth + _ROW_PX


def _level(face: Face, start: float, end: float, v: float, px: float) -> list[Mark]:
    y = face.height_mm - v
    length = abs(end - start)
    said = f"{length:.0f}"
    middle = (start + end) / 2
    room = length / px - 2 * _TICK_PX
    anchor_at = middle
    if width_px(said, _TEXT_PX) + 6 > room:  # too short for its words: they go outside, past the corner
        out = (width_px(said, _TEXT_PX) / 2 + _LETTER_GAP_PX) * px
        anchor_at = start - out if start <= end else start + out
    return [
        Line("grid", ((start, y), (end, y)), _DIM),
        *_ticks(((start, y), (end, y)), px),
        Words("label", said, (anchor_at, y), "ink", _TEXT_PX, "middle", plate=True),
    ]


def _ticks(spots: Iterable[tuple[float, float]], px: float) -> list[Mark]:
    reach = _TICK_PX * px
    return [Line("grid", ((x - reach, y + reach), (x + reach, y - reach)), Ink("ink", 1.2)) for x, y in spots]


def upright_marks(face: Face, stood: Stood, px_per_mm: float) -> list[Mark]:
    """Give the measure of a centre over the floor, beside its box."""
    if stood.v is None:
        return []
    px = 1 / px_per_mm
    aside = stood.wide_mm / 2 + 14 * px
    x = stood.u + aside if stood.u + aside + 12 * px < face.length_mm else stood.u - aside
    top, floor = face.height_mm - stood.v, face.height_mm
    marks: list[Mark] = [
        Line("grid", ((x, top), (x, floor)), _DIM),
        Line("grid", ((stood.u, top), (x + (4 * px if x > stood.u else -4 * px), top)), _CENTRE),
        Line("grid", ((stood.u, top), (stood.u, floor)), _CENTRE),
        *_ticks(((x, top), (x, floor)), px),
        Words("label", f"{stood.v:.0f}", (x, (top + floor) / 2), "ink", _TEXT_PX, "middle", plate=True),
    ]
    return marks


def _clashes(stood: Sequence[Stood], numbers: Mapping[str, int]) -> Iterator[tuple[str, str]]:
    """Give what is to be fitted where something stands already, or is to be fitted too."""
    for a, b in combinations(stood, 2):
        if a.v is None or b.v is None or not {a.record, b.record} & numbers.keys():
            continue
        if abs(a.u - b.u) < (a.wide_mm + b.wide_mm) / 2 and abs(a.v - b.v) < (a.high_mm + b.high_mm) / 2:
            yield _label(a, numbers), _label(b, numbers)


def _label(stood: Stood, numbers: Mapping[str, int]) -> str:
    return f"No. {numbers[stood.record]}" if stood.record in numbers else stood.record


def _notes(
    face: Face, stood: Sequence[Stood], strays: Sequence[Stray], numbers: Mapping[str, int], has_zones: bool
) -> tuple[str, ...]:
    said = [f"{show_length(each.mm)} {each.why}." for each in strays]
    unknown = [each.record for each in stood if each.v is None]
    if unknown:
        said.append(f"Height not known: {', '.join(unknown)}.")
    said += [f"{a} and {b} are in each other's way: choose another spot." for a, b in _clashes(stood, numbers)]
    if any(each.build == "unknown" for each in face.behind):
        said.append("What the wall is built of is not known everywhere: find out before cutting.")
    if not has_zones:
        said.append("No zone for hidden cables is known on this wall.")
    return tuple(said)
