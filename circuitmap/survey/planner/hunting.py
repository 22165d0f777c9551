"""A hunt for one point by two people: one stands at it and calls, the other switches.

Nobody walks, so every step may switch as it likes: the chances of the ways are split as evenly as they can be, which
comes within one step of the least possible mean (the bound of the optimal prefix code, Huffman 1952, from memory).
"""

from collections.abc import Sequence

import numpy as np

from circuitmap.survey.planner.choose import bits
from circuitmap.survey.planner.outlook import Bools, Floats, Outlook
from circuitmap.survey.proposal import HuntStep
from circuitmap.survey.settle import SETTLES

_HARDLY = 0.01  # a unit this much less likely than the likeliest isn't switched off in a hunt


def hunt_step(look: Outlook, point: str, answers: Sequence[tuple[frozenset[str], bool]] = ()) -> HuntStep:
    """Give the next step; ``answers`` are the steps so far: what was off, and whether the point was still on."""
    belief, row = look.scales.belief, look.scales.index[point]
    told = look.scales.told.get(point)
    weights: Floats = np.array(belief.chances[row, : belief.ways])
    off_slip, on_slip = 0.002, 0.001
    elsewhere = float(belief.chances[row, belief.ways])
    seen_off = bool(told is not None and told.seen_off)
    for off, is_on in answers:
        down = look.way_mask(off)
        chance = np.where(down, on_slip if is_on else 1 - on_slip, 1 - off_slip if is_on else off_slip)
        weights = weights * chance
        elsewhere *= 1 - off_slip if is_on else off_slip
        seen_off |= not is_on
    total = float(weights.sum())
    apart = elsewhere / (total + elsewhere) if total + elsewhere > 0 else 0.0
    weights = weights / total if total > 0 else np.full(belief.ways, 1 / max(belief.ways, 1))
    order = np.argsort(-weights, kind="stable")
    chances = tuple((look.scales.ways[n], float(weights[n])) for n in order[:4] if weights[n] >= 0.001)
    before = frozenset(answers[-1][0]) if answers else frozenset()
    code = look.home.code
    best = look.scales.ways[int(order[0])] if belief.ways else ""
    if belief.ways and weights[order[0]] >= SETTLES and seen_off:
        says = f"{point} goes off with {code(best)}."
        return HuntStep(point, (), tuple(sorted(before)), 0, chances, says)
    if apart >= SETTLES:
        says = f"{point} stays on whatever is switched off: it is fed from elsewhere, or runs on something of its own."
        return HuntStep(point, (), tuple(sorted(before)), 0, chances, says)
    units = _split(look, weights, before, seen_off=seen_off)
    if not units:
        return HuntStep(
            point, (), tuple(sorted(before)), 0, chances, f"No switch that may be used tells more of {point}."
        )
    left = int(np.ceil(_bits_left(weights) - 1e-9)) or 1
    says = f"Switch {', '.join(code(i) for i in units)} off. Is {point} still on?"
    return HuntStep(point, units, tuple(sorted(before - set(units))), left, chances, says)


def _split(look: Outlook, weights: Floats, before: frozenset[str], *, seen_off: bool) -> tuple[str, ...]:
    """Give the units whose ways make up half of the chances, as nearly as can be."""
    order = sorted(range(len(look.units)), key=lambda n: -float(weights[look.takes[n]].sum()))
    chosen: list[int] = []
    down: Bools = np.zeros(len(weights), dtype=bool)
    best = 0.0
    each = [float(weights[takes].sum()) for takes in look.takes]
    for n in order:
        if each[n] < _HARDLY * max(each) and look.units[n] not in before:
            continue  # it would be put out for nothing; what is off already may stay so, which confirms what it told
        trial = down | look.takes[n]
        gain = float(bits(np.array([weights[trial].sum()]))[0]) + (
            0.0 if seen_off else 0.2 * float(weights[trial].sum())
        )
        if gain > best + 1e-9 and (look.method.kind != "gentle" or len(chosen) < look.method.most_off):
            chosen.append(n)
            down, best = trial, gain
    return tuple(look.units[n] for n in sorted(chosen))


def _bits_left(weights: Floats) -> float:
    some = weights[weights > 1e-9]
    return float(-(some * np.log2(some)).sum())
