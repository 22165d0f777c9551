"""The steps of a hunt for low insulation, each with its sentence, its readings, its minutes and its cautions."""

from collections.abc import Iterable, Sequence

from circuitmap.readings.leak import Layout, Part, PartRead
from circuitmap.readings.leak_known import explain, groups, is_sound
from circuitmap.readings.leak_odds import Odds
from circuitmap.readings.leak_state import Asked, Hunt, Step, StepKind
from circuitmap.readings.leak_told import cautions, narrowed, shown, title_of


def step_of(
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
    """Give a step with its test voltage and cautions: low where equipment is connected, full where none is."""
    off = hunt.off if off is None else off
    connected = any(each.sections & hunt.layout.equipment for each in asked)
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
        pair="L+N-E" if connected else hunt.layout.pair,
        cautions=cautions(has_equipment=connected),
    )


def read_whole(hunt: Hunt) -> Step:
    """Read the whole circuit as it is."""
    says = "Take line and neutral of the circuit out of the board, hold all its legs together, and read the whole."
    asked = (Asked("the whole circuit", hunt.layout.whole(hunt.off)),)
    return step_of(hunt, "read whole", says, "Everything that follows is compared with it.", asked)


def taking_off(hunt: Hunt, kind: StepKind, keys: frozenset[str], why: str) -> Step:
    """Take off what needs no opening, all at once, and read the whole again."""
    layout = hunt.layout
    off = hunt.off | keys
    sections = [layout.by_key[key] for key in sorted(keys) if key in layout.by_key]
    minutes = sum(section.minutes for section in sections) + layout.read_minutes
    said = {
        "unplug": "Unplug everything on the circuit; then read the whole.",
        "switch off": "Switch off or take off the fixed loads, lamps and electronics among them; then read the whole.",
        "take off": "Unplug everything, switch off fixed loads and take out lamps; then read the whole.",
    }[kind]
    wired = [section for section in sections if section.comes_off == "wired in"]
    if wired:
        minutes += sum(layout.place[s.record].minutes for s in wired if s.record in layout.place)
        said = said.replace("; then", f", disconnect {_titles(layout, [s.key for s in wired])}; then")
    return step_of(hunt, kind, said, why, (Asked("the whole circuit", layout.whole(off)),), off=off, minutes=minutes)


def open_place(hunt: Hunt, place: str, left: float) -> Step:
    """Open a place and read each part there."""
    layout = hunt.layout
    here = layout.place[place]
    parts = [part for part in layout.parts((*hunt.open_at, place), hunt.off) if place in part.ends]
    asked = tuple(Asked(title_of(layout, part.sections, place), part.sections, place) for part in parts)
    says = f"Open {here.title}, take the cables out, keep them apart, and read each part there."
    why = f"It parts what is left best for the work{f'; {here.why}' if here.why else ''}."
    minutes = here.minutes + layout.read_minutes * len(asked)
    return step_of(hunt, "open", says, why, asked, at=place, minutes=minutes, left=max(left, minutes))


def take_off(hunt: Hunt, keys: frozenset[str], loose: list[str]) -> Step:
    """Take off equipment at a place that is open already, and read it and the rest."""
    layout = hunt.layout
    rest = keys - set(loose)
    titles = _titles(layout, loose)
    asked = (
        Asked(title_of(layout, rest), rest, layout.by_key[loose[0]].record),
        *(Asked(layout.by_key[key].title, frozenset((key,)), layout.by_key[key].record) for key in loose),
    )
    minutes = layout.take_off_minutes * len(loose) + layout.read_minutes * len(asked)
    says = f"Take off {titles}, and read it and what is left, each alone."
    return step_of(
        hunt, "take off", says, "Equipment before wiring.", asked, off=hunt.off | set(loose), minutes=minutes
    )


def connect_back(hunt: Hunt, keys: Sequence[str]) -> Step:
    """Connect some of what is off back, and read the whole."""
    layout = hunt.layout
    title = _titles(layout, keys)
    asked = (Asked(f"the circuit with {title}", layout.whole(hunt.off - set(keys))),)
    minutes = sum(layout.by_key[key].minutes for key in keys) + layout.read_minutes
    says = f"Connect back {title} only, everything else stays off, and read the whole at the board."
    return step_of(hunt, "connect back", says, "It halves what was taken off.", asked, minutes=minutes)


def read_equipment(hunt: Hunt, key: str) -> Step:
    """Read one piece of equipment that is off, by itself."""
    section = hunt.layout.by_key[key]
    says = f"Read {section.title} alone: {hunt.test_v[1]:g} V, line and neutral joined, to earth."
    asked = (Asked(section.title, frozenset((key,)), section.record),)
    return step_of(hunt, "read alone", says, "Only its own reading makes it certain.", asked)


