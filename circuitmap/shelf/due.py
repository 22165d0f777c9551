"""What is due at a home and when: by the table of intervals, what its report says, and dates written at its alarms."""

import calendar
import datetime
from collections.abc import Iterable, Iterator
from functools import lru_cache

from msgspec import Struct

from circuitmap.shelf.entry import Alarm, Entry
from circuitmap.trade import Due, Trade
from circuitmap.trade.spelling import spelled
from circuitmap.words import SEVERITIES, day_said


class DueItem(Struct, frozen=True, kw_only=True):
    """One thing that is due; ``day`` is None where nothing on record tells when, and ``says`` why.

    ``key`` stays the same while it is the same thing, ``since`` is the day that it was reckoned from.
    """

    key: str
    what: str
    title: str
    day: datetime.date | None
    since: datetime.date | None
    says: str
    source: str
    edition: str
    sure: str
    by_law: bool = False


def dues(entry: Entry, trade: Trade) -> tuple[DueItem, ...]:
    """Give all that is due at a home, the earliest first, what has no day last."""
    found: list[DueItem] = []
    for row in _rows(entry, trade.dues()):
        match row.what, row.after:
            case "inspection", "inspection":
                found.append(_inspection(entry, row))
            case _, "change of occupancy":
                found += _occupancy(entry, row)
            case "remedial work", _:
                found += _remedial(entry, row)
            case "alarm", _:
                found += (_alarm(alarm, row) for alarm in entry.alarms)
            case _:
                pass
    return tuple(sorted(found, key=_order))


def next_due(items: Iterable[DueItem]) -> DueItem | None:
    """Give what is due first, or else what has no day."""
    return next(iter(sorted(items, key=_order)), None)


def later(day: datetime.date, months: int, days: int) -> datetime.date:
    """Give the day so many months and days later; the 31st becomes the last of a shorter month.

    Examples
    --------
    >>> later(datetime.date(2024, 2, 29), 60, 0)
    datetime.date(2029, 2, 28)
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return datetime.date(year, month + 1, min(day.day, last)) + datetime.timedelta(days=days)


def _rows(entry: Entry, rows: Iterable[Due]) -> Iterator[Due]:
    """Give the rows that fit a home, of those for the same thing after the same event the one of the highest rank."""
    tenure = _words(entry.tenure)
    best: dict[tuple[str, str], Due] = {}
    for row in rows:
        if row.tenures and not any(_words(word) <= tenure for word in row.tenures):
            continue
        if (row.countries and entry.country not in row.countries) or (
            row.editions and entry.edition not in row.editions
        ):
            continue
        kept = best.get((row.what, row.after))
        if kept is None or row.rank > kept.rank:
            best[row.what, row.after] = row
    yield from best.values()


@lru_cache(maxsize=1000)
def _words(text: str) -> frozenset[str]:
    return frozenset(spelled(text).split())


def _inspection(entry: Entry, row: Due) -> DueItem:
    if entry.next_written:
        day = datetime.date.fromisoformat(entry.next_written)
        return _item(
            row,
            "inspection",
            day,
            _date(entry.inspected_on) or day,
            f"{row.title}, by the day that is written as the next one",
        )
    since = _date(entry.inspected_on)
    if since is None:
        says = f"{row.title}: no periodic inspection is on record here"
        return _item(row, "inspection", None, None, says)
    return _item(
        row, "inspection", later(since, row.months, row.days), since,
        f"{row.title}, {_interval(row)} after {day_said(since)}",
    )  # fmt: skip


def _occupancy(entry: Entry, row: Due) -> Iterator[DueItem]:
    since = _date(entry.occupied_since)
    looked = entry.inspected_on if row.what == "inspection" else entry.last_visit
    if since is not None and looked < entry.occupied_since:
        day = later(since, row.months, row.days)
        yield _item(row, f"{row.what} after change", day, since, f"{row.title} on {day_said(since)}")


def _remedial(entry: Entry, row: Due) -> Iterator[DueItem]:
    since = _date(entry.inspected_on) or _date(entry.last_visit)
    told = "the inspection" if entry.inspected_on else "the last visit (the law counts from the inspection)"
    for code in SEVERITIES:
        count = entry.codes.get(code, 0)
        if code not in row.codes or not count:
            continue
        at_once = "; make safe at once" if code == "C1" else ""
        says = f"{code}: {count} open, suggested codes{at_once}: {row.title}"
        if since is None:
            yield _item(row, f"remedial {code}", None, None, f"{says}; no visit is on record to count from")
            continue
        day = later(since, row.months, row.days)
        says = f"{says}, {_interval(row)} after {told}, {day_said(since)}"
        yield _item(row, f"remedial {code}", day, since, says)


def _alarm(alarm: Alarm, row: Due) -> DueItem:
    day = datetime.date.fromisoformat(alarm.day)
    return _item(row, f"alarm {alarm.point}", day, day, f"{alarm.words} {alarm.point} is to be replaced by then")


def _item(row: Due, key: str, day: datetime.date | None, since: datetime.date | None, says: str) -> DueItem:
    return DueItem(
        key=key, what=row.what, title=row.title, day=day, since=since, says=_capital(says), source=row.source,
        edition=row.edition, sure=row.sure, by_law=row.by_law,
    )  # fmt: skip


def _interval(row: Due) -> str:
    parts = []
    if row.months and row.months % 12 == 0:
        parts.append(f"{row.months // 12} year{'' if row.months == 12 else 's'}")
    elif row.months:
        parts.append(f"{row.months} month{'' if row.months == 1 else 's'}")
    if row.days:
        parts.append(f"{row.days} day{'' if row.days == 1 else 's'}")
    return " and ".join(parts) or "at once"


def _date(text: str) -> datetime.date | None:
    return datetime.date.fromisoformat(text) if text else None


def _order(item: DueItem) -> tuple[bool, datetime.date, str]:
    return item.day is None, item.day or datetime.date.max, item.key


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
