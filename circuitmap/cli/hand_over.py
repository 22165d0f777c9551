"""``circuitmap hand-over``: the documents of a home, one by one or all of them."""

import argparse
import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final, get_args

from circuitmap.cli import NOTHING_FOUND, UsageError, printable
from circuitmap.cli.replacing import add_replace, write_new

if TYPE_CHECKING:
    from circuitmap.home.looked import Looked
    from circuitmap.paper.catalogue import Paper
    from circuitmap.paper.wanted import Made, Wanted

_ALL: Final = "all"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    from circuitmap.paper.wanted import LEAVE_OUT, SIZES, Turned

    parser.add_argument("home", metavar="HOME", type=Path, help="a home file, or the folder of a text form")
    parser.add_argument(
        "documents", metavar="DOCUMENT", nargs="*", default=[],
        help="which documents, such as chart; “all” for every one; without any they are listed",
    )  # fmt: skip
    parser.add_argument(
        "-o", "--output", metavar="FILE|FOLDER", type=Path,
        help="the file to write, whose ending says the form, or a folder for several documents",
    )  # fmt: skip
    parser.add_argument("--form", metavar="FORM", help="the form when writing into a folder: pdf, xlsx, csv, svg …")
    parser.add_argument("--size", choices=[size for size in SIZES if size], default="", help="the paper's size")
    parser.add_argument("--turned", choices=[turned for turned in get_args(Turned) if turned], default="")
    parser.add_argument("--large-print", action="store_true", help="large letters and plain words, for tenants")
    parser.add_argument("--of", metavar="ID", default="", help="one board, device or point, such as P12")
    parser.add_argument(
        "--storey", metavar="ID", default="", help="one storey, such as G1; of a drawing, “each” for a file of each"
    )
    parser.add_argument("--scale", metavar="N", type=float, default=0.0, help="of a picture: pixels for each metre")
    parser.add_argument("--dark", action="store_true", help="of a picture: drawn for a dark ground")
    parser.add_argument("--from", dest="earlier", metavar="MARK", help="compare with the home at this mark or day")
    parser.add_argument("--to", dest="later", metavar="MARK", help="hand over the home as it was at this mark or day")
    parser.add_argument(
        "--without", metavar="WHAT", action="append", choices=LEAVE_OUT, default=[],
        help="leave out " + ", ".join(LEAVE_OUT) + "; more than once for several",
    )  # fmt: skip
    parser.add_argument("--day", metavar="YYYY-MM-DD", type=_day, help="the day printed; today unless said")
    add_replace(parser)


def run(args: argparse.Namespace) -> int:
    """Write the documents, or list what there is."""
    from circuitmap.paper.catalogue import PAPERS, CantMakeError, make, paper_named

    if not args.documents:
        width = max((len(paper.name) for paper in PAPERS), default=0)
        print(printable("\n".join(f"{p.name:<{width}}  {p.says} ({', '.join(p.forms)})" for p in PAPERS)))
        return NOTHING_FOUND
    if args.output is None:
        raise UsageError("Say with -o which file or folder to write.")
    every = [name.casefold() for name in args.documents] == [_ALL]
    try:
        papers = list(PAPERS) if every else [paper_named(name) for name in args.documents]
    except CantMakeError as error:
        raise UsageError(str(error)) from None
    into_folder = every or len(papers) > 1 or args.output.is_dir() or not args.output.suffix
    if into_folder:
        _make_folder(args.output)

    import msgspec

    from circuitmap.cli.progress import Progress
    from circuitmap.home.looked import look_at

    said: list[str] = []
    data: dict[Path, bytes] = {}
    with look_at(args.home) as looked, Progress() as progress:
        wanted = msgspec.structs.replace(_wanted(args, looked), ticket=progress.ticket)
        for paper in papers:
            form = _form(paper, args, into_folder)
            try:
                files = make(paper, msgspec.structs.replace(wanted, form=form))
            except CantMakeError as error:
                if not every:
                    raise
                said.append(f"{paper.title}: {error}")
                continue
            for made in files:
                path = _place(paper, made, form, args.output, into_folder, len(files) > 1)
                data[path] = made.data
                said += [f"Wrote {paper.title.lower()} to {path}.", *made.remarks]
    write_new(data, args.replace, "document")
    print(printable("\n".join(said)))
    return NOTHING_FOUND


def _wanted(args: argparse.Namespace, looked: "Looked") -> "Wanted":
    from circuitmap.home.sharing import left_out_of_all
    from circuitmap.memo import Memo
    from circuitmap.paper.wanted import Wanted
    from circuitmap.places import user_data
    from circuitmap.trade import load

    without = frozenset(args.without)
    home = looked.at(args.later) if args.later else looked.home
    earlier = looked.at(args.earlier) if args.earlier else None
    both = [home, *([earlier] if earlier is not None and "history" not in without else [])]
    lighter = left_out_of_all(both, without)
    return Wanted(
        home=lighter[0],
        earlier=lighter[1] if len(lighter) > 1 else None,
        earlier_name=args.earlier or "",
        later_name=args.later or "now",
        trade=load(user_data()),
        memo=Memo(),
        day=args.day or datetime.datetime.now(datetime.UTC).astimezone().date(),
        asset=looked.asset,
        size=args.size,
        turned=args.turned or "",
        large_print=args.large_print,
        subject=args.of,
        storey=args.storey,
        scale=args.scale,
        dark=args.dark,
        leave_out=without,
    )


def _form(paper: "Paper", args: argparse.Namespace, into_folder: bool) -> str:
    if into_folder:
        return args.form if args.form in paper.forms else paper.forms[0]
    return str(args.output.suffix.lower().lstrip("."))


def _place(paper: "Paper", made: "Made", form: str, output: Path, into_folder: bool, parts: bool) -> Path:
    """Give where a file goes: as it was called, or in the folder by its document's name; parts have theirs behind."""
    if not into_folder and not parts:
        return output
    folder, stem = (output, paper.name) if into_folder else (output.parent, output.stem)
    return folder / f"{stem}{f'-{made.part}' if made.part else ''}.{form}"


def _make_folder(path: Path) -> None:
    from circuitmap.errors import FileError

    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(path, f"can't be made a folder ({error.strerror}).", "Choose another place.") from None


def _day(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no day; write it as 2026-01-31") from None
