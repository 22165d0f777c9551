"""``circuitmap draw``: draw a home's plan as SVG."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.cli import NOTHING_FOUND, UsageError, printable
from circuitmap.cli.replacing import add_replace, refuse_ending, write_new

if TYPE_CHECKING:
    from circuitmap.circuits.views import CircuitView
    from circuitmap.home import Home
    from circuitmap.home.records import Storey

_OTHERWISE: Final = " “circuitmap hand-over HOME drawing” writes it as .dxf and .png as well."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file, or the folder of a text form")
    parser.add_argument("-o", "--output", metavar="PLAN.svg", type=Path, required=True, help="the drawing to write")
    parser.add_argument("--storey", metavar="NAME|LEVEL", help="one storey only, by name or level (0 is the ground)")
    parser.add_argument("--theme", choices=("paper", "dark"), default="paper", help="on light paper (default) or dark")
    parser.add_argument("--circuit", metavar="CODE", help="show one circuit only, by its code, for example A3")
    parser.add_argument(
        "--legend", action=argparse.BooleanOptionalAction, default=True, help="with a legend (default) or without"
    )
    add_replace(parser)


def run(args: argparse.Namespace) -> int:
    """Draw the plan."""
    from circuitmap.circuits.views import views
    from circuitmap.drawing.plan import storeys_in_order
    from circuitmap.drawing.whole import home_svg
    from circuitmap.memo import Memo
    from circuitmap.trade import load

    if args.output.is_dir():
        raise UsageError(f"{args.output} is a folder; name the file to write, such as {args.output / 'plan.svg'}.")
    refuse_ending(args.output, (".svg",), "A plan", _OTHERWISE)
    home, pictures = _opened(args.home)
    storeys = storeys_in_order(home)
    if args.storey is not None:
        storeys = [_storey(storeys, args.storey)]
    memo, trade = Memo(), load()
    only = _circuit(views(home, trade, memo), args.circuit) if args.circuit is not None else None
    text = home_svg(
        home, trade, memo, theme=args.theme, storeys=storeys, only=only, legend=args.legend, pictures=pictures
    )
    write_new({args.output: text}, args.replace)
    count = len(storeys)
    name = home.details.name or "the home"
    print(printable(f"Drew {count} storey{'' if count == 1 else 's'} of {name} in {args.output}."))
    return NOTHING_FOUND


def _opened(path: Path) -> tuple["Home", dict[str, bytes]]:
    """Read a home without claiming it, with the pictures that a drawing can hold."""
    from circuitmap.drawing.saved import sheet_pictures
    from circuitmap.home.exchange import open_home, read_folder
    from circuitmap.home.file import HomeFile
    from circuitmap.home.records import Sheet

    if path.is_dir():
        home = open_home(path)
        assets = {name: data for name, (_, data) in read_folder(path).assets.items()} if home.table(Sheet) else {}
    else:
        file = HomeFile.open(path, look_only=True)
        try:
            home = file.loaded.home
            assets = {sheet.asset: file.asset(sheet.asset)[1] for sheet in home.table(Sheet).values()}
        finally:
            file.close()
    return home, sheet_pictures(home, assets.get)


def _storey(storeys: Sequence["Storey"], wanted: str) -> "Storey":
    named = [s for s in storeys if s.name.casefold() == wanted.strip().casefold()]
    named = named or [s for s in storeys if str(s.level) == wanted.strip()]
    if len(named) == 1:
        return named[0]
    there = ", ".join(f"“{s.name}” (level {s.level})" for s in storeys) or "none"
    many = "More than one storey is" if named else "No storey is"
    raise UsageError(f"{many} called “{wanted}”; there are: {there}.")


def _circuit(circuits: Sequence["CircuitView"], wanted: str) -> "CircuitView":
    found = next((view for view in circuits if view.code.casefold() == wanted.strip().casefold()), None)
    if found is None:
        there = ", ".join(view.code for view in circuits) or "none"
        raise UsageError(f"No circuit has the code “{wanted}”; there are: {there}.")
    return found
