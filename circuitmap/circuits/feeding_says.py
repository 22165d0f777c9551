"""The answer to "what feeds this?" in sentences and as plain values; every one ends in what it is not proof of."""

from collections.abc import Iterable
from itertools import groupby
from typing import Final, NamedTuple

from circuitmap.circuits.feeding import MOST_ANSWERED, Candidate, Feed, Lost, Other, Residual, WayFeeds, WhatFeeds
from circuitmap.circuits.which import NOT_PROOF
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Device, Point, Room, natural_key

CAUTION: Final = (
    "Switching off is not isolation: lock off, prove dead at the point of work on every conductor. "
    "What nobody has traced may go off too, and a neutral may come from another circuit."
)
_HOW: Final = {"run": "a cable drawn", "tag": "somebody's word", "round": "a switch-off"}
_NAMED: Final = 5
_LONGEST: Final = 120  # lines are wrapped, so that names stand whole; only a typed essay is cut
_ROOMS: Final = 12
Told = dict[str, object]


class Line(NamedTuple):
    """A line of the answer; ``hang`` is how far in it goes on where it is too long for one."""

    text: str
    hang: int = 0


def headline(answer: WhatFeeds) -> str:
    """Give one sentence about what the words mean."""
    meant = answer.sought
    words = f"“{shorten(meant.words, _LONGEST)}”" if meant.words else "Nothing"
    if not meant.words:
        return "Say what to look for: a point, a room, an id such as P12 or a way such as A3."
    count = len(meant.points)
    if meant.gone:
        gone = ", ".join(f"{point.id} is {_phase(point)}" for point in meant.gone)
        return f"{gone}; nothing feeds it now." if not count else f"{gone}. Of the rest:"
    if count > MOST_ANSWERED:
        return f"{words} fits {count} points; here are the first {MOST_ANSWERED}. Say more, such as the room."
    if count:
        return f"{words} fits {_count(count, 'point')}."
    if meant.by_label:
        fits = "it is" if len(meant.devices) == 1 else "they are"
        return (
            f"No point is called {words}, but a label at the board says so. A label proves nothing; {fits} shown here."
        )
    if meant.devices:
        return f"{words} is {_count(len(meant.devices), 'way')} at the board."
    near = f" Spelled alike: {', '.join(f'“{shorten(each, _LONGEST)}”' for each in meant.near)}." if meant.near else ""
    return f"No point, room or way here is called {words}.{near} Use the main switch. {NOT_PROOF}"


def point_words(point: Point, room: Room | None) -> str:
    """Give a point as one would point at it: what it is, its number, its room, where it is to be found."""
    size = {1: "", 2: "twin "}.get(point.gangs, f"{point.gangs}-gang ") if "socket" in point.kind else ""
    kind = f"{size}{point.kind}"
    what = f"{shorten(point.name, _LONGEST)}, {kind}" if point.name.strip() else kind
    inside = f" in {shorten(room.name, _LONGEST)}" if room is not None else ""
    where = f", {shorten(point.where, _LONGEST)}" if point.where.strip() else ""
    loads = ", ".join(shorten(load.name or load.what, _LONGEST) for load in point.loads[:3])
    fed = f" ({loads})" if loads and loads.casefold() != point.kind else ""
    return f"{point.id} {what}{inside}{where}{fed}"


def device_words(device: Device, code: str) -> str:
    """Give a device by its code, its label as found, its kind and rating."""
    label = f" “{shorten(device.label, _LONGEST)}”" if device.label.strip() else ""
    rating = ""
    if device.rating_a is not None:
        rating = f" {device.curve}{device.rating_a:g}" if device.curve else f" {device.rating_a:g} A"
    return f"{code}{label}, {device.kind}{rating}"


def way_lines(feed: Feed) -> tuple[str, ...]:
    """Give the way, or every way that may be it."""
    if feed.way is not None:
        return (device_words(feed.way.device, feed.way.code),)
    if feed.may_be_any:
        return ("not known: any way of the home may feed it",)
    if not feed.candidates:
        return ("no way is known",)
    first = "may be" if len(feed.candidates) == 1 else f"may be any of {len(feed.candidates)}"
    return (first, *(f"{device_words(each.device, each.code)}: {_by(each)}" for each in feed.candidates))


