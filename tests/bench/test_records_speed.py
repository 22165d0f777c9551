"""How long survey records, job cards, comparing two states and photographs take; a block of 5 000 points among them."""

from io import BytesIO

import pytest
from PIL import Image
from pytest_benchmark.fixture import BenchmarkFixture

from circuitmap.findings.compared import compare
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Point
from circuitmap.paper import changes, job_card, record
from circuitmap.pictures import shrunk, take_photo
from circuitmap.places import sample_homes
from circuitmap.trade import load
from tests.bench.blocks import block
from tests.paper.handed import wanted


def large() -> Home:
    return block(250, 20)


@pytest.mark.benchmark(group="records")
def test_the_terraces_record(benchmark: BenchmarkFixture) -> None:
    form = read_folder(sample_homes() / "older-terrace")
    assert benchmark(lambda: record.made(wanted(form.home, asset=form.assets.get)))[0].data.startswith(b"%PDF")


@pytest.mark.benchmark(group="records")
def test_the_terraces_changes(benchmark: BenchmarkFixture) -> None:
    found, left = (mark.home for mark in read_folder(sample_homes() / "older-terrace").marks)
    assert benchmark(lambda: changes.made(wanted(left, earlier=found)))[0].data.startswith(b"%PDF")


@pytest.mark.benchmark(group="records")
def test_a_job_card(benchmark: BenchmarkFixture) -> None:
    home = read_folder(sample_homes() / "older-terrace").home
    assert benchmark(lambda: job_card.made(wanted(home, subject="P3")))[0].data.startswith(b"%PDF")


@pytest.mark.benchmark(group="records of 5000 points")
def test_the_record_of_a_block(benchmark: BenchmarkFixture) -> None:
    home = large()
    assert benchmark.pedantic(lambda: record.made(wanted(home)), rounds=3)[0].data.startswith(b"%PDF")


@pytest.mark.benchmark(group="records of 5000 points")
def test_comparing_a_block_with_one_that_lacks_a_tenth(benchmark: BenchmarkFixture) -> None:
    home, trade = large(), load()
    less = home.apply(verbs.remove(home, *[point.id for point in home.sorted(Point)[::10]]))
    compared = benchmark.pedantic(lambda: compare(less, home, trade), rounds=3)
    assert len(compared.of("point", "new")) == 500


@pytest.mark.benchmark(group="photographs")
@pytest.mark.parametrize("size_px", [(4000, 3000), (8000, 6000)], ids=["12 MP", "48 MP"])
def test_a_photograph_is_brought_in(benchmark: BenchmarkFixture, size_px: tuple[int, int]) -> None:
    stream = BytesIO()
    Image.effect_noise(size_px, 40).convert("RGB").save(stream, "JPEG", quality=90)
    assert benchmark.pedantic(lambda: take_photo(stream.getvalue()), rounds=3).width_px == 1600


@pytest.mark.benchmark(group="photographs")
def test_a_kept_photograph_is_shown_small(benchmark: BenchmarkFixture) -> None:
    stream = BytesIO()
    Image.effect_noise((1600, 1200), 40).convert("RGB").save(stream, "JPEG", quality=82)
    assert benchmark(lambda: shrunk(stream.getvalue(), 184)).width_px == 184
