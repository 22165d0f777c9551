"""``circuitmap practice``: practise surveys on homes whose wiring is known, beside one way at a time on the same homes.

``--json`` prints one object: ``home`` (null for invented homes), ``surveys`` (how many by each method), ``seed``,
``error``, ``trips``, ``left_out`` (points of HOME whose feed nobody knows), ``ways`` and ``points`` (``least``,
``most``), ``manners`` (by the method's name: ``rounds``, ``looks``, ``checks``, ``minutes``, ``wrong`` and ``in_doubt``
each with ``median`` and ``worst`` over the homes; ``points``, ``points_right``, ``points_wrong``, ``points_in_doubt``,
``points_misled`` (a wrong answer would have misled a deduction that trusts every answer), ``points_flagged`` (of those
misled, how many were put in doubt before the end), ``odd``, ``odd_named``, ``trips_found`` (null without trips) and
``most_off`` (how often the listed load interrupted most was)) and ``times_fewer`` (``rounds``, ``checks`` against one
at a time, median of the homes; null when that is what was practised).
"""

import argparse
import json
import math
import re
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.cli import NOTHING_FOUND, UsageError, printable
from circuitmap.cli.manners import add_method, most_off

if TYPE_CHECKING:
    from circuitmap.survey.rehearsal.many import Spread
    from circuitmap.survey.rehearsal.tally import Tally

_HOMES: Final = 200
_MOST_HOMES: Final = 100_000
_WIDE: Final = 100
_NOTHING: Final = "–"
_NOTE: Final = (
    "Minutes are estimates from the table of paces. A practised survey shows what the method can do with such homes "
    "and errors; it says nothing about the wiring of any other home."
)


@dataclass(frozen=True, slots=True)
class _Done:
    """What was practised and what came of it, a row of tallies for each method."""

    home: str | None
    seed: int
    error: float
    trips: bool
    left_out: int
    is_once: bool
    rows: "dict[str, tuple[Tally, ...]]"

    @property
    def first(self) -> "tuple[Tally, ...]":
        """The row of the method that was asked for."""
        return next(iter(self.rows.values()))


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "home", metavar="HOME", type=Path, nargs="?", help="a home whose wiring is known; invented homes without it"
    )
    add_method(parser)
    parser.add_argument("--most", metavar="N", type=int, help="for gentle: how many devices may be off at once")
    parser.add_argument(
        "--error", metavar="SHARE", default="0", help="share of answers that are wrong, from 0 to under 0.5 (0)"
    )
    parser.add_argument(
        "--homes", metavar="N", default=str(_HOMES), help=f"how many homes, or surveys of HOME ({_HOMES})"
    )
    parser.add_argument("--seed", metavar="N", type=int, default=1, help="where the homes and the errors start (1)")
    parser.add_argument("--ways", metavar="N or N-M", default="", help="how many ways the invented homes have")
    parser.add_argument("--trips", action="store_true", help="an RCD trips in the middle of one walk of each survey")
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of words")


def run(args: argparse.Namespace) -> int:
    """Practise, and say how it went."""
    from circuitmap.survey.method import MOST_OFF

    error, homes, ways = _share(args.error), _count(args.homes), _range(args.ways)
    most = most_off(args.most, args.manner, MOST_OFF)
    if ways is not None and args.home is not None:
        raise UsageError("--ways is for invented homes; HOME has the ways that it has.")
    done = _practised(args, error, homes, ways, most)
    if args.json:
        print(json.dumps(_as_json(done), indent=1))
    else:
        print(printable("\n".join(_words(done))))
    return NOTHING_FOUND


