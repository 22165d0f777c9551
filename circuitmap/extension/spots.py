"""What routes are looked for in and between: ends, what is inside floors, and the space of a home as a value.

What a home does not record (whether a floor is of timber, which way its joists run, whether there is a loft) is told
by a ``Structure``, with sentences for what is only assumed.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal, Protocol

from msgspec import Struct

from circuitmap.errors import PersonError
from circuitmap.extension.costs import Costs
from circuitmap.extension.joists import JoistRules
from circuitmap.extension.net import Key, Net
from circuitmap.extension.trunking import Seen
from circuitmap.extension.void_net import Region
from circuitmap.extension.wall_net import Lines, Rect, Timber
from circuitmap.home.records import Board, Plate, Point, Storey
from circuitmap.home.snapshot import Home
from circuitmap.plan.elevation import Across, Face, Hidden, Stood, face_at, size_on_wall
from circuitmap.plan.permitted import Permitted, ZoneFigures
from circuitmap.plan.where import place_of
from circuitmap.trade import Trade

FloorKind = Literal["timber", "solid"]

# What is no lower than this under a ceiling and on no wall hangs from it (common practice, no source).
HANGS_MM: Final = 300.0


class RouteError(PersonError):
    """A spot that no cable can be brought to; said in one sentence."""


class Spot3(Struct, frozen=True):
    """An end of a route: a spot on a storey in mm, its height over the floor, and the way that what is there looks.

    ``wide_mm`` and ``high_mm`` are those of its plate. What looks nowhere is at the ceiling.
    """

    storey: str
    x_mm: float
    y_mm: float
    z_mm: float | None = None
    faces_deg: float | None = None
    wide_mm: float = 86.0
    high_mm: float = 86.0
    name: str = ""


class Structure(Struct, frozen=True, kw_only=True):
    """What is inside floors and above ceilings.

    ``floors`` by storey, ``joist_deg`` by room where it is known which way the joists over it run; ``says`` are
    sentences on what of this is assumed.
    """

    floors: dict[str, FloorKind]
    loft: bool
    joist_deg: dict[str, float] = {}
    joist_spacing_mm: float
    joist_depth_mm: float
    says: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Space:
    """Everything a route is looked for in; a value, made once for a home and asked for many routes."""

    faces: dict[str, Face]
    stood: dict[str, tuple[Stood, ...]]
    zones: dict[str, Permitted]
    lines: dict[str, Lines]
    ways: dict[str, tuple[Across, ...]]
    following: dict[str, str]
    hidden: dict[str, tuple[Hidden, ...]]
    closed: dict[str, tuple[Rect, ...]]
    where: dict[str, str]
    regions: dict[str, Region]
    crossing: dict[str, tuple[float, ...]]
    over: dict[str, str]  # the region above a face's room
    under: dict[str, tuple[str, ...]]  # the regions that a face may stand over
    # The upright lines of a face that reach the floor, with the region under each and where they come into it.
    feet: dict[str, tuple[tuple[float, str, tuple[float, float]], ...]]
    figures: ZoneFigures
    rules: JoistRules
    timber: Timber
    costs: Costs
    structure: Structure
    net: Net
    seen: Seen | None = None  # where cables lie in trunking on the walls, in sight, and not in their zones

    @property
    def on_surface(self) -> bool:
        """Whether cables lie in trunking on the walls."""
        return self.seen is not None

    def position(self, key: Key) -> tuple[str, float, float, float, str]:
        """Give the storey, the spot in mm, and the surface ("wall", "floor", "loft") of a node."""
        piece, p, q, _ = key
        if piece in self.faces:
            face = self.faces[piece]
            return face.storey, *face.place(p, q), "wall"
        region = self.regions[piece]
        return region.storey, *region.outer(p, q), region.z_mm, region.kind


@dataclass(frozen=True, eq=False)
class Floors:
    """What lies between the walls of a home without any way through it: enough to look at joists by."""

    faces: dict[str, Face]
    regions: dict[str, Region]
    over: dict[str, str]
    rules: JoistRules
    structure: Structure


class Surfaces(Protocol):
    """Where cables lie: faces and voids by their ids, and what each face is called in words."""

    @property
    def faces(self) -> Mapping[str, Face]: ...  # noqa: D102 - said in the class

    @property
    def regions(self) -> Mapping[str, Region]: ...  # noqa: D102

    @property
    def where(self) -> Mapping[str, str]: ...  # noqa: D102


def assumed_structure(home: Home, trade: Trade) -> Structure:
    """Give the usual: timber floors upstairs, a solid one at the bottom, a loft over a house, none over a flat."""
    storeys = sorted(home.table(Storey).values(), key=lambda each: (each.level, each.id))
    lowest = storeys[0].level if storeys else 0
    floors: dict[str, FloorKind] = {s.id: "timber" if s.level > lowest else "solid" for s in storeys}
    is_house = lowest <= 0
    says = [
        f"The floor of “{s.name}” is taken to be of timber, with its joists the short way of the rooms below."
        if s.level > lowest
        else f"Nothing is run under the floor of “{s.name}”: it is taken to be solid."
        for s in storeys
    ]
    says.append("There is taken to be a loft that can be reached." if is_house else "No loft is counted on.")
    return Structure(
        floors=floors,
        loft=is_house,
        joist_spacing_mm=trade.size_mm("joist spacing"),
        joist_depth_mm=trade.size_mm("joist depth"),
        says=tuple(says),
    )


def spot_of(home: Home, trade: Trade, record: Point | Board) -> Spot3:
    """Give the end of a route at a point or a board.

    Raises
    ------
    RouteError
        When it is not placed.
    """
    place = place_of(home, record)
    if place is None:
        raise RouteError(f"{record.id} has no place on the plan; put it there first.")
    plate = home.find(Plate, record.plate) if isinstance(record, Point) and record.place is None else None
    wide, high = size_on_wall(trade, record, plate)
    height = float(place.height_mm) if place.height_mm is not None else None
    return Spot3(place.storey, place.x_mm, place.y_mm, height, place.faces_deg, wide, high, record.id)


def face_of(faces: Iterable[Face], spot: Spot3) -> Face | None:
    """Give the face that a spot lies on, None for one that looks nowhere or lies on none."""
    if spot.faces_deg is None:
        return None
    return face_at((f for f in faces if f.storey == spot.storey), spot.x_mm, spot.y_mm, spot.faces_deg)
