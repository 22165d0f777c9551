"""Verbs of the home as a whole: days that stand on its papers and on no visit of its own."""

import datetime
from typing import Final

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.invariants import shorten
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import edit

WRITTEN_DAYS: Final = ("last inspection", "next inspection", "occupied since")
"""Choices of a home that hold a day: of the last periodic inspection, of the next by its report, of moving in."""


def set_written_day(home: Home, key: str, text: str) -> Change:
    """Write one of ``WRITTEN_DAYS`` down, or take it away with an empty text.

    Raises
    ------
    HomeError
        When the text is no day, such as 2026-01-31.
    """
    plain = text.strip()
    others = tuple(pair for pair in home.details.choices if pair[0].strip().casefold() != key)
    if plain:
        try:
            plain = datetime.date.fromisoformat(plain).isoformat()
        except ValueError:
            raise HomeError(f"“{shorten(plain)}” is no day; write it as 2026-01-31.", "home") from None
        others = (*others, (key, plain))
    return edit(home, "home", f"Write the day: {key}", choices=others)
