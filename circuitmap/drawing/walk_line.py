"""The walk that is still to be done, as a pale footpath under everything else on a storey's plan.

It is wider and paler than any cable and never dashed: dashes and dots say how well a cable is known.
"""

from collections.abc import Iterable
from typing import Final

from circuitmap.drawing.marks import Ink, Line

ROLE: Final = "faint/half"
_PATH: Final = Ink(ROLE, 3.0)
# A line of many stops is cut into pieces, so that what changes in one corner of the plan paints that corner only.
_STOPS: Final = 12


def walk_marks(lines: Iterable[Iterable[tuple[float, float]]]) -> tuple[Line, ...]:
    """Give the marks of a walk on one storey, by its lines in plan mm."""
    marks: list[Line] = []
    for line in lines:
        spots = [(float(x), float(y)) for x, y in line]
        for start in range(0, len(spots) - 1, _STOPS):
            marks.append(Line("grid", tuple(spots[start : start + _STOPS + 1]), _PATH))
    return tuple(marks)
