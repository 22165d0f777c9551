"""What the circuit chart may say of every way and every point, and what it must not.

A point "stops working when A3 is off" only where a switch-off showed it and nothing speaks against it. A point on the
map by a cable or by somebody's word alone, one in doubt, and everything on ways that are joined is "use the main
switch". Switches are no points of their own: the light that they work is what was looked at.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from circuitmap.circuits.views import CircuitView, Member, views
from circuitmap.circuits.which import JOINED
from circuitmap.home import Home
from circuitmap.home.records import Board, Device, OtherSource, Plate, Point, Room, Storey, Supply, natural_key
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.plan.where import place_of, room_of
from circuitmap.survey.deduce import Deduced
from circuitmap.survey.settle import settle
from circuitmap.survey.taken import main_switches, other_sources
from circuitmap.trade import Trade

# seen: it went off with its way and was on without it; said: on the map only; joined: on ways that feed one another.
Status = Literal["seen", "said", "joined", "in doubt", "elsewhere", "unknown"]
_RCDS: Final = frozenset({"RCD", "RCD BS 4293", "voltage ELCB"})


@dataclass(frozen=True, slots=True)
class PointFact:
    """A point as the chart knows it; ``devices`` are the ways that may feed it, ``counts`` whether it is listed."""

    point: Point
    room: Room | None
    storey: str
    status: Status
    devices: tuple[str, ...]
    counts: bool
    is_placed: bool

    @property
    def is_sure(self) -> bool:
        """Whether the chart may say that it stops working with its way."""
        return self.status == "seen"


@dataclass(frozen=True, slots=True)
class WayFact:
    """A way as the chart knows it: the number of its colour, the ways it is joined with, its points that are listed."""

    view: CircuitView
    number: int
    joined: tuple[str, ...]
    points: tuple[PointFact, ...]

    @property
    def code(self) -> str:
        """Give what it goes by, such as A3."""
        return self.view.code

    @property
    def seen(self) -> tuple[PointFact, ...]:
        """Give its points that stop working with it."""
        return tuple(fact for fact in self.points if fact.is_sure)

    @property
    def unsure(self) -> tuple[PointFact, ...]:
        """Give its points that nobody saw going off with it, or not with it alone."""
        return tuple(fact for fact in self.points if not fact.is_sure)


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the chart stands on; ``codes`` names the devices, ``shared`` the boxes that hold several ways."""

    home: Home
    trade: Trade
    ways: tuple[WayFact, ...]
    points: Mapping[str, PointFact]
    codes: Mapping[str, str]
    mains: tuple[Device, ...]
    boards: tuple[Board, ...]
    board_rooms: Mapping[str, Room | None]
    sources: tuple[OtherSource, ...]
    sources_asked: bool
    shared: tuple[tuple[Room | None, tuple[str, ...]], ...]

    @property
    def listed(self) -> tuple[PointFact, ...]:
        """Give the points that the tables list, in natural order."""
        return tuple(fact for fact in self.points.values() if fact.counts)


def chart_facts(home: Home, trade: Trade, memo: Memo) -> Facts:
    """Gather what the chart may say of a home; ``home`` holds only what is there."""
    known, deduced = views(home, trade, memo), settle(home, memo, trade)
    on: dict[str, list[tuple[CircuitView, Member]]] = {}
    for view in known:
        for member in view.members:
            on.setdefault(member.point.id, []).append((view, member))
    joined = _joined_ways(known, deduced)
    rooms = rooms_of_points(home, memo)
    points: dict[str, PointFact] = {}
    for point in sorted(home.table(Point).values(), key=lambda each: natural_key(each.id)):
        status, devices = _status(on.get(point.id, []), deduced.get(point.id), joined)
        room, place = rooms[point.id], place_of(home, point)
        storey = place.storey if place is not None else (room.storey or "" if room is not None else "")
        row = trade.point(point.kind)
        counts = row.counts_as_point or row.checkable
        points[point.id] = PointFact(point, room, storey, status, devices, counts, place is not None)
    mine: dict[str, list[PointFact]] = {}
    for fact in points.values():
        for device in fact.devices if fact.counts else ():
            mine.setdefault(device, []).append(fact)
    codes = {view.device.id: view.code for view in known}
    ways = tuple(
        WayFact(
            view, n, tuple(codes.get(i, home.code(i)) for i in joined.get(view.device.id, ())),
            tuple(mine.get(view.device.id, ())),
        )
        for n, view in enumerate(known)
    )  # fmt: skip
    supplies = home.sorted(Supply)
    boards = tuple(sorted(home.table(Board).values(), key=lambda each: each.letter_on_map))
    return Facts(
        home, trade, ways, points, codes, main_switches(home), boards,
        {board.id: room_of(home, memo, board) for board in boards},
        other_sources(home), bool(supplies) and all(each.sources_asked for each in supplies),
        _shared_boxes(home, points, rooms),
    )  # fmt: skip


