"""Verbs of the board: boards, devices, the supply page, tags."""

from collections.abc import Iterable

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Device, Place, Rcd, Supply, Tag
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import edit
from circuitmap.words import BoardSource, DeviceKind, Evidence


def add_board(
    home: Home,
    letter: str = "",
    name: str = "",
    place: Place | None = None,
    room: str | None = None,
    source: BoardSource = "supply",
    modules: int | None = None,
) -> Change:
    """Add a board; without a letter it takes the next free one."""
    taken = {board.letter_on_map for board in home.table(Board).values()}
    free = next((chr(c) for c in range(ord("A"), ord("Z") + 1) if chr(c) not in taken), "")
    if not letter and not free:
        raise HomeError("All 26 board letters are taken; remove a board first.")
    record = Board(
        id=home.next_id(Board),
        letter_on_map=letter or free,
        name=name,
        place=place,
        room=room,
        source=source,
        modules=modules,
    )
    return Change(f"Add board {record.letter_on_map}", ((None, record),))


def add_device(
    home: Home,
    board: str,
    kind: DeviceKind,
    way: str = "",
    rating_a: float | None = None,
    curve: str = "",
    label: str = "",
    upstream: str | None = None,
    rcd: Rcd | None = None,
    module: int | None = None,
    modules: int = 1,
    cables_seen: int | None = None,
) -> Change:
    """Add a device to a board, as found; without a module it goes after the last one."""
    if module is None:
        module = max(((d.module or 0) + d.modules for d in home.devices_on(board)), default=0)
    record = Device(
        id=home.next_id(Device),
        board=board,
        way=way,
        module=module,
        modules=modules,
        kind=kind,
        rating_a=rating_a,
        curve=curve,
        label=label,
        upstream=upstream,
        rcd=rcd,
        cables_seen=cables_seen,
    )
    return Change(f"Add {kind} {home.letter_of(board)}{way}".rstrip(), ((None, record),))


def next_way(home: Home, board: str) -> str:
    """Give the lowest whole number that no device of a board has as its way."""
    return first_free_way(device.way for device in home.devices_on(board) if device.phase != "removed")


def first_free_way(taken: Iterable[str]) -> str:
    """Give the lowest whole number that is none of the ways taken."""
    held = set(taken)
    number = 1
    while str(number) in held:
        number += 1
    return str(number)


def tag(home: Home, target: str, device: str, evidence: Evidence = "seen", visit: str | None = None) -> Change:
    """Say that a device feeds a point or board; saying the same again only sets its evidence."""
    for known in home.table(Tag).values():
        if known.target == target and known.device == device:
            return edit(home, known.id, f"{home.code(device)} feeds {target}", evidence=evidence, visit=visit)
    home.get(target)
    record = Tag(id=home.next_id(Tag), target=target, device=device, evidence=evidence, visit=visit)
    return Change(f"{home.code(device)} feeds {target}", ((None, record),))


def untag(home: Home, target: str, device: str) -> Change:
    """Take back that a device feeds a point or board."""
    found = [tag for tag in home.table(Tag).values() if tag.target == target and tag.device == device]
    return Change(f"Take back {home.code(device)} feeds {target}", tuple((tag, None) for tag in found))


def tags_of(home: Home, target: str) -> tuple[Tag, ...]:
    """Give the tags of a point or board."""
    return tuple(tag for tag in (home.find(Tag, i) for i in home.used_by(target)) if tag and tag.target == target)


def supply_of(home: Home) -> Supply | None:
    """Give the main supply, the first one recorded."""
    return next(iter(home.sorted(Supply)), None)


def set_supply(home: Home, **fields: object) -> Change:
    """Set what is known of the main supply, bringing its page in if there is none yet."""
    supply = supply_of(home)
    if supply is not None:
        return edit(home, supply.id, "Change the supply page", **fields)
    blank = Home.of([Supply(id=home.next_id(Supply))])
    after = edit(blank, home.next_id(Supply), **fields).pairs
    record = after[0][1] if after else Supply(id=home.next_id(Supply))
    return Change("Start the supply page", ((None, record),))


def label_way(home: Home, device: str, label: str) -> Change:
    """Set a way's label as found."""
    return edit(home, device, f"Label {home.code(device)} “{shorten(label, 30)}”", label=label)
