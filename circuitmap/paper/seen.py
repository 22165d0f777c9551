"""The files of a document made ready to be looked at: pages that can be drawn, tables, or a text.

Drawings that are no pages yet (SVG, DXF) are set on one; what is looked at is the file's own content, read back.
"""

import base64
import csv
import io
import json
import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final, Protocol

from circuitmap.paper.apart import Seen, Sheet
from circuitmap.paper.wanted import Made

if TYPE_CHECKING:
    from pypdfium2 import PdfDocument

MOST_ROWS: Final = 500
MOST_LETTERS: Final = 60_000
_PT_PER_PX: Final = 0.75
_ON_A_PAGE: Final = b'#set page(width: auto, height: auto, margin: 0pt)\n#image("drawing.svg")'
_SATURATED: Final = re.compile(rb'<filter id="([\w-]+)"><feColorMatrix type="saturate" values="([\d.]+)"/></filter>')
_FILTERED: Final = re.compile(
    rb'(<image [^>]*?)filter="url\(#([\w-]+)\)" ([^>]*?xlink:href=")data:image/(?:png|jpeg)(;base64,)([\w+/=\s]+)'
)
_PAIR: Final = re.compile(r"\[\s+(-?[\d.e+-]+),\s+(-?[\d.e+-]+)\s+\]")  # of coordinates: each on one line
_A_DRAWING_MM: Final = (400.0, 280.0)

Region = tuple[int, int, int, int]


class Pages(Protocol):
    """Pages that can be drawn."""

    def sizes_pt(self) -> list[tuple[float, float]]:
        """Give the size of each page in points."""

    def draw(self, page: int, px_per_pt: float, region_px: Region, *, in_grey: bool) -> bytes:
        """Give the pixels of a part of a page."""

    def close(self) -> None:
        """Let go of them."""


class PdfPages:
    """The pages of a PDF."""

    def __init__(self, data: bytes) -> None:
        import pypdfium2

        self._document: PdfDocument = pypdfium2.PdfDocument(data)

    def sizes_pt(self) -> list[tuple[float, float]]:
        """Give the size of each page in points."""
        return [tuple(self._document.get_page_size(n)) for n in range(len(self._document))]

    def draw(self, page: int, px_per_pt: float, region_px: Region, *, in_grey: bool) -> bytes:
        """Give the pixels of a part of a page on white: left, top, width and height in pixels of the whole."""
        import ctypes

        import pypdfium2
        from pypdfium2 import raw

        left, top, wide, high = region_px
        kind = raw.FPDFBitmap_Gray if in_grey else raw.FPDFBitmap_BGRx
        flags = raw.FPDF_ANNOT | (raw.FPDF_PRINTING | raw.FPDF_GRAYSCALE if in_grey else 0)
        opened = self._document[page]
        bitmap = pypdfium2.PdfBitmap.new_native(wide, high, kind)
        bitmap.fill_rect((255, 255, 255, 255), 0, 0, wide, high)
        matrix = raw.FS_MATRIX(px_per_pt, 0, 0, px_per_pt, -left, -top)
        clip = raw.FS_RECTF(0, 0, wide, high)
        raw.FPDF_RenderPageBitmapWithMatrix(bitmap, opened, ctypes.byref(matrix), ctypes.byref(clip), flags)
        each = wide if in_grey else 4 * wide
        pixels = _rows(bytes(bitmap.buffer), bitmap.stride, each, high)
        bitmap.close()
        opened.close()
        return pixels

    def close(self) -> None:
        """Let go of the document."""
        self._document.close()


class PicturePages:
    """A picture as its only page."""

    def __init__(self, data: bytes) -> None:
        from PIL import Image

        self._image: Image.Image = Image.open(io.BytesIO(data))
        self._image.load()

    def sizes_pt(self) -> list[tuple[float, float]]:
        """Give the size of the page: three quarters of a point for each pixel."""
        return [(self._image.width * _PT_PER_PX, self._image.height * _PT_PER_PX)]

    def draw(self, page: int, px_per_pt: float, region_px: Region, *, in_grey: bool) -> bytes:
        """Give the pixels of a part of the picture."""
        from PIL import Image

        del page
        left, top, wide, high = region_px
        over = px_per_pt * _PT_PER_PX
        box = (left / over, top / over, (left + wide) / over, (top + high) / over)
        inside = (
            max(0.0, box[0]), max(0.0, box[1]), min(self._image.width, box[2]), min(self._image.height, box[3])
        )  # fmt: skip
        part = self._image.convert("RGBA").resize((wide, high), Image.Resampling.BOX, box=inside)
        ground = Image.new("RGBA", part.size, "white")
        ground.alpha_composite(part)
        if in_grey:
            return ground.convert("L").tobytes()
        return ground.convert("RGB").tobytes("raw", "BGRX")

    def close(self) -> None:
        """Let go of the picture."""
        self._image.close()


