"""Tables as spreadsheets: XLSX with real numbers and CSV, neither with anything that could be taken for a formula."""

import csv
import datetime
import io
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from circuitmap.extension.pricebook_sheets import STARTS_FORMULA, harmless
from circuitmap.paper.tables import HUNDRED, TEN, Cell, Column, Table

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook

_WIDEST: Final = 60.0
_MOST_NAME: Final = 31  # letters in a sheet's name (Excel's limit, from memory)
_MOST_TEXT: Final = 32_767  # letters in a cell (Excel's limit, from memory)
# A file's own date that is the same for the same content.
_MADE: Final = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)
# What XML can't hold, and what turns a line of a sheet over.
_CONTROLS: Final = dict.fromkeys((*(n for n in range(32) if n != 10), 0x7F, 0xFFFE, 0xFFFF), " ")


class Leaf(NamedTuple):
    """A sheet of mixed rows: its name, how wide its columns are in letters, its rows, how numbers are shown."""

    name: str
    widths: tuple[float, ...]
    rows: tuple[tuple[Cell, ...], ...]
    numbers: str = "General"


def xlsx_of(sheets: Sequence[Table | Leaf], *, title: str, front: Sequence[tuple[str, str]] = ()) -> bytes:
    """Give tables and other sheets as a workbook; the headings of a table stay in sight.

    Parameters
    ----------
    title
        The workbook's own title.
    front
        What stands on a first sheet, in two columns: about what, and the words.
    """
    from xlsxwriter import Workbook

    out = io.BytesIO()
    book = Workbook(
        out,
        {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False},
    )
    book.set_properties({"title": _clean(title), "created": _MADE})
    looks = _Looks(book)
    if front:
        _leaf(book, Leaf("About", (26, 110), tuple(front)), looks)
    for each in sheets:
        if isinstance(each, Leaf):
            _leaf(book, each, looks)
        else:
            _sheet(book, each, looks)
    book.close()
    return out.getvalue()


def csv_of(table: Table) -> bytes:
    """Give a table as CSV: UTF-8 with a mark in front so that spreadsheets see it, commas, decimal points."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([harmless(column.title) for column in table.columns])
    for row in table.rows:
        writer.writerow([_csv_cell(cell) for cell in row])
    return ("\ufeff" + out.getvalue()).encode()


class _Looks:
    """How cells of a workbook look; the same format is made once."""

    def __init__(self, book: "Workbook") -> None:
        self._book = book
        self._held: dict[str, Format] = {}
        top = {"text_wrap": True, "valign": "top"}
        self._words = book.add_format(top)
        self._guarded = book.add_format({**top, "quote_prefix": True})
        self.heads = book.add_format({**top, "bold": True, "bottom": 1})
        self.bold = book.add_format({**top, "bold": True, "quote_prefix": True})

    def words(self, text: str) -> "Format":
        """Give the look of words; what could be taken for a formula is marked as text for whoever edits it."""
        return self._guarded if text.lstrip(" ").startswith(STARTS_FORMULA) else self._words

    def number(self, shown: str) -> "Format":
        """Give the look of numbers that are shown in a way."""
        if shown not in self._held:
            self._held[shown] = self._book.add_format({"num_format": shown, "valign": "top"})
        return self._held[shown]


def _leaf(book: "Workbook", leaf: Leaf, looks: _Looks) -> None:
    sheet = book.add_worksheet(leaf.name[:_MOST_NAME])
    for place, width in enumerate(leaf.widths):
        sheet.set_column(place, place, width)
    for line, row in enumerate(leaf.rows):
        for place, cell in enumerate(row):
            if isinstance(cell, str):
                sheet.write_string(line, place, _clean(cell), looks.words(cell) if line else looks.bold)
            elif cell is not None:
                sheet.write_number(line, place, cell, looks.number(leaf.numbers))


def _sheet(book: "Workbook", table: Table, looks: _Looks) -> None:
    sheet = book.add_worksheet(table.name[:_MOST_NAME])
    for place, column in enumerate(table.columns):
        sheet.write_string(0, place, column.title, looks.heads)
        sheet.set_column(place, place, _wide(table, place))
    for line, row in enumerate(table.rows, 1):
        for place, cell in enumerate(row):
            if isinstance(cell, str):
                sheet.write_string(line, place, _clean(cell), looks.words(cell))
            elif cell is not None:
                sheet.write_number(line, place, cell, looks.number(_number_format(table.columns[place])))
    sheet.freeze_panes(1, 1)
    if table.rows:
        sheet.autofilter(0, 0, len(table.rows), len(table.columns) - 1)
    sheet.set_landscape()
    sheet.set_paper(9)  # A4
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)


def _wide(table: Table, place: int) -> float:
    """Give how wide a column is set: by its words, but never wider than can be read."""
    head = max(len(word) for word in table.columns[place].title.split())
    held = max((len(str(row[place])) for row in table.rows if row[place] is not None), default=0)
    return min(max(head, held, 6) + 2.5, _WIDEST)


def _number_format(column: Column) -> str:
    """Give how a spreadsheet shows a column's numbers: as on paper; the numbers themselves stay as they are."""
    if column.decimals is None:
        return "General"
    if column.decimals < 2:
        return "0" if column.decimals == 0 else "0.0"
    return f"[>={HUNDRED}]0;[>={TEN}]0.0;0.00"


def _clean(text: str) -> str:
    return text.translate(_CONTROLS)[:_MOST_TEXT]


def _csv_cell(cell: Cell) -> Cell:
    return harmless(cell.translate(_CONTROLS)) if isinstance(cell, str) else cell
