"""Placing symbols, names and codes on paper: nothing over anything, or an honest refusal."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.paper.chart_layout import CrowdedError, Label, Layout, NamedRoom, Style, Thing, lay_out, text_size

STYLE = Style(disc=8.5, code=10.4, name=11.5, around=17.0)
SIZE = (600.0, 400.0)


def thing(number: int, x: float, y: float, faces: tuple[float, float] | None = None, code: str = "A3") -> Thing:
    return Thing(f"P{number}", (x, y), faces, STYLE.disc, code, (x, y))


def room(number: int, name: str, left: float, top: float, right: float, bottom: float) -> NamedRoom:
    outline = ((left, top), (right, top), (right, bottom), (left, bottom))
    return NamedRoom(f"M{number}", name, outline, ((left + right) / 2, (top + bottom) / 2))


def holds(layout: Layout, things: list[Thing]) -> None:
    labels: list[Label] = [*layout.codes, *layout.names]
    boxes = [label.box for label in labels]
    for n, one in enumerate(boxes):
        assert min(one[0], one[1]) >= 0
        assert one[2] <= SIZE[0]
        assert one[3] <= SIZE[1]
        for two in boxes[:n]:
            assert min(one[2], two[2]) <= max(one[0], two[0]) or min(one[3], two[3]) <= max(one[1], two[1])
    for n, each in enumerate(things):
        x, y = layout.at[each.record]
        for box in boxes:
            near = (min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3]))
            assert math.dist(near, (x, y)) >= each.radius * 0.95
        for other in things[:n]:
            assert math.dist(layout.at[other.record], (x, y)) >= (each.radius + other.radius) * 0.99


@given(
    st.lists(
        st.tuples(
            st.floats(40, 560), st.floats(40, 360), st.sampled_from([None, (0.0, 1.0), (1.0, 0.0), (0.0, -1.0)]),
            st.sampled_from(["A3", "A12", "A3/A4?", "?", ""]),
        ),
        max_size=40,
    )
)  # fmt: skip
def test_whatever_stands_on_a_plan_is_laid_out_apart_or_refused(
    rows: list[tuple[float, float, tuple[float, float] | None, str]],
) -> None:
    things = [thing(n, *row) for n, row in enumerate(rows)]
    rooms = [room(1, "Kitchen", 20, 20, 300, 380), room(2, "Living room", 300, 20, 580, 380)]
    try:
        layout = lay_out(things, rooms, SIZE, STYLE)
    except CrowdedError:
        assert len(things) > 1
        return
    holds(layout, things)
    assert {label.record for label in layout.codes} == {each.record for each in things if each.code}
    assert {label.record for label in layout.names} == {"M1", "M2"}


def test_points_on_one_spot_of_a_wall_part_along_the_wall() -> None:
    things = [thing(n, 300.0, 200.0, (0.0, 1.0)) for n in range(3)]
    layout = lay_out(things, [], SIZE, STYLE)
    assert {round(layout.at[each.record][1], 3) for each in things} == {200.0}
    holds(layout, things)


def test_a_code_stands_in_front_of_its_wall_when_there_is_room() -> None:
    (label,) = lay_out([thing(1, 300, 200, (0.0, 1.0))], [], SIZE, STYLE).codes
    assert label.box[1] > 200
    assert label.line is None


def test_a_code_that_has_to_go_further_off_is_led_to_its_symbol() -> None:
    things = [thing(10 * i + j, 200 + 28 * i, 100 + 28 * j) for i in range(3) for j in range(3)]
    layout = lay_out(things, [], SIZE, STYLE)
    holds(layout, things)
    led = [label for label in layout.codes if label.line is not None]
    assert led
    for label in led:
        assert label.line is not None
        start, stop = label.line
        assert math.dist(start, layout.at[label.record]) == pytest.approx(STYLE.disc, abs=0.5)
        assert label.box[0] - 0.01 <= stop[0] <= label.box[2] + 0.01


def test_too_much_for_the_paper_is_refused() -> None:
    things = [thing(100 * i + j, 10 + 9 * i, 10 + 9 * j) for i in range(60) for j in range(40)]
    with pytest.raises(CrowdedError):
        lay_out(things, [], SIZE, STYLE)


def test_a_name_is_set_in_lines_or_smaller_before_a_number_stands_for_it() -> None:
    whole = lay_out([], [room(1, "Utility", 20, 20, 300, 200)], SIZE, STYLE).names[0]
    assert (whole.lines, whole.size) == (("Utility",), STYLE.name)
    lines = lay_out([], [room(1, "Cylinder cupboard", 20, 20, 90, 100)], SIZE, STYLE).names[0]
    assert lines.lines == ("Cylinder", "cupboard")
    layout = lay_out([], [room(1, "Cylinder cupboard by the stairs", 20, 20, 50, 60)], SIZE, STYLE, first_number=4)
    assert layout.numbered == {"M1": 4}
    assert layout.names[0].lines == ("(4)",)


def test_a_name_keeps_off_the_stairs_when_it_can() -> None:
    hall = room(1, "Hall", 20, 20, 400, 200)
    stairs = (120.0, 20.0, 400.0, 200.0)
    (name,) = lay_out([], [hall], SIZE, STYLE, busy=[stairs]).names
    assert name.box[2] <= stairs[0]
    (name,) = lay_out([], [hall], SIZE, STYLE, busy=[(0.0, 0.0, 600.0, 400.0)]).names
    assert name.lines == ("Hall",)


def test_text_boxes_grow_with_lines() -> None:
    assert text_size(("A3",), 10)[1] * 2 == pytest.approx(text_size(("A3", "A4"), 10)[1])
