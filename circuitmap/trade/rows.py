"""The rows of the trade tables: every one says where its figures come from, of which edition, and how sure that is."""

from typing import Annotated, Final, Literal

import msgspec
from msgspec import Meta, Struct

from circuitmap.trade.spelling import spelled
from circuitmap.words import ClearedBy, Country, DeviceKind, FixtureKind, HowSwitched, IfOff, PointKind, Severity

Sure = Literal["high", "medium", "low"]
CableKind = Literal["flat", "armoured", "flex", "singles", "imperial", "rubber", "lead", "aluminium"]
HowChecked = Literal["plug-in tester", "lamp", "own lamp", "at switch", "at load", "isolator", "not"]
Family = Literal["sockets", "lights", "dedicated", "alarms", "controls", "none"]
DueWhat = Literal["inspection", "remedial work", "alarm", "labels"]
DueAfter = Literal["inspection", "change of occupancy", "replace-by date"]
StoreyWord = Literal["basement", "ground", "first", "second", "third", "top", "up", "down"]
Side = Literal["front", "rear", "left", "right"]
NoticeFor = Literal["new circuit", "new board", "special", "kitchen", "outdoors", "nothing"]
Tester = Literal["simple", "advanced", "professional"]

LARGEST: Final = 1e6  # no figure of a home's wiring is larger
MOST_WORDS: Final = 4  # of a synonym

Said = Annotated[str, Meta(min_length=1, max_length=400)]
Word = Annotated[str, Meta(min_length=1, max_length=80)]
AboveZero = Annotated[float, Meta(gt=0, le=LARGEST)]
ZeroUp = Annotated[float, Meta(ge=0, le=LARGEST)]
Likelier = Annotated[float, Meta(ge=1e-4, le=1e4)]  # how many times likelier; never nothing, never all


