"""A quotation as a spreadsheet: the same words and one price, amounts as numbers, no formula anywhere."""

import io
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from circuitmap.extension.estimate_says import CANCELLING, TITLES, invented_said
from circuitmap.extension.money import HUNDRED
from circuitmap.extension.pricebook import Book
from circuitmap.extension.pricebook_sheets import STARTS_FORMULA
from circuitmap.memo import Memo
from circuitmap.paper.days import day_said
from circuitmap.paper.figures import wall_extracts
from circuitmap.paper.offer import Offer, assumed, cautioned, excluded
from circuitmap.paper.quotation import marked_rows, papers_said, title_of, total_says, until
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_LATIN_CONTROLS: Final = dict.fromkeys((*range(32), *range(127, 160)), " ")

Cell = str | float | None


def quotation_xlsx(offer: Offer, book: Book, trade: Trade, memo: Memo) -> bytes:
    """Give a quotation as a workbook: the offer, the take-off without prices by the line, and the marking out.

    Amounts are numbers in the book's currency; texts that a spreadsheet would take for a formula stay texts.
    """
    from openpyxl import Workbook

    made = Workbook()
    front = made.active
    assert front is not None  # a new workbook has one sheet
    front.title = "Quotation"
    money = f'"{book.terms.sign.replace(chr(34), "")}"#,##0.00'
    _fill(front, _front(offer, book), (78, 16), money)
    _fill(made.create_sheet("What is included"), _lines(offer), (14, 56, 12, 10, 60))
    _fill(made.create_sheet("Words"), _words(offer, book), (28, 110))
    walls = [
        [figure.title, *row]
        for figure in wall_extracts(offer.home, memo, trade, offer.points, offer.paths, offer.gone)
        for row in marked_rows(figure.marked)
    ]
    if walls:
        heads = ["wall", "no.", "box", "from left corner", "from floor", "outline", "depth", "wall build"]
        _fill(made.create_sheet("Marking out"), [heads, *walls], (44, 6, 26, 16, 14, 16, 12, 14))
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def _front(offer: Offer, book: Book) -> Iterable[Sequence[Cell]]:
    priced, details = offer.priced, offer.home.details
    yield [title_of(offer), None]
    for words in (details.name, details.address, f"No. {offer.number}" if offer.number else "", day_said(offer.day)):
        if words:
            yield [words, None]
    if (last := until(offer, book)) is not None:
        yield [f"The price holds until {day_said(last)}.", None]
    if draft := invented_said(priced):
        yield [draft, None]
    yield [None, None]
    yield ["What will be done", None]
    for words in offer.scope:
        yield [words, None]
    yield [None, None]
    yield ["Price", book.terms.currency]
    for block in priced.blocks:
        name = TITLES[block.block]
        yield [f"{name.partition(':')[0]}, {block.title}" if block.title else name, _amount(block.charge)]
    yield ["Net", _amount(priced.net)]
    rate = "not registered" if book.terms.tax == "not registered" else f"{priced.tax_percent:g} %"
    yield [f"{book.terms.tax_name}, {rate}", _amount(priced.tax)]
    yield ["Total", _amount(priced.total)]
    yield [total_says(offer, book), None]


def _lines(offer: Offer) -> Iterable[Sequence[Cell]]:
    yield ["block", "what", "quantity", "unit", "for"]
    for each in offer.priced.lines:
        yield [TITLES[each.block].partition(":")[0], each.title, round(each.line.quantity, 2), each.unit, each.line.why]


def _words(offer: Offer, book: Book) -> Iterable[Sequence[Cell]]:
    yield ["about", "says"]
    for about, said in (
        ("Before anything is added", offer.fit),
        ("Not included", excluded(offer)),
        ("Assumption", assumed(offer, book)),
        ("Certificate and notification", papers_said(offer)),
        ("Cancelling", (CANCELLING,)),
        ("Caution", cautioned(offer)),
    ):
        for words in said:
            yield [about, words]


def _amount(pence: int) -> float:
    return float(pence / HUNDRED)


def _fill(sheet: "Worksheet", rows: Iterable[Sequence[Cell]], widths: Sequence[int], money: str = "") -> None:
    from openpyxl.styles import Alignment, Font

    for number, row in enumerate(rows, 1):
        for column, value in enumerate(row, 1):
            cell = sheet.cell(number, column)
            if isinstance(value, str):
                cell.value = value.translate(_LATIN_CONTROLS)
                cell.data_type = "s"  # or a text that begins with = would be written as a formula
                cell.quotePrefix = value.startswith(STARTS_FORMULA)
                cell.alignment = Alignment(wrap_text=True, vertical="top")
            elif value is not None:
                cell.value = value
                if money:
                    cell.number_format = money
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for number, width in enumerate(widths):
        sheet.column_dimensions["ABCDEFGHIJK"[number]].width = width
