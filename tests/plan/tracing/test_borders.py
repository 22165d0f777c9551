"""What parts rooms: how thick and how likely, worked by hand on rectangles; nearest rooms checked against scipy."""

import numpy as np
import pytest
from scipy import ndimage

from circuitmap.plan.tracing.borders import Border, borders, nearest


def three_rooms() -> "np.ndarray[tuple[int, int], np.dtype[np.int32]]":
    """Two rooms 10 px apart, and a third 31 px to the right of the second, each 60 px high."""
    rooms = np.zeros((100, 220), np.int32)
    rooms[20:80, 10:70] = 1
    rooms[20:80, 80:120] = 2
    rooms[20:80, 151:210] = 3
    return rooms


def test_a_border_is_as_wide_as_the_wall_and_as_likely_as_most_of_it() -> None:
    seen = np.full((100, 220), -5.0, np.float32)
    seen[40:55, 70:80] = 4.0  # a doorway, less than half of it
    found = {(each.one, each.other): each for each in borders(three_rooms(), seen)}
    assert set(found) == {(1, 2), (2, 3)}
    assert found[1, 2].apart_px == pytest.approx(10, abs=1)
    assert found[2, 3].apart_px == pytest.approx(31, abs=2)
    assert found[1, 2].odds == found[2, 3].odds == -5.0


def test_an_open_border_is_likely_to_be_room() -> None:
    seen = np.full((100, 220), -5.0, np.float32)
    seen[:, 70:80] = 1.5
    assert borders(three_rooms(), seen)[0] == Border(1, 2, pytest.approx(10, abs=1), 1.5)


@pytest.mark.parametrize("rooms", [np.zeros((30, 40), np.int32), np.ones((30, 40), np.int32)])
def test_one_room_or_none_has_no_border(rooms: "np.ndarray[tuple[int, int], np.dtype[np.int32]]") -> None:
    assert borders(rooms, np.zeros(rooms.shape, np.float32)) == []


def test_the_nearest_room_is_the_one_that_scipy_finds() -> None:
    rooms = three_rooms()
    rooms[85:95, 30:50] = 4
    near, far_px = nearest(rooms)
    far, (down, across) = ndimage.distance_transform_edt(rooms == 0, return_indices=True)
    assert np.abs(far_px - far).max() < 0.1 * far.max()  # a chamfer of 3 × 3 pixels is within some 5 %
    clear = np.ones(rooms.shape, bool)
    for number in range(1, 5):
        others = np.where((rooms > 0) & (rooms != number), 0, 1)
        gap = ndimage.distance_transform_edt(others) - ndimage.distance_transform_edt(rooms != number)
        clear &= np.abs(gap) > 0.1 * far + 1
    assert clear.mean() > 0.8
    assert (near == rooms[down, across])[clear].all()
