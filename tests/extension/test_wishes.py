"""Wishes read from words and said again; walls numbered; what can't be is refused in one sentence."""

from random import Random

import msgspec
import pytest

from circuitmap.extension.wishes import FORMS, WishError, looks, place_on, read_wish, say_wish
from circuitmap.home import Home, verbs
from circuitmap.home.records import Load, Opening, Place, Point, Room, Storey, Wall, Wish
from circuitmap.memo import Memo
from circuitmap.plan.elevation import face_at, faces_on
from circuitmap.plan.wall_numbers import number_of, walls_of_room
from circuitmap.trade import load
from circuitmap.words import POINT_KINDS
from tests.extension.routed import TRADE, box_room

DOOR = Opening(kind="door", along_mm=2800, width_mm=762)
WINDOW = Opening(kind="window", along_mm=1000, width_mm=1200, sill_mm=900, head_mm=2100)


def flat() -> Home:
    """A kitchen of 4 × 3 m, its door in the right-hand wall and a window in the wall at the top; two bedrooms."""
    rooms = [
        msgspec.structs.replace(box_room(1, "G1", 0, 0, 4000, 3000), name="Kitchen"),
        msgspec.structs.replace(box_room(2, "G1", 4100, 0, 8000, 3000), name="Bedroom"),
        msgspec.structs.replace(box_room(3, "G2", 0, 0, 4000, 3000), name="Bedroom"),
        Room(id="M4", name="Cupboard, under stairs"),
    ]
    walls = [
        Wall(id="W1", storey="G1", a_mm=(0, -50), b_mm=(4000, -50), thickness_mm=100, openings=(WINDOW,)),
        Wall(id="W2", storey="G1", a_mm=(4050, 0), b_mm=(4050, 3000), thickness_mm=100,
             openings=(msgspec.structs.replace(DOOR, along_mm=2000),)),
        Wall(id="W3", storey="G1", a_mm=(4000, 3050), b_mm=(0, 3050), thickness_mm=100, outer=True, openings=(DOOR,)),
        Wall(id="W4", storey="G1", a_mm=(-50, 3000), b_mm=(-50, 0), thickness_mm=100),
    ]  # fmt: skip
    storeys = [Storey(id="G1", name="Ground", height_mm=2400), Storey(id="G2", name="First", level=1, height_mm=2400)]
    socket = Point(id="P12", kind="socket", gangs=2, loads=(Load(what="kettle", power_w=2200),),
                   place=Place(storey="G1", x_mm=0, y_mm=1000, height_mm=450, wall="W4", faces_deg=0.0))  # fmt: skip
    light = Point(id="P6", kind="light", place=Place(storey="G1", x_mm=2000, y_mm=1500, height_mm=2400))
    return Home.of([*storeys, *rooms, *walls, light, socket])


def read(typed: str, home: Home | None = None) -> Wish:
    return read_wish(home or flat(), Memo(), TRADE, typed)


def say(wish: Wish, home: Home | None = None) -> str:
    return say_wish(home or flat(), Memo(), TRADE, wish)


def test_walls_are_numbered_clockwise_from_the_one_with_the_door() -> None:
    """The inner door is to the right; seen from above the walls go on downwards, to the left, and up again."""
    home, memo = flat(), Memo()
    walls = walls_of_room(home, memo, TRADE, "M1")
    assert [face.wall for face in walls] == ["W2", "W3", "W4", "W1"]
    assert [number_of(home, memo, TRADE, face) for face in walls] == [1, 2, 3, 4]
    assert walls_of_room(home, memo, TRADE, "M1") is walls


def test_without_a_door_the_wall_highest_on_the_plan_is_the_first() -> None:
    home = flat()
    first, *_ = walls_of_room(home, Memo(), TRADE, "M3")
    assert (first.x, first.y, first.along_x) == (0, 0, 1)
    assert walls_of_room(home, Memo(), TRADE, "M4") == ()


def test_the_form_that_people_are_shown_is_read_to_a_place_on_the_wall() -> None:
    """Wall 2 is that at the bottom of the plan: its left corner, seen from the room, is at the right of the plan."""
    wish = read("twin socket, Kitchen, wall 2, 1.4 m, 1100 mm")
    place = Place(storey="G1", x_mm=2600, y_mm=3000, height_mm=1100, wall="W3", faces_deg=270.0)
    assert wish == Wish(act="add", kind="socket", gangs=2, place=place)


