"""Resistances of circuits against networkx, against exact rational elimination, and what a view's network holds."""

import random
from fractions import Fraction
from math import inf

import pytest

from circuitmap.home.records import End
from circuitmap.readings.drawn import network_of
from circuitmap.readings.links import linked
from circuitmap.readings.network import Edge, Edit, Network, Node, ReadingError
from circuitmap.trade import load
from tests.readings.wired import Wired, by_elimination, by_networkx, reference, tangled

EXACT = 1e-9


def loose(*edges: tuple[int, int, float]) -> Network:
    """A network of bare numbers."""
    count = 1 + max(max(a, b) for a, b, _ in edges)
    return Network(tuple(Node(f"P{n}", "through", "L") for n in range(count)), tuple(Edge(*each) for each in edges))


def test_the_example_that_networkx_documents() -> None:
    # networkx documentation of resistance_distance: edges of 1 ohm, nodes 1 to 3: 0.625.
    network = loose((0, 1, 1), (0, 2, 1), (0, 3, 1), (2, 3, 1), (2, 4, 1), (3, 4, 1))
    assert network.resistance_ohm(0, 2) == pytest.approx(0.625, rel=EXACT)


def test_parallel_edges_halve_and_a_link_of_nothing_joins_exactly() -> None:
    assert loose((0, 1, 2), (0, 1, 2)).resistance_ohm(0, 1) == pytest.approx(1.0, rel=EXACT)
    network = loose((0, 1, 0.3), (1, 2, 0), (2, 3, 0.4))
    assert network.resistance_ohm(1, 2) == 0
    assert network.resistance_ohm(0, 3) == pytest.approx(0.7, rel=EXACT)
    assert loose((0, 1, 0), (1, 2, 0), (2, 0, 0)).resistance_ohm(0, 2) == 0
    assert loose((0, 1, 0.5), (0, 1, 0)).resistance_ohm(0, 1) == 0


def test_what_is_not_joined_is_open() -> None:
    network = loose((0, 1, 1), (2, 3, 1), (3, 4, inf))
    assert network.resistance_ohm(0, 2) == inf
    assert network.resistance_ohm(2, 4) == inf
    assert network.resistance_ohm(3, 3) == 0


@pytest.mark.parametrize("seed", range(12))
def test_random_circuits_agree_with_networkx(seed: int) -> None:
    wired = tangled(seed, points=15, extra=seed % 6)
    test = linked(wired.network, "radial", ("L", "E"))
    count = len(test.network.nodes)
    pick = random.Random(seed)
    pairs = [(pick.randrange(count), pick.randrange(count)) for _ in range(25)]
    found = test.network.sweep(pairs).ohm
    assert found == pytest.approx(by_networkx(test.network, pairs), rel=EXACT)
    assert (found == inf).any()  # the neutral is linked to nothing
    assert (found != inf).any()


@pytest.mark.parametrize("seed", range(6))
def test_small_circuits_agree_with_exact_elimination(seed: int) -> None:
    wired = tangled(100 + seed, points=6, extra=3)
    test = linked(wired.network, "radial", ("L", "N"))
    for a, b in [(0, 5), (1, 8), (4, 13)]:
        exact = by_elimination(test.network, a, b)
        found = test.network.resistance_ohm(a, b)
        assert (found == inf) if exact is None else abs(Fraction(found) - exact) <= exact * Fraction(EXACT)


@pytest.mark.parametrize("seed", range(10))
def test_an_edit_agrees_with_the_edited_network_solved_afresh(seed: int) -> None:
    wired = tangled(200 + seed, points=12, extra=4)
    network = linked(wired.network, "cross" if len(wired.network.legs) == 2 else "radial", ("L", "N")).network
    pick = random.Random(seed)
    count = len(network.nodes)
    pairs = [(pick.randrange(count), pick.randrange(count)) for _ in range(30)]
    before = network.sweep(pairs)
    for changed in (1, 1, 2, 3, 5):
        less = tuple(pick.sample(range(len(network.edges)), changed))
        more = tuple(Edge(network.edges[i].a, network.edges[i].b, pick.choice([0.0, 0.02, 3.0, 1e6])) for i in less[1:])
        if pick.random() < 0.5:
            a, b = pick.sample(range(count), 2)
            more += (Edge(a, b, 0.11),)
        edit = Edit(less, more)
        after = before.after(network.changes(edit))
        fresh = network.edited(edit).sweep(pairs)
        assert before.ohm_after(network.changes(edit)) == pytest.approx(fresh.ohm, rel=EXACT)
        assert after.ohm == pytest.approx(fresh.ohm, rel=EXACT)
        assert after.watts() == pytest.approx(fresh.watts(), rel=1e-6, abs=1e-9)
        assert fresh.ohm == pytest.approx(by_networkx(network.edited(edit), pairs), rel=1e-6)


def test_taking_the_only_way_out_is_open_and_putting_it_back_is_not() -> None:
    network = loose((0, 1, 0.2), (1, 2, 0.3))
    pairs = [(0, 1), (0, 2), (1, 2)]
    sweep = network.sweep(pairs)
    cut = sweep.after(network.changes(Edit((0,))))
    assert cut.ohm.tolist() == [inf, inf, pytest.approx(0.3)]
    mended = cut.after(network.edited(Edit((0,))).changes(Edit((), (Edge(0, 1, 0.2),))))
    assert mended.ohm == pytest.approx(sweep.ohm, rel=EXACT)


