"""Walls of an invented home and what is let into them: doors, windows, a garage's shutter. Lengths are millimetres."""

from collections.abc import Sequence
from typing import Final

import msgspec

from circuitmap.home.records import Opening, Wall
from circuitmap.words import Build

OUTER_MM: Final = 280

Box = tuple[int, int, int, int]


def four_walls(
    storey: str, box: Box, thickness_mm: int, build: Build, openings: Sequence[tuple[Opening, ...]]
) -> list[Wall]:
    """Give walls round a box of their middle lines; those across run on to fill the corners."""
    x0, y0, x1, y1 = box
    off = thickness_mm // 2
    ends = (
        ((x0 - off, y0), (x1 + off, y0)),
        ((x1, y0), (x1, y1)),
        ((x1 + off, y1), (x0 - off, y1)),
        ((x0, y1), (x0, y0)),
    )
    walls = []
    for side, ((start, stop), held) in enumerate(zip(ends, openings, strict=True)):
        moved = held
        if side % 2 == 0:
            moved = tuple(msgspec.structs.replace(each, along_mm=each.along_mm + off) for each in held)
        walls.append(wall(storey, start, stop, thickness_mm, build, moved))
    return walls


def opening(kind: str, along_mm: int, width_mm: int) -> Opening:
    """Give a door or the like, from so far along its wall."""
    return Opening(kind=kind, along_mm=along_mm, width_mm=width_mm, head_mm=2000)


def window(start: int, stop: int) -> Opening:
    """Give a window in the middle of a length inside, measured on the outer wall, which starts a wall earlier."""
    long = window_mm(stop - start)
    return Opening(
        kind="window", along_mm=(start + stop - long) // 2 + OUTER_MM // 2, width_mm=long, sill_mm=900, head_mm=2100
    )


def window_mm(long_mm: int) -> int:
    """Give how wide the window of so long a wall is."""
    return min(1800, long_mm // 2)


def wall(
    storey: str,
    a_mm: tuple[int, int],
    b_mm: tuple[int, int],
    thickness_mm: int,
    build: Build,
    openings: tuple[Opening, ...] = (),
) -> Wall:
    """Give a wall by its middle line; it gets its own number later."""
    return Wall(id="W1", storey=storey, a_mm=a_mm, b_mm=b_mm, thickness_mm=thickness_mm, build=build, openings=openings)


def numbered(walls: Sequence[Wall]) -> list[Wall]:
    """Give walls their ids, in their order."""
    return [msgspec.structs.replace(each, id=f"W{number}") for number, each in enumerate(walls, start=1)]
