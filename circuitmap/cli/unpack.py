"""``circuitmap unpack``: write a home file out as a text form."""

import argparse
from pathlib import Path

from circuitmap.cli import NOTHING_FOUND, UsageError, printable


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("file", metavar="FILE", type=Path, help="the home file")
    parser.add_argument("-o", "--output", metavar="FOLDER", type=Path, required=True, help="the folder to write")
    parser.add_argument("--replace", action="store_true", help="replace the text form that is already there")
    parser.add_argument("--redacted", action="store_true", help="leave out what is private, to hand the copy on")


def run(args: argparse.Namespace) -> int:
    """Write the folder."""
    from circuitmap.home.assets import missing_said
    from circuitmap.home.document import Document
    from circuitmap.home.exchange import write_folder
    from circuitmap.home.file import HomeFile

    if args.output.exists() and not args.replace:
        raise UsageError(f"{args.output} is already there; choose another name, or add --replace.")
    with Document(HomeFile.open(args.file, look_only=True)) as document:
        home, marks, assets, missing = document.home, document.marked(), document.assets(), document.missing()
    if args.redacted:
        from circuitmap.home.sharing import PRIVATE
        from circuitmap.shelf.copying import shared

        what = tuple(each for each in PRIVATE if each != "history")
        home, marks, assets, _ = shared(home, marks, assets.get, what)
    write_folder(args.output, home, marks, assets, replace=args.replace, missing=missing)
    said = f"Unpacked {sum(1 for _ in home.all())} records into {args.output}."
    print(printable(" ".join(filter(None, (said, missing_said(tuple(missing.values())))))))
    return NOTHING_FOUND
