"""Days that are due as an iCalendar file: the same homes give the same bytes, whatever the clock says.

**Source:** RFC 5545 (VEVENT with DTSTART as a date, UID, DTSTAMP); written by the library ``icalendar``.
"""

import datetime
import hashlib
from collections.abc import Iterable
from typing import Final

import icalendar

import circuitmap
from circuitmap.shelf.due import DueItem
from circuitmap.shelf.entry import Entry

_MAKER: Final = "-//circuitmap//what is due//EN"


def calendar_of(shelf: Iterable[tuple[Entry, tuple[DueItem, ...]]]) -> tuple[bytes, int]:
    """Give a calendar of all that is due on a day, and how many events it has.

    An event keeps its UID while its home stays where it is under the shelf's folder and it is for the same thing; its
    stamp is the day that it was reckoned from.
    """
    made = icalendar.Calendar()
    made.add("prodid", _MAKER)
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    made.add("method", "PUBLISH")
    count = 0
    for entry, items in shelf:
        for item in items:
            if item.day is not None:
                made.add_component(_event(entry, item))
                count += 1
    return made.to_ical(sorted=True), count


def _event(entry: Entry, item: DueItem) -> icalendar.Event:
    assert item.day is not None
    since = item.since or item.day
    event = icalendar.Event()
    digest = hashlib.sha256("\0".join((entry.path, item.key)).encode("utf-8", "surrogatepass")).hexdigest()[:32]
    event.add("uid", f"{digest}@circuitmap")
    event.add("dtstamp", datetime.datetime(since.year, since.month, since.day, tzinfo=datetime.UTC))
    event.add("dtstart", item.day)
    event.add("summary", f"{_plain(entry.title)}: {item.what}")
    law = " By law where it applies." if item.by_law else ""
    event.add(
        "description",
        f"{_plain(item.says)}.{law}\nSource: {item.source}; {item.edition}; {item.sure} confidence."
        f"\nReckoned by circuitmap {circuitmap.__version__}; the inspector's report and the law come first.",
    )
    if entry.address:
        event.add("location", _plain(entry.address))
    event.add("categories", [item.what])
    event.add("transp", "TRANSPARENT")
    return event


def _plain(text: str) -> str:
    """Give a text without control characters, which no calendar may hold."""
    return "".join(c if c.isprintable() or c in "\u200c\u200d\u200e\u200f" else " " for c in text)
