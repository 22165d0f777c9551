"""How long schedules, sheets and drawings take: of a terrace from the shell, of 5 000 points in a block in one process.

The aims are those of the chart: 1.5 s from the shell, 20 s for the block. Where nothing is measured it has 1 000.
"""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from circuitmap.home import Home
from circuitmap.places import sample_homes
from tests.bench.blocks import block
from tests.cli.shell import environment
from tests.paper.handed import document

Benchmark = Any  # pytest-benchmark ships no types

_FORMS = (
    ("schedules", "pdf"),
    ("schedules", "xlsx"),
    ("schedules", "csv"),
    ("sheets", "pdf"),
    ("drawing", "svg"),
    ("drawing", "dxf"),
    ("drawing", "png"),
    ("rooms", "geojson"),
)
_IDS = [f"{name}.{form}" for name, form in _FORMS]


@pytest.fixture(scope="module")
def large(request: pytest.FixtureRequest) -> Home:
    return block(50 if request.config.getoption("benchmark_disable") else 250, 20)


@pytest.mark.benchmark(group="handed over from the shell, terrace")
@pytest.mark.parametrize(("name", "form"), _FORMS, ids=_IDS)
def test_a_terrace_from_the_shell(benchmark: Benchmark, tmp_path: Path, name: str, form: str) -> None:
    made = tmp_path / f"made.{form}"
    command = ("hand-over", str(sample_homes() / "older-terrace"), name, "-o", str(made))
    done = benchmark.pedantic(
        lambda: subprocess.run(
            [sys.executable, "-m", "circuitmap.cli.main", *command], capture_output=True, check=False, env=environment()
        ),
        rounds=3,
    )
    assert done.returncode == 0, done.stderr
    assert list(tmp_path.glob(f"made*.{form}"))


@pytest.mark.benchmark(group="handed over, 5 000 points")
@pytest.mark.parametrize(("name", "form"), _FORMS, ids=_IDS)
def test_a_block(benchmark: Benchmark, large: Home, name: str, form: str) -> None:
    files = benchmark.pedantic(lambda: document(name, large, form=form), rounds=1)
    assert all(file.data for file in files)
