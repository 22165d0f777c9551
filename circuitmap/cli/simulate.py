"""``circuitmap simulate``: what a meter would read on a way with something wrong with it, to practise with.

``--json`` prints one object: ``home``, ``way`` (its code), ``device``, ``faults`` (in words; null with ``--hide``),
``seed``, ``noise``, ``contact``, ``as_drawn``, ``into`` (the copy written, or null) and ``readings``, a list of
``test``, ``link`` (or null), ``cores``, ``at`` (a point or the way's device), ``test_v`` (or null), ``value_ohm`` (a
number, ``"open"``, or null where it can't be told), ``typed`` (as the display has it), ``by_plug`` and ``why`` (it
can't be told).
"""

import argparse
import json
import re
from collections.abc import Iterator, Sequence
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.cli import NOTHING_FOUND, UsageError, printable
from circuitmap.cli.ways import LINK_WORDS, table, titled, way_of, wrapped

if TYPE_CHECKING:
    from circuitmap.circuits import CircuitView
    from circuitmap.home import Home
    from circuitmap.readings.simulate import Practice, Simulated
    from circuitmap.readings.told import Told
    from circuitmap.trade import Trade

_STEPS: Final = {"step-1": "ends", "step-2": "cross-n", "step-3": "cross-e"}
_TESTS: Final = "ends (step 1), cross-N (step 2), cross-E (step 3), one-leg, radial, insulation, or all"
_MOST_NOISE: Final = 0.5
_NOTE: Final = "Practice figures worked out from the map; nothing was measured, and nothing here is proof of anything."
_OVER: Final = "OL: over range, open as far as the meter can tell."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file, or the folder of a text form")
    parser.add_argument("--way", metavar="A3", required=True, help="the way that is tested")
    parser.add_argument(
        "--fault", metavar="WORDS", action="append", default=[],
        help="what is wrong, such as “open line between P4 and P5”; may be given again; nothing for a healthy way",
    )  # fmt: skip
    parser.add_argument("--noise", metavar="SHARE", default="1%", help="how far the meter errs, such as 1%% (1%%)")
    parser.add_argument("--seed", metavar="N", type=int, default=1, help="where the luck of the readings starts (1)")
    parser.add_argument(
        "--contact", action="store_true", help="read sockets by a plug, which adds 0.01 to 0.05 Ω each time"
    )
    parser.add_argument(
        "--as-drawn", action="store_true", help="lengths and copper exactly as map and tables have them"
    )
    parser.add_argument("--tests", metavar="NAMES", default="", help=f"which tests: {_TESTS}; those usual for the way")
    parser.add_argument("--into", metavar="FILE", type=Path, help="write a copy of the home with these readings in it")
    parser.add_argument("--hide", action="store_true", help="don't print what is wrong")
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of words")


def run(args: argparse.Namespace) -> int:
    """Simulate the readings, print them, and write the copy that was asked for."""
    from circuitmap import trade
    from circuitmap.circuits import views
    from circuitmap.errors import PersonError
    from circuitmap.home.exchange import open_home
    from circuitmap.memo import Memo
    from circuitmap.places import user_data
    from circuitmap.readings.simulate import Practice, lines_to_simulate, simulate

    practice = Practice(args.seed, _share(args.noise), has_contact=args.contact, is_as_drawn=args.as_drawn)
    if args.into is not None and args.into.exists():
        raise UsageError(f"{args.into} is already there; choose another name.")
    home, book = open_home(args.home), trade.load(user_data())
    view = way_of(views(home, book, Memo()), args.way)
    try:
        faults, words = _faults(args.fault, view, book, home)
        lines = lines_to_simulate(view, _tests(args.tests, view))
        found = simulate(view, book, faults, practice, lines=lines, home=home)
    except PersonError as error:
        raise UsageError(str(error)) from error
    if args.into is not None:
        _write(args.home, args.into, view, found, practice)
    shown = None if args.hide else words
    name = home.details.name or args.home.name
    if args.json:
        answer = _as_json(name, view, shown, practice, found, args.into)
        print(json.dumps(answer, indent=1, allow_nan=False))
    else:
        print(printable("\n".join(_words(home, view, shown, practice, found, args.into))))
    return NOTHING_FOUND


# -- what was typed -----------------------------------------------------------------------------------------------


def _share(typed: str) -> float:
    found = re.fullmatch(r"\s*(\d{0,3}(?:[.,]\d{1,9})?)\s*(%?)\s*", typed)
    share = float(found[1].replace(",", ".")) / (100 if found[2] else 1) if found is not None and found[1] else -1.0
    if not 0 <= share < _MOST_NOISE:
        raise UsageError(f"--noise is a share of the reading such as 1% or 0.01, under 50%, not “{typed}”.")
    return share


def _tests(typed: str, view: "CircuitView") -> tuple[str, ...]:
    from circuitmap.readings.simulate import tests_of

    there = tests_of(view)
    words = ["-".join(word.replace("–", "-").casefold().split()) for word in typed.split(",") if word.strip()]
    if "all" in words:
        return there
    called = {test.casefold(): test for test in there}
    return tuple(called.get(_STEPS.get(word, word), word) for word in words)


