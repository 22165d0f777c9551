"""Walls that follow their rooms: one change that lays them, and keeps what is known of those that were there.

A wall that is still the same keeps its id, what it is built of, its measured thickness, its openings and the points on
it. Walls drawn by hand stay as they are and only learn which rooms they part.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import msgspec

from circuitmap.home.change import Change, Pair, combine
from circuitmap.home.records import (
    Board,
    Corner,
    NoWall,
    Opening,
    Place,
    Plate,
    Point,
    Record,
    Room,
    Storey,
    Wall,
    natural_key,
)
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs import remove
from circuitmap.plan.doors_kept import Gap, gaps_seen, let_go
from circuitmap.plan.rooms import has_outline
from circuitmap.plan.unwalled import line_of, lines_now, stand_ins, with_lines
from circuitmap.plan.walls import WallLines
from circuitmap.plan.walls_of import WallDraft, walls_of
from circuitmap.trade import Trade

_PARALLEL: Final = math.sin(math.radians(15))
# A wall between the same rooms is the same wall when it was dragged this far; another one only where it hardly moved.
_DRAGGED_MM: Final = 1500.0
_HARDLY_MM: Final = 150.0
_LEAST_SHARED: Final = 0.3
_BY_HAND_SHARED: Final = 0.5
_DOOR_REACH_MM: Final = 250.0
# What stands on a wall stands within this of its face.
_ON_WALL_MM: Final = 60.0
_HALF_UNKNOWN_MM: Final = 50.0


def lay_walls(
    home: Home, storey: str, trade: Trade, *, gaps: Iterable[Gap] = (), outer_mm: int | None = None,
    following: bool = False,
) -> Change:  # fmt: skip
    """Give the change that lays the walls of a storey from its rooms, or brings them after the rooms were edited.

    Parameters
    ----------
    home, storey
        Where.
    trade
        For the thickness of walls that nobody measured.
    gaps
        Doors and windows to be let in, beside those that the rooms keep; those that are there already are left alone.
    outer_mm
        The thickness of the outer walls, where it was measured.
    following
        Whether walls only follow an edit of their rooms: those that a person took away then stay away. Laid anew, they
        all come.
    """
    rooms = [room for room in home.table(Room).values() if room.storey == storey and has_outline(room)]
    before = sorted((w for w in home.table(Wall).values() if w.storey == storey), key=lambda w: natural_key(w.id))
    by_hand = [wall for wall in before if not wall.from_rooms and wall.a_mm != wall.b_mm]
    drafts, told = _off_hand(walls_of(rooms, trade, outer_mm=outer_mm), by_hand)
    ours = [wall for wall in before if wall.from_rooms]
    lines = home.take(Storey, storey)
    kept_away = stand_ins(lines) if following else []
    same = _matched(drafts, [*ours, *kept_away])
    away = lines_now(lines, drafts, same, kept_away) if following else {}
    after: list[Wall] = []
    added = 0
    for number, draft in enumerate(drafts):
        if number in away.values():
            continue
        old = same.get(number)
        if old is None:
            old = Wall(id=home.next_id(Wall, added), storey=storey, a_mm=draft.a_mm, b_mm=draft.b_mm, from_rooms=True)
            added += 1
        after.append(_renewed(old, draft))
    kept = {wall.id for wall in after}
    gone = [wall for wall in ours if wall.id not in kept]
    known = {wall.id: wall for wall in before}
    after = let_in(after, [*_lost(after, ours), *gaps, *gaps_seen(rooms)], told)
    pairs: list[Pair] = [(known.get(wall.id), wall) for wall in (*told, *after) if known.get(wall.id) != wall]
    title = "Lay walls from the rooms" if not ours else "Let the walls follow the rooms"
    follow = [*_carried(home, pairs)]
    known_lines = [(n, line) for n, line in enumerate(lines.no_walls) if n in away or line.rooms]
    kept_lines = [line_of(drafts[away[n]]) if n in away else line for n, line in known_lines]
    pairs += let_go(rooms, (*told, *after))
    pairs += with_lines(home, storey, kept_lines if following else ()).pairs
    changes = [Change(title, (*pairs, *follow))]
    if gone:
        # After the edits, so that what stood on a wall that is gone is let go from where it stands now.
        left = home.apply(changes[0])
        changes.append(remove(left, *(wall.id for wall in gone)))
    return combine(title, changes)


def stand_on_walls(home: Home, storey: str) -> Change:
    """Give the change that tells points, plates and boards on a wall's face which wall they stand on."""
    walls = [wall for wall in home.table(Wall).values() if wall.storey == storey]
    lines = WallLines((), walls)
    pairs: list[Pair] = []
    records: list[Point | Plate | Board] = [*home.sorted(Point), *home.sorted(Plate), *home.sorted(Board)]
    for record in records:
        place = record.place
        if place is None or place.storey != storey or place.wall is not None:
            continue
        found = lines.put(place, reach_mm=_ON_WALL_MM)
        if found.wall is not None:
            faces = place.faces_deg if place.faces_deg is not None else found.faces_deg
            stands = msgspec.structs.replace(place, wall=found.wall, faces_deg=faces)
            pairs.append((record, msgspec.structs.replace(record, place=stands)))
    return Change("Note what stands on which wall", tuple(pairs))


