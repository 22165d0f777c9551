"""Fixtures as outlines against walls: places and corners worked by hand, distances held against shapely."""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from circuitmap import trade
from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.records import Fixture, Place
from circuitmap.memo import Memo
from circuitmap.plan.fixtures import (
    level_distance_mm,
    move_fixture,
    outline_at,
    outline_of,
    put_at,
    put_fixture,
    size_of,
    turn_fixture,
)
from tests.build import Builder

TRADE = trade.load()


def bathroom() -> Builder:
    b = Builder()
    ground = b.storey()
    b.room("Bathroom", ground, (0, 0, 2400, 2000))
    return b


def at(x: int, y: int, faces: float | None = None) -> Place:
    return Place(storey="G1", x_mm=x, y_mm=y, faces_deg=faces)


def bounds(outline) -> tuple[float, float, float, float]:
    return shapely.Polygon(outline).bounds


def test_a_bath_dropped_near_a_corner_lies_snug_in_it_along_the_wall() -> None:
    put = put_at(bathroom().home, Memo(), TRADE, "bath", at(700, 120))
    assert bounds(put.outline_mm) == (0, 0, 1700, 700)
    assert (put.place.x_mm, put.place.y_mm, put.place.faces_deg) == (850, 0, 90.0)


def test_on_another_wall_it_is_turned() -> None:
    put = put_at(bathroom().home, Memo(), TRADE, "basin", at(2350, 1000))
    assert bounds(put.outline_mm) == (1950, 725, 2400, 1275)
    assert put.place.faces_deg == 180.0


def test_sizes_that_were_typed_are_taken_and_absurd_ones_refused() -> None:
    put = put_at(bathroom().home, Memo(), TRADE, "tray", at(2000, 1950), wide_mm=1200, deep_mm=760)
    assert bounds(put.outline_mm) == (1200, 1240, 2400, 2000)
    for size in (0, -1, 1e9, float("nan")):
        with pytest.raises(HomeError, match="size"):
            put_at(bathroom().home, Memo(), TRADE, "tray", at(0, 0), wide_mm=size)


def test_what_is_wider_than_its_wall_stays_where_it_was_dropped() -> None:
    put = put_at(bathroom().home, Memo(), TRADE, "unit", at(2390, 800), wide_mm=2600)
    assert bounds(put.outline_mm) == (1800, -500, 2400, 2100)


def test_far_from_walls_it_stands_round_its_place_or_the_way_it_faces() -> None:
    assert bounds(put_at(bathroom().home, Memo(), TRADE, "unit", at(1200, 1000)).outline_mm) == (900, 700, 1500, 1300)
    faced = put_at(bathroom().home, Memo(), TRADE, "unit", at(1200, 1000, 0.0))
    assert bounds(faced.outline_mm) == (1200, 700, 1800, 1300)


def test_a_stair_rises_from_its_foot_the_way_it_faces() -> None:
    put = put_at(bathroom().home, Memo(), TRADE, "stair", at(100, 3000, 270.0))
    assert bounds(put.outline_mm) == (-330, 140, 530, 3000)
    assert put.place == at(100, 3000, 270.0)


def test_a_fixture_is_added_moved_and_turned_with_its_outline() -> None:
    b = bathroom()
    bath = b.do(put_fixture(b.home, Memo(), TRADE, "bath", at(700, 120)))
    b.do(move_fixture(b.home, Memo(), TRADE, bath, at(2300, 1040)))
    moved = b.home.take(Fixture, bath)
    assert bounds(moved.outline_mm) == (1700, 300, 2400, 2000)
    assert size_of(moved, TRADE) == pytest.approx((1700, 700))
    b.do(turn_fixture(b.home, bath))
    turned = b.home.take(Fixture, bath)
    assert turned.place.faces_deg == 270.0
    assert size_of(turned, TRADE) == pytest.approx((1700, 700))
    for _ in range(3):
        b.do(turn_fixture(b.home, bath))
    assert set(b.home.take(Fixture, bath).outline_mm) == set(moved.outline_mm)


def test_an_outline_of_its_own_shape_is_carried_along() -> None:
    b = bathroom()
    quadrant = ((0, 0), (900, 0), (900, 400), (400, 900), (0, 900))
    tray = b.do(verbs.add_fixture(b.home, "tray", at(450, 0, 90.0), quadrant))
    b.do(move_fixture(b.home, Memo(), TRADE, tray, at(2390, 1000)))
    after = b.home.take(Fixture, tray).outline_mm
    assert shapely.Polygon(after).area == pytest.approx(shapely.Polygon(quadrant).area, rel=1e-3)
    assert bounds(after) == (1500, 550, 2400, 1450)


def test_a_fixture_without_an_outline_has_the_usual_one_and_says_so() -> None:
    bare = Fixture(id="F1", kind="bath", place=at(850, 0, 90.0))
    assert bounds(outline_of(bare, TRADE)[0]) == (0, 0, 1700, 700)
    assert not outline_of(bare, TRADE)[1]
    drawn = Fixture(id="F1", kind="bath", place=at(0, 0), outline_mm=((0, 0), (1, 0), (1, 1)))
    assert outline_of(drawn, TRADE) == (((0, 0), (1, 0), (1, 1)), True)


@given(st.integers(-5000, 5000), st.integers(-5000, 5000), st.floats(0, 359), st.integers(-9000, 9000))
def test_distances_are_those_of_shapely_and_nothing_inside(x: int, y: int, faces: float, far: int) -> None:
    outline = outline_at(at(x, y, faces), 1000, 500)
    shape = shapely.Polygon(outline)
    assert shape.area == pytest.approx(500_000, rel=5e-3)
    assert level_distance_mm(outline, far, y) == pytest.approx(shapely.distance(shape, shapely.Point(far, y)))
    middle = shape.centroid
    assert level_distance_mm(outline, middle.x, middle.y) == 0
