"""Where things stand on the drawing: the spot, the wall behind it, and how far its symbol is turned.

A room is laid out once as a frame of sides, so that thousands of points can be asked against it without a geometry
library. Directions are unit vectors; the inside of a room lies a quarter turn on from the direction of a side.
"""

import math
from typing import Final

from msgspec import Struct

from circuitmap.drawing.marks import PointMm
from circuitmap.drawing.symbols import symbol, symbol_name
from circuitmap.home.records import Board, Place, Point, Room
from circuitmap.plan.outlines import sides_of

Direction = tuple[float, float]

REFERENCE_ZOOM: Final = 0.1  # px per mm at which labels are placed: a 10 m storey is 1000 px wide
POINT_PX: Final = 20.0
BOARD_PX: Final = 32.0
# How far apart points of one plate are drawn: side by side at the reference zoom, wherever the plate really is.
PLATE_STEP_MM: Final = 240.0
WAY_STEP_MM: Final = 55.0  # how far apart the ways of a board are drawn
BOARD_SYMBOLS: Final = frozenset({"board", "sub-board"})
_REACH_MM: Final = 450.0  # further from every wall, a thing stands in the open
_SAME_WAY: Final = math.cos(math.radians(50))


class FrameSide(Struct, frozen=True):
    """One side of a room: its start, its direction, its length, and how far round the room it starts."""

    x: float
    y: float
    dx: float
    dy: float
    length: float
    starts: float

    @property
    def inwards(self) -> Direction:
        """Give the direction off the wall into the room."""
        return -self.dy, self.dx


class Frame(Struct, frozen=True):
    """A drawn room as its sides in order, the way round, and the box that holds it."""

    room: str
    sides: tuple[FrameSide, ...]
    round_mm: float
    box: tuple[float, float, float, float]

    def corner(self, number: int, inset_mm: float) -> PointMm:
        """Give the corner where a side starts, moved into the room by an inset from both walls."""
        before, after = self.sides[number - 1], self.sides[number % len(self.sides)]
        (ax, ay), (bx, by) = before.inwards, after.inwards
        # The mitre grows without limit as a corner gets sharper; past a right angle's it is held.
        share = inset_mm / max(1 + ax * bx + ay * by, 0.5)
        return after.x + (ax + bx) * share, after.y + (ay + by) * share


class Stand(Struct, frozen=True):
    """Where one thing is drawn; ``faces`` is None in the open, ``side`` -1 where no side of its room is behind it."""

    at: PointMm
    storey: str
    symbol: str
    room: str = ""
    faces: Direction | None = None
    turn_deg: float = 0.0
    size_px: float = POINT_PX
    side: int = -1
    along_mm: float = 0.0

    @property
    def centre_px(self) -> PointMm:
        """Give where the middle of the symbol lies from its spot, in px at 1:1."""
        x, y = symbol(self.symbol).centre
        cos, sin = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        return (cos * x - sin * y) * self.size_px / 100, (sin * x + cos * y) * self.size_px / 100

    def inset(self, inset_mm: float, along_mm: float = 0.0) -> PointMm:
        """Give the spot moved off its wall, and along it; in the open, moved aslant."""
        if self.faces is None:
            return self.at[0] + along_mm, self.at[1] + along_mm
        fx, fy = self.faces
        return self.at[0] + fx * inset_mm + fy * along_mm, self.at[1] + fy * inset_mm - fx * along_mm


def frame_of(room: Room) -> Frame | None:
    """Lay a room out as a frame; None for one that isn't drawn."""
    rows = sides_of(room.outline_mm)
    if len(rows) < 3:
        return None
    sides: list[FrameSide] = []
    total = 0.0
    for row in rows:
        sides.append(FrameSide(row.x, row.y, row.along_x, row.along_y, row.length, total))
        total += row.length
    xs, ys = [side.x for side in sides], [side.y for side in sides]
    return Frame(room.id, tuple(sides), total, (min(xs), min(ys), max(xs), max(ys)))


def stand_of_point(point: Point, place: Place, room: str, frame: Frame | None, shift: float = 0.0) -> Stand:
    """Give where a point is drawn; ``shift`` is its share of steps along a plate that it has with others."""
    name = symbol_name(
        point.kind,
        gangs=point.gangs,
        switching=point.switching,
        on_wall=place.wall is not None or place.faces_deg is not None,
        switched=bool(point.switched),
    )
    return _stand(place, name, POINT_PX, room, frame, shift * PLATE_STEP_MM)


def stand_of_board(board: Board, place: Place, room: str, frame: Frame | None) -> Stand:
    """Give where a board is drawn: off the wall that it hangs on."""
    return _stand(place, "sub-board" if board.source == "run" else "board", BOARD_PX, room, frame, 0.0)


def _stand(place: Place, name: str, size_px: float, room: str, frame: Frame | None, shift_mm: float) -> Stand:
    x, y = float(place.x_mm), float(place.y_mm)
    faces: Direction | None = None
    if place.faces_deg is not None:
        angle = math.radians(place.faces_deg)
        faces = (round(math.cos(angle), 6), round(math.sin(angle), 6))
    side, along = -1, 0.0
    if frame is not None:
        side, along = _behind(frame, x, y, faces)
        if faces is None and side >= 0:
            faces = frame.sides[side].inwards
    if faces is not None and shift_mm:
        x, y, along = x - faces[1] * shift_mm, y + faces[0] * shift_mm, along + shift_mm
    elif shift_mm:
        x += shift_mm
    turns = faces is not None and symbol(name).on_wall
    turn = round((math.degrees(math.atan2(faces[1], faces[0])) + 90) % 360, 1) if turns and faces is not None else 0.0
    return Stand((x, y), place.storey, name, room, faces, turn, size_px, side, along)


def _behind(frame: Frame, x: float, y: float, faces: Direction | None) -> tuple[int, float]:
    best, found, along = _REACH_MM, -1, 0.0
    for number, side in enumerate(frame.sides):
        to_x, to_y = x - side.x, y - side.y
        share = min(max(to_x * side.dx + to_y * side.dy, 0.0), side.length)
        away = math.hypot(to_x - share * side.dx, to_y - share * side.dy)
        if away < best and (faces is None or faces[1] * side.dx - faces[0] * side.dy > _SAME_WAY):
            best, found, along = away, number, share
    return found, along
