"""Fixtures as outlines: baths, trays, basins, sinks, hobs, units and stairs of usual sizes, put against walls.

A fixture's place is the middle of its back, at the wall, and it faces away from the wall; a stair's is the middle of
its foot, and it rises the way it faces. One without a wall stands round its place.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.records import Corner, Fixture, Place, Room
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.outlines import Side, polygon_of, sides_of
from circuitmap.plan.where import rooms_on, to_wall
from circuitmap.trade import Trade
from circuitmap.words import FixtureKind

if TYPE_CHECKING:
    import shapely

# These stand or hang anywhere: nobody means the wall when they are dropped in the middle of a room.
_FREE: Final = frozenset(("stair", "furniture", "shower head"))
_LARGEST_MM: Final = 20_000
_ON_SIDE_MM: Final = 5.0
_SNUG_MM: Final = 200.0


@dataclass(frozen=True)
class Put:
    """Where a fixture comes to stand: its place and its outline on the plan."""

    place: Place
    outline_mm: tuple[Corner, ...]


def outline_at(place: Place, wide_mm: float, deep_mm: float) -> tuple[Corner, ...]:
    """Give the outline of a fixture of a size: out from its place the way it faces, or round it if it faces nowhere."""
    if place.faces_deg is None:
        half_w, half_d = wide_mm / 2, deep_mm / 2
        corners = ((-half_w, -half_d), (half_w, -half_d), (half_w, half_d), (-half_w, half_d))
        return tuple((round(place.x_mm + x), round(place.y_mm + y)) for x, y in corners)
    ahead_x, ahead_y = _way(place.faces_deg)
    aside_x, aside_y = ahead_y, -ahead_x
    found = []
    for out, along in ((0.0, -0.5), (0.0, 0.5), (1.0, 0.5), (1.0, -0.5)):
        x = place.x_mm + out * deep_mm * ahead_x + along * wide_mm * aside_x
        y = place.y_mm + out * deep_mm * ahead_y + along * wide_mm * aside_y
        found.append((round(x), round(y)))
    return tuple(found)


def outline_of(fixture: Fixture, trade: Trade) -> tuple[tuple[Corner, ...], bool]:
    """Give a fixture's outline, and whether it was drawn; one that wasn't has the usual size at its place."""
    if len(fixture.outline_mm) >= 3:
        return fixture.outline_mm, True
    row = trade.fixture(fixture.kind)
    return outline_at(fixture.place, row.wide_mm, row.deep_mm), False


def put_at(
    home: Home,
    memo: Memo,
    trade: Trade,
    kind: FixtureKind,
    place: Place,
    *,
    wide_mm: float | None = None,
    deep_mm: float | None = None,
    reach_mm: float = 400.0,
) -> Put:
    """Give where a fixture dropped at a place comes to stand: with its back to a wall in reach, snug in corners.

    Parameters
    ----------
    home, memo, trade
        Where, and the usual sizes.
    kind
        What it is.
    place
        Where the pointer let go; ``faces_deg`` turns it where no wall is in reach.
    wide_mm, deep_mm
        Its size along the wall and out from it; the usual one by default.
    reach_mm
        How near a wall must be to be meant.

    Raises
    ------
    HomeError
        When a size is none that a fixture has.
    """
    row = trade.fixture(kind)
    wide, deep = wide_mm if wide_mm is not None else row.wide_mm, deep_mm if deep_mm is not None else row.deep_mm
    if not (0 < wide <= _LARGEST_MM and 0 < deep <= _LARGEST_MM):
        raise HomeError(f"A {row.title} can't be of that size; type its width and depth, like 1.7 × 0.7 m.")
    if kind in _FREE:
        return Put(place, outline_at(place, wide, deep))
    stands = to_wall(home, memo, place, reach_mm=reach_mm)
    if stands.faces_deg is None or stands is place:
        return Put(place, outline_at(place, wide, deep))
    stands = _snug(stands, rooms_on(home, memo, place.storey), wide)
    return Put(stands, outline_at(stands, wide, deep))


def put_fixture(
    home: Home, memo: Memo, trade: Trade, kind: FixtureKind, place: Place, *, wide_mm: float | None = None,
    deep_mm: float | None = None,
) -> Change:  # fmt: skip
    """Add a fixture at a place, with its back to the wall where one is near.

    Raises
    ------
    HomeError
        When a size is none that a fixture has.
    """
    put = put_at(home, memo, trade, kind, place, wide_mm=wide_mm, deep_mm=deep_mm)
    record = Fixture(id=home.next_id(Fixture), kind=kind, place=put.place, outline_mm=put.outline_mm)
    return Change(f"Add {trade.fixture(kind).title}", ((None, record),))


def move_fixture(home: Home, memo: Memo, trade: Trade, fixture: str, place: Place) -> Change:
    """Move a fixture with its outline to another place, turned as the wall there asks, or as the place says."""
    record = home.take(Fixture, fixture)
    wide, deep = size_of(record, trade)
    put = put_at(home, memo, trade, record.kind, place, wide_mm=wide, deep_mm=deep)
    outline = put.outline_mm
    if len(record.outline_mm) >= 3 and not _is_standard(record, wide, deep):
        outline = _carried(record, put.place)
    after = msgspec.structs.replace(record, place=put.place, outline_mm=outline)
    return Change(f"Move {trade.fixture(record.kind).title}", ((record, after),) if after != record else ())


def turn_fixture(home: Home, fixture: str, by_deg: float = 90.0) -> Change:
    """Turn a fixture with its outline about its place, to the right as the plan is seen."""
    record = home.take(Fixture, fixture)
    faces = round(((record.place.faces_deg or 0.0) + by_deg) % 360, 1) % 360
    place = msgspec.structs.replace(record.place, faces_deg=faces, wall=None)
    before = msgspec.structs.replace(record, place=msgspec.structs.replace(record.place, faces_deg=faces - by_deg))
    after = msgspec.structs.replace(record, place=place, outline_mm=_carried(before, place))
    return Change(f"Turn {record.kind}", ((record, after),))


def size_of(fixture: Fixture, trade: Trade) -> tuple[float, float]:
    """Give how wide a fixture is along its wall and how deep, from its outline or else as usual."""
    row = trade.fixture(fixture.kind)
    if len(fixture.outline_mm) < 3:
        return row.wide_mm, row.deep_mm
    ahead_x, ahead_y = _way(fixture.place.faces_deg if fixture.place.faces_deg is not None else 90.0)
    ahead = [x * ahead_x + y * ahead_y for x, y in fixture.outline_mm]
    aside = [x * ahead_y - y * ahead_x for x, y in fixture.outline_mm]
    return max(aside) - min(aside), max(ahead) - min(ahead)


def level_distance_mm(outline_mm: Sequence[Corner], x_mm: float, y_mm: float) -> float:
    """Give how far a spot lies from the edge of an outline, measured level; 0 inside it."""
    import shapely

    return float(polygon_of(outline_mm).distance(shapely.Point(x_mm, y_mm)))


def shape_of(fixture: Fixture, trade: Trade) -> "shapely.Geometry":
    """Give the area that a fixture covers."""
    return polygon_of(outline_of(fixture, trade)[0])


def _snug(place: Place, rooms: Sequence[Room], wide_mm: float) -> Place:
    """Slide a fixture along its wall so that it ends with the wall rather than in the next, and closes a small gap."""
    side = _side_at(place, rooms)
    if side is None or side.length < wide_mm:
        return place
    along = (place.x_mm - side.x) * side.along_x + (place.y_mm - side.y) * side.along_y
    low, high = wide_mm / 2, side.length - wide_mm / 2
    nearer = low if along < side.length / 2 else high
    if abs(along - nearer) <= _SNUG_MM or not low <= along <= high:
        along = nearer
    x, y = side.x + along * side.along_x, side.y + along * side.along_y
    return msgspec.structs.replace(place, x_mm=round(x), y_mm=round(y))


def _side_at(place: Place, rooms: Sequence[Room]) -> Side | None:
    ahead_x, ahead_y = _way(place.faces_deg or 0.0)
    for room in rooms:
        for side in sides_of(room.outline_mm):
            dx, dy = place.x_mm - side.x, place.y_mm - side.y
            off = abs(dx * side.along_y - dy * side.along_x)
            along = dx * side.along_x + dy * side.along_y
            # Inwards is a quarter turn on from the side's direction.
            inwards = -side.along_y * ahead_x + side.along_x * ahead_y
            if off <= _ON_SIDE_MM and -_ON_SIDE_MM <= along <= side.length + _ON_SIDE_MM and inwards > 0.99:
                return side
    return None


def _is_standard(fixture: Fixture, wide: float, deep: float) -> bool:
    return set(fixture.outline_mm) == set(outline_at(fixture.place, wide, deep))


def _carried(fixture: Fixture, to: Place) -> tuple[Corner, ...]:
    """Give an outline moved and turned with its place."""
    before, after = fixture.place, to
    turn = 0.0
    if before.faces_deg is not None and after.faces_deg is not None:
        turn = math.radians(after.faces_deg - before.faces_deg)
    found = []
    for x, y in fixture.outline_mm:
        dx, dy = x - before.x_mm, y - before.y_mm
        turned_x = dx * math.cos(turn) - dy * math.sin(turn)
        turned_y = dx * math.sin(turn) + dy * math.cos(turn)
        found.append((round(after.x_mm + turned_x), round(after.y_mm + turned_y)))
    return tuple(found)


def _way(faces_deg: float) -> tuple[float, float]:
    return math.cos(math.radians(faces_deg)), math.sin(math.radians(faces_deg))
