"""Reshaping rooms without a window: press, move, release and keys on a plan of plain records."""

import pytest

from circuitmap import trade
from circuitmap.desk.canvas.gestures import Outcome, Touch
from circuitmap.desk.canvas.shaping import Shape
from circuitmap.desk.canvas.shaping_marks import Part, part_at
from circuitmap.desk.canvas.sizing import CutOut, PlaceSized
from circuitmap.drawing.marks import Words
from circuitmap.errors import HomeError
from circuitmap.home.records import Point, Room
from circuitmap.plan.sketch import Sized, read_sized, room_by_size
from tests.build import Builder
from tests.desk.test_gestures import Plan

TRADE = trade.load()


class Ground(Plan):
    """A kitchen and a hall a wall apart; whatever lies nowhere else lies in the room."""

    def hits(self, touch: Touch, within_px: float = 8.0) -> list[str]:
        found = [i for i in super().hits(touch, within_px) if i[:1] in "PB"]
        rooms = [
            room.id
            for room in self.home.sorted(Room)
            if room.outline_mm[0][0] <= touch.x_mm <= room.outline_mm[2][0]
            and room.outline_mm[0][1] <= touch.y_mm <= room.outline_mm[2][1]
        ]
        return found + rooms


@pytest.fixture
def plan() -> Ground:
    built = Builder()
    storey = built.storey()
    built.room("Kitchen", storey, (0, 0, 4000, 3000))
    built.room("Hall", storey, (4100, 0, 6000, 3000))
    made = Ground(built, storey)
    made.selection = ("M1",)
    return made


@pytest.fixture
def gesture(plan: Ground) -> Shape:
    return Shape(plan, TRADE)


def at(x: float, y: float, **held: bool) -> Touch:
    return Touch(x, y, 10.0, **held)


