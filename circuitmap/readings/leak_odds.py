"""How likely each section holds the leak, from all readings of parts: one leak, or two that share it.

Sections that were in the same readings can't be told apart by them; they are weighed together and share their odds by
suspicion. A leak's size and what sound sections let through are summed over.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf, log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from circuitmap.readings.insulation import share_explained
from circuitmap.readings.leak import Layout, PartRead
from circuitmap.readings.verdict import Span

Floats = NDArray[np.float64]

ACCURACY: Final = 0.15
"""How far an insulation meter may be off, as a share of its reading (common practice, no source: 10 to 20 %)."""
LEAST_MOHM: Final = 1e-3  # a reading of nothing is under this
SOUND_MOHM: Final = 2e4  # what one sound section may be, invented
SOUND_SPREAD: Final = 1.3  # by how many times e it may be more or less, invented
TWO: Final = 0.3  # how much likelier one leak is than two, invented
AMISS: Final = 1e-5  # how often a reading has nothing to do with the circuit, invented
STEP: Final = 0.12
SEVERAL: Final = 40.0  # a second leak matters up to so many times the first


@dataclass(frozen=True, slots=True)
class Odds:
    """How likely each section holds a leak, and how likely two leaks share it."""

    by_section: Mapping[str, float]
    two: float

    def of(self, sections: frozenset[str]) -> float:
        """Give how likely some sections hold the leak, at most one."""
        return min(sum(self.by_section.get(key, 0.0) for key in sections), 1.0)


def odds_of(layout: Layout, reads: Sequence[PartRead], accuracy: float = ACCURACY) -> Odds:
    """Give the odds of every section.

    Readings that leave no part low say nothing of where a leak is: suspicion alone then stands.
    """
    atoms = _atoms(layout, reads)
    lowest = min((_low(read.span) for read in reads if read.span.most < inf), default=None)
    if lowest is None:
        return Odds(_shared(layout, atoms, {place: layout.weight(keys) for place, keys in enumerate(atoms)}), 0.0)
    member = np.array([[keys[0] in read.sections for read in reads] for keys in atoms], dtype=float)
    counts = np.array([float(len(read.sections)) for read in reads])
    seen = _Seen(reads, accuracy)
    prior = np.array([layout.weight(keys) for keys in atoms])
    prior /= prior.sum()
    sound = counts / SOUND_MOHM
    one = np.exp(np.arange(log(0.5), log(3.0), STEP)) * lowest
    single = np.zeros(len(atoms))
    for place in range(len(atoms)):
        single[place] = prior[place] * float(seen.weigh(member[place] / one[:, None], sound).mean())
    marginal, both = single.copy(), 0.0
    many = np.exp(np.arange(log(0.5), log(SEVERAL), 2 * STEP)) * lowest
    for a, b in combinations(range(len(atoms)), 2):
        if not member[a].any() or not member[b].any():
            continue
        leak = member[a] / many[:, None, None] + member[b] / many[None, :, None]
        weight = TWO * 2 * float(prior[a] * prior[b] * seen.weigh(leak, sound).mean())
        marginal[a] += weight
        marginal[b] += weight
        both += weight
    total = float(single.sum()) + both
    by_atom = {place: float(marginal[place]) / total for place in range(len(atoms))}
    return Odds(_shared(layout, atoms, by_atom, normalise=False), both / total)


def shares(whole: Span, part: Span, accuracy: float = ACCURACY) -> Span:
    """Give what share of the whole's leakage a part explains: Rwhole / Rpart, each as wide as the meter may be off.

    **Source:** arithmetic, from 1/Rwhole = Σ 1/Ri.
    """
    wide = (1 + accuracy) / (1 - accuracy)
    least = whole.least / part.most / wide if part.most < inf else 0.0
    most = whole.most / part.least * wide if part.least > 0 and whole.most < inf else 1.0
    return Span(min(least, 1.0), min(most, 1.0))


def share_taken_off(whole: Span, without: Span, accuracy: float = ACCURACY) -> Span:
    """Give what share something explains that was taken off, from readings with it and without it."""
    low, high = 1 - accuracy, 1 + accuracy
    wider = [Span(each.least / high, each.most / low) for each in (whole, without)]
    return share_explained(*wider)


class _Seen:
    """What was read, ready to be held against what is expected."""

    def __init__(self, reads: Sequence[PartRead], accuracy: float) -> None:
        self.sd = max(accuracy / 1.7, 0.03)
        self.reads = reads

    def weigh(self, leak: Floats, sound: Floats) -> Floats:
        """Give how well leaks, in siemens per million to each reading along the last axis, go with what was read.

        What is expected is as uncertain as the meter where the leak is, and as sound insulation is where it isn't.
        """
        total = np.ones(leak.shape[:-1])
        for place, read in enumerate(self.reads):
            flow = leak[..., place] + sound[place]
            name = -np.log(flow)
            sd = np.sqrt(self.sd**2 + (SOUND_SPREAD * sound[place] / flow) ** 2)
            if read.span.most == inf:
                fits = _above((name - log(max(read.span.least, LEAST_MOHM))) / sd)
            elif read.span.least < read.span.most:
                fits = _above((log(max(read.span.most, LEAST_MOHM)) - name) / sd)
            else:
                fits = self.sd / sd * np.exp(-0.5 * ((name - log(read.span.least)) / sd) ** 2)
            total *= (1 - AMISS) * fits + AMISS
        return total


def _above(z: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-1.702 * np.clip(z, -30, 30))))  # the usual logistic stand-in for the normal


def _low(span: Span) -> float:
    return max(span.most, LEAST_MOHM)


def _atoms(layout: Layout, reads: Sequence[PartRead]) -> list[list[str]]:
    found: dict[tuple[bool, ...], list[str]] = {}
    for section in layout.sections:
        found.setdefault(tuple(section.key in read.sections for read in reads), []).append(section.key)
    return list(found.values())


def _shared(
    layout: Layout, atoms: list[list[str]], by_atom: Mapping[int, float], *, normalise: bool = True
) -> dict[str, float]:
    total = sum(by_atom.values()) if normalise else 1.0
    found: dict[str, float] = {}
    for place, keys in enumerate(atoms):
        weight = layout.weight(keys)
        for key in keys:
            found[key] = by_atom[place] / total * layout.by_key[key].weight / weight if weight else 0.0
    return found
