"""How long a shelf of 500 homes takes: the first time, when every home is read, and with the index; the aim is 2 s.

The homes are copies of the three samples, files and some text forms: 45 to 69 points with switch-offs and readings.
Where nothing is measured there are 50 of them.
"""

import shutil
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
from tests.bench.blocks import block
from tests.cli.shell import environment

Benchmark = Any  # pytest-benchmark ships no types
SAMPLES = ("older-terrace", "rented-flat", "bungalow-tt")


def _sample(name: str) -> Home:
    home = left_out(open_home(sample_homes() / name), ("photos",))
    return home.apply(remove(home, *(sheet.id for sheet in home.sorted(Sheet))))


@pytest.fixture(scope="module")
def count(request: pytest.FixtureRequest) -> int:
    """How many homes there are."""
    return 50 if request.config.getoption("benchmark_disable") else 500


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory, count: int) -> Path:
    folder = tmp_path_factory.mktemp("shelf")
    made = []
    for n, name in enumerate(SAMPLES):
        home = _sample(name).apply(verbs.edit(_sample(name), "home", name=f"Home {n}"))
        file, form = folder / f"home {n}.cmap", folder / f"form {n}"
        Document.create(file, home).close()
        write_folder(form, home)
        made.append((file, form))
    for n in range(2 * len(SAMPLES), count):  # the same bytes in another place are another home to the index
        file, form = made[n % len(SAMPLES)]
        if n % 10 == 9:
            shutil.copytree(form, folder / f"form {n}")
        else:
            shutil.copyfile(file, folder / f"home {n}.cmap")
    return folder


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One cache folder, so that the homes are read once."""
    return tmp_path_factory.mktemp("cache")


@pytest.mark.benchmark(group="a shelf of 500 homes")
def test_the_first_listing(benchmark: Benchmark, shelf: Path, cache: Path, count: int) -> None:
    def first() -> int:
        with Index(cache / "circuitmap", version_now()) as index:
            return sum(not entry.problem for entry in listed(shelf, load(), index))

    assert benchmark.pedantic(first, rounds=1) == count


@pytest.mark.benchmark(group="a shelf of 500 homes")
@pytest.mark.parametrize("find", ["", "lounge socket"])
def test_the_command_with_its_index(benchmark: Benchmark, shelf: Path, cache: Path, count: int, find: str) -> None:
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
    with_lounge = {50: 33, 500: 333}[count]  # terraces and bungalows; a flat has none
    assert done.stdout.count(b"\n") == (count if not find else with_lounge)


@pytest.mark.benchmark(group="what feeds this")
@pytest.mark.parametrize("words", ["kitchen light", "P12", "socket"])
def test_what_feeds(benchmark: Benchmark, words: str) -> None:
    home, trade = open_home(sample_homes() / "older-terrace"), load()
    answer = benchmark.pedantic(lambda: what_feeds(home, trade, Memo(), words), rounds=5)
    assert answer.feeds


@pytest.mark.benchmark(group="what feeds this")
@pytest.mark.parametrize("words", ["P4321", "room 3 socket"])
def test_what_feeds_in_a_block_of_5000_points(benchmark: Benchmark, words: str) -> None:
    """As it is asked on the desk: what hangs where is known already."""
    home, trade, memo = block(250, 20), load(), Memo()
    assert what_feeds(home, trade, memo, "P1").feeds
    answer = benchmark.pedantic(lambda: what_feeds(home, trade, memo, words), rounds=5)
    assert answer.feeds
