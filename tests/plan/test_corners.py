"""Corners of rooms: added, moved, taken out, and boxes cut off."""

import pytest

from circuitmap.errors import HomeError
from circuitmap.home.records import Room
from circuitmap.plan.corners import add_corner, cut_out, move_corner, remove_corner, stick_corner
from circuitmap.plan.outlines import area_m2
from circuitmap.plan.sketch import room_by_size

TOP, RIGHT_SIDE = 0, 1


def test_corners_are_added_moved_and_removed():
    square = room_by_size(3000, 3000)
    five = add_corner(square, RIGHT_SIDE, (3050, 1200))
    assert five == ((0, 0), (3000, 0), (3000, 1200), (3000, 3000), (0, 3000))
    bay = move_corner(five, 2, (3500, 1500))
    assert area_m2(bay) == pytest.approx(9.0 + 0.5 * 3.0 * 0.5)
    assert remove_corner(bay, 2) == square
    with pytest.raises(HomeError, match="corner here already"):
        add_corner(square, TOP, (20, 0))
    with pytest.raises(HomeError, match="three corners"):
        remove_corner(square[:3], 0)
    with pytest.raises(HomeError, match="crosses or touches itself"):
        move_corner(square, 0, (4000, 1500))


def test_a_rectangle_with_a_box_cut_off_is_an_l():
    ell = cut_out(room_by_size(5000, 4000), (3000, -500, 6000, 1500), "Lounge")
    assert area_m2(ell) == pytest.approx(20.0 - 3.0)
    assert len(ell) == 6
    assert set(ell) == {(0, 0), (3000, 0), (3000, 1500), (5000, 1500), (5000, 4000), (0, 4000)}


@pytest.mark.parametrize(
    ("box", "says"),
    [
        ((6000, 0, 7000, 1000), "Nothing of “Lounge”"),
        ((1000, 1000, 2000, 2000), "hole"),
        ((-100, -100, 5100, 4100), "nothing of it"),
        ((2000, -100, 3000, 4100), "pieces"),
    ],
)
def test_a_cut_that_leaves_no_room_is_refused(box, says):
    with pytest.raises(HomeError, match=says):
        cut_out(room_by_size(5000, 4000), box, "Lounge")


HALL = Room(id="M2", name="Hall", storey="G1", outline_mm=room_by_size(2000, 3000, (4100, 0)))


@pytest.mark.parametrize(
    ("to", "corner", "why"),
    [
        ((3960, 3030), (4000, 3000), "level, a wall off Hall"),
        ((3500, 3040), (3500, 3000), "level"),
        ((3964, 1803), (4000, 1800), "a wall off Hall"),
        ((3964, 3333), (3960, 3330), ""),
    ],
)
def test_a_dragged_corner_sticks_level_and_a_wall_off_others(to, corner, why):
    kitchen = room_by_size(3700, 3000)
    stuck = stick_corner(kitchen, 2, to, [HALL], gap_mm=100, reach_mm=80)
    assert stuck.corner == corner
    assert set(stuck.why.split(", ")) == set(why.split(", "))
