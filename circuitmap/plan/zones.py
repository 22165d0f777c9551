"""Zones 0, 1 and 2 round baths and showers, as areas with heights, and how far anything is from them.

Zones end at the walls of their room. Zone 2 is rounded: what is 0.60 m from the edge at the corner is on its limit, as
a string laid out from there would say.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Details, Fixture, Room, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.fixtures import outline_of
from circuitmap.plan.outlines import polygon_of
from circuitmap.plan.rooms import has_outline
from circuitmap.plan.where import room_of
from circuitmap.trade import Trade

if TYPE_CHECKING:
    import shapely

WET: Final = frozenset(("bath", "tray", "shower head"))

_MM: Final = 1000.0
# Places are whole millimetres: on the limit is within it.
_ON_LIMIT_MM: Final = 0.75
# A head nearer than this to a tray or a bath is over it (our own estimate).
_OVER_MM: Final = 300.0
_QUARTER_STEPS: Final = 32

Ring = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Figures:
    """The figures of Section 701 in one edition, in millimetres."""

    top_mm: float
    width_mm: float
    radius_mm: float
    low_top_mm: float


@dataclass(frozen=True)
class Zone:
    """One zone of a room: its area on the plan and its heights over the floor.

    ``assumed`` is whether it rests on a size that nobody drew or measured; ``fixtures`` are the ids of what makes it.
    """

    number: int
    room: str | None
    fixtures: tuple[str, ...]
    area: "shapely.Geometry"
    bottom_mm: float
    top_mm: float
    assumed: bool

    @property
    def area_m2(self) -> float:
        """The area on the plan in square metres."""
        return float(self.area.area) / 1e6

    def rings(self) -> tuple[Ring, ...]:
        """Give the outlines of its area, holes too, to be drawn."""
        import shapely

        found: list[Ring] = []
        for part in shapely.get_parts(self.area).tolist():
            if part.geom_type == "Polygon" and not part.is_empty:
                found += [tuple((x, y) for x, y in ring.coords[:-1]) for ring in (part.exterior, *part.interiors)]
        return tuple(found)


@dataclass(frozen=True)
class InZone:
    """The zone that a spot is in; ``if_below_mm`` is set where its height is unknown and it counts only below that."""

    zone: Zone
    if_below_mm: float | None


def figures_of(trade: Trade, details: Details) -> Figures:
    """Give the figures of the home's edition, its own choices first.

    **Source:** BS 7671 Section 701, 701.32.
    """
    names = ("zone 1 top m", "zone 2 width m", "zone 1 radius without tray m", "zone 0 top without tray m")
    values = (trade.limit(name, details.edition, details.choices).value * _MM for name in names)
    return Figures(*values)


def zones_in(room: Room | None, fixtures: Iterable[Fixture], trade: Trade, figures: Figures) -> tuple[Zone, ...]:
    """Give the zones that the baths, trays and shower heads of one room make, those of the lowest number first.

    Zone 0 is inside the tub or tray; zone 1 is over it up to 2.25 m, or to the highest fixed outlet where that is
    higher; zone 2 is 0.60 m beyond zone 1, of the same height. A shower without a tray has zone 1 to 1.20 m from its
    outlet, zone 0 of the same extent 0.10 m high, and no zone 2.

    **Source:** BS 7671 Section 701, 701.32.

    Parameters
    ----------
    room
        The room whose walls bound the zones; without one, or one that was not drawn, nothing does.
    fixtures
        What stands in the room; other fixtures are left out.
    trade
        For the usual sizes of what was not drawn.
    figures
        Of the edition that holds.
    """
    import shapely

    wet = sorted((f for f in fixtures if f.kind in WET), key=lambda f: natural_key(f.id))
    tubs = [f for f in wet if f.kind != "shower head"]
    shapes = [polygon_of(outline_of(f, trade)[0]) for f in tubs]
    tub_area = shapely.union_all(shapes)
    heads = [f for f in wet if f.kind == "shower head"]
    alone = [f for f in heads if not shapes or tub_area.distance(_spot(f)) > _OVER_MM]
    top = max(figures.top_mm, *(float(f.place.height_mm or f.top_mm or 0) for f in heads), 0.0)
    walls = polygon_of(room.outline_mm) if room is not None and has_outline(room) else None
    room_id = room.id if room is not None else None
    assumed = any(not outline_of(f, trade)[1] for f in tubs)

    def zone(number: int, by: Sequence[Fixture], area: "shapely.Geometry", high_mm: float, guess: bool) -> Zone:
        within = area if walls is None else area.intersection(walls)
        return Zone(number, room_id, tuple(f.id for f in by), within, 0.0, high_mm, guess)

    found: list[Zone] = []
    for tub, shape in zip(tubs, shapes, strict=True):
        usual = trade.fixture(tub.kind).top_mm
        high = float(tub.top_mm) if tub.top_mm is not None else usual
        found.append(zone(0, (tub,), shape, high, tub.top_mm is None or not outline_of(tub, trade)[1]))
    circles = [_spot(f).buffer(figures.radius_mm, quad_segs=_QUARTER_STEPS) for f in alone]
    circle = shapely.union_all(circles)
    if alone:
        found.append(zone(0, alone, circle, figures.low_top_mm, False))
    if tubs or alone:
        found.append(zone(1, (*tubs, *alone), tub_area.union(circle), top, assumed))
    if tubs:
        wide = tub_area.buffer(figures.width_mm, quad_segs=_QUARTER_STEPS)
        found.append(zone(2, tubs, wide.difference(tub_area.union(circle)), top, assumed))
    return tuple(each for each in found if not each.area.is_empty)


def bathroom_zones(home: Home, memo: Memo, trade: Trade, storey: str) -> tuple[Zone, ...]:
    """Give the zones of a storey, room by room; worked out again only when a fixture, a room or the edition changed."""
    wet = tuple(f for f in home.sorted(Fixture) if f.kind in WET and f.place.storey == storey)
    if not wet:
        return ()
    rooms = [room_of(home, memo, fixture) for fixture in wet]
    parts = (*wet, *rooms, home.details, trade)

    def make() -> tuple[Zone, ...]:
        figures = figures_of(trade, home.details)
        by_room: dict[str | None, tuple[Room | None, list[Fixture]]] = {}
        for fixture, room in zip(wet, rooms, strict=True):
            by_room.setdefault(room.id if room else None, (room, []))[1].append(fixture)
        return tuple(zone for room, inside in by_room.values() for zone in zones_in(room, inside, trade, figures))

    return memo.get("plan.zones", storey, parts, make)


def zone_at(zones: Iterable[Zone], x_mm: float, y_mm: float, height_mm: float | None) -> InZone | None:
    """Give the zone of the lowest number that a spot is in, None outside them all.

    Of what is at an unknown height the lowest zone that reaches over the tub or tray is given, on the condition that
    it is below the zone's top; what hangs lower than a tub's rim beside it is not inside it.
    """
    import shapely

    spot = shapely.Point(x_mm, y_mm)
    for zone in sorted(zones, key=lambda each: each.number):
        if zone.area.distance(spot) > _ON_LIMIT_MM:
            continue
        if height_mm is None:
            if zone.number > 0:
                return InZone(zone, zone.top_mm)
        elif zone.bottom_mm <= height_mm <= zone.top_mm and (zone.number > 0 or _is_inside(zone, spot)):
            return InZone(zone, None)
    return None


def from_zone_1_mm(zones: Iterable[Zone], x_mm: float, y_mm: float) -> float | None:
    """Give how far a spot is from the limit of the nearest zone 1, measured level; 0 in it, None without one."""
    import shapely

    spot = shapely.Point(x_mm, y_mm)
    return min((float(zone.area.distance(spot)) for zone in zones if zone.number == 1), default=None)


def ip_asked(number: int) -> str:
    """Give the protection against water that equipment in a zone needs.

    **Source:** BS 7671 701.512.2, from memory.
    """
    return "IPX7" if number == 0 else "IPX4"


def _spot(fixture: Fixture) -> "shapely.Point":
    import shapely

    return shapely.Point(fixture.place.x_mm, fixture.place.y_mm)


def _is_inside(zone: Zone, spot: "shapely.Point") -> bool:
    """Whether a spot is inside a tub, not on the wall at its edge."""
    return float(zone.area.boundary.distance(spot)) > _ON_LIMIT_MM and bool(zone.area.contains(spot))
