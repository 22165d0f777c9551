"""Where a wish may stand: snapped to the nearest wall, or at the ceiling; refused where something stands already."""

import math
from collections.abc import Iterable, Iterator
from typing import Final

import msgspec

from circuitmap.extension.wish_words import said_what
from circuitmap.extension.wishes import WishError, place_on, read_wish, say_wish
from circuitmap.home.change import Change, combine
from circuitmap.home.records import Board, Extension, Place, Point, Room, Storey, Wish
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_extend import add_extension, add_wish, is_planned, set_wish
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, face_at, faces_on, size_on_wall, standing_on
from circuitmap.plan.where import place_of, room_of
from circuitmap.trade import Trade
from circuitmap.words import PointKind

GRID_MM: Final = 10
# A spot of the plan this far behind a face still means the face: people point at the middle of a wall.
_BEHIND_MM: Final = 160.0
_APART_MM: Final = 100.0  # at a ceiling; nearer than that two fittings are in each other's way (our own estimate)
_HAIR_MM: Final = 1.0


def hangs_free(trade: Trade, kind: PointKind) -> bool:
    """Whether a kind of point hangs from the ceiling rather than standing on a wall."""
    row = trade.point(kind)
    return (row.is_light or row.family == "alarms") and not row.outdoor


def usual_height_mm(trade: Trade, kind: PointKind) -> int:
    """Give how high over the floor a kind of point usually sits on a wall."""
    return round(trade.size_mm("socket up" if trade.point(kind).is_socket_outlet else "control up"))


def place_near(
    home: Home, memo: Memo, trade: Trade, wish: Wish, storey: str, spot: tuple[float, float], height_mm: int,
    reach_mm: float,
) -> Place | None:  # fmt: skip
    """Give the place of a wish at a spot of the plan: on the wall nearest to it, or at the ceiling.

    Parameters
    ----------
    wish
        What is wished; its kind decides whether it stands on a wall.
    spot, height_mm
        A spot of the plan, and how high its middle is to be over the floor.
    reach_mm
        How far off a wall the spot may be.

    Returns
    -------
    Place or None
        None in mid-air: no wall is in reach, or a light is meant where no room is drawn.
    """
    kind = kind_of(home, wish)
    if hangs_free(trade, kind):
        return _under_ceiling(home, memo, trade, storey, spot)
    best: tuple[float, Face] | None = None
    for face in faces_on(home, memo, trade, storey):
        u, off = face.at(*spot)
        past = max(0.0, -u, u - face.length_mm)
        away = math.hypot(off, past)
        if off >= -_BEHIND_MM and away <= max(reach_mm, 1.0) and (best is None or away < best[0] - 0.5):
            best = away, face
    if best is None:
        return None
    face = best[1]
    half = _size(trade, kind, wish.gangs)[0] / 2
    u = round(face.at(*spot)[0] / GRID_MM) * GRID_MM
    return place_on(face, min(max(u, half), max(face.length_mm - half, half)), height_mm)


def moved_by(
    home: Home, memo: Memo, trade: Trade, wish: Wish, across_mm: int, down_mm: int, up_mm: int = 0
) -> Place | None:
    """Give the place of a wish moved a little: along its wall and up, or over the ceiling; None where it has none."""
    place = wish.place
    if place is None:
        return None
    face = _face(home, memo, trade, place)
    if face is None:
        return msgspec.structs.replace(place, x_mm=place.x_mm + across_mm, y_mm=place.y_mm + down_mm)
    u = face.at(place.x_mm, place.y_mm)[0] + across_mm * face.along_x + down_mm * face.along_y
    return place_on(face, min(max(u, 0.0), face.length_mm), max((place.height_mm or 0) + up_mm, 0))


