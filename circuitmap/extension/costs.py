"""What the stretches of a route cost: minutes and money by metre and by event, told from outside.

Routes are compared by pence: money plus minutes at a rate. Which figures are used is the caller's affair; minutes have
usual ones in ``resources/trade/routes.toml`` (common practice, no source), money has none.
"""

from collections.abc import Iterable
from typing import Final, NamedTuple

from msgspec import Struct

from circuitmap.trade import Trade

# These are measured in metres, all others are counted.
BY_METRE: Final = frozenset(("chase", "stud", "void", "loft", "surface", "trunking"))
# A board is some four metres long; lifted along a crossing of joists it gives this many a metre (our own estimate).
BOARDS_A_METRE: Final = 0.5

_CHASED: Final = ("brick", "block", "concrete", "lined", "unknown")
_MASONRY: Final = frozenset(("brick", "block", "concrete", "unknown", "lined"))
_EVENTS: Final = {
    ("set up", ""): "chase set up",
    ("drop", "stud"): "drop in stud",
    ("drop", ""): "drop in masonry",
    ("noggin", "stud"): "noggin",
    ("stud crossed", "stud"): "stud crossed",
    ("joist", ""): "joist drilled",
    ("board", ""): "board lifted",
    ("carpet", ""): "carpet",
    ("wall passed", "stud"): "wall passed, light",
    ("wall passed", ""): "wall passed, masonry",
    ("corner", ""): "corner",
    ("bend", ""): "bend",
    ("behind furniture", ""): "behind furniture",
}


class Rate(Struct, frozen=True):
    """What one metre, or one event, takes: minutes of one competent person, and materials in pence."""

    minutes: float = 0.0
    pence: float = 0.0


class Item(NamedTuple):
    """So many metres of a kind, or so many events, in a wall of a build; ``where`` is set if not the stretch's own."""

    kind: str
    build: str
    amount: float
    where: str = ""


class Costs(Struct, frozen=True, kw_only=True):
    """What routes are weighed by.

    Parameters
    ----------
    pence_per_minute
        What a minute is worth.
    cable_pence_per_m
        The cable itself, on every metre.
    rates
        By kind and build; "" as the build holds for all that have no rate of their own.
    """

    pence_per_minute: float
    cable_pence_per_m: float
    rates: dict[tuple[str, str], Rate]

    def rate(self, kind: str, build: str) -> Rate:
        """Give the rate of a kind in a build; nothing where none was told."""
        return self.rates.get((kind, build)) or self.rates.get((kind, "")) or Rate()

    def minutes(self, items: Iterable[Item]) -> float:
        """Give how many minutes some items take."""
        return sum(self.rate(item.kind, item.build).minutes * item.amount for item in items)

    def pence(self, items: Iterable[Item], length_mm: float) -> float:
        """Give what some items on so much cable cost in materials, without the time."""
        events = sum(self.rate(item.kind, item.build).pence * item.amount for item in items)
        return events + self.cable_pence_per_m * length_mm / 1000

    def worth(self, items: Iterable[Item], length_mm: float) -> float:
        """Give what some items on so much cable cost in all, in pence: materials, and minutes at their rate."""
        worth = self.cable_pence_per_m * length_mm / 1000
        for kind, build, amount, _ in items:
            rate = self.rates.get((kind, build)) or self.rates.get((kind, ""))
            if rate is not None:
                worth += amount * (rate.pence + rate.minutes * self.pence_per_minute)
        return worth


def usual_costs(trade: Trade, *, pence_per_hour: float, cable_pence_per_m: float, making_good: bool = True) -> Costs:
    """Give costs by the usual minutes.

    Parameters
    ----------
    trade
        For the minutes, ``effort`` of ``routes.toml`` (common practice, no source).
    pence_per_hour, cable_pence_per_m
        What an hour and a metre of cable cost.
    making_good
        Whether patching the chases is part of the work weighed.
    """
    patch = trade.effort_min("make good") if making_good else 0.0
    rates = {(kind, build): Rate(trade.effort_min(name)) for (kind, build), name in _EVENTS.items()}
    rates |= {("chase", build): Rate(trade.effort_min(f"chase {build}") + patch) for build in _CHASED}
    along = trade.effort_min("along void")
    on_face = Rate(trade.effort_min("surface"))
    rates |= {("void", ""): Rate(along), ("loft", ""): Rate(along), ("surface", ""): on_face, ("trunking", ""): on_face}
    return Costs(pence_per_minute=pence_per_hour / 60, cable_pence_per_m=cable_pence_per_m, rates=rates)


def is_chased(build: str) -> bool:
    """Whether a cable goes into such a wall by a chase; else it is fished between the studs."""
    return build in _MASONRY
