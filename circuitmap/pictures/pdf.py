"""PDF pages: opened with a sentence for what can't be, measured, and drawn region by region at any resolution."""

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.pictures.study import RefusedError, Study

if TYPE_CHECKING:
    from pypdfium2 import PdfDocument, PdfPage

Region = tuple[float, float, float, float]
"""Left, top, width and height, in sheet px."""
Size = tuple[int, int]

PX_PER_INCH: Final = 200.0
LEAST_LONG_PX: Final = 1_500
MOST_LONG_PX: Final = 6_000
_POINTS_PER_INCH: Final = 72.0
_MM_PER_INCH: Final = 25.4
_MOST_POINTS: Final = 40_000.0
_PROBE_PX: Final = 1_000

# The library keeps state that two threads must not touch at once.
LOCK: Final = threading.RLock()


@dataclass(frozen=True)
class OpenedPage:
    """A page held open: its document, its size in sheet px and how many sheet px a point is."""

    document: "PdfDocument"
    page: "PdfPage"
    pages: int
    width_px: int
    height_px: int
    px_per_point: float


def open_page(data: bytes, page: int) -> OpenedPage:
    """Open a page of a PDF.

    Raises
    ------
    RefusedError
        When it is locked with a password, broken, empty, or has no such page.
    """
    import pypdfium2
    from pypdfium2 import raw

    with LOCK:
        try:
            document = pypdfium2.PdfDocument(data)
            pages = len(document)
        except pypdfium2.PdfiumError as error:
            code = getattr(error, "err_code", None)
            if code == raw.FPDF_ERR_PASSWORD:
                says = "the PDF is locked with a password."
                raise RefusedError(says, "Open it with the password, save a copy without one and use that.") from error
            if code == raw.FPDF_ERR_SECURITY:
                raise RefusedError(
                    "the PDF is locked in a way that is not read here.", "Ask for an open copy."
                ) from error
            raise RefusedError(
                "the PDF is broken or cut short.", "Save or download it again and try once more."
            ) from error
        if pages < 1:
            raise RefusedError("the PDF has no pages.", "Save or export it again.")
        if not 1 <= page <= pages:
            says = f"there is no page {page}; the file has {pages} page{'' if pages == 1 else 's'}."
            raise RefusedError(says, "Choose another page.")
        try:
            opened = document[page - 1]
            wide, high = opened.get_size()
        except pypdfium2.PdfiumError as error:
            says = f"page {page} of the PDF is broken."
            raise RefusedError(says, "Save or export it again, or choose another page.") from error
    if not (0 < wide <= _MOST_POINTS and 0 < high <= _MOST_POINTS):
        raise RefusedError(
            f"page {page} of the PDF has no usable size ({wide:g} × {high:g} points).", "Export it again."
        )
    scale = sheet_scale(wide, high, PX_PER_INCH / _POINTS_PER_INCH)
    return OpenedPage(document, opened, pages, max(1, round(wide * scale)), max(1, round(high * scale)), scale)


def sheet_scale(wide: float, high: float, wished: float) -> float:
    """Give how many sheet px a unit of a drawing is: as wished, within bounds of what a sheet has on its long side."""
    long = max(wide, high)
    return min(max(wished, LEAST_LONG_PX / long), MOST_LONG_PX / long)


def study(data: bytes, page: int) -> Study:
    """Measure a page, and draw it once small: what can't be drawn in time is found out here."""
    opened = open_page(data, page)
    share = min(1.0, _PROBE_PX / max(opened.width_px, opened.height_px))
    size = (max(1, round(opened.width_px * share)), max(1, round(opened.height_px * share)))
    draw(opened, (0, 0, opened.width_px, opened.height_px), size)
    return Study(
        opened.width_px, opened.height_px, opened.pages,
        paper_mm_per_px=_MM_PER_INCH / _POINTS_PER_INCH / opened.px_per_point,
    )  # fmt: skip


def draw(opened: OpenedPage, region: Region, size_px: Size) -> bytes:
    """Draw a region of a page on white paper; give its pixels (red, green, blue, opacity; row by row)."""
    import ctypes

    import pypdfium2
    from pypdfium2 import raw

    left, top, wide, high = region
    across, down = size_px[0] / wide, size_px[1] / high
    with LOCK:
        bitmap = pypdfium2.PdfBitmap.new_native(*size_px, raw.FPDFBitmap_BGRA)
        bitmap.fill_rect((255, 255, 255, 255), 0, 0, *size_px)
        matrix = raw.FS_MATRIX(
            opened.px_per_point * across, 0, 0, opened.px_per_point * down, -left * across, -top * down
        )
        clip = raw.FS_RECTF(0, 0, *size_px)
        flags = raw.FPDF_ANNOT | raw.FPDF_REVERSE_BYTE_ORDER
        raw.FPDF_RenderPageBitmapWithMatrix(bitmap, opened.page, ctypes.byref(matrix), ctypes.byref(clip), flags)
        assert bitmap.stride == 4 * size_px[0]
        pixels = bytes(bitmap.buffer)
        bitmap.close()
    return pixels
