"""The one check that would settle a point in doubt, or bring it nearest to that, in a sentence."""

from typing import Final

import numpy as np

from circuitmap.home.records import natural_key
from circuitmap.survey.planner.outlook import Bools, Floats, Outlook, is_open
from circuitmap.survey.settle import SETTLES

_TRIED: Final = 4


def check_that_settles(look: Outlook, point: str) -> str:
    """Give what to look at next for one point: with what off, and what either answer would mean; empty when settled.

    Among each likely way alone, the likeliest joined pairs and everything off, the one whose answer is expected to
    leave the likeliest explanation surest.
    """
    known = look.known[point]
    if known.verdict in ("settled", "elsewhere") or point not in look.scales.index:
        return ""
    if known.verdict == "unchecked":
        return f"See {point} with everything on first."
    if known.verdict == "not seen on":
        return f"See {point} on: its own switch, its lamp and its fuse first; off says nothing until it was on."
    if not is_open(known):
        return f"Look at {point} once more with {_codes(look, known.candidates)} off together, and with each alone."
    row = look.scales.index[point]
    chances = look.scales.belief.chances[row]
    best: tuple[float, tuple[str, ...]] | None = None
    for off in _tried(look, chances):
        surest = _surest(look, chances, look.way_mask(off))
        if best is None or surest > best[0] + 1e-9:
            best = (surest, off)
    if best is None:
        return f"No switch that may be used tells more of {point}; look for what is local there."
    return _said(look, point, chances, best[1])


def _tried(look: Outlook, chances: Floats) -> list[tuple[str, ...]]:
    ways, units = look.scales.ways, set(look.units)
    order = np.argsort(-chances[: len(ways)], kind="stable")[:_TRIED]
    found: list[tuple[str, ...]] = [(ways[n],) for n in order if ways[n] in units and chances[n] > 1e-4]
    pairs = look.scales.belief.pair_of
    by_pair = chances[len(ways) + 2 :]
    for n in np.argsort(-by_pair, kind="stable")[:2]:
        a, b = (ways[end] for end in pairs[int(n)])
        if by_pair[n] > 0.01 and {a, b} <= units:
            found.append(tuple(sorted((a, b), key=natural_key)))
    if len(units) > 1 and look.masks(look.units).all():
        found.append(look.units)
    return found


def _surest(look: Outlook, chances: Floats, down: Bools) -> float:
    """Give the chance that the likeliest explanation is expected to have after the answer."""
    off = _off_given(look, down)
    return float((chances * off).max() + (chances * (1 - off)).max())


def _off_given(look: Outlook, down: Bools) -> Floats:
    """Give for each explanation whether the point would be off: ways, elsewhere, not fed, pairs."""
    pairs = [float(down[a] and down[b]) for a, b in look.scales.belief.pair_of]
    return np.array([*down.astype(float), 0.0, 1.0, *pairs])


def _said(look: Outlook, point: str, chances: Floats, off: tuple[str, ...]) -> str:
    if off == look.units and len(off) > 2:
        return f"Look at {point} with everything off, other sources too: if it is still on, it is fed from elsewhere."
    given = _off_given(look, look.way_mask(off))
    gone, stays = chances * given, chances * (1 - given)
    means: list[str] = []
    for word, part in (("off", gone), ("still on", stays)):
        if part.sum() > 1e-6:
            verb = "settles it on" if part.max() / part.sum() >= SETTLES else "points to"
            means.append(f"{word} {verb} {_name(look, int(part.argmax()))}")
    return f"Look at {point} with {_codes(look, off)} off and the rest on: {', '.join(means)}."


def _name(look: Outlook, column: int) -> str:
    ways = look.scales.ways
    if column < len(ways):
        return look.home.code(ways[column])
    if column == len(ways):
        return "something fed from elsewhere"
    if column == len(ways) + 1:
        return "something local"
    ends = look.scales.belief.pair_of[column - len(ways) - 2]
    return f"{_codes(look, tuple(ways[end] for end in ends))} joined"


def _codes(look: Outlook, devices: tuple[str, ...]) -> str:
    return " and ".join(look.home.code(i) for i in devices)
