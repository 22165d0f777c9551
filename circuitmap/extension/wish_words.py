"""What is wished for, by its words: the kind of a point, and how many gangs it has."""

import re
from typing import Final

from msgspec import Struct

from circuitmap.trade import Trade
from circuitmap.trade.spelling import spelled
from circuitmap.words import POINT_KINDS, PointKind

LIGHT_SWITCHES: Final[frozenset[PointKind]] = frozenset({"switch", "dimmer", "PIR switch"})
"""What is wished for to work lights."""
_GANGS: Final[dict[str, int]] = {
    "single": 1, "one": 1, "double": 2, "twin": 2, "two": 2, "triple": 3, "three": 3, "four": 4,
}  # fmt: skip
_GANG_WORD: Final = re.compile(r"(?i)^(\d{1,2})[\s-]*gang\s+")
# What people call a kind besides its title (common practice, no source).
_ALSO: Final[dict[str, PointKind]] = {
    "socket outlet": "socket", "switched socket": "socket", "outside socket": "outdoor socket",
    "usb": "usb socket", "socket with usb": "usb socket", "fcu": "fused unit", "fused spur": "fused unit",
    "fused connection unit": "fused unit", "switched fused unit": "fused unit", "spur unit": "fused unit",
    "light switch": "switch", "pendant": "ceiling rose", "pendant light": "ceiling rose", "spotlight": "downlight",
    "outside light": "outdoor light", "cooker switch": "cooker control unit", "cooker outlet": "cooker connection unit",
    "extract fan": "extractor fan", "fan": "extractor fan", "smoke detector": "smoke alarm",
    "heat detector": "heat alarm", "car charger": "EV charging point", "charging point": "EV charging point",
    "shaver socket": "shaver unit", "double pole switch": "double-pole switch", "thermostat": "heating control",
}  # fmt: skip


class What(Struct, frozen=True):
    """A kind of point and its gangs."""

    kind: PointKind
    gangs: int


def what_of(typed: str, trade: Trade) -> What | None:
    """Read "twin socket", "2 gang switch", "fused spur"; None when the words are no kind of point."""
    text, gangs = " ".join(typed.split()), 1
    text = re.sub(r"(?i)^(?:an?|one)\s+", "", text)
    kinds = _kinds(trade)
    if (kind := kinds.get(spelled(text))) is not None:
        return What(kind, 1)
    found = _GANG_WORD.match(text)
    first = text.split(" ", 1)[0].casefold().rstrip(",")
    if found:
        gangs, text = int(found[1]), text[found.end() :]
    elif first.split("-")[0] in _GANGS and " " in text:
        gangs = _GANGS[first.split("-")[0]]
        text = re.sub(r"(?i)^[\s-]*gang\s+", "", text[len(first.split("-")[0]) :]).strip()
    if not 1 <= gangs <= 12:
        return None
    kind = kinds.get(spelled(text))
    return What(kind, gangs) if kind is not None else None


def said_what(kind: PointKind | None, gangs: int, trade: Trade) -> str:
    """Say a kind with its gangs: "twin socket", "3 gang switch"; words that read as the same."""
    if kind is None:
        return "point"
    title = trade.point(kind).title
    if "," in title or _kinds(trade).get(spelled(title)) != kind:
        title = kind
    if gangs == 1:
        return title
    return f"twin {title}" if gangs == 2 and trade.point(kind).is_socket_outlet else f"{gangs} gang {title}"


def _kinds(trade: Trade) -> dict[str, PointKind]:
    found: dict[str, PointKind] = {spelled(words): kind for words, kind in _ALSO.items()}
    for kind in POINT_KINDS:
        row = trade.point(kind)
        found |= {spelled(row.title): kind, spelled(row.plural): kind}
    return found | {spelled(kind): kind for kind in POINT_KINDS}
