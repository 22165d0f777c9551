import subprocess
import sys

import msgspec
import pytest

from circuitmap.home.change import Change
from circuitmap.home.records import Board, Device, Fixture, Place, Plate, Point, Room, Run, Storey, Wall
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.where import neighbours, place_of, room_of, rooms_of_points, rooms_on, storey_of, to_wall

change = msgspec.structs.replace

KITCHEN = Room(id="M1", name="Kitchen", storey="G1", outline_mm=((0, 0), (4000, 0), (4000, 3000), (0, 3000)))
HALL = Room(id="M2", name="Hall", storey="G1", outline_mm=((4100, 0), (6000, 0), (6000, 3000), (4100, 3000)))
BEDROOM = Room(id="M3", name="Bedroom", storey="G2", outline_mm=((0, 0), (6000, 0), (6000, 3000), (0, 3000)))
LOFT = Room(id="M4", name="Loft")
WALL = Wall(id="W1", storey="G1", a_mm=(4050, 0), b_mm=(4050, 3000), thickness_mm=100)


def at(x_mm, y_mm, storey="G1", **more):
    return Place(storey=storey, x_mm=x_mm, y_mm=y_mm, **more)


def home_of(*records):
    storeys = (Storey(id="G1", name="Ground", level=0), Storey(id="G2", name="First", level=1))
    return Home.of([*storeys, KITCHEN, HALL, BEDROOM, LOFT, WALL, *records])


def socket(number, **more):
    return Point(id=f"P{number}", kind="socket", **more)


def name_of(home, record):
    room = room_of(home, Memo(), record)
    return room.name if room is not None else None


def test_a_point_stands_at_its_own_place_or_its_plates():
    plate = Plate(id="T1", place=at(1000, 0))
    own, shared, nowhere = socket(1, place=at(2000, 0)), socket(2, plate="T1"), socket(3)
    home = home_of(plate, own, shared, nowhere)
    assert place_of(home, own) == at(2000, 0)
    assert place_of(home, shared) == place_of(home, plate) == at(1000, 0)
    assert place_of(home, nowhere) is None


def test_a_device_stands_where_its_board_hangs():
    board = Board(id="B1", letter_on_map="A", place=at(5900, 300))
    device = Device(id="D1", board="B1", kind="MCB")
    home = home_of(board, device)
    assert place_of(home, device) == at(5900, 300)
    assert name_of(home, device) == name_of(home, board) == "Hall"
    run = Run(id="R1", a={"at": "D1"}, b={"at": "D1"})
    assert place_of(home, run) is None
    assert room_of(home, Memo(), run) is None
    assert storey_of(home, Memo(), run) is None


def test_a_fixture_and_a_room_know_their_room_too():
    sink = Fixture(id="F1", kind="sink", place=at(600, 200))
    home = home_of(sink)
    assert name_of(home, sink) == "Kitchen"
    assert room_of(home, Memo(), LOFT) is LOFT


@pytest.mark.parametrize(
    ("point", "room"),
    [
        (socket(1, place=at(1500, 20)), "Kitchen"),
        (socket(1, place=at(1500, 20, "G2")), "Bedroom"),
        (socket(1, place=at(4050, 1500, faces_deg=180.0)), "Kitchen"),
        (socket(1, place=at(4050, 1500, faces_deg=0.0)), "Hall"),
        (socket(1, place=at(0, 1500, faces_deg=180.0)), None),
        (socket(1, place=at(20_000, 0)), None),
        (socket(1), None),
        (socket(1, room="M4"), "Loft"),
        # Said and placed: what was said holds in the room and its walls, and for a room nobody drew…
        (socket(1, room="M1", place=at(4080, 1500)), "Kitchen"),
        (socket(1, room="M4", place=at(1500, 20)), "Loft"),
        (socket(1, room="M2", place=at(20_000, 0)), "Hall"),
        # … but not for a point that has been moved to another room since.
        (socket(1, room="M1", place=at(5500, 1500)), "Hall"),
        (socket(1, room="M1", place=at(1500, 20, "G2")), "Bedroom"),
    ],
)
def test_the_room_of_a_point_is_where_it_stands_or_what_was_said(point, room):
    home = home_of(point)
    assert name_of(home, point) == room
    found = rooms_of_points(home, Memo())["P1"]
    assert (found.name if found else None) == room


def test_points_on_a_plate_share_its_room():
    plate = Plate(id="T1", room="M4")
    home = home_of(plate, socket(1, plate="T1"), socket(2, plate="T1", room="M2"))
    assert {p: r.name for p, r in rooms_of_points(home, Memo()).items()} == {"P1": "Loft", "P2": "Hall"}


def test_a_point_that_is_not_in_the_home_yet_can_be_asked_about():
    assert name_of(home_of(), socket(7, place=at(1500, 20))) == "Kitchen"
    stale = socket(1, place=at(1500, 20))
    assert name_of(home_of(change(stale, place=at(5000, 20))), stale) == "Kitchen"


def test_the_storey_comes_from_the_place_or_the_room():
    home = home_of(socket(1, place=at(0, 0, "G2")), socket(2, room="M1"), socket(3, room="M4"))
    assert [storey_of(home, Memo(), home.get(p)) for p in ("P1", "P2", "P3")] == ["G2", "G1", None]


def test_rooms_of_a_storey_come_in_the_order_of_their_ids():
    tenth = Room(id="M10", name="Porch", storey="G1")
    home = home_of(tenth)
    assert rooms_on(home, Memo(), "G1") == (KITCHEN, HALL, tenth)
    assert rooms_on(home, Memo(), "G9") == ()


