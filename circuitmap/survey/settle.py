"""When a point counts as settled: the exact deduction, held against how likely it is when answers can be wrong.

A point is settled on a way when one visit saw it both on and off, when that way's chance is 0.99 or more (with what
was believed beforehand, or by the answers alone), and when the answers alone speak for it ten to one. So neither a
good label nor the neighbours can settle what nobody looked at, and a wrong label can't keep open what was seen. A
wrong answer among many right ones no longer stands in the way: it is named in the notes. Without errors this is the
exact deduction.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from circuitmap.home.records import Check
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.context import Context
from circuitmap.survey.deduce import Deduced, deduce
from circuitmap.survey.evidence import NOTHING
from circuitmap.survey.weigh import Explanation, Scales, Weighed, scales_of, weighed_of
from circuitmap.trade import Trade

SETTLES: Final = 0.99
CLEARLY: Final = 10.0


def settle(home: Home, memo: Memo, trade: Trade, slip: float | None = None) -> Mapping[str, Deduced]:
    """Give what is known of every point's feed, errors allowed for; steady as the exact deduction is."""
    exact = deduce(home, memo)
    if not home.table(Check):
        return exact
    scales = scales_of(home, memo, trade, slip)
    parts = (exact, scales.belief.chances)
    return memo.get("survey.settled", slip, parts, lambda: _settled(exact, scales, memo, slip))


def _settled(exact: Mapping[str, Deduced], scales: Scales, memo: Memo, slip: float | None) -> Mapping[str, Deduced]:
    clear = _settled_ways(scales)
    found: dict[str, Deduced] = {}
    for point, known in exact.items():
        row = scales.index.get(point)
        # Ways that the exact deduction leaves open are told apart no better when errors are allowed for.
        if row is None or not clear or known.verdict not in ("settled", "contradiction"):
            found[point] = known
            continue
        if known.verdict == "settled" and known.candidates == (clear[row],):
            found[point] = known
            continue
        weighed = weighed_of(scales, point)
        told = scales.told.get(point, NOTHING)
        found[point] = memo.get(
            "survey.settled point", (slip, point), (known, weighed),
            lambda known=known, weighed=weighed, told=told, row=row: _judge(  # type: ignore[misc]  # defaults bind the loop's values
                known, weighed, scales.context, is_clear=_is_clear(scales, row),
                is_joined=_is_clearly_joined(scales, row),
                on_and_off=told.on_and_off, seen_on=told.seen_on,
            ),
        )  # fmt: skip
    return memo.steady("survey.settled all", slip, found)


def _settled_ways(scales: Scales) -> list[str]:
    """Give for each row the way that its point may be settled on, an empty text where there is none."""
    import numpy as np

    belief = scales.belief
    if not belief.ways or not len(scales.ids):
        return []
    chances, single = belief.chances[:, : belief.ways], belief.single
    rows = np.arange(len(single))
    # What was drawn or said, or a label, may speak against what was seen: then the answers count by themselves.
    alone = belief.by_answers_alone()[:, : belief.ways]
    by_belief, by_answers = chances.argmax(axis=1), alone.argmax(axis=1)
    is_believed = chances[rows, by_belief] >= SETTLES
    tops = np.where(is_believed, by_belief, by_answers)
    sure = is_believed | (alone[rows, by_answers] >= SETTLES)
    if belief.ways > 1:
        others = single.copy()
        others[rows, tops] = -np.inf
        sure &= single[rows, tops] - others.max(axis=1) >= np.log(CLEARLY)
    return [scales.ways[n] if is_sure else "" for n, is_sure in zip(tops.tolist(), sure.tolist(), strict=True)]


def _is_clear(scales: Scales, row: int) -> bool:
    """Whether the answers alone speak ten to one for the likeliest way against every other."""
    import numpy as np

    single = scales.belief.single[row]
    if len(single) == 1:
        return True
    best = int(np.argmax(scales.belief.chances[row, : len(single)]))
    others = np.delete(single, best)
    return bool(single[best] - others.max() >= np.log(CLEARLY))


