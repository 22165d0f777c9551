"""How long it takes to let points into a ring of twenty runs, each of which can be opened in two places."""

from random import Random
from typing import Any

import pytest

from circuitmap.extension.insertion import EXACT, Gap, insert
from tests.extension.test_insertion import ring

Benchmark = Any  # pytest-benchmark ships no types


@pytest.mark.benchmark(group="insertion")
@pytest.mark.parametrize("new", [6, EXACT, 20])
def test_points_into_a_ring_of_twenty(benchmark: Benchmark, new: int) -> None:
    worth, through, points = ring(Random(1), 20, new)
    gaps = [Gap(gap.run, at, at, gap.cost) for gap in through for at in (gap.a, gap.b)]
    found = benchmark(insert, worth, gaps, points)
    assert sorted(p for each in found for p in each.order) == points
