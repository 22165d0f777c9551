"""Whole pieces drawn at random: our shape against what networkx says of the same multigraph."""

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.home import Home
from circuitmap.home.records import Board, Device, End, Point, Run
from circuitmap.wiring import graph_of, pieces, shape_of

# Points are counted at exactly the cables they have, so that nothing is left untraced and every shape is decided.
wired = st.integers(1, 9).flatmap(
    lambda count: st.tuples(
        st.just(count),
        st.lists(st.tuples(st.integers(0, count), st.integers(0, count)), min_size=1, max_size=13),
        st.sampled_from([20.0, 32.0]),
    )
)


def home_of(count: int, edges: list[tuple[int, int]], rating_a: float, devices: int = 1) -> Home:
    """Give a home whose node 0 (and on) are ways and whose other nodes are sockets."""
    kept = [(a, b) for a, b in edges if a != b and not (a < devices and b < devices)]
    cables = [sum(node in edge for edge in kept) for node in range(count + 1)]

    def name(node: int) -> str:
        return f"D{node + 1}" if node < devices else f"P{node - devices + 1}"

    records = [Board(id="B1", letter_on_map="A")]
    records += [  # type: ignore[misc]  # one list of records of several kinds
        Device(id=name(n), board="B1", way=str(n + 1), kind="MCB", rating_a=rating_a, cables_seen=cables[n])
        for n in range(devices)
    ]
    records += [  # type: ignore[misc]
        Point(id=name(n), kind="socket", cables_seen=cables[n]) for n in range(devices, count + 1)
    ]
    records += [  # type: ignore[misc]
        Run(id=f"R{i + 1}", a=End(at=name(a)), b=End(at=name(b)), evidence="seen") for i, (a, b) in enumerate(kept)
    ]
    return Home.of(records)


@settings(max_examples=400, deadline=None)
@given(wired)
def test_pieces_are_the_connected_components(drawn: tuple[int, list[tuple[int, int]], float]) -> None:
    home = home_of(*drawn)
    whole: nx.MultiGraph[str] = nx.MultiGraph()
    whole.add_edges_from((run.a.at, run.b.at, run.id) for run in home.table(Run).values())
    parts = {frozenset(part) for part in nx.connected_components(whole)}
    found = pieces(home)
    assert {frozenset(r.id for r in (*piece.devices, *piece.points)) for piece in found} == parts
    for piece in found:
        graph = graph_of(piece)
        assert nx.is_connected(graph)
        assert {key for _, _, key in graph.edges(keys=True)} == {run.id for run in piece.runs}


@settings(max_examples=500, deadline=None)
@given(wired)
def test_kinds_follow_from_what_networkx_finds(drawn: tuple[int, list[tuple[int, int]], float]) -> None:
    home = home_of(*drawn)
    for piece in pieces(home):
        shape = shape_of(piece)
        graph = nx.relabel_nodes(graph_of(piece), lambda node: node[0])
        rank = graph.number_of_edges() - graph.number_of_nodes() + 1
        simple = nx.Graph(graph)
        single = {frozenset(edge) for edge in nx.bridges(simple) if graph.number_of_edges(*edge) == 1}
        looped = [
            block for block in nx.biconnected_components(simple) if len(block) > 2 or graph.number_of_edges(*block) > 1
        ]
        root = "D1" if "D1" in graph else None
        if root is None:
            assert shape.kind == "fed by nothing"
            continue
        legs = graph.degree(root)
        if rank == 0:
            assert shape.kind in ("radial", "branched radial", "one point only", "open ring")
            assert shape.closed == ()
            widest = max(degree - (node != root) for node, degree in graph.degree)
            if shape.kind != "open ring":
                assert (shape.kind == "branched radial") == (widest > 1)
            if legs == 2 and piece.devices[0].rating_a == 32:
                assert shape.kind == "open ring"
                assert shape.gap is not None
                assert root in nx.shortest_path(simple, *shape.gap)
                assert all(graph.degree(end) == 1 for end in shape.gap)
        elif len(looped) > 1:
            assert shape.kind == "several loops"
        elif rank > 1:
            assert shape.kind == "bridged ring"
        elif root in looped[0]:
            assert shape.kind == ("ring with spurs" if single else "ring")
        else:
            assert shape.kind == "loop on a stalk"
            assert {frozenset((r.a.at, r.b.at)) for r in piece.runs if r.id in shape.stalk} <= single
        if rank:
            _check_loop(shape, graph)
        if shape.kind in ("ring", "ring with spurs", "bridged ring", "several loops", "loop on a stalk"):
            assert shape.closed == ("L", "N", "E")
            trees = {run for spur in shape.spurs for run in spur.runs}
            in_blocks = {r.id for r in piece.runs if frozenset((r.a.at, r.b.at)) not in single}
            assert trees | set(shape.stalk) | in_blocks == set(shape.runs)
            assert not trees & (set(shape.stalk) | in_blocks)


def _check_loop(shape: object, graph: "nx.MultiGraph[str]") -> None:
    loop, loop_runs = shape.loop, shape.loop_runs  # type: ignore[attr-defined]
    assert len(set(loop)) == len(loop) == len(set(loop_runs)) == len(loop_runs)
    for here, there, run in zip(loop, (*loop[1:], loop[0]), loop_runs, strict=True):
        assert graph.has_edge(here, there, run)
    bridges = shape.bridges  # type: ignore[attr-defined]
    if shape.kind == "bridged ring":  # type: ignore[attr-defined]
        left = graph.copy()
        left.remove_edges_from([(a, b, key) for a, b, key in graph.edges(keys=True) if key in bridges])
        ring = left.subgraph(loop)
        assert ring.number_of_edges() == ring.number_of_nodes()
        most = (
            max(len(cycle) for cycle in nx.simple_cycles(nx.Graph(graph)) if loop[0] in cycle) if len(loop) > 2 else 2
        )
        assert len(loop) == most


@settings(max_examples=300, deadline=None)
@given(wired)
def test_two_ways_that_hang_together_are_always_said_so(drawn: tuple[int, list[tuple[int, int]], float]) -> None:
    count, edges, rating_a = drawn
    home = home_of(count + 1, edges, rating_a, devices=2)
    for piece in pieces(home):
        shape = shape_of(piece)
        graph = nx.relabel_nodes(graph_of(piece), lambda node: node[0])
        if not {"D1", "D2"} <= set(graph):
            continue
        if shape.kind == "legs on two ways":
            assert nx.is_tree(graph)
            assert graph.degree("D1") == graph.degree("D2") == 1
            assert list(shape.loop) == nx.shortest_path(graph, "D1", "D2")
            continue
        assert shape.kind == "two ways joined"
        assert shape.joins
        runs = [i for i in shape.joins if i[0] == "R"]
        for run in runs if len(runs) < len(shape.joins) or _parts(graph, runs[0]) else []:
            assert _parts(graph, run)
        for point in (i for i in shape.joins if i[0] == "P"):
            left = graph.copy()
            left.remove_node(point)
            assert not nx.has_path(left, "D1", "D2")


def _parts(graph: "nx.MultiGraph[str]", run: str) -> bool:
    left = graph.copy()
    left.remove_edges_from([(a, b, key) for a, b, key in graph.edges(keys=True) if key == run])
    return not nx.has_path(left, "D1", "D2")