def test_the_power_in_all_edges_makes_up_the_reading() -> None:
    wired = tangled(7, points=20, extra=5)
    network = linked(wired.network, "radial", ("L", "E")).network
    pairs = [(network.at[p, "L"], network.at[p, "E"]) for p in wired.on_way.names]
    sweep = network.sweep(pairs)
    assert sweep.watts().sum(axis=0) == pytest.approx(sweep.ohm, rel=EXACT)
    edge = 4
    by = 1e-5
    grown = Edit((edge,), (Edge(network.edges[edge].a, network.edges[edge].b, network.edges[edge].ohm * (1 + by)),))
    slope = (sweep.ohm_after(network.changes(grown)) - sweep.ohm) / by
    assert slope == pytest.approx(sweep.watts()[edge], rel=1e-3, abs=1e-9)


# from a view -------------------------------------------------------------------------------------------------------


def test_a_ring_has_two_terminals_at_the_board_for_every_core() -> None:
    wired, sockets = reference()
    network = wired.network
    assert network.legs == ("R1", "R6")
    assert len(network.nodes) == 3 * (len(sockets) + 2)
    assert len(network.edges) == 18
    ends = network.terminal(wired.way_id, "L", "R1"), network.terminal(wired.way_id, "L", "R6")
    assert network.resistance_ohm(*ends) == pytest.approx(0.4446, abs=1e-9)
    assert network.resistance_ohm(ends[0], network.terminal(wired.way_id, "N")) == inf


def test_marked_legs_come_in_their_order() -> None:
    wired = Wired()
    s = wired.point()
    wired.length(End(at=wired.way_id, leg=2), s, 5)
    wired.length(End(at=wired.way_id, leg=1), s, 7)
    assert wired.network.legs == ("R2", "R1")


def test_switch_drops_and_ends_that_are_not_joined_are_left_out() -> None:
    wired, sockets = reference()
    switch = wired.point("switch")
    wired.length(sockets[0], switch, 3, role="switch drop")
    wired.length(sockets[1], End(state="unknown"), 3)
    wired.length(sockets[1], End(at=sockets[4], state="loose"), 3)
    network = wired.network
    assert {edge.run for edge in network.edges} == {f"R{n}" for n in range(1, 7)}
    with pytest.raises(ReadingError, match="isn't on A1"):
        network.terminal(switch, "L")


@pytest.mark.parametrize(("units", "line"), [("on", 0.2223 + 3 * 0.00741), ("off", inf)])
def test_a_fused_unit_has_two_sides(units: str, line: float) -> None:
    wired, sockets = reference()
    unit = wired.point("fused unit")
    fed = wired.point("boiler")
    wired.length(sockets[2], End(at=unit, side="supply"), 2)
    wired.length(End(at=unit, side="load"), fed, 1)
    network = network_of(wired.on_way, load(), units=units)  # type: ignore[arg-type]
    start = network.terminal(wired.way_id, "L")
    assert network.resistance_ohm(start, network.terminal(unit, "L")) == pytest.approx(0.2223 + 0.01482, abs=1e-9)
    assert network.resistance_ohm(start, network.terminal(fed, "L")) == pytest.approx(line, abs=1e-9)
    cpc = network.resistance_ohm(network.terminal(wired.way_id, "E"), network.terminal(fed, "E"))
    assert cpc == pytest.approx(0.363 + 3 * 0.0121, abs=1e-9)


def test_a_run_without_length_only_stands_in_and_says_so() -> None:
    wired, sockets = reference()
    wired.length(sockets[2], wired.point(), None)
    network = wired.network
    assert network.why == {"R7": "R7 has no length on the map"}
    assert [edge.run for edge in network.edges if not edge.is_known] == ["R7"] * 3


def test_a_cable_without_cpc_joins_no_cpc() -> None:
    wired = Wired("T 1.5 no cpc", 6)
    lamp = wired.point("light")
    wired.length(wired.way_id, lamp, 8)
    network = wired.network
    assert network.no_core == {("R1", "E")}
    assert network.resistance_ohm(network.terminal(wired.way_id, "E"), network.terminal(lamp, "E")) == inf
    assert network.resistance_ohm(network.terminal(wired.way_id, "L"), network.terminal(lamp, "L")) < 1


def test_a_run_from_one_way_to_another_is_a_leg_of_each() -> None:
    wired, _ = reference()
    other = wired.way()
    joining = wired.length(wired.way_id, other, 2)
    for view in wired.views():
        network = network_of(view, load())
        assert joining in network.legs
        assert network.leg_at[joining] == view.device.id
        ends = (network.terminal(way, "N", joining) for way in (wired.way_id, other))
        assert network.resistance_ohm(*ends) == pytest.approx(2 * 0.00741, rel=EXACT)


def test_warm_copper_reads_more() -> None:
    wired, _ = reference()
    warm = network_of(wired.on_way, load(), copper_c=25.0)
    assert warm.edges[0].ohm == pytest.approx(0.0741 * 1.02)
