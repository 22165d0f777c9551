"""Gestures without a window: press, move, release on a plan of plain records."""

import pytest

from circuitmap.desk.canvas.choosing import Choose
from circuitmap.desk.canvas.gestures import Gesture, Outcome, Touch
from circuitmap.desk.canvas.joining import DrawRun, InsertPoint, PlaceBoard, PlacePoint
from circuitmap.desk.canvas.line_snapping import LineSource, NoLines
from circuitmap.desk.canvas.outlining import Measure, OutlineRoom
from circuitmap.home import Home
from circuitmap.home.records import Board, Point, Room, Run
from circuitmap.memo import Memo
from circuitmap.plan import place_of
from tests.build import Builder


class Plan:
    """A stand-in for the canvas: hits are whatever stands within reach."""

    def __init__(self, built: Builder, storey: str) -> None:
        self.built = built
        self.memo = Memo()
        self.storey = storey
        self.selection: tuple[str, ...] = ()
        self.lines: LineSource = NoLines()

    @property
    def home(self) -> Home:
        return self.built.home

    def hits(self, touch: Touch, within_px: float = 8.0) -> list[str]:
        reach = within_px * touch.mm_per_px
        found = []
        for kind in (Point, Board):
            for record in self.home.table(kind).values():
                place = place_of(self.home, record)
                if place and max(abs(place.x_mm - touch.x_mm), abs(place.y_mm - touch.y_mm)) <= reach:
                    found.append(record.id)
        return found or [run for run in self.home.table(Run) if abs(touch.y_mm - 1500) <= reach]

    def within(self, box: tuple[float, float, float, float]) -> list[str]:
        x0, y0, x1, y1 = box
        places = {p.id: place_of(self.home, p) for p in self.home.table(Point).values()}
        return [i for i, place in places.items() if place and x0 <= place.x_mm <= x1 and y0 <= place.y_mm <= y1]

    def carry_out(self, outcome: Outcome | None) -> Outcome:
        assert outcome is not None
        if outcome.make is not None:
            added = self.built.do(outcome.make(self.home))
            if outcome.select_added:
                self.selection = (added,)
        if outcome.select is not None:
            self.selection = outcome.select
        return outcome


def at(x: float, y: float, *, shift: bool = False, ctrl: bool = False) -> Touch:
    return Touch(x, y, 10.0, shift, ctrl)


@pytest.fixture
def plan() -> Plan:
    built = Builder()
    return Plan(built, built.storey())


def click(plan: Plan, gesture: Gesture, x: float, y: float) -> Outcome | None:
    gesture.hover(at(x, y))
    outcome = gesture.press(at(x, y)) or gesture.release(at(x, y))
    if outcome is not None:
        plan.carry_out(outcome)
    return outcome


def test_a_room_is_outlined_with_right_angles_and_closed_on_its_first_corner(plan: Plan) -> None:
    gesture = OutlineRoom(plan)
    for x, y in [(0, 0), (4003, 37), (3990, 3010), (-20, 2991)]:
        click(plan, gesture, x, y)
    click(plan, gesture, 30, 40)
    (room,) = plan.home.table(Room).values()
    assert room.outline_mm == ((0, 0), (4000, 0), (4000, 3010), (0, 3010))
    assert plan.selection == (room.id,)
    assert gesture.preview == ()


def test_enter_closes_a_room_and_too_few_corners_are_refused_in_words(plan: Plan) -> None:
    gesture = OutlineRoom(plan)
    click(plan, gesture, 0, 0)
    refused = gesture.key("Return")
    assert refused is not None
    assert "three corners" in refused.refuse
    click(plan, gesture, 2000, 0)
    click(plan, gesture, 2000, 2000)
    plan.carry_out(gesture.key("Return"))
    assert len(plan.home.table(Room)) == 1


def test_backspace_takes_a_corner_back_and_esc_leaves_no_trace(plan: Plan) -> None:
    gesture = OutlineRoom(plan)
    click(plan, gesture, 0, 0)
    click(plan, gesture, 2000, 0)
    gesture.key("Backspace")
    click(plan, gesture, 0, 3000)
    click(plan, gesture, 3000, 3000)
    assert gesture.cancel()
    assert not gesture.cancel()
    assert not plan.home.table(Room)


def test_a_point_goes_onto_the_wall_nearby_and_faces_into_the_room(plan: Plan) -> None:
    plan.built.room("Kitchen", plan.storey, (0, 0, 4000, 3000))
    click(plan, PlacePoint(plan, "socket", 2), 1503, 90)
    (point,) = plan.home.table(Point).values()
    assert point.place is not None
    assert (point.place.x_mm, point.place.y_mm) == (1500, 0)
    assert point.place.faces_deg == 90
    assert point.gangs == 2


def test_a_light_hangs_where_it_was_put(plan: Plan) -> None:
    plan.built.room("Kitchen", plan.storey, (0, 0, 4000, 3000))
    click(plan, PlacePoint(plan, "light"), 1503, 90)
    (point,) = plan.home.table(Point).values()
    assert point.place is not None
    assert (point.place.x_mm, point.place.y_mm) == (1500, 90)


