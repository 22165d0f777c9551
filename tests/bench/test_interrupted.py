"""How long it takes to say what was off already today; the agreement asks for it at each choice."""

from typing import Any

import pytest

from circuitmap.home import verbs
from circuitmap.survey.interrupted import interruptions
from tests.survey.board import Surveyed

Benchmark = Any  # pytest-benchmark ships no types


@pytest.mark.benchmark(group="what was off already: 500 points, 30 switch-offs")
def test_interruptions(benchmark: Benchmark) -> None:
    home = Surveyed(ways=30, points=500)
    for n in range(30):
        started, ended = (f"2026-01-05T{8 + minute // 60:02d}:{minute % 60:02d}:00Z" for minute in (10 * n, 10 * n + 5))
        record = home.do(verbs.open_round(home.home, home.now, tuple(home.ways[n::3]), at=started))
        home.do(verbs.record_event(home.home, record, "power back", (), at=ended))
    found = benchmark.pedantic(lambda: interruptions(home.home, home.memo, home.now), rounds=5, warmup_rounds=1)
    assert len(found) == 500
