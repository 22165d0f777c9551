"""The floor voids and lofts of a home: which there are, over and under which rooms and faces."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

from circuitmap.extension.spots import Structure
from circuitmap.extension.void_net import Region, short_way
from circuitmap.home.records import Fixture, Room, Storey
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face
from circuitmap.plan.fixtures import shape_of
from circuitmap.plan.outlines import polygon_of
from circuitmap.plan.rooms import WALL_GAP_MM, has_outline
from circuitmap.plan.where import rooms_on
from circuitmap.trade import Trade

if TYPE_CHECKING:
    import shapely


def regions_of(
    home: Home, memo: Memo, trade: Trade, storeys: list[Storey], structure: Structure
) -> tuple[dict[str, Region], dict[str, str]]:
    """Give the voids by their ids, and which one is above each room."""
    import shapely

    found: dict[str, Region] = {}
    over: dict[str, str] = {}
    thick = trade.size_mm("floor thickness")
    for storey in storeys:
        height = float(storey.height_mm or trade.size_mm("storey height"))
        upper = next((each for each in storeys if each.level > storey.level), None)
        upstairs = _covered(home, memo, upper) if upper is not None else None
        flights = shapely.union_all(
            [shape_of(f, trade) for f in home.sorted(Fixture) if f.kind == "stair" and f.place.storey == storey.id]
        )
        for room in rooms_on(home, memo, storey.id):
            if not has_outline(room):
                continue
            area = polygon_of(room.outline_mm)
            if upper is None:
                if structure.loft:
                    region = _region(f"above {room.id}", room, area, height + thick / 5, "loft", structure)
                    found[region.id] = region
                    over[room.id] = region.id
            # A room with nothing drawn over it has a roof of its own, that nobody gets into.
            elif (
                structure.floors.get(upper.id) == "timber"
                and upstairs is not None
                and (upstairs.is_empty or area.intersection(upstairs).area > area.area / 2)
            ):
                open_ = area.difference(flights)
                if open_.area > 0:
                    region = _region(f"above {room.id}", room, open_, height + thick / 2, "floor", structure)
                    found[region.id] = region
                    over[room.id] = region.id
            if storey is storeys[0] and structure.floors.get(storey.id) == "timber":
                region = _region(f"under {room.id}", room, area, -thick / 2, "floor", structure)
                found[region.id] = region
    return found, over


def _covered(home: Home, memo: Memo, storey: Storey) -> "shapely.Geometry":
    import shapely

    rooms = [polygon_of(room.outline_mm) for room in rooms_on(home, memo, storey.id) if has_outline(room)]
    return shapely.buffer(shapely.union_all(rooms), WALL_GAP_MM)


def _region(
    name: str, room: Room, area: "shapely.Geometry", z_mm: float, kind: Literal["floor", "loft"], structure: Structure
) -> Region:
    told = structure.joist_deg.get(room.id)
    way = (math.cos(math.radians(told)), math.sin(math.radians(told))) if told is not None else short_way(area)
    side = "under" if z_mm < 0 else "above"
    where = f"loft above {room.name}" if kind == "loft" else f"floor {side} {room.name}"
    storey = room.storey or ""
    return Region(
        name, storey, area, *way, z_mm, kind, structure.joist_spacing_mm, structure.joist_depth_mm, where
    )  # fmt: skip


def regions_under(
    faces: Mapping[str, Face], regions: Mapping[str, Region], storeys: list[Storey]
) -> dict[str, tuple[str, ...]]:
    """Give, for every face, the regions that it may stand over."""
    import shapely

    below = {storey.id: [s.id for s in storeys if s.level < storey.level][-1:] for storey in storeys}
    found: dict[str, tuple[str, ...]] = {}
    for face in faces.values():
        line = shapely.LineString([face.place(0, 0)[:2], face.place(face.length_mm, 0)[:2]])
        found[face.id] = tuple(
            region.id
            for region in regions.values()
            if region.kind == "floor"
            and (
                (region.z_mm > 0 and region.storey in below[face.storey])
                or (region.z_mm < 0 and region.id == f"under {face.room}")
            )
            and line.distance(region.area) <= WALL_GAP_MM
        )
    return found
