"""Readings beside what the map says they should be: a word for how they compare, and how much that matters."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf
from typing import Final, Literal

from circuitmap.circuits import CircuitView
from circuitmap.home.snapshot import Home
from circuitmap.readings.entries import Entry
from circuitmap.readings.predict import Meter, Predicted, predict
from circuitmap.readings.sheet import Line
from circuitmap.readings.verdict import Level
from circuitmap.trade import Trade
from circuitmap.words import Core, LinkKind

FitWord = Literal["fits", "high", "low", "open", "not open", "not read", ""]

NEAR_SDS: Final = 3.0
"""Within so many standard deviations a reading fits, as in the verdicts (common practice, no source)."""
CONTACT_OHM: Final = 0.02
"""What a plug or a probe may add each time (common practice, no source: 0.01 to 0.05 Ω)."""
LEVELS: Final[tuple[Level, ...]] = ("fine", "can't tell", "look", "query", "fails")


@dataclass(frozen=True, slots=True)
class Fit:
    """How a reading compares with the map: a word, a level, and a sentence."""

    word: FitWord
    level: Level
    says: str


def expected_of(
    view: CircuitView,
    trade: Trade,
    lines: Sequence[Line],
    *,
    home: Home,
    copper_c: float = 20.0,
    meter: Meter | None = None,
    ze_ohm: float | None = None,
) -> dict[tuple[object, ...], Predicted]:
    """Give what lines of a sheet should read, by their keys; those that no length decides are left out.

    An earth fault loop should read what the supply's own loop does and R1 + R2 besides:

    Zs = Ze + (R1 + R2)

    **Source:** guidance on the wiring rules, as CHECKS.md's section on loop impedance has it.
    """
    found: dict[tuple[object, ...], Predicted] = {}
    asked: dict[tuple[LinkKind | None, tuple[Core, Core]], list[Line]] = {}
    for line in lines:
        if line.pair is None:
            continue
        if line.test in ("linked", "ring end to end"):
            link: LinkKind | None = "end to end" if line.test == "ring end to end" else line.link
            asked.setdefault((link, line.pair), []).append(line)
        elif line.test == "Zs":
            asked.setdefault(("radial", line.pair), []).append(line)
    for (link, pair), held in asked.items():
        points = [line.at for line in held if line.at is not None and line.at != view.device.id]
        readings = predict(
            view, trade, link, pair, points=points, copper_c=copper_c, meter=meter or Meter(contact_ohm=CONTACT_OHM),
            home=home,
        )  # fmt: skip
        for line in held:
            reading = readings.get(line.at or view.device.id)
            if reading is None:
                continue
            found[line.key] = _with_supply(reading, ze_ohm) if line.test == "Zs" else reading
    return found


def fit_of(entry: Entry | None, expected: Predicted | None) -> Fit | None:
    """Compare a reading with what it should be; None where there is nothing to compare."""
    if entry is None or expected is None:
        return None
    if entry.value_si is None:
        return Fit("not read", "can't tell", f"Not read: {entry.shown}.")
    if expected.ohm is None:
        return Fit("", "can't tell", expected.why)
    value, wanted = entry.value_si, expected.ohm
    if wanted == inf:
        if entry.reading.bound == ">":
            return Fit("fits", "fine", f"Open, as it should be on the map. {expected.why}")
        return Fit("not open", "look", f"It reads {value:.2f} Ω where the map has it open. {expected.why}")
    spread = max(expected.sd_ohm, 0.005)
    should = f"{wanted:.2f} ± {2 * spread:.2f} Ω"
    away = (value - wanted) / spread
    if entry.reading.bound == ">":
        if away <= NEAR_SDS:
            return Fit("", "can't tell", f"Over {value:g} Ω says nothing where {should} is expected.")
        return Fit("open", "look", f"Open or over range, where the map expects {should}: doubt the contact first.")
    if entry.reading.bound == "<" and away >= 0:
        return Fit("", "can't tell", f"Under {value:g} Ω says nothing where {should} is expected.")
    if abs(away) <= NEAR_SDS:
        return Fit("fits", "fine", f"{value:.2f} Ω fits what the map expects, {should}.")
    more, word = f"{abs(value - wanted):.2f} Ω", "more" if away > 0 else "less"
    why = "a length, a joint or the order of the points" if away > 0 else "a length or the links"
    return Fit(
        "high" if away > 0 else "low", "look", f"{more} {word} than the map expects ({should}): repeat it, then {why}."
    )


def worst_of(*levels: Level | None) -> Level | None:
    """Give the gravest of some levels."""
    held = [level for level in levels if level is not None]
    return max(held, key=LEVELS.index) if held else None


def _with_supply(r1_r2: Predicted, ze_ohm: float | None) -> Predicted:
    if ze_ohm is None:
        return Predicted(None, 0.0, "Can't be told before Ze is read: it is Ze and R1+R2 together.")
    if r1_r2.ohm is None or r1_r2.ohm == inf:
        return r1_r2
    # The supply's own loop moves by about a tenth between two readings (common practice, no source).
    return Predicted(ze_ohm + r1_r2.ohm, hypot(r1_r2.sd_ohm, 0.1 * ze_ohm), f"Ze {ze_ohm:.2f} Ω and R1+R2 on the map.")
