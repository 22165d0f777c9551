"""Rooms from typed sizes: what is read, where it goes, and that walls keep their thickness."""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.errors import HomeError, PersonError, QuantityError
from circuitmap.home.records import Room
from circuitmap.plan.outlines import area_m2, check_outline
from circuitmap.plan.rooms import adjacent
from circuitmap.plan.sketch import (
    EDGES,
    named_room,
    read_list,
    read_sized,
    room_beside,
    room_by_size,
    room_next,
    show_size,
    size_of,
    stick,
)

GAP = 100


def room(number, outline, name=""):
    return Room(id=f"M{number}", name=name or f"Room {number}", storey="G1", outline_mm=outline)


def shape(outline):
    return shapely.Polygon(outline)


@pytest.mark.parametrize(
    ("typed", "name", "width_mm", "depth_mm"),
    [
        ("Kitchen 3.6 × 4.2", "Kitchen", 3600, 4200),
        ("3.6x4.2", "", 3600, 4200),
        ("Hall 1.2 by 5", "Hall", 1200, 5000),
        # 12 ft = 3657.6 mm, 10 ft 6 in = 3200.4 mm (the foot is 0.3048 m, international agreement of 1959)
        ("12' × 10' 6\"", "", 3658, 3200),
        ("Lounge 12 ft 6 in by 10 ft", "Lounge", 3810, 3048),
        ("Bedroom 2 3,60 x 4,20", "Bedroom 2", 3600, 4200),
        ("Bed 3: 3600 x 4200", "Bed 3", 3600, 4200),
        ("3 x 4 Study", "Study", 3000, 4000),
        ("Annex 3×4", "Annex", 3000, 4000),
        ("Under stairs 1 × 2 m", "Under stairs", 1000, 2000),
        ("  Box   room 2*2 ", "Box room", 2000, 2000),
    ],
)
def test_a_room_is_read_as_people_write_it(typed, name, width_mm, depth_mm):
    sized = read_sized(typed)
    assert (sized.name, sized.width_mm, sized.depth_mm) == (name, width_mm, depth_mm)
    assert sized.edge is None


@pytest.mark.parametrize(
    ("typed", "edge", "beside"),
    [
        ("Bath 2 × 2.2 below Hall", "below", "Hall"),
        ("Bath 2 × 2.2, right of the Kitchen", "right", "Kitchen"),
        ("Bath 2 × 2.2 left of “Bedroom 2”", "left", "Bedroom 2"),
        ("Bath 2 × 2.2 above", "above", ""),
    ],
)
def test_where_a_room_goes_can_be_said_in_words(typed, edge, beside):
    sized = read_sized(typed)
    assert (sized.name, sized.edge, sized.beside) == ("Bath", edge, beside)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "no size"),
        ("Kitchen", "no size"),
        ("Bedroom 2", "two lengths"),
        ("Kitchen 3 × bananas", "bananas"),
        ("Kitchen 3 × 4 × 5", "more than two lengths"),
        ("Kitchen 0.1 × 4", "less than 0.3 m"),
        ("Kitchen 3 × 51", "more than 50 m"),
        ("Kitchen 0 × 4", "more than zero"),
        ("Kitchen below Hall", "no size"),
    ],
)
def test_what_is_no_room_is_refused_in_a_sentence(typed, says):
    with pytest.raises((HomeError, QuantityError), match=says) as refused:
        read_sized(typed)
    assert isinstance(refused.value, PersonError)


@given(st.text(max_size=60))
def test_whatever_is_typed_is_read_or_refused(typed):
    try:
        sized = read_sized(typed)
    except PersonError:
        return
    assert min(sized.width_mm, sized.depth_mm) >= 300


def test_lines_and_semicolons_part_rooms():
    assert read_list(" Hall 1 × 2; Bath 2 × 2\nBed 3 × 3 ;;\n") == ["Hall 1 × 2", "Bath 2 × 2", "Bed 3 × 3"]


def test_a_rectangle_has_the_area_of_its_sides():
    outline = room_by_size(3600, 4200, (100, 200))
    assert area_m2(outline) == pytest.approx(15.12)
    assert size_of(outline) == (3600, 4200)
    assert show_size(outline) == "3.60 × 4.20 m"


def test_a_room_goes_a_wall_off_the_side_that_is_chosen():
    kitchen = room(1, room_by_size(3600, 4200))
    placed = {edge: room_beside(2000, 1000, kitchen, edge, (), gap_mm=GAP) for edge in EDGES}
    assert placed["right"][0] == (3700, 0)
    assert placed["below"][0] == (0, 4300)
    assert placed["left"][0] == (-2100, 0)
    assert placed["above"][0] == (0, -1100)


