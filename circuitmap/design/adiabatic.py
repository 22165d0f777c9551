"""Whether a conductor stands the heat of a fault until its device clears it: S ≥ √(I²·t) / k.

How long a fault lasts comes from what the tables hold. A breaker clears at once above the current of its magnet. Of a
fuse two points of its curve are known, at 5 s and at 0.4 s, by the greatest Zs printed for each: between them the curve
sags below the straight line on log paper, beyond them its I²t only falls, so what is reckoned here is on the safe side.
"""

from math import exp, inf, log, sqrt

from msgspec import Struct

from circuitmap.design.capacity import Verdict
from circuitmap.readings.loop import Protection, fault_current_a
from circuitmap.readings.verdict import Rules
from circuitmap.trade import LetThrough

_IN_CABLE = "k cpc in cable"
_FORMULA = "BS 7671 543.1.3 and 434.5.2, from memory"
_KILO = 1e3
_ROUNDING = 1e-9


class Heat(Struct, frozen=True, kw_only=True):
    """A fault and what it needs: its current, how long it lasts, its energy, the size that stands it."""

    fault_a: float
    verdict: Verdict
    time_s: float | None = None
    a2s: float | None = None
    needed_mm2: float | None = None


def needed_mm2(a2s: float, k: float) -> float:
    """Give the least size that stands an energy: S = √(I²·t) / k.

    **Source:** BS 7671 543.1.3, from memory; IEC 60364-5-54 543.1.2.
    """
    return sqrt(a2s) / k


def energy_a2s(rules: Rules, device: Protection, fault_a: float) -> tuple[float, float] | None:
    """Give how long a fault lasts in seconds and its I²t in A²s; None where the device may not clear it, or is unknown.

    **Source:** BS 7671 Figures 3A4 to 3A6 for breakers, Tables 41.2 and 41.4 for fuses, from memory; their I²t by
    arithmetic.

    Parameters
    ----------
    device
        What clears the fault; its RCD isn't asked, for it sees no fault between live conductors.
    fault_a
        The prospective current in amperes.
    """
    if device.in_a is None or fault_a <= 0 or fault_a == inf:
        return None
    magnet_a = rules.trade.trip_a(device.kind, device.type, device.in_a)
    if magnet_a is not None:
        if fault_a < magnet_a * (1 - _ROUNDING):
            return None
        time_s = rules.value("magnetic trip s")
        return time_s, fault_a**2 * time_s
    known = _points(rules, device)
    if not known:
        return None
    (slow_s, slow_a), (quick_s, quick_a) = known[0], known[-1]
    if fault_a < slow_a * (1 - _ROUNDING):
        return None
    if fault_a >= quick_a or slow_a == quick_a:
        time_s = quick_s * (quick_a / fault_a) ** 2
        return time_s, fault_a**2 * time_s
    share = log(fault_a / slow_a) / log(quick_a / slow_a)
    time_s = exp(log(slow_s) + share * log(quick_s / slow_s))
    return time_s, fault_a**2 * time_s


def let_through(rules: Rules, device: Protection, fault_a: float) -> LetThrough | None:
    """Give what a breaker of energy limiting class 3 lets through at most, where the tables have it.

    **Source:** BS EN 60898-1 Annex ZA, from memory.
    """
    if device.in_a is None:
        return None
    fits = [
        row
        for row in rules.trade.let_throughs
        if device.kind in row.kinds
        and row.type == device.type
        and device.in_a <= row.up_to_a
        and fault_a <= row.up_to_ka * _KILO
    ]
    return min(fits, key=_a2s, default=None)


