"""New points let into a ring: which of its cables to open, and in what order to pass the points, at the least cost.

Each cable that is opened takes some of the points: a new leg to the first, on from each to the next, a leg back from
the last. Costs come from outside, so that they are what routes cost and not straight lines. Up to ``EXACT`` points the
answer is the cheapest there is, by dynamic programming over sets of points: R. Bellman, "Dynamic programming treatment
of the travelling salesman problem", J. ACM 9 (1962), for the order within a set, and over the ways to share the points
out among the cables. Beyond that points are let in one by one where they cost least, and the whole is then improved by
turning stretches round and moving them (2-opt, or-opt) until no such step saves anything.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import inf, isfinite, isnan
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from circuitmap.errors import OurError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Table = Sequence[Sequence[float]]

EXACT: Final = 8
_STRETCH: Final = 3
_STARTS: Final = 5
_SAVES: Final = 1e-9


class Gap(Struct, frozen=True):
    """Where a ring can be opened: its run, the places (as rows of the costs) that the two legs start from.

    Both legs start from one place where a run is opened at an accessory: out, and back to its other end in the same
    box. ``cost`` is that of opening it there; ``at`` is the caller's own name of the way in which it is opened.
    """

    run: str
    a: int
    b: int
    cost: float = 0.0
    at: str = ""


class Insertion(Struct, frozen=True):
    """The points let into one run, in the order in which they are passed from ``gap.a``, and what that costs."""

    gap: Gap
    order: tuple[int, ...]
    cost: float

    @property
    def run(self) -> str:
        """The run that is opened."""
        return self.gap.run

    @property
    def stops(self) -> tuple[int, ...]:
        """All places that the new cables pass, ends included."""
        return (self.gap.a, *self.order, self.gap.b)


def insert(
    worth: "Table | NDArray[np.float64]", gaps: Iterable[Gap], points: Sequence[int], openings: int | None = None
) -> tuple[Insertion, ...]:
    """Give the cheapest way to let points into a ring, run by run; empty when there is none.

    Parameters
    ----------
    worth
        What a cable from place to place costs, in pence (or any one unit); inf where none can be laid. It needn't be
        the same both ways.
    gaps
        Where the ring can be opened; each run at one of them at most.
    points
        The places to be let in, each once.
    openings
        How many runs may be opened; as many as pay when None.

    Returns
    -------
    tuple of Insertion
        In the order of the gaps; their costs add up to the least there is, up to ``EXACT`` points.

    Raises
    ------
    OurError
        When a cost isn't a number, or a point is named twice.
    """
    table, doors, wanted = _checked(worth, gaps, points, openings)
    if not wanted or not doors:
        return ()
    if len(wanted) <= EXACT:
        return _exactly(table, doors, wanted, openings)
    return improved(table, doors, wanted, openings)


def each_alone(
    worth: "Table | NDArray[np.float64]", gaps: Iterable[Gap], points: Sequence[int]
) -> tuple[Insertion, ...]:
    """Give, for every run, the best way to let all points into it alone, cheapest first; what can't be is left out.

    Raises
    ------
    OurError
        When a cost isn't a number, or a point is named twice.
    """
    table, doors, wanted = _checked(worth, gaps, points, 1)
    runs: dict[str, list[Gap]] = {}
    for gap in doors:
        runs.setdefault(gap.run, []).append(gap)
    if len(wanted) <= EXACT:
        found = _alone(table, doors, wanted)
    else:
        found = [each for own in runs.values() for each in improved(table, own, wanted, 1)]
    best: dict[str, Insertion] = {}
    for each in found:
        if each.run not in best or each.cost < best[each.run].cost:
            best[each.run] = each
    return tuple(sorted(best.values(), key=lambda each: each.cost))


def cost_of(worth: Table, gap: Gap, order: Sequence[int]) -> float:
    """Give what it costs to open a run and pass some points in an order."""
    return gap.cost + sum(worth[a][b] for a, b in pairwise((gap.a, *order, gap.b)))


def improved(
    worth: Table, gaps: Sequence[Gap], points: Sequence[int], openings: int | None = None
) -> tuple[Insertion, ...]:
    """Give a good way to let many points into a ring.

    Begun with every gap open to all points, and with each gap taking all of them; the few best are improved and the
    best of those is taken.
    """
    starts = (range(len(gaps)), *((n,) for n in range(len(gaps))))
    begun = [state for doors in starts if (state := _begun(worth, gaps, doors, points, openings)) is not None]
    begun.sort(key=lambda state: _total(worth, gaps, state))
    best: tuple[float, _State] | None = None
    for state in begun[:_STARTS]:
        held = state
        while (better := _step(worth, gaps, held, openings)) is not None:
            held = better
        cost = _total(worth, gaps, held)
        if best is None or cost < best[0] - _SAVES:
            best = cost, held
    if best is None:
        return ()
    state = best[1]
    return tuple(Insertion(gaps[n], state[n], cost_of(worth, gaps[n], state[n])) for n in sorted(state))


# -- exact ----------------------------------------------------------------------------------------------------------


def _exactly(worth: Table, gaps: Sequence[Gap], points: Sequence[int], openings: int | None) -> tuple[Insertion, ...]:
    import numpy as np

    size = 1 << len(points)
    within = _within(worth, gaps, points, _paths(worth, points))
    runs: dict[str, list[int]] = {}
    for n, gap in enumerate(gaps):
        runs.setdefault(gap.run, []).append(n)
    own = np.array([within[rows].min(axis=0) for rows in runs.values()])
    via = [np.array(rows)[within[rows].argmin(axis=0)] for rows in runs.values()]
    whole, part, starts = _parts(len(points))
    layers = min(openings or len(points), len(points), len(runs))
    best = np.full((layers + 1, size), inf)
    best[:, 0] = 0.0
    chosen = np.zeros((len(own), layers + 1, size), dtype=np.int64)
    for row, costs in enumerate(own):
        for layer in range(layers, 0, -1):
            # The empty part comes first of each set's, and stands for a run that is left as it is.
            tried = best[layer - 1][whole ^ part] + costs[part]
            tried[starts] = best[layer]
            least = np.minimum.reduceat(tried, starts)
            first = _first_of(tried, least, starts)
            chosen[row, layer], best[layer] = part[first], least
    left, layer = size - 1, layers
    if not isfinite(best[layer, left]):
        return ()
    found: list[tuple[int, Insertion]] = []
    for row in range(len(own) - 1, -1, -1):
        taken = int(chosen[row, layer, left])
        if taken:
            gap = gaps[int(via[row][taken])]
            order = _order(worth, gap, points, taken)
            found.append((int(via[row][taken]), Insertion(gap, order, cost_of(worth, gap, order))))
            left, layer = left ^ taken, layer - 1
    return tuple(each for _, each in sorted(found, key=lambda one: one[0]))


def _alone(worth: Table, gaps: Sequence[Gap], points: Sequence[int]) -> list[Insertion]:
    if not points or not gaps:
        return []
    every = (1 << len(points)) - 1
    costs = _within(worth, gaps, points, _paths(worth, points))[:, every]
    found = []
    for gap, cost in zip(gaps, costs, strict=True):
        if isfinite(cost):
            order = _order(worth, gap, points, every)
            found.append(Insertion(gap, order, cost_of(worth, gap, order)))
    return found


def _paths(worth: Table, points: Sequence[int]) -> "NDArray[np.float64]":
    """Give the cost of the best path through each set of points, by its first and its last: [set, first, last]."""
    import numpy as np

    count = len(points)
    between = np.array([[worth[a][b] if a != b else 0.0 for b in points] for a in points])
    found = np.full((1 << count, count, count), inf)
    for n in range(count):
        found[1 << n, n, n] = 0.0
    for held in range(1, 1 << count):
        for last in range(count):
            before = held ^ (1 << last)
            if held >> last & 1 and before:
                found[held, :, last] = (found[before] + between[:, last]).min(axis=1)
    return found


def _within(
    worth: Table, gaps: Sequence[Gap], points: Sequence[int], paths: "NDArray[np.float64]"
) -> "NDArray[np.float64]":
    """Give what each gap costs with each set of points in it; nothing for the empty set: [gap, set]."""
    import numpy as np

    out = np.array([[worth[gap.a][p] for p in points] for gap in gaps])
    back = np.array([[worth[p][gap.b] for p in points] for gap in gaps])
    opening = np.array([gap.cost for gap in gaps])
    found = np.zeros((len(gaps), len(paths)))
    for held in range(1, len(paths)):
        found[:, held] = (out[:, :, None] + paths[held][None] + back[:, None, :]).min(axis=(1, 2)) + opening
    return found


def _parts(count: int) -> "tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]":
    """Give every set of points with every part of it, set by set, and where each set's begin."""
    import numpy as np

    whole: list[int] = []
    part: list[int] = []
    starts: list[int] = []
    for held in range(1 << count):
        starts.append(len(whole))
        inner = 0
        while True:
            whole.append(held)
            part.append(inner)
            if inner == held:
                break
            inner = (inner - held) & held
    return np.array(whole), np.array(part), np.array(starts)


