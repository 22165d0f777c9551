"""How well readings are explained: planted faults found, and how many readings more it takes, as a table.

``python -m tests.bench.readings_table [--seeds N] [--only both|plugs|cross|speed|network]``; 300 seeds take some
minutes. What is planted and how is ``tests/readings/planted.py``.
"""

import argparse
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import islice

import networkx as nx
import numpy as np

from circuitmap.readings.arrays import base_of
from circuitmap.readings.faults import OpenCore
from circuitmap.readings.links import linked
from circuitmap.readings.predict import Meter
from circuitmap.readings.separate import OF_RING, best_readings
from circuitmap.readings.weigh import Case, Ranked, gathered, weigh
from circuitmap.trade import load
from tests.readings.planted import CROSS, KINDS, ONE_LEG, STEP_1, Planted, Taken, is_right, per_m, plant
from tests.readings.wired import Wired, by_networkx

BOTH: tuple[Taken, ...] = (*STEP_1, CROSS, ONE_LEG)
PLUG_OHM = (0.01, 0.05)
SURE, MOST_MORE = 0.95, 10


@dataclass
class Row:
    """One row of the table: what was asked, of how many, and what was found."""

    name: str
    of: int
    found: str


def case_of(planted: Planted, tests: tuple[Taken, ...], contact_ohm: tuple[float, float] = (0.0, 0.0)) -> Case:
    """The readings of a planted ring as they are weighed."""
    ohm_per_m = per_m()
    base = base_of(planted.wired.network, {core: 5 * ohm for core, ohm in ohm_per_m.items()}, 0.7)
    return Case(base, tuple(planted.readings(tests, contact_ohm=contact_ohm)), ohm_per_m, ratios())


def ratios() -> dict[tuple[float, float], tuple[float, float]]:
    """How line and cpc would change in other cables of the tables."""
    ohm_per_m = per_m()
    found = {}
    for cable in load().cables():
        line, cpc = load().cable_ohm_per_m(cable)
        if line and cpc and cable.metal == "copper" and (cable.live_mm2, cable.cpc_mm2) != (2.5, 1.5):
            found[cable.live_mm2, cable.cpc_mm2] = (line / ohm_per_m["L"], cpc / ohm_per_m["E"])
    return found


@dataclass
class Score:
    """How often the first cause was the planted one."""

    of: int = 0
    kind: int = 0
    among: int = 0
    place: int = 0

    def count(self, planted: Planted, groups: tuple[tuple[Ranked, ...], ...]) -> None:
        """Count one ring."""
        first = groups[0]
        self.of += 1
        self.kind += first[0].suspect.kind == planted.kind
        self.among += any(is_right(planted, each.suspect) for each in first)
        self.place += len(first) == 1 and is_right(planted, first[0].suspect)

    def __str__(self) -> str:
        shares = (self.kind / self.of, self.among / self.of, self.place / self.of)
        return "kind {:6.1%}  and place, or among those that read alike {:6.1%}  and one place {:6.1%}".format(*shares)


def from_sweeps(seeds: int, contact_ohm: tuple[float, float] = (0.0, 0.0)) -> Iterator[Row]:
    """Both sweeps and end to end: each kind for itself, all together, and healthy rings."""
    total = Score()
    for kind in (*KINDS, "healthy"):
        score = Score()
        for seed in range(seeds):
            planted = plant(seed, kind)
            case = case_of(planted, BOTH, contact_ohm)
            groups = gathered(case, weigh(case))
            score.count(planted, groups)
            if kind != "healthy" and seed % len(KINDS) == KINDS.index(kind):
                total.count(planted, groups)
        yield Row(kind, score.of, str(score))
    yield Row("faults in turn, one a seed", total.of, str(total))


def going_on(seeds: int, start: tuple[Taken, ...]) -> Iterator[Row]:
    """From some readings on, one suggested reading after another until one cause is sure."""
    everything, all_more = Score(), []
    for kind in (*KINDS, "healthy"):
        score, more = Score(), []
        for seed in range((kind == "healthy" and seeds) or seeds):
            if kind != "healthy" and seed % len(KINDS) != KINDS.index(kind):
                continue
            planted = plant(seed, kind)
            groups, taken = _until_sure(planted, start)
            score.count(planted, groups)
            more.append(taken)
            if kind != "healthy":
                everything.count(planted, groups)
                all_more.append(taken)
        yield Row(kind, score.of, f"{score}  more readings: median {statistics.median(more):g}, most {max(more)}")
    yield Row("all faults", everything.of, f"{everything}  more readings: median {statistics.median(all_more):g}")


