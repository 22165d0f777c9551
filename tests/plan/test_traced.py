"""From a traced outline to a room on the plan: where its corners lie, its doors, what it may not lie over."""

import pytest

from circuitmap import trade
from circuitmap.errors import HomeError
from circuitmap.home import Home
from circuitmap.home.records import Room, Wall
from circuitmap.plan.doors_kept import Gap
from circuitmap.plan.room_names import PlanWords, Said
from circuitmap.plan.sheet import Transform
from circuitmap.plan.traced import Traced, check_free, drawn_already, name_apart, on_plan, take_traced
from circuitmap.plan.tracing import Opening, Outlined
from circuitmap.plan.walls_keep import lay_walls
from tests.build import Builder

TRADE = trade.load()
TEN_MM: Transform = (10, 0, 0, 0, 10, 0, 0, 0, 1)
SQUARE = ((10.0, 10.0), (110.0, 10.0), (110.0, 60.0), (10.0, 60.0))


def found(*doors: Opening, sure: float = 1.0, why: str = "") -> Outlined:
    return Outlined(SQUARE, doors, sure, why, 5000.0)


def traced(x: int, y: int, wide: int, deep: int, name: str = "", **facts: object) -> Traced:
    outline = ((x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep))
    held = {"gaps": (), "sure": 1.0, "why": "", "doubt": "", **facts}
    return Traced(outline, said=Said(name), area_m2=wide * deep / 1e6, **held)  # type: ignore[arg-type]  # by name


@pytest.fixture
def built() -> Builder:
    return Builder()


def test_a_pictures_pixels_count_from_their_middle_and_line_work_from_the_corner() -> None:
    # (10 + ½) px · 10 mm = 105 mm
    assert on_plan(found(), TEN_MM, (), TRADE).outline_mm[0] == (105, 105)
    assert on_plan(found(), TEN_MM, (), TRADE, shift_px=0.0).outline_mm[0] == (100, 100)
    # read at half its size: (10 + ½) · 2 px · 10 mm
    assert on_plan(found(), TEN_MM, (), TRADE, sheet_px=2.0).outline_mm[0] == (210, 210)


def test_a_projective_sheet_is_followed_corner_by_corner() -> None:
    matrix: Transform = (10, 2, 5, -1, 10, 7, 0.001, 0.002, 1)
    # (10, 60): w = 1 + 0.01 + 0.12 = 1.13; x = (100 + 120 + 5) / 1.13 = 199.1, y = (-10 + 600 + 7) / 1.13 = 528.3
    assert on_plan(found(), matrix, (), TRADE, shift_px=0.0).outline_mm[3] == (199, 528)


def test_area_and_words_come_with_it() -> None:
    room = on_plan(found(), TEN_MM, [PlanWords("KITCHEN", 60, 30, 10), PlanWords("1.00 x 0.50", 60, 45, 8)], TRADE)
    assert (room.said.name, room.said.use) == ("Kitchen", "kitchen")
    assert room.area_m2 == pytest.approx(0.5)  # 1.00 m · 0.50 m
    assert room.doubt == ""
    assert room.is_sure
    twice = on_plan(found(), (20, 0, 0, 0, 20, 0, 0, 0, 1), [PlanWords("1.00 x 0.50", 60, 45, 8)], TRADE)
    assert "check the scale" in twice.doubt
    assert not twice.is_sure


def test_what_speaks_against_an_outline_makes_it_unsure() -> None:
    assert not on_plan(found(sure=0.5), TEN_MM, (), TRADE).is_sure
    assert not on_plan(found(why="its walls leave an opening"), TEN_MM, (), TRADE).is_sure


def test_gaps_are_doors_and_what_is_drawn_along_is_a_window_unless_two_rooms_share_it() -> None:
    plain = Opening((20, 5), (29, 5), 9, 10, "opening")
    inked = Opening((60, 5), (80, 5), 20, 10, "inked")
    room = on_plan(found(plain, inked), TEN_MM, (), TRADE, shift_px=0.0)
    assert [gap.kind for gap in room.gaps] == ["door", "window"]
    assert room.gaps[0].a_mm == (200, 50)
    assert room.gaps[0].b_mm == (290, 50)
    shared = on_plan(found(plain, inked), TEN_MM, (), TRADE, between={inked})
    assert [gap.kind for gap in shared.gaps] == ["door", "door"]


