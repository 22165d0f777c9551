"""Fixtures as plain outlines: inside their outline, turned with the way they face, in canvas and paper pens alike."""

import math

import pytest

from circuitmap import trade
from circuitmap.drawing.fixtures import fixture_marks, fixture_shape
from circuitmap.drawing.marks import Line, Words, mark_points
from circuitmap.drawing.svg import svg_text
from circuitmap.home.records import Fixture, Place
from circuitmap.plan.fixtures import outline_at
from circuitmap.words import FIXTURE_KINDS, FixtureKind

TRADE = trade.load()


def fixture(kind: FixtureKind, faces_deg: float | None = 90.0) -> Fixture:
    row = TRADE.fixture(kind)
    place = Place(storey="G1", x_mm=5000, y_mm=3000, faces_deg=faces_deg)
    return Fixture(id="F1", kind=kind, place=place, outline_mm=outline_at(place, row.wide_mm, row.deep_mm))


@pytest.mark.parametrize("kind", FIXTURE_KINDS)
@pytest.mark.parametrize("faces_deg", [None, 0.0, 90.0, 217.0])
def test_nothing_is_drawn_outside_the_outline(kind: FixtureKind, faces_deg: float | None) -> None:
    import shapely

    drawn = fixture(kind, faces_deg if kind != "shower head" else None)  # its outlet is what counts, not a back
    around = shapely.Polygon(drawn.outline_mm).buffer(2.0)
    for mark in fixture_marks(drawn):
        for spot in mark_points(mark):
            assert around.covers(shapely.Point(*spot)), (kind, spot)


def test_no_two_kinds_look_alike() -> None:
    """All at one size, so that only what is drawn tells them apart."""
    place = Place(storey="G1", x_mm=0, y_mm=0, faces_deg=90.0)
    outline = outline_at(place, 900, 600)
    looks = {kind: fixture_shape(kind, place, outline) for kind in FIXTURE_KINDS}
    assert len(set(looks.values())) == len(FIXTURE_KINDS)


def test_turning_a_fixture_turns_what_is_drawn_in_it() -> None:
    straight, turned = fixture("sink", 0.0), fixture("sink", 90.0)
    before = [p for m in fixture_marks(straight) if isinstance(m, Line) for p in m.pts]
    after = [p for m in fixture_marks(turned) if isinstance(m, Line) for p in m.pts]
    at = (5000.0, 3000.0)
    for x, y in before:
        turned_to = at[0] - (y - at[1]), at[1] + (x - at[0])
        assert min(math.dist(turned_to, there) for there in after) < 2


def test_a_flight_has_an_arrow_up_only_where_its_way_is_known() -> None:
    def longest(of: Fixture) -> float:
        lines = [m for m in fixture_marks(of) if isinstance(m, Line) and not m.closed]
        return max(math.dist(m.pts[0], m.pts[-1]) for m in lines)

    assert longest(fixture("stair")) > 2000
    assert longest(fixture("stair", None)) <= 861


def test_an_outline_of_another_form_is_kept_alone() -> None:
    place = Place(storey="G1", x_mm=0, y_mm=0, faces_deg=90.0)
    corner_bath = ((0, 0), (1400, 0), (1400, 500), (500, 1400), (0, 1400))
    marks = fixture_shape("bath", place, corner_bath)
    assert len(marks) == 1


def test_the_paper_pen_draws_the_same_lines() -> None:
    marks = fixture_marks(fixture("bath"))
    lines = sum(isinstance(mark, Line) for mark in marks)
    assert lines == 3
    drawn, bare = (svg_text(each, title="A bath", px_per_mm=0.2).count("<path d=") for each in (marks, ()))
    assert drawn - bare == lines
    assert [m.text for m in marks if isinstance(m, Words)] == ["bath"]
