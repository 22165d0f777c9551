"""How long the survey's engine takes; run with ``--benchmark-only``. Each also runs once as a test, never timed.

Wanted with 30 devices and 500 points: the next switch-off in 200 ms, the update after one check in 5 ms. What counts
within a run is the update beside "all again".
"""

from functools import cache
from itertools import count
from typing import Any

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Round
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.method import METHODS, Method, MethodKind
from circuitmap.survey.planner import hunt, propose
from circuitmap.survey.rehearsal import Invented, invent
from circuitmap.survey.rehearsal.rehearse import Practice, rehearse
from circuitmap.survey.settle import settle
from circuitmap.trade import load

Benchmark = Any  # pytest-benchmark ships no types

TRADE = load()
SIZES = {"10 devices, 60 points": (10, 60), "30 devices, 500 points": (30, 500)}
sizes = pytest.mark.parametrize("size", list(SIZES))


@cache
def invented(size: str) -> Invented:
    ways, points = SIZES[size]
    return invent(1, ways=ways, points=points)


@cache
def under_way(size: str) -> Home:
    """A home in the middle of its survey: the look and two switch-offs are done."""
    made = invented(size)
    seen: list[Practice] = []
    rehearse(made.home, TRADE, made.truth, Method(), most_rounds=2, each_round=lambda p, _: seen.append(p))
    return seen[-1].home


@pytest.mark.benchmark(group="after one check: what is settled")
@sizes
def test_after_one_check(benchmark: Benchmark, size: str) -> None:
    home, memo = under_way(size), Memo()
    settle(home, memo, TRADE)
    last = home.sorted(Round)[-1].id
    points = sorted(invented(size).truth)
    turn = count()
    state = [home]

    def another() -> tuple[tuple[Home], dict[str, object]]:
        n = next(turn)
        at = f"2026-01-06T09:{n // 60 % 60:02}:{n % 60:02}Z"
        state[0] = state[0].apply(verbs.record_check(state[0], last, points[n % len(points)], "still on", at=at))
        return (state[0],), {}

    found = benchmark.pedantic(lambda changed: settle(changed, memo, TRADE), setup=another, rounds=50)
    assert found == settle(state[0], Memo(), TRADE)


@pytest.mark.benchmark(group="after one check: what is settled")
@sizes
def test_all_again(benchmark: Benchmark, size: str) -> None:
    home = under_way(size)
    found = benchmark.pedantic(lambda: settle(home, Memo(), TRADE), rounds=5)
    assert set(found) >= set(invented(size).truth)


@pytest.mark.benchmark(group="the next switch-off")
@sizes
@pytest.mark.parametrize("kind", METHODS)
def test_next_switch_off(benchmark: Benchmark, size: str, kind: MethodKind) -> None:
    home, memo = under_way(size), Memo()
    settle(home, memo, TRADE)
    proposal = benchmark.pedantic(lambda: propose(home, memo, TRADE, Method(kind)), rounds=5)
    assert proposal.off
    assert proposal.points


@pytest.mark.benchmark(group="the next step of a hunt")
@sizes
def test_hunt_step(benchmark: Benchmark, size: str) -> None:
    home, memo = under_way(size), Memo()
    settle(home, memo, TRADE)
    point = next(iter(invented(size).truth))
    step = benchmark.pedantic(lambda: hunt(home, memo, TRADE, point), rounds=5)
    assert step.says


@pytest.mark.benchmark(group="a whole survey practised")
@pytest.mark.parametrize("kind", METHODS)
def test_whole_survey(benchmark: Benchmark, kind: MethodKind) -> None:
    made = invented("10 devices, 60 points")
    tally = benchmark.pedantic(lambda: rehearse(made.home, TRADE, made.truth, Method(kind)), rounds=1)
    assert tally.right == tally.points
