"""The documents that can be handed over, as a table; a document's own module is loaded when it is made."""

import importlib
from typing import Final, NamedTuple, Protocol

from circuitmap.errors import PersonError
from circuitmap.paper.wanted import Choice, Made, Wanted


class _Maker(Protocol):
    def __call__(self, wanted: Wanted) -> tuple[Made, ...]: ...


class Paper(NamedTuple):
    """One document: its name on the command line, its title, what it is for, its forms, what can be chosen.

    ``module`` holds ``made(wanted)``, which gives its files. ``of`` are the letters of the kinds of record that its
    subject may be (``B`` a board, ``D`` a device, ``P`` a point, ``X`` an extension), where ``subject`` is a choice;
    ``asks`` says that one has to be chosen.
    """

    name: str
    title: str
    says: str
    forms: tuple[str, ...]
    choices: tuple[Choice, ...]
    module: str
    of: str = "BDP"
    asks: bool = False


class CantMakeError(PersonError):
    """A document can't be made of this home, or not in this form, in one sentence."""


PAPERS: Final[tuple[Paper, ...]] = (
    Paper(
        "chart",
        "Circuit chart",
        "which way feeds what, on the plans and in tables; in large print for who lives there",
        ("pdf",),
        ("size", "turned", "large print", "leave out"),
        "circuitmap.paper.chart",
    ),
    Paper(
        "labels",
        "Board labels",
        "strips to print and cut for every board, 17.5 mm a module",
        ("pdf",),
        ("subject", "leave out"),
        "circuitmap.paper.labels",
        "B",
    ),
    Paper(
        "schedules",
        "Schedules of circuits and readings",
        "circuits and test results in tables, before and after, for the competent person to check",
        ("pdf", "xlsx", "csv"),
        ("size", "subject", "moment", "leave out"),
        "circuitmap.paper.schedules",
        "BD",
    ),
    Paper(
        "sheets",
        "Sheets for the walk",
        "a plan with numbered points and boxes for readings, to be filled in by pencil",
        ("pdf",),
        ("subject", "storey", "moment", "leave out"),
        "circuitmap.paper.walk_sheets",
        "BD",
    ),
    Paper(
        "drawing",
        "Marked plan as a drawing",
        "the marked plan as SVG, as DXF with a layer for each circuit, or as PNG at a chosen scale",
        ("svg", "dxf", "png"),
        ("storey", "scale", "theme", "moment"),
        "circuitmap.paper.drawing_out",
    ),
    Paper(
        "rooms",
        "Rooms and points as data",
        "rooms, boards and points with what is known of each, as GeoJSON in the plan's own coordinates",
        ("geojson",),
        ("storey", "moment", "leave out"),
        "circuitmap.paper.rooms_out",
    ),
    Paper(
        "record",
        "Survey record",
        "what was asked, looked at and found, worst first, with plan extracts and photographs; no certificate",
        ("pdf",),
        ("moment", "leave out"),
        "circuitmap.paper.record",
    ),
    Paper(
        "job-card",
        "Isolation job card",
        "for one box: what to switch off and lock, where and how to prove dead, who loses supply, boxes to tick",
        ("pdf",),
        ("subject", "leave out"),
        "circuitmap.paper.job_card",
        asks=True,
    ),
    Paper(
        "changes",
        "What changed",
        "what is new, gone or changed between two marks or two days, on plan and in words",
        ("pdf",),
        ("moments", "leave out"),
        "circuitmap.paper.changes",
    ),
    Paper(
        "quotation",
        "Quotation",
        "a fixed offer for what was picked for an extension, with drawings, what is and isn't included, and cautions",
        ("pdf", "xlsx"),
        ("subject", "leave out"),
        "circuitmap.paper.quoted",
        "X",
        asks=True,
    ),
)


def paper_named(name: str) -> Paper:
    """Give a document by its name.

    Raises
    ------
    CantMakeError
        When there is none, with those that there are.
    """
    typed = "-".join(name.casefold().replace("_", "-").split())
    for paper in PAPERS:
        if typed in (paper.name, "-".join(paper.title.casefold().split())):
            return paper
    raise CantMakeError(f"No document is called “{name}”; there are: {', '.join(paper.name for paper in PAPERS)}.")


def make(paper: Paper, wanted: Wanted) -> tuple[Made, ...]:
    """Make a document: the same bytes for the same home, choices and day.

    Raises
    ------
    CantMakeError
        When it can't be made of this home, or not in this form.
    StoppedError
        When it was stopped.
    """
    if wanted.form not in paper.forms:
        raise CantMakeError(f"“{paper.title}” is written as {' or '.join(paper.forms)}, not as {wanted.form}.")
    maker: _Maker = importlib.import_module(paper.module).made
    return maker(wanted)
