"""One hand that draws a sample home: everything goes through the verbs, at fixed instants, so that it comes out alike.

Places are given as a spot on a room's outline; the hand finds the way it faces and the wall behind it. Lengths are
estimated the way an estimator would: along and across, plus the rise or drop at both ends.
"""

import itertools
import math
from collections import Counter
from collections.abc import Iterable

import msgspec

from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Bond, Device, End, Load, Opening, OtherSource, Place, Point, Rcd, Room, Run, Wall
from circuitmap.plan import place_of
from circuitmap.words import Build, Colours, Condition, DeviceKind, Evidence, FixtureKind, PointKind, RunRole, YesNo

Spot = tuple[int, int]
_ON_EDGE_MM = 1.0
# Where cables lie, above the floor of a storey: under the boards, and on top of the ceiling.
_UNDER_FLOOR_MM, _STOREY_MM = -150, 2600


def load(what: str, if_off: str = "nothing", power_w: float | None = None, litres: float | None = None) -> Load:
    """What a point feeds."""
    return Load(what=what, if_off=if_off, power_w=power_w, litres=litres)  # type: ignore[arg-type]  # shorthand


class Hand:
    """Grows a home one verb at a time and hands back the ids it made.

    A ``turned`` one lays the drawing on its side, across for down: a long narrow house then fills a screen.
    """

    def __init__(self, name: str, turned: bool = False, **details: object) -> None:
        self.turned = turned
        self.home = Home.blank(name)
        self.do(verbs.edit(self.home, "home", "Say what home it is", **details))
        self.voids: dict[str, int] = {}  # point id → height of the void its cables come from, in the whole house

    def do(self, change: Change) -> str:
        """Apply a change and give the first id it brought in."""
        self.home = self.home.apply(change)
        added = change.added()
        return added[0] if added else ""

    def set(self, record: str, **fields: object) -> str:
        """Set fields of a record."""
        self.do(verbs.edit(self.home, record, **fields))
        return record

    def spot(self, x: int, y: int) -> Spot:
        """Give where a spot of the drawing lies on the plan."""
        return (y, x) if self.turned else (x, y)

    def box(self, x0: int, y0: int, x1: int, y1: int) -> tuple[int, int, int, int]:
        """Give where a box of the drawing lies on the plan."""
        return (*self.spot(x0, y0), *self.spot(x1, y1))

    # -- the building -------------------------------------------------------------------------------------------

    def storey(self, name: str, level: int, height_mm: int) -> str:
        return self.do(verbs.add_storey(self.home, name, level, height_mm))

    def room(self, storey: str, name: str, outline: Iterable[Spot], use: str = "") -> str:
        """A room by its outline, or by two opposite corners, or (no corners) by its name alone."""
        corners = tuple(self.spot(*corner) for corner in outline)
        if len(corners) == 2:
            (x0, y0), (x1, y1) = corners
            corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        return self.do(verbs.add_room(self.home, name, corners, storey, use))

    def wall(self, storey: str, a: Spot, b: Spot, thick: int, build: Build, *openings: Opening) -> str:
        if self.turned:  # a mirror: so that doors still open to their side, the wall runs the other way
            long = round(math.dist(a, b))
            a, b = self.spot(*b), self.spot(*a)
            openings = tuple(
                msgspec.structs.replace(each, along_mm=long - each.along_mm - each.width_mm) for each in openings
            )
        wall = self.do(verbs.add_wall(self.home, storey, a, b, thick, build))
        return self.set(wall, openings=openings) if openings else wall

    def fixture(self, storey: str, kind: FixtureKind, corner: Spot, opposite: Spot) -> str:
        (x0, y0), (x1, y1) = self.spot(*corner), self.spot(*opposite)
        place = Place(storey=storey, x_mm=(x0 + x1) // 2, y_mm=(y0 + y1) // 2)
        return self.do(verbs.add_fixture(self.home, kind, place, ((x0, y0), (x1, y0), (x1, y1), (x0, y1))))

    def on(self, room: str, x: int, y: int, height: int = 450) -> Place:
        """A place on the outline of a room, facing into it."""
        x, y = self.spot(x, y)
        record = self.home.take(Room, room)
        corners = record.outline_mm
        turn = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True))
        for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True):
            if _off(x, y, (ax, ay), (bx, by)) <= _ON_EDGE_MM:
                along = math.degrees(math.atan2(by - ay, bx - ax))
                faces = (along + (90 if turn > 0 else -90)) % 360
                assert record.storey is not None
                wall = self._wall_behind(record.storey, x, y, faces)
                return Place(storey=record.storey, x_mm=x, y_mm=y, height_mm=height, wall=wall, faces_deg=faces)
        raise AssertionError(f"{x}, {y} is on no side of {record.name}")

    def over(self, room: str, x: int, y: int, height: int = 2400) -> Place:
        """A place on the ceiling of a room, or standing free in it."""
        storey = self.home.take(Room, room).storey
        assert storey is not None
        x, y = self.spot(x, y)
        return Place(storey=storey, x_mm=x, y_mm=y, height_mm=height)

    def outside(self, storey: str, x: int, y: int, height: int, faces_deg: float) -> Place:
        """A place on the outer face of a wall."""
        x, y = self.spot(x, y)
        return Place(storey=storey, x_mm=x, y_mm=y, height_mm=height, faces_deg=faces_deg)

    def _wall_behind(self, storey: str, x: int, y: int, faces: float) -> str | None:
        for wall in self.home.sorted(Wall):
            if wall.storey != storey:
                continue
            half = (wall.thickness_mm or 0) / 2 + 5
            along = math.degrees(math.atan2(wall.b_mm[1] - wall.a_mm[1], wall.b_mm[0] - wall.a_mm[0]))
            if _off(x, y, wall.a_mm, wall.b_mm) <= half and abs(math.sin(math.radians(along - faces))) > 0.99:
                return wall.id
        return None

    # -- board and points ---------------------------------------------------------------------------------------

    def board(self, letter: str, name: str, place: Place, **facts: object) -> str:
        board = self.do(verbs.add_board(self.home, letter, name, place))
        return self.set(board, **facts) if facts else board

    def device(
        self,
        board: str,
        way: str,
        kind: DeviceKind,
        rating_a: float,
        label: str = "",
        curve: str = "",
        upstream: str | None = None,
        rcd: Rcd | None = None,
        modules: int = 1,
        **facts: object,
    ) -> str:
        device = self.do(
            verbs.add_device(self.home, board, kind, way, rating_a, curve, label, upstream, rcd, modules=modules)
        )
        return self.set(device, **facts) if facts else device

    def point(
        self, kind: PointKind, place: Place, name: str = "", *loads: Load, void: str = "", **facts: object
    ) -> str:
        """A point at a place; its cables come down from the ceiling or, as usual for a socket, up from the floor."""
        point = self.do(verbs.add_point(self.home, kind, place, name=name, loads=loads))
        self._void(point, place, void)
        return self.set(point, **facts) if facts else point

    def plate(self, place: Place, *kinds: PointKind, depth_mm: int = 35) -> tuple[str, ...]:
        """Several points in one box."""
        points = tuple(self.point(kind, place) for kind in kinds)
        self.do(verbs.share_plate(self.home, points, depth_mm))
        return points

    def works(self, switch: str, *lights: str, switching: str = "one way") -> str:
        return self.set(switch, controls=lights, switching=switching)

    def note(self, subject: str, visit: str, *seen: Condition, text: str = "") -> str:
        return self.do(verbs.note(self.home, subject, seen, text, visit=visit))

    def _void(self, point: str, place: Place, void: str) -> None:
        high = (place.height_mm or 0) >= 1000
        level = self._level(place.storey)
        from_ceiling = void == "ceiling" or (not void and high)
        self.voids[point] = level * _STOREY_MM + (_STOREY_MM + _UNDER_FLOOR_MM if from_ceiling else _UNDER_FLOOR_MM)

    def _level(self, storey: str) -> int:
        return self.home.get(storey).level  # type: ignore[attr-defined]  # a storey

    # -- cables -------------------------------------------------------------------------------------------------

    def cable(self, a: str | End, b: str | End, code: str, colours: Colours = "old", method: str = "C",
              evidence: Evidence = "seen", role: RunRole = "feed") -> str:  # fmt: skip
        """One run with its estimated length."""
        ends = [end if isinstance(end, str) else end.at for end in (a, b)]
        length = self._length(*(end for end in ends if end is not None))
        run = self.do(verbs.join(self.home, a, b, role, code, evidence, length, method))
        return self.set(run, colours=colours)

    def chain(self, *stops: str, code: str, **facts: str) -> list[str]:
        """Runs from each stop to the next."""
        return [self.cable(a, b, code, **facts) for a, b in itertools.pairwise(stops)]  # type: ignore[arg-type]

    def drop(self, light: str, switch: str, code: str = "T&E 1.0/1.0", colours: Colours = "old") -> str:
        """The cable from a light down to the switch that works it."""
        return self.cable(light, switch, code, colours, "100", role="switch drop")

    def load_of(self, point: str) -> End:
        """The load terminals of a fused unit or double-pole switch."""
        return verbs.end_at(self.home, point, "load")

    def _length(self, a: str, b: str) -> int:
        first, second = self._spot(a), self._spot(b)
        level = abs(first[0] - second[0]) + abs(first[1] - second[1])
        rise = abs(first[2] - first[3]) + abs(second[2] - second[3]) + abs(first[3] - second[3])
        near = level < 700 and first[3] == second[3] and abs(first[2] - second[2]) < 1200
        total = level + abs(first[2] - second[2]) if near else level + rise
        return max(300, round((total + 300) / 100) * 100)  # 150 mm left over at each end

    def _spot(self, record_id: str) -> tuple[int, int, int, int]:
        """Across, down, height in the house, height of the void that its cables lie in."""
        place = place_of(self.home, self.home.get(record_id))
        assert place is not None, record_id
        base = self._level(place.storey) * _STOREY_MM
        height = base + (place.height_mm or 0)
        default = base + (_STOREY_MM if (place.height_mm or 0) >= 1000 else 0) + _UNDER_FLOOR_MM
        return place.x_mm, place.y_mm, height, self.voids.get(record_id, default)

    def count_cables(self, but: Iterable[str] = ()) -> None:
        """Count the cables at every device and point as they are drawn: the whole home was opened and looked at."""
        counted: Counter[tuple[str, bool]] = Counter()
        for run in self.home.sorted(Run):
            for end in (run.a, run.b):
                if end.at is not None and end.at[0] in "DP":
                    counted[end.at, end.side == "load"] += 1
        skip = set(but)
        for (record_id, on_load), count in sorted(counted.items()):
            if record_id not in skip and not (record_id[0] == "D" and on_load):
                self.do(verbs.count_cables(self.home, record_id, count, load_side=on_load))

    # -- the intake ---------------------------------------------------------------------------------------------

    def supply(
        self, bonds: dict[str, tuple[YesNo, float | None]], sources: tuple[OtherSource, ...] = (), **facts: object
    ) -> None:
        listed = tuple(Bond(to=to, state=state, mm2=mm2) for to, (state, mm2) in bonds.items())
        self.do(verbs.set_supply(self.home, bonds=listed, sources=sources, sources_asked=True, phases=1, **facts))

    def ways(self) -> list[Device]:
        return self.home.sorted(Device)

    def points(self) -> list[Point]:
        return self.home.sorted(Point)


def door(along: int, width: int, kind: str = "door") -> Opening:
    return Opening(kind=kind, along_mm=along, width_mm=width, head_mm=2000)


def window(along: int, width: int, sill: int = 900) -> Opening:
    return Opening(kind="window", along_mm=along, width_mm=width, sill_mm=sill, head_mm=2100)


def _off(x: float, y: float, a: Spot, b: Spot) -> float:
    """How far a spot is off a straight piece, in mm."""
    (ax, ay), (bx, by) = a, b
    long2 = (bx - ax) ** 2 + (by - ay) ** 2
    along = max(0.0, min(1.0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / long2))
    return math.dist((x, y), (ax + along * (bx - ax), ay + along * (by - ay)))
