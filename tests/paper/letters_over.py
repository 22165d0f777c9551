"""Letters of a page as an independent reader finds them, and whether any lies on another or out of the page."""

from collections.abc import Iterator
from typing import NamedTuple

import pypdfium2 as pdfium

_CELL = 12.0
_TOUCH = 0.35  # points
_KERNED = 0.4  # of a letter's width, that the next of its word may reach into its box


class Letter(NamedTuple):
    """A letter's ink: left, bottom, right, top in points from the lower left corner."""

    letter: str
    left: float
    bottom: float
    right: float
    top: float


def letters(page: pdfium.PdfPage) -> list[Letter]:
    """All letters of a page that leave ink."""
    text = page.get_textpage()
    said = text.get_text_range()
    found: list[Letter] = []
    for n in range(text.count_chars()):
        box = text.get_charbox(n)
        letter = said[n] if n < len(said) else "?"
        if box[2] - box[0] <= 0.05 or box[3] - box[1] <= 0.05:
            continue
        made = Letter(letter, *box)
        # Both letters of a ligature are given its one box.
        if not found or found[-1][1:] != made[1:]:
            found.append(made)
    return found


def over(page: pdfium.PdfPage) -> list[tuple[Letter, Letter]]:
    """Pairs of letters that are printed over one another."""
    cells: dict[tuple[int, int], list[int]] = {}
    every = letters(page)
    pairs: set[tuple[int, int]] = set()
    for n, one in enumerate(every):
        for cell in _cells(one):
            for m in cells.setdefault(cell, []):
                other = every[m]
                across = min(one.right, other.right) - max(one.left, other.left)
                down = min(one.top, other.top) - max(one.bottom, other.bottom)
                kerned = n - m == 1 and across < _KERNED * (other.right - other.left)
                if across > _TOUCH and down > _TOUCH and not kerned:
                    pairs.add((m, n))
            cells[cell].append(n)
    return [(every[a], every[b]) for a, b in sorted(pairs)]


def outside(page: pdfium.PdfPage, margin: float) -> list[Letter]:
    """Letters that come nearer to the edge of the page than a margin in points."""
    wide, high = page.get_size()
    return [
        each
        for each in letters(page)
        if each.left < margin or each.bottom < margin or each.right > wide - margin or each.top > high - margin
    ]


def _cells(one: Letter) -> Iterator[tuple[int, int]]:
    for x in range(int(one.left // _CELL), int(one.right // _CELL) + 1):
        for y in range(int(one.bottom // _CELL), int(one.top // _CELL) + 1):
            yield x, y