def _practised(
    args: argparse.Namespace, error: float, homes: int, ways: tuple[int, int] | None, most: int
) -> _Done:  # fmt: skip
    from circuitmap import trade
    from circuitmap.cli.progress import Progress
    from circuitmap.errors import HomeError
    from circuitmap.home.exchange import open_home
    from circuitmap.memo import Memo
    from circuitmap.places import user_data
    from circuitmap.survey.context import can_deduce
    from circuitmap.survey.method import Method
    from circuitmap.survey.rehearsal.many import COMPARED, Task, hidden, invented, practise

    book = trade.load(user_data())
    name, left_out, is_once = None, 0, False
    tasks: Iterator[Task] | Sequence[Task]
    if args.home is not None:
        home, memo = open_home(args.home), Memo()
        if declined := can_deduce(home):
            raise UsageError(declined)
        name = home.details.name or args.home.name
        is_once = not error and not args.trips
        try:
            tasks, left_out = hidden(home, memo, book, 1 if is_once else homes, args.seed)
        except HomeError as bad:
            raise UsageError(str(bad)) from bad
        total = len(tasks)
    else:
        tasks, total = invented(homes, args.seed, ways), homes
    kinds = tuple(dict.fromkeys((args.manner, COMPARED)))
    with Progress() as progress:
        rows = practise(
            tasks, book, [Method(kind, most) for kind in kinds], error,
            trips=args.trips, ticket=progress.ticket, total=total,
        )  # fmt: skip
    return _Done(name, args.seed, error, args.trips, left_out, is_once, dict(zip(kinds, rows, strict=True)))


# -- what was typed -----------------------------------------------------------------------------------------------


def _share(typed: str) -> float:
    try:
        share = float(typed)
    except ValueError:
        share = math.nan
    if not 0 <= share < 0.5:
        raise UsageError(f"--error is the share of wrong answers, from 0 to under 0.5 such as 0.02, not “{typed}”.")
    return share


def _count(typed: str) -> int:
    if not re.fullmatch(r"\d{1,9}", typed) or not 1 <= int(typed) <= _MOST_HOMES:
        raise UsageError(f"--homes is a number from 1 to {_MOST_HOMES}, not “{typed}”.")
    return int(typed)


def _range(typed: str) -> tuple[int, int] | None:
    from circuitmap.survey.rehearsal.board import MOST_WAYS

    if not typed:
        return None
    found = re.fullmatch(r"\s*(\d{1,4})\s*(?:[-–]\s*(\d{1,4}))?\s*", typed)
    least = int(found[1]) if found is not None else 0
    most = int(found[2] or least) if found is not None else 0
    if not 1 <= least <= most <= MOST_WAYS:
        raise UsageError(f"--ways is a number or a range from 1 to {MOST_WAYS} such as 12-40, not “{typed}”.")
    return least, most


# -- telling ------------------------------------------------------------------------------------------------------


def _as_json(done: _Done) -> dict[str, object]:
    return {
        "home": done.home,
        "surveys": len(done.first),
        "seed": done.seed,
        "error": done.error,
        "trips": done.trips,
        "left_out": done.left_out,
        "ways": {"least": min(t.ways for t in done.first), "most": max(t.ways for t in done.first)},
        "points": {"least": min(t.points for t in done.first), "most": max(t.points for t in done.first)},
        "manners": {kind: _figures(row) for kind, row in done.rows.items()},
        "times_fewer": _times_fewer(done),
    }


def _figures(row: "Sequence[Tally]") -> dict[str, object]:
    from circuitmap.survey.rehearsal.many import spread

    def told(values: Sequence[float]) -> dict[str, float]:
        return {name: round(figure, 2) for name, figure in asdict(spread(values)).items()}

    return {
        "rounds": told([t.rounds for t in row]),
        "looks": told([t.looks for t in row]),
        "checks": told([t.checks for t in row]),
        "minutes": told([t.minutes for t in row]),
        "wrong": told([t.wrong for t in row]),
        "in_doubt": told([t.doubtful for t in row]),
        "points": sum(t.points for t in row),
        "points_right": sum(t.right for t in row),
        "points_wrong": sum(t.wrong for t in row),
        "points_in_doubt": sum(t.doubtful for t in row),
        "points_misled": sum(t.misled for t in row),
        "points_flagged": sum(t.flagged for t in row),
        "odd": sum(t.odd for t in row),
        "odd_named": sum(t.named for t in row),
        "trips_found": None if all(t.trip is None for t in row) else sum(bool(t.trip) for t in row),
        "most_off": max(t.most_off for t in row),
    }