def test_a_scrap_is_refused() -> None:
    with pytest.raises(HomeError, match="no area to speak of"):
        on_plan(found(), (0.5, 0, 0, 0, 0.5, 0, 0, 0, 1), (), TRADE)


def test_an_outline_over_a_drawn_room_is_refused_and_one_beside_it_is_not(built: Builder) -> None:
    ground, first = built.storey(), built.storey("First", 1)
    built.room("Kitchen", ground, (0, 0, 4000, 4000))
    # 1.0 m · 4.0 m of it lie over the kitchen
    with pytest.raises(HomeError, match=r"lies over “Kitchen” by 4\.0 m²"):
        check_free(built.home, ground, traced(3000, 0, 3000, 4000).outline_mm)
    check_free(built.home, ground, traced(4000, 0, 3000, 4000).outline_mm)
    check_free(built.home, ground, traced(3980, 0, 3000, 4000).outline_mm)
    check_free(built.home, first, traced(0, 0, 4000, 4000).outline_mm)


def test_a_room_is_known_again_by_most_of_its_area(built: Builder) -> None:
    ground = built.storey()
    built.room("Kitchen", ground, (0, 0, 4000, 4000))
    again = drawn_already(built.home, ground, traced(50, -50, 4000, 4000).outline_mm)
    assert again is not None
    assert again.name == "Kitchen"
    assert drawn_already(built.home, ground, traced(3000, 0, 4000, 4000).outline_mm) is None


def test_rooms_are_taken_by_name_with_their_use_in_one_change(built: Builder) -> None:
    ground = built.storey()
    rooms = [(traced(0, 0, 3000, 3000, "Bath"), " Bath "), (traced(3100, 0, 3000, 3000), "")]
    change = take_traced(built.home, ground, rooms, TRADE)
    assert change.title == "Outline 2 rooms"
    home = built.home.apply(change)
    assert [(room.name, room.use) for room in home.sorted(Room)] == [("Bath", "bathroom"), ("Room 2", "")]
    assert home.apply(change.inverse()) == built.home


def test_of_rooms_taken_together_none_may_lie_over_another(built: Builder) -> None:
    ground = built.storey()
    with pytest.raises(HomeError, match="lies over “One”"):
        take_traced(built.home, ground, [(traced(0, 0, 3000, 3000), "One"), (traced(1000, 0, 3000, 3000), "")], TRADE)
    with pytest.raises(HomeError, match="no outline to take"):
        take_traced(built.home, ground, [], TRADE)


def test_walls_that_follow_the_rooms_come_along_with_the_doors(built: Builder) -> None:
    ground = built.storey()
    built.room("Kitchen", ground, (0, 0, 4000, 4000))
    door = Gap((4050, 1000), (4050, 1800))
    beside = traced(4100, 0, 3000, 4000, gaps=(door, door))
    bare: Home = built.home.apply(take_traced(built.home, ground, [(beside, "")], TRADE))
    assert not bare.table(Wall), "walls are laid when somebody wants them"
    built.do(lay_walls(built.home, ground, TRADE))
    home = built.home.apply(take_traced(built.home, ground, [(beside, "Hall")], TRADE))
    openings = [opening for wall in home.table(Wall).values() for opening in wall.openings]
    assert [(opening.kind, opening.width_mm) for opening in openings] == [("door", 800)]


def test_a_name_that_is_taken_gets_a_number(built: Builder) -> None:
    ground = built.storey()
    assert name_apart(built.home, "") == "Room 1"
    built.room("Bedroom", ground, (0, 0, 3000, 3000))
    assert name_apart(built.home, "bedroom") == "bedroom 2"
    assert name_apart(built.home, "Study") == "Study"
