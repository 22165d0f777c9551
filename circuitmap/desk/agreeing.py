"""What a person is asked before a switch-off, put together for one card; the rules themselves are the survey's. No Qt.

Until it is settled what feeds a load, every switch-off may take it: nothing is left off the list for want of knowing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from circuitmap.desk.visit_state import IF_OFF_SAYS, everything
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Consent, Device, Load, Point, natural_key
from circuitmap.memo import Memo
from circuitmap.plan.where import room_of
from circuitmap.survey.deduce import deduce
from circuitmap.survey.impact import Loss, blocks, cautions, impact
from circuitmap.survey.taken import other_sources
from circuitmap.trade import Trade
from circuitmap.words import IfOff, OtherSourceKind

_ONE_BY_ONE: Final[tuple[IfOff, ...]] = ("medical", "phone", "security")  # gravest first
_TOLD: Final[tuple[IfOff, ...]] = ("lost work", "spoils", "heating", "resets")


@dataclass(frozen=True, slots=True)
class Sensitive:
    """A load, or another household's point, to be settled by itself before it may lose its supply."""

    point: str
    title: str
    if_off: IfOff
    is_sure: bool
    says: str


@dataclass(frozen=True, slots=True)
class Asked:
    """All that a switch-off asks before it may be opened."""

    devices: tuple[str, ...]
    sensitive: tuple[Sensitive, ...]
    told: tuple[str, ...]
    others: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[OtherSourceKind, ...]


def asked_for(home: Home, trade: Trade, memo: Memo, devices: tuple[str, ...], seen_on: Iterable[str] = ()) -> Asked:
    """Give what a switch-off of some devices asks, from what is known and what is not."""
    losses = impact(home, devices, memo, trade)
    sensitive: dict[str, Sensitive] = {}
    told: dict[str, str] = {}
    rest: list[str] = []
    for loss in sorted(losses, key=_gravity):
        point = home.take(Point, loss.point)
        word: IfOff = loss.load.if_off if loss.load is not None else "nothing"
        if word in _ONE_BY_ONE or point.belongs_to:
            title = _title(home, trade, memo, point, loss.load)
            says = IF_OFF_SAYS[word] if word in _ONE_BY_ONE else f"it belongs to {shorten(point.belongs_to, 30)}"
            sensitive.setdefault(point.id, Sensitive(point.id, title, word, loss.sure, says))
        elif word in _TOLD:
            may = "" if loss.sure else ", perhaps"
            told.setdefault(point.id, f"{_title(home, trade, memo, point, loss.load)}{may}: {IF_OFF_SAYS[word]}")
        elif point.id not in rest:
            rest.append(point.id)
    rest = [i for i in rest if i not in told and i not in sensitive]
    all_off = set(everything(home)) <= set(devices)
    sources = tuple(dict.fromkeys(source.kind for source in other_sources(home)))
    return Asked(
        devices,
        tuple(sensitive.values()),
        tuple(told.values()),
        (*_by_room(home, trade, memo, rest), *_unsettled(home, trade, memo)),
        (*cautions(home, devices, memo, trade), *_more_cautions(home, trade, set(seen_on), all_off=all_off)),
        sources if all_off else (),
    )


def missing_for(home: Home, trade: Trade, memo: Memo, asked: Asked, consent: Consent | None) -> tuple[str, ...]:
    """Give what still stands against opening a switch-off, a sentence each; nothing when it may go off."""
    return tuple(each[:1].upper() + each[1:] for each in blocks(home, asked.devices, consent, memo, trade))


def name_of(home: Home, trade: Trade, memo: Memo, point_id: str) -> str:
    """Give a point's name in a few words: what it feeds or is called, its room, its id."""
    point = home.take(Point, point_id)
    return _title(home, trade, memo, point, next((each for each in point.loads if each.name or each.what), None))


def kind_title(trade: Trade, point: Point) -> str:
    """Give a point's kind in words, twin or more said."""
    title = trade.point(point.kind).title
    if trade.point(point.kind).is_socket_outlet and point.gangs > 1:
        return f"twin {title}" if point.gangs == 2 else f"{point.gangs}-gang {title}"
    return title


def codes(home: Home, devices: Iterable[str]) -> str:
    """Give the codes of some devices, in a list."""
    return ", ".join(way_name(home, i) for i in devices)


def way_name(home: Home, device_id: str) -> str:
    """Give what a device is called: its code, or its kind (with its board, if there are several) when it has no way."""
    device = home.take(Device, device_id)
    if device.way:
        return home.code(device_id)
    alike = sum(1 for other in home.devices_on(device.board) if other.kind == device.kind and not other.way)
    name = f"{device.kind} {device_id}" if alike > 1 else str(device.kind)
    return f"{name} of board {home.letter_of(device.board)}" if len(home.table(Board)) > 1 else name


def _title(home: Home, trade: Trade, memo: Memo, point: Point, load: Load | None) -> str:
    what = shorten((load.name or load.what) if load is not None else point.name, 40) or kind_title(trade, point)
    room = room_of(home, memo, point)
    words = what[:1].upper() + what[1:]
    return f"{words}, {shorten(room.name, 30)} ({point.id})" if room is not None else f"{words} ({point.id})"


def _gravity(loss: Loss) -> tuple[int, tuple[str, int]]:
    order = (*_ONE_BY_ONE, *_TOLD)
    word = loss.load.if_off if loss.load is not None else "nothing"
    return (order.index(word) if word in order else len(order), natural_key(loss.point))


def _by_room(home: Home, trade: Trade, memo: Memo, points: Iterable[str]) -> Iterable[str]:
    rooms: dict[str, dict[str, int]] = {}
    for point_id in points:
        point = home.take(Point, point_id)
        room = room_of(home, memo, point)
        counts = rooms.setdefault(shorten(room.name, 30) if room is not None else "No room said", {})
        counts[point.kind] = counts.get(point.kind, 0) + 1
    for name, counts in rooms.items():
        parts = []
        for kind, count in counts.items():
            row = next(each for each in trade.points() if each.kind == kind)
            parts.append(f"{count} {row.plural if count > 1 else row.title}")
        yield f"{name}: {', '.join(parts)}"


def _unsettled(home: Home, trade: Trade, memo: Memo) -> Iterable[str]:
    known = deduce(home, memo)
    points = [p for p in home.table(Point).values() if p.phase == "existing" and trade.point(p.kind).checkable]
    open_ = sum(1 for p in points if known[p.id].verdict != "settled")
    if open_ and open_ == len(points):
        yield f"No point is settled yet: any of the {open_} may go off." if open_ > 1 else "It may go off."
    elif open_:
        yield f"{open_} point{'s are' if open_ > 1 else ' is'} not settled: any of them may go off as well."


def _more_cautions(home: Home, trade: Trade, seen_on: set[str], *, all_off: bool) -> Iterable[str]:
    if all_off:
        yield "The meter tails and the main switch's own terminals stay live; meter and cut-out are not to be opened."
    points = [p for p in home.table(Point).values() if p.phase == "existing" and trade.point(p.kind).checkable]
    unseen = sum(1 for p in points if p.id not in seen_on)
    if seen_on and unseen:
        count = "1 point was" if unseen == 1 else f"{unseen} points were"
        yield f"{count} not seen on in this visit, and can't settle before that."
    yield "Lock off and label what is off."