def read_parts(hunt: Hunt, parts: Iterable[Part], kind: StepKind = "read parts") -> Step:
    """Read parts that a meter reaches already."""
    layout = hunt.layout
    wheres = [(part, next((end for end in reversed(hunt.open_at) if end in part.ends), "")) for part in parts]
    asked = tuple(Asked(title_of(layout, part.sections, where), part.sections, where) for part, where in wheres)
    if kind == "read alone":
        says = f"Read {asked[0].title} alone, nothing else joined to it."
        return step_of(hunt, kind, says, "Only its own reading makes it certain.", asked)
    says = "Keep apart what is parted already and read each part by itself; nothing more needs opening."
    return step_of(hunt, kind, says, "It costs a minute a part.", asked)


def read_again(hunt: Hunt, older: PartRead, newer: PartRead) -> Step:
    """Read again what contradicts an older reading."""
    layout = hunt.layout
    title = title_of(layout, newer.sections)
    says = f"Read {title} again: {shown(newer.span)}, and {title_of(layout, older.sections)} read {shown(older.span)}."
    why = "Together can't read higher than a part of it: one was read otherwise, or damp or a contact moved."
    return step_of(hunt, "read again", says, why, (Asked(title, newer.sections),))


def gone_away(hunt: Hunt) -> Step:
    """Join the place opened last again, or end, when the leak is in none of the parts."""
    layout = hunt.layout
    says = "All of it was read since, part by part, and none of it is low: the leak went away."
    if not hunt.open_at:
        return end(hunt, "gone", says, "Damp that dried, or equipment that was off: read the whole again later.")
    place = hunt.open_at[-1]
    before = [part for part in layout.parts(hunt.open_at[:-1], hunt.off) if place in part.sections]
    asked = (Asked(f"{layout.place[place].title} joined again", before[0].sections),)
    says = f"{says} Join {layout.place[place].title} again as it was and read it together."
    why = "Opening moves terminals and pinched cables: low again means it is there."
    return step_of(hunt, "rejoin", says, why, asked, at=place, minutes=layout.rejoin_minutes + layout.read_minutes)


def after_rejoining(hunt: Hunt, place: str, is_low: bool) -> Step:
    """End with what joining a place again has shown."""
    title = hunt.layout.place[place].title
    if is_low:
        says = f"Low while {title} is joined, high when it is open: its terminals, or a cable end in its box."
        return end(hunt, "found", says, "Not certain: remake it, then read the whole again.")
    says = f"It stays high with {title} joined again: damp that dried, or a contact that opening it moved."
    return end(hunt, "gone", says, "Not found: look at that box well, and read the whole again on a damp day.")


def nothing_low(hunt: Hunt) -> Step:
    """End where nothing reads low."""
    bound = next((read for read in hunt.reads if read.span.is_open and read.span.least < hunt.enough_mohm), None)
    if bound is not None:
        says = f"{shown(bound.span)} is a bound that doesn't decide: read it in a wider range."
        return end(hunt, "stuck", says, f"Up from {hunt.enough_mohm:g} MΩ there would be nothing to look for.")
    says = f"Nothing reads below {hunt.enough_mohm:g} MΩ: there is no leak to look for."
    why = "What was taken off beforehand explains it, not the wiring." if hunt.off else ""
    return end(hunt, "nothing low", says, why)


def stuck(hunt: Hunt, odds: Odds) -> Step:
    """End where nothing more can be opened or read, with what it was narrowed to."""
    if not hunt.reads:
        return end(hunt, "stuck", "The whole circuit wasn't read, so there is nothing to compare with.")
    every = groups(hunt)
    left = [part for part in every if not is_sound(hunt, explain(hunt, odds, part))] or every
    best = max(left, key=lambda part: odds.of(part.sections))
    says = f"It can't be narrowed further here: {narrowed(hunt.layout, best.sections)}."
    return end(hunt, "stuck", says, " ".join(hunt.layout.notes) or "Nothing more can be opened or read: not confirmed.")


def end(hunt: Hunt, kind: StepKind, says: str, why: str = "") -> Step:
    """Give the end of a hunt."""
    return Step(kind=kind, says=says, why=why, off=hunt.off)


def _titles(layout: Layout, keys: Iterable[str]) -> str:
    titles = [layout.by_key[key].title for key in keys]
    return titles[0] if len(titles) == 1 else f"{', '.join(titles[:-1])} and {titles[-1]}"
