"""Wishes as points that could be: where each would stand, and what keeps one from it."""

from collections.abc import Mapping
from dataclasses import dataclass

from circuitmap.extension.asked import Asked
from circuitmap.extension.ends import on_face, place_ends
from circuitmap.extension.papers import Place as SpecialPlace
from circuitmap.extension.spots import RouteError, Space, Spot3, face_of
from circuitmap.home.records import Place, Point, Wish
from circuitmap.plan.elevation import Face, size_on_wall
from circuitmap.plan.where import place_of, room_of
from circuitmap.plan.zones import bathroom_zones, zone_at
from circuitmap.trade import PointRow

_OUTDOORS = frozenset({"outdoor socket", "outdoor light"})


@dataclass(frozen=True, eq=False)
class Wished:
    """One wish with the point that it would be, its spot, its face, and the special places that it is in.

    ``was`` is the point that is there now, for a wish that moves or removes one.
    """

    number: int
    wish: Wish
    point: Point
    spot: Spot3
    face: Face | None
    where: str
    build: str
    row: PointRow
    places: frozenset[SpecialPlace]
    was: Point | None = None

    @property
    def says(self) -> str:
        """Give it in words: a twin socket in the kitchen."""
        return said(self.point, self.row)

    @property
    def power_w(self) -> float | None:
        """Give what is to be plugged in or fixed here, in watts; customary where nothing is said, None if not known."""
        known = [load.power_w for load in self.point.loads if load.power_w is not None]
        return sum(known) if known else self.row.fixed_load_w


def said(point: Point, row: PointRow) -> str:
    """Give what a point is, with its gangs where they count."""
    size = {1: "", 2: "twin "}.get(point.gangs, f"{point.gangs}-gang ") if row.is_socket_outlet else ""
    return f"{size}{row.title}"


def wished(
    asked: Asked, wishes: Mapping[int, Wish], space: Space, skip: int = 0
) -> tuple[tuple[Wished, ...], tuple[tuple[int, str], ...]]:
    """Give the points that wishes, by their numbers, would bring, and a sentence for each that can't be.

    Parameters
    ----------
    skip
        How many ids of points are taken already by what else is planned.
    """
    found: list[Wished] = []
    refused: list[tuple[int, str]] = []
    for number, wish in wishes.items():
        try:
            found.append(_wished(asked, number, wish, space, skip + len(found)))
        except RouteError as error:
            refused.append((number, f"Requirement {number + 1}: {error}"))
    return tuple(found), tuple(refused)


def _wished(asked: Asked, number: int, wish: Wish, space: Space, skip: int) -> Wished:
    home = asked.home
    was = home.find(Point, wish.point)
    if wish.act != "add" and was is None:
        raise RouteError("The point that is to be moved or taken out isn't named; name one of the map.")
    kind = wish.kind or (was.kind if was is not None else None)
    if kind is None:
        raise RouteError("What is required isn't said; say what kind of point.")
    place = wish.place or (place_of(home, was) if was is not None and wish.act == "remove" else None)
    if place is None and wish.act != "remove":
        raise RouteError("It has no place; put it on a wall.")
    row = asked.trade.point(kind)
    point = Point(
        id=home.next_id(Point, skip), kind=kind, place=place, gangs=wish.gangs, loads=wish.loads, phase="planned",
        outdoor=True if row.outdoor else None,
    )  # fmt: skip
    if wish.act == "remove" or place is None:
        assert was is not None
        spot = Spot3("", 0.0, 0.0)
        return Wished(number, wish, point, spot, None, "", "unknown", asked.trade.point(was.kind), frozenset(), was)
    wide, high = size_on_wall(asked.trade, point)
    height = float(place.height_mm) if place.height_mm is not None else None
    name = f"the {said(point, row)}"
    spot = Spot3(place.storey, place.x_mm, place.y_mm, height, place.faces_deg, wide, high, name)
    face = face_of(space.faces.values(), spot)
    if face is None and not (row.is_light or row.family == "alarms" or row.outdoor):
        raise RouteError(f"A {row.title} stands on a wall, and there is none that is drawn where this one is meant.")
    _refuse_in_zone(asked, point, place)
    where, build = "", "unknown"
    if face is None:
        place_ends(space, (spot,))
    else:
        u, _ = on_face(face, spot)
        where, build = space.where[face.id], face.backed(u).build
    places = _places(asked, point, place)
    return Wished(number, wish, point, spot, face, where, build, row, places, was if wish.act == "move" else None)


def _refuse_in_zone(asked: Asked, point: Point, place: Place) -> None:
    zones = bathroom_zones(asked.home, asked.memo, asked.trade, place.storey)
    inside = zone_at(zones, place.x_mm, place.y_mm, place.height_mm)
    if inside is None or point.kind == "shower":
        return
    row = asked.trade.point(point.kind)
    if row.is_socket_outlet or inside.zone.number <= 1:
        raise RouteError(
            f"A {row.title} may not stand in zone {inside.zone.number} of a bathroom; move it out of there."
        )


def _places(asked: Asked, point: Point, place: Place) -> frozenset[SpecialPlace]:
    found: set[SpecialPlace] = set()
    if zone_at(
        bathroom_zones(asked.home, asked.memo, asked.trade, place.storey), place.x_mm, place.y_mm, place.height_mm
    ):
        found.add("special")
    room = room_of(asked.home, asked.memo, point)
    words = f"{room.use} {room.name}".casefold() if room is not None else ""
    if "kitchen" in words:
        found.add("kitchen")
    if point.kind in _OUTDOORS or point.outdoor:
        found.add("outdoors")
    return frozenset(found)