def _faults(
    typed: Sequence[str], view: "CircuitView", book: "Trade", home: "Home"
) -> "tuple[list[Told], list[str]]":  # fmt: skip
    from circuitmap.readings.told import parse_fault, words_of

    faults = [parse_fault(text, view, book, home) for text in typed]
    return faults, [words_of(fault, view, book, home) for fault in faults]


# -- the copy -----------------------------------------------------------------------------------------------------


def _write(
    source: Path, into: Path, view: "CircuitView", found: "Sequence[Simulated]", practice: "Practice"
) -> None:  # fmt: skip
    """Write a copy of the home with the readings in it, with its pictures and marks; the home itself stays as it is."""
    import msgspec

    from circuitmap.home import Change
    from circuitmap.home.document import Document
    from circuitmap.home.exchange import read_folder
    from circuitmap.home.file import HomeFile
    from circuitmap.readings.simulate import as_readings

    if source.is_dir():
        home, marks, held, missing = read_folder(source)
    else:
        with Document(HomeFile.open(source, look_only=True)) as document:
            home, marks, held, missing = document.home, document.marked(), document.assets(), document.missing()
    details = home.details
    named = msgspec.structs.replace(details, name=f"{details.name or source.stem} (practice)")
    home = home.apply(Change("Name", ((details, named),)))
    home = home.apply(as_readings(home, view, found, practice))
    Document.create(into, home, held, marks, missing=missing).close()


# -- telling ------------------------------------------------------------------------------------------------------


def _as_json(
    name: str, view: "CircuitView", words: list[str] | None, practice: "Practice", found: "Sequence[Simulated]",
    into: Path | None,
) -> dict[str, object]:  # fmt: skip
    return {
        "home": name,
        "way": view.code,
        "device": view.device.id,
        "faults": words,
        "seed": practice.seed,
        "noise": practice.noise,
        "contact": practice.has_contact,
        "as_drawn": practice.is_as_drawn,
        "into": str(into) if into is not None else None,
        "readings": [
            {
                "test": each.line.test,
                "link": each.line.link,
                "cores": list(each.line.cores),
                "at": each.line.at,
                "test_v": each.line.test_v,
                "value_ohm": "open" if each.value_si == inf else each.value_si,
                "typed": each.typed,
                "by_plug": each.by_plug,
                "why": each.why,
            }
            for each in found
        ],
    }


def _words(
    home: "Home", view: "CircuitView", words: list[str] | None, practice: "Practice", found: "Sequence[Simulated]",
    into: Path | None,
) -> Iterator[str]:  # fmt: skip
    yield from wrapped(f"{titled(view)}. What a practice meter would read:")
    if words is None:
        yield "What is wrong, if anything, is not shown."
    else:
        yield from wrapped(f"With: {'; '.join(words)}." if words else "Nothing is wrong with it.")
    drawn = "lengths and copper as drawn" if practice.is_as_drawn else "true lengths drawn within the map's tolerance"
    plug = "sockets read by a plug" if practice.has_contact else "read at terminals"
    noise = f"{practice.noise * 100:.3g} %"
    yield from wrapped(
        f"Meter: errs by {noise}, steps of {practice.resolution_ohm:g} Ω, {plug}; {drawn}; seed {practice.seed}."
    )
    yield from _ends(found)
    yield from _sweeps(home, view, found)
    yield from _insulation(found)
    yield ""
    if any(each.value_si == inf for each in found):
        yield _OVER
    for why in dict.fromkeys(each.why for each in found if each.why):
        yield from wrapped(f"–: {why}")
    yield from wrapped(_NOTE)
    if into is not None:
        yield from wrapped(f"Recorded in {into}, a copy of the home; {view.code} there has these readings.")


def _ends(found: "Sequence[Simulated]") -> Iterator[str]:
    ends = [each for each in found if each.line.test == "ring end to end"]
    if ends:
        yield from ("", "End to end at the board")
        yield from table(("Conductor", "Ω"), [(each.line.name, _cell(each)) for each in ends], figures=[1])


def _sweeps(home: "Home", view: "CircuitView", found: "Sequence[Simulated]") -> Iterator[str]:
    from circuitmap.memo import Memo
    from circuitmap.plan import rooms_of_points

    read = {(each.line.at, each.line.link, each.line.cores): each for each in found if each.line.test == "linked"}
    if not read:
        return
    columns = list(dict.fromkeys((link, cores) for _, link, cores in read))
    titles = [f"{'–'.join(cores)} {LINK_WORDS[link]}, Ω" for link, cores in columns if link is not None]
    rooms = rooms_of_points(home, Memo())
    rows = []
    for at in dict.fromkeys(at for at, _, _ in read):
        room = rooms.get(at or "")
        where = "Board" if at == view.device.id else at or ""
        cells = [_cell(read[at, *column]) if (at, *column) in read else "" for column in columns]
        rows.append([where, *cells, room.name if room is not None else ""])
    yield from ("", "Point by point")
    yield from table(["Point", *titles, "Room"], rows, figures=range(1, len(titles) + 1))


def _insulation(found: "Sequence[Simulated]") -> Iterator[str]:
    rows = [(each.line.name, _cell(each)) for each in found if each.line.test == "insulation"]
    if rows:
        yield from ("", "Insulation at the board, all legs together")
        yield from table(("Between", "MΩ"), rows, figures=[1])


def _cell(each: "Simulated") -> str:
    return each.typed or "–"
