"""Trunking on the face of a wall: where it may run, and what it takes.

What is in sight is in nobody's way who drills, so the zones for hidden cables (regulation 522.6.202) don't bind it: it
may run anywhere on a face, clear of openings and of what is closed. It follows skirtings, corners, openings and the
accessories it goes to, where it is seen least (common practice, no source).
"""

from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from circuitmap.extension.costs import Item
from circuitmap.plan.elevation import Face, Stood
from circuitmap.plan.permitted import Permitted, Strip

KIND: Final = "trunking"
SURFACE: Final = "surface"
METHOD: Final = "B"  # the reference method of cables in trunking on a wall
_IN_THE_WALL: Final = frozenset(("chase", "stud"))
_ONLY_IN_WALLS: Final = frozenset(("set up", "noggin", "stud crossed"))


class Seen(NamedTuple):
    """Where trunking is put, in mm: its middle over the floor on a skirting, and beside an opening."""

    skirting_mm: float
    opening_mm: float


def whole_face(face: Face) -> Permitted:
    """Give all of a face but its openings."""
    everywhere = Strip(0.0, 0.0, face.length_mm, face.height_mm, "up and down")
    return Permitted(face.id, (everywhere,), tuple(face.holes))


def beside_openings(face: Face, seen: Seen) -> set[float]:
    """Give the upright lines beside doors and windows."""
    us = (at for hole in face.holes for at in (hole.from_mm - seen.opening_mm, hole.to_mm + seen.opening_mm))
    return {round(u, 1) for u in us if 0 < u < face.length_mm}


def along_the_face(face: Face, stood: Iterable[Stood], seen: Seen) -> set[float]:
    """Give the level lines: on the skirting, over openings, and through accessories."""
    vs = [seen.skirting_mm, *(hole.head_mm + seen.opening_mm for hole in face.holes)]
    vs += [each.v for each in stood if each.v is not None]
    return {round(v, 1) for v in vs if 0 < v < face.height_mm}


def on_the_face(items: Sequence[Item]) -> tuple[Item, ...]:
    """Give what a stretch takes on a wall's face in place of what it would take inside."""
    return tuple(
        item._replace(kind=KIND, build="") if item.kind in _IN_THE_WALL
        else item._replace(build=SURFACE) if item.kind == "drop"
        else item
        for item in items
        if item.kind not in _ONLY_IN_WALLS
    )  # fmt: skip
