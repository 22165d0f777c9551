"""Which points stand by each other."""

from circuitmap.home import Home, verbs
from circuitmap.home.records import Plate, Point, Room
from circuitmap.memo import Memo
from circuitmap.survey.neighbours import neighbours
from circuitmap.trade import load
from tests.build import Builder


def test_points_on_one_plate_are_neighbours_whatever_they_are() -> None:
    home = Home.of(
        [
            Plate(id="T1"),
            Point(id="P1", kind="socket", plate="T1"),
            Point(id="P2", kind="fused unit", plate="T1"),
            Point(id="P3", kind="socket"),
        ]
    )
    found = neighbours(home, Memo())
    assert found["P1"].plate == ("P2",)
    assert found["P2"].plate == ("P1",)
    assert found["P3"].plate == found["P3"].room == ()


def test_in_a_room_only_points_of_one_family_are_neighbours() -> None:
    b = Builder()
    kitchen, hall = b.room("Kitchen"), b.room("Hall")
    socket, usb = b.point("socket", room=kitchen), b.point("usb socket", room=kitchen)
    light, elsewhere = b.point("light", room=kitchen), b.point("socket", room=hall)
    found = neighbours(b.home, Memo(), load())
    assert found[socket].room == (usb,)
    assert found[light].room == found[elsewhere].room == ()


def test_of_points_without_a_common_family_only_the_same_kind_counts() -> None:
    b = Builder()
    kitchen = b.room("Kitchen")
    boiler, fan, other_fan = (b.point(kind, room=kitchen) for kind in ("boiler", "extractor fan", "extractor fan"))
    found = neighbours(b.home, Memo())
    assert found[boiler].room == ()
    assert found[fan].room == (other_fan,)


def test_a_point_that_is_gone_is_nobodys_neighbour() -> None:
    home = Home.of(
        [
            Room(id="M1", name="Kitchen"),
            Point(id="P1", kind="socket", room="M1"),
            Point(id="P2", kind="socket", room="M1", phase="removed"),
        ]
    )
    assert neighbours(home, Memo()).keys() == {"P1"}
    assert neighbours(home, Memo())["P1"].room == ()


def test_neighbours_are_kept_until_a_point_changes() -> None:
    b = Builder()
    kitchen, memo = b.room("Kitchen"), Memo()
    socket = b.point("socket", room=kitchen)
    first = neighbours(b.home, memo)
    b.visit()
    assert neighbours(b.home, memo) is first
    other = b.do(verbs.add_point(b.home, "socket", None, kitchen))
    assert neighbours(b.home, memo)[socket].room == (other,)
