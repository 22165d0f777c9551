"""What is plugged in or wired to the points of an invented home, and what its loss would mean to somebody."""

from collections.abc import Sequence
from random import Random
from typing import Final

from circuitmap.home.records import Load
from circuitmap.survey.rehearsal.contents import Wish
from circuitmap.survey.rehearsal.floorplan import RoomWish
from circuitmap.words import IfOff

_SOCKETS: Final = frozenset({"socket", "usb socket"})
# (load, loss, watts, what it is on, in which rooms, how often a home has one); common practice, no source.
_LISTED: Final[tuple[tuple[str, IfOff, int, str, tuple[str, ...], float], ...]] = (
    ("router and telephone", "phone", 15, "socket", ("hall", "living room", "office"), 0.92),
    ("fridge-freezer", "spoils", 140, "fridge-freezer", (), 0.95),
    ("boiler", "heating", 160, "boiler", (), 1.0),
    ("alarm panel", "security", 20, "alarm panel", (), 1.0),
    ("stairlift", "medical", 350, "stairlift", (), 1.0),
    ("sump pump", "spoils", 500, "sump pump", (), 1.0),
    ("servers", "lost work", 300, "data cabinet", (), 1.0),
    ("desk computer", "lost work", 250, "socket", ("office", "bedroom"), 0.5),
    ("chest freezer", "spoils", 120, "socket", ("garage", "utility"), 0.45),
    ("television recorder", "resets", 40, "socket", ("living room",), 0.35),
    ("fish tank", "spoils", 60, "socket", ("living room", "bedroom"), 0.12),
    ("alarm clock", "resets", 5, "socket", ("bedroom",), 0.3),
    ("telecare unit", "phone", 10, "socket", ("hall", "bedroom"), 0.05),
    ("oxygen concentrator", "medical", 350, "socket", ("bedroom",), 0.06),
)
_FURTHER: Final[tuple[tuple[str, IfOff, int], ...]] = (
    ("desk computer", "lost work", 250), ("small freezer", "spoils", 90), ("alarm clock", "resets", 5),
    ("media server", "lost work", 60),
)  # fmt: skip
_ORDINARY: Final[dict[str, tuple[tuple[str, int], ...]]] = {
    "kitchen": (("kettle", 2900), ("toaster", 950), ("microwave", 1200), ("slow cooker", 250)),
    "living room": (("television", 110), ("floor lamp", 15), ("record player", 40)),
    "bedroom": (("bedside lamp", 8), ("hair dryer", 1800), ("phone charger", 10)),
    "dining room": (("table lamp", 12),),
    "office": (("printer", 400), ("desk lamp", 10)),
    "utility": (("iron", 2400),),
    "hall": (("vacuum cleaner", 900),),
    "garage": (("battery drill charger", 60), ("bench grinder", 350)),
}
_WIRED: Final[dict[str, int]] = {
    "washing machine": 2100, "tumble dryer": 2400, "dishwasher": 2000, "cooker hood": 180, "towel rail": 120,
    "fridge-freezer": 140,
}  # fmt: skip


def put_loads(rng: Random, rooms: Sequence[RoomWish], wishes: Sequence[Wish], listed: int | None) -> int:
    """Put loads on points: so many whose loss matters (None: as homes have them), and ordinary ones; give how many."""
    done = 0
    for what, if_off, watts, on, uses, chance in _LISTED:
        if done == listed:
            break
        if listed is None and rng.random() >= chance:
            continue
        spot = _spot(rng, rooms, wishes, on, uses)
        if spot is not None:
            spot.loads = (Load(what=what, power_w=float(watts), if_off=if_off),)
            done += 1
    if listed is not None and done < listed:
        done += _further(rng, wishes, listed - done)
    for wish in wishes:
        if wish.loads:
            continue
        if wish.what in _WIRED:
            wish.loads = (Load(what=wish.what, power_w=float(_WIRED[wish.what])),)
        elif wish.kind in _SOCKETS and rng.random() < 0.4:
            chosen = _ORDINARY.get(rooms[wish.room].use)
            if chosen:
                what, watts = rng.choice(chosen)
                wish.loads = (Load(what=what, power_w=float(watts)),)
    return done


def _spot(
    rng: Random, rooms: Sequence[RoomWish], wishes: Sequence[Wish], on: str, uses: tuple[str, ...]
) -> Wish | None:
    free = [wish for wish in wishes if not wish.loads]
    if on == "socket":
        found = [wish for wish in free if wish.kind in _SOCKETS and rooms[wish.room].use in uses]
    else:
        found = [wish for wish in free if on in (wish.what, wish.kind)]
        if not found and on == "fridge-freezer":
            found = [wish for wish in free if wish.kind in _SOCKETS and rooms[wish.room].use == "kitchen"]
    return rng.choice(found) if found else None


def _further(rng: Random, wishes: Sequence[Wish], count: int) -> int:
    """Put more loads on, sockets first; there may be fewer points than loads wished for."""
    free = [wish for wish in wishes if not wish.loads]
    rng.shuffle(free)
    free.sort(key=lambda wish: wish.kind not in _SOCKETS)
    for number, wish in enumerate(free[:count]):
        what, if_off, watts = _FURTHER[number % len(_FURTHER)]
        wish.loads = (Load(what=what, power_w=float(watts), if_off=if_off),)
    return min(count, len(free))