def drag(gesture: Shape | CutOut, a: tuple[float, float], b: tuple[float, float], **held: bool) -> Outcome | None:
    assert gesture.press(at(*a, **held)) is None
    gesture.move(at((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, **held))
    gesture.move(at(*b, **held))
    return gesture.release(at(*b, **held))


def outline(plan: Ground, room: str = "M1") -> tuple[tuple[int, int], ...]:
    return plan.home.take(Room, room).outline_mm


def words(gesture: Shape | PlaceSized | CutOut) -> list[str]:
    return [mark.text for mark in gesture.preview if isinstance(mark, Words)]


def test_a_shared_wall_goes_along_and_with_ctrl_only_the_one_face(plan: Ground, gesture: Shape) -> None:
    plan.carry_out(drag(gesture, (4000, 1500), (4503, 1500)))
    assert outline(plan)[1] == (4500, 0)
    assert outline(plan, "M2")[0] == (4600, 0)
    plan.carry_out(drag(gesture, (4500, 1500), (4203, 1500), ctrl=True))
    assert outline(plan)[1] == (4200, 0)
    assert outline(plan, "M2")[0] == (4600, 0)


def test_live_sizes_and_areas_are_shown_of_both_rooms(gesture: Shape) -> None:
    gesture.press(at(4000, 1500))
    gesture.move(at(4500, 1500))
    said = words(gesture)
    assert "4.50 m" in said
    assert "13.5 m²" in said  # 4.5 × 3
    assert "1.40 m" in " ".join(said) or "1.40 × 3.00 m" in " ".join(said)


def test_a_drag_that_is_refused_says_so_beside_the_pointer_and_changes_nothing(plan: Ground, gesture: Shape) -> None:
    before = plan.home
    outcome = drag(gesture, (2000, 3000), (2000, -400))
    assert outcome is not None
    assert "go less far" in outcome.refuse
    assert outcome.make is None
    gesture.press(at(2000, 3000))
    gesture.move(at(2000, -400))
    assert any("can't go past" in said for said in words(gesture))
    assert gesture.cancel()
    assert plan.home is before


def test_a_typed_length_wins_over_the_pointer_and_backspace_takes_a_sign_back(plan: Ground, gesture: Shape) -> None:
    gesture.press(at(4000, 1500))
    gesture.move(at(4400, 1500))
    for sign in "3.777":
        assert gesture.typed(sign)
    gesture.key("Backspace")
    gesture.key("Backspace")
    plan.carry_out(gesture.key("Return"))
    assert outline(plan)[1] == (3700, 0)
    assert outline(plan, "M2")[0] == (3800, 0)
    assert gesture.release(at(4400, 1500)) is None


def test_what_is_typed_wrongly_is_refused_and_letters_that_are_no_units_are_not_taken(
    plan: Ground, gesture: Shape
) -> None:
    gesture.press(at(4000, 1500))
    gesture.release(at(4000, 1500))  # a click chooses the side
    assert not gesture.typed("m")  # no number yet
    assert gesture.typed("9")
    assert gesture.typed("0")
    assert not gesture.typed("z")
    outcome = gesture.key("Return")
    assert outcome is not None
    assert "90 of what?" in outcome.refuse
    assert outline(plan)[1] == (4000, 0)


def test_points_on_the_wall_go_along_in_the_same_change(plan: Ground, gesture: Shape) -> None:
    socket = plan.built.point("socket", (plan.storey, 4000, 700))
    plan.carry_out(drag(gesture, (4000, 2000), (4300, 2000)))
    place = plan.home.take(Point, socket).place
    assert place is not None
    assert place.x_mm == 4300


def test_a_point_on_a_wall_is_chosen_before_the_wall(plan: Ground, gesture: Shape) -> None:
    socket = plan.built.point("socket", (plan.storey, 4000, 1500))
    plan.carry_out(gesture.press(at(4000, 1500)))
    assert plan.selection == (socket,)


def test_a_room_is_dragged_with_all_in_it_and_sticks(plan: Ground, gesture: Shape) -> None:
    light = plan.built.point("light", (plan.storey, 5000, 1500))
    plan.selection = ("M2",)
    plan.carry_out(drag(gesture, (5000, 2000), (5060, 2040)))  # sticks where it was
    assert outline(plan, "M2")[0] == (4100, 0)
    gesture.press(at(5000, 2000))
    gesture.move(at(5060, 2040, shift=True))
    plan.carry_out(gesture.release(at(5060, 2040, shift=True)))
    assert outline(plan, "M2")[0] == (4160, 40)
    place = plan.home.take(Point, light).place
    assert place is not None
    assert (place.x_mm, place.y_mm) == (5060, 1540)


def test_a_click_on_the_room_leaves_it_chosen_and_elsewhere_it_is_put_aside(plan: Ground, gesture: Shape) -> None:
    gesture.press(at(2000, 1500))
    plan.carry_out(gesture.release(at(2000, 1500)))
    assert plan.selection == ("M1",)
    gesture.press(at(9000, 9000))
    plan.carry_out(gesture.release(at(9000, 9000)))
    assert plan.selection == ()


def test_a_corner_is_dragged_level_with_its_neighbours_and_a_wall_off_the_next_room(
    plan: Ground, gesture: Shape
) -> None:
    plan.carry_out(drag(gesture, (4000, 3000), (3700, 3030)))
    assert outline(plan)[2] == (3700, 3000)
    plan.carry_out(drag(gesture, (3700, 3000), (4030, 2960)))
    assert outline(plan)[2] == (4000, 3000)


def test_parts_are_stepped_through_moved_and_taken_out_by_keys(plan: Ground, gesture: Shape) -> None:
    assert gesture.nudge(10, 0) is None  # nothing chosen: the arrows pan
    assert gesture.step(-1)  # the last side: the left one
    plan.carry_out(gesture.nudge(-100, 0))
    assert outline(plan)[0] == (-100, 0)
    assert gesture.nudge(0, 10) == Outcome()  # along the side: nothing to do, and no panning
    outcome = gesture.key("Delete")
    assert outcome is not None
    assert "side can't be removed" in outcome.refuse
    plan.carry_out(gesture.key("Insert"))
    assert len(outline(plan)) == 5
    plan.carry_out(gesture.key("Delete"))
    assert len(outline(plan)) == 4
    plan.carry_out(gesture.key("Delete"))  # the corner before it, never the room
    assert len(outline(plan)) == 3
    refused = gesture.key("Delete")
    assert refused is not None
    assert "three corners" in refused.refuse
    assert gesture.cancel()
    assert not gesture.cancel()
    assert gesture.key("Delete") is None


def test_nothing_is_reshaped_with_nothing_or_several_chosen(plan: Ground, gesture: Shape) -> None:
    plan.selection = ("M1", "M2")
    assert not gesture.step(1)
    gesture.hover(at(4000, 1500))
    assert gesture.preview == ()
    assert gesture.twice(at(4000, 1500)) is None


def test_targets_are_32_px_and_a_small_room_keeps_its_middle_free(plan: Ground) -> None:
    kitchen = plan.home.take(Room, "M1")
    assert part_at(kitchen, at(4150, 3150), "") == Part("M1", "corner", 2)
    assert part_at(kitchen, at(4155, 1500), "") == Part("M1", "side", 1)
    assert part_at(kitchen, at(4170, 1500), "") is None
    far = Touch(2000, 1500, 100.0)  # the room is 40 × 30 px
    assert part_at(kitchen, far, "M1") == Part("M1", "room")


class Hand:
    """A room in hand."""

    def __init__(self, typed: str) -> None:
        self.text = typed

    def in_hand(self) -> tuple[Sized, str]:
        sized = read_sized(self.text)
        return sized, sized.name


def test_a_typed_room_sticks_under_the_pointer_and_is_not_put_over_another(plan: Ground) -> None:
    gesture = PlaceSized(plan, Hand("Bath 2 × 2"), TRADE)
    gesture.hover(at(1060, 4150))
    assert any(said.startswith("Bath") for said in words(gesture))
    assert "a wall off Kitchen, in line" in words(gesture)
    plan.carry_out(gesture.press(at(1060, 4150)))
    assert outline(plan, "M3") == room_by_size(2000, 2000, (0, 3100))
    outcome = gesture.press(at(3000, 3100, shift=True))
    assert outcome is not None
    assert outcome.make is not None
    with pytest.raises(HomeError, match="would run over"):
        outcome.make(plan.home)


def test_a_typed_room_that_is_none_is_refused(plan: Ground) -> None:
    gesture = PlaceSized(plan, Hand("Bath"), TRADE)
    gesture.hover(at(0, 0))
    assert any("no size" in said for said in words(gesture))
    outcome = gesture.press(at(0, 0))
    assert outcome is not None
    assert "no size" in outcome.refuse


def test_a_box_is_cut_out_and_a_hole_is_refused(plan: Ground) -> None:
    gesture = CutOut(plan, TRADE)
    outcome = drag(gesture, (1000, 1000), (2000, 2000))
    assert outcome is not None
    assert "hole" in outcome.refuse
    plan.carry_out(drag(gesture, (-500, -500), (1003, 996)))
    assert set(outline(plan)) == {(1000, 0), (4000, 0), (4000, 3000), (0, 3000), (0, 1000), (1000, 1000)}
    plan.selection = ()
    refused = gesture.press(at(0, 0))
    assert refused is not None
    assert refused.over
