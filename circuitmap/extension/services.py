"""How far it is from the main earthing terminal to where a service comes in, as far as the map shows both."""

from typing import Final

from circuitmap.home.records import Board, Place, Point, Storey
from circuitmap.home.snapshot import Home
from circuitmap.plan.where import place_of

# A pipe that comes in at no height that anybody measured is taken to come in at the floor.
_AT_FLOOR_MM: Final = 0
_BOARD_MM: Final = 1800  # a board of no height that anybody measured (common practice, no source)


def entry_m(home: Home, service: str) -> float | None:
    """Give metres of conductor from the board at the intake, where the main earthing terminal is, to a service's entry.

    The map shows an entry as a point of the kind “other” that is called after the service ("gas", "water stopcock").
    The way is taken square along the walls: down to the floor, along it, up to the pipe, and between storeys straight
    up; slack is added by whoever counts cable.

    Returns
    -------
    float or None
        None where the map shows no such point, no board at the intake, or not where they are.
    """
    at = _intake(home)
    there = _entry(home, service)
    if at is None or there is None:
        return None
    storeys = home.table(Storey)
    high = _height_mm(at, _BOARD_MM), _height_mm(there, _AT_FLOOR_MM)
    along = abs(at.x_mm - there.x_mm) + abs(at.y_mm - there.y_mm)
    if at.storey == there.storey:
        return (along + sum(high)) / 1000
    floors = [storeys[place.storey].floor_mm for place in (at, there)]
    if floors[0] is None or floors[1] is None:
        return None
    return (along + abs(floors[0] + high[0] - floors[1] - high[1])) / 1000


def _intake(home: Home) -> Place | None:
    boards = [board for board in home.sorted(Board) if board.source == "supply" and board.place is not None]
    return boards[0].place if boards else None


def _entry(home: Home, service: str) -> Place | None:
    word = service.strip().casefold()
    for point in home.sorted(Point):
        if word and point.kind == "other" and word in point.name.casefold() and point.phase == "existing":
            place = place_of(home, point)
            if place is not None:
                return place
    return None


def _height_mm(place: Place, usual: int) -> int:
    return place.height_mm if place.height_mm is not None else usual
