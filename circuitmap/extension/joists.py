"""Holes and notches in floor joists: where along the span, how large, how far apart.

For solid timber joists only. I-joists and metal-web joists go by their maker's rules and take no notches.

**Source:** LABC, notches and holes in solid timber joists; where NHBC Standards 6.4.18 differ on notches, a home may
choose its side ("building control" or "warranty body") as with any limit. Approved Document A gives no limits since
2004.
"""

from collections.abc import Iterable, Sequence

from msgspec import Struct

from circuitmap.home.records import Details
from circuitmap.trade import Trade

# Tables print shares of spans in whole millimetres.
_ROUNDING_MM = 0.5


class JoistRules(Struct, frozen=True):
    """The figures that hold: shares are of the span between supports, or of the depth."""

    hole_from: float
    hole_to: float
    hole_depth: float
    hole_most_mm: float
    hole_apart: float
    notch_from: float
    notch_to: float
    notch_depth: float
    notch_most_mm: float
    hole_from_notch_mm: float
    cable_from_edge_mm: float

    def hole_zones(self, span_mm: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """Give where along a joist of a span holes may be, from either support, measured from the first; mm."""
        near = self.hole_from * span_mm, self.hole_to * span_mm
        return near, (span_mm - near[1], span_mm - near[0])

    def notch_zones(self, span_mm: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """Give where along a joist of a span notches may be, from either support, measured from the first; mm."""
        near = self.notch_from * span_mm, self.notch_to * span_mm
        return near, (span_mm - near[1], span_mm - near[0])

    def largest_hole_mm(self, depth_mm: float) -> float:
        """Give the diameter of the largest hole in a joist of a depth, on its centre line."""
        return min(self.hole_depth * depth_mm, self.hole_most_mm)

    def largest_notch_mm(self, depth_mm: float) -> float:
        """Give the depth of the deepest notch in a joist of a depth."""
        return min(self.notch_depth * depth_mm, self.notch_most_mm)

    def least_depth_mm(self, hole_mm: float) -> float:
        """Give how deep a joist must be for a hole whose edge, with the cable in it, keeps off top and bottom."""
        return max(hole_mm / self.hole_depth, 2 * self.cable_from_edge_mm + hole_mm)


class Cut(Struct, frozen=True):
    """A hole or a notch: its middle along the joist from the first support, and its diameter or its depth."""

    kind: str  # hole, notch
    at_mm: float
    size_mm: float


def joist_rules(trade: Trade, details: Details) -> JoistRules:
    """Give the figures of the home's edition, its own choices first."""
    names = (
        "hole from support share", "hole to middle share", "hole of depth share", "hole most mm",
        "holes apart diameters", "notch from support share", "notch to middle share", "notch of depth share",
        "notch most mm", "hole from notch mm", "cable from joist edge mm",
    )  # fmt: skip
    return JoistRules(*(trade.limit(name, details.edition, details.choices).value for name in names))


def judge_cut(
    rules: JoistRules, span_mm: float, depth_mm: float, cut: Cut, others: Iterable[Cut] = ()
) -> tuple[str, ...]:
    """Give what is wrong with a hole or a notch, a sentence for each; nothing when it may be made.

    Parameters
    ----------
    rules
        The figures that hold.
    span_mm, depth_mm
        Of the joist, between its supports and from top to bottom.
    cut
        What is to be made; a hole on the centre line.
    others
        Holes and notches that are there already.
    """
    is_hole = cut.kind == "hole"
    zones = rules.hole_zones(span_mm) if is_hole else rules.notch_zones(span_mm)
    largest = rules.largest_hole_mm(depth_mm) if is_hole else rules.largest_notch_mm(depth_mm)
    wrong: list[str] = []
    if not any(a - _ROUNDING_MM <= cut.at_mm <= b + _ROUNDING_MM for a, b in zones):
        wrong.append(
            f"A {cut.kind} {cut.at_mm:.0f} mm from a support is outside {_said(zones[0])} from either support of a "
            f"span of {span_mm:.0f} mm; move it there."
        )
    if cut.size_mm > largest + 0.05:
        what = "wide" if is_hole else "deep"
        wrong.append(
            f"A {cut.kind} of {cut.size_mm:g} mm is more than a joist {depth_mm:.0f} mm deep takes: at most "
            f"{largest:.1f} mm {what}."
        )
    if is_hole and (depth_mm - cut.size_mm) / 2 < rules.cable_from_edge_mm:
        wrong.append(
            f"A cable in a joist {depth_mm:.0f} mm deep lies less than {rules.cable_from_edge_mm:.0f} mm from its top "
            "and bottom; protect it mechanically."
        )
    for other in others:
        apart = abs(other.at_mm - cut.at_mm)
        least = _least_apart(rules, cut, other)
        if apart < least - _ROUNDING_MM:
            wrong.append(
                f"A {cut.kind} {apart:.0f} mm from a {other.kind} is too near; keep their middles {least:.0f} mm apart."
            )
    return tuple(wrong)


def _least_apart(rules: JoistRules, one: Cut, other: Cut) -> float:
    if one.kind != other.kind:
        return rules.hole_from_notch_mm
    return rules.hole_apart * max(one.size_mm, other.size_mm) if one.kind == "hole" else 0.0


def _said(zone: Sequence[float]) -> str:
    return f"{zone[0]:.0f} to {zone[1]:.0f} mm"
