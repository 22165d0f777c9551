"""Which suspicion explains the readings of a circuit, with odds: a first look at all of them, a close one at the best.

Readings are taken as they come from the book, circuits from the map; words for people are ``diagnose``.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import erfc, exp, inf, isfinite, log, sqrt
from typing import Final

import numpy as np

from circuitmap.readings.arrays import OWN, Base, Setting, setting_of
from circuitmap.readings.causes import Stop
from circuitmap.readings.conductors import RECTANGLE
from circuitmap.readings.fit import Fitted, Told, believed, fit
from circuitmap.readings.links import Linked, linked
from circuitmap.readings.solve import Floats
from circuitmap.readings.suspects import (
    LIKELY,
    Lot,
    Suspect,
    begun,
    contacts,
    healthy_only,
    suspects,
    swapped,
    together,
)
from circuitmap.words import Core, LinkKind, ReadingTest

# So many suspicions at a time, so that the work can be stopped between.
_BATCH: Final = 96
# From afar straight lines stand in for curves: so much of a reading may be owing to that.
_SLACK: Final = 0.06
# What is so far behind from afar isn't looked at closely, and no more than so many are.
_BEHIND, _CLOSELY = 60.0, 48
# But some of each kind are.
_OF_EACH: Final = 3
_STEPS: Final = 4
# None of these: the best of them, were it not for some readings, one in five of them, that it doesn't explain.
_STRAY, _STRAY_OHM = 0.2, 0.3
# Causes of one kind that no reading tells apart: nearly as likely, and reading the same but for so much of the noise.
_AS_LIKELY, _ALIKE_SD = 0.5, 0.5


@dataclass(frozen=True, slots=True)
class Asked:
    """One reading as it is weighed: how it was taken, the ohms shown (infinite: open), bound, variance."""

    reading: str
    test: ReadingTest
    link: LinkKind | None
    cores: tuple[Core, Core]
    at: str
    ohm: float
    bound: int
    variance: float
    legs: tuple[str, ...] = ()

    @property
    def setting(self) -> tuple[object, ...]:
        """What readings share that are taken with the same links."""
        return (self.link, self.cores, self.legs)


@dataclass(frozen=True, eq=False)
class Case:
    """A circuit, its readings in the order of their settings, and what is needed to suspect anything."""

    base: Base
    asked: tuple[Asked, ...]
    per_m: dict[Core, float]
    ratios: dict[tuple[float, float], tuple[float, float]] = field(default_factory=dict)

    @cached_property
    def lots(self) -> tuple[tuple[Linked, tuple[Asked, ...]], ...]:
        """The readings by setting, in order."""
        found: dict[tuple[object, ...], list[Asked]] = {}
        for asked in self.asked:
            found.setdefault(asked.setting, []).append(asked)
        return tuple((self._linked(held[0]), tuple(held)) for held in found.values())

    @cached_property
    def settings(self) -> tuple[Setting, ...]:
        """The links of each lot of readings, and where the meter was held."""
        return tuple(self.setting(test, held) for test, held in self.lots)

    @cached_property
    def ordered(self) -> tuple[Asked, ...]:
        """The readings as the columns of all arrays."""
        return tuple(asked for _, held in self.lots for asked in held)

    @cached_property
    def told(self) -> Told:
        """What the meters said."""
        return Told(
            np.array([asked.ohm for asked in self.ordered]),
            np.array([asked.bound for asked in self.ordered], dtype=np.intp),
            np.array([asked.variance for asked in self.ordered]),
        )

    def setting(self, test: Linked, held: Sequence[Asked]) -> Setting:
        """Give the joins of a linked network and the nodes between which readings on it are taken."""
        return setting_of(self.base, test, [self._between(test, asked) for asked in held])

    def _between(self, test: Linked, asked: Asked) -> tuple[int, int]:
        network = self.base.network
        if asked.at == network.device:
            return test.at_board
        first, second = asked.cores
        return network.terminal(asked.at, first), network.terminal(asked.at, second)

    def _linked(self, asked: Asked) -> Linked:
        return linked(self.base.network, asked.link, asked.cores, asked.legs)

    def on_same_leg(self, numbers: Sequence[int]) -> tuple[Setting, ...]:
        """Give the settings with the links of some lots made on the same leg."""
        found = list(self.settings)
        for number in numbers:
            test, held = self.lots[number]
            wrong = linked(self.base.network, "same leg", test.cores, test.legs)
            found[number] = self.setting(wrong, held)
        return tuple(found)


@dataclass(frozen=True, eq=False)
class Ranked:
    """One cause with its probability and the fit of its best suspicion; ``row`` is that one's row in ``fitted``."""

    suspect: Suspect
    probability: float
    fitted: Fitted
    lot: Lot
    row: int
    settings: tuple[Setting, ...]

    @property
    def ohm(self) -> Floats:
        """What it makes the readings."""
        found: Floats = self.fitted.ohm[self.row]
        return found

    @property
    def size(self) -> tuple[float, float, float]:
        """How big it is, and between what that likely lies (a standard deviation either way)."""
        return self.spread_of(OWN)

    def spread_of(self, unknown: int) -> tuple[float, float, float]:
        """Give an unknown as a factor or a size, and between what it likely lies."""
        at = float(self.fitted.at[self.row, unknown])
        precision = self.fitted.precision[self.row]
        unit = np.zeros(len(precision))
        unit[unknown] = 1.0
        sd = float(np.sqrt(max(np.linalg.solve(precision, unit)[unknown], 0.0)))
        return exp(at), exp(at - sd), exp(at + sd)


