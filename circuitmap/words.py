"""The closed vocabularies: every word that a record may hold, said once; and a day in words.

Each vocabulary is a ``Literal`` (what msgspec and mypy check) with the tuple of its words beside it (what menus list).
What a word *means* for the rules (does it count as a point, can it be checked) is a row of ``resources/trade``.
"""

import datetime
from typing import Final, Literal, get_args

NAMELESS: Final = "This home"
"""What documents and drawings call a home whose name isn't known, or was left out."""

Evidence = Literal["assumed", "inferred", "seen", "tested"]
EVIDENCE: Final[tuple[Evidence, ...]] = get_args(Evidence)

Side = Literal["through", "supply", "load"]
EndState = Literal["joined", "unknown", "loose"]
Core = Literal["L", "N", "E"]
CORES: Final[tuple[Core, ...]] = get_args(Core)
Phase = Literal["existing", "planned", "removed"]

RunRole = Literal["feed", "switched", "switch drop", "strappers", "earth", "other"]
RUN_ROLES: Final[tuple[RunRole, ...]] = get_args(RunRole)
# Only these carry supply onwards; the rest never make a ring, or every two-way landing light would be one.
CARRYING: Final[frozenset[str]] = frozenset({"feed", "switched"})

PointKind = Literal[
    "socket",
    "usb socket",
    "rcd socket",
    "outdoor socket",
    "shaver unit",
    "appliance outlet",
    "fused unit",
    "light",
    "downlight",
    "outdoor light",
    "emergency light",
    "ceiling rose",
    "switch",
    "dimmer",
    "grid switch",
    "PIR switch",
    "double-pole switch",
    "isolator",
    "cooker connection unit",
    "cooker control unit",
    "hob",
    "oven",
    "cooker hood",
    "shower",
    "immersion heater",
    "storage heater",
    "panel heater",
    "underfloor heating",
    "towel rail",
    "heat pump",
    "boiler",
    "heating control",
    "timer",
    "extractor fan",
    "smoke alarm",
    "heat alarm",
    "CO alarm",
    "alarm panel",
    "door bell",
    "aerial amplifier",
    "data cabinet",
    "EV charging point",
    "PV inverter",
    "battery",
    "stairlift",
    "sump pump",
    "hot tub",
    "gate",
    "outbuilding feed",
    "junction box",
    "blank plate",
    "fixed appliance",
    "not connected",
    "other",
]
POINT_KINDS: Final[tuple[PointKind, ...]] = get_args(PointKind)

DeviceKind = Literal[
    "main switch",
    "isolator",
    "RCD",
    "MCB",
    "RCBO",
    "AFDD",
    "fuse BS 3036",
    "fuse BS 1361",
    "fuse BS 88-3",
    "MCB BS 3871",
    "RCD BS 4293",
    "voltage ELCB",
    "SPD",
    "timer",
    "contactor",
    "changeover switch",
    "connector block",
    "bell transformer",
    "blank",
    "other",
]
DEVICE_KINDS: Final[tuple[DeviceKind, ...]] = get_args(DeviceKind)
# What clears a fault: a device of a board, or a fuse to BS 1362 in a plug or a fused connection unit.
ClearedBy = DeviceKind | Literal["plug fuse"]

HowSwitched = Literal["toggle", "pull carrier", "isolator", "leave alone", "can't be reached"]
HOW_SWITCHED: Final[tuple[HowSwitched, ...]] = get_args(HowSwitched)

Outcome = Literal["off", "still on", "faint glow", "can't tell"]
OUTCOMES: Final[tuple[Outcome, ...]] = get_args(Outcome)

IfOff = Literal["nothing", "resets", "spoils", "lost work", "heating", "security", "phone", "medical"]
IF_OFF: Final[tuple[IfOff, ...]] = get_args(IfOff)

Build = Literal["brick", "block", "concrete", "stud", "lined", "unknown"]
FixtureKind = Literal[
    "bath",
    "tray",
    "shower head",
    "basin",
    "sink",
    "hob",
    "unit",
    "appliance",
    "stair",
    "chimney",
    "radiator",
    "furniture",
]
FIXTURE_KINDS: Final[tuple[FixtureKind, ...]] = get_args(FixtureKind)
ThicknessFrom = Literal["measured", "drawn", "assumed", ""]
BoardSource = Literal["supply", "run", "elsewhere", "unknown"]
LengthFrom = Literal["measured", "estimated", "path", "reading", ""]
Colours = Literal["old", "new", "mixed", ""]
Switching = Literal["one way", "two way", "intermediate", "cord", "sensor", "timer", ""]
Purpose = Literal["survey", "before work", "after work", "periodic"]
WhoAgreed = Literal["occupier", "agent", "owner", "other household"]
Act = Literal["add", "move", "remove"]
Decision = Literal["agree", "not so", "changed"]
Severity = Literal["C1", "C2", "FI", "C3", "note"]
SEVERITIES: Final[tuple[Severity, ...]] = get_args(Severity)  # worst first

