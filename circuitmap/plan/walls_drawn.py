"""Walls drawn by hand: by their centre line, as thick and of what build as was said."""

import math
from typing import Final

from circuitmap.errors import HomeError
from circuitmap.home.change import Change, combine
from circuitmap.home.records import Corner, Storey, Wall
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_plan import add_wall
from circuitmap.home.verbs_walls import set_thickness
from circuitmap.quantities.show import show_length
from circuitmap.words import Build

# Anything shorter is a slip of the hand; anything longer is no wall of a home (our own estimate).
SHORTEST_MM: Final = 100
LONGEST_MM: Final = 100_000
THINNEST_MM, THICKEST_MM = 20, 2000
_SAME_MM: Final = 10.0


def draw_wall(
    home: Home, storey: str, a_mm: Corner, b_mm: Corner, thickness_mm: int | None = None, build: Build = "unknown"
) -> Change:
    """Add a straight wall by its centre line; a thickness that is said counts as measured.

    Raises
    ------
    HomeError
        When it is too short or too long, too thin or too thick, or lies where a wall is already.
    """
    home.take(Storey, storey)
    long = math.dist(a_mm, b_mm)
    if long < SHORTEST_MM:
        raise HomeError(f"A wall is longer than {show_length(SHORTEST_MM)}; click its other end further away.")
    if long > LONGEST_MM:
        raise HomeError(f"A wall of {show_length(long)} is longer than any home; check the scale, or type its length.")
    if thickness_mm is not None and not THINNEST_MM <= thickness_mm <= THICKEST_MM:
        raise HomeError(f"A wall is between {THINNEST_MM} mm and {show_length(THICKEST_MM)} thick; type its thickness.")
    for wall in home.table(Wall).values():
        if wall.storey == storey and _same(wall, a_mm, b_mm):
            raise HomeError(f"Wall {wall.id} is there already; click it to change it.", wall.id)
    added = add_wall(home, storey, a_mm, b_mm, build=build)
    title = f"Draw a wall of {show_length(long)}"
    if thickness_mm is None:
        return Change(title, added.pairs)
    return combine(title, (added, set_thickness(home.apply(added), added.added(), thickness_mm)))


def _same(wall: Wall, a: Corner, b: Corner) -> bool:
    ends = ((wall.a_mm, wall.b_mm), (wall.b_mm, wall.a_mm))
    return any(math.dist(p, a) < _SAME_MM and math.dist(q, b) < _SAME_MM for p, q in ends)
