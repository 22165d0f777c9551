"""Which rooms an invented home has, and what stands in them: points in the order in which people come to want them.

What a room usually has is common practice, no source.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from random import Random
from typing import Final, Literal

from circuitmap.home.records import Load
from circuitmap.survey.rehearsal.floorplan import RoomWish
from circuitmap.survey.rehearsal.ways import Way
from circuitmap.words import PointKind

Family = Literal["sockets", "lights", "alarms", "own"]


@dataclass(slots=True, eq=False)
class Wish:
    """A point that is wanted in a room (by its number); the lowest ``rank`` is wanted most."""

    room: int
    kind: PointKind
    family: Family
    rank: float
    way: int = -1
    gangs: int = 1
    fuse_a: float | None = None
    what: str = ""
    loads: tuple[Load, ...] = ()
    id: str = ""


# (kind, how early it is wanted); a fused unit says what it feeds.
_WANTED: Final[dict[str, tuple[tuple[PointKind, float, str], ...]]] = {
    "living room": (("light", 0, ""), ("socket", 0, ""), ("socket", 1, ""), ("socket", 2, ""), ("light", 3, ""),
                    ("socket", 3, ""), ("socket", 4, ""), ("usb socket", 5, "")),
    "dining room": (("light", 0, ""), ("socket", 1, ""), ("socket", 2, ""), ("socket", 3, ""), ("light", 5, "")),
    "kitchen": (("light", 0, ""), ("socket", 0, ""), ("appliance outlet", 1, "fridge-freezer"), ("socket", 1, ""),
                ("socket", 1, ""), ("appliance outlet", 2, "washing machine"), ("light", 2, ""), ("socket", 2, ""),
                ("cooker hood", 3, "cooker hood"), ("light", 3, ""), ("fused unit", 2, "boiler"), ("socket", 3, ""),
                ("appliance outlet", 3, "dishwasher"), ("heat alarm", 4, ""), ("usb socket", 5, "")),
    "utility": (("light", 0, ""), ("socket", 0, ""), ("appliance outlet", 1, "washing machine"), ("socket", 2, ""),
                ("appliance outlet", 2, "tumble dryer"), ("extractor fan", 4, "")),
    "bathroom": (("light", 0, ""), ("extractor fan", 1, ""), ("shaver unit", 3, ""), ("fused unit", 3, "towel rail"),
                 ("light", 4, "")),
    "wc": (("light", 0, ""), ("extractor fan", 3, "")),
    "bedroom": (("light", 0, ""), ("socket", 0, ""), ("socket", 1, ""), ("socket", 2, ""), ("socket", 3, ""),
                ("usb socket", 4, ""), ("light", 5, "")),
    "hall": (("light", 0, ""), ("smoke alarm", 1, ""), ("socket", 1, ""), ("door bell", 4, ""), ("light", 3, "")),
    "landing": (("light", 0, ""), ("smoke alarm", 1, ""), ("socket", 2, ""), ("light", 4, "")),
    "office": (("light", 0, ""), ("socket", 0, ""), ("socket", 1, ""), ("socket", 2, ""), ("socket", 3, "")),
    "conservatory": (("light", 0, ""), ("socket", 0, ""), ("socket", 2, ""), ("panel heater", 4, "")),
    "garage": (("socket", 0, ""), ("light", 0, ""), ("socket", 2, ""), ("light", 3, "")),
    "loft": (("socket", 0, ""), ("light", 1, ""), ("aerial amplifier", 3, "")),
    "outdoors": (("outdoor light", 0, ""), ("outdoor socket", 2, ""), ("outdoor light", 3, ""),
                 ("outdoor light", 5, "")),
}  # fmt: skip
_LIGHTS: Final = frozenset(
    {"light", "downlight", "outdoor light", "extractor fan", "shaver unit", "door bell", "smoke alarm"}
)
_ALARMS: Final = frozenset({"smoke alarm", "heat alarm", "CO alarm"})
# What homes with an old board seldom have.
_LATER: Final = frozenset({"smoke alarm", "heat alarm", "usb socket"})
_PUBLIC: Final = frozenset(
    {"kitchen", "living room", "dining room", "utility", "wc", "conservatory", "garage", "outdoors"}
)
# In the order in which homes get larger.
_ROOMS: Final[tuple[tuple[str, str], ...]] = (
    ("Kitchen", "kitchen"), ("Living room", "living room"), ("Bathroom", "bathroom"), ("Bedroom 1", "bedroom"),
    ("Bedroom 2", "bedroom"), ("Dining room", "dining room"), ("Bedroom 3", "bedroom"), ("WC", "wc"),
    ("Utility", "utility"), ("En-suite", "bathroom"), ("Office", "office"), ("Bedroom 4", "bedroom"),
    ("Playroom", "living room"), ("Bedroom 5", "bedroom"), ("Shower room", "bathroom"), ("Library", "living room"),
)  # fmt: skip
_NAMED: Final = {"utility": "Utility", "office": "Office", "conservatory": "Conservatory", "garage": "Garage",
                 "loft": "Loft", "outdoors": "Garden"}  # fmt: skip
_DRAWN_APART: Final = frozenset({"garage", "loft", "outdoors"})


def choose_rooms(rng: Random, rooms: int, ways: Sequence[Way]) -> list[RoomWish]:
    """Choose about so many rooms, those that a way is for among them, and say on which storey each is."""
    wanted = [_ROOMS[n] for n in range(min(rooms, len(_ROOMS)))]
    for number in range(len(_ROOMS), rooms):
        wanted.append((f"En-suite {number // 3}", "bathroom") if number % 3 == 2 else (f"Room {number}", "bedroom"))
    uses = {use for _, use in wanted}
    wanted += [(_NAMED[use], use) for use in sorted({way.kind.use for way in ways} & _NAMED.keys()) if use not in uses]
    uses = {use for _, use in wanted}
    if "outdoors" not in uses and rng.random() < 0.5:
        wanted.append(("Garden", "outdoors"))
    if "garage" not in uses and rooms >= 6 and rng.random() < 0.25:
        wanted.append(("Garage", "garage"))
    storeys = _storeys(rng, rooms)
    filled: Counter[int] = Counter()
    found = [RoomWish("Hall", "hall", 0)]
    names = ("Landing", "Top landing")
    found += [RoomWish(names[min(level, 2) - 1], "landing", level) for level in range(1, storeys)]
    for name, use in wanted:
        if use in _DRAWN_APART:
            found.append(RoomWish(name, use, 0 if use == "garage" else None))
            continue
        level = 0
        if use not in _PUBLIC and storeys > 1:
            level = min(range(1, storeys), key=lambda each: (filled[each], each))
            level = 0 if filled[0] < filled[level] - 1 else level
        filled[level] += 1
        found.append(RoomWish(name, use, level))
    return found


def _storeys(rng: Random, rooms: int) -> int:
    if rooms <= 4:
        return 1
    if rooms <= 6:
        return 1 if rng.random() < 0.4 else 2
    if rooms <= 11:
        return 1 if rng.random() < 0.15 else 2
    return 2 if rng.random() < 0.5 else 3


def wishes_for(rng: Random, rooms: Sequence[RoomWish], ways: Sequence[Way], is_old: bool) -> list[Wish]:
    """Give all that these rooms would like to have, with a little of each home's own taste in the order."""
    has_way = {way.kind.name for way in ways}
    modern = rng.random() < 0.55 and not is_old
    heats = False
    found: list[Wish] = []
    for number, room in enumerate(rooms):
        recessed = modern and room.use in ("kitchen", "bathroom", "utility", "wc")
        for kind, rank, what in _WANTED[room.use]:
            if what == "boiler":
                # One boiler in a home, off a socket ring where it has no way of its own.
                if heats or "Boiler" in has_way or rng.random() < 0.25:
                    continue
                heats = True
            if what == "washing machine" and room.use == "kitchen" and any(r.use == "utility" for r in rooms):
                continue
            if what == "fridge-freezer" and "Fridge freezer" in has_way:
                continue
            if is_old and kind in _LATER:
                continue
            wish = make(rng, number, kind, rank + rng.random() * 0.9, what)
            found.append(wish)
            if kind == "light" and recessed:
                wish.kind = "downlight"
                found += [make(rng, number, "downlight", rank + 1 + n + rng.random(), "") for n in range(2)]
    return found


def more_wishes(rng: Random, rooms: Sequence[RoomWish], family: Family) -> Iterator[Wish]:
    """Give further sockets or lights, without an end, round the rooms that would take them."""
    takes = [n for n, room in enumerate(rooms) if room.use not in ("wc", "outdoors", "loft", "landing", "bathroom")]
    lit = [n for n, room in enumerate(rooms) if room.use not in ("outdoors", "loft")]
    for turn in count():
        for number in takes if family == "sockets" else lit:
            kind: PointKind = "socket" if family == "sockets" else "downlight"
            yield make(rng, number, kind, 10 + turn + rng.random(), "")


def make(rng: Random, room: int, kind: PointKind, rank: float, what: str) -> Wish:
    """Make a wish for one point, with the gangs and fuse that such a point has."""
    family: Family = "alarms" if kind in _ALARMS else "lights" if kind in _LIGHTS else "sockets"
    wish = Wish(room, kind, family, rank, what=what)
    if kind in ("socket", "usb socket"):
        wish.gangs = 1 if rng.random() < 0.2 else 2
    if kind == "fused unit":
        wish.fuse_a = 13.0 if what == "towel rail" and rng.random() < 0.3 else 3.0
    return wish
