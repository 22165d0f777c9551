"""``circuitmap feeds``: what feeds a point, its RCD, how sure that is, and everything else that goes off with it."""

import argparse
import json
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.cli import FOUND, NOTHING_FOUND, printable

if TYPE_CHECKING:
    from circuitmap.circuits.feeding_says import Line

_WIDE: Final = 100


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file or a text-form folder")
    parser.add_argument(
        "words", metavar="WORDS", nargs="+",
        help="what to look for: “kitchen light”, a room, an id such as P12, a way such as A3",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of words")


def run(args: argparse.Namespace) -> int:
    """Answer; give 1 when nothing in the home is called so."""
    from circuitmap import trade
    from circuitmap.circuits.feeding import what_feeds
    from circuitmap.circuits.feeding_says import as_plain, lines_of
    from circuitmap.home.exchange import open_home
    from circuitmap.memo import Memo
    from circuitmap.places import user_data

    home = open_home(args.home)
    answer = what_feeds(home, trade.load(user_data()), Memo(), " ".join(args.words))
    if args.json:
        print(json.dumps(as_plain(answer), indent=1))
    else:
        print(printable("\n".join(text for line in lines_of(answer) for text in _wrapped(line))))
    return NOTHING_FOUND if answer.feeds or answer.ways or answer.sought.gone else FOUND


def _wrapped(line: "Line") -> list[str]:
    text = line.text.lstrip(" ")
    first = " " * (len(line.text) - len(text))
    return textwrap.wrap(text, _WIDE, initial_indent=first, subsequent_indent=" " * line.hang) or [""]
