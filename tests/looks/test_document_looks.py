"""Every document of every sample home, page by page; with ``--looks DIR`` saved as pictures for a person to look at.

Pages are rendered by pypdfium2, drawings by the typesetter and, for DXF, by ezdxf's own drawing add-on.
"""

import datetime
import io
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pypdfium2 as pdfium
import pytest
import typst
from ezdxf.addons.drawing import Frontend, RenderContext
from ezdxf.addons.drawing.config import BackgroundPolicy, Configuration
from ezdxf.addons.drawing.layout import Margins, Units
from ezdxf.addons.drawing.layout import Page as DrawnPage
from ezdxf.addons.drawing.svg import SVGBackend
from PIL import Image

from circuitmap.home.looked import look_at
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import PAPERS, CantMakeError, Paper, make
from circuitmap.paper.raster import png_of
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.places import sample_homes
from circuitmap.trade import load
from tests.paper.handed import SAMPLES

DAY = datetime.date(2026, 1, 5)
_SCALE = 1.3
_SEEN = {"pdf", "svg", "png", "dxf"}


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("paper", PAPERS, ids=[paper.name for paper in PAPERS])
def test_document(request: pytest.FixtureRequest, paper: Paper, name: str) -> None:
    folder: Path | None = request.config.getoption("--looks")
    refused: list[str] = []
    with look_at(sample_homes() / name) as looked:
        wanted = Wanted(home=looked.home, trade=load(), memo=Memo(), day=DAY, asset=looked.asset)
        for form in paper.forms:
            if form not in _SEEN:
                continue
            try:
                files = make(paper, wanted_as(wanted, form))
            except CantMakeError as error:
                refused.append(str(error))
                continue
            for number, (part, image) in enumerate(pictures(files, form), 1):
                grey = image.convert("L")
                low, high = grey.getextrema()
                assert isinstance(low, int)
                assert isinstance(high, int)
                assert high - low > 100, "an empty page"
                if folder is not None:
                    folder.mkdir(parents=True, exist_ok=True)
                    image.save(folder / f"{name}-{paper.name}{part}-{form}-{number}.png")
    assert all(sentence.endswith(".") and "\n" not in sentence for sentence in refused)


def wanted_as(wanted: Wanted, form: str) -> Wanted:
    import msgspec

    return msgspec.structs.replace(wanted, form=form, scale=60.0 if form == "png" else 0.0)


def pictures(files: tuple[Made, ...], form: str) -> Iterator[tuple[str, Image.Image]]:
    for made in files:
        part = f"-{made.part}" if made.part else ""
        for image in {"pdf": pages, "svg": drawing, "png": picture, "dxf": cad}[form](made.data):
            yield part, image


def pages(data: bytes) -> Iterator[Image.Image]:
    document = pdfium.PdfDocument(data)
    try:
        for page in document:
            yield page.render(scale=_SCALE).to_pil()
    finally:
        document.close()


def drawing(data: bytes) -> Iterator[Image.Image]:
    yield from picture(png_of(data.decode(), 0.6))


def picture(data: bytes) -> Iterator[Image.Image]:
    yield Image.open(io.BytesIO(data))


def cad(data: bytes) -> Iterator[Image.Image]:
    drawn = ezdxf.read(io.StringIO(data.decode()))
    backend = SVGBackend()
    Frontend(RenderContext(drawn), backend, config=Configuration(background_policy=BackgroundPolicy.WHITE)).draw_layout(
        drawn.modelspace()
    )
    svg = backend.get_string(DrawnPage(420, 297, Units.mm, margins=Margins.all(5)))
    page = b'#set page(width: 420mm, height: 297mm, margin: 0mm)\n#image("d.svg", width: 100%)'
    made = typst.compile({"main.typ": page, "d.svg": svg.encode()}, format="png", ppi=100)
    assert isinstance(made, bytes)
    yield from picture(made)
