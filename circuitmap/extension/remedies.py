"""What puts a finding right, as a kind of repair that the price book knows: a guess before anything is open.

Which repair goes with which rule is common practice, no source; who does the work decides once it is seen.
"""

from collections.abc import Mapping
from typing import Final, NamedTuple

from circuitmap.extension.asked import Asked
from circuitmap.extension.takeoff import Remedy
from circuitmap.findings import Finding
from circuitmap.home.records import Point, Run

LIKE_FOR_LIKE: Final = "replaced point"


class _Repair(NamedTuple):
    """A kind of repair: the part that the price book has a recipe for, and what is said of it."""

    what: str
    says: str


_RENEWED: Final = _Repair(LIKE_FOR_LIKE, "renewing it like for like")
_CABLE: Final = _Repair("cable renewed", "renewing the cable")
_REMADE: Final = _Repair("terminations remade", "remaking the connections")
_CLOSED: Final = _Repair("enclosure closed", "closing the enclosure")
_TRACED: Final = _Repair("fault traced", "tracing the fault by the hour and remaking the connection")
_FUSED: Final = _Repair("spur fused", "a fused connection unit at the head of the spur")
_TAKEN_OUT: Final = _Repair("removed point", "taking it out")
_COVERED: Final = _Repair("RCD cover", "a device with RCD cover at the board")
_DEVICE: Final = _Repair("device changed", "another device at the board")
_FUSE: Final = _Repair("fuse changed", "another fuse")
_LOOKED: Final = _Repair("looked into", "looking into it only; what it takes is told and agreed then")
UNKNOWN: Final = _Repair("defect", "one ordinary repair")

# By the code of the rule. What is seen at a cable renews the cable, whatever the rule says of accessories.
_REPAIRS: Final[Mapping[str, _Repair]] = {
    "damaged": _RENEWED,
    "scorched": _RENEWED,
    "scorched-failing": _RENEWED,
    "hot": _RENEWED,
    "live-part": _CLOSED,
    "polarity": _REMADE,
    "no-earth": _REMADE,
    "loose-terminal": _REMADE,
    "reading-polarity": _REMADE,
    "ring-open": _TRACED,
    "ring-core-open": _TRACED,
    "ring-stalk": _TRACED,
    "ring-two-ways": _TRACED,
    "ways-joined": _TRACED,
    "trips-on-closing": _TRACED,
    "reading-ring-open": _TRACED,
    "reading-no-cpc": _TRACED,
    "reading-insulation": _TRACED,
    "reading-zs": _TRACED,
    "reading-neutral": _TRACED,
    "spur-overfed": _FUSED,
    "spur-off-spur": _FUSED,
    "spur-thin": _FUSED,
    "fuse-large": _FUSE,
    "overload": _DEVICE,
    "reading-rcd": _COVERED,
    "reading-rcd-over": _COVERED,
    "rcd-outdoors": _COVERED,
    "rcd-bathroom": _COVERED,
    "rcd-tt": _COVERED,
    "zone-socket": _TAKEN_OUT,
    "zone-switch": _TAKEN_OUT,
    "no-cpc": _LOOKED,
    "outbuilding-on-spur": _LOOKED,
    "reading-supply": _LOOKED,
}
_AT_A_THING: Final = frozenset((_RENEWED, _CLOSED, _REMADE))


def repair_of(asked: Asked, finding: Finding) -> Remedy:
    """Give what putting a finding right takes, by its kind: an accessory, connections, a cable, the search for a fault.

    A way's device that is damaged is changed, and so is one that is to give RCD cover; with a fuse in its place the
    board has to be, which is looked into first. A rule without a usual repair gets one ordinary one.
    """
    repair = _REPAIRS.get(finding.rule, UNKNOWN)
    subject = asked.home.peek(finding.subjects[0]) if finding.subjects else None
    fit, gangs, cable, metres = "", 1, "", None
    if repair in _AT_A_THING and isinstance(subject, Run):
        repair, cable = _CABLE, subject.cable
        metres = subject.length_mm / 1000 if subject.length_mm is not None else None
    elif repair is _RENEWED and isinstance(subject, Point):
        fit, gangs = subject.kind, subject.gangs
    elif repair is _RENEWED:
        repair = _DEVICE if finding.subjects and finding.subjects[0][:1] == "D" else UNKNOWN
    elif repair in (_COVERED, _DEVICE) and any(
        view.device.id in finding.subjects and view.device.kind.startswith("fuse") for view in asked.views
    ):
        repair = _LOOKED
    return Remedy(
        what=repair.what, why=f"{finding.code} suggested: {finding.says} Priced: {repair.says}.",
        optional=finding.code != "C1", fit=fit, gangs=gangs, cable=cable, metres=metres,
    )  # fmt: skip
