"""Walls that follow their rooms: the same wall keeps its id and what is known of it; one undo takes all back."""

import pytest

from circuitmap import trade
from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.records import Opening, Place, Plate, Point, Wall
from circuitmap.memo import Memo
from circuitmap.plan import to_wall
from circuitmap.plan.doors_kept import Gap
from circuitmap.plan.walls_keep import lay_walls, stand_on_walls
from tests.build import Builder

TRADE = trade.load()


def house() -> Builder:
    """A hall (M1) below two rooms (M2, M3), with their walls laid."""
    b = Builder()
    ground = b.storey()
    b.room("Hall", ground, (0, 3100, 8000, 4500))
    b.room("Left", ground, (0, 0, 4000, 3000))
    b.room("Right", ground, (4100, 0, 8000, 3000))
    b.do(lay_walls(b.home, ground, TRADE))
    return b


def walls(b: Builder) -> dict[str, Wall]:
    return dict(b.home.table(Wall))


def between(b: Builder, *rooms: str) -> Wall:
    (found,) = [wall for wall in walls(b).values() if wall.rooms == rooms]
    return found


def reshape(b: Builder, room: str, x0: int, y0: int, x1: int, y1: int) -> None:
    b.do(verbs.reshape_room(b.home, room, ((x0, y0), (x1, y0), (x1, y1), (x0, y1))))


def test_laying_walls_twice_changes_nothing_and_one_undo_takes_them_away() -> None:
    b = house()
    assert len(walls(b)) == 10
    assert all(wall.from_rooms for wall in walls(b).values())
    assert lay_walls(b.home, "G1", TRADE).pairs == ()
    bare = Builder()
    bare.storey()
    bare.room("Only", "G1", (0, 0, 3000, 3000))
    change = lay_walls(bare.home, "G1", TRADE)
    assert bare.home.apply(change).apply(change.inverse()) == bare.home


def test_a_dragged_room_takes_its_walls_along_with_all_that_is_known_of_them() -> None:
    b = house()
    wall = between(b, "M2", "M3")
    b.do(verbs.set_build(b.home, [wall.id], "stud"))
    b.do(verbs.add_opening(b.home, wall.id, "door", 1000, 762))
    before = walls(b)
    reshape(b, "M2", 0, 0, 3500, 3000)
    reshape(b, "M3", 3600, 0, 8000, 3000)
    b.do(lay_walls(b.home, "G1", TRADE))
    after = between(b, "M2", "M3")
    assert after.id == wall.id
    assert {after.a_mm, after.b_mm} == {(3550, 0), (3550, 3000)}
    assert (after.build, after.openings) == ("stud", (Opening(kind="door", along_mm=1000, width_mm=762),))
    assert set(walls(b)) == set(before)
    assert {i for i, one in walls(b).items() if one != before[i]} > {wall.id}


def test_a_measured_thickness_is_kept_and_a_drawn_one_follows() -> None:
    b = house()
    wall = between(b, "M2", "M3")
    b.do(verbs.set_thickness(b.home, [wall.id], 75))
    reshape(b, "M3", 4120, 0, 8000, 3000)
    b.do(lay_walls(b.home, "G1", TRADE))
    assert (between(b, "M2", "M3").thickness_mm, between(b, "M2", "M3").thickness_from) == (75, "measured")
    reshape(b, "M1", 0, 3120, 8000, 4500)
    b.do(lay_walls(b.home, "G1", TRADE))
    assert (between(b, "M1", "M2").thickness_mm, between(b, "M1", "M2").thickness_from) == (120, "drawn")


def test_points_on_a_wall_move_with_its_face() -> None:
    b = house()
    wall = between(b, "M2", "M3")
    left = b.point(at=("G1", 4000, 1500))
    right = b.point(at=("G1", 4100, 2000))
    plate = [b.point(at=("G1", 4000, 500)), b.point()]
    b.do(verbs.share_plate(b.home, plate))
    b.do(stand_on_walls(b.home, "G1"))
    assert b.home.take(Point, left).place == Place(storey="G1", x_mm=4000, y_mm=1500, wall=wall.id, faces_deg=180.0)
    assert b.home.take(Point, right).place.faces_deg == 0.0
    assert stand_on_walls(b.home, "G1").pairs == ()
    reshape(b, "M2", 0, 0, 3500, 3000)
    reshape(b, "M3", 3640, 0, 8000, 3000)
    b.do(lay_walls(b.home, "G1", TRADE))
    at = [b.home.take(Point, left).place, b.home.take(Point, right).place, b.home.take(Plate, "T1").place]
    assert [(place.x_mm, place.y_mm) for place in at] == [(3500, 1500), (3640, 2000), (3500, 500)]


