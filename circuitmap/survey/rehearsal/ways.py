"""What the ways of an invented home are for: their kinds, ratings, and the words found on the board.

Which ways a home of some size has, and their ratings, are common practice, no source.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Final, Literal

from circuitmap.words import PointKind

Takes = Literal["sockets", "lights", "both", "alarms", "own"]


@dataclass(frozen=True, slots=True)
class WayKind:
    """A kind of way.

    ``takes``: which family of points it feeds; "own" are the points in ``feeds``, the first of them always. ``use`` is
    the one use of rooms that it is for (empty: any). ``fuse_a`` are the ratings on an old board; none: not found
    there. What ``is_recent`` came with the boards of this century.
    """

    name: str
    found: tuple[str, ...]
    ratings_a: tuple[float, ...]
    fuse_a: tuple[float, ...]
    takes: Takes = "own"
    use: str = ""
    feeds: tuple[PointKind, ...] = ()
    chance: float = 0.0
    most: int = 1
    needs_rcd: bool = False
    is_recent: bool = False


SOCKETS: Final = WayKind(
    "Sockets", ("Sockets", "Skts", "Ring", "Ring main", "S/O", "Sockets"), (32, 32, 32, 20), (30, 30, 20), "sockets",
    needs_rcd=True, most=999,
)  # fmt: skip
LIGHTS: Final = WayKind(
    "Lights", ("Lights", "Lights", "Lts", "Lighting", "Ltg"), (6, 6, 6, 10), (5,), "lights", most=999
)
_COOKER: Final = WayKind(
    "Cooker", ("Cooker", "Ckr", "Oven/hob"), (32, 32, 40), (30, 45), use="kitchen",
    feeds=("cooker control unit", "oven", "hob"),
)  # fmt: skip
_WATER: Final = WayKind(
    "Immersion heater", ("Immersion", "Imm", "I/H", "Water htr"), (16,), (15,), use="passage",
    feeds=("immersion heater",), chance=0.45, most=2,
)  # fmt: skip
_SHOWER: Final = WayKind(
    "Shower", ("Shower", "Shwr", "Sh"), (40, 40, 45, 32), (45,), use="bathroom", feeds=("shower",), chance=0.55, most=9,
    needs_rcd=True,
)  # fmt: skip
_KITCHEN: Final = WayKind(
    "Sockets kitchen", ("Kitchen", "Kit", "Kit skts", "Ring 2", "Sockets"), (32, 32, 20), (30,), "sockets", "kitchen",
    chance=0.75, needs_rcd=True,
)  # fmt: skip
_ALARMS: Final = WayKind("Smoke alarms", ("Smokes", "Smk alarm", "S/D", "Alarm"), (6,), (5,), "alarms", chance=0.5)

POOL: Final[tuple[WayKind, ...]] = (
    _KITCHEN, _SHOWER, _WATER, _ALARMS,
    WayKind("Boiler", ("Boiler", "Blr", "Heating", "C/H"), (6, 16), (5, 15), use="kitchen",
            feeds=("boiler", "heating control"), chance=0.45),
    WayKind("Garage", ("Garage", "Gge", "Garage sub", "G"), (16, 20), (20, 15), "both", "garage", chance=0.45,
            needs_rcd=True),
    WayKind("Oven", ("Oven", "Ovn"), (16, 20), (15, 20), use="kitchen", feeds=("oven",), chance=0.35),
    WayKind("Hob", ("Hob", "Induction"), (32,), (30,), use="kitchen", feeds=("hob",), chance=0.3),
    WayKind("Car charger", ("EV", "Car", "Charger"), (32, 40), (), use="outdoors", feeds=("EV charging point",),
            chance=0.3, most=2, needs_rcd=True, is_recent=True),
    WayKind("Intruder alarm", ("Alarm", "Burglar", "I/A"), (6,), (5,), use="passage", feeds=("alarm panel",),
            chance=0.35),
    WayKind("Sockets utility", ("Utility", "Utility/ext", "Wash m/c", "Utl"), (20, 32, 16), (20, 30), "sockets",
            "utility", chance=0.4, needs_rcd=True),
    WayKind("Garden", ("Outside", "Garden", "O/S", "Ext"), (16, 20), (15,), "both", "outdoors", chance=0.35,
            needs_rcd=True),
    WayKind("Fridge freezer", ("F/F", "Freezer", "Fridge"), (16, 20), (15,), use="kitchen",
            feeds=("appliance outlet",), chance=0.2, needs_rcd=True),
    WayKind("Underfloor heating", ("UFH", "U/floor", "Floor heat"), (16,), (), use="bathroom",
            feeds=("underfloor heating",), chance=0.25, most=4, needs_rcd=True),
    WayKind("Loft sockets", ("Loft", "Loft skt", "Attic"), (16, 20), (15,), "sockets", "loft", chance=0.15,
            needs_rcd=True),
    WayKind("Sockets office", ("Office", "Study", "IT"), (20, 32), (20, 30), "sockets", "office", chance=0.25,
            needs_rcd=True),
    WayKind("Conservatory", ("Cons", "Ext", "Sun room"), (20, 16), (20,), "both", "conservatory", chance=0.15,
            needs_rcd=True),
    WayKind("Data cabinet", ("Data", "Comms", "IT cab"), (16,), (), use="passage", feeds=("data cabinet",),
            chance=0.1, needs_rcd=True),
    WayKind("Stairlift", ("Stairlift", "Lift"), (6, 16), (5,), use="passage", feeds=("stairlift",), chance=0.04),
    WayKind("Sump pump", ("Pump", "Sump"), (6, 16), (5,), use="utility", feeds=("sump pump",), chance=0.04),
    WayKind("Hot tub", ("Tub", "Hot tub"), (32, 20), (), use="outdoors", feeds=("hot tub",), chance=0.05,
            needs_rcd=True),
    WayKind("Gate", ("Gate", "Gates"), (6, 10), (), use="outdoors", feeds=("gate",), chance=0.05, needs_rcd=True),
)  # fmt: skip
# What a large house or a block of rooms has more of, in turn.
_MORE: Final[tuple[WayKind, ...]] = (
    SOCKETS, LIGHTS,
    WayKind("Panel heater", ("Heater", "Htr", "Rad"), (16,), (15,), use="bedroom", feeds=("panel heater",), most=99),
    SOCKETS, _SHOWER, LIGHTS,
    WayKind("Sockets", ("Sockets", "Radial", "Skts"), (20, 20, 16), (20,), "sockets", needs_rcd=True, most=999),
    WayKind("Towel rail", ("Towel rail", "T/rail", "Rail"), (6, 16), (5,), use="bathroom", feeds=("towel rail",),
            most=9, needs_rcd=True),
)  # fmt: skip
# Points on one socket circuit and on one lighting circuit, and on any (common practice, no source).
_SOCKETS_EACH: Final = 12
_LIGHTS_EACH: Final = 14
_POINTS_PER_WAY: Final = 5.5


@dataclass(slots=True)
class Way:
    """One way of an invented home: what it is for, its rating, and what became of it on the board."""

    kind: WayKind
    rating_a: float
    title: str = ""
    label: str = ""
    device: str = ""
    code: str = ""
    storeys: set[str] = field(default_factory=set)


def choose_ways(rng: Random, count: int, is_old: bool, is_recent: bool = True, points: int | None = None) -> list[Way]:
    """Choose what so many ways are for: what every home has first, then by chance, then more of the same.

    The more points there are, the more of the ways are for sockets and lights in general.
    """
    first: list[WayKind] = [SOCKETS, LIGHTS]
    if count >= 3:
        first.append(_COOKER)
    if count >= 4:
        first.append(_WATER if is_old or rng.random() < 0.4 else _SHOWER)
    if count >= 5:
        first.append(SOCKETS)
    if count >= 6:
        first.append(LIGHTS)
        expected = points if points is not None else _POINTS_PER_WAY * count
        more = min(count // 3, round(expected * 0.5 / _SOCKETS_EACH)) - 2
        first += [SOCKETS] * max(0, more)
        more = min(count // 3, round(expected * 0.4 / _LIGHTS_EACH)) - 2
        first += [LIGHTS] * max(0, more)
    kinds = first[:count]
    had = Counter(kind.name for kind in kinds)
    for kind in _by_chance(rng, had, is_old, is_recent):
        if len(kinds) >= count:
            break
        kinds.append(kind)
        had[kind.name] += 1
    turn = 0
    while len(kinds) < count:
        kind = _MORE[turn % len(_MORE)]
        turn += 1
        if had[kind.name] < kind.most and (not is_old or kind.fuse_a):
            kinds.append(kind)
            had[kind.name] += 1
    return [Way(kind, float(rng.choice(kind.fuse_a if is_old else kind.ratings_a)), kind.name) for kind in kinds]


def _by_chance(rng: Random, had: Counter[str], is_old: bool, is_recent: bool) -> list[WayKind]:
    """Give the pool in the order in which this home came by it: likely things early, and each in its turn."""
    left = [kind for kind in POOL if had[kind.name] < kind.most and (not is_old or kind.fuse_a)]
    left = [kind for kind in left if is_recent or not kind.is_recent]
    return sorted(left, key=lambda kind: -(rng.random() ** (1 / kind.chance)))


def label_ways(rng: Random, ways: Sequence[Way], how: Literal["good", "poor", "none"]) -> None:
    """Write the labels as found: in full, or as people leave them: short, twice the same, missing, at times wrong."""
    if how == "none":
        return
    for way in ways:
        way.label = way.title
    if how == "good":
        return
    for way in ways:
        way.label = rng.choice(way.kind.found)
        if way.kind in (SOCKETS, LIGHTS) and len(way.storeys) == 1 and rng.random() < 0.35:
            where = {"Ground floor": ("down", "d/s", "GF"), "First floor": ("up", "u/s", "1st")}
            way.label += " " + rng.choice(where.get(next(iter(way.storeys)), ("top", "2nd")))
        if rng.random() < 0.12:
            way.label = ""
    if len(ways) >= 4 and rng.random() < 0.3:
        one, other = rng.sample(list(ways), 2)
        one.label, other.label = other.label, one.label
