"""Fault loops: Zs and fault currents as formulas, limits by device and edition, measured beside predicted.

A high reading through an RCD and a low one beside other earths are no faults by themselves; whether a way is safe to
work on is not said here.
"""

from dataclasses import dataclass, replace
from math import floor, inf
from typing import Final

from circuitmap.quantities import show_ohm
from circuitmap.readings.verdict import (
    COMMON,
    ROUNDING,
    Rules,
    Shown,
    Verdict,
    cited,
    span_of,
    unknown,
    unusable,
)
from circuitmap.trade import Row
from circuitmap.words import ClearedBy, Earthing

MILLI: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Protection:
    """What disconnects a circuit: its device, and the rating of an RCD if one is over it (None: there is none)."""

    kind: ClearedBy
    type: str = ""
    in_a: float | None = None
    rcd_ma: float | None = None


@dataclass(frozen=True, slots=True)
class How:
    """How a loop was measured: by a test that doesn't trip an RCD, through one or not."""

    is_no_trip: bool = False
    is_through_rcd: bool = False


@dataclass(frozen=True, slots=True)
class ZsLimit:
    """The greatest Zs of a device: at working temperature, and for a reading at room temperature.

    ``reading_ohm`` is the share of the exact limit rounded down; ``printed_share_ohm`` that of the printed one as
    books round it. Between the two nothing is ever a failure.
    """

    row: Row
    exact_ohm: float
    reading_ohm: float
    printed_share_ohm: float
    share: Row


def zs_ohm(ze_ohm: float, r1_r2_ohm: float) -> float:
    """Give the earth fault loop: Zs = Ze + (R1 + R2).

    **Source:** textbooks; a distribution network directive (2019) for the sum of impedances.
    """
    return ze_ohm + r1_r2_ohm


def fault_current_a(loop_ohm: float, u0_v: float) -> float:
    """Give the prospective current of a fault: Ipf = U0 / Z; endless for no impedance.

    **Source:** arithmetic.
    """
    return u0_v / loop_ohm if loop_ohm > 0 else inf


def greatest_zs_ohm(trip_a: float, u0_v: float, cmin: float) -> float:
    """Give the greatest Zs that lets a current flow: U0 · Cmin / Ia.

    **Source:** BS 7671 411.4.4; a trade body's article on maximum earth fault loop impedance.
    """
    return u0_v * cmin / trip_a


def zs_limit(rules: Rules, device: Protection, time_s: float = 0.4) -> ZsLimit | None:
    """Give the greatest Zs of a device in the rules' edition, None where the tables have none."""
    if device.in_a is None:
        return None
    row = rules.trade.max_zs(device.kind, device.type, device.in_a, rules.edition, time_s)
    if row is None:
        return None
    share = rules.row("reading share of Zs")
    trip_a = rules.trade.trip_a(device.kind, device.type, device.in_a)
    exact = row.value
    if trip_a:
        by_formula = greatest_zs_ohm(trip_a, rules.value("supply voltage V"), rules.value("Cmin"))
        # A printed figure that is another rule's (5 s) stays; one that is the formula's, rounded, gives way to it.
        exact = by_formula if abs(by_formula - row.value) < 0.01 else row.value
    return ZsLimit(row, exact, _down(exact * share.value), round(row.value * share.value + ROUNDING, 2), share)


def behind_fuse(rules: Rules, device: Protection, fuse_a: float | None, time_s: float = 0.4) -> tuple[Protection, bool]:
    """Give what clears a fault behind a plug or a fused unit: the device or the fuse, whichever allows more.

    A fuse without a row of its own, or one that nobody read, is held to the next larger one (the largest, if unread):
    a loop that is good for that is good for it. The second answer is whether a loop above the limit is too high for
    sure: not where a larger fuse stood in.

    **Source:** BS 7671 Tables 41.2 and 41.4, fuses to BS 1362, from memory.
    """
    known = rules.trade.plug_fuses_a(rules.edition, time_s)
    larger = [a for a in known if fuse_a is not None and a >= fuse_a] or list(known[-1:] if fuse_a is None else ())
    if not larger:
        return device, False
    fuse = replace(device, kind="plug fuse", type="", in_a=larger[0])
    limits = [(limit.row.value, each) for each in (fuse, device) if (limit := zs_limit(rules, each, time_s))]
    return max(limits, key=_ohm)[1], fuse_a in known


