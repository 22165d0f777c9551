"""The published ring and radial formulas against handbook figures, books' worked examples, and the books' mistakes.

Titles: S2 a guide to the Wiring Regulations (17th ed., Appendix 4); S4 training handout on the ring test; S6 Basic
Electrical Installation Work; S7 trade textbook extract; S55 handbook table citing IEC 60028.
"""

from decimal import ROUND_HALF_UP, Decimal
from math import isclose

import pytest

from circuitmap.errors import OurError
from circuitmap.readings import ring
from circuitmap.readings.conductors import temperature_factor
from circuitmap.readings.verdict import Rules
from circuitmap.trade import Cable, load

TRADE = load()
LINE = 0.06 * 7.41  # a 60 m ring in 2.5/1.5
CPC = 0.06 * 12.1


def cable(code: str) -> Cable:
    found = TRADE.cable(code)
    assert found is not None
    return found


def in_print(ohm: float, places: str = "0.01") -> float:
    """Round as the books do: halves up, to two decimals unless the example says otherwise."""
    return float(Decimal(repr(round(ohm, 9))).quantize(Decimal(places), ROUND_HALF_UP))


# 1. conductors ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mm2", "plain", "tinned", "flex"),
    [  # IEC 60228 class 1/2 and 5/6 maxima, as tabled with DIN VDE 0295
        (0.5, 36.0, 36.7, 39), (0.75, 24.5, 24.8, 26), (1.0, 18.1, 18.2, 19.5), (1.5, 12.1, 12.2, 13.3),
        (2.5, 7.41, 7.56, 7.98), (4, 4.61, 4.70, 4.95), (6, 3.08, 3.11, 3.30), (10, 1.83, 1.84, 1.91),
        (16, 1.15, 1.16, 1.21), (25, 0.727, 0.734, 0.780), (35, 0.524, 0.529, 0.554),
    ],
)  # fmt: skip
def test_single_conductors_read_what_iec_60228_tables(mm2: float, plain: float, tinned: float, flex: float) -> None:
    assert TRADE.ohm_per_m(mm2) == pytest.approx(plain / 1000)
    assert TRADE.ohm_per_m(mm2, "tinned") == pytest.approx(tinned / 1000)
    assert TRADE.ohm_per_m(mm2, "flex") == pytest.approx(flex / 1000)


@pytest.mark.parametrize(
    ("line", "cpc", "both", "by_ohms", "by_area"),
    [  # S2 Tables 4.2 and 4.3; the rest arithmetic, equal to On-Site Guide Table I1 from memory
        (1, 1, 36.20, 1.000, 1), (1.5, 1, 30.20, 1.496, 1.5), (1.5, 1.5, 24.20, 1.000, 1), (2.5, 1, 25.51, 2.443, 2.5),
        (2.5, 1.5, 19.51, 1.633, 1.667), (2.5, 2.5, 14.82, 1, 1), (4, 1.5, 16.71, 2.625, 2.667),
        (4, 2.5, 12.02, 1.607, 1.6), (4, 4, 9.22, 1, 1), (6, 2.5, 10.49, 2.406, 2.4), (6, 4, 7.69, 1.497, 1.5),
        (6, 6, 6.16, 1, 1), (10, 4, 6.44, 2.519, 2.5), (10, 6, 4.91, 1.683, 1.667), (10, 10, 3.66, 1, 1),
        (16, 6, 4.23, 2.678, 2.667), (16, 10, 2.98, 1.591, 1.6), (16, 16, 2.30, 1, 1), (25, 16, 1.877, 1.582, 1.563),
        (35, 16, 1.674, 2.195, 2.188),
    ],
)  # fmt: skip
def test_a_radial_of_one_metre_reads_the_tabled_r1_plus_r2(
    line: float, cpc: float, both: float, by_ohms: float, by_area: float
) -> None:
    made = Cable(
        code="x", title="x", kind="flat", live_mm2=line, cpc_mm2=cpc, cores=2, source="x", edition="x", sure="high"
    )
    assert ring.radial_ohm(TRADE, made, 1) == pytest.approx(both / 1000, abs=1e-8)
    band = ring.cpc_ratios(TRADE, [made])
    assert band is not None
    assert sorted((by_ohms, by_area)) == pytest.approx(band, abs=5.1e-4)


@pytest.mark.parametrize(
    ("code", "total"),
    [  # S2 Table 4.3, 50 m, two decimals (16/6 three)
        ("T&E 1.5/1.0", 1.51), ("T&E 2.5/1.5", 0.98), ("T&E 4/1.5", 0.84), ("T&E 6/2.5", 0.52), ("T&E 10/4", 0.32),
    ],
)  # fmt: skip
def test_fifty_metres_round_as_the_guide_prints_them(code: str, total: float) -> None:
    ohm = ring.radial_ohm(TRADE, cable(code), 50)
    assert ohm is not None
    assert in_print(ohm) == total


