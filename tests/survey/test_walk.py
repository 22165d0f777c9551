import itertools

from circuitmap.home import Home
from circuitmap.home.records import Place, Point, Storey
from circuitmap.survey import walk_order
from tests.build import Builder


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
    assert walk_order(b.home) == (left[1], left[0], right[0])


def test_a_list_of_rooms_is_walked_in_the_order_of_the_list() -> None:
    b = Builder()
    kitchen, hall = b.room("Kitchen"), b.room("Hall")
    one, two, three = b.point(room=hall), b.point(room=kitchen), b.point(room=hall)
    nowhere = b.point()
    assert walk_order(b.home) == (two, one, three, nowhere)


def test_only_the_points_asked_for_and_each_once() -> None:
    b = Builder()
    g = b.storey()
    points = [b.point(at=(g, n * 100, 0)) for n in range(10)]
    assert sorted(walk_order(b.home, points[3:5])) == sorted(points[3:5])
    assert sorted(walk_order(b.home)) == sorted(points)


def test_a_hall_of_many_points_is_swept_lane_by_lane() -> None:
    spots = [(x * 1000, y * 2000) for y in range(21) for x in range(21)]
    points = [
        Point(id=f"P{n}", kind="socket", place=Place(storey="G1", x_mm=x, y_mm=y)) for n, (x, y) in enumerate(spots, 1)
    ]
    home = Home.of([Storey(id="G1", name="Hall"), *points])
    order = walk_order(home)
    assert len(set(order)) == len(spots)
    at = [spots[int(point[1:]) - 1] for point in order]
    length_mm = sum(abs(x - u) + abs(y - v) for (x, y), (u, v) in itertools.pairwise(at))
    assert length_mm == 21 * 20 * 1000 + 20 * 2000
