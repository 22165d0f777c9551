"""The space in which cables may run: faces of walls, floor voids and lofts of a home, put together as one network."""

from collections.abc import Iterable, Mapping

from circuitmap.extension.costs import Costs
from circuitmap.extension.joists import joist_rules
from circuitmap.extension.laying import laid, lines_of, zones_of
from circuitmap.extension.net import net_of
from circuitmap.extension.spots import (
    FloorKind,
    Floors,
    RouteError,
    Space,
    Spot3,
    Structure,
    assumed_structure,
    face_of,
    spot_of,
)
from circuitmap.extension.trunking import Seen, whole_face
from circuitmap.extension.void_net import crossing_lines
from circuitmap.extension.voids import regions_of, regions_under
from circuitmap.extension.wall_net import CLOSED, Rect, Timber
from circuitmap.home.records import Fixture, Room, Storey
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, Stood, across, faces_on, hidden_on, standing_on
from circuitmap.plan.permitted import zone_figures
from circuitmap.plan.zones import bathroom_zones
from circuitmap.trade import Trade

__all__ = [
    "FloorKind",
    "RouteError",
    "Space",
    "Spot3",
    "Structure",
    "assumed_structure",
    "floors_of",
    "space_of",
    "spot_of",
]


def space_of(
    home: Home, memo: Memo, trade: Trade, costs: Costs, structure: Structure | None = None,
    wished: Iterable[Spot3] = (), *, on_surface: bool = False,
) -> Space:  # fmt: skip
    """Lay out the space of a home.

    Parameters
    ----------
    home, memo, trade
        The home and its figures.
    costs
        What routes are weighed by.
    structure
        What is inside floors and above ceilings; the usual by default.
    wished
        Accessories that are to come: their zones are there for every route.
    on_surface
        Whether cables lie in trunking on walls, in sight, where zones don't bind them.
    """
    structure = structure if structure is not None else assumed_structure(home, trade)
    storeys = sorted(home.table(Storey).values(), key=lambda each: (each.level, each.id))
    faces = {face.id: face for storey in storeys for face in faces_on(home, memo, trade, storey.id)}
    stood = {f: s for storey in storeys for f, s in standing_on(home, memo, trade, storey.id).items()}
    for spot in wished:
        face = face_of(faces.values(), spot)
        if face is not None and spot.z_mm is not None:
            u, _ = face.at(spot.x_mm, spot.y_mm)
            stood[face.id] = (*stood.get(face.id, ()), Stood(spot.name, u, spot.z_mm, spot.wide_mm, spot.high_mm))
    by_storey = {s.id: [face for face in faces.values() if face.storey == s.id] for s in storeys}
    ways = {face.id: across(face, by_storey[face.storey]) for face in faces.values()}
    figures = zone_figures(trade, home.details)
    zones = {
        face.id: whole_face(face) if on_surface else zones_of(face, stood, ways, figures) for face in faces.values()
    }
    rules = joist_rules(trade, home.details)
    regions, over = regions_of(home, memo, trade, storeys, structure)
    crossing = {region.id: crossing_lines(region, rules) for region in regions.values()}
    closed = {face.id: _closed(home, memo, trade, face) for face in faces.values()}
    seen = Seen(trade.size_mm("trunking on skirting"), trade.size_mm("trunking beside opening"))
    bare = Space(
        faces=faces,
        stood=stood,
        zones=zones,
        lines={},
        ways=ways,
        following=_following(faces),
        hidden={face.id: hidden_on(home, trade, face) for face in faces.values()},
        closed=closed,
        where=names_of(home, faces),
        regions=regions,
        crossing=crossing,
        over={face.id: over[face.room] for face in faces.values() if face.room in over},
        under=regions_under(faces, regions, storeys),
        feet={},
        figures=figures,
        rules=rules,
        timber=Timber(trade.size_mm("stud spacing"), trade.size_mm("noggin height")),
        costs=costs,
        structure=structure,
        net=net_of((), costs),
        seen=seen if on_surface else None,
    )  # fmt: skip
    return laid(bare, frozenset((*faces, *regions)), lines_of(bare))


def names_of(home: Home, faces: Mapping[str, Face]) -> dict[str, str]:
    """Give what each face is called in words: its room and its wall."""
    names = {room.id: room.name for room in home.table(Room).values()}
    return {
        face.id: ", ".join(word for word in (names.get(face.room or "", ""), f"wall {face.wall or face.id}") if word)
        for face in faces.values()
    }


def floors_of(home: Home, memo: Memo, trade: Trade) -> Floors:
    """Lay out only what lies between the walls, with the usual structure; kept until rooms, walls or stairs change."""
    storeys = sorted(home.table(Storey).values(), key=lambda each: (each.level, each.id))
    faces = {face.id: face for storey in storeys for face in faces_on(home, memo, trade, storey.id)}

    def make() -> Floors:
        structure = assumed_structure(home, trade)
        regions, over = regions_of(home, memo, trade, storeys, structure)
        above = {face.id: over[face.room] for face in faces.values() if face.room in over}
        return Floors(faces, regions, above, joist_rules(trade, home.details), structure)

    return memo.get("extension.floors", "", (*storeys, *faces.values(), home.table(Fixture), home.details, trade), make)


def _following(faces: Mapping[str, Face]) -> dict[str, str]:
    """Give the face that follows each to its right, round its room."""
    of_room: dict[str, list[Face]] = {}
    for face in faces.values():
        if face.room is not None:
            of_room.setdefault(face.room, []).append(face)
    return {
        face.id: after.id
        for each in of_room.values()
        for face, after in zip(each, (*each[1:], each[0]), strict=True)
        if len(each) > 2
    }


def _closed(home: Home, memo: Memo, trade: Trade, face: Face) -> tuple[Rect, ...]:
    """Give the parts of a face where nothing may be run past: behind some fixtures, and in the zones of a bathroom."""
    import shapely

    found = [Rect(h.from_mm, 0.0, h.to_mm, h.top_mm) for h in hidden_on(home, trade, face) if h.kind in CLOSED]
    line = shapely.LineString([face.place(5.0, 0)[:2], face.place(face.length_mm - 5.0, 0)[:2]])
    for zone in bathroom_zones(home, memo, trade, face.storey):
        if zone.room != face.room:
            continue
        for part in shapely.get_parts(shapely.intersection(zone.area.buffer(1.0), line)).tolist():
            if part.length > 1:
                us = [face.at(x, y)[0] for x, y in part.coords]
                found.append(Rect(min(us), zone.bottom_mm, max(us), zone.top_mm))
    return tuple(found)
