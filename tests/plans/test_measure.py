"""The measuring of outlines, by hand-worked figures and by finders that err by a known amount."""

from random import Random

import numpy as np
import pytest
from shapely import Point, Polygon

from circuitmap.errors import PersonError
from tests.plans.drawn import Drawn, draw_plan
from tests.plans.drawn_ink import Grey
from tests.plans.measure import click_into, corner_errors, iou, measure, measure_one, sides

SQUARE = np.asarray([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
STYLE: dict[str, object] = {"difficulty": "easy", "longer side px": 1000}


def moved(corners: np.ndarray, right_px: float) -> np.ndarray:
    return np.asarray(corners + np.asarray([right_px, 0.0]))


class Told:
    """An outline that is given."""

    def __init__(self, corners: np.ndarray) -> None:
        self.corners_px = [(float(x), float(y)) for x, y in corners]


class Knowing:
    """Knows the rooms and gives them moved by ``off_px``; in a room whose name starts with ``shy`` it gives up."""

    def __init__(self, drawn: Drawn, off_px: float = 0.0, shy: str = "?") -> None:
        self.drawn = drawn
        self.off_px = off_px
        self.shy = shy

    def __call__(self, grey: Grey) -> "Knowing":
        assert grey.tobytes() == self.drawn.grey.tobytes()
        return self

    def room_at(self, x_px: float, y_px: float) -> Told:
        for room in self.drawn.rooms:
            if Polygon(room.corners_px).contains(Point(x_px, y_px)):
                if room.name.startswith(self.shy):
                    raise PersonError("This room can't be told.")
                return Told(moved(room.corners_px, self.off_px))
        raise PersonError("There is no room here.")


def test_iou_worked_by_hand() -> None:
    assert iou(SQUARE, SQUARE) == 1.0
    # moved half a side: 50 shared of 150 covered together
    assert iou(SQUARE, moved(SQUARE, 5.0)) == pytest.approx(1 / 3)
    assert iou(SQUARE, moved(SQUARE, 20.0)) == 0.0
    assert iou(SQUARE, SQUARE[:2]) == 0.0
    assert iou(SQUARE, SQUARE[::-1]) == 1.0


def test_an_outline_that_crosses_itself_is_measured_by_what_it_encloses() -> None:
    bow_tie = SQUARE[[0, 2, 1, 3]]  # two triangles of 25 each
    assert iou(SQUARE, bow_tie) == pytest.approx(0.5)


def test_corner_errors_worked_by_hand() -> None:
    found = np.asarray([(0.0, 0.0), (10.0, 3.0), (13.0, 14.0)])
    assert corner_errors(SQUARE, found).tolist() == [0.0, 3.0, 5.0, 10.0]
    assert np.isinf(corner_errors(SQUARE, None)).all()


def test_sides_are_those_of_the_smallest_rectangle_however_it_is_turned() -> None:
    turn = np.asarray([[np.cos(0.4), -np.sin(0.4)], [np.sin(0.4), np.cos(0.4)]])
    corners = np.asarray([(0.0, 0.0), (30.0, 0.0), (30.0, 12.0), (0.0, 12.0)]) @ turn.T
    assert sides(corners) == pytest.approx((12.0, 30.0))


def test_a_finder_that_knows_all_scores_all() -> None:
    row = measure_one(Knowing(draw_plan(3, STYLE)), 3, STYLE)
    assert [room.iou for room in row.rooms] == pytest.approx([1.0] * len(row.rooms))
    assert all(room.near_short == room.near_long == room.corners for room in row.rooms)


def test_a_finder_that_is_off_scores_less_and_its_corners_by_the_rooms_width() -> None:
    drawn = draw_plan(3, STYLE)
    narrowest = min(sides(room.corners_px)[0] for room in drawn.rooms)
    row = measure_one(Knowing(drawn, off_px=0.03 * narrowest), 3, STYLE)
    assert all(0.8 < room.iou < 1.0 for room in row.rooms)
    missed = [room for room in row.rooms if room.near_short == 0]
    assert any(sides(room.truth)[0] == narrowest for room in missed)
    assert len(missed) < len(row.rooms)


def test_a_room_that_cannot_be_told_counts_nothing_and_keeps_what_was_said() -> None:
    (row,) = measure(Knowing(draw_plan(3, STYLE), shy="living"), [3], STYLE)
    shy = [room for room in row.rooms if room.name.startswith("living")]
    assert shy
    assert {(room.iou, room.near_long, room.said) for room in shy} == {(0.0, 0, "This room can't be told.")}


def test_clicks_lie_in_the_room_a_hand_from_its_walls() -> None:
    drawn = draw_plan(4)
    for room in drawn.rooms:
        for is_anywhere in (False, True):
            place = Point(click_into(drawn, room.corners_px, Random(1), is_anywhere))
            floor = Polygon(room.corners_px)
            assert floor.contains(place)
            assert floor.exterior.distance(place) > 0.19 * drawn.px_per_m
