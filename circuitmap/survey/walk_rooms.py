"""A storey's round: from room to room, the nearest next, then the rooms and the points in each of them put shorter."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.survey.walk_floor import Floor
from circuitmap.survey.walk_stairs import At
from circuitmap.survey.walk_tour import nearest_next, shortened

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_ROUNDS: Final = 4  # rooms and points are put shorter by turns so many times at most
_SEARCHED: Final = 600  # above this many stops in one room the nearest is not searched for, the room is swept
_STRETCH: Final = 300  # … and put shorter so many stops at a time
_LANE_MM: Final = 2000
_HELD_TOGETHER_MM: Final = 1e8  # what it costs to leave a room half done: more than any home is wide


@dataclass(frozen=True)
class Group:
    """The points to be visited in one room of a storey (None: in no room), each list in the order of ids."""

    room: str | None
    placed: tuple[tuple[str, At], ...]
    unplaced: tuple[str, ...]


def through_rooms(floor: Floor, groups: Sequence[Group], start: At | None, end: At | None) -> tuple[str, ...]:
    """Give the points of a storey in the order of a short walk.

    Parameters
    ----------
    floor
        The storey.
    groups
        Its points by room, what is in no room last.
    start, end
        Where the walk comes onto the storey and where it leaves it, None for anywhere.
    """
    walked = [group for group in groups if group.placed]
    order: list[str] = []
    if walked:
        rooms = _Rooms(floor, walked, start, end)
        for number in rooms.in_short_order():
            order += [rooms.ids[stop] for stop in rooms.tours[number]]
            order += walked[number].unplaced
    # Who looks for what has no place has been everywhere else; what is in no room at all comes after all rooms.
    listed = [i for group in groups if not group.placed for i in group.unplaced]
    if not walked or walked[-1].room is not None:
        return (*order, *listed)
    last = walked[-1]
    cut = len(order) - len(last.placed) - len(last.unplaced)
    return (*order[:cut], *listed, *order[cut:])


class _Rooms:
    """The rooms of a round with their stops in order, being put shorter."""

    def __init__(self, floor: Floor, groups: Sequence[Group], start: At | None, end: At | None) -> None:
        self.floor = floor
        self.ids: list[str] = []
        self.stops: list[list[int]] = []
        at: list[At] = []
        rooms: list[int] = []
        for group in groups:
            self.stops.append(list(range(len(at), len(at) + len(group.placed))))
            for point, spot in group.placed:
                self.ids.append(point)
                at.append(spot)
                rooms.append(floor.number_of(group.room))
        self.start = self.end = -1
        if start is not None:
            self.start = len(at)
            at.append(start)
        if end is not None:
            self.end = len(at)
            at.append(end)
        rooms += [0] * (len(at) - len(rooms))
        self.at = at
        self.spots = floor.locate(at, rooms)
        # What is in no room is looked for last: it is not put among the rooms.
        self.last = len(groups) - 1 if groups[-1].room is None and len(groups) > 1 else -1
        self.tours: list[list[int]] = [[] for _ in groups]
        self._inner: dict[int, Floats] = {}

    def in_short_order(self) -> list[int]:
        """Give the numbers of the rooms in the order of a short walk; ``tours`` then has the stops of each."""
        order = self._nearest_next()
        put: dict[int, tuple[int, int]] = {}
        for _ in range(_ROUNDS):
            is_changed = self._put_stops(order, put)
            order, is_moved = self._put_rooms(order)
            if not is_moved and not is_changed:
                break
        return order

    def _nearest_next(self) -> list[int]:
        import numpy as np

        left = [number for number in range(len(self.stops)) if number != self.last]
        order: list[int] = []
        at = self.start
        while left:
            number = left[0]
            if at >= 0 and len(left) > 1:
                stops = [stop for each in left for stop in self.stops[each]]
                begins = np.cumsum([0, *(len(self.stops[each]) for each in left[:-1])])
                far = self.floor.crossed(self.spots[[at]], self.spots[stops])[0]
                number = left[int(np.argmin(np.minimum.reduceat(far, begins)))]
            left.remove(number)
            at = self._begin(number, at)
            order.append(number)
        if self.last >= 0:
            self._begin(self.last, at)
            order.append(self.last)
        return order

    def _begin(self, number: int, at: int) -> int:
        """Put a room's stops in order, the nearest next; give the stop at which one stands then."""
        stops = self.stops[number]
        if len(stops) > _SEARCHED:
            self.tours[number] = self._swept(stops)
        else:
            far = self._table(number, stops, at, -1)
            self.tours[number] = [stops[i - 1] for i in nearest_next(far)[1:-1]]
        return self.tours[number][-1]

    def _swept(self, stops: Sequence[int]) -> list[int]:
        def lane(stop: int) -> tuple[int, int]:
            x, y = self.at[stop]
            row = y // _LANE_MM
            return row, x if row % 2 == 0 else -x

        return sorted(stops, key=lane)

    def _table(self, number: int, stops: Sequence[int], before: int, after: int) -> "Floats":
        """Give how far some stops of a room are from each other, and from the stops before and after them (-1: none).

        The stop before is the first of the table and the one after is its last.
        """
        import numpy as np

        table = np.zeros((len(stops) + 2, len(stops) + 2))
        if stops == self.stops[number]:
            if number not in self._inner:
                own = self.spots[stops]
                self._inner[number] = self.floor.crossed(own, own)
            table[1:-1, 1:-1] = self._inner[number]
        else:
            own = self.spots[stops]
            table[1:-1, 1:-1] = self.floor.crossed(own, own)
        for row, end in ((0, before), (-1, after)):
            if end >= 0:
                far = self.floor.crossed(self.spots[[end]], self.spots[stops])[0]
                table[row, 1:-1] = table[1:-1, row] = far
        return table

    def _put_stops(self, order: Sequence[int], put: dict[int, tuple[int, int]]) -> bool:
        """Put the stops in every room shorter, given where one comes from and goes to; say whether any has changed."""
        is_changed = False
        for place, number in enumerate(order):
            tour = self.tours[number]
            before = self.tours[order[place - 1]][-1] if place else self.start
            after = self.tours[order[place + 1]][0] if place + 1 < len(order) else self.end
            ends = (before, after)
            if put.get(number) in (ends, ends[::-1]):
                continue
            put[number] = ends
            made = self._put(number, tour, before, after)
            if made != tour:
                self.tours[number] = made
                is_changed = True
        return is_changed

    def _put(self, number: int, tour: list[int], before: int, after: int) -> list[int]:
        if len(tour) > _SEARCHED:
            made: list[int] = []
            for begin in range(0, len(tour), _STRETCH):
                part = tour[begin : begin + _STRETCH]
                following = tour[begin + _STRETCH] if begin + _STRETCH < len(tour) else after
                made += self._shortened(number, part, sorted(part), made[-1] if made else before, following)
            return made
        return self._shortened(number, tour, self.stops[number], before, after)

    def _shortened(self, number: int, tour: Sequence[int], stops: Sequence[int], before: int, after: int) -> list[int]:
        where = {stop: i for i, stop in enumerate(stops, 1)}
        far = self._table(number, stops, before, after)
        made = shortened([0, *(where[stop] for stop in tour), len(stops) + 1], far)
        return [stops[i - 1] for i in made[1:-1]]

    def _put_rooms(self, order: list[int]) -> tuple[list[int], bool]:
        """Put the rooms in a shorter order, each walked as it is or the other way round."""
        import numpy as np

        rooms = [number for number in order if number != self.last]
        after = self.tours[self.last][0] if self.last >= 0 else self.end
        if not rooms or (len(rooms) == 1 and self.start < 0 and after < 0):
            return order, False
        ends = [end for number in rooms for end in (self.tours[number][0], self.tours[number][-1])]
        table = np.zeros((len(ends) + 2, len(ends) + 2))
        spots = self.spots[ends]
        table[1:-1, 1:-1] = self.floor.crossed(spots, spots)
        for row, end in ((0, self.start), (-1, after)):
            if end >= 0:
                table[row, 1:-1] = table[1:-1, row] = self.floor.crossed(self.spots[[end]], spots)[0]
        one = np.arange(1, len(ends), 2)
        table[one, one + 1] = table[one + 1, one] = -_HELD_TOGETHER_MM
        was = list(range(len(ends) + 2))
        made = shortened(was, table, (2, 4, 6))
        if made == was:
            return order, False
        found = []
        for end in made[1:-1:2]:
            number = rooms[(end - 1) // 2]
            if end % 2 == 0:
                self.tours[number].reverse()
            found.append(number)
        return [*found, *([self.last] if self.last >= 0 else [])], True
