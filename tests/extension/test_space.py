"""The space of a home: what is assumed of floors and lofts, ends put into it, sample homes."""

import itertools
import math

import networkx
import numpy as np
import pytest

from circuitmap.extension.ends import place_ends
from circuitmap.extension.net import STRETCH_PENCE
from circuitmap.extension.pathing import route, routes_between, worths
from circuitmap.extension.space import (
    RouteError,
    Space,
    Spot3,
    Structure,
    assumed_structure,
    space_of,
    spot_of,
)
from circuitmap.extension.stray import joist_strays, strays
from circuitmap.home import Home
from circuitmap.home.records import Board, Place, Point, Room, Storey
from circuitmap.memo import Memo
from tests.extension.routed import TRADE, costs, one_room, sides, spot
from tests.samples import make_bungalow, make_flat, make_terrace


def space(home: Home, inside: Structure | None = None) -> Space:
    return space_of(home, Memo(), TRADE, costs(), inside)


def test_a_house_is_taken_to_have_a_loft_and_timber_floors_upstairs() -> None:
    found = assumed_structure(one_room("brick", 2), TRADE)
    assert (found.floors, found.loft) == ({"G1": "solid", "G2": "timber"}, True)
    assert len(found.says) == 3
    assert "taken to be solid" in found.says[0]


def test_a_flat_upstairs_is_taken_to_have_nothing_above_it() -> None:
    home = one_room("stud")
    up = Storey(id="G1", name="Second floor", level=2, height_mm=2400)
    found = assumed_structure(Home.of([*(r for r in home.all() if r.id != "G1"), up]), TRADE)
    assert (found.floors, found.loft) == ({"G1": "solid"}, False)


def test_joists_run_the_short_way_unless_it_is_told_otherwise() -> None:
    home = one_room("stud", 2)
    usual = space(home).regions["above M1"]
    assert (usual.way_x, usual.way_y) == pytest.approx((0, 1))
    told = Structure(floors={"G2": "timber"}, loft=False, joist_deg={"M1": 0.0}, joist_spacing_mm=400,
                     joist_depth_mm=200)  # fmt: skip
    region = space(home, told).regions["above M1"]
    assert (region.way_x, region.way_y) == pytest.approx((1, 0))


def test_the_void_under_a_timber_ground_floor_is_there_when_it_is_told() -> None:
    home = one_room("stud")
    inside = Structure(floors={"G1": "timber"}, loft=False, joist_spacing_mm=400, joist_depth_mm=200)
    top, _, bottom, _ = sides(home.take(Room, "M1"))
    found = route(space(home, inside), spot(top, 2000, 450), spot(bottom, 2000, 450))[0]
    assert any(point.surface == "floor" and point.z_mm < 0 for point in found.path)


def test_a_room_with_nothing_over_it_has_no_void() -> None:
    home = one_room("brick", 2)
    porch = Room(id="M9", name="Porch", storey="G1", outline_mm=((5000, 0), (7000, 0), (7000, 2000), (5000, 2000)))
    regions = space(Home.of([*home.all(), porch])).regions
    assert "above M1" in regions
    assert "above M9" not in regions


def test_ends_are_at_points_and_boards_with_the_size_of_their_plates() -> None:
    at = Place(storey="G1", x_mm=1000, y_mm=0, height_mm=450, faces_deg=90.0)
    twin, board = Point(id="P1", kind="socket", place=at, gangs=2), Board(id="B1", letter_on_map="A", place=at)
    home = one_room("brick", 1, twin, board, Point(id="P2", kind="socket", room="M1"))
    found = spot_of(home, TRADE, twin)
    assert (found.x_mm, found.z_mm, found.wide_mm, found.high_mm, found.name) == (1000, 450, 146, 86, "P1")
    assert spot_of(home, TRADE, board).wide_mm == TRADE.size_mm("board wide")
    with pytest.raises(RouteError, match="P2 has no place"):
        spot_of(home, TRADE, home.take(Point, "P2"))


def test_a_wished_accessory_makes_its_zones_for_every_route() -> None:
    home = one_room("brick")
    top, right, _, _ = sides(home.take(Room, "M1"))
    wish = spot(top, 2000, 1100)
    ends = spot(top, 1000, 450), spot(right, 1000, 1100)
    bare = space_of(home, Memo(), TRADE, costs(), None)
    with_wish = space_of(home, Memo(), TRADE, costs(), None, [wish])
    assert not bare.zones["M1/0"].permits(True, 2000, 450, 1100)
    assert with_wish.zones["M1/0"].permits(True, 2000, 450, 1100)
    assert route(with_wish, *ends)[0].cost <= route(bare, *ends)[0].cost


