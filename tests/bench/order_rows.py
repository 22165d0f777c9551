"""How well two sweeps draw a ring: rings at random, read through the network model, drawn from the readings alone.

Run it with ``python -m tests.bench.order_rows [--seeds N]``. The true readings come from the circuit as it is wired
(``readings.network``, checked against networkx elsewhere), never from the formulas that the drawing uses; points are
numbered at random, so that no number gives the order away. Rings of 8 to 16 points with 2 to 12 m between
neighbours, up to three spurs of 3 to 10 m among them; the meter errs by 1 % and shows 0.01 Ω.

How "right" is counted. A point on a spur has no place of its own in the order, it has a take-off. Neighbours 2 m apart
at the far end of a 120 m ring differ by 0.04 Ω where 1 % of the reading is 0.02 Ω: no method can always tell
such a pair.

- *order*: all points that are on the ring stand in the true order. *Fair*: besides, a pair the wrong way round is no
  mistake where the answer itself says that it can't tell those two, and they truly are nearer than two standard
  deviations of the difference of their readings.
- *spur or ring*: every point of the ring is told right (one wrong point spoils the ring); also per point. Fair: a
  point called "can't tell" is no mistake.
- *take-off*: every spur hangs on the point that it leaves at. Fair: or the answer says that it can't tell, and the
  right point is among those that it names.
- *all*: order, spur or ring, and take-off together.
"""

import argparse
import random
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import Final

from circuitmap.home.records import End
from circuitmap.readings.links import Pair, linked
from circuitmap.readings.network import Network
from circuitmap.readings.order import RingOrder, order_of_points
from circuitmap.readings.predict import Meter
from circuitmap.readings.sweeps import Sweeps, Swept
from circuitmap.words import Core, LinkKind
from tests.readings.wired import Wired

LINE_OHM_PER_M: Final = 0.00741
CORES: Final[tuple[Core, ...]] = ("L", "N", "E")


@dataclass(frozen=True)
class Truth:
    """A ring as it is wired: the points on it in order, where every spur leaves, and its true resistances."""

    wired: Wired
    order: tuple[str, ...]
    take_off: dict[str, str]
    network: Network
    copper: float = 1.0

    def true_ohm(self, kind: LinkKind, cores: Pair) -> dict[str, float]:
        """What every point and (by the way's id) the board would read without any error."""
        test = linked(self.network, kind, cores)
        points = (*self.order, *self.take_off)
        pairs = [test.at_board, *((test.network.at[p, cores[0]], test.network.at[p, cores[1]]) for p in points)]
        ohms = test.network.sweep(pairs).ohm.tolist()
        return {place: ohm * self.copper for place, ohm in zip((self.wired.way_id, *points), ohms, strict=True)}


@dataclass(frozen=True)
class Marks:
    """How one ring was drawn; None where a ring has nothing to count."""

    order: bool
    order_fair: bool
    spurs: bool
    spurs_fair: bool
    points_right: int
    points: int
    take_off: bool | None
    take_off_fair: bool | None
    untold_pairs: int
    pairs: int
    untold_points: int
    least_sure: float


@dataclass(frozen=True)
class Row:
    """One line of the table: rings read in one manner, and the shares that were drawn right."""

    name: str
    rings: int
    order: float
    order_fair: float
    spurs: float
    spurs_fair: float
    points: float
    take_off: float
    take_off_fair: float
    all: float
    all_fair: float
    untold_pairs: float
    untold_points: float


def ring_at_random(seed: int, fewest: int = 8, most: int = 16, least_spur_m: float = 3.0, copper: float = 1.0) -> Truth:
    """Wire a ring at random; ``copper`` is by how much real copper falls short of the table."""
    pick = random.Random(seed)
    count = pick.randint(fewest, most)
    spurs = pick.randint(0, min(3, count - 3))
    wired = Wired()
    points = [wired.point() for _ in range(count)]
    pick.shuffle(points)
    on_ring, ends = points[: count - spurs], points[count - spurs :]
    stops: list[str | End] = [End(at=wired.way_id, leg=1), *on_ring, End(at=wired.way_id, leg=2)]
    for a, b in pairwise(stops):
        wired.length(a, b, pick.uniform(2, 12))
    take_off = {}
    for end in ends:
        take_off[end] = pick.choice(on_ring)
        wired.length(take_off[end], end, pick.uniform(least_spur_m, 10))
    return Truth(wired, tuple(on_ring), take_off, wired.network, copper)


