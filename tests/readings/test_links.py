"""The links of the ring test and the radial test against the reference network, row by row, and against its formulas.

The reference network (60 m of 2.5/1.5, six legs of 10 m) was solved by networkx beforehand; where a formula exists its
figures equal it: cross-linked line-neutral r/2; line-cpc [x r1 + (1 - x) r2] [(1 - x) r1 + x r2] / (r1 + r2), from a
training handout's derivation.
"""

import itertools
from math import inf

import pytest

from circuitmap.home.records import End, Link
from circuitmap.readings.links import Linked, Pair, legs_of, linked, linked_as
from circuitmap.readings.network import ReadingError
from circuitmap.words import LinkKind
from tests.readings.wired import Wired, by_networkx, reference

PRINTED = 6e-5  # four decimals
LN: Pair = ("L", "N")
LE: Pair = ("L", "E")


def read(test: Linked, points: list[str]) -> list[float]:
    """The reading at the board, then at each point."""
    network = test.network
    pairs = [test.at_board, *((network.terminal(p, test.cores[0]), network.terminal(p, test.cores[1])) for p in points)]
    found: list[float] = network.sweep(pairs).ohm.tolist()
    assert found == pytest.approx(by_networkx(network, pairs), rel=1e-9)
    return found


def swept(wired: Wired, points: list[str], kind: LinkKind | None, cores: Pair) -> list[float]:
    network = wired.network
    return read(linked(network, kind, cores, legs_of(wired.on_way, network)), points)


HEALTHY_3 = [0.2757, 0.2851, 0.2908, 0.2926, 0.2908, 0.2851]


@pytest.mark.parametrize(
    ("kind", "cores", "printed"),
    [
        ("cross", LN, [0.2223] * 6),
        ("cross", LE, HEALTHY_3),
        ("same leg", LN, [0, 0.1235, 0.1976, 0.2223, 0.1976, 0.1235]),
        ("same leg", LE, [0, 0.1626, 0.2601, 0.2926, 0.2601, 0.1626]),
        (None, LN, [inf] * 6),
        (None, LE, [inf] * 6),
    ],
)
def test_the_reference_ring_reads_what_its_table_says(kind: LinkKind | None, cores: Pair, printed: list[float]) -> None:
    wired, sockets = reference()
    assert swept(wired, sockets, kind, cores) == pytest.approx(printed, abs=PRINTED)


@pytest.mark.parametrize(("core", "ohm"), [("L", 0.4446), ("N", 0.4446), ("E", 0.726)])
def test_end_to_end_reads_the_whole_conductor(core: str, ohm: float) -> None:
    wired, _ = reference()
    test = linked(wired.network, "end to end", (core, core))  # type: ignore[arg-type]
    assert test.network.resistance_ohm(*test.at_board) == pytest.approx(ohm, rel=1e-9)


def test_a_spur_reads_its_take_off_and_its_own_length() -> None:
    wired, sockets = reference()
    end = wired.spur(sockets[2], 4)
    two, three = swept(wired, [*sockets, end], "cross", LN), swept(wired, [*sockets, end], "cross", LE)
    assert two == pytest.approx([0.2223] * 6 + [0.2816], abs=PRINTED)
    assert three == pytest.approx([*HEALTHY_3, 0.3707], abs=PRINTED)
    assert three[-1] == pytest.approx(three[3] + 4 * 0.01951, rel=1e-9)


def test_a_spur_near_the_board() -> None:
    wired, sockets = reference()
    end = wired.spur(sockets[0], 4)
    assert swept(wired, [*sockets, end], "cross", LE) == pytest.approx([*HEALTHY_3, 0.3632], abs=PRINTED)


def test_a_spur_on_a_spur() -> None:
    # Worked example R14: a 60 m ring, 4 m then 3 m beyond mid-ring; by arithmetic.
    wired, sockets = reference()
    near = wired.spur(sockets[2], 4)
    far = wired.spur(near, 3)
    assert swept(wired, [near, far], "cross", LE)[1:] == pytest.approx([0.3707, 0.4292], abs=PRINTED)


