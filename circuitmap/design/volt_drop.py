"""Voltage lost on the way: the trade's tables for one load, the network for many; held against the limits by use.

The figures of the tables are line and neutral together at working temperature; in the network each has half.
"""

from collections.abc import Collection
from math import inf

from msgspec import Struct

from circuitmap.design.capacity import Answer, Verdict
from circuitmap.design.ring_currents import Flow, Stretch
from circuitmap.errors import PersonError
from circuitmap.trade import Cable, Choices, Row, Trade

MILLI = 1e-3
_T_SURROUNDINGS_C = 30.0  # for which the tables are made
_COPPER_C = 230.0  # copper's resistance goes as 230 °C + its temperature (BS 7671 Appendix 4, from memory)


class Drop(Struct, frozen=True, kw_only=True):
    """What is lost: volts and where, per cent of the supply, the limit in volts, and what that means."""

    at: str
    drop_v: float
    percent: float
    limit_v: float
    verdict: Verdict


def drop_v(mv_per_a_m: float, load_a: float, length_m: float, factor: float = 1.0) -> float:
    """Give the volts that a load loses at the end of a cable: (mV/A/m) · I · L / 1000, times a temperature factor.

    **Source:** textbook p. 309 and 313; BS 7671 Appendix 4, 6.1.
    """
    return mv_per_a_m * load_a * length_m * factor * MILLI


def ring_drop_v(mv_per_a_m: float, load_a: float, loop_m: float, x: float, factor: float = 1.0) -> float:
    """Give the volts that one load loses on a ring, at x of the loop: (mV/A/m) · L · x(1 − x) · I / 1000.

    Half way round that is a quarter of a radial's as long as the loop.

    **Source:** arithmetic (two ways in parallel); the quarter: a textbook exercise, relayed.

    Raises
    ------
    PersonError
        When the place isn't on the loop.
    """
    if not 0 <= x <= 1:
        raise PersonError(f"{x:g} is no place on the loop; it goes from 0 to 1.")
    return drop_v(mv_per_a_m, load_a, loop_m * x * (1 - x), factor)


def longest_m(mv_per_a_m: float, load_a: float, limit_v: float, *, is_ring: bool = False) -> float:
    """Give how long a cable may be for a loss at its end, or a loop for one half way round, in metres.

    L = 1000 · V / ((mV/A/m) · I); four times that for a ring.

    **Source:** the formulas above, turned round.
    """
    loss = drop_v(mv_per_a_m, load_a, 0.25 if is_ring else 1.0)
    return limit_v / loss if loss > 0 else inf


def working_factor(ib_a: float, it_a: float, ca: float = 1.0, cg: float = 1.0, most_c: float = 70.0) -> float:
    """Give how much less a cable loses when it isn't as warm as its rating allows.

    Ct = [230 + tp − (Ca²·Cg² − Ib²/It²)(tp − 30)] / (230 + tp).

    **Source:** from memory: BS 7671 Appendix 4, 6.1.

    Parameters
    ----------
    ib_a
        The current it carries, in amperes.
    it_a
        The current of the table for its size and method, before any factor, in amperes.
    most_c
        tp, the greatest working temperature of the cable in °C.

    Raises
    ------
    PersonError
        When the cable is said to carry nothing at all by the table.
    """
    if it_a <= 0:
        raise PersonError("The table's current must be above zero.")
    cooler = (ca * cg) ** 2 - (ib_a / it_a) ** 2
    return (_COPPER_C + most_c - cooler * (most_c - _T_SURROUNDINGS_C)) / (_COPPER_C + most_c)


def stretch(
    trade: Trade, name: str, ends: tuple[str, str], cable: Cable | float, length_m: float, factor: float = 1.0
) -> Stretch:
    """Give a cable of a layout by the tables: its mV/A/m half in the line and half in the neutral.

    Parameters
    ----------
    ends
        The places it joins.
    cable
        A cable of the tables, or the live size of flat cable in mm².
    factor
        What ``working_factor`` gives; 1 leaves the tables' figure.

    Raises
    ------
    PersonError
        When the tables have no figure for it.
    """
    mv = trade.drop_mv_per_a_m(cable)
    if mv is None:
        raise PersonError("The tables have no volt drop for this cable. Give another cable or size.")
    each = drop_v(mv, 1.0, length_m, factor) / 2
    return Stretch(name=name, a=ends[0], b=ends[1], line_ohm=each, neutral_ohm=each)


def limit_of(trade: Trade, *, is_lighting: bool, edition: str, choices: Choices = ()) -> Row:
    """Give how much may be lost from the supply's terminals on, in per cent: 3 for lighting, 5 for all else.

    **Source:** textbook p. 309 and 313; BS 7671 Appendix 4, 6.4.
    """
    return trade.limit("lighting drop %" if is_lighting else "other drop %", edition, choices)


def judge_drop(
    trade: Trade, at: str, lost_v: float | None, *, is_lighting: bool, edition: str, choices: Choices = ()
) -> Drop:
    """Hold a loss in volts against the limit by use; None is a loss that isn't known, and isn't judged."""
    chosen = tuple(choices)
    row = limit_of(trade, is_lighting=is_lighting, edition=edition, choices=chosen)
    supply_v = trade.limit("supply voltage V", edition, chosen).value
    limit_v = supply_v * row.value / 100
    use = "lighting" if is_lighting else "anything but lighting"
    if lost_v is None:
        says = "What is lost can't be told: a length or a size on the way isn't known."
        verdict = Verdict(answer="can't judge", says=says, source=row.source)
        return Drop(at=at, drop_v=0.0, percent=0.0, limit_v=limit_v, verdict=verdict)
    percent = lost_v / supply_v * 100
    answer: Answer = "yes" if lost_v <= limit_v * (1 + 1e-9) else "no"
    where = f" at {at}" if at else ""
    says = (
        f"{lost_v:.1f} V ({percent:.1f} %) are lost{where}; {limit_v:.1f} V ({row.value:g} %) are allowed for {use}, "
        "from the supply's terminals on."
    )
    return Drop(at=at, drop_v=lost_v, percent=percent, limit_v=limit_v,
                verdict=Verdict(answer=answer, says=says, source=row.source))  # fmt: skip


def judge_flow(
    trade: Trade,
    flow: Flow,
    *,
    lighting: Collection[str] = (),
    before_v: float = 0.0,
    edition: str,
    choices: Choices = (),
) -> Drop:
    """Hold the losses of a whole circuit against the limits and give the one that is nearest to, or most over, its own.

    A place whose loss isn't known decides only if no other fails.

    Parameters
    ----------
    flow
        What ``ring_currents.flow`` gives.
    lighting
        The places that are lights.
    before_v
        What is lost before this circuit begins, as in the cable to a second board, in volts.
    """
    chosen = tuple(choices)
    lights = frozenset(lighting)
    judged = [
        judge_drop(trade, place, None if place in flow.unsure_at else before_v + lost_v,
                   is_lighting=place in lights, edition=edition, choices=chosen)
        for place, lost_v in flow.drop_v.items()
    ]  # fmt: skip
    if not judged:
        return judge_drop(trade, "", None, is_lighting=False, edition=edition, choices=chosen)
    failing = [each for each in judged if each.verdict.answer == "no"]
    unknown = [each for each in judged if each.verdict.answer == "can't judge"]
    return max(failing or unknown or judged, key=_share)


def _share(drop: Drop) -> float:
    return drop.drop_v / drop.limit_v