def _times_fewer(done: _Done) -> dict[str, float] | None:
    from circuitmap.survey.rehearsal.many import times_fewer

    if len(done.rows) < 2:
        return None
    ours, theirs = done.rows.values()
    return {
        "rounds": round(times_fewer([t.rounds for t in ours], [t.rounds for t in theirs]), 2),
        "checks": round(times_fewer([t.checks for t in ours], [t.checks for t in theirs]), 2),
    }


def _words(done: _Done) -> Iterator[str]:
    yield from textwrap.wrap(_headline(done), _WIDE)
    yield ""
    columns = [[kind.replace("rounds", "switch-offs") for kind in done.rows]]
    columns += [[texts[n] for texts in map(_column, done.rows.values())] for n in range(len(_TITLES))]
    titles = ["", *_TITLES]
    wide = [max(len(row[n]) for row in columns) for n in range(len(done.rows))]
    for title, row in zip(titles, columns, strict=True):
        if all(cell == _NOTHING for cell in row):
            continue
        cells = "   ".join(f"{cell:<{width}}" for cell, width in zip(row, wide, strict=True))
        yield f"{title:{max(map(len, titles))}}   {cells}".rstrip()
    fewer = _times_fewer(done)
    if fewer is not None:
        yield ""
        yield from textwrap.wrap(
            f"Against one at a time: {fewer['rounds']:g} times fewer switch-offs, {fewer['checks']:g} times fewer "
            f"checks{'' if len(done.first) == 1 else ' (median of the homes)'}.",
            _WIDE,
        )
    yield ""
    yield from textwrap.wrap(_NOTE, _WIDE)


_TITLES: Final = (
    "switch-offs", "checks", "minutes", "wrong at the end", "in doubt at the end",
    "misled by answers", "put in doubt in time", "tripped RCD found",
)  # fmt: skip


def _column(row: "Sequence[Tally]") -> list[str]:
    from circuitmap.survey.rehearsal.many import spread

    points, misled = sum(t.points for t in row), sum(t.misled for t in row)
    tripped = [t.trip for t in row if t.trip is not None]
    return [
        _spread(spread([t.rounds for t in row]), len(row)),
        _spread(spread([t.checks for t in row]), len(row)),
        _spread(spread([round(t.minutes) for t in row]), len(row)),
        _of(sum(t.wrong for t in row), points),
        _of(sum(t.doubtful for t in row), points),
        _of(misled, points),
        _of(sum(t.flagged for t in row), misled) if misled else _NOTHING,
        f"{sum(tripped)} of {len(tripped)}" if tripped else _NOTHING,
    ]


def _spread(figures: "Spread", count: int) -> str:
    return f"{figures.median:.0f}" if count == 1 else f"{figures.median:g}, worst {figures.worst:.0f}"


def _of(some: int, points: int) -> str:
    share = f" ({some / points:.2%})".replace("%", " %") if some else ""
    return f"{some} of {points} points{share}" if points else "no points"


def _headline(done: _Done) -> str:
    row = done.first
    count = len(row)
    errors = f"{done.error:.1%} of answers wrong".replace(".0%", "%").replace("%", " %")
    how = errors if done.error else "no answer wrong"
    how += ", an RCD trips in the middle of one walk" if done.trips else ""
    ways = [t.ways for t in row]
    span = (
        f"{min(ways)} to {max(ways)} ways" if min(ways) < max(ways) else f"{ways[0]} way{'' if ways[0] == 1 else 's'}"
    )
    if done.home is None:
        homes = f"{count} invented homes" if count > 1 else "one invented home"
        return f"Practised on {homes} from seed {done.seed}, {span}, {how}."
    left = ""
    if done.left_out:
        left = f" {done.left_out} point{' was' if done.left_out == 1 else 's were'} left out: nobody knows the feed."
    once = " Without errors every survey of it goes the same, so it was made once." if done.is_once else ""
    times = "once" if count == 1 else f"{count} times from seed {done.seed}"
    return f"Practised on {done.home} {times}, {span}, {row[0].points} points, {how}.{once}{left}"
