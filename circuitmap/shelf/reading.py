"""Reading a home for the shelf: its details, its findings, what is due at its alarms, its words, a small plan."""

import re
from collections import Counter
from pathlib import Path
from typing import Final

from circuitmap.findings import run
from circuitmap.home.exchange import open_home
from circuitmap.home.phases import is_there
from circuitmap.home.records import Board, Device, Note, Point, Room, Visit
from circuitmap.home.sharing import is_named_by_address
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_home import WRITTEN_DAYS
from circuitmap.memo import Memo
from circuitmap.plan.where import rooms_of_points
from circuitmap.shelf.entry import Alarm, Entry
from circuitmap.shelf.small_plan import small_plan
from circuitmap.trade import Trade
from circuitmap.trade.spelling import spelled
from circuitmap.words import SEVERITIES

_LONGEST: Final = 300
_DAY: Final = re.compile(r"\d{4}-\d\d-\d\d")
_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_REPLACE: Final = re.compile(
    r"\b(?:replace|renew|use|expires?|expiry)(?:\s+(?:by|before|on|in|date))?[\s:]*"
    r"(?:(?P<y>\d{4})-(?P<m>\d\d)(?:-(?P<d>\d\d))?|(?P<m2>\d{1,2})[/.](?P<y2>\d{4})"
    r"|(?P<name>[a-z]{3,9})\.?\s+(?P<y3>\d{4})|(?P<y4>\d{4}))\b",
    re.IGNORECASE,
)


def read_entry(path: Path, shown: str, trade: Trade) -> Entry:
    """Open a home, work out its findings and give what is kept of it.

    Raises
    ------
    PersonError
        When it can't be read.
    """
    return entry_of(open_home(path), shown, trade, is_folder=path.is_dir())


def entry_of(home: Home, shown: str, trade: Trade, *, is_folder: bool = False) -> Entry:
    """Give what is kept of a home that is open."""
    memo = Memo()
    details = home.details
    found = run(home, trade, memo)
    open_ones = [finding for finding in found if not finding.aside and finding.ruling != "not so"]
    counts = Counter(finding.code for finding in open_ones)
    visits = sorted((visit.day, visit.purpose) for visit in home.table(Visit).values())
    inspected = max((day for day, purpose in visits if purpose == "periodic"), default="")
    written = {key.strip().casefold(): value.strip() for key, value in details.choices}
    last, following, since = (_day(written.get(key, "")) for key in WRITTEN_DAYS)
    return Entry(
        path=shown,
        is_folder=is_folder,
        name=details.name.strip()[:_LONGEST],
        named_by_address=is_named_by_address(home),
        address=" ".join(details.address.split())[:_LONGEST],
        tenure=" ".join(details.tenure.split())[:_LONGEST],
        country=details.country,
        edition=details.edition[:_LONGEST],
        last_visit=visits[-1][0] if visits else "",
        purpose=visits[-1][1] if visits else "",
        inspected_on=max(inspected, last),
        next_written=following if following > max(inspected, last) else "",
        occupied_since=since,
        codes={code: counts[code] for code in SEVERITIES if counts[code]},
        ruled=sum(1 for finding in open_ones if finding.ruling is not None and finding.code != "note"),
        points=sum(1 for point in home.table(Point).values() if is_there(point)),
        alarms=_alarms(home, trade),
        plan=small_plan(home, trade, memo),
        texts=_texts(home, trade, memo),
    )


def _texts(home: Home, trade: Trade, memo: Memo) -> tuple[tuple[str, str, str], ...]:
    rooms = rooms_of_points(home, memo)
    found: list[tuple[str, str]] = []
    for point in home.sorted(Point):
        if is_there(point):
            room = rooms[point.id]
            what = [point.id, point.name or trade.point(point.kind).title]
            more = [point.kind if point.name else "", room.name if room is not None else "", point.where]
            more += [load.name or load.what for load in point.loads]
            found.append((point.id, ", ".join(part for part in (" ".join(what), *more) if part.strip())))
    for device in home.sorted(Device):
        if is_there(device):
            label = f" “{device.label}”" if device.label.strip() else ""
            found.append((device.id, f"{home.code(device.id)}{label}, {device.kind}"))
    found += [(room.id, room.name) for room in home.sorted(Room)]
    found += [(b.id, f"Board {b.letter_on_map} {b.name}".strip()) for b in home.sorted(Board)]
    return tuple((i, text[:_LONGEST], spelled(text[:_LONGEST])) for i, text in found)


def _alarms(home: Home, trade: Trade) -> tuple[Alarm, ...]:
    said: dict[str, list[str]] = {}
    for note in home.sorted(Note):
        if note.cleared is None:
            said.setdefault(note.subject, []).append(note.text)
    found = []
    for point in home.sorted(Point):
        row = trade.point(point.kind)
        if not is_there(point) or row.family != "alarms":
            continue
        texts = [*said.get(point.id, ()), point.where, point.name, *(load.name for load in point.loads)]
        days = [day for text in texts for day in replace_days(text)]
        if days:
            found.append(Alarm(point.id, row.title, max(days)))
    return tuple(found)


def replace_days(text: str) -> list[str]:
    """Give the days that a text says something is to be replaced by; of a month or a year its first day.

    Examples
    --------
    >>> replace_days("Replace by 2031-04; expires Mar 2030")
    ['2031-04-01', '2030-03-01']
    """
    days = []
    for found in _REPLACE.finditer(text[:10_000]):
        part = found.groupdict()
        month = part["m"] or part["m2"] or "1"
        if part["name"] is not None:
            short = part["name"][:3].lower()
            if short not in _MONTHS:
                continue
            month = str(_MONTHS.index(short) + 1)
        year = part["y"] or part["y2"] or part["y3"] or part["y4"]
        days.append(_day(f"{year}-{int(month):02d}-{int(part['d'] or 1):02d}"))
    return [day for day in days if day]


def _day(text: str) -> str:
    import datetime

    if not _DAY.fullmatch(text):
        return ""
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        return ""
