"""Walls that were laid from rooms, kept up whenever rooms change, in the change that the rooms were changed by."""

from circuitmap.home.change import Change, combine
from circuitmap.home.records import Room, Storey, Wall
from circuitmap.home.snapshot import Home
from circuitmap.plan.doors_kept import with_seen
from circuitmap.plan.unwalled import shifted_lines, taken_away, with_lines
from circuitmap.plan.walls_keep import lay_walls, walls_that_would_come
from circuitmap.trade import Trade


def with_walls(home: Home, change: Change, trade: Trade) -> Change:
    """Give a change together with what it does to the walls that follow the rooms it touches; one undo takes both back.

    Only storeys whose walls were laid from their rooms are looked at; a change that leaves all outlines as they were is
    given back as it is. A wall that the change takes away while its rooms stay is noted, so that it stays away; where
    no such wall is left on a storey, its walls no longer follow.
    """
    change = with_seen(change)
    gone = {before.storey for before, after in change.pairs if isinstance(before, Wall) and after is None}
    touched = _touched(change)
    if not touched and not gone:
        return change
    laid = {wall.storey for wall in home.table(Wall).values() if wall.from_rooms}
    changes = [change]
    after = home.apply(change)
    for storey in sorted((touched | gone) & laid & set(after.table(Storey))):
        if gone and not any(w.from_rooms for w in after.table(Wall).values() if w.storey == storey):
            follow = with_lines(after, storey, ())  # all were taken away, with the rooms or without
        else:
            follow = _followed(after, storey, change, trade, is_touched=storey in touched)
        if follow.pairs:
            changes.append(follow)
            after = after.apply(follow)
    return change if len(changes) == 1 else combine(change.title, changes)


def _followed(home: Home, storey: str, change: Change, trade: Trade, *, is_touched: bool) -> Change:
    """Give what becomes of a storey's walls after a change: those taken away are noted, the others follow."""
    changes: list[Change] = []
    pairs = [(a, b) for a, b in change.pairs if isinstance(a, Room) and isinstance(b, Room)]
    if is_touched and not any(isinstance(a, Storey) for a, _ in change.pairs):
        changes.append(Change(change.title, tuple(shifted_lines(home, pairs))))
        home = home.apply(changes[-1])
    taken = [wall for wall in taken_away(change, home.table(Room)) if wall.storey == storey]
    if taken:
        lines = (*home.take(Storey, storey).no_walls, *walls_that_would_come(home, storey, trade, taken))
        changes.append(with_lines(home, storey, lines))
        home = home.apply(changes[-1])
    if is_touched:
        changes.append(lay_walls(home, storey, trade, following=True))
    return combine(change.title, [each for each in changes if each.pairs]) if changes else Change(change.title, ())


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
