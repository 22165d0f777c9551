"""What the network is given, and that its answer hangs on the drawing alone, not on the size or edge of the picture."""

import numpy as np
import pytest

from circuitmap.plan.tracing import seen
from circuitmap.plan.tracing.seen import STEP, chances, darkness, near
from tests.plan.tracing.sheets import BEDROOM, HALL, LIVING, flat


def test_paper_is_0_and_ink_1_whatever_their_levels() -> None:
    grey = np.full((200, 200), 230, np.uint8)
    grey[50:100, 50:100] = 40
    dark = darkness(grey)
    assert abs(float(dark[0, 0])) < 0.02
    assert abs(float(dark[60, 60]) - 1) < 1e-6


def test_faint_ink_is_not_blown_up() -> None:
    grey = np.full((200, 200), 230, np.uint8)
    grey[50:100, 50:100] = 220
    assert float(darkness(grey)[60, 60]) <= 10 / 40 + 1e-6


def test_rooms_are_likely_and_walls_are_not() -> None:
    odds = chances(flat())
    assert odds.shape == flat().shape
    for left, top, right, bottom in (LIVING, HALL, BEDROOM):
        assert np.median(odds[top + 8 : bottom - 8, left + 8 : right - 8]) > 2
    assert np.median(odds[62:98, 500:690]) < -2  # the outer wall
    assert np.median(odds[:30]) < -2


def test_a_wider_margin_changes_little_inside() -> None:
    sheet = flat()
    wider = np.pad(sheet, ((STEP, 0), (STEP, 0)), constant_values=255)
    one, other = chances(sheet), chances(wider)[STEP:, STEP:]
    assert ((one > 0) == (other > 0)).mean() > 0.99


@pytest.mark.parametrize("is_tall", [False, True])
def test_a_large_picture_seen_in_bands_is_seen_the_same(monkeypatch: pytest.MonkeyPatch, is_tall: bool) -> None:
    two = np.hstack([flat(), flat()])
    sheet = np.ascontiguousarray(two.T) if is_tall else two
    whole = near(sheet)
    monkeypatch.setattr(seen, "_BAND_PX", sheet.size / 3)
    in_bands = near(sheet)
    assert in_bands.shape == sheet.shape
    assert ((whole > 0) == (in_bands > 0)).mean() > 0.99
