"""Faces of rooms: their measure, what is behind them, what stands on and before them."""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Fixture, Opening, Place, Wall
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, across, face_at, faces_on, hidden_on, standing_on
from circuitmap.trade import load
from tests.build import Builder

TRADE = load()


def two_rooms(thickness: int = 100) -> tuple[Builder, str]:
    """A kitchen of 4 × 3 m and a hall of 2 × 3 m right of it, with a wall between."""
    b = Builder()
    ground = b.do(verbs.add_storey(b.home, "Ground", 0))
    b.room("Kitchen", ground, (0, 0, 4000, 3000))
    b.room("Hall", ground, (4000 + thickness, 0, 6000 + thickness, 3000))
    return b, ground


def add(b: Builder, record: Wall | Fixture) -> None:
    b.home = type(b.home).of([*b.home.all(), record])


def faces(b: Builder, storey: str) -> dict[str, Face]:
    return {face.id: face for face in faces_on(b.home, Memo(), TRADE, storey)}


def test_a_face_is_measured_from_its_left_end_as_one_stands_before_it() -> None:
    b, ground = two_rooms()
    top = faces(b, ground)["M1/0"]
    assert (top.length_mm, top.height_mm) == (4000, TRADE.size_mm("storey height"))
    # The top side of the plan, seen from below it: left on the plan is left on the wall.
    assert top.place(500, 1200) == (500, 0, 1200)
    assert top.at(500, 0) == (500, 0)
    assert top.at(500, 80) == (500, 80)
    bottom = faces(b, ground)["M1/2"]
    # The bottom side is seen with one's back to the top of the plan: its left end is on the plan's right.
    assert bottom.place(500, 0) == (3500, 3000, 0)
    assert bottom.at(3500, 2900) == (500, 100)


@pytest.mark.parametrize("u", [0.0, 1.0, 1234.5, 3000.0])
def test_places_and_measures_go_there_and_back(u: float) -> None:
    b, ground = two_rooms()
    for face in faces(b, ground).values():
        x, y, _ = face.place(u, 0)
        assert face.at(x, y) == pytest.approx((u, 0))


def test_a_corner_drawn_on_a_straight_side_is_no_corner_of_the_wall() -> None:
    b = Builder()
    ground = b.storey()
    b.do(verbs.add_room(b.home, "Odd", ((2000, 0), (4000, 0), (4000, 3000), (0, 3000), (0, 0)), ground, ""))
    assert sorted(face.length_mm for face in faces(b, ground).values()) == [3000, 3000, 4000, 4000]


def test_what_a_wall_is_built_of_and_its_openings_are_known_on_both_sides() -> None:
    b, ground = two_rooms()
    door = Opening(kind="door", along_mm=300, width_mm=800, head_mm=2000)
    window = Opening(kind="window", along_mm=1500, width_mm=600, sill_mm=900, head_mm=1500)
    add(b, Wall(id="W1", storey=ground, a_mm=(4050, 0), b_mm=(4050, 3000), thickness_mm=100, build="stud",
                openings=(door, window)))  # fmt: skip
    here, there = faces(b, ground)["M1/1"], faces(b, ground)["M2/3"]
    assert here.wall == there.wall == "W1"
    assert here.backed(10).build == "stud"
    # Down the plan on the kitchen's side; seen from the hall the door is at the right end.
    assert [(h.from_mm, h.to_mm, h.sill_mm, h.head_mm) for h in here.holes] == [
        (300, 1100, 0, 2000), (1500, 2100, 900, 1500),
    ]  # fmt: skip
    assert [(h.from_mm, h.to_mm) for h in there.holes] == [(900, 1500), (1900, 2700)]


def test_a_face_without_a_wall_behind_it_is_of_unknown_build() -> None:
    b, ground = two_rooms()
    face = faces(b, ground)["M1/0"]
    assert face.wall is None
    assert [each.build for each in face.behind] == ["unknown"]


def test_the_other_side_of_a_wall_is_found_with_its_measure() -> None:
    b, ground = two_rooms(thickness=90)
    all_faces = faces(b, ground)
    (other,) = across(all_faces["M1/1"], all_faces.values())
    assert (other.face, other.thickness_mm) == ("M2/3", 90)
    x, y, _ = all_faces["M1/1"].place(700, 0)
    x2, y2, _ = all_faces["M2/3"].place(other.offset_mm - 700, 0)
    assert (x2 - x, y2 - y) == pytest.approx((90, 0))


def test_a_storey_with_walls_and_no_rooms_has_both_sides_of_each_wall() -> None:
    b = Builder()
    ground = b.storey()
    add(b, Wall(id="W1", storey=ground, a_mm=(0, 0), b_mm=(3000, 0), thickness_mm=120, build="block"))
    both = faces(b, ground)
    assert set(both) == {"W1/+", "W1/-"}
    assert both["W1/+"].place(0, 0)[:2] == (0, 60)
    assert both["W1/-"].place(0, 0)[:2] == (3000, -60)


def test_accessories_are_found_on_the_face_they_look_away_from() -> None:
    b, ground = two_rooms()
    at = Place(storey=ground, x_mm=4000, y_mm=1000, height_mm=450, faces_deg=180.0)
    b.do(verbs.add_point(b.home, "socket", at, None, gangs=2))
    back = Place(storey=ground, x_mm=4100, y_mm=2000, height_mm=1200, faces_deg=0.0)
    b.do(verbs.add_point(b.home, "switch", back, None, gangs=3))
    b.do(verbs.add_point(b.home, "junction box", back, None))
    b.do(verbs.add_point(b.home, "light", Place(storey=ground, x_mm=2000, y_mm=1500, height_mm=2400), None))
    stood = standing_on(b.home, Memo(), TRADE, ground)
    assert {face: [each.record for each in found] for face, found in stood.items()} == {"M1/1": ["P1"], "M2/3": ["P2"]}
    (socket,), (switch,) = stood["M1/1"], stood["M2/3"]
    # Plates of 146 × 86 and 86 × 86 mm (BS 4662, from memory): three switches go into a single plate.
    assert (socket.u, socket.v, socket.wide_mm, socket.high_mm) == (1000, 450, 146, 86)
    assert (switch.u, switch.v, switch.wide_mm) == (1000, 1200, 86)


def test_a_spot_is_on_a_face_only_near_it_and_only_if_it_looks_that_way() -> None:
    b, ground = two_rooms()
    all_faces = faces(b, ground).values()
    assert (found := face_at(all_faces, 1000, 20)) is not None
    assert found.id == "M1/0"
    assert face_at(all_faces, 1000, 500) is None
    assert face_at(all_faces, 1000, 20, 270.0) is None


def test_units_hide_the_wall_up_to_their_top() -> None:
    b, ground = two_rooms()
    add(b, Fixture(id="F1", kind="unit", place=Place(storey=ground, x_mm=1000, y_mm=0, faces_deg=90.0)))
    (hidden,) = hidden_on(b.home, TRADE, faces(b, ground)["M1/0"])
    row = TRADE.fixture("unit")
    assert (hidden.from_mm, hidden.to_mm, hidden.top_mm) == (1000 - row.wide_mm / 2, 1000 + row.wide_mm / 2, row.top_mm)
    assert hidden_on(b.home, TRADE, faces(b, ground)["M1/2"]) == ()
