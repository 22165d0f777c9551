"""Snapping to a million lines: laying them out once, and what one move of the pointer asks."""

from functools import cache
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from circuitmap.plan.line_snap import LineGrid, SheetLines
from circuitmap.plan.snap import Snapper
from circuitmap.plan.walls_from_lines import find_walls

Benchmark = Any  # pytest-benchmark ships no types
LINES = 1_000_000
MM = 10.0  # on the plan to a pixel of the sheet


@cache
def lines() -> NDArray[np.float64]:
    """A million lines, level, upright and at a slant, short ones and some across half the sheet, some far out."""
    chance = np.random.default_rng(8)
    start = chance.uniform(0, 4_000, (LINES, 2))
    start[:500] *= 300
    long = chance.exponential(25, LINES)
    long[::2_000] = 2_000
    turn = chance.choice([0.0, np.pi / 2, 0.3], LINES)
    return np.column_stack([start, start[:, 0] + long * np.cos(turn), start[:, 1] + long * np.sin(turn)])


@cache
def sheet() -> SheetLines:
    return SheetLines(LineGrid(lines()), (MM, 0, 0, 0, MM, 0, 0, 0, 1))


@pytest.mark.benchmark(group="a million lines: laid out to snap to")
def test_laying_out(benchmark: Benchmark) -> None:
    grid = benchmark.pedantic(LineGrid, args=(lines(),), rounds=3)
    assert len(grid) == LINES


@pytest.mark.benchmark(group="a million lines: one move of the pointer")
@pytest.mark.parametrize("mm_per_px", [1.0, 10.0, 40.0, 400.0], ids=["near", "usual", "whole sheet", "from afar"])
def test_one_move(benchmark: Benchmark, mm_per_px: float) -> None:
    spots = iter(np.random.default_rng(9).uniform(0, 40_000, (200_000, 2)).tolist())
    laid, snapper, drawn = sheet(), Snapper(), [(5_000, 5_000), (9_000, 5_000)]
    found = 0

    def move() -> None:
        nonlocal found
        x, y = next(spots)
        found += snapper.snap(x, y, drawn, tolerance_mm=10 * mm_per_px, sheet=laid).on is not None

    benchmark.pedantic(move, rounds=400, warmup_rounds=5)
    assert found


@pytest.mark.benchmark(group="walls of 20 000 lines")
def test_walls(benchmark: Benchmark) -> None:
    rows = houses()
    assert len(rows) == 20_000
    found = benchmark.pedantic(find_walls, args=(rows,), rounds=2)
    assert len(found.walls) >= 625 * 5


def houses() -> NDArray[np.float64]:
    """Houses of two rooms in walls of 300 and 100, with slanting lines in each."""
    found: list[tuple[float, float, float, float]] = []
    for n in range(625):
        x, y = 9_000.0 * (n % 25), 7_000.0 * (n // 25)
        for a, b, c, d in ((0, 0, 6_300, 4_200), (300, 300, 3_100, 3_900), (3_200, 300, 6_000, 3_900)):
            box = (a, b, c, b), (c, b, c, d), (c, d, a, d), (a, d, a, b)
            found += [(x + p, y + q, x + r, y + s) for p, q, r, s in box]
        for k in range(20):
            across, down = x + 700.0 + 37 * k, y + 700.0
            found.append((across, down + 13 * k, across + 600.0, down + 29 * k))
    return np.array(found, float)
