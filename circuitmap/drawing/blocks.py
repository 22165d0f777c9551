"""What stands beside a plan on the sheet, laid out in px: the scale bar and the legend in columns."""

import math
from collections.abc import Sequence
from typing import Final, Literal

import msgspec
from msgspec import Struct

from circuitmap.drawing.legend import Entry, Group
from circuitmap.drawing.marks import Anchor, Glyph, Ink
from circuitmap.drawing.symbols import symbol
from circuitmap.drawing.typed import fitted

_ROW: Final = 34.0
_SAMPLE: Final = 44.0
_SIZE: Final = 20.0
_TEXT: Final = 13.0
_HEADING: Final = 13.0
_COLUMN: Final = 300.0
_BAR_LONGEST: Final = 180.0


class Stroke(Struct, frozen=True):
    """A polyline of a block."""

    pts: tuple[tuple[float, float], ...]
    ink: Ink
    cap: Literal["round", "butt"] = "butt"


class Fill(Struct, frozen=True):
    """A filled polygon of a block, under its strokes."""

    pts: tuple[tuple[float, float], ...]
    role: str


class Text(Struct, frozen=True):
    """A line of text of a block, centred on its height."""

    text: str
    x_px: float
    y_px: float
    size_px: float = _TEXT
    role: str = "ink"
    anchor: Anchor = "start"
    bold: bool = False


class Block(Struct, frozen=True):
    """A laid-out block with its size; everything in it counts from its own top left corner."""

    width_px: float
    height_px: float
    strokes: tuple[Stroke, ...] = ()
    glyphs: tuple[tuple[Glyph, float, float], ...] = ()
    texts: tuple[Text, ...] = ()
    fills: tuple[Fill, ...] = ()


def round_length_mm(longest_mm: float) -> float:
    """Give the longest length of 1, 2 or 5 times a power of ten that is not longer than this."""
    power = 10.0 ** math.floor(math.log10(longest_mm))
    return next(n * power for n in (5.0, 2.0, 1.0) if n * power <= longest_mm * (1 + 1e-12))


def scale_bar(px_per_mm: float, room_px: float) -> Block:
    """Lay out a scale bar of a round length, at most 180 px long."""
    length_mm = round_length_mm(min(_BAR_LONGEST, room_px) / px_per_mm)
    long = length_mm * px_per_mm
    words = f"{length_mm / 1000:g} m" if length_mm >= 500 else f"{length_mm:g} mm"
    ink = Ink("ink", 1.5)
    return Block(
        long,
        30.0,
        (
            Stroke(((0, 20), (long, 20)), ink),
            Stroke(((0, 14), (0, 26)), ink),
            Stroke(((long / 2, 16), (long / 2, 20)), ink),
            Stroke(((long, 14), (long, 26)), ink),
        ),
        (),
        (Text(words, long / 2, 6, 13, anchor="middle"),),
    )


def legend_block(groups: Sequence[Group], room_px: float) -> Block:
    """Lay out a legend in as many columns as there is room for, each group's heading above its rows."""
    columns = max(1, int(room_px // _COLUMN))
    across = room_px / columns
    rows: list[Entry | str] = []
    for group in groups:
        rows.append(group.heading)
        rows.extend(group.entries)
    per_column = max(4, math.ceil(len(rows) / columns))
    strokes = [Stroke(((0, 0), (room_px, 0)), Ink("faint", 0.75))]
    glyphs: list[tuple[Glyph, float, float]] = []
    texts: list[Text] = []
    column, line, deepest, heading = 0, 0, 0, ""
    for n, row in enumerate(rows):
        # A heading never stands alone at a column's foot; a group carried over gets its heading again.
        lonely = isinstance(row, str) and line == per_column - 1 and n + 1 < len(rows)
        if (line >= per_column or lonely) and column < columns - 1:
            column, line = column + 1, 0
            if not isinstance(row, str):
                texts.append(Text(f"{heading}, continued", column * across, _middle(0), _HEADING, "faint", bold=True))
                line = 1
        x, y = column * across, _middle(line)
        if isinstance(row, str):
            heading = row
            texts.append(Text(row, x, y, _HEADING, "faint", bold=True))
        else:
            _sample(row, x, y, strokes, glyphs)
            texts.append(Text(fitted(row.words, across - _SAMPLE - 12, _TEXT), x + _SAMPLE, y))
        line += 1
        deepest = max(deepest, line)
    return Block(room_px, 10 + deepest * _ROW, tuple(strokes), tuple(glyphs), tuple(texts))


def _middle(line: int) -> float:
    return 10 + (line + 0.5) * _ROW


def _sample(entry: Entry, x: float, y: float, strokes: list[Stroke], glyphs: list[tuple[Glyph, float, float]]) -> None:
    if entry.ink is not None:
        line = ((x, y), (x + 32, y))
        strokes.append(Stroke(line, entry.ink, "round" if entry.ink.dash and entry.ink.dash[0] <= 1 else "butt"))
        if entry.stripe is not None:
            strokes.append(Stroke(line, entry.stripe))
    if entry.glyph is not None:
        size = 17.0 if entry.glyph.state else _SIZE
        _, middle = symbol(entry.glyph.symbol).centre
        glyphs.append((msgspec.structs.replace(entry.glyph, size_px=size), x + 16, y - middle * size / 100))
