"""Rooms given other outlines as one change: what stands there, drawn paths and walls go along."""

from collections.abc import Mapping
from typing import Final

import msgspec

from circuitmap.home.change import Change, Pair, combine
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Fixture, Place, Plate, Point, Room, Run, Wall
from circuitmap.home.snapshot import Home
from circuitmap.plan.outlines import Outline, polygon_of, tidy_outline
from circuitmap.plan.sides import Face, faces_of
from circuitmap.plan.unwalled import shifted_lines
from circuitmap.plan.walls_keep import lay_walls
from circuitmap.trade import Trade

# What stands on a wall stands within this of its face.
_ON_WALL_MM: Final = 60.0

Step = tuple[int, int]


def reshape_rooms(home: Home, outlines: Mapping[str, Outline], trade: Trade, title: str = "") -> Change:
    """Give the change that brings rooms of one storey into other outlines.

    A room that was only shifted takes along what stands in it; a side that was moved takes along what stands on it.
    Walls that follow their rooms follow. The drawn path of a run goes along spot by spot: with the point it comes to,
    else as a thing standing there would.

    Parameters
    ----------
    home
        The home.
    outlines
        The new outlines by the ids of their rooms.
    trade
        For the thickness of walls that nobody measured.
    title
        What undo calls it.
    """
    pairs: list[Pair] = []
    shifted: list[tuple[Room, Step]] = []
    sides: list[tuple[Room, Face, Step]] = []
    for room_id, outline in outlines.items():
        room = home.take(Room, room_id)
        if room.outline_mm == outline:
            continue
        pairs.append((room, msgspec.structs.replace(room, outline_mm=outline)))
        step = _shift(tidy_outline(room.outline_mm), outline)
        if step is not None:
            shifted.append((room, step))
        else:
            sides.extend((room, face, by) for face, by in _moved_sides(room, outline))
    known = [room for room, _ in pairs if isinstance(room, Room)]
    called = title or f"Reshape room “{shorten(known[0].name, 30)}”" if known else title
    pairs += _taken_along(home, shifted, sides)
    pairs += shifted_lines(home, [(a, b) for a, b in pairs if isinstance(a, Room) and isinstance(b, Room)])
    change = Change(called, tuple(pairs))
    storey = known[0].storey if known else None
    if storey is None:
        return change
    if any(w.from_rooms for w in home.table(Wall).values() if w.storey == storey):
        change = combine(called, (change, lay_walls(home.apply(change), storey, trade, following=True)))
    paths = _paths_along(home, change, _Along(shifted, sides))
    return Change(called, (*change.pairs, *paths)) if paths else change


class _Along:
    """How far a spot goes along with rooms that were shifted and sides that were moved."""

    def __init__(self, shifted: list[tuple[Room, Step]], sides: list[tuple[Room, Face, Step]]) -> None:
        self._solids = [(room.storey, polygon_of(room.outline_mm).buffer(_ON_WALL_MM), step) for room, step in shifted]
        self._sides = sides

    def step(self, storey: str, x_mm: float, y_mm: float) -> Step | None:
        """Give how far a spot goes, None where nothing takes it along."""
        import shapely

        spot = shapely.Point(x_mm, y_mm)
        step = next((by for on, solid, by in self._solids if on == storey and solid.covers(spot)), None)
        return step if step is not None else _on_side(storey, x_mm, y_mm, self._sides)


def _taken_along(home: Home, shifted: list[tuple[Room, Step]], sides: list[tuple[Room, Face, Step]]) -> list[Pair]:
    """Give the edits of what stands in shifted rooms or on moved sides; what stands on a wall record goes with that."""
    along = _Along(shifted, sides)
    following = {wall.id for wall in home.table(Wall).values() if wall.from_rooms}
    pairs: list[Pair] = []
    for kind in (Point, Plate, Board, Fixture):
        for record in home.table(kind).values():
            place: Place | None = record.place  # type: ignore[attr-defined]  # each of the four has one
            if place is None or place.wall in following:
                continue
            step = along.step(place.storey, place.x_mm, place.y_mm)
            if step is None:
                continue
            to = msgspec.structs.replace(place, x_mm=place.x_mm + step[0], y_mm=place.y_mm + step[1])
            moved = msgspec.structs.replace(record, place=to)
            if isinstance(moved, Fixture):
                outline = tuple((x + step[0], y + step[1]) for x, y in moved.outline_mm)
                moved = msgspec.structs.replace(moved, outline_mm=outline)
            pairs.append((record, moved))
    return pairs


def _paths_along(home: Home, change: Change, along: _Along) -> list[Pair]:
    """Give the edits of runs whose drawn path comes to what was moved, or passes through it."""
    moved: dict[str, Place] = {
        after.id: after.place
        for _, after in change.pairs
        if isinstance(after, Point | Plate | Board) and after.place is not None
    }
    # A path that comes to a thing goes where that goes, and stays where it stays.
    stood: dict[tuple[str, int, int], Step] = {}
    for kind in (Point, Plate, Board):
        for record in home.table(kind).values():
            place: Place | None = record.place  # type: ignore[attr-defined]  # each of the three has one
            if place is not None:
                now = moved.get(record.id, place)
                spot = (place.storey, place.x_mm, place.y_mm)
                step = (now.x_mm - place.x_mm, now.y_mm - place.y_mm)
                stood[spot] = step if step != (0, 0) else stood.get(spot, step)
    pairs: list[Pair] = []
    for run in home.table(Run).values():
        path = []
        for storey, x, y, z in run.path_mm:
            spot = (storey, x, y)
            by = stood[spot] if spot in stood else along.step(*spot)
            path.append((storey, x + by[0], y + by[1], z) if by else (storey, x, y, z))
        if tuple(path) != run.path_mm:
            pairs.append((run, msgspec.structs.replace(run, path_mm=tuple(path))))
    return pairs


def _on_side(storey: str, x_mm: float, y_mm: float, sides: list[tuple[Room, Face, Step]]) -> Step | None:
    near = [
        (abs(face.off(x_mm, y_mm)), step)
        for room, face, step in sides
        if room.storey == storey
        and abs(face.off(x_mm, y_mm)) <= _ON_WALL_MM
        and -_ON_WALL_MM <= face.on(x_mm, y_mm) <= face.length + _ON_WALL_MM
    ]
    return min(near, key=lambda each: each[0])[1] if near else None


def _shift(before: Outline, after: Outline) -> Step | None:
    """Give how far an outline was shifted, None when it was reshaped."""
    if len(before) != len(after):
        return None
    steps = {(bx - ax, by - ay) for (ax, ay), (bx, by) in zip(before, after, strict=True)}
    return steps.pop() if len(steps) == 1 else None


def _moved_sides(room: Room, outline: Outline) -> list[tuple[Face, Step]]:
    """Give the sides that were moved parallel to themselves, and how far."""
    before, after = faces_of(room.id, room.outline_mm), faces_of(room.id, outline)
    if len(before) != len(after):
        return []
    found = []
    for old, new in zip(before, after, strict=True):
        by = old.away(new)
        if old.turned(new) > 0.999 and abs(by) >= 1:
            found.append((old, (round(by * old.out[0]), round(by * old.out[1]))))
    return found
