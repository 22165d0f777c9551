"""A rule: one small function from a case (what it may look at) to findings, with its reason, source and edition.

A case is a view of some part of a home with nothing else in it, so that a rule is asked again only when something it
may look at has changed.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal, get_args

from circuitmap.circuits import CircuitView, Orphan
from circuitmap.findings.finding import Finding
from circuitmap.home.records import (
    Board,
    Details,
    Device,
    Fixture,
    Note,
    Place,
    Plate,
    Point,
    Record,
    Room,
    Round,
    Supply,
)
from circuitmap.readings.judged_case import Judged
from circuitmap.readings.odd import Problem
from circuitmap.survey.deduce import Deduced
from circuitmap.trade import Trade
from circuitmap.words import Evidence, Severity

Scope = Literal["circuit", "orphan", "room", "water", "plate", "note", "board", "survey", "readings", "home"]
SCOPES: Final[tuple[Scope, ...]] = get_args(Scope)


@dataclass(frozen=True, slots=True)
class CircuitCase:
    """One way with its circuit, what the home as a whole says, and the codes of all ways its cables reach."""

    view: CircuitView
    details: Details
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OrphanCase:
    """A piece that no way feeds, and the rooms of its points by point id."""

    orphan: Orphan
    rooms: tuple[Room | None, ...]


@dataclass(frozen=True, slots=True)
class RoomCase:
    """A room, its points, and for each the ways that are known to feed it."""

    room: Room
    points: tuple[Point, ...]
    feeds: tuple[tuple[CircuitView, ...], ...]


@dataclass(frozen=True, slots=True)
class WaterCase:
    """A room with a bath, shower, basin, sink or hob: these, and the room's points with where each stands."""

    room: Room
    fixtures: tuple[Fixture, ...]
    points: tuple[Point, ...]
    places: tuple[Place, ...]
    details: Details


@dataclass(frozen=True, slots=True)
class PlateCase:
    """A plate or a point's own box, its points, and the ways in it."""

    plate: Plate
    points: tuple[Point, ...]
    room: Room | None
    feeds: tuple[CircuitView, ...]


@dataclass(frozen=True, slots=True)
class NoteCase:
    """An open note, what it is about, and where that is."""

    note: Note
    subject: Record
    room: Room | None
    code: str


@dataclass(frozen=True, slots=True)
class BoardCase:
    """A board with its devices and circuits, and the supply."""

    board: Board
    devices: tuple[Device, ...]
    circuits: tuple[CircuitView, ...]
    supply: Supply | None
    details: Details


@dataclass(frozen=True, slots=True)
class SurveyCase:
    """What the switch-offs say, point by point, with the points and rooms they are about."""

    deduced: tuple[Deduced, ...]
    points: Mapping[str, Point]
    rooms: Mapping[str, Room | None]
    rounds: tuple[Round, ...]
    circuits: tuple[CircuitView, ...]
    supply: Supply | None
    declined: str


@dataclass(frozen=True, slots=True)
class ReadingsCase:
    """What was judged of the readings of one way, or (without a view) of those that belong to no way.

    ``names`` are other things that the verdicts are about, by id; ``odd`` is what is odd about the readings as records.
    ``apart`` are the readings of insulation for which everything wired in is known to have been off; ``shown`` is what
    was read, by reading.
    """

    view: CircuitView | None
    judged: tuple[Judged, ...]
    odd: tuple[Problem, ...]
    names: tuple[tuple[str, str], ...]
    apart: frozenset[str]
    shown: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class HomeCase:
    """The home as a whole: what is recorded once, and the circuits."""

    details: Details
    supplies: tuple[Supply, ...]
    boards: tuple[Board, ...]
    circuits: tuple[CircuitView, ...]
    labels: tuple[tuple[str, str], ...]  # per circuit: device id, the label proposed from its territory


Case = (
    CircuitCase
    | OrphanCase
    | RoomCase
    | WaterCase
    | PlateCase
    | NoteCase
    | BoardCase
    | SurveyCase
    | ReadingsCase
    | HomeCase
)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule as listed by ``circuitmap rules``; ``severity`` is what it usually suggests ("C2", "C2/C3")."""

    code: str
    family: str
    title: str
    severity: str
    why: str
    source: str
    edition: str
    scope: Scope
    # A rule of a scope is only ever handed that scope's case; which one, the type checker can't follow through a table.
    find: Callable[[Any, Trade], Iterator[Finding]]
    aside: bool = False


CP: Final = "common practice, no source"


def found(
    rule: str,
    code: Severity,
    subjects: tuple[str, ...],
    says: str,
    why: str,
    settle: str,
    evidence: Evidence = "seen",
    *,
    aside: bool = False,
) -> Finding:
    """Make a finding in the order in which a rule thinks of its parts."""
    return Finding(
        rule=rule, code=code, subjects=subjects, says=says, why=why, settle=settle, evidence=evidence, aside=aside
    )
