"""Points of an invented home as records: on walls, under ceilings, outside; the switches that work its lights."""

from collections import defaultdict
from collections.abc import Sequence
from random import Random
from typing import Final

from circuitmap.home.records import Place, Plate, Point, Record
from circuitmap.survey.rehearsal.contents import Wish
from circuitmap.survey.rehearsal.floorplan import Drawn, FloorPlan
from circuitmap.words import PointKind, Switching

_OVERHEAD: Final = frozenset({"light", "downlight", "smoke alarm", "heat alarm"})
_LAMPS: Final = frozenset({"light", "downlight"})
_SWITCH_MM: Final = 1200
# Heights over the floor (common practice, no source).
_HEIGHT_MM: Final[dict[str, int]] = {
    "socket": 450, "usb socket": 450, "appliance outlet": 450, "fused unit": 1100, "extractor fan": 2100,
    "shaver unit": 1500, "cooker control unit": 1200, "oven": 700, "hob": 900, "cooker hood": 1700, "shower": 1900,
    "immersion heater": 1500, "boiler": 1600, "heating control": 1400, "alarm panel": 1500, "door bell": 2000,
    "data cabinet": 600, "outdoor light": 2200, "outdoor socket": 600, "EV charging point": 1200,
}  # fmt: skip
_WORKTOP_MM: Final = 1100
_OTHER_MM: Final = 800


class _Numbers:
    """Numbers points and plates as they come."""

    def __init__(self) -> None:
        self.points = 0
        self.plates = 0

    def point(self) -> str:
        self.points += 1
        return f"P{self.points}"

    def plate(self) -> str:
        self.plates += 1
        return f"T{self.plates}"


def place_points(rng: Random, plan: FloorPlan, wishes: Sequence[Wish], boards: int) -> tuple[list[Place], list[Record]]:
    """Give the places of the boards, in the hall, and the records of all points, switches and their plates.

    Every wish is told the id of its point.
    """
    numbers = _Numbers()
    records: list[Record] = []
    by_room: dict[int, list[Wish]] = defaultdict(list)
    for wish in wishes:
        by_room[wish.room].append(wish)
    spots: list[Place] = []
    lamps: dict[int, list[Wish]] = {}
    for number, room in enumerate(plan.rooms):
        here = sorted(by_room[number], key=lambda wish: (wish.kind in _OVERHEAD, wish.rank))
        above = [wish for wish in here if wish.kind in _OVERHEAD]
        beside = [wish for wish in here if wish.kind not in _OVERHEAD]
        heights = [_height(room, wish) for wish in beside]
        if room.wish.use == "outdoors":
            places: list[Place | None] = [*plan.outside(len(beside), heights)]
        elif room.box is None:
            places = [None] * len(beside)
        else:
            extra = boards if number == 0 else 0
            around = room.around(len(beside) + extra, [1700] * extra + heights)
            spots += around[:extra]
            places = _mixed(rng, room, around[extra:], beside)
        places += room.overhead(len(above)) if room.box is not None else [None] * len(above)
        for wish, place in zip([*beside, *above], places, strict=True):
            wish.id = numbers.point()
            records.append(_point(room, wish, place))
        lamps[number] = [wish for wish in here if wish.kind in _LAMPS]
    records += _switches(rng, plan, lamps, [w for w in wishes if w.kind == "outdoor light"], numbers)
    return spots, records


def _height(room: Drawn, wish: Wish) -> int:
    if wish.kind in ("socket", "usb socket") and room.wish.use in ("kitchen", "utility", "garage"):
        return _WORKTOP_MM
    return _HEIGHT_MM.get(wish.kind, _OTHER_MM)


def _mixed(rng: Random, room: Drawn, around: list[Place], wishes: Sequence[Wish]) -> list[Place | None]:
    """Turn the order on the walls so that no two rooms start alike; heights stay with their points."""
    if not around:
        return []
    turn = rng.randrange(len(around))
    turned = around[turn:] + around[:turn]
    return [
        Place(storey=p.storey, x_mm=p.x_mm, y_mm=p.y_mm, height_mm=_height(room, wish), faces_deg=p.faces_deg)
        for p, wish in zip(turned, wishes, strict=True)
    ]


def _point(room: Drawn, wish: Wish, place: Place | None) -> Point:
    is_apart = place is None or room.wish.use == "outdoors"
    return Point(
        id=wish.id,
        kind=wish.kind,
        place=place,
        room=room.id if is_apart else None,
        where="by the hatch" if place is None else "",
        name=wish.what if wish.kind == "fused unit" else "",
        gangs=wish.gangs,
        outdoor=True if room.wish.use == "outdoors" else None,
        fuse_a=wish.fuse_a,
        loads=wish.loads,
    )


def _switches(
    rng: Random, plan: FloorPlan, lamps: dict[int, list[Wish]], outdoor: Sequence[Wish], numbers: _Numbers
) -> list[Record]:
    """Give a switch by the door for the lights of each room and way; hall and landings share two-way plates."""
    records: list[Record] = []
    passages = [n for n, room in enumerate(plan.rooms) if room.wish.use in ("hall", "landing")]
    for number, room in enumerate(plan.rooms):
        if number in passages or not lamps[number]:
            continue
        for turn, lights in enumerate(_by_way(lamps[number])):
            kind: PointKind = "dimmer" if room.wish.use == "living room" and rng.random() < 0.2 else "switch"
            how: Switching = "cord" if room.wish.use == "bathroom" else "one way"
            place = room.by_door(turn, _SWITCH_MM)
            records.append(
                Point(id=numbers.point(), kind=kind, place=place, room=None if place else room.id,
                      controls=tuple(light.id for light in lights), switching=how)
            )  # fmt: skip
    for number in passages:
        # From every passage its own lights are worked, and those of the next storeys up and down.
        level = _level(plan.rooms[number])
        near = [n for n in passages if abs(_level(plan.rooms[n]) - level) <= 1]
        groups = [(n, lights) for n in near for lights in _by_way(lamps[n])]
        outside = [light.id for light in outdoor[:1]] if number == passages[0] else []
        gangs = len(groups) + bool(outside)
        if not gangs:
            continue
        place = plan.rooms[number].by_door(0, _SWITCH_MM)
        plate = numbers.plate() if gangs > 1 else None
        if plate is not None:
            records.append(Plate(id=plate, place=place, gangs=gangs))
        own = None if plate is not None else place
        two_way: Switching = "two way" if len(near) > 1 else "one way"
        records += [
            Point(id=numbers.point(), kind="switch", place=own, plate=plate, switching=two_way,
                  controls=tuple(light.id for light in lights))
            for _, lights in groups
        ]  # fmt: skip
        if outside:
            records.append(Point(id=numbers.point(), kind="switch", place=own, plate=plate, controls=tuple(outside),
                                 switching="one way"))  # fmt: skip
    return records


def _level(room: Drawn) -> int:
    return room.wish.storey or 0


def _by_way(lights: Sequence[Wish]) -> list[list[Wish]]:
    groups: dict[int, list[Wish]] = defaultdict(list)
    for light in lights:
        groups[light.way].append(light)
    return list(groups.values())
