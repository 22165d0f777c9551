"""``circuitmap share``: a copy of a home to hand on, made anew without what is private."""

import argparse
from pathlib import Path

from circuitmap.cli import NOTHING_FOUND, UsageError, printable


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    from circuitmap.home.sharing import PRIVATE

    parser.add_argument("home", metavar="HOME", type=Path, help="a home file or a text-form folder")
    parser.add_argument(
        "-o", "--output", metavar="COPY", type=Path, required=True,
        help="the home file (.cmap) or text-form folder to make",
    )  # fmt: skip
    parser.add_argument(
        "--without", metavar="WHAT", nargs="+", action="extend", choices=PRIVATE,
        help="leave out only these: " + ", ".join(PRIVATE) + " (the marks); all of them unless said",
    )  # fmt: skip
    parser.add_argument("--name", metavar="NAME", default="", help="what the copy calls the home")
    parser.add_argument("--replace", action="store_true", help="replace the copy that is already there")


def run(args: argparse.Namespace) -> int:
    """Make the copy."""
    from circuitmap.home.exchange import MarkedHome
    from circuitmap.home.looked import look_at
    from circuitmap.home.sharing import PRIVATE
    from circuitmap.shelf.copying import refuse_own_place, shared, write_shared

    refuse_own_place(args.home, args.output)
    if args.output.exists() and not args.replace:
        raise UsageError(f"{args.output} is already there; choose another name, or add --replace.")
    with look_at(args.home) as looked:
        marks = [MarkedHome(moment.name, moment.at, moment.home()) for moment in looked.moments]
        copy = shared(looked.home, marks, looked.asset, tuple(args.without or PRIVATE), args.name)
        write_shared(args.output, copy, args.replace)
    print(printable("\n".join([f"Wrote a copy to hand on: {args.output}.", *copy.says])))
    return NOTHING_FOUND