def test_0_9755_is_printed_as_0_98() -> None:
    ohm = ring.radial_ohm(TRADE, cable("T&E 2.5/1.5"), 50)
    assert ohm == pytest.approx(0.9755)
    assert in_print(0.9755) == 0.98


def test_fifty_metres_of_16_6_print_three_decimals() -> None:
    per_m = (TRADE.ohm_per_m(16), TRADE.ohm_per_m(6))
    assert None not in per_m
    assert isclose(50 * sum(x for x in per_m if x is not None), 0.211, abs_tol=0.0006)  # S2: 0.211, exactly 0.2115


# 1c. temperature ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("copper_c", "factor"), [(5, 0.94), (10, 0.96), (15, 0.98), (20, 1.00), (25, 1.02)])
def test_the_trade_rule_gives_the_on_site_guides_table_of_test_ambients(copper_c: float, factor: float) -> None:
    # From memory: On-Site Guide Table I2.
    assert temperature_factor(TRADE, copper_c) == pytest.approx(factor)
    assert TRADE.factor("test ambient", copper_c) == factor
    assert ring.to_20_ohm(TRADE, factor, copper_c) == pytest.approx(1)


def test_0_004_and_0_00393_agree_within_what_a_meter_shows() -> None:
    # S55: 3.93e-3 per kelvin at 20 °C; tables printing 0.00429 are of another reference temperature.
    alpha = TRADE.constants["copper alpha 20"].value
    assert alpha == 0.00393
    assert 1 + alpha * 50 == pytest.approx(1.1965)
    assert 1.20 / (1 + alpha * 50) == pytest.approx(1, abs=0.003)
    assert 1 + alpha * 70 == pytest.approx(1.275, abs=1e-3)


def test_working_temperature_multiplies_by_the_on_site_guides_factors() -> None:
    rules = Rules(TRADE)  # from memory: On-Site Guide Table I3
    assert ring.at_work_ohm(rules, 1) == pytest.approx(1.20)
    assert ring.at_work_ohm(rules, 1, has_cpc_apart=True) == pytest.approx(1.04)
    assert ring.at_work_ohm(rules, 1, is_90=True) == pytest.approx(1.28)


@pytest.mark.parametrize(
    ("mm2", "tabled"),  # from memory: BS 7671 Table 4D5, mV/A/m
    [(1, 44), (1.5, 29), (2.5, 18), (4, 11), (6, 7.3), (10, 4.4), (16, 2.8)],
)
def test_twice_a_conductor_at_work_gives_the_tabled_volt_drop_within_1_6_per_cent(mm2: float, tabled: float) -> None:
    cold = TRADE.ohm_per_m(mm2)
    assert cold is not None
    assert 2000 * ring.at_work_ohm(Rules(TRADE), cold) == pytest.approx(tabled, rel=0.016)


# 2a, 2b. formulas ---------------------------------------------------------------------------------------------


def test_step_2_is_half_of_r1_at_every_point() -> None:
    # S6: about (r1+rn)/4; apprentice notes: half of r1.
    for place in range(7):
        assert ring.cross_linked_ohm(LINE, LINE, place / 6) == pytest.approx(LINE / 2)


def test_step_3_rises_from_its_least_at_the_board_to_its_greatest_half_way() -> None:
    # Wiring Matters 89 (2022) supersedes the books that ask for equal readings in step 3.
    sweep = [round(ring.cross_linked_ohm(LINE, CPC, place / 6), 4) for place in range(7)]
    assert sweep == [0.2757, 0.2851, 0.2908, 0.2926, 0.2908, 0.2851, 0.2757]
    assert sweep[0] == pytest.approx(ring.at_board_ohm(LINE, CPC), abs=5e-5)
    assert sweep[3] == pytest.approx(ring.at_middle_ohm(LINE, CPC), abs=5e-5)


@pytest.mark.parametrize(("ratio", "share"), [(1.633, 0.942), (2.625, 0.799)])
def test_the_rise_is_6_per_cent_for_2_5_1_5_and_20_for_4_1_5(ratio: float, share: float) -> None:
    assert ring.least_to_most(ratio) == pytest.approx(share, abs=5e-4)


