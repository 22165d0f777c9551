"""The lines and words of a PDF page, in sheet px: paths flattened, text put together from its letters."""

import ctypes
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from circuitmap.pictures.flatten import Matrix, Pieces, cubic, moved, times
from circuitmap.pictures.pdf import OpenedPage, open_page
from circuitmap.pictures.study import Pen, RefusedError, Study, Text

if TYPE_CHECKING:
    from pypdfium2 import PdfPage

_MOST_OBJECTS: Final = 500_000
_MOST_LETTERS: Final = 200_000
_DEEPEST: Final = 12
_NEARLY_WHITE: Final = 250
# Letters further apart than this share of their height belong to different words on the sheet.
_GAP: Final = 1.2
_SAME_LINE: Final = 0.6

Handle = Any
"""A pointer that the PDF library handed out; it has no type of its own in Python."""


def study(data: bytes, page: int) -> Study:
    """Read the lines and words of a page."""
    opened = open_page(data, page)
    to_sheet = _to_sheet(opened)
    pieces = Pieces()
    _take_objects(opened.page, to_sheet, pieces)
    return Study(
        opened.width_px, opened.height_px, opened.pages, texts=tuple(_texts(opened.page, to_sheet)), **pieces.packed()
    )


def _to_sheet(opened: OpenedPage) -> Matrix:
    """Give the matrix from a page's own points (left to right, upwards, before it is turned) to sheet px."""
    left, bottom, right, top = opened.page.get_bbox()
    s = opened.px_per_point
    match opened.page.get_rotation():
        case 90:
            return 0.0, s, s, 0.0, -bottom * s, -left * s
        case 180:
            return -s, 0.0, 0.0, s, right * s, -bottom * s
        case 270:
            return 0.0, -s, -s, 0.0, top * s, right * s
        case _:
            return s, 0.0, 0.0, -s, -left * s, top * s


# -- lines --------------------------------------------------------------------------------------------------------


def _take_objects(page: "PdfPage", to_sheet: Matrix, pieces: Pieces) -> None:
    from pypdfium2 import raw

    count = raw.FPDFPage_CountObjects(page)
    seen = 0
    waiting: list[tuple[Handle, Matrix, str, int]] = [
        (raw.FPDFPage_GetObject(page, n), to_sheet, "", 0) for n in range(count)
    ]
    waiting.reverse()
    while waiting:
        held, matrix, layer, depth = waiting.pop()
        seen += 1
        if seen > _MOST_OBJECTS:
            says = f"the PDF page has more than {_MOST_OBJECTS:,} parts."
            raise RefusedError(says, "Save only the floor plan, without what else is in the drawing.")
        kind = raw.FPDFPageObj_GetType(held)
        if kind not in (raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_FORM):
            continue
        own = times(matrix, _matrix_of(held))
        layer = _layer_of(held) or layer
        if kind == raw.FPDF_PAGEOBJ_PATH:
            pen = _pen_of(held, own)
            if pen is not None:
                pieces.begin(layer, pen)
                _take_path(held, own, pieces)
        elif depth < _DEEPEST:
            inside = range(raw.FPDFFormObj_CountObjects(held))
            waiting += [(raw.FPDFFormObj_GetObject(held, n), own, layer, depth + 1) for n in reversed(inside)]


def _matrix_of(held: Handle) -> Matrix:
    from pypdfium2 import raw

    matrix = raw.FS_MATRIX()
    if not raw.FPDFPageObj_GetMatrix(held, ctypes.byref(matrix)):
        return 1.0, 0.0, 0.0, 1.0, 0.0, 0.0
    return matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f


def _pen_of(held: Handle, matrix: Matrix) -> Pen | None:
    """Give what a path leaves ink with: its stroke, or the colour that it is filled with; None where it leaves none."""
    from pypdfium2 import raw

    fill, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(held, ctypes.byref(fill), ctypes.byref(stroke))
    if stroke.value:
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(held, ctypes.byref(width))
        colour = _colour(raw.FPDFPageObj_GetStrokeColor, held)
        a, b, c, d, _, _ = matrix
        wide = width.value * math.sqrt(abs(a * d - b * c))
        return Pen(round(wide, 2) if math.isfinite(wide) else 0.0, _hex(colour) if colour else "#000000")
    if not fill.value:
        return None
    colour = _colour(raw.FPDFPageObj_GetFillColor, held)
    if colour is None:
        return Pen(0.0, "#000000", is_area=True)
    is_seen = colour[3] > 0 and min(colour[:3]) < _NEARLY_WHITE
    return Pen(0.0, _hex(colour), is_area=True) if is_seen else None


def _colour(ask: Any, held: Handle) -> tuple[int, int, int, int] | None:
    # Any: a foreign function, as the library declares it.
    red, green, blue, opacity = (ctypes.c_uint() for _ in range(4))
    if not ask(held, *map(ctypes.byref, (red, green, blue, opacity))):
        return None
    return red.value, green.value, blue.value, opacity.value


