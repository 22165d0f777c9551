"""``circuitmap new``: make a home file, empty or from a text form."""

import argparse
from pathlib import Path

import msgspec

from circuitmap.cli import NOTHING_FOUND, UsageError, printable


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("name", metavar="NAME", help="what the home is called")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the home file to make")
    parser.add_argument("--from", dest="source", metavar="FOLDER", type=Path, help="a text form to start from")


def run(args: argparse.Namespace) -> int:
    """Make the file."""
    from circuitmap.home import Change, Home
    from circuitmap.home.assets import missing_said
    from circuitmap.home.document import Document
    from circuitmap.home.exchange import TextForm, read_folder

    if args.output.exists():
        raise UsageError(f"{args.output} is already there; choose another name.")
    form = read_folder(args.source) if args.source else TextForm(Home.blank(), (), {})
    details = form.home.details
    named = form.home.apply(Change("Name", ((details, msgspec.structs.replace(details, name=args.name)),)))
    Document.create(args.output, named, form.assets, form.marks, missing=form.missing).close()
    print(printable(" ".join(filter(None, (f"Made {args.output}.", missing_said(tuple(form.missing.values())))))))
    return NOTHING_FOUND
