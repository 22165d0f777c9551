"""How often and how long each load has been off already in a visit, from what happened in its switch-offs.

A point that is settled was off with its way. For another, what was seen of it in a switch-off counts for that
switch-off; where neither is known it may have been off, which is kept apart. Pulling a carrier interrupts the whole
home for a moment before and after.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Check, Round
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs import is_open
from circuitmap.memo import Memo
from circuitmap.survey.deduce import deduce
from circuitmap.survey.limits import duration_words, instant
from circuitmap.survey.losses import existing, mains_for_carriers
from circuitmap.survey.taken import Taken, taken

_TIMES: Final = ("never", "once", "twice")


@dataclass(frozen=True, slots=True)
class Interrupted:
    """How often something was without supply in a visit and for how many minutes in all; and how often perhaps."""

    times: int = 0
    minutes: float = 0.0
    perhaps_times: int = 0
    perhaps_minutes: float = 0.0

    @property
    def says(self) -> str:
        """In words, "off 12 min already today, twice"; empty when it was never off."""
        times, minutes, may = self.times, self.minutes, ""
        if not times:
            times, minutes, may = self.perhaps_times, self.perhaps_minutes, "perhaps "
        if not times:
            return ""
        length = duration_words(minutes) if minutes >= 1 else "for a moment"
        how_often = "" if times == 1 else f", {_TIMES[times] if times < len(_TIMES) else f'{times} times'}"
        return f"{may}off {length} already today{how_often}"


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of a switch-off in which the same devices were without supply; seconds, as instants go."""

    start: float
    end: float
    out: Taken


def interruptions(home: Home, memo: Memo, visit: str, now: str = "") -> Mapping[str, Interrupted]:
    """Give for each point that was, or may have been, off in a visit how often and how long.

    A switch-off still open counts until ``now``, a recorded instant; without it until the last thing that happened.
    """
    courses = [(record, _course(home, memo, record, now)) for record in _rounds(home, visit)]
    courses = [(record, course) for record, course in courses if course]
    tripped = {record.id for record, _ in courses if _tripped(record)}
    known = deduce(home, memo)
    seen = {record.id: _seen(home, record) for record, _ in courses}
    found: dict[str, Interrupted] = {}
    for point in existing(home):
        deduced = known[point.id]
        ways = frozenset(deduced.candidates)
        off: list[tuple[float, float]] = []
        perhaps: list[tuple[float, float]] = []
        for record, course in courses:
            outcomes = seen[record.id].get(point.id, frozenset())
            for piece in course:
                _put(piece, ways, outcomes, record.id in tripped, off, perhaps)
        if off or perhaps:
            sure, may = _merged(off), _merged([each for each in perhaps if not _overlaps(each, off)])
            found[point.id] = Interrupted(len(sure), _minutes(sure), len(may), _minutes(may))
    return found


def device_interruptions(home: Home, memo: Memo, visit: str, now: str = "") -> Mapping[str, Interrupted]:
    """Give for each device that was off in a visit, by itself or with what stands over it, how often and how long."""
    off: dict[str, list[tuple[float, float]]] = {}
    perhaps: dict[str, list[tuple[float, float]]] = {}
    for record in _rounds(home, visit):
        for piece in _course(home, memo, record, now):
            for device in piece.out.may:
                where = off if device in piece.out.sure else perhaps
                where.setdefault(device, []).append((piece.start, piece.end))
    found: dict[str, Interrupted] = {}
    for device in off.keys() | perhaps.keys():
        here = off.get(device, [])
        sure, may = _merged(here), _merged([i for i in perhaps.get(device, []) if not _overlaps(i, here)])
        found[device] = Interrupted(len(sure), _minutes(sure), len(may), _minutes(may))
    return found


def _rounds(home: Home, visit: str) -> Iterable[Round]:
    return (record for record in home.sorted(Round) if record.visit == visit and record.events)


def _course(home: Home, memo: Memo, record: Round, now: str) -> list[_Piece]:
    """Give the stretches of a switch-off in which something was off, in order."""
    events = sorted(record.events, key=lambda each: each.at.rstrip("Z"))
    pieces: list[_Piece] = []
    off = frozenset(record.off)
    since = _seconds(events[0].at)
    for event in events:
        at = _seconds(event.at)
        if off and at > since:
            pieces.append(_Piece(since, at, taken(home, off, memo)))
        since, worked = max(since, at), frozenset[str]()
        match event.what:
            case "off":
                worked = frozenset(event.devices)
                off |= worked
            case "trip" | "trip on closing":
                off |= frozenset(event.devices)
            case "on":
                worked = frozenset(event.devices)
                off -= worked
            case "power back":
                worked, off = off, frozenset()
            case _:
                pass
        if mains := mains_for_carriers(home, worked):
            pieces.append(_Piece(at, at, taken(home, mains, memo)))
        if event.what == "power back":
            return pieces
    if off and is_open(record) and now and (until := _seconds(now)) > since:
        pieces.append(_Piece(since, until, taken(home, off, memo)))
    return pieces


def _put(
    piece: _Piece,
    ways: frozenset[str],
    outcomes: frozenset[str],
    tripped: bool,
    off: list[tuple[float, float]],
    perhaps: list[tuple[float, float]],
) -> None:
    """Count a stretch as off, as perhaps off, or not at all for a point that is fed by one of some ways."""
    span = (piece.start, piece.end)
    if ways and ways <= piece.out.sure:
        off.append(span)
    elif ways and not ways & piece.out.may:
        return
    elif outcomes & {"off", "faint glow"}:
        off.append(span)
    elif "still on" not in outcomes or tripped:
        perhaps.append(span)


def _seen(home: Home, record: Round) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = {}
    for check in (home.find(Check, i) for i in home.used_by(record.id)):
        if check is not None and check.round == record.id:
            found.setdefault(check.point, set()).add(check.outcome)
    return {point: frozenset(outcomes) for point, outcomes in found.items()}


def _tripped(record: Round) -> bool:
    return any(event.what in ("trip", "trip on closing") for event in record.events)


def _merged(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Join stretches that touch or overlap: to a load they are one interruption."""
    joined: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def _overlaps(span: tuple[float, float], spans: Iterable[tuple[float, float]]) -> bool:
    return any(span[0] <= end and start <= span[1] for start, end in spans)


def _minutes(spans: Iterable[tuple[float, float]]) -> float:
    return sum(end - start for start, end in spans) / 60


def _seconds(at: str) -> float:
    return instant(at).timestamp()
