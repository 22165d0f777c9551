"""Which points stand by each other: on one plate, or in one room and of one family. Such points often share a way."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Plate, Point, Room
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.trade import Trade, load

# Families whose points are wired alike; of the others only points of the same kind are neighbours.
_ALIKE: Final = frozenset(("sockets", "lights", "alarms"))


@dataclass(frozen=True, slots=True)
class Neighbours:
    """The other points beside one: on its plate (they often share its way), of its family in its room (less often).

    ``on_plate`` and ``in_room`` are the whole groups, the point among them; points of a group share them.
    """

    point: str
    on_plate: tuple[str, ...] = ()
    in_room: tuple[str, ...] = ()

    @property
    def plate(self) -> tuple[str, ...]:
        """The other points on its plate."""
        return tuple([other for other in self.on_plate if other != self.point])

    @property
    def room(self) -> tuple[str, ...]:
        """The other points of its family in its room, on its plate or not."""
        return tuple([other for other in self.in_room if other != self.point])


def neighbours(home: Home, memo: Memo, trade: Trade | None = None) -> Mapping[str, Neighbours]:
    """Give the neighbours of every existing point; our own tables tell the families when none are given."""
    trade = trade if trade is not None else load()
    parts = (trade, home.table(Point), home.table(Plate), home.table(Room))
    return memo.get("survey.neighbours", "", parts, lambda: _make(home, memo, trade))


def _make(home: Home, memo: Memo, trade: Trade) -> Mapping[str, Neighbours]:
    rooms = rooms_of_points(home, memo)
    points = [point for point in home.table(Point).values() if point.phase == "existing"]
    plates: dict[str, list[str]] = {}
    mates: dict[tuple[str, str], list[str]] = {}
    keys: dict[str, tuple[str, str]] = {}
    for point in points:
        if point.plate is not None:
            plates.setdefault(point.plate, []).append(point.id)
        room = rooms[point.id]
        if room is not None:
            family = trade.point(point.kind).family
            keys[point.id] = key = (room.id, family if family in _ALIKE else point.kind)
            mates.setdefault(key, []).append(point.id)
    on_plate = {plate: tuple(ids) for plate, ids in plates.items()}
    in_room = {key: tuple(ids) for key, ids in mates.items()}
    return {
        point.id: Neighbours(
            point.id,
            on_plate.get(point.plate, ()) if point.plate is not None else (),
            in_room[keys[point.id]] if point.id in keys else (),
        )
        for point in points
    }
