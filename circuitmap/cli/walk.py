"""``circuitmap walk``: the paper sheet of a switch-off, as SVG pages to print."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.cli import NOTHING_FOUND, UsageError, printable
from circuitmap.cli.manners import add_method
from circuitmap.cli.replacing import add_replace, refuse_ending, write_new
from circuitmap.home.exchange import open_home

if TYPE_CHECKING:
    from circuitmap.home import Home
    from circuitmap.memo import Memo
    from circuitmap.survey.paper import Paper
    from circuitmap.trade import Trade

NEXT: Final = "next"
BLANK: Final = "blank"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file, or the folder of a text form")
    parser.add_argument(
        "round", metavar="SWITCH-OFF", help=f"a switch-off by its id, for example S3; “{NEXT}”; or “{BLANK}” for any"
    )
    parser.add_argument(
        "-o", "--output", metavar="SHEET.svg", type=Path, required=True,
        help="the sheet to write; further pages go beside it as SHEET-2.svg and so on",
    )  # fmt: skip
    add_method(parser, None, f"for “{NEXT}”: ")
    parser.add_argument("--all", action="store_true", help="every point, not only those that are to be asked")
    add_replace(parser)


def run(args: argparse.Namespace) -> int:
    """Write the sheet."""
    from circuitmap.drawing.paper_sheet import page_paths, sheet_pages
    from circuitmap.memo import Memo
    from circuitmap.places import user_data
    from circuitmap.trade import load

    if args.output.is_dir():
        raise UsageError(f"{args.output} is a folder; name the file to write, such as {args.output / 'sheet.svg'}.")
    if args.manner is not None and args.round != NEXT:
        raise UsageError(f"--method goes with “{NEXT}” only: a switch-off that is recorded has what it has.")
    refuse_ending(args.output, (".svg",), "A sheet")
    home = open_home(args.home)
    memo, trade = Memo(), load(user_data())
    paper = _paper(home, memo, trade, args)
    if paper is None:
        return NOTHING_FOUND
    if not paper.lines and not paper.left_out:
        raise UsageError(f"{home.details.name or args.home} has no point to look at yet; place or list points first.")
    pages = sheet_pages(home, memo, paper)
    paths = page_paths(args.output, len(pages))
    write_new(dict(zip(paths, pages, strict=True)), args.replace)
    print(printable(_says(paper, paths)))
    return NOTHING_FOUND


def _paper(home: "Home", memo: "Memo", trade: "Trade", args: argparse.Namespace) -> "Paper | None":
    """Give what the sheet says; None, with the reason printed, when nothing is left to switch off."""
    from circuitmap.home.records import Round
    from circuitmap.survey.deduce import can_deduce
    from circuitmap.survey.paper import blank_paper, paper_of_round

    if args.round in (NEXT, BLANK) and (why := can_deduce(home)):
        raise UsageError(why)
    if args.round == BLANK:
        return blank_paper(home, memo, trade)
    if args.round == NEXT:
        return _next_paper(home, memo, trade, args)
    wanted = next((i for i in home.table(Round) if i.casefold() == args.round.strip().casefold()), None)
    if wanted is None:
        there = ", ".join(record.id for record in home.sorted(Round)) or "none"
        raise UsageError(
            f"No switch-off is called “{args.round}”; there are: {there}. “{BLANK}” gives a sheet for any switch-off."
        )
    return paper_of_round(home, memo, trade, wanted, every_point=args.all)


def _next_paper(home: "Home", memo: "Memo", trade: "Trade", args: argparse.Namespace) -> "Paper | None":
    from circuitmap.survey.method import Method
    from circuitmap.survey.paper import paper_beforehand
    from circuitmap.survey.planner import propose

    proposal = propose(home, memo, trade, Method(args.manner) if args.manner is not None else Method())
    if proposal.kind == "declined":
        raise UsageError(proposal.says)
    if proposal.kind == "done":
        print(printable(f"{proposal.says} No sheet was written."))
        return None
    return paper_beforehand(
        home, memo, trade, proposal.off, proposal.sources_off, points=proposal.points,
        watched=proposal.witnesses, every_point=args.all,
    )  # fmt: skip


def _says(paper: "Paper", paths: tuple[Path, ...]) -> str:
    count, many = len(paper.lines), "" if len(paper.lines) == 1 else "s"
    left = ""
    if paper.left_out:
        left = f" Left out: {paper.left_out} of which nothing more is to be asked; --all has them too."
    where = f"{paths[0]}" if len(paths) == 1 else f"{len(paths)} pages: {', '.join(str(path) for path in paths)}"
    return f"{paper.title}: sheet {paper.code} with {count} line{many} in {where}.{left}"
