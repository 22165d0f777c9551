"""Drawings made of lines: recognised, read apart, held open for drawing, the last few kept at hand."""

import threading
from collections import OrderedDict
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Final

from circuitmap.errors import PictureError
from circuitmap.pictures.apart import Task, study_apart
from circuitmap.pictures.info import DXF, PDF, SVG, Linework, PictureInfo, no_lines
from circuitmap.pictures.pdf import LOCK, OpenedPage, Region, Size, draw, open_page
from circuitmap.pictures.study import RefusedError, Study

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_MOST_HELD: Final = 4
_LONGEST_SIDE_PX: Final = 8_192
_TASKS: Final[dict[str, Task]] = {PDF: "pdf", SVG: "svg", DXF: "dxf"}
_LIMIT_S: Final = {PDF: 30, SVG: 30, DXF: 60}


@dataclass
class _Held:
    """A drawing that was read: what it is, its lines once somebody asked, its page once somebody looked."""

    study: Study
    lines: Linework | None = None
    fills: "list[NDArray[np.float64]] | None" = None
    page: OpenedPage | None = None
    is_dropped: bool = False


_held: "OrderedDict[tuple[str, str, int], _Held]" = OrderedDict()
_gate = threading.Lock()


def media_of(data: bytes) -> str | None:
    """Give the media type of a drawing made of lines, judged by its content; None when it is none."""
    head = data[:4096].lstrip(b"\xef\xbb\xbf").lstrip()
    if b"%PDF-" in data[:1024]:
        return PDF
    text = head.decode("utf-16", "ignore").encode() if data[:2] in (b"\xff\xfe", b"\xfe\xff") else head
    if text.startswith(b"<") and (b"<svg" in text or b":svg" in text):
        return SVG
    if b"Binary DXF" in data[:22]:
        return DXF
    rows = [row.strip() for row in head.split(b"\n", 40)[:40]]
    while len(rows) >= 2 and rows[0] == b"999":  # remarks may come first
        rows = rows[2:]
    return DXF if rows[:2] == [b"0", b"SECTION"] else None


def is_line_drawing(data: bytes) -> bool:
    """Whether this is a PDF, SVG or DXF, judged by its content."""
    return media_of(data) is not None


def study(data: bytes, media: str, page: int, shown: str) -> Study:
    """Read a drawing, in a process of its own, or give what was read before."""
    return _read(data, media, page, shown, sha256(data).hexdigest()).study


def render(info: PictureInfo, page: int, region: Region, size_px: Size) -> bytes:
    """Draw a region of a page at any resolution, for a drawing made of lines.

    Parameters
    ----------
    region
        Left, top, width and height in sheet px; it may reach over the edge, where there is white paper.
    size_px
        Width and height of what is wanted.

    Returns
    -------
    bytes
        Red, green, blue and opacity of each pixel, row by row.

    Raises
    ------
    PictureError
        When it is no drawing made of lines, can't be used, or the size is none that can be drawn.
    """
    if not info.is_vector:
        raise PictureError("The picture", "only a PDF, SVG or DXF can be drawn at another resolution.")
    if not (0 < size_px[0] <= _LONGEST_SIDE_PX and 0 < size_px[1] <= _LONGEST_SIDE_PX and min(region[2:]) > 0):
        raise PictureError("The picture", f"{size_px[0]} × {size_px[1]} px can't be drawn at once.")
    held = _read(info.data, info.media, page, "The picture", info.sha256)
    return _draw(held, info, page, region, size_px)


def linework(info: PictureInfo, page: int = 1) -> Linework:
    """Give the lines and words of a page in sheet px; none for a photograph or a scan.

    Raises
    ------
    PictureError
        When the drawing can't be used, or takes longer than half a minute to read.
    """
    if not info.is_vector:
        return no_lines()
    held = _read(info.data, info.media, page, "The picture", info.sha256)
    if held.lines is None:
        if info.media == PDF:
            held.lines = study_apart("pdf lines", info.data, page, "The picture").linework()
        else:
            held.lines = held.study.linework()
    return held.lines


def whole(data: bytes, media: str, page: int, shown: str) -> tuple[int, int, bytes]:
    """Give width, height and pixels of a whole page, one pixel to a sheet px."""
    found = study(data, media, page, shown)
    size = found.width_px, found.height_px
    return *size, scaled(data, media, page, shown, size)


def scaled(data: bytes, media: str, page: int, shown: str, size_px: Size) -> bytes:
    """Give the pixels of a whole page at a size."""
    name = sha256(data).hexdigest()
    held = _read(data, media, page, shown, name)
    whole_px = held.study.width_px, held.study.height_px
    info = PictureInfo(media, *whole_px, turned=False, sha256=name, data=data)
    return _draw(held, info, page, (0.0, 0.0, float(whole_px[0]), float(whole_px[1])), size_px)


def _draw(held: _Held, info: PictureInfo, page: int, region: Region, size_px: Size) -> bytes:
    if info.media == DXF:
        from circuitmap.pictures.line_draw import draw_lines

        if held.lines is None or held.fills is None:
            held.lines, held.fills = held.study.linework(), held.study.fills()
        return draw_lines(held.lines, held.fills, region, size_px)
    with LOCK:
        if held.page is None:
            try:
                held.page = open_page(held.study.pdf or info.data, 1 if held.study.pdf else page)
            except RefusedError as error:
                raise PictureError("The picture", error.says, error.todo) from error
        pixels = draw(held.page, region, size_px)
        if held.is_dropped:  # others took its place while this one was waiting for its turn
            _close(held)
        return pixels


def forget() -> None:
    """Let go of every drawing that is kept at hand."""
    with _gate:
        dropped = list(_held.values())
        _held.clear()
    for old in dropped:
        _close(old)


def _close(old: _Held) -> None:
    """Close a page for good; the library's own tidying up would do it in whichever thread comes by."""
    with LOCK:
        page, old.page, old.is_dropped = old.page, None, True
        if page is not None:
            page.page.close()
            page.document.close()


def _read(data: bytes, media: str, page: int, shown: str, name: str) -> _Held:
    key = (name, media, page)
    with _gate:
        held = _held.get(key)
        if held is not None:
            _held.move_to_end(key)
            return held
    if media != PDF and page != 1:
        raise PictureError(shown, f"there is no page {page}; the file has 1 page.", "Choose another page.")
    held = _Held(study_apart(_TASKS[media], data, page, shown, limit_s=_LIMIT_S[media]))
    with _gate:
        _held[key] = held
        dropped = [_held.popitem(last=False)[1] for _ in range(len(_held) - _MOST_HELD)]
    for old in dropped:
        _close(old)
    return held
