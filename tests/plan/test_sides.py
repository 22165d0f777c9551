"""Sides of rooms: walls keep their thickness, outlines stay valid, and what can't be is refused."""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.errors import HomeError
from circuitmap.home.records import Room
from circuitmap.plan.corners import add_corner, cut_out
from circuitmap.plan.outlines import area_m2, check_outline
from circuitmap.plan.sides import (
    check_apart,
    depth_of,
    faces_of,
    move_side,
    resize,
    stick_side,
    wall_faces,
)
from circuitmap.plan.sketch import room_by_size

GAP = 100


def room(number, outline, name=""):
    return Room(id=f"M{number}", name=name or f"Room {number}", storey="G1", outline_mm=outline)


# A hall across the top, two bedrooms below it, every wall 100 mm.
HALL = room(1, room_by_size(6100, 1200), "Hall")
LEFT = room(2, room_by_size(3000, 4000, (0, 1300)), "Left")
RIGHT = room(3, room_by_size(3000, 4000, (3100, 1300)), "Right")
HOME = (HALL, LEFT, RIGHT)
BOTTOM, RIGHT_SIDE, TOP = 2, 1, 0


def after(rooms, moved):
    return {each.id: moved.get(each.id, each.outline_mm) for each in rooms}


def between(outlines, one, other):
    return shapely.Polygon(outlines[one]).distance(shapely.Polygon(outlines[other]))


def test_the_way_out_of_a_side_does_not_hang_on_which_way_the_outline_goes():
    for outline in (LEFT.outline_mm, LEFT.outline_mm[::-1]):
        outs = {face.out for face in faces_of("M2", outline)}
        assert outs == {(0, -1), (1, 0), (0, 1), (-1, 0)}
        (right,) = (face for face in faces_of("M2", outline) if face.out == (1, 0))
        assert right.x == 3000


def test_a_wall_between_two_rooms_moves_both_faces_and_keeps_its_thickness():
    moved = move_side(HOME, "M2", RIGHT_SIDE, 500)
    assert moved["M2"] == room_by_size(3500, 4000, (0, 1300))
    assert moved["M3"] == room_by_size(2500, 4000, (3600, 1300))
    assert set(moved) == {"M2", "M3"}
    # 3.5 × 4 and 2.5 × 4, by hand.
    assert [area_m2(moved[each]) for each in ("M2", "M3")] == [pytest.approx(14.0), pytest.approx(10.0)]


def test_a_wall_along_a_hall_moves_whole_with_every_room_on_it():
    assert {face.room for face in wall_faces(HOME, "M2", TOP)} == {"M1", "M2", "M3"}
    moved = move_side(HOME, "M2", TOP, -300)  # in: the hall grows
    assert moved["M1"] == room_by_size(6100, 1500)
    assert moved["M2"] == room_by_size(3000, 3700, (0, 1600))
    assert moved["M3"] == room_by_size(3000, 3700, (3100, 1600))


def test_held_alone_only_the_one_face_moves():
    assert set(move_side(HOME, "M2", TOP, -300, alone=True)) == {"M2"}


def test_a_room_behind_another_does_not_go_along():
    deep = (room(1, room_by_size(2000, 2000)), room(2, room_by_size(200, 2000, (2100, 0))),
            room(3, room_by_size(2000, 2000, (2350, 0))))  # fmt: skip
    assert {face.room for face in wall_faces(deep, "M1", RIGHT_SIDE)} == {"M1", "M2"}


@pytest.mark.parametrize("delta", [-3000, -5000, 3100, 5000])
def test_a_side_is_not_moved_past_the_one_opposite(delta):
    with pytest.raises(HomeError, match=r"can't go past|nothing of"):
        move_side(HOME, "M2", RIGHT_SIDE, delta)


def test_a_room_does_not_run_over_another():
    shed = room(4, room_by_size(1000, 1000, (8000, 2000)), "Shed")
    with pytest.raises(HomeError, match="“Right” would run over “Shed”"):
        move_side((*HOME, shed), "M3", RIGHT_SIDE, 4000)
    with pytest.raises(HomeError, match="run over"):
        check_apart(HOME, {"M2": room_by_size(3000, 4000, (1000, 1300))})
    check_apart(HOME, {"M2": room_by_size(3000, 4000, (-1000, 1300))})


