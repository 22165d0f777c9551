"""The invented drawings: the same from the same seed, and true to what they say of themselves."""

from itertools import combinations, pairwise
from random import Random

import numpy as np
import pytest
from shapely import Point, Polygon

from tests.plans.drawn import draw_plan
from tests.plans.drawn_style import style_of

SEEDS = (0, 1, 2, 5, 7)


def test_one_seed_draws_one_plan() -> None:
    first, again, other = draw_plan(4), draw_plan(4), draw_plan(7)
    assert first.grey.tobytes() == again.grey.tobytes()
    assert [r.corners_px.tolist() for r in first.rooms] == [r.corners_px.tolist() for r in again.rooms]
    assert first.style == again.style
    assert first.texts == again.texts
    assert first.grey.tobytes() != other.grey.tobytes()


@pytest.mark.parametrize("seed", SEEDS)
def test_rooms_lie_on_the_sheet_and_apart(seed: int) -> None:
    drawn = draw_plan(seed)
    high, wide = drawn.grey.shape
    floors = [Polygon(room.corners_px) for room in drawn.rooms]
    assert len(floors) >= 4
    for floor in floors:
        assert floor.is_valid
        assert floor.area > 0.5 * drawn.px_per_m**2
        x0, y0, x1, y1 = floor.bounds
        assert min(x0, y0) > 0
        assert x1 < wide
        assert y1 < high
    for a, b in combinations(floors, 2):
        assert a.distance(b) > 0.06 * drawn.px_per_m  # a wall stands between any two


@pytest.mark.parametrize("turn_deg", [0.0, 2.5])
def test_the_corners_said_are_where_the_ink_of_the_walls_begins(turn_deg: float) -> None:
    style = {"difficulty": "easy", "walls": "black", "doors": "swing", "windows": False, "turn deg": turn_deg}
    drawn = draw_plan(12, {**style, "furniture": 0.0, "texts": "none", "jpeg": None})
    checked = 0
    for room in drawn.rooms:
        ring = np.vstack([room.corners_px, room.corners_px[:1]])
        floor = Polygon(room.corners_px)
        for start, end in pairwise(ring):
            along = (end - start) / np.hypot(*(end - start))
            inward = np.asarray([-along[1], along[0]])
            if not floor.contains(Point((start + end) / 2 + inward)):
                inward = -inward
            for spot in (start + along * 0.07 * drawn.px_per_m, end - along * 0.07 * drawn.px_per_m):
                x_out, y_out = np.round(spot - 2 * inward).astype(int)
                x_in, y_in = np.round(spot + 2 * inward).astype(int)
                assert drawn.grey[y_out, x_out] < 60, (room.name, spot)
                assert drawn.grey[y_in, x_in] > 200, (room.name, spot)
                checked += 1
    assert checked > 30


def test_a_third_of_the_seeds_each_are_easy_medium_and_hard() -> None:
    found = [style_of(Random(seed), seed)["difficulty"] for seed in range(30)]
    assert {name: found.count(name) for name in found} == {"easy": 10, "medium": 10, "hard": 10}


def test_a_feature_can_be_forced_and_a_misspelt_one_is_refused() -> None:
    drawn = draw_plan(3, {"walls": "hollow", "turn deg": 2.0})
    assert drawn.style["walls"] == drawn.style["inner walls"] == "hollow"
    assert drawn.style["turn deg"] == 2.0
    with pytest.raises(ValueError, match="wals"):
        draw_plan(3, {"wals": "hollow"})


def test_the_longer_side_is_a_thousand_to_six_thousand_pixels() -> None:
    sides = [max(draw_plan(seed).grey.shape) for seed in range(20, 32)]
    assert min(sides) >= 950
    assert max(sides) <= 6010


def test_words_are_told_with_their_places() -> None:
    drawn = draw_plan(5)
    assert len([text for text in drawn.texts if text.words]) > len(drawn.rooms)
    high, wide = drawn.grey.shape
    assert all(0 <= text.x_px < wide and 0 <= text.y_px < high for text in drawn.texts)


def test_a_line_round_the_sheet_keeps_clear_of_the_rooms_and_moves_none() -> None:
    plain, framed = (draw_plan(9, {"sheet frame": has_frame, "jpeg": None}) for has_frame in (False, True))
    assert [r.corners_px.tolist() for r in plain.rooms] == [r.corners_px.tolist() for r in framed.rooms]
    high, wide = framed.grey.shape
    middle = framed.grey[high // 2].astype(int) - plain.grey[high // 2]
    marked = np.flatnonzero(middle < -80)  # where a row across the sheet is darker than without the frame
    assert 0 < marked[0] < wide * 0.1
    assert wide * 0.9 < marked[-1] < wide
    left, right = (
        min(r.corners_px[:, 0].min() for r in framed.rooms),
        max(r.corners_px[:, 0].max() for r in framed.rooms),
    )
    assert not ((marked > left) & (marked < right)).any()


@pytest.mark.parametrize("is_smooth", [True, False])
def test_the_faces_of_solid_walls_are_true_to_a_fraction_of_a_pixel(is_smooth: bool) -> None:
    style: dict[str, object] = {"difficulty": "easy", "walls": "black", "furniture": 0.0, "texts": "none", "jpeg": None}
    drawn = draw_plan(9, {**style, "smooth": is_smooth, "paper": 255, "windows": False, "slant": "none"})
    ink = float(str(drawn.style["wall ink"]))
    off_px = []
    for room in drawn.rooms:
        for start, end in pairwise(np.vstack([room.corners_px, room.corners_px[:1]])):
            if abs(start[0] - end[0]) < 0.01:  # a wall down the sheet: where does its ink end in a row across it?
                x, y = int(start[0]), int(start[1] + 0.07 * drawn.px_per_m * np.sign(end[1] - start[1]))
                cover = (255 - drawn.grey[y, x - 4 : x + 6].astype(float)) / (255 - ink)
                is_left = cover[0] > 0.5
                face = x - 4.5 + cover.sum() if is_left else x + 5.5 - cover.sum()
                off_px.append((face - start[0]) * (1 if is_left else -1))
    assert len(off_px) > 8
    assert abs(np.mean(off_px)) < 0.15
    assert np.abs(off_px).max() < (0.1 if is_smooth else 0.7)