def test_many_ends_are_put_in_at_once_and_told_apart_by_what_lies_between() -> None:
    home = one_room("block", 2)
    upstairs = sides(home.take(Room, "M2"))
    spots = [spot(upstairs[n], 700 + 300 * n, 450) for n in range(4)]
    placed = place_ends(space(home), spots)
    found = worths(placed)
    assert found.shape == (4, 4)
    assert np.allclose(found, found.T)
    assert not np.diag(found).any()
    for a, b in itertools.combinations(range(4), 2):
        (one,) = routes_between(placed, a, b)
        # A hundredth of a penny a stretch keeps paths short; a route does not count it.
        assert one.cost == pytest.approx(found[a, b], abs=1.0)
        assert one.path[0][1:3] == pytest.approx((spots[a].x_mm, spots[a].y_mm))
        assert one.path[-1][1:3] == pytest.approx((spots[b].x_mm, spots[b].y_mm))


def test_the_search_agrees_with_another_one_on_a_whole_house() -> None:
    """Independent: Dijkstra's search of networkx over the same stretches, each weighed anew."""
    home = one_room("stud", 2)
    upstairs, down = sides(home.take(Room, "M2")), sides(home.take(Room, "M1"))
    placed = place_ends(space(home), [spot(upstairs[1], 900, 450), spot(down[3], 1200, 1100), spot(down[0], 800, 450)])
    graph = networkx.MultiGraph()
    for edge in placed.space.net.edges:
        graph.add_edge(edge.a, edge.b, weight=costs().worth(edge.items, edge.mm) + STRETCH_PENCE)
    found = worths(placed)
    for a, b in itertools.combinations(range(3), 2):
        length = networkx.dijkstra_path_length(graph, placed.ends[a].key, placed.ends[b].key)
        assert found[a, b] == pytest.approx(length)


def test_what_no_way_leads_to_is_infinitely_far() -> None:
    home = one_room("brick")
    far = Room(id="M9", name="Store", storey="G1", outline_mm=((9000, 0), (11000, 0), (11000, 2000), (9000, 2000)))
    home = Home.of([*home.all(), far])
    spots = [spot(sides(home.take(Room, room))[0], 900, 450) for room in ("M1", "M9")]
    assert worths(place_ends(space(home), spots))[0, 1] == math.inf


@pytest.mark.parametrize("make", [make_terrace.make, make_flat.make, make_bungalow.make])
def test_routes_between_the_points_of_the_sample_homes_stay_within_the_zones(make: object) -> None:
    home: Home = make(None).home  # type: ignore[operator]  # the three makers are alike
    memo = Memo()
    there = space_of(home, memo, TRADE, costs())
    points = [
        point
        for point in home.sorted(Point)
        if point.place is not None and point.place.faces_deg is not None and point.place.height_mm is not None
    ]
    routes = 0
    for a, b in itertools.pairwise(points):
        try:
            found = route(there, spot_of(home, TRADE, a), spot_of(home, TRADE, b), alternatives=2)
        except RouteError as refused:
            says = str(refused)
            if "No way leads" not in says and "no void" not in says:
                raise
            continue
        for each in found:
            routes += 1
            inside = [point[:4] for point in each.path if point.surface != "outside"]
            assert strays(home, memo, TRADE, inside) == (), (a.id, b.id)
            assert joist_strays(there, inside) == (), (a.id, b.id)
            drawn = sum(math.dist(p[1:4], q[1:4]) for p, q in itertools.pairwise(each.path) if p.storey == q.storey)
            # Between storeys heights start anew: a route through a floor is longer than its drawn parts.
            assert drawn <= each.length_mm + 1 or len({point.storey for point in each.path}) > 1
    assert routes > 20


def test_a_home_without_a_plan_has_no_space_to_route_in() -> None:
    home = Home.blank("Listed only")
    with pytest.raises(RouteError, match="put it on one"):
        route(space(home), Spot3("G1", 0, 0, 450, 0.0), Spot3("G1", 0, 0, 450, None))
