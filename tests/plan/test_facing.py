"""Front and rear, left and right, north, and areas, worked by hand."""

import pytest
import shapely

from circuitmap.home import verbs
from circuitmap.home.records import Details, Room
from circuitmap.memo import Memo
from circuitmap.plan.facing import areas_of, heading, side_of, side_of_room, told_apart
from tests.build import Builder


def house(front_deg: float | None = 90.0) -> Builder:
    """9 × 9 m, the front at the bottom of the plan: who stands there sees the plan's left on the left hand."""
    b = Builder()
    ground = b.storey()
    b.room("Bedroom", ground, (0, 0, 4000, 4000))
    b.room("Bedroom", ground, (5000, 5000, 9000, 9000))
    b.room("Hall", ground, (4000, 4000, 5000, 5000))
    b.do(verbs.edit(b.home, "home", front_deg=front_deg))
    return b


@pytest.mark.parametrize(
    ("front_deg", "spot", "says"),
    [
        (90, (500, 8500), "front left"), (90, (8500, 8500), "front right"), (90, (500, 500), "rear left"),
        (90, (4500, 8000), "front"), (90, (4500, 4500), "middle"), (90, (8500, 4500), "right"),
        # Front to the right of the plan: standing there and looking left, the plan's top is on the right hand.
        (0, (8500, 500), "front right"), (0, (8500, 8500), "front left"), (0, (500, 500), "rear right"),
        # Front at the top: everything is the other way round.
        (270, (500, 500), "front right"), (180, (500, 500), "front left"),
    ],
)  # fmt: skip
def test_sides_are_as_seen_from_the_front(front_deg: float, spot: tuple[int, int], says: str) -> None:
    assert side_of(house(front_deg).home, Memo(), "G1", *spot) == says


def test_without_a_front_nothing_is_said() -> None:
    b = house(None)
    assert side_of(b.home, Memo(), "G1", 0, 0) == ""
    assert side_of(house().home, Memo(), "G9", 0, 0) == ""
    assert side_of_room(b.home, Memo(), Room(id="M9", name="Loft")) == ""


def test_rooms_of_one_name_are_told_apart() -> None:
    b = house()
    rooms = list(b.home.table(Room).values())
    assert told_apart(b.home, Memo(), rooms) == {
        "M1": "Bedroom (rear left)",
        "M2": "Bedroom (front right)",
        "M3": "Hall",
    }
    b.room("Bedroom", "G1", (500, 500, 900, 900))
    assert told_apart(b.home, Memo(), b.home.table(Room).values())["M1"] == "Bedroom"


def test_north_gives_the_winds() -> None:
    north_up = Details(north_deg=270.0)
    assert [heading(north_up, way) for way in (270, 0, 90, 180, 315, 225)] == [
        "north", "east", "south", "west", "north-east", "north-west"
    ]  # fmt: skip
    assert heading(Details(north_deg=0.0), 90) == "east"
    assert heading(Details(), 90) == ""


def test_areas_add_up_and_overlaps_count_once() -> None:
    b = house()
    b.room("Cupboard", "G1", (0, 0, 1000, 1000))
    b.room("Loft hatch", "G1")
    found = areas_of(b.home, Memo(), "G1")
    assert found.rooms_m2 == pytest.approx({"M1": 16.0, "M2": 16.0, "M3": 1.0, "M4": 1.0})
    assert found.total_m2 == pytest.approx(33.0)
    shapes = [shapely.Polygon(r.outline_mm) for r in b.home.table(Room).values() if r.outline_mm]
    assert found.total_m2 == pytest.approx(shapely.union_all(shapes).area / 1e6)
    assert areas_of(b.home, Memo(), "G2").total_m2 == 0


def test_areas_are_kept_while_no_outline_changes() -> None:
    b, memo = house(), Memo()
    first = areas_of(b.home, memo, "G1")
    b.do(verbs.edit(b.home, "M1", name="Nursery"))
    assert areas_of(b.home, memo, "G1") is first
    b.do(verbs.reshape_room(b.home, "M1", ((0, 0), (3000, 0), (3000, 4000), (0, 4000))))
    assert areas_of(b.home, memo, "G1").rooms_m2["M1"] == pytest.approx(12.0)
