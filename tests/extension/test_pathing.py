"""Routes: worked by hand in one room, and never out of the zones in homes by chance."""

import itertools
import random

import pytest
import shapely

from circuitmap.extension.joists import joist_rules
from circuitmap.extension.pathing import Route, RoutePart, route
from circuitmap.extension.space import RouteError, Space, Spot3, Structure, space_of
from circuitmap.home import Home
from circuitmap.home.records import Fixture, Opening, Place, Room, Wall
from circuitmap.memo import Memo
from circuitmap.words import Build
from tests.extension.routed import HIGH, TRADE, Invented, Side, costs, free_spot, invented, one_room, sides, spot


def structure(*, loft: bool = False, timber: bool = False, joist_deg: dict[str, float] | None = None) -> Structure:
    return Structure(
        floors={"G1": "solid", "G2": "timber" if timber else "solid"},
        loft=loft,
        joist_deg=joist_deg or {},
        joist_spacing_mm=400,
        joist_depth_mm=200,
    )


def space(home: Home, inside: Structure) -> Space:
    return space_of(home, Memo(), TRADE, costs(), inside)


def walls(home: Home, room: str = "M1") -> list[Side]:
    return sides(home.take(Room, room))


def of_kind(found: Route, kind: str) -> float:
    return sum(part.metres + part.count for part in found.parts if part.kind == kind)


def test_two_sockets_on_one_brick_wall_are_joined_sideways() -> None:
    home = one_room("brick")
    top = walls(home)[0]
    (found,) = route(space(home, structure()), spot(top, 1000, 450), spot(top, 3000, 450), alternatives=1)
    assert [point[1:5] for point in found.path] == [(1000, 0, 450, "wall"), (3000, 0, 450, "wall")]
    assert found.length_mm == 2000
    # By hand, minutes of TRADE: set-up 25, two metres chased at 15 and made good at 20 a metre.
    assert found.minutes == pytest.approx(25 + 2 * (15 + 20))
    # A pound a minute, a pound a metre of cable.
    assert found.cost == pytest.approx(100 * found.minutes + 200)
    assert set(found.parts) == {
        RoutePart("set up", "", 0.0, 1, "Room 1, wall W1"), RoutePart("chase", "brick", 2.0, 0, "Room 1, wall W1"),
    }  # fmt: skip


def test_in_a_stud_wall_up_through_the_loft_and_down_is_cheaper_than_through_five_studs() -> None:
    home = one_room("stud")
    top = walls(home)[0]
    inside = structure(loft=True, joist_deg={"M1": 0.0})
    found = route(space(home, inside), spot(top, 1000, 450), spot(top, 3000, 450))[0]
    assert of_kind(found, "loft") == pytest.approx(2.0)
    # By hand: down twice at 15, a noggin each at 20, two metres of loft at 2; sideways five studs would be 100.
    assert found.minutes == pytest.approx(2 * (15 + 20) + 2 * 2)
    without = route(space(home, structure()), spot(top, 1000, 450), spot(top, 3000, 450))[0]
    assert of_kind(without, "stud crossed") == 5
    assert without.minutes == pytest.approx(100)


def test_across_a_floor_every_joist_is_drilled_in_its_zone() -> None:
    home = one_room("stud", 2)
    _, right, _, left = walls(home, "M2")
    found = route(space(home, structure(timber=True)), spot(left, 1500, 450), spot(right, 1500, 450))[0]
    # Joists run the short way, 50, 450 … 3650 mm off a wall: ten of them in 4 m.
    assert of_kind(found, "joist") == 10
    assert of_kind(found, "void") >= 4.0
    crossing = [
        (a, b) for a, b in itertools.pairwise(found.path) if a.surface == b.surface == "floor" and a.x_mm != b.x_mm
    ]
    assert crossing
    for a, b in crossing:
        assert a.y_mm == b.y_mm
        # A span of 3 m may be drilled from 750 to 1200 mm from either support (published table, LABC).
        assert 750 <= a.y_mm <= 1200 or 1800 <= a.y_mm <= 2250