@pytest.mark.parametrize(
    ("loop_m", "line", "cpc", "step_2", "middle", "board"),
    [  # arithmetic, healthy rings in 2.5/1.5
        (30, 0.222, 0.363, 0.1111, 0.1463, 0.1379), (45, 0.333, 0.544, 0.1667, 0.2195, 0.2068),
        (60, 0.445, 0.726, 0.2223, 0.2927, 0.2757), (100, 0.741, 1.210, 0.3705, 0.4878, 0.4596),
    ],
)  # fmt: skip
def test_healthy_rings_read_by_their_length(
    loop_m: float, line: float, cpc: float, step_2: float, middle: float, board: float
) -> None:
    r1, r2 = loop_m * 0.00741, loop_m * 0.0121
    assert (r1, r2) == pytest.approx((line, cpc), abs=6e-4)
    assert ring.at_middle_ohm(r1, r1) == pytest.approx(step_2, abs=6e-5)
    assert ring.at_middle_ohm(r1, r2) == pytest.approx(middle, abs=6e-5)
    assert ring.at_board_ohm(r1, r2) == pytest.approx(board, abs=6e-5)


@pytest.mark.parametrize(
    ("other", "expected"),
    [(LINE, [0, 0.1235, 0.1976, 0.2223, 0.1976, 0.1235]), (CPC, [0, 0.1626, 0.2601, 0.2926, 0.2601, 0.1626])],
)
def test_links_on_the_same_leg_read_nothing_at_the_board(other: float, expected: list[float]) -> None:
    assert [ring.same_leg_ohm(LINE, other, p / 6) for p in range(6)] == pytest.approx(expected, abs=6e-5)


def test_one_open_conductor_doubles_readings_and_opens_nothing() -> None:
    # The book answer "a break shows as open circuit at the sockets beyond it" is false for one open conductor.
    line_open = [ring.one_open_ohm(LINE, LINE, p / 6, 2.5 / 6) for p in range(6)]
    assert line_open == pytest.approx([0.4446] * 6, abs=6e-5)
    cpc_open = [ring.one_open_ohm(CPC, LINE, p / 6, 2.5 / 6) for p in range(6)]
    assert cpc_open == pytest.approx([0.4446, 0.4915, 0.5384, 0.5853, 0.5384, 0.4915], abs=6e-5)


@pytest.mark.parametrize(
    ("take_off", "other", "per_m", "expected"),
    [(3, LINE, 0.01482, 0.2816), (3, CPC, 0.01951, 0.3707), (1, CPC, 0.01951, 0.3632)],
)
def test_a_four_metre_spur_reads_its_take_off_plus_itself(
    take_off: int, other: float, per_m: float, expected: float
) -> None:
    root = ring.cross_linked_ohm(LINE, other, take_off / 6)
    assert ring.spur_end_ohm(root, 4, per_m) == pytest.approx(expected, abs=1e-4)
    assert ring.spur_length_m(expected, root, per_m) == pytest.approx(4, abs=0.01)
    # "A spur is any reading over 0.05 ohm above the rest" mistakes the rule for r1 and rn: 3 m hides under it.
    assert ring.spur_end_ohm(root, 3, 0.01482) - root < 0.05


# 2c. worked examples ------------------------------------------------------------------------------------------


def test_r1_43_metres_print_0_3_and_by_the_rule_of_1_67_0_5() -> None:
    # S7: 0.3 Ω to one decimal, cpc 0.3 × 1.67 = 0.5.
    assert in_print(43 * 0.00741, "0.1") == 0.3
    assert in_print(0.3 * 1.67, "0.1") == 0.5
    line, cpc = 43 * 0.00741, 43 * 0.0121
    assert (line, cpc) == pytest.approx((0.3186, 0.5203), abs=6e-5)
    found = ring.loop_length(TRADE, [cable("T&E 2.5/1.5")], 0.3, resolution_ohm=0.1)
    assert found is not None
    assert found.table_m == pytest.approx(40.5, abs=0.05)
    assert found.least_m < 43 < found.most_m


def test_r2_22_metres_print_0_163_0_27_and_0_429() -> None:
    # Textbook exercise: cpc 0.27 by × 1.67, 0.266 by the table.
    assert in_print(22 * 0.00741, "0.001") == 0.163
    assert in_print(0.163 * 1.67) == 0.27
    assert in_print(22 * 0.0121, "0.001") == 0.266
    assert in_print(ring.radial_ohm(TRADE, cable("T&E 2.5/1.5"), 22) or 0, "0.001") == 0.429


def test_r4_the_guides_mid_point_is_0_36_and_the_board_0_3375() -> None:
    # On-Site Guide as cited: r1 0.54, r2 0.54 × 1.67 = 0.90.
    assert in_print(0.54 * 1.67) == 0.90
    assert ring.at_middle_ohm(0.54, 0.90) == pytest.approx(0.36)
    assert ring.at_board_ohm(0.54, 0.90) == pytest.approx(0.3375)


