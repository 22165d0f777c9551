"""Walks: their order, their lines on the plan, and how long they are."""

import itertools
import math
from collections.abc import Sequence

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.home import Home, verbs
from circuitmap.home.records import Board, Opening, Place, Point, Room, Storey, Wall
from circuitmap.home.verbs import edit
from circuitmap.memo import Memo
from circuitmap.survey.walk import walk_length_mm, walk_order, walk_path
from circuitmap.survey.walk_line import UNPLACED_MM
from circuitmap.survey.walk_stairs import FLIGHT_MM
from tests.build import Builder

Spot = tuple[int, int]
spots_in_a_room = st.lists(st.tuples(st.integers(0, 8000), st.integers(0, 6000)), min_size=1, max_size=7, unique=True)
many_spots = st.lists(st.tuples(st.integers(0, 9000), st.integers(0, 9000)), min_size=8, max_size=60, unique=True)


def hall(spots: Sequence[Spot], board: Spot | None = (0, 0)) -> Home:
    """One storey without rooms, with sockets P1, P2, … at spots."""
    points = [
        Point(id=f"P{n}", kind="socket", place=Place(storey="G1", x_mm=x, y_mm=y)) for n, (x, y) in enumerate(spots, 1)
    ]
    boards = (
        [Board(id="B1", letter_on_map="A", place=Place(storey="G1", x_mm=board[0], y_mm=board[1]))] if board else []
    )
    return Home.of([Storey(id="G1", name="Hall"), *boards, *points])


def length(home: Home, order: Sequence[str], start: Spot = (0, 0)) -> float:
    """How long straight lines through points are, from a start: worked out here, without any of the walk's code."""
    stops = [start, *((p.x_mm, p.y_mm) for i in order if (p := home.take(Point, i).place) is not None)]
    return sum(math.dist(a, b) for a, b in itertools.pairwise(stops))


def by_the_nearest(home: Home, start: Spot = (0, 0)) -> list[str]:
    """The order that always takes the nearest point next."""
    left = {i: (p.place.x_mm, p.place.y_mm) for i, p in home.table(Point).items() if p.place is not None}
    at, order = start, []
    while left:
        near = min(left, key=lambda i: (math.dist(at, left[i]), int(i[1:])))
        at = left.pop(near)
        order.append(near)
    return order


class TwoRooms(Builder):
    """Two rooms side by side with a wall between them, whose door is at its far end; the board is in the left one."""

    def __init__(self, kind: str = "door") -> None:
        super().__init__()
        self.g = self.storey()
        self.left = self.room("Left", self.g, (0, 0, 3900, 6000))
        self.right = self.room("Right", self.g, (4100, 0, 8000, 6000))
        self.wall = self.do(verbs.add_wall(self.home, self.g, (4000, 0), (4000, 6000), 200))
        if kind:
            door = Opening(kind=kind, along_mm=5000, width_mm=800)
            self.do(edit(self.home, self.wall, openings=(door,)))
        self.board(place=Place(storey=self.g, x_mm=0, y_mm=500))


def rooms_in(home: Home, order: Sequence[str], room_of: dict[str, str]) -> list[str]:
    """The rooms as a walk comes to them, each as often as it is come to."""
    return [room for room, _ in itertools.groupby(room_of[i] for i in order)]


# -- storeys, rooms, lists ----------------------------------------------------------------------------------------


def test_storeys_by_level_then_rooms_then_the_nearest_point() -> None:
    b = Builder()
    up, down = b.storey("First", 1), b.storey("Ground", 0)
    b.room("Far", down, (6000, 0, 9000, 3000))
    b.room("Near", down, (0, 0, 3000, 3000))
    b.board(place=Place(storey=down, x_mm=100, y_mm=100))
    upstairs = b.point(at=(up, 0, 0))
    far = b.point(at=(down, 7000, 1000))
    second, first, third = (b.point(at=(down, x, 1000)) for x in (1500, 500, 2500))
    assert walk_order(b.home) == (first, second, third, far, upstairs)


