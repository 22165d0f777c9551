"""Walls out of rooms: what lies between outlines that face each other, and what closes the house to the outside.

Every wall parts one pair of rooms, or a room and out of doors; walls in one line meet halfway, so that no gap is left
where a third wall runs into them.
"""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Room, natural_key
from circuitmap.plan.outlines import Corner, Side, polygon_of, sides_of
from circuitmap.plan.rooms import WALL_GAP_MM, has_outline
from circuitmap.trade import Trade
from circuitmap.words import ThicknessFrom

if TYPE_CHECKING:
    import shapely

# Sides further from parallel than 15° don't make a wall.
_OPPOSITE: Final = -math.cos(math.radians(15))
# Rooms drawn without a wall between them: nobody builds one so thin.
_THINNEST_MM: Final = 20.0
_SHORTEST_MM: Final = 100.0
_NOOK_MM: Final = 150.0
_IN_LINE_MM: Final = 60.0
_REACHES_MM: Final = 5.0
_SQUARE: Final = math.sin(math.radians(60))


@dataclass(frozen=True)
class WallDraft:
    """A wall as the rooms have it; ``outer`` is None where what lies behind it was not drawn."""

    a_mm: Corner
    b_mm: Corner
    thickness_mm: int
    thickness_from: ThicknessFrom
    outer: bool | None
    rooms: tuple[str, ...]


@dataclass
class _Piece:
    """A stretch of wall along a room's side while its ends are being settled; ``more`` is what they reach beyond."""

    side: Side
    start: float
    end: float
    out: float  # of the centre line, from the side
    thickness: float
    thickness_from: ThicknessFrom
    outer: bool | None
    rooms: tuple[str, ...]
    more: list[float] = field(default_factory=lambda: [0.0, 0.0])

    def at(self, along: float) -> tuple[float, float]:
        side = self.side
        x, y = side.x + along * side.along_x, side.y + along * side.along_y
        return x + self.out * side.along_y, y - self.out * side.along_x

    def draft(self) -> WallDraft:
        ends = self.at(self.start - self.more[0]), self.at(self.end + self.more[1])
        a, b = ((round(x), round(y)) for x, y in ends)
        return WallDraft(a, b, max(1, round(self.thickness)), self.thickness_from, self.outer, self.rooms)


@dataclass
class _Held:
    """What stands along one side, as stretches in its own measure; ``backwards`` where the piece runs against it."""

    start: float
    end: float
    piece: _Piece | None
    backwards: bool = False

    def run_on(self, end: int, by: float) -> None:
        """Let the piece reach so far beyond one end of the stretch, if it does not yet."""
        if self.piece is not None:
            own = 1 - end if self.backwards else end
            self.piece.more[own] = max(self.piece.more[own], by)


def walls_of(rooms: Iterable[Room], trade: Trade, *, outer_mm: int | None = None) -> tuple[WallDraft, ...]:
    """Give the walls of one storey's drawn rooms, inner ones first, in the order of the rooms.

    Parameters
    ----------
    rooms
        The rooms of one storey; those without an outline have no walls.
    trade
        For the thickness of walls that nobody measured.
    outer_mm
        The thickness of the outer walls where it is known; the usual one by default.
    """
    drawn = sorted((room for room in rooms if has_outline(room)), key=lambda room: natural_key(room.id))
    sides = [(room.id, side) for room in drawn for side in sides_of(room.outline_mm)]
    held: list[list[_Held]] = [[] for _ in sides]
    inner = _between(sides, held, trade.size_mm("inner wall"))
    outer = _around(drawn, sides, held, trade, outer_mm)
    _meet_along(held)
    _meet_across((*inner, *outer))
    _fill_corners(sides, held)
    return tuple(piece.draft() for piece in (*inner, *outer))


