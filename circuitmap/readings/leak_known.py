"""What a hunt knows of each part: what it read, how much of the leak it explains, whether it is found or sound."""

from dataclasses import dataclass
from typing import Final

from circuitmap.readings.leak import Part, PartRead
from circuitmap.readings.leak_odds import LEAST_MOHM, Odds, share_taken_off, shares
from circuitmap.readings.leak_split import best_split
from circuitmap.readings.leak_state import Hunt
from circuitmap.readings.leak_told import title_of
from circuitmap.readings.verdict import Span

SURE: Final = 0.5
MATTERS: Final = 0.15  # a part with less of the leak than this isn't followed up


@dataclass(frozen=True, slots=True)
class Explained:
    """A part as it stands now: what it read (None: not read alone), what share of the leak it explains, how likely."""

    title: str
    sections: frozenset[str]
    span: Span | None
    share: Span | None
    odds: float


def groups(hunt: Hunt) -> list[Part]:
    """Give the parts as they are, and what is off as far as readings tell it apart."""
    layout = hunt.layout
    found = list(layout.parts(hunt.open_at, hunt.off))
    taken: dict[tuple[bool, ...], set[str]] = {}
    for key in sorted(hunt.off & layout.by_key.keys()):
        taken.setdefault(tuple(key in read.sections for read in hunt.reads), set()).add(key)
    return [*found, *(Part(frozenset(keys), ()) for keys in taken.values())]


def explain(hunt: Hunt, odds: Odds, part: Part) -> Explained:
    """Say of a part what it read, how likely it is, and what share it explains of the lowest reading that held it."""
    keys = part.sections
    read = hunt.read_of(keys)
    around = [other for other in hunt.reads if keys < other.sections]
    share = None
    if read is not None:
        whole = min((other.span for other in around), key=_most, default=read.span)
        share = shares(whole, read.span, hunt.accuracy)
    else:
        for other in sorted(around, key=_lowest):
            without = hunt.read_of(other.sections - keys)
            if without is not None:
                share = share_taken_off(other.span, without.span, hunt.accuracy)
                break
    where = next((end for end in reversed(hunt.open_at) if end in part.ends), "")
    return Explained(title_of(hunt.layout, keys, where), keys, read.span if read else None, share, odds.of(keys))


def is_found(hunt: Hunt, known: Explained) -> bool:
    """Whether a part was read alone, low, and nothing splits it further."""
    if known.span is None or not hunt.is_low(known.span) or is_sound(hunt, known):
        return False
    keys = known.sections
    if any(hunt.layout.by_key[key].kind == "undrawn" for key in keys):
        return False
    if keys <= hunt.off:
        return len(keys) == 1
    if loose_in(hunt, keys):
        return False
    return best_split(hunt.layout, keys, hunt.off, hunt.shut, hunt.by, hunt.open_at) is None


def is_sound(hunt: Hunt, known: Explained) -> bool:
    """Whether a part was read and holds too little of the leak to be followed up."""
    if known.span is None or known.share is None:
        return False
    return known.span.least >= hunt.enough_mohm or known.share.most < MATTERS


def is_off(hunt: Hunt, part: Part) -> bool:
    """Whether a part is equipment that was taken off."""
    return part.sections <= hunt.off


def may_be_read(hunt: Hunt, sections: frozenset[str]) -> bool:
    """Whether a part wasn't read yet and nobody said that it can't be."""
    return hunt.read_of(sections) is None and sections not in hunt.unread


def loose_in(hunt: Hunt, keys: frozenset[str]) -> list[str]:
    """Give the equipment of a part that can be taken off it without opening anything more."""
    layout = hunt.layout
    if len(keys) < 2:
        return []
    return [
        key
        for key in sorted(keys - hunt.kept)
        if (one := layout.by_key[key]).kind == "equipment" and not one.is_built_in and one.record in hunt.open_at
    ]


def _lowest(read: PartRead) -> float:
    return _most(read.span)


def _most(span: Span) -> float:
    return max(span.most, LEAST_MOHM)
