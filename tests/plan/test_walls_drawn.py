"""Walls drawn by hand by their middle line; lengths are worked by hand."""

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import Home
from circuitmap.home.records import Storey, Wall
from circuitmap.memo import Memo
from circuitmap.plan.elevation import faces_on
from circuitmap.plan.walls_drawn import draw_wall
from tests.extension.routed import TRADE, one_room


def ground() -> Home:
    return Home.of([Storey(id="G1", name="Ground", height_mm=2400)])


def test_a_wall_is_as_it_was_drawn_and_a_thickness_that_is_said_is_measured() -> None:
    home = ground()
    after = home.apply(draw_wall(home, "G1", (0, 0), (3000, 4000), 100, "stud"))
    wall = after.take(Wall, "W1")
    assert (wall.a_mm, wall.b_mm, wall.thickness_mm, wall.build) == ((0, 0), (3000, 4000), 100, "stud")
    assert (wall.thickness_from, wall.from_rooms, wall.rooms) == ("measured", False, ())
    change = draw_wall(home, "G1", (0, 0), (3000, 0))
    assert (change.pairs[0][1] or wall).id == "W1"
    assert home.apply(change).take(Wall, "W1").thickness_mm is None
    assert change.title == "Draw a wall of 3.00 m"


def test_both_sides_of_it_can_be_looked_at_where_no_room_is_drawn() -> None:
    """3, 4, 5: the wall is 5 m long, whichever side it is seen from."""
    home = ground()
    after = home.apply(draw_wall(home, "G1", (0, 0), (3000, 4000), 100, "stud"))
    faces = faces_on(after, Memo(), TRADE, "G1")
    assert [round(face.length_mm) for face in faces] == [5000, 5000]


@pytest.mark.parametrize(
    ("b", "thickness", "says"),
    [((50, 0), None, "longer than"), ((900_000, 0), None, "longer than any home"), ((3000, 0), 5, "between 20 mm"),
     ((3000, 0), 5000, "between 20 mm")],
)  # fmt: skip
def test_what_is_no_wall_is_refused_in_a_sentence(b: tuple[int, int], thickness: int | None, says: str) -> None:
    with pytest.raises(HomeError, match=says):
        draw_wall(ground(), "G1", (0, 0), b, thickness)


def test_a_wall_that_is_there_already_is_said_by_its_name() -> None:
    home = one_room()
    wall = home.take(Wall, "W1")
    for ends in ((wall.a_mm, wall.b_mm), (wall.b_mm, wall.a_mm)):
        with pytest.raises(HomeError, match="Wall W1 is there already"):
            draw_wall(home, "G1", *ends)
