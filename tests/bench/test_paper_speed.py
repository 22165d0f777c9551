"""How long a wall takes to be drawn, and a quotation to be set as PDF and as a sheet."""

from pytest_benchmark.fixture import BenchmarkFixture

from circuitmap.drawing.elevation import elevation, elevation_svg, faces_to_draw
from circuitmap.memo import Memo
from circuitmap.paper import quotation_pdf, quotation_xlsx
from tests.drawing.walls_seen import MARKED, kitchen, paths
from tests.extension.priced import demo
from tests.extension.routed import TRADE
from tests.paper.offered import offer


def test_a_wall_is_drawn(benchmark: BenchmarkFixture) -> None:
    home, memo = kitchen(), Memo()
    routes = paths(home)
    face = faces_to_draw(home, memo, TRADE, MARKED, routes)[0]
    made = benchmark(elevation, home, memo, TRADE, face, marked=MARKED, paths=routes)
    assert len(made.marked) == 3


def test_a_wall_is_written_as_svg(benchmark: BenchmarkFixture) -> None:
    home, memo = kitchen(), Memo()
    routes = paths(home)
    face = faces_to_draw(home, memo, TRADE, MARKED, routes)[0]
    made = elevation(home, memo, TRADE, face, marked=MARKED, paths=routes)
    assert benchmark(elevation_svg, made).startswith("<svg")


def test_a_quotation_is_set(benchmark: BenchmarkFixture) -> None:
    made = offer()
    assert benchmark(quotation_pdf, made, demo(), TRADE, Memo()).startswith(b"%PDF")


def test_a_quotation_is_written_as_a_sheet(benchmark: BenchmarkFixture) -> None:
    made = offer()
    assert benchmark(quotation_xlsx, made, demo(), TRADE, Memo()).startswith(b"PK")