def test_the_next_room_on_a_side_goes_behind_the_one_that_is_there():
    hall = room(1, room_by_size(1200, 9000), "Hall")
    rooms = [hall]
    for number in (2, 3, 4):
        rooms.append(room(number, room_beside(3000, 2900, hall, "right", rooms, gap_mm=GAP)))
    assert [each.outline_mm[0] for each in rooms[1:]] == [(1300, 0), (1300, 3000), (1300, 6000)]
    with pytest.raises(HomeError, match="right of “Hall”"):
        room_beside(3000, 2900, hall, "right", rooms, gap_mm=GAP)
    outline, edge = room_next(3000, 2900, hall, rooms, gap_mm=GAP)
    assert edge == "below"
    assert outline[0] == (0, 9100)


def test_a_room_beside_an_l_stands_at_the_side_that_reaches_furthest():
    ell = room(1, ((0, 0), (2000, 0), (2000, 3000), (5000, 3000), (5000, 5000), (0, 5000)))
    assert room_beside(1000, 1000, ell, "right", (), gap_mm=GAP)[0] == (5100, 3000)


def test_where_every_side_is_taken_it_says_so():
    small = room(1, room_by_size(1000, 1000), "Cupboard")
    ring = [
        room(2, room_by_size(3000, 900, (-1000, -1000))),
        room(3, room_by_size(3000, 900, (-1000, 1100))),
        room(4, room_by_size(900, 1000, (-1000, 0))),
        room(5, room_by_size(900, 1000, (1100, 0))),
    ]
    with pytest.raises(HomeError, match="beside “Cupboard”"):
        room_next(800, 800, small, ring, gap_mm=GAP)


lengths = st.integers(60, 500).map(lambda tens: tens * 10)


@given(st.lists(st.tuples(lengths, lengths, st.sampled_from(EDGES), st.integers(0, 7)), min_size=1, max_size=7))
def test_placed_rooms_are_valid_and_keep_a_wall_between_them(steps):
    rooms = [room(1, room_by_size(*steps[0][:2]))]
    for number, (width, depth, edge, pick) in enumerate(steps[1:], 2):
        beside = rooms[pick % len(rooms)]
        try:
            outline, _ = room_next(width, depth, beside, rooms, gap_mm=GAP, edge=edge)
        except HomeError:
            continue
        assert area_m2(outline) == pytest.approx(width * depth / 1e6)
        check_outline(outline)
        assert shape(outline).distance(shape(beside.outline_mm)) == pytest.approx(GAP)
        assert all(shape(outline).distance(shape(other.outline_mm)) >= GAP - 1e-6 for other in rooms)
        rooms.append(room(number, outline))
        assert beside.id in adjacent(rooms)[f"M{number}"]


def test_a_room_put_near_others_sticks_to_both():
    one = room(1, room_by_size(3000, 3000), "Kitchen")
    two = room(2, room_by_size(6000, 1000, (0, 3100)), "Hall")
    stuck = stick(room_by_size(2000, 2500, (3160, 540)), [one, two], gap_mm=GAP, reach_mm=150)
    assert stuck.outline == room_by_size(2000, 2500, (3100, 500))
    assert stuck.why == "a wall off Hall, a wall off Kitchen"  # the nearest first


def test_a_room_in_line_with_its_neighbour_is_put_level_and_one_far_away_stays():
    one = room(1, room_by_size(3000, 3000), "Kitchen")
    assert stick(room_by_size(2000, 2500, (3160, 40)), [one], gap_mm=GAP, reach_mm=150).outline[0] == (3100, 0)
    far = room_by_size(2000, 2500, (9000, 9000))
    assert stick(far, [one], gap_mm=GAP, reach_mm=150) == (stick(far, [], gap_mm=GAP, reach_mm=150))


@given(st.integers(-120, 120), st.integers(-120, 120), lengths, lengths)
def test_sticking_never_changes_a_size_and_sticks_to_itself(x, y, width, depth):
    one = room(1, room_by_size(3000, 3000))
    put = room_by_size(width, depth, (3100 + x, 400 + y))
    stuck = stick(put, [one], gap_mm=GAP, reach_mm=150)
    assert size_of(stuck.outline) == (width, depth)
    assert stuck.outline[0][0] == 3100
    assert stick(stuck.outline, [one], gap_mm=GAP, reach_mm=150).outline == stuck.outline


def test_a_room_is_found_by_its_name():
    rooms = [room(1, room_by_size(1000, 1000), "Big  Hall"), Room(id="M2", name="Loft")]
    assert named_room(rooms, "big hall").id == "M1"
    for name in ("Loft", "Cellar"):
        with pytest.raises(HomeError, match=name):
            named_room(rooms, name)