def put_wish(home: Home, memo: Memo, trade: Trade, extension: str, wish: Wish, number: int = -1) -> Change:
    """Put a wish into an extension, or (with its number, from 0) in the place of one; begin one where none is named.

    Raises
    ------
    WishError
        When it stands in mid-air, off its wall, in an opening, or where something stands or is wished already.
    HomeError
        When the work is planned already or done.
    """
    check_place(home, memo, trade, wish)
    refuse, _ = in_the_way(home, memo, trade, extension, wish, number)
    if refuse:
        raise WishError(refuse)
    if not extension:
        begun = add_extension(home, next_name(home), (wish,))
        return Change(f"Add a requirement: {said_what(kind_of(home, wish), wish.gangs, trade)}", begun.pairs)
    return set_wish(home, extension, number, wish) if number >= 0 else add_wish(home, extension, wish)


def put_wishes(home: Home, memo: Memo, trade: Trade, extension: str, wishes: Iterable[Wish]) -> Change:
    """Put several wishes in one change, each looked at beside those before it."""
    changes: list[Change] = []
    for wish in wishes:
        changes.append(put_wish(home, memo, trade, extension, wish))
        extension = extension or changes[-1].added()[0]
        home = home.apply(changes[-1])
    return changes[0] if len(changes) == 1 else combine("Add requirements", changes)


def next_name(home: Home) -> str:
    """Give a name that no extension has yet."""
    names = {each.name for each in home.table(Extension).values()}
    return next(name for n in range(1, len(names) + 2) if (name := f"Extension {n}") not in names)


def kind_of(home: Home, wish: Wish) -> PointKind:
    """Give the kind of point that a wish is about: what it says, else that of the point that it moves or removes."""
    was = home.find(Point, wish.point) if wish.point else None
    return wish.kind or (was.kind if was is not None else "other")


def check_place(home: Home, memo: Memo, trade: Trade, wish: Wish) -> None:
    """Refuse a wish that stands nowhere, off its wall, above the ceiling or in an opening.

    Raises
    ------
    WishError
        With the reason.
    """
    if wish.act == "remove":
        return
    what = said_what(kind_of(home, wish), wish.gangs, trade)
    if wish.place is None:
        raise WishError(f"The {what} has no place; put it on a wall.")
    face = _face(home, memo, trade, wish.place)
    if face is None or face.room is None:
        row = trade.point(kind_of(home, wish))
        if face is None and not (row.is_light or row.family == "alarms" or row.outdoor):
            raise WishError(f"The {what} would be in mid-air: it stands on a wall; choose a spot nearer to one.")
        return
    # Said in words it is read again as typed ones are, so that one and the same sentence refuses both.
    bare = Wish(act="add", kind=kind_of(home, wish), gangs=wish.gangs, place=wish.place)
    read_wish(home, memo, trade, say_wish(home, memo, trade, bare))


def in_the_way(home: Home, memo: Memo, trade: Trade, extension: str, wish: Wish, number: int = -1) -> tuple[str, str]:
    """Say what is in the way of a wish: a sentence that refuses it, and one that only warns; empty where nothing is.

    Parameters
    ----------
    extension
        The extension that it belongs to, empty for one that is yet to begin.
    number
        Its number among the wishes of its extension, from 0; -1 for one that is new.
    """
    others = list(_others(home, extension, number))
    if wish.act != "add":
        for where, other in others:
            if other.act != "add" and other.point == wish.point:
                does = "move" if other.act == "move" else "take out"
                return f"{where} is to {does} {wish.point} already; change that one.", ""
    if wish.act == "remove" or wish.place is None:
        return "", ""
    face = _face(home, memo, trade, wish.place)
    if face is None:
        return _at_ceiling(home, trade, wish, others), ""
    wide, high = _size(trade, kind_of(home, wish), wish.gangs)
    u, v = face.at(wish.place.x_mm, wish.place.y_mm)[0], float(wish.place.height_mm or 0)
    for where, other in others:
        if other.act == "remove" or other.place is None or other.place.storey != face.storey:
            continue
        theirs = _face(home, memo, trade, other.place)
        if theirs is None or theirs.id != face.id:
            continue
        w, h = _size(trade, kind_of(home, other), other.gangs)
        at, up = face.at(other.place.x_mm, other.place.y_mm)[0], float(other.place.height_mm or 0)
        if _touch(u - at, (wide + w) / 2) and _touch(v - up, (high + h) / 2):
            what = said_what(kind_of(home, other), other.gangs, trade)
            return f"{where}, a {what}, is to stand there already; {_go(wide, w)}", ""
    leaves = {each.point for each in (wish, *(other for _, other in others)) if each.act != "add"}
    warn = ""
    for stood in standing_on(home, memo, trade, face.storey).get(face.id, ()):
        if stood.record in leaves or not _touch(u - stood.u, (wide + stood.wide_mm) / 2):
            continue
        name = _named(home, trade, stood.record)
        if stood.v is None:
            warn = f"How high {name} stands isn't known; make sure that it isn't in the way of this one."
        elif _touch(v - stood.v, (high + stood.high_mm) / 2):
            return f"{name[0].upper()}{name[1:]} stands there already; {_go(wide, stood.wide_mm)}", ""
    return "", warn


