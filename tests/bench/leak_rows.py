"""Hunts for a planted leak on invented circuits: how many places are opened, against halving; how often it is found.

``python -m tests.bench.leak_rows`` prints the table. The bound is ⌈log2 of the sections⌉ + 1, once for all sections and
once, harder, for the wiring alone (cables and accessories) with the leak in the wiring; equipment needs no opening.
"""

import argparse
import math
import random
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import mean
from typing import Final, Literal

from circuitmap.quantities import Measured
from circuitmap.readings.leak import Layout
from circuitmap.readings.leak_hunt import next_step, standing, started
from circuitmap.readings.leak_layout import layout_of
from circuitmap.readings.leak_split import By
from circuitmap.readings.leak_state import Asked, Hunt, take
from circuitmap.readings.verdict import Rules
from circuitmap.trade import Trade, load
from circuitmap.words import PointKind
from tests.readings.wired import Wired

Form = Literal["radial", "branched radial", "ring", "ring with spurs"]
FORMS: Final[tuple[Form, ...]] = ("radial", "branched radial", "ring", "ring with spurs")
Planted = Literal["evenly", "by suspicion"]
KINDS: Final[tuple[PointKind, ...]] = ("socket",) * 8 + ("usb socket", "fused unit", "junction box", "outdoor socket")
MEGA: Final = 1e6
MOST_STEPS: Final = 120


@dataclass(frozen=True, slots=True)
class Leaky:
    """A circuit's true insulation: megohms of every section, what leaks, and the meter's range and error."""

    layout: Layout
    leaks: tuple[str, ...]
    mohm: dict[str, float]
    most_mohm: float
    error: float
    pick: random.Random

    def read(self, asked: Asked) -> Measured:
        """Read a part: parallel, off by up to the meter's error, a bound past its range."""
        shown = 1 / sum(1 / self.mohm[key] for key in asked.sections)
        shown *= 1 + self.pick.uniform(-self.error, self.error)
        if shown > self.most_mohm:
            return Measured(self.most_mohm * MEGA, ">")
        return Measured(float(f"{shown:.3g}") * MEGA)


@dataclass(frozen=True, slots=True)
class Hunted:
    """How one hunt went."""

    form: Form
    planted: Planted
    sections: int
    wiring: int
    in_wiring: bool
    openings: int
    readings: int
    minutes: float
    found: bool
    wrong: bool


