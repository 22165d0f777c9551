"""How long an invented home takes; run with ``--benchmark-only``, wanted: 60 points in 10 ms, 500 in 80 ms."""

from itertools import count
from typing import Any

import pytest

from circuitmap.survey.rehearsal import invent

Benchmark = Any  # pytest-benchmark ships no types


@pytest.mark.benchmark(group="inventing a home")
@pytest.mark.parametrize(("ways", "points"), [(10, 60), (30, 500)])
def test_invent(benchmark: Benchmark, ways: int, points: int) -> None:
    seeds = count()
    made = benchmark(lambda: invent(next(seeds), ways=ways, points=points))
    assert len(made.truth) == points
