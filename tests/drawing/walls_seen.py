"""A room of 4 × 3 m with two twins and a fused unit yet to come on one wall, and what leads to them."""

import msgspec

from circuitmap.extension.pathing import RoutePoint, route
from circuitmap.extension.space import space_of
from circuitmap.extension.spots import spot_of
from circuitmap.home import Home
from circuitmap.home.records import Board, Fixture, Opening, Place, Point, Wall
from circuitmap.memo import Memo
from circuitmap.words import Phase, PointKind
from tests.extension.routed import TRADE, costs, one_room

MARKED = ("P3", "P4", "P5")


def point(
    number: int, kind: PointKind, u: int, height: int | None, gangs: int = 1, phase: Phase = "existing"
) -> Point:  # fmt: skip
    """A point on the upper wall of the plan, so far from its left end as one stands before it."""
    place = Place(storey="G1", x_mm=u, y_mm=0, height_mm=height, faces_deg=90.0)
    return Point(id=f"P{number}", kind=kind, gangs=gangs, phase=phase, place=place)


def kitchen() -> Home:
    window = Opening(kind="window", along_mm=2300, width_mm=700, sill_mm=900, head_mm=2100)
    records = [
        msgspec.structs.replace(each, openings=(window,)) if isinstance(each, Wall) and each.id == "W1" else each
        for each in one_room("brick", 2).all()
    ]
    stands = Place(storey="G1", x_mm=1500, y_mm=300, faces_deg=90.0)
    return Home.of(
        [
            *records,
            point(1, "socket", 600, 450, 2),
            point(2, "switch", 3700, 1200, 2),
            point(3, "socket", 1500, 1100, 2, "planned"),
            point(4, "socket", 1800, 1100, 2, "planned"),
            point(5, "fused unit", 3300, 450, 1, "planned"),
            point(6, "socket", 2050, None, 2),
            Fixture(id="F1", kind="unit", place=stands, outline_mm=((1200, 0), (1800, 0), (1800, 600), (1200, 600))),
            Board(
                id="B1", letter_on_map="A",
                place=Place(storey="G1", x_mm=0, y_mm=2000, height_mm=1500, faces_deg=0.0),
            ),
        ]
    )  # fmt: skip


def paths(home: Home) -> tuple[tuple[RoutePoint, ...], ...]:
    """The cheapest routes from the twin that is there to the new ones, and from the board to the fused unit."""
    space = space_of(home, Memo(), TRADE, costs())
    legs = (("P1", "P3"), ("P3", "P4"), ("B1", "P5"))
    ends = [tuple(spot_of(home, TRADE, _standing(home, each)) for each in leg) for leg in legs]
    return tuple(route(space, a, b, alternatives=1)[0].path for a, b in ends)


def _standing(home: Home, record: str) -> Point | Board:
    return home.take(Board, record) if record.startswith("B") else home.take(Point, record)
