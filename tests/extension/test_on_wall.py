"""Wishes as points on a wall, and where accessories may be moved to."""

import msgspec
import pytest

from circuitmap.errors import PersonError
from circuitmap.extension.on_wall import (
    face_near,
    face_of_record,
    kept_whole,
    move_accessory,
    move_wish,
    spot_for,
    usual_heights,
    with_wishes,
)
from circuitmap.home import Home
from circuitmap.home.records import Extension, Plate, Point, Run, Wish
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, faces_on, standing_on
from tests.drawing.walls_seen import kitchen
from tests.extension.routed import TRADE


def wall() -> Face:
    return faces_on(kitchen(), Memo(), TRADE, "G1")[0]


def wished(*wishes: Wish, **facts: object) -> Home:
    record = Extension(id="X1", name="Sockets", wishes=wishes, **facts)  # type: ignore[arg-type]  # shorthand
    return Home.of([*kitchen().all(), record])


def socket(u: float, v: float, gangs: int = 2) -> Wish:
    return Wish(act="add", kind="socket", gangs=gangs, place=spot_for(wall(), u, v))


def test_wishes_are_planned_points_with_their_numbers() -> None:
    gone = Wish(act="remove", point="P2")
    moved = Wish(act="move", point="P1", kind="socket", gangs=2, place=spot_for(wall(), 900, 450))
    home = wished(gone, socket(2900, 450), moved)
    wanted = with_wishes(home, "X1")
    assert sorted(wanted.wishes.values()) == [1, 2]
    point = wanted.home.take(Point, wanted.point_of(1))
    assert (point.kind, point.gangs, point.phase) == ("socket", 2, "planned")
    assert wanted.gone == {"P1", "P2"}
    assert wanted.point_of(0) == ""
    assert home.table(Point).keys() < wanted.home.table(Point).keys()


def test_what_is_planned_or_done_already_brings_no_wishes() -> None:
    planned = with_wishes(wished(socket(2900, 450), puts=("P5",), takes=("P2",)), "X1")
    assert (planned.wishes, planned.gone) == ({}, {"P2"})
    done = with_wishes(wished(socket(2900, 450), puts=("P5",), takes=("P2",), done_on="2026-01-05"), "X1")
    assert (done.wishes, done.gone) == ({}, frozenset())
    assert with_wishes(kitchen(), "X9").home.table(Point) == kitchen().table(Point)


def test_what_an_option_brings_besides_the_wishes_stands_there_too() -> None:
    home = wished(socket(2900, 450))
    place = socket(2900, 450).place
    beside = spot_for(wall(), 2700, 450)
    brought = [Point(id="P7", kind="socket", place=place), Point(id="P8", kind="fused unit", place=beside)]
    wanted = with_wishes(home, "X1", brought)
    assert len(wanted.brought) == 1
    assert wanted.home.take(Point, next(iter(wanted.brought))).kind == "fused unit"


def test_usual_heights_are_those_of_the_table() -> None:
    """450 and 1200 mm: the limits for outlets and switches in a dwelling, Approved Document M (2015), from memory."""
    assert set(usual_heights(TRADE)) >= {450.0, 1200.0}


def test_a_plate_is_kept_on_the_wall_with_the_whole_of_it() -> None:
    stood = next(each for each in standing_on(kitchen(), Memo(), TRADE, "G1")["M1/0"] if each.record == "P1")
    assert kept_whole(wall(), stood, -300, 3000) == (73, 2400 - 43)
    assert kept_whole(wall(), stood, 9000, None) == (4000 - 73, None)


def test_a_wish_is_moved_in_one_change_and_refused_where_something_stands() -> None:
    home = wished(socket(2900, 450))
    change = move_wish(home, Memo(), TRADE, "X1", 0, spot_for(wall(), 2500, 450))
    after = home.apply(change)
    assert after.take(Extension, "X1").wishes[0].place == spot_for(wall(), 2500, 450)
    assert after.apply(change.inverse()).take(Extension, "X1") == home.take(Extension, "X1")
    with pytest.raises(PersonError, match="stands there already"):
        move_wish(home, Memo(), TRADE, "X1", 0, spot_for(wall(), 620, 450))
    with pytest.raises(PersonError, match="window there"):
        move_wish(home, Memo(), TRADE, "X1", 0, spot_for(wall(), 2600, 1500))
    with pytest.raises(PersonError, match="any more"):
        move_wish(home, Memo(), TRADE, "X1", 4, spot_for(wall(), 2500, 450))


def test_an_accessory_is_not_in_its_own_way_nor_in_that_of_its_plate() -> None:
    home = Home.of(
        [
            *(each for each in kitchen().all() if each.id != "P2"),
            Plate(id="T1", place=spot_for(wall(), 3700, 1200), gangs=2),
            Point(id="P2", kind="switch", plate="T1"),
            Point(id="P9", kind="switch", plate="T1"),
        ]
    )
    after = home.apply(move_accessory(home, Memo(), TRADE, "P2", spot_for(wall(), 3650, 1200)))
    plate = after.take(Plate, "T1").place
    assert plate is not None
    assert plate.x_mm == 3650
    with pytest.raises(PersonError, match="stands there already"):
        move_accessory(home, Memo(), TRADE, "P2", spot_for(wall(), 1500, 1100))


def test_a_wish_that_moves_a_point_is_not_in_the_way_of_the_point_itself() -> None:
    home = wished(Wish(act="move", point="P1", kind="socket", gangs=2, place=spot_for(wall(), 900, 450)))
    after = home.apply(move_accessory(home, Memo(), TRADE, "P1", spot_for(wall(), 880, 450)))
    assert after.take(Point, "P1").place == spot_for(wall(), 880, 450)


def test_the_face_of_a_thing_and_the_nearest_to_a_spot() -> None:
    home = kitchen()
    found = face_of_record(home, Memo(), TRADE, "P1")
    assert found is not None
    assert found.id == "M1/0"
    assert face_of_record(home, Memo(), TRADE, "M1") is None
    faces = faces_on(home, Memo(), TRADE, "G1")
    near = face_near(faces, 2000, 100, 300)
    assert near is not None
    assert near.id == "M1/0"
    assert face_near(faces, 2000, 1500, 300) is None


def test_a_height_that_is_not_known_is_none_in_the_place_too() -> None:
    place = spot_for(wall(), 1200, None)
    assert (place.x_mm, place.height_mm) == (1200, None)
    assert msgspec.structs.replace(place, height_mm=0) == spot_for(wall(), 1200, 0)
    assert not kitchen().table(Run)
