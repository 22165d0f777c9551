"""Walls out of rooms: thicknesses and lines worked by hand, areas held against shapely."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap import trade
from circuitmap.home.records import Room
from circuitmap.plan.walls_of import WallDraft, walls_of

TRADE = trade.load()


def room(number: int, *corners: tuple[int, int]) -> Room:
    return Room(id=f"M{number}", name=f"Room {number}", storey="G1", outline_mm=corners)


def box(number: int, x0: int, y0: int, x1: int, y1: int) -> Room:
    return room(number, (x0, y0), (x1, y0), (x1, y1), (x0, y1))


def body(wall: WallDraft) -> shapely.Polygon:
    return shapely.LineString([wall.a_mm, wall.b_mm]).buffer(wall.thickness_mm / 2, cap_style="flat")


def of(walls: tuple[WallDraft, ...], *rooms: str) -> list[WallDraft]:
    return [wall for wall in walls if wall.rooms == rooms]


def test_the_gap_between_two_rooms_is_a_wall_of_its_thickness() -> None:
    walls = walls_of([box(1, 0, 0, 4000, 3000), box(2, 4120, 500, 8000, 3000)], TRADE)
    (between,) = of(walls, "M1", "M2")
    assert (between.thickness_mm, between.thickness_from, between.outer) == (120, "drawn", False)
    assert {between.a_mm, between.b_mm} == {(4060, 500), (4060, 3000)}


def test_a_room_alone_has_four_outer_walls_that_close_its_corners() -> None:
    walls = walls_of([box(1, 0, 0, 4000, 3000)], TRADE)
    assert [(w.outer, w.thickness_mm, w.thickness_from, w.rooms) for w in walls] == [
        (True, 280, "assumed", ("M1",))
    ] * 4
    around = shapely.union_all([body(wall) for wall in walls])
    # Round 4.00 × 3.00 m a ring 0.28 m wide: 4.56 × 3.56 − 12 = 4.2336 m² (arithmetic).
    assert around.area / 1e6 == pytest.approx(4.2336)
    assert around.equals(shapely.box(-280, -280, 4280, 3280).difference(shapely.box(0, 0, 4000, 3000)))


def test_a_measured_outer_wall_is_taken_as_measured() -> None:
    walls = walls_of([box(1, 0, 0, 4000, 3000)], TRADE, outer_mm=450)
    assert {(w.thickness_mm, w.thickness_from) for w in walls} == {(450, "measured")}


def test_three_rooms_and_the_hall_leave_no_hole_between_their_walls() -> None:
    rooms = [box(1, 0, 3100, 8000, 4500), box(2, 0, 0, 4000, 3000), box(3, 4100, 0, 8000, 3000)]
    walls = walls_of(rooms, TRADE)
    assert len(walls) == 10
    house = shapely.box(-280, -280, 8280, 4780)
    floors = shapely.union_all([shapely.Polygon(r.outline_mm) for r in rooms])
    assert shapely.union_all([body(wall) for wall in walls]).symmetric_difference(house - floors).area < 1
    # The wall of the hall is one line, parted where the third wall runs into it, at the middle of that wall.
    ends = sorted(end for wall in (*of(walls, "M1", "M2"), *of(walls, "M1", "M3")) for end in (wall.a_mm, wall.b_mm))
    assert ends == [(0, 3050), (4050, 3050), (4050, 3050), (8000, 3050)]


def test_the_walls_round_a_cupboard_in_a_room_close_its_corners() -> None:
    hall = room(1, (0, 0), (2000, 0), (2000, 1100), (4000, 1100), (4000, 0), (6000, 0), (6000, 3000), (0, 3000))
    walls = walls_of([hall, box(2, 2100, 0, 3900, 1000)], TRADE)
    around = shapely.union_all([body(wall) for wall in of(walls, "M1", "M2")])
    assert around.equals(shapely.box(2000, 0, 4000, 1100) - shapely.box(2100, 0, 3900, 1000))


def test_rooms_drawn_without_a_wall_between_get_one_of_usual_thickness_on_their_line() -> None:
    (between,) = of(walls_of([box(1, 0, 0, 4000, 3000), box(2, 4000, 0, 8000, 3000)], TRADE), "M1", "M2")
    assert (between.thickness_mm, between.thickness_from) == (100, "assumed")
    assert {between.a_mm[0], between.b_mm[0]} == {4000}


def test_rooms_further_apart_than_a_wall_is_thick_have_outer_walls_each() -> None:
    walls = walls_of([box(1, 0, 0, 4000, 3000), box(2, 6000, 0, 8000, 3000)], TRADE)
    assert len(walls) == 8
    assert all(wall.outer for wall in walls)


def test_a_space_that_nobody_drew_is_not_taken_for_out_of_doors() -> None:
    # Four rooms round a cupboard of 1 × 1 m that was left out.
    rooms = [box(1, 0, 0, 5100, 2000), box(2, 3100, 2100, 5100, 5100), box(3, 0, 3200, 3000, 5100),
             box(4, 0, 2100, 1900, 3100)]  # fmt: skip
    walls = walls_of(rooms, TRADE)
    unknown = [wall for wall in walls if wall.outer is None]
    assert {wall.rooms for wall in unknown} == {("M1",), ("M2",), ("M3",), ("M4",)}
    assert {wall.thickness_mm for wall in unknown} == {100}


def test_a_slanted_wall_keeps_its_slant() -> None:
    left = room(1, (0, 0), (3000, 0), (4000, 3000), (0, 3000))
    right = room(2, (3105, 0), (7000, 0), (7000, 3000), (4105, 3000))
    (between,) = of(walls_of([left, right], TRADE), "M1", "M2")
    # 105 mm level between lines of slope 3 : 1 are 105 × 3 / √10 = 99.6 mm across (arithmetic).
    assert between.thickness_mm == 100
    (ax, ay), (bx, by) = between.a_mm, between.b_mm
    assert abs(bx - ax) / abs(by - ay) == pytest.approx(1 / 3, abs=0.01)


def test_a_wall_between_two_parts_of_one_room_is_of_that_room_alone() -> None:
    nib = room(1, (0, 0), (5000, 0), (5000, 4000), (2600, 4000), (2600, 1500), (2500, 1500), (2500, 4000), (0, 4000))
    inner = [wall for wall in walls_of([nib], TRADE) if wall.outer is False]
    assert [(wall.rooms, wall.thickness_mm) for wall in inner] == [(("M1",), 100)]


def test_rooms_without_an_outline_have_no_walls() -> None:
    assert walls_of([Room(id="M1", name="Loft", storey="G1")], TRADE) == ()
    assert walls_of([], TRADE) == ()


STEPS = st.lists(st.integers(15, 60), min_size=1, max_size=4)


@settings(max_examples=40, deadline=None)
@given(STEPS, STEPS, st.integers(60, 300))
def test_any_grid_of_rooms_is_closed_by_its_walls(across: list[int], down: list[int], gap: int) -> None:
    rooms = []
    x = 0
    for wide in across:
        y = 0
        for high in down:
            rooms.append(box(len(rooms) + 1, x, y, x + wide * 100, y + high * 100))
            y += high * 100 + gap
        x += wide * 100 + gap
    walls = walls_of(rooms, TRADE)
    inner = [wall for wall in walls if not wall.outer]
    assert len(inner) == (len(across) - 1) * len(down) + (len(down) - 1) * len(across)
    assert all(abs(wall.thickness_mm - gap) <= 1 for wall in inner)
    house = shapely.box(0, 0, x - gap, y - gap).buffer(280, join_style="mitre")
    floors = shapely.union_all([shapely.Polygon(each.outline_mm) for each in rooms])
    left = house - floors - shapely.union_all([body(wall).buffer(1) for wall in walls])
    assert left.area < 1
    # A centre line in whole millimetres lies half of one off at most.
    length = math.fsum(math.dist(wall.a_mm, wall.b_mm) for wall in walls)
    assert math.fsum(body(wall).intersection(floors).area for wall in walls) <= 0.51 * length