def test_a_loop_on_a_stalk_is_tested_as_a_radial() -> None:
    # Worked example R15: 10 m of single feed, then a 40 m loop; by arithmetic. Only one cable is at the board.
    wired = Wired()
    first, *others = (wired.point() for _ in range(4))
    wired.length(wired.way_id, first, 10)
    for a, b in zip([first, *others], [*others, first], strict=True):
        wired.length(a, b, 10)
    far = others[1]
    assert swept(wired, [far], "radial", LE) == pytest.approx([0, 0.3902], abs=PRINTED)
    with pytest.raises(ReadingError, match="A1 has one cable at the board on the map"):
        swept(wired, [far], "cross", LE)


def test_a_bridged_ring() -> None:
    wired, sockets = reference()
    wired.length(sockets[0], sockets[4], 5)
    network = wired.network
    for core, ohm in (("L", 0.1811), ("E", 0.2958)):
        test = linked(network, "end to end", (core, core))  # type: ignore[arg-type]
        assert test.network.resistance_ohm(*test.at_board) == pytest.approx(ohm, abs=PRINTED)
    two, three = swept(wired, sockets, "cross", LN), swept(wired, sockets, "cross", LE)
    assert two == pytest.approx([0.0906, 0.0906, 0.1894, 0.2223, 0.1894, 0.0906], abs=PRINTED)
    assert three == pytest.approx([0.1123, 0.1190, 0.2492, 0.2926, 0.2492, 0.1190], abs=PRINTED)


@pytest.mark.parametrize(
    ("loop_m", "r1", "r2", "quarter_ln", "quarter_le", "at_board"),
    [
        (30, 0.222, 0.363, 0.1111, 0.1463, 0.1379),
        (45, 0.333, 0.544, 0.1667, 0.2195, 0.2068),
        (60, 0.445, 0.726, 0.2223, 0.2927, 0.2757),
        (100, 0.741, 1.210, 0.3705, 0.4878, 0.4596),
    ],
)
def test_healthy_rings_by_their_length(
    loop_m: float, r1: float, r2: float, quarter_ln: float, quarter_le: float, at_board: float
) -> None:
    wired = Wired()
    (middle,) = wired.ring(loop_m / 2, loop_m / 2)
    network = wired.network
    line, cpc = (linked(network, "end to end", (core, core)) for core in ("L", "E"))  # type: ignore[arg-type]
    assert network.resistance_ohm(*line.at_board) == pytest.approx(r1, abs=6e-4)
    assert network.resistance_ohm(*cpc.at_board) == pytest.approx(r2, abs=6e-4)
    assert swept(wired, [middle], "cross", LN) == pytest.approx([quarter_ln] * 2, abs=PRINTED)
    assert swept(wired, [middle], "cross", LE) == pytest.approx([at_board, quarter_le], abs=1.1e-4)


@pytest.mark.parametrize(("r1", "rn", "r2"), [(0.4446, 0.4446, 0.726), (0.54, 0.54, 0.9), (1.15, 1.15, 1.8)])
def test_the_cross_linked_curve(r1: float, rn: float, r2: float) -> None:
    # The curve of a training handout; 0.54 and 0.90 give 0.36 at mid-ring and 0.3375 at the board (quoting the On-Site
    # Guide), 1.15 and 1.80 give 0.7375 and 0.7017 (by arithmetic).
    wired = Wired()
    sockets = wired.ring(*[10] * 8)
    network = wired.network
    whole = {"L": r1, "N": rn, "E": r2}
    edges = tuple(
        type(edge)(edge.a, edge.b, whole[edge.core or "L"] / 8, edge.run, edge.core) for edge in network.edges
    )
    test = linked(type(network)(network.nodes, edges, network.device, "", network.legs, network.leg_at), "cross", LE)
    share = [n / 8 for n in range(8)]
    curve = [(x * r1 + (1 - x) * r2) * ((1 - x) * r1 + x * r2) / (r1 + r2) for x in share]
    found = read(test, sockets)
    assert found == pytest.approx(curve, rel=1e-9)
    assert max(found) == pytest.approx((r1 + r2) / 4, rel=1e-9)
    assert min(found) == found[0] == pytest.approx(r1 * r2 / (r1 + r2), rel=1e-9)