def test_a_room_is_finished_before_the_next() -> None:
    b = Builder()
    g = b.storey()
    b.room("Left", g, (0, 0, 3000, 3000))
    b.room("Right", g, (3000, 0, 6000, 3000))
    b.board(place=Place(storey=g, x_mm=2900, y_mm=1500))
    left = [b.point(at=(g, x, 1500)) for x in (200, 2800)]
    right = [b.point(at=(g, 3200, 1500))]
    order = walk_order(b.home)
    assert set(order[:2]) == set(left)
    assert order[2:] == tuple(right)


def test_a_list_of_rooms_is_walked_in_the_order_of_the_list() -> None:
    b = Builder()
    kitchen, hall = b.room("Kitchen"), b.room("Hall")
    one, two, three = b.point(room=hall), b.point(room=kitchen), b.point(room=hall)
    nowhere = b.point()
    assert walk_order(b.home) == (two, one, three, nowhere)


def test_what_has_no_place_follows_the_points_of_its_room_and_a_room_without_places_those_that_have_some() -> None:
    b = Builder()
    g = b.storey()
    shed = b.room("Shed", g)
    room = b.room("Room", g, (0, 0, 3000, 3000))
    b.board(place=Place(storey=g, x_mm=0, y_mm=0))
    listed, in_shed = b.point(room=room), b.point(room=shed)
    far, near = b.point(at=(g, 2000, 2000)), b.point(at=(g, 500, 500))
    out = b.point(at=(g, 9000, 9000))
    assert walk_order(b.home) == (near, far, listed, in_shed, out)


def test_only_the_points_asked_for_and_each_once() -> None:
    b = Builder()
    g = b.storey()
    points = [b.point(at=(g, n * 100, 0)) for n in range(10)]
    assert sorted(walk_order(b.home, [*points[3:5], points[3]])) == sorted(points[3:5])
    assert sorted(walk_order(b.home)) == sorted(points)
    assert walk_order(b.home, []) == ()


def test_from_the_board_the_shorter_way_down_or_up_comes_first() -> None:
    b = Builder()
    storeys = {level: b.storey(f"Level {level}", level) for level in (2, -1, 1, 0)}
    b.board(place=Place(storey=storeys[0], x_mm=0, y_mm=0))
    points = {level: b.point(at=(storeys[level], 0, 0)) for level in storeys}
    assert walk_order(b.home) == tuple(points[level] for level in (0, -1, 1, 2))


def test_the_walk_begins_in_the_room_of_a_board_without_a_place() -> None:
    b = Builder()
    g = b.storey()
    b.room("Other", g, (0, 0, 3000, 3000))
    here = b.room("Here", g, (9000, 0, 12000, 3000))
    b.board(room=here)
    first, second = b.point(at=(g, 500, 500)), b.point(at=(g, 11000, 500))
    assert walk_order(b.home) == (second, first)


# -- short ----------------------------------------------------------------------------------------------------------


@given(spots_in_a_room)
def test_up_to_seven_points_of_a_room_are_in_the_shortest_of_all_orders(spots: list[Spot]) -> None:
    home = hall(spots)
    best = min(length(home, order) for order in itertools.permutations(home.table(Point)))
    order = walk_order(home)
    assert length(home, order) == pytest.approx(best, abs=0.01)
    assert walk_length_mm(home, order) == pytest.approx(best, abs=0.01)


@given(many_spots)
def test_a_walk_has_every_point_once_and_is_never_longer_than_by_the_nearest_next(spots: list[Spot]) -> None:
    home = hall(spots)
    order = walk_order(home)
    assert sorted(order) == sorted(home.table(Point))
    assert length(home, order) <= length(home, by_the_nearest(home)) + 0.01


