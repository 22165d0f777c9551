"""Cheapest paths through a network, against every path there is."""

import itertools
import random

import networkx
import pytest

from circuitmap.extension.costs import Costs, Item, Rate
from circuitmap.extension.net import STRETCH_PENCE, Edge, Key, Net, cheapest, distances, net_of

COSTS = Costs(
    pence_per_minute=100.0,
    cable_pence_per_m=100.0,
    rates={("chase", "brick"): Rate(10.0), ("void", ""): Rate(2.0), ("hole", ""): Rate(3.0, 50.0)},
)


def node(x: int, y: int) -> Key:
    return ("grid", float(x), float(y), 0)


def grid(wide: int, high: int, chance: random.Random, share: float = 1.0) -> list[Edge]:
    """A grid of stretches of random kinds, some missing."""
    edges = []
    for x, y in itertools.product(range(wide), range(high)):
        for to in ((x + 1, y), (x, y + 1)):
            if to[0] < wide and to[1] < high and chance.random() < share:
                length = chance.randrange(100, 3000)
                item = Item(chance.choice(("chase", "void")), "brick", length / 1000)
                hole = (Item("hole", "", 1.0),) if chance.random() < 0.3 else ()
                edges.append(Edge(node(x, y), node(*to), length, (item, *hole)))
    return edges


def worth(path: tuple[Edge, ...]) -> float:
    return sum(COSTS.worth(edge.items, edge.mm) + STRETCH_PENCE for edge in path)


def every_path(edges: list[Edge], start: Key, end: Key) -> list[tuple[Edge, ...]]:
    """Exhaustive search: all paths that visit no node twice."""
    beside: dict[Key, list[tuple[Key, Edge]]] = {}
    for edge in edges:
        beside.setdefault(edge.a, []).append((edge.b, edge))
        beside.setdefault(edge.b, []).append((edge.a, edge))
    found: list[tuple[Edge, ...]] = []

    def go(here: Key, been: frozenset[Key], path: tuple[Edge, ...]) -> None:
        if here == end:
            found.append(path)
            return
        for there, edge in beside.get(here, ()):
            if there not in been:
                go(there, been | {there}, (*path, edge))

    go(start, frozenset((start,)), ())
    return found


def test_a_worth_is_money_and_minutes() -> None:
    # By hand: 2 m of brick at 10 min/m and a hole of 3 min and 50 p, at 100 p a minute; 2 m of cable at 100 p/m.
    items = (Item("chase", "brick", 2.0), Item("hole", "", 1.0))
    assert COSTS.minutes(items) == pytest.approx(23)
    assert COSTS.worth(items, 2000) == pytest.approx(2300 + 50 + 200)
    assert COSTS.worth((Item("chase", "block", 2.0),), 0) == 0, "what has no rate costs nothing"


@pytest.mark.parametrize("seed", range(60))
def test_the_cheapest_is_the_cheapest_of_all_paths(seed: int) -> None:
    chance = random.Random(seed)
    edges = grid(4, 3, chance, share=0.85)
    start, end = node(0, 0), node(3, 2)
    paths = every_path(edges, start, end)
    found = cheapest(net_of(edges, COSTS), start, end)
    if not paths:
        assert found == []
        return
    assert worth(found[0]) == pytest.approx(min(worth(path) for path in paths))


@pytest.mark.parametrize("seed", range(10))
def test_on_larger_grids_it_agrees_with_another_search(seed: int) -> None:
    """Independent: Bellman and Ford's search of networkx on the same edges."""
    edges = grid(15, 12, random.Random(seed), share=0.8)
    graph = networkx.Graph()
    for edge in edges:
        graph.add_edge(edge.a, edge.b, weight=COSTS.worth(edge.items, edge.mm) + STRETCH_PENCE)
    start, end = node(0, 0), node(14, 11)
    found = cheapest(net_of(edges, COSTS), start, end)
    try:
        length = networkx.bellman_ford_path_length(graph, start, end)
    except (networkx.NetworkXNoPath, networkx.NodeNotFound):
        assert found == []
        return
    assert worth(found[0]) == pytest.approx(length)


def test_a_path_hangs_together_from_start_to_end() -> None:
    edges = grid(6, 6, random.Random(3))
    start, end = node(0, 5), node(5, 0)
    for path in cheapest(net_of(edges, COSTS), start, end, alternatives=3):
        assert path[0].a == start
        assert path[-1].b == end
        assert all(one.b == other.a for one, other in itertools.pairwise(path))


def test_others_really_differ_and_are_no_cheaper() -> None:
    edges = grid(6, 6, random.Random(5))
    paths = cheapest(net_of(edges, COSTS), node(0, 0), node(5, 5), alternatives=3)
    assert len(paths) == 3
    worths = [worth(path) for path in paths]
    assert worths == sorted(worths)
    for one, other in itertools.combinations(paths, 2):
        mine = {frozenset((edge.a, edge.b)): edge.mm for edge in one}
        theirs = {frozenset((edge.a, edge.b)) for edge in other}
        assert sum(mm for key, mm in mine.items() if key in theirs) < 0.76 * sum(mine.values())


def test_of_two_stretches_between_the_same_nodes_the_cheaper_is_taken() -> None:
    dear = Edge(node(0, 0), node(1, 0), 1000, (Item("chase", "brick", 1.0),))
    cheap = Edge(node(1, 0), node(0, 0), 1000, (Item("void", "", 1.0),))
    for order in ([dear, cheap], [cheap, dear]):
        (path,) = cheapest(net_of(order, COSTS), node(0, 0), node(1, 0))
        assert [edge.items for edge in path] == [cheap.items]


def test_pieces_laid_anew_replace_what_was_there() -> None:
    left, right = ("left", 0.0, 0.0, 0), ("right", 0.0, 0.0, 0)
    below = net_of([Edge(left, right, 1000, (Item("chase", "brick", 1.0),))], COSTS)

    def one(net: Net) -> Edge:
        ((edge,),) = cheapest(net, left, right)
        return edge

    assert one(below).mm == 1000
    assert one(net_of([Edge(left, right, 1500, ())], COSTS, below, ["right"])).mm == 1500
    assert cheapest(net_of([], COSTS, below, ["right"]), left, right) == []
    assert cheapest(below, left, ("nowhere", 0.0, 0.0, 0)) == []


@pytest.mark.parametrize("seed", range(5))
def test_what_lies_between_many_nodes_is_that_of_the_cheapest_paths(seed: int) -> None:
    net = net_of(grid(6, 5, random.Random(seed), share=0.8), COSTS)
    keys = [node(0, 0), node(5, 4), node(2, 3), ("nowhere", 0.0, 0.0, 0)]
    found = distances(net, keys)
    for (n, a), (m, b) in itertools.combinations(enumerate(keys), 2):
        paths = cheapest(net, a, b)
        assert found[n, m] == found[m, n]
        assert found[n, m] == (pytest.approx(worth(paths[0])) if paths else float("inf"))