def test_a_cupboard_may_lie_within_a_room():
    cupboard = room(4, room_by_size(800, 800, (8000, 0)), "Cupboard")
    check_apart((*HOME, cupboard), {"M4": room_by_size(800, 800, (500, 2000))})


def test_a_side_sticks_a_wall_off_what_faces_it_and_in_line_with_what_does_not():
    shed = room(4, room_by_size(1000, 1000, (8000, 2000)), "Shed")
    stuck = stick_side((*HOME, shed), "M3", RIGHT_SIDE, 1730, gap_mm=GAP, reach_mm=100)
    assert (stuck.delta_mm, stuck.why) == (1800, "a wall off Shed")
    longer = room(5, room_by_size(1000, 4500, (-1100, 1300)), "Shorter")
    stuck = stick_side((*HOME, longer), "M2", BOTTOM, 460, gap_mm=GAP, reach_mm=100)
    assert (stuck.delta_mm, stuck.why) == (500, "in line")


def test_where_nothing_is_near_the_size_goes_by_whole_centimetres():
    odd = room(1, room_by_size(3333, 2000))
    stuck = stick_side([odd], "M1", RIGHT_SIDE, 101.7, gap_mm=GAP, reach_mm=0)
    assert odd.outline_mm[1][0] + stuck.delta_mm == 3430
    assert depth_of([odd], "M1", RIGHT_SIDE) == 3333


def test_a_slanting_neighbour_side_is_followed():
    slant = room(1, ((0, 0), (4000, 0), (4000, 3000), (1000, 3000)))
    moved = move_side([slant], "M1", BOTTOM, 300)["M1"]
    # The left side runs from (1000, 3000) to (0, 0): 300 further down it is 100 further right.
    assert moved == ((0, 0), (4000, 0), (4000, 3300), (1100, 3300))


def test_a_side_with_a_corner_added_moves_in_part_and_makes_an_l():
    with_corner = room(1, add_corner(room_by_size(4000, 3000), TOP, (2500, 40)))
    assert with_corner.outline_mm[1] == (2500, 0)
    ell = move_side([with_corner], "M1", 1, 1000)["M1"]
    assert ell == ((0, 0), (2500, 0), (2500, -1000), (4000, -1000), (4000, 3000), (0, 3000))
    assert area_m2(ell) == pytest.approx(12.0 + 1.5)
    back = move_side([room(1, ell)], "M1", 2, -1000)["M1"]
    assert area_m2(back) == pytest.approx(12.0)


def test_a_size_typed_for_a_rectangle_moves_its_walls_to_the_right_and_below():
    sized = resize(HOME, "M2", 3200, 4500)
    assert sized["M2"] == room_by_size(3200, 4500, (0, 1300))
    assert sized["M3"] == room_by_size(2800, 4000, (3300, 1300))
    assert set(sized) == {"M2", "M3"}
    assert resize(HOME, "M2", 3000, 4000) == {}
    ell = room(1, cut_out(room_by_size(5000, 4000), (3000, -500, 6000, 1500)), "Lounge")
    with pytest.raises(HomeError, match="“Lounge” is no plain rectangle"):
        resize([ell], "M1", 4000, 4000)


@given(
    st.integers(300, 500).map(lambda tens: tens * 10),
    st.integers(300, 500).map(lambda tens: tens * 10),
    st.sampled_from([100, 75, 150, 220]),
    st.integers(0, 3),
    st.sampled_from(["M1", "M2", "M3"]),
    st.integers(-6000, 6000),
)
def test_whatever_is_dragged_stays_valid_and_every_shared_wall_keeps_its_thickness(a, b, gap, side, which, delta):
    rooms = (
        room(1, room_by_size(a + b + gap, 1500)),
        room(2, room_by_size(a, 3500, (0, 1500 + gap))),
        room(3, room_by_size(b, 3500, (a + gap, 1500 + gap))[::-1]),
    )
    try:
        outlines = after(rooms, move_side(rooms, which, side, delta))
    except HomeError:
        return
    for outline in outlines.values():
        check_outline(outline)
    for one, other in (("M1", "M2"), ("M1", "M3"), ("M2", "M3")):
        if delta and between(outlines, one, other) > gap + 2:
            # Apart now only where the moved wall is no wall of the two.
            assert which in (one, other)
            assert len(wall_faces(rooms, which, side)) == 1
        else:
            assert between(outlines, one, other) == pytest.approx(gap, abs=1.5)
