"""How long the readings of a large circuit take: afresh from the map, after one edit, and by networkx pair by pair.

The issue wants all points of a 200-point circuit after one edit within 5 ms, and at least 100 times faster than
``resistance_distance`` for one pair after the other: 201 times its one pair, in the last group.
"""

from typing import Any

import pytest

from circuitmap.circuits import CircuitView, views
from circuitmap.memo import Memo
from circuitmap.readings.faults import OpenCore
from circuitmap.readings.predict import expect, predict
from circuitmap.trade import load
from tests.bench.blocks import block
from tests.readings.wired import by_networkx

Benchmark = Any  # pytest-benchmark ships no types


def circuit(points: int) -> CircuitView:
    (view,) = views(block(1, points), load(), Memo())
    return view


@pytest.mark.benchmark(group="readings: a circuit afresh from the map")
@pytest.mark.parametrize("points", [20, 200, 1000])
def test_afresh(benchmark: Benchmark, points: int) -> None:
    view, trade = circuit(points), load()
    found = benchmark(predict, view, trade, "cross", ("L", "E"))
    assert len(found) == points + 1


@pytest.mark.benchmark(group="readings: all points after one edit")
@pytest.mark.parametrize("points", [20, 200, 1000])
def test_after_one_edit(benchmark: Benchmark, points: int) -> None:
    expected = expect(circuit(points), load(), "cross", ("L", "E"))
    fault = OpenCore("R5", ("E",))
    found = benchmark(lambda: expected.after(fault).readings())
    assert len(found) == points + 1


@pytest.mark.benchmark(group="readings: ohms after one edit, 201 pairs by us and one by networkx")
@pytest.mark.parametrize("who", ["us, all pairs", "networkx, one pair"])
def test_ohms_after_one_edit(benchmark: Benchmark, who: str) -> None:
    expected = expect(circuit(200), load(), "cross", ("L", "E"))
    network = expected.linked.network
    edit = OpenCore("R5", ("E",)).edit(network)
    edited = network.edited(edit)
    pairs = list(zip(expected.sweep.a.tolist(), expected.sweep.b.tolist(), strict=True))
    some = [0, 7, 100, 200]
    if who == "us, all pairs":
        ours = benchmark(lambda: expected.sweep.ohm_after(network.changes(edit)))
        assert [ours[n] for n in some] == pytest.approx(by_networkx(edited, [pairs[n] for n in some]), rel=1e-9)
    else:
        (theirs,) = benchmark.pedantic(by_networkx, args=(edited, [pairs[100]]), rounds=5)
        assert theirs == pytest.approx(edited.resistance_ohm(*pairs[100]), rel=1e-9)
