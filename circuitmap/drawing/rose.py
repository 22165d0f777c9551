"""A small arrow to north and a mark for the front of the house, for a corner of a plan on screen or on paper."""

import math

from circuitmap.drawing.marks import Area, Ink, Line, Mark, PointMm, Words
from circuitmap.home.records import Details

ROSE_PX = 22.0  # from its middle to the tip of the arrow
ROOM_PX = 92.0  # from its middle to where its words may reach

_STEPS = 40
_CLOSE_DEG = 35.0


def rose_marks(details: Details, middle: PointMm, mm_per_px: float = 1.0) -> tuple[Mark, ...]:
    """Give the marks of a rose about a spot, each of the two ways only where it is known."""
    if not is_known(details):
        return ()
    turns = (2 * math.pi * n / _STEPS for n in range(_STEPS))
    r = (ROSE_PX + 16) * mm_per_px
    disc = tuple((middle[0] + r * math.cos(t), middle[1] + r * math.sin(t)) for t in turns)
    marks: list[Mark] = [Area("overlay", (disc,), "paper", opacity=0.8)]
    if details.north_deg is not None:
        marks += _north(middle, math.radians(details.north_deg), mm_per_px)
    if details.front_deg is not None:
        # Where both look much the same way the front's mark stands beyond the N.
        apart = abs((details.front_deg - (details.north_deg or 0.0) + 180) % 360 - 180)
        beyond = details.north_deg is not None and apart < _CLOSE_DEG
        marks += _front(middle, math.radians(details.front_deg), mm_per_px, beyond=beyond)
    return tuple(marks)


def is_known(details: Details) -> bool:
    """Whether there is anything for a rose to show."""
    return details.north_deg is not None or details.front_deg is not None


def _north(middle: PointMm, way: float, unit: float) -> list[Mark]:
    def at(ahead: float, aside: float) -> PointMm:
        return (
            middle[0] + unit * (ahead * math.cos(way) - aside * math.sin(way)),
            middle[1] + unit * (ahead * math.sin(way) + aside * math.cos(way)),
        )

    # An arrow with one half filled: it has a tip and a side on every background.
    left, right = (at(ROSE_PX, 0), at(-12, -8), at(-6, 0)), (at(ROSE_PX, 0), at(-12, 8), at(-6, 0))
    thin = Ink("ink", 1.0)
    return [
        Area("overlay", (left,), "ink", thin),
        Area("overlay", (right,), "paper", thin),
        Words("overlay", "N", at(ROSE_PX + 9, 0), "ink", 12.0, "middle", bold=True),
    ]


def _front(middle: PointMm, way: float, unit: float, *, beyond: bool) -> list[Mark]:
    near, far = (ROSE_PX + 20, ROSE_PX + 29) if beyond else (ROSE_PX + 2, ROSE_PX + 11)

    def at(ahead: float, aside: float) -> PointMm:
        return (
            middle[0] + unit * (ahead * math.cos(way) - aside * math.sin(way)),
            middle[1] + unit * (ahead * math.sin(way) + aside * math.cos(way)),
        )

    tip = Line("overlay", (at(near, -9), at(far, 0), at(near, 9)), Ink("faint", 1.75))
    # Beyond the tip, so far out that the word clears it whichever way it points.
    out = far + 9 + 12 * abs(math.cos(way))
    return [tip, Words("overlay", "front", at(out, 0), "faint", 11.0, "middle", plate=True)]