def circuit(seed: int, form: Form, trade: Trade) -> Layout:
    """Invent a circuit of 4 to 40 sections of wiring, accessories of several kinds among them."""
    pick = random.Random(f"{seed} {form}")
    cables = pick.randint(2, 20)
    wired = Wired()
    points = max(1, cables - 1) if form.startswith("ring") else cables

    def accessory() -> str:
        return wired.point(pick.choice(KINDS))

    def metres() -> float:
        return pick.uniform(1, 20)

    match form:
        case "radial":
            before = wired.way_id
            for _ in range(points):
                after = accessory()
                wired.length(before, after, metres())
                before = after
        case "branched radial":
            stops = [wired.way_id]
            for n in range(points):
                after = accessory()
                wired.length(stops[-1] if n < 1 or pick.random() < 0.6 else pick.choice(stops[1:]), after, metres())
                stops.append(after)
        case _:
            spurs = pick.randint(1, max(1, points // 3)) if form == "ring with spurs" and points > 2 else 0
            stops = [accessory() for _ in range(max(1, points - spurs))]
            for a, b in zip([wired.way_id, *stops], [*stops, wired.way_id], strict=True):
                wired.length(a, b, metres())
            for _ in range(spurs):
                wired.length(pick.choice(stops), accessory(), metres())
    return layout_of(wired.on_way, trade)


def plant(layout: Layout, seed: int, planted: Planted, leaks: int = 1, error: float = 0.1) -> Leaky:
    """Plant leaks of 20 kΩ to 10 MΩ; sound sections share some 300 MΩ to 3 GΩ among them."""
    pick = random.Random(f"{seed} {planted} {leaks} {len(layout.sections)} {layout.cables}")
    keys = [section.key for section in layout.sections]
    weights = [section.weight if planted == "by suspicion" else 1.0 for section in layout.sections]
    chosen: list[str] = []
    while len(chosen) < min(leaks, len(keys)):
        key = pick.choices(keys, weights)[0]
        if key not in chosen:
            chosen.append(key)
    total = 10 ** pick.uniform(math.log10(300), math.log10(3000))
    parts = {key: pick.uniform(0.2, 1) for key in keys}
    mohm = {key: total * sum(parts.values()) / part for key, part in parts.items()}
    size = 10 ** pick.uniform(math.log10(0.02), 1)
    for key in chosen:
        mohm[key] = size * (pick.uniform(0.5, 2) if leaks > 1 else 1)
    return Leaky(layout, tuple(chosen), mohm, pick.choice((200.0, 500.0, 999.0)), error, pick)


def hunt_down(leaky: Leaky, rules: Rules, by: By = "minutes") -> tuple[Hunt, bool, bool]:
    """Do every step until the hunt ends; say whether just the planted sections were found, and whether others were."""
    hunt = started(leaky.layout, rules, by=by)
    for _ in range(MOST_STEPS):
        step = next_step(hunt)
        if step.is_end:
            break
        hunt = take(hunt, step, [leaky.read(asked) for asked in step.asked])
    named = {_itself(leaky.layout, key) for each in standing(hunt).found for key in each.sections}
    planted = {_itself(leaky.layout, key) for key in leaky.leaks}
    return hunt, planted == named and step.kind == "found", bool(named - planted)


def _itself(layout: Layout, key: str) -> str:
    """Give what can be told apart at best: electronics built into an accessory are that accessory."""
    section = layout.by_key[key]
    return section.record if section.is_built_in else key


def hunts(seeds: int, planted: Planted, leaks: int = 1, by: By = "minutes", first: int = 0) -> Iterator[Hunted]:
    """Hunt once on a circuit of each form for every seed."""
    trade = load()
    rules = Rules(trade)
    for seed in range(first, first + seeds):
        for form in FORMS:
            layout = circuit(seed, form, trade)
            leaky = plant(layout, seed, planted, leaks)
            hunt, found, wrong = hunt_down(leaky, rules, by)
            wiring = {section.key for section in layout.wiring}
            yield Hunted(
                form=form,
                planted=planted,
                sections=len(layout.sections),
                wiring=len(wiring),
                in_wiring={_itself(layout, key) for key in leaky.leaks} <= wiring,
                openings=hunt.openings,
                readings=sum(read.times for read in hunt.reads),
                minutes=hunt.minutes,
                found=found,
                wrong=wrong,
            )


def bound(sections: int) -> int:
    """Give ⌈log2 of the sections⌉ + 1."""
    return math.ceil(math.log2(sections)) + 1 if sections > 1 else 1


def row(name: str, found: Sequence[Hunted], *, only_wiring: bool = False) -> str:
    """Give one line: openings against the bound, readings, minutes, how often found and how often something sound."""
    if not found:
        return f"{name:<34} none"
    bounds = [bound(each.wiring if only_wiring else each.sections) for each in found]
    over = max(each.openings - least for each, least in zip(found, bounds, strict=True))
    return (
        f"{name:<34} {len(found):>5} {mean(each.openings for each in found):>8.2f} "
        f"{max(each.openings for each in found):>5} {mean(bounds):>6.2f} {over:>+9} "
        f"{mean(each.readings for each in found):>8.1f} {mean(each.minutes for each in found):>7.1f} "
        f"{sum(each.found for each in found) / len(found):>7.1%} {sum(each.wrong for each in found):>6}"
    )


def leak_rows(seeds: int) -> list[str]:
    """Give the table, with so many seeds a form."""
    head = (
        f"{'leak planted':<34} {'hunts':>5} {'openings':>8} {'worst':>5} {'bound':>6} {'w - bound':>9} {'readings':>8} "
        f"{'minutes':>7} {'right':>7} {'wrong':>6}"
    )
    lines = [head]
    for planted in ("evenly", "by suspicion"):
        every = list(hunts(seeds, planted))
        lines.append(row(f"{planted}, anywhere", every))
        wiring = [each for each in every if each.in_wiring]
        lines.append(row(f"{planted}, in the wiring only", wiring, only_wiring=True))
        lines += [row(f"  {form}", [e for e in wiring if e.form == form], only_wiring=True) for form in FORMS]
    fewest = [each for each in hunts(seeds, "evenly", by="openings") if each.in_wiring]
    lines.append(row("evenly, wiring, fewest openings", fewest, only_wiring=True))
    lines.append(row("two leaks, evenly", list(hunts(max(1, seeds // 3), "evenly", leaks=2))))
    return lines


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.leak_rows", description=__doc__)
    parser.add_argument("--seeds", type=int, default=300, help="seeds for each form of circuit (300)")
    asked = parser.parse_args(arguments)
    started_at = time.perf_counter()
    for line in leak_rows(asked.seeds):
        sys.stdout.write(line + "\n")
    sys.stdout.write(f"{time.perf_counter() - started_at:.0f} s\n")


if __name__ == "__main__":
    main()
