"""Small homes with walls of a kind to lay routes through, and zones worked out apart from the program."""

import random
from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry

from circuitmap.extension.costs import Costs, usual_costs
from circuitmap.extension.spots import Spot3
from circuitmap.home import Home
from circuitmap.home.records import Fixture, Opening, Place, Point, Record, Room, Storey, Wall
from circuitmap.trade import load
from circuitmap.words import Build

TRADE = load()
HIGH = 2400
BUILDS: tuple[Build, ...] = ("brick", "block", "stud", "lined", "unknown")


def costs() -> Costs:
    """An hour at 60 pounds and cable at a pound a metre: our own invention, a round pound a minute."""
    return usual_costs(TRADE, pence_per_hour=6000, cable_pence_per_m=100)


@dataclass
class Side:
    """One side of a room as the tests know it: from where, which way, how long, which way it looks."""

    room: str
    storey: str
    start: tuple[int, int]
    way: tuple[int, int]
    length: int
    faces: float
    wall: str | None = None
    stood: list[tuple[float, float, float]] = field(default_factory=list)  # u, v, width

    def at(self, u: float) -> tuple[float, float]:
        return self.start[0] + u * self.way[0], self.start[1] + u * self.way[1]

    def u_of(self, x: float, y: float) -> float:
        return (x - self.start[0]) * self.way[0] + (y - self.start[1]) * self.way[1]


def sides(room: Room) -> list[Side]:
    (x0, y0), (x1, _), (_, y1), _ = room.outline_mm
    assert room.storey is not None
    return [
        Side(room.id, room.storey, (x0, y0), (1, 0), x1 - x0, 90.0),
        Side(room.id, room.storey, (x1, y0), (0, 1), y1 - y0, 180.0),
        Side(room.id, room.storey, (x1, y1), (-1, 0), x1 - x0, 270.0),
        Side(room.id, room.storey, (x0, y1), (0, -1), y1 - y0, 0.0),
    ]


def box_room(number: int, storey: str, x0: int, y0: int, x1: int, y1: int) -> Room:
    return Room(id=f"M{number}", name=f"Room {number}", storey=storey,
                outline_mm=((x0, y0), (x1, y0), (x1, y1), (x0, y1)))  # fmt: skip


def one_room(build: Build = "brick", storeys: int = 1, *extra: Record) -> Home:
    """A room of 4 × 3 m on each storey, all walls of one build, 100 mm thick."""
    records: list[Record] = []
    for n in range(storeys):
        storey = f"G{n + 1}"
        records.append(Storey(id=storey, name=f"Storey {n}", level=n, height_mm=HIGH))
        records.append(box_room(n + 1, storey, 0, 0, 4000, 3000))
        lines = (((0, -50), (4000, -50)), ((4050, 0), (4050, 3000)), ((4000, 3050), (0, 3050)), ((-50, 3000), (-50, 0)))
        records += [
            Wall(id=f"W{4 * n + k + 1}", storey=storey, a_mm=a, b_mm=b, thickness_mm=100, build=build)
            for k, (a, b) in enumerate(lines)
        ]
    return Home.of([*records, *extra])


def spot(side: Side, u: float, v: float | None, wide: float = 146.0) -> Spot3:
    x, y = side.at(u)
    return Spot3(side.storey, x, y, v, side.faces, wide, 86.0)


@dataclass
class Invented:
    """A home by chance, with its sides as the tests know them."""

    home: Home
    sides: list[Side]
    openings: dict[str, list[tuple[str, tuple[float, float], tuple[float, float], float, float]]]
    thickness: dict[str, int]

    def zones(self, side: Side, ends: list[tuple[Side, float, float, float]]) -> BaseGeometry:
        """The permitted area of a side, from the wording of the regulation (522.6.6(v) as quoted in the trade).

        Within 150 mm of the top and of the corners; as wide and high as each accessory, up, down and sideways to the
        next opening; from the other side too where the wall is 100 mm or less.
        """
        parts = [
            shapely.box(0, HIGH - 150, side.length, HIGH),
            shapely.box(0, 0, 150, HIGH),
            shapely.box(side.length - 150, 0, side.length, HIGH),
        ]
        holes = self.holes(side)
        for other in self.sides:
            same = other is side
            through = (
                not same
                and side.wall is not None
                and other.wall == side.wall
                and other.faces != side.faces
                and self.thickness[side.wall] <= 100
            )
            if not same and not through:
                continue
            for u, v, wide in [*other.stood, *((u, v, w) for s, u, v, w in ends if s is other)]:
                here = u if same else side.u_of(*other.at(u))
                if not 0 <= here <= side.length:
                    continue
                parts += self._cross(side, holes, here, v, wide)
        cut = shapely.union_all([shapely.box(a, low, b, top) for a, b, low, top in holes])
        return shapely.union_all(parts).difference(cut)

    def holes(self, side: Side) -> list[tuple[float, float, float, float]]:
        found = []
        for _, a, b, low, top in self.openings.get(side.wall or "", []):
            start, end = sorted((side.u_of(*a), side.u_of(*b)))
            start, end = max(0.0, start), min(float(side.length), end)
            if end > start:
                found.append((start, end, low, top))
        return found

    @staticmethod
    def _cross(
        side: Side, holes: list[tuple[float, float, float, float]], u: float, v: float, wide: float
    ) -> list[BaseGeometry]:
        left = max([0.0, *(b for a, b, low, top in holes if low < v < top and b <= u)])
        right = min([float(side.length), *(a for a, b, low, top in holes if low < v < top and a >= u)])
        bottom = max([0.0, *(top for a, b, low, top in holes if a < u < b and top <= v)])
        head = min([float(HIGH), *(low for a, b, low, top in holes if a < u < b and low >= v)])
        return [
            shapely.box(max(0, u - wide / 2), bottom, min(side.length, u + wide / 2), head),
            shapely.box(left, v - 43, right, v + 43),
        ]


