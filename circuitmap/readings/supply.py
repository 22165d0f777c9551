"""Readings at the supply: Ze by its earthing, prospective fault current against what devices can break.

Ze is measured with the earthing conductor off, and that only while the installation is isolated: work for a skilled
person, put back before power returns.
"""

from collections.abc import Mapping
from math import inf
from typing import Final

from circuitmap.quantities import show_ohm
from circuitmap.readings.loop import fault_current_a
from circuitmap.readings.verdict import ROUNDING, Rules, Shown, Verdict, cited, span_of, unknown, unusable
from circuitmap.words import DeviceKind, Earthing

KILO: Final = 1e3
_OF_TODAY: Final[tuple[DeviceKind, ...]] = ("MCB", "RCBO", "AFDD")
_USUAL: Final[Mapping[Earthing, str]] = {"TN-S": "TN-S Ze ohm", "TN-C-S": "TN-C-S Ze ohm"}


def judge_ze(rules: Rules, earthing: Earthing, measured: Shown, rcd_ma: float | None = None) -> Verdict:
    """Say whether Ze is usual for its earthing; on TT it is mostly the home's own electrode.

    **Source:** from memory: On-Site Guide 1.1 (0.35 and 0.8 Ω, greatest usually declared); Table 41.5 and its note.
    """
    bad = unusable({"Ze": measured})
    if bad:
        return bad
    span = span_of(measured)
    if span is None:
        return unknown("no reading", "Ze wasn't measured.", "Measure it, or ask the distributor.")
    says = f"Ze {_ohms(span.least, span.most)}"
    if earthing == "unknown":
        return unknown(
            "earthing unknown", f"{says}, but the earthing isn't known.", "Look at the cut-out and electrode."
        )
    if earthing == "TT":
        return _judge_electrode(rules, says, span.least, span.most, rcd_ma)
    usual = rules.row(_USUAL[earthing])
    if span.least > usual.value + ROUNDING:
        why = f"Usually declared for {earthing}: {show_ohm(usual.value)} at most. Repeat it, then ask the distributor."
        return Verdict("Ze above usual", f"{says}.", why, cited(usual), "query")
    if not span.is_number and span.most > usual.value:
        return unknown("only a bound", f"{says}: a bound that doesn't decide.", "Measure in a finer range.")
    return Verdict(
        "Ze usual", f"{says}.", f"Usual for {earthing}: up to {show_ohm(usual.value)}.", cited(usual), "fine"
    )


def judge_loops_alike(rules: Rules, earthing: Earthing, line_neutral: Shown, line_earth: Shown) -> Verdict:
    """Say whether both loops at the supply terminals are alike, as they are where neutral and earth are one (TN-C-S).

    **Source:** a distribution network directive, 2019.
    """
    bad = unusable({"line to neutral": line_neutral, "line to earth": line_earth})
    if bad:
        return bad
    a, b = span_of(line_neutral), span_of(line_earth)
    if earthing != "TN-C-S" or a is None or b is None or not (a.is_number and b.is_number):
        return unknown("nothing to compare", "The two loops are alike on TN-C-S only, and need both.", "Measure both.")
    limit = rules.row("loop meter agrees ohm")
    says = f"At the supply the loops read {show_ohm(a.least)} to neutral and {show_ohm(b.least)} to earth."
    if abs(a.least - b.least) <= limit.value + ROUNDING:
        return Verdict("loops alike", says, "On TN-C-S they are one conductor.", cited(limit), "fine")
    why = "On TN-C-S they should be alike: contact at the tails, or the earthing is another one."
    return Verdict("loops differ", says, why, cited(limit), "query")


def prospective_a(rules: Rules, line_neutral_ohm: float | None, line_earth_ohm: float | None) -> float | None:
    """Give the prospective fault current at a board in amperes, the larger of both loops; None for no loop.

    **Source:** arithmetic, 230 V / Z.
    """
    known = [ohm for ohm in (line_neutral_ohm, line_earth_ohm) if ohm is not None]
    return fault_current_a(min(known), rules.value("supply voltage V")) if known else None


def judge_fault_current(rules: Rules, kind: DeviceKind, measured_a: Shown, marking: str = "") -> Verdict:
    """Say whether a device can break the prospective fault current.

    Parameters
    ----------
    measured_a
        The larger of line to neutral and line to earth, in amperes.
    marking
        What stands on the device, such as "6000" or "M3"; "" takes the usual or the weakest of its kind.
    """
    span = span_of(measured_a)
    if span is None or span.least < 0:
        return unknown("no reading", "The prospective fault current isn't known.", "Measure it at the board.")
    ceiling = rules.row("declared fault level kA")
    kilo = span.least / KILO
    says = f"Prospective fault current {_amps(span.least, span.most)}"
    if kilo > ceiling.value + ROUNDING:
        why = f"Distributors quote {ceiling.value:g} kA at most: doubt the reading first."
        return Verdict("current doubtful", f"{says}.", why, cited(ceiling), "query")
    row = rules.trade.breaking(kind, marking)
    if row is None:
        return unknown("capacity unknown", f"{says}; what the device can break isn't known.", "Read its marking.")
    can = f"{'' if marking else 'unmarked, it is taken for '}{row.ka:g} kA"
    source = row.source
    if span.most <= row.ka * KILO:
        return Verdict("current can be broken", f"{says}; the device: {can}.", "", source, "fine")
    if span.most == inf and span.least <= row.ka * KILO:
        return unknown("only a bound", f"{says}, over the meter's range.", "Measure in a wider range.")
    backed = rules.row("conditional rating kA")
    why = "Its cut-out fuse may stand in for it: for the inspector to judge."
    if kind in _OF_TODAY:
        why = (
            f"Behind a cut-out fuse a household board is often rated {backed.value:g} kA as a whole: look at its label."
        )
    return Verdict("current above marking", f"{says}; the device: {can}.", why, cited(backed), "look")


def _judge_electrode(rules: Rules, says: str, least: float, most: float, rcd_ma: float | None) -> Verdict:
    touch, unstable = rules.row("touch voltage V"), rules.row("unstable electrode ohm")
    if rcd_ma is not None and least > touch.value / rcd_ma * KILO + 1:  # tables print whole ohms
        why = f"A {rcd_ma:g} mA RCD allows {show_ohm(touch.value / rcd_ma * KILO)}."
        return Verdict("electrode too high", f"{says}.", why, cited(touch), "fails")
    if most == inf:
        return unknown("only a bound", f"{says}, over the meter's range.", "Measure in a wider range.")
    if most > unstable.value:
        why = f"Above {unstable.value:g} Ω an electrode may not be stable: it dries and freezes."
        return Verdict("electrode perhaps unstable", f"{says}.", why, cited(unstable), "look")
    own = rules.row("TT Ze ohm")
    why = f"The distributor's electrode is usually {own.value:g} Ω at most; the home's own comes on top."
    return Verdict("electrode usual", f"{says}.", why, cited(own), "fine")


def _ohms(least: float, most: float) -> str:
    return show_ohm(least) if least == most else f"over {show_ohm(least)}" if most == inf else f"under {show_ohm(most)}"


def _amps(least: float, most: float) -> str:
    if least == most:
        return f"{least / KILO:.2f} kA"
    return f"over {least / KILO:g} kA" if most == inf else f"under {most / KILO:g} kA"
