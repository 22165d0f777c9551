"""Circuits: every way with all that is known to hang on it, by runs, by what was said, by the switch-offs.

The three are kept side by side here, never merged; where they disagree, ``findings`` says so. What a cable may carry
is ``design``'s, what is wrong is ``findings``'.
"""

from circuitmap.circuits.missing import Missing
from circuitmap.circuits.orphans import Orphan, orphans, unmapped
from circuitmap.circuits.territory import Territory, territory, what_it_feeds
from circuitmap.circuits.views import CircuitView, How, Member, views
from circuitmap.circuits.which import feeds, what_stops

__all__ = [
    "CircuitView",
    "How",
    "Member",
    "Missing",
    "Orphan",
    "Territory",
    "feeds",
    "orphans",
    "territory",
    "unmapped",
    "views",
    "what_it_feeds",
    "what_stops",
]
