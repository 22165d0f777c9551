import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home.records import Room
from circuitmap.plan.rooms import (
    RoomIndex,
    adjacent,
    has_outline,
    room_at,
    rooms_area_m2,
    shared_walls,
    touching_groups,
)


def room(number, *corners, storey="G1", name=""):
    return Room(id=f"M{number}", name=name or f"Room {number}", storey=storey, outline_mm=corners)


def box(number, x, y, width, depth, storey="G1"):
    return room(number, (x, y), (x + width, y), (x + width, y + depth), (x, y + depth), storey=storey)


KITCHEN = box(1, 0, 0, 4000, 3000)
HALL = box(2, 4100, 0, 1900, 3000)  # a 100 mm wall away
SHED = box(3, 9000, 0, 2000, 2000)
ABOVE = box(4, 0, 0, 4000, 3000, storey="G2")
UNDRAWN = Room(id="M9", name="Loft")

halves = st.integers(0, 12)
sizes = st.integers(1, 6)


@st.composite
def some_boxes(draw):
    drawn = draw(st.lists(st.tuples(halves, halves, sizes, sizes), min_size=1, max_size=8))
    return [box(k + 1, x * 500, y * 500, w * 500, d * 500) for k, (x, y, w, d) in enumerate(drawn)]


boxes = some_boxes()


def test_storeys_add_up_and_undrawn_rooms_have_no_area():
    assert rooms_area_m2([KITCHEN, ABOVE, UNDRAWN]) == pytest.approx(24.0)
    assert rooms_area_m2([KITCHEN, KITCHEN]) == pytest.approx(12.0)
    assert rooms_area_m2([UNDRAWN]) == 0
    assert not has_outline(UNDRAWN)


def test_rooms_either_side_of_a_wall_touch_and_others_do_not():
    assert adjacent([SHED, HALL, KITCHEN, ABOVE, UNDRAWN]) == {
        "M1": frozenset({"M2"}),
        "M2": frozenset({"M1"}),
        "M3": frozenset(),
        "M4": frozenset(),
    }


@pytest.mark.parametrize(("gap_mm", "touch"), [(0, True), (100, True), (440, True), (460, False), (3000, False)])
def test_a_wall_is_as_thick_as_a_wall(gap_mm, touch):
    assert bool(adjacent([KITCHEN, box(2, 4000 + gap_mm, 500, 2000, 2000)])["M1"]) is touch


def test_rooms_that_meet_at_a_corner_only_do_not_touch():
    assert adjacent([KITCHEN, box(2, 4000, 3000, 2000, 2000)])["M1"] == frozenset()
    assert adjacent([KITCHEN, box(2, 4100, 3100, 2000, 2000)])["M1"] == frozenset()
    # 0.2 m of shared wall is a corner still, 0.8 m (a door's width) is not.
    assert adjacent([KITCHEN, box(2, 4100, 2800, 2000, 2000)])["M1"] == frozenset()
    assert adjacent([KITCHEN, box(2, 4100, 2200, 2000, 2000)])["M1"] == frozenset({"M2"})


def test_zones_drawn_over_one_another_touch():
    assert adjacent([KITCHEN, box(2, 1000, 1000, 1000, 1000)])["M1"] == frozenset({"M2"})


def test_the_wall_between_two_rooms_runs_half_way_across_it():
    ((start, end),) = shared_walls(KITCHEN, box(2, 4100, 1000, 1900, 5000))
    assert sorted([start, end]) == [(4050, 1000), (4050, 3000)]
    assert shared_walls(KITCHEN, ABOVE) == ()
    assert shared_walls(KITCHEN, SHED) == ()
    # A room round the corner of another shares the near side with it, not the far one: by hand 3 m, not 3 m + 1 m.
    round_it = room(2, (4100, 0), (6000, 0), (6000, 5000), (0, 5000), (0, 4000), (4100, 4000))
    assert [math.dist(*wall) for wall in shared_walls(KITCHEN, round_it)] == [3000]


def test_outlines_drawn_either_way_round_share_the_same_wall():
    turned = room(1, *reversed(KITCHEN.outline_mm))
    assert adjacent([turned, HALL]) == adjacent([KITCHEN, HALL])
    assert sum(math.dist(*wall) for wall in shared_walls(turned, HALL)) == pytest.approx(3000)


@given(boxes)
def test_touching_is_mutual_and_not_a_matter_of_order(rooms):
    beside = adjacent(rooms)
    assert all(one in beside[other] for one in beside for other in beside[one])
    assert all(one not in beside[one] for one in beside)
    mixed = rooms.copy()
    random.Random(1).shuffle(mixed)
    assert adjacent(mixed) == beside