def sure_words(feed: Feed) -> str:
    """Give by what the way of a point is known, and how sure that is."""
    found = feed.deduced
    if feed.way is not None:
        only = feed.candidates[0]
        chance = f", {_percent(only.chance)} likely" if only.chance is not None else ""
        if "round" in only.by:
            return f"seen on and off in a switch-off{chance}; also by {_hows(only)}" if len(only.by) > 1 else (
                f"seen on and off in a switch-off{chance}"
            )  # fmt: skip
        return "somebody tested it; no switch-off has been made there"
    if found is not None and found.verdict != "unchecked":
        return found.says
    if found is not None and found.says and not feed.candidates:
        return found.says
    if any(each.by for each in feed.candidates):
        return "in doubt: nobody saw it stop working with that way off"
    return "nobody has looked: no switch-off, no cable followed, no word"


def rcd_lines(rcds: Iterable[Residual], local: Point | None) -> tuple[str, ...]:
    """Give the RCDs over a way or some, and what else goes off when one trips."""
    lines = []
    for each in rcds:
        part = each.device.rcd
        facts = [f"{part.trips_ma:g} mA"] if part is not None and part.trips_ma is not None else []
        facts += [f"type {part.type}"] if part is not None and part.type else []
        facts += ["time-delayed"] if part is not None and part.delayed else []
        also = f"; when it trips, {_listed(each.also, _ROOMS)} {_agree(each.also)} off too" if each.also else ""
        lines.append(f"{device_words(each.device, each.code)}{', ' if facts else ''}{' '.join(facts)}{also}")
    if local is not None:
        lines.append(f"{local.id} has one of its own")
    return tuple(lines) or ("none is recorded over it",)


def lost_lines(lost: Lost, unmapped: int) -> tuple[str, ...]:
    """Give what else goes off with a device, room by room, and how much of that nobody knows."""
    lines = []
    by_room: dict[str, list[Other]] = {}
    for other in lost.others:
        by_room.setdefault(other.room.name if other.room is not None else "No room", []).append(other)
    for room, others in list(by_room.items())[:_ROOMS]:
        named = [_other(each) for each in others]
        lines.append(f"{shorten(room, _LONGEST)}: {_listed(named, _NAMED)}")
    if len(by_room) > _ROOMS:
        lines.append(f"and {_count(len(by_room) - _ROOMS, 'room')} more")
    lines += [f"board {b.letter_on_map}" + (f" “{shorten(b.name, _LONGEST)}”" if b.name else "") for b in lost.boards]
    if not lines:
        lines.append("nothing that is known")
    unseen = sum(not other.is_seen for other in lost.others)
    doubts = []
    if unseen:
        doubts.append(f"{unseen} of these by cable or word only (marked ?)")
    if lost.untraced:
        doubts.append(f"{_count(lost.untraced, 'place')} on {lost.code} not traced")
    if unmapped:
        doubts.append(f"{_count(unmapped, 'point')} of the home on no known way")
    if doubts:
        lines.append(f"Not known: {'; '.join(doubts)}: more may go off.")
    return tuple(lines)


def lines_of(answer: WhatFeeds) -> list[Line]:
    """Give the whole answer as lines; points of the same way share what goes off with it."""
    lines = [Line(headline(answer))]
    for _, group in groupby(sorted(answer.feeds, key=by_way), key=by_way):
        feeds = list(group)
        lines.append(Line(""))
        for feed in feeds:
            lines += [Line(point_words(feed.point, feed.room), 2), Line(f"  {feed.says}", 2)]
        first = feeds[0]
        lines += _block("Way", way_lines(first))
        if first.candidates and not first.may_be_any:
            lines += _block("RCD", rcd_lines(first.rcds, first.local_rcd if len(feeds) == 1 else None))
        for says, same in groupby(feeds, key=sure_words):
            those = list(same)
            whose = "" if len(those) == len(feeds) else f"{_listed([f.point.id for f in those], _NAMED)}: "
            lines += _block("How sure", (whose + says,))
        for lost in first.lost:
            title = "Also off" if len(first.lost) == 1 else f"With {lost.code}"
            lines += _block(title, lost_lines(without_points(lost, feeds), answer.unmapped))
    for way in answer.ways:
        lines += [Line(""), Line(device_words(way.lost.device, way.lost.code), 2)]
        lines += _block("RCD", rcd_lines(way.rcds, None))
        lines += _block("Goes off", lost_lines(way.lost, answer.unmapped))
        lines.append(Line(f"  {NOT_PROOF}", 2))
    if answer.feeds or answer.ways:
        lines += [Line(""), Line(CAUTION)]
    return lines


