"""Where wishes may stand, in a room drawn by hand: every expected length is worked out beside it."""

import msgspec
import pytest

from circuitmap import trade
from circuitmap.errors import PersonError
from circuitmap.extension.wish_place import (
    check_place,
    in_the_way,
    moved_by,
    place_near,
    put_wish,
    put_wishes,
    usual_height_mm,
)
from circuitmap.extension.wishes import say_wish
from circuitmap.home import Home, verbs
from circuitmap.home.records import Extension, Opening, Place, Point, Wall, Wish
from circuitmap.memo import Memo
from circuitmap.plan.walls_keep import lay_walls
from tests.build import Builder

TRADE = trade.load()
TWIN = Wish(act="add", kind="socket", gangs=2)
# Twin plates are 146 mm wide and 86 mm high (BS 4662, from memory): two side by side want 146 mm between their middles.
TWIN_MM, PLATE_MM = 146, 86


@pytest.fixture
def kitchen() -> Home:
    """A room of 4 × 3 m with walls, a door in the lower one, and a twin socket in the middle of the upper one."""
    b = Builder("Kitchen alone")
    ground = b.storey()
    b.room("Kitchen", ground, (0, 0, 4000, 3000), use="kitchen")
    b.do(lay_walls(b.home, ground, TRADE))
    lower = next(w for w in b.home.table(Wall).values() if w.a_mm[1] > 2000 and w.b_mm[1] > 2000)
    door = Opening(kind="door", along_mm=1000, width_mm=800, sill_mm=0, head_mm=2000)
    b.do(verbs.edit(b.home, lower.id, openings=(door,)))
    b.do(verbs.add_point(b.home, "socket", Place(storey=ground, x_mm=2000, y_mm=0, height_mm=450, faces_deg=90.0),
                         gangs=2))  # fmt: skip
    return b.home


def near(home: Home, x: float, y: float, wish: Wish = TWIN, height: int = 450) -> Place | None:
    return place_near(home, Memo(), TRADE, wish, "G1", (x, y), height, 250)


def at(home: Home, x: float, y: float, wish: Wish = TWIN, height: int = 450) -> Wish:
    place = near(home, x, y, wish, height)
    assert place is not None
    return msgspec.structs.replace(wish, place=place)


def test_a_spot_before_a_wall_or_in_it_is_put_onto_its_face(kitchen: Home) -> None:
    for y in (-100.0, 0.0, 40.0, 200.0):
        place = near(kitchen, 1003.0, y)
        assert place is not None
        assert (place.x_mm, place.y_mm, place.height_mm, place.faces_deg) == (1000, 0, 450, 90.0)
    assert near(kitchen, 2000, 1500) is None
    assert near(kitchen, 1003, 260) is None


def test_a_plate_is_kept_out_of_the_corner(kitchen: Home) -> None:
    place = near(kitchen, 20, 30)
    assert place is not None
    assert place.x_mm == TWIN_MM / 2 or place.y_mm == TWIN_MM / 2
    check_place(kitchen, Memo(), TRADE, msgspec.structs.replace(TWIN, place=place))


def test_a_light_hangs_from_the_ceiling_of_the_room_it_is_in(kitchen: Home) -> None:
    light = Wish(act="add", kind="light")
    place = near(kitchen, 1203, 1498, light)
    assert place is not None
    assert (place.x_mm, place.y_mm, place.faces_deg) == (1200, 1500, None)
    assert place.height_mm == round(TRADE.size_mm("storey height"))
    assert near(kitchen, 9000, 9000, light) is None


@pytest.mark.parametrize(
    ("kind", "mm"), [("socket", 450), ("usb socket", 450), ("fused unit", 1200), ("switch", 1200)]
)  # heights: common practice, no source
def test_usual_heights(kind: str, mm: int) -> None:
    assert usual_height_mm(TRADE, kind) == mm  # type: ignore[arg-type]  # a kind of point


@pytest.mark.parametrize(
    ("apart", "up", "refused"),
    [(0, 0, True), (TWIN_MM - 2, 0, True), (TWIN_MM, 0, False), (0, PLATE_MM - 2, True), (0, PLATE_MM, False)],
)
def test_plates_may_touch_and_not_overlap(kitchen: Home, apart: int, up: int, refused: bool) -> None:
    place = Place(storey="G1", x_mm=2000 + apart, y_mm=0, height_mm=450 + up, faces_deg=90.0)
    said, warned = in_the_way(kitchen, Memo(), TRADE, "", msgspec.structs.replace(TWIN, place=place))
    assert bool(said) == refused
    assert not warned
    if refused:
        assert (
            said
            == "The twin socket P1 stands there already; keep their middles 150 mm apart along the wall, or go higher."
        )