@pytest.mark.parametrize(
    ("typed", "x", "y", "height"),
    [
        ("socket, kitchen, wall 4, 300 mm, 450 mm", 300, 0, 450),
        ("socket, kitchen, wall 4, 1 ft, 1 ft 6 in", 305, 0, 457),
        ("socket, Kitchen,wall 3, 0,5 m,450 mm", 0, 2500, 450),
        ("socket, M1, Wall 1, 50cm, 45 cm", 4000, 500, 450),
        ("socket, Bedroom (First), wall 1, 1 m, 450 mm", 1000, 0, 450),
        ("light, Kitchen, ceiling", 2000, 1500, 2400),
        ("light, kitchen, ceiling, wall 4, 1 m, 500 mm", 1000, 500, 2400),
    ],
)
def test_lengths_rooms_and_walls_may_be_written_in_many_ways(typed: str, x: int, y: int, height: int) -> None:
    place = read(typed).place
    assert place is not None
    assert (place.x_mm, place.y_mm, place.height_mm) == (x, y, height)


def test_what_else_is_said_is_kept() -> None:
    wish = read("fused unit, Kitchen, wall 3, 1.4 m, 3 ft 6 in, deep, behind the fridge, for fridge 0.15 kW, for lamp")
    assert (wish.kind, wish.deep, wish.behind) == ("fused unit", True, "the fridge")
    assert wish.loads == (Load(what="fridge", power_w=150.0), Load(what="lamp"))
    assert read("remove P12") == Wish(act="remove", point="P12")
    moved = read("move p 12, Kitchen, wall 3, 1 m, 450 mm")
    assert (moved.act, moved.kind, moved.gangs, moved.point) == ("move", "socket", 2, "P12")


@pytest.mark.parametrize(
    ("typed", "kind", "gangs"),
    [
        ("twin sockets", "socket", 2), ("Double socket", "socket", 2), ("a socket outlet", "socket", 1),
        ("2-gang switch", "switch", 2), ("three gang light switch", "switch", 3), ("FCU", "fused unit", 1),
        ("outside socket", "outdoor socket", 1), ("single socket", "socket", 1),
    ],
)  # fmt: skip
def test_kinds_are_read_as_people_call_them(typed: str, kind: str, gangs: int) -> None:
    wish = read(f"{typed}, Bedroom (Ground), wall 2, 1 m, 450 mm")
    assert (wish.kind, wish.gangs) == (kind, gangs)


@pytest.mark.parametrize("form", FORMS)
def test_every_form_that_is_listed_is_read_and_said_so_that_it_reads_the_same(form: str) -> None:
    home = flat() if "Bedroom" not in form else flat().apply(verbs.edit(flat(), "M3", name="Attic"))
    home = home.apply(verbs.edit(home, "W4", openings=()))
    wish = read(form.replace("wall 2, 1.4 m, 3 ft", "wall 3, 1.4 m, 3 ft"), home)
    assert read(say(wish, home), home) == wish


@pytest.mark.parametrize("kind", POINT_KINDS)
@pytest.mark.parametrize("gangs", [1, 2, 3])
def test_every_kind_is_said_so_that_it_reads_the_same(kind: str, gangs: int) -> None:
    home = flat()
    face = walls_of_room(home, Memo(), TRADE, "M1")[2]
    wish = Wish(act="add", kind=kind, gangs=gangs, place=place_on(face, 1400, 1200), behind="units")
    assert read(say(wish, home), home) == wish


