"""Wishes in words: "twin socket, Kitchen, wall 2, 1.4 m, 1100 mm", read into a place on a wall and said again.

What, which room, which wall, how far along it from its left corner as one stands before it, how high its middle is
over the floor. Walls are numbered from the one with the door, clockwise. What is said of a wish reads as the same wish.
"""

import math
import re
from typing import Final

import msgspec

from circuitmap.errors import PersonError, QuantityError
from circuitmap.extension.wish_words import LIGHT_SWITCHES, said_what, what_of
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Load, Place, Point, Room, Storey, Wish
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, face_at, faces_on, size_on_wall
from circuitmap.plan.rooms import has_outline
from circuitmap.plan.wall_numbers import number_of, walls_of_room
from circuitmap.plan.where import room_of
from circuitmap.quantities import parse_length_mm, parse_power_w, show_length
from circuitmap.trade import Trade
from circuitmap.trade.spelling import spelled
from circuitmap.words import PointKind

FORMS: Final = (
    "twin socket, Kitchen, wall 2, 1.4 m, 1100 mm",
    "fused connection unit, Kitchen, wall 2, 1.4 m, 3 ft 6 in, deep, behind the fridge, for fridge 150 W",
    "light, Bedroom, ceiling",
    "light, Bedroom, ceiling, wall 1, 2.0 m, 1.5 m",
    "switch for P6, Kitchen, wall 3, 0.3 m, 1200 mm",
    "move P12, Kitchen, wall 2, 1.4 m, 1100 mm",
    "remove P12",
)
"""Every form, each with an example; at a ceiling the two lengths are along a wall and out from it."""

_LONGEST: Final = 500
_MOST_NAMED: Final = 8
# A comma between two digits with no blank behind it is a decimal comma.
_NEXT: Final = re.compile(r"\s*,\s+|\s*(?<!\d),|,(?!\d)")
_ACT: Final = re.compile(r"(?i)^(remove|take out|move)\s+(p\s?\d{1,9})$")
_WORKS: Final = re.compile(r"(?i)^(.+?)\s+for\s+(p\s?\d{1,9})$")
_WALL: Final = re.compile(r"(?i)^wall\s+(?:no\.?\s*)?(\d{1,3})$")
_CEILING: Final = re.compile(r"(?i)^(?:the )?ceiling$")
_BEHIND: Final = re.compile(r"(?i)^behind\s+(.+)$")
_FOR: Final = re.compile(r"(?i)^for\s+(.+?)(?:\s+(\d[\d.,]*\s*k?w))?$")
_DEEP: Final = re.compile(r"(?i)^(?:deep|deep box)$")
_BARE: Final = re.compile(r"^\d+([.,]\d+)?$")


class WishError(PersonError):
    """Words that are no wish; the sentence says which of them and what to write."""

    def __init__(self, says: str) -> None:
        super().__init__(says)
        self.says = says

    def __str__(self) -> str:
        return self.says


def read_wish(home: Home, memo: Memo, trade: Trade, typed: str) -> Wish:
    """Read a wish from words; ``FORMS`` lists how they can go.

    Raises
    ------
    WishError
        When it is no wish, names no room, wall or point of this home, or would stand off its wall or in an opening.
    """
    if len(typed) > _LONGEST:
        raise WishError(f"That is too long for one requirement; write one like “{FORMS[0]}”.")
    parts = [part for part in _NEXT.split(" ".join(typed.split())) if part]
    if not parts:
        raise WishError(f"Nothing is said; write a requirement like “{FORMS[0]}”.")
    act = _ACT.match(parts[0])
    if act is not None:
        point = _point(home, act[2])
        if act[1].casefold() != "move":
            if len(parts) > 1:
                raise WishError(f"To remove {point.id} nothing more is needed; leave out “{shorten(parts[1])}”.")
            return Wish(act="remove", point=point.id)
        wish = Wish(act="move", kind=point.kind, gangs=point.gangs, point=point.id, loads=point.loads)
    else:
        works = _WORKS.match(parts[0])
        found = what_of(works[1] if works is not None else parts[0], trade)
        if found is None:
            raise WishError(f"“{shorten(parts[0])}” is no kind of point; write what is required, like “twin socket”.")
        wish = Wish(act="add", kind=found.kind, gangs=found.gangs)
        if works is not None:
            wish = msgspec.structs.replace(wish, point=_worked(home, trade, found.kind, works[2]).id)
    room, rest = _room(home, parts[1:])
    wish, rest = _more(wish, rest)
    return msgspec.structs.replace(wish, place=_place(home, memo, trade, wish, room, rest))


