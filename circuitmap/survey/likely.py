"""How likely a point goes off with some devices, and how that is said.

A small chance is never rounded to nothing: what isn't settled can't be ruled out, and is said so.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Final, Protocol

if TYPE_CHECKING:
    from circuitmap.survey.weigh import Scales

Chances = Mapping[str, Mapping[str, float]]
SETTLED: Final = 0.99  # from here on a point counts as settled
LIKELY: Final = 0.5
SMALL: Final = 0.05  # below it a figure would say more than is known


class _Explained(Protocol):
    @property
    def kind(self) -> str: ...
    @property
    def devices(self) -> tuple[str, ...]: ...
    @property
    def chance(self) -> float: ...


class _Weighed(Protocol):
    @property
    def explanations(self) -> Sequence[_Explained]: ...


def chances_of(weighed: Mapping[str, _Weighed]) -> dict[str, dict[str, float]]:
    """Give for each point how likely each way takes it, from what the survey has weighed.

    Two ways joined take a point only together, so each carries half of that chance: both off make the whole. With
    line and neutral from two ways either takes it alone, so each carries the whole; together they are capped at one.
    """
    found: dict[str, dict[str, float]] = {}
    for point, known in weighed.items():
        odds = found.setdefault(point, {})
        for each in known.explanations:
            share = each.chance / len(each.devices) if each.kind == "joined" and each.devices else each.chance
            for device in each.devices:
                odds[device] = odds.get(device, 0.0) + share
    return found


def chances_by_scales(scales: "Scales") -> dict[str, dict[str, float]]:
    """Give the same as ``chances_of`` for every point, read straight off the arrays of the weighing."""
    from circuitmap.survey.weigh import LEAST_SHOWN, weighed_of

    belief, ways = scales.belief, scales.ways
    many = len(ways)
    found: dict[str, dict[str, float]] = {}
    for point, row in scales.index.items():
        if belief.either(row):
            found.update(chances_of({point: weighed_of(scales, point)}))
            continue
        chances = belief.chances[row]
        odds = {ways[n]: float(chances[n]) for n in (chances[:many] >= LEAST_SHOWN).nonzero()[0]}
        for n in (chances[many + 2 :] >= LEAST_SHOWN).nonzero()[0]:
            for end in belief.pair_of[int(n)]:
                odds[ways[end]] = odds.get(ways[end], 0.0) + float(chances[many + 2 + n]) / 2
        found[point] = odds
    return found


def together(odds: Mapping[str, float], devices: Collection[str]) -> float:
    """Give how likely a point goes off when all of some ways are off."""
    return min(1.0, max(0.0, sum(odds.get(device, 0.0) for device in devices)))


def is_settled(odds: Mapping[str, float] | None, device: str) -> bool:
    """Whether nothing speaks against a point's settled way; nothing does where nobody has weighed."""
    return odds is None or odds.get(device, 0.0) >= SETTLED


def percent(chance: float) -> str:
    """Give a chance in whole percent, never as certain and never as impossible."""
    return f"{min(99, max(1, round(100 * chance)))} %"


def likely_words(chance: float | None, *, sure: bool) -> str:
    """Give in a few words how likely a loss is: "sure", "likely, 70 %", "can't be ruled out"."""
    if sure:
        return "sure"
    if chance is None:
        return "not known yet"
    if chance < SMALL:
        return "can't be ruled out"
    return f"{'likely' if chance >= LIKELY else 'perhaps'}, {percent(chance)}"
