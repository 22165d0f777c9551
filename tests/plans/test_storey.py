"""The invented storeys of flats that teach: the same from the same seed, true to what they say, no homes."""

import hashlib
import json
from itertools import combinations, pairwise
from random import Random

import numpy as np
import pytest
from shapely import Point, Polygon

from tests.plans.drawn import draw_plan
from tests.plans.drawn_flats import COMMON, Thick, lay_out_flats
from tests.plans.drawn_storey import draw_storey
from tests.plans.taught_examples import SIDE, spoilt, storey_example

SEEDS = (300_001, 300_004)


def test_one_seed_draws_one_storey() -> None:
    first, again, other = draw_storey(3), draw_storey(3), draw_storey(4)
    assert first.grey.tobytes() == again.grey.tobytes()
    assert [r.corners_px.tolist() for r in first.rooms] == [r.corners_px.tolist() for r in again.rooms]
    assert first.grey.tobytes() != other.grey.tobytes()


@pytest.mark.parametrize("seed", SEEDS)
def test_rooms_lie_on_the_sheet_and_a_wall_apart(seed: int) -> None:
    drawn = draw_storey(seed)
    high, wide = drawn.grey.shape
    floors = [Polygon(room.corners_px) for room in drawn.rooms]
    assert len(floors) >= 4
    for floor in floors:
        assert floor.is_valid
        x0, y0, x1, y1 = floor.bounds
        assert min(x0, y0) > 0
        assert x1 < wide
        assert y1 < high
    thinnest_m = min(float(str(drawn.style[name])) for name in ("inner m", "main m"))
    for a, b in combinations(floors, 2):
        assert a.distance(b) > 0.48 * thinnest_m * drawn.px_per_m  # half a wall, where one goes on as an outer wall


def test_the_corners_said_are_where_the_ink_of_the_walls_begins() -> None:
    bare = {"furniture": 0.0, "tiles": False, "dims inside": False, "jpeg": None, "turn deg": 0.0, "specks": 0}
    black = {"walls": "black", "inner walls": "black", "wall ink": 0, "inner ink": 0, "light": 0.0, "grain": 0.0}
    drawn = draw_storey(6, {**bare, **black, "blur px": 0.0, "fade": 0.0, "paper": 255})
    levels = []
    for room in drawn.rooms:
        for start, end in pairwise(np.vstack([room.corners_px, room.corners_px[:1]])):
            along = (end - start) / np.hypot(*(end - start))
            inward = np.asarray([-along[1], along[0]])
            floor = Polygon(room.corners_px)
            if not floor.contains(Point((start + end) / 2 + inward)):
                inward = -inward
            for spot in (start + along * 0.03 * drawn.px_per_m, end - along * 0.03 * drawn.px_per_m):
                x, y = np.round(spot - 2 * inward).astype(int)
                levels.append(int(drawn.grey[y, x]))
    assert len(levels) > 40
    assert np.mean([level < 100 for level in levels]) > 0.97  # a door may stand close by a corner


def test_shafts_lie_in_no_room_and_walls_of_flats_are_thicker_than_those_within() -> None:
    thick = Thick(0.2, 0.16, 0.06)
    storeys = [lay_out_flats(Random(seed), thick) for seed in range(8)]
    assert sum(len(storey.shafts) for storey in storeys) > 8
    for storey in storeys:
        spaces = storey.layout.spaces
        assert all(shaft.distance(space.floor) > 0.05 for shaft in storey.shafts for space in spaces)
        for part in storey.layout.parts:
            if part.second < 0:
                assert part.thickness_m == thick.outer_m
                continue
            one, other = storey.flats[part.first], storey.flats[part.second]
            assert part.thickness_m == (thick.inner_m if one == other != COMMON else thick.main_m)


def test_an_example_is_a_storey_as_the_network_sees_it() -> None:
    whole = storey_example(SEEDS[0])
    assert whole.dark.shape == whole.rooms.shape
    assert 40 < whole.px_per_m < 120
    inked = whole.dark > 0.3
    assert inked[whole.rooms == 0].mean() > inked[whole.rooms > 0].mean()  # walls are, floors for the most part not
    dark, truth, weights = spoilt(whole, Random(1))
    assert dark.shape == truth.shape == weights.shape == (SIDE, SIDE)
    assert set(np.unique(truth)) <= {0.0, 1.0}


def test_the_homes_that_tracing_is_measured_by_are_those_they_were() -> None:
    said = []
    for seed in (2000, 2001, 2002, 2197):
        drawn = draw_plan(seed)
        said.append([drawn.style, [[room.name, room.corners_px.round(1).tolist()] for room in drawn.rooms]])
    digest = hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()
    assert digest[:16] == "53e9d62de40a6970"
