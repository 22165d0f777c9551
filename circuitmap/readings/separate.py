"""Which reading to take next: the one that best tells apart the causes that are left.

A reading is worth I = H(y) − Σ p H(y | cause) bits: what it is expected to take off what isn't known of the cause. Each
cause makes it a bell curve about what it predicts, as wide as its lengths and the meter leave it, or an open circuit.

**Source:** mutual information of cause and reading, as in the design of experiments (from memory: D. V. Lindley, 1956).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from circuitmap.readings.arrays import Setting, joined, read
from circuitmap.readings.causes import Stop
from circuitmap.readings.links import Linked, linked
from circuitmap.readings.network import ReadingError
from circuitmap.readings.predict import Meter
from circuitmap.readings.solve import Floats
from circuitmap.readings.weigh import Asked, Case, Ranked
from circuitmap.words import Core, LinkKind, ReadingTest

Way = tuple[ReadingTest, LinkKind, tuple[Core, Core]]
# The tests of a ring and of a radial, the easier first.
OF_RING: Final[tuple[Way, ...]] = (
    ("ring end to end", "end to end", ("L", "L")),
    ("ring end to end", "end to end", ("N", "N")),
    ("ring end to end", "end to end", ("E", "E")),
    ("linked", "cross", ("L", "N")),
    ("linked", "cross", ("L", "E")),
    ("linked", "one leg", ("L", "E")),
    ("linked", "one leg", ("L", "N")),
    ("linked", "one leg", ("N", "E")),
)
OF_RADIAL: Final[tuple[Way, ...]] = (
    ("linked", "radial", ("L", "E")),
    ("linked", "radial", ("L", "N")),
    ("linked", "radial", ("N", "E")),
)
# What is less likely than this isn't worth a reading, and no more causes than so many are weighed against each other.
_LEAST, _MOST = 0.002, 24
_POINTS: Final = 96
_WIDE: Final = 4.0
# Readings that tell as much but for so many bits are chosen between by how little they take to set up.
_ALIKE_BITS: Final = 0.05


@dataclass(frozen=True, slots=True)
class Candidate:
    """A reading that may be taken next, and how many bits it is worth."""

    way: Way
    at: str
    bits: float


@dataclass(frozen=True, eq=False)
class _Lot:
    way: Way
    linked: Linked
    places: tuple[str, ...]


def best_readings(
    case: Case, ranked: Sequence[Ranked], ways: Sequence[Way], legs: tuple[str, ...], meter: Meter,
    stop: Stop | None = None,
) -> tuple[Candidate, ...]:  # fmt: skip
    """Give the readings not taken yet, the most telling first."""
    left = [each for each in ranked if each.probability >= _LEAST and each.suspect.kind != "none of these"][:_MOST]
    if len(left) < 2:
        return ()
    lots = _lots(case, ways, legs)
    if not lots:
        return ()
    if stop is not None:
        stop()
    ohm, sd = _foreseen(case, left, lots, meter)
    odds = np.array([each.probability for each in left])
    bits = _bits(ohm, sd, odds / odds.sum())
    taken = {(asked.test, asked.link, asked.cores, asked.at) for asked in case.asked}
    made = {asked.setting[:2] for asked in case.asked}
    found: list[tuple[tuple[float, ...], Candidate]] = []
    column = 0
    for order, lot in enumerate(lots):
        for place in lot.places:
            test, link, cores = lot.way
            if (test, link, cores, place) not in taken:
                easy = (place != case.base.network.device, (link, cores) not in made, order)
                worth = float(bits[column])
                found.append(
                    ((-round(worth / _ALIKE_BITS), *map(float, easy), -worth), Candidate(lot.way, place, worth))
                )
            column += 1
    return tuple(candidate for _, candidate in sorted(found, key=lambda each: each[0]))


def _lots(case: Case, ways: Sequence[Way], legs: tuple[str, ...]) -> list[_Lot]:
    network = case.base.network
    cores_there = {node.core for node in network.nodes}
    reached = [place for place in dict.fromkeys(node.place for node in network.nodes) if place[0] == "P"]
    found: list[_Lot] = []
    for way in ways:
        _, link, cores = way
        if not set(cores) <= cores_there:
            continue
        try:
            linking = linked(network, link, cores, legs)
        except ReadingError:
            continue  # a test that the legs drawn don't allow is no candidate
        places = [network.device] if link != "radial" else []
        if link != "end to end":
            places += [place for place in reached if all((place, core) in network.at for core in cores)]
        found.append(_Lot(way, linking, tuple(places)))
    return found


def _foreseen(case: Case, left: Sequence[Ranked], lots: Sequence[_Lot], meter: Meter) -> tuple[Floats, Floats]:
    """Give what each cause makes every candidate read, and how widely: rows are causes, columns readings."""
    ohms, spreads = [], []
    for batch in _alike(left):
        settings = [_setting(case, lot, batch[0]) for lot in lots]
        suspicions = joined([each.lot.suspicions.take(np.array([each.row])) for each in batch])
        suspicions.touched[:] = -1  # a contact that was bad once isn't in the next reading
        at = np.stack([each.fitted.at[each.row] for each in batch])
        answers = read(case.base, suspicions, settings, at)
        precision = np.stack([each.fitted.precision[each.row] for each in batch])
        through = np.linalg.solve(precision, answers.slopes)
        variance = np.einsum("kup,kup->kp", answers.slopes, through)
        finite = np.where(np.isfinite(answers.ohm), answers.ohm, 0.0)
        ohms.append(answers.ohm)
        spreads.append(np.sqrt(variance + meter.variance(finite)))
    order = np.argsort([left.index(each) for batch in _alike(left) for each in batch])
    return np.concatenate(ohms)[order], np.concatenate(spreads)[order]


def _alike(left: Sequence[Ranked]) -> list[list[Ranked]]:
    """Part causes by what links they suspect, and swapped conductors from the rest."""
    found: dict[object, list[Ranked]] = {}
    for each in left:
        kind = each.suspect.kind
        found.setdefault(each.suspect.at if kind == "same leg" else kind == "swapped", []).append(each)
    return list(found.values())


def _setting(case: Case, lot: _Lot, ranked: Ranked) -> Setting:
    network = case.base.network
    test = lot.linked
    suspect = ranked.suspect
    if suspect.kind == "same leg" and any((lot.way[1], lot.way[2]) == _of_lot(case, int(each)) for each in suspect.at):
        test = linked(network, "same leg", lot.way[2], test.legs)
    held = [Asked("", *lot.way, place, 0.0, 0, 1.0, test.legs) for place in lot.places]
    return case.setting(test, held)


def _of_lot(case: Case, number: int) -> tuple[LinkKind | None, tuple[Core, Core]]:
    test, _ = case.lots[number]
    return test.kind, test.cores


def _bits(ohm: Floats, sd: Floats, odds: Floats) -> Floats:
    """Give the bits that each reading (column) is worth; causes are rows."""
    weight = odds[:, None]
    is_open = ~np.isfinite(ohm)
    open_odds = (weight * is_open).sum(axis=0)
    middle = np.where(is_open, 0.0, ohm)
    low = np.where(is_open, np.inf, middle - _WIDE * sd).min(axis=0)
    high = np.where(is_open, -np.inf, middle + _WIDE * sd).max(axis=0)
    any_number = np.isfinite(low)
    low, high = np.where(any_number, low, 0.0), np.where(any_number, high, 1.0)
    grid = low + (high - low) * np.linspace(0, 1, _POINTS)[:, None]  # points × readings
    step = (high - low) / (_POINTS - 1)
    # Curves narrower than the grid would fall between its points.
    wide = np.maximum(sd, step)
    density = np.exp(-0.5 * ((grid[:, None, :] - middle) / wide) ** 2)
    density = np.where(is_open, 0.0, density / np.maximum(density.sum(axis=0), 1e-300))
    mixed = (density * weight).sum(axis=1)
    mixed_bits = -_plogp(mixed).sum(axis=0) - _plogp(open_odds)
    own_bits = -(_plogp(density).sum(axis=0) * weight).sum(axis=0)
    found: Floats = np.maximum(mixed_bits - own_bits, 0.0)
    return found


def _plogp(odds: Floats) -> Floats:
    found: Floats = odds * np.log2(np.maximum(odds, 1e-300))
    return found
