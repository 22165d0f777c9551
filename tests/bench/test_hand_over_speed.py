"""What handing over costs the window's own thread, and how soon a preview is there.

The quickest of some runs counts: what else a shared machine does only adds.
"""

import datetime
from pathlib import Path

import msgspec
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from circuitmap.home import Home, log, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.file import HomeFile
from circuitmap.home.packed import packed, unpacked
from circuitmap.home.records import Point, decode, encode
from circuitmap.paper.apart import Answer, Made, Make
from circuitmap.paper.catalogue import PAPERS
from circuitmap.places import sample_homes
from tests.bench.blocks import block
from tests.paper.test_apart import Press, wish


@pytest.fixture(scope="module")
def large() -> Home:
    """5 000 points in 10 000 records, as they come out of a file."""
    return Home.of([decode(each.kind_of, encode(each)) for each in block(100, 50).all()])


def test_packing_a_home_of_5000_points(benchmark: BenchmarkFixture, large: Home) -> None:
    data = benchmark(packed, large)
    assert len(unpacked(data).table(Point)) == len(large.table(Point)) == 5000


def test_a_home_of_5000_points_as_it_was(benchmark: BenchmarkFixture, large: Home, tmp_path: Path) -> None:
    """Read by the other process while the window holds the file: so long a change would have to wait for it at most."""
    path = tmp_path / "large.cmap"
    with Document.create(path, large) as document:
        seq = document.mark("as found").seq
        document.do(verbs.edit(document.home, "P1", name="Changed"))
        with HomeFile.glance(path) as file:
            bodies, counters = benchmark(log.bodies_then, file.connection, seq)
        assert log.home_of(bodies, seq, counters).take(Point, "P1") == large.take(Point, "P1")


@pytest.mark.parametrize("name", ["chart", "labels", "schedules", "record"])
def test_a_preview_of_the_terrace_anew(benchmark: BenchmarkFixture, name: str) -> None:
    """A document made again in a process that has made one already, as after a change."""
    press, paper = Press(), next(paper for paper in PAPERS if paper.name == name)

    def again() -> Answer:
        press.number += 1
        # Another day each time: the same wish would only be looked up.
        day = datetime.date(2026, 1, 1) + datetime.timedelta(press.number)
        press.send(Make(press.number, msgspec.structs.replace(wish(paper), day=day)))
        return press.wait()

    press.keep(read_folder(sample_homes() / "older-terrace").home)
    again()
    made = benchmark.pedantic(again, rounds=5)
    press.close()
    assert isinstance(made, Made)
