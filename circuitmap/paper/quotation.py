"""A quotation as a document: scope, drawings, what is and isn't included, one price with its basis, cautions.

A quotation is a fixed offer and an estimate a range: the customer never sees the estimator's range here.
"""

import datetime
from typing import Final

from circuitmap.drawing.elevation import BUILD_WORDS, MarkedOut, depth_said
from circuitmap.drawing.elevation import CAUTION as WALL_CAUTION
from circuitmap.extension.estimate_says import (
    CANCELLING,
    amounts_said,
    block_rows,
    charged_said,
    invented_said,
    optional_sums,
    tax_row,
    total_name,
)
from circuitmap.extension.money import show_money
from circuitmap.extension.pricebook import Book
from circuitmap.memo import Memo
from circuitmap.paper.days import day_said as day_said
from circuitmap.paper.figures import Figure, plan_extracts, wall_extracts
from circuitmap.paper.offer import Offer, assumed, cautioned, excluded, included
from circuitmap.paper.typeset import Data, typeset
from circuitmap.trade import Trade

MOST_WALLS: Final = 12  # beyond so many only those that something is marked out on are drawn
_POINT_PER_PX: Final = 0.75
CERTIFICATES: Final = {
    "minor works": "A minor works certificate by the installer",
    "installation certificate": "An electrical installation certificate by the installer",
}


def quotation_pdf(offer: Offer, book: Book, trade: Trade, memo: Memo) -> bytes:
    """Give a quotation as a PDF: text that can be searched, a title, bookmarks, our own font inside.

    Parameters
    ----------
    offer
        What is offered.
    book
        The price book that it was priced by, for its terms.
    """
    walls = list(
        wall_extracts(offer.home, memo, trade, offer.points, offer.paths, offer.gone, on_surface=offer.job.on_surface)
    )
    kept = [wall for n, wall in enumerate(walls) if wall.marked or n < MOST_WALLS]
    figures = [*plan_extracts(offer.home, memo, offer.points, offer.paths, offer.gone), *kept]
    pictures = {f"figure-{n}.svg": figure.svg for n, figure in enumerate(figures)}
    return typeset("quotation", quotation_data(offer, book, figures, len(walls) - len(kept)), pictures)


def quotation_data(offer: Offer, book: Book, figures: list[Figure], undrawn: int = 0) -> Data:
    """Give what the template of the quotation says; ``undrawn`` walls that routes run along are not among figures."""
    priced = offer.priced
    details = offer.home.details
    return {
        "title": title_of(offer),
        "home": details.name,
        "address": details.address,
        "number": offer.number,
        "day": day_said(offer.day),
        "until": day_said(until(offer, book)),
        "draft": invented_said(priced),
        "total": show_money(priced.total, priced.sign),
        "total_says": total_says(offer, book),
        "scope": offer.scope,
        "fit": offer.fit,
        "figures": [_figure(n, figure) for n, figure in enumerate(figures)],
        "wall_caution": f"{_undrawn_said(undrawn)}{WALL_CAUTION}",
        "included": included(offer),
        "excluded": excluded(offer),
        "rows": price_rows(offer, book),
        "provisional": provisional_rows(offer),
        "optional": optional_rows(offer),
        "amounts": amounts_said(book),
        "charged": charged_said(priced),
        "assumptions": assumed(offer, book),
        "papers": papers_said(offer),
        "payment": book.terms.payment,
        "cancelling": CANCELLING,
        "cautions": cautioned(offer),
    }


def title_of(offer: Offer) -> str:
    """Give the title of a quotation."""
    return f"Quotation: {offer.name}" if offer.name else "Quotation"


def until(offer: Offer, book: Book) -> datetime.date | None:
    """Give the last day that the price holds."""
    return offer.day + datetime.timedelta(days=book.terms.validity_days) if offer.day is not None else None


def total_says(offer: Offer, book: Book) -> str:
    """Say in one sentence what the total holds."""
    priced, terms = offer.priced, book.terms
    if terms.tax == "not registered":
        tax = f"no {terms.tax_name} is charged"
    else:
        tax = f"with {terms.tax_name} of {show_money(priced.tax, priced.sign)}"
    return f"One fixed price for the work described here, {tax}, on the assumptions listed."


def price_rows(offer: Offer, book: Book) -> list[tuple[str, str]]:
    """Give the price as rows: blocks, net, tax, total."""
    priced = offer.priced
    return [*block_rows(priced), tax_row(priced, book), (total_name(book), show_money(priced.total, priced.sign))]


def provisional_rows(offer: Offer) -> list[tuple[str, str]]:
    """Give the sums set aside, each with the unknown it is for."""
    return [
        (each.for_what[:1].upper() + each.for_what[1:], show_money(each.charge, offer.priced.sign))
        for each in offer.priced.provisional
    ]


def optional_rows(offer: Offer) -> list[tuple[str, str]]:
    """Give what is offered apart from the total, without tax."""
    sign = offer.priced.sign
    return [(why[:1].upper() + why[1:], show_money(amount, sign)) for why, amount in optional_sums(offer.priced)]


def papers_said(offer: Offer) -> list[str]:
    """Give the certificate and the notification, a sentence each."""
    if offer.papers is None:
        return ["Which certificate and notification the work asks for is settled before it begins."]
    source = offer.papers.source
    return [f"{CERTIFICATES[offer.papers.certificate]}.", f"{offer.papers.says} ({source})"]


def marked_rows(marked: tuple[MarkedOut, ...]) -> list[tuple[str, ...]]:
    """Give what is marked out on a wall as rows of texts."""
    return [
        (
            str(each.number),
            each.what,
            f"{each.from_left_mm} mm",
            f"{each.from_floor_mm} mm" if each.from_floor_mm is not None else "to be agreed",
            f"{each.hole_mm[0]} × {each.hole_mm[1]} mm" if each.hole_mm else "by its maker",
            depth_said(each),
            BUILD_WORDS[each.build],
        )
        for each in marked
    ]


def _undrawn_said(count: int) -> str:
    if not count:
        return ""
    return (
        f"{count} more wall{' that a route runs along is' if count == 1 else 's that routes run along are'} not drawn. "
    )


def _figure(number: int, figure: Figure) -> Data:
    return {
        "file": f"figure-{number}.svg",
        "title": figure.title,
        "wide": figure.wide_px * _POINT_PER_PX,
        "says": figure.says,
        "marked": marked_rows(figure.marked),
        "notes": figure.notes,
    }
