"""Capacity against the published rule and figures, and no crying wolf where nobody knows."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.design import (
    Case,
    Correction,
    Protection,
    capacity_a,
    judge,
    nearest,
    needed_a,
    protects,
    ring_ok,
    ring_shares_a,
)
from circuitmap.trade import DEFAULT_EDITION, Cable, Trade, load

EDITION = DEFAULT_EDITION
B32 = Protection(in_a=32)


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def cable(trade: Trade, code: str) -> Cable:
    found = trade.cable(code)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("method", "iz_a", "passes"),
    [("A", 20, True), ("100", 21, True), ("102", 21, True), ("C", 27, True), ("101", 17, False), ("103", 13.5, False)],
)
def test_a_ring_in_two_and_a_half_fails_only_where_it_carries_less_than_twenty(
    trade: Trade, method: str, iz_a: float, passes: bool
) -> None:
    """Regulation 433.1.5 of BS 7671:2008 as quoted (now 433.1.204) on the figures of Table 4D5."""
    assert trade.iz(2.5, method) == iz_a
    assert ring_ok(trade, iz_a, 32, EDITION) is passes
    verdict = judge(trade, Case(cable=2.5, protection=B32, duty="ring", method=method), EDITION)
    assert verdict.answer == ("yes" if passes else "no")


def test_a_ring_takes_thirty_or_thirty_two_amperes_and_no_more(trade: Trade) -> None:
    assert ring_ok(trade, 27, 30, EDITION)
    assert not ring_ok(trade, 27, 40, EDITION)
    verdict = judge(trade, Case(cable=2.5, protection=Protection(in_a=40), duty="ring", method="C"), EDITION)
    assert verdict.answer == "no"
    assert "too large for a ring" in verdict.says


def test_a_rewirable_thirty_on_a_ring_needs_no_larger_cable(trade: Trade) -> None:
    """Regulation 433.1.5 of the 17th as quoted names 30 A fuses beside 32 A breakers."""
    fuse = Protection(in_a=30, kind="fuse BS 3036")
    assert judge(trade, Case(cable=2.5, protection=fuse, duty="ring", method="C"), EDITION).answer == "yes"


def test_in_at_most_iz(trade: Trade) -> None:
    """433.1.1, from memory; Table 4D5."""
    assert protects(20, 20)
    assert not protects(20, 19.9)
    radial = Case(cable=4.0, protection=B32, method="C")
    assert judge(trade, radial, EDITION).answer == "yes"
    too_thin = judge(trade, Case(cable=2.5, protection=B32, method="C"), EDITION)
    assert (too_thin.answer, too_thin.have_a, too_thin.need_a) == ("no", (27, 27), 32)


def test_an_unknown_method_gives_the_range_and_never_a_failure(trade: Trade) -> None:
    verdict = judge(trade, Case(cable=2.5, protection=Protection(in_a=20)), EDITION)
    assert (verdict.answer, verdict.have_a) == ("can't judge", (13.5, 27))
    assert not verdict.best_falls_short
    hopeless = judge(trade, Case(cable=1.0, protection=B32), EDITION)
    assert hopeless.answer == "can't judge"
    assert hopeless.best_falls_short


def test_an_unknown_method_passes_where_every_method_does(trade: Trade) -> None:
    assert judge(trade, Case(cable=1.5, protection=Protection(in_a=6)), EDITION).answer == "yes"
    assert judge(trade, Case(cable=1.0, protection=Protection(in_a=6)), EDITION).answer == "yes"


@given(
    mm2=st.sampled_from([1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0]),
    in_a=st.sampled_from([3, 6, 10, 13, 16, 20, 32, 40, 50, 63]),
    duty=st.sampled_from(["run", "ring", "spur", "fixed load"]),
)
def test_without_a_method_nothing_ever_fails_but_an_oversize_ring_device(mm2: float, in_a: float, duty: str) -> None:
    protection = Protection(in_a=in_a)
    verdict = judge(load(), Case(cable=mm2, protection=protection, duty=duty), EDITION)  # type: ignore[arg-type]  # sampled words
    assert verdict.answer in (("no",) if duty == "ring" and in_a > 32 else ("yes", "can't judge"))


def test_one_twin_socket_on_two_and_a_half_from_a_thirty_two_ampere_way_is_a_spur(trade: Trade) -> None:
    """On-Site Guide 7.2.2 as quoted: a spur may leave from the origin at the board."""
    assert judge(trade, Case(cable=2.5, protection=B32, duty="spur", method="C"), EDITION).answer == "yes"
    assert judge(trade, Case(cable=2.5, protection=B32, duty="run", method="C"), EDITION).answer == "no"


def test_a_spur_too_thin_for_what_it_may_carry_fails(trade: Trade) -> None:
    """Common practice, no source: an unfused spur needs the ring's 20 A; to one fused unit 13 A do."""
    assert judge(trade, Case(cable=1.5, protection=B32, duty="spur", method="A"), EDITION).answer == "no"
    behind_fuse = Case(cable=1.5, protection=B32, duty="spur", method="A", load_a=13)
    assert judge(trade, behind_fuse, EDITION).answer == "yes"