def _between(sides: Sequence[tuple[str, Side]], held: list[list[_Held]], usual_mm: float) -> list[_Piece]:
    """Note on every side what faces it, nearest first, and give the walls between."""
    pieces: list[_Piece] = []
    facing: list[list[tuple[float, float, float, int]]] = [[] for _ in sides]
    for n, (_, one) in enumerate(sides):
        for m, (_, other) in enumerate(sides):
            if m != n:
                span = _span(one, other)
                if span is not None:
                    facing[n].append((*span, m))
    made: dict[tuple[int, int], list[_Piece]] = {}
    for n, (room, side) in enumerate(sides):
        taken: list[tuple[float, float]] = []
        for out, start, end, m in sorted(facing[n], key=lambda each: each[0]):
            for free_start, free_end in _free(start, end, taken):
                piece = None
                if m > n and free_end - free_start >= _SHORTEST_MM:
                    rooms = tuple(dict.fromkeys((room, sides[m][0])))
                    piece = _inner_piece(side, free_start, free_end, out, rooms, usual_mm)
                    pieces.append(piece)
                    made.setdefault((n, m), []).append(piece)
                held[n].append(_Held(free_start, free_end, piece))
            taken.append((start, end))
    for (n, m), between in made.items():
        for piece in between:
            _note_behind(sides[n][1], sides[m][1], held[m], piece)
    return pieces


def _inner_piece(side: Side, start: float, end: float, out: float, rooms: tuple[str, ...], usual_mm: float) -> _Piece:
    if out < _THINNEST_MM:
        return _Piece(side, start, end, out / 2, usual_mm, "assumed", False, rooms)
    return _Piece(side, start, end, out / 2, out, "drawn", False, rooms)


def _span(one: Side, other: Side) -> tuple[float, float, float] | None:
    """Give how far another side lies outwards of one, and where along it the two face each other."""
    if one.along_x * other.along_x + one.along_y * other.along_y > _OPPOSITE:
        return None
    ends = []
    for end_mm in (0.0, other.length):
        x = other.x + end_mm * other.along_x - one.x
        y = other.y + end_mm * other.along_y - one.y
        ends.append((x * one.along_x + y * one.along_y, x * one.along_y - y * one.along_x))
    (far, far_out), (near, near_out) = ends
    start, end = max(0.0, near), min(one.length, far)
    out = (far_out + near_out) / 2
    if end - start < 1 or not -0.1 * WALL_GAP_MM <= out <= WALL_GAP_MM:
        return None
    return max(out, 0.0), start, end


def _note_behind(one: Side, other: Side, held: list[_Held], piece: _Piece) -> None:
    """Tell the side on the wall's other face which piece it is that stands there."""
    ends = []
    for along in (piece.start, piece.end):
        x, y = one.x + along * one.along_x - other.x, one.y + along * one.along_y - other.y
        ends.append(x * other.along_x + y * other.along_y)
    for stretch in held:
        if stretch.piece is None and min(stretch.end, ends[0]) - max(stretch.start, ends[1]) > 1:
            stretch.piece, stretch.backwards = piece, True


def _around(
    drawn: Sequence[Room], sides: Sequence[tuple[str, Side]], held: list[list[_Held]], trade: Trade,
    outer_mm: int | None,
) -> list[_Piece]:  # fmt: skip
    """Give the walls along what nothing faces: outer ones, and those to a space inside that nobody drew."""
    import shapely

    if not drawn:
        return []
    polygons = [polygon_of(room.outline_mm) for room in drawn]
    within = shapely.union_all(polygons)
    house = _filled(shapely.union_all([p.buffer(WALL_GAP_MM / 2, join_style="mitre") for p in polygons]))
    usual = float(outer_mm) if outer_mm is not None else trade.size_mm("outer wall")
    source: ThicknessFrom = "measured" if outer_mm is not None else "assumed"
    pieces = []
    for n, (room, side) in enumerate(sides):
        taken = [(each.start, each.end) for each in held[n]]
        for start, end in _free(0.0, side.length, taken):
            # Between two stretches that something faces, the end of a wall runs into this one; at a corner, too.
            at_ends = (start <= 0) + (end >= side.length)
            if end - start < _SHORTEST_MM or (at_ends == 0 and end - start <= WALL_GAP_MM):
                continue
            if at_ends == 1 and end - start <= _NOOK_MM:
                continue
            middle, out = (start + end) / 2, WALL_GAP_MM / 2 + _THINNEST_MM
            spot = shapely.Point(
                side.x + middle * side.along_x + out * side.along_y, side.y + middle * side.along_y - out * side.along_x
            )
            if within.contains(spot):
                continue
            if house.contains(spot):
                thin = trade.size_mm("inner wall")
                piece = _Piece(side, start, end, thin / 2, thin, "assumed", None, (room,))
            else:
                piece = _Piece(side, start, end, usual / 2, usual, source, True, (room,))
            pieces.append(piece)
            held[n].append(_Held(start, end, piece))
    return pieces


