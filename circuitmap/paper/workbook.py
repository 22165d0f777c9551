"""A quotation as a spreadsheet: the same words and one price, amounts as numbers, no formula anywhere."""

from collections.abc import Iterator

from circuitmap.extension.estimate_says import CANCELLING, TITLES, amounts_said, invented_said, total_name
from circuitmap.extension.money import HUNDRED
from circuitmap.extension.pricebook import Book
from circuitmap.memo import Memo
from circuitmap.paper.days import day_said
from circuitmap.paper.figures import wall_extracts
from circuitmap.paper.offer import Offer, assumed, cautioned, excluded
from circuitmap.paper.quotation import marked_rows, papers_said, title_of, total_says, until
from circuitmap.paper.spread import Leaf, xlsx_of
from circuitmap.paper.tables import Cell
from circuitmap.trade import Trade

_Rows = Iterator[tuple[Cell, ...]]


def quotation_xlsx(offer: Offer, book: Book, trade: Trade, memo: Memo) -> bytes:
    """Give a quotation as a workbook: the offer, the take-off without prices by the line, and the marking out.

    Amounts are numbers in the book's currency; texts that a spreadsheet would take for a formula stay texts.
    """
    money = f'"{book.terms.sign.replace(chr(34), "")}"#,##0.00'
    sheets = [
        Leaf("Quotation", (78, 16), tuple(_front(offer, book)), money),
        Leaf("What is included", (14, 56, 12, 10, 60), tuple(_lines(offer))),
        Leaf("Words", (28, 110), tuple(_words(offer, book))),
    ]
    walls = [
        (figure.title, *row)
        for figure in wall_extracts(
            offer.home, memo, trade, offer.points, offer.paths, offer.gone, on_surface=offer.job.on_surface
        )
        for row in marked_rows(figure.marked)
    ]
    if walls:
        heads = ("wall", "no.", "box", "from left corner", "from floor", "outline", "depth", "wall build")
        sheets.append(Leaf("Marking out", (44, 6, 26, 16, 14, 16, 12, 14), (heads, *walls)))
    return xlsx_of(sheets, title=title_of(offer))


def _front(offer: Offer, book: Book) -> _Rows:
    priced, details = offer.priced, offer.home.details
    yield title_of(offer), None
    for words in (details.name, details.address, f"No. {offer.number}" if offer.number else "", day_said(offer.day)):
        if words:
            yield words, None
    if (last := until(offer, book)) is not None:
        yield f"The price holds until {day_said(last)}.", None
    if draft := invented_said(priced):
        yield draft, None
    yield None, None
    yield "What will be done", None
    for words in offer.scope:
        yield words, None
    yield None, None
    yield "Price", book.terms.currency
    yield amounts_said(book), None
    for block in priced.blocks:
        name = TITLES[block.block]
        yield f"{name.partition(':')[0]}, {block.title}" if block.title else name, _amount(block.charge)
    yield "Net, without tax", _amount(priced.net)
    rate = "not registered" if book.terms.tax == "not registered" else f"{priced.tax_percent:g} %"
    yield f"{book.terms.tax_name}, {rate}", _amount(priced.tax)
    yield total_name(book), _amount(priced.total)
    yield total_says(offer, book), None


def _lines(offer: Offer) -> _Rows:
    yield "block", "what", "quantity", "unit", "for"
    for each in offer.priced.lines:
        yield TITLES[each.block].partition(":")[0], each.title, round(each.line.quantity, 2), each.unit, each.line.why


def _words(offer: Offer, book: Book) -> _Rows:
    yield "about", "says"
    for about, said in (
        ("Before anything is added", offer.fit),
        ("Not included", excluded(offer)),
        ("Assumption", assumed(offer, book)),
        ("Certificate and notification", papers_said(offer)),
        ("Cancelling", (CANCELLING,)),
        ("Caution", cautioned(offer)),
    ):
        for words in said:
            yield about, words


def _amount(pence: int) -> float:
    return float(pence / HUNDRED)
