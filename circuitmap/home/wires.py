"""Records of the wiring as found: boards, devices, plates, points, runs, tags."""

from typing import Annotated, ClassVar

from msgspec import Meta

from circuitmap import words as w
from circuitmap.home.base import (
    END,
    BoardId,
    BoxId,
    Count,
    DeviceId,
    Mm,
    NotNegative,
    Part,
    Place,
    PlateId,
    PointId,
    Positive,
    PositiveMm,
    Record,
    RoomId,
    RunId,
    Some,
    StoreyId,
    TagId,
    Text,
    VisitId,
    ref,
)


class Board(Record, frozen=True, kw_only=True):
    """A consumer unit, fuse board or sub-board."""

    kind_of: ClassVar[str] = "board"
    letter: ClassVar[str] = "B"
    id: BoardId
    letter_on_map: Annotated[str, Meta(pattern=rf"^[A-Z]{END}")]
    name: Text = ""
    place: Place | None = None
    room: RoomId | None = None
    source: w.BoardSource = "supply"
    modules: Some | None = None
    material: Text = ""
    notices: tuple[Text, ...] = ()


class Rcd(Part, frozen=True, kw_only=True):
    """The residual current part of a device or point."""

    trips_ma: Positive | None = None
    type: Text = ""
    delayed: bool = False


class Device(Record, frozen=True, kw_only=True):
    """What sits in a way of a board, as found; ``upstream`` is the RCD or main switch over it."""

    kind_of: ClassVar[str] = "device"
    letter: ClassVar[str] = "D"
    id: DeviceId
    board: BoardId
    way: Annotated[str, Meta(max_length=20)] = ""
    module: Count | None = None
    modules: Some = 1
    kind: w.DeviceKind
    rating_a: Positive | None = None
    curve: Text = ""
    standard: Text = ""
    poles: Annotated[int, Meta(ge=1, le=4)] | None = None
    neutral_switched: bool | None = None
    how_switched: w.HowSwitched | None = None
    rcd: Rcd | None = None
    upstream: DeviceId | None = None
    label: Text = ""
    cables_seen: Count | None = None
    wire_found: Text = ""
    keep_on: Text = ""
    phase: w.Phase = "existing"


class Plate(Record, frozen=True, kw_only=True):
    """One box or plate shared by several points."""

    kind_of: ClassVar[str] = "plate"
    letter: ClassVar[str] = "T"
    id: PlateId
    place: Place | None = None
    room: RoomId | None = None
    gangs: Some = 1
    depth_mm: PositiveMm | None = None


class Load(Part, frozen=True, kw_only=True):
    """What a point feeds, and what its loss means to somebody."""

    what: Text
    name: Text = ""
    power_w: NotNegative | None = None
    litres: NotNegative | None = None
    if_off: w.IfOff = "nothing"


class Point(Record, frozen=True, kw_only=True):
    """Anything fed, or standing in the wiring: it has a place, or a plate, or (not yet placed) a room."""

    kind_of: ClassVar[str] = "point"
    letter: ClassVar[str] = "P"
    id: PointId
    kind: w.PointKind
    place: Place | None = None
    plate: PlateId | None = None
    room: RoomId | None = None
    where: Text = ""
    name: Text = ""
    gangs: Some = 1
    switched: bool | None = None
    metal: bool | None = None
    outdoor: bool | None = None
    cables_seen: Count | None = None
    cables_seen_load: Count | None = None
    fuse_a: Positive | None = None
    rcd: Rcd | None = None
    box_depth_mm: PositiveMm | None = None
    loads: tuple[Load, ...] = ()
    controls: tuple[PointId, ...] = ()
    switching: w.Switching = ""
    uncheckable: Text = ""
    belongs_to: Text = ""
    phase: w.Phase = "existing"


class End(Part, frozen=True, kw_only=True):
    """One end of a run: ``unknown`` nobody followed it, ``loose`` it was seen cut or unconnected."""

    at: BoxId | None = None
    side: w.Side = "through"
    state: w.EndState = "joined"
    leg: Annotated[int, Meta(ge=1, le=9)] | None = None


class RunFault(Part, frozen=True, kw_only=True):
    """A fault placed on a run."""

    kind: w.FaultKind
    cores: tuple[w.Core, ...] = ()
    from_a_mm: Mm | None = None
    evidence: w.Evidence = "assumed"


class Run(Record, frozen=True, kw_only=True):
    """One length of cable between two boards, devices or points."""

    kind_of: ClassVar[str] = "run"
    letter: ClassVar[str] = "R"
    id: RunId
    a: End
    b: End
    role: w.RunRole = "feed"
    cable: Text = ""
    live_mm2: Positive | None = None
    cpc_mm2: NotNegative | None = None
    colours: w.Colours = ""
    length_mm: PositiveMm | None = None
    length_from: w.LengthFrom = ""
    length_tolerance: NotNegative | None = None
    method: Text = ""
    grouped_with: Count | None = None
    path_mm: tuple[tuple[StoreyId, Mm, Mm, Mm], ...] = ()
    faults: tuple[RunFault, ...] = ()
    evidence: w.Evidence = "assumed"
    phase: w.Phase = "existing"


class Tag(Record, frozen=True, kw_only=True):
    """Said directly: this device feeds that point or board."""

    kind_of: ClassVar[str] = "tag"
    letter: ClassVar[str] = "K"
    id: TagId
    target: Annotated[str, ref("PB")]
    device: DeviceId
    evidence: w.Evidence = "assumed"
    visit: VisitId | None = None
