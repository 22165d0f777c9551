"""The order in which a cable goes through new points: from a start, by all of them, to an end or to none.

Exact for few points, by dynamic programming over subsets: best(S, j) = min over i of best(S without j, i) + d(i, j).

**Source:** Held and Karp, "A dynamic programming approach to sequencing problems", 1962, from memory.
"""

import itertools
from collections.abc import Sequence
from math import inf
from typing import Final

EXACT_TO: Final = 8

Worths = Sequence[Sequence[float]]


def best_chain(
    worths: Worths, start: int, through: Sequence[int], end: int | None = None
) -> tuple[float, tuple[int, ...]]:
    """Give what the cheapest chain costs and the order of its points; infinite where none leads through all.

    Parameters
    ----------
    worths
        What lies between each two ends, in pence.
    start, end
        Where it begins, and where it has to come out; None for a chain that ends at its last point.
    through
        The points in between, in any order. Beyond ``EXACT_TO`` each is put in where it costs least, and the order is
        then bettered by turning parts round until none helps.
    """
    if not through:
        return (worths[start][end] if end is not None else 0.0), ()
    if len(through) <= EXACT_TO:
        return _exact(worths, start, through, end)
    return _bettered(worths, start, through, end)


def cost_of(worths: Worths, start: int, order: Sequence[int], end: int | None = None) -> float:
    """Give what a chain in a given order costs."""
    stops = [start, *order, *([] if end is None else [end])]
    return sum(worths[a][b] for a, b in itertools.pairwise(stops))


def _exact(worths: Worths, start: int, through: Sequence[int], end: int | None) -> tuple[float, tuple[int, ...]]:
    count = len(through)
    between = [[worths[a][b] for b in through] for a in through]
    best: list[list[float]] = [[inf] * count for _ in range(1 << count)]
    before: list[list[int]] = [[-1] * count for _ in range(1 << count)]
    for j in range(count):
        best[1 << j][j] = worths[start][through[j]]
    for held in range(1, 1 << count):
        row = best[held]
        for j in range(count):
            so_far = row[j]
            if so_far == inf:
                continue
            for k in range(count):
                if held >> k & 1:
                    continue
                cost = so_far + between[j][k]
                if cost < best[held | 1 << k][k]:
                    best[held | 1 << k][k] = cost
                    before[held | 1 << k][k] = j
    held = (1 << count) - 1
    out = [0.0 if end is None else worths[each][end] for each in through]
    last = min(range(count), key=lambda j: best[held][j] + out[j])
    cost = best[held][last] + out[last]
    order: list[int] = []
    while last >= 0 and held:
        order.append(through[last])
        held, last = held & ~(1 << last), before[held][last]
    return cost, tuple(reversed(order))


def _bettered(worths: Worths, start: int, through: Sequence[int], end: int | None) -> tuple[float, tuple[int, ...]]:
    order: list[int] = []
    for point in through:
        tries = [[*order[:n], point, *order[n:]] for n in range(len(order) + 1)]
        order = min(tries, key=lambda each: cost_of(worths, start, each, end))
    cost = cost_of(worths, start, order, end)
    is_better = True
    while is_better:
        is_better = False
        for tried in _turned(order):
            less = cost_of(worths, start, tried, end)
            if less < cost - 1e-9:
                order, cost, is_better = tried, less, True
                break
    return cost, tuple(order)


def _turned(order: list[int]) -> list[list[int]]:
    """Give the orders with one part turned round, or one point moved."""
    many = range(len(order))
    turned = [order[:i] + order[i : j + 1][::-1] + order[j + 1 :] for i in many for j in many if i < j]
    for i in many:
        rest = order[:i] + order[i + 1 :]
        turned += [[*rest[:k], order[i], *rest[k:]] for k in range(len(rest) + 1) if k != i]
    return turned
