"""Routes between two ends: the cheapest way that stays where a cable may run, and others that differ.

A route is a preparation, to be looked over on site by a competent person: nobody sees into a wall or a floor.
"""

import math
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

import msgspec
from msgspec import Struct

from circuitmap.extension.costs import BY_METRE, Item
from circuitmap.extension.laying import laid, lines_of, zones_with
from circuitmap.extension.net import Edge, Key, cheapest
from circuitmap.extension.spots import HANGS_MM, RouteError, Space, Spot3, face_of
from circuitmap.extension.void_net import ACROSS, ALONG, Entry
from circuitmap.extension.wall_net import LEVEL, UPRIGHT, begun, key_of, passed
from circuitmap.plan.elevation import Face, Stood, face_at

# An accessory outdoors hangs on the far side of a wall no thicker than this (common practice, no source).
_OUTER_WALL_MM: Final = 600.0
_SAME_SPOT_MM: Final = 1.0
_LOOSE_MM: Final = 0.75
_WHOLE: Final = 1e-6


class RoutePoint(NamedTuple):
    """A spot of a route: storey, place and height over its floor in mm; "wall", "floor", "loft", "outside" or "end".

    ``on`` is the id of the face or of the void.
    """

    storey: str
    x_mm: float
    y_mm: float
    z_mm: float
    surface: str
    on: str


class RoutePart(Struct, frozen=True):
    """What a route takes of one kind in one place: metres of it, or how many; ``build`` is that of the wall.

    Kinds by the metre are chase, stud (fished inside one), void, loft and surface; counted are set up, drop, noggin,
    stud crossed, joist, board, carpet, wall passed, corner, bend and behind furniture.
    """

    kind: str
    build: str
    metres: float
    count: int
    where: str


class Route(Struct, frozen=True):
    """One way for a cable: its path, length in mm, worth in pence with its minutes, and what it is made of."""

    path: tuple[RoutePoint, ...]
    length_mm: float
    cost: float
    minutes: float
    parts: tuple[RoutePart, ...]
    assumes: tuple[str, ...] = ()


class _End(NamedTuple):
    key: Key
    spot: Spot3
    surface: str
    face: str | None


def route(space: Space, a: Spot3, b: Spot3, *, alternatives: int = 3) -> tuple[Route, ...]:
    """Give routes from one end to another: the cheapest, then others that really differ, the cheaper first.

    Parameters
    ----------
    space
        Where cables may run.
    a, b
        The two ends. An accessory that is yet to come makes its zones for this route.
    alternatives
        How many routes are wanted at most.

    Raises
    ------
    RouteError
        When an end is in mid-air or of no height, or no way leads from one to the other within the zones.
    """
    there, ends = _with_ends(space, a, b)
    paths = cheapest(there.net, ends[0].key, ends[1].key, alternatives)
    if not paths:
        raise RouteError(
            f"No way leads from {_called(a)} to {_called(b)} within the zones of the walls and the floors that are "
            "known; say what the floors are, move one of them, or draw the cable by hand."
        )
    return tuple(_made(there, path, ends) for path in paths)


def _with_ends(space: Space, a: Spot3, b: Spot3) -> tuple[Space, tuple[_End, _End]]:
    """Give the space with both ends in it, and the ends."""
    added: dict[str, tuple[Stood, ...]] = {}
    found: list[tuple[Spot3, Face | None, float, float]] = []
    for spot in (a, b):
        face = face_of(space.faces.values(), spot)
        if face is not None:
            u, v = _on(face, spot)
            added[face.id] = (*added.get(face.id, ()), Stood("", u, v, spot.wide_mm, spot.high_mm))
            found.append((spot, face, u, v))
        else:
            found.append((spot, None, 0.0, 0.0))
    changed: set[str] = set()
    outside: dict[int, tuple[Face, float]] = {}
    extra: dict[str, set[float]] = {}
    lines = space.lines
    if any(_is_new(space, face, stood) for face, each in added.items() for stood in each):
        zones, changed = zones_with(space, added)
        space = _replaced(space, zones=zones, stood={
            **space.stood, **{face: (*space.stood.get(face, ()), *new) for face, new in added.items()}
        })  # fmt: skip
    for number, (spot, face, u, v) in enumerate(found):
        if face is not None:
            opened = tuple(rect for rect in space.closed[face.id] if not rect.holds(u, v))
            if opened != space.closed[face.id]:
                space = _replaced(space, closed={**space.closed, face.id: opened})
                changed.add(face.id)
        elif spot.faces_deg is not None:
            inner = _behind(space, spot)
            outside[number] = inner
            extra.setdefault(inner[0].id, set()).add(round(inner[1], 1))
    if changed or extra:
        lines = lines_of(space)
        for name, us in extra.items():
            lines[name] = msgspec.structs.replace(lines[name], us=tuple(sorted({*lines[name].us, *us})))
        changed |= {name for name in lines if lines[name] != space.lines[name]}
        changed |= {name for face in list(changed) for name in (space.over.get(face), *space.under[face]) if name}
    ceiling = [
        (spot, _region_over(space, spot)) for spot, face, _, _ in found if face is None and spot.faces_deg is None
    ]
    changed |= {region for _, region in ceiling}
    more: list[Edge] = []
    ends: list[_End] = []
    for number, (spot, face, u, v) in enumerate(found):
        key: Key = ("@", float(number), 0.0, 0)
        if face is not None:
            ends.append(_End(key, spot, "wall", face.id))
            more += [
                Edge(key, key_of(face.id, u, v, layer), 0.0, begun(face.backed(u), space.where[face.id]))
                for layer in (UPRIGHT, LEVEL)
            ]
        elif number in outside:
            inner_face, along = outside[number]
            ends.append(_End(key, spot, "outside", inner_face.id))
            more += _from_outside(space, key, spot, inner_face, along, lines[inner_face.id].vs)
        else:
            region = space.regions[_region_over(space, spot)]
            ends.append(_End(key, spot, "end", None))
            s, t = region.inner(spot.x_mm, spot.y_mm)
            deep = max(0.0, region.z_mm - (spot.z_mm or region.z_mm))
            board = (Item("board", "", 1.0),) if region.kind == "floor" else ()
            more += [Edge(key, key_of(region.id, s, t, layer), deep, board, region.where) for layer in (ALONG, ACROSS)]
    there = laid(space, frozenset(changed), lines, more, _ceiling_entries(space, ceiling))
    return there, (ends[0], ends[1])


