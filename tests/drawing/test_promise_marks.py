"""Wishes, options and what is to go: each has a mark that no existing thing has, and its word beside it."""

import math

from circuitmap.circuits.views import views
from circuitmap.drawing.marks import Glyph, Line, Words
from circuitmap.drawing.plan import plan_marks, stands_on
from circuitmap.drawing.promise_marks import going_marks, option_marks, wish_marks
from circuitmap.drawing.symbols import NAMES, symbol, symbol_name
from circuitmap.extension.pathing import RoutePoint
from circuitmap.home import Home
from circuitmap.home.change import Change
from circuitmap.home.records import Place, Point, Wish
from circuitmap.memo import Memo
from circuitmap.survey.settle import settle
from circuitmap.trade import load
from circuitmap.words import POINT_KINDS
from tests.desk.conftest import small_home

TRADE = load()
ON_WALL = Place(storey="G1", x_mm=1500, y_mm=0, height_mm=450, faces_deg=90.0)
WISHES = (
    Wish(act="add", kind="socket", place=ON_WALL),
    Wish(act="add", kind="light", place=Place(storey="G1", x_mm=1000, y_mm=1000, height_mm=2400)),
    Wish(act="move", kind="socket", point="P1", place=Place(storey="G1", x_mm=500, y_mm=4000, faces_deg=270.0)),
    Wish(act="remove", point="P2"),
    Wish(act="add", kind="socket", place=Place(storey="G2", x_mm=1500, y_mm=0, faces_deg=90.0)),
)


def words_of(marks: tuple[object, ...]) -> list[str]:
    return [mark.text for mark in marks if isinstance(mark, Words)]


def test_a_wish_is_drawn_unlike_anything_that_is_there() -> None:
    home = small_home()
    marks = wish_marks("G1", WISHES, stands_on(home, "G1", Memo()))
    assert words_of(marks) == ["req. 1", "req. 2", "to move", "req. 3", "to go, req. 4"]
    used = {mark.symbol for mark in marks if isinstance(mark, Glyph)}
    of_points = {symbol_name(kind, on_wall=wall) for kind in POINT_KINDS for wall in (True, False)}
    assert not used & of_points
    assert used == {"wish", "wish on ceiling", "wish to move", "to go from wall"}
    assert {mark.layer for mark in marks} == {"overlay"}


def test_the_wish_that_is_chosen_has_the_colour_of_what_is_chosen() -> None:
    home = small_home()
    marks = wish_marks("G1", WISHES, stands_on(home, "G1", Memo()), 0)
    roles = {mark.text: mark.role for mark in marks if isinstance(mark, Words)}
    assert roles["req. 1"] == "select"
    assert roles["req. 2"] == "accent"


def test_a_wish_that_an_option_shows_is_not_drawn_twice() -> None:
    home = small_home()
    marks = wish_marks("G1", WISHES, stands_on(home, "G1", Memo()), -1, {0, 3})
    assert words_of(marks) == ["req. 2", "to move", "req. 3"]


def test_pennants_stand_off_their_wall_into_the_room() -> None:
    for faces in (0.0, 90.0, 180.0, 270.0):
        place = Place(storey="G1", x_mm=0, y_mm=0, height_mm=450, faces_deg=faces)
        (glyph, words) = wish_marks("G1", (Wish(act="add", kind="socket", place=place),), {})
        assert isinstance(glyph, Glyph)
        assert isinstance(words, Words)
        # A symbol's body lies towards −y unturned; turned, its middle has to lie on the side that the wall looks to.
        x, y = symbol(glyph.symbol).centre
        turn = math.radians(glyph.turn_deg)
        across, down = math.cos(turn) * x - math.sin(turn) * y, math.sin(turn) * x + math.cos(turn) * y
        way = math.cos(math.radians(faces)), math.sin(math.radians(faces))
        assert across * way[0] + down * way[1] > 20
        assert words.offset_px[0] * way[0] + words.offset_px[1] * way[1] > 20


def shown(home: Home, memo: Memo) -> tuple[dict[str, object], object]:
    every = views(home, TRADE, memo)
    return dict(plan_marks(home, "G1", views=every, deduced=settle(home, memo, TRADE), memo=memo)), stands_on(
        home, "G1", memo
    )


def test_what_is_to_go_is_crossed_out_with_its_word() -> None:
    home, memo = small_home(), Memo()
    drawn, stands = shown(home, memo)
    marks = going_marks(("P2", "R1"), stands, drawn)  # type: ignore[arg-type]  # as plan and stands give them
    assert words_of(marks) == ["to go", "to go"]
    assert [mark.symbol for mark in marks if isinstance(mark, Glyph)] == ["to go from wall", "to go"]
    (line,) = [mark for mark in marks if isinstance(mark, Line)]
    # It lies along the cable as it is drawn.
    assert any(mark.pts == line.pts for mark in drawn["R1"] if isinstance(mark, Line))  # type: ignore[attr-defined]
    assert going_marks((), stands, drawn) == ()  # type: ignore[arg-type]


def test_an_option_shows_its_cables_storey_by_storey() -> None:
    home, memo = small_home(), Memo()
    drawn, stands = shown(home, memo)
    new = Point(id="P70", kind="socket", place=ON_WALL, phase="planned")
    change = Change("", ((None, new),))
    path = (
        RoutePoint("G1", 500, 0, 450, "wall", "M1/0"),
        RoutePoint("G1", 500, 0, 2300, "wall", "M1/0"),
        RoutePoint("G1", 1500, 0, 2300, "wall", "M1/0"),
        RoutePoint("G1", 1500, 0, 2600, "floor", "V1"),
        RoutePoint("G1", 1500, 900, 2600, "floor", "V1"),
        RoutePoint("G2", 1500, 900, 0, "floor", "V1"),
        RoutePoint("G2", 3000, 900, 0, "floor", "V1"),
    )
    faces = {"M1/0": (0.0, 1.0)}
    called = {"P70": "new, req. 1"}

    def over(storey: str) -> tuple[object, ...]:
        return option_marks(home, storey, change, (path,), stands, drawn, faces, called)  # type: ignore[arg-type]

    ground = [mark for mark in over("G1") if isinstance(mark, Line) and mark.ink.role == "select"]
    assert [mark.ink.dash for mark in ground] == [(), (10.0, 5.0)]  # solid in a wall, dashes in a floor
    wall = ground[0]
    # Beside the wall, on the side that it looks to, in the order of the path; a drop is no length on a plan.
    assert [round(x) for x, _ in wall.pts[:2]] == [500, 1500]
    assert all(y > 0 for _, y in wall.pts[:2])
    assert "new, req. 1" in words_of(over("G1"))
    assert "goes up" in [mark.symbol for mark in over("G1") if isinstance(mark, Glyph)] or home.peek("G2") is None
    above = [mark for mark in over("G2") if isinstance(mark, Line) and mark.ink.role == "select"]
    assert [[round(x) for x, _ in mark.pts] for mark in above] == [[1500, 3000]]
    assert words_of(over("G2")) == []


def test_all_marks_of_promises_are_symbols_of_the_legend() -> None:
    for name in ("wish", "wish on ceiling", "wish to move", "to go", "to go from wall"):
        assert name in NAMES
        assert symbol(name).title
