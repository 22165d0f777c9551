"""What a person is asked before a switch-off: who loses what, what to take care of, what must be settled first. No Qt.

Until it is settled what feeds a load, every switch-off may take it: nothing is left off the list for want of knowing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from circuitmap.desk.visit_state import IF_OFF_SAYS, everything, if_off
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Consent, Device, Point, natural_key
from circuitmap.memo import Memo
from circuitmap.plan.where import room_of
from circuitmap.survey.impact import Loss, impact
from circuitmap.survey.kinds import is_carrier, may_not_close
from circuitmap.survey.taken import other_sources
from circuitmap.trade import Trade
from circuitmap.words import IfOff, OtherSourceKind

# A fridge or a clock needs no word of its own: these do.
_ONE_BY_ONE: Final[frozenset[IfOff]] = frozenset({"spoils", "lost work", "heating", "security", "phone", "medical"})
_GRAVEST_FIRST: Final[tuple[IfOff, ...]] = (
    "medical", "phone", "security", "lost work", "spoils", "heating", "resets", "nothing",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Sensitive:
    """A load to be settled with somebody before it may lose its supply."""

    point: str
    title: str
    if_off: IfOff
    is_sure: bool
    says: str


@dataclass(frozen=True, slots=True)
class Asked:
    """All that a switch-off asks before it may be opened."""

    sensitive: tuple[Sensitive, ...]
    others: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[OtherSourceKind, ...]
    is_everything: bool


def asked_for(home: Home, trade: Trade, memo: Memo, devices: tuple[str, ...], seen_on: Iterable[str] = ()) -> Asked:
    """Give what a switch-off of some devices asks, from what is known and what is not."""
    losses = impact(home, devices, memo)
    gravity: dict[str, tuple[IfOff, bool]] = {}
    for loss in losses:
        point = home.take(Point, loss.point)
        gravity[point.id] = (if_off(trade, point), loss.sure)
    sensitive = [
        Sensitive(i, name_of(home, trade, memo, i), grave, sure, IF_OFF_SAYS[grave])
        for i, (grave, sure) in gravity.items()
        if grave in _ONE_BY_ONE
    ]
    sensitive.sort(key=lambda each: (_GRAVEST_FIRST.index(each.if_off), natural_key(each.point)))
    rest = [loss for loss in losses if gravity[loss.point][0] not in _ONE_BY_ONE]
    all_off = set(everything(home)) <= set(devices) and bool(devices)
    sources = tuple(dict.fromkeys(source.kind for source in other_sources(home)))
    return Asked(
        tuple(sensitive),
        tuple(_by_room(home, trade, memo, rest)),
        tuple(_cautions(home, trade, devices, losses, set(seen_on), all_off)),
        sources if all_off else (),
        all_off,
    )


def missing_for(asked: Asked, consent: Consent | None) -> tuple[str, ...]:
    """Give what still stands against opening a switch-off, a sentence each; nothing when it may go off."""
    missing = []
    confirmed = set(consent.confirmed) if consent is not None else set()
    arranged = {a.point for a in consent.arrangements if a.words.strip()} if consent is not None else set()
    for load in asked.sensitive:
        if load.if_off == "medical" and load.point not in arranged:
            missing.append(f"Write down what was arranged for {load.title}, or keep it on.")
        elif load.point not in confirmed:
            missing.append(f"Settle {load.title} with them.")
    if consent is None:
        missing.append("Say who agreed.")
    return tuple(missing)


def name_of(home: Home, trade: Trade, memo: Memo, point_id: str) -> str:
    """Give a point's name in a few words: what it feeds or is called, its room, its id."""
    point = home.take(Point, point_id)
    load = next((each.name or each.what for each in point.loads if each.name or each.what), "")
    what = shorten(point.name or load, 40) or kind_title(trade, point)
    room = room_of(home, memo, point)
    return f"{what}, {shorten(room.name, 30)} ({point_id})" if room is not None else f"{what} ({point_id})"


def kind_title(trade: Trade, point: Point) -> str:
    """Give a point's kind in words, twin or more said."""
    title = trade.point(point.kind).title
    if trade.point(point.kind).is_socket_outlet and point.gangs > 1:
        return f"twin {title}" if point.gangs == 2 else f"{point.gangs}-gang {title}"
    return title


def codes(home: Home, devices: Iterable[str]) -> str:
    """Give the codes of some devices, in a list."""
    return ", ".join(home.code(i) for i in devices)


def _by_room(home: Home, trade: Trade, memo: Memo, losses: list[Loss]) -> list[str]:
    rooms: dict[str, dict[str, int]] = {}
    unsure = 0
    for loss in losses:
        point = home.take(Point, loss.point)
        room = room_of(home, memo, point)
        row = trade.point(point.kind)
        counts = rooms.setdefault(shorten(room.name, 30) if room is not None else "No room said", {})
        counts[row.plural] = counts.get(row.plural, 0) + 1
        unsure += not loss.sure
    said = []
    for name, counts in rooms.items():
        parts = ", ".join(f"{count} {plural}" if count > 1 else f"1 {_one(trade, plural)}" for plural, count in
                          counts.items())  # fmt: skip
        said.append(f"{name}: {parts}")
    if unsure:
        said.append(
            "None of these is settled: any of them may go off."
            if unsure == len(losses)
            else f"{unsure} of these are not settled: they may go off."
        )
    return said


def _one(trade: Trade, plural: str) -> str:
    return next((row.title for row in trade.points() if row.plural == plural), plural)


def _cautions(
    home: Home, trade: Trade, devices: tuple[str, ...], losses: tuple[Loss, ...], seen_on: set[str], all_off: bool
) -> Iterable[str]:
    chosen = [home.take(Device, i) for i in devices]
    points = [home.take(Point, loss.point) for loss in losses]
    rows = [trade.point(point.kind) for point in points]
    if any(row.wet for row in rows) or any(row.kind == "stairlift" for row in rows):
        yield "Nobody in the shower or bath, nobody on a stairlift."
    if any(row.is_light for row in rows):
        yield "Lights may go out: carry a torch, mind the stairs."
    if any(row.fixed_load_w or row.cooking for row in rows) or not points:
        yield "Hob, oven, shower, heaters and irons off at their own switches first; they stay off until the end."
    if any(row.kind == "EV charging point" for row in rows):
        yield "Stop the charging at the car first."
    carriers = [d.id for d in chosen if is_carrier(d)]
    if carriers:
        which = codes(home, carriers)
        yield f"{which}: main switch off, pull the carrier, main switch on. The whole home goes off for it, twice."
    if any(may_not_close(d) for d in chosen):
        yield "An old switch or RCD may not go back on: a neutral that touches earth shows itself then."
    if any(trade.device(d.kind).switches_neutral is False and not is_carrier(d) for d in chosen):
        yield "A single-pole breaker leaves the neutral connected."
    if all_off:
        yield "The meter tails and the main switch's own terminals stay live. Leave meter and cut-out alone."
        if any(source.kind in ("PV", "battery") for source in other_sources(home)):
            yield "Panels keep their d.c. cables live; a battery may feed the home by itself."
    if any(source.kind in ("neighbour", "landlord") for source in other_sources(home)):
        yield "Another household may be fed from here: ask them as well."
    unseen = [p.id for p in points if p.id not in seen_on and trade.point(p.kind).checkable]
    if seen_on and unseen:
        count = "1 point was" if len(unseen) == 1 else f"{len(unseen)} points were"
        yield f"{count} not seen on with the power on, and can't settle unless seen on later."
    yield "Lock off and label what is off. A point that went off is not proved dead."
