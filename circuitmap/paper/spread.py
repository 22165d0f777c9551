"""Tables as spreadsheets: XLSX with real numbers and CSV, neither with anything that could be taken for a formula."""

import csv
import datetime
import io
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

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


def xlsx_of(tables: Sequence[Table], *, title: str, front: Sequence[tuple[str, str]] = ()) -> bytes:
    """Give tables as a workbook, a sheet each, with headings that stay in sight.

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
    words = book.add_format({"text_wrap": True, "valign": "top"})
    guarded = book.add_format({"text_wrap": True, "valign": "top", "quote_prefix": True})
    if front:
        sheet = book.add_worksheet("About")
        sheet.set_column(0, 0, 26)
        sheet.set_column(1, 1, 110)
        for number, (about, says) in enumerate(front):
            for place, text in enumerate((about, says)):
                sheet.write_string(number, place, _clean(text), _for(text, words, guarded))
    for each in tables:
        _sheet(book, each, words, guarded)
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


def _sheet(book: "Workbook", table: Table, words: "Format", guarded: "Format") -> None:
    sheet = book.add_worksheet(table.name[:_MOST_NAME])
    heads = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
    numbers = [book.add_format({"num_format": _number_format(column), "valign": "top"}) for column in table.columns]
    for place, column in enumerate(table.columns):
        sheet.write_string(0, place, column.title, heads)
        sheet.set_column(place, place, _wide(table, place))
    for line, row in enumerate(table.rows, 1):
        for place, cell in enumerate(row):
            if isinstance(cell, str):
                sheet.write_string(line, place, _clean(cell), _for(cell, words, guarded))
            elif cell is not None:
                sheet.write_number(line, place, cell, numbers[place])
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


def _for(text: str, words: "Format", guarded: "Format") -> "Format":
    return guarded if text.lstrip(" ").startswith(STARTS_FORMULA) else words


def _clean(text: str) -> str:
    return text.translate(_CONTROLS)[:_MOST_TEXT]


def _csv_cell(cell: Cell) -> Cell:
    return harmless(cell.translate(_CONTROLS)) if isinstance(cell, str) else cell
