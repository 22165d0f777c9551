"""``circuitmap readings``: what each reading should be, how far it is off, what is said of it, and what may be behind.

``--json`` prints one object: ``home``, ``ways``, ``supply`` (what belongs to no way: ``readings``, ``verdicts``,
``problems``; null with ``--way``) and ``caution``. A way has ``way`` (its code), ``device``, ``label``,
``shape`` (or null), ``readings`` (``id``, ``test``, ``link``, ``cores``, ``at``, ``by_plug``, ``side``, ``day``,
``value_si``, ``bound``, ``shown``, ``expected_ohm``, ``sd_ohm``, ``off_by_sd``, ``word``, ``level``, ``why``),
``expected`` (what is still to be read: ``test``, ``link``, ``cores``, ``at``, ``expected_ohm``, ``sd_ohm``, ``why``),
``before_after``, ``problems``, ``verdicts``, ``diagnosis`` (``is_settled``, ``causes`` with their ``probability`` and
what each predicts, ``others``, ``next``, ``notes``), ``order`` and ``hunt`` (null unless asked for). Ohms are a number,
``"open"`` where infinite, null where they can't be told; ``off_by_sd`` likewise, ``"open"`` where only what was read or
only what was expected is an open circuit.
"""

import argparse
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.cli import NOTHING_FOUND, printable
from circuitmap.cli.readings_supply import SupplyRead, supply_as_json, supply_in_words, supply_read
from circuitmap.cli.readings_way import WayRead, way_read
from circuitmap.cli.ways import way_of, wrapped

if TYPE_CHECKING:
    from circuitmap.home import Home

_CAUTION: Final = (
    "Computed from the map and from what was recorded, not an inspection. Causes are odds, for the inspector to "
    "decide; nothing here is proof that anything is dead or safe to touch."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file, or the folder of a text form")
    parser.add_argument("--way", metavar="A3", default="", help="only this way, and what is still to be read on it")
    parser.add_argument("--order", action="store_true", help="the order of a ring's points as two sweeps draw it")
    parser.add_argument("--hunt", action="store_true", help="how to begin looking for low insulation on --way")
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of words")


def run(args: argparse.Namespace) -> int:
    """Tell of the readings of a way, or of all."""
    from circuitmap import trade
    from circuitmap.circuits import views
    from circuitmap.cli import UsageError
    from circuitmap.home.exchange import open_home
    from circuitmap.memo import Memo
    from circuitmap.places import user_data

    if args.hunt and not args.way:
        raise UsageError("--hunt looks on one way: name it by --way, such as --way A3.")
    home, memo, book = open_home(args.home), Memo(), trade.load(user_data())
    held = views(home, book, memo)
    wanted = (way_of(held, args.way),) if args.way else held
    ways = [way_read(home, view, book, memo, order=args.order, hunt=args.hunt) for view in wanted]
    supply = None if args.way else supply_read(home, held, book, memo)
    name = home.details.name or args.home.name
    if args.json:
        from circuitmap.cli.readings_json import way_as_json

        answer = {
            "home": name,
            "ways": [way_as_json(way) for way in ways],
            "supply": supply_as_json(supply) if supply is not None else None,
            "caution": _CAUTION,
        }
        print(json.dumps(answer, indent=1, allow_nan=False))
    else:
        print(printable("\n".join(_words(home, name, ways, supply))))
    return NOTHING_FOUND


def _words(home: "Home", name: str, ways: Sequence[WayRead], supply: SupplyRead | None) -> Iterator[str]:
    from circuitmap.cli.readings_words import way_in_a_line, way_in_words
    from circuitmap.memo import Memo
    from circuitmap.plan import rooms_of_points

    found = rooms_of_points(home, Memo())
    rooms = {point: room.name for point, room in found.items() if room is not None and room.name}
    yield name
    yield from wrapped(_CAUTION)
    is_one = supply is None
    if supply is not None:
        yield ""
        yield from supply_in_words(home, supply)
    read = [way for way in ways if is_one or way.residuals]
    for way in read:
        yield ""
        yield from way_in_words(way, rooms, with_expected=is_one)
    rest = [way for way in ways if way not in read]
    if rest:
        yield ""
        yield from (line for way in rest for line in wrapped(way_in_a_line(way), "", "  "))
        yield "What should be read on one of them: --way with its code."