@given(many_spots)
def test_a_walk_lies_between_the_spanning_tree_and_a_library_s_tour(spots: list[Spot]) -> None:
    """No walk is shorter than the minimum spanning tree; Christofides' tour less its way back is the one to beat.

    Source: N. Christofides (1976) by way of networkx, whose tour is within 1.5 times the shortest (published proof).
    """
    home = hall([spot for spot in spots if spot != (0, 0)])
    whole = nx.Graph()
    stops = {"start": (0, 0)} | {
        i: (p.place.x_mm, p.place.y_mm) for i, p in home.table(Point).items() if p.place is not None
    }
    for (a, at), (b, to) in itertools.combinations(stops.items(), 2):
        whole.add_edge(a, b, weight=math.dist(at, to))
    tree = nx.minimum_spanning_tree(whole).size(weight="weight")
    tour = nx.approximation.traveling_salesman_problem(whole, cycle=True, method=nx.approximation.christofides)
    ring = [stops[i] for i in tour]
    around = sum(math.dist(a, b) for a, b in itertools.pairwise(ring))
    walked = length(home, walk_order(home))
    assert tree - 0.01 <= walked <= around + 0.01


def test_a_hall_of_many_points_is_swept_lane_by_lane() -> None:
    spots = [(x * 1000, y * 2000) for y in range(31) for x in range(21)]
    home = hall(spots, board=None)
    order = walk_order(home)
    assert len(set(order)) == len(spots)
    assert length(home, order, spots[int(order[0][1:]) - 1]) == 31 * 20 * 1000 + 30 * 2000


@settings(max_examples=15)
@given(st.permutations(range(24)))
def test_the_order_does_not_depend_on_the_order_in_which_records_came(order: list[int]) -> None:
    home = blocks_of_rooms()
    points = list(home.table(Point).values())
    shuffled = Home.of([r for r in home.all() if not isinstance(r, Point)] + [points[n] for n in order])
    assert walk_order(shuffled) == walk_order(home) == walk_order(home, memo=Memo())


# -- doors, corners, stairs -----------------------------------------------------------------------------------------


def test_the_line_goes_through_the_door_and_not_through_the_wall() -> None:
    b = TwoRooms()
    here, there = b.point(at=(b.g, 3900, 1000)), b.point(at=(b.g, 4600, 1000))
    lines = walk_path(b.home, (here, there))
    assert lines == {b.g: (((0, 500), (3900, 1000), (4000, 5400), (4600, 1000)),)}
    by_hand = math.dist((0, 500), (3900, 1000)) + math.dist((3900, 1000), (4000, 5400))
    assert walk_length_mm(b.home, (here, there)) == pytest.approx(by_hand + math.dist((4000, 5400), (4600, 1000)))


@pytest.mark.parametrize("kind", ["window", "", "serving hatch"])
def test_nobody_walks_through_a_window(kind: str) -> None:
    b = TwoRooms(kind)
    here, there = b.point(at=(b.g, 3000, 1000)), b.point(at=(b.g, 4600, 1000))
    assert walk_path(b.home, (here, there), from_board=False) == {b.g: (((3000, 1000), (4600, 1000)),)}


def test_the_points_of_a_room_are_put_in_the_order_in_which_its_door_is_come_to() -> None:
    b = TwoRooms()
    at_door, beside_wall = b.point(at=(b.g, 3000, 5400)), b.point(at=(b.g, 3000, 500))
    right = [b.point(at=(b.g, 4600, y)) for y in (500, 5400)]
    # By straight lines the point at (4600, 500) is the nearest of the other room: but its door is at the other end.
    assert walk_order(b.home) == (beside_wall, at_door, right[1], right[0])


def test_a_room_that_a_door_leads_to_comes_before_one_that_no_known_door_leads_to() -> None:
    b = TwoRooms()
    shut = b.room("Shut", b.g, (0, 6100, 3900, 8000))
    here = b.point(at=(b.g, 500, 5500))
    behind_wall, by_door = b.point(at=(b.g, 3000, 7000)), b.point(at=(b.g, 5000, 5400))
    assert rooms_in(b.home, walk_order(b.home), {here: b.left, by_door: b.right, behind_wall: shut}) == [
        b.left, b.right, shut,
    ]  # fmt: skip


