"""How long a command takes from the shell, interpreter included; the aims are 0.2 s for help, 0.6 s for a check."""

import subprocess
import sys
from typing import Any

import pytest

from circuitmap.places import sample_homes
from tests.cli.shell import environment

Benchmark = Any  # pytest-benchmark ships no types

_TERRACE = str(sample_homes() / "older-terrace")


@pytest.mark.benchmark(group="commands, from the shell")
@pytest.mark.parametrize(
    "arguments",
    [
        ("--help",),
        ("rules",),
        ("check", _TERRACE),
        ("next-round", _TERRACE),
        ("readings", _TERRACE, "--way", "A4"),
        ("simulate", _TERRACE, "--way", "A4", "--fault", "open line in R6"),
    ],
    ids=["help", "rules", "check", "next-round", "readings", "simulate"],
)
def test_command(benchmark: Benchmark, arguments: tuple[str, ...]) -> None:
    done = benchmark.pedantic(
        lambda: subprocess.run(
            [sys.executable, "-m", "circuitmap.cli.main", *arguments],
            capture_output=True,
            check=False,
            env=environment(),
        ),
        rounds=5,
    )
    assert done.stdout
    assert b"Traceback" not in done.stderr