def test_r5_the_long_ring_is_155_metres_by_r1_and_151_by_both() -> None:
    found = ring.loop_length(TRADE, [cable("T&E 2.5/1.5")], 1.15)  # trainee forum
    assert found is not None
    assert found.table_m == pytest.approx(155.2, abs=0.05)
    both = ring.radial_ohm(TRADE, cable("T&E 2.5/1.5"), 151)
    assert both == pytest.approx(1.15 + 1.80, abs=0.005)
    assert ring.at_middle_ohm(1.15, 1.80) == pytest.approx(0.7375)
    assert ring.at_board_ohm(1.15, 1.80) == pytest.approx(0.7017, abs=6e-5)


def test_r7_ends_of_1_6_imply_216_metres() -> None:
    found = ring.loop_length(TRADE, [cable("T&E 2.5/1.5")], 1.6)
    assert found is not None
    assert found.table_m == pytest.approx(216, abs=0.1)
    assert ring.at_middle_ohm(1.6, 1.6) == pytest.approx(0.8)
    assert ring.at_middle_ohm(1.6, 4.1) == pytest.approx(1.425)


def test_r8_a_ring_treated_as_a_radial_drops_four_times_too_much() -> None:
    drop = TRADE.drop_mv_per_a_m(2.5)  # trainee forum: 40 m, 32 A, 18 mV/A/m
    assert drop == 18
    as_radial = 40 * 32 * drop / 1000
    assert as_radial == pytest.approx(23.04)
    assert as_radial * ring.at_middle_ohm(1, 1) / 2 == pytest.approx(5.76)  # (r + r)/4 of a radial's r + r


def test_r13_the_textbooks_1_67_is_by_area_and_the_ohm_table_gives_1_633() -> None:
    band = ring.cpc_ratios(TRADE, [cable("T&E 2.5/1.5")])  # S6 Table 14.13; NICEIC and ELECSA note, 2016
    assert band == pytest.approx((1.633, 1.667), abs=5e-4)


def test_r14_a_spur_on_a_spur_adds_up() -> None:
    first = ring.spur_end_ohm(ring.at_middle_ohm(LINE, CPC), 4, 0.01951)
    assert first == pytest.approx(0.3707, abs=6e-5)
    assert ring.spur_end_ohm(first, 3, 0.01951) == pytest.approx(0.4292, abs=6e-5)


def test_r15_a_loop_fed_through_one_cable_is_radial_then_ring() -> None:
    feed = ring.radial_ohm(TRADE, cable("T&E 2.5/1.5"), 10)
    assert feed is not None
    assert feed + ring.at_middle_ohm(0.04 * 7.41, 0.04 * 12.1) == pytest.approx(0.3902, abs=6e-5)


# length -------------------------------------------------------------------------------------------------------


def test_a_ring_of_0_55_is_some_74_metres() -> None:
    found = ring.loop_length(TRADE, [cable("T&E 2.5/1.5")], 0.55)  # common practice, no source
    assert found is not None
    assert found.table_m == pytest.approx(74, abs=0.5)
    assert found.least_m < 74 < found.most_m < 1.1 * 74


def test_7_41_makes_an_imperial_ring_a_fifth_too_short() -> None:
    old = next(row for row in TRADE.cables() if row.imperial == "7/.029")
    found = ring.loop_length(TRADE, [old], 0.55)
    assert found is not None
    assert found.table_m / (0.55 / 0.00741) == pytest.approx(1.225, abs=0.01)
    assert found.least_m > 1.15 * 0.55 / 0.00741


def test_a_ring_in_two_cables_has_a_length_only_between_the_extremes() -> None:
    old = next(row for row in TRADE.cables() if row.imperial == "7/.029")
    found = ring.loop_length(TRADE, [old, cable("T&E 2.5/1.5")], 0.55)
    assert found is not None
    assert found.least_m < 74
    assert found.most_m > 90


def test_cold_copper_reads_less_and_is_as_long() -> None:
    warm = ring.loop_length(TRADE, [cable("T&E 2.5/1.5")], 0.55)
    cold = ring.loop_length(TRADE, [cable("T&E 2.5/1.5")], 0.55 * 0.94, copper_c=5)
    assert warm is not None
    assert cold is not None
    assert cold.table_m == pytest.approx(warm.table_m)


def test_no_cable_gives_no_length_and_no_ratio() -> None:
    assert ring.loop_length(TRADE, [], 0.55) is None
    assert ring.cpc_ratios(TRADE, []) is None


def test_a_place_off_the_ring_is_our_mistake() -> None:
    with pytest.raises(OurError):
        ring.cross_linked_ohm(LINE, CPC, 1.2)
