"""Scales from print, paper and rooms, worked by hand; papers by ISO 216, points by ISO 32000."""

import itertools
import math

import pytest

from circuitmap import trade
from circuitmap.errors import HomeError, QuantityError
from circuitmap.plan import scale_from_two_points, to_plan
from circuitmap.plan.rectify import laid_flat
from circuitmap.plan.scale import (
    MM_PER_POINT,
    PAPERS_MM,
    PrintedScale,
    door_check,
    laid_by_print,
    mm_per_px_of_dpi,
    mm_per_px_of_paper,
    paper_of,
    paper_sides_mm,
    parse_printed_scale,
    scale_from_print,
    scale_from_room,
    scaled_to,
)


def apart_mm(transform, a, b) -> float:
    return math.dist(to_plan(transform, *a), to_plan(transform, *b))


@pytest.mark.parametrize(
    ("typed", "ratio", "paper"),
    [
        ("1:50 at A3", 50, "A3"), ("1:50@A3", 50, "A3"), ("1/100", 100, ""), ("1 to 50 on a1", 50, "A1"),
        ("Scale 1:100 (A1)", 100, "A1"), ("1 : 20", 20, ""), ("1:1250, A4", 1250, "A4"), ("1 in 50", 50, ""),
        # A quarter of an inch to the foot is 1:48, an eighth 1:96 (arithmetic).
        ("1/4\" = 1'-0\"", 48, ""), ("1/8 in = 1 ft at A3", 96, "A3"), ("1 in to 4 ft", 48, ""), ("2 cm = 1 m", 50, ""),
    ],
)  # fmt: skip
def test_a_printed_scale_is_read(typed: str, ratio: float, paper: str) -> None:
    found = parse_printed_scale(typed)
    assert found.ratio == pytest.approx(ratio)
    assert found.paper == paper


