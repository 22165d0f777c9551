"""The published ring and radial continuity tests as formulas, beside the network that solves any shape.

Ends are numbered 1 and 2; x is how far round the ring a point lies from end 1, by length, from 0 to 1. a and b are two
conductors end to end (r1 and rn in step 2, r1 and r2 in step 3). What readings mean is said in ``ring_verdicts``.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from circuitmap.errors import OurError
from circuitmap.readings.conductors import temperature_factor
from circuitmap.readings.verdict import RESOLUTION_OHM, Rules
from circuitmap.trade import Cable, Trade


@dataclass(frozen=True, slots=True)
class Ends:
    """A ring end to end, both legs off: line r1, neutral rn, protective conductor r2, in ohms."""

    r1_ohm: float
    rn_ohm: float
    r2_ohm: float


@dataclass(frozen=True, slots=True)
class LoopLength:
    """How long a ring's loop is by its line, in metres: at least, by the table, at most."""

    least_m: float
    table_m: float
    most_m: float


def cross_linked_ohm(a_ohm: float, b_ohm: float, x: float) -> float:
    """Give the reading at a point of a ring with its two conductors cross-linked.

    R(x) = [x·a + (1−x)·b] · [(1−x)·a + x·b] / (a + b); constant a/2 where a = b.

    **Source:** training handout on the ring test; that it is not flat for line and cpc: Wiring Matters 89 (2022).
    """
    _within(x)
    return (x * a_ohm + (1 - x) * b_ohm) * ((1 - x) * a_ohm + x * b_ohm) / (a_ohm + b_ohm)


def at_board_ohm(a_ohm: float, b_ohm: float) -> float:
    """Give the least reading of a cross-linked ring, at the board: a·b / (a + b).

    **Source:** training handout on the ring test.
    """
    return a_ohm * b_ohm / (a_ohm + b_ohm)


def at_middle_ohm(a_ohm: float, b_ohm: float) -> float:
    """Give the greatest reading of a cross-linked ring, half way round, recorded as R1+R2: (a + b) / 4.

    **Source:** training handout on the ring test; textbook p. 365.
    """
    return (a_ohm + b_ohm) / 4


def least_to_most(ratio: float) -> float:
    """Give the least over the greatest cross-linked reading for k = b/a: 4k / (1 + k)².

    **Source:** arithmetic from the two formulas above.
    """
    return 4 * ratio / (1 + ratio) ** 2


def same_leg_ohm(a_ohm: float, b_ohm: float, x: float) -> float:
    """Give the reading where each end was linked to its own leg by mistake: (a + b)·x·(1−x), nothing at the board.

    **Source:** arithmetic: both legs in parallel, x and 1−x of the whole.
    """
    _within(x)
    return (a_ohm + b_ohm) * x * (1 - x)


def one_open_ohm(open_ohm: float, whole_ohm: float, x: float, break_at: float) -> float:
    """Give the cross-linked reading where one conductor is broken: about double, flat only where both are alike.

    Before the break x·a + (1−x)·b, behind it (1−x)·a + x·b, where a is the broken conductor's resistance if whole.

    **Source:** arithmetic: one path is left.
    """
    _within(x)
    along = x if x < break_at else 1 - x
    return along * open_ohm + (1 - along) * whole_ohm


def spur_end_ohm(take_off_ohm: float, length_m: float, ohm_per_m: float) -> float:
    """Give the reading at the end of a spur: that of its take-off plus out and back along it.

    **Source:** arithmetic; that a spur reads higher: apprentice notes and trainee forums.
    """
    return take_off_ohm + length_m * ohm_per_m


def spur_length_m(reading_ohm: float, take_off_ohm: float, ohm_per_m: float) -> float:
    """Give how long a spur is from its reading and that of its take-off; the inverse of ``spur_end_ohm``."""
    return max(0.0, reading_ohm - take_off_ohm) / ohm_per_m


