"""North and the front of the house as a small rose: each way only where it is known, on screen and in the SVG."""

import math

import pytest

from circuitmap import trade
from circuitmap.drawing.marks import Area, Words, mark_points
from circuitmap.drawing.rose import is_known, rose_marks
from circuitmap.drawing.whole import home_svg
from circuitmap.home import verbs
from circuitmap.home.records import Details
from circuitmap.memo import Memo
from tests.build import Builder


@pytest.mark.parametrize("way", [0.0, 37.0, 90.0, 200.0, 270.0])
def test_the_arrow_points_where_north_is(way: float) -> None:
    marks = rose_marks(Details(north_deg=way), (100.0, 50.0))
    spots = [spot for mark in marks if isinstance(mark, Area) and mark.edge for spot in mark_points(mark)]
    far = max(spots, key=lambda spot: math.dist(spot, (100.0, 50.0)))
    assert math.degrees(math.atan2(far[1] - 50, far[0] - 100)) % 360 == pytest.approx(way)


def test_what_is_not_known_is_not_drawn() -> None:
    def said(details: Details) -> list[str]:
        return [mark.text for mark in rose_marks(details, (0.0, 0.0)) if isinstance(mark, Words)]

    assert said(Details()) == []
    assert said(Details(north_deg=270.0)) == ["N"]
    assert said(Details(front_deg=90.0)) == ["front"]
    assert said(Details(north_deg=270.0, front_deg=90.0)) == ["N", "front"]
    assert not is_known(Details())


def test_words_of_both_ways_keep_apart_even_when_the_front_looks_north() -> None:
    marks = rose_marks(Details(north_deg=0.0, front_deg=0.0), (0.0, 0.0))
    (north, front) = [mark for mark in marks if isinstance(mark, Words)]
    assert front.at_mm[0] - north.at_mm[0] > 35


def test_the_whole_sheet_has_the_rose_in_a_strip_of_its_own() -> None:
    b = Builder()
    b.room("Hall", b.storey(), (0, 0, 4000, 3000))
    bare = home_svg(b.home, trade.load(), Memo())
    assert ">N</text>" not in bare
    b.do(verbs.edit(b.home, "home", "", north_deg=300.0, front_deg=90.0))
    drawn = home_svg(b.home, trade.load(), Memo())
    assert ">N</text>" in drawn
    assert ">front</text>" in drawn
    assert _width(drawn) > _width(bare) - 1


def _width(svg: str) -> float:
    return float(svg.split('width="', 1)[1].split('"', 1)[0])
