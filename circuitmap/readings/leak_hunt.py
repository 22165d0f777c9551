"""The guided hunt for low insulation: unplug, take off fixed loads, then open where it tells most for the work.

``begin`` gives the state, ``next_step`` what to do, ``leak_state.take`` the state after it; ``standing`` says what is
known so far. Nothing is called found before it was read alone.

**Source:** the order is common practice, no source; shares and odds are arithmetic of parallel parts.
"""

from dataclasses import dataclass
from math import inf
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.readings import leak_steps as steps
from circuitmap.readings.insulation import Pair
from circuitmap.readings.leak import Layout, Part, switch_of
from circuitmap.readings.leak_known import (
    MATTERS,
    SURE,
    Explained,
    explain,
    groups,
    is_found,
    is_off,
    is_sound,
    loose_in,
    may_be_read,
)
from circuitmap.readings.leak_layout import layout_of
from circuitmap.readings.leak_odds import ACCURACY, Odds, odds_of
from circuitmap.readings.leak_split import By, best_split, by_weight
from circuitmap.readings.leak_state import Hunt, Step, conflict, take, vanished
from circuitmap.readings.leak_told import NEUTRAL_IN, narrowed, percent, shown
from circuitmap.readings.verdict import Rules, Shown

NEXT_TO_NOTHING_MOHM: Final = 0.01
NOTHING: Final = Odds({}, 0.0)


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
    pair: Pair = "L+N-E",
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
    return hunt if whole is None else take(hunt, steps.read_whole(hunt), [whole])


def next_step(hunt: Hunt) -> Step:
    """Give what to do next, or how the hunt ends."""
    layout = hunt.layout
    if not layout.sections:
        return steps.end(hunt, "stuck", "Nothing of this circuit is on the map, so there is nothing to split.")
    if hunt.rejoined is not None:
        return steps.after_rejoining(hunt, *hunt.rejoined)
    if layout.pair == "L-N":
        # Units stay on at first, or what hangs on them would never be read.
        first = _ways_off(hunt, "unplug", "switch off", "wired in") & layout.by_key.keys()
        if first:
            why = "Nothing may be connected when line to neutral is tested."
            return steps.taking_off(hunt, "take off", first, why)
        bare = hunt.read_of(layout.whole(hunt.off)) if hunt.off <= layout.by_key.keys() else None
        if bare is not None and not hunt.is_low(bare.span):
            return steps.nothing_low(hunt)
    if not hunt.reads:
        return steps.read_whole(hunt) if may_be_read(hunt, layout.whole(hunt.off)) else steps.stuck(hunt, NOTHING)
    pair = conflict(hunt)
    if pair is not None:
        return steps.read_again(hunt, *pair)
    if vanished(hunt) is not None:
        return steps.gone_away(hunt)
    if not any(hunt.is_low(read.span) for read in hunt.reads):
        return steps.nothing_low(hunt)
    odds = odds_of(layout, hunt.reads, hunt.accuracy)
    if not hunt.open_at:
        unplug = _ways_off(hunt, "unplug")
        if unplug:
            return steps.taking_off(hunt, "unplug", unplug, "More often than the wiring, what is plugged in leaks.")
        switch_off = _ways_off(hunt, "switch off")
        if switch_off and odds.of(hunt.off) < 1 - MATTERS:
            why = "Fixed loads come before the wiring: elements, electronics and damp in them."
            return steps.taking_off(hunt, "switch off", switch_off, why)
    return _follow(hunt, odds)


def standing(hunt: Hunt) -> Standing:
    """Say what is known so far, with how much of the leak each part explains."""
    odds = odds_of(hunt.layout, hunt.reads, hunt.accuracy)
    parts = tuple(explain(hunt, odds, group) for group in groups(hunt))
    found = tuple(each for each in parts if is_found(hunt, each))
    likely = sorted(odds.by_section.items(), key=lambda pair: (-pair[1], pair[0]))
    notes = list(hunt.notes)
    lowest = min((read.span.most for read in hunt.reads), default=inf)
    if lowest <= NEXT_TO_NOTHING_MOHM and hunt.layout.pair in ("N-E", "L+N-E"):
        notes.append(NEUTRAL_IN)
    return Standing(_says(hunt, parts, found, odds), parts, found, tuple(likely), odds.two, tuple(notes))