def walls_that_would_come(home: Home, storey: str, trade: Trade, gone: Sequence[Wall]) -> list[NoWall]:
    """Give the lines of walls that are gone from a storey and that its rooms would have laid again."""
    rooms = [room for room in home.table(Room).values() if room.storey == storey and has_outline(room)]
    walls = [wall for wall in home.table(Wall).values() if wall.storey == storey]
    drafts, _ = _off_hand(walls_of(rooms, trade), [w for w in walls if not w.from_rooms and w.a_mm != w.b_mm])
    there = [wall for wall in walls if wall.from_rooms] + stand_ins(home.take(Storey, storey))
    same = _matched(drafts, [*there, *gone])
    return [line_of(drafts[number]) for number, wall in sorted(same.items()) if any(wall is each for each in gone)]


# -- which wall is which ---------------------------------------------------------------------------------------------


def _off_hand(drafts: Sequence[WallDraft], by_hand: Sequence[Wall]) -> tuple[list[WallDraft], list[Wall]]:
    """Give the drafts that no hand-drawn wall stands for, and the hand-drawn walls with their rooms."""
    left: list[WallDraft] = []
    rooms: dict[str, list[str]] = {wall.id: [] for wall in by_hand}
    outer: dict[str, bool | None] = {}
    for draft in drafts:
        found = False
        for wall in by_hand:
            off, shared = _against(wall, draft)
            near = (wall.thickness_mm or 2 * _HALF_UNKNOWN_MM) / 2 + _HARDLY_MM
            if off <= near and shared >= _BY_HAND_SHARED * math.dist(draft.a_mm, draft.b_mm):
                rooms[wall.id] += draft.rooms
                outer[wall.id] = draft.outer
                found = True
        if not found:
            left.append(draft)
    told = []
    for wall in by_hand:
        parts = tuple(sorted(set(rooms[wall.id]), key=natural_key))
        is_outer = wall.outer if wall.outer is not None else outer.get(wall.id)
        told.append(msgspec.structs.replace(wall, rooms=parts, outer=is_outer))
    return left, told


def _matched(drafts: Sequence[WallDraft], walls: Sequence[Wall]) -> dict[int, Wall]:
    """Give, for drafts by number, the wall that each is: the same rooms first, the least moved first."""
    costs: list[tuple[bool, float, int, int]] = []
    for n, draft in enumerate(drafts):
        for m, wall in enumerate(walls):
            off, shared = _against(wall, draft)
            shorter = min(math.dist(wall.a_mm, wall.b_mm), math.dist(draft.a_mm, draft.b_mm))
            alike = set(wall.rooms) == set(draft.rooms) and bool(wall.outer) == bool(draft.outer)
            if off <= (_DRAGGED_MM if alike else _HARDLY_MM) and shared >= _LEAST_SHARED * shorter:
                longer = max(math.dist(wall.a_mm, wall.b_mm), math.dist(draft.a_mm, draft.b_mm))
                costs.append((not alike, off + longer - shared, n, m))
    found: dict[int, Wall] = {}
    taken: set[int] = set()
    for _, _, n, m in sorted(costs):
        if n not in found and m not in taken:
            found[n] = walls[m]
            taken.add(m)
    return found


