"""How well suspicions fit what meters said: lengths and sizes settled for each by Gauss and Newton, then its odds.

log p(y | suspicion) ≈ −½ Σ (y − f)²/σ² − ½ Σ log 2πσ² − ½ (x − μ)ᵀ Λ (x − μ) + ½ log |Λ| − ½ log |JᵀWJ + Λ|

where y are the readings, σ their meters' standard deviations, f(x) what the suspicion makes them read, x its unknowns
(lengths, copper as made, its own size) with belief N(μ, Λ⁻¹), J = ∂f/∂x and W = 1/σ².

**Source:** Laplace's approximation of a marginal likelihood; Gauss–Newton (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, log, pi
from typing import Final

import numpy as np

from circuitmap.readings.arrays import CPC_MADE, MADE, OWN, Base, Bools, Setting, Suspicions, read
from circuitmap.readings.solve import Floats, Ints

# Copper reads 0 to 7 % below the standard's greatest value (conductors.MAKE_SPREAD); line and cpc differ less.
MADE_MEAN: Final = log(1 - 0.035)
MADE_SD: Final = 0.025
CPC_SD: Final = 0.02
# A number where nothing should join, an open circuit where something should: a slip of clips or pen. Our estimates.
_NUMBER_FOR_OPEN: Final = -30.0
_OPEN_FOR_NUMBER: Final = -9.0
# No unknown moves further at a step.
_FURTHEST: Final = 0.8


@dataclass(frozen=True, eq=False)
class Told:
    """What meters said, a column for each reading: ohms (infinite: open), 1 for over a bound, -1 under it, variance."""

    ohm: Floats
    bound: Ints
    variance: Floats


@dataclass(frozen=True, eq=False)
class Fitted:
    """Suspicions at their best: unknowns (rows × unknowns), log of the odds, and the readings there with their slopes.

    ``precision`` is that of the unknowns after the readings, shape (rows, unknowns, unknowns).
    """

    at: Floats
    score: Floats
    ohm: Floats
    slopes: Floats
    precision: Floats


def fit(
    base: Base,
    suspicions: Suspicions,
    settings: Sequence[Setting],
    told: Told,
    *,
    start: Floats | None = None,
    steps: int = 1,
    slack: float = 0.0,
) -> Fitted:
    """Fit every suspicion by so many steps.

    Parameters
    ----------
    start
        Unknowns to begin at; what is believed beforehand when None.
    slack
        Taken as a standard deviation of every reading, as a fraction of it, besides the meter's: for a first look
        from afar, where a straight line stands in for a curve.
    """
    mean, precision = believed(base, suspicions)
    at = mean.copy() if start is None else start
    variance = told.variance + (slack * np.where(np.isfinite(told.ohm), told.ohm, 0.0)) ** 2
    for _ in range(steps):
        answers = read(base, suspicions, settings, at)
        uses = _uses(told, answers.ohm)
        left = _left(told, answers.ohm, uses)
        weight = np.where(uses, 1 / variance, 0.0)
        weighted = answers.slopes * weight[:, None, :]
        matrix = np.matmul(weighted, answers.slopes.transpose(0, 2, 1))
        index = np.arange(matrix.shape[1])
        matrix[:, index, index] += precision
        goal = np.einsum("hup,hp->hu", weighted, left) + precision * (mean - at)
        step = np.clip(np.linalg.solve(matrix, goal[:, :, None])[:, :, 0], -_FURTHEST, _FURTHEST)
        before, at = at, at + step
    there = answers.ohm + np.einsum("hup,hu->hp", answers.slopes, at - before)
    left = _left(told, there, uses)
    score = -0.5 * np.sum(weight * left**2, axis=1)
    score -= 0.5 * np.sum(np.where(uses, np.log(2 * pi * variance), 0.0), axis=1)
    score -= 0.5 * np.sum(precision * (at - mean) ** 2, axis=1)
    score += 0.5 * (np.log(precision).sum(axis=1) - np.linalg.slogdet(matrix)[1])
    score += _mismatch(told, answers.ohm)
    return Fitted(at, score, there, answers.slopes, matrix)


def believed(base: Base, suspicions: Suspicions) -> tuple[Floats, Floats]:
    """Give what is believed of all unknowns before a reading: their means and precisions, rows × unknowns."""
    count, runs = len(suspicions), len(base.runs)
    mean, spread = np.zeros((count, runs + 3)), np.empty((count, runs + 3))
    spread[:, :runs] = suspicions.spread
    mean[:, MADE], spread[:, MADE] = MADE_MEAN, MADE_SD
    spread[:, CPC_MADE] = CPC_SD
    mean[:, OWN], spread[:, OWN] = suspicions.own_mean, suspicions.own_sd
    return mean, 1 / spread**2


def _left(told: Told, ohm: Floats, uses: Bools) -> Floats:
    said = np.where(np.isfinite(told.ohm), told.ohm, 0.0)
    found: Floats = np.where(uses, said - np.where(uses, ohm, 0.0), 0.0)
    return found


def _uses(told: Told, ohm: Floats) -> Bools:
    """Say which readings speak as numbers: both finite, and a bound only where it is broken."""
    finite = np.isfinite(ohm) & np.isfinite(told.ohm)
    over, under = told.bound > 0, told.bound < 0
    kept: Bools = finite & np.where(over, ohm < told.ohm, np.where(under, ohm > told.ohm, True))
    return kept


def _mismatch(told: Told, ohm: Floats) -> Floats:
    said_open = np.isinf(told.ohm)
    a_number = np.isfinite(told.ohm) & (told.bound <= 0)
    score: Floats = _NUMBER_FOR_OPEN * (a_number & (ohm == inf)).sum(axis=1)
    score += _OPEN_FOR_NUMBER * (said_open & np.isfinite(ohm)).sum(axis=1)
    return score