def _hex(colour: tuple[int, int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour[:3])


def _layer_of(held: Handle) -> str:
    """Give the name of the optional-content group that a part is marked with, if any."""
    from pypdfium2 import raw

    for n in range(raw.FPDFPageObj_CountMarks(held)):
        mark = raw.FPDFPageObj_GetMark(held, n)
        if _wide(raw.FPDFPageObjMark_GetName, mark) == "OC":
            return _wide(raw.FPDFPageObjMark_GetParamStringValue, mark, b"Name")
    return ""


def _wide(ask: Any, *about: Any) -> str:
    # Any: a foreign function and its arguments, as the library declares them.
    length = ctypes.c_ulong()
    ask(*about, None, 0, ctypes.byref(length))
    if length.value < 2:
        return ""
    room = ctypes.create_string_buffer(length.value)
    from pypdfium2 import raw

    ask(*about, ctypes.cast(room, ctypes.POINTER(raw.FPDF_WCHAR)), length.value, ctypes.byref(length))
    return room.raw.decode("utf-16-le", "replace").rstrip("\0")


def _take_path(held: Handle, matrix: Matrix, pieces: Pieces) -> None:
    from pypdfium2 import raw

    a, b, c, d, e, f = matrix
    get, kind_of, point_of, closes = (
        raw.FPDFPath_GetPathSegment, raw.FPDFPathSegment_GetType, raw.FPDFPathSegment_GetPoint,
        raw.FPDFPathSegment_GetClose,
    )  # fmt: skip
    x, y = ctypes.c_float(), ctypes.c_float()
    at_x, at_y = ctypes.byref(x), ctypes.byref(y)
    line: list[tuple[float, float]] = []
    bend: list[tuple[float, float]] = []
    for n in range(raw.FPDFPath_CountSegments(held)):
        part = get(held, n)
        kind = kind_of(part)
        point_of(part, at_x, at_y)
        spot = (a * x.value + c * y.value + e, b * x.value + d * y.value + f)
        if kind == raw.FPDF_SEGMENT_MOVETO:
            pieces.line(line)
            line = [spot]
        elif kind == raw.FPDF_SEGMENT_LINETO:
            line.append(spot)
        else:
            bend.append(spot)
            if len(bend) == 3:
                line += cubic(line[-1], bend[0], bend[1], bend[2]) if line else bend[-1:]
                bend = []
        if closes(part) and line:
            pieces.line([*line, line[0]])
            line = [line[0]]
    pieces.line(line)


# -- words --------------------------------------------------------------------------------------------------------


@dataclass
class _Run:
    x: float
    y: float
    size: float
    turn_deg: float
    end: tuple[float, float] = (0.0, 0.0)
    letters: list[str] = field(default_factory=list)

    def text(self) -> Text | None:
        words = " ".join("".join(self.letters).split())
        if not words:
            return None
        width = math.dist((self.x, self.y), self.end)
        return Text(self.x, self.y, self.size, words, self.turn_deg, width)


def _texts(page: "PdfPage", to_sheet: Matrix) -> Iterator[Text]:
    """Put words together: letters one after the other on one line, as far as no wide gap parts them."""
    from pypdfium2 import raw

    words = page.get_textpage()
    run: _Run | None = None
    x, y = ctypes.c_double(), ctypes.c_double()
    matrix = raw.FS_MATRIX()
    for n in range(min(words.count_chars(), _MOST_LETTERS)):
        letter = chr(raw.FPDFText_GetUnicode(words, n) or 0xFFFD)
        if letter in "\r\n":
            if run is not None and (text := run.text()) is not None:
                yield text
            run = None
            continue
        if raw.FPDFText_IsGenerated(words, n) == 1 or letter.isspace():
            if run is not None:
                run.letters.append(" ")
            continue
        raw.FPDFText_GetCharOrigin(words, n, ctypes.byref(x), ctypes.byref(y))
        raw.FPDFText_GetMatrix(words, n, ctypes.byref(matrix))
        own = times(to_sheet, (matrix.a, matrix.b, matrix.c, matrix.d, 0.0, 0.0))
        size = raw.FPDFText_GetFontSize(words, n) * math.hypot(own[2], own[3])
        turn = math.degrees(math.atan2(own[1], own[0]))
        at = moved(to_sheet, x.value, y.value)
        if run is not None and not _follows(run, at, size, turn):
            if (text := run.text()) is not None:
                yield text
            run = None
        if run is None:
            run = _Run(*at, size, turn)
        raw.FPDFText_GetLooseCharBox(words, n, ctypes.byref(box := raw.FS_RECTF()))
        sides = moved(to_sheet, box.left, box.bottom), moved(to_sheet, box.right, box.top)
        along = math.radians(run.turn_deg)
        reach = max(
            (px - run.x) * math.cos(along) + (py - run.y) * math.sin(along)
            for px in (sides[0][0], sides[1][0])
            for py in (sides[0][1], sides[1][1])
        )
        run.end = (run.x + reach * math.cos(along), run.y + reach * math.sin(along))
        run.letters.append(letter)
    if run is not None and (text := run.text()) is not None:
        yield text


def _follows(run: _Run, at: tuple[float, float], size: float, turn_deg: float) -> bool:
    if abs(turn_deg - run.turn_deg) > 2.0 or abs(size - run.size) > 0.3 * run.size:
        return False
    along = math.radians(run.turn_deg)
    dx, dy = at[0] - run.end[0], at[1] - run.end[1]
    forth = dx * math.cos(along) + dy * math.sin(along)
    aside = -dx * math.sin(along) + dy * math.cos(along)
    return abs(aside) <= _SAME_LINE * run.size and -run.size <= forth <= _GAP * run.size