def _first_of(
    tried: "NDArray[np.float64]", least: "NDArray[np.float64]", starts: "NDArray[np.int64]"
) -> "NDArray[np.int64]":
    """Give where the least of each set's stands first."""
    import numpy as np

    lengths = np.diff(np.append(starts, len(tried)))
    places = np.where(tried == np.repeat(least, lengths), np.arange(len(tried)), len(tried))
    return np.minimum.reduceat(places, starts)


def _order(worth: Table, gap: Gap, points: Sequence[int], held: int) -> tuple[int, ...]:
    """Give the best order of a set of points in a gap, walking back through the table of one start."""
    own = [p for n, p in enumerate(points) if held >> n & 1]
    every = (1 << len(own)) - 1
    table: dict[tuple[int, int], tuple[float, int]] = {(1 << n, n): (worth[gap.a][p], -1) for n, p in enumerate(own)}
    for inside in range(1, every + 1):
        for last in range(len(own)):
            before = inside ^ (1 << last)
            if inside >> last & 1 and before:
                steps = [
                    (table[before, n][0] + worth[own[n]][own[last]], n) for n in range(len(own)) if before >> n & 1
                ]
                table[inside, last] = min(steps)
    _, last = min((table[every, n][0] + worth[p][gap.b], n) for n, p in enumerate(own))
    order: list[int] = []
    while last >= 0:
        order.append(own[last])
        every, last = every ^ (1 << last), table[every, last][1]
    return tuple(reversed(order))


