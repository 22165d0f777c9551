"""How sums of uncertain amounts spread when some of them go together: exact means and variances, in arrays.

Every amount is triangular by its low *a*, likely *m* and high *b*:

    mean = (a + m + b) / 3,    variance = (a² + m² + b² − am − ab − mb) / 18.

**Source:** NIST/SEMATECH e-Handbook of Statistical Methods and any table of distributions (from memory); the tests
hold both to ``scipy.stats.triang``.

What goes together is said by *causes* drawn once for all amounts. With Z_c the standard normal score of cause c, and
E_i that of what is amount i's own,

    amount_i = Q_i(Φ(Σ_c √s_ic · Z_c + √(1 − Σ_c s_ic) · E_i)),

where Q_i is the inverse of amount i's distribution, Φ the standard normal distribution and s_ic the share of its
spread that goes with the cause. Each amount keeps its own distribution whatever the shares; a share of 1 makes amounts
move as one. With r_ij = Σ_c √(s_ic s_jc), Mehler's formula gives

    Cov(amount_i, amount_j) = Σ_{n≥1} r_ijⁿ h_in h_jn,    h_in = E[Q_i(Φ(Z)) H_n(Z)],

where H_n is the Hermite polynomial (of the probabilists) divided by √n!. **Source:** F. G. Mehler, 1866; any account of
Gaussian copulas (from memory); the tests hold it to drawing at random and to numerical integration.
"""

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

TERMS: Final = 48
NODES: Final = 96
FAR: Final = 8.5  # beyond this many standard deviations nothing is left of a normal distribution in double precision


def quantile(abm: Floats, u: Floats) -> Floats:
    """Give triangular amounts at given chances.

    Parameters
    ----------
    abm
        Shape (3, n): low, likely, high of n amounts.
    u
        Shape (draws, n) or (n,): chances from 0 to 1.
    """
    low, likely, high = abm
    wide = high - low
    at = np.divide(likely - low, wide, out=np.zeros_like(wide), where=wide > 0)
    rising = low + np.sqrt(u * wide * (likely - low))
    falling = high - np.sqrt((1 - u) * wide * (high - likely))
    return np.asarray(np.where(u < at, rising, falling), dtype=np.float64)


def means(abm: Floats) -> Floats:
    """Give the means of triangular amounts, shape (n,)."""
    return np.asarray(abm.sum(axis=0) / 3, dtype=np.float64)


def variances(abm: Floats) -> Floats:
    """Give the variances of triangular amounts, shape (n,).

    Written with r = m − a and f = b − m as (r² + r f + f²) / 18, which never falls below zero by rounding.
    """
    rise, fall = abm[1] - abm[0], abm[2] - abm[1]
    return np.asarray((rise * rise + rise * fall + fall * fall) / 18, dtype=np.float64)


def hermite_parts(abm: Floats) -> Floats:
    """Give h_n of each amount for n = 1 … ``TERMS``: shape (n amounts, TERMS).

    Integrated by Gauss and Legendre on both sides of the likeliest amount, where the inverse has its only kink.
    """
    from scipy.special import ndtr, ndtri

    low, likely, high = abm
    wide = high - low
    at = np.divide(likely - low, wide, out=np.full_like(wide, 0.5), where=wide > 0)
    kink = np.clip(ndtri(at), -FAR, FAR)
    nodes, weights = _nodes()
    parts = np.zeros((abm.shape[1], TERMS))
    for start, end in ((np.full_like(kink, -FAR), kink), (kink, np.full_like(kink, FAR))):
        half = (end - start) / 2
        z = (start + end)[:, None] / 2 + half[:, None] * nodes[None, :]
        density = np.exp(-z * z / 2) / np.sqrt(2 * np.pi)
        value = quantile(abm, ndtr(z).T).T * density * half[:, None] * weights[None, :]
        before, now = np.zeros_like(z), np.ones_like(z)
        for n in range(1, TERMS + 1):  # √n H_n = z H_(n−1) − √(n−1) H_(n−2)
            before, now = now, (z * now - np.sqrt(n - 1) * before) / np.sqrt(n)
            parts[:, n - 1] += (value * now).sum(axis=1)
    return parts


@cache
def _nodes() -> tuple[Floats, Floats]:
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    return nodes, weights


def covariance(abm: Floats, loadings: Floats, parts: Floats | None = None) -> Floats:
    """Give the covariances between all amounts, shape (n, n).

    Parameters
    ----------
    abm
        Shape (3, n).
    loadings
        Shape (n, causes): the square roots of the shares.
    parts
        What ``hermite_parts`` gives for ``abm``, where it is known already.
    """
    parts = hermite_parts(abm) if parts is None else parts
    together = np.clip(loadings @ loadings.T, 0.0, 1.0)
    found = np.zeros_like(together)
    power = np.ones_like(together)
    for n in range(TERMS):
        power = power * together
        found += power * np.outer(parts[:, n], parts[:, n])
    np.fill_diagonal(found, variances(abm))
    return found


def explained(abm: Floats, loadings: Floats, parts: Floats | None = None) -> tuple[Floats, Floats]:
    """Give the variance of the sum that each cause explains alone, and that each amount's own part explains alone.

    Var(E[sum | Z_c]) = Σ_n (Σ_i √s_icⁿ h_in)², the first-order index of a variance-based study times the variance.
    **Source:** I. M. Sobol, 1993 (from memory).

    Returns
    -------
    tuple of arrays
        Shape (causes,) and (n,).
    """
    parts = hermite_parts(abm) if parts is None else parts
    own = np.sqrt(np.clip(1 - (loadings**2).sum(axis=1), 0.0, 1.0))
    n = np.arange(1, TERMS + 1)
    by_cause = ((loadings[:, :, None] ** n * parts[:, None, :]).sum(axis=0) ** 2).sum(axis=1)
    by_own = ((own[:, None] ** n * parts) ** 2).sum(axis=1)
    return by_cause, by_own
