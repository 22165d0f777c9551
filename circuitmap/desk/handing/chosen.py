"""What is chosen for a document, what there is to choose from, and the wish that becomes of it; without a widget."""

import datetime
from typing import Final, NamedTuple

from msgspec import Struct

from circuitmap.drawing.palette import Theme
from circuitmap.home import Home
from circuitmap.home.document import Document
from circuitmap.home.invariants import shorten
from circuitmap.home.phases import is_there
from circuitmap.home.records import Board, Device, Extension, Point, Storey
from circuitmap.memo import Memo
from circuitmap.paper.apart import Wish
from circuitmap.paper.catalogue import Paper
from circuitmap.paper.stored import stem_of
from circuitmap.paper.wanted import LEAVE_OUT, LeaveOut, Size, Turned
from circuitmap.plan import room_of

FORMS: Final = {
    "pdf": "PDF",
    "xlsx": "spreadsheet (XLSX)",
    "csv": "table of text (CSV)",
    "svg": "drawing (SVG)",
    "dxf": "drawing in layers (DXF)",
    "png": "picture (PNG)",
    "geojson": "places (GeoJSON)",
    "ics": "calendar (ICS)",
}
LEAVE_OUT_WORDS: Final[dict[LeaveOut, str]] = {
    "photos": "Photographs",
    "notes": "Notes",
    "address": "Address and telephone",
    "people": "People's names",
    "history": "What was before",
}
# Of a picture: pixels for each metre. Of a plan on paper: 1 to so much.
PX_PER_M: Final = (25, 50, 100, 200, 400)
ONE_TO: Final = (20, 50, 100, 200)
_PICTURES: Final = ("png", "svg")
_MOST_DAYS: Final = 60
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class Chosen(Struct, frozen=True, kw_only=True):
    """What is chosen for one document; moments go by the number of their edit, 0 for now or none."""

    form: str
    size: Size = ""
    turned: Turned = ""
    large_print: bool = False
    subject: str = ""
    earlier: int = 0
    later: int = 0
    storey: str = ""
    theme: Theme = "paper"
    scale: float = 0.0
    leave_out: frozenset[LeaveOut] = frozenset()


class Moment(NamedTuple):
    """A moment in the life of a home: in words, as a document calls it, and the number of its last edit."""

    words: str
    name: str
    seq: int


def form_said(form: str) -> str:
    """Give a form in words."""
    return FORMS.get(form, form.upper())