def _ohm(limit: tuple[float, Protection]) -> float:
    return limit[0]


def disconnection_s(
    rules: Rules, earthing: Earthing, in_a: float, *, feeds_sockets: bool = False, is_distribution: bool = False
) -> Row | None:
    """Give how quickly a fault must be cleared, None where the earthing isn't known.

    **Source:** from memory: BS 7671 411.3.2.2 to 411.3.2.4.
    """
    if earthing == "unknown":
        return None
    quick = "quick disconnection sockets A" if feeds_sockets else "quick disconnection A"
    if is_distribution or in_a > rules.value(quick):
        return rules.row("TT distribution disconnection s" if earthing == "TT" else "distribution disconnection s")
    return rules.row("TT final disconnection s" if earthing == "TT" else "TN final disconnection s")


def judge_zs(
    rules: Rules,
    device: Protection,
    measured: Shown,
    *,
    time_s: float = 0.4,
    earthing: Earthing = "unknown",
    how: How | None = None,
    at_work_ohm: float | None = None,
) -> Verdict:
    """Say whether a measured Zs lets its device disconnect.

    Parameters
    ----------
    at_work_ohm
        Ze + (R1+R2) at working temperature where that is known; then the share for readings needn't decide.
    """
    bad = unusable({"Zs": measured})
    if bad:
        return bad
    span = span_of(measured)
    if span is None:
        return unknown("no reading", "Zs wasn't measured.", "Measure it at the furthest point.")
    if earthing == "TT":
        return _judge_tt(rules, device, measured)
    limit = zs_limit(rules, device, time_s)
    if limit is None:
        says = "The tables have no greatest Zs for this device, type and rating."
        return unknown("no limit", says, "Read what stands on the device: kind, type and rating.")
    most = f"{show_ohm(limit.row.value)} in {rules.edition}"
    source = cited(limit.row)
    if not span.is_number:
        if span.most <= limit.reading_ohm:
            return Verdict("Zs low enough", f"Zs is under {show_ohm(span.most)}; at most {most}.", "", source, "fine")
        if span.least > limit.row.value and not _may_be_meter(rules, span.least, limit.row.value, how):
            return _too_high(rules, device, span.least, most, source, how)
        return unknown("only a bound", "Zs is only a bound that doesn't decide.", "Measure it in a finer range.")
    value = span.least
    share = f"{show_ohm(limit.reading_ohm)} for a reading at room temperature"
    if value <= limit.reading_ohm + ROUNDING:
        says = f"Zs {show_ohm(value)} is low enough: at most {most}, {share}."
        return Verdict("Zs low enough", says, "", source, "fine")
    if value <= limit.printed_share_ohm + ROUNDING:
        says = f"Zs {show_ohm(value)} is as high as it may be: at most {most}, {share}."
        why = f"{show_ohm(limit.printed_share_ohm)} is the same share of the printed figure: a matter of rounding only."
        return Verdict("Zs at its limit", says, why, source, "fine")
    if _may_be_meter(rules, value, limit.printed_share_ohm, how):
        says = f"Zs reads {show_ohm(value)}, above {share}, by a no-trip test through an RCD."
        why = "Such a test often reads 0.1 to 0.5 Ω high: calculate Ze + (R1+R2) before calling it a fault."
        return Verdict("Zs perhaps high", says, why, COMMON, "query")
    if value > limit.row.value + ROUNDING:
        return _too_high(rules, device, value, most, source, how)
    says = f"Zs {show_ohm(value)} is above {share} (at most {most} when warm)."
    if at_work_ohm is not None and at_work_ohm <= limit.row.value + ROUNDING:
        why = f"Calculated at working temperature it is {show_ohm(at_work_ohm)}, which passes."
        return Verdict("Zs passes warm", says, why, source, "look")
    warm = f"; calculated at working temperature it is {show_ohm(at_work_ohm)}" if at_work_ohm is not None else ""
    why = f"Copper at work has about a fifth more resistance{warm}."
    return Verdict("Zs too high warm", says, why, cited(limit.share), "look" if device.rcd_ma else "fails")