def test_in_a_room_with_a_corner_the_line_goes_round_it() -> None:
    b = Builder()
    g = b.storey()
    ell = ((0, 0), (6000, 0), (6000, 2000), (2000, 2000), (2000, 6000), (0, 6000))
    b.do(verbs.add_room(b.home, "Ell", ell, g))
    one, other = b.point(at=(g, 5900, 1900)), b.point(at=(g, 1900, 5900))
    ((line,),) = walk_path(b.home, (one, other), from_board=False).values()
    assert line[0] == (5900, 1900)
    assert line[-1] == (1900, 5900)
    ((x, y),) = line[1:-1]
    # A step off the corner at (2000, 2000), inside the room.
    assert 0 < x < 2000
    assert 0 < y < 2000
    assert math.dist((x, y), (2000, 2000)) < 300
    assert walk_length_mm(b.home, (one, other), from_board=False) > math.dist((5900, 1900), (1900, 5900))


def test_out_of_doors_one_goes_round_the_house() -> None:
    b = Builder()
    g = b.storey()
    b.room("House", g, (0, 0, 8000, 4000))
    wall = b.do(verbs.add_wall(b.home, g, (0, -100), (8000, -100), 200))
    b.do(edit(b.home, wall, openings=(Opening(kind="door", along_mm=3600, width_mm=800),)))
    inside, behind = b.point("light", (g, 4000, 3000)), b.point("light", (g, 4000, 9000))
    ((line,),) = walk_path(b.home, (inside, behind), from_board=False).values()
    assert line[1] == (4000, -100)
    assert all(not (0 < x < 8000 and 0 < y < 4000) for x, y in line[1:])
    assert max(x for x, _ in line) > 8000 or min(x for x, _ in line) < 0


def test_stairs_join_storeys_and_are_allowed_for() -> None:
    b = Builder()
    ground, first = b.storey("Ground", 0), b.storey("First", 1)
    b.do(verbs.add_fixture(b.home, "stair", Place(storey=ground, x_mm=5000, y_mm=0)))
    b.do(verbs.add_fixture(b.home, "stair", Place(storey=first, x_mm=6000, y_mm=0)))
    b.board(place=Place(storey=ground, x_mm=0, y_mm=0))
    low = b.point(at=(ground, 1000, 0))
    far, near = b.point(at=(first, 9000, 0)), b.point(at=(first, 7000, 0))
    order = walk_order(b.home)
    assert order == (low, near, far)
    assert walk_path(b.home, order) == {
        ground: (((0, 0), (1000, 0), (5000, 0)),),
        first: (((6000, 0), (7000, 0), (9000, 0)),),
    }
    assert walk_length_mm(b.home, order) == pytest.approx(5000 + FLIGHT_MM + 3000)


def test_a_storey_is_left_near_its_stair() -> None:
    b = Builder()
    ground, first = b.storey("Ground", 0), b.storey("First", 1)
    b.do(verbs.add_fixture(b.home, "stair", Place(storey=ground, x_mm=0, y_mm=1000)))
    b.board(place=Place(storey=ground, x_mm=0, y_mm=0))
    by_stair, away = b.point(at=(ground, 0, 600)), b.point(at=(ground, 4000, 0))
    up = b.point(at=(first, 0, 0))
    assert walk_order(b.home) == (away, by_stair, up)
    assert walk_order(b.home, [by_stair, away]) == (by_stair, away)


def two_stairs(b: Builder, *storeys: str) -> None:
    """A front and a back stair on every storey, 10 m apart; each comes out 1 m further than it begins."""
    for number, storey in enumerate(storeys):
        for x in (0, 10_000):
            b.do(verbs.add_fixture(b.home, "stair", Place(storey=storey, x_mm=x + 1000 * number, y_mm=0)))


