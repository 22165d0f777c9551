"""What the readings of a circuit may mean, as records: causes with their odds, what each predicts, what to read next.

How the odds come about is ``weigh``; whoever shows causes needs only this.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from circuitmap.readings.entries import Side
from circuitmap.words import Core, LinkKind, ReadingTest

CauseKind = Literal[
    "healthy",
    "open core",
    "bad joint",
    "on a spur",
    "same leg",
    "bridge",
    "swapped",
    "other length",
    "other cable",
    "bad contact",
    "none of these",
]
CAUSE_WORDS: dict[CauseKind, str] = {
    "healthy": "as drawn",
    "open core": "open conductor",
    "bad joint": "high-resistance joint",
    "on a spur": "on a spur",
    "same leg": "links on the same leg",
    "bridge": "interconnected",
    "swapped": "conductors swapped",
    "other length": "length differs from the map",
    "other cable": "cable differs from the map",
    "bad contact": "bad contact while reading",
    "none of these": "none of these",
}
Unit = Literal["Ω", "m", "×", "mm²", ""]


@dataclass(frozen=True, slots=True)
class Compared:
    """One reading beside what a cause predicts of it; ohms are infinite for an open circuit.

    ``reading`` is the record's id, ``at`` a point or the way itself for the board. ``off_by`` is how many standard
    deviations measured lies from expected (infinite where one is open and the other isn't).
    """

    reading: str
    test: ReadingTest
    link: LinkKind | None
    cores: tuple[Core, ...]
    at: str
    measured_ohm: float
    expected_ohm: float
    sd_ohm: float
    off_by: float


@dataclass(frozen=True, slots=True)
class Cause:
    """One explanation of all the readings of a circuit.

    ``says`` is a sentence without its odds. ``at`` holds the places it is about (one, or the two between which it
    lies), ``runs`` the runs, for whoever lights them up. ``size`` is how big, in ``unit``, likely between ``low`` and
    ``high``; None where there is nothing to size. ``why`` says which readings speak for it.
    """

    kind: CauseKind
    probability: float
    says: str
    why: str = ""
    cores: tuple[Core, ...] = ()
    at: tuple[str, ...] = ()
    runs: tuple[str, ...] = ()
    size: float | None = None
    unit: Unit = ""
    low: float | None = None
    high: float | None = None
    compared: tuple[Compared, ...] = ()


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading not taken yet, and how much it would tell: bits of what isn't known about the cause.

    ``at`` is a point, or the way itself for the board. ``says`` is the instruction, ``why`` what it tells apart.
    """

    test: ReadingTest
    link: LinkKind | None
    cores: tuple[Core, ...]
    at: str
    bits: float
    says: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What the readings of one way mean, likeliest first, and what to read next, the most telling first.

    ``causes`` is empty where nothing can be weighed; ``notes`` says why, and what was left out. The odds of the causes
    listed add up to one together with ``others``, the sum of those too unlikely to be listed.
    """

    device: str
    code: str
    side: Side | None
    causes: tuple[Cause, ...]
    next: tuple[NextReading, ...]
    notes: tuple[str, ...] = ()
    others: float = 0.0

    @property
    def is_settled(self) -> bool:
        """Whether one cause stands clear of all others."""
        return bool(self.causes) and self.causes[0].probability >= SURE and self.causes[0].kind != "none of these"


Stop = Callable[[], None]
"""Called between steps of long work; it raises ``jobs.StoppedError`` when the person has stopped it."""
SURE = 0.95
OPEN_FROM_OHM = (
    15.0  # over range from here on is an open circuit: no circuit of a home, linked for a test, reads so much
)