def test_nothing_is_worked_out_twice_and_every_edit_is_noticed():
    memo = Memo()
    points = [socket(k + 1, place=at(100 + 13 * k, 500)) for k in range(300)]
    home = home_of(*points)
    first = rooms_of_points(home, memo)
    assert rooms_of_points(home, memo) is first
    misses = memo.misses

    renamed = home.apply(Change(title="name it", pairs=((points[5], change(points[5], name="Kettle")),)))
    assert rooms_of_points(renamed, memo) == first
    assert memo.misses == misses + 1  # the table; no room was asked for again

    moved = home.apply(Change(title="move it", pairs=((points[5], change(points[5], place=at(5000, 500))),)))
    assert rooms_of_points(moved, memo)["P6"] is HALL
    assert memo.misses == misses + 3  # the table, and one block of points

    wider = change(HALL, outline_mm=((4100, 0), (9000, 0), (9000, 3000), (4100, 3000)), name="Long hall")
    reshaped = home.apply(Change(title="reshape", pairs=((HALL, wider),)))
    assert rooms_of_points(reshaped, memo)["P6"] is KITCHEN
    assert rooms_of_points(reshaped, memo) == rooms_of_points(reshaped, Memo())

    gone = home.apply(Change(title="take it away", pairs=((points[5], None),)))
    assert rooms_of_points(gone, memo) == rooms_of_points(gone, Memo())
    assert "P6" not in rooms_of_points(gone, memo)


def test_points_on_one_plate_are_not_mistaken_for_each_other():
    memo = Memo()
    plate = Plate(id="T1", place=at(1000, 0))
    first = socket(1, plate="T1")
    home = home_of(plate, first)
    assert set(rooms_of_points(home, memo)) == {"P1"}
    swapped = home.apply(Change(title="swap", pairs=((first, None), (None, socket(2, plate="T1")))))
    assert set(rooms_of_points(swapped, memo)) == {"P2"}


def test_a_rooms_new_name_moves_no_wall():
    memo = Memo()
    home = home_of()
    beside = neighbours(home, memo)
    assert beside == {"M1": {"M2"}, "M2": {"M1"}, "M3": frozenset()}
    renamed = home.apply(Change(title="name it", pairs=((KITCHEN, change(KITCHEN, name="Back kitchen")),)))
    assert neighbours(renamed, memo) is beside


@pytest.mark.parametrize(
    ("pointer", "x_mm", "y_mm", "faces_deg", "wall"),
    [
        ((3903, 1504), 4000, 1500, 180.0, "W1"),
        ((4190, 1504), 4100, 1500, 0.0, "W1"),
        ((1236, 90), 1240, 0, 90.0, None),
        ((1236, -40), 1240, 0, 90.0, None),
        ((1236, 2950), 1240, 3000, 270.0, None),
        ((40, 1236), 0, 1240, 0.0, None),
        ((-5, 200), 0, 200, 0.0, None),
    ],
)
def test_an_accessory_put_near_a_wall_goes_onto_it_and_faces_the_room(pointer, x_mm, y_mm, faces_deg, wall):
    placed = to_wall(home_of(), Memo(), at(*pointer, height_mm=450))
    assert placed == at(x_mm, y_mm, height_mm=450, faces_deg=faces_deg, wall=wall)
    assert to_wall(home_of(), Memo(), placed) == placed


def test_away_from_walls_a_place_stays_as_it_is():
    assert to_wall(home_of(), Memo(), at(2000, 1500)) == at(2000, 1500)
    assert to_wall(Home.of([Storey(id="G1", name="Ground")]), Memo(), at(5, 5)) == at(5, 5)
    assert to_wall(home_of(), Memo(), at(2000, 200), reach_mm=100) == at(2000, 200)


def test_an_outdoor_light_faces_away_from_the_room_and_is_in_none():
    light = to_wall(home_of(), Memo(), at(-60, 1500), outdoors=True)
    assert light == at(0, 1500, faces_deg=180.0)
    assert name_of(home_of(), socket(1, place=light)) is None
    indoors = to_wall(home_of(), Memo(), at(60, 1500))
    assert name_of(home_of(), socket(1, place=indoors)) == "Kitchen"


def test_a_wall_drawn_alone_has_two_faces():
    alone = Home.of(
        [Storey(id="G1", name="Ground"), WALL, Wall(id="W2", storey="G1", a_mm=(0, 9000), b_mm=(900, 9000))]
    )
    assert to_wall(alone, Memo(), at(3950, 1000)) == at(4000, 1000, faces_deg=180.0, wall="W1")
    assert to_wall(alone, Memo(), at(4150, 1000)) == at(4100, 1000, faces_deg=0.0, wall="W1")
    # 50 mm is taken for half of a wall that nobody measured.
    assert to_wall(alone, Memo(), at(400, 9080)) == at(400, 9050, faces_deg=90.0, wall="W2")


def test_a_wall_out_of_true_by_a_hair_faces_0_degrees_and_never_360():
    crooked = Wall(id="W2", storey="G1", a_mm=(5, 10_000), b_mm=(0, 0))
    home = Home.of([Storey(id="G1", name="Ground"), crooked])
    assert to_wall(home, Memo(), at(80, 5000)).faces_deg == 0.0


def test_importing_the_plan_loads_no_geometry_library():
    code = (
        "import sys, circuitmap.plan; print(sorted({'shapely', 'numpy', 'PIL', 'pint', 'PySide6'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
