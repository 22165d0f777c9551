"""How long the design checks take: one circuit's as an option asks them, and a whole home of 150 points."""

from typing import Any

import pytest

from circuitmap.circuits import views
from circuitmap.design.ring_currents import flow, laid
from circuitmap.extension.asked import Asked
from circuitmap.extension.checks import check_home, check_way
from circuitmap.memo import Memo
from circuitmap.trade import load
from tests.bench.blocks import block
from tests.design.layouts import ring

Benchmark = Any  # pytest-benchmark ships no types


def asked() -> Asked:
    home, memo = block(10, 15), Memo()
    return Asked(home, views(home, load(), memo), load(), memo)


@pytest.mark.benchmark(group="design checks")
def test_one_way_of_fifteen_points(benchmark: Benchmark) -> None:
    home = asked()
    found = benchmark(lambda: check_way(Asked(home.home, home.views, home.trade), home.views[0]))
    assert len(found) >= 4


@pytest.mark.benchmark(group="design checks")
def test_a_home_of_150_points(benchmark: Benchmark) -> None:
    home = asked()
    found = benchmark(lambda: check_home(Asked(home.home, home.views, home.trade)))
    assert len(found) >= 40


@pytest.mark.benchmark(group="design checks")
def test_currents_of_a_ring_of_thirty(benchmark: Benchmark) -> None:
    network = laid(ring([3.0] * 31))
    loads = {f"p{n}": 1.0 for n in range(1, 31)}
    assert sum(benchmark(flow, network, loads).legs_a) == pytest.approx(30)
