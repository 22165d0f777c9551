"""The guided hunt for low insulation: unplug, take off fixed loads, then open where it tells most for the work.

``begin`` gives the state, ``next_step`` what to do, ``leak_state.take`` the state after it; ``standing`` says what is
known so far. Nothing is called found before it was read alone.

**Source:** the order is common practice, no source; shares and odds are arithmetic of parallel parts.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.readings.insulation import Pair
from circuitmap.readings.leak import Layout, Part, PartRead
from circuitmap.readings.leak_layout import layout_of
from circuitmap.readings.leak_odds import ACCURACY, LEAST_MOHM, Odds, odds_of, shares
from circuitmap.readings.leak_split import By, best_split, by_weight
from circuitmap.readings.leak_state import Asked, Hunt, Step, StepKind, conflict, take, vanished
from circuitmap.readings.leak_told import NEUTRAL_IN, cautions, narrowed, percent, shown, title_of
from circuitmap.readings.verdict import Rules, Shown, Span

SURE: Final = 0.5
MATTERS: Final = 0.15  # a part with less of the leak than this isn't followed up
NEXT_TO_NOTHING_MOHM: Final = 0.01


@dataclass(frozen=True, slots=True)
class Explained:
    """A part as it stands now: what it read (None: not read alone), what share of the leak it explains, how likely."""

    title: str
    sections: frozenset[str]
    span: Span | None
    share: Span | None
    odds: float


@dataclass(frozen=True, slots=True)
class Standing:
    """What a hunt knows so far.

    ``found`` are parts read alone that can't be split further; ``two`` is how likely two leaks share it. ``likely``
    holds sections with their odds, the likeliest first.
    """

    says: str
    parts: tuple[Explained, ...]
    found: tuple[Explained, ...]
    likely: tuple[tuple[str, float], ...]
    two: float
    notes: tuple[str, ...]


def begin(
    view: CircuitView,
    rules: Rules,
    pair: Pair = "L-E",
    *,
    whole: Shown = None,
    accuracy: float = ACCURACY,
    by: By = "minutes",
) -> Hunt:
    """Start a hunt on a circuit.

    Parameters
    ----------
    pair
        The conductors between which it read low.
    whole
        The low reading that gave rise to it, with everything connected as it was found; None to take it first.
    accuracy
        How far the meter may be off, as a share.
    by
        What is to be least: minutes, or openings whatever they cost.
    """
    return started(layout_of(view, rules.trade, pair), rules, whole=whole, accuracy=accuracy, by=by)


def started(
    layout: Layout, rules: Rules, *, whole: Shown = None, accuracy: float = ACCURACY, by: By = "minutes"
) -> Hunt:
    """Start a hunt on sections that are known already."""
    hunt = Hunt(
        layout,
        accuracy=accuracy,
        enough_mohm=rules.value("insulation new Mohm"),
        by=by,
        test_v=(rules.value("insulation usual V"), rules.value("insulation least V")),
        notes=layout.notes,
    )
    return hunt if whole is None else take(hunt, _read_whole(hunt), [whole])


def next_step(hunt: Hunt) -> Step:
    """Give what to do next, or how the hunt ends."""
    layout = hunt.layout
    if not layout.sections:
        return _end(hunt, "stuck", "Nothing of this circuit is on the map, so there is nothing to split.")
    if hunt.rejoined is not None:
        return _after_rejoining(hunt, *hunt.rejoined)
    if layout.pair == "L-N" and (first := _ways_off(hunt, "unplug") | _ways_off(hunt, "switch off")):
        return _taking_off(hunt, "unplug", first, "Nothing may be connected when line to neutral is tested.")
    if not hunt.reads:
        return _read_whole(hunt) if not _is_refused(hunt, layout.whole(hunt.off)) else _stuck(hunt)
    pair = conflict(hunt)
    if pair is not None:
        return _read_again(hunt, *pair)
    gone = vanished(hunt)
    if gone is not None:
        return _gone(hunt, gone.sections)
    if not any(hunt.is_low(read.span) for read in hunt.reads):
        return _nothing_low(hunt)
    odds = odds_of(layout, hunt.reads, hunt.accuracy)
    if not hunt.open_at:
        unplug = _ways_off(hunt, "unplug")
        if unplug:
            return _taking_off(hunt, "unplug", unplug, "More often than the wiring, what is plugged in leaks.")
        switch_off = _ways_off(hunt, "switch off")
        if switch_off and not _is_in(odds, hunt.off):
            why = "Fixed loads come before the wiring: elements, electronics and damp in them."
            return _taking_off(hunt, "switch off", switch_off, why)
    return _follow(hunt, odds)


def standing(hunt: Hunt) -> Standing:
    """Say what is known so far, with how much of the leak each part explains."""
    odds = odds_of(hunt.layout, hunt.reads, hunt.accuracy)
    parts = tuple(_explained(hunt, odds, group.sections, group.ends) for group in _groups(hunt))
    found = tuple(each for each in parts if _is_found(hunt, each))
    likely = sorted(odds.by_section.items(), key=lambda pair: (-pair[1], pair[0]))
    notes = list(hunt.notes)
    lowest = min((read.span.most for read in hunt.reads), default=inf)
    if lowest <= NEXT_TO_NOTHING_MOHM and hunt.layout.pair in ("N-E", "L+N-E"):
        notes.append(NEUTRAL_IN)
    return Standing(_says(hunt, parts, found, odds), parts, found, tuple(likely), odds.two, tuple(notes))


# what is followed up ----------------------------------------------------------------------------------------------


def _follow(hunt: Hunt, odds: Odds) -> Step:
    groups = sorted(_groups(hunt), key=lambda part: (-odds.of(part.sections), sorted(part.sections)))
    found = 0
    for part in groups:
        explained = _explained(hunt, odds, part.sections, part.ends)
        if _is_found(hunt, explained):
            found += 1
            continue
        if explained.odds < (SURE if found else MATTERS / 2) or _is_sound(hunt, explained):
            continue
        if part.is_readable and explained.span is None and explained.odds < SURE:
            unread = [p for p in groups if p.is_readable and not _is_off(hunt, p) and _may_be_read(hunt, p.sections)]
            if unread:
                return _read_parts(hunt, unread)
        step = _look_into(hunt, part, explained)
        if step is not None:
            return step
    if found:
        return _end(hunt, "found", standing(hunt).says, "Mend it, then read the whole circuit again before it goes on.")
    low = [read for read in hunt.reads if hunt.is_low(read.span)]
    every = [_explained(hunt, odds, part.sections, part.ends) for part in groups]
    if low and all(_is_sound(hunt, each) for each in every):
        says = "No part reads low by itself: together they come to that reading."
        return _end(hunt, "spread", says, "Age or damp all along rather than one leak; compare it next time.")
    return _stuck(hunt)


def _look_into(hunt: Hunt, part: Part, explained: Explained) -> Step | None:
    layout, keys = hunt.layout, part.sections
    if _is_off(hunt, part):
        return _among_equipment(hunt, keys)
    fixed = [key for key in keys if layout.by_key[key].kind == "equipment" and len(keys) > 1]
    split = best_split(layout, keys, hunt.off, hunt.shut, hunt.by)
    if split is not None:
        return _open(hunt, split.place, split.cost)
    loose = [key for key in fixed if layout.by_key[key].record in hunt.open_at or "undrawn" in keys]
    if loose and not any(_is_refused(hunt, frozenset((key,))) for key in loose):
        return _take_off(hunt, keys, loose)
    if explained.span is not None:
        return None
    if part.is_readable:
        return _read_parts(hunt, [part], "read alone") if _may_be_read(hunt, keys) else None
    unit = next((unit for unit in _units_beside(layout, keys) if unit not in hunt.shut), None)
    return _open(hunt, unit, layout.place[unit].minutes) if unit is not None else None


def _among_equipment(hunt: Hunt, keys: frozenset[str]) -> Step | None:
    layout = hunt.layout
    weights = {key: layout.by_key[key].weight for key in keys}
    likeliest = by_weight(keys, weights)
    if len(keys) == 1 or hunt.open_at:
        one = next(
            (key for key in sorted(keys, key=lambda k: -weights[k]) if _may_be_read(hunt, frozenset((key,)))), None
        )
        if one is None:
            return None
        title = layout.by_key[one].title
        says = f"Read {title} alone: {hunt.test_v[1]:g} V, line and neutral joined, to earth."
        asked = (Asked(title, frozenset((one,)), layout.by_key[one].record),)
        return _step(hunt, "read alone", says, "Only its own reading makes it certain.", asked)
    back = frozenset(likeliest)
    sections = layout.whole(hunt.off - back)
    if not _may_be_read(hunt, sections):
        return None
    title = _listed_titles(layout, likeliest)
    says = f"Connect back {title} only, everything else stays off, and read the whole at the board."
    asked = (Asked(f"the circuit with {title}", sections),)
    minutes = sum(layout.by_key[key].minutes for key in likeliest) + layout.read_minutes
    return _step(hunt, "connect back", says, "It halves what was taken off.", asked, minutes=minutes)


def _groups(hunt: Hunt) -> list[Part]:
    """Give the parts as they are, and what is off as far as readings tell it apart."""
    layout = hunt.layout
    found = list(layout.parts(hunt.open_at, hunt.off))
    taken: dict[tuple[bool, ...], set[str]] = {}
    for key in sorted(hunt.off - layout.units):
        taken.setdefault(tuple(key in read.sections for read in hunt.reads), set()).add(key)
    return [*found, *(Part(frozenset(keys), ()) for keys in taken.values())]


def _explained(hunt: Hunt, odds: Odds, keys: frozenset[str], ends: tuple[str, ...] = ()) -> Explained:
    read = hunt.read_of(keys)
    share = None
    if read is not None:
        around = [other.span for other in hunt.reads if keys < other.sections]
        whole = min(around, key=_most, default=read.span)
        share = shares(whole, read.span, hunt.accuracy)
    where = next((end for end in reversed(hunt.open_at) if end in ends), "")
    return Explained(title_of(hunt.layout, keys, where), keys, read.span if read else None, share, odds.of(keys))


def _is_found(hunt: Hunt, explained: Explained) -> bool:
    """Whether a part was read alone, low, and nothing splits it further."""
    if explained.span is None or not hunt.is_low(explained.span) or _is_sound(hunt, explained):
        return False
    keys = explained.sections
    if keys <= hunt.off:
        return len(keys) == 1
    fixed = any(hunt.layout.by_key[key].kind == "equipment" for key in keys) and len(keys) > 1
    if fixed and not any(_is_refused(hunt, frozenset((key,))) for key in keys):
        return False
    return best_split(hunt.layout, keys, hunt.off, hunt.shut, hunt.by) is None


def _is_sound(hunt: Hunt, explained: Explained) -> bool:
    """Whether a part was read and holds too little of the leak to be followed up."""
    if explained.span is None or explained.share is None:
        return False
    return explained.span.least >= hunt.enough_mohm or explained.share.most < MATTERS


def _is_in(odds: Odds, off: frozenset[str]) -> bool:
    return bool(off) and odds.of(off) > 1 - MATTERS


def _is_off(hunt: Hunt, part: Part) -> bool:
    return part.sections <= hunt.off


def _is_refused(hunt: Hunt, sections: frozenset[str]) -> bool:
    return sections in hunt.unread


def _may_be_read(hunt: Hunt, sections: frozenset[str]) -> bool:
    return hunt.read_of(sections) is None and not _is_refused(hunt, sections)


def _units_beside(layout: Layout, keys: frozenset[str]) -> list[str]:
    ends = [
        (at, load)
        for cable in layout.cables
        if cable.key in keys
        for at, load in ((cable.a, cable.a_load), (cable.b, cable.b_load))
    ]
    return [at for at, load in ends if load and at in layout.units]


def _ways_off(hunt: Hunt, how: str) -> frozenset[str]:
    here = hunt.layout.sections
    keys = {section.key for section in here if section.comes_off == how and section.key not in hunt.off}
    return frozenset(keys | (hunt.layout.units - hunt.off if how == "switch off" else set()))


# the steps --------------------------------------------------------------------------------------------------------


def _step(
    hunt: Hunt,
    kind: StepKind,
    says: str,
    why: str,
    asked: tuple[Asked, ...],
    *,
    at: str = "",
    off: frozenset[str] | None = None,
    minutes: float | None = None,
    left: float | None = None,
) -> Step:
    off = hunt.off if off is None else off
    equipment = {section.key for section in hunt.layout.sections if section.kind == "equipment"}
    connected = any(
        each.sections & (equipment if kind in ("connect back", "read alone") else equipment - off) for each in asked
    )
    minutes = hunt.layout.read_minutes * len(asked) if minutes is None else minutes
    return Step(
        kind=kind,
        says=says,
        why=why,
        asked=asked,
        at=at,
        off=off,
        minutes=minutes,
        left=minutes if left is None else left,
        test_v=hunt.test_v[1 if connected else 0],
        cautions=cautions(has_equipment=connected),
    )


def _read_whole(hunt: Hunt) -> Step:
    says = "Take line and neutral of the circuit out of the board, hold all its legs together, and read the whole."
    asked = (Asked("the whole circuit", hunt.layout.whole(hunt.off)),)
    return _step(hunt, "read whole", says, "Everything that follows is compared with it.", asked)


def _taking_off(hunt: Hunt, kind: StepKind, keys: frozenset[str], why: str) -> Step:
    layout = hunt.layout
    off = hunt.off | keys
    minutes = sum(layout.by_key[key].minutes for key in keys if key in layout.by_key) + layout.read_minutes
    said = {
        "unplug": "Unplug everything on the circuit and switch every fused connection unit off; then read the whole.",
        "switch off": "Switch off or take off the fixed loads, lamps and electronics among them; then read the whole.",
    }[kind]
    return _step(hunt, kind, said, why, (Asked("the whole circuit", layout.whole(off)),), off=off, minutes=minutes)


def _open(hunt: Hunt, place: str, left: float) -> Step:
    layout = hunt.layout
    here = layout.place[place]
    parts = [part for part in layout.parts((*hunt.open_at, place), hunt.off) if place in part.ends]
    asked = tuple(Asked(title_of(layout, part.sections, place), part.sections, place) for part in parts)
    says = f"Open {here.title}, take the cables out, keep them apart, and read each part there."
    why = f"It parts what is left best for the work{f'; {here.why}' if here.why else ''}."
    minutes = here.minutes + layout.read_minutes * len(asked)
    return _step(hunt, "open", says, why, asked, at=place, minutes=minutes, left=max(left, minutes))


def _take_off(hunt: Hunt, keys: frozenset[str], loose: list[str]) -> Step:
    layout = hunt.layout
    rest = keys - set(loose)
    titles = _listed_titles(layout, loose)
    asked = (
        Asked(title_of(layout, rest), rest, layout.by_key[loose[0]].record),
        *(Asked(layout.by_key[key].title, frozenset((key,)), layout.by_key[key].record) for key in loose),
    )
    minutes = layout.take_off_minutes * len(loose) + layout.read_minutes * len(asked)
    says = f"Take off {titles}, and read it and what is left, each alone."
    return _step(hunt, "take off", says, "Equipment before wiring.", asked, off=hunt.off | set(loose), minutes=minutes)


def _read_parts(hunt: Hunt, parts: Iterable[Part], kind: StepKind = "read parts") -> Step:
    layout = hunt.layout
    wheres = [(part, next((end for end in reversed(hunt.open_at) if end in part.ends), "")) for part in parts]
    asked = tuple(Asked(title_of(layout, part.sections, where), part.sections, where) for part, where in wheres)
    if kind == "read alone":
        says = f"Read {asked[0].title} alone, nothing else joined to it."
        return _step(hunt, kind, says, "Only its own reading makes it certain.", asked)
    says = "Keep apart what is parted already and read each part by itself; nothing more needs opening."
    return _step(hunt, kind, says, "It costs a minute a part.", asked)


def _read_again(hunt: Hunt, older: PartRead, newer: PartRead) -> Step:
    layout = hunt.layout
    title = title_of(layout, newer.sections)
    says = f"Read {title} again: {shown(newer.span)}, and {title_of(layout, older.sections)} read {shown(older.span)}."
    why = "Together can't read higher than a part of it: one was read otherwise, or damp or a contact moved."
    return _step(hunt, "read again", says, why, (Asked(title, newer.sections),))


def _gone(hunt: Hunt, sections: frozenset[str]) -> Step:
    layout = hunt.layout
    says = "All of it was read since, part by part, and none of it is low: the leak went away."
    if not hunt.open_at:
        return _end(hunt, "gone", says, "Damp that dried, or equipment that was off: read the whole again later.")
    place = hunt.open_at[-1]
    before = [part for part in layout.parts(hunt.open_at[:-1], hunt.off) if _was_split(layout, part, place)]
    asked = (Asked(f"{layout.place[place].title} joined again", before[0].sections),)
    says = f"{says} Join {layout.place[place].title} again as it was and read it together."
    why = "Opening moves terminals and pinched cables: low again means it is there."
    return _step(hunt, "rejoin", says, why, asked, at=place, minutes=layout.rejoin_minutes + layout.read_minutes)


def _was_split(layout: Layout, part: Part, place: str) -> bool:
    return place in part.sections


def _after_rejoining(hunt: Hunt, place: str, is_low: bool) -> Step:
    title = hunt.layout.place[place].title
    if is_low:
        says = f"Low while {title} is joined, high when it is open: its terminals, or a cable end in its box."
        return _end(hunt, "found", says, "Not certain: remake it, then read the whole again.")
    says = f"It stays high with {title} joined again: damp that dried, or a contact that opening it moved."
    return _end(hunt, "gone", says, "Not found: look at that box well, and read the whole again on a damp day.")


def _nothing_low(hunt: Hunt) -> Step:
    says = f"Nothing reads below {hunt.enough_mohm:g} MΩ: there is no leak to look for."
    why = "What was taken off beforehand may hold it: read that by itself." if hunt.off else ""
    return _end(hunt, "nothing low", says, why)


def _stuck(hunt: Hunt) -> Step:
    if not hunt.reads:
        return _end(hunt, "stuck", "The whole circuit wasn't read, so there is nothing to compare with.")
    odds = odds_of(hunt.layout, hunt.reads, hunt.accuracy)
    groups = [part for part in _groups(hunt) if not _is_sound(hunt, _explained(hunt, odds, part.sections))]
    best = max(groups or _groups(hunt), key=lambda part: odds.of(part.sections))
    says = f"It can't be narrowed further here: {narrowed(hunt.layout, best.sections)}."
    return _end(
        hunt, "stuck", says, " ".join(hunt.layout.notes) or "Nothing more can be opened or read; not confirmed."
    )


def _end(hunt: Hunt, kind: StepKind, says: str, why: str = "") -> Step:
    return Step(kind=kind, says=says, why=why, off=hunt.off)


# sentences --------------------------------------------------------------------------------------------------------


def _says(hunt: Hunt, parts: tuple[Explained, ...], found: tuple[Explained, ...], odds: Odds) -> str:
    if not hunt.reads:
        return "Nothing was read yet."
    if found:
        said = [
            f"{each.title}: {shown(each.span)} alone, {percent(each.share)} of the leak"
            for each in found
            if each.span and each.share
        ]
        lead = "Found: " if len(said) == 1 else f"{len(said)} leaks share it. "
        more = " More of it is elsewhere." if odds.two > SURE and len(found) < 2 else ""
        return f"{lead}{'; '.join(said)}.{more}"
    if not any(hunt.is_low(read.span) for read in hunt.reads):
        return "Nothing reads low."
    best = max(parts, key=lambda each: each.odds)
    said_two = " Two leaks may share it." if odds.two > SURE else ""
    return f"Most likely {narrowed(hunt.layout, best.sections)} ({best.odds:.0%}), not read alone yet.{said_two}"


def _listed_titles(layout: Layout, keys: Iterable[str]) -> str:
    titles = [layout.by_key[key].title for key in keys]
    return titles[0] if len(titles) == 1 else f"{', '.join(titles[:-1])} and {titles[-1]}"


def _most(span: Span) -> float:
    return max(span.most, LEAST_MOHM)
