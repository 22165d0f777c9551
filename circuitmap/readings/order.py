"""The order round a ring from two sweeps: which point follows which, how far, which sit on spurs, what can't be told.

The sweep with one leg linked grows along the ring from that leg and on along every spur; the cross-linked one hardly
changes round the ring and grows along spurs only. Of what isn't drawn nothing is taken for certain: every step of the
order, every spur and every take-off has its odds, and a sentence where they don't suffice.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import exp, hypot, pi, sqrt
from operator import itemgetter
from typing import Final, Literal

import numpy as np

from circuitmap.readings.order_fit import (
    USUAL_OHM_PER_M,
    Fitted,
    Ring,
    at_least_zero,
    below,
    curve_ohm,
    fit,
    prior_spur,
)
from circuitmap.readings.order_say import (
    is_low,
    say_contacts,
    say_doubtful,
    say_least_spur,
    say_near_neighbours,
    say_no_ring,
    say_no_whole,
    say_odd,
    say_spur,
)
from circuitmap.readings.sweeps import FEWEST, PLUG_SPREAD_OHM, Aside, Sweeps, Swept
from circuitmap.words import Core

Standing = Literal["ring", "spur", "can't tell"]

TELLS: Final = 0.95
"""From which odds on something is said without a "can't tell"."""
_AT_POINT: Final = 0.85  # of all spurs so many are taken off at a point read here; common practice, no source
_COUNTED: Final = 20.0  # a third cable makes a take-off so much likelier, two cables and no more so much less
_LIKELY: Final = 0.05
_LEAST_CONTACT_OHM: Final = 0.01
_CONVINCED: Final = 3.0  # log odds against readings at terminals being taken for readings by plug: some twenty to one
LIVE: Final[tuple[Core, ...]] = ("L", "N")


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one point stands; shares are of the loop, metres None where its length isn't known.

    ``share`` is its place on the ring seen from the linked leg; for a point on a spur that of the take-off.
    ``spur_share`` is how long the spur is if it sits on one: with ``p_spur`` near 0 it means nothing.
    """

    at: str
    standing: Standing
    p_spur: float
    share: float
    share_sd: float
    spur_share: float
    spur_share_sd: float
    from_leg_m: float | None = None
    from_leg_sd_m: float | None = None
    spur_m: float | None = None
    spur_sd_m: float | None = None

    @property
    def is_on_spur(self) -> bool:
        """Whether a spur is likelier than the ring; whether that can be told says ``standing``."""
        return self.p_spur > 0.5


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one point round the ring to the next (the way itself at either end): how far, and how sure the order is."""

    a: str
    b: str
    share: float
    share_sd: float
    length_m: float | None
    sd_m: float | None
    sure: float

    @property
    def is_told(self) -> bool:
        """Whether the meter can tell which of the two comes first."""
        return self.sure >= TELLS


@dataclass(frozen=True, slots=True)
class Spur:
    """Points that hang on one take-off, the nearest first.

    ``take_off`` are the points on the ring where it may leave with their odds, the likeliest first; an empty name is a
    joint of its own, between the two points ``between``. Several points may be one cable on from point to point, or
    several cables: no reading tells.
    """

    points: tuple[str, ...]
    take_off: tuple[tuple[str, float], ...]
    between: tuple[str, str]
    says: str

    @property
    def at(self) -> str:
        """Where it leaves the ring most likely; empty at a joint of its own."""
        return self.take_off[0][0]

    @property
    def is_told(self) -> bool:
        """Whether the meter can tell where it leaves."""
        return self.take_off[0][1] >= TELLS


@dataclass(frozen=True, slots=True)
class RingOrder:
    """A ring as two sweeps draw it; ``order`` and ``stretches`` start at the leg that was linked (``leg``).

    ``problem`` is the sentence that says why nothing is drawn. ``notes`` are sentences for the person: what can't be
    told, and what to look at.
    """

    device: str
    code: str
    leg: str
    loop_m: float | None
    placed: tuple[Placed, ...]
    order: tuple[str, ...]
    stretches: tuple[Stretch, ...]
    spurs: tuple[Spur, ...]
    aside: tuple[Aside, ...]
    notes: tuple[str, ...]
    contact_ohm: float = 0.0
    problem: str = ""
    by_name: dict[str, Placed] = field(default_factory=dict, compare=False, repr=False)

    def of(self, at: str) -> Placed | None:
        """Give where a point stands, None where it isn't placed."""
        return self.by_name.get(at)


