"""Whether two readings can be of the same thing unchanged: how far meters, contacts, weather and supply move them.

All tolerances are common practice without a source, on the wide side: to be called a contradiction two readings have
to differ by more than anybody would put down to the day.
"""

from dataclasses import dataclass
from math import inf
from typing import Final, Literal

from circuitmap.words import Bound, ReadingTest

Difference = Literal["same", "higher", "lower"]

USUAL_ACCURACY: Final = 0.03
USUAL_RESOLUTION_OHM: Final = 0.01
CONTACT_OHM: Final = 0.05
"""What probes or a plug may add at one insertion and not at the next."""
OTHER_DAY: Final = 0.08
"""Copper at 5 °C against 25 °C: 0.4 % a kelvin."""
INSULATION_RATIO: Final = 3.0
TRIP_S: Final = 0.010
"""Half a cycle: where on the wave the test begins."""

# Share of the larger reading, and so much besides in the unit of the test. Loop tests that must not trip an RCD read
# up to 0.5 Ω high.
_LIVE: Final[dict[ReadingTest, tuple[float, float]]] = {
    "Ze": (0.1, 0.1),
    "Zs": (0.1, 0.5),
    "earth electrode": (0.25, 5.0),
    "PFC": (0.3, 0.0),
    "RCD trip": (0.2, TRIP_S),
    "supply voltage": (0.16, 0.0),
}
VARYING: Final = frozenset(_LIVE)
"""The tests whose readings move a good deal by themselves: those on a live supply, and of the soil."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One reading as it is compared: its value in SI units, its bound, and how far its meter can be believed."""

    value_si: float
    bound: Bound = "="
    accuracy_fraction: float = USUAL_ACCURACY
    resolution_ohm: float = USUAL_RESOLUTION_OHM

    @property
    def span_si(self) -> tuple[float, float]:
        """Between what the reading may lie, the meter being perfect."""
        if self.bound == ">":
            return self.value_si, inf
        return (0.0 if self.bound == "<" else self.value_si), self.value_si


def difference(first: Shown, second: Shown, test: ReadingTest, *, same_day: bool = True) -> Difference:
    """Say whether the second reading is higher or lower than the first by more than can come about by itself.

    A bound is only what it bounds: ``>200 MΩ`` is the same as 500 MΩ and as ``>999 MΩ``.
    """
    if _is_above(second, first, test, same_day):
        return "higher"
    return "lower" if _is_above(first, second, test, same_day) else "same"


def _is_above(upper: Shown, lower: Shown, test: ReadingTest, same_day: bool) -> bool:
    least, most = upper.span_si[0], lower.span_si[1]
    if most == inf or least <= most:
        return False
    if test == "insulation":
        return least > INSULATION_RATIO * most
    if test in _LIVE:
        share, besides = _LIVE[test]
        return least - most > share * least + besides
    meters = upper.accuracy_fraction * least + lower.accuracy_fraction * most
    steps = upper.resolution_ohm + lower.resolution_ohm
    return least - most > meters + steps + CONTACT_OHM + (0.0 if same_day else OTHER_DAY * least)
