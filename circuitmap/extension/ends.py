"""Ends of routes put into a space: on walls, at ceilings, outdoors; once for as many routes as are wanted."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import msgspec

from circuitmap.extension.costs import Item
from circuitmap.extension.laying import laid, lines_of, zones_with
from circuitmap.extension.net import Edge, Key
from circuitmap.extension.spots import HANGS_MM, RouteError, Space, Spot3, face_of
from circuitmap.extension.void_net import ACROSS, ALONG, Entry
from circuitmap.extension.wall_net import LEVEL, UPRIGHT, begun, key_of, passed
from circuitmap.plan.elevation import Face, Stood, face_at

# An accessory outdoors hangs on the far side of a wall no thicker than this (common practice, no source).
_OUTER_WALL_MM: Final = 600.0
_SAME_SPOT_MM: Final = 1.0
_LOOSE_MM: Final = 0.75


class End(NamedTuple):
    """An end in the network: its node, what it is, "wall", "outside" or "end" (at a ceiling), and its face."""

    key: Key
    spot: Spot3
    surface: str
    face: str | None


@dataclass(frozen=True)
class Placed:
    """A space with ends in it, in the order in which they were given."""

    space: Space
    ends: tuple[End, ...]


class _At(NamedTuple):
    spot: Spot3
    face: Face | None
    u: float
    v: float


def place_ends(space: Space, spots: Sequence[Spot3]) -> Placed:
    """Put ends into a space; accessories that are yet to come make their zones for all routes between these.

    Raises
    ------
    RouteError
        When one is in mid-air, in an opening or of no height.
    """
    found = [_at(space, spot) for spot in spots]
    space, changed = _with_zones(space, found)
    outside = {n: _behind(space, at.spot) for n, at in enumerate(found) if at.face is None and _looks(at.spot)}
    extra: dict[str, set[float]] = {}
    for face, u in outside.values():
        extra.setdefault(face.id, set()).add(round(u, 1))
    lines = space.lines
    if changed or extra:
        lines = lines_of(space)
        for name, us in extra.items():
            lines[name] = msgspec.structs.replace(lines[name], us=tuple(sorted({*lines[name].us, *us})))
        changed |= {name for name in lines if lines[name] != space.lines[name]}
        changed |= {name for face in list(changed) for name in (space.over.get(face), *space.under[face]) if name}
    over = {n: _region_over(space, at.spot) for n, at in enumerate(found) if at.face is None and n not in outside}
    changed |= set(over.values())
    more: list[Edge] = []
    ends: list[End] = []
    for n, at in enumerate(found):
        key: Key = ("@", float(n), 0.0, 0)
        if at.face is not None:
            ends.append(End(key, at.spot, "wall", at.face.id))
            where = space.where[at.face.id]
            items = begun(at.face.backed(at.u), where)
            more += [Edge(key, key_of(at.face.id, at.u, at.v, way), 0.0, items, where) for way in (UPRIGHT, LEVEL)]
        elif n in outside:
            inner, along = outside[n]
            ends.append(End(key, at.spot, "outside", inner.id))
            more += _from_outside(space, key, at.spot, inner, along, lines[inner.id].vs)
        else:
            ends.append(End(key, at.spot, "end", None))
            more += _from_ceiling(space, key, at.spot, over[n])
    entries: dict[str, list[Entry]] = {}
    for n, name in over.items():
        spot = found[n].spot
        entries.setdefault(name, []).append(Entry(*space.regions[name].inner(spot.x_mm, spot.y_mm), True))
    return Placed(laid(space, frozenset(changed), lines, more, entries), tuple(ends))


def called(spot: Spot3) -> str:
    """Give what an end is called within a sentence."""
    return spot.name or f"the spot {spot.x_mm / 1000:.2f} m across, {spot.y_mm / 1000:.2f} m down"


def _named(spot: Spot3) -> str:
    says = called(spot)
    return says[0].upper() + says[1:]


def _looks(spot: Spot3) -> bool:
    return spot.faces_deg is not None


def _at(space: Space, spot: Spot3) -> _At:
    face = face_of(space.faces.values(), spot)
    return _At(spot, face, *on_face(face, spot)) if face is not None else _At(spot, None, 0.0, 0.0)


def _with_zones(space: Space, found: Iterable[_At]) -> tuple[Space, set[str]]:
    """Give the space with the zones of new accessories, and open where an end is; and the faces that changed."""
    added: dict[str, tuple[Stood, ...]] = {}
    changed: set[str] = set()
    closed = dict(space.closed)
    for at in found:
        if at.face is None:
            continue
        stood = Stood("", at.u, at.v, at.spot.wide_mm, at.spot.high_mm)
        if _is_new(space, at.face.id, stood):
            added[at.face.id] = (*added.get(at.face.id, ()), stood)
        # What an end is behind, or in, has to be worked in.
        opened = tuple(rect for rect in closed[at.face.id] if not rect.holds(at.u, at.v))
        if opened != closed[at.face.id]:
            closed[at.face.id] = opened
            changed.add(at.face.id)
    if added:
        zones, other = zones_with(space, added)
        stood_now = {**space.stood, **{face: (*space.stood.get(face, ()), *new) for face, new in added.items()}}
        space = replace(space, zones=zones, stood=stood_now)
        changed |= other
    return (replace(space, closed=closed) if changed else space), changed


def on_face(face: Face, spot: Spot3) -> tuple[float, float]:
    """Give where on a face an end is.

    Raises
    ------
    RouteError
        When it is of no height, or not on the wall.
    """
    if spot.z_mm is None:
        raise RouteError(f"How high {called(spot)} sits is not known; say its height over the floor.")
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


def _from_ceiling(space: Space, key: Key, spot: Spot3, name: str) -> Iterator[Edge]:
    region = space.regions[name]
    s, t = region.inner(spot.x_mm, spot.y_mm)
    deep = max(0.0, region.z_mm - (spot.z_mm or region.z_mm))
    board = (Item("board", "", 1.0),) if region.kind == "floor" else ()
    for layer in (ALONG, ACROSS):
        yield Edge(key, key_of(name, s, t, layer), deep, board, region.where)


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
