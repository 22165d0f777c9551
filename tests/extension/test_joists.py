"""Holes and notches in joists against the published tables."""

import pytest

from circuitmap.extension.joists import Cut, JoistRules, joist_rules, judge_cut
from circuitmap.home.records import Details
from circuitmap.trade import load


@pytest.fixture
def rules() -> JoistRules:
    return joist_rules(load(), Details())


@pytest.mark.parametrize(
    # Source: LABC, notches and holes in solid timber joists: span, hole zone, notch zone.
    ("span", "hole", "notch"),
    [
        (2000, (500, 800), (140, 500)),
        (2500, (625, 1000), (175, 625)),
        (3000, (750, 1200), (210, 750)),
        (4000, (1000, 1600), (280, 1000)),
    ],
)
def test_the_zones_are_those_of_the_table(
    rules: JoistRules, span: float, hole: tuple[float, float], notch: tuple[float, float]
) -> None:
    assert rules.hole_zones(span)[0] == pytest.approx(hole, abs=0.5)
    assert rules.notch_zones(span)[0] == pytest.approx(notch, abs=0.5)
    far = rules.hole_zones(span)[1]
    assert (span - far[1], span - far[0]) == pytest.approx(hole, abs=0.5), "the same from the other support"


@pytest.mark.parametrize(
    # Source: LABC, notches and holes in solid timber joists: depth, largest hole, deepest notch.
    ("depth", "hole", "notch"),
    [
        (100, 25.0, 12.5),
        (125, 31.3, 15.6),
        (150, 37.5, 18.8),
        (175, 43.8, 21.9),
        (200, 50.0, 25.0),
        (250, 62.5, 31.3),
        (275, 65, 34.4),
        (300, 65, 35),
    ],
)
def test_the_sizes_are_those_of_the_table(rules: JoistRules, depth: float, hole: float, notch: float) -> None:
    assert rules.largest_hole_mm(depth) == pytest.approx(hole, abs=0.06)
    assert rules.largest_notch_mm(depth) == pytest.approx(notch, abs=0.06)


def test_a_county_notes_example_rounds_the_notch_up(rules: JoistRules) -> None:
    # Source: county building-control guidance: span 3.0 m, joist of 150 mm: notch 210–750 mm, 19 mm deep (18.75).
    assert rules.notch_zones(3000)[0] == pytest.approx((210, 750))
    assert rules.largest_notch_mm(150) == pytest.approx(19, abs=0.3)


def test_a_home_may_follow_the_warranty_bodys_figures_for_notches() -> None:
    # Source: NHBC Standards 6.4.18: notch 0.1–0.2 of the span, 0.15 of the depth.
    names = ("notch from support share", "notch to middle share", "notch of depth share")
    rules = joist_rules(load(), Details(choices=tuple((name, "warranty body") for name in names)))
    assert rules.notch_zones(3000)[0] == pytest.approx((300, 600))
    assert rules.largest_notch_mm(200) == pytest.approx(30)


def test_a_hole_for_a_cable_in_its_zone_is_fine(rules: JoistRules) -> None:
    assert judge_cut(rules, 3000, 200, Cut("hole", 1000, 20)) == ()
    assert judge_cut(rules, 3000, 200, Cut("hole", 2000, 20)) == ()


@pytest.mark.parametrize(
    ("cut", "others", "says"),
    [
        (Cut("hole", 1500, 20), (), "750 to 1200 mm from either support"),
        (Cut("hole", 700, 20), (), "750 to 1200 mm"),
        (Cut("hole", 1000, 51), (), "at most 50.0 mm wide"),
        (Cut("notch", 1000, 20), (), "210 to 750 mm"),
        (Cut("notch", 500, 26), (), "at most 25.0 mm deep"),
        (Cut("hole", 1000, 20), (Cut("hole", 1050, 20),), "60 mm apart"),
        (Cut("hole", 1000, 20), (Cut("notch", 950, 20),), "100 mm apart"),
    ],
)
def test_what_is_wrong_is_said_in_a_sentence(rules: JoistRules, cut: Cut, others: tuple[Cut, ...], says: str) -> None:
    (wrong,) = judge_cut(rules, 3000, 200, cut, others)
    assert says in wrong


def test_a_shallow_joist_wants_the_cable_protected(rules: JoistRules) -> None:
    # BS 7671 522.6.201 (from memory): 50 mm from the top and the bottom, or protected.
    (wrong,) = judge_cut(rules, 3000, 100, Cut("hole", 1000, 20))
    assert "protect it" in wrong
    assert rules.least_depth_mm(20) == 120