FaultKind = Literal["open", "joint", "low insulation", "swapped", "bridge"]
EventWhat = Literal[
    "off",
    "on",
    "trip",
    "trip on closing",
    "pause",
    "resume",
    "look good",
    "look out",
    "power back",
    "others lost power",
]

ReadingTest = Literal[
    "lead check",
    "continuity",
    "ring end to end",
    "linked",
    "insulation",
    "polarity",
    "plug-in indicator",
    "Ze",
    "Zs",
    "PFC",
    "RCD trip",
    "supply voltage",
    "neutral to neutral",
    "earth electrode",
]
LinkKind = Literal["end to end", "cross", "same leg", "one leg", "radial"]
Bound = Literal["=", ">", "<"]
LocalSwitch = Literal["", "on", "off", "both ways tried", "no switch"]
ProvedPair = Literal["L-N", "L-E", "N-E"]
InstrumentKind = Literal["multifunction", "socket indicator", "voltage indicator", "proving unit", "lamp", "other"]

Condition = Literal[
    "scorched",
    "scorched and failing",
    "live part touchable",
    "basic insulation showing",
    "unsleeved cpc",
    "copper inside closed box",
    "reversed polarity",
    "no earth",
    "loose accessory",
    "loose terminal",
    "damaged accessory",
    "shallow box",
    "damp",
    "rubber insulation",
    "lead sheathed",
    "imperial cable",
    "aluminium",
    "cloth covered",
    "hot or buzzing",
    "no dual supply notice",
    "no mixed colours notice",
]
CONDITIONS: Final[tuple[Condition, ...]] = get_args(Condition)

Earthing = Literal["TN-S", "TN-C-S", "TT", "unknown"]
YesNo = Literal["yes", "no", "not seen"]
OtherSourceKind = Literal[
    "PV", "battery", "generator inlet", "vehicle to home", "UPS", "neighbour", "landlord", "off-peak", "second meter"
]
OTHER_SOURCES: Final[tuple[OtherSourceKind, ...]] = get_args(OtherSourceKind)
Country = Literal["England", "Wales", "Scotland", "Northern Ireland", "elsewhere", ""]


def weakest(*evidence: Evidence) -> Evidence:
    """Give the weakest of some evidence: a conclusion is only as good as the poorest fact under it.

    Seen and tested rank alike above inferred, inferred above assumed; between the two best the first named is kept.

    Raises
    ------
    ValueError
        When nothing was given: no evidence is not weak evidence.

    Examples
    --------
    >>> weakest("tested", "inferred", "seen")
    'inferred'
    """
    return min(evidence, key=rank)


def rank(evidence: Evidence) -> int:
    """Give the strength of one word of evidence, 0 (assumed) to 2 (seen or tested)."""
    return {"assumed": 0, "inferred": 1, "seen": 2, "tested": 2}[evidence]


_MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def day_said(day: datetime.date | None) -> str:
    """Give a day in words that are the same everywhere, such as 5 January 2026; nothing for none.

    Examples
    --------
    >>> day_said(datetime.date(2026, 1, 5))
    '5 January 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}" if day is not None else ""


def written_day_said(day: str) -> str:
    """Give a day as records hold it, such as 2026-01-05, in words; as it stands where it is no day of the calendar."""
    try:
        return day_said(datetime.date.fromisoformat(day))
    except ValueError:
        return day


_KINDS_SAID: Final[dict[str, str]] = {
    "usb socket": "USB socket", "rcd socket": "RCD socket", "fused unit": "fused connection unit",
}  # fmt: skip


def kind_said(kind: str) -> str:
    """Give a point's kind as the trade says it.

    Examples
    --------
    >>> kind_said("fused unit"), kind_said("light")
    ('fused connection unit', 'light')
    """
    return _KINDS_SAID.get(kind, kind)
