"""Cables drawn by hand against the zones: lengths worked by hand."""

import itertools

import pytest

from circuitmap.extension.pathing import route
from circuitmap.extension.space import Space, Spot3, Structure, space_of
from circuitmap.extension.stray import Stray, joist_strays, strays
from circuitmap.home import Home
from circuitmap.home.records import Opening, Place, Point, Room, Wall
from circuitmap.memo import Memo
from tests.extension.routed import HIGH, TRADE, costs, one_room, sides, spot

Spot = tuple[str, float, float, float]


def home(*extra: Wall | Room | Point) -> Home:
    """One room with a twin socket at 1.0 m along its top wall, 450 mm high."""
    place = Place(storey="G1", x_mm=1000, y_mm=0, height_mm=450, faces_deg=90.0)
    socket = Point(id="P1", kind="socket", place=place, gangs=2)
    bare = one_room("brick")
    gone = {record.id for record in extra}
    return Home.of([*(r for r in bare.all() if r.id not in gone), socket, *extra])


def judged(there: Home, *path: tuple[float, float, float]) -> tuple[Stray, ...]:
    return strays(there, Memo(), TRADE, [("G1", *spot) for spot in path])


def test_up_from_a_socket_and_along_under_the_ceiling_is_fine() -> None:
    path = (1000, 0, 450), (1000, 0, 2325), (3925, 0, 2325), (4000, 0, 2325), (4000, 75, 2325), (4000, 75, 0)
    assert judged(home(), *path) == ()


def test_sideways_from_a_socket_is_fine_and_higher_is_not() -> None:
    assert judged(home(), (1000, 0, 450), (3800, 0, 450)) == ()
    (stray,) = judged(home(), (1000, 0, 1000), (3000, 0, 1000))
    # By hand: the socket's own zone ends 73 mm from its middle.
    assert stray.mm == pytest.approx(2000 - 73, abs=1)
    assert "in no zone" in stray.why
    assert stray.start[1:3] == pytest.approx((1073, 0), abs=1)


def test_along_the_skirting_is_in_no_zone() -> None:
    (stray,) = judged(home(), (150, 0, 50), (900, 0, 50))
    assert stray.mm == pytest.approx(750, abs=27)
    assert "in no zone" in stray.why


def test_a_slant_strays_even_within_a_sockets_zone() -> None:
    # From the socket's row up to the strip under the ceiling, 3:4:5 in decimetres: 1500 along, 2000 up.
    (stray,) = judged(home(), (1000, 0, 250), (2500, 0, 2250))
    assert stray.mm == pytest.approx(2500, abs=1)
    assert "slants" in stray.why


def test_a_slant_under_the_ceiling_is_within_the_strip() -> None:
    assert judged(home(), (500, 0, 2260), (1500, 0, 2390)) == ()


def test_a_cable_across_a_door_is_said_to_cross_it() -> None:
    door = Opening(kind="door", along_mm=2000, width_mm=800, head_mm=2000)
    wall = Wall(id="W1", storey="G1", a_mm=(0, -50), b_mm=(4000, -50), thickness_mm=100, build="brick",
                openings=(door,))  # fmt: skip
    found = judged(home(wall), (1000, 0, 450), (3800, 0, 450))
    crossing = [stray for stray in found if stray.why == "crosses a door"]
    assert [stray.mm for stray in crossing] == [pytest.approx(800, abs=1)]
    # Beyond the door nobody sees the socket: 2.8 m to the corner's zone at 3.85 m less its end at 3.8 m.
    assert sum(stray.mm for stray in found) == pytest.approx(800 + 1000, abs=1)


def test_through_the_middle_of_a_room_runs_along_no_wall() -> None:
    (stray,) = judged(home(), (1000, 1500, 450), (3000, 1500, 450))
    assert (stray.mm, stray.why) == (2000, "runs along no wall that is drawn")


def test_in_a_void_nothing_is_judged_and_a_lamp_hangs_from_its_ceiling() -> None:
    assert judged(home(), (1000, 1500, HIGH + 100), (3000, 1500, HIGH + 100), (3000, 1500, HIGH - 100)) == ()
    assert judged(home(), (1000, 1500, -100), (3000, 1000, -100)) == ()