def as_plain(answer: WhatFeeds) -> Told:
    """Give the whole answer as values for a program."""
    return {
        "asked": answer.sought.words,
        "says": headline(answer),
        "points": [_feed(feed) for feed in answer.feeds],
        "points_fitting": len(answer.sought.points),
        "ways": [_way(way) for way in answer.ways],
        "by_label_only": answer.sought.by_label,
        "spelled_alike": list(answer.sought.near),
        "points_on_no_known_way": answer.unmapped,
        "caution": f"{NOT_PROOF} {CAUTION}",
    }


def _feed(feed: Feed) -> Told:
    return {
        "id": feed.point.id,
        "kind": feed.point.kind,
        "name": feed.point.name,
        "room": feed.room.name if feed.room is not None else None,
        "way": feed.way.code if feed.way is not None else None,
        "says": feed.says,
        "how_sure": sure_words(feed),
        "may_be_any_way": feed.may_be_any,
        "candidates": [
            {"code": c.code, "device": c.device.id, "label": c.device.label, "by": list(c.by), "evidence": c.evidence,
             "chance": None if c.chance is None else round(c.chance, 4)}
            for c in feed.candidates
        ],
        "rcds": [_rcd(each) for each in feed.rcds],
        "rcd_at_point": feed.local_rcd.id if feed.local_rcd is not None else None,
        "also_off": [_lost(each) for each in feed.lost],
    }  # fmt: skip


def _way(way: WayFeeds) -> Told:
    return {"says": NOT_PROOF, "rcds": [_rcd(each) for each in way.rcds], "goes_off": _lost(way.lost)}


def _rcd(each: Residual) -> Told:
    part = each.device.rcd
    return {
        "code": each.code,
        "device": each.device.id,
        "trips_ma": part.trips_ma if part is not None else None,
        "type": part.type if part is not None else "",
        "also_off_when_it_trips": list(each.also),
    }


def _lost(lost: Lost) -> Told:
    return {
        "with": lost.code,
        "device": lost.device.id,
        "points": [
            {"id": o.point.id, "kind": o.point.kind, "name": o.point.name,
             "room": o.room.name if o.room is not None else None, "way": o.code, "seen": o.is_seen}
            for o in lost.others
        ],
        "ways": list(lost.ways),
        "boards": [board.letter_on_map for board in lost.boards],
        "places_not_traced": lost.untraced,
    }  # fmt: skip


def without_points(lost: Lost, feeds: list[Feed]) -> Lost:
    """Give what goes off without the points that were asked for."""
    named = {feed.point.id for feed in feeds}
    others = tuple(other for other in lost.others if other.point.id not in named)
    return Lost(lost.device, lost.code, others, lost.ways, lost.boards, lost.untraced)


def by_way(feed: Feed) -> tuple[int, tuple[tuple[str, int], ...]]:
    """Give by what answers are put together and in order: those with one way first, then by their ways."""
    rank = 0 if feed.way is not None else (1 if feed.candidates and not feed.may_be_any else 2)
    return rank, tuple(natural_key(each.device.id) for each in feed.candidates)


def _by(each: Candidate) -> str:
    said = [f"by {_hows(each)}, {each.evidence}"] if each.by and each.evidence else []
    said += [f"{_percent(each.chance)} by the answers and what is likely"] if each.chance is not None else []
    return "; ".join(said) or "not ruled out"


def _hows(each: Candidate) -> str:
    return _listed([_HOW[how] for how in each.by if how != "round"] or [_HOW["round"]], _NAMED)


def _other(other: Other) -> str:
    name = shorten(other.point.name, _LONGEST) if other.point.name.strip() else other.point.kind
    return f"{name} {other.point.id}{'' if other.is_seen else '?'}"


def _block(title: str, lines: Iterable[str]) -> list[Line]:
    return [Line(f"  {title if n == 0 else '':<9} {line}", 14) for n, line in enumerate(lines)]


def _percent(chance: float) -> str:
    if chance >= 0.995:
        return "over 99 %"
    return f"{chance * 100:.0f} %" if chance >= 0.01 else "under 1 %"


def _phase(point: Point) -> str:
    return "planned and not there yet" if point.phase == "planned" else "taken out"


def _listed(names: Iterable[str], most: int) -> str:
    every = list(names)
    if len(every) > most:
        return f"{', '.join(every[:most])} and {len(every) - most} more"
    return " and ".join([", ".join(every[:-1]), every[-1]]) if len(every) > 1 else "".join(every)


def _agree(codes: tuple[str, ...]) -> str:
    return "goes" if len(codes) == 1 else "go"


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
