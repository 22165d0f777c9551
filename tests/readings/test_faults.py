"""Faults as edits: the reference network's faulty rows, and what else a fault must do to the readings."""

from math import inf

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Run, RunFault
from circuitmap.readings.drawn import network_of
from circuitmap.readings.faults import (
    Bridge,
    Fault,
    Joint,
    LowInsulation,
    OpenCore,
    Stretched,
    Swapped,
    bridge,
    missing_cpc,
    recorded,
    runs_at,
    together,
    with_faults,
)
from circuitmap.readings.links import Pair, linked
from circuitmap.readings.network import ReadingError
from circuitmap.trade import load
from circuitmap.words import Core, LinkKind
from tests.readings.wired import Wired, by_elimination, by_networkx, reference

PRINTED = 6e-5  # four decimals
LN: Pair = ("L", "N")
LE: Pair = ("L", "E")
NE: Pair = ("N", "E")


def swept(wired: Wired, points: list[str], kind: LinkKind | None, cores: Pair, *faults: Fault) -> list[float]:
    """The readings at the board and at each point, edited and solved, by update, and by networkx."""
    test = linked(wired.network, kind, cores)
    pairs = [test.at_board]
    pairs += [(test.network.terminal(p, cores[0]), test.network.terminal(p, cores[1])) for p in points]
    faulty = with_faults(test.network, faults)
    found: list[float] = faulty.sweep(pairs).ohm.tolist()
    assert found == pytest.approx(by_networkx(faulty, pairs), rel=1e-7)
    if len(faults) == 1:
        changes = test.network.changes(faults[0].edit(test.network))
        assert test.network.sweep(pairs).ohm_after(changes) == pytest.approx(found, rel=1e-9)
    other = linked(with_faults(wired.network, faults), kind, cores)
    assert other.network.sweep(pairs).ohm == pytest.approx(found, rel=1e-9)
    return found


@pytest.mark.parametrize("share", [0, 0.3, 1])
def test_line_open_doubles_every_reading(share: float) -> None:
    # Reference network: line only open between s2 and s3.
    wired, sockets = reference()
    found = swept(wired, sockets, "cross", LN, OpenCore("R3", ("L",), share))
    assert found == pytest.approx([0.4446] * 6, abs=PRINTED)


def test_cpc_open_about_doubles_step_three_and_slopes() -> None:
    # Reference network: cpc only open between s2 and s3.
    wired, sockets = reference()
    printed = [0.4446, 0.4915, 0.5384, 0.5853, 0.5384, 0.4915]
    assert swept(wired, sockets, "cross", LE, missing_cpc("R3")) == pytest.approx(printed, abs=PRINTED)
    assert swept(wired, sockets, "cross", LN, missing_cpc("R3")) == pytest.approx([0.2223] * 6, abs=PRINTED)
    ends = linked(with_faults(wired.network, [missing_cpc("R3")]), "end to end", ("E", "E"))
    assert ends.network.resistance_ohm(*ends.at_board) == inf


@pytest.mark.parametrize("cores", [LN, LE])
def test_a_cut_cable_is_open_at_every_point(cores: Pair) -> None:
    # Reference network: whole cable cut between s2 and s3.
    wired, sockets = reference()
    assert swept(wired, sockets, "cross", cores, OpenCore("R3", ("L", "N", "E"))) == [inf] * 6


def test_legs_of_two_rings_paired_are_open_end_to_end_on_all_three() -> None:
    # A rule of the reference network.
    wired, _ = reference()
    other = wired.way()
    wired.way_id, first = other, wired.way_id
    wired.ring(*[10] * 4)
    wired.way_id = first
    both = together([network_of(view, load()) for view in wired.views()])
    assert set(both.leg_at) == {"R1", "R6", "R7", "R10"}
    for core in ("L", "N", "E"):
        test = linked(both, "end to end", (core, core), ("R1", "R10"))  # type: ignore[arg-type]
        assert test.network.resistance_ohm(*test.at_board) == inf


def test_a_bridge_that_the_map_does_not_show() -> None:
    # Reference network: bridge cable s1 to s5, 5 m.
    wired, sockets = reference()
    fault = bridge(sockets[0], sockets[4], 5, load())
    two = [0.0906, 0.0906, 0.1894, 0.2223, 0.1894, 0.0906]
    three = [0.1123, 0.1190, 0.2492, 0.2926, 0.2492, 0.1190]
    assert swept(wired, sockets, "cross", LN, fault) == pytest.approx(two, abs=PRINTED)
    assert swept(wired, sockets, "cross", LE, fault) == pytest.approx(three, abs=PRINTED)


