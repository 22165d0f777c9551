"""The rooms of the real plan marked by hand are rooms, and their corners lie on lines of the picture."""

import json
from itertools import combinations, pairwise

import numpy as np
import pytest
from PIL import Image
from shapely import Point, Polygon, box

from tests.plans.real_plan import ABSENT, PICTURE, PX_PER_M, ROOMS, marked_rooms


def test_a_dozen_rooms_of_different_kinds_are_marked() -> None:
    rooms = marked_rooms()
    assert len(rooms) >= 12
    assert len({room.name for room in rooms}) == len(rooms)
    kinds = " ".join(room.kind for room in rooms)
    assert all(word in kinds for word in ("tiles", "furniture", "L-shaped", "corridor", "kitchen"))
    assert json.loads(ROOMS.read_text(encoding="utf-8"))["note"]


def test_every_marked_room_is_a_squared_room_of_a_sensible_size_with_its_click_inside() -> None:
    sheet = box(0, 0, *json.loads(ROOMS.read_text(encoding="utf-8"))["size_px"])
    for room in marked_rooms():
        floor = Polygon(room.corners_px)
        assert floor.is_valid, room.name
        assert sheet.contains(floor), room.name
        assert floor.buffer(-20).contains(Point(room.click_px)), room.name
        assert 2 < floor.area / PX_PER_M**2 < 70, room.name
        ring = np.vstack([room.corners_px, room.corners_px[:1]])
        assert all(min(abs(a - b)) < 1 for a, b in pairwise(ring)), room.name  # all its walls run along the sheet


def test_marked_rooms_do_not_overlap() -> None:
    for a, b in combinations(marked_rooms(), 2):
        assert Polygon(a.corners_px).intersection(Polygon(b.corners_px)).area == 0, (a.name, b.name)


@pytest.mark.skipif(not PICTURE.exists(), reason=ABSENT)
def test_the_walls_marked_are_drawn_in_the_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", None)
    with Image.open(PICTURE) as picture:
        ink = np.asarray(picture.getchannel("A")) > 60
    for room in marked_rooms():
        ring = np.vstack([room.corners_px, room.corners_px[:1]])
        drawn = total = 0
        for start, end in pairwise(ring):
            steps = int(np.abs(end - start).max())
            along = np.round(start + (end - start) * np.linspace(0.05, 0.95, steps)[:, None]).astype(int)
            drawn += sum(bool(ink[y - 2 : y + 3, x - 2 : x + 3].any()) for x, y in along)
            total += steps
        # Doorways have no line on the room's side, or only a swing's.
        assert drawn / total > 0.75, (room.name, drawn / total)
