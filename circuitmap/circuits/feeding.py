"""What feeds this: the way of a point as far as it is known, its RCD, how sure that is, and what else goes off with it.

One way is named only where the point was seen to stop with it; otherwise every way that may be it is listed and the
main switch is what to use. Nothing here proves that anything is dead.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from circuitmap.circuits.orphans import unmapped
from circuitmap.circuits.sought import Sought, sought
from circuitmap.circuits.views import CircuitView, How, views
from circuitmap.circuits.which import feeds, is_observed, stops_with, what_stops
from circuitmap.home.phases import is_there
from circuitmap.home.records import Board, Check, Device, Point, Room, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.where import rooms_of_points
from circuitmap.survey.deduce import Deduced
from circuitmap.survey.settle import settle
from circuitmap.trade import Trade
from circuitmap.wiring import above, under
from circuitmap.words import Evidence

MOST_ANSWERED: Final = 60
"""Of so many points each is answered for; words that mean more of a home than that are asked to be narrowed."""
_LEAST_CHANCE: Final = 0.01


@dataclass(frozen=True, slots=True)
class Candidate:
    """A way that may feed a point: by what that is known, how sure, and its chance by the switch-offs (0 to 1)."""

    device: Device
    code: str
    by: tuple[How, ...]
    evidence: Evidence | None
    chance: float | None


@dataclass(frozen=True, slots=True)
class Other:
    """Another point that loses its supply, the way that it hangs on, and whether it was seen to stop with that."""

    point: Point
    room: Room | None
    code: str
    is_seen: bool


@dataclass(frozen=True, slots=True)
class Lost:
    """What goes off with a device: points by way and room, boards, and how much of it nobody has traced."""

    device: Device
    code: str
    others: tuple[Other, ...]
    ways: tuple[str, ...]
    boards: tuple[Board, ...]
    untraced: int


@dataclass(frozen=True, slots=True)
class Residual:
    """An RCD over a way, with the codes of the other ways that go off when it trips."""

    device: Device
    code: str
    also: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Feed:
    """The answer for one point.

    ``way`` is the one way with which it was seen to stop, None where that is in doubt. ``candidates`` are the ways that
    may feed it, likeliest first; ``may_be_any`` says that nothing tells the ways of the home apart. ``deduced`` is what
    the switch-offs say, None before anybody looked. ``lost`` goes with the candidates.
    """

    point: Point
    room: Room | None
    way: CircuitView | None
    says: str
    candidates: tuple[Candidate, ...]
    may_be_any: bool
    deduced: Deduced | None
    rcds: tuple[Residual, ...]
    local_rcd: Point | None
    lost: tuple[Lost, ...]


@dataclass(frozen=True, slots=True)
class WayFeeds:
    """The answer for a way that was named: what hangs on it, and its RCDs."""

    lost: Lost
    rcds: tuple[Residual, ...]


@dataclass(frozen=True, slots=True)
class WhatFeeds:
    """The whole answer: what the words mean, each point and way of it, and how many points no way is known for."""

    sought: Sought
    feeds: tuple[Feed, ...]
    ways: tuple[WayFeeds, ...]
    unmapped: int


def what_feeds(home: Home, trade: Trade, memo: Memo, words: str) -> WhatFeeds:
    """Answer "what feeds this?" for a few words: a point by name or place, a room, an id, the code of a way."""
    meant = sought(home, trade, memo, words)
    circuits = views(home, trade, memo)
    house = _House(home, trade, memo, circuits)
    return WhatFeeds(
        meant,
        tuple(house.feed(point) for point in meant.points[:MOST_ANSWERED]),
        tuple(WayFeeds(house.lost(device), house.rcds((device,))) for device in meant.devices),
        len(unmapped(home, circuits)),
    )


class _House:
    """A home with all that an answer draws on, gathered once for all points asked for."""

    def __init__(self, home: Home, trade: Trade, memo: Memo, circuits: tuple[CircuitView, ...]) -> None:
        self.home, self.trade, self.memo, self.circuits = home, trade, memo, circuits
        self.of: dict[str, CircuitView] = {view.device.id: view for view in circuits}
        self.rooms = rooms_of_points(home, memo)
        self.settled: Mapping[str, Deduced] = settle(home, memo, trade)
        self.has_checks = bool(home.table(Check))
        self._lost: dict[str, Lost] = {}

    def feed(self, point: Point) -> Feed:
        """Answer for one point."""
        way = stops_with(self.home, self.circuits, point.id)
        deduced = self.settled.get(point.id)
        candidates, may_be_any = self._candidates(point, way, deduced)
        on = [each.device for each in candidates]
        members = [m for view in feeds(self.home, self.circuits, point.id) for m in view.members if m.point is point]
        behind = next(
            (m.after_fuse for m in members if m.after_fuse is not None and m.after_fuse.rcd is not None), None
        )
        return Feed(
            point,
            self.rooms[point.id],
            way,
            what_stops(self.home, self.circuits, point.id),
            candidates,
            may_be_any,
            deduced if deduced is not None and (deduced.checks or deduced.says) and self.has_checks else None,
            self.rcds(on) if on and not may_be_any else (),
            point if point.rcd is not None else behind,
            () if may_be_any else tuple(self._without(point, self.lost(device)) for device in on),
        )

    def _candidates(
        self, point: Point, way: CircuitView | None, deduced: Deduced | None
    ) -> tuple[tuple[Candidate, ...], bool]:
        chances = self._chances(point) if self.has_checks else {}
        said: dict[str, tuple[tuple[How, ...], Evidence]] = {}
        for view in feeds(self.home, self.circuits, point.id):
            member = view.members[view.names.index(point.id)]
            said[view.device.id] = (member.by, member.evidence)
        if way is not None:
            by, evidence = said[way.device.id]
            return (Candidate(way.device, way.code, by, evidence, chances.get(way.device.id)),), False
        possible = set(said)
        for view in self.circuits:  # a loop between ways leaves the point live from any of them
            if view.shape is not None and len(view.shape.devices) > 1 and possible & set(view.shape.devices):
                possible |= set(view.shape.devices)
        # Of a point that nobody looked at every way is still possible; what was drawn or said then comes first.
        tells = deduced is not None and deduced.verdict not in ("never off", "elsewhere", "unchecked")
        if deduced is not None and (tells or not said):
            possible |= {i for i in deduced.candidates if chances.get(i, 1.0) >= _LEAST_CHANCE}
        every = {view.device.id for view in self.circuits}
        found = [
            Candidate(device, self.home.code(i), said[i][0] if i in said else (), said[i][1] if i in said else None,
                      chances.get(i))
            for i in possible
            if (device := self.home.find(Device, i)) is not None
        ]  # fmt: skip
        found.sort(key=lambda each: (-(each.chance or 0.0), not each.by, natural_key(each.device.id)))
        return tuple(found), not said and len(every) > 1 and every <= possible and not any(map(_is_likely, found))

    def _chances(self, point: Point) -> dict[str, float]:
        from circuitmap.survey.weigh import scales_of, weighed_of

        scales = scales_of(self.home, self.memo, self.trade)
        if point.id not in scales.index:
            return {}
        weighed = weighed_of(scales, point.id)
        devices = dict.fromkeys(device for each in weighed.explanations for device in each.devices)
        return {d: sum(e.chance for e in weighed.explanations if d in e.devices) for d in devices} | {
            way: 0.0 for way in scales.ways if way not in devices
        }

    def rcds(self, devices: Iterable[Device]) -> tuple[Residual, ...]:
        """Give the devices with a residual current part that some ways hang under, each once."""
        found: dict[str, Residual] = {}
        for device in devices:
            over = [device, *(self.home.find(Device, i) for i in above(self.home, device.id, self.memo))]
            for each in over:
                if each is None or each.id in found or not is_there(each) or not self._is_residual(each):
                    continue
                tripped = under(self.home, (each.id,), self.memo) - {each.id}
                codes = [view.code for view in self.circuits if view.device.id in tripped and view.device is not device]
                found[each.id] = Residual(each, self.home.code(each.id), tuple(codes))
        return tuple(found.values())

    def _is_residual(self, device: Device) -> bool:
        return device.rcd is not None or self.trade.device(device.kind).residual_current

    def lost(self, device: Device) -> Lost:
        """Give what goes off with a device, as far as it is known."""
        known = self._lost.get(device.id)
        if known is None:
            off = under(self.home, (device.id,), self.memo)
            gone = [view for view in self.circuits if view.device.id in off]
            others = {
                member.point.id: Other(
                    member.point, member.room, view.code, is_observed(self.home, view, member.point.id)
                )
                for view in gone
                for member in view.members
            }
            boards = {board.id: board for view in gone for board in view.boards_fed}
            known = Lost(
                device,
                self.home.code(device.id),
                tuple(others[i] for i in sorted(others, key=natural_key)),
                tuple(view.code for view in gone if view.device.id != device.id),
                tuple(boards[i] for i in sorted(boards, key=natural_key)),
                sum(len(view.missing) for view in gone),
            )
            self._lost[device.id] = known
        return known

    def _without(self, point: Point, lost: Lost) -> Lost:
        others = tuple(other for other in lost.others if other.point.id != point.id)
        return Lost(lost.device, lost.code, others, lost.ways, lost.boards, lost.untraced)


def _is_likely(each: Candidate) -> bool:
    return each.chance is not None and each.chance >= 0.5
