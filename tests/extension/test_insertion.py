"""Points let into a ring at the least cost: held to every order in every run, tried one by one."""

from itertools import pairwise, permutations, product
from math import inf
from random import Random

import pytest

from circuitmap.errors import OurError
from circuitmap.extension.insertion import EXACT, Gap, Insertion, cost_of, each_alone, improved, insert

Table = list[list[float]]


def ring(draw: Random, stops: int, new: int) -> tuple[Table, list[Gap], list[int]]:
    """A ring through places by chance and new points beside it; costs by length, with climbs and walls by chance."""
    places = [(draw.uniform(0, 10_000), draw.uniform(0, 8_000)) for _ in range(stops + new)]
    worth = [
        [
            0.0 if i == j else 0.9 * (abs(a[0] - b[0]) + abs(a[1] - b[1])) + draw.choice((0.0, 0.0, 900.0, 4000.0))
            for j, b in enumerate(places)
        ]
        for i, a in enumerate(places)
    ]
    gaps = []
    for n in range(stops):
        after = (n + 1) % stops
        kind = draw.randrange(3)
        ends = ((n, n), (after, after), (n, after))[kind]
        gaps.append(Gap(f"R{n + 1}", *ends, draw.uniform(50, 900), ("first", "second", "through")[kind]))
    return worth, gaps, list(range(stops, stops + new))


def least(worth: Table, gaps: list[Gap], points: list[int], openings: int | None = None) -> float:
    """The least cost, by trying every way to share the points out among the gaps, each in every order."""
    within: dict[tuple[int, frozenset[int]], float] = {}
    for n, gap in enumerate(gaps):
        for held in range(1, 1 << len(points)):
            own = [p for k, p in enumerate(points) if held >> k & 1]
            costs = []
            for order in permutations(own):
                stops = (gap.a, *order, gap.b)
                costs.append(gap.cost + sum(worth[a][b] for a, b in pairwise(stops)))
            within[n, frozenset(own)] = min(costs)
    best = inf
    for where in product(range(len(gaps)), repeat=len(points)):
        used = sorted(set(where))
        runs = [gaps[n].run for n in used]
        if len(set(runs)) < len(runs) or (openings is not None and len(runs) > openings):
            continue
        parts = (frozenset(p for p, at in zip(points, where, strict=True) if at == n) for n in used)
        best = min(best, sum(within[n, part] for n, part in zip(used, parts, strict=True)))
    return best


def total(found: tuple[Insertion, ...]) -> float:
    return sum(each.cost for each in found)


@pytest.mark.parametrize("block", range(4))
def test_the_cheapest_insertion_is_that_of_brute_force_in_200_homes(block: int) -> None:
    draw = Random(700 + block)
    several = 0
    for n in range(50):
        new = 1 + n % 6
        worth, gaps, points = ring(draw, draw.randint(2, 4 if new == 6 else 5), new)
        found = insert(worth, gaps, points)
        assert total(found) == pytest.approx(least(worth, gaps, points), rel=1e-12)
        assert sorted(p for each in found for p in each.order) == points
        for each in found:
            assert each.cost == pytest.approx(cost_of(worth, each.gap, each.order), rel=1e-12)
            assert each.stops == (each.gap.a, *each.order, each.gap.b)
        assert len({each.run for each in found}) == len(found)
        several += len(found) > 1
    assert several > 5, "homes by chance must ask for more than one opening now and then"


@pytest.mark.parametrize("openings", [1, 2])
def test_no_more_runs_are_opened_than_may_be(openings: int) -> None:
    draw = Random(40 + openings)
    fewer = 0
    for _ in range(30):
        worth, gaps, points = ring(draw, 4, 4)
        found = insert(worth, gaps, points, openings)
        assert len(found) <= openings
        assert total(found) == pytest.approx(least(worth, gaps, points, openings), rel=1e-12)
        fewer += total(found) > total(insert(worth, gaps, points)) + 1
    assert fewer, "the limit must bind now and then"


def test_each_run_alone_is_the_best_order_of_all_points_in_it() -> None:
    draw = Random(9)
    for _ in range(30):
        worth, gaps, points = ring(draw, 5, 4)
        found = each_alone(worth, gaps, points)
        assert [each.cost for each in found] == sorted(each.cost for each in found)
        assert {each.run for each in found} == {gap.run for gap in gaps}
        for each in found:
            assert each.cost == pytest.approx(least(worth, [each.gap], points), rel=1e-12)


def test_of_two_ways_to_open_one_run_only_one_is_taken() -> None:
    """Two points, one at either end: opened at both accessories it would be one run opened twice."""
    worth = [[0, 100, 1, 100], [100, 0, 100, 1], [1, 100, 0, 100], [100, 1, 100, 0]]
    gaps = [Gap("R1", 0, 0), Gap("R1", 1, 1), Gap("R1", 0, 1)]
    (only,) = insert(worth, gaps, [2, 3])
    assert (only.gap, only.order, only.cost) == (gaps[2], (2, 3), 102)


@pytest.mark.parametrize("new", [4, 6, 8])
def test_the_improved_one_is_never_below_the_least_and_seldom_above(new: int) -> None:
    """Our own measure: within 2 % of the least on the average, and no case more than 25 % above."""
    draw = Random(new)
    over = []
    for _ in range(25):
        worth, gaps, points = ring(draw, 8, new)
        exact, good = total(insert(worth, gaps, points)), total(improved(worth, gaps, points))
        assert good >= exact - 1e-6
        over.append(good / exact - 1)
    assert sum(over) / len(over) < 0.02
    assert max(over) < 0.25


def test_more_points_than_are_worked_out_exactly_all_find_a_run() -> None:
    draw = Random(3)
    worth, gaps, points = ring(draw, 9, EXACT + 4)
    found = insert(worth, gaps, points)
    assert sorted(p for each in found for p in each.order) == points
    alone = each_alone(worth, gaps, points)
    assert total(found) <= alone[0].cost + 1e-6
    assert sorted(alone[0].order) == points


def test_what_cannot_be_reached_gives_nothing_and_an_unreachable_run_is_left_out() -> None:
    worth = [[0.0, 5.0, 1.0], [5.0, 0.0, inf], [1.0, inf, 0.0]]
    assert insert(worth, [Gap("R1", 0, 1)], [2]) == ()
    assert each_alone(worth, [Gap("R1", 0, 1), Gap("R2", 0, 0)], [2])[0].run == "R2"
    assert insert(worth, [], [2]) == insert(worth, [Gap("R2", 0, 0)], []) == ()
    far = [[inf] * 12 for _ in range(12)]
    assert insert(far, [Gap("R1", 0, 1)], list(range(2, 12))) == ()


@pytest.mark.parametrize(
    ("worth", "points", "openings"),
    [([[0.0, float("nan")], [1.0, 0.0]], [1], None), ([[0.0, 1.0], [1.0, 0.0]], [1, 1], None),
     ([[0.0, 1.0], [1.0, 0.0]], [1], 0)],
)  # fmt: skip
def test_wrong_questions_are_refused(worth: Table, points: list[int], openings: int | None) -> None:
    with pytest.raises(OurError):
        insert(worth, [Gap("R1", 0, 0)], points, openings)
