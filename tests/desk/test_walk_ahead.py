"""The walk ahead on the canvas: it begins at whose turn it is, shrinks with every answer, and is no record's mark."""

import pytest

from circuitmap.desk.canvas.pen import Pen
from circuitmap.desk.window import Window
from tests.desk.conftest import Opened
from tests.desk.driving import settle
from tests.desk.survey_home import SmallHome


@pytest.fixture
def window(opened: Opened) -> Window:
    home = SmallHome()
    home.asked()
    window = opened(home.home)
    window.adapter.set_stage("survey")
    window.cursor_.start_visit()
    window.cursor_.start_look()
    settle()
    return window


def first_spot(window: Window) -> tuple[float, float]:
    mark = window.view.plan_scene.aside[0]
    return mark.pts[0]  # type: ignore[union-attr]  # a walk is lines only


def test_the_line_begins_at_the_point_whose_turn_it_is_and_goes_on_from_there(window: Window) -> None:
    scene, cursor = window.view.plan_scene, window.cursor_
    assert first_spot(window) == scene.glyph_centre(cursor.point)
    assert cursor.ahead[0] == cursor.point
    assert set(cursor.ahead) == set(cursor.left)
    before = sum(len(mark.pts) for mark in scene.aside)  # type: ignore[union-attr]  # the same
    cursor.answer("still on")
    settle()
    assert first_spot(window) == scene.glyph_centre(cursor.point)
    assert sum(len(mark.pts) for mark in scene.aside) < before  # type: ignore[union-attr]  # the same


def test_a_point_gone_past_comes_at_the_end_of_the_line(window: Window) -> None:
    cursor = window.cursor_
    skipped = cursor.point
    cursor.next()
    settle()
    assert cursor.ahead[0] == cursor.point != skipped
    assert cursor.ahead[-1] == skipped


def test_nothing_on_the_plan_points_at_the_line_and_no_record_has_it(window: Window) -> None:
    scene, view = window.view.plan_scene, window.view
    ids = set(scene.ids)
    assert scene.aside
    (x, y), (to_x, to_y) = scene.aside[0].pts[:2]  # type: ignore[union-attr]  # the same
    middle = view.to_px(((x + to_x) / 2, (y + to_y) / 2))
    with_line = view.hits(view.touch_at(middle))
    scene.show_aside(())
    assert set(scene.ids) == ids
    assert view.hits(view.touch_at(middle)) == with_line


def test_it_goes_when_the_stage_is_left_and_when_the_walk_is_over(window: Window) -> None:
    scene, cursor = window.view.plan_scene, window.cursor_
    window.adapter.set_stage("wiring")
    settle()
    assert scene.aside == ()
    window.adapter.set_stage("survey")
    settle()
    assert scene.aside
    while cursor.left:
        cursor.answer("still on")
    cursor.end_look()
    settle()
    assert scene.aside == ()


def test_it_is_drawn_again_in_another_theme(window: Window) -> None:
    scene = window.view.plan_scene
    count, marks = len(scene.items()), scene.aside
    scene.set_pen(Pen("dark"))
    assert scene.aside == marks
    assert len(scene.items()) == count
