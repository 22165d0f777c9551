"""Where to open next: against every decision tree there is, against halving, and with what it costs to look."""

import math
import random
from functools import cache

import networkx as nx
import pytest

from circuitmap.readings.leak import Cable, Layout, Place, Section
from circuitmap.readings.leak_split import best_split, by_weight


def made(
    edges: list[tuple[str, str]], weights: dict[str, float] | None = None, minutes: dict[str, float] | None = None
) -> Layout:
    """A circuit by its cables between places; "" is the board. Cables are called R1, R2 and so on."""
    cables = [Cable(f"R{n}", a, b, not a) for n, (a, b) in enumerate(edges, start=1)]
    points = sorted({at for edge in edges for at in edge if at}, key=lambda at: int(at[1:]))
    heavy = weights or {}
    sections = [Section(c.key, "cable", c.key, c.key, heavy.get(c.key, 1.0)) for c in cables]
    sections += [Section(p, "accessory", p, p, heavy.get(p, 1.0)) for p in points]
    places = [Place(p, p, (minutes or {}).get(p, 5.0)) for p in points]
    return Layout("D1", "A1", "L+N-E", tuple(sections), tuple(places), tuple(cables))


def radial(points: int) -> list[tuple[str, str]]:
    return [(f"P{n}" if n else "", f"P{n + 1}") for n in range(points)]


def least_cost(layout: Layout, read_minutes: float) -> float:
    """The least expected cost by trying every decision tree, parts by networkx: no bound, no pruning."""
    graph: nx.Graph[str] = nx.Graph()
    for cable in layout.cables:
        graph.add_edges_from((cable.key, end) for end in (cable.a, cable.b) if end)
    minutes = {place.point: place.minutes for place in layout.places}

    @cache
    def cost(part: frozenset[str]) -> float:
        best = math.inf
        for place in (key for key in part if key in minutes and len(part) > 1):
            rest = [frozenset(one) for one in nx.connected_components(graph.subgraph(part - {place}))]
            after = sum(layout.weight(one) * cost(one) for one in rest) / layout.weight(part)
            best = min(best, minutes[place] + read_minutes * (len(rest) + 1) + after)
        return best if best < math.inf else 0.0

    return cost(frozenset(layout.by_key))


@pytest.mark.parametrize("seed", range(20))
def test_small_circuits_get_the_least_expected_cost_of_all_decision_trees(seed: int) -> None:
    pick = random.Random(seed)
    points = pick.randint(2, 8)
    edges = [(f"P{pick.randint(1, n)}" if n else "", f"P{n + 1}") for n in range(points)]
    if seed % 2:  # a loop
        edges.append((f"P{pick.randint(1, points)}", f"P{pick.randint(1, points)}"))
        edges = [(a, b) for a, b in edges if a != b]
    keys = [*(f"R{n + 1}" for n in range(len(edges))), *(f"P{n + 1}" for n in range(points))]
    layout = made(
        edges,
        {key: pick.uniform(0.2, 5) for key in keys},
        {f"P{n + 1}": pick.choice((5.0, 8.0, 20.0)) for n in range(points)},
    )
    split = best_split(layout, frozenset(layout.by_key), ())
    assert split is not None
    assert split.cost == pytest.approx(least_cost(layout, layout.read_minutes), rel=1e-12)


@pytest.mark.parametrize("doublings", [1, 2, 3, 4, 5])
def test_a_radial_of_alike_places_is_halved(doublings: int) -> None:
    """2^k - 1 places cut a radial into 2^k cables: k openings at most, the first in the middle (arithmetic)."""
    points = 2**doublings - 1
    layout = made([*radial(points), (f"P{points}", "")])
    split = best_split(layout, frozenset(layout.by_key), (), by="openings")
    assert split is not None
    assert split.place == f"P{2 ** (doublings - 1)}"
    assert split.cost <= doublings


def test_a_suspicious_end_draws_the_first_opening_to_it() -> None:
    layout = made(radial(9), {"R9": 60.0, "P9": 20.0})
    split = best_split(layout, frozenset(layout.by_key), ())
    assert split is not None
    assert split.place in ("P8", "P9")


def test_a_place_that_is_dear_to_open_is_left_for_its_neighbour() -> None:
    even = best_split(made(radial(7)), frozenset(made(radial(7)).by_key), ())
    dear = made(radial(7), minutes={"P4": 45.0})
    assert even is not None
    assert even.place == "P4"
    split = best_split(dear, frozenset(dear.by_key), ())
    assert split is not None
    assert split.place in ("P3", "P5")


def test_a_shut_place_is_never_proposed_and_without_any_nothing_splits() -> None:
    layout = made(radial(3))
    whole = frozenset(layout.by_key)
    split = best_split(layout, whole, (), shut={"P2"})
    assert split is not None
    assert split.place != "P2"
    assert best_split(layout, whole, (), shut={"P1", "P2", "P3"}) is None
    assert best_split(layout, frozenset({"R2"}), ()) is None
    assert best_split(layout, frozenset({"P2"}), ()) is None


def test_a_loop_on_a_stalk_costs_one_opening_more_than_the_path_it_becomes() -> None:
    edges = [("", "P1"), ("P1", "P2"), ("P2", "P3"), ("P3", "P4"), ("P4", "P1")]
    layout = made(edges)
    split = best_split(layout, frozenset(layout.by_key), (), by="openings")
    assert split is not None
    assert split.place == "P1"  # it cuts the stalk off as well
    assert split.cost == pytest.approx(least_cost(made(edges, minutes=dict.fromkeys(layout.place, 1.0)), 0.0))


def test_a_long_circuit_with_many_branches_is_answered_at_once() -> None:
    pick = random.Random(1)
    edges = [(f"P{pick.randint(max(1, n - 6), n)}" if n else "", f"P{n + 1}") for n in range(120)]
    layout = made(edges)
    split = best_split(layout, frozenset(layout.by_key), ())
    assert split is not None
    assert split.cost / (5 + 3 * layout.read_minutes) < math.log2(len(layout.sections)) + 1


def test_about_half_the_suspicion_is_connected_back_never_all_of_it() -> None:
    weights = {"a": 5.0, "b": 1.0, "c": 1.0, "d": 1.0}
    assert by_weight(weights, weights) == ("a",)
    assert by_weight(["b", "c", "d"], weights) == ("b", "c")
    assert by_weight(["b", "c"], weights) == ("b",)
    assert by_weight(["b"], weights) == ("b",)
