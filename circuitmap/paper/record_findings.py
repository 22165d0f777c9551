"""The findings as the survey record tells them: worst first, each with its plan extract, its notes and photographs."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from circuitmap.drawing.plan import stands_on, storeys_in_order
from circuitmap.drawing.standing import Stand
from circuitmap.errors import PictureError
from circuitmap.findings.finding import Finding
from circuitmap.home import Home
from circuitmap.home.assets import Asset
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Device, Note, Plate, Point, Run, Visit
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.paper.figures import WIDE_PX, Figure
from circuitmap.paper.quotation import day_said
from circuitmap.paper.record_words import Names
from circuitmap.paper.sources import parted
from circuitmap.paper.spotted import Joining, Spot, spotted_plans
from circuitmap.paper.typeset import Data, in_svg
from circuitmap.pictures import take_photo
from circuitmap.words import Severity

CODE_SAYS: Final[dict[Severity, str]] = {
    # BS 7671 appendix 6, classification codes, as in the published guide to them.
    "C1": "danger present",
    "C2": "potentially dangerous",
    "FI": "further investigation without delay",
    "C3": "improvement recommended",
    "note": "note",
}
_POINT_PER_PX: Final = 0.75
_EXTRACT_PX: Final = 300.0
_EXTRACT_HIGH_PX: Final = 190.0
_SPREAD_HIGH_PX: Final = 300.0
_MOST_EXTRACTS: Final = 60
_MOST_SPOTS: Final = 24
_MOST_NEAR: Final = 6
_MOST_PHOTOS: Final = 80
_PHOTO_PX: Final = 1100
NO_PHOTO: Final = "A photograph of this is missing from the home."
UNREADABLE: Final = "A photograph of this is in the home and can't be read."


class Pictured(NamedTuple):
    """A photograph in the document: its number, the name of its file, its drawing, what it shows."""

    number: int
    file: str
    svg: str
    says: str


class Told(NamedTuple):
    """The findings as data, the pictures they need, and what could not be shown."""

    findings: list[Data]
    notes: list[Data]
    pictures: dict[str, str]
    remarks: tuple[str, ...]
    sources: list[tuple[int, tuple[str, ...]]]


class Album:
    """The photographs of a document: each once, numbered as they come; what is missing is said where it would be."""

    def __init__(self, asset: Callable[[str], Asset | None]) -> None:
        self._asset = asset
        self._known: dict[str, Pictured | str] = {}
        self.missing = 0
        self.left_out = 0

    def show(self, photos: Iterable[str], says: str) -> tuple[list[Pictured], list[str]]:
        """Give the photographs to be shown here, and sentences about those shown before, missing or left out."""
        shown: list[Pictured] = []
        told: list[str] = []
        for photo in photos:
            before = self._known.get(photo)
            if before is not None:
                told.append(before if isinstance(before, str) else f"See photograph {before.number}.")
                continue
            if len(self.taken) >= _MOST_PHOTOS:
                self.left_out += 1
                continue
            made = self._known[photo] = self._read(photo, says)
            if isinstance(made, str):
                self.missing += 1
                told.append(made)
            else:
                shown.append(made)
        return shown, list(dict.fromkeys(told))

    @property
    def taken(self) -> list[Pictured]:
        """The photographs that the document shows."""
        return [each for each in self._known.values() if not isinstance(each, str)]

    def _read(self, photo: str, says: str) -> Pictured | str:
        found = self._asset(photo)
        if found is None:
            return NO_PHOTO
        try:
            # Read anew: a text form may hold anything under a photograph's name.
            made = take_photo(found[1], longest_px=_PHOTO_PX)
        except PictureError:
            return UNREADABLE
        number = len(self.taken) + 1
        svg = in_svg(made.data, made.width_px, made.height_px)
        return Pictured(number, f"photo-{number}.svg", svg, f"Photograph {number}: {says}")


class Extracts:
    """Parts of plans with the subjects of a finding picked out."""

    def __init__(self, home: Home, memo: Memo) -> None:
        self._home, self._memo = home, memo
        self._stands: dict[str, Mapping[str, Stand]] = {
            storey.id: stands_on(home, storey.id, memo) for storey in storeys_in_order(home)
        }

    def of(self, subjects: Sequence[str], *, wide_px: float = _EXTRACT_PX) -> list[Figure]:
        """Give an extract for every storey that something of a finding stands on."""
        figures: list[Figure] = []
        # Where its way sits says little of a finding about a circuit, and would have half the house drawn with it.
        told = [each for each in subjects if not each.startswith("D")]
        wanted = dict.fromkeys(place for each in told for place in self._places(each))
        for storey in storeys_in_order(self._home):
            stands = self._stands[storey.id]
            spots = [Spot(stands[place], "here", self._word(place, subjects)) for place in wanted if place in stands]
            lines = [line for each in subjects for line in self._lines(each, stands)]
            if not spots and not lines:
                continue
            spread = len({spot.stand.room for spot in spots}) > 1
            figures += spotted_plans(
                self._home, self._memo, storey, spots[:_MOST_SPOTS], lines,
                title=f"{shorten(storey.name, 40) or storey.id}",
                wide_px=WIDE_PX if spread else wide_px,
                high_px=_SPREAD_HIGH_PX if spread else _EXTRACT_HIGH_PX,
            )  # fmt: skip
        return figures

    def _places(self, record_id: str) -> Iterator[str]:
        """Give what stands on a plan for a subject: of a plate its points, of a cable its ends, of a way its board."""
        match self._home.peek(record_id):
            case Point() | Board():
                yield record_id
            case Device(board=board):
                yield board
            case Plate():
                yield from (each.id for each in self._home.sorted(Point) if each.plate == record_id)
            case Run(a=a, b=b):
                yield from (place for end in (a, b) if end.at for place in self._places(end.at))
            case _:
                return

    def _word(self, place: str, subjects: Sequence[str]) -> str:
        if place.startswith("B"):
            codes = [self._home.code(each) for each in subjects if each.startswith("D")]
            return ", ".join(codes[:4]) or f"board {self._home.letter_of(place)}"
        return place

    def _lines(self, record_id: str, stands: Mapping[str, Stand]) -> Iterator[Joining]:
        run = self._home.find(Run, record_id)
        if run is None or run.a.at is None or run.b.at is None:
            return
        a, b = (next(self._places(at), "") for at in (run.a.at, run.b.at))
        if a in stands and b in stands and a != b:
            yield Joining(stands[a].at, stands[b].at, "here", run.id)


def tell(
    home: Home,
    memo: Memo,
    names: Names,
    findings: Sequence[Finding],
    asset: Callable[[str], Asset | None],
    ticket: Ticket,
) -> Told:
    """Give findings worst first as data, then the notes that no finding has told.

    Parameters
    ----------
    findings
        Those that are more than a fact of what is where.
    asset
        Gives a photograph by its SHA-256, None where it is missing.
    """
    album, extracts = Album(asset), Extracts(home, memo)
    notes = _open_notes(home)
    told_notes: set[str] = set()
    pictures: dict[str, str] = {}
    rows: list[Data] = []
    drawn = 0
    for number, finding in enumerate(findings, 1):
        ticket.tick(number, len(findings), "Drawing what was found")
        # A note is told at the gravest finding about its subject, and never at one that is about half the home.
        near = finding.subjects if len(finding.subjects) <= _MOST_NEAR else ()
        mine = [each for subject in near for each in notes.get(subject, ()) if each.id not in told_notes]
        told_notes |= {note.id for note in mine}
        figures: list[Figure] = []
        if finding.code != "note" and drawn < _MOST_EXTRACTS:
            figures = extracts.of(finding.subjects)
            drawn += len(figures)
        rows.append(_row(number, finding, figures, mine, album, names, pictures))
    others = [note for held in notes.values() for note in held if note.id not in told_notes]
    said = [_note(note, album, names) for note in others]
    pictures |= {each.file: each.svg for each in album.taken}
    sources = [(number, parted(finding.why)[1]) for number, finding in enumerate(findings, 1)]
    return Told(rows, said, pictures, _remarks(album, drawn), sources)


def _row(
    number: int,
    finding: Finding,
    figures: Sequence[Figure],
    notes: Sequence[Note],
    album: Album,
    names: Names,
    pictures: dict[str, str],
) -> Data:
    shown: list[Pictured] = []
    told: list[str] = []
    for note in notes:
        mine, said = album.show(note.photos, f"{names.of(note.subject)}{_taken(note, names)}, finding {number}")
        shown += mine
        told += said
        if note.text.strip():
            told.append(f"Noted at {names.of(note.subject)}: {shorten(' '.join(note.text.split()), 800)}")
    drawn = []
    for n, figure in enumerate(figures):
        file = f"f{number}-{n}.svg"
        pictures[file] = figure.svg
        says = f"Plan of {figure.title} with what finding {number} is about: {names.listed(finding.subjects, 8)}"
        drawn.append({"file": file, "title": figure.title, "wide": figure.wide_px * _POINT_PER_PX, "says": says})
    why, _ = parted(finding.why)
    ruling = {"agree": "agreed", "not so": "not so", "changed": "code changed"}.get(finding.ruling or "", "")
    return {
        "number": number,
        "code": finding.code,
        "code_says": CODE_SAYS[finding.code],
        "says": finding.says,
        "why": why,
        "settle": finding.settle,
        "evidence": finding.evidence,
        "ruling": f"Ruled: {ruling}." if ruling else "",
        "told": told,
        "figures": drawn,
        "photos": [_photo(each) for each in shown],
    }


def _note(note: Note, album: Album, names: Names) -> Data:
    shown, told = album.show(note.photos, f"{names.of(note.subject)}{_taken(note, names)}, note {note.id}")
    words = "; ".join(part for part in (", ".join(note.seen), shorten(" ".join(note.text.split()), 800)) if part)
    return {"about": names.of(note.subject), "says": words, "told": told, "photos": [_photo(each) for each in shown]}


def _taken(note: Note, names: Names) -> str:
    """Give the day of a note's visit: that a fault was there first is worth the day it was seen."""
    visit = names.home.find(Visit, note.visit)
    return f", {day_said(datetime.date.fromisoformat(visit.day))}" if visit is not None else ""


def _photo(each: Pictured) -> Data:
    return {"file": each.file, "says": each.says, "number": each.number}


def _open_notes(home: Home) -> dict[str, list[Note]]:
    held: dict[str, list[Note]] = {}
    for note in home.sorted(Note):
        if note.cleared is None and (note.text.strip() or note.photos or note.seen):
            held.setdefault(note.subject, []).append(note)
    return held


def _remarks(album: Album, drawn: int) -> tuple[str, ...]:
    says = []
    if album.missing:
        one = album.missing == 1
        says.append(
            f"{album.missing} photograph{' is' if one else 's are'} missing or can't be read; the record says so there."
        )
    if album.left_out:
        says.append(f"{album.left_out} more photographs are in the home and not in this record.")
    if drawn >= _MOST_EXTRACTS:
        says.append("Not every finding has a plan extract; the first ones, which are the worst, do.")
    return tuple(says)
