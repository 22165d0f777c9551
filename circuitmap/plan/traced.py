"""From a traced outline on a sheet to a room on the plan: its corners in mm, its doors, what the plan says of it.

The tracer's pixels count from the middle of the first one; a sheet's from its corner. Which of the two an outline is in
is said by ``shift_px``: half a pixel for a picture, none for line work.
"""

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change, combine
from circuitmap.home.records import Room, Wall
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_plan import add_room
from circuitmap.plan.doors_kept import Gap, kept
from circuitmap.plan.outlines import Outline, area_m2, check_outline, polygon_of
from circuitmap.plan.room_names import PlanWords, Said, read_room, size_doubt, use_of
from circuitmap.plan.sheet import Transform, to_plan
from circuitmap.plan.sketched import drawn_rooms, free_name
from circuitmap.plan.walls_keep import lay_walls
from circuitmap.quantities import show_area
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from circuitmap.plan.tracing import Opening, Outlined

# Outlines at the faces of one wall may cross by as much as a hand or a pixel is out.
_CROSSING_SHARE: Final = 0.03
_SAME_SHARE: Final = 0.5
_SURE: Final = 0.8


@dataclass(frozen=True)
class Traced:
    """A room as traced, on the plan: its outline, the doors found, what the plan says of it and what speaks against it.

    ``sure`` is 0 … 1; ``why`` and ``doubt`` are sentences, "" when there is nothing to say.
    """

    outline_mm: Outline
    gaps: tuple[Gap, ...]
    sure: float
    why: str
    said: Said
    doubt: str
    area_m2: float

    @property
    def is_sure(self) -> bool:
        """Whether it can be taken without looking twice."""
        return self.sure >= _SURE and not self.why and not self.doubt


def on_plan(
    found: "Outlined", px_to_plan_mm: Transform, words: Iterable[PlanWords], trade: Trade, *,
    shift_px: float = 0.5, sheet_px: float = 1.0, between: Container["Opening"] = (),
) -> Traced:  # fmt: skip
    """Give a traced outline as a room on the plan.

    Parameters
    ----------
    found
        The outline in the tracer's pixels.
    px_to_plan_mm
        How the sheet lies on the plan.
    words
        The sheet's words in sheet px.
    trade
        For the words that rooms go by.
    shift_px, sheet_px
        What leads from the tracer's pixels to the sheet's: added first, then how many of these one of the tracer's is.
    between
        Openings that two rooms have in common: doors, whatever is drawn along them.

    Raises
    ------
    HomeError
        When its outline is none that a room can have.
    """

    def sheet(spot: tuple[float, float]) -> tuple[float, float]:
        return (spot[0] + shift_px) * sheet_px, (spot[1] + shift_px) * sheet_px

    corners_px = [sheet(corner) for corner in found.corners_px]
    outline = check_outline([_mm(px_to_plan_mm, x, y) for x, y in corners_px])
    gaps = []
    for door in found.doors:
        a, b = to_plan(px_to_plan_mm, *sheet(door.a_px)), to_plan(px_to_plan_mm, *sheet(door.b_px))
        gaps.append(Gap(a, b, "door" if door.kind == "opening" or door in between else "window"))
    said = read_room(words, corners_px, trade)
    return Traced(outline, tuple(gaps), found.sure, found.why, said, size_doubt(said, outline), area_m2(outline))


def drawn_already(home: Home, storey: str, outline_mm: Sequence[tuple[int, int]]) -> Room | None:
    """Give the drawn room that an outline is another drawing of, or None."""
    shape = polygon_of(outline_mm)
    for room in drawn_rooms(home, storey):
        other = polygon_of(room.outline_mm)
        if shape.intersection(other).area > _SAME_SHARE * min(shape.area, other.area):
            return room
    return None


def check_free(home: Home, storey: str, outline_mm: Sequence[tuple[int, int]]) -> None:
    """Refuse an outline that lies over a drawn room.

    Raises
    ------
    HomeError
        Naming the room and by how much.
    """
    shape = polygon_of(outline_mm)
    for room in drawn_rooms(home, storey):
        other = polygon_of(room.outline_mm)
        shared = float(shape.intersection(other).area)
        if shared > _CROSSING_SHARE * min(shape.area, other.area):
            raise HomeError(
                f"This outline lies over “{room.name}” by {show_area(shared / 1e6)}; reshape or remove that room first."
            )


def take_traced(home: Home, storey: str, rooms: Sequence[tuple[Traced, str]], trade: Trade) -> Change:
    """Give the change that draws traced rooms by their names; walls that follow the rooms come along, with the doors.

    Where no walls follow yet, the rooms keep the doors until there are walls to let them into.
    A room without a name gets the next number.

    Raises
    ------
    HomeError
        When one lies over a room that is drawn already.
    """
    changes: list[Change] = []
    follows = any(wall.storey == storey and wall.from_rooms for wall in home.table(Wall).values())
    for traced, typed in rooms:
        check_free(home, storey, traced.outline_mm)
        name = " ".join(typed.split()) or free_name(home)
        use = use_of(name, trade) or (traced.said.use if name.startswith(traced.said.name or "\0") else "")
        changes.append(_with_doors(add_room(home, name, traced.outline_mm, storey, use), traced.gaps))
        home = home.apply(changes[-1])
    if not changes:
        raise HomeError("There is no outline to take; click in a room.")
    title = changes[0].title if len(changes) == 1 else f"Outline {len(changes)} rooms"
    if follows:
        changes.append(lay_walls(home, storey, trade, following=True))
    return combine(title, changes)


def name_apart(home: Home, wanted: str) -> str:
    """Give a name as wanted where no room has it, else with the next number; the next numbered room for none."""
    taken = {room.name.casefold() for room in home.table(Room).values()}
    if not wanted:
        return free_name(home)
    if wanted.casefold() not in taken:
        return wanted
    count = 2
    while f"{wanted} {count}".casefold() in taken:
        count += 1
    return f"{wanted} {count}"


def _mm(px_to_plan_mm: Transform, x_px: float, y_px: float) -> tuple[int, int]:
    x, y = to_plan(px_to_plan_mm, x_px, y_px)
    return round(x), round(y)


def _with_doors(change: Change, gaps: Iterable[Gap]) -> Change:
    """Give the change that adds a room, with the doors that were seen round it."""
    doors = kept(gaps)
    pairs = ((old, msgspec.structs.replace(new, seen=doors) if isinstance(new, Room) else new)
             for old, new in change.pairs)  # fmt: skip
    return Change(change.title, tuple(pairs))
