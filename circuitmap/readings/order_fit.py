"""Where each point of a ring stands by its two sweeps, and on how long a spur: likelihoods, point by point.

A point taken off at the share x of the ring, on a spur as long as the share u of it, reads (x + u)·R with one leg
linked, R the ring's two conductors in series, and C(x) + u·(a + b) cross-linked, C the curve of ``ring``. The spur is
taken to be of the ring's own cable.

**Source:** the curve: training handout on the ring test; the rest is arithmetic. Priors: common practice, no source.
"""

from dataclasses import dataclass, replace
from math import erf, exp, pi, sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from circuitmap.readings.predict import Meter

Floats = NDArray[np.float64]

PRIOR_SPUR: Final = 0.15
"""How many of a ring's outlets hang on spurs before anything is read."""
_PRIOR_END: Final = 0.97  # one cable ends there: no place on a ring, unless it was counted wrong
_PRIOR_PASSED: Final = 0.03  # several cables: on the ring, or on a spur that goes on
PRIOR_ODD: Final = 0.005
"""How many readings are off for reasons that no ring explains."""
USUAL_OHM_PER_M: Final = 0.00741
"""2.5 mm² line, for what is known of spurs' lengths where the ring's cable isn't. IEC 60228, class 1."""
_SPUR_SCALE_M: Final = 2.5  # spur lengths fall off as l · exp(-l / 2.5 m): mostly 1 to 10 m
_STEPS_M: Final = (0.02, 0.1)
_LONGEST_M: Final = 40.0
# Plugs add 0.01 to 0.05 Ω: on average 2.6 times what they scatter by.
_CONTACT_MEAN: Final = 2.6
_DRIFT_OHM: Final = 0.003  # what nulling leaves, read at terminals
_OFFSETS: Final = 41


@dataclass(frozen=True, slots=True)
class Ring:
    """What is known of the whole ring: R of the first sweep and its spread, the two conductors of the second."""

    near_ohm: float
    near_sd_ohm: float
    a_ohm: float
    b_ohm: float
    loop_m: float


@dataclass(frozen=True, slots=True)
class Fitted:
    """Point by point: odds of a spur and of no sense, x on the ring or at the take-off, and the spur as a share.

    ``x_sd`` is what the meter leaves; what the whole ring's figures leave is common to all. ``contact_ohm`` is what
    contacts seem to add to all readings, ``evidence`` how well all readings are explained, as a logarithm.
    """

    spur: Floats
    odd: Floats
    x_ring: Floats
    x_ring_sd: Floats
    x_spur: Floats
    x_spur_sd: Floats
    u: Floats
    u_sd: Floats
    contact_ohm: float
    evidence: float


def curve_ohm(ring: Ring, x: Floats) -> Floats:
    """Give the cross-linked reading round the ring: [x·a + (1−x)·b] · [(1−x)·a + x·b] / (a + b)."""
    a, b = ring.a_ohm, ring.b_ohm
    x = np.clip(x, 0.0, 1.0)
    found: Floats = (x * a + (1 - x) * b) * ((1 - x) * a + x * b) / (a + b)
    return found


def prior_spur(cables: int | None) -> float:
    """Give how likely a point is to sit on a spur before anything is read, by the cables counted there."""
    if cables is None or cables < 1:
        return PRIOR_SPUR
    return _PRIOR_END if cables == 1 else _PRIOR_PASSED


