"""The loop as designed against worked figures; limits are Table 41.3's and those relayed of older editions."""

from math import inf

import pytest

from circuitmap.design.earth_loop import judge_loop, longest_m, r1_r2_ohm, worst_of
from circuitmap.readings.drawn import network_of
from circuitmap.readings.loop import Protection
from circuitmap.readings.verdict import Rules
from circuitmap.trade import load
from tests.readings.wired import Wired, reference

B32 = Protection("MCB", "B", 32)


@pytest.fixture(scope="module")
def rules() -> Rules:
    return Rules(load())


def test_half_way_round_a_sixty_metre_ring(rules: Rules) -> None:
    """Arithmetic on IEC 60228: R1+R2 (r1+r2)/4 = 0.2927; with Ze 0.35 a reading of 0.643 Ω, 0.701 Ω at work."""
    wired, sockets = reference()
    paths = r1_r2_ohm(network_of(wired.on_way, load()), sockets)
    assert paths[sockets[2]] == pytest.approx(0.2926, abs=1e-4)
    found = judge_loop(rules, B32, "S3", 0.35, paths[sockets[2]])
    assert found.verdict.answer == "yes"
    assert found.reading_ohm == pytest.approx(0.643, abs=0.001)
    assert found.at_work_ohm == pytest.approx(0.701, abs=0.001)
    assert (found.limit_ohm, found.reading_limit_ohm) == (1.37, 1.09)
    assert paths[sockets[0]] == pytest.approx((0.4446 + 0.7260) * 5 / 36, abs=1e-4)  # x (1 − x) of the whole loop


def test_a_radial_of_four_square_millimetres_on_a_rewirable_fuse(rules: Rules) -> None:
    """A textbook exercise: 4/1.5, sockets at 12, 18 and 20.5 m, Ze 0.6, 30 A to BS 3036: 0.2, 0.3 and 0.34 Ω, Zs 0.94.

    Run on to the 23 m it is said to have, it is 0.984 Ω cold and 1.061 Ω at work, over the 18th edition's 1.04.
    """
    wired = Wired("T&E 4/1.5", 30)
    a, b, c, d = (wired.point() for _ in range(4))
    for start, end, metres in ((wired.way_id, a, 12), (a, b, 6), (b, c, 2.5), (c, d, 2.5)):
        wired.length(start, end, metres)
    paths = r1_r2_ohm(network_of(wired.on_way, load()), [a, b, c, d])
    assert [round(paths[p] or 0, 2) for p in (a, b, c)] == [0.2, 0.3, 0.34]
    fuse = Protection("fuse BS 3036", "", 30)
    cold = judge_loop(rules, fuse, "third", 0.6, paths[c])
    assert cold.reading_ohm == pytest.approx(0.94, abs=0.005)
    end = judge_loop(rules, fuse, "end", 0.6, paths[d])
    assert end.reading_ohm == pytest.approx(0.984, abs=0.001)
    assert end.at_work_ohm == pytest.approx(1.061, abs=0.001)
    assert (end.limit_ohm, end.verdict.answer) == (1.04, "no")
    loops = {"third": cold, "end": end}
    assert worst_of(loops) is end


@pytest.mark.parametrize(
    ("cable", "curve", "in_a", "ze_ohm", "metres"),
    [
        ("T&E 1.0/1.0", "B", 6, 0.35, 159.6),
        ("T&E 1.0/1.0", "B", 6, 0.80, 149.2),
        ("T&E 2.5/1.5", "B", 20, 0.35, 78.4),
        ("T&E 2.5/1.5", "B", 20, 0.80, 59.2),
        ("T&E 4/1.5", "B", 32, 0.35, 50.6),
        ("T&E 4/1.5", "B", 32, 0.80, 28.2),
        ("T&E 6/2.5", "B", 32, 0.80, 44.9),
        ("T&E 10/4", "B", 40, 0.35, 96.1),
    ],
)
def test_how_long_a_radial_may_be(cable: str, curve: str, in_a: float, ze_ohm: float, metres: float) -> None:
    """Arithmetic on IEC 60228 and 218.5 / (5 In), times 1.2."""
    trade = load()
    row = trade.cable(cable)
    assert row is not None
    line, cpc = trade.cable_ohm_per_m(row)
    assert line is not None
    assert cpc is not None
    trip_a = trade.trip_a("MCB", curve, in_a)
    assert trip_a is not None
    assert longest_m(218.5 / trip_a, ze_ohm, (line + cpc) * 1.2) == pytest.approx(metres, abs=0.1)
    assert longest_m(0.3, ze_ohm, line) == 0


def test_on_an_own_electrode_the_rcd_decides(rules: Rules) -> None:
    """Table 41.5, relayed: 50 V / 30 mA = 1667 Ω, / 300 mA = 167 Ω."""

    def by(rcd_ma: float | None, ze_ohm: float) -> str:
        device = Protection("RCBO", "B", 32, rcd_ma)
        return judge_loop(rules, device, "S1", ze_ohm, 0.5, earthing="TT").verdict.answer

    assert by(30, 1600) == "yes"
    assert by(30, 1670) == "no"
    assert by(300, 160) == "yes"
    assert by(300, 170) == "no"
    assert by(None, 20) == "no"


def test_too_high_for_the_breaker_and_low_enough_for_its_rcd_is_for_the_designer(rules: Rules) -> None:
    assert judge_loop(rules, B32, "S1", 0.8, 0.8).verdict.answer == "no"
    behind = Protection("RCBO", "B", 32, 30)
    found = judge_loop(rules, behind, "S1", 0.8, 0.8)
    assert found.verdict.answer == "can't judge"
    assert "Only the 30 mA RCD" in found.verdict.says


def test_what_is_missing_is_named(rules: Rules) -> None:
    assert "Ze isn't recorded" in judge_loop(rules, B32, "S1", None, 0.5).verdict.says
    assert judge_loop(rules, B32, "S1", 0.35, None).verdict.answer == "can't judge"
    assert judge_loop(rules, Protection("MCB", "B", None), "S1", 0.35, 0.5).verdict.answer == "can't judge"
    assert judge_loop(rules, B32, "S1", 0.35, inf).verdict.answer == "no"
    assert worst_of({}) is None


def test_a_cable_without_a_cpc_leads_no_fault_back() -> None:
    wired = Wired("T 1.5 no cpc", 6)
    light = wired.point("light")
    wired.length(wired.way_id, light, 10)
    assert r1_r2_ohm(network_of(wired.on_way, load()), [light]) == {light: inf}


def test_a_loop_that_hangs_on_an_unknown_length_is_not_told() -> None:
    wired = Wired()
    a, b = wired.point(), wired.point()
    wired.length(wired.way_id, a, 10)
    wired.length(a, b, None)
    paths = r1_r2_ohm(network_of(wired.on_way, load()), [a, b])
    assert paths[a] == pytest.approx(0.1951, abs=1e-4)
    assert paths[b] is None