def seen(made: Made, form: str) -> tuple[Seen, Pages | None]:
    """Give a file as it can be looked at, and its pages where it has any.

    A file that can't be shown is one that says so: it can be saved all the same.
    """
    pages: Pages | None = None
    found = Seen(made.part, len(made.data), made.remarks)
    if form == "pdf":
        pages = PdfPages(made.data)
    elif form == "png":
        pages = PicturePages(made.data)
    elif form == "svg":
        pages = PdfPages(_on_a_page(made.data))
    elif form == "dxf":
        pages = PdfPages(_dxf_on_a_page(made.data))
    elif form == "xlsx":
        found = _replaced(found, sheets=_workbook(made.data))
    elif form == "csv":
        found = _replaced(found, sheets=[_csv(made.data)])
    else:
        found = _replaced(found, text=_text(made.data, form))
    if pages is not None:
        found = _replaced(found, pages_pt=pages.sizes_pt())
    return found, pages


def _replaced(found: Seen, **changes: object) -> Seen:
    import msgspec

    return msgspec.structs.replace(found, **changes)


def _rows(data: bytes, stride: int, each: int, high: int) -> bytes:
    if stride == each:
        return data
    return b"".join(data[n * stride : n * stride + each] for n in range(high))


def _on_a_page(svg: bytes) -> bytes:
    import typst
    from font_source_sans_pro import font_directory

    files = {"main.typ": _ON_A_PAGE, "drawing.svg": _without_filters(svg)}
    made = typst.compile(
        files, format="pdf", font_paths=[font_directory], ignore_system_fonts=True, timestamp=0
    )  # fmt: skip
    assert isinstance(made, bytes)
    return made


def _without_filters(svg: bytes) -> bytes:
    """Give a drawing with its pictures' saturation taken down beforehand: a filter on a page takes ten seconds."""
    values = {name: float(value) for name, value in _SATURATED.findall(svg)}

    def taken_down(found: re.Match[bytes]) -> bytes:
        before, name, between, coded, data = found.groups()
        if name not in values:
            return found.group()
        return (
            before
            + between
            + b"data:image/png"
            + coded
            + base64.b64encode(_saturated(base64.b64decode(data), values[name]))
        )

    return _FILTERED.sub(taken_down, svg)


def _saturated(data: bytes, share: float) -> bytes:
    """Give a picture with its saturation taken down as ``feColorMatrix`` of type ``saturate`` does [SVG 1.1, 15.10]."""
    from PIL import Image

    weights = (0.213, 0.715, 0.072)
    matrix = [
        part
        for row in range(3)
        for part in (*(w + share * ((row == column) - w) for column, w in enumerate(weights)), 0.0)
    ]
    stream = io.BytesIO()
    with Image.open(io.BytesIO(data)) as image:
        image.convert("RGB").convert("RGB", tuple(matrix)).save(stream, "PNG", compress_level=1)
    return stream.getvalue()


def _dxf_on_a_page(data: bytes) -> bytes:
    from ezdxf.addons.drawing import layout, svg
    from ezdxf.addons.drawing.config import BackgroundPolicy, ColorPolicy, Configuration
    from ezdxf.addons.drawing.frontend import Frontend
    from ezdxf.addons.drawing.properties import RenderContext
    from ezdxf.filemanagement import read

    drawing = read(io.StringIO(data.decode("utf-8", "surrogateescape")))
    backend = svg.SVGBackend()
    config = Configuration(background_policy=BackgroundPolicy.WHITE, color_policy=ColorPolicy.COLOR)
    Frontend(RenderContext(drawing), backend, config=config).draw_layout(drawing.modelspace())
    page = layout.Page(*_A_DRAWING_MM, layout.Units.mm, margins=layout.Margins.all(8))
    return _on_a_page(backend.get_string(page).encode())


def _workbook(data: bytes) -> list[Sheet]:
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True)
    try:
        return [_sheet(each.title, each.iter_rows(values_only=True)) for each in book.worksheets]
    finally:
        book.close()


def _csv(data: bytes) -> Sheet:
    return _sheet("", csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def _sheet(name: str, rows: Iterable[Iterable[object]]) -> Sheet:
    shown: list[list[str]] = []
    count = 0
    for row in rows:
        count += 1
        if count <= MOST_ROWS:
            shown.append(["" if cell is None else str(cell) for cell in row])
    return Sheet(name, shown, count)


def _text(data: bytes, form: str) -> str:
    text = data.decode("utf-8", "replace")
    if form == "geojson" and len(text) <= MOST_LETTERS * 4:
        text = _PAIR.sub(r"[\1, \2]", json.dumps(json.loads(text), ensure_ascii=False, indent=1))
    return text if len(text) <= MOST_LETTERS else f"{text[:MOST_LETTERS]}\n…"
