"""Typed rooms as one change: read, named, and laid one beside the other on a storey."""

from collections.abc import Sequence
from dataclasses import dataclass

from circuitmap.errors import HomeError
from circuitmap.home.change import Change, combine
from circuitmap.home.records import Room, Storey, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_plan import add_room, add_storey
from circuitmap.plan.outlines import Outline
from circuitmap.plan.rooms import has_outline, rooms_area_m2
from circuitmap.plan.sketch import Edge, Sized, named_room, read_sized, room_beside, room_by_size, room_next
from circuitmap.quantities.show import show_area

_WHERE = {"right": "right of", "left": "left of", "below": "below", "above": "above"}


@dataclass(frozen=True)
class Laid:
    """Where a typed room goes: its name and outline, and where that is in words."""

    name: str
    outline: Outline
    where: str


def drawn_rooms(home: Home, storey: str) -> list[Room]:
    """Give the drawn rooms of a storey in the order in which they came."""
    rooms = [room for room in home.table(Room).values() if room.storey == storey and has_outline(room)]
    return sorted(rooms, key=lambda room: natural_key(room.id))


def lay_room(
    home: Home, storey: str, sized: Sized, *, beside: Room | None = None, edge: Edge = "right", gap_mm: float
) -> Laid:
    """Give where a typed room goes: where its words say, or else beside a room, the last one where none is named.

    Raises
    ------
    HomeError
        When the room it should go beside isn't there, or that side has no place left.
    """
    rooms = drawn_rooms(home, storey)
    name = sized.name or free_name(home)
    if sized.beside:
        beside = named_room(rooms, sized.beside)
    elif beside is None and rooms:
        beside = rooms[-1]
    if beside is None:
        return Laid(name, room_by_size(sized.width_mm, sized.depth_mm, _start(home, storey)), "the first on its storey")
    if sized.edge:
        edge = sized.edge
        outline = room_beside(sized.width_mm, sized.depth_mm, beside, edge, rooms, gap_mm=gap_mm)
    else:
        outline, edge = room_next(sized.width_mm, sized.depth_mm, beside, rooms, gap_mm=gap_mm, edge=edge)
    return Laid(name, outline, f"{_WHERE[edge]} {beside.name}")


def sketch_rooms(
    home: Home, storey: str, lines: Sequence[str], *, beside: Room | None = None, edge: Edge = "right", gap_mm: float
) -> Change:
    """Give the change that draws typed rooms, each beside the one before it; with no storey there it brings one.

    Parameters
    ----------
    home
        The home.
    storey
        Where; "" while the home has none.
    lines
        One room each, as ``read_sized`` reads them.
    beside
        The room that the first goes beside; the last one drawn by default.
    edge
        On which side, where a line doesn't say.
    gap_mm
        How thick the wall between is.
    """
    if not lines:
        raise HomeError("Type a room and its size, like Kitchen 3.6 × 4.2.")
    changes: list[Change] = []
    if not storey:
        changes.append(add_storey(home, "Ground"))
        home = home.apply(changes[0])
        storey = changes[0].added(Storey)[0]
    for line in lines:
        laid = lay_room(home, storey, read_sized(line), beside=beside, edge=edge, gap_mm=gap_mm)
        change = add_room(home, laid.name, laid.outline, storey)
        home = home.apply(change)
        changes.append(change)
        beside = home.take(Room, change.added(Room)[0])
    title = changes[-1].title if len(lines) == 1 else f"Add {len(lines)} rooms"
    return combine(title, changes)


def say_areas(home: Home, storey: str, room: Room | None = None) -> str:
    """Say the floor areas: of a room, of the storey, of the whole home."""
    words = []
    if room is not None and has_outline(room):
        words.append(f"{room.name} {show_area(rooms_area_m2([room]))}")
    rooms = drawn_rooms(home, storey)
    if rooms:
        words.append(f"{home.take(Storey, storey).name} {show_area(rooms_area_m2(rooms))}")
        every = list(home.table(Room).values())
        if any(other.storey != storey and has_outline(other) for other in every):
            words.append(f"all storeys {show_area(rooms_area_m2(every))}")
    return ", ".join(words) + "." if words else ""


def free_name(home: Home) -> str:
    """Give a name for a room that nobody named."""
    taken = {room.name for room in home.table(Room).values()}
    count = 1 + len(taken)
    while f"Room {count}" in taken:
        count += 1
    return f"Room {count}"


def _start(home: Home, storey: str) -> tuple[int, int]:
    """Give where the first room of a storey begins: where the nearest storey does, so that they lie in register."""
    here = home.find(Storey, storey)
    drawn = [room for room in home.table(Room).values() if has_outline(room)]
    if here is None or not drawn:
        return 0, 0
    levels = {other.id: abs(other.level - here.level) for other in home.table(Storey).values()}
    nearest = min(drawn, key=lambda room: levels.get(room.storey or "", 99)).storey
    corners = [corner for room in drawn if room.storey == nearest for corner in room.outline_mm]
    return min(x for x, _ in corners), min(y for _, y in corners)
