"""One analysis of a whole sheet; after it a click is a look-up and a contour."""

import math
from dataclasses import dataclass, field
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.jobs import Ticket
from circuitmap.plan.tracing.found import Opening, Outlined, TracingError
from circuitmap.plan.tracing.linework import drawn
from circuitmap.plan.tracing.openings import openings_of
from circuitmap.plan.tracing.outline import outline
from circuitmap.plan.tracing.parted import Parted, part, usual_width
from circuitmap.plan.tracing.prepare import Grey, Matrix, Prepared, inverse, prepare
from circuitmap.plan.tracing.seen import Chances, cleared, near, usual

_STEPS: Final = 3
_EDGE: Final = 4  # free pixels about a room that is cut out
_WALL_PART: Final = 1 / 55  # of the drawing's longer side
_LITTLE_DRAWN: Final = 0.35
_DOUBTFUL: Final = 0.85
_LEAST_SURE: Final = 0.55
_SMALL_ROOM_PX: Final = 225  # a home's usual room is 240 to 400 px wide in the working picture
_GOOD_ROOM_PX: Final = 240
_LARGEST_SCALE: Final = 0.8
_MOST_WORK_PX: Final = 12_000_000


@dataclass(frozen=True)
class Sheeted:
    """A sheet that was analysed; all coordinates are pixels of the sheet, the middle of the first at (0, 0)."""

    prepared: Prepared
    parted: Parted
    grey: Grey
    to_grey: Matrix
    size: tuple[float, float]
    _done: dict[int, Outlined] = field(default_factory=dict, repr=False)

    @property
    def count(self) -> int:
        """How many rooms were found."""
        return len(self.all_rooms())

    def room_at(self, x_px: float, y_px: float) -> Outlined:
        """Give the room at a place; furniture and text don't matter.

        Raises
        ------
        TracingError
            When the place is off the sheet, on a wall, outside, or no walls close round it.
        """
        width, height = self.size
        if not (-0.5 <= x_px <= width - 0.5 and -0.5 <= y_px <= height - 0.5):
            raise TracingError(
                f"({x_px:.0f}, {y_px:.0f}) is not on the picture, which is {width:.0f} × {height:.0f} px; click on it."
            )
        point = np.array([[x_px, y_px]], dtype=float)
        at = self.prepared.work(point @ self.to_grey[:, :2].T + self.to_grey[:, 2])[0].round().astype(int)
        rooms = self.parted.rooms
        if not (0 <= at[0] < rooms.shape[1] and 0 <= at[1] < rooms.shape[0]):
            raise TracingError(self._outside(x_px, y_px))
        number = int(rooms[at[1], at[0]])
        if number > 0 and (room := self._room(number)).sure >= _LEAST_SURE:
            return room
        if self.parted.count == 0:
            raise TracingError("No rooms were found on this sheet; draw the room by its corners.")
        if number == 0 and self._is_by_a_room(int(at[0]), int(at[1])):
            raise TracingError(f"({x_px:.0f}, {y_px:.0f}) is on a wall; click in the middle of a room.")
        raise TracingError(self._outside(x_px, y_px))

    def all_rooms(self) -> tuple[Outlined, ...]:
        """Give every room that walls close round, from the top of the sheet down."""
        every = (self._room(number) for number in range(1, self.parted.count + 1))
        return tuple(room for room in every if room.sure >= _LEAST_SURE)

    @property
    def _scale(self) -> float:
        return self.prepared.scale * math.sqrt(abs(float(np.linalg.det(self.to_grey[:, :2]))))

    def _outside(self, x_px: float, y_px: float) -> str:
        return (
            f"No walls close round ({x_px:.0f}, {y_px:.0f}): it is outside, or the room has a wide opening; "
            "click inside a room, or draw it by its corners."
        )

    def _is_by_a_room(self, x: int, y: int) -> bool:
        """Tell whether a place that is in no room lies as near to one as its walls do."""
        reach = round(max(self.parted.rooms.shape) * _WALL_PART)
        return bool(self.parted.rooms[max(0, y - reach) : y + reach + 1, max(0, x - reach) : x + reach + 1].any())

    def _room(self, number: int) -> Outlined:
        if number not in self._done:
            self._done[number] = self._outlined(number)
        return self._done[number]

    def _outlined(self, number: int) -> Outlined:
        left, top, width, height = self.parted.boxes[number]
        part = (self.parted.rooms[top : top + height, left : left + width] == number).astype(np.uint8)
        mask = cv2.copyMakeBorder(part, _EDGE, _EDGE, _EDGE, _EDGE, cv2.BORDER_CONSTANT, value=0)
        found, support = outline(mask, left - _EDGE, top - _EDGE, self.prepared, self.grey, self.parted.wall_px)
        back = inverse(self.to_grey)
        corners = found @ back[:, :2].T + back[:, 2]
        x, y = corners[:, 0], corners[:, 1]
        area = abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2
        openings = openings_of(self.prepared.work(found), number, self.parted.rooms, self.prepared.ink)
        doors = tuple(self._on_sheet(opening) for opening in openings)
        chance = self.parted.sure[number]
        why = ""
        if support < _LITTLE_DRAWN:
            why = "little is drawn along its outline; check its corners"
        elif chance < _DOUBTFUL:
            why = "it is not clear where this room ends; check its corners"
        corners_px = tuple((float(a), float(b)) for a, b in corners)
        return Outlined(corners_px, doors, round(min(1.0, chance * (0.4 + 0.75 * support)), 2), why, area)

    def _on_sheet(self, opening: Opening) -> Opening:
        back = inverse(self.to_grey)
        ends = self.prepared.sheet(np.array([opening.a_px, opening.b_px])) @ back[:, :2].T + back[:, 2]
        (ax, ay), (bx, by) = ((float(x), float(y)) for x, y in ends)
        return Opening((ax, ay), (bx, by), opening.width_px / self._scale, opening.depth_px / self._scale, opening.kind)


