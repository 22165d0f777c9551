"""Pieces: all that hangs together by runs that carry supply, found by union-find over every run at each edit.

A run whose far end nobody followed, or that was seen loose, belongs to the piece of its known end. A run that ends at
a board, or at the supply side of a device, feeds that board: the board is a leaf of the circuit that feeds it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from circuitmap.home.records import Board, Device, End, Point, Run, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.words import CARRYING

Kind = TypeVar("Kind", Device, Board, Point)

# Strappers and switch drops carry supply on to a lamp or second switch, but they never make a ring.
LINKING = frozenset({"strappers", "switch drop"})


@dataclass(frozen=True, slots=True)
class Piece:
    """Devices, points and boards joined to each other by carrying runs.

    ``drops`` are the runs there that carry nothing onwards (switch drops, strappers, earths): they count as cables.
    ``links`` are those of them without which a part of the piece would be cut off: never part of a loop.
    ``worked`` are the lights here that some switch is said to work. ``incomers`` are devices fed here at their supply
    side: to the shape they are the board they stand in.
    """

    name: str
    devices: tuple[Device, ...]
    boards: tuple[Board, ...]
    points: tuple[Point, ...]
    runs: tuple[Run, ...]
    drops: tuple[Run, ...] = ()
    links: tuple[Run, ...] = ()
    worked: tuple[str, ...] = ()
    incomers: tuple[Device, ...] = ()

    @property
    def records(self) -> tuple[object, ...]:
        """All that a shape is worked out from, for keeping it by identity."""
        return (*self.devices, *self.boards, *self.points, *self.runs, *self.drops, *self.worked, *self.incomers)


@dataclass(slots=True)
class _Gathered:
    ids: list[str] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)
    drops: list[Run] = field(default_factory=list)
    links: list[Run] = field(default_factory=list)


def node_of(home: Home, end: End) -> str | None:
    """Give what a joined end is part of: a point, the device it leaves from, or the board it feeds; else None."""
    if end.at is None or end.state != "joined":
        return None
    letter = end.at[0]
    if letter == "B":
        # A cable that goes into a board at its load side belongs to some way of it, nobody knows which.
        return None if end.side == "load" else end.at
    if letter == "D" and end.side == "supply":
        device = home.find(Device, end.at)
        return device.board if device is not None else None
    return end.at


def pieces(home: Home) -> tuple[Piece, ...]:
    """Give the pieces of a home in the natural order of their names; a thing without runs is in none.

    A piece is named after its first device, or else its first point, board or run.
    """
    parent: dict[str, str] = {}
    carrying: list[tuple[Run, str]] = []
    others: list[Run] = []
    for run in home.table(Run).values():
        if run.phase != "existing":
            continue
        if run.role not in CARRYING:
            others.append(run)
            continue
        # Most ends are joined to a point or leave a device: told here without a call, there are thousands of them.
        end = run.a
        at = end.at
        a = at if at is not None and at[0] == "P" and end.state == "joined" else node_of(home, end)
        end = run.b
        at = end.at
        b = at if at is not None and at[0] == "P" and end.state == "joined" else node_of(home, end)
        node = a or b or run.id
        root = _root(parent, node) if node in parent else parent.setdefault(node, node)
        if a is not None and b is not None and a != b:
            other = _root(parent, b) if b in parent else parent.setdefault(b, b)
            if root != other:
                parent[other] = root
        carrying.append((run, node))
    links = _link(home, parent, others)
    gathered: dict[str, _Gathered] = {}
    for node in parent:
        root = _root(parent, node)
        group = gathered.get(root)
        if group is None:
            group = gathered[root] = _Gathered()
        group.ids.append(node)
    for run, node in carrying:
        gathered[_root(parent, node)].runs.append(run)
    for run in others:
        for root in {_root(parent, at) for at in (run.a.at, run.b.at) if at is not None and at in parent}:
            gathered[root].drops.append(run)
    for run in links:
        gathered[_root(parent, run.a.at or "")].links.append(run)
    worked: set[str] = set()
    for point in home.table(Point).values():
        if point.controls and point.phase == "existing":
            worked.update(point.controls)
    found = [_piece(home, each, worked) for each in gathered.values()]
    return tuple(sorted(found, key=_by_name))


def pieces_of(home: Home, memo: Memo) -> tuple[Piece, ...]:
    """Give the pieces of a home, looked for again only after something of its wiring has changed."""
    parts = (home.table(Run), home.table(Point), home.table(Device), home.table(Board))
    return memo.get("wiring.pieces", "", parts, lambda: pieces(home))


def _link(home: Home, parent: dict[str, str], others: list[Run]) -> list[Run]:
    """Join parts that only strappers or switch drops connect, a forest's worth of them."""
    links = []
    for run in sorted((run for run in others if run.role in LINKING), key=_number):
        a, b = node_of(home, run.a), node_of(home, run.b)
        if a is None or b is None or a not in parent or b not in parent:
            continue
        root, other = _root(parent, a), _root(parent, b)
        if root != other:
            parent[other] = root
            links.append(run)
    return links


def _piece(home: Home, gathered: _Gathered, worked: set[str]) -> Piece:
    ids = sorted(gathered.ids, key=_id_number)
    devices = tuple(_found(home.table(Device), "D", ids))
    boards = tuple(_found(home.table(Board), "B", ids))
    points = tuple(_found(home.table(Point), "P", ids))
    first: tuple[Device | Point | Board | Run, ...] = (*devices[:1], *points[:1], *boards[:1], *gathered.runs[:1])
    return Piece(
        name=first[0].id,
        devices=devices,
        boards=boards,
        points=points,
        runs=tuple(sorted(gathered.runs, key=_number)),
        drops=tuple(sorted(gathered.drops, key=_number)),
        links=tuple(gathered.links),
        worked=tuple([point.id for point in points if point.id in worked]) if worked else (),
        incomers=_incomers(home, gathered.runs) if boards else (),
    )


def _incomers(home: Home, runs: list[Run]) -> tuple[Device, ...]:
    ends = (end for run in runs for end in (run.a, run.b))
    ids = {end.at for end in ends if end.at is not None and end.at[0] == "D" and end.side == "supply"}
    return tuple(_found(home.table(Device), "D", sorted(ids, key=_id_number)))


def _found(table: Mapping[str, Kind], letter: str, ids: list[str]) -> list[Kind]:
    return [table[i] for i in ids if i[0] == letter and i in table]


def _root(parent: dict[str, str], node: str) -> str:
    while parent[node] != node:
        parent[node] = parent[parent[node]]
        node = parent[node]
    return node


def _number(run: Run) -> int:
    return int(run.id[1:])


def _id_number(record_id: str) -> int:
    return int(record_id[1:])


def _by_name(piece: Piece) -> tuple[str, int]:
    return natural_key(piece.name)
