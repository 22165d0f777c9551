"""Boxes and chases in walls: a third and a sixth of a leaf; depths are common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.design.boxes import chase_limit_mm, depth_needed_mm, judge_box, judge_chase, leaf_mm
from circuitmap.errors import PersonError
from circuitmap.trade import DEFAULT_EDITION, Trade, load
from circuitmap.words import Build

EDITION = DEFAULT_EDITION


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def test_a_third_upright_and_a_sixth_level(trade: Trade) -> None:
    """Approved Document A 2C30, from memory: of a 100 mm leaf 33 mm upright and 16.7 mm level."""
    assert chase_limit_mm(trade, 100, "upright", EDITION)[0] == pytest.approx(33.3)
    assert chase_limit_mm(trade, 100, "level", EDITION)[0] == pytest.approx(16.7)
    upright = judge_chase(trade, "block", 126, 13 + 33, way="upright", edition=EDITION)
    level = judge_chase(trade, "block", 126, 13 + 33, way="level", edition=EDITION)
    assert (upright.answer, level.answer) == ("yes", "no")
    assert judge_chase(trade, "block", 126, 13 + 34, way="upright", edition=EDITION).answer == "no"


def test_a_cavity_wall_has_one_leaf_to_cut_and_a_partition_all_its_masonry(trade: Trade) -> None:
    assert leaf_mm(trade, "brick", 280, is_outer=True) == 100
    assert leaf_mm(trade, "brick", 280) == 254  # as thick, but indoors: no cavity
    assert leaf_mm(trade, "block", 126) == 100
    assert leaf_mm(trade, "concrete", 280, is_outer=True) == 254


def test_nothing_is_cut_back_to_back(trade: Trade) -> None:
    behind = judge_chase(trade, "brick", 126, 25, way="upright", edition=EDITION, is_back_to_back=True)
    assert behind.answer == "no"
    in_plaster = judge_chase(trade, "brick", 126, 12, way="upright", edition=EDITION, is_back_to_back=True)
    assert in_plaster.answer == "yes"


@pytest.mark.parametrize(
    ("kind", "deep", "mm"),
    [("switch", False, 16), ("socket", False, 25), ("socket", True, 35), ("usb socket", False, 35),
     ("cooker control unit", False, 47), ("cooker control unit", True, 47)],
)  # fmt: skip
def test_how_deep_a_box_an_accessory_wants(trade: Trade, kind: str, deep: bool, mm: int) -> None:
    """Common practice, no source; sizes from memory: BS 4662."""
    assert depth_needed_mm(trade, kind, is_deep=deep) == mm  # type: ignore[arg-type]  # words of the vocabulary


@pytest.mark.parametrize(
    ("build", "thickness_mm", "depth_mm", "behind_mm", "answer"),
    [
        ("block", 126, 35, 0, "yes"),  # 22 mm of 100 cut
        ("block", 126, 47, 0, "can't judge"),  # 34 mm: just over a third
        ("brick", 60, 35, 0, "no"),  # 34 mm of brick on edge: 12 mm would be left
        ("block", 126, 35, 35, "can't judge"),  # 44 mm cut by both, 56 mm left between two boxes
        ("brick", 241, 35, 35, "yes"),  # 44 mm of 215 cut by both
        ("block", 80, 35, 35, "no"),  # 10 mm left
        ("stud", 75, 47, 0, "yes"),  # 62.5 mm to the other board
        ("stud", 57, 47, 0, "no"),
        ("stud", 75, 47, 35, "no"),  # 40 mm to the box behind
        ("lined", 140, 35, 0, "yes"),  # board and gap take 24.5 mm of it
        ("unknown", 126, 35, 0, "can't judge"),
        ("brick", None, 35, 0, "can't judge"),
    ],
)
def test_whether_a_wall_takes_a_box(
    trade: Trade, build: Build, thickness_mm: float | None, depth_mm: float, behind_mm: float, answer: str
) -> None:
    """Arithmetic on 13 mm of plaster and 12.5 mm of board (common practice, no source)."""
    found = judge_box(trade, "usb socket", build, thickness_mm, edition=EDITION, depth_mm=depth_mm, behind_mm=behind_mm)
    assert found.verdict.answer == answer, found.verdict.says


def test_a_box_shallower_than_its_accessory_is_no_box_for_it(trade: Trade) -> None:
    found = judge_box(trade, "usb socket", "brick", 126, edition=EDITION, depth_mm=25)
    assert found.verdict.answer == "no"
    assert "35 mm" in found.verdict.says


def test_an_accessory_that_no_table_has_asks_for_its_makers_figure(trade: Trade) -> None:
    found = judge_box(trade, "smoke alarm", "brick", 126, edition=EDITION)
    assert found.verdict.answer == "can't judge"
    assert "maker" in found.verdict.says


@given(st.floats(50, 400), st.sampled_from([16.0, 25.0, 35.0, 47.0]), st.floats(0, 200))
def test_a_thicker_wall_is_never_worse(thickness_mm: float, depth_mm: float, more_mm: float) -> None:
    trade = load()
    rank = {"no": 0, "can't judge": 1, "yes": 2}
    for build in ("brick", "stud", "lined"):
        thin, thick = (
            judge_box(trade, "switch", build, mm, edition=EDITION, depth_mm=depth_mm).verdict.answer  # type: ignore[arg-type]
            for mm in (thickness_mm, thickness_mm + more_mm)
        )
        assert rank[thick] >= rank[thin]


def test_depths_that_cannot_be_are_refused(trade: Trade) -> None:
    with pytest.raises(PersonError, match="above zero"):
        judge_box(trade, "socket", "brick", 126, edition=EDITION, depth_mm=0)
    with pytest.raises(PersonError, match="above zero"):
        judge_chase(trade, "brick", 126, -5, way="level", edition=EDITION)
    assert judge_chase(trade, "stud", 75, 20, way="level", edition=EDITION).answer == "yes"
    assert judge_chase(trade, "unknown", 126, 20, way="level", edition=EDITION).answer == "can't judge"
    assert judge_chase(trade, "brick", None, 20, way="level", edition=EDITION).answer == "can't judge"