def day_said(day: datetime.date) -> str:
    """Give a day in words that are the same everywhere, such as 5 Jan 2026."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def moments(document: Document) -> list[Moment]:
    """Give the moments that a home can be looked at: its marks, then the ends of the days on which it changed."""
    found = [Moment(f"{shorten(mark.name, 40)}, {day_said(_day(mark.at))}", mark.name, mark.seq)
             for mark in document.marks()]  # fmt: skip
    last_of: dict[datetime.date, int] = {}
    for entry in document.history():
        last_of[_day(entry.at)] = entry.seq
    days = [(day, seq) for day, seq in last_of.items() if seq != document.revision]
    for day, seq in days[: -_MOST_DAYS - 1 : -1]:
        found.append(Moment(f"end of {day_said(day)}", f"end of {day_said(day)}", seq))
    return found


def subjects(home: Home, memo: Memo, letters: str) -> list[tuple[str, str]]:
    """Give what a document can be about, as (words, id): boards, devices, extensions, points; only what is there."""
    found: list[tuple[str, str]] = []
    if "B" in letters:
        boards = [each for each in home.sorted(Board) if is_there(each)]
        found += [(" ".join(f"Board {each.letter_on_map} {each.name}".split()), each.id) for each in boards]
    if "D" in letters:
        devices = [each for each in home.sorted(Device) if is_there(each)]
        found += [(" ".join(f"{home.code(each.id)} {each.label or each.kind}".split()), each.id) for each in devices]
    if "X" in letters:
        found += [(each.name or each.id, each.id) for each in home.sorted(Extension) if each.done_on is None]
    if "P" in letters:
        for point in home.sorted(Point):
            if is_there(point):
                room = room_of(home, memo, point)
                named = point.name or point.kind
                where = f", {room.name}" if room is not None and room.name else ""
                found.append((f"{shorten(named, 40)} {point.id}{shorten(where, 40)}", point.id))
    return found


def storeys(home: Home) -> list[tuple[str, str]]:
    """Give the storeys as (words, id), lowest first."""
    return [(each.name or each.id, each.id) for each in sorted(home.sorted(Storey), key=lambda s: s.level)]


def scales(form: str) -> list[tuple[str, float]]:
    """Give the scales that a document of a form can have, as (words, value)."""
    fitting = ("as it fits", 0.0)
    if form in _PICTURES:
        return [fitting, *((f"{each} pixels a metre", float(each)) for each in PX_PER_M)]
    return [fitting, *((f"1 : {each}", float(each)) for each in ONE_TO)]


def usual(paper: Paper, document: Document) -> Chosen:
    """Give what is chosen for a document as long as nobody chose: what is compared is compared with the first mark."""
    marks = document.marks() if "moments" in paper.choices else ()
    return Chosen(form=paper.forms[0], earlier=marks[0].seq if marks and marks[0].seq < document.revision else 0)


def fit_for(paper: Paper, chosen: Chosen, document: Document) -> Chosen:
    """Give what is chosen without what isn't there any longer."""
    import msgspec

    home = document.home
    changes: dict[str, object] = {}
    if chosen.form not in paper.forms:
        changes["form"] = paper.forms[0]
    if chosen.subject and home.peek(chosen.subject) is None:
        changes["subject"] = ""
    if chosen.storey and home.find(Storey, chosen.storey) is None:
        changes["storey"] = ""
    if chosen.scale not in [value for _, value in scales(str(changes.get("form", chosen.form)))]:
        changes["scale"] = 0.0
    for field in ("earlier", "later"):
        if getattr(chosen, field) > document.revision:
            changes[field] = 0
    return msgspec.structs.replace(chosen, **changes) if changes else chosen


def wish_of(paper: Paper, chosen: Chosen, document: Document, day: datetime.date, keys: tuple[str, str]) -> Wish:
    """Give the wish for a document: only what the document declares as a choice is handed on.

    Parameters
    ----------
    keys
        Of the home that is handed over, and of the earlier one ("" for none).
    """
    can = paper.choices
    is_timed = "moment" in can or "moments" in can
    names = {moment.seq: moment.name for moment in reversed(moments(document))} if is_timed else {}
    return Wish(
        paper=paper,
        home=keys[0],
        earlier=keys[1],
        earlier_name=names.get(chosen.earlier, "") if keys[1] else "",
        later_name=names.get(chosen.later, "now"),
        day=day,
        form=chosen.form,
        size=chosen.size if "size" in can else "",
        turned=chosen.turned if "turned" in can else "",
        large_print=chosen.large_print and "large print" in can,
        subject=chosen.subject if "subject" in can else "",
        storey=chosen.storey if "storey" in can else "",
        scale=chosen.scale if "scale" in can else 0.0,
        dark=chosen.theme == "dark" and "theme" in can,
        leave_out=tuple(each for each in LEAVE_OUT if each in chosen.leave_out) if "leave out" in can else (),
    )


def file_stem(paper: Paper, chosen: Chosen, home: Home, day: datetime.date) -> str:
    """Give a sensible name for a document's file, without its ending: home, document, what it is about, day."""
    about = []
    if "subject" in paper.choices and chosen.subject:
        about.append(_about(home, chosen.subject))
    if "storey" in paper.choices and chosen.storey:
        storey = home.find(Storey, chosen.storey)
        about.append(storey.name or storey.id if storey is not None else "")
    if "large print" in paper.choices and chosen.large_print:
        about.append("large print")
    name = "" if "address" in chosen.leave_out and "leave out" in paper.choices else home.details.name
    return stem_of(shorten(name, 40), paper.title, *(shorten(each, 24) for each in about), day.isoformat())


def _about(home: Home, subject: str) -> str:
    record = home.peek(subject)
    if isinstance(record, Board):
        return f"board {record.letter_on_map}".strip()
    if isinstance(record, Extension):
        return record.name
    return home.code(subject) if isinstance(record, Device) else subject


def _day(at: str) -> datetime.date:
    return datetime.datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone().date()