def read(
    truth: Truth, seed: int, meter: Meter, contact: tuple[float, float] = (0.0, 0.0), *, says_plug: bool = True
) -> Sweeps:
    """Read both sweeps and the ends with a meter that errs, at plugs that add something each time (both in ohms).

    ``says_plug`` is whether the readings say that a plug was used.
    """
    pick = random.Random(1_000_003 * seed + 17)

    def shown(ohm: float, at_plug: bool) -> float:
        ohm = ohm * pick.gauss(1, meter.accuracy_fraction) + (pick.uniform(*contact) if at_plug else 0.0)
        return max(0.0, round(round(ohm / meter.resolution_ohm) * meter.resolution_ohm, 6))

    way = truth.wired.way_id
    ends = {core: shown(truth.true_ohm("end to end", (core, core))[way], False) for core in CORES}
    near, across = truth.true_ohm("one leg", ("L", "E")), truth.true_ohm("cross", ("L", "N"))
    points = sorted((*truth.order, *truth.take_off), key=_number)
    plugs = (contact[1] > 0 and says_plug,) * 2
    swept = tuple(Swept(at, shown(near[at], True), shown(across[at], True), by_plug=plugs) for at in points)
    spread = (contact[1] - contact[0]) / 12**0.5
    known = Meter(meter.accuracy_fraction, meter.resolution_ohm, spread)
    far = shown(near[way], False)
    return Sweeps(way, "A1", swept, ends, far_ohm=far, line_ohm_per_m=LINE_OHM_PER_M, meter=known)


def mark(truth: Truth, drawn: RingOrder, meter: Meter) -> Marks:
    """Hold what was drawn against how it is wired."""
    near = truth.true_ohm("one leg", ("L", "E"))
    place = {at: n for n, at in enumerate(truth.order)}
    order = [at for at in drawn.order if at in place]
    whole = len(order) == len(place)
    untold = {frozenset((s.a, s.b)) for s in drawn.stretches if not s.is_told}
    wrong = [(a, b) for n, a in enumerate(order) for b in order[n + 1 :] if place[a] > place[b]]

    def is_excused(a: str, b: str) -> bool:
        noise = hypot(*(_sd(near[at], meter) for at in (a, b)))
        return frozenset((a, b)) in untold and abs(near[a] - near[b]) < 2 * noise

    every = (*truth.order, *truth.take_off)
    right = {at: (p := drawn.of(at)) is not None and p.is_on_spur == (at in truth.take_off) for at in every}
    doubtful = {at for at in every if (p := drawn.of(at)) is not None and p.standing == "can't tell"}
    hung = {at: spur for spur in drawn.spurs for at in spur.points}
    good = [at in hung and hung[at].at == off for at, off in truth.take_off.items()]
    fair = [
        at in hung and (hung[at].at == off or (not hung[at].is_told and off in dict(hung[at].take_off)))
        for at, off in truth.take_off.items()
    ]
    return Marks(
        order=whole and not wrong,
        order_fair=(whole or all(at in doubtful for at in place if at not in order))
        and all(is_excused(*pair) for pair in wrong),
        spurs=all(right.values()),
        spurs_fair=all(ok or at in doubtful for at, ok in right.items()),
        points_right=sum(right.values()),
        points=len(every),
        take_off=all(good) if good else None,
        take_off_fair=all(fair) if fair else None,
        untold_pairs=len(untold),
        pairs=len(drawn.stretches),
        untold_points=len(doubtful),
        least_sure=min((s.sure for s in drawn.stretches), default=0.0),
    )