class Sourced(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What every row says about itself."""

    source: Said
    edition: Word
    sure: Sure
    note: str = ""


class Row(Sourced, frozen=True, kw_only=True):
    """One figure, ready to compare with, with all that must be said beside it."""

    name: Word
    value: ZeroUp
    unit: str


class Constant(Row, frozen=True, kw_only=True):
    """A constant of nature or of the trade."""


class Limit(Row, frozen=True, kw_only=True):
    """A figure of a rule, from its edition on; ``side`` names the party where sources disagree."""

    side: str = ""
    chosen: bool = True


class Edition(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An edition of the wiring rules; the order of the table is their order in time."""

    code: Word
    title: Said
    year: Annotated[int, Meta(ge=1900, le=2200)]
    seen: bool = True
    note: str = ""


class Conductor(Sourced, frozen=True, kw_only=True):
    """A metric conductor, milliohms per metre at 20 °C."""

    mm2: AboveZero
    max_mohm_per_m: AboveZero
    tinned_mohm_per_m: AboveZero
    flex_mohm_per_m: AboveZero
    ideal_mohm_per_m: AboveZero


class Imperial(Sourced, frozen=True, kw_only=True):
    """An imperial conductor: strands of so many inches."""

    name: Word
    strands: Annotated[int, Meta(ge=1, le=61)]
    strand_inch: AboveZero
    mm2: AboveZero
    ideal_mohm_per_m: AboveZero
    likely_mohm_per_m: AboveZero


class Cable(Sourced, frozen=True, kw_only=True):
    """How a cable is made up, by its trade description."""

    code: Word
    title: Said
    kind: CableKind
    live_mm2: AboveZero
    cpc_mm2: ZeroUp
    cores: Annotated[int, Meta(ge=1, le=7)]
    metal: Literal["copper", "aluminium"] = "copper"
    imperial: str = ""
    iz: str = ""
    usual_in_a: tuple[AboveZero, ...] = ()
    until_year: int | None = None
    do_not_extend: bool = False
    why_not: str = ""


class Method(Sourced, frozen=True, kw_only=True):
    """A reference method: how a cable lies."""

    code: Word
    title: Said


class IzRow(Sourced, frozen=True, kw_only=True):
    """What one size carries by each method, and its volt drop."""

    table: Word
    mm2: AboveZero
    by_method: dict[str, AboveZero]
    drop_mv_per_a_m: AboveZero


class FactorTable(Sourced, frozen=True, kw_only=True):
    """A correction factor over what it depends on."""

    name: Word
    unit: str
    at: tuple[float, ...]
    value: tuple[AboveZero, ...]

    def __post_init__(self) -> None:
        if len(self.at) != len(self.value) or not self.at or list(self.at) != sorted(set(self.at)):
            raise ValueError("“at” and “value” must be equally long, and “at” must rise")


class DeviceRow(Sourced, frozen=True, kw_only=True):
    """What a kind of device is; ``switches_neutral`` is None where the kind alone can't tell."""

    kind: DeviceKind
    title: Said
    ratings_a: tuple[AboveZero, ...]
    how_switched: HowSwitched
    standard: str = ""
    types: tuple[str, ...] = ()
    switches_neutral: bool | None = None
    overcurrent: bool = False
    residual_current: bool = False
    feeds_circuit: bool = False


class TripMultiple(Sourced, frozen=True, kw_only=True):
    """The current that makes a breaker trip at once, as a multiple of its rating."""

    kinds: tuple[DeviceKind, ...]
    type: Word
    multiple: AboveZero


class ZsTable(Sourced, frozen=True, kw_only=True):
    """Greatest earth fault loop impedances as printed, for one device type and disconnection time."""

    kinds: tuple[ClearedBy, ...]
    type: str = ""
    time_s: AboveZero
    in_a: tuple[AboveZero, ...]
    ohm: tuple[AboveZero, ...]

    def __post_init__(self) -> None:
        if len(self.in_a) != len(self.ohm):
            raise ValueError("“in_a” and “ohm” must be equally long")


class PointRow(Sourced, frozen=True, kw_only=True):
    """What a kind of point means for counting, checking and grouping."""

    kind: PointKind
    title: Said
    plural: Said
    checked: HowChecked
    family: Family = "none"
    counts_as_point: bool = True
    checkable: bool = True
    if_off: IfOff | Literal[""] = ""
    fixed_load_w: AboveZero | None = None
    is_socket_outlet: bool = False
    is_light: bool = False
    is_control: bool = False
    can_pass: bool = False
    through_fuse: bool = False
    outdoor: bool = False
    dedicated_usually: bool = False
    space_heating: bool = False
    cooking: bool = False
    wet: bool = False
    inverter: bool = False
    can_feed_back: bool = False
    cables: tuple[int, int] = (1, 3)
    cables_hint: str = ""

    @property
    def symbol(self) -> str:
        """Give the key of its drawing symbol: the kind itself."""
        return self.kind

    @property
    def is_sensitive(self) -> bool:
        """Say whether somebody must agree before it is switched off."""
        return self.if_off not in ("", "nothing")


class Checking(Sourced, frozen=True, kw_only=True):
    """How far one way of looking can be believed: wrong at every look (stuck) or at a single one (slip)."""

    how: HowChecked
    seems_off_stuck: Annotated[float, Meta(ge=0, lt=0.5)]
    seems_off_slip: Annotated[float, Meta(ge=0, lt=0.5)]
    seems_on_stuck: Annotated[float, Meta(ge=0, lt=0.5)]
    seems_on_slip: Annotated[float, Meta(ge=0, lt=0.5)]
    minutes: AboveZero


class Pace(Row, frozen=True, kw_only=True):
    """How long, or how fast, something goes in a survey."""


class Size(Row, frozen=True, kw_only=True):
    """How large a part of a building usually is."""


class Effort(Row, frozen=True, kw_only=True):
    """How long a stretch of a route takes one competent person, likely."""


class FixtureRow(Sourced, frozen=True, kw_only=True):
    """How large a fixture usually is: along the wall it stands at, out from it, and its top (0: none of its own)."""

    kind: FixtureKind
    title: Said
    wide_mm: AboveZero
    deep_mm: AboveZero
    top_mm: ZeroUp


class Breaking(Sourced, frozen=True, kw_only=True):
    """The rated short-circuit capacity of a device by its marking; "" is what an unmarked one is taken for."""

    kinds: tuple[DeviceKind, ...]
    marking: str = ""
    ka: AboveZero


class Lamps(Sourced, frozen=True, kw_only=True):
    """What one pattern of a plug-in indicator's three lamps means, each named by the pins it bridges."""

    l_n: bool
    l_e: bool
    n_e: bool
    word: str
    says: Said
    also: Said
    level: Literal["fine", "fails", "can't tell"]


class Blind(Sourced, frozen=True, kw_only=True):
    """What a simple plug-in tester can't see, which classes of tester do, and what settles it."""

    what: Word
    settled_by: Said
    seen_by: tuple[Tester, ...] = ()


class Suspect(Sourced, frozen=True, kw_only=True):
    """What to take off next when insulation reads low."""

    order: Annotated[int, Meta(ge=1, le=99)]
    name: Word
    title: Said
    says: Said
    lowers: tuple[Literal["L-N", "L-E", "N-E"], ...]


class Suspicion(Sourced, frozen=True, kw_only=True):
    """How many times likelier one fact makes it that a low insulation reading lies in a part of a circuit.

    ``line_neutral`` is for readings between the two, where it differs. ``comes_off`` says how equipment is taken off.
    """

    name: Word
    part: Literal["cable", "accessory", "built in", "equipment", "any"]
    kinds: tuple[PointKind, ...] = ()
    times: Likelier
    line_neutral: Likelier | None = None
    comes_off: Literal["", "unplug", "switch off", "wired in", "none"] = ""

    def at(self, *, to_earth: bool) -> float:
        """Give how many times likelier, for readings to earth or from line to neutral."""
        return self.times if to_earth or self.line_neutral is None else self.line_neutral


class Access(Sourced, frozen=True, kw_only=True):
    """How many minutes one act of looking for a low insulation reading takes; without kinds it is for all others."""

    name: Word
    kinds: tuple[PointKind, ...] = ()
    minutes: AboveZero


class LetThrough(Sourced, frozen=True, kw_only=True):
    """The energy that a current-limiting breaker lets through in a fault, ampere squared seconds.

    ``cpc_mm2`` is the least protective conductor inside a cable that a guide prints for it.
    """

    kinds: tuple[DeviceKind, ...]
    type: Word
    up_to_ka: AboveZero
    up_to_a: AboveZero
    a2s: AboveZero
    cpc_mm2: AboveZero | None = None


class Notice(Sourced, frozen=True, kw_only=True):
    """Which works are notified in a country; an empty ``country`` stands for one that isn't recorded.

    ``asks`` are the works that are notified, ``["nothing"]`` where none are; empty where that can't be said, which
    ``otherwise`` then explains. ``says`` is told where one is, ``otherwise`` where none is.
    """

    country: Country
    asks: tuple[NoticeFor, ...] = ()
    says: str = ""
    otherwise: Said

    def __post_init__(self) -> None:
        if bool(set(self.asks) - {"nothing"}) != bool(self.says):
            raise ValueError("“says” must stand where “asks” names a work, and only there")


class Diversity(Sourced, frozen=True, kw_only=True):
    """How much of one use of a home's loads is reckoned with at once.

    ``shares`` are of the loads in order of size, the last for all the rest. Where ``full_a`` is not nothing, so many
    amperes of the sum are taken in full before the (single) share. ``socket_a`` comes on top for a socket beside it.
    """

    use: Word
    title: Said
    shares: tuple[Annotated[float, Meta(ge=0, le=1)], ...]
    full_a: ZeroUp = 0.0
    socket_a: ZeroUp = 0.0

    def __post_init__(self) -> None:
        if not self.shares or (self.full_a and len(self.shares) != 1):
            raise ValueError("“shares” must hold at least one share, and only one beside “full_a”")


class RcdNeed(Sourced, frozen=True, kw_only=True):
    """Who asks for 30 mA protection since which edition, and the code to suggest where it is missing."""

    category: Word
    title: Said
    trips_ma: AboveZero
    code: Severity
    worse_code: Severity | None = None
    worse_when: str = ""
    up_to_a: AboveZero | None = None


class Heavy(Sourced, frozen=True, kw_only=True):
    """A kind of fixed load that doesn't belong on a socket ring above a limit; ``over`` names the limit."""

    name: Word
    kinds: tuple[PointKind, ...]
    over: Word
    code: Severity


class Box(Sourced, frozen=True, kw_only=True):
    """The box depth that some accessories need."""

    kinds: tuple[PointKind, ...]
    depth_mm: Annotated[int, Meta(ge=5, le=200)]


class Due(Sourced, frozen=True, kw_only=True):
    """When something is due at a home: so long after an event, for some tenures, countries and editions.

    ``tenures`` are words that a home's tenure holds, as ``spelled`` gives them; ``countries`` and ``editions`` are the
    home's own, empty for all. ``codes`` are those of the open findings that it is for. ``rank``: of rows that fit, the
    highest counts.
    """

    name: Word
    what: DueWhat
    title: Said
    after: DueAfter
    tenures: tuple[Word, ...] = ()
    countries: tuple[Country, ...] = ()
    editions: tuple[Word, ...] = ()
    codes: tuple[Severity, ...] = ()
    months: Annotated[int, Meta(ge=0, le=1200)] = 0
    days: Annotated[int, Meta(ge=0, le=36_500)] = 0
    rank: Annotated[int, Meta(ge=0, le=100)] = 0
    by_law: bool = False


class Synonym(Sourced, frozen=True, kw_only=True):
    """What a word on a label says: rooms, storeys, sides of the house, kinds or families of points, or nothing fed.

    ``also`` are other spellings. ``rooms`` are uses of rooms or words of their names. ``perhaps`` are kinds that the
    word may mean without telling against any other.
    """

    word: Word
    also: tuple[Word, ...] = ()
    rooms: tuple[Word, ...] = ()
    storeys: tuple[StoreyWord, ...] = ()
    sides: tuple[Side, ...] = ()
    families: tuple[Family, ...] = ()
    kinds: tuple[PointKind, ...] = ()
    perhaps: tuple[PointKind, ...] = ()
    spare: bool = False

    def __post_init__(self) -> None:
        for spelling in (self.word, *self.also):
            if not 0 < len(spelled(spelling).split()) <= MOST_WORDS:
                raise ValueError(f"“{spelling}” must be one to {MOST_WORDS} words")


class Likely(Sourced, frozen=True, kw_only=True):
    """How many times likelier one observation makes it that a way feeds a point."""

    name: Word
    times: Likelier


class Suits(Sourced, frozen=True, kw_only=True):
    """How well ways suit some kinds of points: by rating, by what else is seen of the way.

    ``times`` holds up to the rating of ``at_a`` beside it, its last figure beyond. ``with_rcd`` and ``without_rcd``
    count only where some ways have residual current protection and others not; ``two_cables`` where two were seen.
    """

    name: Word
    families: tuple[Family, ...] = ()
    kinds: tuple[PointKind, ...] = ()
    at_a: tuple[AboveZero, ...]
    times: tuple[Likelier, ...]
    unknown: Likelier
    with_rcd: Likelier = 1.0
    without_rcd: Likelier = 1.0
    two_cables: Likelier = 1.0

    def __post_init__(self) -> None:
        if len(self.at_a) != len(self.times) or not self.at_a or list(self.at_a) != sorted(set(self.at_a)):
            raise ValueError("“at_a” and “times” must be equally long, and “at_a” must rise")

    def at(self, rating_a: float | None) -> float:
        """Give how well a way of a rating suits, in times; None is a rating nobody could read."""
        if rating_a is None:
            return self.unknown
        return next((t for a, t in zip(self.at_a, self.times, strict=True) if rating_a <= a), self.times[-1])


class StandsIn(Sourced, frozen=True, kw_only=True):
    """Points that are often found on ways labelled for something else."""

    name: Word
    families: tuple[Family, ...] = ()
    kinds: tuple[PointKind, ...] = ()
    labelled: tuple[Family | PointKind, ...]
    times: Likelier


def as_row(row: Row, **changes: object) -> Row:
    """Give a plain row with some facts changed, whatever table it came from."""
    facts = {name: getattr(row, name) for name in Row.__struct_fields__}
    return msgspec.convert(facts | changes, Row)