def judge_prediction(
    rules: Rules, predicted_ohm: float | None, measured: Shown, *, spread: float = 0.0, how: How | None = None
) -> Verdict:
    """Say how a measured loop lies to Ze + (R1+R2); on this alone nothing ever fails.

    Parameters
    ----------
    spread
        Within what fraction of itself the prediction is known.
    """
    bad = unusable({"the measured loop": measured})
    if bad:
        return bad
    span = span_of(measured)
    if predicted_ohm is None or span is None:
        missing = "predicted" if predicted_ohm is None else "measured"
        return unknown("incomplete", f"The loop has no {missing} value.", "Lengths and Ze give one, a meter the other.")
    limit = rules.row("loop meter agrees ohm")
    slack = limit.value + spread * predicted_ohm + ROUNDING
    says = f"{show_ohm(predicted_ohm)} was to be expected, {_shown(span.least, span.most)} was measured."
    if span.most < predicted_ohm - slack:
        why = "Low is normal where pipes, bonding and steelwork lie beside the cpc (parallel paths)."
        return Verdict("lower than predicted", says, why, COMMON, "fine")
    if span.least <= predicted_ohm + slack:
        return Verdict("as predicted", says, "", cited(limit), "fine")
    if _may_be_meter(rules, span.least, predicted_ohm + slack, how):
        why = "A no-trip test through an RCD often reads 0.1 to 0.5 Ω high: it may be the instrument."
        return Verdict("higher than predicted", says, why, COMMON, "query")
    why = "A poor joint, a longer way or a thinner cpc than on the map; a reading through a plug holds its contact."
    return Verdict("higher than predicted", says, why, COMMON, "look")


def _judge_tt(rules: Rules, device: Protection, measured: Shown) -> Verdict:
    span = span_of(measured)
    if span is None or device.rcd_ma is None:
        says = "On a TT supply an RCD must disconnect, and none is recorded over this circuit."
        return unknown("no RCD recorded", says, "Look for the RCD and its rating.")
    touch, unstable = rules.row("touch voltage V"), rules.row("unstable electrode ohm")
    most_ohm = touch.value / (device.rcd_ma * MILLI)
    says = f"Zs {_shown(span.least, span.most)}; a {device.rcd_ma:g} mA RCD allows {show_ohm(most_ohm)}"
    if span.least > most_ohm + 1:  # tables print whole ohms
        return Verdict("Zs too high for RCD", f"{says}.", "Ra · IΔn may be 50 V at most.", cited(touch), "fails")
    if span.most == inf:
        return unknown("only a bound", f"{says}, but it was over the meter's range.", "Measure in a wider range.")
    if span.most > unstable.value:
        why = f"Above {unstable.value:g} Ω an earth electrode may not be stable: it dries and freezes."
        return Verdict("electrode perhaps unstable", f"{says}.", why, cited(unstable), "look")
    why = "On TT the RCD disconnects; the overcurrent device's Zs doesn't decide."
    return Verdict("Zs low enough for RCD", f"{says}.", why, cited(touch), "fine")


def _too_high(rules: Rules, device: Protection, value: float, most: str, source: str, how: How | None) -> Verdict:
    says = f"Zs {show_ohm(value)} is too high: at most {most}."
    through = " It was read through an RCD: calculate Ze + (R1+R2) as well." if how and how.is_through_rcd else ""
    if device.rcd_ma is not None and value <= rules.value("touch voltage V") / (device.rcd_ma * MILLI):
        why = (
            f"Only the {device.rcd_ma:g} mA RCD disconnects a fault to earth here, for the inspector to judge.{through}"
        )
        return Verdict("Zs on RCD alone", says, why, source, "look")
    why = f"A fault would not be cleared in time. Joints, cpc and earthing come first.{through}"
    return Verdict("Zs too high", says, why, source, "fails")


def _may_be_meter(rules: Rules, value: float, limit_ohm: float, how: How | None) -> bool:
    excess = rules.value("no-trip loop excess ohm")
    return how is not None and how.is_no_trip and how.is_through_rcd and value - excess <= limit_ohm + ROUNDING


def _shown(least: float, most: float) -> str:
    return show_ohm(least) if least == most else f"over {show_ohm(least)}" if most == inf else f"under {show_ohm(most)}"


def _down(ohm: float) -> float:
    return floor(ohm * 100 + ROUNDING) / 100