def test_along_a_floor_no_joist_is_drilled() -> None:
    home = one_room("stud", 2)
    top, _, bottom, _ = walls(home, "M2")
    found = route(space(home, structure(timber=True)), spot(top, 2000, 450), spot(bottom, 2000, 450))[0]
    assert of_kind(found, "joist") == 0
    assert of_kind(found, "void") == pytest.approx(3.0)
    assert of_kind(found, "drop") == 2


def test_shallow_joists_are_not_drilled() -> None:
    home = one_room("stud", 2)
    _, right, _, left = walls(home, "M2")
    inside = Structure(floors={"G2": "timber"}, loft=False, joist_spacing_mm=400, joist_depth_mm=75)
    found = route(space(home, inside), spot(left, 1500, 450), spot(right, 1500, 450))[0]
    # 75 mm takes a hole of 18.75 mm at most, less than a cable's 20 mm.
    assert of_kind(found, "joist") == 0


def test_a_stairwell_has_no_floor_to_run_in() -> None:
    stair = Fixture(id="F1", kind="stair", place=Place(storey="G1", x_mm=2000, y_mm=400, faces_deg=90.0),
                    outline_mm=((1500, 400), (2500, 400), (2500, 2900), (1500, 2900)))  # fmt: skip
    home = one_room("stud", 2, stair)
    _, right, _, left = walls(home, "M2")
    found = route(space(home, structure(timber=True)), spot(left, 1500, 450), spot(right, 1500, 450))
    well = shapely.box(1500, 400, 2500, 2900)
    for each in found:
        for a, b in itertools.pairwise(each.path):
            if a.surface == b.surface == "floor":
                line = shapely.LineString([a[1:3], b[1:3]])
                assert line.intersection(well).length < 1


def test_a_new_accessory_makes_its_own_zone_and_is_met_in_its_middle() -> None:
    home = one_room("block")
    top, right, _, _ = walls(home)
    for found in route(space(home, structure()), spot(top, 700, 450), spot(right, 2000, 1100)):
        assert found.path[0][1:4] == (700, 0, 450)
        assert found.path[-1][1:4] == (4000, 2000, 1100)
        for a, b in itertools.pairwise(found.path):
            assert sum(abs(p - q) > 0.2 for p, q in zip(a[1:4], b[1:4], strict=True)) <= 1, "straight along one way"


def test_others_go_another_way_and_cost_no_less() -> None:
    home = one_room("brick", 2)
    top, right, _, _ = walls(home, "M2")
    found = route(space(home, structure(timber=True, loft=True)), spot(top, 700, 450), spot(right, 2000, 450))
    assert len(found) == 3
    assert [each.cost for each in found] == sorted(each.cost for each in found)
    assert len({each.path for each in found}) == 3


def test_kitchen_units_are_gone_round_or_cost_their_removal() -> None:
    unit = Fixture(id="F1", kind="unit", place=Place(storey="G1", x_mm=2000, y_mm=0, faces_deg=90.0))
    bare, full = one_room("block"), one_room("block", 1, unit)
    top = walls(bare)[0]
    ends = spot(top, 1000, 450), spot(top, 3000, 450)
    before, after = (route(space(home, structure()), *ends)[0] for home in (bare, full))
    # 600 mm behind a unit is one unit: 30 min, less than going up and down.
    assert after.minutes == pytest.approx(before.minutes + 30)
    assert of_kind(after, "behind furniture") == 1


def test_a_flue_is_never_chased() -> None:
    breast = Fixture(id="F1", kind="chimney", place=Place(storey="G1", x_mm=2000, y_mm=0, faces_deg=90.0))
    home = one_room("brick", 1, breast)
    top = walls(home)[0]
    wide = TRADE.fixture("chimney").wide_mm
    for found in route(space(home, structure(loft=True)), spot(top, 500, 450), spot(top, 3500, 450)):
        for a, b in itertools.pairwise(found.path):
            if a.surface == b.surface == "wall" and a.y_mm == b.y_mm == 0 and a.z_mm == b.z_mm:
                assert max(a.x_mm, b.x_mm) <= 2000 - wide / 2 or min(a.x_mm, b.x_mm) >= 2000 + wide / 2