def weigh(case: Case, stop: Stop | None = None) -> tuple[Ranked, ...]:
    """Rank all causes by their odds after the readings, likeliest first; the odds add up to one."""
    halt = stop or _never
    base, told = case.base, case.told
    plain = [suspects(base, case.per_m, case.ratios)]
    can_touch = [bool(isfinite(asked.ohm) and asked.bound == 0) for asked in case.ordered]
    plain.append(contacts(base, [asked.at for asked in case.ordered], can_touch))
    mixed = swapped(base)
    looks = [(lot, case.settings, _afar(case, lot, halt)) for lot in (together(plain), mixed) if lot.suspects]
    for numbers in _mislinked(case):
        cores = case.lots[numbers[0]][0].cores if len(numbers) == 1 else ()
        suspect = Suspect("same leg", LIKELY["same leg"] / 2, cores, tuple(str(number) for number in numbers))
        lot = replace(healthy_only(base), suspects=(suspect,))
        settings = case.on_same_leg(numbers)
        looks.append((lot, settings, fit(base, lot.suspicions, settings, told, slack=_SLACK)))
    best = max(float(np.max(look.score + _priors(lot))) for lot, _, look in looks)
    close: list[tuple[float, Ranked]] = []
    for lot, settings, look in looks:
        halt()
        rows = _promising(lot, look, best)
        if not rows:
            continue
        few = lot.take(rows)
        fitted = fit(base, few.suspicions, settings, told, start=look.at[rows], steps=_STEPS)
        scores = fitted.score + _priors(few) + _beyond(base, few, fitted)
        close += [
            (float(scores[row]), Ranked(few.suspects[row], 0.0, fitted, few, row, settings)) for row in range(len(rows))
        ]
    return _normalised(case, close)


def gathered(case: Case, ranked: Sequence[Ranked]) -> tuple[tuple[Ranked, ...], ...]:
    """Put together what no reading taken can tell apart: the same thing at places where it reads the same.

    Gives groups, the likeliest first.
    """
    sd = np.sqrt(case.told.variance)
    groups: list[list[Ranked]] = []
    for each in ranked:
        for group in groups:
            first = group[0]
            same = each.suspect.kind == first.suspect.kind and each.suspect.cores == first.suspect.cores
            if same and each.probability > _AS_LIKELY * first.probability and _reads_alike(each.ohm, first.ohm, sd):
                group.append(each)
                break
        else:
            groups.append([each])
    return tuple(sorted((tuple(group) for group in groups), key=_sum, reverse=True))


def _sum(group: tuple[Ranked, ...]) -> float:
    return sum(each.probability for each in group)


def _reads_alike(one: Floats, other: Floats, sd: Floats) -> bool:
    both = np.isfinite(one) & np.isfinite(other)
    if not np.array_equal(np.isfinite(one), np.isfinite(other)):
        return False
    return bool(np.all(np.abs(one[both] - other[both]) < _ALIKE_SD * sd[both]))


def _mislinked(case: Case) -> list[tuple[int, ...]]:
    """Give the lots of readings whose links may be on the same leg: each, and all of them by the same mistake."""
    crossed = [number for number, (test, _) in enumerate(case.lots) if test.kind == "cross"]
    found: list[tuple[int, ...]] = [(number,) for number in crossed]
    return [*found, tuple(crossed)] if len(crossed) > 1 else found


def _never() -> None:
    return None


def _priors(lot: Lot) -> Floats:
    found: Floats = np.log(np.array([suspect.odds for suspect in lot.suspects]))
    return found