def say_wish(home: Home, memo: Memo, trade: Trade, wish: Wish) -> str:
    """Say a wish in words; of one on a wall or at a ceiling of a room they read as the same wish."""
    if wish.act == "remove":
        return f"remove {wish.point}" if wish.point else "remove a point"
    what = f"move {wish.point}" if wish.act == "move" and wish.point else said_what(wish.kind, wish.gangs, trade)
    if wish.act == "add" and wish.point:
        what = f"{what} for {wish.point}"
    says = [what, *_said_place(home, memo, trade, wish)]
    if wish.deep:
        says.append("deep")
    if wish.behind:
        says.append(f"behind {' '.join(wish.behind.replace(',', ' ').split())}")
    moved = home.find(Point, wish.point) if wish.act == "move" else None
    # What a point that is moved has on it goes with it and need not be said.
    known = len(moved.loads) if moved is not None and wish.loads[: len(moved.loads)] == moved.loads else 0
    says += [_said_load(load) for load in wish.loads[known:]]
    return ", ".join(says)


def place_on(face: Face, u_mm: float, v_mm: float) -> Place:
    """Give the place of a spot on a face, to the millimetre, facing into the room."""
    x, y, _ = face.place(u_mm, v_mm)
    return Place(
        storey=face.storey, x_mm=round(x), y_mm=round(y), height_mm=round(v_mm), wall=face.backed(u_mm).wall,
        faces_deg=looks(face),
    )  # fmt: skip


def looks(face: Face) -> float:
    """Give the way that a face looks, in degrees: 0 to the right on the plan, 90 down."""
    return round(math.degrees(math.atan2(face.along_x, -face.along_y)), 6) % 360.0


# -- reading --------------------------------------------------------------------------------------------------------


def _point(home: Home, word: str) -> Point:
    name = word.upper().replace(" ", "")
    point = home.find(Point, name)
    if point is None or point.phase == "removed":
        raise WishError(f"There is no point {name} on the map.")
    return point


def _worked(home: Home, trade: Trade, kind: PointKind, word: str) -> Point:
    """Give the light or switch that a wished switch goes with."""
    point, row = _point(home, word), trade.point(kind)
    if kind not in LIGHT_SWITCHES:
        raise WishError(f"Only a switch is required “for” a point; write “{row.title}” without it.")
    if not trade.point(point.kind).is_light and not point.controls:
        raise WishError(f"{point.id} is neither a light nor the switch of one, so no {row.title} goes with it.")
    return point


def _room(home: Home, parts: list[str]) -> tuple[Room, list[str]]:
    """Give the room that is named first, and what follows; its name may hold commas, and its storey in brackets."""
    rooms = home.sorted(Room)
    if not parts:
        raise WishError(f"It isn't said in which room; there are {_names(home, rooms)}.")
    for many in range(len(parts), 0, -1):
        wanted = spelled(", ".join(parts[:many]))
        named = [room for room in rooms if wanted in _called(home, room)]
        exact = [room for room in named if room.name.casefold() == ", ".join(parts[:many]).casefold()]
        if len(named) > 1 and len(exact) != 1:
            choices = " or ".join(f"“{_full(home, room)}”" for room in named[:4])
            raise WishError(f"There are {len(named)} rooms called {parts[0]}; write {choices}.")
        if named:
            return (exact or named)[0], parts[many:]
    raise WishError(f"There is no room “{shorten(parts[0])}”; there are {_names(home, rooms)}.")


def _called(home: Home, room: Room) -> set[str]:
    return {spelled(room.name), spelled(_full(home, room)), spelled(room.id)} - {""}


def _full(home: Home, room: Room) -> str:
    """Give a room's name, with its storey (or its id) where another one has the same."""
    same = [each for each in home.sorted(Room) if spelled(each.name) == spelled(room.name)]
    if len(same) < 2:
        return room.name or room.id
    storey = home.find(Storey, room.storey)
    told = [each for each in same if each.storey == room.storey]
    return f"{room.name} ({storey.name})" if storey is not None and len(told) == 1 else room.id


