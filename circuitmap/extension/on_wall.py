"""What a wall shows while work is thought of: wishes as points that could be, and where accessories may go."""

from collections.abc import Iterable, Mapping
from typing import Final

import msgspec
from msgspec import Struct

from circuitmap.errors import HomeError
from circuitmap.extension.wish_place import check_place, in_the_way, kind_of, put_wish
from circuitmap.extension.wishes import WishError, place_on
from circuitmap.home.change import Change, Pair
from circuitmap.home.records import Board, Extension, Place, Plate, Point, Wish
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_extend import is_planned
from circuitmap.home.verbs_points import move
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, Stood, face_at, faces_on
from circuitmap.plan.where import place_of
from circuitmap.trade import Trade

# Heights that accessories are usually put at, in the order of what is tried (rows of the table of sizes).
USUAL_HEIGHTS: Final = ("socket up", "worktop socket up", "control up")


class Wanted(Struct, frozen=True, kw_only=True):
    """A home in which the wishes of an extension are planned points.

    ``wishes`` gives the number of the wish, from 0, by the id of the point that it would be; ``gone`` are the
    points that are to be moved or taken out, ``brought`` those that only an option would bring.
    """

    home: Home
    extension: str = ""
    wishes: Mapping[str, int] = {}
    brought: frozenset[str] = frozenset()
    gone: frozenset[str] = frozenset()

    def point_of(self, number: int) -> str:
        """Give the point that a wish would be, "" for one that stands nowhere."""
        return next((point for point, n in self.wishes.items() if n == number), "")


def with_wishes(home: Home, extension: str, brought: Iterable[Point] = ()) -> Wanted:
    """Give a home with the wishes of an extension on it; what is planned already stands there as planned points.

    Parameters
    ----------
    brought
        Points that an option would bring; those that stand where a wish does are that wish.
    """
    record = home.find(Extension, extension)
    if record is None or record.done_on is not None:
        return Wanted(home=home)
    if is_planned(record):
        return Wanted(home=home, extension=extension, gone=frozenset(record.takes))
    points: dict[str, tuple[Point, int]] = {}
    gone: set[str] = set()
    for number, wish in enumerate(record.wishes):
        if wish.act != "add" and wish.point is not None:
            gone.add(wish.point)
        if wish.act == "remove" or wish.place is None:
            continue
        point = Point(id=home.next_id(Point, len(points)), kind=kind_of(home, wish), place=wish.place,
                      gangs=wish.gangs, loads=wish.loads, phase="planned")  # fmt: skip
        points[point.id] = point, number
    wished = {point.place for point, _ in points.values()}
    more = [
        msgspec.structs.replace(
            point, id=home.next_id(Point, len(points) + n), phase="planned", controls=(), plate=None
        )
        for n, point in enumerate(each for each in brought if each.place is not None and each.place not in wished)
    ]
    change = Change("Requirements", tuple((None, point) for point in (*(point for point, _ in points.values()), *more)))
    return Wanted(
        home=home.apply(change) if change.pairs else home,
        extension=extension,
        wishes={point: number for point, (_, number) in points.items()},
        brought=frozenset(point.id for point in more),
        gone=frozenset(gone),
    )


def usual_heights(trade: Trade) -> tuple[float, ...]:
    """Give the heights over the floor, in mm, that accessories are usually put at."""
    return tuple(trade.size_mm(name) for name in USUAL_HEIGHTS)


def kept_whole(face: Face, stood: Stood, u: float, v: float | None) -> tuple[float, float | None]:
    """Give a middle for which the whole plate is on the wall, the nearest to one for which it may not be."""
    half_w, half_h = stood.wide_mm / 2, stood.high_mm / 2
    u = min(max(u, half_w), max(face.length_mm - half_w, half_w))
    return u, None if v is None else min(max(v, half_h), max(face.height_mm - half_h, half_h))


def spot_for(face: Face, u: float, v: float | None) -> Place:
    """Give the place of a spot on a face; one whose height isn't known stays so."""
    place = place_on(face, u, v or 0.0)
    return place if v is not None else msgspec.structs.replace(place, height_mm=None)


def move_wish(home: Home, memo: Memo, trade: Trade, extension: str, number: int, place: Place) -> Change:
    """Move a wish to another place.

    Raises
    ------
    WishError
        When it can't stand there, in one sentence.
    HomeError
        When the work is planned already or done, or there is no such wish.
    """
    record = home.take(Extension, extension)
    if not 0 <= number < len(record.wishes):
        raise HomeError("That requirement isn't there any more.", extension)
    wish = msgspec.structs.replace(record.wishes[number], place=place)
    change = put_wish(home, memo, trade, extension, wish, number)
    return Change(f"Move requirement {number + 1}", change.pairs)


def move_accessory(home: Home, memo: Memo, trade: Trade, record_id: str, place: Place) -> Change:
    """Move a point or a board on the map to another place on a wall; the drawn paths of its cables go with it.

    Raises
    ------
    WishError
        When something stands there already, or it would reach into an opening or off the wall.
    """
    record = home.get(record_id)
    if isinstance(record, Point) and place.height_mm is not None:
        plate = home.find(Plate, record.plate) if record.plate is not None and record.place is None else None
        gangs = plate.gangs if plate is not None else record.gangs
        wish = Wish(act="move", kind=record.kind, gangs=gangs, point=record.id, place=place)
        check_place(home, memo, trade, wish)
        refuse, _ = in_the_way(_alone(home, record), memo, trade, "", wish)
        if refuse:
            raise WishError(refuse)
    return move(home, record_id, place)


def _alone(home: Home, point: Point) -> Home:
    """Give a home in which what shares a point's plate, and wishes about it, are not in its own way."""
    pairs: list[Pair] = [
        (each, msgspec.structs.replace(each, phase="removed"))
        for each in home.table(Point).values()
        if point.plate is not None and each.plate == point.plate
    ]
    for record in home.table(Extension).values():
        others = tuple(wish for wish in record.wishes if wish.point != point.id)
        if others != record.wishes:
            pairs.append((record, msgspec.structs.replace(record, wishes=others)))
    return home.apply(Change("Alone", tuple(pairs))) if pairs else home


def face_of_record(home: Home, memo: Memo, trade: Trade, record_id: str) -> Face | None:
    """Give the face that a point or a board stands on, None where it stands on none."""
    record = home.peek(record_id)
    place = place_of(home, record) if isinstance(record, Point | Board | Plate) else None
    if place is None or place.faces_deg is None:
        return None
    return face_at(faces_on(home, memo, trade, place.storey), place.x_mm, place.y_mm, place.faces_deg)


def face_near(faces: Iterable[Face], x: float, y: float, reach_mm: float) -> Face | None:
    """Give the face nearest to a spot of the plan, of those that are seen from there first; None where none is near."""
    best: tuple[bool, float, Face] | None = None
    for face in faces:
        u, off = face.at(x, y)
        past = max(0.0, -u, u - face.length_mm)
        away = (off * off + past * past) ** 0.5
        if away <= reach_mm and (best is None or (off < -1, away) < best[:2]):
            best = (off < -1, away, face)
    return best[2] if best is not None else None
