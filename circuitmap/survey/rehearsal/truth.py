"""What really feeds each point: as planted in an invented home, or as drawn in a real one; and a home without it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

import msgspec

from circuitmap.home import Home
from circuitmap.home.records import (
    Board,
    Details,
    Device,
    Fixture,
    Plate,
    Point,
    Record,
    Room,
    Sheet,
    Storey,
    Supply,
    Tag,
    Wall,
    natural_key,
)
from circuitmap.home.refs import refs_of, without
from circuitmap.memo import Memo
from circuitmap.survey.kinds import is_way
from circuitmap.trade import Trade
from circuitmap.wiring import feeders, pieces_of

How = Literal["one way", "joined", "either", "elsewhere", "not fed"]
_FOUND: Final = (Details, Supply, Storey, Sheet, Room, Wall, Fixture, Board, Device, Plate, Point)


@dataclass(frozen=True, slots=True)
class Fed:
    """What feeds a point.

    "one way": it goes off with its device. "joined": only with all of its devices. "either": with any of them (line
    from the one, switched neutral from the other). "elsewhere": never. "not fed": it is never on.
    """

    devices: tuple[str, ...]
    how: How


def truth_of(home: Home, memo: Memo, trade: Trade) -> Mapping[str, Fed]:
    """Give what feeds every point of which that is known, by the cables drawn and by what was seen or tested.

    A piece with several devices is joined. Points that can't be checked by their kind, and points that nobody knows
    about, are left out. The drawing is taken at its word, faults on cables are not looked at.
    """
    by_cable: dict[str, tuple[str, ...]] = {}
    for piece in pieces_of(home, memo):
        devices = tuple(device.id for device in piece.devices if is_way(device))
        if devices:
            by_cable.update((point.id, devices) for point in piece.points)
    said: dict[str, set[str]] = {}
    for tag in home.table(Tag).values():
        device = home.find(Device, tag.device)
        if tag.evidence in ("seen", "tested") and device is not None and is_way(device):
            said.setdefault(tag.target, set()).add(tag.device)
    found: dict[str, Fed] = {}
    for point in home.sorted(Point):
        if point.phase != "existing":
            continue
        if point.kind == "not connected":
            found[point.id] = Fed((), "not fed")
            continue
        if not trade.point(point.kind).checkable:
            continue
        known = by_cable.get(point.id) or tuple(sorted(said.get(point.id, ()), key=natural_key))
        if known:
            found[point.id] = Fed(known, "one way" if len(known) == 1 else "joined")
    return found


def hide(home: Home, memo: Memo | None = None) -> Home:
    """Give a home as a stranger finds it: plan, boards with their labels, points; no cables, counts, checks or notes.

    Which way feeds a sub-board stays, said directly: it is looked up at the boards before anything is switched off.
    """
    kept: list[Record] = []
    for kind in _FOUND:
        kept += [_as_found(record) for record in home.table(kind).values() if _is_there(record)]
    ids = {record.id for record in kept}
    kept = list(_struck(kept, ids))
    tags = [
        Tag(id=f"K{number}", target=board, device=device, evidence="seen")
        for number, (board, device) in enumerate(_sub_boards(home, ids, memo), start=1)
    ]
    return Home.of([*kept, *tags])


def _sub_boards(home: Home, ids: set[str], memo: Memo | None) -> Iterator[tuple[str, str]]:
    for board, ways in sorted(feeders(home, memo).items(), key=lambda each: natural_key(each[0])):
        yield from ((board, device) for device in ways if board in ids and device in ids)


def _is_there(record: Record) -> bool:
    return getattr(record, "phase", "existing") == "existing"


def _as_found(record: Record) -> Record:
    """Give a record without what only opening up or measuring tells."""
    replace = msgspec.structs.replace
    match record:
        case Device():
            return replace(record, cables_seen=None, wire_found="")
        case Point():
            kind = "other" if record.kind == "not connected" else record.kind
            return replace(record, kind=kind, cables_seen=None, cables_seen_load=None, box_depth_mm=None)
        case Supply():
            return replace(record, ze_ohm=None, pfc_ka=None)
        case _:
            return record


def _struck(records: list[Record], ids: set[str]) -> Iterator[Record]:
    """Strike out what records say of things that are no longer there."""
    for record in records:
        gone = {named for named in refs_of(record) if named not in ids}
        left = without(record, gone) if gone else record
        if left is not None:
            yield left