@given(boxes)
def test_on_whole_half_metres_touching_is_sharing_an_edge_or_overlapping(rooms):
    # Worked on a grid of half metres instead of with polygons: cells beside each other (walls of no thickness).
    def cells(each):
        (x0, y0), _, (x1, y1), _ = each.outline_mm
        return {(x, y) for x in range(x0 // 500, x1 // 500) for y in range(y0 // 500, y1 // 500)}

    def beside(one, other):
        around = {(x + dx, y + dy) for x, y in one for dx, dy in [(0, 0), (1, 0), (-1, 0), (0, 1), (0, -1)]}
        return bool(around & other)

    held = {each.id: cells(each) for each in rooms}
    expected = {
        one: frozenset(other for other in held if other != one and beside(held[one], held[other])) for one in held
    }
    assert adjacent(rooms, gap_mm=100) == expected


def test_groups_hang_together_wall_to_wall():
    landing = box(5, 6100, 0, 1000, 3000)
    assert touching_groups([SHED, KITCHEN, HALL, landing, ABOVE, UNDRAWN]) == (
        (SHED,),
        (KITCHEN, HALL, landing),
        (ABOVE,),
    )
    # Without the hall between them kitchen and landing don't touch, even when the whole home's neighbours are known.
    neighbours = adjacent([KITCHEN, HALL, landing])
    assert touching_groups([KITCHEN, landing], neighbours) == ((KITCHEN,), (landing,))
    assert touching_groups([]) == ()


def test_a_spot_inside_a_room_belongs_to_it():
    assert room_at([KITCHEN, HALL], 2000, 1500) is KITCHEN
    assert room_at([KITCHEN, HALL], 5000, 1500) is HALL
    assert room_at([KITCHEN, HALL], 20_000, 1500) is None
    assert room_at([], 0, 0) is None
    assert room_at([UNDRAWN], 0, 0) is None


def test_a_cupboard_inside_a_room_wins():
    cupboard = box(7, 0, 0, 800, 800)
    assert room_at([KITCHEN, cupboard], 400, 400) is cupboard
    assert room_at([cupboard, KITCHEN], 400, 400) is cupboard


@pytest.mark.parametrize("x_mm", [4000, 4010, 4050, 4090, 4100])
def test_on_a_wall_the_way_it_faces_decides(x_mm):
    index = RoomIndex([KITCHEN, HALL])
    assert index.room_at(x_mm, 1500, 180.0) is KITCHEN
    assert index.room_at(x_mm, 1500, 0.0) is HALL


def test_a_hands_breadth_on_the_wrong_side_of_a_thin_wall_line_is_forgiven():
    index = RoomIndex([KITCHEN, box(2, 4000, 0, 2000, 3000)])
    assert index.room_at(4010, 1500, 180.0) is KITCHEN
    assert index.room_at(4010, 1500).id == "M2"


def test_on_a_wall_without_a_face_the_nearest_room_wins():
    index = RoomIndex([KITCHEN, HALL])
    assert index.room_at(4020, 1500) is KITCHEN
    assert index.room_at(4080, 1500) is HALL
    assert index.room_at(4050, 1500) is HALL  # as near to both: the smaller
    assert RoomIndex([HALL, KITCHEN]).room_at(4050, 1500) is HALL


def test_equal_rooms_at_equal_distance_go_by_number():
    twins = [box(12, 0, 0, 1000, 1000), box(2, 1000, 0, 1000, 1000)]
    assert room_at(twins, 1000, 500).id == "M2"
    assert room_at(reversed(twins), 1000, 500).id == "M2"


def test_a_socket_on_the_outside_of_a_wall_is_in_no_room():
    assert room_at([KITCHEN], 0, 1500, 180.0) is None
    assert room_at([KITCHEN], -250, 1500, 180.0) is None
    assert room_at([KITCHEN], 0, 1500, 0.0) is KITCHEN
    assert room_at([KITCHEN], -250, 1500, 0.0) is KITCHEN  # inside a thick wall, facing in
    assert room_at([KITCHEN], -250, 1500) is KITCHEN
    assert room_at([KITCHEN], -500, 1500) is None


def test_a_crossing_outline_from_a_file_can_be_asked_too():
    bow_tie = room(1, (0, 0), (2000, 2000), (2000, 0), (0, 2000))
    flat = room(2, (0, 0), (2000, 0), (1000, 0))
    assert room_at([bow_tie, flat], 1800, 1000) is bow_tie
    assert set(adjacent([bow_tie, flat, KITCHEN])) == {"M1", "M2"}
    assert touching_groups([bow_tie, flat])
    assert rooms_area_m2([flat]) == 0


@given(boxes, st.lists(st.tuples(st.integers(-500, 10_000), st.integers(-500, 10_000)), max_size=20))
def test_many_spots_at_once_get_what_each_gets_alone(rooms, spots):
    index = RoomIndex(rooms)
    asked = [(x, y, [None, 0.0, 90.0, 180.0, 270.0][(x + y) % 5]) for x, y in spots]
    assert index.rooms_at(asked) == [index.room_at(*each) for each in asked]
