"""Does a cable carry what its protection lets through: Ib ≤ In ≤ Iz, the ring rule, and when neither may be asked."""

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from circuitmap.trade import Cable, Choices, Trade
from circuitmap.words import DeviceKind

Answer = Literal["yes", "no", "can't judge"]
Duty = Literal["run", "ring", "spur", "fixed load"]
Range = tuple[float, float]


class Verdict(Struct, frozen=True, kw_only=True):
    """An answer with the figures behind it; "can't judge" is never a failure.

    ``have_a`` is what the cable carries, least and most (equal when the method is known); ``need_a`` what it has to.
    ``best_falls_short`` says that no method in the tables would do: worth looking at, still not a failure.
    """

    answer: Answer
    says: str
    source: str
    have_a: Range | None = None
    need_a: float | None = None
    best_falls_short: bool = False


class Protection(Struct, frozen=True, kw_only=True):
    """A device or a fuse that limits the current of what is after it."""

    in_a: float
    kind: DeviceKind | Literal["plug fuse"] = "MCB"


class Correction(Struct, frozen=True, kw_only=True):
    """How a cable's surroundings lower its rating; the defaults lower nothing."""

    ambient_c: float = 30.0
    circuits: int = 1
    touching: bool = True
    insulation_mm: float = 0.0

    def factor(self, trade: Trade) -> float | None:
        """Give Ca × Cg × Ci, or None where the tables end.

        **Source:** BS 7671 Tables 4B1, 4C1 and 52.2, from memory.
        """
        ca = trade.factor("Ca", self.ambient_c)
        cg = trade.factor("Cg bunched" if self.touching else "Cg single layer", self.circuits)
        ci = trade.factor("Ci", self.insulation_mm)
        return None if ca is None or cg is None or ci is None else ca * cg * ci


class Case(Struct, frozen=True, kw_only=True):
    """One cable and what it has to do.

    Parameters
    ----------
    cable
        A cable of the tables, or the live size of flat cable in mm², or None for a cable nobody looked at.
    protection
        The nearest one upstream (see ``nearest``), or None when it isn't known.
    duty
        "run": it may be loaded with all that its protection lets through. "ring": a leg of a whole ring.
        "spur": unfused, feeding one single or twin socket or one fused unit, from a ring or straight from the board.
        "fixed load": feeds one load that can't overload it (shower, immersion heater).
    load_a
        What a spur or a fixed load takes at most, where that is known.
    """

    cable: Cable | float | None
    protection: Protection | None
    duty: Duty = "run"
    method: str = ""
    load_a: float | None = None
    correction: Correction = Correction()


def protects(in_a: float, iz_a: float) -> bool:
    """Say whether In ≤ Iz.

    **Source:** BS 7671 433.1.1, from memory.
    """
    return in_a <= iz_a


def needed_a(trade: Trade, protection: Protection) -> float:
    """Give the rating a cable needs under a protection: In, or In / 0.725 for a rewirable fuse.

    **Source:** BS 7671 433.1.202, from memory, and a training page.
    """
    if protection.kind == "fuse BS 3036":
        return protection.in_a / (trade.factor("Cf BS 3036") or 1.0)
    return protection.in_a


def nearest(upstream: Sequence[Protection | None]) -> Protection | None:
    """Give the protection that limits a cable: the last one met on the way from the supply.

    A way of unknown rating met last gives None: an earlier device doesn't stand in for it.
    """
    return upstream[-1] if upstream else None


def ring_ok(trade: Trade, iz_a: float, in_a: float, edition: str, choices: Choices = ()) -> bool:
    """Say whether a whole ring may be protected by such a device: In ≤ 32 A and Iz ≥ 20 A.

    **Source:** Regulation 433.1.5 of BS 7671:2008, as quoted (now 433.1.204).
    """
    chosen = tuple(choices)
    most = trade.limit("ring device A", edition, chosen).value
    return in_a <= most and iz_a >= trade.limit("ring cable Iz A", edition, chosen).value


def ring_shares_a(load_a: float, fraction: float) -> Range:
    """Give what each leg of a ring carries for one load: I × (1 − x) near, I × x far.

    where x is the load's place on the loop, 0 to 1 from the first leg's end.

    **Source:** arithmetic (two resistances in parallel); the worked figures of the tests.

    Raises
    ------
    ValueError
        When the place isn't on the loop.
    """
    if not 0 <= fraction <= 1:
        raise ValueError(f"{fraction} is no place on the loop, 0 to 1")
    return load_a * (1 - fraction), load_a * fraction