def test_nothing_else_is_led_through_the_zones_of_a_bathroom() -> None:
    bath = Fixture(id="F1", kind="bath", place=Place(storey="G1", x_mm=2000, y_mm=0, faces_deg=90.0))
    home = one_room("block", 1, bath)
    top = walls(home)[0]
    found = route(space(home, structure(loft=True)), spot(top, 200, 1200), spot(top, 3800, 1200))[0]
    zone = shapely.box(2000 - 850 - 600, 0, 2000 + 850 + 600, 2250)
    for a, b in itertools.pairwise(found.path):
        if a.surface == b.surface == "wall" and a.y_mm == b.y_mm == 0:
            assert shapely.LineString([(a.x_mm, a.z_mm), (b.x_mm, b.z_mm)]).intersection(zone).length < 3


def test_from_a_ceiling_light_a_cable_comes_through_the_void() -> None:
    home = one_room("stud", 2)
    top = walls(home, "M1")[0]
    light = Spot3("G1", 2000, 1500, HIGH, None, name="P9")
    found = route(space(home, structure(timber=True)), light, spot(top, 2000, 1200, 86.0))[0]
    assert found.path[0][1:4] == (2000, 1500, HIGH)
    assert of_kind(found, "void") == pytest.approx(1.5)
    assert of_kind(found, "joist") == 0


def test_an_outdoor_socket_is_reached_through_the_wall_at_a_permitted_spot() -> None:
    home = one_room("brick")
    top = walls(home)[0]
    out = Spot3("G1", 3000, -100, 900, 270.0, name="P9")
    found = route(space(home, structure()), spot(top, 1000, 450), out)[0]
    assert of_kind(found, "wall passed") == 1
    assert found.path[-1][1:5] == (3000, -100, 900, "outside")
    # Inside it comes along the row of the socket, outdoors it goes up from there by 450 mm.
    assert of_kind(found, "surface") == pytest.approx(0.45)


@pytest.mark.parametrize(
    ("end", "says"),
    [
        (Spot3("G1", 2000, 1500, 1200, None, name="P9"), "P9 is on no wall, and nothing is known of a void above it"),
        (Spot3("G1", 2000, 1500, 1200, 90.0, name="P9"), "P9 stands on no wall that is drawn, or at no height"),
        (Spot3("G1", 2000, 0, None, 90.0, name="P9"), "How high P9 sits is not known"),
        (Spot3("G1", 2000, 0, 2600, 90.0, name="P9"), "P9 at 2.60 m is not on its wall, which is 2.40 m high"),
        (Spot3("G1", 500, 0, 450, 90.0), "The spot 0.50 m across, 0.00 m down is in a door"),
    ],
)
def test_an_end_that_no_cable_reaches_is_refused_in_one_sentence(end: Spot3, says: str) -> None:
    home = one_room("brick")
    door = Opening(kind="door", along_mm=200, width_mm=800, head_mm=2000)
    first = home.take(Wall, "W1")
    with_door = Wall(id="W1", storey="G1", a_mm=first.a_mm, b_mm=first.b_mm, thickness_mm=100, build="brick",
                     openings=(door,))  # fmt: skip
    home = Home.of([*(r for r in home.all() if r.id != "W1"), with_door])
    with pytest.raises(RouteError) as refused:
        route(space(home, structure()), spot(walls(home)[1], 1000, 450), end)
    assert says in str(refused.value)


def test_a_lamp_in_mid_air_is_refused() -> None:
    home = one_room("brick")
    with pytest.raises(RouteError, match="mid-air"):
        route(space(home, structure(loft=True)), spot(walls(home)[1], 1000, 450), Spot3("G1", 2000, 1500, 1200))


