"""Walls out of line work: cases worked by hand, and shapely for what the walls cover together."""

import itertools
import math

import numpy as np
import pytest
import shapely

from circuitmap.errors import HomeError
from circuitmap.home.records import Point, Storey, Wall
from circuitmap.plan.line_runs import ways_of
from circuitmap.plan.walls_from_lines import MOST_LINES, find_walls, nothing_found, walls_change
from tests.build import Builder


def box(x0, y0, x1, y1):
    return [(x0, y0, x1, y0), (x1, y0, x1, y1), (x1, y1, x0, y1), (x0, y1, x0, y0)]


def found(rows, **how):
    return find_walls(np.array(rows, float).reshape(-1, 4), **how)


def seen(result):
    return sorted((*min((w.a_mm, w.b_mm), (w.b_mm, w.a_mm)), w.thickness_mm) for w in result.walls)


def covered(result):
    shapes = []
    for wall in result.walls:
        line = shapely.LineString([wall.a_mm, wall.b_mm])
        shapes.append(line.buffer(wall.thickness_mm / 2, cap_style="flat"))
    return shapely.union_all(shapes)


TWO_FACES = [(0, 0, 4000, 0), (0, 100, 4000, 100)]


def test_two_lines_side_by_side_are_the_faces_of_one_wall():
    assert seen(found(TWO_FACES)) == [((0, 50), (4000, 50), 100)]
    assert found(TWO_FACES).walls[0].paired


@pytest.mark.parametrize(("apart", "count"), [(59, 0), (60, 1), (450, 1), (452, 0)])
def test_faces_are_60_to_450_mm_apart(apart, count):
    assert len(found([(0, 0, 4000, 0), (0, apart, 4000, apart)]).walls) == count


def test_a_wall_at_a_slant_is_one_too():
    # 3-4-5: a wall of 120 along (3, 4), so the normal is (−4, 3).
    rows = [(0, 0, 3000, 4000), (-96, 72, 2904, 4072)]
    assert seen(found(rows)) == [((-48, 36), (2952, 4036), 120)]


def test_a_face_drawn_in_bits_is_one_face():
    rows = [(0, 0, 1000, 0), (1000, 0, 2500, 0), (2400, 0, 4000, 0), (4000, 100, 0, 100)]
    assert seen(found(rows)) == [((0, 50), (4000, 50), 100)]


def test_two_boxes_one_in_the_other_are_the_walls_of_a_house():
    rows = [*box(0, 0, 6300, 4200), *box(300, 300, 6000, 3900)]
    result = found(rows)
    ring = shapely.box(0, 0, 6300, 4200) - shapely.box(300, 300, 6000, 3900)
    assert len(result.walls) == 4
    assert covered(result).symmetric_difference(ring).area < 1
    # Corners are filled once, by the level walls.
    assert sum(math.dist(w.a_mm, w.b_mm) * w.thickness_mm for w in result.walls) == pytest.approx(ring.area)


def turned(rows, degrees):
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(x0 * c - y0 * s, x0 * s + y0 * c, x1 * c - y1 * s, x1 * s + y1 * c) for x0, y0, x1, y1 in rows]


@pytest.mark.parametrize("degrees", [0, 12, 45, 90, 133])
def test_a_house_that_is_turned_has_the_same_walls(degrees):
    rows = [*box(0, 0, 6300, 4200), *box(300, 300, 6000, 3900)]
    ring = shapely.Polygon([r[:2] for r in turned(box(0, 0, 6300, 4200), degrees)]) - shapely.Polygon(
        [r[:2] for r in turned(box(300, 300, 6000, 3900), degrees)]
    )
    result = found(turned(rows, degrees))
    # Ends are whole millimetres, so each corner may be half a millimetre out.
    assert covered(result).symmetric_difference(ring).area < 0.002 * ring.area


def test_the_wall_through_which_another_runs_into_is_one_wall():
    # A wall of 100 along the top, another of 100 that ends on it: the lower face is broken where they meet.
    rows = [
        (0, 0, 5000, 0),
        (0, 100, 2000, 100),
        (2100, 100, 5000, 100),
        (2000, 100, 2000, 3000),
        (2100, 100, 2100, 3000),
    ]
    assert seen(found(rows)) == [((0, 50), (5000, 50), 100), ((2050, 100), (2050, 3000), 100)]


