"""What loads draw, and whether a fuse stands it."""

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from circuitmap.design.capacity import Verdict
from circuitmap.trade import Trade
from circuitmap.words import PointKind

# What draws little whoever made it; where nothing is recorded it is never taken for all that its device lets through.
SMALL: Final[frozenset[PointKind]] = frozenset({
    "shaver unit", "cooker hood", "boiler", "heating control", "timer", "extractor fan", "smoke alarm", "heat alarm",
    "CO alarm", "alarm panel", "door bell", "aerial amplifier", "data cabinet", "emergency light", "towel rail",
})  # fmt: skip


class Demand(Struct, frozen=True, kw_only=True):
    """Loads added up without diversity: what is known of them, and how many say nothing."""

    known_w: float
    known: int
    unknown: int


def current_a(power_w: float, voltage_v: float = 230.0) -> float:
    """Give the current of a load in amperes at unity power factor.

    I = P / U.

    Raises
    ------
    ValueError
        When the voltage isn't above zero.
    """
    if voltage_v <= 0:
        raise ValueError(f"{voltage_v} V is no supply voltage")
    return power_w / voltage_v


def point_power_w(trade: Trade, kind: PointKind, recorded_w: Iterable[float | None]) -> tuple[float | None, ...]:
    """Give a point's loads in watts: those recorded, or the customary one of its kind where none was."""
    recorded = tuple(recorded_w)
    if recorded:
        return recorded
    usual = trade.point(kind).fixed_load_w
    return () if usual is None else (usual,)


def add_up(powers_w: Iterable[float | None]) -> Demand:
    """Add loads up; None is a load whose power nobody wrote down, and never counts as zero."""
    listed = tuple(powers_w)
    known = [power for power in listed if power is not None]
    return Demand(known_w=sum(known), known=len(known), unknown=len(listed) - len(known))


def judge_fuse(demand: Demand, fuse_a: float, voltage_v: float = 230.0) -> Verdict:
    """Judge the load after a fuse, as a plug's or a connection unit's; too much only means that the fuse goes first.

    **Source:** a spur's fuse is at most 13 A (On-Site Guide 7.2.2, as quoted); the current is arithmetic.
    """
    drawn_a = current_a(demand.known_w, voltage_v)
    source = "On-Site Guide 7.2.2, as quoted; arithmetic P / U"
    if drawn_a > fuse_a:
        says = f"The loads recorded take {drawn_a:.1f} A through a {fuse_a:g} A fuse: the fuse will blow first."
        return Verdict(answer="no", says=says, source=source, have_a=(fuse_a, fuse_a), need_a=drawn_a)
    if demand.unknown:
        says = f"{demand.unknown} of {demand.known + demand.unknown} loads have no power written down."
        return Verdict(answer="can't judge", says=says, source=source, have_a=(fuse_a, fuse_a), need_a=drawn_a)
    says = f"The loads recorded take {drawn_a:.1f} A through a {fuse_a:g} A fuse."
    return Verdict(answer="yes", says=says, source=source, have_a=(fuse_a, fuse_a), need_a=drawn_a)
