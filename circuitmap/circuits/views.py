"""One view per way: its shape, who is on it and by what, what is missing; the same object while nothing changed.

Runs, what was said directly and what the switch-offs show are kept side by side and never merged: a member says by
which of them it is known, and where they disagree it is a member of several ways.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from circuitmap.circuits.gather import Claim, Gathered, How, claims, gather
from circuitmap.circuits.missing import Missing, judged, missing_of, traced_by
from circuitmap.home.records import Board, Device, Note, Plate, Point, Room, Run, Storey, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.where import place_of, rooms_of_points
from circuitmap.trade import Trade
from circuitmap.wiring import Piece, Shape, above
from circuitmap.words import Evidence, weakest

__all__ = ["CircuitView", "How", "Member", "Missing", "views"]


@dataclass(frozen=True, slots=True)
class Member:
    """A point on a way: where it is, by what it is known, how sure, and the nearest fused point above it by runs."""

    point: Point
    room: Room | None
    storey: str | None
    by: tuple[How, ...]
    evidence: Evidence
    after_fuse: Point | None


@dataclass(frozen=True, slots=True)
class CircuitView:
    """One way and all that is known to hang on it; ``shape`` is None while no run is drawn there.

    ``runs`` carry supply on; ``drops`` (switch drops, strappers, earths) only hang there. A piece without a way of its
    own, of which all that is known names this way, has its runs here too. ``members`` are in natural order, every kind
    of point among them. ``above``: the devices over it, nearest first. ``rooms`` and ``storeys`` (ids, lowest first)
    are where the members are. ``notes``: what was seen at its device, members and runs and hasn't been cleared.
    ``names``: the ids of the members.
    """

    code: str
    device: Device
    board: Board
    above: tuple[Device, ...]
    shape: Shape | None
    runs: tuple[Run, ...]
    drops: tuple[Run, ...]
    members: tuple[Member, ...]
    boards_fed: tuple[Board, ...]
    missing: tuple[Missing, ...]
    rooms: tuple[Room, ...]
    storeys: tuple[str, ...]
    notes: tuple[Note, ...]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Parts:
    """What one view is made of."""

    device: Device
    board: Board
    above: tuple[Device, ...]
    claims: tuple[Claim, ...]
    worked: tuple[Claim, ...]
    piece: Piece | None
    shape: Shape | None
    islands: tuple[Piece, ...]
    notes: tuple[Note, ...]


def views(home: Home, trade: Trade, memo: Memo) -> tuple[CircuitView, ...]:
    """Give the view of every way that feeds a circuit, board by board in the order of their letters and modules.

    A device that by its kind protects no circuit (an isolator, a time switch) gets one too as soon as runs or tags
    name it: something hangs on it, and would be on no way otherwise.
    """
    gathered = gather(home, trade, memo)
    rooms = rooms_of_points(home, memo)
    found: list[CircuitView] = []
    for board in sorted(home.table(Board).values(), key=lambda each: each.letter_on_map):
        for device in home.devices_on(board.id):
            if device.phase != "existing" or not _feeds(device, gathered, trade):
                continue
            found.append(_view(home, trade, memo, gathered, rooms, device, board))
    return memo.get("circuits.views", "", tuple(found), lambda: tuple(found))


def _feeds(device: Device, gathered: Gathered, trade: Trade) -> bool:
    if trade.device(device.kind).feeds_circuit:
        return True
    return device.id in gathered.shaped or device.id in gathered.tags or device.id in gathered.settled


def _view(
    home: Home,
    trade: Trade,
    memo: Memo,
    gathered: Gathered,
    rooms: Mapping[str, Room | None],
    device: Device,
    board: Board,
) -> CircuitView:
    mine = claims(gathered, device, memo)
    worked = _worked(home, memo, gathered, mine) if gathered.switches else ()
    over = tuple(found for i in above(home, device.id, memo) if (found := home.find(Device, i)) is not None)
    piece, shape = gathered.shaped.get(device.id, (None, None))
    islands = tuple(island for island, _ in gathered.islands.get(device.id, ()))
    notes: tuple[Note, ...] = ()
    if gathered.notes:
        runs = [run.id for each in (piece, *islands) if each is not None for run in (*each.runs, *each.drops)]
        ids = dict.fromkeys((device.id, *(claim.target for claim in (*mine, *worked)), *runs))
        notes = tuple(note for i in ids for note in gathered.notes.get(i, ()))
    made_of = _Parts(device, board, over, mine, worked, piece, shape, islands, notes)
    points, plates = home.table(Point), home.table(Plate)
    here: list[object] = [trade, device, board, *over, mine, piece, shape, *islands, *notes, home.table(Storey)]
    for claim in mine:
        target = claim.target
        point = points.get(target)
        if point is None:
            here.append(home.find(Board, target))
            continue
        here += (point, rooms[target])
        if point.plate is not None:
            here.append(plates.get(point.plate))
    for claim in worked:
        point = points[claim.target]
        here += (point, rooms[claim.target], plates.get(point.plate or ""), claim.evidence, *claim.by)
    return memo.get("circuits.view", device.id, tuple(here), lambda: _made(home, trade, rooms, made_of))


def _worked(home: Home, memo: Memo, gathered: Gathered, mine: tuple[Claim, ...]) -> tuple[Claim, ...]:
    """Give the switches that work a light of a way, and the lights its switches work, if nothing else names a way.

    Nobody followed the cable between them, so that they are on this way is inferred.
    """
    own = {claim.target for claim in mine}
    parts = (gathered.tags, gathered.settled, home.table(Run))
    elsewhere = memo.get("circuits.fed directly", "", parts, lambda: _fed_directly(gathered))
    found: dict[str, Claim] = {}
    for claim in mine:
        point = home.find(Point, claim.target)
        others = (*gathered.switches.get(claim.target, ()), *(point.controls if point is not None else ()))
        for other in others:
            if other not in own and other not in elsewhere and other not in found:
                found[other] = Claim(other, claim.by, weakest(claim.evidence, "inferred"))
    return tuple(found[i] for i in sorted(found, key=natural_key))


def _fed_directly(gathered: Gathered) -> frozenset[str]:
    said = {tag.target for tags in gathered.tags.values() for tag in tags}
    known = {each.point for settled in gathered.settled.values() for each in settled}
    pairs = [*gathered.shaped.values(), *(pair for held in gathered.islands.values() for pair in held)]
    traced = set().union(*(traced_by(piece) for piece, _ in pairs))
    return frozenset(said | known | traced)


def _made(home: Home, trade: Trade, rooms: Mapping[str, Room | None], parts: _Parts) -> CircuitView:
    every = sorted((*parts.claims, *parts.worked), key=lambda claim: natural_key(claim.target))
    members = tuple(
        _member(home, point, rooms, claim)
        for claim in every
        if (point := home.find(Point, claim.target)) is not None and point.phase == "existing"
    )
    fed = tuple(board for claim in every if (board := home.find(Board, claim.target)) is not None)
    traced = traced_by(parts.piece)
    shape = parts.shape
    if shape is not None:
        shape = judged(home, shape, parts.claims, traced, trade)
    pieces = [piece for piece in (parts.piece, *parts.islands) if piece is not None]
    runs = {run.id: run for piece in pieces for run in piece.runs}
    drops = {run.id: run for piece in pieces for run in piece.drops}
    within = {member.room.id: member.room for member in members if member.room is not None}
    return CircuitView(
        code=home.code(parts.device.id),
        device=parts.device,
        board=parts.board,
        above=parts.above,
        shape=shape,
        runs=tuple(runs[i] for i in sorted(runs, key=natural_key)),
        drops=tuple(drops[i] for i in sorted(drops, key=natural_key)),
        members=members,
        boards_fed=fed,
        missing=missing_of(home, parts.device.id, parts.shape, parts.claims, traced, trade),
        rooms=tuple(within[i] for i in sorted(within, key=natural_key)),
        storeys=_in_order(home, {member.storey for member in members if member.storey is not None}),
        notes=parts.notes,
        names=tuple(member.point.id for member in members),
    )


def _member(home: Home, point: Point, rooms: Mapping[str, Room | None], claim: Claim) -> Member:
    room = rooms[point.id]
    place = place_of(home, point)
    storey = place.storey if place is not None else (room.storey if room is not None else None)
    return Member(point, room, storey, claim.by, claim.evidence, home.find(Point, claim.fuse))


def _in_order(home: Home, storeys: Iterable[str]) -> tuple[str, ...]:
    levels = home.table(Storey)
    return tuple(sorted(storeys, key=lambda i: (levels[i].level, natural_key(i))))