def test_walls_that_cross_have_no_hole_where_they_cross():
    rows = [
        (0, 0, 2000, 0), (2100, 0, 5000, 0), (0, 100, 2000, 100), (2100, 100, 5000, 100),
        (2000, -2000, 2000, 0), (2000, 100, 2000, 2000), (2100, -2000, 2100, 0), (2100, 100, 2100, 2000),
    ]  # fmt: skip
    result = found(rows)
    cross = shapely.box(0, 0, 5000, 100) | shapely.box(2000, -2000, 2100, 2000)
    assert covered(result).symmetric_difference(cross).area < 1
    assert not any(wall.openings for wall in result.walls)


def gapped(start, end, long=4000.0):
    jambs = [(start, 0, start, 100), (end, 0, end, 100)]
    return [(0, 0, start, 0), (end, 0, long, 0), (0, 100, start, 100), (end, 100, long, 100), *jambs]


def test_a_gap_as_wide_as_a_door_stays_one_in_one_wall():
    (wall,) = found(gapped(1500, 2300)).walls
    assert (wall.a_mm, wall.b_mm) == ((0, 50), (4000, 50))
    (door,) = wall.openings
    assert (door.kind, door.along_mm, door.width_mm) == ("door", 1500, 800)


@pytest.mark.parametrize(("start", "end"), [(1500, 1900), (1000, 2400)])
def test_a_gap_that_is_no_door_parts_two_walls(start, end):
    result = found(gapped(start, end))
    assert seen(result) == [((0, 50), (start, 50), 100), ((end, 50), (4000, 50), 100)]
    assert not any(wall.openings for wall in result.walls)


def test_lines_that_run_through_a_gap_are_a_windows():
    glass = [(1200, 45, 2600, 45), (1200, 55, 2600, 55)]
    (wall,) = found([*gapped(1200, 2600), *glass]).walls
    assert [(o.kind, o.along_mm, o.width_mm) for o in wall.openings] == [("window", 1200, 1400)]
    # The glass may be on a layer that was not chosen.
    chosen = np.array(gapped(1200, 2600), float)
    (wall,) = find_walls(chosen, behind=np.array([*gapped(1200, 2600), *glass], float)).walls
    assert wall.openings[0].kind == "window"


def test_a_passage_between_two_rooms_is_no_door():
    # A corridor of 1000 between two walls of 100; on either side of it a wall comes in, in one line.
    rows = [
        *((x, -2000, x, 2000) for x in (2000, 3100)), (1900, -2000, 1900, 0), (1900, 100, 1900, 2000),
        (3200, -2000, 3200, 0), (3200, 100, 3200, 2000),
        (0, 0, 1900, 0), (0, 100, 1900, 100), (3200, 0, 5000, 0), (3200, 100, 5000, 100),
    ]  # fmt: skip
    result = found(rows)
    assert seen(result) == [
        ((0, 50), (1900, 50), 100), ((1950, -2000), (1950, 2000), 100), ((3150, -2000), (3150, 2000), 100),
        ((3200, 50), (5000, 50), 100),
    ]  # fmt: skip
    assert result.doors == 0


def test_two_leaves_and_a_cavity_are_one_wall():
    rows = [(0, y, 5000, y) for y in (0, 100, 175, 275)]
    assert seen(found(rows)) == [((0, 138), (5000, 138), 275)]


def test_stairs_tiles_and_hatching_are_no_walls():
    treads = [(250 * n, 0, 250 * n, 900) for n in range(12)]
    tiles = [(0, 150 * n, 3000, 150 * n) for n in range(20)]
    result = found([*treads, *tiles], single_mm=100)
    assert result.walls == ()


def test_hatching_within_a_wall_adds_none():
    hatch = [(90 * n, 0, 90 * n + 300, 300) for n in range(40)]
    assert seen(found([(0, 0, 4000, 0), (0, 300, 4000, 300), *hatch])) == [((0, 150), (4000, 150), 300)]


def test_curves_are_no_walls():
    spots = [(900 * math.cos(a), 900 * math.sin(a)) for a in np.linspace(0, math.pi / 2, 13)]
    swing = [(*p, *q) for p, q in itertools.pairwise(spots)]
    around = [(1.1 * a, 1.1 * b, 1.1 * c, 1.1 * d) for a, b, c, d in swing]
    assert found([*swing, *around], single_mm=80).walls == ()


def test_a_bay_keeps_its_sides():
    bay = [(0, 0, 800, 600), (800, 600, 2300, 600), (2300, 600, 3100, 0)]
    assert len(found(bay, single_mm=100).walls) == 3


