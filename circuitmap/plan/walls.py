"""The walls of a storey as lines to stand against: where an accessory put near one goes, and which way it faces.

The wall lines are the sides of the rooms, as drawn, and the two faces of every wall that was drawn as a wall.
"""

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

import msgspec

from circuitmap.home.records import Place, Room, Wall
from circuitmap.plan.outlines import sides_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Half of a stud wall or of a brick laid flat (common practice, no source), for walls of a thickness nobody measured.
_HALF_UNKNOWN_MM: Final = 50.0
_GRID_MM: Final = 10
# A room's side as drawn may lie this far off the face of the wall that it belongs to.
_LOOSE_MM: Final = 50.0


class WallLines:
    """The wall lines of one storey, laid out to be asked which is nearest. A value: never changed."""

    def __init__(self, rooms: Iterable[Room], walls: Iterable[Wall] = ()) -> None:
        import numpy as np

        # Start, direction, length; each faces a quarter turn on from its direction, which for a room's side is inwards.
        rows: list[tuple[float, float, float, float, float]] = []
        for room in rooms:
            rows += [(s.x, s.y, s.along_x, s.along_y, s.length) for s in sides_of(room.outline_mm)]
        sides = len(rows)
        self._walls = tuple(wall for wall in walls if wall.a_mm != wall.b_mm)
        for wall in self._walls:
            (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
            length = math.dist(wall.a_mm, wall.b_mm)
            along_x, along_y = (bx - ax) / length, (by - ay) / length
            half = wall.thickness_mm / 2 if wall.thickness_mm is not None else _HALF_UNKNOWN_MM
            rows.append((ax - half * along_y, ay + half * along_x, along_x, along_y, length))
            rows.append((bx + half * along_y, by - half * along_x, -along_x, -along_y, length))
        table: NDArray[np.float64] = np.array(rows, dtype=float).reshape(-1, 5)
        self._starts, self._along, self._lengths = table[:, :2], table[:, 2:4], table[:, 4]
        self._of_room = np.arange(len(table)) < sides
        self._faces = np.column_stack([-table[:, 3], table[:, 2]])

    def put(self, place: Place, *, reach_mm: float = 300.0, outdoors: bool = False) -> Place:
        """Give a place moved to the nearest wall line within reach, facing off it; unchanged when none is near.

        Parameters
        ----------
        place
            Where the pointer let go.
        reach_mm
            How near is near.
        outdoors
            True for what hangs on the outer face of a wall: it then faces away from the room behind it.
        """
        import numpy as np

        if not len(self._starts):
            return place
        to_spot = np.array([place.x_mm, place.y_mm], dtype=float) - self._starts
        share = np.clip((to_spot * self._along).sum(axis=1), 0, self._lengths)
        away = np.hypot(*(to_spot - share[:, None] * self._along).T)
        faces = np.where(self._of_room[:, None], -self._faces, self._faces) if outdoors else self._faces
        # Of two lines in one place (rooms drawn without a wall between) the one that the spot is in front of.
        behind = (to_spot * faces).sum(axis=1) < -0.5
        number = int(np.lexsort((behind, np.round(away)))[0])
        if away[number] > reach_mm:
            return place
        along_x, along_y = self._along[number].tolist()
        x, y = (self._starts[number] + share[number] * self._along[number]).tolist()
        if along_y == 0:
            x = self._whole(x, number, 0)
        elif along_x == 0:
            y = self._whole(y, number, 1)
        face_x, face_y = faces[number].tolist()
        return msgspec.structs.replace(
            place,
            x_mm=round(x),
            y_mm=round(y),
            faces_deg=round(math.degrees(math.atan2(face_y, face_x)) % 360, 1) % 360,
            wall=self._wall_at(x, y, along_x, along_y),
        )

    def _whole(self, value: float, number: int, axis: int) -> float:
        """Give a spot along a line at a whole centimetre, but never past the line's ends."""
        start = float(self._starts[number, axis])
        end = start + float(self._along[number, axis] * self._lengths[number])
        return min(max(round(value / _GRID_MM) * _GRID_MM, min(start, end)), max(start, end))

    def _wall_at(self, x: float, y: float, along_x: float, along_y: float) -> str | None:
        nearest: tuple[float, str] | None = None
        for wall in self._walls:
            (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
            length = math.dist(wall.a_mm, wall.b_mm)
            run_x, run_y = (bx - ax) / length, (by - ay) / length
            if abs(run_x * along_y - run_y * along_x) > math.sin(math.radians(15)):
                continue
            share = (x - ax) * run_x + (y - ay) * run_y
            off = abs((x - ax) * run_y - (y - ay) * run_x)
            half = wall.thickness_mm / 2 if wall.thickness_mm is not None else _HALF_UNKNOWN_MM
            if -1 <= share <= length + 1 and off <= half + _LOOSE_MM and (nearest is None or off < nearest[0]):
                nearest = (off, wall.id)
        return nearest[1] if nearest else None
