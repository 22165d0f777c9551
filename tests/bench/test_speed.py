"""How long things take. Run with ``--benchmark-only``; never timed in the suite, where each runs once as a test.

Ratios within one run are what counts: the incremental path beside "all again", our shapes beside plain networkx.
"""

from collections.abc import Callable
from itertools import count
from pathlib import Path
from typing import Any

import networkx as nx
import pytest

from circuitmap import trade
from circuitmap.circuits.views import views
from circuitmap.findings import run as run_rules
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Run
from circuitmap.memo import Memo
from circuitmap.wiring.graph import graph_of
from circuitmap.wiring.pieces import pieces
from circuitmap.wiring.shape import shape_of
from tests.bench.blocks import block

Benchmark = Any  # pytest-benchmark ships no types

SIZES = {"150 points": (10, 15), "5000 points": (250, 20), "5000 in long rings": (25, 200)}


@pytest.fixture(scope="module", params=list(SIZES))
def home(request: pytest.FixtureRequest) -> Home:
    return block(*SIZES[request.param])


@pytest.fixture(scope="module")
def book() -> trade.Trade:
    return trade.load()


def derive(home: Home, book: trade.Trade, memo: Memo) -> object:
    return views(home, book, memo), run_rules(home, book, memo)


def edits(home: Home) -> Callable[[], Home]:
    """The home after one more edit of a run in the middle, another each time."""
    middle = list(home.table(Run))[len(home.table(Run)) // 2]
    lengths = count(1000)
    state = [home]

    def edit() -> Home:
        state[0] = state[0].apply(verbs.edit(state[0], middle, length_mm=next(lengths)))
        return state[0]

    return edit


@pytest.mark.benchmark(group="after one edit: wiring and findings")
def test_after_one_edit(benchmark: Benchmark, home: Home, book: trade.Trade) -> None:
    memo = Memo()
    derive(home, book, memo)
    edit = edits(home)
    benchmark.pedantic(lambda changed: derive(changed, book, memo), setup=lambda: ((edit(),), {}), rounds=30)


@pytest.mark.benchmark(group="after one edit: wiring and findings")
def test_all_again(benchmark: Benchmark, home: Home, book: trade.Trade) -> None:
    benchmark.pedantic(lambda: derive(home, book, Memo()), rounds=3)


@pytest.mark.benchmark(group="the edit itself")
def test_apply(benchmark: Benchmark, home: Home) -> None:
    middle = list(home.table(Run))[len(home.table(Run)) // 2]
    change = verbs.edit(home, middle, length_mm=1234)
    benchmark(home.apply, change)


@pytest.mark.benchmark(group="shape of every piece")
def test_our_shapes(benchmark: Benchmark, home: Home) -> None:
    found = pieces(home)
    shapes = benchmark.pedantic(lambda: [shape_of(piece) for piece in found], rounds=5)
    assert len(shapes) == len(found)


@pytest.mark.benchmark(group="shape of every piece")
def test_plain_networkx(benchmark: Benchmark, home: Home) -> None:
    found = pieces(home)

    def plain() -> list[object]:
        answers: list[object] = []
        for piece in found:
            graph = graph_of(piece)
            simple = nx.Graph(graph)
            answers.append((list(nx.connected_components(graph)), list(nx.biconnected_components(simple)),
                            list(nx.bridges(simple)), nx.cycle_basis(simple)))  # fmt: skip
        return answers

    assert len(benchmark.pedantic(plain, rounds=5)) == len(found)


@pytest.mark.benchmark(group="file: one commit")
def test_commit(benchmark: Benchmark, home: Home, tmp_path: Path) -> None:
    document = Document.create(tmp_path / "home.cmap", home)
    middle = list(home.table(Run))[len(home.table(Run)) // 2]
    lengths = count(1000)
    benchmark.pedantic(
        document.do, setup=lambda: ((verbs.edit(document.home, middle, length_mm=next(lengths)),), {}), rounds=100
    )
    document.close()


@pytest.mark.benchmark(group="file: opening")
def test_open(benchmark: Benchmark, home: Home, tmp_path: Path) -> None:
    path = tmp_path / "home.cmap"
    Document.create(path, home).close()

    def reopen() -> None:
        Document.open(path).close()

    benchmark.pedantic(reopen, rounds=5)