def _names(home: Home, rooms: list[Room]) -> str:
    names = [_full(home, room) for room in rooms]
    if not names:
        return "no rooms on this map yet"
    return ", ".join(names[:_MOST_NAMED]) + (
        f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    )


def _more(wish: Wish, parts: list[str]) -> tuple[Wish, list[str]]:
    """Take out of the words what is said besides the place: a deep box, what it is behind, what it is for."""
    rest: list[str] = []
    for part in parts:
        if _DEEP.match(part):
            wish = msgspec.structs.replace(wish, deep=True)
        elif found := _BEHIND.match(part):
            wish = msgspec.structs.replace(wish, behind=found[1])
        elif found := _FOR.match(part):
            power = _power(found[2]) if found[2] else None
            wish = msgspec.structs.replace(wish, loads=(*wish.loads, Load(what=found[1], power_w=power)))
        else:
            rest.append(part)
    return wish, rest


def _power(typed: str) -> float:
    try:
        return parse_power_w(typed)
    except QuantityError as error:
        raise WishError(str(error)) from None


def _place(home: Home, memo: Memo, trade: Trade, wish: Wish, room: Room, parts: list[str]) -> Place:
    if not parts:
        raise WishError(f"It isn't said where in {room.name}; write a wall, how far along and how high, "
                        "like “wall 2, 1.4 m, 1100 mm”.")  # fmt: skip
    is_ceiling = _CEILING.match(parts[0]) is not None
    rest = parts[1:] if is_ceiling else parts
    walls = walls_of_room(home, memo, trade, room.id)
    if not walls or room.storey is None:
        raise WishError(f"{room.name} isn't drawn, so there is no wall to measure along; draw its outline first.")
    if is_ceiling and not rest:
        return _middle(room, walls)
    face = _wall(room, walls, rest[0])
    where = rest[0]
    if len(rest) != 3:
        last = "how far out from it" if is_ceiling else "how high over the floor"
        has = "more than that" if len(rest) > 3 else "less than that"
        raise WishError(f"After “{where}” come how far along it from its left corner and {last}; there is {has}.")
    along, up = _length(rest[1]), _length(rest[2])
    if is_ceiling:
        return _under_ceiling(face, room, where, along, up)
    _check_on(trade, wish, face, room, where, along, up)
    return place_on(face, along, up)


def _wall(room: Room, walls: tuple[Face, ...], part: str) -> Face:
    found = _WALL.match(part)
    if found is None:
        raise WishError(f"“{shorten(part)}” is no wall of {room.name}; write “wall 1” to “wall {len(walls)}”, "
                        "clockwise from the one with the door, or “ceiling”.")  # fmt: skip
    number = int(found[1])
    if not 1 <= number <= len(walls):
        raise WishError(f"{room.name} has {len(walls)} walls, counted clockwise from the one with the door; there is "
                        f"no wall {number}.")  # fmt: skip
    return walls[number - 1]


def _length(typed: str) -> float:
    if _BARE.match(typed):
        raise WishError(f"“{typed}” has no unit; write 1.4 m, 1400 mm or 4 ft 7 in.")
    if typed.split()[0].rstrip("m") in ("0", "0.0"):
        return 0.0
    try:
        return parse_length_mm(typed)
    except QuantityError as error:
        raise WishError(str(error)) from None


def _check_on(trade: Trade, wish: Wish, face: Face, room: Room, where: str, along: float, up: float) -> None:
    """Refuse a spot where the accessory would reach off its wall or into an opening of it."""
    of = f"{where[0].upper()}{where[1:]} of {room.name}"
    wide, high = size_on_wall(trade, Point(id="P1", kind=wish.kind or "other", gangs=wish.gangs))
    if along > face.length_mm:
        raise WishError(f"{of} is {show_length(face.length_mm)} long; {show_length(along)} is past its end.")
    if up > face.height_mm:
        raise WishError(f"{of} is {show_length(face.height_mm)} high; {show_length(up)} is above the ceiling.")
    for side, gap in (("left", along), ("right", face.length_mm - along)):
        if gap < wide / 2:
            raise WishError(f"It would reach round the {side} corner of {where}: its middle has to be at least "
                            f"{show_length(wide / 2)} from it.")  # fmt: skip
    if up > face.height_mm - high / 2:
        raise WishError(
            f"It would reach into the ceiling: its middle has to be at least {show_length(high / 2)} below."
        )
    for hole in face.holes:
        beside = not hole.from_mm - wide / 2 < along < hole.to_mm + wide / 2
        if not beside and hole.sill_mm - high / 2 < up < hole.head_mm + high / 2:
            span = f"{show_length(hole.from_mm)} to {show_length(hole.to_mm)} along"
            raise WishError(f"There is a {hole.kind} there ({span}); choose a spot beside, over or under it.")


