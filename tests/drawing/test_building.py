"""Walls by what they are built of, with their doors and windows as gaps."""

import pytest

from circuitmap.drawing.building import wall_marks
from circuitmap.drawing.legend import legend_of
from circuitmap.drawing.marks import Area, Line
from circuitmap.home.records import Opening, Wall
from circuitmap.words import Build

DOOR = Opening(kind="door", along_mm=1000, width_mm=800)


def wall(build: Build, *openings: Opening) -> Wall:
    return Wall(
        id="W1", storey="G1", a_mm=(0, 0), b_mm=(4000, 0), thickness_mm=100, build=build, openings=tuple(openings)
    )


def areas(of: Wall) -> list[Area]:
    return [mark for mark in wall_marks(of) if isinstance(mark, Area)]


@pytest.mark.parametrize("build", ["brick", "stud", "lined", "unknown"])
def test_a_wall_is_as_thick_as_measured_and_a_door_is_a_gap_in_it(build: Build) -> None:
    pieces = areas(wall(build, DOOR))
    ends = sorted({(min(x for x, _ in a.rings[0]), max(x for x, _ in a.rings[0])) for a in pieces})
    assert ends == [(0.0, 1000.0), (1800.0, 4000.0)]
    assert max(y for a in pieces for _, y in a.rings[0]) == 50.0
    assert min(y for a in pieces for _, y in a.rings[0]) == -50.0


def test_what_a_wall_is_built_of_can_be_told_without_colour() -> None:
    builds: tuple[Build, ...] = ("brick", "stud", "lined", "unknown")
    looks = {build: tuple((a.fill, bool(a.edge)) for a in areas(wall(build))) for build in builds}
    assert len(set(looks.values())) == 4
    assert {looks["brick"]} == {tuple((a.fill, bool(a.edge)) for a in areas(wall("concrete")))}


def test_studs_stand_400_mm_apart_and_none_in_the_door() -> None:
    """Common practice, no source: studs at 400 mm centres."""
    studs = [m.pts[0][0] for m in wall_marks(wall("stud")) if isinstance(m, Line)]
    assert studs == [400.0 * n for n in range(1, 10)]
    with_door = [m for m in wall_marks(wall("stud", DOOR)) if isinstance(m, Line) and m.pts[0][0] == m.pts[1][0]]
    assert {m.pts[0][0] for m in with_door} == {400.0, 800.0, 1000.0, 1800.0, 2000.0, 2400.0, 2800.0, 3200.0, 3600.0}


def test_the_legend_names_builds_only_where_walls_differ() -> None:
    def said(*walls: Wall) -> list[str]:
        marks = [mark for each in walls for mark in wall_marks(each)]
        return [entry.words for group in legend_of(marks) if group.heading == "Walls" for entry in group.entries]

    assert said(wall("brick")) == []
    assert said(wall("brick"), wall("stud")) == [
        "Wall of brick, block or concrete",
        "Stud wall; with a solid core, a dry-lined one",
    ]
    assert said(wall("brick"), wall("unknown"))[-1] == "Wall, not known of what"