def test_single_lines_are_walls_of_a_thickness_that_was_said():
    rows = box(0, 0, 4000, 3000)
    assert found(rows).walls == ()
    assert found(rows).singles == 4
    result = found(rows, single_mm=100)
    assert {wall.thickness_mm for wall in result.walls} == {100}
    assert not any(wall.paired for wall in result.walls)
    ring = shapely.box(-50, -50, 4050, 3050) - shapely.box(50, 50, 3950, 2950)
    assert covered(result).symmetric_difference(ring).area < 1


def test_the_end_of_a_wall_and_what_is_left_of_a_face_are_no_walls_of_their_own():
    rows = [*box(0, 0, 6300, 4200), *box(300, 300, 6000, 3900)]
    assert found(rows, single_mm=100) == found(rows)
    assert len(found([*TWO_FACES, (0, 0, 0, 100), (4000, 0, 4000, 100)], single_mm=100).walls) == 1


def test_a_door_in_walls_of_one_line_stays_a_gap():
    (wall,) = found([(0, 0, 1500, 0), (2300, 0, 4000, 0)], single_mm=100).walls
    assert [(o.kind, o.along_mm, o.width_mm) for o in wall.openings] == [("door", 1500, 800)]


def test_a_glass_line_at_the_side_does_not_part_the_faces_of_a_wall():
    rows = [(0, 0, 4000, 0), (0, 300, 4000, 300), (1000, 270, 2000, 270)]
    assert seen(found(rows)) == [((0, 150), (4000, 150), 300)]


def test_nothing_makes_no_walls_and_says_so():
    assert found([]).walls == ()
    assert "could be a wall" in nothing_found(found([]))
    assert "Choose other lines." in nothing_found(found([(0, 0, 50, 0)]))
    assert "Say how thick" in nothing_found(found([(0, 0, 5000, 0)]))


def test_more_lines_than_a_storeys_walls_have_are_refused():
    with pytest.raises(HomeError, match="choose those that walls are drawn with"):
        find_walls(np.zeros((MOST_LINES + 1, 4)))


def test_directions_of_a_drawing_are_told_apart():
    ways = ways_of(np.array([(0, 0, 9, 0), (0, 0, 900, 0), (0, 0, 0, 900), (0, 0, 900, 90)], float))
    assert [(round(way.x, 3), round(way.y, 3), len(way.runs)) for way in ways] == [
        (1, 0, 1), (round(10 / math.sqrt(101), 3), round(1 / math.sqrt(101), 3), 1), (0, 1, 1),
    ]  # fmt: skip


# -- as records ------------------------------------------------------------------------------------------------------


def test_the_change_adds_the_walls_with_where_their_thickness_is_from():
    b = Builder()
    ground = b.storey()
    change = walls_change(b.home, ground, found([*gapped(1500, 2300), (0, 3000, 3000, 3000)], single_mm=90))
    assert change.title == "Make 2 walls of the plan's lines"
    home = b.home.apply(change)
    walls = home.sorted(Wall)
    assert [(w.thickness_mm, w.thickness_from, w.from_rooms, w.storey) for w in walls] == [
        (100, "drawn", False, ground), (90, "assumed", False, ground),
    ]  # fmt: skip
    assert walls[0].openings[0].width_mm == 800


def test_walls_that_are_there_are_not_made_twice():
    b = Builder()
    ground = b.storey()
    b.do(walls_change(b.home, ground, found(TWO_FACES)))
    with pytest.raises(HomeError, match="there already"):
        walls_change(b.home, ground, found(TWO_FACES))
    more = walls_change(b.home, ground, found([*TWO_FACES, (0, 3000, 4000, 3000), (0, 3100, 4000, 3100)]))
    assert len(more.added(Wall)) == 1
    other = b.storey("First", 1) if "First" not in [s.name for s in b.home.sorted(Storey)] else ""
    assert len(walls_change(b.home, other, found(TWO_FACES)).added(Wall)) == 1


def test_points_on_the_face_are_told_their_wall():
    b = Builder()
    ground = b.storey()
    point = b.point("socket", (ground, 1000, 100))
    home = b.home.apply(walls_change(b.home, ground, found(TWO_FACES)))
    assert home.take(Point, point).place.wall == home.sorted(Wall)[0].id


def test_no_walls_is_a_sentence():
    b = Builder()
    with pytest.raises(HomeError, match="None of these lines"):
        walls_change(b.home, b.storey(), found([(0, 0, 5000, 0)]))
