"""How long a shelf of 500 homes takes: the first time, when every home is read, and with the index; the aim is 2 s.

The homes are the three samples, each under other names: 45 to 69 points with switch-offs, readings and findings.
"""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from circuitmap.circuits.feeding import what_feeds
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import open_home, write_folder
from circuitmap.home.records import Sheet
from circuitmap.home.sharing import left_out
from circuitmap.home.verbs_common import remove
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.shelf.index import Index, version_now
from circuitmap.shelf.listing import listed
from circuitmap.trade import load
from tests.cli.shell import environment

Benchmark = Any  # pytest-benchmark ships no types
HOMES = 500
SAMPLES = ("older-terrace", "rented-flat", "bungalow-tt")


def _sample(name: str) -> Home:
    home = left_out(open_home(sample_homes() / name), ("photos",))
    return home.apply(remove(home, *(sheet.id for sheet in home.sorted(Sheet))))


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shelf")
    samples = [_sample(name) for name in SAMPLES]
    for n in range(HOMES):
        home = samples[n % 3]
        home = home.apply(verbs.edit(home, "home", name=f"Home {n}", address=f"{n} Invented Street, Eddlebridge"))
        if n % 10 == 9:
            write_folder(folder / f"home {n}", home)
        else:
            Document.create(folder / f"home {n}.cmap", home).close()
    return folder


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One cache folder, so that the 500 homes are read once."""
    return tmp_path_factory.mktemp("cache")


@pytest.mark.benchmark(group="a shelf of 500 homes")
def test_the_first_listing(benchmark: Benchmark, shelf: Path, cache: Path) -> None:
    def first() -> int:
        with Index(cache / "circuitmap", version_now()) as index:
            return sum(not entry.problem for entry in listed(shelf, load(), index))

    assert benchmark.pedantic(first, rounds=1) == HOMES


@pytest.mark.benchmark(group="a shelf of 500 homes")
@pytest.mark.parametrize("find", ["", "lounge socket"])
def test_the_command_with_its_index(benchmark: Benchmark, shelf: Path, cache: Path, find: str) -> None:
    surroundings = {**environment(), "XDG_CACHE_HOME": str(cache)}

    def command() -> subprocess.CompletedProcess[bytes]:
        arguments = ["shelf", str(shelf), "--json", *(["--find", find] if find else [])]
        return subprocess.run(
            [sys.executable, "-m", "circuitmap.cli.main", *arguments],
            capture_output=True, check=False, env=surroundings,
        )  # fmt: skip

    command()
    done = benchmark.pedantic(command, rounds=5)
    assert done.returncode == 0
    assert done.stdout.count(b"\n") == (HOMES if not find else 333)


@pytest.mark.benchmark(group="what feeds this")
@pytest.mark.parametrize("words", ["kitchen light", "P12", "socket"])
def test_what_feeds(benchmark: Benchmark, words: str) -> None:
    home, trade = open_home(sample_homes() / "older-terrace"), load()
    answer = benchmark.pedantic(lambda: what_feeds(home, trade, Memo(), words), rounds=5)
    assert answer.feeds
