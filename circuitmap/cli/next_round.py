"""``circuitmap next-switch-off``: what to switch off next, whom to look at, what it is good for, what to heed.

``--json`` prints one object: ``home``, ``manner``, ``kind`` (``look``, ``hunt``, ``group``, ``single``, ``apart``,
``repeat``, ``proof`` or ``done``), ``says``, ``off`` (a list of ``id``, ``code``, ``label``), ``sources_off`` (other
sources to be off at their own isolators), ``points`` (in walk order: ``id``, ``room``, ``words``), ``witnesses``
(``device``, ``code``, ``point``), ``settles`` (points expected to be settled), ``rounds_left`` and ``minutes_left``
(this one counted), ``minutes``, ``operations``, ``why`` and ``cautions`` (lists of sentences).
"""

import argparse
import json
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.cli import NOTHING_FOUND, UsageError, printable
from circuitmap.cli.manners import add_method, most_off

if TYPE_CHECKING:
    from circuitmap.home import Home
    from circuitmap.survey.lines import Line
    from circuitmap.survey.method import Method
    from circuitmap.survey.proposal import Proposal

_WIDE: Final = 100
_NO_ROOM: Final = "In no room"


@dataclass(frozen=True, slots=True)
class _Told:
    home: "Home"
    proposal: "Proposal"
    lines: "tuple[Line, ...]"
    cautions: tuple[str, ...]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file, or the folder of a text form")
    add_method(parser)
    parser.add_argument("--most", metavar="N", type=int, help="for gentle: how many devices may be off at once")
    parser.add_argument(
        "--keep-on", metavar="A3,A5", default="", help="devices that must stay on, beside those recorded as such"
    )
    parser.add_argument("--dark", action="store_true", help="after dusk: no two lighting ways off together")
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of words")


def run(args: argparse.Namespace) -> int:
    """Propose the next switch-off."""
    from circuitmap import trade
    from circuitmap.home.exchange import open_home
    from circuitmap.memo import Memo
    from circuitmap.places import user_data
    from circuitmap.survey.cautions import cautions
    from circuitmap.survey.lines import lines_of
    from circuitmap.survey.method import MOST_OFF, Method
    from circuitmap.survey.planner import propose

    most = most_off(args.most, args.manner, MOST_OFF)
    home = open_home(args.home)
    method = Method(args.manner, most, keep_on=_kept(home, args.keep_on), is_dark=args.dark)
    memo, book = Memo(), trade.load(user_data())
    proposal = propose(home, memo, book, method)
    if proposal.kind == "declined":
        raise UsageError(proposal.says)
    is_done = proposal.kind == "done"
    told = _Told(
        home,
        proposal,
        lines_of(home, memo, book, proposal.points) if proposal.points else (),
        () if is_done else cautions(home, proposal.off, memo, book),
    )
    name = home.details.name or args.home.name
    if args.json:
        print(json.dumps(_as_json(told, name, method), indent=1))
    else:
        print(printable("\n".join(_words(told, name, method))))
    return NOTHING_FOUND


def _kept(home: "Home", typed: str) -> frozenset[str]:
    """Give the devices that were named, by their codes or ids."""
    from circuitmap.home.records import Device

    named = {home.code(i).casefold(): i for i in home.table(Device)} | {i.casefold(): i for i in home.table(Device)}
    words = [word.strip() for word in typed.split(",") if word.strip()]
    if unknown := [word for word in words if word.casefold() not in named]:
        there = ", ".join(home.code(device.id) for device in home.sorted(Device) if device.way) or "none"
        few = textwrap.shorten(there, 200, placeholder=" …")
        raise UsageError(f"No device is called “{unknown[0]}”; there are: {few}.")
    return frozenset(named[word.casefold()] for word in words)


