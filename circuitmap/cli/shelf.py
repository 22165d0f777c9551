"""``circuitmap properties``: a folder of homes, a line each: last visit, open findings, what is due; found by words.

``--json`` prints one object a line and ``--csv`` one row a home, each as soon as it is known. A home that can't be read
is a line too.
"""

import argparse
import datetime
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from circuitmap.cli import FOUND, NOTHING_FOUND, UsageError, printable
from circuitmap.cli.replacing import add_replace, write_new

if TYPE_CHECKING:
    from circuitmap.shelf.due import DueItem
    from circuitmap.shelf.entry import Entry
    from circuitmap.shelf.index import Index
    from circuitmap.trade import Trade

    Row = tuple[Entry, tuple[DueItem, ...], tuple[str, ...]]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("folder", metavar="DIR", type=Path, help="a folder with home files and text forms in it")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="print one JSON object a line")
    form.add_argument("--csv", action="store_true", help="print CSV, with a head line")
    parser.add_argument("--find", metavar="WORDS", default="", help="only homes with these words at a point or a label")
    parser.add_argument("--due", metavar="FILE.ics", type=Path, help="write the days that are due as an iCalendar file")
    parser.add_argument("--without", choices=["address"], help="leave addresses out, and names that give them away")
    add_replace(parser)
    parser.add_argument("--today", metavar="YYYY-MM-DD", type=_day, help=argparse.SUPPRESS)


def run(args: argparse.Namespace) -> int:
    """List the homes; give 1 when words were looked for and are nowhere."""
    from circuitmap.places import user_data
    from circuitmap.shelf.index import Index, cache_folder, version_now
    from circuitmap.shelf.says import HEAD, csv_line, plain, row, says
    from circuitmap.trade import load

    if args.due is not None and args.due.suffix.lower() != ".ics":
        raise UsageError(f"{args.due} must end in .ics.")
    today = args.today or datetime.datetime.now(datetime.UTC).astimezone().date()
    trade = load(user_data())
    shown, kept = 0, []
    with Index(cache_folder(), version_now()) as index:
        if args.csv:
            _out(csv_line(HEAD))
        for each in _rows(args, trade, index):
            entry, items, hits = each
            shown += not entry.problem
            kept.append((entry, items))
            if args.json:
                _out(json.dumps(plain(entry, items, hits, today)) + "\n")
            elif args.csv:
                _out(csv_line(row(entry, items, hits, today)))
            else:
                _out(says(entry, items, hits, today) + "\n")
    if index.why_not:
        sys.stderr.write(printable(f"Nothing of this could be kept for the next time ({index.why_not}).\n"))
    if not shown and not args.json and not args.csv:
        _out(f"No home here has “{args.find}”.\n" if args.find else "There is no home in this folder.\n")
    if args.due is not None:
        _write_due(args.due, kept, args.replace)
    return FOUND if args.find and not shown else NOTHING_FOUND


def _rows(args: argparse.Namespace, trade: "Trade", index: "Index") -> "Iterator[Row]":
    from circuitmap.shelf.due import dues
    from circuitmap.shelf.entry import without_address
    from circuitmap.shelf.listing import listed, matches

    for entry in listed(args.folder, trade, index):
        shown = without_address(entry) if args.without else entry
        hits = matches(shown, args.find)
        if entry.problem:
            yield shown, (), ()
        elif hits or not args.find.strip():
            yield shown, dues(shown, trade), hits


def _write_due(path: Path, kept: "list[tuple[Entry, tuple[DueItem, ...]]]", replace: bool) -> None:
    from circuitmap.shelf.calendar import calendar_of

    data, count = calendar_of(kept)
    if not count:
        sys.stderr.write("Nothing here is due on a day that is known, so no calendar was written.\n")
        return
    write_new({path: data}, replace, "calendar")
    sys.stderr.write(printable(f"Wrote {count} day{'' if count == 1 else 's'} that are due to {path}.\n"))


def _out(text: str) -> None:
    line = text.rstrip("\r\n")
    sys.stdout.write(printable(line) + text[len(line) :])
    sys.stdout.flush()


def _day(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no day; write it as 2026-01-31") from None
