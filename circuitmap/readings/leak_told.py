"""What is said in a hunt for low insulation: cautions, what a part is called, what a result means."""

from collections.abc import Collection
from math import inf
from typing import Final

from circuitmap.readings.leak import Layout
from circuitmap.readings.verdict import Span

CAUTIONS: Final[tuple[tuple[str, str], ...]] = (
    (
        "Isolate the circuit, lock it off and prove it dead before anything of it is opened.",
        "HSE GS38; common practice, no source",
    ),
    (
        "Take line and neutral of the circuit out of the board: with the neutral still in its bar, neutral to earth "
        "reads through the supply's earth link, on TN-C-S like a dead short.",
        "common practice, no source",
    ),
    (
        "Disconnect surge protection and the functional earth leads of RCBOs: they give false lows.",
        "common practice, no source",
    ),
    (
        "Close the wall switches, two-way ones tried both ways: what they hold off isn't tested.",
        "common practice, no source",
    ),
    (
        "Nobody may touch the circuit while it is tested; let it discharge after each reading.",
        "common practice, no source",
    ),
)
LOW_TEST: Final = (
    "While anything may be connected, electronics among it: 250 V, line and neutral joined, to earth only. Never 500 V "
    "on equipment, never between line and neutral.",
    "from memory: BS 7671 643.3.2 and 643.3.3",
)
FULL_TEST: Final = (
    "500 V only when nothing is connected any more: nothing plugged in, fixed loads off, electronics off.",
    "from memory: BS 7671 Table 64",
)
NEUTRAL_IN: Final = (
    "It reads next to nothing to earth with the neutral among what is tested: look first whether the neutral is still "
    "in its bar at the board."
)


def cautions(*, has_equipment: bool) -> tuple[tuple[str, str], ...]:
    """Give what must be heeded before a reading, each sentence with its source."""
    return (*CAUTIONS, LOW_TEST if has_equipment else FULL_TEST)


def shown(span: Span) -> str:
    """Give a span of megohms as it is read."""
    if span.most == inf:
        return f"over {span.least:g} MΩ"
    if span.least < span.most:
        return f"under {span.most:g} MΩ"
    return f"{span.least:.3g} MΩ" if span.least < 1000 else f"{span.least:.0f} MΩ"


def percent(share: Span) -> str:
    """Give a share as a range of per cent."""
    low, high = round(100 * share.least), round(100 * share.most)
    if low <= 0 and high >= 100:
        return "an unknown share"
    if low == high:
        return f"{low} %"
    if low <= 0:
        return f"at most {high} %"
    return f"at least {low} %" if high >= 100 else f"{low} to {high} %"


def title_of(layout: Layout, sections: Collection[str], at: str = "") -> str:
    """Give what a part is called: a section by its title, more by what they begin with where they are read.

    Parameters
    ----------
    at
        The open place where a meter is put on, "" for the board.
    """
    keys = sorted(sections, key=_natural)
    if len(keys) == 1:
        return layout.by_key[keys[0]].title
    if {section.key for section in layout.wiring} <= set(sections):
        return "the whole circuit"
    accessory = layout.by_key.get(at)
    if accessory is not None and at in sections:
        is_whole = all(layout.by_key[key].is_built_in for key in keys if key != at)
        return accessory.title if is_whole else f"{accessory.title}, with what is connected there"
    if all(layout.by_key[key].kind == "equipment" for key in keys):
        return _listed([layout.by_key[key].title for key in keys])
    runs = [cable for cable in layout.cables if cable.key in sections]
    first = [cable.key for cable in runs if at in (cable.a, cable.b) or (not at and cable.at_board)]
    points = [key for key in keys if layout.by_key[key].kind == "accessory"]
    rest = (
        f" with {points[0]}"
        if len(runs) == len(first) and len(points) == 1
        else _rest(len(runs) - len(first), len(points))
    )
    back = at and any(cable.at_board for cable in runs)
    way = " back to the board" if back else ""
    if not first:
        named = [cable.key for cable in runs][:3] or keys[:3]
        return f"{_listed(named)} and what is joined to them" if len(named) > 1 else f"{named[0]} and beyond"
    return f"{_listed(first)}{way}{rest}"


def narrowed(layout: Layout, sections: Collection[str]) -> str:
    """Give where a leak must be as long as nothing was read alone, terminals included."""
    keys = sorted(sections, key=_natural)
    cables = [cable for cable in layout.cables if cable.key in sections]
    if len(keys) == 1 and cables:
        return f"{layout.by_key[keys[0]].title}, or the terminals at its ends"
    if len(keys) <= 3:
        return _listed([layout.by_key[key].title for key in keys], "or")
    return title_of(layout, keys)


def _rest(cables: int, points: int) -> str:
    said = []
    if cables:
        said.append("1 more cable" if cables == 1 else f"{cables} more cables")
    if points:
        said.append("1 point" if points == 1 else f"{points} points")
    return f" with {_listed(said)}" if said else ""


def _listed(words: list[str], last: str = "and") -> str:
    if len(words) > 6:
        return f"{', '.join(words[:5])} {last} {len(words) - 5} more"
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


def _natural(key: str) -> tuple[str, int, str]:
    number = "".join(char for char in key.split(" ")[0] if char.isdigit())
    return {"R": "A"}.get(key[:1], key[:1]), int(number or 0), key  # cables first, in the order of their numbers
