"""How long it takes to lay out where cables may run in a home of 150 points, and to find a route: 50 ms are wanted."""

import random
from typing import Any

import pytest

from circuitmap.extension.ends import Placed, place_ends
from circuitmap.extension.pathing import route, routes_between, worths
from circuitmap.extension.space import Space, Spot3, space_of, spot_of
from circuitmap.extension.stray import strays
from circuitmap.home import Home
from circuitmap.home.records import Place, Point, Record, Room, Storey
from circuitmap.memo import Memo
from circuitmap.plan.walls_keep import lay_walls
from circuitmap.words import PointKind
from tests.extension.routed import TRADE, costs

Benchmark = Any  # pytest-benchmark ships no types

_WIDE, _DEEP, _WALL = 4000, 3500, 100


def house(points: int) -> Home:
    """A house of two storeys with six rooms each, its walls laid from the rooms, its accessories along the walls."""
    pick = random.Random(1)
    records: list[Record] = []
    rooms: list[tuple[str, int, int]] = []
    for n in range(2):
        storey = f"G{n + 1}"
        records.append(Storey(id=storey, name=f"Storey {n}", level=n, height_mm=2400))
        for k in range(6):
            x, y = k % 3 * (_WIDE + _WALL), k // 3 * (_DEEP + _WALL)
            rooms.append((storey, x, y))
            outline = ((x, y), (x + _WIDE, y), (x + _WIDE, y + _DEEP), (x, y + _DEEP))
            records.append(Room(id=f"M{len(rooms)}", name=f"Room {len(rooms)}", storey=storey, outline_mm=outline))
    kinds: tuple[PointKind, ...] = ("socket", "socket", "socket", "switch", "fused unit")
    for n in range(points):
        storey, x, y = rooms[n % len(rooms)]
        u = pick.randrange(200, _DEEP - 200)
        spots = ((x + u, y, 90.0), (x + _WIDE, y + u, 180.0), (x + u, y + _DEEP, 270.0), (x, y + u, 0.0))
        px, py, faces = pick.choice(spots)
        kind = pick.choice(kinds)
        height = 1200 if kind == "switch" else pick.choice((450, 1100))
        place = Place(storey=storey, x_mm=px, y_mm=py, height_mm=height, faces_deg=faces)
        records.append(Point(id=f"P{n + 1}", kind=kind, place=place, gangs=2 if kind == "socket" else 1))
    home = Home.of(records)
    for n in range(2):
        home = home.apply(lay_walls(home, f"G{n + 1}", TRADE))
    return home


@pytest.fixture(scope="module")
def home() -> Home:
    return house(150)


@pytest.fixture(scope="module")
def space(home: Home) -> Space:
    return space_of(home, Memo(), TRADE, costs())


@pytest.fixture(scope="module")
def ends(home: Home) -> tuple[Spot3, Spot3]:
    return spot_of(home, TRADE, home.take(Point, "P1")), spot_of(home, TRADE, home.take(Point, "P144"))


@pytest.mark.benchmark(group="routes: laid out, 150 points")
def test_space(benchmark: Benchmark, home: Home) -> None:
    found = benchmark.pedantic(lambda: space_of(home, Memo(), TRADE, costs()), rounds=5)
    assert len(found.net.edges) > 2000


@pytest.mark.benchmark(group="routes: one, between accessories that are there")
def test_known(benchmark: Benchmark, space: Space, ends: tuple[Spot3, Spot3]) -> None:
    assert benchmark.pedantic(lambda: route(space, *ends, alternatives=1), rounds=15, warmup_rounds=1)


@pytest.mark.benchmark(group="routes: three, between accessories that are there")
def test_alternatives(benchmark: Benchmark, space: Space, ends: tuple[Spot3, Spot3]) -> None:
    assert benchmark.pedantic(lambda: route(space, *ends), rounds=15, warmup_rounds=1)


@pytest.mark.benchmark(group="routes: three, to an accessory that is yet to come")
def test_new(benchmark: Benchmark, space: Space, ends: tuple[Spot3, Spot3]) -> None:
    wish = Spot3("G2", 1000.0, 0.0, 450.0, 90.0, 146.0)
    assert benchmark.pedantic(lambda: route(space, ends[0], wish), rounds=15, warmup_rounds=1)


@pytest.mark.benchmark(group="routes: what lies between 40 ends")
def test_worths(benchmark: Benchmark, home: Home, space: Space) -> None:
    spots = [spot_of(home, TRADE, point) for point in home.sorted(Point)[:34]]
    spots += [Spot3("G2", 1000.0 + 300 * n, 0.0, 450.0, 90.0, 146.0) for n in range(6)]

    def found() -> Placed:
        placed = place_ends(space, spots)
        assert worths(placed).shape == (40, 40)
        return placed

    placed = benchmark.pedantic(found, rounds=5, warmup_rounds=1)
    assert routes_between(placed, 0, 39)


@pytest.mark.benchmark(group="routes: a cable of a route held to the zones")
def test_strays(benchmark: Benchmark, home: Home, space: Space, ends: tuple[Spot3, Spot3]) -> None:
    path = [point[:4] for point in route(space, *ends)[0].path]
    memo = Memo()
    assert benchmark.pedantic(lambda: strays(home, memo, TRADE, path), rounds=15, warmup_rounds=1) == ()
