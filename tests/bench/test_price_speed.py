"""How long a take-off and its price take: one option's, and the estimator's range with its draws."""

from pytest_benchmark.fixture import BenchmarkFixture

from circuitmap.extension.price import price
from circuitmap.extension.pricebook import load
from circuitmap.extension.takeoff import takeoff
from tests.extension.priced import EMPTY, demo, twins


def test_the_book_is_read(benchmark: BenchmarkFixture) -> None:
    assert benchmark(load).tasks


def test_an_option_of_six_points_is_counted(benchmark: BenchmarkFixture) -> None:
    assert len(benchmark(takeoff, twins(6, "unknown"), demo(), EMPTY).lines) > 50


def test_an_option_of_six_points_is_priced(benchmark: BenchmarkFixture) -> None:
    taken = takeoff(twins(6, "unknown"), demo(), EMPTY)
    assert benchmark(price, taken, demo(), EMPTY, draws=0).net > 0


def test_an_option_of_six_points_is_drawn(benchmark: BenchmarkFixture) -> None:
    taken = takeoff(twins(6, "unknown"), demo(), EMPTY)
    assert benchmark(price, taken, demo(), EMPTY).drawn is not None
