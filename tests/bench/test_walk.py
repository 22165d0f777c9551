"""How long a walk takes to work out: its order, its lines, and the order of what is left of it."""

import random
from typing import Any

import pytest

from circuitmap.home import Home
from circuitmap.home.records import Board, Opening, Place, Point, Room, Storey, Wall
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.walk import walk_length_mm, walk_order, walk_path
from tests.bench.blocks import block

Benchmark = Any  # pytest-benchmark ships no types


def with_doors(home: Home) -> Home:
    """A block with a door from every room into the one to its right and into the one below it."""
    walls: list[Wall] = []
    for room in home.sorted(Room):
        assert room.storey is not None
        (left, top), (right, low) = room.outline_mm[0], room.outline_mm[2]
        for a, b in (((left, low + 100), (right, low + 100)), ((right + 100, top), (right + 100, low))):
            door = Opening(kind="door", along_mm=500, width_mm=800)
            walls.append(
                Wall(id=f"W{len(walls) + 1}", storey=room.storey, a_mm=a, b_mm=b, thickness_mm=200, openings=(door,))
            )
    return Home.of([*home.all(), *walls])


def one_hall(count: int) -> Home:
    """So many points strewn over one storey without rooms."""
    chance = random.Random(1)
    spots = [(chance.randrange(60_000), chance.randrange(60_000)) for _ in range(count)]
    board = Board(id="B1", letter_on_map="A", place=Place(storey="G1", x_mm=0, y_mm=0))
    points = [
        Point(id=f"P{n}", kind="socket", place=Place(storey="G1", x_mm=x, y_mm=y)) for n, (x, y) in enumerate(spots, 1)
    ]
    return Home.of([Storey(id="G1", name="Hall"), board, *points])


HOMES = {
    "500 points": lambda: block(25, 20),
    "500 points, doors": lambda: with_doors(block(25, 20)),
    "500 points, one hall": lambda: one_hall(500),
    "5000 points": lambda: block(250, 20),
    "5000 points, doors": lambda: with_doors(block(250, 20)),
    "5000 points, doors, one storey": lambda: with_doors(block(250, 20, 250)),
    "5000 points, one hall": lambda: one_hall(5000),
}


@pytest.fixture(scope="module", params=list(HOMES))
def home(request: pytest.FixtureRequest) -> Home:
    return HOMES[request.param]()


def fresh(home: Home) -> tuple[tuple[Home, Memo], dict[str, Any]]:
    """A memo that knows the rooms, as a desk has one, but no walk."""
    memo = Memo()
    rooms_of_points(home, memo)
    return (home, memo), {}


@pytest.mark.benchmark(group="walk: order, first time")
def test_order(benchmark: Benchmark, home: Home) -> None:
    order = benchmark.pedantic(lambda h, m: walk_order(h, None, m), setup=lambda: fresh(home), rounds=3)
    assert len(order) == len(home.table(Point))


@pytest.mark.benchmark(group="walk: order of half of it, floors known")
def test_half(benchmark: Benchmark, home: Home) -> None:
    memo = Memo()
    whole = walk_order(home, None, memo)
    half = whole[::2]

    def again() -> tuple[tuple[Memo], dict[str, Any]]:
        return (memo.fork(),), {}

    order = benchmark.pedantic(lambda m: walk_order(home, half, m), setup=again, rounds=3)
    assert len(order) == len(half)


@pytest.mark.benchmark(group="walk: length and lines")
def test_lines(benchmark: Benchmark, home: Home) -> None:
    memo = Memo()
    order = walk_order(home, None, memo)
    length_mm, lines = benchmark.pedantic(
        lambda: (walk_length_mm(home, order, memo), walk_path(home, order, memo)), rounds=3
    )
    assert length_mm > 0
    assert lines