def _is_clearly_joined(scales: Scales, row: int) -> bool:
    """Whether the answers alone speak ten to one for the likeliest pair against every way and every other pair."""
    import numpy as np

    belief = scales.belief
    pairs = belief.both[row, belief.kept]
    if not len(pairs):
        return False
    best = int(np.argmax(belief.chances[row, belief.ways + 2 :]))
    others = [belief.single[row].max(), belief.as_on[row], belief.as_off[row]]
    if len(pairs) > 1:
        # A pair that shares neither answer nor doubt with this one is no rival: what all points say of it counts.
        rivals = np.delete(pairs + np.log(np.maximum(belief.joined, 1e-12)), best)
        others.append(rivals.max())
    return bool(pairs[best] - max(others) >= np.log(CLEARLY))


def _judge(
    known: Deduced,
    weighed: Weighed,
    context: Context,
    *,
    is_clear: bool,
    is_joined: bool,
    on_and_off: bool,
    seen_on: bool,
) -> Deduced:
    best = weighed.explanations[0] if weighed.explanations else Explanation("not fed", (), 0.0)
    sure = best.chance >= SETTLES
    if sure and best.kind == "one way" and on_and_off and is_clear:
        if known.verdict == "settled" and known.candidates == best.devices:
            return known
        says = f"{known.point} is on {context.named(best.devices)} ({_percent(best.chance)}), one answer or more wrong."
        notes = (*known.notes, f"taken as settled against {', '.join(known.repeat) or 'an answer'}")
        return replace(known, candidates=best.devices, verdict="settled", says=says, odd="", repeat=(), notes=notes)
    if sure and best.kind == "joined" and on_and_off and is_joined:
        first, second = (context.codes.get(i, i) for i in best.devices)
        says = (
            f"{known.point} goes off only when {first} and {second} are both off: the two are joined. With one off, "
            "its own terminal stays live, fed back from the other; treat both as one: both off, then prove dead."
        )
        return replace(known, candidates=best.devices, verdict="contradiction", says=says, odd="only together")
    if sure and best.kind == "either" and on_and_off:
        line, neutral = (context.codes.get(i, i) for i in best.devices)
        says = (
            f"{known.point} goes off with {line} and also with {neutral}: its line is on one, its neutral seems to be "
            "on the other. Neither alone makes it safe; both off, then prove dead."
        )
        return replace(known, candidates=best.devices, verdict="contradiction", says=says, odd="off in two")
    if known.verdict == "contradiction" and best.kind == "elsewhere" and sure and seen_on:
        return replace(known, verdict="elsewhere", odd="", says=f"{known.point} is fed from elsewhere: {known.says}")
    if known.verdict == "settled" or (known.verdict == "contradiction" and known.odd == "only together"):
        left = _left(weighed.explanations)
        says = f"{known.point} is in doubt: {chances_in_words(weighed, context)}."
        return replace(known, candidates=left or known.candidates, verdict="in doubt", says=says)
    return known


def _left(explanations: Sequence[Explanation]) -> tuple[str, ...]:
    """Give the ways that are not ruled out, likeliest first, until 99 parts in 100 are covered."""
    found: dict[str, None] = {}
    covered = 0.0
    for each in explanations:
        if covered >= SETTLES:
            break
        covered += each.chance
        found.update(dict.fromkeys(each.devices))
    return tuple(found)


def chances_in_words(weighed: Weighed, context: Context, most: int = 3) -> str:
    """Give the likeliest explanations in words, such as "A3 96 %, A4 3 %"."""
    said = [f"{_named(each, context)} {_percent(each.chance)}" for each in weighed.explanations[:most]]
    return ", ".join(said) or "nothing is known"


def _named(each: Explanation, context: Context) -> str:
    codes = [context.codes.get(i, i) for i in each.devices]
    match each.kind:
        case "one way":
            return codes[0]
        case "joined":
            return f"{codes[0]} and {codes[1]} joined"
        case "either":
            return f"line on {codes[0]}, neutral on {codes[1]}"
        case "elsewhere":
            return "fed from elsewhere"
        case _:
            return "off by itself"


def _percent(chance: float) -> str:
    if chance >= 0.995:
        return "over 99 %"
    return f"{chance:.0%}".replace("%", " %") if chance >= 0.01 else "under 1 %"
