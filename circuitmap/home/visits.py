"""Records of what was done and seen: visits, switch-offs, checks, isolations, readings, notes, rulings, extensions."""

from typing import Annotated, ClassVar

from msgspec import Meta

from circuitmap import words as w
from circuitmap.home.base import (
    AnyId,
    At,
    BoxId,
    CheckId,
    Day,
    DeviceId,
    ExtensionId,
    InstrumentId,
    IsolationId,
    LimitationId,
    LongText,
    NoteId,
    NoteText,
    NotNegative,
    Part,
    PersonText,
    PhotoHash,
    Place,
    PointId,
    ReadingId,
    Record,
    RoundId,
    RulingId,
    RunId,
    Some,
    Text,
    VisitId,
    ref,
)
from circuitmap.home.wires import Load


class Visit(Record, frozen=True, kw_only=True):
    """One day at the home."""

    kind_of: ClassVar[str] = "visit"
    letter: ClassVar[str] = "V"
    id: VisitId
    day: Day
    purpose: w.Purpose = "survey"
    by: PersonText = ""


class Arrangement(Part, frozen=True, kw_only=True):
    """What was arranged for a load that must not simply lose its supply."""

    point: PointId
    words: Text


class Consent(Part, frozen=True, kw_only=True):
    """Who agreed to a switch-off, when, and which loads were settled with them.

    ``named`` are the points whose loads were named when it was agreed; with ``for_visit`` it was agreed for the rest
    of the visit on the same terms.
    """

    at: At
    by: w.WhoAgreed = "occupier"
    confirmed: tuple[PointId, ...] = ()
    arrangements: tuple[Arrangement, ...] = ()
    until: Text = ""
    named: tuple[PointId, ...] = ()
    for_visit: bool = False


class RoundEvent(Part, frozen=True, kw_only=True):
    """Something that happened during a switch-off, in order."""

    at: At
    what: w.EventWhat
    devices: tuple[DeviceId, ...] = ()
    points: tuple[PointId, ...] = ()


class Round(Record, frozen=True, kw_only=True):
    """One switch-off and the walk that follows; with nothing off it is the look with everything on."""

    kind_of: ClassVar[str] = "round"
    letter: ClassVar[str] = "S"
    id: RoundId
    visit: VisitId
    off: tuple[DeviceId, ...] = ()
    sources_off: tuple[w.OtherSourceKind, ...] = ()
    consent: Consent | None = None
    events: tuple[RoundEvent, ...] = ()


class Check(Record, frozen=True, kw_only=True):
    """One point's outcome in one switch-off; several are allowed and all are kept."""

    kind_of: ClassVar[str] = "check"
    letter: ClassVar[str] = "C"
    id: CheckId
    round: RoundId
    point: PointId
    outcome: w.Outcome
    at: At
    instrument: InstrumentId | None = None
    local_switch: w.LocalSwitch = ""
    via: PointId | None = None
    why: Text = ""


class ProvingTest(Part, frozen=True, kw_only=True):
    """One of the three tests at the point of work."""

    pair: w.ProvedPair
    dead: bool
    volts: NotNegative | None = None


class Isolation(Record, frozen=True, kw_only=True):
    """Proving dead at one box: a record of its own, never derived from a survey."""

    kind_of: ClassVar[str] = "isolation"
    letter: ClassVar[str] = "J"
    id: IsolationId
    visit: VisitId
    box: tuple[BoxId, ...]
    off: tuple[DeviceId, ...] = ()
    sources_off: tuple[w.OtherSourceKind, ...] = ()
    locked: bool = False
    instrument: InstrumentId | None = None
    proved_before: bool = False
    tests: tuple[ProvingTest, ...] = ()
    proved_after: bool = False
    at: At
    by: PersonText = ""

    @property
    def is_proved(self) -> bool:
        """Whether every step was recorded: locked off, indicator proved, three pairs dead, indicator proved again."""
        dead = {test.pair for test in self.tests if test.dead}
        return (
            self.locked
            and self.proved_before
            and self.proved_after
            and dead == {"L-N", "L-E", "N-E"}
            and all(test.dead for test in self.tests)
        )


class Instrument(Record, frozen=True, kw_only=True):
    """A meter or tester, and how far it can be believed.

    ``leads_ohm`` is what its leads add: zero once they are nulled. The most that it shows before it is over range:
    ``most_ohm`` on dead circuits, ``most_insulation_ohm``, ``most_loop_ohm`` and ``most_trip_s``.
    """

    kind_of: ClassVar[str] = "instrument"
    letter: ClassVar[str] = "I"
    id: InstrumentId
    kind: w.InstrumentKind = "other"
    name: Text = ""
    error_rate: Annotated[float, Meta(ge=0, le=0.5)] = 0.01
    accuracy_fraction: NotNegative | None = None
    resolution_ohm: NotNegative | None = None
    leads_ohm: NotNegative | None = None
    most_ohm: NotNegative | None = None
    most_insulation_ohm: NotNegative | None = None
    most_loop_ohm: NotNegative | None = None
    most_trip_s: NotNegative | None = None


