"""``circuitmap open``: the app, or a picture of it. The only command that reaches Qt."""

import argparse
from pathlib import Path

from circuitmap.cli import UsageError

STAGES = ("draw", "survey", "wiring", "readings", "extend", "hand over")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's arguments."""
    parser.add_argument(
        "home",
        nargs="?",
        type=Path,
        help="a home file or text-form folder; a folder of homes to choose from without it",
    )
    parser.add_argument("--picture", type=Path, metavar="FILE", help="write a PNG picture of the window and end")
    parser.add_argument("--theme", choices=("paper", "dark"), help="light or dark, whatever the system says")
    parser.add_argument("--stage", choices=STAGES, default="wiring", help="stage to start in")


def run(args: argparse.Namespace) -> int:
    """Open the app; give its exit code."""
    from circuitmap.desk.main import open_app

    if args.home is not None and args.home.is_dir() and not (args.home / "home.json").exists():
        raise UsageError(
            f"{args.home} is a folder and no home: name one of the homes in it, or start without a name and choose the "
            "folder there."
        )
    return open_app(args.home, args.picture, args.theme, args.stage)
