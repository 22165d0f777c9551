"""What a person is asked before a switch-off, put together for one card; the rules themselves are the survey's. No Qt.

Until it is settled what feeds a load, every switch-off may take it: nothing is left off the list for want of knowing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from circuitmap.desk.visit_state import everything
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Consent, Device, Load, Point
from circuitmap.memo import Memo
from circuitmap.plan.where import room_of
from circuitmap.survey.cautions import cautions, may_stay_off
from circuitmap.survey.deduce import deduce
from circuitmap.survey.impact import blocks
from circuitmap.survey.interrupted import Interrupted
from circuitmap.survey.likely import Chances, chances_by_scales, likely_words
from circuitmap.survey.losses import Loss, impact
from circuitmap.survey.taken import other_sources
from circuitmap.survey.weigh import scales_of
from circuitmap.trade import Trade
from circuitmap.words import IfOff, OtherSourceKind

_SETTLED_WITH: Final[tuple[IfOff, ...]] = ("medical", "phone", "security")  # gravest first
_ON_BUTTON: Final = 24  # letters that a tall button holds in one line
CANT_RULE_OUT: Final = "Can't be ruled out"
_SAYS_FIRST: Final[dict[IfOff, str]] = {
    "medical": "It must not simply lose its supply: another supply that was proved, or a carer present, or its way "
    "stays on.",
    "phone": "A telephone is lost with its router, emergency calls too: keep a charged mobile at hand.",
    "security": "Tell whoever watches the alarm.",
    "lost work": "Save the work, shut it down first",
    "spoils": "Keep shut, look at it afterwards",
    "heating": "May lock out, look at it afterwards",
    "resets": "Clock or settings may be lost",
}


@dataclass(frozen=True, slots=True)
class Sensitive:
    """A load, or another household's point, to be settled before it may lose its supply."""

    point: str
    title: str
    if_off: IfOff
    is_sure: bool
    says: str

    @property
    def is_alone(self) -> bool:
        """Whether it is settled by itself; the rest are settled together."""
        return self.if_off == "medical"


@dataclass(frozen=True, slots=True)
class Asked:
    """All that a switch-off asks before it may be opened."""

    devices: tuple[str, ...]
    losses: tuple[Loss, ...]
    sensitive: tuple[Sensitive, ...]
    reminders: Mapping[IfOff, str]
    told: tuple[str, ...]
    others: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[OtherSourceKind, ...]


def asked_for(
    home: Home,
    trade: Trade,
    memo: Memo,
    devices: tuple[str, ...],
    seen_on: Iterable[str] = (),
    chances: Chances | None = None,
    already: Mapping[str, Interrupted] | None = None,
) -> Asked:
    """Give what a switch-off of some devices asks, from what is known and what is not.

    ``already`` tells how long each point has been off in this visit.
    """
    losses = impact(home, devices, memo, trade, chances)
    already = already if already is not None else {}
    sensitive: dict[tuple[str, bool], Sensitive] = {}
    told: dict[str, dict[str, str]] = {}
    rest: dict[str, None] = {}
    for loss in losses:
        point = home.take(Point, loss.point)
        name = _title(home, trade, memo, point, loss.load)
        if loss.word in _SETTLED_WITH or point.belongs_to:
            theirs = f"belongs to {shorten(point.belongs_to, 30)}" if point.belongs_to else ""
            says = "; ".join(each for each in (theirs, *_how_likely(loss), *_already(loss, already)) if each)
            key = (point.id, loss.word == "medical")
            sensitive.setdefault(key, Sensitive(point.id, name, loss.word, loss.sure, says))
        elif loss.word != "nothing":
            lead = CANT_RULE_OUT if loss.is_small else _SAYS_FIRST[loss.word]
            likely = () if loss.is_small else _how_likely(loss)
            told.setdefault(lead, {}).setdefault(point.id, ", ".join((name, *likely, *_already(loss, already))))
        else:
            rest[point.id] = None
    named = {point for point, _ in sensitive} | {point for names in told.values() for point in names}
    all_off = set(everything(home)) <= set(devices)
    sources = tuple(dict.fromkeys(source.kind for source in other_sources(home)))
    words = {loss.word for loss in losses}
    leads = sorted(told, key=CANT_RULE_OUT.__eq__)  # what is unlikely stands last
    old = may_stay_off(home, devices)
    return Asked(
        devices,
        losses,
        tuple(sensitive.values()),
        {word: _SAYS_FIRST[word] for word in _SETTLED_WITH if word in words},
        (*((old,) if old else ()), *(f"{lead}: {'; '.join(told[lead].values())}." for lead in leads)),
        (*_by_room(home, trade, memo, (i for i in rest if i not in named)), *_unsettled(home, trade, memo)),
        (
            *cautions(home, devices, memo, trade, chances, with_losses=False),
            *_more_cautions(home, trade, set(seen_on), all_off=all_off),
        ),
        sources if all_off else (),
    )