def test_a_point_of_unknown_height_is_only_warned_of(kitchen: Home) -> None:
    place = kitchen.take(Point, "P1").place
    assert place is not None
    unknown = kitchen.apply(verbs.edit(kitchen, "P1", place=msgspec.structs.replace(place, height_mm=None)))
    said, warned = in_the_way(unknown, Memo(), TRADE, "", at(unknown, 2000, 30, height=1100))
    assert not said
    assert warned == "How high the twin socket P1 stands isn't known; make sure that it isn't in the way of this one."


def test_what_is_wished_away_leaves_its_place(kitchen: Home) -> None:
    memo = Memo()
    home = kitchen.apply(put_wish(kitchen, memo, TRADE, "", Wish(act="remove", point="P1")))
    wish = at(home, 2000, 30)
    assert in_the_way(home, memo, TRADE, "X1", wish) == ("", "")
    with pytest.raises(PersonError, match="is to take out P1 already"):
        put_wish(home, memo, TRADE, "X1", Wish(act="remove", point="P1"))


def test_two_wishes_want_room_also_in_two_extensions(kitchen: Home) -> None:
    memo = Memo()
    home = kitchen.apply(put_wish(kitchen, memo, TRADE, "", at(kitchen, 1000, 30)))
    assert home.take(Extension, "X1").name == "Extension 1"
    with pytest.raises(PersonError, match="Requirement 1, a twin socket, is to stand there already"):
        put_wish(home, memo, TRADE, "X1", at(home, 1100, 30))
    with pytest.raises(PersonError, match="Requirement 1 of “Extension 1”, a twin socket, is to stand there already"):
        put_wish(home, memo, TRADE, "", at(home, 1100, 30))
    # In its own place it may stay.
    assert put_wish(home, memo, TRADE, "X1", at(home, 1040, 30), 0).pairs


@pytest.mark.parametrize(
    ("x", "y", "height", "words"),
    [
        (2900, 2970, 450, "There is a door there"),
        (1000, 30, 2600, "is above the ceiling"),
        (1000, 30, 2380, "It would reach into the ceiling"),
    ],
)
def test_openings_and_ceilings_refuse(kitchen: Home, x: int, y: int, height: int, words: str) -> None:
    with pytest.raises(PersonError) as caught:
        put_wish(kitchen, Memo(), TRADE, "", at(kitchen, x, y, height=height))
    said = str(caught.value)
    assert words in said
    assert said.count("\n") == 0


def test_a_wish_without_a_wall_is_in_mid_air(kitchen: Home) -> None:
    floating = msgspec.structs.replace(TWIN, place=Place(storey="G1", x_mm=2000, y_mm=1500, height_mm=450))
    with pytest.raises(PersonError, match="would be in mid-air"):
        put_wish(kitchen, Memo(), TRADE, "", floating)
    with pytest.raises(PersonError, match="has no place"):
        put_wish(kitchen, Memo(), TRADE, "", TWIN)


def test_a_nudge_goes_along_the_wall_and_no_further_than_its_end(kitchen: Home) -> None:
    memo = Memo()
    wish = at(kitchen, 1000, 30)
    place = moved_by(kitchen, memo, TRADE, wish, 10, 500, 20)
    assert place is not None
    assert (place.x_mm, place.y_mm, place.height_mm) == (1010, 0, 470)
    far = moved_by(kitchen, memo, TRADE, wish, 99_999, 0)
    assert far is not None
    assert far.x_mm == 4000


def test_several_wishes_are_looked_at_one_after_the_other(kitchen: Home) -> None:
    change = put_wishes(kitchen, Memo(), TRADE, "", (at(kitchen, 500, 30), at(kitchen, 1000, 30)))
    assert len(kitchen.apply(change).take(Extension, "X1").wishes) == 2
    with pytest.raises(PersonError, match="Requirement 1, a twin socket"):
        put_wishes(kitchen, Memo(), TRADE, "", (at(kitchen, 500, 30), at(kitchen, 550, 30)))


def test_what_is_put_is_said_in_words_that_read_as_the_same(kitchen: Home) -> None:
    home = kitchen.apply(put_wish(kitchen, Memo(), TRADE, "", at(kitchen, 1000, 30)))
    assert say_wish(home, Memo(), TRADE, home.take(Extension, "X1").wishes[0]).startswith("twin socket, Kitchen, wall ")
