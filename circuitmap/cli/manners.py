"""How a method of switching off is named on the command line, in full or in short."""

import argparse
from typing import Final

from circuitmap.cli import UsageError
from circuitmap.survey.method import METHODS, MethodKind

_SHORT: Final[dict[str, MethodKind]] = {
    "fewest": "fewest rounds",
    "gentle": "gentle",
    "single": "one at a time",
    "one-on": "all off, one on",
}
# The trade knows no rounds; the short name is typed, so the long one may say what it means.
_SAID: Final[dict[MethodKind, str]] = {"fewest rounds": "fewest switch-offs"}
MANNERS: Final = ", ".join(
    f"“{_SAID.get(kind, kind)}” ({short})" if short != kind else kind for short, kind in _SHORT.items()
)


def add_method(parser: argparse.ArgumentParser, default: MethodKind | None = "fewest rounds", of: str = "") -> None:
    """Declare ``--method``; ``of`` says first what it goes with, where it doesn't go with everything."""
    parser.add_argument(
        "--method",
        "--manner",
        dest="manner",
        metavar="METHOD",
        type=manner,
        default=default,
        help=f"{of}{MANNERS}; fewest unless said",
    )


def manner(text: str) -> MethodKind:
    """Read a method's name as an argument; spaces, hyphens and commas may be put as one likes.

    Raises
    ------
    UsageError
        When no method is called so.
    """
    named = {**{_bare(kind): kind for kind in METHODS}, **{_bare(short): kind for short, kind in _SHORT.items()}}
    named |= {_bare(said): kind for kind, said in _SAID.items()}
    kind = named.get(_bare(text))
    if kind is None:
        raise UsageError(f"“{text}” is no method; there are: {MANNERS}.")
    return kind


def most_off(most: int | None, kind: MethodKind, usual: int) -> int:
    """Give how many devices may be off at once; only the gentle method asks.

    Raises
    ------
    UsageError
        When it was said for another method, or nothing could go off.
    """
    if most is None:
        return usual
    if kind != "gentle":
        raise UsageError(f"--most goes with --method gentle only; “{_SAID.get(kind, kind)}” has its own way.")
    if most < 1:
        raise UsageError(f"--most is how many devices may be off at once, 1 or more, not {most}.")
    return most


def _bare(text: str) -> str:
    return "-".join(text.replace(",", " ").replace("-", " ").casefold().split())