def capacity_a(trade: Trade, case: Case) -> Range | None:
    """Give what the cable carries, corrected: least and most in amperes, equal when the method is known."""
    if case.cable is None:
        return None
    factor = case.correction.factor(trade)
    iz_a = trade.iz(case.cable, case.method)
    span = trade.iz_range(case.cable) if iz_a is None else (iz_a, iz_a)
    return None if span is None or factor is None else (span[0] * factor, span[1] * factor)


def judge(trade: Trade, case: Case, edition: str, choices: Choices = ()) -> Verdict:
    """Judge one cable against its nearest upstream protection, by the duty it has.

    A cable whose method isn't known is judged only where every method agrees that it will do.

    **Source:** BS 7671 433.1.1, 433.1.204 and 433.3.1, from memory; On-Site Guide 7.2.2, as quoted, for spurs.
    """
    chosen = tuple(choices)
    need_a, source = _need(trade, case, edition, chosen)
    have_a = capacity_a(trade, case)
    if case.duty == "ring" and case.protection is not None:
        most = trade.limit("ring device A", edition, chosen)
        if case.protection.in_a > most.value:
            says = f"A {case.protection.in_a:g} A device is too large for a ring; {most.value:g} A is the most."
            return Verdict(answer="no", says=says, source=most.source, have_a=have_a, need_a=need_a)
    if need_a is None:
        return Verdict(answer="can't judge", says=_why_no_need(case), source=source, have_a=have_a)
    if have_a is None:
        says = f"The cable's rating isn't known; it has to carry {_amps(need_a)}."
        return Verdict(answer="can't judge", says=says, source=source, need_a=need_a)
    return _compare(case, have_a, need_a, source)


def _need(trade: Trade, case: Case, edition: str, choices: Choices) -> tuple[float | None, str]:
    in_a = None if case.protection is None else case.protection.in_a
    if case.duty == "ring":
        row = trade.limit("ring cable Iz A", edition, choices)
        return row.value, row.source
    if case.duty == "spur":
        row = trade.limit("unfused spur cable Iz A", edition, choices)
        asked = row.value if case.load_a is None else case.load_a
        return (asked if in_a is None else min(asked, in_a)), row.source
    full = None if case.protection is None else needed_a(trade, case.protection)
    if case.duty == "fixed load" and case.load_a is not None:
        return (case.load_a if full is None else min(case.load_a, full)), "BS 7671 433.3.1, from memory"
    return full, "BS 7671 433.1.1, from memory"


def _why_no_need(case: Case) -> str:
    if case.duty == "fixed load":
        return "Neither the load nor the rating of the device before this cable is known."
    return "The rating of the nearest device or fuse before this cable isn't known."


def _compare(case: Case, have_a: Range, need_a: float, source: str) -> Verdict:
    least, most = have_a
    if least == most:
        ok = protects(need_a, most)
        if not ok and case.duty == "fixed load" and case.load_a is None:
            says = f"The cable carries {_amps(most)}, the device {_amps(need_a)}; the load decides, and isn't known."
            return Verdict(answer="can't judge", says=says, source=source, have_a=have_a, need_a=need_a)
        by = f" by method {case.method}" if case.method else ""
        says = f"The cable carries {_amps(most)}{by}; {_amps(need_a)} {'is' if ok else 'would be'} needed."
        return Verdict(answer="yes" if ok else "no", says=says, source=source, have_a=have_a, need_a=need_a)
    if protects(need_a, least):
        says = f"However it lies, the cable carries at least {_amps(least)}; {_amps(need_a)} is needed."
        return Verdict(answer="yes", says=says, source=source, have_a=have_a, need_a=need_a)
    short = not protects(need_a, most)
    says = (
        f"How the cable lies isn't known: it carries {_amps(least)} to {_amps(most)}, and {_amps(need_a)} is needed"
        + (", more than it carries by any method in the tables." if short else ".")
    )
    return Verdict(answer="can't judge", says=says, source=source, have_a=have_a, need_a=need_a, best_falls_short=short)


def _amps(value: float) -> str:
    return f"{round(value, 1):g} A"