def test_straight_through_a_thin_wall_is_fine() -> None:
    hall = Room(id="M9", name="Hall", storey="G1", outline_mm=((0, -2100), (4000, -2100), (4000, -100), (0, -100)))
    assert judged(home(hall), (1000, 0, 450), (1000, -100, 450), (1000, -100, HIGH)) == ()
    (stray,) = judged(home(hall), (1000, 0, 450), (1000, -700, 450))
    assert "no wall" in stray.why


def test_what_goes_on_for_the_same_reason_is_one_stray() -> None:
    (stray,) = judged(home(), (1500, 0, 1000), (2000, 0, 1000), (3000, 0, 1000))
    assert stray.mm == pytest.approx(1500)


def test_a_path_over_storeys_or_of_one_spot_is_judged_without_complaint() -> None:
    there = one_room("brick", 2)
    assert strays(there, Memo(), TRADE, [("G1", 75, 0, 100)]) == ()
    assert strays(there, Memo(), TRADE, [("G1", 75, 0, 100), ("G2", 75, 0, 100)]) == ()
    assert strays(there, Memo(), TRADE, [("G7", 75, 0, 100), ("G7", 900, 0, 100)]) == ()


def test_routes_of_the_program_do_not_stray() -> None:
    there = one_room("stud", 2)
    ends = [(sides(there.take(Room, "M2"))[n], u, v) for n, u, v in ((0, 1000, 450), (1, 900, 1100), (2, 3000, 300))]
    placed = [
        Point(id=f"P{n}", kind="socket", gangs=2,
              place=Place(storey="G2", x_mm=round(side.at(u)[0]), y_mm=round(side.at(u)[1]), height_mm=v,
                          faces_deg=side.faces))
        for n, (side, u, v) in enumerate(ends, 1)
    ]  # fmt: skip
    there = Home.of([*there.all(), *placed])
    inside = Structure(floors={"G2": "timber"}, loft=True, joist_spacing_mm=400, joist_depth_mm=200)
    space = space_of(there, Memo(), TRADE, costs(), inside)
    spots: list[Spot3] = [spot(side, u, v) for side, u, v in ends]
    for a, b in itertools.combinations(spots, 2):
        for found in route(space, a, b):
            assert strays(there, Memo(), TRADE, [point[:4] for point in found.path]) == ()


def floors(depth_mm: float = 200) -> Space:
    """Two storeys of 4 × 3 m: joists every 400 mm from 50 mm off the right wall on, spanning 3 m."""
    inside = Structure(floors={"G2": "timber"}, loft=True, joist_spacing_mm=400, joist_depth_mm=depth_mm)
    return space_of(one_room("stud", 2), Memo(), TRADE, costs(), inside)


def crossing(y: float, z: float = HIGH + 100) -> list[Spot]:
    return [("G1", 100.0, y, z), ("G1", 1900.0, y, z)]


@pytest.mark.parametrize("y", [751.0, 1000.0, 1199.0, 1801.0, 2249.0])
def test_joists_may_be_drilled_in_their_zone(y: float) -> None:
    # A span of 3 m: 750 to 1200 mm from either support (published table, LABC).
    assert joist_strays(floors(), crossing(y)) == ()


@pytest.mark.parametrize("y", [100.0, 740.0, 1210.0, 1500.0, 1790.0, 2900.0])
def test_a_cable_across_joists_elsewhere_strays(y: float) -> None:
    (stray,) = joist_strays(floors(), crossing(y))
    # From 50 mm off the right wall on, at 3950, 3550 … 350 mm: four of them from 100 to 1900 mm, 400 mm apart.
    assert stray.why == "crosses 4 joists where no hole may be: only 750 to 1200 mm from either support"
    assert (stray.mm, stray.start[1:3], stray.end[1:3]) == (1600, (350, y), (1550, y))


def test_along_the_joists_and_in_lofts_nothing_is_drilled() -> None:
    along = [("G1", 1000.0, 100.0, HIGH + 100.0), ("G1", 1000.0, 2900.0, HIGH + 100.0)]
    assert joist_strays(floors(), along) == ()
    loft = [("G2", 100.0, 1500.0, HIGH + 50.0), ("G2", 1900.0, 1500.0, HIGH + 50.0)]
    assert joist_strays(floors(), loft) == ()
    assert joist_strays(floors(), crossing(1500.0, 2325.0)) == (), "on the wall"


def test_joists_too_shallow_are_drilled_nowhere() -> None:
    (stray,) = joist_strays(floors(75), crossing(1000.0))
    assert "too shallow" in stray.why
