"""Lines where a wall was laid from the rooms and a person took it away: kept, so that it stays away.

Such a line goes where its rooms go, as the wall itself would have, until the walls are laid anew.
"""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence

import msgspec

from circuitmap.home.change import Change, Pair
from circuitmap.home.records import NoWall, Room, Storey, Wall
from circuitmap.home.snapshot import Home
from circuitmap.plan.walls_of import WallDraft

Step = tuple[int, int]


def stand_ins(storey: Storey) -> list[Wall]:
    """Give walls without an id that stand for a storey's lines without a wall, to be matched like walls."""
    return [
        Wall(
            id="", storey=storey.id, a_mm=line.a_mm, b_mm=line.b_mm, rooms=line.rooms, outer=line.outer,
            from_rooms=True,
        )
        for line in storey.no_walls
    ]  # fmt: skip


def is_stand_in(wall: Wall) -> bool:
    """Whether a wall only stands for a line without one."""
    return not wall.id


def line_of(draft: WallDraft) -> NoWall:
    """Give the line that a draft of a wall lies on."""
    return NoWall(a_mm=draft.a_mm, b_mm=draft.b_mm, rooms=draft.rooms, outer=draft.outer)


def lines_now(
    storey: Storey, drafts: Sequence[WallDraft], matched: Mapping[int, Wall], kept: Sequence[Wall]
) -> dict[int, int]:
    """Give which draft each line of a storey is now, by their numbers.

    Parameters
    ----------
    storey
        Where.
    drafts
        The walls as the rooms have them.
    matched
        Which wall or stand-in each draft is, by its number.
    kept
        The stand-ins of the storey's lines, in their order.

    A line that lies too far off to be known again takes the nearest wall left between the same rooms that runs its way.
    """
    of: dict[int, int] = {}
    for number, wall in matched.items():
        of.update({n: number for n, each in enumerate(kept) if each is wall})
    for n, line in enumerate(storey.no_walls):
        if n in of or not line.rooms:
            continue
        left = [
            (_apart(line, draft), number)
            for number, draft in enumerate(drafts)
            if number not in matched
            and number not in of.values()
            and set(draft.rooms) == set(line.rooms)
            and bool(draft.outer) == bool(line.outer)
            and _is_along(line, draft)
        ]
        if left:
            of[n] = min(left)[1]
    return of


def shifted_lines(home: Home, rooms: Iterable[tuple[Room, Room]]) -> list[Pair]:
    """Give the edits of storeys whose lines without a wall go along with rooms that were shifted as they are."""
    steps: dict[str, Step] = {}
    for before, after in rooms:
        moved = {(bx - ax, by - ay) for (ax, ay), (bx, by) in zip(before.outline_mm, after.outline_mm, strict=False)}
        if len(before.outline_mm) == len(after.outline_mm) and len(moved) == 1:
            steps[before.id] = moved.pop()
    pairs: list[Pair] = []
    for storey in home.sorted(Storey) if steps else ():
        lines = tuple(_shifted(line, steps) for line in storey.no_walls)
        if lines != storey.no_walls:
            pairs.append((storey, msgspec.structs.replace(storey, no_walls=lines)))
    return pairs


def with_lines(home: Home, storey: str, lines: Iterable[NoWall]) -> Change:
    """Give the change that notes the lines of a storey on which no wall is wanted."""
    record = home.take(Storey, storey)
    kept = tuple(dict.fromkeys(lines))
    after = msgspec.structs.replace(record, no_walls=kept)
    return Change("Keep a wall away", ((record, after),) if after != record else ())


def taken_away(change: Change, rooms: Collection[str]) -> list[Wall]:
    """Give the walls laid from rooms that a change takes away while all of their rooms stay."""
    return [
        before
        for before, after in change.pairs
        if isinstance(before, Wall) and after is None and before.from_rooms and set(before.rooms) <= set(rooms)
    ]


def _shifted(line: NoWall, steps: Mapping[str, Step]) -> NoWall:
    by = {steps.get(room, (0, 0)) for room in line.rooms}
    if len(by) != 1:
        return line
    x, y = by.pop()
    (ax, ay), (bx, by_) = line.a_mm, line.b_mm
    return msgspec.structs.replace(line, a_mm=(ax + x, ay + y), b_mm=(bx + x, by_ + y))


def _apart(line: NoWall, draft: WallDraft) -> float:
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in ((line.a_mm, line.b_mm), (draft.a_mm, draft.b_mm))]
    return math.dist(*middles)


def _is_along(line: NoWall, draft: WallDraft) -> bool:
    (ax, ay), (bx, by) = line.a_mm, line.b_mm
    (cx, cy), (dx, dy) = draft.a_mm, draft.b_mm
    cross = abs((bx - ax) * (dy - cy) - (by - ay) * (dx - cx))
    return cross <= math.sin(math.radians(15)) * math.dist(line.a_mm, line.b_mm) * math.dist(draft.a_mm, draft.b_mm)