def test_places_by_chance_on_slanting_walls_are_said_so_that_they_read_the_same() -> None:
    draw = Random(5)
    room = Room(id="M1", name="Loft", storey="G1", outline_mm=((0, 0), (5200, 900), (4300, 4700), (-700, 3900)))
    home = Home.of([Storey(id="G1", name="Top", height_mm=2300), room])
    memo = Memo()
    for _ in range(300):
        face = draw.choice(walls_of_room(home, memo, TRADE, "M1"))
        place = place_on(face, draw.uniform(200, face.length_mm - 200), draw.randint(300, 2000))
        assert face_at(faces_on(home, memo, TRADE, "G1"), place.x_mm, place.y_mm, looks(face)) is face
        wish = Wish(act="add", kind="socket", place=place)
        assert read_wish(home, memo, TRADE, say_wish(home, memo, TRADE, wish)) == wish
        x, y = draw.randint(300, 4000), draw.randint(1000, 3800)
        lamp = Wish(act="add", kind="light", place=Place(storey="G1", x_mm=x, y_mm=y, height_mm=2300))
        assert read_wish(home, memo, TRADE, say_wish(home, memo, TRADE, lamp)) == lamp


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "Nothing is said"),
        ("x" * 600, "too long"),
        ("teapot, Kitchen, wall 2, 1 m, 1 m", "“teapot” is no kind of point"),
        ("twin socket", "isn't said in which room; there are Kitchen, Bedroom (Ground), Bedroom (First), Cupboard"),
        ("socket, Ballroom, wall 2, 1 m, 1 m", "no room “Ballroom”"),
        ("socket, Bedroom, wall 2, 1 m, 1 m", "2 rooms called Bedroom; write “Bedroom (Ground)” or “Bedroom (First)”"),
        ("socket, Cupboard, under stairs, wall 2, 1 m, 1 m", "isn't drawn"),
        ("socket, Kitchen", "isn't said where in Kitchen"),
        ("socket, Kitchen, mid-air, 1 m, 1 m", "“mid-air” is no wall of Kitchen"),
        ("socket, Kitchen, wall 7, 1 m, 1 m", "has 4 walls, counted clockwise from the one with the door"),
        ("socket, Kitchen, wall 2, 1 m", "less than that"),
        ("socket, Kitchen, wall 2, 1 m, 1 m, 1 m", "more than that"),
        ("socket, Kitchen, wall 2, 1.4, 1 m", "“1.4” has no unit"),
        ("socket, Kitchen, wall 2, far, 1 m", "“far” is not a length"),
        ("socket, Kitchen, wall 2, 4.5 m, 1 m", "is 4.00 m long; 4.50 m is past its end"),
        ("socket, Kitchen, wall 2, 2 m, 3 m", "above the ceiling"),
        ("socket, Kitchen, wall 2, 2 m, 2.39 m", "into the ceiling"),
        ("socket, Kitchen, wall 2, 0 m, 1 m", "round the left corner"),
        ("twin socket, Kitchen, wall 2, 3.95 m, 1 m", "round the right corner"),
        ("socket, Kitchen, wall 4, 1.5 m, 1.2 m", "There is a window there (1.00 m to 2.20 m along)"),
        ("light, Kitchen, ceiling, wall 4, 1 m, 3.5 m", "is not in Kitchen"),
        ("socket, Kitchen, wall 2, 1 m, 1 m, for oven 99999 kW", "99999"),
        ("move P99, Kitchen, wall 2, 1 m, 1 m", "no point P99"),
        ("remove P12, Kitchen", "nothing more is needed"),
    ],
)
def test_what_is_no_wish_is_refused_in_one_sentence(typed: str, says: str) -> None:
    with pytest.raises(WishError) as caught:
        read(typed)
    told = str(caught.value)
    assert says in told
    assert "\n" not in told
    assert len(told) < 260


def test_words_by_chance_are_read_or_refused_in_one_sentence() -> None:
    """Forms that are listed, cut up, mixed and spoilt: a wish whose place is on the map, or one sentence."""
    draw, home, memo = Random(11), flat(), Memo()
    pieces = [part for form in FORMS for part in form.replace("Bedroom", "Bedroom (First)").split(", ")]
    odd = [
        "",
        "wall 0",
        "wall -1",
        "1e9 m",
        "nan m",
        "∞",
        "wall ²",
        "0 m",
        "-3 m",
        "for",
        "behind",
        "P12",
        "\x00",
    ]
    read_so_far = refused = 0
    for _ in range(3000):
        parts = [draw.choice(odd if draw.random() < 0.15 else pieces) for _ in range(draw.randint(1, 6))]
        if draw.random() < 0.7:
            room, what = draw.choice(("Kitchen", "M1", "Bedroom (First)")), draw.choice(("socket", "light", "move P12"))
            parts = [what, room, *draw.sample(parts, min(len(parts), 2)), "1 m", "450 mm"][: draw.randint(2, 7)]
        typed = ", ".join(parts)
        try:
            wish = read_wish(home, memo, TRADE, typed)
        except WishError as error:
            refused += len(str(error).splitlines()) == 1
        else:
            read_so_far += 1
            assert wish.act == "remove" or wish.place is not None
            assert read_wish(home, memo, TRADE, say_wish(home, memo, TRADE, wish)) == wish
    assert read_so_far + refused == 3000
    assert min(read_so_far, refused) > 50


def test_over_and_under_a_window_there_is_wall() -> None:
    assert read("socket, Kitchen, wall 4, 1.5 m, 450 mm").place is not None
    assert load().size_mm("plate high") < 300


@pytest.mark.parametrize(
    ("typed", "says"),
    [("switch for P12, Kitchen, wall 3, 0.3 m, 1200 mm", "neither a light nor the switch of one"),
     ("socket for P6, Kitchen, wall 3, 0.3 m, 1200 mm", "Only a switch is required"),
     ("switch for P99, Kitchen, wall 3, 0.3 m, 1200 mm", "no point P99")],
)  # fmt: skip
def test_a_switch_goes_with_a_light_or_a_switch_of_one(typed: str, says: str) -> None:
    with pytest.raises(WishError, match=says):
        read(typed)