def test_a_spur_never_has_to_carry_more_than_its_device(trade: Trade) -> None:
    verdict = judge(trade, Case(cable=1.5, protection=Protection(in_a=16), duty="spur", method="100"), EDITION)
    assert (verdict.answer, verdict.need_a) == ("yes", 16)


def test_a_fixed_load_that_cannot_overload_decides_by_its_own_current(trade: Trade) -> None:
    """433.3.1, from memory: a 9.5 kW shower (41.3 A) on 10 mm² under 45 or 50 A, method 100 (45 A)."""
    shower = Case(cable=10.0, protection=Protection(in_a=50), duty="fixed load", method="100", load_a=9500 / 230)
    assert judge(trade, shower, EDITION).answer == "yes"
    unknown = Case(cable=10.0, protection=Protection(in_a=50), duty="fixed load", method="100")
    assert judge(trade, unknown, EDITION).answer == "can't judge"
    large = Case(cable=6.0, protection=Protection(in_a=50), duty="fixed load", method="100", load_a=9500 / 230)
    assert judge(trade, large, EDITION).answer == "no"


def test_the_nearest_upstream_protection_counts(trade: Trade) -> None:
    after_fuse = nearest([Protection(in_a=100), B32, Protection(in_a=3, kind="plug fuse")])
    assert after_fuse is not None
    assert after_fuse.in_a == 3
    flex = Case(cable=cable(trade, "flex 0.75"), protection=after_fuse)
    assert judge(trade, flex, EDITION).answer == "yes"
    too_large = Case(cable=cable(trade, "flex 0.75"), protection=Protection(in_a=13, kind="plug fuse"))
    assert judge(trade, too_large, EDITION).answer == "no"
    assert nearest([]) is None
    assert nearest([B32, None]) is None


def test_what_is_not_known_is_not_judged(trade: Trade) -> None:
    assert judge(trade, Case(cable=2.5, protection=None, method="C"), EDITION).answer == "can't judge"
    assert judge(trade, Case(cable=None, protection=B32), EDITION).answer == "can't judge"
    armoured = Case(cable=cable(trade, "SWA 4 3-core"), protection=B32, method="C")
    assert judge(trade, armoured, EDITION).answer == "can't judge"


def test_a_rewirable_fuse_needs_a_cable_of_its_rating_over_0_725(trade: Trade) -> None:
    """A training page; 433.1.202 from memory."""
    assert needed_a(trade, Protection(in_a=20, kind="fuse BS 3036")) == pytest.approx(27.586, abs=1e-3)
    assert needed_a(trade, Protection(in_a=20, kind="fuse BS 1361")) == 20
    case = Case(cable=2.5, protection=Protection(in_a=20, kind="fuse BS 3036"), method="C")
    assert judge(trade, case, EDITION).answer == "no"


def test_insulation_and_grouping_multiply(trade: Trade) -> None:
    """Tables 4C1 and 52.2, from memory: 32 A, two grouped, 100 mm of insulation needs 51.3 A, so 10 mm² by method C."""
    correction = Correction(circuits=2, insulation_mm=100)
    factor = correction.factor(trade)
    assert factor is not None
    assert 32 / factor == pytest.approx(51.3, abs=0.05)
    six = Case(cable=6.0, protection=B32, method="C", correction=correction)
    ten = Case(cable=10.0, protection=B32, method="C", correction=correction)
    assert judge(trade, six, EDITION).answer == "no"
    assert judge(trade, ten, EDITION).answer == "yes"
    assert capacity_a(trade, ten) == pytest.approx((39.936, 39.936))


def test_a_warm_place_asks_for_more_cable(trade: Trade) -> None:
    """Textbook p. 312 to 313: 32 A at 35 °C, It ≥ 32 / 0.94 = 34.04 A."""
    factor = Correction(ambient_c=35).factor(trade)
    assert factor is not None
    assert 32 / factor == pytest.approx(34.04, abs=0.005)


def test_a_correction_past_the_tables_leaves_the_cable_unjudged(trade: Trade) -> None:
    case = Case(cable=16.0, protection=Protection(in_a=6), method="C", correction=Correction(ambient_c=80))
    assert capacity_a(trade, case) is None
    assert judge(trade, case, EDITION).answer == "can't judge"


@pytest.mark.parametrize(
    ("load_a", "fraction", "near", "far"),
    [(26, 0.5, 13, 13), (26, 0.1, 23.4, 2.6), (20, 0.2, 16, 4), (30, 0.2, 24, 6)],
)
def test_legs_of_a_ring_share_a_load_by_its_place(load_a: float, fraction: float, near: float, far: float) -> None:
    """Arithmetic: two resistances in parallel."""
    assert ring_shares_a(load_a, fraction) == pytest.approx((near, far))


def test_a_place_off_the_loop_is_refused() -> None:
    with pytest.raises(ValueError, match="no place on the loop"):
        ring_shares_a(10, 1.5)


def test_a_home_may_ask_for_more_of_its_rings(trade: Trade) -> None:
    assert not ring_ok(trade, 21, 32, EDITION, [("ring cable Iz A", "24")])
