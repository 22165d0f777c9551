"""``circuitmap quote``: a quotation for what is wished, as PDF or as a spreadsheet."""

import argparse
import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.cli import NOTHING_FOUND, UsageError, printable
from circuitmap.cli.replacing import add_replace, write_new
from circuitmap.home.exchange import open_home

if TYPE_CHECKING:
    from circuitmap.home import Home
    from circuitmap.home.records import Extension

_ENDINGS: Final = (".pdf", ".xlsx")
_CUSTOMER: Final = "customer"
_ESTIMATOR: Final = "estimator"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file, or the folder of a text form")
    parser.add_argument("extension", metavar="EXTENSION", help="the extension, by its id (X1) or its name")
    parser.add_argument(
        "-o", "--output", metavar="QUOTE.pdf", type=Path, required=True, help="the document to write, .pdf or .xlsx"
    )
    parser.add_argument(
        "--option", metavar="NAME", action="append", default=[],
        help="the option to offer, by its name, or “cheapest”; more than once for different requirements; what was "
        "picked unless said",
    )  # fmt: skip
    parser.add_argument("--number", metavar="TEXT", default="", help="the number that the quotation goes by")
    parser.add_argument(
        "--for", dest="reader", choices=(_CUSTOMER, _ESTIMATOR), default=_CUSTOMER,
        help="for the customer (default) one price; for the estimator, as .xlsx, every line with its range and what "
        "makes it uncertain",
    )  # fmt: skip
    parser.add_argument("--day", metavar="YYYY-MM-DD", type=_day, help="the day of the quotation; today unless said")
    add_replace(parser)


def run(args: argparse.Namespace) -> int:
    """Write the quotation."""
    ending = args.output.suffix.lower()
    if args.output.is_dir():
        raise UsageError(f"{args.output} is a folder; name the file to write, such as {args.output / 'quote.pdf'}.")
    if ending not in _ENDINGS:
        raise UsageError(f"A quotation is written as .pdf or .xlsx; {args.output.name} ends in neither.")
    estimates = args.reader == _ESTIMATOR
    if estimates and ending != ".xlsx":
        raise UsageError(f"The estimator's sheet is written as .xlsx; {args.output.name} ends otherwise.")
    home = open_home(args.home)
    extension = _extension(home, args.extension)

    from circuitmap.extension.estimate_says import invented_said, tax_said
    from circuitmap.extension.money import show_money
    from circuitmap.extension.options import options
    from circuitmap.extension.pricebook import load, own_path
    from circuitmap.memo import Memo
    from circuitmap.paper import offer_of, quotation_pdf, quotation_xlsx
    from circuitmap.paper.picked import PickError, left_undone, picked
    from circuitmap.places import user_data
    from circuitmap.trade import load as load_trade

    trade, book, memo = load_trade(user_data()), load(own=own_path()), Memo()
    asking = options(home, extension, trade, book, memo)
    try:
        chosen = picked(asking, extension, args.option)
    except PickError as error:
        raise UsageError(str(error)) from None
    offer = offer_of(
        home, extension, chosen, book, trade, memo,
        fit=asking.fit, day=args.day or datetime.datetime.now(datetime.UTC).astimezone().date(), number=args.number,
        not_done=left_undone(asking, extension, chosen),
    )  # fmt: skip
    if estimates:
        from circuitmap.paper.estimate import NOT_TO_BE_SENT, estimate_xlsx

        write_new({args.output: estimate_xlsx(offer, book)}, args.replace, "estimate")
        said = [f"Wrote the estimate for “{extension.name}” to {args.output}.", NOT_TO_BE_SENT]
    else:
        make = quotation_pdf if ending == ".pdf" else quotation_xlsx
        write_new({args.output: make(offer, book, trade, memo)}, args.replace, "quotation")
        said = [f"Wrote the quotation for “{extension.name}” ({show_money(offer.priced.total, book.terms.sign)}, "
                f"{tax_said(book)}) to {args.output}."]  # fmt: skip
    said += [*book.problems, *offer.not_done, invented_said(offer.priced)]
    print(printable("\n".join(each for each in said if each)))
    return NOTHING_FOUND


def _extension(home: "Home", wanted: str) -> "Extension":
    from circuitmap.home.records import Extension

    every = home.sorted(Extension)
    typed = wanted.strip().casefold()
    found = [x for x in every if x.id.casefold() == typed] or [x for x in every if x.name.casefold() == typed]
    if len(found) == 1:
        return found[0]
    if not every:
        raise UsageError(f"Nothing is required in this home yet, so there is no extension “{wanted}” to quote for.")
    there = ", ".join(f"{x.id} “{x.name}”" for x in every)
    many = "More than one extension is" if found else "No extension is"
    raise UsageError(f"{many} called “{wanted}”; there are: {there}.")


def _day(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no day; write it as 2026-01-31") from None