def _afar(case: Case, lot: Lot, halt: Stop) -> Fitted:
    parts: list[Fitted] = []
    for first in range(0, len(lot.suspects), _BATCH):
        halt()
        few = lot.take(list(range(first, min(first + _BATCH, len(lot.suspects)))))
        start = begun(few, believed(case.base, few.suspicions)[0])
        parts.append(fit(case.base, few.suspicions, case.settings, case.told, start=start, slack=_SLACK))
    names = ("at", "score", "ohm", "slopes", "precision")
    return Fitted(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def _beyond(base: Base, lot: Lot, fitted: Fitted) -> Floats:
    """Give what it costs a suspected length to lie within what the map leaves open after all: then it is as drawn.

    The log of how much of its belief lies beyond that, after the readings against before them.
    """
    cost = np.zeros(len(lot.suspects))
    for row, suspect in enumerate(lot.suspects):
        if suspect.kind == "other length" and not suspect.detail:
            number = base.runs.index(suspect.runs[0])
            limit = base.spread[number] * RECTANGLE
            unit = np.zeros(fitted.at.shape[1])
            unit[number] = 1.0
            sd = float(np.sqrt(max(np.linalg.solve(fitted.precision[row], unit)[number], 1e-12)))
            after = _outside(float(fitted.at[row, number]), sd, limit)
            before = _outside(0.0, float(lot.suspicions.spread[row, number]), limit)
            cost[row] = log(max(after, 1e-9) / before)
    return cost


def _outside(mean: float, sd: float, limit: float) -> float:
    """Give how much of a bell curve lies outside ± a limit."""
    return (erfc((limit - mean) / sd / sqrt(2)) + erfc((limit + mean) / sd / sqrt(2))) / 2


def _promising(lot: Lot, look: Fitted, best: float) -> list[int]:
    """Give the rows worth a close look: the best of each cause, as long as they aren't far behind."""
    total = look.score + _priors(lot)
    order = np.argsort(-total)
    seen: set[tuple[object, ...]] = set()
    rows: list[int] = []
    kinds: Counter[str] = Counter()
    for row in order.tolist():
        suspect = lot.suspects[row]
        key = (*suspect.key, suspect.detail)
        if total[row] < best - _BEHIND and kinds[suspect.kind] >= _OF_EACH:
            continue
        kinds[suspect.kind] += 1
        if key not in seen:
            seen.add(key)
            rows.append(row)
        if len(rows) >= _CLOSELY:
            break
    return rows


def _normalised(case: Case, close: list[tuple[float, Ranked]]) -> tuple[Ranked, ...]:
    most = max(score for score, _ in close)
    stray_score, stray = max(
        ((log(LIKELY["none of these"]) + _strays(case, ranked) + score, ranked) for score, ranked in close),
        key=lambda each: each[0],
    )
    most = max(most, stray_score)
    by_key: dict[tuple[object, ...], list[tuple[float, Ranked]]] = {}
    for score, ranked in close:
        by_key.setdefault(ranked.suspect.key, []).append((score, ranked))
    weights = [
        (sum(exp(score - most) for score, _ in held), max(held, key=lambda each: each[0])[1])
        for held in by_key.values()
    ]
    none = Ranked(
        Suspect("none of these", LIKELY["none of these"]), 0.0, stray.fitted, stray.lot, stray.row, stray.settings
    )
    weights.append((exp(stray_score - most), none))
    total = sum(weight for weight, _ in weights)
    found = [
        Ranked(ranked.suspect, weight / total, ranked.fitted, ranked.lot, ranked.row, ranked.settings)
        for weight, ranked in weights
    ]
    return tuple(sorted(found, key=lambda each: -each.probability))


def _strays(case: Case, ranked: Ranked) -> float:
    """Give by how much the log of the odds changes if some readings may be anything."""
    told = case.told
    finite = np.isfinite(told.ohm) & np.isfinite(ranked.ohm) & (told.bound == 0)
    left = np.where(finite, told.ohm, 0.0) - np.where(finite, ranked.ohm, 0.0)
    usual = -0.5 * left**2 / told.variance - 0.5 * np.log(2 * np.pi * told.variance)
    wide = -0.5 * left**2 / _STRAY_OHM**2 - 0.5 * log(2 * np.pi * _STRAY_OHM**2)
    mixed = np.logaddexp(log(1 - _STRAY) + usual, log(_STRAY) + wide)
    gain = float(np.sum(np.where(finite, mixed - usual, 0.0)))
    misfits = np.isfinite(told.ohm) & (told.bound == 0) & (ranked.ohm == inf)
    opens = np.isinf(told.ohm) & np.isfinite(ranked.ohm)
    return gain + float(misfits.sum()) * 26.0 + float(opens.sum()) * 6.0