# -- inside ---------------------------------------------------------------------------------------------------------


def _others(home: Home, extension: str, number: int) -> Iterator[tuple[str, Wish]]:
    """Give all other wishes that are still open, each with what it is called; those that are planned are points."""
    for record in home.sorted(Extension):
        if record.done_on is not None or is_planned(record):
            continue
        for n, wish in enumerate(record.wishes):
            if record.id == extension:
                if n != number:
                    yield f"Requirement {n + 1}", wish
            else:
                yield f"Requirement {n + 1} of “{record.name[:30]}”", wish


def _at_ceiling(home: Home, trade: Trade, wish: Wish, others: Iterable[tuple[str, Wish]]) -> str:
    place = wish.place
    assert place is not None
    for where, other in others:
        if other.act != "remove" and other.place is not None and _near(place, other.place):
            return f"{where} is to hang there already; choose a spot beside it."
    for point in home.table(Point).values():
        at = place_of(home, point) if point.phase != "removed" and point.id != wish.point else None
        if at is not None and at.faces_deg is None and _near(place, at) and hangs_free(trade, point.kind):
            name = _named(home, trade, point.id)
            return f"{name[0].upper()}{name[1:]} hangs there already; choose a spot beside it."
    return ""


def _near(one: Place, other: Place) -> bool:
    is_there = one.storey == other.storey and other.faces_deg is None
    return is_there and math.dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm)) < _APART_MM


def _touch(away: float, reach: float) -> bool:
    return abs(away) < reach - _HAIR_MM


def _go(one_wide: float, other_wide: float) -> str:
    return f"keep their middles {math.ceil((one_wide + other_wide) / 20) * 10} mm apart along the wall, or go higher."


def _named(home: Home, trade: Trade, record: str) -> str:
    point = home.find(Point, record)
    if point is None:
        board = home.find(Board, record)
        return f"board {board.letter_on_map}" if board is not None else record
    return f"the {said_what(point.kind, point.gangs, trade)} {point.id}"


def _size(trade: Trade, kind: PointKind, gangs: int) -> tuple[float, float]:
    return size_on_wall(trade, Point(id="P1", kind=kind, gangs=max(gangs, 1)))


def _face(home: Home, memo: Memo, trade: Trade, place: Place) -> Face | None:
    if place.faces_deg is None or home.find(Storey, place.storey) is None:
        return None
    return face_at(faces_on(home, memo, trade, place.storey), place.x_mm, place.y_mm, place.faces_deg)


def _under_ceiling(home: Home, memo: Memo, trade: Trade, storey: str, spot: tuple[float, float]) -> Place | None:
    x, y = (round(value / GRID_MM) * GRID_MM for value in spot)
    place = Place(storey=storey, x_mm=x, y_mm=y)
    room = room_of(home, memo, Point(id="P1", kind="light", place=place))
    if not isinstance(room, Room) or not room.outline_mm:
        return None
    level = home.take(Storey, storey)
    return msgspec.structs.replace(place, height_mm=round(level.height_mm or trade.size_mm("storey height")))