# -- many points ----------------------------------------------------------------------------------------------------


_State = dict[int, tuple[int, ...]]


def _total(worth: Table, gaps: Sequence[Gap], state: _State) -> float:
    return sum(cost_of(worth, gaps[n], order) for n, order in state.items())


def _may_open(gaps: Sequence[Gap], state: _State, n: int, openings: int | None) -> bool:
    if n in state:
        return True
    opened = {gaps[other].run for other in state}
    return gaps[n].run not in opened and (openings is None or len(opened) < openings)


def _begun(
    worth: Table, gaps: Sequence[Gap], doors: Sequence[int], points: Sequence[int], openings: int | None
) -> _State | None:
    """Let the points in one by one, each time the one that costs least where it costs least."""
    state: _State = {}
    left = list(points)
    while left:
        best: tuple[float, int, int, int] | None = None
        for n in doors:
            if not _may_open(gaps, state, n, openings):
                continue
            gap, order = gaps[n], state.get(n, ())
            stops = (gap.a, *order, gap.b)
            opening = 0.0 if n in state else gap.cost
            for k, (a, b) in enumerate(pairwise(stops)):
                saved = worth[a][b] if n in state else 0.0
                for point in left:
                    more = worth[a][point] + worth[point][b] - saved + opening
                    if best is None or more < best[0]:
                        best = more, n, k, point
        if best is None or not isfinite(best[0]):
            return None
        _, n, k, point = best
        order = state.get(n, ())
        state[n] = (*order[:k], point, *order[k:])
        left.remove(point)
    return state


def _step(worth: Table, gaps: Sequence[Gap], state: _State, openings: int | None) -> _State | None:
    """Give the first state found that costs less by one step, or None when every step costs more."""
    now = _total(worth, gaps, state)
    for tried in _around(gaps, state, openings):
        if _total(worth, gaps, tried) < now - _SAVES:
            return tried
    return None


def _around(gaps: Sequence[Gap], state: _State, openings: int | None) -> Iterable[_State]:
    for n, order in state.items():
        # 2-opt: a stretch is turned round.
        for i in range(len(order)):
            for j in range(i + 2, len(order) + 1):
                yield {**state, n: (*order[:i], *reversed(order[i:j]), *order[j:])}
        # The whole is let in elsewhere, turned round or not: at another gap of its run, or into another run.
        without = {k: held for k, held in state.items() if k != n}
        for m in range(len(gaps)):
            if m not in state and _may_open(gaps, without, m, openings):
                yield {**without, m: order}
                yield {**without, m: tuple(reversed(order))}
        # or-opt: up to three points in a row are moved, turned round or not.
        for i in range(len(order)):
            for j in range(i + 1, min(i + _STRETCH, len(order)) + 1):
                rest = (*order[:i], *order[j:])
                base = {**without, n: rest} if rest else without
                for stretch in {order[i:j], tuple(reversed(order[i:j]))}:
                    for m in range(len(gaps)):
                        if not _may_open(gaps, base, m, openings):
                            continue
                        onto = base.get(m, ())
                        for k in range(len(onto) + 1):
                            yield {**base, m: (*onto[:k], *stretch, *onto[k:])}


def _checked(
    worth: "Table | NDArray[np.float64]", gaps: Iterable[Gap], points: Sequence[int], openings: int | None
) -> tuple[Table, list[Gap], list[int]]:
    table = [[float(cost) for cost in row] for row in worth]
    doors, wanted = list(gaps), list(points)
    if len(set(wanted)) != len(wanted):
        raise OurError("A point is to be let in twice.")
    if openings is not None and openings < 1:
        raise OurError("At least one run must be opened.")
    named = {*wanted, *(gap.a for gap in doors), *(gap.b for gap in doors)}
    if any(isnan(table[a][b]) for a in named for b in named) or any(not isfinite(gap.cost) for gap in doors):
        raise OurError("A cost of letting points in is not a number.")
    return table, doors, wanted
