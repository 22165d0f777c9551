"""What tracing gives back: an outline with its openings and how far to trust it, or one sentence."""

from dataclasses import dataclass
from typing import Literal

from circuitmap.errors import PersonError

Px = tuple[float, float]
OpeningKind = Literal["opening", "inked"]


class TracingError(PersonError):
    """A place on a sheet that no room's outline can be given for; the text says why and what to do."""


@dataclass(frozen=True)
class Opening:
    """A gap in a wall that was closed: a door or an archway (nothing drawn along it), or one with lines along it.

    ``a_px`` and ``b_px`` are its two ends on the middle of the wall; ``depth_px`` is the thickness of the wall there.
    """

    a_px: Px
    b_px: Px
    width_px: float
    depth_px: float
    kind: OpeningKind


@dataclass(frozen=True)
class Outlined:
    """One room as found: its corners in order, the gaps closed to get it, and how sure that is.

    ``sure`` is 0 … 1; ``why`` says in words what speaks against it, "" when nothing does.
    """

    corners_px: tuple[Px, ...]
    doors: tuple[Opening, ...]
    sure: float
    why: str
    area_px2: float