def judge_heat(
    rules: Rules,
    device: Protection,
    size_mm2: float | None,
    loop_ohm: float | None,
    *,
    k: str = _IN_CABLE,
) -> Heat:
    """Say whether a conductor stands the heat of a fault: S ≥ √(I²·t) / k.

    A breaker that limits its energy (class 3) is asked about where the plain figure is too much; its maker's own figure
    is always better.

    Parameters
    ----------
    device
        What clears the fault; where it doesn't, the RCD over it does, for a protective conductor.
    size_mm2
        The protective conductor's copper; None where it isn't known.
    loop_ohm
        The loop of the fault in ohms, at the near end of the circuit for the greatest current. None: not known.
    k
        Which k: "k cpc in cable", "k cpc apart" or "k cpc in 90 cable".
    """
    if size_mm2 is None or loop_ohm is None or loop_ohm <= 0:
        what = "the size of the conductor" if size_mm2 is None else "the loop of the fault"
        says = f"Whether the conductor stands a fault can't be told: {what} isn't known."
        return Heat(fault_a=0.0, verdict=Verdict(answer="can't judge", says=says, source=_FORMULA))
    fault_a = fault_current_a(loop_ohm, rules.value("supply voltage V"))
    lasting = energy_a2s(rules, device, fault_a) or _by_rcd(rules, device, fault_a)
    if lasting is None:
        says = f"How long a fault of {fault_a:.0f} A would last through this device isn't known from the tables."
        return Heat(fault_a=fault_a, verdict=Verdict(answer="can't judge", says=says, source=_FORMULA))
    time_s, a2s = lasting
    factor = rules.row(k)
    need = needed_mm2(a2s, factor.value)
    source = f"{_FORMULA}; k: {factor.source}"
    if size_mm2 >= need * (1 - _ROUNDING):
        says = f"A fault of {fault_a:.0f} A for {time_s:.2g} s needs {need:.2f} mm²; there are {size_mm2:g} mm²."
        verdict = Verdict(answer="yes", says=says, source=source)
        return Heat(fault_a=fault_a, time_s=time_s, a2s=a2s, needed_mm2=need, verdict=verdict)
    limited = let_through(rules, device, fault_a)
    is_breaker = rules.trade.trip_a(device.kind, device.type, device.in_a or 0.0) is not None
    if limited is not None and limited.a2s < a2s:
        a2s, need = limited.a2s, needed_mm2(limited.a2s, factor.value)
        # The Guide prints sizes: 1.0 mm² for what is 1.07 mm² by the equation.
        printed = limited.cpc_mm2 if k == _IN_CABLE and limited.cpc_mm2 is not None else inf
        if size_mm2 >= min(need, printed) * (1 - _ROUNDING):
            says = (
                f"A fault of {fault_a:.0f} A needs {need:.2f} mm² where the breaker limits it (class 3, a 3 in a "
                f"square on it); there are {size_mm2:g} mm²."
            )
            verdict = Verdict(answer="yes", says=says, source=f"{source}; {limited.source}")
            return Heat(fault_a=fault_a, a2s=a2s, needed_mm2=need, verdict=verdict)
    says = f"A fault of {fault_a:.0f} A would need {need:.2f} mm², and there are {size_mm2:g} mm²."
    if is_breaker:
        says += " Ask the breaker's maker how much it lets through."
    verdict = Verdict(answer="can't judge" if is_breaker else "no", says=says, source=source)
    return Heat(fault_a=fault_a, time_s=time_s, a2s=a2s, needed_mm2=need, verdict=verdict)


def _by_rcd(rules: Rules, device: Protection, fault_a: float) -> tuple[float, float] | None:
    """Give what a fault to earth that only the RCD clears lasts and lets through, as long as a delayed one may take."""
    if device.rcd_ma is None or fault_a * _KILO < device.rcd_ma:
        return None
    time_s = rules.value("RCD delayed most ms") / _KILO
    return time_s, fault_a**2 * time_s


def _a2s(row: LetThrough) -> float:
    return row.a2s


def _points(rules: Rules, device: Protection) -> list[tuple[float, float]]:
    """Give what is known of a fuse's curve, slowest first: seconds, and the amperes that clear it in them."""
    if device.in_a is None:
        return []
    volts = rules.value("supply voltage V") * rules.value("Cmin")
    found = []
    for time_s in (5.0, 0.4):
        row = rules.trade.max_zs(device.kind, device.type, device.in_a, rules.edition, time_s)
        if row is not None and row.value > 0:
            found.append((time_s, volts / row.value))
    return found