def _replaced(space: Space, **facts: object) -> Space:
    from dataclasses import replace

    return replace(space, **facts)  # type: ignore[arg-type]  # the names are those of the fields


def _ceiling_entries(space: Space, ceiling: Iterable[tuple[Spot3, str]]) -> dict[str, list[Entry]]:
    found: dict[str, list[Entry]] = {}
    for spot, name in ceiling:
        found.setdefault(name, []).append(Entry(*space.regions[name].inner(spot.x_mm, spot.y_mm), True))
    return found


def _on(face: Face, spot: Spot3) -> tuple[float, float]:
    if spot.z_mm is None:
        raise RouteError(f"How high {_called(spot)} sits is not known; say its height over the floor.")
    if not 0 <= spot.z_mm <= face.height_mm:
        raise RouteError(
            f"{_named(spot)} at {spot.z_mm / 1000:.2f} m is not on its wall, which is "
            f"{face.height_mm / 1000:.2f} m high; change its height."
        )
    u = min(max(face.at(spot.x_mm, spot.y_mm)[0], 0.0), face.length_mm)
    for hole in face.holes:
        if hole.from_mm < u < hole.to_mm and hole.sill_mm < spot.z_mm < hole.head_mm:
            raise RouteError(f"{_named(spot)} is in a {hole.kind}; move it beside that.")
    return u, spot.z_mm


def _is_new(space: Space, face: str, stood: Stood) -> bool:
    """Whether a face has no accessory as large in that spot."""
    for each in space.stood.get(face, ()):
        if each.v is not None and stood.v is not None:
            apart = max(abs(each.u - stood.u), abs(each.v - stood.v))
            if apart <= _SAME_SPOT_MM and each.wide_mm >= stood.wide_mm and each.high_mm >= stood.high_mm:
                return False
    return True


def _behind(space: Space, spot: Spot3) -> tuple[Face, float]:
    """Give the face on the inside of the wall that an accessory outdoors hangs on, and where along it."""
    back = ((spot.faces_deg or 0.0) + 180) % 360
    on_storey = [face for face in space.faces.values() if face.storey == spot.storey]
    face = face_at(on_storey, spot.x_mm, spot.y_mm, back, reach_mm=_OUTER_WALL_MM)
    if face is None or spot.z_mm is None or not 0 <= spot.z_mm <= face.height_mm:
        raise RouteError(f"{_named(spot)} stands on no wall that is drawn, or at no height; put it on one.")
    return face, min(max(face.at(spot.x_mm, spot.y_mm)[0], 0.0), face.length_mm)


def _from_outside(space: Space, key: Key, spot: Spot3, face: Face, u: float, vs: Iterable[float]) -> Iterator[Edge]:
    """Give the ways in from an accessory outdoors: along the outside to where a hole comes out in a zone."""
    thick = abs(face.at(spot.x_mm, spot.y_mm)[1])
    backed = face.backed(u)
    for v in vs:
        up = abs(v - (spot.z_mm or 0.0))
        items = (Item("surface", "", up / 1000), passed(backed), *begun(backed, space.where[face.id]))
        for layer in (UPRIGHT, LEVEL):
            yield Edge(key, key_of(face.id, u, v, layer), up + thick, items, f"outside of {space.where[face.id]}")


