"""What hangs under a device and what stands above it: over upstream devices and through sub-boards.

A board is fed by the devices of the piece that its run belongs to, whoever's spur that is, and by those said to feed
it. A board with several feeds goes off only with all of them.
"""

from collections import deque
from collections.abc import Iterable, Mapping

from circuitmap.home.records import Board, Device, Run, Tag, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.wiring.pieces import pieces, pieces_of

Feeders = Mapping[str, tuple[str, ...]]


def feeders(home: Home, memo: Memo | None = None) -> Feeders:
    """Give, for every board that something feeds, the devices that feed it, in natural order."""
    if memo is None:
        return _feeders(home, None)
    parts = (home.table(Run), home.table(Tag), home.table(Device), home.table(Board))
    return memo.get("wiring.feeders", "", parts, lambda: _feeders(home, memo))


def under(home: Home, devices: Iterable[str], memo: Memo | None = None) -> frozenset[str]:
    """Give some devices and all that lose their supply with them: the ways under them and their sub-boards'.

    A board fed from two places is taken only when both are.
    """
    found = {device for device in devices if home.find(Device, device) is not None}
    if not found:
        return frozenset()
    fed = feeders(home, memo)
    off: set[str] = set()
    grew = True
    while grew:
        off |= {board for board, ways in fed.items() if all(way in found for way in ways)}
        more = {
            device.id
            for device in home.table(Device).values()
            if device.id not in found
            and device.phase == "existing"
            and (device.upstream in found or (device.upstream is None and device.board in off))
        }
        grew = bool(more)
        found |= more
    return frozenset(found)


def above(home: Home, device: str, memo: Memo | None = None) -> tuple[str, ...]:
    """Give the devices above one, nearest first: its upstream chain, then those that feed its board, and so on."""
    fed = feeders(home, memo)
    start = home.find(Device, device)
    order: dict[str, None] = {}
    queue = deque([start] if start is not None else [])
    while queue:
        current = queue.popleft()
        over = (current.upstream,) if current.upstream is not None else fed.get(current.board, ())
        for one in over:
            found = home.find(Device, one)
            if found is not None and one != device and one not in order:
                order[one] = None
                queue.append(found)
    return tuple(order)


def _feeders(home: Home, memo: Memo | None) -> Feeders:
    found: dict[str, set[str]] = {}
    if any(_reaches_board(run) for run in home.table(Run).values()):
        for piece in pieces_of(home, memo) if memo is not None else pieces(home):
            for board in piece.boards:
                found.setdefault(board.id, set()).update(device.id for device in piece.devices)
    for tag in home.table(Tag).values():
        if tag.target[0] == "B" and home.take(Device, tag.device).phase == "existing":
            found.setdefault(tag.target, set()).add(tag.device)
    return {board: tuple(sorted(ways, key=natural_key)) for board, ways in found.items() if ways}


def _reaches_board(run: Run) -> bool:
    return any(end.at is not None and (end.at[0] == "B" or end.side == "supply") for end in (run.a, run.b))