def test_the_first_board_is_fed_by_the_supply_and_a_listed_one_is_placed_before_another_is_made(plan: Plan) -> None:
    listed = plan.built.board("A")
    click(plan, PlaceBoard(plan), 500, 500)
    board = plan.home.take(Board, listed)
    assert board.place is not None
    click(plan, PlaceBoard(plan), 4000, 500)
    assert [b.source for b in plan.home.sorted(Board)] == ["supply", "run"]


def test_a_run_is_two_clicks_and_goes_on_from_there(plan: Plan) -> None:
    board = plan.built.board("A")
    way = plan.built.device(board, "1")
    points = [plan.built.point(at=(plan.storey, x, 0)) for x in (1000, 2000)]
    gesture = DrawRun(plan, "T&E 2.5/1.5", "seen")
    assert gesture.taken(way) is not None
    click(plan, gesture, 1000, 0)
    click(plan, gesture, 2000, 0)
    ends = [(run.a.at, run.b.at) for run in plan.home.sorted(Run)]
    assert ends == [(way, points[0]), (points[0], points[1])]
    plan.carry_out(gesture.taken(way))
    assert plan.home.sorted(Run)[2].b.leg == 2
    assert gesture.begun_at == ""


def test_a_run_to_nowhere_is_refused_in_words(plan: Plan) -> None:
    outcome = DrawRun(plan).press(at(9000, 9000))
    assert outcome is not None
    assert outcome.refuse.startswith("Nothing here to join")
    assert not plan.home.table(Run)


def test_a_point_is_inserted_into_a_run_by_one_click(plan: Plan) -> None:
    board = plan.built.board("A")
    way = plan.built.device(board, "1")
    far = plan.built.point(at=(plan.storey, 5000, 3000))
    run = plan.built.run(way, far, length_mm=6001)
    click(plan, InsertPoint(plan, "socket"), 2500, 1500)
    first, second = plan.home.sorted(Run)
    assert first.id == run
    assert first.b.at == second.a.at == plan.selection[0]
    assert second.b.at == far
    assert first.length_mm is not None
    assert second.length_mm is not None
    assert first.length_mm + second.length_mm == 6001


def test_choosing_adds_with_shift_and_empty_plan_lets_go(plan: Plan) -> None:
    one, two = (plan.built.point(at=(plan.storey, x, 0)) for x in (0, 1000))
    gesture = Choose(plan)
    click(plan, gesture, 0, 0)
    assert plan.selection == (one,)
    plan.carry_out(gesture.press(at(1000, 0, shift=True)))
    assert gesture.release(at(1000, 0, shift=True)) is None
    assert plan.selection == (one, two)
    click(plan, gesture, 8000, 8000)
    assert plan.selection == ()


def test_dragging_moves_all_that_is_chosen_as_one_change(plan: Plan) -> None:
    one, two = (plan.built.point("light", at=(plan.storey, x, 0)) for x in (0, 1000))
    plan.selection = (one, two)
    gesture = Choose(plan)
    before = plan.home
    assert gesture.press(at(0, 0)) is None
    gesture.move(at(30, 0))
    assert gesture.preview == ()
    gesture.move(at(500, 203))
    assert len(gesture.preview) == 2
    outcome = plan.carry_out(gesture.release(at(500, 203)))
    assert outcome.make is not None
    assert [(p.place.x_mm, p.place.y_mm) for p in plan.home.sorted(Point) if p.place] == [(500, 200), (1500, 200)]
    assert outcome.make(before).title == "Move 2 things"


def test_a_box_round_several_points_chooses_them(plan: Plan) -> None:
    points = tuple(plan.built.point(at=(plan.storey, x, 0)) for x in (0, 1000, 5000))
    gesture = Choose(plan)
    gesture.press(at(-500, -500))
    gesture.move(at(1500, 500))
    plan.carry_out(gesture.release(at(1500, 500)))
    assert plan.selection == points[:2]


def test_a_corner_of_the_chosen_room_is_dragged_and_a_crossing_outline_is_refused(plan: Plan) -> None:
    room = plan.built.room("Hall", plan.storey, (0, 0, 4000, 3000))
    plan.selection = (room,)
    gesture = Choose(plan)
    gesture.press(at(4000, 3000))
    gesture.move(at(4600, 3020))
    plan.carry_out(gesture.release(at(4600, 3020)))
    assert plan.home.take(Room, room).outline_mm[2] == (4600, 3000)


def test_two_clicks_measure_a_length_and_the_tool_is_done(plan: Plan) -> None:
    gesture = Measure(plan)
    assert click(plan, gesture, 100, 100) is None
    outcome = click(plan, gesture, 2100, 100)
    assert outcome is not None
    assert outcome.picked == ((100, 100), (2100, 100))
    assert outcome.over
