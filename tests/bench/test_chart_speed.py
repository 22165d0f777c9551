"""How long a chart takes: the terrace from the shell (1.5 s at most), a block of 5 000 points (20 s), labels."""

import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from circuitmap.home.looked import look_at
from circuitmap.paper import chart, labels
from circuitmap.places import sample_homes
from tests.bench.blocks import block
from tests.cli.shell import environment
from tests.paper.charted import crowd, wanted


@pytest.mark.benchmark(group="documents, from the shell")
@pytest.mark.parametrize("more", [(), ("--large-print",)], ids=["chart", "large print"])
def test_the_terrace_from_the_shell(benchmark: BenchmarkFixture, tmp_path: Path, more: tuple[str, ...]) -> None:
    home, out = str(sample_homes() / "older-terrace"), str(tmp_path / "chart.pdf")
    done = benchmark.pedantic(
        lambda: subprocess.run(
            [sys.executable, "-m", "circuitmap.cli.main", "hand-over", home, "chart", "-o", out, *more],
            capture_output=True,
            check=False,
            env=environment(),
        ),
        rounds=5,
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.benchmark(group="documents")
def test_a_block_of_5000_points(benchmark: BenchmarkFixture) -> None:
    home = block(250, 20)
    made = benchmark.pedantic(lambda: chart.made(wanted(home)), rounds=3)
    assert made[0].data.startswith(b"%PDF")


@pytest.mark.benchmark(group="documents")
@pytest.mark.parametrize("points", [69, 150])
def test_a_surveyed_home(benchmark: BenchmarkFixture, points: int) -> None:
    with look_at(sample_homes() / "older-terrace") as looked:
        home = looked.home if points == 69 else crowd(points, 20)
    assert benchmark(lambda: chart.made(wanted(home)))[0].data.startswith(b"%PDF")


@pytest.mark.benchmark(group="documents")
def test_labels_of_sixty_ways(benchmark: BenchmarkFixture) -> None:
    home = crowd(90, 60)
    assert benchmark(lambda: labels.made(wanted(home)))[0].data.startswith(b"%PDF")