def test_a_point_dropped_near_a_laid_wall_goes_onto_its_face_and_knows_it() -> None:
    b = house()
    place = to_wall(b.home, Memo(), Place(storey="G1", x_mm=3800, y_mm=1510))
    assert place == Place(storey="G1", x_mm=4000, y_mm=1510, wall=between(b, "M2", "M3").id, faces_deg=180.0)


def test_a_room_that_goes_takes_its_walls_and_lets_go_what_stood_on_them() -> None:
    b = house()
    parting = between(b, "M2", "M3").id
    far = next(wall for wall in walls(b).values() if wall.rooms == ("M3",) and wall.a_mm[0] == wall.b_mm[0])
    point = b.point(at=("G1", 8000, 1000))
    b.do(stand_on_walls(b.home, "G1"))
    assert b.home.take(Point, point).place.wall == far.id
    b.do(verbs.remove(b.home, "M3"))
    before = b.home
    change = lay_walls(b.home, "G1", TRADE)
    b.do(change)
    assert far.id not in walls(b)
    assert b.home.take(Point, point).place.wall is None
    # What parted the two rooms is the outer wall of the one that is left.
    assert (walls(b)[parting].rooms, walls(b)[parting].outer) == (("M2",), True)
    assert b.home.apply(change.inverse()) == before


def test_doors_found_on_the_plan_are_let_in_once() -> None:
    b = house()
    gaps = [Gap((1000, 3010), (1762, 3010)), Gap((4050, 200), (4050, 900)), Gap((20_000, 0), (20_800, 0))]
    b.do(lay_walls(b.home, "G1", TRADE, gaps=gaps))
    hall, side = between(b, "M1", "M2"), between(b, "M2", "M3")
    assert [each.width_mm for each in hall.openings] == [762]
    assert [each.width_mm for each in side.openings] == [700]
    assert lay_walls(b.home, "G1", TRADE, gaps=gaps).pairs == ()


def test_a_door_stays_where_it_is_in_space_when_its_wall_is_parted_anew() -> None:
    b = Builder()
    ground = b.storey()
    b.room("Hall", ground, (0, 3100, 8000, 4500))
    b.room("Whole", ground, (0, 0, 8000, 3000))
    b.do(lay_walls(b.home, ground, TRADE, gaps=[Gap((6000, 3050), (6800, 3050))]))
    reshape(b, "M2", 0, 0, 4000, 3000)
    b.room("New", ground, (4100, 0, 8000, 3000))
    b.do(lay_walls(b.home, ground, TRADE))
    (door,) = between(b, "M1", "M3").openings
    wall = between(b, "M1", "M3")
    step = 1 if wall.b_mm[0] > wall.a_mm[0] else -1
    assert {wall.a_mm[0] + step * along for along in (door.along_mm, door.along_mm + door.width_mm)} == {6000, 6800}
    assert between(b, "M1", "M2").openings == ()


def test_walls_drawn_by_hand_stay_and_learn_their_rooms() -> None:
    b = Builder()
    ground = b.storey()
    b.room("Left", ground, (0, 0, 4000, 3000))
    b.room("Right", ground, (4100, 0, 8000, 3000))
    hand = b.do(verbs.add_wall(b.home, ground, (4050, -200), (4050, 3200), 120, "brick"))
    b.do(lay_walls(b.home, ground, TRADE))
    wall = b.home.take(Wall, hand)
    assert (wall.a_mm, wall.b_mm, wall.thickness_mm, wall.build) == ((4050, -200), (4050, 3200), 120, "brick")
    assert (wall.rooms, wall.outer, wall.from_rooms) == (("M1", "M2"), False, False)
    assert len([one for one in walls(b).values() if one.rooms == ("M1", "M2")]) == 1


def test_openings_must_fit_into_their_wall_and_beside_each_other() -> None:
    b = house()
    wall = between(b, "M2", "M3").id
    b.do(verbs.add_opening(b.home, wall, "door", 200, 762))
    for along, width, says in ((800, 762, "already"), (2500, 762, "does not fit"), (-1, 500, "does not fit")):
        with pytest.raises(HomeError, match=says):
            verbs.add_opening(b.home, wall, "door", along, width)
    b.do(verbs.add_opening(b.home, wall, "window", 1500, 600, 900, 2100))
    b.do(verbs.move_opening(b.home, wall, 0, 300, 700))
    with pytest.raises(HomeError, match="already"):
        verbs.move_opening(b.home, wall, 0, 1000)
    with pytest.raises(HomeError, match="no opening number 3"):
        verbs.move_opening(b.home, wall, 2, 0)
    b.do(verbs.remove_opening(b.home, wall, 0))
    assert [each.kind for each in b.home.take(Wall, wall).openings] == ["window"]
