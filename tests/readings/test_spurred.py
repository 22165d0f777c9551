"""A point drawn on the ring that hangs on a spur: the ring keeps its length, the point reads higher by its spur."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.readings.faults import LowInsulation, OpenCore, with_faults
from circuitmap.readings.links import legs_of, linked
from circuitmap.readings.network import ReadingError
from circuitmap.readings.predict import expect
from circuitmap.readings.spurred import on_spur
from circuitmap.trade import load
from tests.readings.wired import Wired, by_networkx, reference

TRADE = load()
SPUR_OHM_PER_M = {"N": 2 * 0.00741, "E": 0.01951}


@given(st.integers(3, 9), st.data())
@settings(max_examples=30, deadline=None)
def test_the_ring_keeps_its_length_and_only_the_point_reads_higher_by_its_spur(
    sockets: int, data: st.DataObject
) -> None:
    """Source: CHECKS.md section 2a, spur: the reading at its take-off and length times 7.41 + 7.41 or 19.51 mΩ/m."""
    wired = Wired()
    lengths = data.draw(st.lists(st.integers(10, 200), min_size=sockets + 1, max_size=sockets + 1))
    points = wired.ring(*[each / 10 for each in lengths])
    view = wired.on_way
    point, length_m = data.draw(st.sampled_from(points)), data.draw(st.integers(1, 200)) / 10
    fault = on_spur(view, wired.network, TRADE, point, length_m)
    for other in ("N", "E"):
        healthy = expect(view, TRADE, "cross", ("L", other))
        higher = healthy.after(fault)
        added = dict(zip(higher.places, higher.ohm - healthy.ohm, strict=True))
        assert added.pop(point) == pytest.approx(length_m * SPUR_OHM_PER_M[other], rel=1e-9)
        assert list(added.values()) == pytest.approx([0] * len(added), abs=1e-9)
    ends = expect(view, TRADE, "end to end", ("L", "L"))
    assert ends.after(fault).ohm == pytest.approx(ends.ohm, rel=1e-9)


@pytest.mark.parametrize(
    ("at", "x_m"), [(None, 20), ("P1", 10), ("P3", 40), (0.0, 10), (1.0, 40), (0.5, 25)]
)  # fmt: skip
def test_where_the_spur_leaves_decides_what_the_point_reads(at: float | str | None, x_m: float) -> None:
    """Source: CHECKS.md section 2a, the exact curve of step 3 at the take-off, x of the way round."""
    wired = Wired()
    _, point, _, _ = wired.ring(10, 10, 20, 10, 10)
    view = wired.on_way
    r1, r2, x = 0.06 * 7.41, 0.06 * 12.10, x_m / 60
    curve = (x * r1 + (1 - x) * r2) * ((1 - x) * r1 + x * r2) / (r1 + r2)
    fault = on_spur(view, wired.network, TRADE, point, 4, at=at)
    found = expect(view, TRADE, "cross", ("L", "E")).after(fault)
    assert found.ohm[found.places.index(point)] == pytest.approx(curve + 4 * 0.01951, rel=1e-6)


def test_the_edited_network_reads_as_networkx_has_it_alone_and_with_other_faults() -> None:
    wired, points = reference()
    view, network = wired.on_way, wired.network
    spur = on_spur(view, network, TRADE, points[2], 4, at=0.3)
    for others in ([], [OpenCore("R2", ("L",))], [OpenCore("R3", ("E",))], [LowInsulation(("L", "E"), 0.5, run="R4")]):
        edited = with_faults(network, [*others, spur])
        test = linked(edited, "cross", ("L", "E"), legs_of(view, edited)).network
        pairs = [(test.at[point, "L"], test.at[point, "E"]) for point in points]
        assert list(test.sweep(pairs).ohm) == pytest.approx(by_networkx(test, pairs), rel=1e-9)


def test_what_hangs_on_the_point_hangs_on_its_spur() -> None:
    wired, points = reference()
    end = wired.spur(points[1], 3)
    view = wired.on_way
    healthy = expect(view, TRADE, "cross", ("L", "N"))
    spurred = healthy.after(on_spur(view, wired.network, TRADE, points[1], 4))
    added = dict(zip(spurred.places, spurred.ohm - healthy.ohm, strict=True))
    assert (added[points[1]], added[end]) == (pytest.approx(4 * 0.01482), pytest.approx(4 * 0.01482))
    assert added[points[0]] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("point", "length_m", "at", "says"),
    [
        ("P9", 4, None, "P9 isn't on A1"),
        ("D1", 4, None, "can't be on a spur"),
        ("P6", 4, None, "P6 isn't drawn between two runs of a ring"),
        ("P2", 0, None, "A spur of 0 m hangs nothing off"),
        ("P2", 4, "P5", "P5 is no neighbour of P2"),
        ("P2", 4, 1.5, "a share of it between 0 and 1, not 1.5"),
    ],
)
def test_what_cannot_be_on_a_spur_is_refused(point: str, length_m: float, at: float | str | None, says: str) -> None:
    wired, points = reference()
    wired.spur(points[1], 3)
    network = wired.network
    with pytest.raises(ReadingError, match=says):
        on_spur(wired.on_way, network, TRADE, point, length_m, at=at).edit(network)


def test_a_spur_of_an_unknown_cable_has_no_ohms() -> None:
    wired = Wired(cable="")
    points = wired.ring(4, 5, 6)
    with pytest.raises(ReadingError, match="The cable of R1 isn't on the map"):
        on_spur(wired.on_way, wired.network, TRADE, points[0], 4)
