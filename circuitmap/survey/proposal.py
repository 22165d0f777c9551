"""What the planner proposes: one switch-off (or a look with the power on), whom to look at, and what it is good for."""

from dataclasses import dataclass
from typing import Literal

from circuitmap.words import OtherSourceKind

ProposalKind = Literal["look", "glance", "hunt", "group", "single", "apart", "repeat", "proof", "done", "declined"]


@dataclass(frozen=True, slots=True)
class Witness:
    """A point known to be on, to be looked at in every room and at the end: it stands for one RCD that stays on.

    ``device`` is the RCD (or RCBO, or main switch where nothing else is over the point) that the point tells of.
    """

    device: str
    point: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """The next switch-off.

    ``kind``: "look" everything on first; "glance" dedicated appliances only;
    "hunt" a search for a listed load's way; "group" several devices;
    "single" one device; "apart" tells points fed by two ways from the rest; "repeat" asks doubtful points again;
    "proof" everything off; "done" nothing is left to ask; "declined" this home can't be surveyed so.
    ``points`` are the ones to look at, in walk order; nobody else needs to be visited. ``settles`` is how many
    points it is expected to settle, ``rounds_left`` and ``minutes_left`` what is likely left with this one counted.
    ``operations`` counts what is switched, both ways, main switches for fuse carriers included. ``says`` is one
    sentence such as "Switch A3, A5 and A7 off and walk: 14 points in 3 rooms."; ``why`` tells what was heeded.
    """

    kind: ProposalKind
    off: tuple[str, ...] = ()
    sources_off: tuple[OtherSourceKind, ...] = ()
    points: tuple[str, ...] = ()
    witnesses: tuple[Witness, ...] = ()
    settles: float = 0.0
    rounds_left: int = 0
    minutes: float = 0.0
    minutes_left: float = 0.0
    operations: int = 0
    says: str = ""
    why: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HuntStep:
    """The next step of a two-person hunt: one stands at the point and calls, the other switches these off.

    ``then_on`` are devices off from the step before that go back on. ``chances`` are what is left, likeliest first.
    """

    point: str
    off: tuple[str, ...]
    then_on: tuple[str, ...]
    steps_left: int
    chances: tuple[tuple[str, float], ...]
    says: str
