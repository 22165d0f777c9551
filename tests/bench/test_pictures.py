"""How long plans take to come in; run with ``--benchmark-only``. Each also runs once as a test, never timed.

Wanted: an A3 PDF of 20 000 lines opens within 1 s, a picture of 9 600 × 6 784 px within 3 s.
"""

from collections.abc import Callable
from typing import Any

import pytest

from circuitmap.pictures import grey_levels, linework, look, render, vector
from tests.bench import sheets

Benchmark = Any  # pytest-benchmark ships no types

VECTORS: dict[str, Callable[[], bytes]] = {
    "PDF": sheets.vector_pdf,
    "SVG": sheets.vector_svg,
    "DXF": sheets.vector_dxf,
}
vectors = pytest.mark.parametrize("kind", list(VECTORS))


def forget() -> None:
    vector.forget()


@pytest.mark.benchmark(group="pictures: open 9600 × 6784 px")
@pytest.mark.parametrize("form", ["PNG", "JPEG"])
def test_open_a_large_picture(benchmark: Benchmark, form: str) -> None:
    data = sheets.large_picture(form)

    def opened() -> int:
        info = look(data)
        return len(grey_levels(info.data))

    assert benchmark.pedantic(opened, rounds=3) == 5


@pytest.mark.benchmark(group="pictures: open 20 000 lines")
@vectors
def test_open_a_drawing_of_lines(benchmark: Benchmark, kind: str) -> None:
    data = VECTORS[kind]()

    def opened() -> int:
        info = look(data)
        return len(grey_levels(info.data))

    assert benchmark.pedantic(opened, setup=forget, rounds=3) >= 3


@pytest.mark.benchmark(group="pictures: lines and words of 20 000 lines")
@vectors
def test_lines_of_a_drawing(benchmark: Benchmark, kind: str) -> None:
    info = look(VECTORS[kind]())
    assert len(benchmark.pedantic(lambda: linework(info).segments, setup=forget, rounds=3)) == sheets.LINES


@pytest.mark.benchmark(group="pictures: a tile of 512 px at 8 times")
@vectors
def test_a_tile(benchmark: Benchmark, kind: str) -> None:
    info = look(VECTORS[kind]())
    region = (info.width_px / 2, info.height_px / 2, 64.0, 64.0)
    render(info, 1, region, (512, 512))
    assert len(benchmark(render, info, 1, region, (512, 512))) == 4 * 512 * 512
