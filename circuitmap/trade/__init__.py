"""Facts of the trade, read from ``resources/trade``: conductors, cables, ratings, devices, points, limits by edition.

Every row carries its source, its edition and how sure it is. The person's own TOML files may change or add rows.
What the figures mean for one home is not said here: that is ``design`` and ``findings``.
"""

from circuitmap.trade.book import DEFAULT_EDITION, Choices, Trade, load
from circuitmap.trade.rows import (
    Access,
    Blind,
    Box,
    Breaking,
    Cable,
    DeviceRow,
    Edition,
    Effort,
    FixtureRow,
    Heavy,
    Lamps,
    Likely,
    Limit,
    Method,
    PointRow,
    RcdNeed,
    Row,
    Sourced,
    StandsIn,
    Suits,
    Suspect,
    Suspicion,
    Synonym,
    Tester,
)

__all__ = [
    "DEFAULT_EDITION",
    "Access",
    "Blind",
    "Box",
    "Breaking",
    "Cable",
    "Choices",
    "DeviceRow",
    "Edition",
    "Effort",
    "FixtureRow",
    "Heavy",
    "Lamps",
    "Likely",
    "Limit",
    "Method",
    "PointRow",
    "RcdNeed",
    "Row",
    "Sourced",
    "StandsIn",
    "Suits",
    "Suspect",
    "Suspicion",
    "Synonym",
    "Tester",
    "Trade",
    "load",
]
