"""``circuitmap pack``: make a home file from a text form."""

import argparse
from pathlib import Path

from circuitmap.cli import NOTHING_FOUND, UsageError, printable


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("folder", metavar="FOLDER", type=Path, help="the text form: a folder with a home.json")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the home file to make")
    parser.add_argument("--replace", action="store_true", help="replace the home file that is already there")


def run(args: argparse.Namespace) -> int:
    """Make the file."""
    from circuitmap.home.assets import missing_said
    from circuitmap.home.document import Document
    from circuitmap.home.exchange import read_folder

    if args.output.exists() and not args.replace:
        raise UsageError(f"{args.output} is already there; choose another name, or add --replace.")
    form = read_folder(args.folder)
    with Document.create(
        args.output, form.home, form.assets, form.marks, replace=args.replace, missing=form.missing
    ) as document:
        count = sum(1 for _ in document.home.all())
        marks = len(document.marks())
    said = f"Packed {count} records and {marks} mark{'' if marks == 1 else 's'} into {args.output}."
    print(printable(" ".join(filter(None, (said, missing_said(tuple(form.missing.values())))))))
    return NOTHING_FOUND