def _filled(area: "shapely.Geometry") -> "shapely.Geometry":
    import shapely

    parts = [shapely.Polygon(part.exterior) for part in shapely.get_parts(area).tolist()]
    return shapely.union_all(parts)


def _free(start: float, end: float, taken: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    left = [(start, end)]
    for a, b in taken:
        parts = []
        for s, e in left:
            parts += [(s, min(e, a)), (max(s, b), e)]
        left = [(s, e) for s, e in parts if e - s > 1]
    return left


def _meet_along(held: list[list[_Held]]) -> None:
    """Let walls that follow each other along one side meet halfway."""
    for stretches in held:
        stretches.sort(key=lambda each: each.start)
        for one, other in itertools.pairwise(stretches):
            gap = other.start - one.end
            if 0 < gap <= WALL_GAP_MM:
                one.run_on(1, gap / 2)
                other.run_on(0, gap / 2)


def _meet_across(pieces: Sequence[_Piece]) -> None:
    """Let walls of different rooms that lie in one line meet halfway, across the end of the wall between the rooms."""
    ends = [(piece, end, *_end_of(piece, end)) for piece in pieces for end in (0, 1)]
    for n, (one, one_end, x, y, way_x, way_y) in enumerate(ends):
        for other, other_end, other_x, other_y, back_x, back_y in ends[n + 1 :]:
            if one is other or way_x * back_x + way_y * back_y > _OPPOSITE:
                continue
            ahead = (other_x - x) * way_x + (other_y - y) * way_y
            aside = abs((other_x - x) * way_y - (other_y - y) * way_x)
            if 0 < ahead <= WALL_GAP_MM and aside <= _IN_LINE_MM:
                one.more[one_end] = max(one.more[one_end], ahead / 2)
                other.more[other_end] = max(other.more[other_end], ahead / 2)


def _end_of(piece: _Piece, end: int) -> tuple[float, float, float, float]:
    """Give where a piece ends and the way it would run on."""
    sign = 1 if end else -1
    return (*piece.at(piece.end if end else piece.start), sign * piece.side.along_x, sign * piece.side.along_y)


def _fill_corners(sides: Sequence[tuple[str, Side]], held: list[list[_Held]]) -> None:
    """Let one of two walls that go round a corner of a room run on to fill it: the one that lies more level."""
    for n, (room, side) in enumerate(sides):
        following = n + 1 if n + 1 < len(sides) and sides[n + 1][0] == room else _first_of(sides, room)
        after = sides[following][1]
        turn = side.along_x * after.along_y - side.along_y * after.along_x
        here = next((e for e in held[n] if e.end >= side.length - _REACHES_MM), None)
        there = next((e for e in held[following] if e.start <= _REACHES_MM), None)
        if turn <= 0 or here is None or there is None or not _go_round(here.piece, there.piece):
            continue
        assert here.piece is not None
        assert there.piece is not None
        if turn < _SQUARE:
            # A blunt corner: both run on to where their centre lines cross.
            ahead = math.tan(math.asin(turn) / 2)
            here.run_on(1, here.piece.out * ahead)
            there.run_on(0, there.piece.out * ahead)
        elif abs(side.along_x) >= abs(after.along_x):
            here.run_on(1, there.piece.thickness)
        else:
            there.run_on(0, here.piece.thickness)


def _go_round(one: _Piece | None, other: _Piece | None) -> bool:
    """Whether two walls go round a corner together: the same rooms, or out of doors, behind both."""
    if one is None or other is None:
        return False
    return one.rooms == other.rooms and (one.outer is False) == (other.outer is False)


def _first_of(sides: Sequence[tuple[str, Side]], room: str) -> int:
    return next(n for n, (owner, _) in enumerate(sides) if owner == room)
