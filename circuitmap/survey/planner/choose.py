"""Choosing what to switch off: as much told as can be, without ever needing more switch-offs than counting demands.

With n ways and the look with everything on, ceil(log2(n + 1)) switch-offs tell every way from every other and see each
of them off once (a code for every way, none of them empty). So the points left on k ways need ceil(log2 k) more, or
ceil(log2(k + 1)) while they were never seen off. A choice is first judged by the greatest such number that it leaves,
then by what its answers tell: the sum over the points of H(q), q the chance that the point goes off. What it breaks
(the most devices off, listed loads, lights on stairs) counts before either.

Source: the counting bound of group testing (classical, from memory); entropy of an answer, Shannon 1948 (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from circuitmap.survey.planner.outlook import PLAUSIBLE, Bools, Floats, Outlook, Rows

_BROKEN: Final = 1e9
_ROUND: Final = 1e4
_UNSEEN: Final = 0.35  # bits that seeing a point off, or on, for the first time is worth beside what it tells
DISTURBS: Final = 0.02  # bits that a device off must earn
LISTED: Final = 0.6  # bits that a listed load interrupted must earn, by the gentle method
STAIRS_DARK: Final = 0.05
TOGETHER: Final = 0.05
AGAIN: Final = 0.02
_SWAPPED: Final = 64  # up to so many units exchanges are tried as well
_TOLD: Final = 0.02  # bits: less than this tells nothing


@dataclass(frozen=True, eq=False)
class Chooser:
    """Searches for the best set of units for an outlook; ``gentle`` heeds listed loads and the most devices off."""

    look: Outlook
    gentle: bool = False
    most: int = 10_000
    cost: Floats = field(default_factory=lambda: np.zeros(0))

    def rounds_needed(self) -> int:
        """Give how many more switch-offs counting demands at least."""
        left, _, seen = self.look.sets
        if not len(left):
            return 0
        return int(_needed(left.sum(axis=1), seen).max())

    def score(self, off: Bools) -> Floats:
        """Give what sets of ways off are worth, more is better: (sets,) for (sets, ways)."""
        chance, many, unseen_off, unseen_on = self.look.bundled(off)
        gain = many @ _bits(chance)
        gain = gain + _UNSEEN * (unseen_off @ chance + unseen_on @ (1 - chance))
        left, _, seen = self.look.sets
        if len(left) and not self.gentle:
            down = off.astype(np.float64)
            inside = left.astype(np.float64) @ down.T
            outside = left.sum(axis=1)[:, None] - inside
            after = np.maximum(_needed(inside, np.ones_like(inside, dtype=bool)), _needed(outside, seen[:, None]))
            gain = gain - _ROUND * after.max(axis=0)
        gain = gain - off @ self.cost
        return np.asarray(gain - _BROKEN * self.broken(off))

    def broken(self, off: Bools) -> Floats:
        """Give how many of the rules that must be heeded each set breaks, or by how much."""
        look, down = self.look, off.astype(np.float64)
        found: Floats = np.zeros(len(off))
        lights = (off & look.lighting[None, :]).sum(axis=1)
        if look.method.is_dark:
            found += np.maximum(lights - 1, 0)
        if look.method.keeps_stairs_lit and len(look.stairs) > 1:
            dark = np.prod(np.clip(down @ look.stairs.T, 0, 1), axis=1)
            found += np.where((dark > STAIRS_DARK) & (lights > 1), 1 + dark, 0)
        if self.gentle:
            found += self._broken_gently(off, down)
        return found

    def _broken_gently(self, off: Bools, down: Floats) -> Floats:
        found: Floats = np.maximum(off.sum(axis=1) - self.most, 0).astype(np.float64)
        listed = self.look.listed
        if not listed:
            return found
        each = np.array([chances for _, chances, _ in listed])
        often = np.array([times >= self.look.method.most_interruptions for _, _, times in listed])
        lost = down @ each.T
        found += np.where(lost[:, often] > AGAIN, lost[:, often], 0).sum(axis=1)
        last = [n for n, (_, _, times) in enumerate(listed) if times == self.look.method.most_interruptions - 1]
        if last:
            # The last time that a load may go off has to tell its way by looking, or it could never be told.
            left = down @ self._left_of([listed[n][0] for n in last]).T
            found += np.where(lost[:, last] > AGAIN, np.maximum(left - 1, 0), 0).sum(axis=1)
        alike = np.einsum("sw,pw,qw->spq", down, each, each, optimize=True)
        both = lost[:, :, None] * lost[:, None, :] - alike
        upper = np.triu_indices(len(listed), 1)
        together = both[:, upper[0], upper[1]].sum(axis=1)
        many = off.sum(axis=1) > 1
        found += np.where(many & (together > TOGETHER), together, 0)
        return found

    def _left_of(self, points: Sequence[str]) -> Floats:
        """Give 1 for the ways that some points' own answers leave: (points, ways)."""
        single = self.look.scales.belief.single[[self.look.scales.index[i] for i in points]]
        return np.asarray(single >= single.max(axis=1, keepdims=True) - PLAUSIBLE, dtype=np.float64)

    # -- searching ----------------------------------------------------------------------------------------------

    def best(self) -> tuple[str, ...]:
        """Give the units of the best set found, none when nothing that may be done tells anything."""
        look = self.look
        count = len(look.units)
        if not count or not len(look.rows):
            return ()
        starts = [np.zeros(count, dtype=bool)] if self.gentle else [self._halved(), np.zeros(count, dtype=bool)]
        found: list[tuple[float, Bools]] = []
        for start in starts:
            chosen, value = self._climb(start)
            found.append((value, chosen))
        value, chosen = max(found, key=lambda each: each[0])
        if not chosen.any() or value <= -_BROKEN / 2:
            return ()
        off = np.asarray(look.takes[chosen].any(axis=0))[None, :]
        told = float(_bits(look.off_chance(off)).sum())
        unseen = float(look.off_chance(off)[~look.seen_off].sum())
        if told < _TOLD and unseen < 0.5:
            return ()
        return tuple(unit for unit, is_in in zip(look.units, chosen, strict=True) if is_in)

    def _halved(self) -> Bools:
        """Give a start in which every set of ways is split by half of its points, within what counting allows."""
        look = self.look
        mass = look.chances.sum(axis=0)
        left, count, seen = self.look.sets
        chosen = np.zeros(look.takes.shape[1], dtype=bool)
        decided = np.zeros_like(chosen)
        for n in np.argsort(-count, kind="stable"):
            ways = np.flatnonzero(left[n] & ~decided)
            ways = ways[np.argsort(-mass[ways], kind="stable")]
            size = int(left[n].sum())
            needed = int(_needed(np.array([size]), np.array([bool(seen[n])]))[0])
            most = 2 ** max(needed - 1, 0)
            least = size - (most if seen[n] else most - 1)
            already = int((left[n] & decided & chosen).sum())
            half, sofar, taken = mass[ways].sum() / 2, 0.0, already
            for way in ways:
                if taken < most and (sofar < half or taken < least):
                    chosen[way], sofar, taken = True, sofar + mass[way], taken + 1
            decided[ways] = True
        return np.asarray((look.takes & chosen[None, :]).sum(axis=1) * 2 > look.takes.sum(axis=1))

    def _climb(self, start: Bools) -> tuple[Bools, float]:
        chosen, value = start.copy(), float(self.score(self._off(start[None, :]))[0])
        for _ in range(4 * len(start) + 4):
            trial = np.repeat(chosen[None, :], len(chosen), axis=0)
            np.fill_diagonal(trial, ~chosen)
            scores = self.score(self._off(trial))
            best = int(np.argmax(scores))
            if scores[best] <= value + 1e-9:
                swapped = self._swapped(chosen)
                if not len(swapped):
                    return chosen, value
                scores, trial = self.score(self._off(swapped)), swapped
                best = int(np.argmax(scores))
                if scores[best] <= value + 1e-9:
                    return chosen, value
            chosen, value = trial[best].copy(), float(scores[best])
        return chosen, value

    def _swapped(self, chosen: Bools) -> Bools:
        inside, outside = np.flatnonzero(chosen), np.flatnonzero(~chosen)
        if len(chosen) > _SWAPPED or not len(inside) or not len(outside):
            return np.zeros((0, len(chosen)), dtype=bool)
        trial = np.repeat(chosen[None, :], len(inside) * len(outside), axis=0)
        rows = np.arange(len(trial))
        trial[rows, np.repeat(inside, len(outside))] = False
        trial[rows, np.tile(outside, len(inside))] = True
        return trial

    def _off(self, units: Bools) -> Bools:
        return np.asarray((units.astype(np.float64) @ self.look.takes.astype(np.float64)) > 0)


def _needed(count: Floats | Rows, seen: Bools) -> Floats:
    """Give the switch-offs that tell some ways apart: ceil(log2 k), or ceil(log2(k + 1)) while not seen off."""
    return np.ceil(np.log2(np.maximum(count + np.where(seen, 0, 1), 1)) - 1e-12)


def _bits(chance: Floats) -> Floats:
    """Give the entropy of yes and no, in bits."""
    q = np.clip(chance, 1e-12, 1 - 1e-12)
    return np.asarray(-(q * np.log2(q) + (1 - q) * np.log2(1 - q)))


def bits(chance: Floats) -> Floats:
    """Give how much an answer tells, in bits, from the chance of "off"."""
    return _bits(chance)