class Link(Part, frozen=True, kw_only=True):
    """How conductors were linked at the board for a reading."""

    kind: w.LinkKind
    cores: tuple[w.Core, ...] = ()
    legs: tuple[RunId, ...] = ()


class Reading(Record, frozen=True, kw_only=True):
    """One measured value in SI units (ohm, second, volt or ampere by its test), as typed beside it.

    The value is what the meter showed; ``leads_ohm`` is what its leads added to that when it was taken (zero: nulled).
    With a bound the value is what the reading was over or under. ``indicated`` is the answer of a test told in words.
    ``by_plug``: taken with a plug in the socket's front and not at its terminals, so that contacts were read as well.
    """

    kind_of: ClassVar[str] = "reading"
    letter: ClassVar[str] = "Q"
    id: ReadingId
    visit: VisitId
    test: w.ReadingTest
    device: DeviceId | None = None
    at: BoxId | None = None
    cores: tuple[Annotated[str, Meta(pattern=r"^[LNE](\+[LNE])*$")], ...] = ()
    link: Link | None = None
    apart: tuple[Annotated[str, ref("PR")], ...] = ()
    value_si: float | None = None
    bound: w.Bound = "="
    typed: Text = ""
    not_possible: Text = ""
    test_v: NotNegative | None = None
    test_a: NotNegative | None = None
    phase_deg: float | None = None
    copper_c: float | None = None
    instrument: InstrumentId | None = None
    leads_ohm: NotNegative | None = None
    by_plug: bool = False
    indicated: Text = ""
    remark: Text = ""


class Note(Record, frozen=True, kw_only=True):
    """What was seen at something: conditions in the trade's words, free text, photographs."""

    kind_of: ClassVar[str] = "note"
    letter: ClassVar[str] = "N"
    id: NoteId
    subject: AnyId
    visit: VisitId | None = None
    seen: tuple[w.Condition, ...] = ()
    cores: tuple[w.Core, ...] = ()
    text: NoteText = ""
    photos: tuple[PhotoHash, ...] = ()
    cleared: VisitId | None = None


class Limitation(Record, frozen=True, kw_only=True):
    """What could not be looked at, why, and who agreed."""

    kind_of: ClassVar[str] = "limitation"
    letter: ClassVar[str] = "L"
    id: LimitationId
    subject: AnyId = "home"
    visit: VisitId | None = None
    reason: Text
    agreed_by: PersonText = ""


class Ruling(Record, frozen=True, kw_only=True):
    """What a competent person decided about a finding."""

    kind_of: ClassVar[str] = "ruling"
    letter: ClassVar[str] = "U"
    id: RulingId
    finding: Text
    decision: w.Decision
    code: w.Severity | None = None
    why: Text = ""
    visit: VisitId | None = None


class Wish(Part, frozen=True, kw_only=True):
    """One thing asked for in an extension."""

    act: w.Act
    kind: w.PointKind | None = None
    point: PointId | None = None
    place: Place | None = None
    gangs: Some = 1
    deep: bool = False
    behind: Text = ""
    loads: tuple[Load, ...] = ()


class Alter(Part, frozen=True, kw_only=True):
    """What is to become of a thing that stays: its record as it was when that was settled, and as it is to be.

    Both are the record's own canonical text; only the fields in which they differ are to change.
    """

    record: Annotated[str, ref("PDRTB")]
    was: LongText
    becomes: LongText


class Extension(Record, frozen=True, kw_only=True):
    """Points to be added, moved or removed, and what was chosen.

    While work is planned, ``puts`` are the points, devices, runs and plates that it brings, ``takes`` those that it
    takes out and ``alters`` what it changes; what is taken or altered stays as it is until the work is done.
    ``done_on`` is the day when it was. ``lived_in`` and ``others_make_good`` say how the work is done, which its price
    depends on: in a home that is lived in or in an empty one, and whether somebody else fills the chases. With
    ``on_surface`` cables on walls lie in trunking that is seen, and not hidden in them. (All seven were added to format
    1; left out while they are as usual.)
    """

    kind_of: ClassVar[str] = "extension"
    letter: ClassVar[str] = "X"
    id: ExtensionId
    name: Text
    wishes: tuple[Wish, ...] = ()
    picked: Text = ""
    accepted_by: VisitId | None = None
    puts: tuple[Annotated[str, ref("PDRTK")], ...] = ()
    takes: tuple[Annotated[str, ref("PDR")], ...] = ()
    alters: tuple[Alter, ...] = ()
    done_on: Day | None = None
    lived_in: bool = True
    others_make_good: bool = False
    on_surface: bool = False
