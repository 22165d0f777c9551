"""Until when an agreement or an arrangement lasts: a time of day or a duration, read from what was typed.

Records hold instants in UTC; people say times by the clock on the wall, so a zone may be given (the machine's own
otherwise).
"""

import re
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from circuitmap.errors import PersonError
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Consent

_LEAD: Final = re.compile(r"^(?:until|till|til|to|by|for|in|at most|max\.?|at)\s+", re.IGNORECASE)
_CLOCK: Final = re.compile(r"^(\d{1,2})(?:[:.](\d\d))?\s*(am|pm|a\.m\.|p\.m\.)?(?:\s*o['’]?clock)?$", re.IGNORECASE)
_HOURS: Final = r"(\d{1,2}(?:[.,]\d+)?)\s*(?:h|hrs?|hours?)(?![a-z])"
_MINUTES: Final = r"(\d{1,4})\s*(?:m|mins?|minutes?)\b\.?"
_DURATION: Final = re.compile(rf"^(?:{_HOURS})?\s*(?:and\s+)?(?:{_MINUTES}|(?<=[\sh])(\d{{1,2}}))?$", re.IGNORECASE)
_LONGEST: Final = timedelta(hours=24)
_OVER_MIDNIGHT: Final = timedelta(hours=12)
_HOW: Final = "say it as a time or a duration, such as 14:30 or 45 min"


class TimeLimitError(PersonError):
    """A time limit that can't be read, or that has passed before it began."""


def instant(text: str) -> datetime:
    """Give a recorded instant ("2026-01-05T09:00:00Z") as a moment in UTC."""
    return datetime.fromisoformat(text).astimezone(UTC)


def read_limit(text: str, since: datetime, zone: tzinfo | None = None) -> datetime:
    """Give when something ends that was agreed at a moment until "14:30", or for "45 min".

    A time of day is the next one after ``since``; across midnight only if it is less than twelve hours away, for
    otherwise it has passed already.

    Raises
    ------
    TimeLimitError
        When it is neither a time of day nor a duration, is no time at all, has passed, or is more than a day.
    """
    said = " ".join(text.split())
    words = said
    while (shorter := _LEAD.sub("", words)) != words:
        words = shorter
    quoted = f"“{shorten(said, 30)}”"
    if not words:
        raise TimeLimitError(f"No time limit was given; {_HOW}.")
    length = _duration(words)
    if length is not None:
        if not timedelta(0) < length <= _LONGEST:
            raise TimeLimitError(f"{quoted} is no time limit: it must be more than nothing and at most 24 h.")
        return since + length
    clock = _clock(words)
    if clock is None:
        raise TimeLimitError(f"{quoted} is no time limit; {_HOW}.")
    here = since.astimezone(zone)
    ends = here.replace(hour=clock[0], minute=clock[1], second=0, microsecond=0)
    if ends <= here:
        ends += timedelta(days=1)
        if ends - here > _OVER_MIDNIGHT:
            raise TimeLimitError(f"{quoted} has passed already; {_HOW}.")
    return ends.astimezone(UTC)


def limit_of(consent: Consent | None, zone: tzinfo | None = None) -> datetime | None:
    """Give when an agreement ends; None when it names no time that can be read."""
    if consent is None or not consent.until.strip():
        return None
    try:
        return read_limit(consent.until, instant(consent.at), zone)
    except TimeLimitError:
        return None


def why_no_limit(consent: Consent, zone: tzinfo | None = None) -> str:
    """Give why the time limit of an agreement can't be kept to, as a sentence; empty when it can."""
    try:
        read_limit(consent.until, instant(consent.at), zone)
    except TimeLimitError as error:
        return str(error)
    return ""


def clock_words(moment: datetime, zone: tzinfo | None = None) -> str:
    """Give a moment as the clock on the wall shows it."""
    return moment.astimezone(zone).strftime("%H:%M")


def duration_words(minutes: float) -> str:
    """Give a length of time in words: "12 min", "2 h 5 min", "3 days"."""
    whole = max(0, int(minutes))
    if whole < 1:
        return "less than a minute"
    if whole < 120:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    if hours < 48:
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    return f"{hours // 24} days"


def _duration(words: str) -> timedelta | None:
    found = _DURATION.fullmatch(words)
    if found is None:
        return None
    hours, minutes, bare = found.groups()
    if hours is None and minutes is None:
        return None  # a bare number could be either
    return timedelta(hours=float((hours or "0").replace(",", ".")), minutes=int(minutes or bare or 0))


def _clock(words: str) -> tuple[int, int] | None:
    found = _CLOCK.fullmatch(words)
    if found is None:
        return None
    hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "").replace(".", "").casefold()
    if not half and found[2] is None:
        return None
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "pm" else 0)
    return (hour, minute) if hour < 24 and minute < 60 else None
