"""Our one-pass analysis against independent algorithms: networkx bridges, biconnected and connected components."""

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.wiring.blocks import blocks_of

graphs = st.integers(1, 14).flatmap(
    lambda count: st.tuples(
        st.just(count),
        st.lists(st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)), max_size=26),
    )
)


def multigraph(count: int, edges: list[tuple[int, int]]) -> "nx.MultiGraph[int]":
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    graph.add_nodes_from(range(count))
    graph.add_edges_from((a, b, number) for number, (a, b) in enumerate(edges))
    return graph


@settings(max_examples=400, deadline=None)
@given(graphs)
def test_components_bridges_and_blocks_agree_with_networkx(drawn: tuple[int, list[tuple[int, int]]]) -> None:
    count, edges = drawn
    found = blocks_of(count, edges)
    graph = multigraph(count, edges)

    parts = {frozenset(part) for part in nx.connected_components(graph)}
    mine: dict[int, set[int]] = {}
    for node, part in enumerate(found.component):
        mine.setdefault(part, set()).add(node)
    assert {frozenset(part) for part in mine.values()} == parts

    simple = nx.Graph(graph)
    doubled = {frozenset(edge) for edge in edges if graph.number_of_edges(*edge) > 1}
    bridges = {frozenset(edge) for edge in nx.bridges(simple)} - doubled
    assert {frozenset(edges[i]) for i in range(len(edges)) if found.is_bridge(i)} == bridges

    # A library's blocks are sets of nodes; parallel edges share the block of their nodes.
    theirs = {frozenset(block) for block in nx.biconnected_components(simple)}
    ours = {frozenset(node for i in held for node in edges[i]) for held in found.edges}
    assert ours == theirs
    assert sorted(i for held in found.edges for i in held) == [i for i, (a, b) in enumerate(edges) if a != b]
    assert all(found.block[i] == number for number, held in enumerate(found.edges) for i in held)
    looped = {i for number in found.looped for i in found.edges[number]}
    assert looped == {i for i, (a, b) in enumerate(edges) if a != b and frozenset((a, b)) not in bridges}


@settings(max_examples=100, deadline=None)
@given(graphs, st.integers(0, 2**26 - 1))
def test_edges_left_out_are_as_if_they_were_not_there(drawn: tuple[int, list[tuple[int, int]]], mask: int) -> None:
    count, edges = drawn
    kept = [bool(mask >> number & 1) for number in range(len(edges))]
    found = blocks_of(count, edges, kept)
    alone = blocks_of(count, [edge for edge, stays in zip(edges, kept, strict=True) if stays])
    assert found.component == alone.component
    places = [number for number, stays in enumerate(kept) if stays]
    assert found.edges == tuple(tuple(places[i] for i in held) for held in alone.edges)


def test_a_long_chain_needs_no_deep_stack() -> None:
    length = 50_000
    edges = [(i, i + 1) for i in range(length)]
    found = blocks_of(length + 1, edges)
    assert len(found.edges) == length
    assert not found.looped
