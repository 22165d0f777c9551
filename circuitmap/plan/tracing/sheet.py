"""One analysis of a whole sheet; after it a click is a look-up and a contour."""

import math
from dataclasses import dataclass, field
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.jobs import Ticket
from circuitmap.plan.tracing.fill import Filled, better, fill, holds_together
from circuitmap.plan.tracing.found import Opening, Outlined, TracingError
from circuitmap.plan.tracing.leaks import behind_a_neck
from circuitmap.plan.tracing.linework import drawn
from circuitmap.plan.tracing.outline import outline
from circuitmap.plan.tracing.prepare import Grey, Matrix, Prepared, inverse, prepare
from circuitmap.plan.tracing.walls import all_walls, filled_walls, find_strokes

_STEPS: Final = 6
_EDGE: Final = 4  # free pixels about a room that is cut out


@dataclass(frozen=True)
class Sheeted:
    """A sheet that was analysed; all coordinates are pixels of the sheet, the middle of the first at (0, 0)."""

    prepared: Prepared
    filled: Filled
    grey: Grey
    line_px: float
    to_grey: Matrix
    size: tuple[float, float]
    _done: dict[int, Outlined] = field(default_factory=dict, repr=False)

    @property
    def count(self) -> int:
        """How many rooms were found."""
        return self.filled.count

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
        rooms = self.filled.rooms
        if not (0 <= at[0] < rooms.shape[1] and 0 <= at[1] < rooms.shape[0]):
            raise TracingError(self._outside(x_px, y_px))
        number = int(rooms[at[1], at[0]])
        if number > 0:
            return self._room(number)
        if self.filled.count == 0 and not self.filled.closed.any():
            raise TracingError("No walls were found on this sheet; draw the room by its corners.")
        if number < 0:
            where = "on a wall" if self.filled.closed[at[1], at[0]] else "between two walls"
            raise TracingError(f"({x_px:.0f}, {y_px:.0f}) is {where}; click in the middle of a room.")
        found = behind_a_neck(self.filled.closed, int(at[0]), int(at[1]))
        if found is None:
            raise TracingError(self._outside(x_px, y_px))
        mask, left, top, neck_px = found
        why = (
            f"its walls leave an opening of about {neck_px / self._scale:.0f} px; the outline was closed across it, "
            "check its corners there"
        )
        return self._outlined(mask, left, top, 0.5, why)

    def all_rooms(self) -> tuple[Outlined, ...]:
        """Give every room that walls close round, from the top of the sheet down."""
        return tuple(self._room(number) for number in range(1, self.filled.count + 1))

    @property
    def _scale(self) -> float:
        return self.prepared.scale * math.sqrt(abs(float(np.linalg.det(self.to_grey[:, :2]))))

    def _outside(self, x_px: float, y_px: float) -> str:
        return (
            f"No walls close round ({x_px:.0f}, {y_px:.0f}): it is outside, or the room has a wide opening; "
            "click inside a room, or draw it by its corners."
        )

    def _room(self, number: int) -> Outlined:
        if number not in self._done:
            left, top, width, height = self.filled.boxes[number]
            part = (self.filled.rooms[top : top + height, left : left + width] == number).astype(np.uint8)
            mask = cv2.copyMakeBorder(part, _EDGE, _EDGE, _EDGE, _EDGE, cv2.BORDER_CONSTANT, value=0)
            self._done[number] = self._outlined(mask, left - _EDGE, top - _EDGE, 1.0, "")
        return self._done[number]

    def _outlined(self, mask: Grey, left: int, top: int, sure: float, why: str) -> Outlined:
        corners, support = outline(mask, left, top, self.prepared, self.grey, self.line_px)
        back = inverse(self.to_grey)
        corners = corners @ back[:, :2].T + back[:, 2]
        x, y = corners[:, 0], corners[:, 1]
        area = abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2
        doors = tuple(self._on_sheet(opening) for opening in self.filled.openings if _touches(opening, mask, left, top))
        if support < 0.35 and not why:
            why = "little is drawn along its outline; check its corners"
        corners_px = tuple((float(a), float(b)) for a, b in corners)
        return Outlined(corners_px, doors, round(min(1.0, sure * (0.4 + 0.75 * support)), 2), why, area)

    def _on_sheet(self, opening: Opening) -> Opening:
        back = inverse(self.to_grey)
        ends = self.prepared.sheet(np.array([opening.a_px, opening.b_px])) @ back[:, :2].T + back[:, 2]
        (ax, ay), (bx, by) = ((float(x), float(y)) for x, y in ends)
        return Opening((ax, ay), (bx, by), opening.width_px / self._scale, opening.depth_px / self._scale, opening.kind)


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
    ticket.tick(1, _STEPS, "filled walls")
    strokes = find_strokes(prepared.ink)
    filled = None
    if strokes.thick.any():
        ticket.tick(2, _STEPS, "doors and windows")
        filled = fill(filled_walls(strokes), prepared.scale)
    if filled is None or not holds_together(filled):
        ticket.tick(3, _STEPS, "hollow walls")
        walls = all_walls(strokes)
        ticket.tick(4, _STEPS, "doors and windows")
        filled = better(filled, fill(walls, prepared.scale))
    ticket.tick(_STEPS, _STEPS, "done")
    return Sheeted(prepared, filled, grey, strokes.line_px, to_grey, size)


def _touches(opening: Opening, mask: Grey, left: int, top: int) -> bool:
    """Tell whether a region begins at one of the two faces of an opening."""
    (ax, ay), (bx, by) = opening.a_px, opening.b_px
    nx, ny = -(by - ay) / max(opening.width_px, 1.0), (bx - ax) / max(opening.width_px, 1.0)
    reach = opening.depth_px / 2 + 4
    for sign in (-1, 1):
        for share in (0.3, 0.5, 0.7):
            x = round(ax + (bx - ax) * share + sign * nx * reach) - left
            y = round(ay + (by - ay) * share + sign * ny * reach) - top
            if 0 <= x < mask.shape[1] and 0 <= y < mask.shape[0] and mask[y, x]:
                return True
    return False
