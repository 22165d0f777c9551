"""How long all options for six wishes take on a home of 150 points: two seconds are wanted."""

from itertools import pairwise
from typing import Any

import pytest

from circuitmap.extension import pricebook
from circuitmap.extension.kinds import Asking
from circuitmap.extension.options import options
from circuitmap.extension.wishes import place_on
from circuitmap.home import Home
from circuitmap.home.change import Change
from circuitmap.home.records import (
    Board,
    Device,
    End,
    Extension,
    Place,
    Point,
    Rcd,
    Record,
    Run,
    Supply,
    Wish,
)
from circuitmap.memo import Memo
from circuitmap.plan.elevation import faces_on
from tests.bench.test_routes import house
from tests.extension.routed import TRADE

Benchmark = Any  # pytest-benchmark ships no types

_RINGS = 6


def wired() -> Home:
    """The house of the routes with a board and its sockets and fused units on six rings, its switches on none."""
    home = house(150)
    on = [p for p in home.sorted(Point) if p.kind != "switch"]
    records: list[Record] = [
        Supply(id="E1", phases=1, earthing="TN-C-S", fuse_a=100.0, earthing_mm2=16.0, ze_ohm=0.2),
        Board(
            id="B1", letter_on_map="A", modules=16,
            place=Place(storey="G1", x_mm=600, y_mm=0, height_mm=1900, faces_deg=90.0),
        ),
    ]  # fmt: skip
    runs = 0
    for ring in range(_RINGS):
        device = f"D{ring + 1}"
        records.append(
            Device(id=device, board="B1", way=str(ring + 1), module=ring, kind="RCBO", rating_a=32.0, curve="B",
                   rcd=Rcd(trips_ma=30.0, type="A"), cables_seen=2)
        )  # fmt: skip
        mine = [End(at=p.id) for p in on if ring == int(p.id[1:]) % _RINGS]
        for a, b in pairwise([End(at=device, leg=1), *mine, End(at=device, leg=2)]):
            runs += 1
            records.append(
                Run(id=f"R{runs}", a=a, b=b, cable="T&E 2.5/1.5", method="C", length_mm=3000, length_from="measured",
                    evidence="seen")
            )  # fmt: skip
    return home.apply(Change("wired", tuple((None, record) for record in records)))


def wanted(home: Home) -> tuple[Wish, ...]:
    """Six twin sockets on the walls of two rooms."""
    faces = [face for face in faces_on(home, Memo(), TRADE, "G1") if face.room in ("M2", "M5")]
    return tuple(
        Wish(act="add", kind="socket", gangs=2, place=place_on(faces[n % len(faces)], 1300 + 250 * n, 700))
        for n in range(6)
    )


@pytest.fixture(scope="module")
def home() -> Home:
    return wired()


@pytest.fixture(scope="module")
def extension(home: Home) -> Extension:
    return Extension(id="X1", name="Six", wishes=wanted(home))


@pytest.mark.benchmark(group="options: six wishes, 150 points")
def test_first(benchmark: Benchmark, home: Home, extension: Extension) -> None:
    book = pricebook.load()

    def asked() -> Asking:
        return options(home, extension, TRADE, book, Memo())

    found = benchmark.pedantic(asked, rounds=3, warmup_rounds=1)
    assert len(found.options) > 6
    assert not found.refused


@pytest.mark.benchmark(group="options: six wishes, 150 points, asked again")
def test_again(benchmark: Benchmark, home: Home, extension: Extension) -> None:
    book, memo = pricebook.load(), Memo()
    found = benchmark.pedantic(
        lambda: options(home, extension, TRADE, book, memo), rounds=3, warmup_rounds=1
    )  # fmt: skip
    assert len(found.options) > 6