@pytest.mark.parametrize(("x", "foot", "landing"), [(200, 0, 1000), (9800, 10_000, 11_000)])
def test_of_two_stairs_the_one_on_the_way_is_taken(x: int, foot: int, landing: int) -> None:
    b = Builder()
    ground, first = b.storey("Ground", 0), b.storey("First", 1)
    two_stairs(b, ground, first)
    b.board(place=Place(storey=ground, x_mm=5000, y_mm=0))
    low, high = b.point(at=(ground, x, 0)), b.point(at=(first, x, 0))
    order = walk_order(b.home)
    assert order == (low, high)
    assert walk_path(b.home, order) == {ground: (((5000, 0), (x, 0), (foot, 0)),), first: (((landing, 0), (x, 0)),)}
    # 5 m less 0.2 m to the point, 0.2 m to the stair, and 0.8 or 1.2 m from its head.
    assert walk_length_mm(b.home, order) == pytest.approx(4800 + 200 + FLIGHT_MM + abs(landing - x))


def test_the_order_of_a_storey_ends_at_the_stair_that_leads_to_what_is_next_and_begins_at_its_head() -> None:
    b = Builder()
    ground, first = b.storey("Ground", 0), b.storey("First", 1)
    two_stairs(b, ground, first)
    b.board(place=Place(storey=ground, x_mm=5000, y_mm=0))
    left, right = b.point(at=(ground, 3000, 0)), b.point(at=(ground, 9000, 0))
    far, near = b.point(at=(first, 7000, 0)), b.point(at=(first, 10_500, 0))
    assert walk_order(b.home) == (left, right, near, far)


def test_downstairs_one_arrives_at_the_foot_and_through_a_storey_by_the_stairs_of_both() -> None:
    b = Builder()
    storeys = b.storey("Cellar", -1), b.storey("Ground", 0), b.storey("First", 1)
    for storey, x in zip(storeys, (0, 1500, 3000), strict=True):
        b.do(verbs.add_fixture(b.home, "stair", Place(storey=storey, x_mm=x, y_mm=0)))
    b.board(place=Place(storey=storeys[2], x_mm=9000, y_mm=0))
    order = (b.point(at=(storeys[0], 0, 4000)),)
    assert walk_path(b.home, order) == {storeys[2]: (((9000, 0), (3000, 0)),), storeys[0]: (((0, 0), (0, 4000)),)}
    assert walk_length_mm(b.home, order) == pytest.approx(6000 + 2 * FLIGHT_MM + 4000)


def test_points_without_a_place_are_allowed_for_and_passed_over_by_the_line() -> None:
    b = TwoRooms()
    here, listed = b.point(at=(b.g, 1000, 500)), b.point(room=b.left)
    then = b.point(at=(b.g, 2000, 500))
    order = (here, listed, then)
    assert walk_path(b.home, order) == {b.g: (((0, 500), (1000, 500), (2000, 500)),)}
    assert walk_length_mm(b.home, order) == pytest.approx(2000 + UNPLACED_MM)


def test_a_home_without_a_plan_is_walked_by_allowances_alone() -> None:
    b = Builder()
    kitchen = b.room("Kitchen")
    points = [b.point(room=kitchen) for _ in range(3)]
    assert walk_path(b.home, points) == {}
    assert walk_length_mm(b.home, points) == 3 * UNPLACED_MM
    assert walk_length_mm(b.home, ()) == 0


# -- a whole storey of rooms ------------------------------------------------------------------------------------------


def blocks_of_rooms(spots: Sequence[Spot] = ()) -> Home:
    """Six rooms of 4 m along a corridor that all their doors open into, with points in each and in the corridor."""
    corridor = Room(id="M7", name="Corridor", storey="G1", outline_mm=((0, 0), (24200, 0), (24200, 1900), (0, 1900)))
    walls = [
        Wall(id=f"W{n + 1}", storey="G1", a_mm=(n * 4000, 2000), b_mm=((n + 1) * 4000, 2000), thickness_mm=200,
             openings=(Opening(kind="door", along_mm=200 + 500 * n, width_mm=800),))
        for n in range(6)
    ]  # fmt: skip
    rooms = [
        Room(id=f"M{n + 1}", name=f"Room {n + 1}", storey="G1",
             outline_mm=tuple((n * 4000 + x, y) for x, y in ((50, 2100), (3950, 2100), (3950, 6000), (50, 6000))))
        for n in range(6)
    ]  # fmt: skip
    at = spots or [
        (n * 4000 + x, y) for n in range(6) for x, y in ((300, 5900), (3700, 2500), (2000, 4000), (2000, 900))
    ]
    points = [
        Point(id=f"P{n}", kind="socket", place=Place(storey="G1", x_mm=x, y_mm=y)) for n, (x, y) in enumerate(at, 1)
    ]
    board = Board(id="B1", letter_on_map="A", place=Place(storey="G1", x_mm=0, y_mm=1000))
    return Home.of([Storey(id="G1", name="Ground"), corridor, *rooms, *walls, board, *points])