def _follow(hunt: Hunt, odds: Odds) -> Step:
    parts = _in_order(hunt, odds)
    found = 0
    for part in parts:
        known = explain(hunt, odds, part)
        if is_found(hunt, known):
            found += 1
            continue
        if known.odds < (SURE if found else MATTERS / 2) or is_sound(hunt, known):
            continue
        if part.is_readable and known.span is None and known.odds < SURE:
            unread = [p for p in parts if p.is_readable and not is_off(hunt, p) and may_be_read(hunt, p.sections)]
            if unread:
                return steps.read_parts(hunt, unread)
        step = _look_into(hunt, part, known)
        if step is not None:
            return step
    if found:
        why = "Mend it, then read the whole circuit again: what is left may leak elsewhere."
        return steps.end(hunt, "found", standing(hunt).says, why)
    if all(is_sound(hunt, explain(hunt, odds, part)) for part in parts):
        says = "No part reads low by itself: together they come to that reading."
        return steps.end(hunt, "spread", says, "Age or damp all along rather than one leak; compare it next time.")
    return steps.stuck(hunt, odds)


def _in_order(hunt: Hunt, odds: Odds) -> list[Part]:
    """Give the parts as they are followed up: the likeliest first, but what needs no opening before what does."""

    def rank(part: Part) -> tuple[bool, float, list[str]]:
        likely = odds.of(part.sections)
        return not (likely >= SURE and is_off(hunt, part)), -likely, sorted(part.sections)

    return sorted(groups(hunt), key=rank)


def _look_into(hunt: Hunt, part: Part, known: Explained) -> Step | None:
    layout, keys = hunt.layout, part.sections
    if is_off(hunt, part):
        return _among_equipment(hunt, keys)
    split = best_split(layout, keys, hunt.off, hunt.shut, hunt.by, hunt.open_at)
    if split is not None:
        return steps.open_place(hunt, split.place, split.cost)
    loose = loose_in(hunt, keys)
    if loose:
        return steps.take_off(hunt, keys, loose)
    if known.span is not None or any(layout.by_key[key].kind == "undrawn" for key in keys):
        return None
    if part.is_readable:
        return steps.read_parts(hunt, [part], "read alone") if may_be_read(hunt, keys) else None
    unit = next((unit for unit in _units_beside(layout, keys) if unit not in hunt.shut), None)
    return steps.open_place(hunt, unit, layout.place[unit].minutes) if unit is not None else None


def _among_equipment(hunt: Hunt, keys: frozenset[str]) -> Step | None:
    layout = hunt.layout
    if layout.pair == "L-N":
        return None  # equipment is never read from line to neutral
    weights = {key: layout.by_key[key].weight for key in keys}
    is_cut_off = any(key not in layout.whole(hunt.off - {key}) for key in keys)  # by a unit that is off as well
    if len(keys) == 1 or hunt.open_at or is_cut_off:
        unread = [key for key in keys if may_be_read(hunt, frozenset((key,)))]
        return steps.read_equipment(hunt, by_weight(unread, weights)[0]) if unread else None
    back = by_weight(keys, weights)
    return steps.connect_back(hunt, back) if may_be_read(hunt, layout.whole(hunt.off - set(back))) else None


def _units_beside(layout: Layout, keys: frozenset[str]) -> list[str]:
    ends = [
        (at, load)
        for cable in layout.cables
        if cable.key in keys
        for at, load in ((cable.a, cable.a_load), (cable.b, cable.b_load))
    ]
    return [at for at, load in ends if load and at in layout.units]


def _ways_off(hunt: Hunt, *how: str) -> frozenset[str]:
    here = hunt.layout.sections
    keys = {section.key for section in here if section.comes_off in how}
    if "switch off" in how:
        keys |= {switch_of(unit) for unit in hunt.layout.units}
    return frozenset(keys - hunt.off - hunt.kept)


def _says(hunt: Hunt, parts: tuple[Explained, ...], found: tuple[Explained, ...], odds: Odds) -> str:
    if not hunt.reads:
        return "Nothing was read yet."
    if hunt.rejoined is not None:
        return steps.after_rejoining(hunt, *hunt.rejoined).says
    if vanished(hunt) is not None:
        return "The leak went away: none of the parts read since is low."
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
    more = " Two leaks may share it." if odds.two > SURE else ""
    if best.sections >= {section.key for section in hunt.layout.wiring} and len(best.sections) > 1:
        return f"It is in the circuit, nothing of its wiring is told apart yet.{more}"
    what = narrowed(hunt.layout, best.sections) if len(best.sections) <= 3 else best.title
    likely = f"{100 * best.odds:.0f} %" if best.odds < 0.99 else "over 99 %"
    read = "" if best.span is not None else ", not read alone yet"
    return f"Most likely {what} ({likely}){read}.{more}"