def fit(near_ohm: Floats, across_ohm: Floats, plugs: Floats, prior: Floats, ring: Ring, meter: Meter) -> Fitted:
    """Weigh for each point whether it stands on the ring or at the end of a spur, and where.

    The offset common to all cross-linked readings (the ends' own errors, contacts) is summed over, not guessed.
    ``plugs`` has a row for each sweep, 1 where a plug was used; ``prior`` holds what is thought of each point sitting
    on a spur beforehand.
    """
    whole, both = ring.near_ohm, ring.a_ohm + ring.b_ohm
    at_terminals, contact_var = replace(meter, contact_ohm=0.0), meter.contact_ohm**2
    contact = _CONTACT_MEAN * meter.contact_ohm
    has_plugs = bool(plugs[1].any())
    level_var = at_terminals.variance(np.array([ring.a_ohm, ring.b_ohm])).sum() / 16
    offset_sd = float(np.sqrt(level_var + _DRIFT_OHM**2 + contact_var * has_plugs))
    offsets = offset_sd * np.linspace(-4, 4, _OFFSETS)
    x_sd = np.sqrt(at_terminals.variance(near_ohm) + contact_var * plugs[0]) / whole
    across_var = at_terminals.variance(across_ohm) + contact_var * plugs[1]
    near_ohm, across_ohm = near_ohm - contact * plugs[0], across_ohm - contact * plugs[1]
    # Lengths tried are no wider apart than the meter tells, within reason; what lies between counts as spread.
    tells_m = 0.7 * float(np.sqrt(across_var.min())) / both * ring.loop_m
    step_m = min(max(tells_m, _STEPS_M[0]), _STEPS_M[1])
    across_var = across_var + (step_m / ring.loop_m * both) ** 2 / 6
    us = np.arange(0.5, _LONGEST_M / step_m) * step_m / ring.loop_m
    prior_u = us * np.exp(-us * ring.loop_m / _SPUR_SCALE_M)
    prior_u /= prior_u.sum()
    u_all = np.concatenate([[0.0], us])
    weight = (1 - PRIOR_ODD) * np.concatenate([1 - prior[:, None], prior[:, None] * prior_u], axis=1)
    odd = PRIOR_ODD / (2 * both)

    def likelihoods(offset: float) -> tuple[Floats, Floats]:
        x = ((near_ohm - offset * plugs[0] * has_plugs) / whole)[:, None] - u_all[None, :]
        here = curve_ohm(ring, x)
        slope = (curve_ohm(ring, x + 0.005) - curve_ohm(ring, x - 0.005)) / 0.01
        spread = np.sqrt(across_var[:, None] + (slope * x_sd[:, None]) ** 2)
        miss = (across_ohm[:, None] - here - u_all[None, :] * both - offset) / spread
        # Off either end of the ring there is no place; the whole ring's own error blurs where it ends.
        blur = np.hypot(x_sd, ring.near_sd_ohm / whole + 1e-9)[:, None]
        outside = np.maximum(0.0, np.maximum(-x, x - 1.0)) / blur
        found: Floats = weight * np.exp(-0.5 * (miss**2 + outside**2)) / (spread * np.sqrt(2 * np.pi))
        return x, found

    logs = np.empty(_OFFSETS)
    sums: list[Floats] = []
    for n, offset in enumerate(offsets):
        x, each = likelihoods(float(offset))
        total = each.sum(axis=1) + odd
        logs[n] = np.log(total).sum() - 0.5 * (offset / offset_sd) ** 2
        shares = each / total[:, None]
        spur = shares[:, 1:].sum(axis=1)
        tail = shares[:, 1:]
        sums.append(
            np.stack([
                spur, odd / total, x[:, 0], (tail * x[:, 1:]).sum(axis=1), (tail * x[:, 1:] ** 2).sum(axis=1),
                (tail * us).sum(axis=1), (tail * us**2).sum(axis=1),
            ])
        )  # fmt: skip
    odds = np.exp(logs - logs.max())
    evidence = float(logs.max() + np.log(odds.sum()))
    odds /= odds.sum()
    spur, off, x_ring, x_s, x_s2, u_s, u_s2 = np.tensordot(odds, np.stack(sums), axes=1)
    held = np.maximum(spur, 1e-300)
    x_spur, u = x_s / held, u_s / held
    x_spur_var = np.maximum(x_s2 / held - x_spur**2, 0) + x_sd**2
    u_var = np.maximum(u_s2 / held - u**2, 0)
    mean = contact + float(odds @ offsets) if has_plugs else 0.0
    return Fitted(spur, off, x_ring, x_sd, x_spur, np.sqrt(x_spur_var), u, np.sqrt(u_var), mean, evidence)


def at_least_zero(mean: float, sd: float) -> tuple[float, float]:
    """Give mean and spread of a normal that is known not to be below zero."""
    if sd <= 0 or mean > 5 * sd:
        return max(mean, 0.0), sd
    z = max(mean / sd, -8.0)
    ratio = exp(-0.5 * z * z) / sqrt(2 * pi) / max(below(z), 1e-15)
    return sd * (z + ratio), sd * sqrt(max(1 - z * ratio - ratio**2, 1e-6))


def below(z: float) -> float:
    """Give how likely a normal lies below z standard deviations."""
    return 0.5 * (1 + erf(z / sqrt(2)))