def _nearer_px(prepared: Prepared, seen: Chances) -> float | None:
    """Give how large the working picture should be where its rooms came out too small to tell thin walls; or None."""
    width = usual_width(seen) if prepared.scale < _LARGEST_SCALE else 0.0
    if not 0 < width < _SMALL_ROOM_PX:
        return None
    nearer = min(_GOOD_ROOM_PX / width, 1 / prepared.scale)
    return min(_MOST_WORK_PX, prepared.even.size * nearer**2)


def analyse(
    grey: npt.NDArray[np.uint8], *, ticket: Ticket | None = None, lines: npt.NDArray[np.float64] | None = None
) -> Sheeted:
    """Analyse a sheet once, so that clicks in it are answered at once.

    Parameters
    ----------
    grey
        The sheet, one byte a pixel; ``grey_of`` makes it from colours.
    ticket
        Told how far the work is; stops it at its next step when asked to.
    lines
        The sheet's line work as segments (x0, y0, x1, y1) in pixels of the sheet, where the format carries it: then
        the rooms are traced from these, and ``grey`` only says how large the sheet is.

    Raises
    ------
    TracingError
        When the sheet is too small, or nothing is drawn on it.
    StoppedError
        When the ticket says so.
    """
    ticket = ticket or Ticket()
    ticket.tick(0, _STEPS, "ink and paper")
    size = (float(grey.shape[1]), float(grey.shape[0]))
    to_grey = np.array([[1.0, 0, 0], [0, 1.0, 0]])
    if lines is not None:
        grey, to_grey = drawn(lines)
    prepared = prepare(grey)
    ticket.tick(1, _STEPS, "rooms and walls")
    seen = usual(prepared.even)
    if (work_px := _nearer_px(prepared, seen)) is not None:
        prepared = prepare(grey, work_px)
        seen = near(prepared.even)
    else:
        seen = cleared(prepared.even, seen)
    ticket.tick(2, _STEPS, "each room by itself")
    parted = part(seen, prepared.scale)
    ticket.tick(_STEPS, _STEPS, "done")
    return Sheeted(prepared, parted, grey, to_grey, size)
