"""Openings read off a wall that is drawn to the pixel; the room lies below it, another or nothing above."""

import cv2
import numpy as np
import pytest

from circuitmap.plan.tracing.found import Opening
from circuitmap.plan.tracing.openings import openings_of
from tests.plan.tracing.sheets import Grey

TOP, FACE, DEPTH = 100, 120, 20  # the wall lies in rows 100 … 119, the room from row 120 on
LEFT, RIGHT = 50, 450


def drawn(walls: str, other_room: bool) -> tuple[Grey, np.ndarray]:
    ink = np.zeros((400, 500), np.uint8)
    if walls == "filled":
        ink[TOP:FACE, 20:480] = 1
    else:
        ink[TOP, 20:480] = ink[FACE - 1, 20:480] = 1
    if walls == "hatched":
        for x in range(0, 520, 9):
            cv2.line(ink, (x, FACE - 1), (x + DEPTH, TOP), 1, 1)
    rooms = np.zeros(ink.shape, np.int32)
    rooms[FACE:380, LEFT:RIGHT] = 1
    if other_room:
        rooms[10:TOP, LEFT:RIGHT] = 2
    return ink, rooms


def gap(ink: Grey, start: int, end: int, hollow: bool) -> None:
    ink[TOP:FACE, start:end] = 0
    if hollow:
        ink[TOP:FACE, start - 1] = ink[TOP:FACE, end] = 1


def top_openings(ink: Grey, rooms: np.ndarray) -> list[Opening]:
    corners = np.array([[LEFT, FACE], [RIGHT, FACE], [RIGHT, 380], [LEFT, 380]], dtype=float) - 0.5
    found = openings_of(corners, 1, rooms, ink)
    return [one for one in found if one.a_px[1] < FACE and abs(one.a_px[1] - one.b_px[1]) < 1]


@pytest.mark.parametrize("walls", ["filled", "hollow", "hatched"])
@pytest.mark.parametrize("other_room", [True, False])
def test_a_door_is_where_nothing_is_drawn(walls: str, other_room: bool) -> None:
    ink, rooms = drawn(walls, other_room)
    gap(ink, 200, 280, walls != "filled")
    (door,) = top_openings(ink, rooms)
    assert door.kind == "opening"
    assert door.width_px == pytest.approx(80, abs=3)
    assert door.depth_px == pytest.approx(DEPTH, abs=2)
    assert sorted([door.a_px[0], door.b_px[0]]) == pytest.approx([200, 280], abs=3)
    assert door.a_px[1] == pytest.approx((TOP + FACE) / 2, abs=1.5)


@pytest.mark.parametrize("walls", ["filled", "hollow", "hatched"])
def test_a_window_is_where_lines_run_along(walls: str) -> None:
    ink, rooms = drawn(walls, False)
    gap(ink, 150, 260, walls != "filled")
    for y in (TOP, TOP + 10, FACE - 1):
        ink[y, 150:260] = 1
    (window,) = top_openings(ink, rooms)
    assert window.kind == "inked"
    assert window.width_px == pytest.approx(110, abs=6)


@pytest.mark.parametrize("walls", ["filled", "hollow", "hatched"])
def test_a_wall_without_a_gap_has_no_opening(walls: str) -> None:
    assert not top_openings(*drawn(walls, True))


def test_a_nick_is_no_door() -> None:
    ink, rooms = drawn("filled", True)
    gap(ink, 200, 207, False)
    assert not top_openings(ink, rooms)
