"""A home of the shelf in a line of words, as values for a program, and as a row of CSV that no spreadsheet computes."""

import csv
import datetime
import io
from collections.abc import Iterable
from typing import Final

from circuitmap.extension.pricebook_sheets import harmless
from circuitmap.home.invariants import shorten
from circuitmap.shelf.due import DueItem, next_due
from circuitmap.shelf.entry import Entry
from circuitmap.words import SEVERITIES, day_said, written_day_said

HEAD: Final = (
    "path", "name", "address", "tenure", "country", "edition", "last visit", "purpose", "last inspection",
    *SEVERITIES, "points", "next due", "what is due", "overdue", "found", "problem",
)  # fmt: skip
_HITS: Final = 5


def says(entry: Entry, items: Iterable[DueItem], hits: tuple[str, ...], today: datetime.date) -> str:
    """Give a home as one line, or a few where words were looked for."""
    if entry.problem:
        return f"{shorten(entry.path, 80)}: can't be listed: {entry.problem}"
    address = f" · {shorten(entry.address, 60)}" if entry.address and entry.address != entry.name else ""
    parts = [
        f"{shorten(entry.title, 60)}{address} ({shorten(entry.path, 80)})",
        f"last visit {written_day_said(entry.last_visit)}" if entry.last_visit else "no visit yet",
        findings_words(entry),
        due_words(next_due(items), today),
    ]
    lines = [" · ".join(parts)]
    lines += [f"    {shorten(hit, 100)}" for hit in hits[:_HITS]]
    if len(hits) > _HITS:
        lines.append(f"    and {len(hits) - _HITS} more")
    return "\n".join(lines)


def findings_words(entry: Entry) -> str:
    """Give the open findings by severity, worst first."""
    grave = [f"{entry.codes[code]} {code}" for code in SEVERITIES if code != "note" and entry.codes.get(code)]
    notes = entry.codes.get("note", 0)
    if notes:
        grave.append(f"{notes} note{'' if notes == 1 else 's'}")
    return f"open {', '.join(grave)}" if grave else "nothing open"


def due_words(item: DueItem | None, today: datetime.date) -> str:
    """Give what is due first in a few words."""
    if item is None:
        return "nothing due"
    if item.day is None:
        return "no inspection on record" if item.what == "inspection" else f"{item.what} due, no day known"
    return f"{item.what} {'overdue since' if item.day < today else 'due'} {day_said(item.day)}"


def plain(entry: Entry, items: tuple[DueItem, ...], hits: tuple[str, ...], today: datetime.date) -> dict[str, object]:
    """Give a home as values for a program."""
    if entry.problem:
        return {"path": entry.path, "problem": entry.problem}
    return {
        "path": entry.path,
        "form": "text form" if entry.is_folder else "home file",
        "name": entry.name,
        "address": entry.address,
        "tenure": entry.tenure,
        "country": entry.country,
        "edition": entry.edition,
        "last_visit": entry.last_visit or None,
        "purpose": entry.purpose or None,
        "last_inspection": entry.inspected_on or None,
        "open_findings": {code: entry.codes.get(code, 0) for code in SEVERITIES},
        "open_and_ruled": entry.ruled,
        "points": entry.points,
        "due": [
            {
                "what": item.what,
                "day": item.day.isoformat() if item.day is not None else None,
                "overdue": item.day is not None and item.day < today,
                "says": item.says,
                "by_law": item.by_law,
                "source": item.source,
                "edition": item.edition,
                "sure": item.sure,
            }
            for item in items
        ],
        "found": list(hits),
    }


def row(entry: Entry, items: tuple[DueItem, ...], hits: tuple[str, ...], today: datetime.date) -> tuple[str | int, ...]:
    """Give a home as a row under ``HEAD``."""
    if entry.problem:
        return (entry.path, *("" for _ in HEAD[1:-1]), entry.problem)
    first = next_due(items)
    day = first.day.isoformat() if first is not None and first.day is not None else ""
    return (
        entry.path, entry.name, entry.address, entry.tenure, entry.country, entry.edition, entry.last_visit,
        entry.purpose, entry.inspected_on, *(entry.codes.get(code, 0) for code in SEVERITIES), entry.points, day,
        first.says if first is not None else "",
        "yes" if first is not None and first.day is not None and first.day < today else "no",
        "; ".join(hits[:_HITS]), "",
    )  # fmt: skip


def csv_line(cells: Iterable[str | int]) -> str:
    """Give a row of CSV; a text that a spreadsheet would compute gets an apostrophe before it, so that it stays text.

    **Source:** RFC 4180 for the form; the apostrophe is common practice, no source.
    """
    stream = io.StringIO()
    csv.writer(stream).writerow([_kept_text(cell) for cell in cells])
    return stream.getvalue()


def _kept_text(cell: str | int) -> str | int:
    if isinstance(cell, int):
        return cell
    return harmless(" ".join(cell.split()))