def test_a_bad_joint_adds_its_ohms_to_its_conductor() -> None:
    wired, sockets = reference()
    fault = Joint(sockets[2], "R3", "L", 0.4446)
    ends = linked(with_faults(wired.network, [fault]), "end to end", ("L", "L"))
    assert ends.network.resistance_ohm(*ends.at_board) == pytest.approx(2 * 0.4446, rel=1e-9)
    found = swept(wired, sockets, "cross", LN, fault)
    # [x r1 + (1 - x) rn] [(1 - x) r1 + x rn] / (r1 + rn) no longer holds along it, but at the board it does.
    assert found[0] == pytest.approx(0.8892 * 0.4446 / (0.8892 + 0.4446), rel=1e-9)
    on_spur = wired.spur(sockets[2], 4)
    bad = Joint(on_spur, "R7", "N", 1.5)
    clean, spoilt = swept(wired, [*sockets, on_spur], "cross", LN), swept(wired, [*sockets, on_spur], "cross", LN, bad)
    assert spoilt[:-1] == pytest.approx(clean[:-1], rel=1e-9)
    assert spoilt[-1] == pytest.approx(clean[-1] + 1.5, rel=1e-9)


def test_cores_swapped_at_a_socket_show_there_in_step_three_only() -> None:
    # All cables of s3 have line and neutral in each other's terminals: the ring goes on, s3 reads neutral to cpc.
    wired, sockets = reference()
    fault = Swapped(sockets[2])
    assert swept(wired, sockets, "cross", LN, fault) == pytest.approx([0.2223] * 6, abs=PRINTED)
    found = swept(wired, sockets, "cross", LE, fault)
    healthy = swept(wired, sockets, "cross", LE)
    assert found[3] == inf  # its neutral is joined to nothing in this test
    assert found[:3] + found[4:] == pytest.approx(healthy[:3] + healthy[4:], rel=1e-9)


def test_cores_swapped_in_one_cable_cross_the_ring() -> None:
    wired, sockets = reference()
    crossed = linked(with_faults(wired.network, [Swapped(sockets[2], LN, "R3")]), "end to end", ("L", "L"))
    assert crossed.network.resistance_ohm(*crossed.at_board) == inf
    network = crossed.network
    line_1, neutral_2 = network.terminal(wired.way_id, "L", "R1"), network.terminal(wired.way_id, "N", "R6")
    assert network.resistance_ohm(line_1, neutral_2) == pytest.approx(0.4446, rel=1e-9)


def test_two_swaps_at_one_place_undo_each_other() -> None:
    wired, sockets = reference()
    fault = Swapped(sockets[1], LE)
    assert swept(wired, sockets, "cross", LE, fault, fault) == pytest.approx(swept(wired, sockets, "cross", LE))


def test_a_leak_at_a_place_and_its_conductors_are_in_series() -> None:
    wired, sockets = reference()
    network = with_faults(wired.network, [LowInsulation(NE, 0.5, at=sockets[1])])
    at_board = network.resistance_ohm(network.terminal(wired.way_id, "N"), network.terminal(wired.way_id, "E"))
    assert at_board == pytest.approx(0.5e6 + 20 * 0.01951, rel=1e-7)
    two = with_faults(network, [LowInsulation(NE, 2.0, at=sockets[4])])
    at_board = two.resistance_ohm(two.terminal(wired.way_id, "N"), two.terminal(wired.way_id, "E"))
    assert at_board == pytest.approx(0.4e6, rel=1e-5)  # 0.5 and 2 megohms in parallel
    assert two.resistance_ohm(two.terminal(wired.way_id, "L"), two.terminal(wired.way_id, "E")) == inf


@pytest.mark.parametrize(("megohm", "agrees"), [(1e-3, 1e-9), (0.5, 1e-8), (200.0, 1e-6)])
def test_a_leak_agrees_with_exact_elimination_far_below_what_a_meter_shows(megohm: float, agrees: float) -> None:
    # Megohms beside milliohms cost digits: the more of them, the greater the leak.
    wired, sockets = reference()
    network = with_faults(wired.network, [LowInsulation(NE, megohm, at=sockets[1])])
    pair = network.terminal(wired.way_id, "N"), network.terminal(wired.way_id, "E")
    exact = by_elimination(network, *pair)
    assert exact is not None
    assert network.resistance_ohm(*pair) == pytest.approx(float(exact), rel=agrees)


