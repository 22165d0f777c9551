"""Rooms as areas of a storey: which touch, which belong together, and which one a spot lies in.

Everything is worked out from a tuple of room records; a room without an outline is nowhere and touches nothing.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Room, natural_key
from circuitmap.plan.outlines import Outline, Side, polygon_of, sides_of, union_area_m2

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Thicker than any wall of a home but an old stone one, thinner than any cupboard (common practice, no source).
WALL_GAP_MM: Final = 450
# Two rooms that face each other over less than this meet at a corner or behind a chimney breast.
_FACING_MM: Final = 300.0
_OVERLAP_MM2: Final = 100_000.0
# How far in front of an accessory to look for its room: its own depth first, then through half a wall and a whole one.
_STEPS_MM: Final = (30.0, 150.0, 300.0, 450.0)
# Sides further from parallel than 15° don't make a wall.
_OPPOSITE: Final = -math.cos(math.radians(15))

Segment = tuple[tuple[float, float], tuple[float, float]]
# A spot on a storey, and the way that what stands there faces: 0° right, 90° down the plan; None when not known.
Spot = tuple[float, float, float | None]


def has_outline(room: Room) -> bool:
    """Say whether a room has been drawn."""
    return len(room.outline_mm) >= 3 and room.storey is not None


def rooms_area_m2(rooms: Iterable[Room]) -> float:
    """Give the floor area that rooms cover together: overlaps count once, storeys add up."""
    by_storey: dict[str, list[Outline]] = {}
    for room in rooms:
        if room.storey is not None and has_outline(room):
            by_storey.setdefault(room.storey, []).append(room.outline_mm)
    return sum(union_area_m2(outlines) for outlines in by_storey.values())


def adjacent(rooms: Sequence[Room], gap_mm: float = WALL_GAP_MM) -> dict[str, frozenset[str]]:
    """Give, for every drawn room, the ids of the rooms on its storey that share a wall with it.

    Two rooms share a wall when sides of theirs face each other no further apart than a wall is thick and over more
    than 0.3 m, or when they were drawn over one another. Rooms that meet at a corner only do not.
    """
    import shapely

    drawn = sorted((room for room in rooms if has_outline(room)), key=lambda room: natural_key(room.id))
    found: dict[str, set[str]] = {room.id: set() for room in drawn}
    for on_storey in _by_storey(drawn):
        polygons = [polygon_of(room.outline_mm) for room in on_storey]
        pairs = shapely.STRtree(polygons).query(polygons, predicate="dwithin", distance=gap_mm)
        for a, b in zip(*(column.tolist() for column in pairs), strict=True):
            if a >= b:
                continue
            one, other = on_storey[a], on_storey[b]
            facing_mm = sum(math.dist(*wall) for wall in shared_walls(one, other, gap_mm))
            if facing_mm > _FACING_MM or polygons[a].intersection(polygons[b]).area > _OVERLAP_MM2:
                found[one.id].add(other.id)
                found[other.id].add(one.id)
    return {room: frozenset(others) for room, others in found.items()}


def shared_walls(one: Room, other: Room, gap_mm: float = WALL_GAP_MM) -> tuple[Segment, ...]:
    """Give the middle lines of the walls between two rooms: where their sides face each other, half-way across."""
    if one.storey != other.storey:
        return ()
    return tuple(_middle_lines(sides_of(one.outline_mm), sides_of(other.outline_mm), gap_mm))


def touching_groups(
    rooms: Sequence[Room], neighbours: Mapping[str, frozenset[str]] | None = None
) -> tuple[tuple[Room, ...], ...]:
    """Give drawn rooms in groups that hang together wall to wall; one group means that they all touch.

    Parameters
    ----------
    rooms
        The rooms to be grouped, in the order wanted; rooms that were never drawn are left out.
    neighbours
        What ``adjacent`` said of the whole home, where that is known already.
    """
    drawn = [room for room in rooms if has_outline(room)]
    beside = adjacent(drawn) if neighbours is None else neighbours
    left = {room.id: room for room in drawn}
    groups: list[tuple[Room, ...]] = []
    for start in drawn:
        if start.id not in left:
            continue
        reached, todo = {start.id}, [start.id]
        while todo:
            for near in beside.get(todo.pop(), frozenset()):
                if near in left and near not in reached:
                    reached.add(near)
                    todo.append(near)
        groups.append(tuple(room for room in drawn if room.id in reached))
        for room_id in reached:
            left.pop(room_id, None)
    return tuple(groups)


class RoomIndex:
    """The drawn rooms of one storey, laid out to be asked which one a spot lies in. A value: never changed.

    Where rooms overlap, the smallest wins (a cupboard inside a room). A spot on a wall line, or inside the wall, goes
    to the room it faces when it is known which way it faces (none, when it faces out of doors), else to the nearest
    room within a wall's thickness; of equally near ones to the smaller, then to the one with the lower number.
    """

    def __init__(self, rooms: Iterable[Room]) -> None:
        import shapely

        drawn = [(polygon_of(room.outline_mm), room) for room in rooms if has_outline(room)]
        drawn.sort(key=lambda each: (each[0].area, natural_key(each[1].id)))
        # Sorted so that of several rooms the one with the lowest number is the answer.
        self.rooms = tuple(room for _, room in drawn)
        self._tree = shapely.STRtree([polygon for polygon, _ in drawn])

    def room_at(self, x_mm: float, y_mm: float, faces_deg: float | None = None) -> Room | None:
        """Give the room that a spot belongs to, None when it is outside them all."""
        return self.rooms_at([(x_mm, y_mm, faces_deg)])[0]

    def rooms_at(self, spots: Sequence[Spot]) -> list[Room | None]:
        """Give the room of each of many spots; one call for all is what makes it quick."""
        import numpy as np

        if not self.rooms or not spots:
            return [None] * len(spots)
        none = len(self.rooms)
        at = np.array([(x, y) for x, y, _ in spots], dtype=float)
        facing = np.array([faces is not None for _, _, faces in spots])
        angle = np.radians([faces or 0.0 for _, _, faces in spots])
        ahead = np.column_stack([np.cos(angle), np.sin(angle)])
        found = np.full(len(spots), none)

        def look_inside(where: "NDArray[np.bool_]", step_mm: float) -> None:
            asked = np.flatnonzero(where & (found == none))
            if len(asked):
                found[asked] = self._inside(at[asked] + step_mm * ahead[asked])

        look_inside(facing, _STEPS_MM[0])
        look_inside(np.ones(len(spots), dtype=bool), 0.0)
        for step_mm in _STEPS_MM[1:]:
            look_inside(facing, step_mm)
        asked = np.flatnonzero(~facing & (found == none))
        if len(asked):
            found[asked] = self._nearest(at[asked])
        return [self.rooms[number] if number < none else None for number in found.tolist()]

    def _inside(self, at: "NDArray[np.float64]") -> "NDArray[np.int64]":
        import shapely

        spot, room = self._tree.query(shapely.points(at), predicate="within")
        return self._lowest(len(at), spot, room)

    def _nearest(self, at: "NDArray[np.float64]") -> "NDArray[np.int64]":
        import shapely

        spot, room = self._tree.query_nearest(shapely.points(at), max_distance=WALL_GAP_MM, all_matches=True)
        return self._lowest(len(at), spot, room)

    def _lowest(self, count: int, spot: "NDArray[np.int64]", room: "NDArray[np.int64]") -> "NDArray[np.int64]":
        import numpy as np

        lowest = np.full(count, len(self.rooms), dtype=np.int64)
        np.minimum.at(lowest, spot, room)
        return lowest


def room_at(rooms: Iterable[Room], x_mm: float, y_mm: float, faces_deg: float | None = None) -> Room | None:
    """Give the room of one storey that a spot belongs to; for more than one spot keep a ``RoomIndex``."""
    return RoomIndex(rooms).room_at(x_mm, y_mm, faces_deg)


def _by_storey(rooms: Iterable[Room]) -> Iterable[list[Room]]:
    storeys: dict[str | None, list[Room]] = {}
    for room in rooms:
        storeys.setdefault(room.storey, []).append(room)
    return storeys.values()


def _middle_lines(ones: list[Side], others: list[Side], gap_mm: float) -> Iterator[Segment]:
    for one in ones:
        for other in others:
            if one.along_x * other.along_x + one.along_y * other.along_y > _OPPOSITE:
                continue
            # Along and away from the first side: outwards is to its right hand as the plan is seen (y down).
            spans = []
            for end_mm in (0.0, other.length):
                x = other.x + end_mm * other.along_x - one.x
                y = other.y + end_mm * other.along_y - one.y
                spans.append((x * one.along_x + y * one.along_y, x * one.along_y - y * one.along_x))
            (far, far_out), (near, near_out) = spans
            start, end = max(0.0, near), min(one.length, far)
            out_mm = (far_out + near_out) / 2
            if end <= start or not -0.1 * gap_mm <= out_mm <= gap_mm:
                continue
            half_x, half_y = one.along_y * out_mm / 2, -one.along_x * out_mm / 2
            yield (
                (one.x + start * one.along_x + half_x, one.y + start * one.along_y + half_y),
                (one.x + end * one.along_x + half_x, one.y + end * one.along_y + half_y),
            )