def _region_over(space: Space, spot: Spot3) -> str:
    import shapely

    at = shapely.Point(spot.x_mm, spot.y_mm)
    heights = {face.storey: face.height_mm for face in space.faces.values()}
    for region in space.regions.values():
        if region.storey == spot.storey and region.z_mm > 0 and region.area.distance(at) <= _LOOSE_MM:
            if spot.z_mm is not None and spot.z_mm < heights.get(spot.storey, 0.0) - HANGS_MM:
                raise RouteError(f"{_named(spot)} is in mid-air; put it on a wall or the ceiling.")
            return region.id
    raise RouteError(
        f"{_named(spot)} is on no wall, and nothing is known of a void above it that a "
        "cable could come through; put it on a wall."
    )


def _made(space: Space, path: Iterable[Edge], ends: tuple[_End, _End]) -> Route:
    edges = list(path)
    costs = space.costs
    amounts: dict[tuple[str, str, str], float] = {}
    for edge in edges:
        for item in edge.items:
            key = (item.where or edge.where, item.kind, item.build)
            amounts[key] = amounts.get(key, 0.0) + item.amount
    parts = tuple(
        RoutePart(kind, build, round(amount, 3), 0, where)
        if kind in BY_METRE
        else RoutePart(kind, build, 0.0, math.ceil(amount - _WHOLE), where)
        for (where, kind, build), amount in amounts.items()
        if amount > _WHOLE
    )
    kinds = {part.kind for part in parts}
    assumes = [says for says in space.structure.says if _bears_on(says, kinds)]
    if any(part.build == "unknown" for part in parts):
        assumes.append("A wall of unknown build is taken for brick.")
    return Route(
        path=_path(space, edges, ends),
        length_mm=round(sum(edge.mm for edge in edges), 1),
        cost=sum(costs.worth(edge.items, edge.mm) for edge in edges),
        minutes=sum(costs.minutes(edge.items) for edge in edges),
        parts=parts,
        assumes=tuple(assumes),
    )


def _bears_on(says: str, kinds: set[str]) -> bool:
    return ("void" in kinds and "timber" in says) or ("loft" in kinds and "loft" in says and "No " not in says)


def _path(space: Space, edges: Iterable[Edge], ends: tuple[_End, _End]) -> tuple[RoutePoint, ...]:
    first, last = ends
    spots = [_end_point(space, first)]
    for edge in edges:
        if edge.a == first.key and first.surface == "outside":
            spots.append(_hole_outside(space, first, edge.b))
        if edge.b == last.key and last.surface == "outside":
            spots.append(_hole_outside(space, last, edge.a))
        if edge.b[0] != "@":
            spots.append(RoutePoint(*_tenths(space.position(edge.b)), edge.b[0]))
    spots.append(_end_point(space, last))
    return _straightened(spots)


def _tenths(at: tuple[str, float, float, float, str]) -> tuple[str, float, float, float, str]:
    storey, x, y, z, surface = at
    return storey, round(x, 1), round(y, 1), round(z, 1), surface


def _end_point(space: Space, end: _End) -> RoutePoint:
    spot = end.spot
    if end.surface == "wall" and end.face is not None:
        face = space.faces[end.face]
        u, v = _on(face, spot)
        x, y, _ = face.place(u, v)
        return RoutePoint(spot.storey, round(x, 1), round(y, 1), round(v, 1), "wall", face.id)
    z = spot.z_mm
    if z is None:
        z = next((f.height_mm for f in space.faces.values() if f.storey == spot.storey), 0.0)
    return RoutePoint(spot.storey, round(spot.x_mm, 1), round(spot.y_mm, 1), round(z, 1), end.surface, "")


def _hole_outside(space: Space, end: _End, key: Key) -> RoutePoint:
    """Give where, on the outside, the hole through the wall is."""
    level = space.position(key)[3]
    return RoutePoint(end.spot.storey, round(end.spot.x_mm, 1), round(end.spot.y_mm, 1), round(level, 1), "outside", "")


def _straightened(spots: list[RoutePoint]) -> tuple[RoutePoint, ...]:
    """Give a path without doubles, and without spots in the middle of a straight stretch."""
    kept: list[RoutePoint] = []
    for spot in spots:
        if kept and kept[-1][:4] == spot[:4] and kept[-1].on == spot.on:
            continue
        if len(kept) > 1 and kept[-2].on == kept[-1].on == spot.on and _in_line(kept[-2], kept[-1], spot):
            kept[-1] = spot
        else:
            kept.append(spot)
    return tuple(kept)


def _in_line(one: RoutePoint, two: RoutePoint, three: RoutePoint) -> bool:
    a, b, c = one[1:4], two[1:4], three[1:4]
    return abs(math.dist(a, b) + math.dist(b, c) - math.dist(a, c)) < 0.01


def _called(spot: Spot3) -> str:
    return spot.name or f"the spot {spot.x_mm / 1000:.2f} m across, {spot.y_mm / 1000:.2f} m down"


def _named(spot: Spot3) -> str:
    called = _called(spot)
    return called[0].upper() + called[1:]
