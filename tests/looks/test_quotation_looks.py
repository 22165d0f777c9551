"""A quotation page by page; with ``--looks DIR`` saved as pictures."""

from pathlib import Path

import pypdfium2 as pdfium
import pytest

from circuitmap.memo import Memo
from circuitmap.paper import quotation_pdf
from tests.extension.priced import demo
from tests.extension.routed import TRADE
from tests.paper.offered import offer


def test_pages(request: pytest.FixtureRequest) -> None:
    document = pdfium.PdfDocument(quotation_pdf(offer(), demo(), TRADE, Memo()))
    folder: Path | None = request.config.getoption("--looks")
    try:
        for number, page in enumerate(document, 1):
            assert (round(page.get_width()), round(page.get_height())) == (595, 842)  # A4 in points (ISO 216)
            image = page.render(scale=1.6).to_pil().convert("L")
            # Nothing in the margins: no line and no letter is cut off by a printer (10 mm; common practice).
            edge = round(28 * 1.6)
            wide, high = image.size
            for strip in ((0, 0, edge, high), (wide - edge, 0, wide, high), (0, 0, wide, edge)):
                assert image.crop(strip).getextrema() == (255, 255), number
            if folder is not None:
                folder.mkdir(parents=True, exist_ok=True)
                image.save(folder / f"quotation-{number}-grey.png")
                page.render(scale=1.6).to_pil().save(folder / f"quotation-{number}.png")
    finally:
        document.close()
