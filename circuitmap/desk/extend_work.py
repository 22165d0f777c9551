"""What the Extend stage has worked out beside the window: options, the range of a price, what changes, a quotation.

Each question holds one home as it was, with a memo of its own. What it needs of the upper floors' weight (routes,
prices, paper) is loaded in the worker, not at the desk's start.
"""

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import TYPE_CHECKING

from circuitmap.home import Home
from circuitmap.home.cable_paths import Path
from circuitmap.home.records import Extension
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from circuitmap.extension.afterwards import Afterwards
    from circuitmap.extension.kinds import Asking, Option
    from circuitmap.extension.price import Priced
    from circuitmap.extension.pricebook import Book


@dataclass(frozen=True, eq=False)
class Laid:
    """All options as they were laid out: for which home, which extension, by which prices."""

    home: Home
    extension: Extension
    asking: "Asking"
    book: "Book"


@dataclass(frozen=True, eq=False)
class Ranged:
    """An option with its price drawn many times."""

    option: "Option"
    priced: "Priced"


class Laying:
    """The question for all options of an extension."""

    def __init__(self, home: Home, extension: Extension, trade: Trade, memo: Memo) -> None:
        self._home, self._extension, self._trade = home, extension, trade
        self._memo = memo.fork()

    def __call__(self, ticket: Ticket) -> Laid:
        """Lay them out."""
        ticket.tick(0, 0, "Prices")
        from circuitmap.extension import pricebook
        from circuitmap.extension.options import options

        book = pricebook.load(own=pricebook.own_path())
        asking = options(self._home, self._extension, self._trade, book, self._memo, ticket)
        return Laid(self._home, self._extension, asking, book)


Drawn = Mapping[str, Mapping[str, Path]]  # paths drawn by hand, by the name of the option and the run they are of


class Redrawing:
    """The question for options with cables as they were drawn by hand, by their names."""

    def __init__(self, laid: Laid, drawn: Drawn, trade: Trade, memo: Memo) -> None:
        self._laid, self._drawn, self._trade, self._memo = laid, drawn, trade, memo.fork()

    def __call__(self, ticket: Ticket) -> "tuple[Laid, Drawn, dict[str, Option]]":
        """Price and check them."""
        return self._laid, self._drawn, dict(_redrawn(self._laid, self._drawn, self._trade, self._memo, ticket))


class Ranging:
    """The question for the range of one option's price: drawn many times, for the estimator alone."""

    def __init__(self, option: "Option", book: "Book") -> None:
        self._option, self._book = option, book

    def __call__(self, ticket: Ticket) -> Ranged:
        """Draw it."""
        from circuitmap.errors import PersonError
        from circuitmap.extension.price import price

        if self._option.taken is None:
            raise PersonError("This way has no price: it can't be laid out.")
        return Ranged(self._option, price(self._option.taken, self._book, self._option.job, ticket=ticket))


class Foreseeing:
    """The question for what changes once planned work is done."""

    def __init__(self, home: Home, extension: str, trade: Trade, memo: Memo) -> None:
        self._home, self._extension, self._trade, self._memo = home, extension, trade, memo.fork()

    def __call__(self, ticket: Ticket) -> "Afterwards":
        """Work it out."""
        ticket.tick(0)
        from circuitmap.extension.afterwards import afterwards

        return afterwards(self._home, self._extension, self._trade, self._memo)


class Quoting:
    """The question for a quotation of what was picked, written to a file: PDF, or XLSX by its ending.

    ``estimates`` asks for the estimator's sheet instead, which is not to be sent to a customer; cables in ``drawn`` are
    laid and priced as they were drawn by hand.
    """

    def __init__(
        self, path: FilePath, home: Home, extension: Extension, trade: Trade, memo: Memo, *, estimates: bool = False,
        drawn: Drawn | None = None,
    ) -> None:  # fmt: skip
        self._estimates, self._drawn = estimates, drawn or {}
        self._path, self._home, self._extension, self._trade = path, home, extension, trade
        self._memo = memo.fork()

    def __call__(self, ticket: Ticket) -> str:
        """Lay the options out as the map is now, and write what was picked; give a sentence on what was written."""
        from circuitmap.drawing.saved import write_whole
        from circuitmap.extension.estimate_says import invented_said
        from circuitmap.extension.money import show_money
        from circuitmap.paper import offer_of, quotation_pdf, quotation_xlsx
        from circuitmap.paper.estimate import NOT_TO_BE_SENT, estimate_xlsx
        from circuitmap.paper.picked import left_undone, picked

        laid = Laying(self._home, self._extension, self._trade, self._memo)(ticket)
        ticket.tick(0, 0, "Quotation")
        by_hand = dict(_redrawn(laid, self._drawn, self._trade, self._memo, ticket))
        chosen = tuple(by_hand.get(option.key, option) for option in picked(laid.asking, self._extension))
        offer = offer_of(
            self._home, self._extension, chosen, laid.book, self._trade, self._memo, fit=laid.asking.fit,
            day=datetime.datetime.now(datetime.UTC).astimezone().date(),
            not_done=left_undone(laid.asking, self._extension, chosen),
        )  # fmt: skip
        if self._estimates:
            content = estimate_xlsx(offer, laid.book)
        elif self._path.suffix.lower() == ".xlsx":
            content = quotation_xlsx(offer, laid.book, self._trade, self._memo)
        else:
            content = quotation_pdf(offer, laid.book, self._trade, self._memo)
        ticket.tick(0, 0, "Writing")  # what was stopped meanwhile is not written
        what = "estimate" if self._estimates else "quotation"
        write_whole(self._path, content, what)
        total = show_money(offer.priced.total, laid.book.terms.sign)
        said = [f"Wrote the {what} ({total}) to {self._path.name}.", *offer.not_done, invented_said(offer.priced)]
        if self._estimates:
            said.insert(1, NOT_TO_BE_SENT)
        return " ".join(each for each in said if each)


def _redrawn(laid: Laid, drawn: Drawn, trade: Trade, memo: Memo, ticket: Ticket) -> "Iterator[tuple[str, Option]]":
    from circuitmap.extension.redrawn import redrawn

    for option in laid.asking.options:
        paths = drawn.get(option.key)
        if paths:
            ticket.tick(0, 0, "Cables drawn by hand")
            yield option.key, redrawn(laid.home, option, paths, trade, laid.book, memo)
