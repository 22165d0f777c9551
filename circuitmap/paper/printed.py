"""Tables as a template sets them: widths shared out, words that can be broken, none longer than fits on a page."""

import re
from typing import Final

from circuitmap.drawing.typed import width_px
from circuitmap.paper.tables import Cell, Column, Table, cell_text, number_text
from circuitmap.paper.typeset import shown

# How wide a page turned on its side is between its margins of 14 mm, in points (ISO 216).
ROOM_PT: Final = {"A4": (297 - 28) * 72 / 25.4, "A3": (420 - 28) * 72 / 25.4}
SHORTENED: Final = "Words that end in … are shortened here; the spreadsheet has them whole."
_LETTER: Final = 0.53  # how wide a letter is in our font, in sizes, on average
_INSET_PT: Final = 5.0
_SIZES_PT: Final = (6.5, 9.0)
_MOST_LINES: Final = 24
_TIGHT: Final = 0.95  # how far the estimate of a word's width is trusted
_BREAK: Final = "\u200b"
_PIECE: Final = 4
_WORD: Final = re.compile(r"\S+")


def printed(table: Table, room_pt: float) -> dict[str, object]:
    """Give a table as a template takes it: headings with units and shares of the width, cells as words.

    Parameters
    ----------
    room_pt
        How wide the page is between its margins.
    """
    kept = [n for n, column in enumerate(table.columns) if column.on_paper]
    wide = [_wide(table.columns[n]) for n in kept]
    size = min(_SIZES_PT[1], max(_SIZES_PT[0], (room_pt - _INSET_PT * len(kept)) / (sum(wide) * _LETTER)))
    bounds = {n + 1: n for n, column in enumerate(table.columns) if column.head == "Bound"}
    rows, shortened = [], False
    for row in table.rows:
        cells = []
        for n, letters in zip(kept, wide, strict=True):
            words = shown(_bounded(row, n, table.columns[n], bounds))
            most = int(letters * _MOST_LINES)
            if len(words) > most:
                words, shortened = words[: most - 1].rstrip() + "…", True
            cells.append(_broken(words, letters * _LETTER * _TIGHT))
        rows.append(cells)
    columns = [
        {"head": c.head, "unit": c.unit, "group": c.group, "wide": share, "number": c.kind == "number"}
        for c, share in zip((table.columns[n] for n in kept), wide, strict=True)
    ]
    says = [*table.says, SHORTENED] if shortened else list(table.says)
    return {"title": table.title, "columns": columns, "rows": rows, "says": says, "size": size}


def _bounded(row: tuple[Cell, ...], place: int, column: Column, bounds: dict[int, int]) -> str:
    """Give a cell's words, with the bound that stands in a column of its own in a spreadsheet."""
    cell = row[place]
    bound = row[bounds[place]] if place in bounds else None
    if bound and isinstance(cell, int | float):
        return f"{bound}{number_text(cell)}"  # a bound is printed as it is, no rounding may move it
    return cell_text(cell, column)


def _wide(column: Column) -> float:
    """Give a column's width in letters: never less than the longest word of its heading."""
    return max(column.wide, *(len(word) + 0.5 for word in f"{column.head} {column.unit}".split()))


def _broken(text: str, ems: float) -> str:
    """Give words that are wider than a column places where they may be broken."""

    def cut(found: re.Match[str]) -> str:
        word = found.group()
        if width_px(word, 1.0) <= ems:
            return word
        return _BREAK.join(word[n : n + _PIECE] for n in range(0, len(word), _PIECE))

    return _WORD.sub(cut, text)
