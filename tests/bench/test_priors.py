"""How long it takes to say what is believed before anybody looked; the issue's proposal at 500 points begins here."""

import random
from typing import Any

import pytest

from circuitmap.home import Home
from circuitmap.home.records import Board, Device, End, Place, Point, Record, Room, Run, Storey, Tag
from circuitmap.memo import Memo
from circuitmap.survey.priors import priors
from circuitmap.trade import load
from circuitmap.words import EVIDENCE, Evidence, PointKind

Benchmark = Any  # pytest-benchmark ships no types


def large(points: int, ways: int, rooms: int) -> Home:
    """A home of many points, some wired and some tagged, on storeys with drawn rooms."""
    pick = random.Random(1)
    labels = ("Kit skts", "Lts d/s", "Up lights", "Ring 2", "Immersion", "Cooker", "Shwr", "Spare", "Lounge & hall")
    kinds: tuple[PointKind, ...] = ("socket", "light", "downlight", "fused unit", "switch", "smoke alarm", "boiler")
    records: list[Record] = [Storey(id=f"G{n + 1}", name=f"Storey {n}", level=n) for n in range(3)]
    for n in range(rooms):
        x = n // 3 * 4000
        box = ((x, 0), (x + 3900, 0), (x + 3900, 3900), (x, 3900))
        name = pick.choice(("Kitchen", "Bedroom", "Lounge", "Hall")) + f" {n}"
        records.append(Room(id=f"M{n + 1}", name=name, storey=f"G{n % 3 + 1}", outline_mm=box))
    records += [Board(id="B1", letter_on_map="A"), Device(id="D1", board="B1", kind="RCD")]
    for n in range(ways):
        rating, label = pick.choice((6, 16, 20, 32, 40)), pick.choice(labels)
        over = "D1" if n % 2 else None
        records.append(Device(id=f"D{n + 2}", board="B1", kind="MCB", rating_a=rating, label=label, upstream=over))
    for n in range(points):
        room = pick.randrange(rooms)
        place = Place(
            storey=f"G{room % 3 + 1}", x_mm=room // 3 * 4000 + pick.randrange(3900), y_mm=pick.randrange(3900)
        )
        records.append(Point(id=f"P{n + 1}", kind=pick.choice(kinds), place=place))
    for n in range(points // 2):
        start = f"P{n}" if n % 10 else f"D{2 + pick.randrange(ways)}"
        evidence: Evidence = pick.choice(EVIDENCE)
        records.append(Run(id=f"R{n + 1}", a=End(at=start), b=End(at=f"P{n + 1}"), evidence=evidence))
    for n in range(points // 20):
        records.append(Tag(id=f"K{n + 1}", target=f"P{points - n}", device=f"D{2 + pick.randrange(ways)}"))
    return Home.of(records)


@pytest.mark.benchmark(group="priors: first time")
@pytest.mark.parametrize(("points", "ways", "rooms"), [(500, 30, 15), (5000, 250, 100)])
def test_priors(benchmark: Benchmark, points: int, ways: int, rooms: int) -> None:
    home, trade = large(points, ways, rooms), load()
    found = benchmark.pedantic(lambda memo: priors(home, memo, trade), setup=lambda: ((Memo(),), {}), rounds=5)
    assert len(found) == points
