"""What a document is made from and how it is wanted; what comes out of it."""

import datetime
from collections.abc import Callable
from typing import Final, Literal, NamedTuple

from msgspec import Struct

from circuitmap.home import Home
from circuitmap.home.assets import Asset
from circuitmap.home.sharing import PRIVATE, Private
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.trade import Trade

Size = Literal["", "A4", "A3"]
Turned = Literal["", "portrait", "landscape"]
LeaveOut = Private
# "moment": the home as it was then; "moments": two of them, compared.
Choice = Literal[
    "size", "turned", "large print", "subject", "moment", "moments", "storey", "theme", "scale", "leave out"
]  # fmt: skip

SIZES: Final[tuple[Size, ...]] = ("", "A4", "A3")
LEAVE_OUT: Final[tuple[LeaveOut, ...]] = PRIVATE


class Made(NamedTuple):
    """One file of a document: what its name should end in, its bytes, and what is to be said about it.

    ``part`` tells several files of one document apart ("ground-floor", "page-2"); empty where there is one.
    """

    data: bytes
    part: str = ""
    remarks: tuple[str, ...] = ()


def _no_asset(name: str) -> Asset | None:
    del name
    return None


class Wanted(Struct, frozen=True, kw_only=True):
    """A document as it is wanted.

    What is private and to be left out is gone from ``home`` and ``earlier`` already; ``leave_out`` says it again for
    what a document draws from elsewhere.

    Attributes
    ----------
    home, trade, memo
        The home as it is handed over, the trade's tables and the derived values of that home.
    earlier, earlier_name, later_name
        The home as it was at a mark or a day to compare with, and what both moments are called; None where the
        document has nothing to compare with.
    asset
        Gives an asset's media type and bytes by its SHA-256, None where it is missing.
    day
        The day that is printed on the document.
    form
        How the file ends: ``pdf``, ``xlsx``, ``csv``, ``svg``, ``dxf``, ``png``, ``geojson``, ``ics``.
    size, turned
        The paper; empty lets the plan choose.
    subject
        The id of the board, device, point or extension that the document is about; empty for all.
    storey
        The id of one storey, empty for all.
    scale
        Of a picture: pixels for each metre; of a plan on paper: 1 to so much. 0 lets the document choose.
    dark
        Whether a picture is drawn for a dark ground.
    """

    home: Home
    trade: Trade
    memo: Memo
    day: datetime.date
    form: str = "pdf"
    asset: Callable[[str], Asset | None] = _no_asset
    earlier: Home | None = None
    earlier_name: str = ""
    later_name: str = ""
    size: Size = ""
    turned: Turned = ""
    large_print: bool = False
    subject: str = ""
    storey: str = ""
    scale: float = 0.0
    dark: bool = False
    leave_out: frozenset[LeaveOut] = frozenset()
    ticket: Ticket = Ticket()
