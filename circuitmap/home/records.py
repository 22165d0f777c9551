"""Every record that a home is made of: frozen, typed, the format settled once.

Plan space is millimetres as integers, x to the right, y down; heights are above the storey's floor. Instants are UTC
text ending in ``Z``. An id is a letter and a number; the letter names the kind. ``None`` is *unknown*, never zero.
A default value, once published, never changes: defaults are left out of the text form. Fields marked private are
taken out of a shared copy.
"""

import msgspec

from circuitmap.home.base import (
    AnyId,
    BoardId,
    BoxId,
    CheckId,
    Corner,
    DeviceId,
    ExtensionId,
    FixtureId,
    InstrumentId,
    IsolationId,
    LimitationId,
    NoteId,
    Part,
    Place,
    PlateId,
    PointId,
    ReadingId,
    Record,
    RoomId,
    RoundId,
    RulingId,
    RunId,
    SheetId,
    StoreyId,
    SupplyId,
    TagId,
    VisitId,
    WallId,
)
from circuitmap.home.building import (
    Bond,
    Details,
    Fixture,
    NoWall,
    Opening,
    OtherSource,
    Room,
    SeenOpening,
    Sheet,
    Storey,
    Supply,
    Wall,
)
from circuitmap.home.visits import (
    Alter,
    Arrangement,
    Check,
    Consent,
    Extension,
    Instrument,
    Isolation,
    Limitation,
    Link,
    Note,
    ProvingTest,
    Reading,
    Round,
    RoundEvent,
    Ruling,
    Visit,
    Wish,
)
from circuitmap.home.wires import Board, Device, End, Load, Plate, Point, Rcd, Run, RunFault, Tag

__all__ = [
    "BY_LETTER", "KINDS", "Alter", "AnyId", "Arrangement", "Board", "BoardId", "Bond", "BoxId", "Check", "CheckId",
    "Consent", "Corner", "Details", "Device", "DeviceId", "End", "Extension", "ExtensionId", "Fixture",
    "FixtureId", "Instrument", "InstrumentId", "Isolation", "IsolationId", "Limitation", "LimitationId", "Link",
    "Load", "NoWall", "Note", "NoteId", "Opening", "OtherSource", "Part", "Place", "Plate", "PlateId", "Point",
    "PointId", "ProvingTest", "Rcd", "Reading", "ReadingId", "Record", "Room", "RoomId", "Round", "RoundEvent",
    "RoundId", "Ruling", "RulingId", "Run", "RunFault", "RunId", "SeenOpening", "Sheet", "SheetId", "Storey",
    "StoreyId", "Supply", "SupplyId", "Tag", "TagId", "Visit", "VisitId", "Wall", "WallId", "Wish", "decode", "encode",
    "kind_of_id", "natural_key",
]  # fmt: skip

KINDS: dict[str, type[Record]] = {
    kind.kind_of: kind
    for kind in (
        Details, Supply, Storey, Sheet, Room, Wall, Fixture, Board, Device, Plate, Point, Run, Tag, Visit, Round,
        Check, Isolation, Instrument, Reading, Note, Limitation, Ruling, Extension,
    )
}  # fmt: skip
BY_LETTER: dict[str, type[Record]] = {kind.letter: kind for kind in KINDS.values() if kind.letter}

_encoder = msgspec.json.Encoder()
_decoders: dict[str, msgspec.json.Decoder[Record]] = {name: msgspec.json.Decoder(kind) for name, kind in KINDS.items()}


def encode(record: Record) -> bytes:
    """Give a record's canonical bytes: JSON, fields in their order, defaults left out.

    Raises
    ------
    UnicodeEncodeError
        When a text holds half of a surrogate pair.
    """
    return _encoder.encode(record)


def decode(kind: str, body: bytes) -> Record:
    """Read a record of a kind from its canonical bytes, checking every field.

    Raises
    ------
    msgspec.ValidationError
        When a field is unknown, missing, of the wrong type or out of its limits.
    """
    return _decoders[kind].decode(body)


def kind_of_id(record_id: str) -> str:
    """Give the name of the kind that an id belongs to, or an empty text when no kind has that letter."""
    if record_id == "home":
        return "details"
    kind = BY_LETTER.get(record_id[:1])
    return kind.kind_of if kind else ""


def natural_key(record_id: str) -> tuple[str, int]:
    """Give the sort key of an id: letter, then number.

    Examples
    --------
    >>> sorted(["P10", "P9"], key=natural_key)
    ['P9', 'P10']
    """
    return (record_id[:1], int(record_id[1:])) if record_id[1:].isdigit() else (record_id, 0)