def rcd_words(facts: Facts, way: WayFact) -> str:
    """Say which RCD stands over a way, as far as it was recorded."""
    device = way.view.device
    if device.rcd is not None or device.kind == "RCBO":
        return f"its own{_trips(device)}"
    over = [each for each in way.view.above if each.kind in _RCDS or each.rcd is not None]
    if over:
        return "; then ".join(
            f"{each.label or each.kind}{_trips(each)}"
            + (f" (board {facts.home.letter_of(each.board)})" if each.board != device.board else "")
            for each in over
        )
    beside = facts.home.devices_on(device.board)
    if device.upstream is None and any(each.kind in _RCDS for each in beside):
        return "not recorded"
    return "none"


def by_room(facts: Facts, points: Iterable[PointFact]) -> tuple[tuple[str, tuple[PointFact, ...]], ...]:
    """Give points under the names of their rooms, storey by storey from the lowest, what has no room last."""
    held: dict[str, list[PointFact]] = {}
    for fact in points:
        held.setdefault(fact.room.id if fact.room is not None else "", []).append(fact)
    rooms = facts.home.table(Room)
    levels = {storey.id: storey.level for storey in facts.home.table(Storey).values()}

    def rank(room_id: str) -> tuple[int, float, object]:
        if not room_id:
            return 1, 0.0, ()
        storey = rooms[room_id].storey
        return 0, float(levels[storey]) if storey in levels else 1e6, natural_key(room_id)

    return tuple(((rooms[i].name or i) if i else "No room given", tuple(held[i])) for i in sorted(held, key=rank))


def _joined_ways(known: Sequence[CircuitView], deduced: Mapping[str, Deduced]) -> dict[str, tuple[str, ...]]:
    """Give for each way that is joined with others all of them, itself among them, in the order of the ways."""
    order = {view.device.id: n for n, view in enumerate(known)}
    groups: list[set[str]] = []
    found = [set(v.shape.devices) for v in known if v.shape is not None and v.shape.kind in JOINED]
    found += [set(each.candidates) for each in deduced.values() if each.odd == "only together"]
    for group in found:
        apart = [each for each in groups if not each & group]
        groups = [*apart, group.union(*(each for each in groups if each & group))]
    return {
        device: tuple(sorted(group, key=lambda i: order.get(i, len(order))))
        for group in groups
        if len(group) > 1
        for device in group
    }


def _status(
    on: Sequence[tuple[CircuitView, Member]], known: Deduced | None, joined: Mapping[str, tuple[str, ...]]
) -> tuple[Status, tuple[str, ...]]:
    devices = tuple(view.device.id for view, _ in on)
    verdict = known.verdict if known is not None else "unchecked"
    possible = known.candidates if known is not None and verdict in ("in doubt", "contradiction") else ()
    pairs = [joined[i] for i in (*devices, *(possible if known is not None and known.odd == "only together" else ()))
             if i in joined]  # fmt: skip
    if pairs:
        return "joined", tuple(dict.fromkeys((*devices, *(i for pair in pairs for i in pair))))
    if verdict == "elsewhere":
        return ("elsewhere", ()) if not devices else ("in doubt", devices)
    if len(devices) > 1:
        return "in doubt", devices
    if verdict in ("contradiction", "never off"):
        return "in doubt", tuple(dict.fromkeys((*devices, *possible)))
    if not devices:
        return ("in doubt", possible) if 0 < len(possible) <= 2 else ("unknown", ())
    if "round" in on[0][1].by and verdict == "settled":
        return "seen", devices
    return "said", devices


def _shared_boxes(
    home: Home, points: Mapping[str, PointFact], rooms: Mapping[str, Room | None]
) -> tuple[tuple[Room | None, tuple[str, ...]], ...]:
    """Give the boxes that hold points of several ways, with the ways' ids."""
    held: dict[str, list[PointFact]] = {}
    for fact in points.values():
        if fact.point.plate is not None and home.find(Plate, fact.point.plate) is not None:
            held.setdefault(fact.point.plate, []).append(fact)
    found: list[tuple[Room | None, tuple[str, ...]]] = []
    for plate in sorted(held, key=natural_key):
        ways = tuple(dict.fromkeys(device for fact in held[plate] for device in fact.devices))
        if len(ways) > 1:
            found.append((rooms[held[plate][0].point.id], ways))
    return tuple(found)


def _trips(device: Device) -> str:
    trips = device.rcd.trips_ma if device.rcd is not None else None
    return f", {trips:g} mA" if trips is not None else ""
