"""Walls that were laid from rooms, kept up whenever rooms change, in the change that the rooms were changed by."""

from circuitmap.home.change import Change, combine
from circuitmap.home.records import Room, Wall
from circuitmap.home.snapshot import Home
from circuitmap.plan.walls_keep import lay_walls
from circuitmap.trade import Trade


def with_walls(home: Home, change: Change, trade: Trade) -> Change:
    """Give a change together with what it does to the walls that follow the rooms it touches; one undo takes both back.

    Only storeys whose walls were laid from their rooms are looked at; a change that leaves all outlines as they were is
    given back as it is.
    """
    storeys = _touched(change)
    if not storeys:
        return change
    laid = {wall.storey for wall in home.table(Wall).values() if wall.from_rooms}
    gone = {before.id for before, after in change.pairs if isinstance(before, Wall) and after is None}
    changes = [change]
    after = home
    for storey in sorted(storeys & laid):
        if after is home:
            after = home.apply(change)
        if gone and not any(w.from_rooms for w in after.table(Wall).values() if w.storey == storey):
            continue  # the walls themselves were taken away, with the rooms or without
        follow = lay_walls(after, storey, trade)
        if follow.pairs:
            changes.append(follow)
            after = after.apply(follow)
    return change if len(changes) == 1 else combine(change.title, changes)


def _touched(change: Change) -> set[str]:
    """Give the storeys on which an outline came, went or changed."""
    found: set[str] = set()
    for before, after in change.pairs:
        old = before if isinstance(before, Room) else None
        new = after if isinstance(after, Room) else None
        if _lies(old) != _lies(new):
            found |= {room.storey for room in (old, new) if room is not None and room.storey is not None}
    return found


def _lies(room: Room | None) -> tuple[object, ...]:
    return (room.storey, room.outline_mm) if room is not None and room.outline_mm else ()
