"""How long something has been off, and since when, in words; and whether a switch-off was left open. No Qt."""

from datetime import UTC, datetime, timedelta
from typing import Final

from circuitmap.desk.visit_state import checks_in
from circuitmap.home import Home
from circuitmap.home.records import Round
from circuitmap.home.verbs import is_open

LEFT_AFTER: Final = timedelta(hours=12)  # a walk that nobody wrote anything in for this long was left, not paused
_HOUR_S: Final = 3600
_DAY_S: Final = 24 * _HOUR_S


def now() -> datetime:
    """Give this instant."""
    return datetime.now(UTC)


def instant_of(at: str) -> datetime | None:
    """Read an instant of a record; None when it can't be read."""
    try:
        read = datetime.fromisoformat(at)
    except ValueError:
        return None
    return read if read.tzinfo is not None else read.replace(tzinfo=UTC)


def off_since(record: Round) -> str:
    """Give the instant from which something of a switch-off was off."""
    return min((event.at for event in record.events if event.what in ("off", "trip")), default="")


def seconds_since(at: str, until: datetime) -> int | None:
    """Give the whole seconds from a record's instant, never less than 0; None when it can't be read."""
    began = instant_of(at)
    return None if began is None else max(0, int((until - began).total_seconds()))


def elapsed_words(seconds: int) -> str:
    """Give a length of time as minutes and seconds, with hours or days before them when there are any."""
    if seconds >= _DAY_S:
        days, hours = seconds // _DAY_S, seconds % _DAY_S // _HOUR_S
        return f"{days} day{'s' if days > 1 else ''} {hours} h"
    minutes = seconds // 60 % 60
    if seconds >= _HOUR_S:
        return f"{seconds // _HOUR_S}:{minutes:02}:{seconds % 60:02}"
    return f"{minutes}:{seconds % 60:02}"


def day_words(at: str) -> str:
    """Give an instant in local time as somebody would say it: "23 Nov, 14:05"."""
    when = instant_of(at)
    if when is None:
        return at
    local = when.astimezone()
    return f"{local.day} {local.strftime('%b')}, {local.strftime('%H:%M')}"


def last_written(home: Home, record: Round) -> str:
    """Give the instant at which anything was last written down in a switch-off."""
    instants = [event.at for event in record.events]
    instants += [check.at for check in checks_in(home, record.id)]
    return max(instants, default="")


def is_left_open(home: Home, record: Round | None, at: datetime) -> bool:
    """Whether a switch-off is open still though nobody has written anything in it for half a day."""
    if record is None or not is_open(record):
        return False
    last = instant_of(last_written(home, record))
    return last is not None and at - last > LEFT_AFTER
