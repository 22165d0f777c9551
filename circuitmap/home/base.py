"""What every record is made of: ids, texts, numbers with their limits, and the place of a thing."""

from typing import Annotated, ClassVar

from msgspec import Meta, Struct

# Python's "$" lets a line break stand behind it; the look-ahead, which a JSON Schema understands too, does not.
END = r"$(?!\n)"
# Nine digits at most: an id of a thousand digits is no id, and turning it into a number would be refused by Python.
ID_NUMBER = r"[1-9][0-9]{0,8}"


def ref(letters: str) -> Meta:
    """Give the pattern of an id of one of some kinds, named by their letters."""
    return Meta(pattern=rf"^[{letters}]{ID_NUMBER}{END}")


Text = Annotated[str, Meta(max_length=10_000)]
LongText = Annotated[str, Meta(max_length=100_000)]
# What is private says what of: a shared copy may leave out any of these (see ``sharing``).
AddressText = Annotated[str, Meta(max_length=10_000, extra={"private": "address"})]
CallText = Annotated[str, Meta(max_length=10_000, extra={"private": "address people"})]
PersonText = Annotated[str, Meta(max_length=10_000, extra={"private": "people"})]
NoteText = Annotated[str, Meta(max_length=100_000, extra={"private": "notes"})]
At = Annotated[str, Meta(pattern=rf"^\d{{4}}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z{END}")]
Day = Annotated[str, Meta(pattern=rf"^\d{{4}}-\d\d-\d\d{END}")]
HASH_PATTERN = rf"^[0-9a-f]{{64}}{END}"
Hash = Annotated[str, Meta(pattern=HASH_PATTERN)]
PhotoHash = Annotated[str, Meta(pattern=HASH_PATTERN, extra={"private": "photos"})]
Mm = Annotated[int, Meta(ge=-10_000_000, le=10_000_000)]
PositiveMm = Annotated[int, Meta(gt=0, le=10_000_000)]
Degrees = Annotated[float, Meta(ge=0, lt=360)]
Count = Annotated[int, Meta(ge=0, le=1000)]
Some = Annotated[int, Meta(ge=1, le=1000)]
Pixels = Annotated[int, Meta(ge=1, le=1_000_000)]
NotNegative = Annotated[float, Meta(ge=0, le=1e12)]
Positive = Annotated[float, Meta(gt=0, le=1e12)]
Corner = tuple[Mm, Mm]

StoreyId = Annotated[str, ref("G")]
SheetId = Annotated[str, ref("H")]
RoomId = Annotated[str, ref("M")]
WallId = Annotated[str, ref("W")]
FixtureId = Annotated[str, ref("F")]
SupplyId = Annotated[str, ref("E")]
BoardId = Annotated[str, ref("B")]
DeviceId = Annotated[str, ref("D")]
PlateId = Annotated[str, ref("T")]
PointId = Annotated[str, ref("P")]
RunId = Annotated[str, ref("R")]
TagId = Annotated[str, ref("K")]
VisitId = Annotated[str, ref("V")]
RoundId = Annotated[str, ref("S")]
CheckId = Annotated[str, ref("C")]
IsolationId = Annotated[str, ref("J")]
InstrumentId = Annotated[str, ref("I")]
ReadingId = Annotated[str, ref("Q")]
NoteId = Annotated[str, ref("N")]
LimitationId = Annotated[str, ref("L")]
RulingId = Annotated[str, ref("U")]
ExtensionId = Annotated[str, ref("X")]
BoxId = Annotated[str, ref("BDP")]
AnyId = Annotated[str, Meta(pattern=rf"^([A-Z]{ID_NUMBER}|home){END}")]


class Part(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """A value inside a record."""


class Record(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """One row of a home's tables; ``kind`` and ``letter`` are the same for every row of a table."""

    kind_of: ClassVar[str] = ""
    letter: ClassVar[str] = ""
    id: str


class Place(Part, frozen=True, kw_only=True):
    """Where something stands: plan millimetres on a storey, height above its floor."""

    storey: StoreyId
    x_mm: Mm
    y_mm: Mm
    height_mm: Mm | None = None
    wall: WallId | None = None
    faces_deg: Degrees | None = None
