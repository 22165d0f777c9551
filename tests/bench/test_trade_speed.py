"""How long the trade's tables take to read: each command does so once."""

from pytest_benchmark.fixture import BenchmarkFixture

from circuitmap.places import resources
from circuitmap.trade.tables import read


def test_reading_the_tables(benchmark: BenchmarkFixture) -> None:
    tables = benchmark(read, resources() / "trade", None)
    assert tables
