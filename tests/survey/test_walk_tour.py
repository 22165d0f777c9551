"""Short tours through a table of distances, checked against trying every order."""

import itertools
from random import Random

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.survey.walk_tour import nearest_next, shortened, tour_length

spots = st.lists(st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=3, max_size=40, unique=True)


def table(at: list[tuple[int, int]]) -> np.ndarray:
    places = np.array(at, dtype=float)
    return np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))


@given(spots, st.randoms(use_true_random=False))
def test_a_tour_put_shorter_has_the_same_stops_and_ends_and_is_no_longer(
    at: list[tuple[int, int]], chance: Random
) -> None:
    far = table(at)
    inner = list(range(1, len(at) - 1))
    chance.shuffle(inner)
    tour = [0, *inner, len(at) - 1]
    made = shortened(tour, far)
    assert sorted(made) == sorted(tour)
    assert (made[0], made[-1]) == (0, len(at) - 1)
    assert tour_length(made, far) <= tour_length(tour, far) + 1e-9
    # Nothing of what it tries helps any more.
    assert shortened(made, far) == made


@given(st.lists(st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=10, max_size=10, unique=True))
def test_with_eight_stops_between_it_is_near_the_shortest_of_all_orders(at: list[tuple[int, int]]) -> None:
    far = table(at)
    best = min(tour_length((0, *order, 9), far) for order in every_order(8, far))
    made = shortened(nearest_next(far), far)
    # No order is shorter than the shortest, and turning round and moving comes within a third of it.
    assert best - 1e-9 <= tour_length(made, far) <= 1.34 * best + 1e-9


def every_order(count: int, far: np.ndarray) -> list[tuple[int, ...]]:
    """The best order that begins with each stop: of all orders, found by dynamic programming over sets.

    Source: M. Held and R. M. Karp (1962), from memory.
    """
    last = count + 1
    states: dict[tuple[frozenset[int], int], tuple[float, tuple[int, ...]]] = {
        (frozenset([i]), i): (float(far[0, i]), (i,)) for i in range(1, last)
    }
    for _ in range(count - 1):
        grown: dict[tuple[frozenset[int], int], tuple[float, tuple[int, ...]]] = {}
        for (seen, at), (length, order) in states.items():
            for i in range(1, last):
                if i not in seen:
                    key = (seen | {i}, i)
                    longer = length + float(far[at, i])
                    if key not in grown or longer < grown[key][0]:
                        grown[key] = (longer, (*order, i))
        states = grown
    return [order for _, order in states.values()]


def test_turning_round_undoes_a_crossing() -> None:
    at = [(0, 0), *((x, 0) for x in range(10, 110, 10)), (110, 0)]
    far = table(at)
    crossed = [0, 1, 2, 8, 7, 6, 5, 4, 3, 9, 10, 11]
    assert shortened(crossed, far) == list(range(12))


def test_a_stop_left_behind_is_moved_to_its_neighbours() -> None:
    at = [(0, 0), *((x, 0) for x in range(10, 110, 10)), (110, 0)]
    far = table(at)
    late = [0, 1, 2, 4, 5, 6, 7, 8, 9, 10, 3, 11]
    assert shortened(late, far) == list(range(12))


def test_stops_held_together_are_not_parted() -> None:
    at = [(0, 0), *itertools.chain.from_iterable(((x, 0), (90 - x, 50)) for x in range(0, 60, 10)), (100, 0)]
    far = table(at)
    pairs = [(n, n + 1) for n in range(1, 13, 2)]
    for a, b in pairs:
        far[a, b] = far[b, a] = -1e8
    made = shortened(list(range(14)), far, (2, 4, 6))
    beside = {frozenset(step) for step in itertools.pairwise(made)}
    assert {frozenset(pair) for pair in pairs} <= beside


def test_the_nearest_next_takes_the_lower_number_of_equally_near_ones() -> None:
    far = table([(0, 0), (10, 0), (0, 10), (-10, 0), (50, 50)])
    assert nearest_next(far) == [0, 1, 2, 3, 4]