def _as_json(told: _Told, name: str, method: "Method") -> dict[str, object]:
    from circuitmap.home.records import Device

    home, made = told.home, told.proposal
    return {
        "home": name,
        "manner": method.kind,
        "kind": made.kind,
        "says": made.says,
        "off": [{"id": i, "code": home.code(i), "label": home.take(Device, i).label} for i in made.off],
        "sources_off": list(made.sources_off),
        "points": [
            {"id": point, "room": line.room, "words": line.words}
            for point, line in sorted(
                ((point, line) for line in told.lines for point in line.points),
                key=lambda each: made.points.index(each[0]),
            )
        ],
        "witnesses": [{"device": w.device, "code": home.code(w.device), "point": w.point} for w in made.witnesses],
        "settles": round(made.settles, 2),
        "rounds_left": made.rounds_left,
        "minutes": round(made.minutes, 1),
        "minutes_left": round(made.minutes_left, 1),
        "operations": made.operations,
        "why": list(made.why),
        "cautions": list(told.cautions),
    }


def _words(told: _Told, name: str, method: "Method") -> Iterator[str]:
    made = told.proposal
    yield from _wrap(f"{name}, {method.kind.replace('rounds', 'switch-offs')}:")
    yield from _wrap(made.says)
    if made.kind != "done":
        yield from _wrap(_worth(made))
    yield from _switched(told)
    yield from _walked(told)
    yield from _watched(told)
    for title, says in (("Heeded", made.why), ("Before it", told.cautions)):
        if says:
            yield from ("", title)
        for sentence in says:
            yield from _wrap(sentence, "  - ", "    ")


def _worth(made: "Proposal") -> str:
    left = made.rounds_left
    more = "the last one, likely" if left <= 1 else f"{left} switch-offs left, likely, with this one"
    if made.kind == "look":
        more = f"{left - 1} switch-off{'' if left == 2 else 's'} after it, likely"
    settled = round(made.settles)
    worth = f"Expected to settle {settled} point{'' if settled == 1 else 's'}; " if made.off else ""
    said = f"{worth}{more}. About {_minutes(made.minutes)}; {_minutes(made.minutes_left)} to the end of the survey."
    return said[:1].upper() + said[1:]


def _switched(told: _Told) -> Iterator[str]:
    from circuitmap.home.records import Device

    home, made = told.home, told.proposal
    if made.off:
        yield from ("", f"Off ({made.operations} operation{'' if made.operations == 1 else 's'}, both ways)")
    codes = [home.code(i) for i in made.off]
    for code, device in zip(codes, (home.take(Device, i) for i in made.off), strict=True):
        label = f"“{' '.join(device.label.split())}”" if device.label else "no label"
        yield from _wrap(f"{code:{max(map(len, codes))}}  {device.kind}, {label}", "  ", "      ")
    if made.sources_off:
        yield from _wrap(f"Also off, at their own isolators: {', '.join(made.sources_off)}.", "  ", "  ")


def _walked(told: _Told) -> Iterator[str]:
    if told.lines:
        yield from ("", "Look at, in walk order")
    for room, lines in groupby(told.lines, lambda line: line.room or _NO_ROOM):
        yield f"  {room}"
        for line in lines:
            yield from _wrap(f"{line.number:>3}  {line.words}", "  ", "       ")


def _watched(told: _Told) -> Iterator[str]:
    from circuitmap.home.records import Device
    from circuitmap.memo import Memo
    from circuitmap.plan import rooms_of_points

    home, rooms = told.home, rooms_of_points(told.home, Memo())
    tells: dict[str, list[str]] = {}
    for witness in told.proposal.witnesses:
        device = home.take(Device, witness.device)
        name = (
            f"{home.code(device.id)} ({device.kind})"
            if device.way
            else f"the {device.kind} of board {home.letter_of(device.board)} ({device.id})"
        )
        tells.setdefault(witness.point, []).append(name)
    if tells:
        yield from ("", "Leave a lamp in these; look at them in every room and at the end")
    for point, devices in tells.items():
        room = rooms.get(point)
        where = f" ({room.name})" if room is not None and room.name else ""
        yield from _wrap(f"{point}{where} tells of {', '.join(devices)}", "  ", "    ")


def _minutes(minutes: float) -> str:
    whole = max(round(minutes), 1)
    return f"{whole} minute{'' if whole == 1 else 's'}"


def _wrap(text: str, first: str = "", rest: str = "") -> Iterable[str]:
    return textwrap.wrap(text, _WIDE, initial_indent=first, subsequent_indent=rest)
