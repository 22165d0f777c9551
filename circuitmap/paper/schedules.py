"""The schedules of circuits and readings: for the competent person to check; as PDF, XLSX and CSV."""

import calendar
import datetime
from collections.abc import Sequence
from typing import Final

from circuitmap.circuits import CircuitView, views
from circuitmap.home import Home
from circuitmap.home.records import Board, Device, Visit
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.days import day_said
from circuitmap.paper.printed import ROOM_PT, printed
from circuitmap.paper.schedule_circuits import boards_table, circuits_table, supply_says
from circuitmap.paper.schedule_results import readings_tables, results_table
from circuitmap.paper.spread import csv_of, xlsx_of
from circuitmap.paper.tables import Table
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.words import NAMELESS

TITLE: Final = "Schedules of circuits and readings"
CAUTIONS: Final = (
    "Prepared from a survey record for the competent person to check, complete and sign elsewhere: no certificate, "
    "no inspection report, and nothing here was inspected by the program.",
    "A reading or a switch-off is not proof that anything is dead: isolate and prove dead at the point of work.",
)


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give the schedules in the wanted form; CSV is a file for each table.

    Raises
    ------
    CantMakeError
        When the board or device that they are wanted of isn't there.
    """
    home = wanted.home.existing()
    shown = _of_subject(home, views(home, wanted.trade, wanted.memo), wanted.subject)
    tables = tables_of(wanted, home, shown)
    if wanted.form == "xlsx":
        return (Made(xlsx_of(tables, title=title_of(home), front=front(wanted, home)), remarks=_remarks(shown)),)
    if wanted.form == "csv":
        files = [Made(csv_of(each), _part(each)) for each in tables]
        files[0] = files[0]._replace(remarks=_remarks(shown))
        return tuple(files)
    return (Made(_pdf(wanted, home, tables), remarks=_remarks(shown)),)


def tables_of(wanted: Wanted, home: Home, shown: Sequence[CircuitView]) -> tuple[Table, ...]:
    """Give all tables of the schedules: boards, circuits, test results, and every reading by its unit."""
    ticket, trade, memo = wanted.ticket, wanted.trade, wanted.memo
    kept = {view.board.id for view in shown}
    boards = [
        board for board in _by_letter(home) if not wanted.subject or board.id in kept or board.id == wanted.subject
    ]
    ticket.tick(0, 4, "the boards")
    first = boards_table(home, shown, boards, trade, memo)
    ticket.tick(1, 4, "the circuits")
    second = circuits_table(home, shown, trade)
    ticket.tick(2, 4, "the test results")
    third = results_table(home, shown, trade, memo)
    ticket.tick(3, 4, "the readings")
    every = () if not shown and wanted.subject else readings_tables(home, shown, memo, alone=bool(wanted.subject))
    return (first, second, third, *every)


def title_of(home: Home) -> str:
    """Give the document's own title."""
    return f"{TITLE}: {home.details.name}" if home.details.name else TITLE


def front(wanted: Wanted, home: Home) -> list[tuple[str, str]]:
    """Give what stands before the tables: whose home, of which day, what it is not, the supply, the visits."""
    details = home.details
    rows = [("Document", TITLE), ("Home", details.name or NAMELESS)]
    rows += [("Address", details.address)] if details.address else []
    rows.append(("Day", day_said(wanted.day)))
    rows += [("Caution", words) for words in CAUTIONS]
    rows += list(supply_says(home))
    rows.append(("Edition judged by", details.edition))
    rows += [("Visit", f"{_told(visit.day)}, {visit.purpose}") for visit in home.sorted(Visit)]
    return rows


def _told(day: str) -> str:
    """Give a day of a record in words; as it stands where it is no day of the calendar."""
    try:
        return day_said(datetime.date.fromisoformat(day))
    except ValueError:
        return day


def _pdf(wanted: Wanted, home: Home, tables: Sequence[Table]) -> bytes:
    from circuitmap.paper.typeset import typeset

    wanted.ticket.tick(4, 4, "the pages")
    has_sides = any(column.head == "after" for column in tables[2].columns)
    size = wanted.size or ("A3" if has_sides else "A4")
    said = front(wanted, home)
    data = {
        "title": TITLE,
        "says": f"{title_of(home)}. {CAUTIONS[0]}",
        "foot": f"{title_of(home)}, {day_said(wanted.day)}. No certificate.",
        "paper": size.lower(),
        "left": [home.details.name or NAMELESS, home.details.address],
        "right": [day_said(wanted.day)],
        "cautions": CAUTIONS,
        "front": [pair for pair in said if pair[0] not in ("Document", "Home", "Address", "Day", "Caution")],
        "tables": [printed(each, ROOM_PT[size]) for each in tables],
    }
    return typeset("schedules", data, day_stamp=calendar.timegm(wanted.day.timetuple()))


def _of_subject(home: Home, known: Sequence[CircuitView], subject: str) -> tuple[CircuitView, ...]:
    if not subject:
        return tuple(known)
    if home.find(Board, subject) is None and home.find(Device, subject) is None:
        raise CantMakeError(f"The schedules are of a board or a way; there is no such thing as {subject[:40]} here.")
    found = tuple(view for view in known if subject in (view.board.id, view.device.id))
    if not found and home.find(Device, subject) is not None:
        raise CantMakeError(f"{subject} is no way with a circuit; name a way or a board.")
    return found


def _by_letter(home: Home) -> list[Board]:
    return sorted(home.sorted(Board), key=lambda board: board.letter_on_map)


def _part(table: Table) -> str:
    return table.name.casefold().replace(" ", "-")


def _remarks(shown: Sequence[CircuitView]) -> tuple[str, ...]:
    return () if shown else ("No circuit is recorded yet; the schedules have their headings only.",)
