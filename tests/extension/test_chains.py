"""The order of a cable through new points, against every order there is."""

import itertools
import random

import pytest

from circuitmap.extension.chains import EXACT_TO, best_chain, cost_of


def table(seed: int, size: int) -> list[list[float]]:
    pick = random.Random(seed)
    at = [(pick.random(), pick.random()) for _ in range(size)]
    return [[abs(a[0] - b[0]) + abs(a[1] - b[1]) for b in at] for a in at]


@pytest.mark.parametrize("seed", range(40))
def test_as_cheap_as_any_order(seed: int) -> None:
    """Brute force over all orders, with and without an end to come out at."""
    many = seed % 6 + 1
    worths = table(seed, many + 2)
    through = list(range(2, many + 2))
    for end in (None, 1):
        cost, order = best_chain(worths, 0, through, end)
        least = min(cost_of(worths, 0, tried, end) for tried in itertools.permutations(through))
        assert cost == pytest.approx(least)
        assert sorted(order) == through
        assert cost_of(worths, 0, order, end) == pytest.approx(cost)


def test_many_points_come_near_the_exact_order() -> None:
    """Nine points, one beyond what is exact: no dearer than a tenth over brute force on homes by chance."""
    for seed in range(3):
        worths = table(seed, EXACT_TO + 2)
        through = list(range(1, EXACT_TO + 2))
        cost, order = best_chain(worths, 0, through)
        assert sorted(order) == through
        assert cost == pytest.approx(cost_of(worths, 0, order))
        least = min(cost_of(worths, 0, [first, *best_chain(worths, first, [x for x in through if x != first])[1]])
                    for first in through)  # fmt: skip
        assert least - 1e-9 <= cost <= least * 1.1


def test_nothing_in_between() -> None:
    worths = table(1, 3)
    assert best_chain(worths, 0, [], 2) == (worths[0][2], ())
    assert best_chain(worths, 0, []) == (0.0, ())
