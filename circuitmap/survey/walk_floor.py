"""One storey to be walked on: its drawn rooms, the doors between them, and how far it is from spot to spot.

Spots of one room lie a straight line apart, or the shortest way round the room's corners; spots of two rooms lie apart
what it takes through the doors that were drawn. Where no drawn door leads, the straight line counts, and a bit more.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Room, Wall
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.outlines import polygon_of
from circuitmap.plan.rooms import RoomIndex, Spot
from circuitmap.plan.where import index_of, rooms_on
from circuitmap.survey.walk_turns import can_pass, corners_inwards, grounds

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Lengths = NDArray[np.float32]
    Whole = NDArray[np.int64]

OUTDOORS: Final = 0
# What looking for a way that nobody drew costs, so that known doors are tried first (common practice, no source).
UNKNOWN_WAY_MM: Final = 3000.0
_LOOSE_MM: Final = 10.0
_NOOK_MM2: Final = 10_000.0
_MOST_TURNS: Final = 80  # of one room, or of the house seen from outside: above this straight lines will do
_MOST_LOOKS: Final = 4000  # pairs of one room for which it is looked up whether a straight line stays inside


@dataclass(frozen=True)
class Spots:
    """Spots of a storey with the room each is in, and how far it is to the turns (doors, corners) of that room."""

    at: "Floats"
    held: "Floats"  # the same, but what stands on a wall or in it as far as the wall's face
    room: "Whole"
    turn: "Whole"
    away: "Floats"
    turns: "Whole"  # how many turns the room of each has; what stands in the tables beyond them is void

    def __len__(self) -> int:
        return len(self.at)

    def __getitem__(self, which: "Sequence[int] | slice | Whole") -> "Spots":
        import numpy as np

        rows = which if isinstance(which, slice) else np.asarray(which, dtype=np.int64)
        turns = self.turns[rows]
        wide = int(turns.max(initial=0))
        places = (self.at[rows], self.held[rows], self.room[rows])
        return Spots(*places, self.turn[rows, :wide], self.away[rows, :wide], turns)

    @property
    def widest(self) -> int:
        """How many turns the room with the most of them has."""
        return int(self.turns.max(initial=0))


class Floor:
    """The rooms and doors of a storey, laid out to be asked how far it is from here to there. A value: never changed.

    Rooms go by number: 0 is out of doors (and whatever nobody drew), the drawn rooms follow.
    """

    def __init__(self, rooms: Sequence[Room], walls: Iterable[Wall], index: RoomIndex) -> None:
        import numpy as np

        self._index = index
        self._numbers = {room.id: number for number, room in enumerate(index.rooms, 1)}
        count = len(index.rooms) + 1
        self._inside: list[shapely.Geometry | None] = [None] * count
        turns: list[tuple[float, float]] = []
        self._own: list[list[int]] = [[] for _ in range(count)]
        for x, y, sides in self._doors(walls):
            for room in sides:
                self._own[room].append(len(turns))
            turns.append((x, y))
        self.has_doors = bool(turns)
        for drawn in index.rooms:
            self._put_corners(self._numbers[drawn.id], polygon_of(drawn.outline_mm), turns)
        if self._own[OUTDOORS]:
            self._put_corners(OUTDOORS, grounds(index.rooms), turns)
        self._turns: Floats = np.array(turns, dtype=float).reshape(-1, 2)
        self._held_turns = [self._held(number, self._turns[own]) for number, own in enumerate(self._own)]
        self._direct, self._between = self._all_ways()

    # -- what is asked ------------------------------------------------------------------------------------------

    def number_of(self, room: str | None) -> int:
        """Give the number of a room that is drawn on this storey, 0 for any other."""
        return self._numbers.get(room, OUTDOORS) if room is not None else OUTDOORS

    def locate(self, spots: Sequence[tuple[int, int]], rooms: Sequence[int]) -> Spots:
        """Give spots laid out to be walked between, each with the number of its room.

        A spot without a drawn room (number 0) that lies in one nevertheless is taken to be in that one.
        """
        import numpy as np

        at = np.array(spots, dtype=float).reshape(-1, 2)
        room = np.array(rooms, dtype=np.int64)
        lost = np.flatnonzero(room == OUTDOORS)
        if len(lost) and self._numbers:
            asked: list[Spot] = [(x, y, None) for x, y in at[lost].tolist()]
            room[lost] = [self.number_of(found.id if found else None) for found in self._index.rooms_at(asked)]
        held = at.copy()
        widest = max((len(self._own[number]) for number in set(room.tolist())), default=0)
        turn = np.zeros((len(at), widest), dtype=np.int64)
        away = np.full((len(at), widest), np.inf)
        for number in sorted(set(room.tolist())):
            own = self._own[number]
            here = np.flatnonzero(room == number)
            held[here] = self._held(number, at[here])
            if not own:
                continue
            turn[here, : len(own)] = own
            straight = _crossed(at[here], self._turns[own])
            which, to = (each.ravel() for each in np.indices(straight.shape))
            seen = self._sees(number, held[here][which], self._held_turns[number][to]).reshape(straight.shape)
            # A spot that sees none of its room's turns stands in a corner nobody can walk to: all count as seen.
            seen |= ~seen.any(axis=1, keepdims=True)
            away[here, : len(own)] = np.where(seen, straight, np.inf)
        return Spots(at, held, room, turn, away, np.array([len(self._own[number]) for number in room.tolist()]))

    def crossed(self, ones: Spots, others: Spots) -> "Floats":
        """Give how far it is to walk from each of some spots to each of others, in mm."""
        import numpy as np

        straight = _crossed(ones.at, others.at)
        seen = ones.room[:, None] == others.room[None, :]
        same = seen.copy()
        for number in sorted(set(ones.room.tolist()) & set(others.room.tolist())):
            if self._inside[number] is None:
                continue
            a, b = np.nonzero(same & (ones.room[:, None] == number))
            if len(a) <= _MOST_LOOKS:
                seen[a, b] = self._sees(number, ones.held[a], others.held[b])
        if seen.all() or not len(self._turns):
            return np.where(same, straight, straight + UNKNOWN_WAY_MM)
        reach = np.full((len(ones), len(self._turns)), np.inf)
        for k in range(ones.widest):
            np.minimum(reach, ones.away[:, k, None] + self._between[ones.turn[:, k]], out=reach)
        around = np.full(straight.shape, np.inf)
        for k in range(others.widest):
            np.minimum(around, reach[:, others.turn[:, k]] + others.away[None, :, k], out=around)
        lost = np.where(same, straight, straight + UNKNOWN_WAY_MM)
        return np.where(seen, straight, np.where(np.isinf(around), lost, around))

    def paired(self, ones: Spots, others: Spots) -> "Floats":
        """Give how far it is to walk from each spot to its partner, in mm."""
        import numpy as np

        far = _apart(ones.at, others.at)
        for pair in np.flatnonzero(~self._straight(ones, others)).tolist():
            first, _, around = self._best(ones[[pair]], others[[pair]])
            if first >= 0:
                far[pair] = around
            elif ones.room[pair] != others.room[pair]:
                far[pair] += UNKNOWN_WAY_MM
        return far

    def bends(self, ones: Spots, others: Spots) -> list[list[tuple[float, float]]]:
        """Give, for each spot and its partner, the doors and corners that one passes on the way, in order."""
        import numpy as np

        found: list[list[tuple[float, float]]] = [[] for _ in range(len(ones))]
        for pair in np.flatnonzero(~self._straight(ones, others)).tolist():
            turn, last, _ = self._best(ones[[pair]], others[[pair]])
            while turn >= 0:
                found[pair].append((float(self._turns[turn, 0]), float(self._turns[turn, 1])))
                turn = self._next(turn, last)
        return found

    # -- inside -------------------------------------------------------------------------------------------------

    def _straight(self, ones: Spots, others: Spots) -> "NDArray[np.bool_]":
        import numpy as np

        seen: NDArray[np.bool_] = ones.room == others.room
        for number in sorted(set(ones.room[seen].tolist())):
            pairs = np.flatnonzero((ones.room == number) & (others.room == number))
            seen[pairs] = self._sees(number, ones.held[pairs], others.held[pairs])
        return seen

    def _best(self, one: Spots, other: Spots) -> tuple[int, int, float]:
        """Give the first and the last turn of the shortest way, and its length; -1 twice when there is no way."""
        import numpy as np

        wide, long = one.widest, other.widest
        if not wide or not long:
            return -1, -1, math.inf
        between = self._between[np.ix_(one.turn[0, :wide], other.turn[0, :long])]
        ways = one.away[0, :wide, None] + between + other.away[0, None, :long]
        a, b = divmod(int(np.argmin(ways)), ways.shape[1])
        if math.isinf(ways[a, b]):
            return -1, -1, math.inf
        return int(one.turn[0, a]), int(other.turn[0, b]), float(ways[a, b])

    def _next(self, turn: int, last: int) -> int:
        """Give the turn that comes after one on the shortest way to another, -1 when one is there."""
        import numpy as np

        if turn == last:
            return -1
        # Only what lies nearer to the end: two turns in one spot would be gone to and fro between.
        nearer = self._between[:, last] < self._between[turn, last]
        ways = np.where(nearer, self._direct[turn] + self._between[:, last], np.inf)
        following = int(np.argmin(ways))
        return last if np.isinf(ways[following]) else following

    def _doors(self, walls: Iterable[Wall]) -> list[tuple[float, float, tuple[int, int]]]:
        spots: list[Spot] = []
        for wall in walls:
            long = math.dist(wall.a_mm, wall.b_mm)
            if long == 0:
                continue
            (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
            across = math.degrees(math.atan2(by - ay, bx - ax)) + 90
            for opening in wall.openings:
                if not can_pass(opening):
                    continue
                share = min((opening.along_mm + opening.width_mm / 2) / long, 1.0)
                x, y = ax + share * (bx - ax), ay + share * (by - ay)
                spots += [(x, y, across % 360), (x, y, (across + 180) % 360)]
        rooms = [self.number_of(room.id if room else None) for room in self._index.rooms_at(spots)]
        found = []
        for (x, y, _), one, other in zip(spots[::2], rooms[::2], rooms[1::2], strict=True):
            if one != other:
                found.append((x, y, (one, other)))
        return found

    def _put_corners(self, number: int, polygon: "shapely.Geometry", turns: list[tuple[float, float]]) -> None:
        """Note the corners that stick into a room, and its area, when not every straight line in it stays in it."""
        import shapely

        if polygon.geom_type != "Polygon" or polygon.convex_hull.area - polygon.area < _NOOK_MM2:
            return
        corners = corners_inwards(polygon)
        if len(self._own[number]) + len(corners) > _MOST_TURNS:
            return
        loose = polygon.buffer(_LOOSE_MM, join_style="mitre")
        shapely.prepare(loose)
        self._inside[number] = loose
        self._own[number] = [*self._own[number], *range(len(turns), len(turns) + len(corners))]
        turns += corners

    def _held(self, number: int, spots: "Floats") -> "Floats":
        """Give spots of a room, those on its walls or in them moved to the wall's face."""
        import shapely

        area = self._inside[number]
        if area is None or not len(spots):
            return spots
        held: Floats = shapely.get_coordinates(shapely.shortest_line(area, shapely.points(spots)))[::2]
        return held

    def _sees(self, number: int, ones: "Floats", others: "Floats") -> "NDArray[np.bool_]":
        """Say for pairs of spots held in one room whether the straight line between them stays in the room."""
        import numpy as np
        import shapely

        area = self._inside[number]
        if area is None or not len(ones):
            return np.ones(len(ones), dtype=bool)
        return np.asarray(shapely.covers(area, shapely.linestrings(np.stack([ones, others], axis=1))), dtype=bool)

    def _all_ways(self) -> "tuple[Lengths, Lengths]":
        """Give how far turns are from each other that see each other, and how far by way of any others."""
        import numpy as np

        count = len(self._turns)
        direct = np.full((count, count), np.inf, dtype=np.float32)
        for number, own in enumerate(self._own):
            if len(own) < 2:
                continue
            mine = np.array(own)
            held = self._held_turns[number]
            one, other = np.triu_indices(len(own), 1)
            seen = self._sees(number, held[one], held[other])
            a, b = mine[one[seen]], mine[other[seen]]
            straight = _apart(self._turns[a], self._turns[b])
            direct[a, b] = direct[b, a] = np.minimum(direct[a, b], straight)
        np.fill_diagonal(direct, 0.0)
        # Every pair by way of every turn in turn (Floyd and Warshall's method), in place: a block of flats has many.
        far, via = direct.copy(), np.empty_like(direct)
        for turn in range(count):
            np.add(far[:, turn, None], far[None, turn, :], out=via)
            np.minimum(far, via, out=far)
        return direct, far


def floor_of(home: Home, memo: Memo, storey: str) -> Floor:
    """Give a storey's floor; made again when one of its rooms or walls has changed."""
    rooms = rooms_on(home, memo, storey)
    walls = tuple(wall for wall in home.sorted(Wall) if wall.storey == storey)
    parts = (*rooms, None, *walls)
    return memo.get("survey.floor", storey, parts, lambda: Floor(rooms, walls, index_of(home, memo, storey)))


def _apart(ones: "Floats", others: "Floats") -> "Floats":
    import numpy as np

    far: Floats = np.hypot(ones[:, 0] - others[:, 0], ones[:, 1] - others[:, 1])
    return far


def _crossed(ones: "Floats", others: "Floats") -> "Floats":
    import numpy as np

    far: Floats = np.hypot(ones[:, None, 0] - others[None, :, 0], ones[:, None, 1] - others[None, :, 1])
    return far