def test_linked_on_one_leg_readings_grow_along_the_ring() -> None:
    wired, sockets = reference()
    far, *along = swept(wired, sockets, "one leg", LE)
    assert along == pytest.approx([n * 10 * 0.01951 for n in range(1, 6)], rel=1e-9)
    assert far == pytest.approx(60 * 0.01951, rel=1e-9)


def test_one_leg_may_be_the_other() -> None:
    wired, sockets = reference()
    network = wired.network
    found = read(linked_as(network, Link(kind="one leg", legs=("R6", "R1")), LE), sockets)
    assert found[1] == pytest.approx(50 * 0.01951, rel=1e-9)
    other = read(linked_as(network, Link(kind="one leg", cores=("L", "N"), legs=("R6", "R1")), LE), sockets)
    assert other[1] == pytest.approx(50 * 2 * 0.00741, rel=1e-9)


def test_a_radial_reads_line_and_cpc_to_every_point() -> None:
    # 22 m of 2.5/1.5: a textbook exercise gives 0.429 ohm.
    wired = Wired(rating_a=20)
    a, b = wired.point(), wired.point()
    wired.length(wired.way_id, a, 10)
    wired.length(a, b, 12)
    assert swept(wired, [a, b], "radial", LE) == pytest.approx([0, 0.1951, 0.42922], rel=1e-9)


def test_a_ring_put_back_together_reads_as_two_ways_in_parallel() -> None:
    wired, sockets = reference()
    found = swept(wired, sockets, "radial", LE)
    assert found[3] == pytest.approx((0.4446 + 0.726) / 4, rel=1e-9)
    assert found[1] == pytest.approx(0.01951 * 10 * 50 / 60, rel=1e-9)


def test_a_spur_from_the_origin_is_no_leg_of_the_ring() -> None:
    wired, sockets = reference()
    alone = wired.point()
    wired.length(End(at=wired.way_id, leg=3), alone, 6)
    network = wired.network
    assert network.legs == ("R1", "R6", "R7")
    assert legs_of(wired.on_way, network) == ("R1", "R6")
    assert swept(wired, [*sockets, alone], "cross", LN) == pytest.approx([0.2223] * 6 + [inf], abs=PRINTED)
    with pytest.raises(ReadingError, match=r"three cables at the board .* say which two"):
        linked(network, "cross", LN)


def test_legs_on_two_ways_are_linked_across_them() -> None:
    wired = Wired()
    other = wired.way()
    sockets = [wired.point() for _ in range(5)]
    stops = [wired.way_id, *sockets, other]
    for a, b in itertools.pairwise(stops):
        wired.length(a, b, 10)
    network = wired.network
    legs = legs_of(wired.on_way, network)
    assert set(legs) == {"R1", "R6"}
    assert read(linked(network, "cross", LN, legs), sockets) == pytest.approx([0.2223] * 6, abs=PRINTED)


def test_what_cannot_be_linked_is_said_in_one_sentence() -> None:
    wired, _ = reference()
    network = wired.network
    with pytest.raises(ReadingError, match="R3 doesn't end at the board of A1"):
        linked(network, "cross", LN, ("R1", "R3"))
    with pytest.raises(ReadingError, match="joins two cores"):
        linked_as(network, Link(kind="cross", cores=("L", "N", "E")), LN)
    bare = Wired()
    bare.say(bare.way_id, bare.point())
    with pytest.raises(ReadingError, match="No run is drawn from A1"):
        linked(bare.network, "radial", LE)