@pytest.mark.parametrize("typed", ["", "50", "1:", "1:0", "1:3", "1:50 at A9", "1:99999", "x = y", "3 = 4", "1:5" * 40])
def test_what_is_no_scale_is_refused_in_a_sentence(typed: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_printed_scale(typed)
    assert str(caught.value).endswith(".")


def test_papers_halve_and_keep_their_shape() -> None:
    # Source: ISO 216: each size is half of the one before, sides as 1 to the root of 2, A0 is one square metre.
    sizes = list(PAPERS_MM.values())
    assert math.prod(sizes[0]) / 1e6 == pytest.approx(1, abs=1e-3)
    for (short, long), (smaller, larger) in itertools.pairwise(sizes):
        assert larger == short
        assert smaller == long // 2
        assert long / short == pytest.approx(math.sqrt(2), abs=0.01)
    assert paper_of(420, 297) == "A3"
    assert paper_of(215.9, 279.4) == ""


def test_a_vector_sheet_is_to_scale_by_its_points_exactly() -> None:
    # A3 is 1190.55 points wide. A wall of 141.732 points is 50 mm of paper: at 1:50, 2.5 m.
    found = scale_from_print(PrintedScale(50, "A3"), MM_PER_POINT, (1190.55 * MM_PER_POINT, 841.89 * MM_PER_POINT))
    assert apart_mm(found.px_to_plan_mm, (100, 100), (241.732, 100)) == pytest.approx(2500, rel=1e-5)
    assert "A4" not in found.says
    assert "check one length" in found.says


def test_a_sheet_saved_on_smaller_paper_has_a_smaller_scale_and_says_so() -> None:
    # 420 / 297 = 1.414: 1:50 drawn for A3 is 1:70.7 on A4.
    found = scale_from_print(PrintedScale(50, "A3"), 1.0, (297, 210))
    assert apart_mm(found.px_to_plan_mm, (0, 0), (100, 0)) == pytest.approx(100 * 50 * 420 / 297)
    assert found.says.startswith("The page is A4, so 1:50 at A3 is 1:70.7 here.")


def test_a_page_of_another_shape_is_refused() -> None:
    with pytest.raises(HomeError, match="not the shape of A3"):
        scale_from_print(PrintedScale(50, "A3"), 1.0, (500, 210))
    with pytest.raises(HomeError, match="not known"):
        scale_from_print(PrintedScale(50), math.nan)


def test_a_scan_is_to_scale_by_its_dots_or_by_being_a_whole_sheet() -> None:
    # 300 dots to 25.4 mm: A4 scans as 2480 × 3508.
    assert mm_per_px_of_dpi(300) == pytest.approx(25.4 / 300)
    assert mm_per_px_of_paper(2480, 3508, "A4") == pytest.approx(25.4 / 300, rel=1e-3)
    assert mm_per_px_of_paper(3508, 2480, "A4") == pytest.approx(25.4 / 300, rel=1e-3)
    with pytest.raises(HomeError, match="whole sheet"):
        mm_per_px_of_paper(2480, 2480, "A4")
    with pytest.raises(HomeError, match="not known"):
        mm_per_px_of_paper(2480, 3508, "B4")
    for dpi in (0, 5, math.nan, math.inf, 1e6):
        with pytest.raises(HomeError):
            mm_per_px_of_dpi(dpi)


def test_a_photographed_sheet_is_to_scale_by_its_corners_and_its_print() -> None:
    corners = ((158, 64), (494, 69), (470, 304), (190, 304))
    # A3 lying on its long side at 1:50: 420 × 50 = 21 m across, 297 × 50 = 14.85 m down.
    found = laid_by_print(corners, parse_printed_scale("1:50 at A3"), origin_mm=(100, 0)).px_to_plan_mm
    assert to_plan(found, *corners[0]) == pytest.approx((100, 0))
    assert to_plan(found, *corners[2]) == pytest.approx((21_100, 14_850))
    upright = ((0, 0), (300, 0), (310, 420), (0, 410))
    assert paper_sides_mm("A4", upright) == (210, 297)
    with pytest.raises(HomeError, match="size of the sheet"):
        laid_by_print(corners, PrintedScale(50))
    with pytest.raises(HomeError, match="not known"):
        paper_sides_mm("B3", corners)


def test_a_photograph_laid_flat_keeps_its_straightening_when_it_gets_its_scale() -> None:
    corners = ((158, 64), (494, 69), (470, 404), (190, 404))
    flat = laid_flat(corners, 3000, 4000)
    found = scaled_to(flat, corners[0], corners[1], 3600)
    assert apart_mm(found, corners[0], corners[1]) == pytest.approx(3600)
    assert apart_mm(found, corners[1], corners[2]) == pytest.approx(4800)
    assert to_plan(found, *corners[0]) == pytest.approx(to_plan(flat, *corners[0]))
    held = scaled_to(flat, corners[0], corners[1], 3600, keep_px=corners[2])
    assert to_plan(held, *corners[2]) == pytest.approx((3000, 4000))
    with pytest.raises(HomeError):
        scaled_to(flat, corners[0], corners[0], 3600)
    with pytest.raises(HomeError):
        scaled_to(flat, corners[0], corners[1], 0)


def test_the_scale_of_two_points_and_its_later_correction_agree() -> None:
    first = scale_from_two_points((0, 0), (100, 0), 1000)
    assert scaled_to(first, (0, 0), (100, 0), 3000) == pytest.approx(scale_from_two_points((0, 0), (100, 0), 3000))


def test_a_known_room_gives_the_scale_along_its_own_walls() -> None:
    # 360 × 420 px turned by 2°: 3.6 m across makes 10 mm to the pixel.
    turn = math.radians(2)
    corners = [
        (x * math.cos(turn) - y * math.sin(turn) + 50, x * math.sin(turn) + y * math.cos(turn) + 80)
        for x, y in ((0, 0), (360, 0), (360, 420), (0, 420))
    ]
    found = scale_from_room(corners, across_mm=3600)
    assert apart_mm(found.px_to_plan_mm, (0, 0), (100, 0)) == pytest.approx(1000)
    assert "across it" in found.says
    assert scale_from_room(corners, down_mm=4200).px_to_plan_mm == pytest.approx(found.px_to_plan_mm)
    assert "agree within 0.0 %" in scale_from_room(corners, 3600, 4200).says


def test_width_and_depth_that_disagree_are_told_apart() -> None:
    corners = [(0, 0), (360, 0), (360, 420), (0, 420)]
    found = scale_from_room(corners, 3600, 4620)
    assert "differ by 10 %" in found.says
    # (3600 + 4620) / (360 + 420) = 10.54 mm a pixel.
    assert found.px_to_plan_mm[0] == pytest.approx(8220 / 780)
    assert "not to scale" in scale_from_room(corners, 3600, 5000).says


@pytest.mark.parametrize("sizes", [(None, None), (0, None), (None, -1), (math.nan, None)])
def test_a_room_without_a_size_gives_no_scale(sizes) -> None:
    with pytest.raises(HomeError, match="width"):
        scale_from_room([(0, 0), (360, 0), (360, 420)], *sizes)
    with pytest.raises(HomeError, match="outline"):
        scale_from_room([], 3600)
    with pytest.raises(HomeError, match="too small"):
        scale_from_room([(0, 0), (5, 0), (5, 400), (0, 400)], 3600)


def test_a_door_that_comes_out_1_4_m_wide_is_told() -> None:
    says = door_check([1400], trade.load())
    assert says.startswith("A door comes out 1.40 m wide, and a leaf is usually 0.61 to 0.93 m wide")
    assert "single door, the scale is out" in says
    many = door_check([1380, 1400, 1410, 2900], trade.load())
    assert "1.8 times too large" in many


@pytest.mark.parametrize("widths", [[], [762], [610, 686, 838, 1800], [900, 930, 2400], [math.nan], [0.0]])
def test_usual_doors_say_nothing(widths: list[float]) -> None:
    # Source: leaves of 2 ft to 3 ft, BS 4787-1, from memory; a pair among single ones is no scale out.
    assert door_check(widths, trade.load()) == ""


def test_doors_for_dolls_are_told_too() -> None:
    assert door_check([401, 401], trade.load()).startswith("Doors come out 401 mm wide")
    assert "times too small" in door_check([380, 400, 420], trade.load())