def _until_sure(planted: Planted, start: tuple[Taken, ...]) -> tuple[tuple[tuple[Ranked, ...], ...], int]:
    case = case_of(planted, start)
    taken = 0
    while True:
        ranked = weigh(case)
        if ranked[0].probability >= SURE or taken >= MOST_MORE:
            break
        best = best_readings(case, ranked, OF_RING, planted.legs, Meter())
        if not best or best[0].bits < 0.001:
            break
        case = replace(case, asked=(*case.asked, planted.asked(best[0].way, best[0].at)))
        taken += 1
    return gathered(case, ranked), taken


def speed() -> Iterator[Row]:
    """The full ranking of a 20-point ring, with what to read next; processor time."""
    every = (plant(seed, kind) for seed in range(200) for kind in ("healthy", *KINDS))
    rings = list(islice((planted for planted in every if len(planted.points) == 20), 40))
    cases = [(case_of(planted, BOTH), planted) for planted in rings]
    weigh(cases[0][0])
    took, then = [], []
    for case, planted in cases:
        begin = time.process_time()
        ranked = weigh(case)
        took.append(time.process_time() - begin)
        best_readings(case, ranked, OF_RING, planted.legs, Meter())
        then.append(time.process_time() - begin)
    yield Row("ranking, ms", len(took), f"median {statistics.median(took) * 1e3:.0f}, worst {max(took) * 1e3:.0f}")
    yield Row("and next, ms", len(then), f"median {statistics.median(then) * 1e3:.0f}, worst {max(then) * 1e3:.0f}")


def network() -> Iterator[Row]:
    """All points of a 200-point ring after one edit, beside one resistance distance after another."""
    wired = Wired()
    points = wired.ring(*[5.0] * 201)
    test = linked(wired.network, "cross", ("L", "E"))
    pairs = [(test.network.at[point, "L"], test.network.at[point, "E"]) for point in points]
    sweep = test.network.sweep(pairs)
    run = wired.on_way.runs[100].id
    changes = test.network.changes(OpenCore(run, ("E",)).edit(test.network))
    ours = _median(lambda: sweep.ohm_after(changes), 200)
    edited = test.network.edited(OpenCore(run, ("E",)).edit(test.network))
    begin = time.process_time()
    some = by_networkx(edited, pairs[:3])
    theirs = (time.process_time() - begin) / 3 * len(pairs)
    off = float(np.max(np.abs(sweep.ohm_after(changes)[:3] / np.array(some) - 1)))
    beside = f"pairwise by networkx {nx.__version__} {theirs / ours:,.0f} times as long"
    yield Row("after one edit, ms", 200, f"{ours * 1e3:.3f}; {beside}; differs by {off:.0e}")


def _median(act: Callable[[], object], times: int) -> float:
    found = []
    for _ in range(times):
        begin = time.perf_counter()
        act()
        found.append(time.perf_counter() - begin)
    return statistics.median(found)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=300)
    parser.add_argument("--only", choices=("both", "plugs", "cross", "on", "speed", "network"))
    asked = parser.parse_args()
    parts: dict[str, tuple[str, Callable[[], Iterator[Row]]]] = {
        "network": ("200 points after one edit", network),
        "speed": ("ranking, 20-point ring", speed),
        "both": ("end to end and both sweeps, at terminals", lambda: from_sweeps(asked.seeds)),
        "plugs": ("by a plug in the front, 0.01 to 0.05 Ω of contact", lambda: from_sweeps(asked.seeds, PLUG_OHM)),
        "on": ("both sweeps, then the readings suggested", lambda: going_on(asked.seeds, BOTH)),
        "cross": ("line–neutral cross-linked, then those suggested", lambda: going_on(asked.seeds, (CROSS,))),
    }  # fmt: skip
    for name, (title, rows) in parts.items():
        if asked.only in {None, name}:
            sys.stdout.write(f"{title}\n")
            for row in rows():
                sys.stdout.write(f"  {row.name:28} {row.of:4}  {row.found}\n")
                sys.stdout.flush()


if __name__ == "__main__":
    main()
