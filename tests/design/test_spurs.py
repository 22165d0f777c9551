"""Spur rules against the On-Site Guide as quoted and a textbook's example."""

import pytest

from circuitmap.design.capacity import Protection
from circuitmap.design.spurs import Count, Outlet, Wanted, count, judge_spur
from circuitmap.trade import DEFAULT_EDITION, Trade, load
from tests.readings.wired import Wired

EDITION = DEFAULT_EDITION
B32 = Protection(in_a=32)
TWIN = Outlet(kind="socket", gangs=2)
ROOM_LEFT = Count(spurs=0, ring_points=8)


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def answer(trade: Trade, **facts: object) -> str:
    plain = {"leaves": "ring", "outlets": (TWIN,), "protection": B32, "cable": 2.5, "method": "C", "before": ROOM_LEFT}
    return judge_spur(trade, Wanted(**(plain | facts)), EDITION).answer  # type: ignore[arg-type]  # test shorthand


def test_one_twin_or_one_appliance_hangs_on_an_unfused_spur(trade: Trade) -> None:
    """On-Site Guide 7.2.2 as quoted: one single or twin socket, or one fixed appliance; from a point or the board."""
    assert answer(trade) == "yes"
    assert answer(trade, leaves="board") == "yes"
    assert answer(trade, outlets=(Outlet(kind="towel rail", power_w=300),)) == "yes"
    assert answer(trade, outlets=(TWIN, Outlet(kind="socket"))) == "no"
    assert answer(trade, outlets=(Outlet(kind="socket", gangs=3),)) == "no"
    assert answer(trade, outlets=()) == "no"


def test_no_spur_off_an_unfused_spur(trade: Trade) -> None:
    assert answer(trade, leaves="spur") == "no"
    assert answer(trade, leaves="spur", fuse_a=13.0) == "no"


@pytest.mark.parametrize(("spurs", "points", "expected"), [(5, 7, "yes"), (6, 7, "yes"), (7, 7, "no"), (0, 0, "no")])
def test_no_more_unfused_spurs_than_points_in_the_ring(trade: Trade, spurs: int, points: int, expected: str) -> None:
    """Electrical Installation Work, 5th ed., p. 272: 7 points, 5 spurs are in order; On-Site Guide 7.2.2 as quoted."""
    assert answer(trade, before=Count(spurs=spurs, ring_points=points)) == expected


def test_a_ring_that_nobody_counted_is_not_judged(trade: Trade) -> None:
    assert answer(trade, before=None) == "can't judge"
    assert answer(trade, before=None, leaves="radial") == "yes"


def test_an_unfused_spur_wants_cable_for_twenty_amperes_or_for_its_fixed_load(trade: Trade) -> None:
    """Table 4D5: 1.5 mm² by A carries 14.5 A, enough for 3 kW (13 A) that can't grow, not for a twin socket."""
    assert answer(trade, cable=1.5, method="A") == "no"
    assert answer(trade, cable=1.5, method="A", outlets=(Outlet(kind="immersion heater", power_w=3000),)) == "yes"
    assert answer(trade, cable=2.5, method="") == "can't judge"


def test_a_fused_spur_may_feed_any_number_behind_thirteen_amperes(trade: Trade) -> None:
    """On-Site Guide 7.2.2 as quoted: fuse at most 13 A and what its cable carries; any number beyond it."""
    assert answer(trade, outlets=(TWIN, TWIN, TWIN), fuse_a=13.0, cable=1.5) == "yes"
    assert answer(trade, fuse_a=16.0) == "no"
    assert answer(trade, fuse_a=13.0, cable=1.0, method="103") == "no"
    assert answer(trade, fuse_a=13.0, before=Count(spurs=9, ring_points=3)) == "yes"  # fused ones aren't counted


def test_too_much_behind_a_fuse_is_said_and_no_failure(trade: Trade) -> None:
    wanted = Wanted(leaves="ring", outlets=(Outlet(kind="panel heater", power_w=2000),) * 2, protection=B32, cable=2.5,
                    method="C", fuse_a=13.0)  # fmt: skip
    verdict = judge_spur(trade, wanted, EDITION)
    assert verdict.answer == "yes"
    assert "the fuse will blow first" in verdict.says


def test_a_branch_of_a_radial_carries_all_that_its_device_lets_through_unless_it_ends_at_one_outlet(
    trade: Trade,
) -> None:
    """433.1.1 and 433.3.1, from memory."""
    assert answer(trade, leaves="radial", outlets=(TWIN, TWIN)) == "no"
    assert answer(trade, leaves="radial", outlets=(TWIN, TWIN), cable=4.0) == "yes"
    assert answer(trade, leaves="radial") == "yes"


def test_spurs_and_points_of_a_ring_are_counted_from_the_map(trade: Trade) -> None:
    wired = Wired()
    sockets = wired.ring(10, 10, 10, 10)
    wired.spur(sockets[0], 4)
    joint = wired.point("junction box")
    wired.length(sockets[1], joint, 2)
    fused = wired.point("fused unit", fuse_a=13.0)
    wired.length(sockets[2], fused, 2)
    assert count(wired.on_way, trade, EDITION) == Count(spurs=1, ring_points=3)
    assert count(wired.on_way, trade, EDITION, [("twin socket counts as", "textbook")]).ring_points == 3
    alone = Wired()
    alone.say(alone.way_id, alone.point())
    assert count(alone.on_way, trade, EDITION) == Count(spurs=0, ring_points=0)


def test_a_twin_counts_as_the_home_chose(trade: Trade) -> None:
    wired = Wired()
    a, b = wired.point(gangs=2), wired.point(gangs=2)
    wired.chain(wired.way_id, a, b, wired.way_id)
    assert count(wired.on_way, trade, EDITION).ring_points == 2
    assert count(wired.on_way, trade, EDITION, [("twin socket counts as", "textbook")]).ring_points == 4
