"""The estimator's sheet: the range of every line and of the whole, and what makes it uncertain; never for the customer.

An estimate is a range and a quotation a fixed offer: what is here is in no quotation.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from circuitmap.extension.estimate_says import (
    TITLES,
    charged_said,
    drivers_said,
    invented_said,
    per_point_said,
    range_said,
    sequence,
)
from circuitmap.extension.price import PricedLine
from circuitmap.extension.pricebook import Book
from circuitmap.extension.pricebook_rows import Range
from circuitmap.paper.days import day_said
from circuitmap.paper.offer import Offer
from circuitmap.paper.quotation import title_of
from circuitmap.paper.spread import xlsx_of
from circuitmap.paper.tables import Cell, Column, Table, table

NOT_TO_BE_SENT: Final = "For the estimator alone: it shows ranges, and is not to be sent to a customer."
_RANGE: Final = ("low", "likely", "high")
_PENNY: Final = 2
_PENCE: Final = 100.0


def estimate_xlsx(offer: Offer, book: Book) -> bytes:
    """Give the estimator's workbook of an offer: summary, lines, what drives the spread, the order of the work."""
    return xlsx_of(estimate_tables(offer, book), title=f"Estimate: {title_of(offer)}", front=list(_front(offer, book)))


def estimate_tables(offer: Offer, book: Book) -> tuple[Table, ...]:
    """Give the tables of an estimate; amounts in the book's currency, times in minutes."""
    money = book.terms.currency
    priced = offer.priced
    whole_columns = (
        Column("What", wide=50),
        Column("Amount", money, "number", decimals=_PENNY),
        Column("Means", wide=70),
    )
    lines = [_line(each, "") for each in priced.lines] + [
        _line(each, "apart from the total") for each in priced.optional
    ]
    columns = (
        Column("Block", wide=20),
        Column("What", wide=40),
        Column("Quantity", kind="number"),
        Column("Unit"),
        *(Column(each, "min", "number", group="Work") for each in _RANGE),
        *(Column(each, money, "number", group="Cost", decimals=_PENNY) for each in _RANGE),
        Column("mean", money, "number", group="Cost", decimals=_PENNY),
        Column("standard deviation", money, "number", group="Cost", decimals=_PENNY),
        Column("For", wide=40),
        Column("Source", wide=40),
        Column("Offered", wide=16),
    )
    drivers = [
        (d.title, {"place": "not seen into", "cause": "the same all over", "line": "of one line"}[d.kind],
         round(d.share * 100, 2), ", ".join(d.places) or None)
        for d in priced.drivers
    ]  # fmt: skip
    driver_columns = (
        Column("What", wide=40),
        Column("Kind", wide=18),
        Column("Share of the spread", "%", "number", decimals=1),
        Column("Where", wide=50),
    )
    steps = [(step.name, step.who, *_three(step.minutes, 1.0), step.says) for step in sequence(priced)]
    step_columns = (
        Column("Step", wide=40),
        Column("Who", wide=20),
        *(Column(each, "min", "number", group="Work") for each in _RANGE),
        Column("First", wide=60),
    )
    own = [("price or rate, invented for the demonstration", each) for each in priced.invented]
    own += [("minutes of a task, common practice", each) for each in priced.customary]
    return (
        table("Whole", "The work as a whole", whole_columns, _whole(offer)),
        table("Lines", "Lines", columns, lines),
        table("What drives it", "What makes it uncertain", driver_columns, drivers),
        table("Order of work", "Order of the work", step_columns, steps),
        table("Not your own yet", "Figures not your own yet", (Column("Kind", wide=50), Column("Of", wide=50)), own),
    )


def _whole(offer: Offer) -> Iterator[Sequence[Cell]]:
    priced = offer.priced
    yield "Mean", _amount(priced.mean), "what many such jobs cost on average; the price is made of it"
    yield "Standard deviation", _amount(priced.sd), "how far one job may lie from that"
    if priced.drawn is not None:
        yield "Low", _amount(priced.drawn.p10), "one of ten such jobs costs less"
        yield "Middle", _amount(priced.drawn.p50), "five of ten cost less"
        yield "High", _amount(priced.drawn.p90), "nine of ten cost less"
    for set_aside in priced.provisional:
        yield f"Set aside: {set_aside.for_what}", _amount(set_aside.charge), "for one named unknown"
    yield "Charged, without tax", _amount(priced.net), "as in the quotation"
    yield "Charged, with tax", _amount(priced.total), "as in the quotation"


def _front(offer: Offer, book: Book) -> Iterator[tuple[str, str]]:
    yield "Document", f"Estimate: {title_of(offer)}"
    yield "Caution", NOT_TO_BE_SENT
    for about, words in (("Home", offer.home.details.name), ("Address", offer.home.details.address),
                         ("Number", offer.number), ("Day", day_said(offer.day))):  # fmt: skip
        if words:
            yield about, words
    yield "Currency", book.terms.currency
    yield "Amounts", "without tax, unless they say otherwise"
    yield "Range", range_said(offer.priced)
    yield "Labour", charged_said(offer.priced)
    if by_point := per_point_said(offer.priced, offer.taken):
        yield "By the point", by_point
    for words in drivers_said(offer.priced):
        yield "Drives the spread", words
    for words in offer.priced.left_out:
        yield "Not priced", words
    if draft := invented_said(offer.priced):
        yield "Not your own", draft


def _line(each: PricedLine, offered: str) -> list[Cell]:
    minutes = _three(each.minutes, 1.0) if each.minutes is not None else (None, None, None)
    return [
        TITLES[each.block].partition(":")[0],
        each.title,
        round(each.line.quantity, 3),
        each.unit,
        *minutes,
        *_three(each.cost, _PENCE),
        _amount(each.mean),
        _amount(each.sd),
        each.line.why or None,
        each.source or None,
        offered or None,
    ]


def _three(held: Range, size: float) -> tuple[float, float, float]:
    low, likely, high = (round(amount / size, 4) for amount in (held.low, held.likely, held.high))
    return low, likely, high


def _amount(pence: float) -> float:
    return round(pence / _PENCE, 4)