def invented(chance: random.Random) -> Invented:
    """A home of one or two storeys with three rooms each, walls, doors, windows and accessories by chance."""
    records: list[Record] = []
    known: list[Side] = []
    openings: dict[str, list[tuple[str, tuple[float, float], tuple[float, float], float, float]]] = {}
    thickness: dict[str, int] = {}
    for n in range(chance.choice((1, 2))):
        storey = f"G{n + 1}"
        records.append(Storey(id=storey, name=storey, level=n, height_mm=HIGH))
        t1, t2 = chance.choice((80, 100, 120, 215)), chance.choice((80, 100, 120, 215))
        split, deep = chance.randrange(2500, 4500, 10), chance.randrange(2400, 3800, 10)
        wide, low = split + chance.randrange(2400, 4000, 10), deep + chance.randrange(2400, 3600, 10)
        rooms = [
            box_room(3 * n + 1, storey, 0, 0, split, deep),
            box_room(3 * n + 2, storey, split + t1, 0, wide, deep),
            box_room(3 * n + 3, storey, 0, deep + t2, wide, low),
        ]
        first, second = f"W{2 * n + 1}", f"W{2 * n + 2}"
        thickness |= {first: t1, second: t2}
        upright = ((split + t1 // 2, 0), (split + t1 // 2, deep))
        level = ((0, deep + t2 // 2), (wide, deep + t2 // 2))
        for wall, (a, b), thick in ((first, upright, t1), (second, level, t2)):
            length = max(abs(b[0] - a[0]), abs(b[1] - a[1]))
            way = ((b[0] - a[0]) // length, (b[1] - a[1]) // length)
            found, at = [], chance.randrange(200, 900, 10)
            while at + 900 < length and chance.random() < 0.6:
                size = chance.randrange(600, 900, 10)
                sill, head = chance.choice(((None, 2000), (900, 2100), (1200, 2300), (None, 2300)))
                found.append(Opening(kind="door" if sill is None else "hatch", along_mm=at, width_mm=size,
                                     sill_mm=sill, head_mm=head))  # fmt: skip
                ends = [(a[0] + way[0] * d, a[1] + way[1] * d) for d in (at, at + size)]
                openings.setdefault(wall, []).append((wall, ends[0], ends[1], sill or 0, head))
                at += size + chance.randrange(300, 1500, 10)
            records.append(Wall(id=wall, storey=storey, a_mm=a, b_mm=b, thickness_mm=thick,
                                build=chance.choice(BUILDS), openings=tuple(found)))  # fmt: skip
        records += rooms
        mine = [side for room in rooms for side in sides(room)]
        mine[1].wall = mine[7].wall = first
        mine[2].wall = mine[6].wall = mine[8].wall = second
        known += mine
    home = Invented(Home.of(records), known, openings, thickness)
    for number in range(1, 8 * len(known) // 12 + 1):
        side, u, v = free_spot(home, chance)
        gangs = chance.choice((1, 2))
        side.stood.append((u, v, 146.0 if gangs == 2 else 86.0))
        x, y = side.at(u)
        place = Place(storey=side.storey, x_mm=round(x), y_mm=round(y), height_mm=round(v), faces_deg=side.faces)
        records.append(Point(id=f"P{number}", kind="socket", place=place, gangs=gangs))
    if chance.random() < 0.5:
        stair = Place(storey="G1", x_mm=1500, y_mm=500, faces_deg=90.0)
        records.append(Fixture(id="F1", kind="stair", place=stair,
                               outline_mm=((1070, 500), (1930, 500), (1930, 2300), (1070, 2300))))  # fmt: skip
    return Invented(Home.of(records), known, openings, thickness)


def free_spot(home: Invented, chance: random.Random) -> tuple[Side, float, float]:
    """A spot on some side, in no opening, its plate clear of the wall's ends."""
    while True:
        side = chance.choice(home.sides)
        u, v = float(chance.randrange(100, side.length - 100)), float(chance.choice((300, 450, 1100, 1200, 1500)))
        if not any(a - 60 < u < b + 60 and low - 60 < v < top + 60 for a, b, low, top in home.holes(side)):
            return side, u, v