def _against(wall: Wall, draft: WallDraft) -> tuple[float, float]:
    """Give how far a draft's centre line lies off a wall's, and how long they run beside each other."""
    length, other = math.dist(wall.a_mm, wall.b_mm), math.dist(draft.a_mm, draft.b_mm)
    if length == 0 or other == 0:
        return math.inf, 0.0
    ux, uy = (wall.b_mm[0] - wall.a_mm[0]) / length, (wall.b_mm[1] - wall.a_mm[1]) / length
    vx, vy = (draft.b_mm[0] - draft.a_mm[0]) / other, (draft.b_mm[1] - draft.a_mm[1]) / other
    if abs(ux * vy - uy * vx) > _PARALLEL:
        return math.inf, 0.0
    along, off = [], []
    for x, y in (draft.a_mm, draft.b_mm):
        dx, dy = x - wall.a_mm[0], y - wall.a_mm[1]
        along.append(dx * ux + dy * uy)
        off.append(dx * uy - dy * ux)
    return abs(sum(off) / 2), min(length, max(along)) - max(0.0, min(along))


def _renewed(wall: Wall, draft: WallDraft) -> Wall:
    """Give a wall as its rooms have it now, in the direction that it had, with what a person said of it kept."""
    (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
    ends = draft.a_mm, draft.b_mm
    if (bx - ax) * (ends[1][0] - ends[0][0]) + (by - ay) * (ends[1][1] - ends[0][1]) < 0:
        ends = ends[1], ends[0]
    thickness, source = draft.thickness_mm, draft.thickness_from
    if wall.thickness_from == "measured" and wall.thickness_mm is not None:
        thickness, source = wall.thickness_mm, wall.thickness_from
    moved = msgspec.structs.replace(
        wall, a_mm=ends[0], b_mm=ends[1], thickness_mm=thickness, thickness_from=source, rooms=draft.rooms,
        outer=draft.outer if draft.outer is not None else wall.outer, openings=(),
    )  # fmt: skip
    openings = (_at_place(each, wall, moved) for each in wall.openings)
    return msgspec.structs.replace(moved, openings=tuple(each for each in openings if each is not None))


# -- openings --------------------------------------------------------------------------------------------------------


def _at_place(opening: Opening, old: Wall, new: Wall) -> Opening | None:
    """Give an opening where it was in space, measured along another line; None when it lies beyond its ends."""
    middle = _on(old, opening.along_mm + opening.width_mm / 2)
    along, _ = _measured(new, middle)
    length = math.dist(new.a_mm, new.b_mm)
    if not 0 <= along <= length or opening.width_mm > length:
        return None
    start = min(max(along - opening.width_mm / 2, 0.0), length - opening.width_mm)
    return msgspec.structs.replace(opening, along_mm=round(start))


def _lost(after: Sequence[Wall], before: Iterable[Wall]) -> Iterator[Gap]:
    """Give openings that fell out of the walls they were in, as gaps for whichever wall is there now."""
    now = {wall.id: wall for wall in after}
    for wall in before:
        here = now.get(wall.id)
        for opening in wall.openings:
            if here is None or _at_place(opening, wall, here) is None:
                start, end = _on(wall, opening.along_mm), _on(wall, opening.along_mm + opening.width_mm)
                yield Gap(start, end, opening.kind, opening.sill_mm, opening.head_mm)


def let_in(walls: Sequence[Wall], gaps: Iterable[Gap], others: Sequence[Wall] = ()) -> list[Wall]:
    """Give walls with gaps let in: each in the nearest wall that runs its way and has room for it there."""
    found = list(walls)
    for gap in gaps:
        middle = (gap.a_mm[0] + gap.b_mm[0]) / 2, (gap.a_mm[1] + gap.b_mm[1]) / 2
        width = math.dist(gap.a_mm, gap.b_mm)
        best: tuple[float, int] | None = None
        for number, wall in enumerate((*found, *others)):
            long = math.dist(wall.a_mm, wall.b_mm)
            along, off = _measured(wall, middle)
            turn = _turn(wall, gap)
            near = (wall.thickness_mm or 2 * _HALF_UNKNOWN_MM) / 2 + _DOOR_REACH_MM
            if turn <= _PARALLEL and 0 <= along <= long and abs(off) <= near and (best is None or abs(off) < best[0]):
                best = abs(off), number
        if best is None or best[1] >= len(found) or width < 1:
            continue
        wall = found[best[1]]
        long = math.dist(wall.a_mm, wall.b_mm)
        wide = min(round(width), int(long))
        start = min(max(_measured(wall, middle)[0] - wide / 2, 0.0), long - wide)
        new = Opening(
            kind=gap.kind, along_mm=round(start), width_mm=max(wide, 1), sill_mm=gap.sill_mm, head_mm=gap.head_mm
        )
        if not any(_overlap(new, each) for each in wall.openings):
            openings = tuple(sorted((*wall.openings, new), key=lambda each: each.along_mm))
            found[best[1]] = msgspec.structs.replace(wall, openings=openings)
    return found


def _overlap(one: Opening, other: Opening) -> bool:
    return min(one.along_mm + one.width_mm, other.along_mm + other.width_mm) > max(one.along_mm, other.along_mm)


def _on(wall: Wall, along: float) -> tuple[float, float]:
    length = math.dist(wall.a_mm, wall.b_mm) or 1.0
    (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
    return ax + along * (bx - ax) / length, ay + along * (by - ay) / length


def _measured(wall: Wall, spot: tuple[float, float]) -> tuple[float, float]:
    """Give where a spot lies along a wall, and how far off its centre line (to the left as the plan is seen)."""
    length = math.dist(wall.a_mm, wall.b_mm) or 1.0
    ux, uy = (wall.b_mm[0] - wall.a_mm[0]) / length, (wall.b_mm[1] - wall.a_mm[1]) / length
    dx, dy = spot[0] - wall.a_mm[0], spot[1] - wall.a_mm[1]
    return dx * ux + dy * uy, dx * uy - dy * ux


def _turn(wall: Wall, gap: Gap) -> float:
    length, width = math.dist(wall.a_mm, wall.b_mm), math.dist(gap.a_mm, gap.b_mm)
    if length == 0 or width == 0:
        return 0.0
    ux, uy = (wall.b_mm[0] - wall.a_mm[0]) / length, (wall.b_mm[1] - wall.a_mm[1]) / length
    return abs(ux * (gap.b_mm[1] - gap.a_mm[1]) - uy * (gap.b_mm[0] - gap.a_mm[0])) / width


# -- what stands on a wall -------------------------------------------------------------------------------------------


def _carried(home: Home, pairs: Sequence[Pair]) -> Iterator[Pair]:
    """Give what stands on walls that moved, moved with the face it stands on."""
    for old, new in pairs:
        if not (isinstance(old, Wall) and isinstance(new, Wall)) or not _has_moved(old, new):
            continue
        for user in home.used_by(old.id):
            record: Record = home.get(user)
            if isinstance(record, Point | Plate | Board) and record.place is not None and record.place.wall == old.id:
                place = _moved_with(record.place, old, new)
                if place != record.place:
                    yield record, msgspec.structs.replace(record, place=place)


def _has_moved(old: Wall, new: Wall) -> bool:
    return (old.a_mm, old.b_mm, old.thickness_mm) != (new.a_mm, new.b_mm, new.thickness_mm)


def _moved_with(place: Place, old: Wall, new: Wall) -> Place:
    _, off = _measured(old, (place.x_mm, place.y_mm))
    along, _ = _measured(new, (place.x_mm, place.y_mm))
    thicker = (new.thickness_mm or 2 * _HALF_UNKNOWN_MM) - (old.thickness_mm or 2 * _HALF_UNKNOWN_MM)
    off += math.copysign(thicker / 2, off)
    along = min(max(along, 0.0), math.dist(new.a_mm, new.b_mm))
    x, y = _on(new, along)
    length = math.dist(new.a_mm, new.b_mm) or 1.0
    ux, uy = (new.b_mm[0] - new.a_mm[0]) / length, (new.b_mm[1] - new.a_mm[1]) / length
    at: Corner = (round(x + off * uy), round(y - off * ux))
    return msgspec.structs.replace(place, x_mm=at[0], y_mm=at[1])
