"""Verbs of walls: what they are built of, how thick they were measured, their doors and windows."""

import math
from collections.abc import Iterable

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.records import Opening, Storey, Wall
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import edit, edit_many
from circuitmap.words import Build


def set_build(home: Home, walls: Iterable[str], build: Build) -> Change:
    """Say what some walls are built of."""
    ids = list(walls)
    what = "a wall is" if len(ids) == 1 else f"{len(ids)} walls are"
    return edit_many(home, ids, f"Say what {what} built of", build=build)


def set_thickness(home: Home, walls: Iterable[str], thickness_mm: int) -> Change:
    """Set how thick some walls were measured to be."""
    return edit_many(home, walls, "Set wall thickness", thickness_mm=thickness_mm, thickness_from="measured")


def add_opening(
    home: Home, wall: str, kind: str, along_mm: int, width_mm: int, sill_mm: int | None = None,
    head_mm: int | None = None,
) -> Change:  # fmt: skip
    """Let a door, window or archway into a wall, from so far along it.

    Raises
    ------
    HomeError
        When it does not fit into the wall, or another opening is there.
    """
    record = home.take(Wall, wall)
    opening = Opening(kind=kind, along_mm=along_mm, width_mm=width_mm, sill_mm=sill_mm, head_mm=head_mm)
    return _with(home, record, (*record.openings, opening), opening, f"Add {kind}")


def move_opening(home: Home, wall: str, number: int, along_mm: int, width_mm: int | None = None) -> Change:
    """Move one of a wall's openings along it (they count from 0), or make it wider or narrower.

    Raises
    ------
    HomeError
        When there is no such opening, it does not fit into the wall, or another is there.
    """
    record = home.take(Wall, wall)
    old = _opening(record, number)
    new = msgspec.structs.replace(old, along_mm=along_mm, width_mm=old.width_mm if width_mm is None else width_mm)
    openings = tuple(new if n == number else each for n, each in enumerate(record.openings))
    return _with(home, record, openings, new, f"Move {old.kind}")


def set_heights(home: Home, wall: str, number: int, sill_mm: int | None, head_mm: int | None) -> Change:
    """Say how high one of a wall's openings begins and ends over the storey's floor; None is not known.

    Raises
    ------
    HomeError
        When there is no such opening, its head would not be over its sill, or it would reach out of the storey.
    """
    record = home.take(Wall, wall)
    old = _opening(record, number)
    height = home.take(Storey, record.storey).height_mm
    if sill_mm is not None and sill_mm < 0:
        raise HomeError("A sill lies at the floor or over it; type how high, like 900 mm.", wall)
    if head_mm is not None and head_mm <= (sill_mm or 0):
        raise HomeError(f"The head of a {old.kind} must lie over its sill; check both heights.", wall)
    top = max(sill_mm or 0, head_mm or 0)
    if height is not None and top > height:
        raise HomeError(f"The storey is only {height / 1000:.2f} m high; check the heights of the {old.kind}.", wall)
    new = msgspec.structs.replace(old, sill_mm=sill_mm, head_mm=head_mm)
    openings = tuple(new if n == number else each for n, each in enumerate(record.openings))
    return edit(home, wall, f"Set heights of {old.kind}", openings=openings)


def remove_opening(home: Home, wall: str, number: int) -> Change:
    """Close one of a wall's openings (they count from 0).

    Raises
    ------
    HomeError
        When there is no such opening.
    """
    record = home.take(Wall, wall)
    gone = _opening(record, number)
    openings = tuple(each for n, each in enumerate(record.openings) if n != number)
    return edit(home, wall, f"Close {gone.kind}", openings=openings)


def _opening(wall: Wall, number: int) -> Opening:
    if not 0 <= number < len(wall.openings):
        raise HomeError(f"Wall {wall.id} has no opening number {number + 1}.", wall.id)
    return wall.openings[number]


def _with(home: Home, wall: Wall, openings: tuple[Opening, ...], new: Opening, title: str) -> Change:
    long_mm = math.dist(wall.a_mm, wall.b_mm)
    if new.width_mm < 1 or new.along_mm < 0 or new.along_mm + new.width_mm > long_mm + 1:
        size = f"{new.width_mm / 1000:.2f} m"
        raise HomeError(
            f"A {new.kind} {size} wide does not fit there: the wall is {long_mm / 1000:.2f} m long.", wall.id
        )
    for other in openings:
        if other is not new and _overlap(other, new):
            raise HomeError(f"There is a {other.kind} already at that place in the wall; move one of them.", wall.id)
    return edit(home, wall.id, title, openings=tuple(sorted(openings, key=_along)))


def _overlap(one: Opening, other: Opening) -> bool:
    return min(one.along_mm + one.width_mm, other.along_mm + other.width_mm) > max(one.along_mm, other.along_mm)


def _along(opening: Opening) -> int:
    return opening.along_mm
