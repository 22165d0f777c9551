"""Routes between two ends: the cheapest way that stays where a cable may run, and others that differ.

A route is a preparation, to be looked over on site by a competent person: nobody sees into a wall or a floor.
"""

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from circuitmap.extension.costs import BY_METRE
from circuitmap.extension.ends import End, Placed, called, on_face, place_ends
from circuitmap.extension.net import Edge, Key, cheapest, distances
from circuitmap.extension.spots import RouteError, Space, Spot3

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

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
    return routes_between(place_ends(space, (a, b)), 0, 1, alternatives=alternatives)


def routes_between(placed: Placed, a: int, b: int, *, alternatives: int = 1) -> tuple[Route, ...]:
    """Give routes between two ends that were put into a space, by their numbers, as ``route`` does.

    Raises
    ------
    RouteError
        When no way leads from one to the other within the zones.
    """
    one, two = placed.ends[a], placed.ends[b]
    paths = cheapest(placed.space.net, one.key, two.key, alternatives)
    if not paths:
        raise RouteError(
            f"No way leads from {called(one.spot)} to {called(two.spot)} within the zones of the walls and the floors "
            "that are known; say what the floors are, move one of them, or draw the cable by hand."
        )
    return tuple(_made(placed.space, path, (one, two)) for path in paths)


def worths(placed: Placed, only: Sequence[int] | None = None) -> "NDArray[np.float64]":
    """Give what the cheapest route between each two ends costs, in pence; infinite where there is none.

    Parameters
    ----------
    only
        The numbers of the ends from and to which costs are wanted; infinite between two others. All when None.

    Returns
    -------
    ndarray
        Of shape (ends, ends), the same both ways, zeros on the diagonal.
    """
    return distances(placed.space.net, [end.key for end in placed.ends], only)


def _made(space: Space, path: Iterable[Edge], ends: tuple[End, End]) -> Route:
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


def _path(space: Space, edges: Iterable[Edge], ends: tuple[End, End]) -> tuple[RoutePoint, ...]:
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


def _end_point(space: Space, end: End) -> RoutePoint:
    spot = end.spot
    if end.surface == "wall" and end.face is not None:
        face = space.faces[end.face]
        u, v = on_face(face, spot)
        x, y, _ = face.place(u, v)
        return RoutePoint(spot.storey, round(x, 1), round(y, 1), round(v, 1), "wall", face.id)
    z = spot.z_mm
    if z is None:
        z = next((f.height_mm for f in space.faces.values() if f.storey == spot.storey), 0.0)
    return RoutePoint(spot.storey, round(spot.x_mm, 1), round(spot.y_mm, 1), round(z, 1), end.surface, "")


def _hole_outside(space: Space, end: End, key: Key) -> RoutePoint:
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
