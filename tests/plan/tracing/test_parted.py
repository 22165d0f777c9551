"""Rooms apart from one another by how likely each place is in one; every case is worked by hand."""

import numpy as np
import numpy.typing as npt
import pytest

from circuitmap.plan.tracing.parted import part, usual_width

YES, NO, MAYBE = 6.0, -6.0, 0.4
Odds = npt.NDArray[np.float32]


def two_rooms(between: float) -> Odds:
    """Two rooms of 100 × 100 px with a wall of 10 px, in the middle of which 20 px have other odds."""
    odds = np.full((140, 250), NO, np.float32)
    odds[20:120, 20:120] = YES
    odds[20:120, 130:230] = YES
    odds[60:80, 120:130] = between
    return odds


def test_rooms_with_a_wall_between_are_two() -> None:
    found = part(two_rooms(NO), 1.0)
    assert found.count == 2
    assert found.boxes[1] == (20, 20, 100, 100)
    assert found.boxes[2] == (130, 20, 100, 100)
    assert np.bincount(found.rooms.reshape(-1))[1:].tolist() == [10_000, 10_000]


def test_what_only_doubt_joins_is_parted() -> None:
    found = part(two_rooms(MAYBE), 1.0)
    assert found.count == 2
    assert int(found.rooms[70, 60]) != int(found.rooms[70, 180])
    sizes = np.bincount(found.rooms.reshape(-1))[1:]
    assert sizes.min() >= 10_000
    assert sizes.max() <= 10_200


def test_what_is_joined_for_certain_is_one_room() -> None:
    found = part(two_rooms(YES), 1.0)
    assert found.count == 1
    assert found.boxes[1] == (20, 20, 210, 100)


def one_room(line: float, thick_px: int) -> Odds:
    """A room of 100 × 210 px with a line right across it."""
    odds = np.full((140, 250), NO, np.float32)
    odds[20:120, 20:230] = YES
    odds[20:120, 120 : 120 + thick_px] = line
    return odds


@pytest.mark.parametrize("thick_px", [2, 8])
def test_a_line_that_is_hardly_a_wall_parts_no_room(thick_px: int) -> None:
    found = part(one_room(0.5, thick_px), 1.0)
    assert found.count == 1
    assert (found.rooms[20:120, 20:230] == 1).mean() > 0.98
    assert part(one_room(-0.5, thick_px), 1.0).count == 2


def test_walls_are_as_thick_as_the_thinner_of_them() -> None:
    odds = np.full((140, 400), NO, np.float32)
    for left, right in ((20, 120), (130, 230), (255, 380)):  # walls of 10 and of 25 px
        odds[20:120, left:right] = YES
    assert 9 <= part(odds, 1.0).wall_px <= 15
    assert part(one_room(YES, 2), 1.0).wall_px == 0


def test_what_stands_free_in_a_room_belongs_to_it_and_specks_are_no_rooms() -> None:
    odds = two_rooms(NO)
    odds[50:70, 50:70] = NO  # a column, a word
    odds[2:8, 2:8] = YES
    found = part(odds, 1.0)
    assert found.count == 2
    assert (found.rooms == found.rooms[30, 30]).sum() == 10_000
    assert found.rooms[4, 4] == 0


def test_a_hair_that_hangs_on_is_cut_off() -> None:
    odds = two_rooms(NO)
    odds[70:72, 0:20] = YES
    assert part(odds, 1.0).rooms[70, 5] == 0


def test_how_sure_a_room_is_follows_the_odds() -> None:
    odds = two_rooms(NO)
    odds[20:120, 130:230] = 2.2
    found = part(odds, 1.0)
    assert found.sure[1] > 0.99
    assert abs(found.sure[2] - 0.9) < 0.01  # 1 / (1 + e^-2.2) = 0.900


def test_nothing_likely_is_no_room() -> None:
    assert part(np.full((80, 90), NO, np.float32), 1.0).count == 0


def test_the_usual_width_is_that_of_the_widest_place_and_a_gap_in_a_wall_hardly_changes_it() -> None:
    # 100 px wide rooms; measured on every fourth pixel, so to within a few.
    assert abs(usual_width(two_rooms(NO)) - 100) <= 8
    assert abs(usual_width(two_rooms(YES)) - 100) <= 16


def test_where_no_room_is_seen_none_has_a_width() -> None:
    assert usual_width(np.full((300, 400), NO, np.float32)) == 0.0