def _middle(room: Room, walls: tuple[Face, ...]) -> Place:
    import shapely

    from circuitmap.plan.outlines import polygon_of

    polygon = polygon_of(room.outline_mm)
    spot = polygon.centroid if polygon.contains(polygon.centroid) else shapely.point_on_surface(polygon)
    return Place(storey=walls[0].storey, x_mm=round(spot.x), y_mm=round(spot.y), height_mm=round(walls[0].height_mm))


def _under_ceiling(face: Face, room: Room, where: str, along: float, out: float) -> Place:
    import shapely

    from circuitmap.plan.outlines import polygon_of

    x, y = _out_from(face, along, out)
    place = Place(storey=face.storey, x_mm=x, y_mm=y, height_mm=round(face.height_mm))
    if along > face.length_mm or not polygon_of(room.outline_mm).intersects(shapely.Point(place.x_mm, place.y_mm)):
        raise WishError(f"{show_length(along)} along {where} and {show_length(out)} out from it is not in {room.name}.")
    return place


# -- saying ---------------------------------------------------------------------------------------------------------


def _said_place(home: Home, memo: Memo, trade: Trade, wish: Wish) -> list[str]:
    place = wish.place
    if place is None:
        return ["no place yet"]
    faces = faces_on(home, memo, trade, place.storey)
    if place.faces_deg is not None and place.height_mm is not None:
        face = face_at(faces, place.x_mm, place.y_mm, place.faces_deg)
        room = home.find(Room, face.room) if face is not None else None
        number = number_of(home, memo, trade, face) if face is not None else None
        if face is not None and room is not None and number is not None:
            u = _along(face, place)
            return [_full(home, room), f"wall {number}", _exactly(u), _exactly(place.height_mm)]
    room = room_of(home, memo, Point(id="P1", kind="light", place=place))
    if room is None or not has_outline(room):
        return [f"{place.x_mm / 1000:.3f} m across and {place.y_mm / 1000:.3f} m down the plan"]
    walls = walls_of_room(home, memo, trade, room.id)
    if place == _middle(room, walls):
        return [_full(home, room), "ceiling"]
    for number, face in enumerate(walls, 1):
        u, out = face.at(place.x_mm, place.y_mm)
        for figures in (0, 1):
            along, off = round(u, figures), round(out, figures)
            if 0 <= along <= face.length_mm and off >= 0 and _out_from(face, along, off) == (place.x_mm, place.y_mm):
                return [_full(home, room), "ceiling", f"wall {number}", _exactly(along), _exactly(off)]
    return [_full(home, room), "ceiling"]


def _out_from(face: Face, along: float, out: float) -> tuple[int, int]:
    x, y, _ = face.place(along, 0)
    return round(x - out * face.along_y), round(y + out * face.along_x)


def _along(face: Face, place: Place) -> float:
    """Give how far along a face a place is, as roundly as gives the same place again."""
    u = face.at(place.x_mm, place.y_mm)[0]
    whole = round(u)
    near = (whole, whole - 1, whole + 1, *(round(u + step / 10, 1) for n in range(11) for step in (n, -n)))
    for tried in near:
        again = place_on(face, tried, place.height_mm or 0)
        if (again.x_mm, again.y_mm) == (place.x_mm, place.y_mm):
            return tried
    return whole


def _exactly(mm: float) -> str:
    """Give a length as it is, as metres where those take two decimals."""
    return f"{mm / 1000:.2f} m" if mm >= 1000 and mm % 10 == 0 else f"{mm:.10g} mm"


def _said_load(load: Load) -> str:
    what = " ".join(load.what.replace(",", " ").split())
    return f"for {what}" + (f" {load.power_w:g} W" if load.power_w is not None else "")
