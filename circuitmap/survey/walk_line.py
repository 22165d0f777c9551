"""A walk as lines on the plan, and how long it is: through the doors that are known, and up and down the stairs."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from circuitmap.home.records import Point
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import place_of, rooms_of_points
from circuitmap.survey.walk_floor import UNKNOWN_WAY_MM, floor_of
from circuitmap.survey.walk_stairs import At, flights, start_of

if TYPE_CHECKING:
    from circuitmap.survey.walk_floor import Floor, Spots

UNPLACED_MM: Final = 3000.0  # to a point of which only the room is known (common practice, no source)

Polyline = tuple[At, ...]


@dataclass
class _Stretch:
    """What is walked on one storey in one go: spots, and the room each is said to be in."""

    storey: str
    spots: list[At] = field(default_factory=list)
    rooms: list[str | None] = field(default_factory=list)

    def to(self, spot: At, room: str | None = None) -> None:
        self.spots.append(spot)
        self.rooms.append(room)


def walk_path(
    home: Home, order: Iterable[str], memo: Memo | None = None, *, from_board: bool = True
) -> Mapping[str, tuple[Polyline, ...]]:
    """Give the lines of a walk in plan mm, by storey: from point to point through doors and round corners.

    Where no door is known the line is straight. Points without a place are passed over.

    Parameters
    ----------
    home
        The home.
    order
        Point ids in the order in which they are walked to.
    memo
        Where the floors are kept.
    from_board
        Whether the walk begins at the board, or at the first point.
    """
    memo = memo if memo is not None else Memo()
    stretches, _ = _stretches(home, order, memo, from_board=from_board)
    found: dict[str, list[Polyline]] = {}
    for stretch in stretches:
        floor, spots = _located(home, stretch, memo)
        bends = floor.bends(spots[:-1], spots[1:])
        line: list[At] = []
        for number, spot in enumerate(stretch.spots):
            if number:
                line += [(round(x), round(y)) for x, y in bends[number - 1]]
            line.append(spot)
        kept = [spot for number, spot in enumerate(line) if not number or spot != line[number - 1]]
        if len(kept) > 1:
            found.setdefault(stretch.storey, []).append(tuple(kept))
    return {storey: tuple(lines) for storey, lines in found.items()}


def walk_length_mm(home: Home, order: Iterable[str], memo: Memo | None = None, *, from_board: bool = True) -> float:
    """Give how far one walks to see points in an order, with an allowance per stair and per point without a place."""
    memo = memo if memo is not None else Memo()
    stretches, length_mm = _stretches(home, order, memo, from_board=from_board)
    for stretch in stretches:
        floor, spots = _located(home, stretch, memo)
        length_mm += float(floor.paired(spots[:-1], spots[1:]).sum())
    return length_mm


def _located(home: Home, stretch: _Stretch, memo: Memo) -> "tuple[Floor, Spots]":
    floor = floor_of(home, memo, stretch.storey)
    return floor, floor.locate(stretch.spots, [floor.number_of(room) for room in stretch.rooms])


def _stretches(home: Home, order: Iterable[str], memo: Memo, *, from_board: bool) -> tuple[Sequence[_Stretch], float]:
    """Give what is walked on each storey, and the allowances for all that no line is drawn of."""
    table, rooms = home.table(Point), rooms_of_points(home, memo)
    start = start_of(home, memo) if from_board else None
    found: list[_Stretch] = []
    allowed_mm = 0.0
    if start is not None:
        found.append(_Stretch(start[0]))
        found[-1].to(start[1])
    for point_id in order:
        point = table[point_id]
        room, place = rooms.get(point_id), place_of(home, point)
        storey = place.storey if place is not None else room.storey if room is not None else None
        if storey is not None and not found:
            found.append(_Stretch(storey))
        elif storey is not None and found[-1].storey != storey:
            ends = ((place.x_mm, place.y_mm),) if place is not None else ()
            for flight in flights(home, found[-1].storey, storey, found[-1].spots[-1:], ends):
                allowed_mm += flight.length_mm if flight.foot is not None else flight.length_mm + UNKNOWN_WAY_MM
                if flight.foot is not None:
                    found[-1].to(flight.foot)
                found.append(_Stretch(flight.arrives))
                if flight.landing is not None:
                    found[-1].to(flight.landing)
        if place is None:
            allowed_mm += UNPLACED_MM
        else:
            found[-1].to((place.x_mm, place.y_mm), room.id if room is not None else None)
    return [stretch for stretch in found if stretch.spots], allowed_mm
