"""The price of a job drawn many times: what it may come to, with the causes that it shares drawn once a job.

Draws are spread evenly over every cause and every amount, each in a random order of its own (a Latin hypercube taken
at the middle of its parts), and then turned so that no two go together by chance: the columns X of scores become
X L⁻ᵀ, where L Lᵀ = Xᵀ X / draws. So few thousand are enough.
**Source:** M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21, 1979; R. L. Iman, W. J. Conover,
Communications in Statistics B 11, 1982 (from memory).
"""

from typing import Final

import numpy as np
from msgspec import Struct

from circuitmap.extension.spread import Floats, quantile
from circuitmap.jobs import Ticket

DRAWS: Final = 20_000
SEED: Final = 1
AT_ONCE: Final = 2_000_000  # numbers worked on at a time, some 16 MB each array
ENOUGH: Final = 4  # with fewer draws than this for each column, chance is not taken out: too little would be left


class Drawn(Struct, frozen=True, kw_only=True):
    """What the draws came to: mean and variance, and the amounts below which 10, 50 and 90 % of the draws lie."""

    mean: float
    variance: float
    p10: float
    p50: float
    p90: float
    draws: int


def simulate(
    abm: Floats, loadings: Floats, *, seed: int = SEED, draws: int = DRAWS, ticket: Ticket | None = None
) -> Drawn:
    """Draw the sum of triangular amounts, the causes once for each draw.

    Parameters
    ----------
    abm
        Shape (3, n): low, likely and high of each amount, in any one unit.
    loadings
        Shape (n, causes): square roots of the shares of each amount's spread that go with a cause.
    seed
        The same seed gives the same figures.
    draws
        How many jobs are drawn, at least 100.
    ticket
        Ticks as amounts are drawn; may stop the work.

    Raises
    ------
    ValueError
        When fewer than 100 draws are asked for.
    """
    from scipy.special import ndtr, ndtri

    if draws < 100:
        raise ValueError("a hundred draws are the least that say anything")
    count, causes = loadings.shape
    rng = np.random.default_rng(seed)
    even = np.asarray(ndtri((np.arange(draws) + 0.5) / draws), dtype=np.float64)
    scores = _apart(_shuffled(rng, even, causes + count))
    shared, alone = scores[:, :causes], scores[:, causes:]
    own = np.sqrt(np.clip(1 - (loadings**2).sum(axis=1), 0.0, 1.0))
    total = np.zeros(draws)
    step = max(1, AT_ONCE // draws)
    for start in range(0, count, step):
        if ticket is not None:
            ticket.tick(start, count)
        some = slice(start, min(start + step, count))
        score = shared @ loadings[some].T + alone[:, some] * own[some]
        total += quantile(abm[:, some], ndtr(score)).sum(axis=1)
    p10, p50, p90 = np.percentile(total, (10, 50, 90))
    return Drawn(
        mean=float(total.mean()),
        variance=float(total.var(ddof=1)),
        p10=float(p10),
        p50=float(p50),
        p90=float(p90),
        draws=draws,
    )


def _shuffled(rng: np.random.Generator, even: Floats, count: int) -> Floats:
    """Give the same even scores in another random order for each of some columns, shape (draws, count)."""
    return rng.permuted(np.repeat(even[:, None], count, axis=1), axis=0)


def _apart(scores: Floats) -> Floats:
    """Give scores of mean 0 and variance 1 that don't go together in the sample, shape (draws, columns)."""
    from scipy.linalg import cholesky, solve_triangular

    draws, columns = scores.shape
    if not columns or draws < ENOUGH * columns:
        return scores
    root = cholesky(scores.T @ scores / draws, lower=True)
    return np.asarray(solve_triangular(root, scores.T, lower=True).T, dtype=np.float64)
