"""Walls as seen from the room: measures for marking out, zones, routes, and that they can be read."""

import itertools
from xml.etree import ElementTree as ET

import pytest
import shapely

from circuitmap.drawing.elevation import CAUTION, Elevation, depth_said, elevation, elevation_svg, faces_to_draw
from circuitmap.drawing.elevation_marks import NEW, ROUTE, STRAY, ZONE, Beside
from circuitmap.drawing.marks import Area, Line, Words
from circuitmap.drawing.palette import Theme, colour, contrast
from circuitmap.drawing.typed import width_px
from circuitmap.extension.stray import strays
from circuitmap.home import Home
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, faces_on
from circuitmap.plan.permitted import permitted_on
from tests.drawing.walls_seen import MARKED, kitchen, paths, point
from tests.extension.routed import TRADE

SLANTING = (("G1", 3300.0, 0.0, 450.0), ("G1", 3700.0, 0.0, 1200.0))


def face_of(home: Home, name: str = "M1/0") -> Face:
    return next(face for face in faces_on(home, Memo(), TRADE, "G1") if face.id == name)


def drawn(home: Home, **facts: object) -> Elevation:
    return elevation(home, Memo(), TRADE, face_of(home), marked=MARKED, **facts)  # type: ignore[arg-type]  # shorthand


def test_a_box_on_the_surface_is_cut_into_nothing() -> None:
    seen = drawn(kitchen(), on_surface=True).marked
    assert any("135 × 75 mm, on the surface" in each.said() for each in seen)
    assert not any("deep" in each.said() for each in seen)
    assert {depth_said(each) for each in seen if each.hole_mm} == {"on the surface"}


def test_boxes_are_marked_out_from_both_corners_and_the_floor() -> None:
    """Worked by hand: on a wall of 4000 mm the twin at 1500 is 2500 from the right.

    Outlines of BS 4662 boxes, 75 × 75 and 135 × 75 mm, and the depths 25 mm for a plain socket and 35 mm for a fused
    unit: from memory, common practice.
    """
    first, second, third = drawn(kitchen()).marked
    assert (first.from_left_mm, first.from_right_mm, first.from_floor_mm) == (1500, 2500, 1100)
    assert (first.hole_mm, first.depth_mm, first.build) == ((135, 75), 25, "brick")
    assert (second.from_left_mm, second.what) == (1800, "twin socket")
    assert (third.from_left_mm, third.from_right_mm, third.from_floor_mm) == (3300, 700, 450)
    assert (third.hole_mm, third.depth_mm) == ((75, 75), 35)
    assert (
        "centre 1500 mm from the left corner, 1100 mm over the floor; box 135 × 75 mm, 25 mm deep or more"
        in first.said()
    )


def test_the_measures_drawn_are_the_lengths_of_their_lines() -> None:
    made = drawn(kitchen())
    lines = [mark for mark in made.marks if isinstance(mark, Line) and mark.layer == "grid" and len(mark.pts) == 2]
    level = {round(abs(a[0] - b[0])) for line in lines for a, b in [line.pts] if a[1] == b[1] > made.face.height_mm}
    upright = {round(abs(a[1] - b[1])) for line in lines for a, b in [line.pts] if a[0] == b[0]}
    said = {mark.text for mark in made.marks if isinstance(mark, Words)}
    assert {1500, 1800, 700, 4000} <= level  # the fused unit is measured from the nearer corner
    assert {1100, 450, 2400} <= upright
    assert {"1500", "1800", "700", "4000", "1100", "450", "2400"} <= said


def test_the_wash_is_the_permitted_area() -> None:
    home = kitchen()
    made = drawn(home)
    washes = [mark for mark in made.marks if isinstance(mark, Area) and mark.fill == ZONE]
    shown = shapely.union_all([shapely.Polygon(mark.rings[0], mark.rings[1:]) for mark in washes])
    zones = permitted_on(home, Memo(), TRADE, "G1")[made.face.id].area()
    turned = shapely.transform(zones, lambda spots: spots * (1, -1) + (0, made.face.height_mm))
    assert shown.symmetric_difference(turned).area < 1
    assert all(mark.edge is not None and mark.edge.dash for mark in washes)


def test_a_route_is_drawn_inside_the_wash_and_reaches_the_boxes() -> None:
    home = kitchen()
    made = drawn(home, paths=paths(home))
    washes = [mark for mark in made.marks if isinstance(mark, Area) and mark.fill == ZONE]
    zones = shapely.union_all([shapely.Polygon(mark.rings[0], mark.rings[1:]) for mark in washes]).buffer(1)
    lines = [mark for mark in made.marks if isinstance(mark, Line) and mark.ink == ROUTE]
    assert lines
    assert all(zones.contains(shapely.LineString(line.pts)) for line in lines)
    ends = {spot for line in lines for spot in (line.pts[0], line.pts[-1])}
    assert {(600.0, 1950.0), (1500.0, 1300.0), (1800.0, 1300.0)} <= {(round(x, 1), round(y, 1)) for x, y in ends}


