"""Rooms, boards and points as GeoJSON in the home's own flat coordinates, with what is known of each.

**Source:** RFC 7946, The GeoJSON Format (August 2016), from memory. The RFC means longitude and latitude; where both
sides agree otherwise (its section 4) other coordinates may be used, and the file says which these are. What has no
place stands in a member of its own, because readers stumble over a feature without a geometry, which the RFC allows.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from circuitmap.circuits import CircuitView, views
from circuitmap.home import Home
from circuitmap.home.records import Board, Place, Point, Record, Room, Storey, natural_key
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.plan import area_m2, rooms_of_points
from circuitmap.plan.where import place_of, room_of

COORDINATES: Final = (
    "Local and flat, in metres: x to the right of the plan, y up it, from the plan's own corner, each storey in the "
    "same coordinates. They are not longitude and latitude."
)
CAUTION: Final = "From a survey record: not proof that anything is dead, and no certificate."
_MM_PER_M: Final = 1000.0

Feature = dict[str, object]


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give the rooms, boards and points of a home, or of one storey, as GeoJSON.

    Raises
    ------
    CantMakeError
        When there is no such storey.
    """
    home = wanted.home.existing()
    if wanted.storey and home.find(Storey, wanted.storey) is None:
        there = ", ".join(storey.id for storey in home.sorted(Storey)) or "none"
        raise CantMakeError(f"There is no storey {wanted.storey[:40]}; there are: {there}.")
    known = views(home, wanted.trade, wanted.memo)
    features = [*_rooms(wanted, home), *_boards(wanted, home), *_points(wanted, home, known)]
    if wanted.storey:
        features = [each for each in features if _storey_of(each) == wanted.storey]
    head = {
        "type": "FeatureCollection",
        "name": home.details.name,
        "coordinates_are": COORDINATES,
        "caution": CAUTION,
        "day": wanted.day.isoformat(),
    }
    placed = [each for each in features if each["geometry"] is not None]
    rest = [each for each in features if each["geometry"] is None]
    lines = ",\n".join(json.dumps(each, ensure_ascii=False) for each in placed)
    without = ",\n".join(json.dumps(each, ensure_ascii=False) for each in rest)
    text = f'{json.dumps(head, ensure_ascii=False)[:-1]}, "features": [\n{lines}\n],\n"unplaced": [\n{without}\n]}}\n'
    remark = f"{len(rest)} of {len(features)} things have no place yet; they stand in the file under “unplaced”."
    return (Made(text.encode(), remarks=(remark,) if rest else ()),)


def ring_of(outline_mm: Sequence[tuple[int, int]]) -> list[list[float]]:
    """Give an outline as a closed ring in metres, anticlockwise as the RFC has it (its section 3.1.6)."""
    spots = [_spot(x, y) for x, y in outline_mm]
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(spots, [*spots[1:], spots[0]], strict=True))
    ordered = spots if twice > 0 else [spots[0], *reversed(spots[1:])]
    return [*ordered, ordered[0]]


def _rooms(wanted: Wanted, home: Home) -> Iterator[Feature]:
    points = rooms_of_points(home, wanted.memo)
    inside: dict[str, int] = {}
    for room in points.values():
        if room is not None:
            inside[room.id] = inside.get(room.id, 0) + 1
    for room in home.sorted(Room):
        drawn = len(room.outline_mm) > 2
        yield _feature(
            home,
            room,
            {"type": "Polygon", "coordinates": [ring_of(room.outline_mm)]} if drawn else None,
            room.storey,
            name=room.name,
            use=room.use or None,
            area_m2=round(area_m2(room.outline_mm), 3) if drawn else None,
            points=inside.get(room.id, 0),
        )


def _boards(wanted: Wanted, home: Home) -> Iterator[Feature]:
    for board in home.sorted(Board):
        room = room_of(home, wanted.memo, board)
        yield _placed(home, board, board.place, room, letter=board.letter_on_map, name=board.name or None)


def _points(wanted: Wanted, home: Home, known: Iterable[CircuitView]) -> Iterator[Feature]:
    rooms = rooms_of_points(home, wanted.memo)
    feeds: dict[str, list[dict[str, object]]] = {}
    for view in known:
        for member in view.members:
            said: dict[str, object] = {
                "circuit": view.code,
                "label": view.device.label or None,
                "known_by": [_HOW[how] for how in member.by],
                "evidence": member.evidence,
            }
            feeds.setdefault(member.point.id, []).append(said)
    for point in home.sorted(Point):
        circuits = feeds.get(point.id, [])
        yield _placed(
            home,
            point,
            place_of(home, point),
            rooms.get(point.id),
            kind=point.kind,
            name=point.name or None,
            gangs=point.gangs,
            circuit=circuits[0]["circuit"] if len(circuits) == 1 else None,
            circuits=circuits,
            controls=sorted(point.controls, key=natural_key),
            loads=[load.name or load.what for load in point.loads],
            cables_seen=point.cables_seen,
        )


_HOW: Final = {"run": "run followed", "tag": "said directly", "round": "switch-off"}


def _placed(home: Home, record: Record, place: Place | None, room: Room | None, **facts: object) -> Feature:
    geometry: Feature | None = None
    if place is not None:
        geometry = {"type": "Point", "coordinates": _spot(place.x_mm, place.y_mm)}
    storey = place.storey if place is not None else room.storey if room is not None else None
    where = {"room": room.id if room is not None else None, "room_name": room.name if room is not None else None}
    height = place.height_mm / _MM_PER_M if place is not None and place.height_mm is not None else None
    return _feature(home, record, geometry, storey, **facts, **where, height_m=height)


def _feature(
    home: Home, record: Record, geometry: dict[str, object] | None, storey: str | None, **facts: object
) -> Feature:
    on = home.find(Storey, storey)
    level = {"storey": storey, "storey_name": on.name if on else None, "level": on.level if on else None}
    return {
        "type": "Feature",
        "id": record.id,
        "geometry": geometry,
        "properties": {"id": record.id, "what": record.kind_of, **facts, **level},
    }


def _storey_of(feature: Feature) -> object:
    properties = feature["properties"]
    return properties["storey"] if isinstance(properties, dict) else None


def _spot(x_mm: int, y_mm: int) -> list[float]:
    """Give a place in metres with y upwards; nothing is never written as minus nothing."""
    return [x_mm / _MM_PER_M, -y_mm / _MM_PER_M if y_mm else 0.0]
