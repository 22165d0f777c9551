"""Laying a space out as a network: each face and each void by its lines, and the ways from one to the next."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from circuitmap.extension.costs import Item
from circuitmap.extension.net import Edge, Key, net_of
from circuitmap.extension.spots import Space
from circuitmap.extension.trunking import along_the_face, beside_openings, on_the_face, whole_face
from circuitmap.extension.void_net import ACROSS, ALONG, Entry, Region, entered, passed_over, region_edges
from circuitmap.extension.wall_net import (
    UPRIGHT,
    Lines,
    begun,
    corner_edges,
    face_edges,
    key_of,
    matching,
    own_us,
    own_vs,
    passed,
    through_edges,
)
from circuitmap.plan.elevation import Across, Face, Stood
from circuitmap.plan.permitted import Permitted, ZoneFigures, permitted
from circuitmap.plan.rooms import WALL_GAP_MM


def lines_of(space: Space) -> dict[str, Lines]:
    """Give the lines of every face: its own, and those of the faces beside it and on the other side of its wall."""
    us: dict[str, set[float]] = {}
    vs: dict[str, set[float]] = {}
    for face in space.faces.values():
        us[face.id] = own_us(face, space.zones[face.id], space.stood.get(face.id, ()), space.figures)
        vs[face.id] = own_vs(face, space.zones[face.id], space.figures)
        if space.seen is not None:
            us[face.id] |= beside_openings(face, space.seen)
            vs[face.id] |= along_the_face(face, space.stood.get(face.id, ()), space.seen)
    met = {name: own | _over_crossings(space, space.faces[name]) for name, own in us.items()}
    full_us = {name: set(own) for name, own in met.items()}
    full_vs = {name: set(own) for name, own in vs.items()}
    for name, ways in space.ways.items():
        for way in ways:
            full_us[name] |= {
                round(way.offset_mm - u, 1) for u in met[way.face] if way.from_mm <= way.offset_mm - u <= way.to_mm
            }
    for name, after in space.following.items():
        full_vs[name] |= vs[after]
        full_vs[after] |= vs[name]
    return {
        name: Lines(
            tuple(sorted(full_us[name])),
            tuple(sorted(full_vs[name])),
            frozenset(full_us[name] if space.on_surface else us[name]),
            frozenset(full_vs[name] if space.on_surface else vs[name]),
        )
        for name in space.faces
    }


def laid(
    space: Space, changed: frozenset[str], lines: dict[str, Lines], more: Iterable[Edge] = (),
    entries: Mapping[str, Iterable[Entry]] | None = None,
) -> Space:  # fmt: skip
    """Give a space whose network has some pieces laid out anew.

    Parameters
    ----------
    space
        The space as it is.
    changed
        Its faces and voids that are laid out anew.
    lines
        The lines of its faces.
    more
        Stretches on top of those; one that ends where no piece has a node is left out.
    entries
        More spots at which voids are entered.
    """
    now = replace(space, lines=lines)
    feet = {name: tuple(_feet(now, now.faces[name])) for name in changed if name in now.faces}
    now = replace(now, feet={**space.feet, **feet})
    inner: list[Edge] = []
    for piece in sorted(changed):
        if piece in now.faces:
            face = now.faces[piece]
            inner += face_edges(
                face, now.zones[piece], lines[piece], now.hidden[piece], now.closed[piece], now.timber,
                now.where[piece],
            )  # fmt: skip
        else:
            region = now.regions[piece]
            at = [*_entries(now, region), *(entries or {}).get(piece, ())]
            inner += region_edges(region, at, now.crossing[piece], now.rules)
    nodes = {key for edge in inner for key in (edge.a, edge.b)}
    known = {key for key in space.net.keys if key[0] not in changed} | nodes
    inner += _between(now, changed, known)
    inner += [edge for edge in more if edge.b in known]
    if now.on_surface:
        inner = [edge._replace(items=on_the_face(edge.items)) for edge in inner]
    return replace(now, net=net_of(inner, now.costs, space.net, changed))


def zones_with(space: Space, added: Mapping[str, tuple[Stood, ...]]) -> tuple[dict[str, Permitted], set[str]]:
    """Give the zones of all faces with more accessories standing, and which faces they are other on."""
    stood = {**space.stood, **{face: (*space.stood.get(face, ()), *new) for face, new in added.items()}}
    changed = set(added) | {way.face for face in added for way in space.ways[face]}
    zones = dict(space.zones)
    for face in changed:
        zones[face] = (
            whole_face(space.faces[face])
            if space.on_surface
            else zones_of(space.faces[face], stood, space.ways, space.figures)
        )
    return zones, changed


def zones_of(
    face: Face, stood: Mapping[str, tuple[Stood, ...]], ways: Mapping[str, tuple[Across, ...]], figures: ZoneFigures
) -> Permitted:
    """Give the zones of one face by what stands on it and on the other side of its wall."""
    reverse = [(way, stood.get(way.face, ())) for way in ways[face.id]]
    return permitted(face, stood.get(face.id, ()), figures, reverse)


def _over_crossings(space: Space, face: Face) -> set[float]:
    """Give where, along a face that runs with the joists, the lines across them come to it."""
    region = space.regions.get(space.over.get(face.id, ""))
    if region is None or not runs_with(face, region):
        return set()
    us = (face.at(*region.outer(s, region.inner(face.x, face.y)[1]))[0] for s in space.crossing[region.id])
    return {round(u, 1) for u in us if 0 < u < face.length_mm}


def _entries(space: Space, region: Region) -> list[Entry]:
    """Give where a region is entered: along its own walls, and under those that stand over it."""
    found = []
    for face in space.faces.values():
        if space.over.get(face.id) == region.id:
            is_with = runs_with(face, region)
            found += [
                Entry(*region.inner(*face.place(u, 0)[:2]), is_with and _is_accessory(space, face, u))
                for u in space.lines[face.id].us
            ]
        if region.id in space.under[face.id]:
            found += [
                Entry(*at, _is_accessory(space, face, u)) for u, name, at in space.feet[face.id] if name == region.id
            ]
    return found


def _is_accessory(space: Space, face: Face, u: float) -> bool:
    """Whether an accessory is on a line of a face, or on the other side of its wall there."""
    return any(abs(each.u - u) < 0.1 for each in space.stood.get(face.id, ())) or any(
        abs(way.offset_mm - each.u - u) < 0.1 for way in space.ways[face.id] for each in space.stood.get(way.face, ())
    )


def runs_with(face: Face, region: Region) -> bool:
    """Whether a face runs with the joists of a void, rather than across them."""
    return abs(face.along_x * region.way_x + face.along_y * region.way_y) > 0.7


def _feet(space: Space, face: Face) -> Iterator[tuple[float, str, tuple[float, float]]]:
    """Give the upright lines of a face that reach the floor, with the region under each and where they come into it."""
    import shapely

    candidates = [space.regions[name] for name in space.under[face.id]]
    if not candidates:
        return
    zones = space.zones[face.id]
    for u in sorted(space.lines[face.id].own_us):
        spans = zones.spans(True, u)
        if not spans or spans[0][0] > 0.5:
            continue
        x, y = face.place(u, 0)[:2]
        spot = shapely.Point(x - 40 * face.along_y, y + 40 * face.along_x)
        region = min(candidates, key=lambda each: (each.area.distance(spot), each.id))
        if region.area.distance(spot) <= WALL_GAP_MM:
            near = shapely.get_coordinates(shapely.shortest_line(region.area, shapely.Point(x, y)))[0].tolist()
            yield u, region.id, region.inner(*near)


def _between(space: Space, changed: frozenset[str], known: set[Key]) -> Iterator[Edge]:
    """Give the ways from piece to piece, of which at least one is laid out anew."""
    for name, after in space.following.items():
        if name in changed or after in changed:
            yield from (
                edge
                for edge in corner_edges(
                    space.faces[name], space.faces[after], space.lines[name], space.lines[after], space.where
                )
                if edge.a in known and edge.b in known
            )
    for name, ways in space.ways.items():
        for way in ways:
            if name < way.face and (name in changed or way.face in changed):
                yield from through_edges(
                    space.faces[name], space.faces[way.face], way, space.lines[name], space.lines[way.face], known,
                    space.where,
                )  # fmt: skip
            yield from _over_wall(space, name, way, changed, known)
    for face in space.faces.values():
        yield from _heads(space, face, changed, known)


def _over_wall(space: Space, name: str, way: Across, changed: frozenset[str], known: set[Key]) -> Iterator[Edge]:
    one, two = space.regions.get(space.over.get(name, "")), space.regions.get(space.over.get(way.face, ""))
    if one is None or two is None or not name < way.face or not (one.id in changed or two.id in changed):
        return
    here, there = space.faces[name], space.faces[way.face]
    for u in space.lines[name].us:
        other = matching(space.lines[way.face].us, way.offset_mm - u)
        if other is None or not way.from_mm <= u <= way.to_mm:
            continue
        ends = [_landing(region, face, at, known) for region, face, at in ((one, here, u), (two, there, other))]
        if ends[0] is not None and ends[1] is not None:
            backed = here.backed(u)
            hole = (passed(backed),) if one.kind == "floor" and backed.build != "stud" else ()
            items = (*hole, *passed_over(one), *passed_over(two))
            yield Edge(ends[0], ends[1], way.thickness_mm, items, one.where)


def _landing(region: Region, face: Face, u: float, known: set[Key]) -> Key | None:
    """Give the node at which a cable goes over a wall, the way that it then runs."""
    s, t = region.inner(*face.place(u, 0)[:2])
    layers = (ACROSS, ALONG) if runs_with(face, region) else (ALONG, ACROSS)
    return next((key for layer in layers if (key := key_of(region.id, s, t, layer)) in known), None)


def _heads(space: Space, face: Face, changed: frozenset[str], known: set[Key]) -> Iterator[Edge]:
    """Give the ways from a face into the void above it, and into the one under it."""
    over = space.regions.get(space.over.get(face.id, ""))
    ways: list[tuple[float, float, Region, tuple[float, float]]] = []
    if over is not None and (face.id in changed or over.id in changed):
        ways += [(u, face.height_mm, over, over.inner(*face.place(u, 0)[:2])) for u in space.lines[face.id].us]
    if face.id in changed or any(name in changed for name in space.under[face.id]):
        ways += [(u, 0.0, space.regions[name], at) for u, name, at in space.feet[face.id]]
    for u, v, region, (s, t) in ways:
        wall = key_of(face.id, u, v, UPRIGHT)
        if wall not in known:
            continue
        backed = face.backed(u)
        items = (Item("drop", backed.build, 1.0), *begun(backed, space.where[face.id]), *entered(region))
        deep = abs(region.z_mm - v) if v > 0 or region.z_mm < 0 else _floor_depth(region, space)
        for layer in (ALONG, ACROSS):
            void = key_of(region.id, s, t, layer)
            if void in known:
                yield Edge(wall, void, deep, items, space.where[face.id])


def _floor_depth(region: Region, space: Space) -> float:
    """Give how far a void's middle is under the floor over it: as far as over the ceiling under it."""
    heights = [face.height_mm for face in space.faces.values() if space.over.get(face.id) == region.id]
    return region.z_mm - heights[0] if heights else 0.0
