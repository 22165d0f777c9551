"""What the commands about readings share: a way named by its code, and tables of figures in plain text."""

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from circuitmap.cli import UsageError

if TYPE_CHECKING:
    from circuitmap.circuits import CircuitView

WIDE: Final = 100
LINK_WORDS: Final = {
    "end to end": "end to end",
    "cross": "cross-linked",
    "same leg": "on the same leg",
    "one leg": "one leg linked",
    "radial": "linked",
}


def way_of(views: "Sequence[CircuitView]", typed: str) -> "CircuitView":
    """Give the way that goes by a code or id.

    Raises
    ------
    UsageError
        When no way is called so.
    """
    bare = "".join(typed.casefold().split())
    for view in views:
        if bare in ("".join(view.code.casefold().split()), view.device.id.casefold()):
            return view
    there = textwrap.shorten(", ".join(view.code for view in views) or "none", 200, placeholder=" …")
    raise UsageError(f"No way is called “{typed}”; there are: {there}.")


def titled(view: "CircuitView") -> str:
    """Give a way's name and what is known of it in one line."""
    from circuitmap.wiring.shape import SHAPE_WORDS

    label = " ".join(view.device.label.split())
    shape = SHAPE_WORDS[view.shape.kind] if view.shape is not None else "no run drawn"
    points = len(view.names)
    named = f"{view.code} {label}" if label else view.code
    return f"{named}: {shape}, {points} point{'' if points == 1 else 's'}"


def table(titles: Sequence[str], rows: Iterable[Sequence[str]], figures: Iterable[int] = ()) -> Iterator[str]:
    """Give the lines of a table; the columns of figures stand to the right, the last column is wrapped to the width."""
    held = [[cell.strip() for cell in row] for row in rows]
    right = frozenset(figures)
    last = len(titles) - 1
    wide = [max(len(row[n]) for row in (titles, *held)) for n in range(last)]
    start = sum(wide) + 2 * last + 2
    for row in (titles, *held):
        cells = [f"{row[n]:>{wide[n]}}" if n in right else f"{row[n]:<{wide[n]}}" for n in range(last)]
        before = "  " + "".join(f"{cell}  " for cell in cells)
        if last in right:
            most = max(len(each[last]) for each in (titles, *held))
            yield f"{before}{row[last]:>{most}}".rstrip()
            continue
        lines = textwrap.wrap(row[last], max(WIDE - start, 20)) or [""]
        yield f"{before}{lines[0]}".rstrip()
        yield from (f"{' ' * start}{line}" for line in lines[1:])


def wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """Wrap a sentence to the width."""
    return textwrap.wrap(text, WIDE, initial_indent=first, subsequent_indent=rest)