def test_what_slants_is_red_dashed_and_says_its_length() -> None:
    """√(400² + 750²) = 850 mm, worked by hand."""
    home = kitchen()
    made = drawn(home, strays=strays(home, Memo(), TRADE, SLANTING))
    assert [mark.ink for mark in made.marks if isinstance(mark, Line) and mark.ink.role == "break"] == [STRAY]
    assert STRAY.dash
    assert any(isinstance(mark, Words) and mark.text == "850 mm" for mark in made.marks)
    assert any(note.startswith("850 mm slants") for note in made.notes)


def test_what_has_no_height_is_said_and_given_no_measure() -> None:
    home = Home.of([*kitchen().all(), point(7, "socket", 2600, None, 1, "planned")])
    made = elevation(home, Memo(), TRADE, face_of(home), marked=("P7",))
    assert made.marked[0].from_floor_mm is None
    assert "height to be agreed" in made.marked[0].said()
    assert any("P7" in note and "not known" in note for note in made.notes)


def test_labels_lie_on_no_label_plate_or_route() -> None:
    home = kitchen()
    made = drawn(home, paths=paths(home))
    scale = made.px_per_mm
    boxes = []
    for mark in made.marks:
        if isinstance(mark, Words):
            x, y = mark.at_mm[0] * scale, mark.at_mm[1] * scale
            half = width_px(mark.text, mark.size_px) / 2
            boxes.append((mark.text, shapely.box(x - half, y - mark.size_px / 2, x + half, y + mark.size_px / 2)))
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        assert not a.intersects(b), f"{one} lies on {other}"
    names = [(text, box) for text, box in boxes if text in ("1", "2", "3", "P1", "P2")]
    assert len(names) == 5
    for text, box in names:
        for mark in made.marks:
            if isinstance(mark, Line) and mark.ink == ROUTE:
                assert not shapely.LineString([(x * scale, y * scale) for x, y in mark.pts]).intersects(box), text
            if isinstance(mark, Area) and mark.layer == "symbol":
                assert not shapely.Polygon([(x * scale, y * scale) for x, y in mark.rings[0]]).intersects(box), text


def test_where_everything_is_full_a_label_still_gets_a_place() -> None:
    beside = Beside(face_of(kitchen()), 0.2, ())
    beside.take((0.0, 0.0, 4000.0, 2400.0))
    assert beside.put("P1", (1000.0, 1000.0, 1146.0, 1086.0), 11.0)


def test_faces_with_something_to_mark_out_come_first() -> None:
    home = kitchen()
    faces = faces_to_draw(home, Memo(), TRADE, MARKED, paths(home))
    assert [face.id for face in faces] == ["M1/0", "M1/3"]


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_the_drawing_says_what_it_is_without_colour(theme: Theme) -> None:
    home = kitchen()
    made = drawn(home, paths=paths(home), strays=strays(home, Memo(), TRADE, SLANTING))
    root = ET.fromstring(elevation_svg(made, theme=theme))
    texts = {"".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text")}
    assert CAUTION in texts
    assert {"route", "strays from the zones", "to be fitted", "135 × 75 mm", "twin socket"} <= texts
    # Told apart by stroke alone: widths and dashes differ, and each is dark enough against the paper.
    inks = (ROUTE, STRAY, NEW)
    assert len({(ink.width_px, ink.dash) for ink in inks}) == 3
    assert all(contrast(colour(ink.role, theme), colour("paper", theme)) >= 4.5 for ink in inks)
    assert colour("accent", theme) in elevation_svg(made, theme=theme)


def test_the_key_names_only_what_is_there() -> None:
    text = elevation_svg(elevation(kitchen(), Memo(), TRADE, face_of(kitchen(), "M1/2")))
    assert "cable may be hidden here" in text
    assert "strays from the zones" not in text


def test_what_is_in_the_way_of_something_is_said() -> None:
    """Two twins of 146 mm need their middles 146 mm apart: 100 mm is too near, 150 mm is not. Worked by hand."""
    for u, is_said in ((1900, True), (1950, False)):
        home = Home.of([*kitchen().all(), point(8, "socket", u, 1100, 2)])
        notes = elevation(home, Memo(), TRADE, face_of(home), marked=MARKED).notes
        assert any("No. 2 and P8 are in each other's way" in note for note in notes) == is_said


def test_the_name_of_what_stands_before_a_wall_is_not_laid_over_a_box() -> None:
    home = Home.of([*kitchen().all(), point(8, "socket", 1500, 450)])
    made = drawn(home)
    name = next(mark for mark in made.marks if isinstance(mark, Words) and mark.text == "unit")
    plate = next(
        mark
        for mark in made.marks
        if isinstance(mark, Area) and mark.layer == "symbol" and (1457, 1907) in mark.rings[0]
    )
    half, high = width_px("unit", name.size_px) / 2 / made.px_per_mm, name.size_px / 2 / made.px_per_mm
    (x, y), box = name.at_mm, shapely.Polygon(plate.rings[0])
    assert not box.intersects(shapely.box(x - half, y - high, x + half, y + high))
