"""Records of an option: a way of doing what is wished, what it changes, and all that is known of it."""

from collections.abc import Mapping
from typing import Final, Literal

from msgspec import Struct

from circuitmap.design.capacity import Answer
from circuitmap.design.supply import Changed
from circuitmap.extension.checks import Check
from circuitmap.extension.pathing import Route
from circuitmap.extension.price import Priced
from circuitmap.extension.takeoff import Job, Remedy, Taken, Work
from circuitmap.findings import Finding
from circuitmap.home.change import Change

OptionKind = Literal[
    "ring opened",
    "ring opened at a point",
    "ring opened in a void",
    "unfused spurs",
    "fused spur",
    "radial extended",
    "radial branched",
    "on with a light",
    "second switch",
    "switch for a light",
    "new way",
    "taken out",
]
KIND_TITLES: Final[Mapping[OptionKind, str]] = {
    "ring opened": "Into the ring, between two of its points",
    "ring opened at a point": "Into the ring, both legs from one point",
    "ring opened in a void": "Into the ring, where its cable can be reached",
    "unfused spurs": "Unfused spurs",
    "fused spur": "A fused spur",
    "radial extended": "On from the end of a radial",
    "radial branched": "A branch off a radial",
    "on with a light": "On from a light that is there",
    "second switch": "A second switch for a light",
    "switch for a light": "A switch for a light",
    "new way": "A new way from the board",
    "taken out": "Points taken out",
}
KIND_SAYS: Final[Mapping[OptionKind, str]] = {
    "ring opened": "The cable between two points of the ring is left out of use; the new points come between them.",
    "ring opened at a point": (
        "One cable of the ring is taken out of a point's terminals and joined on in its box, which has to have room "
        "for that; the new points come between the terminals and the joint, which stays within reach."
    ),
    "ring opened in a void": (
        "A cable of the ring is cut in a floor or loft that can be reached, with a maintenance-free joint at either "
        "side of the cut; the new points come in between."
    ),
    "unfused spurs": "One cable feeds each new point; no two of them hang on the same point of the ring.",
    "fused spur": "A fused connection unit is put on the ring; what comes after it draws no more than its fuse lets.",
    "radial extended": "The new points come after the last one of a circuit that has one cable from the board.",
    "radial branched": "The new points branch off a point in the middle of a circuit with one cable from the board.",
    "on with a light": "The new lights hang on one that is there, and what works that one works them too.",
    "second switch": (
        "A cable with three cores joins the new switch to one that is there, which is changed for one that allows it; "
        "either then works the light."
    ),
    "switch for a light": "A cable comes down from the light to the new switch.",
    "new way": "The new points have a cable and a device of their own at the board.",
    "taken out": "What is taken out leaves a blank plate where cables are joined, or nothing at the end of a cable.",
}


class Fit(Struct, frozen=True, kw_only=True):
    """One thing that has to be in order before anything is added: yes, no, or not known, which is never a yes."""

    subject: str
    answer: Answer
    says: str
    source: str
    remedies: tuple[Remedy, ...] = ()


class Expect(Struct, frozen=True, kw_only=True):
    """What should be read at one new point afterwards, in ohms; None where it can't be told, with the reason."""

    point: str
    r1_r2_ohm: float | None = None
    zs_ohm: float | None = None
    zs_most_ohm: float | None = None
    why: str = ""


class EndToEnd(Struct, frozen=True, kw_only=True):
    """What a ring should read end to end afterwards, core by core, in ohms; None where it can't be told."""

    r1_ohm: float | None
    rn_ohm: float | None
    r2_ohm: float | None


class Papers(Struct, frozen=True, kw_only=True):
    """Which certificate the work asks for, whether it is notified, and by whose rules."""

    certificate: Literal["minor works", "installation certificate"]
    notify: Literal["yes", "no", "not known"]
    says: str
    source: str


class Option(Struct, frozen=True, kw_only=True):
    """One way of doing some of the wishes.

    Parameters
    ----------
    kind, key
        What kind it is, and words that name it among all options of an extension, the same every time.
    wishes
        Which wishes it does, by their numbers from 0.
    change
        What it would do to the home: everything new is planned, what goes is marked as removed. Empty if none could be
        made.
    routes
        The cables it lays, in the order of ``runs``, the ids of the runs they are on the map.
    points
        The ids of the new points.
    failed
        Why it is no sound way; it is shown with these sentences, and not to be picked.
    unsure
        What could not be judged.
    by_hand
        The ids of those runs that somebody drew by hand; the rest were laid by the search.
    """

    kind: OptionKind
    key: str
    title: str
    way: str
    wishes: tuple[int, ...]
    change: Change
    routes: tuple[Route, ...] = ()
    runs: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    length_mm: float = 0.0
    cable: str = ""
    added: tuple[Finding, ...] = ()
    cleared: tuple[Finding, ...] = ()
    checks: tuple[Check, ...] = ()
    ring: EndToEnd | None = None
    expected: tuple[Expect, ...] = ()
    demand: Changed | None = None
    rcd: str = ""
    papers: Papers | None = None
    work: Work = Work()
    job: Job = Job()
    taken: Taken | None = None
    priced: Priced | None = None
    minutes: float = 0.0
    failed: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    assumes: tuple[str, ...] = ()
    by_hand: tuple[str, ...] = ()

    @property
    def is_sound(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.failed


class Asking(Struct, frozen=True, kw_only=True):
    """What is asked for: answers to all wishes, and what has to be in order first.

    ``first`` are the sums, in whole pence without tax, of what would make it so, each with its reason, and
    ``first_ranges`` the least and the most of each, for the estimator; apart from any
    option. ``refused`` are sentences about wishes that nothing can be done for, by their numbers.
    """

    fit: tuple[Fit, ...]
    options: tuple[Option, ...]
    refused: tuple[tuple[int, str], ...] = ()
    first: tuple[tuple[str, int], ...] = ()
    first_ranges: tuple[tuple[int, int], ...] = ()
    sign: str = ""
    tax_percent: float = 0.0