def row(name: str, marks: Sequence[Marks]) -> Row:
    """Sum the marks of many rings."""
    with_spurs = [m for m in marks if m.take_off is not None]
    n = len(marks)
    return Row(
        name,
        n,
        order=sum(m.order for m in marks) / n,
        order_fair=sum(m.order_fair for m in marks) / n,
        spurs=sum(m.spurs for m in marks) / n,
        spurs_fair=sum(m.spurs_fair for m in marks) / n,
        points=sum(m.points_right for m in marks) / sum(m.points for m in marks),
        take_off=sum(bool(m.take_off) for m in with_spurs) / max(1, len(with_spurs)),
        take_off_fair=sum(bool(m.take_off_fair) for m in with_spurs) / max(1, len(with_spurs)),
        all=sum(m.order and m.spurs and m.take_off is not False for m in marks) / n,
        all_fair=sum(m.order_fair and m.spurs_fair and m.take_off_fair is not False for m in marks) / n,
        untold_pairs=sum(m.untold_pairs for m in marks) / sum(m.pairs for m in marks),
        untold_points=sum(m.untold_points for m in marks) / sum(m.points for m in marks),
    )


def marks_of(
    seeds: int,
    meter: Meter,
    contact: tuple[float, float] = (0.0, 0.0),
    *,
    least_spur_m: float = 3.0,
    fewest: int = 8,
    most: int = 16,
    copper: float = 1.0,
    says_plug: bool = True,
) -> list[Marks]:
    """Wire, read, draw and mark so many rings."""
    found = []
    for seed in range(seeds):
        truth = ring_at_random(seed, fewest, most, least_spur_m, copper)
        sweeps = read(truth, seed, meter, contact, says_plug=says_plug)
        found.append(mark(truth, order_of_points(sweeps), sweeps.meter))
    return found


def order_rows(seeds: int) -> list[Row]:
    """Give the table: at terminals as the issue asks, by size of ring, with plug contacts, and with a better meter."""
    usual = Meter()
    return [
        row("at terminals, 1 %", marks_of(seeds, usual)),
        row("  8 to 11 points", marks_of(seeds, usual, fewest=8, most=11)),
        row("  12 to 16 points", marks_of(seeds, usual, fewest=12, most=16)),
        row("  copper 5 % under the table", marks_of(seeds, usual, copper=0.95)),
        row("  spurs from 0.5 m", marks_of(seeds, usual, least_spur_m=0.5)),
        row("  a meter of 0.5 %", marks_of(seeds, Meter(0.005, 0.01))),
        row("at plugs, 0.01 to 0.05 Ω", marks_of(seeds, usual, (0.01, 0.05))),
        row("  and nobody said so", marks_of(seeds, usual, (0.01, 0.05), says_plug=False)),
    ]


def _sd(ohm: float, meter: Meter) -> float:
    return float(hypot(meter.accuracy_fraction * ohm, meter.resolution_ohm / 12**0.5, meter.contact_ohm))


def _number(at: str) -> int:
    return int(at[1:])


def main(words: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="How well two sweeps draw a ring.")
    parser.add_argument("--seeds", type=int, default=300)
    rows = order_rows(parser.parse_args(words).seeds)
    heads = ("order", "spurs", "point", "take-off", "all", "untold")
    sys.stdout.write(f"{'right in % (fair count in brackets)':36}" + "".join(f"{head:>14}" for head in heads) + "\n")
    for each in rows:
        pairs = ((each.order, each.order_fair), (each.spurs, each.spurs_fair), (each.points, None),
                 (each.take_off, each.take_off_fair), (each.all, each.all_fair))  # fmt: skip
        cells = [f"{100 * a:.1f}" + ("" if b is None else f" ({100 * b:.1f})") for a, b in pairs]
        cells.append(f"{100 * each.untold_pairs:.1f}/{100 * each.untold_points:.1f}")
        sys.stdout.write(f"{each.name:36}" + "".join(f"{cell:>14}" for cell in cells) + "\n")
    sys.stdout.write(
        "untold: neighbours whose order, and points whose standing, the answer says it can't tell, in %" + "\n"
    )


if __name__ == "__main__":
    main()
