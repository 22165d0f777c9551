"""Charts and labels of the sample homes page by page; with ``--looks DIR`` saved as pictures, in colour and in grey."""

from pathlib import Path

import pypdfium2 as pdfium
import pytest

from circuitmap.home import Home
from circuitmap.home.looked import look_at
from circuitmap.paper import chart, labels
from circuitmap.places import sample_homes
from tests.paper.charted import crowd, wanted
from tests.paper.test_chart import surveyed

HOMES = ("older-terrace", "rented-flat", "bungalow-tt", "legs on two ways", "sixty ways", "150 points")
_SCALE = 1.6


def home_of(name: str) -> Home:
    if name == "legs on two ways":
        return surveyed(ring=True).home
    if name == "sixty ways":
        return crowd(90, 60)
    if name == "150 points":
        return crowd(150, 20)
    with look_at(sample_homes() / name) as looked:
        return looked.home


@pytest.mark.parametrize("what", ["chart", "chart in large print", "labels"])
@pytest.mark.parametrize("name", HOMES)
def test_pages(request: pytest.FixtureRequest, name: str, what: str) -> None:
    maker = labels.made if what == "labels" else chart.made
    (made,) = maker(wanted(home_of(name), large_print="large" in what))
    folder: Path | None = request.config.getoption("--looks")
    document = pdfium.PdfDocument(made.data)
    try:
        for number, page in enumerate(document, 1):
            picture = page.render(scale=_SCALE).to_pil()
            grey = picture.convert("L")
            # Nothing in the margins: no line and no letter is cut off by a printer (10 mm; common practice).
            edge = round(28 * _SCALE)
            wide, high = grey.size
            for strip in ((0, 0, edge, high), (wide - edge, 0, wide, high), (0, 0, wide, edge)):
                assert grey.crop(strip).getextrema() == (255, 255), number
            if folder is not None:
                folder.mkdir(parents=True, exist_ok=True)
                stem = f"{what} {name} {number}".replace(" ", "-")
                picture.save(folder / f"{stem}.png")
                grey.save(folder / f"{stem}-grey.png")
    finally:
        document.close()