@pytest.mark.parametrize("share", [0, 0.25, 1])
def test_a_leak_along_a_run_is_where_it_is_said_to_be(share: float) -> None:
    wired, _ = reference()
    network = with_faults(wired.network, [LowInsulation(LE, 1e-6, run="R2", share=share)])  # 1 ohm, so that it shows
    found = network.resistance_ohm(network.terminal(wired.way_id, "L"), network.terminal(wired.way_id, "E"))
    assert found == pytest.approx(1 + (10 + 10 * share) * 0.01951, rel=1e-9)
    twice = with_faults(network, [OpenCore("R2", ("L",), 0.1), LowInsulation(LE, 1e-6, run="R2", share=0.75)])
    far = twice.resistance_ohm(twice.terminal(wired.way_id, "L", "R6"), twice.terminal(wired.way_id, "L", "R1"))
    # Only where the leaks are on either side of the break does current find its way round by the cpc.
    around = (40 + 2.5 + 10) * 0.00741 + 2 + 7.5 * 0.0121
    assert far == (pytest.approx(around, rel=1e-9) if share == 0 else inf)


def test_circuits_joined_by_a_bridge_read_into_each_other() -> None:
    wired, sockets = reference()
    first, wired.way_id = wired.way_id, wired.way()
    others = wired.ring(*[10] * 4)
    both = together([network_of(view, load()) for view in wired.views()])
    neutral: dict[Core, float] = {"N": 0.03}
    joined = with_faults(both, [Bridge(sockets[0], others[0], neutral)])
    pair = joined.terminal(first, "N"), joined.terminal(wired.way_id, "N")
    assert both.resistance_ohm(*pair) == inf
    assert joined.resistance_ohm(*pair) == pytest.approx(2 * 0.0741 + 0.03, rel=1e-9)
    assert joined.resistance_ohm(joined.terminal(first, "L"), joined.terminal(wired.way_id, "L")) == inf


def test_a_run_longer_than_the_map_says() -> None:
    wired, sockets = reference()
    ends = linked(with_faults(wired.network, [Stretched("R4", 3)]), "end to end", ("E", "E"))
    assert ends.network.resistance_ohm(*ends.at_board) == pytest.approx(0.121 * 8, rel=1e-9)
    assert swept(wired, sockets, "cross", LN, Stretched("R4", 3)) == pytest.approx([0.2223 * 8 / 6] * 6, abs=1e-4)


def test_open_cores_on_the_map_are_taken_from_it() -> None:
    wired, _ = reference()
    faults = (RunFault(kind="open", cores=("E",), from_a_mm=2500), RunFault(kind="joint", cores=("L",)))
    wired.do(verbs.edit(wired.home, "R3", "", faults=faults))
    wired.do(verbs.edit(wired.home, "R4", "", faults=(RunFault(kind="open"),)))
    runs = wired.home.table(Run).values()
    cut = tuple(OpenCore("R4", (core,), 0.5) for core in ("L", "N", "E"))
    assert recorded(runs) == (OpenCore("R3", ("E",), 0.25), *cut)


def test_a_core_that_a_cable_has_not_got_cannot_break() -> None:
    wired = Wired("T 1.5 no cpc", 6)
    lamp = wired.point("light")
    wired.length(wired.way_id, lamp, 5)
    assert OpenCore("R1", ("L", "E")).edit(wired.network).less == (0,)
    with pytest.raises(ReadingError, match="R1 has no cpc to leak"):
        LowInsulation(LE, 1, run="R1").edit(wired.network)


@pytest.mark.parametrize(
    ("fault", "says"),
    [
        (OpenCore("R99", ("L",)), "R99 isn't on A1"),
        (OpenCore("R1", ("L",), 1.5), "a fraction between 0 and 1"),
        (Joint("P5", "R1", "L", 1), "No line of R1 ends at P5"),
        (Swapped("P99"), "P99 isn't on A1"),
        (LowInsulation(LE, 1, at="P99"), "P99 isn't on A1"),
        (Stretched("R99", 2), "R99 isn't on A1"),
        (Bridge("P1", "P99", {"L": 0.1}), "P99 isn't on A1"),
    ],
)
def test_a_fault_where_there_is_nothing_is_said_in_one_sentence(fault: Fault, says: str) -> None:
    wired, _ = reference()
    with pytest.raises(ReadingError, match=says):
        fault.edit(wired.network)


def test_a_bridge_needs_a_cable_and_a_length() -> None:
    with pytest.raises(ReadingError, match="no cable called “string”"):
        bridge("P1", "P2", 5, load(), "string")
    with pytest.raises(ReadingError, match="give a length above zero"):
        bridge("P1", "P2", 0, load())


def test_the_runs_at_a_place() -> None:
    wired, sockets = reference()
    assert runs_at(wired.network, sockets[0]) == ("R1", "R2")
    assert runs_at(wired.network, wired.way_id) == ("R1", "R6")