def order_of_points(sweeps: Sweeps) -> RingOrder:
    """Give the order of a ring's points from its two sweeps; where nothing can be drawn, the sentence that says why.

    The loop's length comes from the line end to end and the cable on the map; else distances are shares of the loop.

    **Source:** the curve: training handout on the ring test; how readings grow along spurs: arithmetic.
    """
    if sweeps.problem:
        return _nothing(sweeps, sweeps.problem)
    ring, problem = _ring(sweeps)
    if ring is None:
        return _nothing(sweeps, problem)
    sweeps = _with_contacts(sweeps, ring)
    found = _fitted(sweeps.points, ring, sweeps)
    keep = [n for n, odd in enumerate(found.odd.tolist()) if odd <= 0.5]
    odd = [point for n, point in enumerate(sweeps.points) if n not in set(keep)]
    aside = (*sweeps.aside, *(Aside(point.at, say_odd(point, ring)) for point in odd))
    if sum(is_low(point, ring) for point in odd) > 1:
        return _nothing(replace(sweeps, aside=aside), say_no_ring(sweeps, "low"))
    if len(keep) < max(FEWEST, (len(sweeps.points) + 1) // 2):
        return _nothing(replace(sweeps, aside=aside), say_no_ring(sweeps, "odd"))
    points = [sweeps.points[n] for n in keep]
    if len(keep) < len(sweeps.points):
        found = _fitted(points, ring, sweeps)
    loop_m = ring.loop_m if sweeps.line_ohm_per_m else None
    placed = [_placed(n, point, found, loop_m) for n, point in enumerate(points)]
    if len(placed) > 3 and sum(p.standing == "spur" for p in placed) > 0.6 * len(placed):
        return _nothing(replace(sweeps, aside=aside), say_no_ring(sweeps, "spurs"))
    on_ring = sorted((p for p in placed if not p.is_on_spur), key=_share)
    on_spurs = sorted((p for p in placed if p.is_on_spur), key=_share)
    stretches = _stretches(sweeps.device, on_ring, loop_m)
    spurs = _spurs(sweeps.device, on_ring, on_spurs, {point.at: point.cables for point in points})
    return RingOrder(
        sweeps.device,
        sweeps.code,
        sweeps.leg,
        loop_m,
        tuple(sorted(placed, key=_share)),
        tuple(p.at for p in on_ring),
        stretches,
        spurs,
        aside,
        (*sweeps.notes, *_notes(sweeps, ring, on_ring, placed, stretches, spurs)),
        found.contact_ohm,
        by_name={p.at: p for p in placed},
    )


def _nothing(sweeps: Sweeps, problem: str) -> RingOrder:
    return RingOrder(
        sweeps.device, sweeps.code, sweeps.leg, None, (), (), (), (), sweeps.aside, sweeps.notes, problem=problem
    )  # fmt: skip


def _ring(sweeps: Sweeps) -> tuple[Ring | None, str]:
    """Give the whole ring: R of the first sweep from step 1 and from its reading at the far leg, both where read."""
    ends, meter = sweeps.ends_ohm, replace(sweeps.meter, contact_ohm=0.0)
    a_ohm, b_ohm = (ends[core] for core in sweeps.across)
    parts: list[tuple[float, float]] = []
    if all(core in ends for core in sweeps.near):
        each = np.array([ends[core] for core in sweeps.near])
        parts.append((float(each.sum()), float(meter.variance(each).sum())))
    if sweeps.far_ohm:
        parts.append((sweeps.far_ohm, float(meter.variance(np.array(sweeps.far_ohm)))))
    if not parts and "E" in sweeps.near and "L" in ends and sweeps.cpc_to_line:
        guessed = ends["L"] * (1 + sweeps.cpc_to_line)
        parts.append((guessed, (0.04 * guessed) ** 2))
    if not parts:
        return None, say_no_whole(sweeps)
    if len(parts) == 2 and abs(parts[0][0] - parts[1][0]) > 5 * sqrt(parts[0][1] + parts[1][1]) + 0.05:
        return None, say_no_whole(sweeps, parts[0][0])
    weights = [1 / variance for _, variance in parts]
    near_ohm = sum(ohm * weight for (ohm, _), weight in zip(parts, weights, strict=True)) / sum(weights)
    line = [ends[core] for core in LIVE if core in ends] or [a_ohm]
    loop_m = sum(line) / len(line) / (sweeps.line_ohm_per_m or USUAL_OHM_PER_M)
    return Ring(near_ohm, 1 / sqrt(sum(weights)), a_ohm, b_ohm, loop_m), ""


def _fitted(points: Sequence[Swept], ring: Ring, sweeps: Sweeps) -> Fitted:
    near = np.array([point.near_ohm for point in points])
    across = np.array([point.across_ohm for point in points])
    prior = np.array([prior_spur(point.cables) for point in points])
    plugs = np.array([point.by_plug for point in points], dtype=np.float64).T
    return fit(near, across, plugs, prior, ring, sweeps.meter)


def _with_contacts(sweeps: Sweeps, ring: Ring) -> Sweeps:
    """Take readings for taken by plug, though nobody said so, where all stand above the ring as plugs would make them.

    Else contacts of a few hundredths of an ohm would read as spurs of some metres at every point.
    """
    near, across = (np.array(each) for each in zip(*((p.near_ohm, p.across_ohm) for p in sweeps.points), strict=True))
    above_ohm = float(np.median(across - curve_ohm(ring, near / ring.near_ohm)))
    if above_ohm < _LEAST_CONTACT_OHM or any(any(point.by_plug) for point in sweeps.points):
        return sweeps
    plugged = tuple(replace(point, by_plug=(True, True)) for point in sweeps.points)
    contact_ohm = sweeps.meter.contact_ohm or PLUG_SPREAD_OHM
    other = replace(sweeps, points=plugged, meter=replace(sweeps.meter, contact_ohm=contact_ohm))
    as_said, as_plugs = (_fitted(each.points, ring, each) for each in (sweeps, other))
    if as_plugs.evidence - as_said.evidence < _CONVINCED:
        return sweeps
    return replace(other, notes=(*sweeps.notes, say_contacts(as_plugs.contact_ohm)))


def _placed(n: int, point: Swept, found: Fitted, loop_m: float | None) -> Placed:
    p_spur = min(1.0, float(found.spur[n] / max(1e-12, 1 - found.odd[n])))
    standing: Standing = "spur" if p_spur >= TELLS else "ring" if p_spur <= 1 - TELLS else "can't tell"
    on_spur = p_spur > 0.5
    share = min(1.0, max(0.0, float((found.x_spur if on_spur else found.x_ring)[n])))
    share_sd = float((found.x_spur_sd if on_spur else found.x_ring_sd)[n])
    u, u_sd = float(found.u[n]), float(found.u_sd[n])
    metres = [None] * 4 if loop_m is None else [each * loop_m for each in (share, share_sd, u, u_sd)]
    return Placed(point.at, standing, p_spur, share, share_sd, u, u_sd, *metres)


def _share(placed: Placed) -> tuple[float, str]:
    return placed.share, placed.at


def _stretches(device: str, on_ring: Sequence[Placed], loop_m: float | None) -> tuple[Stretch, ...]:
    stops = [(device, 0.0, 0.0), *((p.at, p.share, p.share_sd) for p in on_ring), (device, 1.0, 0.0)]
    found: list[Stretch] = []
    for (a, x, x_sd), (b, y, y_sd) in pairwise(stops):
        sd = hypot(x_sd, y_sd)
        share, share_sd = at_least_zero(y - x, sd)
        sure = 1.0 if device in (a, b) else below((y - x) / sd)
        length_m, sd_m = (None, None) if loop_m is None else (share * loop_m, share_sd * loop_m)
        found.append(Stretch(a, b, share, share_sd, length_m, sd_m, sure))
    return tuple(found)


def _spurs(
    device: str, on_ring: Sequence[Placed], on_spurs: Sequence[Placed], cables: Mapping[str, int | None]
) -> tuple[Spur, ...]:
    """Hang every point on a spur on its likeliest take-off; those without one there go together where they meet."""
    groups: dict[object, list[tuple[Placed, tuple[tuple[str, float], ...]]]] = {}
    joint: tuple[float, float, int] | None = None
    for point in on_spurs:
        odds = _take_off(point, on_ring, cables)
        key: object = odds[0][0]
        if not key:
            if joint is None or point.share - joint[0] > 2 * hypot(joint[1], point.share_sd):
                joint = (point.share, point.share_sd, len(groups))
            key = joint[2]
        groups.setdefault(key, []).append((point, odds))
    found: list[Spur] = []
    for held in groups.values():
        held.sort(key=_along_spur)
        points = tuple(point for point, _ in held)
        mean = sum(point.share for point in points) / len(points)
        before = [p.at for p in on_ring if p.share <= mean]
        after = [p.at for p in on_ring if p.share > mean]
        between = (before[-1] if before else device, after[0] if after else device)
        least_sure = min((odds for _, odds in held), key=_first_odds)
        says = say_spur([(p.at, p.spur_m) for p in points], least_sure, between, TELLS)
        found.append(Spur(tuple(p.at for p in points), least_sure, between, says))
    return tuple(found)


def _take_off(
    point: Placed, on_ring: Sequence[Placed], cables: Mapping[str, int | None]
) -> tuple[tuple[str, float], ...]:
    """Give where a spur may leave, with odds: at a point read, by how near it is and by the cables counted there."""
    weights = {"": 1 - _AT_POINT} if on_ring else {"": 1.0}
    for other in on_ring:
        sd = hypot(point.share_sd, other.share_sd)
        miss = (point.share - other.share) / sd
        counted = cables.get(other.at)
        prior = _AT_POINT / len(on_ring) * (1 if not counted else _COUNTED if counted > 2 else 1 / _COUNTED)
        weights[other.at] = prior * exp(-0.5 * miss**2) / (sd * sqrt(2 * pi))
    total = sum(weights.values())
    odds = sorted(((at, weight / total) for at, weight in weights.items()), key=itemgetter(1), reverse=True)
    return tuple(each for n, each in enumerate(odds) if n == 0 or each[1] >= _LIKELY)


def _notes(
    sweeps: Sweeps,
    ring: Ring,
    on_ring: Sequence[Placed],
    placed: Sequence[Placed],
    stretches: Sequence[Stretch],
    spurs: Sequence[Spur],
) -> list[str]:
    notes = [say_near_neighbours(s.a, s.b, s.sure, s.sd_m) for s in stretches if not s.is_told]
    notes += say_doubtful([(p.at, p.p_spur, p.spur_m) for p in placed if p.standing == "can't tell"])
    notes += [spur.says for spur in spurs]
    if on_ring:
        # From so much of a spur on its odds overtake the prior's: some three standard deviations.
        across = np.array([(ring.a_ohm + ring.b_ohm) / 4])
        plugged = any(point.by_plug[1] for point in sweeps.points)
        meter = sweeps.meter if plugged else replace(sweeps.meter, contact_ohm=0.0)
        least_share = 3 * float(np.sqrt(meter.variance(across))[0]) / (ring.a_ohm + ring.b_ohm)
        notes.append(say_least_spur(least_share, ring.loop_m if sweeps.line_ohm_per_m else None))
    return notes


def _along_spur(held: tuple[Placed, object]) -> float:
    return held[0].spur_share


def _first_odds(odds: tuple[tuple[str, float], ...]) -> float:
    return odds[0][1]