def room_at(spot: Spot) -> str:
    """The room of a spot in ``blocks_of_rooms``."""
    return "corridor" if spot[1] < 2000 else f"room {spot[0] // 4000}"


within = st.one_of(
    st.tuples(st.integers(100, 23900), st.integers(100, 1800)),
    st.builds(lambda n, x, y: (n * 4000 + x, y), st.integers(0, 5), st.integers(100, 3900), st.integers(2200, 5900)),
)


@settings(max_examples=30)
@given(st.lists(within, min_size=2, max_size=30, unique=True))
def test_no_room_is_come_back_to_and_no_walk_is_longer_than_by_the_nearest_room(spots: list[Spot]) -> None:
    home = blocks_of_rooms(spots)
    order = walk_order(home)
    assert sorted(order) == sorted(home.table(Point))
    room_of = {f"P{n}": room_at(spot) for n, spot in enumerate(spots, 1)}
    visited = rooms_in(home, order, room_of)
    assert len(visited) == len(set(visited))
    nearest = nearest_rooms(home, room_of)
    assert walk_length_mm(home, order) <= walk_length_mm(home, nearest) + 1


def nearest_rooms(home: Home, room_of: dict[str, str]) -> list[str]:
    """The nearest point next, but a room is finished before the next; distances are asked one by one."""
    left, order = set(room_of), list[str]()
    while left:
        here = {i for i in left if order and room_of[i] == room_of[order[-1]]} or left

        def far(point: str) -> tuple[float, int]:
            steps = (order[-1], point) if order else (point,)
            return walk_length_mm(home, steps, from_board=not order), int(point[1:])

        order.append(min(here, key=far))
        left.discard(order[-1])
    return order


@given(st.lists(within, min_size=2, max_size=12, unique=True))
def test_the_lines_are_as_long_as_the_walk_and_cross_no_wall(spots: list[Spot]) -> None:
    home = blocks_of_rooms(spots)
    order = walk_order(home)
    lines = walk_path(home, order).get("G1", ())
    drawn = sum(math.dist(a, b) for line in lines for a, b in itertools.pairwise(line))
    assert drawn == pytest.approx(walk_length_mm(home, order), abs=len(spots) * 3.0)
    doors = {n: (n * 4000 + 200 + 500 * n + 400, 2000) for n in range(6)}
    for line in lines:
        for a, b in itertools.pairwise(line):
            if a in doors.values() or b in doors.values():
                continue
            assert room_at(a) == room_at(b)


def test_a_walk_is_worked_out_again_only_when_something_it_rests_on_has_changed() -> None:
    home, memo = blocks_of_rooms(), Memo()
    order = walk_order(home, memo=memo)
    assert walk_order(home, memo=memo) is order
    named = home.apply(edit(home, "P1", name="Freezer"))
    before = memo.misses
    assert walk_order(named, memo=memo) == order
    rounds = memo.misses - before
    moved = named.apply(verbs.move(named, "P1", Place(storey="G1", x_mm=23800, y_mm=1000)))
    assert walk_order(moved, memo=memo) != order
    assert memo.misses - before - rounds > rounds
    without = moved.apply(edit(moved, "W1", openings=()))
    assert walk_order(without, memo=memo) == walk_order(without)