def _how_likely(loss: Loss) -> tuple[str, ...]:
    if loss.sure:
        return ()
    return ("perhaps" if loss.chance is None else together_on_line(likely_words(loss.chance, sure=False)),)


def _already(loss: Loss, already: Mapping[str, Interrupted]) -> tuple[str, ...]:
    off = already[loss.point].says if loss.point in already else ""
    return (off,) if off else ()


def chances_now(home: Home, trade: Trade, memo: Memo) -> Chances:
    """Give how likely each way takes each point, weighed once for each state of the home."""
    return memo.get("desk chances", "", (home, trade), lambda: chances_by_scales(scales_of(home, memo, trade)))


def missing_for(
    home: Home, trade: Trade, memo: Memo, asked: Asked, consent: Consent | None, chances: Chances | None = None
) -> tuple[str, ...]:
    """Give what still stands against opening a switch-off, a sentence each; nothing when it may go off."""
    return tuple(capital(each) for each in blocks(home, asked.devices, consent, memo, trade, chances))


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


def capital(sentence: str) -> str:
    """Give a sentence its capital letter; the code it may begin with stays as it is."""
    return sentence[:1].upper() + sentence[1:]


def codes(home: Home, devices: Iterable[str]) -> str:
    """Give the codes of some devices, in a list."""
    return ", ".join(way_name(home, i) for i in devices)


def one_of(names: Iterable[str]) -> str:
    """Give some names as a choice: "A2, A3 or A5"."""
    *most, last = names
    return f"{', '.join(most)} or {last}" if most else last


def together_on_line(text: str) -> str:
    """Keep every figure and its sign on one line."""
    return text.replace(" %", "\u00a0%")


def on_button(which: str, many: int) -> str:
    """Give what goes off in words that fit a button; a long list stands in full above it."""
    return which if len(which) <= _ON_BUTTON else f"these {many}"


def way_name(home: Home, device_id: str) -> str:
    """Give what a device is called: its code, or its kind (with its board, if there are several) when it has no way."""
    device = home.take(Device, device_id)
    if device.way:
        return home.code(device_id)
    alike = sum(1 for other in home.devices_on(device.board) if other.kind == device.kind and not other.way)
    name = f"{device.kind} {device_id}" if alike > 1 else str(device.kind)
    return f"{name} of board {home.letter_of(device.board)}" if len(home.table(Board)) > 1 else name


def _title(home: Home, trade: Trade, memo: Memo, point: Point, load: Load | None) -> str:
    said = (load.name or load.what.partition(" (")[0]) if load is not None else point.name
    what = shorten(said, 40) or kind_title(trade, point).partition(" (")[0]
    room = room_of(home, memo, point)
    words = capital(what)
    return f"{words}, {shorten(room.name, 30)} ({point.id})" if room is not None else f"{words} ({point.id})"


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
