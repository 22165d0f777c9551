"""Days in words, the same in every document."""

import datetime
from typing import Final

_MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def day_said(day: datetime.date | None) -> str:
    """Give a day in words that are the same everywhere, such as 5 January 2026; nothing for none."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}" if day is not None else ""
