"""Short tours through stops of which only the distances are known: the nearest next, then improved.

A tour begins at stop 0 and ends at the last stop of the table; what should end anywhere ends at a stop that lies at no
distance from all others. A few stops are tried in every order; of more, stretches of a tour are turned round or moved
elsewhere for as long as that makes it shorter, so that it is never longer than it was.

**Source:** G. A. Croes, "A Method for Solving Traveling-Salesman Problems" (1958) for turning stretches round; I. Or
(1976) for moving them; J. L. Bentley, "Fast Algorithms for Geometric Traveling Salesman Problems" (1992) for trying the
nearest neighbours only. From memory.
"""

import itertools
from collections import deque
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

EXACT: Final = 7  # so many stops between the first and the last are tried in every order
_NEAR: Final = 8
_LEAST_MM: Final = 1e-6  # what counts as shorter


def tour_length(tour: Sequence[int], far: "Floats") -> float:
    """Give the length of a tour."""
    return float(sum(far[a, b] for a, b in itertools.pairwise(tour)))


def nearest_next(far: "Floats") -> list[int]:
    """Give the tour that always goes on to the nearest stop not yet visited, the lower number of equally near ones."""
    import numpy as np

    count = len(far)
    left = np.zeros(count)
    left[0] = left[count - 1] = np.inf
    tour = [0]
    for _ in range(count - 2):
        at = int(np.argmin(far[tour[-1]] + left))
        left[at] = np.inf
        tour.append(at)
    return [*tour, count - 1]


def shortened(tour: Sequence[int], far: "Floats", moved: Sequence[int] = (1, 2, 3)) -> list[int]:
    """Give a tour no longer than the one given, by the same stops.

    Parameters
    ----------
    tour
        The tour to begin with, its first and last stop included.
    far
        How far every stop is from every other.
    moved
        Of how many stops the stretches are that may be moved elsewhere.
    """
    if len(tour) < 4:
        return list(tour)
    if len(tour) - 2 <= EXACT:
        return _by_all_orders(list(tour), far)
    return _Search(list(tour), far, moved).done()


def _by_all_orders(tour: list[int], far: "Floats") -> list[int]:
    import numpy as np

    inner = np.array(sorted(tour[1:-1]))
    orders = inner[_orders(len(inner))]
    length = far[tour[0], orders[:, 0]] + far[orders[:, -1], tour[-1]]
    for a, b in itertools.pairwise(range(len(inner))):
        length = length + far[orders[:, a], orders[:, b]]
    best = int(np.argmin(length))
    if length[best] > tour_length(tour, far) - _LEAST_MM:
        return tour
    return [tour[0], *orders[best].tolist(), tour[-1]]


@cache
def _orders(count: int) -> "NDArray[np.int64]":
    import numpy as np

    return np.array(list(itertools.permutations(range(count))), dtype=np.int64)


class _Search:
    """A tour being shortened: its stops in order, where each stands in it, and the nearest neighbours of each."""

    def __init__(self, tour: list[int], far: "Floats", moved: Sequence[int]) -> None:
        import numpy as np

        self.tour = tour
        self.far: list[list[float]] = far.tolist()
        self.moved = moved
        self.at = [0] * len(far)
        self._renumber(0, len(tour))
        table = far.copy()
        np.fill_diagonal(table, np.inf)
        # An end that lies at no distance from anywhere is nobody's neighbour.
        for end in (tour[0], tour[-1]):
            if not far[end].any():
                table[:, end] = np.inf
        near = np.argsort(table, axis=1, kind="stable")[:, : min(_NEAR, len(far) - 1)]
        self.near: list[list[int]] = [[b for b in row if table[a, b] < np.inf] for a, row in enumerate(near.tolist())]

    def done(self) -> list[int]:
        """Give the tour when nothing shortens it any more."""
        while self._pass():
            pass
        return self.tour

    def _pass(self) -> bool:
        """Look at every stop, and again at those whose neighbours changed; say whether anything was put shorter."""
        todo = deque(self.tour)
        waiting = set(todo)
        is_shorter = False
        while todo:
            stop = todo.popleft()
            waiting.discard(stop)
            while touched := self._turn(stop) or self._move(stop):
                is_shorter = True
                for each in touched:
                    if each not in waiting and each != stop:
                        waiting.add(each)
                        todo.append(each)
        return is_shorter

    def _renumber(self, start: int, stop: int) -> None:
        at = self.at
        for number, each in enumerate(self.tour[start:stop], start):
            at[each] = number

    def _turn(self, a: int) -> tuple[int, ...]:
        """Turn a stretch round so that a stop gets a nearer neighbour; give whose neighbours changed, () when none."""
        tour, at, far = self.tour, self.at, self.far
        last = len(tour) - 1
        i = at[a]
        row = far[a]
        if i < last:
            b = tour[i + 1]
            now = row[b]
            for c in self.near[a]:
                if row[c] >= now:
                    break
                j = at[c]
                if j == last:
                    continue
                d = tour[j + 1]
                if now + far[c][d] - row[c] - far[b][d] > _LEAST_MM:
                    low, high = (i, j) if i < j else (j, i)
                    self._turn_round(low + 1, high)
                    return a, b, c, d
        if i > 0:
            b = tour[i - 1]
            now = row[b]
            for c in self.near[a]:
                if row[c] >= now:
                    break
                j = at[c]
                if j == 0:
                    continue
                d = tour[j - 1]
                if now + far[c][d] - row[c] - far[b][d] > _LEAST_MM:
                    low, high = (i, j) if i < j else (j, i)
                    self._turn_round(low, high - 1)
                    return a, b, c, d
        return ()

    def _turn_round(self, low: int, high: int) -> None:
        self.tour[low : high + 1] = self.tour[low : high + 1][::-1]
        self._renumber(low, high + 1)

    def _move(self, a: int) -> tuple[int, ...]:
        """Move a stretch that ends at a stop to a nearer neighbour of its; give whose neighbours changed, or ()."""
        tour, at, far = self.tour, self.at, self.far
        last = len(tour) - 1
        i = at[a]
        row = far[a]
        for count in self.moved:
            for low, high in ((i, i + count - 1), (i - count + 1, i))[: 1 if count == 1 else 2]:
                if low < 1 or high >= last:
                    continue
                z = tour[high] if low == i else tour[low]  # the stretch's other end
                p, q = tour[low - 1], tour[high + 1]
                gone = far[p][tour[low]] + far[tour[high]][q] - far[p][q]
                for c in self.near[a]:
                    if row[c] >= gone - _LEAST_MM:
                        break
                    j = at[c]
                    if low <= j <= high:
                        continue
                    # Behind c, with a first; or before c, with a last.
                    for after in (True, False):
                        k = j + 1 if after else j - 1
                        if k < 0 or k > last or low <= k <= high:
                            continue
                        d = tour[k]
                        if gone - row[c] - far[z][d] + far[c][d] > _LEAST_MM:
                            self._put(low, high, max(j, k), turned=(low == i) != after)
                            return p, q, a, z, c, d
        return ()

    def _put(self, low: int, high: int, before: int, *, turned: bool) -> None:
        """Take a stretch out and put it before what stands at a place, turned round or not."""
        tour = self.tour
        stretch = tour[low : high + 1]
        if turned:
            stretch.reverse()
        if before > high:
            tour[low:before] = tour[high + 1 : before] + stretch
            self._renumber(low, before)
        else:
            tour[before : high + 1] = stretch + tour[before:low]
            self._renumber(before, high + 1)