def radial_ohm(trade: Trade, cable: Cable, length_m: float) -> float | None:
    """Give R1+R2 of a length of cable at 20 °C, or None where a size isn't in the tables.

    **Source:** a guide to the Wiring Regulations, 17th ed., Tables 4.1 to 4.3.
    """
    live, cpc = trade.cable_ohm_per_m(cable)
    return None if live is None or cpc is None else (live + cpc) * length_m


def cpc_ratios(trade: Trade, cables: Iterable[Cable]) -> tuple[float, float] | None:
    """Give between what r2/r1 may lie for a ring in these cables: by the ohm table and by areas, whatever the mixture.

    2.5/1.5 gives 1.633 by ohms and 1.667 by area. A ring in two cables lies between theirs.

    **Source:** IEC 60228; NICEIC and ELECSA note on end-to-end values (2016), which asks for the real cable's ratio.
    """
    ratios: list[float] = []
    for cable in cables:
        live, cpc = trade.cable_ohm_per_m(cable)
        if not live or not cpc or not cable.cpc_mm2:
            return None
        ratios += [cpc / live, cable.live_mm2 / cable.cpc_mm2]
    return (min(ratios), max(ratios)) if ratios else None


def loop_length(
    trade: Trade,
    cables: Iterable[Cable],
    line_ohm: float,
    copper_c: float = 20.0,
    resolution_ohm: float = RESOLUTION_OHM,
) -> LoopLength | None:
    """Give a ring's length from a live conductor end to end, or None where a cable isn't in the tables.

    L = r1 / r, r in ohms per metre: at most the standard's, at least ideal copper's of the nominal area, which makes
    the loop longer than the table says. The cpc won't do: parallel paths shorten it.

    **Source:** trainee forum (r1 · 1000 / 7.41); imperial sizes: arithmetic and common practice, no source.

    Parameters
    ----------
    cables
        All that the ring is known to be made of; with several the length is only known between the extremes.
    resolution_ohm
        What the meter's last digit is worth; the reading is known to within it either way.
    """
    warmth = temperature_factor(trade, copper_c)
    tables: list[float] = []
    ideals: list[float] = []
    for cable in cables:
        per_m, _ = trade.cable_ohm_per_m(cable)
        if per_m is None:
            return None
        ideal = trade.ohm_per_m(cable.live_mm2, "ideal") if cable.metal == "copper" else None
        tables.append(per_m * warmth)
        ideals.append((ideal or per_m) * warmth)
    if not tables:
        return None
    least = max(0.0, line_ohm - resolution_ohm) / max(tables)
    most = (line_ohm + resolution_ohm) / min(ideals)
    return LoopLength(least, line_ohm * len(tables) / sum(tables), most)


def to_20_ohm(trade: Trade, reading_ohm: float, copper_c: float) -> float:
    """Give what a reading would be at 20 °C: divided by 1 + 0.004 (T − 20 °C).

    **Source:** trade rule, from memory (Guidance Note 3, On-Site Guide Table I2: 0.94 at 5 °C to 1.02 at 25 °C).
    """
    return reading_ohm / temperature_factor(trade, copper_c)


def at_work_ohm(rules: Rules, cold_ohm: float, *, is_90: bool = False, has_cpc_apart: bool = False) -> float:
    """Give what a conductor measured at 20 °C has at working temperature.

    Times 1.20 for 70 °C cable with its cpc inside (0.004 · 50 K), 1.04 for a cpc apart from it, 1.28 for 90 °C cable.

    **Source:** from memory: On-Site Guide Table I3.
    """
    name = "operating factor 90" if is_90 else "operating factor 70" + (" separate cpc" if has_cpc_apart else "")
    return cold_ohm * rules.trade.constants[name].value


def _within(x: float) -> None:
    if not 0 <= x <= 1:
        raise OurError(f"A place round a ring is a fraction from 0 to 1, not {x}.")
