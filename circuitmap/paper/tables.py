"""Tables as they stand in documents and spreadsheets: columns with their units, rows of numbers and words.

A number is a number and what was typed is words, in every form; a blank means that nobody recorded it, never zero.
"""

from collections.abc import Iterable, Sequence
from typing import Final, Literal, NamedTuple

from circuitmap.quantities import show_size
from circuitmap.words import written_day_said

Cell = str | float | int | None
Kind = Literal["words", "number", "day"]

MM2: Final = "mm²"
# From where on a number is shown with one decimal, and with none.
TEN, HUNDRED = 9.995, 99.95
BLANK: Final = "A blank means that it was not recorded or not read; it never means zero."


class Column(NamedTuple):
    """One column: its heading, the unit that belongs into it, what it holds, and how it is shown.

    ``wide`` is its share of a page's width, in letters. ``group`` stands over columns that belong together.
    A day is held as records hold it, so that a spreadsheet sorts it, and printed in words. ``decimals`` is how many a
    number is shown with, None for as many as it has.
    """

    head: str
    unit: str = ""
    kind: Kind = "words"
    wide: float = 8.0
    group: str = ""
    decimals: int | None = None
    on_paper: bool = True

    @property
    def title(self) -> str:
        """The whole heading in one line: group, name and unit."""
        whole = f"{self.group}: {self.head}" if self.group else self.head
        return f"{whole}, {self.unit}" if self.unit else whole


class Table(NamedTuple):
    """A table with its name for files, its title, and what is to be said under it."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    says: tuple[str, ...] = ()

    def column(self, title: str) -> tuple[Cell, ...]:
        """Give the cells of a column by its whole heading."""
        place = [column.title for column in self.columns].index(title)
        return tuple(row[place] for row in self.rows)


def table(name: str, title: str, columns: Sequence[Column], rows: Iterable[Sequence[Cell]], *says: str) -> Table:
    """Put a table together; every row has a cell for every column."""
    held = tuple(tuple(row) for row in rows)
    assert all(len(row) == len(columns) for row in held), name
    return Table(name, title, tuple(columns), held, tuple(filter(None, says)))


def number_text(value: float, decimals: int | None = None) -> str:
    """Give a number as it is printed: with so many decimals, fewer from ten on, or with as many as it has.

    Examples
    --------
    >>> number_text(0.5, 2), number_text(61.6, 2), number_text(1667, 2), number_text(32.0), number_text(2.5)
    ('0.50', '61.6', '1667', '32', '2.5')
    """
    if decimals is not None:
        fewer = 0 if abs(value) < TEN else 1 if abs(value) < HUNDRED else 2
        return f"{value:.{max(0, decimals - fewer)}f}"
    return f"{round(value, 6):.6f}".rstrip("0").rstrip(".")


def cell_text(cell: Cell, column: Column) -> str:
    """Give what is printed in a cell; nothing for what isn't known."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return written_day_said(cell) if column.kind == "day" else cell
    return size_text(cell) if column.unit == MM2 else number_text(cell, column.decimals)


def size_text(size_mm2: float) -> str:
    """Give a conductor's size as the trade writes it, without its unit: 1.0, 2.5, 16."""
    return show_size(size_mm2).removesuffix(f" {MM2}")
