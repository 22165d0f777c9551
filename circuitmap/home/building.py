"""Records of the building and what comes into it: details, supply, storeys, sheets, rooms, walls, fixtures."""

from typing import Annotated, ClassVar

from msgspec import Meta

from circuitmap import words as w
from circuitmap.home.base import (
    AddressText,
    CallText,
    Corner,
    Degrees,
    FixtureId,
    Hash,
    Mm,
    NotNegative,
    Part,
    Pixels,
    Place,
    Positive,
    PositiveMm,
    Record,
    RoomId,
    SheetId,
    Some,
    StoreyId,
    SupplyId,
    Text,
    WallId,
)


class Details(Record, frozen=True, kw_only=True):
    """The home as a whole; its id is always ``home``.

    ``north_deg`` is the way to north on the plan and ``front_deg`` the way the front of the house looks, both 0° to the
    right and 90° down the plan.
    """

    kind_of: ClassVar[str] = "details"
    letter: ClassVar[str] = ""
    id: Annotated[str, Meta(pattern="^home$")] = "home"
    name: Text = ""
    address: AddressText = ""
    tenure: Text = ""
    country: w.Country = ""
    built_year: Annotated[int, Meta(ge=1000, le=3000)] | None = None
    edition: Text = "18th+A2"
    choices: tuple[tuple[Text, Text], ...] = ()
    call: CallText = ""
    north_deg: Degrees | None = None
    front_deg: Degrees | None = None


class Bond(Part, frozen=True, kw_only=True):
    """Main protective bonding to one service, as found."""

    to: Text
    state: w.YesNo = "not seen"
    mm2: Positive | None = None


class OtherSource(Part, frozen=True, kw_only=True):
    """A source beside the main supply that can keep, or make, something live."""

    kind: w.OtherSourceKind
    where: Text = ""
    isolator: Text = ""
    notice: w.YesNo = "not seen"
    backup_output: bool | None = None


class Supply(Record, frozen=True, kw_only=True):
    """What comes into the home: earthing, cut-out, tails, bonding, other sources, as found."""

    kind_of: ClassVar[str] = "supply"
    letter: ClassVar[str] = "E"
    id: SupplyId
    name: Text = ""
    phases: Annotated[int, Meta(ge=1, le=3)] | None = None
    voltage_v: Positive = 230.0
    earthing: w.Earthing = "unknown"
    fuse_a: Positive | None = None
    fuse_from: Text = ""
    main_switch_a: Positive | None = None
    tails_mm2: Positive | None = None
    earthing_mm2: Positive | None = None
    bonds: tuple[Bond, ...] = ()
    ze_ohm: NotNegative | None = None
    pfc_ka: NotNegative | None = None
    spd: w.YesNo = "not seen"
    tariff: Text = ""
    sources: tuple[OtherSource, ...] = ()
    sources_asked: bool = False
    notices: tuple[Text, ...] = ()


class NoWall(Part, frozen=True, kw_only=True):
    """The centre line of a wall that was laid from rooms and taken away by a person, so that it is not laid again.

    ``rooms`` and ``outer`` are those of the wall; the line follows its rooms as the wall would.
    """

    a_mm: Corner
    b_mm: Corner
    rooms: tuple[RoomId, ...] = ()
    outer: bool | None = None


class Storey(Record, frozen=True, kw_only=True):
    """One level of the home; level 0 is the ground storey.

    ``no_walls`` are the lines on which no wall is laid from the rooms. (Added to format 1; left out while empty.)
    """

    kind_of: ClassVar[str] = "storey"
    letter: ClassVar[str] = "G"
    id: StoreyId
    name: Text
    level: Annotated[int, Meta(ge=-20, le=200)] = 0
    floor_mm: Mm | None = None
    height_mm: PositiveMm | None = None
    no_walls: tuple[NoWall, ...] = ()


class Sheet(Record, frozen=True, kw_only=True):
    """A picture under a storey's drawing; ``px_to_plan_mm`` is a 3 × 3 projective matrix, row by row."""

    kind_of: ClassVar[str] = "sheet"
    letter: ClassVar[str] = "H"
    id: SheetId
    storey: StoreyId
    asset: Hash
    media: Text = "image/png"
    page: Some = 1
    width_px: Pixels | None = None
    height_px: Pixels | None = None
    px_to_plan_mm: tuple[float, float, float, float, float, float, float, float, float] | None = None
    scale_note: Text = ""


class SeenOpening(Part, frozen=True, kw_only=True):
    """A door or window seen on a plan where there is no wall yet: the two ends of the gap."""

    a_mm: Corner
    b_mm: Corner
    kind: Text = "door"


class Room(Record, frozen=True, kw_only=True):
    """A room; without an outline it is a name to list points under, to be drawn later or never.

    ``seen`` are doors and windows round it that wait for a wall. (Added to format 1; left out while empty.)
    """

    kind_of: ClassVar[str] = "room"
    letter: ClassVar[str] = "M"
    id: RoomId
    name: Text
    storey: StoreyId | None = None
    use: Text = ""
    outline_mm: tuple[Corner, ...] = ()
    seen: tuple[SeenOpening, ...] = ()


class Opening(Part, frozen=True, kw_only=True):
    """A door, window or archway in a wall, measured along it from its first end."""

    kind: Text
    along_mm: Mm
    width_mm: PositiveMm
    sill_mm: Mm | None = None
    head_mm: Mm | None = None


class Wall(Record, frozen=True, kw_only=True):
    """A straight wall by its centre line.

    ``rooms`` are those it parts, ``outer`` whether out of doors is behind it; ``from_rooms`` marks a wall that follows
    the outlines of its rooms and goes where they go.
    """

    kind_of: ClassVar[str] = "wall"
    letter: ClassVar[str] = "W"
    id: WallId
    storey: StoreyId
    a_mm: Corner
    b_mm: Corner
    thickness_mm: PositiveMm | None = None
    build: w.Build = "unknown"
    openings: tuple[Opening, ...] = ()
    rooms: tuple[RoomId, ...] = ()
    outer: bool | None = None
    thickness_from: w.ThicknessFrom = ""
    from_rooms: bool = False


class Fixture(Record, frozen=True, kw_only=True):
    """A bath, sink, stair or the like, for zones, distances and walks."""

    kind_of: ClassVar[str] = "fixture"
    letter: ClassVar[str] = "F"
    id: FixtureId
    kind: w.FixtureKind
    place: Place
    outline_mm: tuple[Corner, ...] = ()
    top_mm: Mm | None = None