def test_two_houses_have_no_way_between_them() -> None:
    home = one_room("brick")
    far = Room(id="M9", name="Store", storey="G1", outline_mm=((9000, 0), (11000, 0), (11000, 2000), (9000, 2000)))
    home = Home.of([*home.all(), far])
    with pytest.raises(RouteError, match="No way leads"):
        route(space(home, structure()), spot(walls(home)[0], 1000, 450), spot(walls(home, "M9")[0], 1000, 450))


@pytest.mark.parametrize("build", ["brick", "block", "concrete", "lined", "unknown"])
def test_what_a_wall_is_built_of_sets_the_minutes(build: Build) -> None:
    home = one_room(build)
    top = walls(home)[0]
    found = route(space(home, structure()), spot(top, 1000, 450), spot(top, 2000, 450))[0]
    # By hand: one metre chased and made good, and the set-up.
    assert found.minutes == pytest.approx(TRADE.effort_min(f"chase {build}") + 20 + 25)
    assert ("unknown" in str(found.assumes)) == (build == "unknown")


@pytest.mark.parametrize("seed", range(25))
def test_a_route_never_leaves_what_is_permitted(seed: int) -> None:
    """Forty routes in each of 25 homes by chance; the zones are worked out by the test itself."""
    chance = random.Random(seed)
    made = invented(chance)
    inside = Structure(floors={"G1": "solid", "G2": "timber"}, loft=chance.random() < 0.5,
                       joist_spacing_mm=400, joist_depth_mm=200)  # fmt: skip
    there = space(made.home, inside)
    by_face = {f"{side.room}/{n % 4}": side for n, side in enumerate(made.sides)}
    rules = joist_rules(TRADE, made.home.details)
    for _ in range(40):
        ends = [(*free_spot(made, chance), chance.choice((86.0, 146.0))) for _ in range(2)]
        a, b = (spot(side, u, v, wide) for side, u, v, wide in ends)
        for each in route(there, a, b, alternatives=1):
            check_walls(each, made, by_face, ends)
            check_joists(each, there, rules.hole_from, rules.hole_to)


def check_walls(
    found: Route, made: Invented, by_face: dict[str, Side], ends: list[tuple[Side, float, float, float]]
) -> None:
    for one, two in itertools.pairwise(found.path):
        if one.surface != "wall" or two.surface != "wall" or one.on != two.on:
            continue
        side = by_face[one.on]
        line = shapely.LineString([(side.u_of(p.x_mm, p.y_mm), p.z_mm) for p in (one, two)])
        permitted = made.zones(side, ends)
        assert line.difference(permitted.buffer(1.0)).length < 0.01, (one, two, ends)


def check_joists(found: Route, there: Space, hole_from: float, hole_to: float) -> None:
    """Rooms are plain rectangles here: a span is the short side of one."""
    for one, two in itertools.pairwise(found.path):
        if one.surface != "floor" or two.surface != "floor" or one.on != two.on:
            continue
        region = there.regions[one.on]
        if region.area.area < shapely.box(*region.area.bounds).area - 1:
            continue  # beside a stairwell the joists are trimmed; its own test looks there
        (s1, t1), (s2, t2) = region.inner(one.x_mm, one.y_mm), region.inner(two.x_mm, two.y_mm)
        if abs(t2 - t1) < 400:
            continue
        assert abs(s1 - s2) < 0.2
        x0, y0, x1, y1 = region.area.bounds
        low, high = sorted((region.inner(x0, y0)[0], region.inner(x1, y1)[0]))
        assert high - low == pytest.approx(min(x1 - x0, y1 - y0)), "joists run the short way"
        shares = [(s1 - low) / (high - low), (high - s1) / (high - low)]
        assert any(hole_from - 1e-3 <= share <= hole_to + 1e-3 for share in shares), (one, two)
